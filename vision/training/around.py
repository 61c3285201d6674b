"""What fills the sheet around a truss, and pages that hold none."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from vision.training import words
from vision.training.distractors import Box, draw_figure
from vision.training.frame import Frame
from vision.training.hand import Points, Sheet
from vision.training.notes import Notes
from vision.training.symbols import draw_arrow
from vision.training.truth import Truth

__all__ = ["annotate", "fill_page", "scatter", "surround"]

Rng = np.random.Generator


def annotate(rng: Rng, notes: Notes, frame: Frame, difficulty: str) -> None:
    """Dimension a truss, mark its angles and slopes, cut it, write its forces."""
    at, u = frame.joints, notes.sheet.unit
    low, high = at.min(axis=0), at.max(axis=0)
    busy = {"easy": 0.55, "medium": 0.85, "hard": 1.0}[difficulty]
    if rng.random() < 0.65 * busy:
        xs = np.unique(np.round(np.sort(at[:, 0])[:: int(rng.integers(1, 4))], 0))
        xs = xs[np.concatenate([[True], np.diff(xs) > 45 * u])]
        side = 1.0 if rng.random() < 0.75 else -1.0
        base = (high[1] if side > 0 else low[1]) + side * rng.uniform(0, 20) * u
        off = rng.uniform(35, 95) * u
        if rng.random() < 0.5:
            xs = np.array([low[0], high[0]])
        outer = _outermost(at, 0, side)
        joined = rng.random() < 0.4
        for p, q in itertools.pairwise(xs):
            notes.dimension(
                np.array([p, base]), np.array([q, base]), np.array([0.0, side]), off,
                (outer(p), outer(q)) if joined else None,
            )  # fmt: skip
    if rng.random() < 0.45 * busy:
        side = rng.choice([-1.0, 1.0])
        x = (high[0] if side > 0 else low[0]) + side * rng.uniform(0, 15) * u
        notes.dimension(
            np.array([x, low[1]]),
            np.array([x, high[1]]),
            np.array([side, 0.0]),
            rng.uniform(25, 80) * u,
            (_outermost(at, 1, side)(low[1]), _outermost(at, 1, side)(high[1]))
            if rng.random() < 0.5
            else None,
        )
    if rng.random() < 0.12 * busy:
        _cross(rng, notes, at[int(rng.integers(len(at)))])
    if rng.random() < 0.2 * busy:
        a, b = (at[j] for j in frame.members[int(rng.integers(len(frame.members)))])
        way = (b - a) / np.hypot(*(b - a))
        notes.dimension(
            a, b, np.array([-way[1], way[0]]) * rng.choice([-1, 1]), rng.uniform(20, 45) * u
        )
    for _ in range(int(rng.choice([0, 0, 1, 2, 3])) if rng.random() < busy else 0):
        joint = int(rng.integers(len(at)))
        ends = [at[b if a == joint else a] - at[joint] for a, b in frame.members if joint in (a, b)]
        if len(ends) > 1:
            one, two = (ends[int(k)] for k in rng.choice(len(ends), 2, replace=False))
            reach = min(np.hypot(*one), np.hypot(*two))
            notes.angle(
                at[joint],
                one / np.hypot(*one),
                two / np.hypot(*two),
                reach * rng.uniform(0.15, 0.4),
            )
    if rng.random() < 0.16 * busy:
        a, b = (at[j] for j in frame.members[int(rng.integers(len(frame.members)))])
        notes.slope(a, b, float(np.clip(0.25 * np.hypot(*(b - a)), 18 * u, 60 * u)))
    if rng.random() < 0.12 * busy:
        x = rng.uniform(low[0], high[0])
        lean = rng.normal(0, 25) * u
        spare = rng.uniform(15, 60) * u
        notes.cut(np.array([x + lean, low[1] - spare]), np.array([x - lean, high[1] + spare]))
    if rng.random() < 0.22 * busy:
        share = rng.uniform(0.1, 1.0)
        for a, b in frame.members:
            if rng.random() < share and np.hypot(*(at[b] - at[a])) > 3 * notes.height:
                notes.result(at[a], at[b])


def _outermost(at: Points, axis: int, side: float) -> Callable[[float], Points]:
    """What joint an extension line to a coordinate along `axis` would begin at."""

    def joint(value: float) -> Points:
        off = np.abs(at[:, axis] - value)
        near = np.nonzero(off < off.min() + 3)[0]
        found: Points = at[near[np.argmax(side * at[near, 1 - axis])]].copy()
        found[axis] = value
        return found

    return joint


def _cross(rng: Rng, notes: Notes, joint: Points) -> None:
    """A cross of coordinate axes near a joint; its arrows are no loads."""
    u = notes.sheet.unit
    corner = joint + rng.normal(0, 1, 2) * 45 * u
    length = rng.uniform(22, 70) * u
    for way, name in ((np.array([1.0, 0.0]), "x"), (np.array([0.0, -1.0]), "y")):
        end = corner + way * length
        draw_arrow(rng, notes.hand, notes.sheet, corner, end, rng.uniform(6, 11) * u, "vee")
        notes.truth["dimension_lines"].append([corner.tolist(), end.tolist()])
        notes.text(name, end + way * notes.height, 0, 0.8)


def surround(rng: Rng, notes: Notes, at: Points, size: int) -> None:
    """Fill room around the truss with writing and small figures."""
    x0, y0 = at.min(axis=0) - 70 * notes.sheet.unit
    x1, y1 = at.max(axis=0) + 90 * notes.sheet.unit
    edge, far = 0.04 * size, 0.96 * size
    rooms = [
        (edge, edge, far, y0),
        (edge, y1, far, far),
        (edge, edge, x0, far),
        (x1, edge, far, far),
    ]
    for room in rooms:
        wide, tall = room[2] - room[0], room[3] - room[1]
        if min(wide, tall) < 2.2 * notes.height or rng.random() < 0.4:
            continue
        if min(wide, tall) > 0.16 * size and rng.random() < 0.6:
            draw_figure(notes, _part(rng, room), small=True)
        else:
            text = words.prose(rng)[: max(1, int(wide / (0.8 * notes.height)))]
            x = rng.uniform(room[0], room[0] + 0.3 * wide)
            notes.text(text, np.array([x, rng.uniform(room[1], room[3])]), anchor=0.0)


def _part(rng: Rng, room: Box) -> Box:
    wide, tall = room[2] - room[0], room[3] - room[1]
    w, h = min(wide, rng.uniform(0.5, 1) * max(tall, wide)), tall * rng.uniform(0.6, 1)
    x, y = room[0] + rng.uniform(0, 1) * (wide - w), room[1] + rng.uniform(0, 1) * (tall - h)
    return x + 0.1 * w, y + 0.1 * h, x + 0.9 * w, y + 0.9 * h


def fill_page(notes: Notes, bold: Notes) -> None:
    """Fill a page with figures and writing and no truss."""
    rng, size = notes.rng, notes.sheet.size
    columns, rows = (int(v) for v in rng.choice([1, 1, 2], 2))
    for k in range(columns * rows):
        if rng.random() < 0.12:
            continue
        w, h = 0.9 * size / columns, 0.9 * size / rows
        x, y = 0.05 * size + (k % columns) * w, 0.05 * size + (k // columns) * h
        box = (x + 0.1 * w, y + 0.12 * h, x + 0.88 * w, y + 0.88 * h)
        draw_figure(bold if rng.random() < 0.6 else notes, box, small=False)
    for _ in range(int(rng.choice([0, 1, 3]))):
        at = rng.uniform(0.1, 0.8, 2) * size
        notes.text(words.prose(rng), at, anchor=0.0)


def scatter(
    rng: Rng, sheet: Sheet, scraps: tuple[NDArray[np.uint8], ...], at: Points, truth: Truth
) -> None:
    """Lay scraps of real writing about the truss, seldom across it."""
    low, high = at.min(axis=0), at.max(axis=0)
    for _ in range(int(rng.integers(1, 9))):
        mask = scraps[int(rng.integers(len(scraps)))]
        scale = rng.uniform(0.5, 1.0) * sheet.unit
        place = rng.uniform(0.05, 0.95, 2) * sheet.size
        across = bool((place > low - 20).all() and (place < high + 20).all())
        if across and (rng.random() < 0.7 or max(mask.shape) * scale > 60 * sheet.unit):
            continue
        c, s = scale * np.cos(turn := rng.normal(0, 0.05)), scale * np.sin(turn)
        where = np.array([[c, -s, place[0]], [s, c, place[1]]])
        box = sheet.stamp(mask, where, rng.uniform(100, 255))
        if mask.shape[0] < 50:
            truth["texts"].append({"text": "", "box": box.tolist()})
