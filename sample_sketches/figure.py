"""A truss drawing: what is drawn, and the drawing of it on a sheet."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sample_sketches.hand import Hand
from sample_sketches.lettering import text_width
from sample_sketches.pens import Pen
from sample_sketches.symbols import (
    draw_arrow,
    draw_dimension,
    draw_joint,
    draw_member,
    draw_slope,
    draw_support,
    unit_vector,
)

__all__ = ["Figure", "Measure", "Note", "Pull", "Slope", "Stand", "Writing", "draw_figure"]

FloatArray = NDArray[np.float64]
Point = tuple[float, float]


@dataclass(frozen=True)
class Stand:
    """A support at `joint` that pushes on the truss in direction `angle` (degrees)."""

    joint: str
    kind: Literal["pin", "roller"]
    angle: float = 90.0
    style: str = "triangle"


@dataclass(frozen=True)
class Pull:
    """A load at `joint`, its text, and whether the arrow's head is at the joint.

    `on_page` is the direction of the drawn arrow where it is not that of the
    true components (a drawing out of scale).
    """

    joint: str
    fx: float
    fy: float
    text: str
    head: bool = True
    length: float = 20.0
    on_page: float | None = None

    @property
    def direction(self) -> float:
        """Direction of the drawn arrow in degrees, counter-clockwise."""
        if self.on_page is not None:
            return self.on_page
        return float(np.degrees(np.arctan2(self.fy, self.fx)) % 360)


@dataclass(frozen=True)
class Measure:
    """A written dimension between joints `a` and `b`, `offset` mm beside `a`.

    `plain` writes the number along the member instead of drawing a dimension line.
    """

    kind: Literal["length", "horizontal", "vertical"]
    a: str
    b: str
    text: str
    offset: float = -16.0
    plain: bool = False


@dataclass(frozen=True)
class Slope:
    """A slope triangle beside the member from `a` to `b`, with its run and rise."""

    a: str
    b: str
    run: int
    rise: int
    at: Point = (0.5, 5.0)


@dataclass(frozen=True)
class Note:
    """Writing at a place of the sheet (mm, left end of the baseline)."""

    text: str
    at: Point
    height: float = 5.0
    angle: float = 0.0
    underline: bool = False


@dataclass(frozen=True)
class Figure:
    """A truss as somebody draws it.

    Attributes
    ----------
    places : dict
        Joint name to its place on the sheet in mm (x right, y down).
    members : tuple of (str, str)
    stands, pulls, measures, slopes, notes : tuple
        The rest of the drawing.
    mark : str
        How joints are marked: ``"none"``, ``"dot"`` or ``"open"``.
    mark_radius : float
        Radius of that mark in mm.
    double : float
        Distance between the lines of a double-line member in mm; 0 for one line.
    support_size, letter_height : float
        Sizes in mm.
    load_pen, note_pen : Pen or None
        Other pens for arrows, and for dimensions and writing.
    labels : bool
        Whether joint letters are written.
    closed_heads : bool
        Whether arrows end in a small triangle rather than in two barbs.
    """

    places: dict[str, Point]
    members: tuple[tuple[str, str], ...]
    stands: tuple[Stand, ...] = ()
    pulls: tuple[Pull, ...] = ()
    measures: tuple[Measure, ...] = ()
    slopes: tuple[Slope, ...] = ()
    notes: tuple[Note, ...] = ()
    mark: str = "none"
    mark_radius: float = 1.3
    double: float = 0.0
    support_size: float = 8.0
    letter_height: float = 5.0
    load_pen: Pen | None = None
    note_pen: Pen | None = None
    labels: bool = True
    closed_heads: bool = False

    def at(self, joint: str) -> FloatArray:
        """Place of a joint on the sheet in mm."""
        return np.asarray(self.places[joint], float)


@dataclass(frozen=True)
class Writing:
    """A piece of writing and the corners of what it covers, shape (4, 2), in mm."""

    text: str
    corners: FloatArray = field(repr=False)


def draw_figure(hand: Hand, figure: Figure) -> list[Writing]:
    """Draw `figure` with `hand`; returns all that was written."""
    notes = hand.holding(figure.note_pen or hand.pen)
    arrows = hand.holding(figure.load_pen or hand.pen)
    trim = figure.mark_radius if figure.mark == "open" else 0.0
    for a, b in figure.members:
        draw_member(hand, figure.at(a), figure.at(b), double=figure.double, trim=trim)
    for joint in figure.places:
        draw_joint(hand, figure.at(joint), figure.mark, figure.mark_radius)
    for stand in figure.stands:
        draw_support(
            hand, figure.at(stand.joint), stand.kind, stand.angle,
            style=stand.style, size=figure.support_size, gap=trim,
        )  # fmt: skip
    written = [_draw_pull(arrows, figure, pull) for pull in figure.pulls]
    written += [_draw_measure(notes, figure, measure) for measure in figure.measures]
    for slope in figure.slopes:
        written += _draw_slope(notes, figure, slope)
    if figure.labels:
        written += [_draw_label(notes, figure, joint) for joint in figure.places]
    written += [_draw_note(notes, note) for note in figure.notes]
    return [piece for piece in written if piece.text]


def _draw_pull(hand: Hand, figure: Figure, pull: Pull) -> Writing:
    along = unit_vector(pull.direction)
    joint = figure.at(pull.joint)
    room = 1.6 + (figure.mark_radius if figure.mark != "none" else 0.0) + figure.double / 2
    tail = joint - along * (room + pull.length) if pull.head else joint + along * room
    head = joint - along * room if pull.head else joint + along * (room + pull.length)
    barb = max(3.2, 3.0 * hand.pen.width + 1.6)
    draw_arrow(hand, tail, head, barb=barb, closed=figure.closed_heads)
    height = figure.letter_height * 0.92
    far = tail if pull.head else head
    out = -along if pull.head else along
    wide = text_width(pull.text, height)
    if abs(out[1]) > 0.7:  # upright arrows: beside the far end
        start = far + np.array([2.2 + hand.pen.width, 0.5 * height - 2.0 * out[1]])
    else:
        start = far + np.array([-wide if out[0] < 0 else 0.0, -1.6 - hand.pen.width])
    return Writing(pull.text, hand.write(pull.text, start, height))


def _draw_measure(hand: Hand, figure: Figure, measure: Measure) -> Writing:
    a, b = figure.at(measure.a), figure.at(measure.b)
    height = figure.letter_height * 0.85
    direction = {"horizontal": 0.0, "vertical": 90.0}.get(measure.kind)
    if direction is None:
        direction = float(np.degrees(np.arctan2(a[1] - b[1], b[0] - a[0])))
        if not -90 < direction <= 90:
            a, b, direction = b, a, (direction + 360) % 360 - 180
    if measure.plain:
        along, aside = unit_vector(direction), unit_vector(direction + 90)
        start = (a + b) / 2 - along * text_width(measure.text, height) / 2
        start = start + aside * measure.offset
        return Writing(measure.text, hand.write(measure.text, start, height, angle=direction))
    corners = draw_dimension(
        hand, a, b, measure.text, direction=direction, offset=measure.offset, height=height
    )
    return Writing(measure.text, corners)


def _draw_slope(hand: Hand, figure: Figure, slope: Slope) -> list[Writing]:
    a, b = figure.at(slope.a), figure.at(slope.b)
    share, aside = slope.at
    along = (b - a) / np.hypot(*(b - a))
    at = a + share * (b - a) + aside * np.array([along[1], -along[0]])
    run, rise = draw_slope(
        hand, at, slope.run, slope.rise, height=figure.letter_height * 0.75,
        size=2.2 * figure.letter_height,
    )  # fmt: skip
    return [Writing(str(abs(slope.run)), run), Writing(str(abs(slope.rise)), rise)]


def _draw_label(hand: Hand, figure: Figure, joint: str) -> Writing:
    """Write a joint's letter where there is most room between what meets there."""
    at = figure.at(joint)
    taken = [figure.at(b if a == joint else a) - at for a, b in figure.members if joint in (a, b)]
    taken += [
        -unit_vector(s.angle + lean)
        for s in figure.stands
        if s.joint == joint
        for lean in (-40, 0, 40)
    ]
    taken += [
        unit_vector(p.direction) * (-1 if p.head else 1) for p in figure.pulls if p.joint == joint
    ]
    taken += [
        unit_vector({"horizontal": 90.0, "vertical": 180.0}[m.kind] + (180 if m.offset < 0 else 0))
        for m in figure.measures
        if joint in (m.a, m.b) and m.kind != "length" and not m.plain
    ]
    busy = np.array([np.arctan2(-d[1], d[0]) for d in taken])
    choices = np.deg2rad(np.arange(0, 360, 15))
    room = np.abs((choices[:, None] - busy[None, :] + np.pi) % (2 * np.pi) - np.pi).min(1)
    best = float(choices[np.argmax(room + 0.12 * np.sin(choices))])
    height = figure.letter_height
    reach = 0.95 * height + (figure.mark_radius if figure.mark != "none" else 0.0)
    reach += figure.double / 2
    centre = at + np.array([np.cos(best), -np.sin(best)]) * reach
    start = centre + np.array([-0.5 * text_width(joint, height), 0.45 * height])
    return Writing(joint, hand.write(joint, start, height))


def _draw_note(hand: Hand, note: Note) -> Writing:
    corners = hand.write(note.text, note.at, note.height, angle=note.angle)
    if note.underline:
        drop = unit_vector(note.angle - 90) * 1.8
        hand.line(corners[0] + drop, corners[1] + drop)
    return Writing(note.text, corners)
