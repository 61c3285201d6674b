"""The clean figure of a problem: truss, supports, loads and dimension lines, no forces."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from model.job import Job, truss_of
from ui.labels import Label, Obstacle, Wish, beside, disc, place, stroke
from ui.marks import INK, PAPER, Circle, Mark, Path, Point, Sheet, Words, arrow
from ui.numbers import number
from ui.outside import OutsideForce, outside_forces
from ui.symbols import supports
from ui.views import View, true_scale

__all__ = ["blank_figure"]

FloatArray = NDArray[np.float64]
#: Spans in a chain of dimensions above which only the whole is written.
_MOST_SPANS = 10


def blank_figure(job: Job, width: float = 1000.0) -> Sheet:
    """Draw a placed job to scale with everything that is given and nothing that is asked."""
    truss = truss_of(job)
    view = true_scale(truss, width, margin=0.16)
    size = view.font_size
    marks: list[Mark] = [*supports(view)]
    ends: list[tuple[Point, Point]] = [
        ((a[0], a[1]), (b[0], b[1])) for a, b in view.segments.tolist()
    ]
    marks += [Path(line, INK, 0.13 * size) for line in ends]
    outside = [_spelled_out(one) for one in outside_forces(view, job.units.force, {})]
    for one in outside:
        marks += arrow(one.tail, one.tip, one.colour, 0.16 * size, 0.75 * size)
    marks += [Circle((x, y), 0.22 * size, INK, 0.1 * size, PAPER) for x, y in view.points.tolist()]
    labels = _names(view, ends, outside)
    marks += [Words(label.text, (label.x, label.y), size) for label in labels]
    # Dimension lines stand clear of everything written on their side.
    right, bottom = view.points.max(axis=0).tolist()
    below = max([bottom + 4.6 * size, *(label.y + 2.4 * size for label in labels)])
    beyond = max([right + 4.0 * size, *(label.x + label.width / 2 + 2 * size for label in labels)])
    marks += _chain(view, 0, below, job.units.length)
    marks += _chain(view, 1, beyond, job.units.length)
    size_of_sheet = max(width, beyond + size), max(view.height, below + 2.0 * size)
    return Sheet(*size_of_sheet, tuple(marks), title=job.title or "Truss")


def _spelled_out(load: OutsideForce) -> OutsideForce:
    """Say the direction of an inclined load by its components, so that it can be worked with."""
    x, y = load.vector
    if min(abs(x), abs(y)) < 1e-9 * max(abs(x), abs(y)):
        return load
    level, plumb = ("left", "right")[x > 0], ("down", "up")[y > 0]
    text = f"{load.text}: {number(abs(x))} {level}, {number(abs(y))} {plumb}"
    return replace(load, text=text)


def _names(view: View, ends: list[tuple[Point, Point]], outside: list[OutsideForce]) -> list[Label]:
    size = view.font_size
    wishes: list[Wish] = [
        beside(one.text, one.outer, size, away_deg=one.away_deg, reach=0.3 * size)
        for one in outside
    ]
    centre = view.points.mean(axis=0)
    for name, (x, y) in zip(view.truss.joints, view.points.tolist(), strict=True):
        away = math.degrees(math.atan2(centre[1] - y, x - centre[0]))
        wishes.append(beside(name, (x, y), size, away_deg=away, reach=0.45 * size))
    obstacles: list[Obstacle] = [stroke(a, b, 0.3 * size, 3.0) for a, b in ends]
    obstacles += [stroke(one.tail, one.tip, 0.6 * size, 6.0) for one in outside]
    obstacles += [disc((x, y), 0.4 * size) for x, y in view.points.tolist()]
    held = {support.joint for support in view.truss.supports}
    for name, (x, y) in zip(view.truss.joints, view.points.tolist(), strict=True):
        if name in held:  # the symbol and its ground
            obstacles.append(disc((x, y + 1.1 * size), 1.0 * size, 5.0))
    return place(wishes, obstacles=obstacles, frame=(0.0, 0.0, view.width, view.height))


def _chain(view: View, axis: int, at: float, unit: str) -> list[Mark]:
    """Dimension lines between the distinct coordinates of the joints, along one axis."""
    size = view.font_size
    world = _distinct(view.truss.points[:, axis])
    if len(world) < 2:
        return []
    if len(world) > _MOST_SPANS + 1:
        world = world[[0, -1]]
    anchor = view.truss.points[0]
    marks: list[Mark] = []
    ticks = []
    for value in world:
        point = anchor.copy()
        point[axis] = value
        ticks.append(view.place(float(point[0]), float(point[1]))[axis])
    for (start, end), (low, high) in zip(pairwise(ticks), pairwise(world.tolist()), strict=True):
        marks += _span(start, end, at, axis, f"{number(high - low)} {unit}", size)
    return marks


def _distinct(values: FloatArray) -> FloatArray:
    ordered = np.sort(values)
    apart = np.diff(ordered) > 1e-6 * max(float(np.ptp(values)), 1e-12)
    return np.asarray(ordered[np.concatenate([[True], apart])])


def _span(start: float, end: float, at: float, axis: int, text: str, size: float) -> list[Mark]:
    """One dimension line with its ticks and its length."""

    def to(along: float, across: float) -> Point:
        return (along, across) if axis == 0 else (across, along)

    pen, tick = 0.06 * size, 0.4 * size
    marks: list[Mark] = [Path((to(start, at), to(end, at)), INK, pen)]
    for value in (start, end):
        marks.append(Path((to(value, at - tick), to(value, at + tick)), INK, pen))
        slash = (to(value - 0.6 * tick, at + 0.6 * tick), to(value + 0.6 * tick, at - 0.6 * tick))
        marks.append(Path(slash, INK, 2 * pen))
    middle = to((start + end) / 2, at - 0.75 * size)
    turn = 0.0 if axis == 0 else 90.0
    marks.append(Words(text, middle, 0.85 * size, angle_deg=turn, bold=False))
    return marks
