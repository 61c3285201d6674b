"""Figures of the working: a joint set free, force polygons, the reciprocal diagram."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from model.truss import Truss
from solver.steps import Acting
from ui.labels import Obstacle, Wish, along, beside, disc, place, stroke
from ui.marks import (
    COMPRESSION,
    INK,
    LOAD,
    NO_FORCE,
    PAPER,
    REACTION,
    TENSION,
    Circle,
    Mark,
    Path,
    Point,
    Sheet,
    Words,
    arrow,
)
from ui.numbers import number
from ui.outside import outside_forces
from ui.reciprocal import Reciprocal
from ui.symbols import freedom, supports, written
from ui.views import true_scale

__all__ = ["colour_of", "force_polygon", "free_body", "reciprocal_figure", "spaces_figure"]

FloatArray = NDArray[np.float64]

_SIZE = 15.0
_SHEET = (500.0, 280.0)


def free_body(joint: str, forces: Sequence[Acting], unit: str, *, title: str = "") -> Sheet:
    """Draw a joint set free with every force on it.

    A member in tension is an arrow that leaves the joint, one in compression
    an arrow that points at it; a force still unknown is drawn as tension, dashed.
    """
    width, height = _SHEET
    centre = (width / 2, height / 2)
    busy = [_heading(a) for a in forces if a.kind == "member"]
    marks: list[Mark] = []
    wishes: list[tuple[Wish, str]] = []
    obstacles: list[Obstacle] = [disc(centre, _SIZE)]
    least = 1e-9 * max((abs(acting.force or 0.0) for acting in forces), default=0.0)
    for acting in forces:
        if acting.kind != "member" and acting.force is not None and abs(acting.force) <= least:
            continue
        toward = acting.force is not None and acting.force < 0
        side = _heading(acting)
        if acting.kind != "member":
            side, toward = _side_of(acting, busy)
            busy.append(side)
        colour = colour_of(acting)
        inner, outer = _ray(centre, side, 1.0), _ray(centre, side, 6.2)
        tail, tip = (outer, inner) if toward else (inner, outer)
        if acting.force is None:
            dash = (0.5 * _SIZE, 0.35 * _SIZE)
            shaft, head = arrow(tail, tip, INK, 0.12 * _SIZE, 0.8 * _SIZE)
            marks += [Path(shaft.points, INK, shaft.width, dash=dash), head]
        elif acting.kind == "member" and abs(acting.force) <= least:
            marks.append(Path((inner, outer), NO_FORCE, 0.12 * _SIZE, dash=(2.0, 4.5)))
        else:
            marks += arrow(tail, tip, colour, 0.14 * _SIZE, 0.85 * _SIZE)
        obstacles.append(stroke(inner, outer, 0.7 * _SIZE, 6.0))
        wishes.append(
            (beside(said(acting, unit), outer, _SIZE, away_deg=side, reach=0.4 * _SIZE), colour)
        )
    marks.append(Circle(centre, 0.42 * _SIZE, INK, 0.12 * _SIZE, PAPER))
    wishes.append((beside(joint, centre, 1.15 * _SIZE, away_deg=90.0, reach=0.9 * _SIZE), INK))
    frame = (0.0, 0.0, width, height)
    placed = place([wish for wish, _ in wishes], obstacles=obstacles, frame=frame)
    marks += written(placed, [(wish.size, edge) for wish, edge in wishes])
    return Sheet(width, height, tuple(marks), title=title or f"Joint {joint} set free")


def _heading(acting: Acting) -> float:
    return math.degrees(math.atan2(acting.direction[1], acting.direction[0]))


def _ray(centre: Point, angle_deg: float, fonts: float) -> Point:
    angle = math.radians(angle_deg)
    reach = fonts * _SIZE
    return centre[0] + reach * math.cos(angle), centre[1] - reach * math.sin(angle)


def _side_of(acting: Acting, busy: list[float]) -> tuple[float, bool]:
    """Where the arrow of an outside force stands, and whether it points at the joint."""
    heading = _heading(acting) + (180.0 if (acting.force or 0.0) < 0 else 0.0)
    into = freedom(heading + 180.0, busy) >= min(25.0, freedom(heading, busy))
    return (heading + 180.0, True) if into else (heading, False)


def colour_of(acting: Acting) -> str:
    """Colour of a force in a figure; plain ink while it is unknown."""
    if acting.force is None:
        return INK
    if acting.kind != "member":
        return LOAD if acting.kind == "load" else REACTION
    if acting.force == 0.0:
        return NO_FORCE
    return TENSION if acting.force > 0 else COMPRESSION


def said(acting: Acting, unit: str) -> str:
    """Give name and size of a force, as they stand beside its arrow."""
    if acting.force is None:
        return f"{acting.name} = ?"
    size = f"{number(abs(acting.force))} {unit}"
    if acting.kind == "load":
        return size
    if acting.kind == "reaction" or acting.force == 0.0:
        return f"{acting.name} {size}"
    return f"{acting.name} {size} ({'T' if acting.force > 0 else 'C'})"


def force_polygon(joint: str, forces: Sequence[Acting], unit: str) -> Sheet | None:
    """Draw the forces on a joint tip to tail, clockwise around it; they close.

    Returns None when no force acts on the joint.
    """
    acting = [a for a in forces if a.force is not None and abs(a.force) > 0.0]
    acting.sort(key=lambda a: -math.atan2(a.direction[1], a.direction[0]))
    if not acting:
        return None
    corners = np.zeros((len(acting) + 1, 2))
    for position, one in enumerate(acting):
        corners[position + 1] = corners[position] + (one.x, one.y)
    lines = [
        (corners[k], corners[k + 1], colour_of(one), f"{one.name} {number(abs(one.force or 0))}")
        for k, one in enumerate(acting)
    ]
    return _drawing(lines, _SHEET, f"Force polygon of joint {joint}", unit, arrows=True)


#: Two ends in units of force, a colour, and what is written along it.
_Line = tuple[FloatArray, FloatArray, str, str]


def _drawing(
    lines: Sequence[_Line],
    size: tuple[float, float],
    title: str,
    unit: str,
    *,
    arrows: bool,
    names: Sequence[tuple[Point, str]] = (),
) -> Sheet:
    """Lines given in units of force, fitted to a sheet, with a scale below."""
    width, height = size
    ends = np.array([point for a, b, _, _ in lines for point in (a, b)])
    low, high = ends.min(axis=0), ends.max(axis=0)
    spans = np.maximum(high - low, 1e-12 * max(float(np.abs(ends).max()), 1.0))
    border = 3.2 * _SIZE
    scale = min((width - 2 * border) / spans[0], (height - 2 * border) / spans[1])
    middle = (low + high) / 2

    def to(point: Sequence[float] | FloatArray) -> Point:
        x = width / 2 + (float(point[0]) - middle[0]) * scale
        return float(x), float(height / 2 - (float(point[1]) - middle[1]) * scale)

    marks: list[Mark] = []
    wishes: list[tuple[Wish, str]] = []
    obstacles: list[Obstacle] = []
    for a, b, colour, text in lines:
        start, end = to(a), to(b)
        head = min(0.8 * _SIZE, 0.4 * math.dist(start, end))
        if arrows and head > 0:
            marks += arrow(start, end, colour, 0.13 * _SIZE, head)
        else:
            marks.append(Path((start, end), colour, 0.13 * _SIZE))
        obstacles.append(stroke(start, end, 0.3 * _SIZE, 3.0))
        if text:
            wishes.append((along(text, start, end, 0.9 * _SIZE), colour))
    for point, name in names:
        at = to(point)
        marks.append(Circle(at, 0.2 * _SIZE, INK, 0.1 * _SIZE, INK))
        wishes.append((beside(name, at, _SIZE, away_deg=_away(at, size), reach=0.4 * _SIZE), INK))
    frame = (0.0, 0.0, width, height - 2.2 * _SIZE)
    placed = place([wish for wish, _ in wishes], obstacles=obstacles, frame=frame)
    marks += written(placed, [(wish.size, edge) for wish, edge in wishes])
    return Sheet(width, height, (*marks, *_scale_bar(scale, size, unit)), title=title)


def _away(at: Point, size: tuple[float, float]) -> float:
    return math.degrees(math.atan2(size[1] / 2 - at[1], at[0] - size[0] / 2))


def _scale_bar(scale: float, size: tuple[float, float], unit: str) -> list[Mark]:
    """Draw a round number of force units to the drawing's scale."""
    long = 0.28 * size[0] / scale
    power = 10.0 ** math.floor(math.log10(long))
    value = max(step for step in (1.0, 2.0, 5.0) if step * power <= long) * power
    y, x = size[1] - 1.1 * _SIZE, 1.2 * _SIZE
    end = x + value * scale
    tick = 0.3 * _SIZE
    return [
        Path(((x, y), (end, y)), INK, 0.1 * _SIZE),
        Path(((x, y - tick), (x, y + tick)), INK, 0.1 * _SIZE),
        Path(((end, y - tick), (end, y + tick)), INK, 0.1 * _SIZE),
        Words(f"{number(value)} {unit}", (end + 0.6 * _SIZE, y), 0.85 * _SIZE, start=True),
    ]


def reciprocal_figure(
    diagram: Reciprocal, unit: str, size: tuple[float, float] = (540.0, 460.0)
) -> Sheet:
    """Draw the reciprocal diagram; spaces at one point share it, their member has no force."""
    points = np.array([space.point for space in diagram.spaces])
    extent = float(np.ptp(points, axis=0).max()) or 1.0
    lines: list[_Line] = []
    for line in diagram.lines:
        a, b = (points[number_] for number_ in line.spaces)
        if np.hypot(*(b - a)) > 1e-9 * extent:
            colour = {"load": LOAD, "reaction": REACTION}.get(
                line.kind, TENSION if line.force > 0 else COMPRESSION
            )
            lines.append((a, b, colour, ""))
    together: dict[tuple[float, float], list[str]] = {}
    for space in diagram.spaces:
        key = (round(space.point[0] / extent, 9), round(space.point[1] / extent, 9))
        together.setdefault(key, []).append(space.name)
    names = [((x * extent, y * extent), ", ".join(sorted(n))) for (x, y), n in together.items()]
    return _drawing(lines, size, "Reciprocal diagram", unit, arrows=False, names=names)


def spaces_figure(
    truss: Truss,
    diagram: Reciprocal,
    unit: str,
    reactions: Mapping[str, tuple[float, float]],
    width: float = 540.0,
) -> Sheet:
    """Draw the truss and the forces on it, with the names of the spaces that they part."""
    view = true_scale(truss, width, margin=0.19)
    size = 0.8 * _SIZE
    marks: list[Mark] = [*supports(view)]
    ends: list[tuple[Point, Point]] = [
        ((a[0], a[1]), (b[0], b[1])) for a, b in view.segments.tolist()
    ]
    marks += [Path(line, INK, 0.12 * size) for line in ends]
    outside = outside_forces(view, unit, reactions)
    for one in outside:
        marks += arrow(one.tail, one.tip, one.colour, 0.16 * size, 0.75 * size)
    marks += [Circle((x, y), 0.22 * size, INK, 0.1 * size, PAPER) for x, y in view.points.tolist()]
    obstacles = [stroke(line[0], line[1], 0.3 * size) for line in ends]
    obstacles += [stroke(one.tail, one.tip, 0.6 * size, 6.0) for one in outside]
    wishes = [
        beside(one.text, one.outer, 0.8 * size, away_deg=one.away_deg, reach=0.3 * size)
        for one in outside
    ]
    spaces = [view.place(*space.place) for space in diagram.spaces]
    obstacles += [disc(at, 0.9 * size) for at in spaces]
    placed = place(wishes, obstacles=obstacles, frame=(0.0, 0.0, width, view.height))
    marks += [Words(label.text, (label.x, label.y), 0.8 * size) for label in placed]
    for space, at in zip(diagram.spaces, spaces, strict=True):
        marks.append(Circle(at, 0.85 * size, REACTION, 0.06 * size, PAPER))
        marks.append(Words(space.name, at, 1.1 * size, colour=REACTION))
    return Sheet(width, view.height, tuple(marks), title="Spaces around and inside the truss")
