"""One drawing: a truss with all that belongs to it, or a page without one, and its truth."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from vision.training import words
from vision.training.around import annotate, fill_page, scatter, surround
from vision.training.families import draw_frame
from vision.training.frame import Frame, crossings
from vision.training.hand import Hand, Points, Sheet
from vision.training.lettering import Font, hershey_fonts
from vision.training.notes import Notes
from vision.training.symbols import (
    PIN_FORMS,
    ROLLER_FORMS,
    draw_arrow,
    draw_support,
    draw_wall,
)  # fmt: skip
from vision.training.truth import Truth, blank_truth, direction_deg

__all__ = ["DIFFICULTIES", "Hands", "draw_scene"]

Rng = np.random.Generator

#: Most members and sloppiness of the drawings of each difficulty.
DIFFICULTIES = {"easy": (16, 0.35), "medium": (32, 0.7), "hard": (84, 1.0)}


@dataclass(frozen=True)
class Hands:
    """Where strokes and letters come from: fonts, real strokes' wobbles, scraps of real writing."""

    fonts: tuple[Font, ...] = field(default_factory=hershey_fonts)
    wobbles: Points = field(default_factory=lambda: np.zeros((0, 24)))
    scraps: tuple[NDArray[np.uint8], ...] = ()


@dataclass(frozen=True)
class _Style:
    joint: str
    radius: float
    double: float
    head: str
    arrow: float
    pin: str
    roller: str
    symbol: float
    letters: int


def draw_scene(
    rng: Rng, difficulty: str, size: int, hands: Hands | None = None, truss: bool = True
) -> tuple[Sheet, Truth]:
    """Draw one sheet of ink and tell what is on it.

    Parameters
    ----------
    difficulty : str
        ``"easy"``, ``"medium"`` or ``"hard"``.
    size : int
        Side of the sheet in pixels.
    truss : bool
        False for a page without a truss.
    """
    hands = hands or Hands()
    most, sloppy = DIFFICULTIES[difficulty]
    sheet = Sheet(size)
    hand = Hand.draw(rng, sloppy * rng.uniform(0.2, 1.0), hands.wobbles)
    font = hands.fonts[int(rng.integers(len(hands.fonts)))]
    height = rng.uniform(11, 24) * sheet.unit
    truth = blank_truth(size, size)
    pen = _second_pen(rng, hand)
    notes = Notes(rng, sheet, pen, font, height, truth)
    if not truss:
        fill_page(notes, replace(notes, hand=hand))
        return sheet, truth
    while True:
        family, frame = draw_frame(
            rng, int(rng.integers(3, most + 1)) if rng.random() < 0.5 else most
        )
        placed = _place(rng, frame, size)
        if _shortest(placed) > (9 if difficulty == "hard" else 16) * sheet.unit:
            break
    truth["family"] = family
    truth["crossings"] = [list(at) for at in crossings(placed.joints, placed.members)]
    _draw_truss(rng, sheet, hand, notes, placed, truth, difficulty)
    if hands.scraps and rng.random() < 0.3:
        scatter(rng, sheet, hands.scraps, placed.joints, truth)
    return sheet, truth


def _second_pen(rng: Rng, hand: Hand) -> Hand:
    """The pen for notes: the same, or another in width and colour."""
    if rng.random() < 0.5:
        return replace(hand, width=min(hand.width, 5.0) * rng.uniform(0.6, 1.0))
    width = rng.uniform(0.8, 3.0)
    return replace(hand, width=min(width, hand.width * 1.5), dark=rng.uniform(80, 255))


def _place(rng: Rng, frame: Frame, size: int) -> Frame:
    """Stretch, turn and put a truss on the sheet; joints in pixels, y down, angles kept."""
    at = frame.joints * np.array([1.0, rng.uniform(0.7, 1.7)])
    span = np.ptp(at, axis=0)
    at = at + rng.normal(0, 0.006, at.shape) * span.max()
    tilt = rng.normal(0, 2.0) if rng.random() < 0.85 else rng.uniform(-40, 40)
    turned = Frame(at, frame.members, frame.supports, frame.loadable).turned(tilt)
    if rng.random() < 0.3:
        turned = turned.mirrored()
    low, span = turned.joints.min(axis=0), np.ptp(turned.joints, axis=0)
    fill = rng.uniform(0.4, 0.78)
    scale = fill * size / max(span[0], span[1])
    room = size - span * scale
    offset = room * np.clip(rng.normal(0.5, 0.15, 2), 0.2, 0.8)
    pixels = (turned.joints - low) * scale
    pixels[:, 1] = span[1] * scale - pixels[:, 1]
    return replace(turned, joints=pixels + offset)


def _shortest(frame: Frame) -> float:
    at = frame.joints
    gaps = np.hypot(*(at[:, None] - at[None]).transpose(2, 0, 1)) + np.eye(len(at)) * 1e9
    return float(gaps.min())


def _draw_truss(
    rng: Rng, sheet: Sheet, hand: Hand, notes: Notes, frame: Frame, truth: Truth, difficulty: str
) -> None:
    u, at = sheet.unit, frame.joints
    bar = float(np.median([np.hypot(*(at[a] - at[b])) for a, b in frame.members]))
    gap = _shortest(frame)
    style = _Style(
        joint=str(
            rng.choice(["none", "dot", "open", "square", "mixed"], p=[0.34, 0.24, 0.28, 0.04, 0.1])
        ),
        radius=float(np.clip(rng.uniform(2.5, 8.0) * u + hand.width * u * 0.4, 2, 0.22 * gap + u)),
        double=rng.uniform(4, 9) * u + hand.width * u
        if rng.random() < 0.1 and gap > 40 * u
        else 0.0,
        head=str(
            rng.choice(["vee", "filled", "open", "half", "hook"], p=[0.45, 0.25, 0.1, 0.08, 0.12])
        ),
        arrow=float(np.clip(np.exp(rng.normal(-0.1, 0.5)) * bar, 24 * u, 190 * u)),
        pin=str(rng.choice(PIN_FORMS, p=[0.26, 0.24, 0.07, 0.13, 0.08, 0.07, 0.15])),
        roller=str(rng.choice(ROLLER_FORMS)),
        symbol=float(np.clip(rng.uniform(0.2, 0.5) * bar, 15 * u, 55 * u) + hand.width * u * 2),
        letters=int(rng.choice([0, 0, 0, 0, 1, 2, 3])),
    )
    _members(rng, sheet, hand, frame, style, truth)
    named = rng.random() < 0.75
    clear = _Clearings(at, frame.members)
    for index, place in enumerate(at):
        _joint(rng, sheet, hand, place, style)
        label = words.letter(rng, index, style.letters) if named and rng.random() < 0.95 else None
        truth["joints"].append({"x": float(place[0]), "y": float(place[1]), "label": label})
        if label:
            way = clear.way(rng, index)
            reach = style.radius + notes.height * rng.uniform(0.7, 1.5)
            notes.text(label, place + way * reach)
    symbol_pen = hand if rng.random() < 0.6 else notes.hand
    arrow_pen = hand if rng.random() < 0.5 else notes.hand
    arrows = _supports(rng, sheet, symbol_pen, frame, style, truth)
    for joint in arrows:
        _reactions(rng, replace(notes, hand=arrow_pen), frame, joint, style, clear, truth)
    _loads(rng, replace(notes, hand=arrow_pen), frame, style, clear, truth)
    annotate(rng, notes, frame, difficulty)
    if rng.random() < 0.55:
        surround(rng, notes, at, sheet.size)


def _members(rng: Rng, sheet: Sheet, hand: Hand, frame: Frame, style: _Style, truth: Truth) -> None:
    at, u = frame.joints, sheet.unit
    stop = style.radius if style.joint == "open" and rng.random() < 0.6 else 0.0
    whole = rng.random() < 0.4
    for a, b in frame.members:
        way = (at[b] - at[a]) / (np.hypot(*(at[b] - at[a])) + 1e-9)
        p, q = at[a] + way * stop, at[b] - way * stop
        ends = 0.25 if stop else (0.6 if whole else 1.0)
        if style.double:
            aside = np.array([-way[1], way[0]]) * style.double / 2
            path = hand.line(rng, sheet, p + aside, q + aside, ends * 0.5)
            hand.line(rng, sheet, p - aside, q - aside, ends * 0.5)
            path = path - aside
        else:
            path = hand.line(rng, sheet, p, q, ends)
        path = np.vstack([at[a], path[[2, 4, 6, 8, 10]], at[b]])
        truth["members"].append({"a": a, "b": b, "line": path.tolist()})
    if rng.random() < 0.02:
        a, b = rng.choice(len(at), 2, replace=False)
        taken = {tuple(sorted(pair)) for pair in frame.members}
        if (min(a, b), max(a, b)) not in taken:
            _strike(rng, sheet, hand, at[a], at[b], u)


def _strike(rng: Rng, sheet: Sheet, hand: Hand, a: Points, b: Points, u: float) -> None:
    """A line that was drawn by mistake and struck out all along."""
    hand.line(rng, sheet, a, b)
    way = (b - a) / (np.hypot(*(b - a)) + 1e-9)
    aside = np.array([-way[1], way[0]])
    count = max(4, int(np.hypot(*(b - a)) / (12 * u)))
    t = np.linspace(0.05, 0.95, count)
    zig = np.where(np.arange(count) % 2, 7, -7) * u
    hand.chain(rng, sheet, a + t[:, None] * (b - a) + zig[:, None] * aside)


def _joint(rng: Rng, sheet: Sheet, hand: Hand, place: Points, style: _Style) -> None:
    kind = style.joint
    if kind == "mixed":
        kind = str(rng.choice(["none", "dot", "open"]))
    radius = style.radius * rng.uniform(0.8, 1.2)
    if kind == "dot":
        hand.circle(rng, sheet, place, radius * 0.8, True)
    elif kind == "open":
        t = np.linspace(0, 2 * np.pi, 16)
        if rng.random() < 0.7:
            sheet.fill(place + radius * 0.9 * np.column_stack([np.cos(t), np.sin(t)]), 0)
        hand.circle(rng, sheet, place, radius)
    elif kind == "square":
        ring = place + radius * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1], [-1, -1]])
        hand.chain(rng, sheet, ring)


class _Clearings:
    """Directions at a joint in which nothing has been drawn yet."""

    def __init__(self, at: Points, members: tuple[tuple[int, int], ...]) -> None:
        self._taken: list[list[float]] = [[] for _ in at]
        for a, b in members:
            self.take(a, at[b] - at[a])
            self.take(b, at[a] - at[b])

    def take(self, joint: int, way: Points) -> None:
        self._taken[joint].append(float(np.arctan2(way[1], way[0])))

    def gap(self, joint: int, way: Points) -> float:
        """Smallest angle in radians between a direction and what is drawn."""
        angle = float(np.arctan2(way[1], way[0]))
        gaps = [abs((t - angle + np.pi) % (2 * np.pi) - np.pi) for t in self._taken[joint]]
        return min(gaps, default=np.pi)

    def way(self, rng: Rng, joint: int) -> Points:
        """Choose a direction with room."""
        options = rng.uniform(0, 2 * np.pi, 10)
        ways = np.column_stack([np.cos(options), np.sin(options)])
        chosen: Points = max(ways, key=lambda w: self.gap(joint, w) + rng.uniform(0, 0.5))
        return chosen


def _toward(degrees: float) -> Points:
    return np.array([np.cos(np.radians(degrees)), -np.sin(np.radians(degrees))])


def _supports(
    rng: Rng, sheet: Sheet, hand: Hand, frame: Frame, style: _Style, truth: Truth
) -> list[int]:
    """Draw the supports; return the joints that get reaction arrows."""
    way = rng.random()
    if way < 0.04:
        return []
    held = [(j, _toward(angle)) for j, _, angle in frame.supports]
    if way < 0.14:
        return [j for j, _ in held]
    level = 0.0
    if len(held) > 1:
        between = frame.joints[held[0][0]] - frame.joints[held[-1][0]]
        level = abs(float(between @ held[0][1]))
    shared = len(held) > 1 and np.allclose(held[0][1], held[-1][1]) and level < 0.3 * style.symbol
    wall = bool(shared and rng.random() < (0.6 if abs(held[0][1][0]) > 0.7 else 0.15))
    fixed = wall and rng.random() < 0.5 and all(kind == "pin" for _, kind, _ in frame.supports)
    size = style.symbol
    start = style.radius if style.joint in ("open", "square") else 0.0
    for (joint, push), (_, kind, angle) in zip(held, frame.supports, strict=True):
        form = style.pin if kind == "pin" else style.roller
        if rng.random() < 0.12:
            form = str(rng.choice(PIN_FORMS if kind == "pin" else ROLLER_FORMS))
        if wall and form == "plate":
            form = "triangle"
        if not fixed:
            draw_support(
                rng, hand, sheet, frame.joints[joint] - push * start, push,
                size * rng.uniform(*((0.97, 1.03) if wall else (0.85, 1.15))), form, wall=not wall,
            )  # fmt: skip
        elif rng.random() < 0.3:
            hand.circle(rng, sheet, frame.joints[joint], size * rng.uniform(0.1, 0.2))
        truth["supports"].append({"joint": joint, "kind": kind, "angle_deg": angle % 360})
    if wall:
        places = np.array([frame.joints[j] for j, _ in held])
        off = rng.uniform(0, 0.15) * size if fixed else size
        draw_wall(rng, hand, sheet, places, held[0][1], off + start, size * rng.uniform(0.6, 1.5))
    return [j for j, _ in held] if rng.random() < 0.1 else []


def _reactions(
    rng: Rng, notes: Notes, frame: Frame, joint: int, style: _Style, clear: _Clearings, truth: Truth
) -> None:
    kind, angle = next((k, a) for j, k, a in frame.supports if j == joint)
    ways = [_toward(angle)]
    if kind == "pin" and rng.random() < 0.75:
        ways.append(_toward(angle + rng.choice([90, -90])))
    label = truth["joints"][joint]["label"] or "R"
    for way in ways:
        if clear.gap(joint, -way) < 0.2:
            way = -way
        _arrow(
            rng,
            notes,
            frame,
            joint,
            way,
            style,
            0.75,
            words.reaction(rng, label),
            truth["reactions"],
        )
        clear.take(joint, -way)


def _arrow(
    rng: Rng, notes: Notes, frame: Frame, joint: int, way: Points, style: _Style, scale: float,
    label: str | None, entries: list[dict[str, object]],
    value: float | None = None, unit: str | None = None, outward: bool = False,
) -> None:  # fmt: skip
    """Draw a force at a joint; `outward` puts its tail there instead of its head."""
    u, place = notes.sheet.unit, frame.joints[joint]
    length = style.arrow * scale * rng.uniform(0.8, 1.2)
    room = style.radius * rng.uniform(0.3, 1.2) + rng.uniform(0, 7) * u
    room = rng.choice([room, 0.0, room + rng.uniform(4, 16) * u], p=[0.76, 0.12, 0.12])
    if outward:
        tail, head = place + way * room * rng.uniform(0, 1), place + way * (room + length)
    else:
        tail, head = place - way * (room + length), place - way * room
    size = float(np.clip(rng.uniform(0.12, 0.32) * length, 6 * u, 26 * u))
    draw_arrow(rng, notes.hand, notes.sheet, tail, head, size + notes.hand.width * u, style.head)
    entries.append(
        {"joint": joint, "direction_deg": direction_deg(way), "value": value, "unit": unit,
         "tail": tail.tolist(), "head": head.tolist()}
    )  # fmt: skip
    if label:
        far = head if outward else tail
        out = way if outward else -way
        aside = np.array([-way[1], way[0]]) * rng.choice([-1, 1])
        wide = 0.4 * notes.height * len(label)
        if rng.random() < 0.6:
            at = far + out * (notes.height * 0.9 + abs(out[0]) * wide)
        else:
            at = far - out * length * 0.3 + aside * (notes.height * 0.9 + abs(aside[0]) * wide)
        notes.text(label, at)


def _loads(
    rng: Rng, notes: Notes, frame: Frame, style: _Style, clear: _Clearings, truth: Truth
) -> None:
    if rng.random() < 0.08:
        return
    options = [j for j in frame.loadable if j < len(frame.joints)]
    count = min(len(options), int(rng.choice([1, 1, 2, 2, 3, 4, 6])))
    habit = rng.random() < 0.6
    for joint in rng.choice(options, count, replace=False).tolist():
        directions = [270.0 + rng.normal(0, 1.5)]
        pick = rng.random()
        if pick > 0.87:
            directions.append(float(rng.choice([0.0, 180.0, 180.0 + rng.uniform(0, 180)])))
        elif pick > 0.72:
            directions = [float(rng.choice([0.0, 180.0, 90.0]))]
        elif pick > 0.6:
            directions = [float(rng.uniform(0, 360))]
        for degrees in directions:
            way = _toward(degrees)
            inward, outward = clear.gap(joint, -way), clear.gap(joint, way)
            if max(inward, outward) < 0.22:
                continue
            tail_here = outward > 0.35 and (inward < 0.22 or (not habit and rng.random() < 0.6))
            label, value, unit = words.force(rng) if rng.random() < 0.85 else ("", None, None)
            _arrow(
                rng,
                notes,
                frame,
                joint,
                way,
                style,
                1.0,
                label,
                truth["loads"],
                value,
                unit,
                tail_here,
            )
            clear.take(joint, way if tail_here else -way)
