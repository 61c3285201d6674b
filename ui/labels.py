"""Where labels go: no two overlap, joints and lines stay readable, leaders where room is short.

Picture coordinates throughout: pixels, x right, y down. Angles are degrees,
counter-clockwise as seen. Labels, joints and lines are all oriented boxes, and
one test of two boxes (separating axes) decides everything.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ui.boxes import COLUMNS, Occupied, around, boxes_of, counts, near, pairs

__all__ = [
    "Ink",
    "Label",
    "Obstacle",
    "Wish",
    "along",
    "beside",
    "disc",
    "place",
    "stroke",
    "text_width",
]

Point = tuple[float, float]
FloatArray = NDArray[np.float64]

#: Height of a label's box, in font sizes.
LINE = 1.3
#: Space between a label and what it belongs to, in font sizes.
GAP = 0.25
#: Cost of covering another label; nothing else adds up to it.
_COVERED = 1e4
#: Cost of pushing a label away while places are still being traded.
_PUSHED = 10.0
#: Rings looked at for a label with a leader, and how many free spots are weighed.
_RINGS = 60
_FREE_TRIED = 40
#: Advance widths of the bold face (Bitstream Vera and its metric twins), in 1/1000 em.
_WIDTHS = dict(
    zip(
        map(chr, range(32, 127)),
        [348, 456, 521, 838, 696, 1002, 872, 306, 457, 457, 523, 838, 380, 415, 380, 365]
        + [696] * 10
        + [400, 400, 838, 838, 838, 580, 1000, 774, 762, 734, 830, 683, 683, 821, 837, 372, 372]
        + [775, 637, 995, 837, 850, 733, 850, 770, 720, 682, 812, 774, 1103, 771, 724, 725, 457]
        + [365, 457, 838, 500, 500, 675, 716, 593, 716, 678, 435, 716, 712, 343, 343, 665, 343]
        + [1042, 712, 687, 716, 716, 493, 595, 478, 712, 652, 924, 645, 652, 582, 712, 365, 712]
        + [838],
        strict=True,
    )
)  # fmt: skip


@dataclass(frozen=True)
class Label:
    """A placed text.

    Attributes
    ----------
    text : str
    x, y : float
        Centre of its box.
    angle_deg : float
        Direction of the writing, within (-80, 100] so that it reads upright.
    width, height : float
        Size of its box, along and across the writing.
    leader : tuple of two points or None
        Line from the label to what it belongs to, where it could not be beside it.
    """

    text: str
    x: float
    y: float
    angle_deg: float
    width: float
    height: float
    leader: tuple[Point, Point] | None = None


@dataclass(frozen=True)
class Obstacle:
    """A box to keep clear of: its centre, half sizes, turn, and the cost of covering it."""

    x: float
    y: float
    half_width: float
    half_height: float
    angle_deg: float = 0.0
    cost: float = 1.0


@dataclass(frozen=True, eq=False)
class Ink:
    """Where a picture is written on: a map with one cell every `step` pixels, True for ink."""

    map: NDArray[np.bool_]
    step: float


@dataclass(frozen=True)
class Wish:
    """A text that wants a place, with the places it would take.

    Attributes
    ----------
    text : str
    target : tuple of float
        The point it belongs to; a leader ends there.
    places : tuple of (x, y, angle_deg, cost)
    width, size : float
        Width of its box and font size.
    rank : int
        Importance, 0 the highest: a label may push away those of its rank and below.
    """

    text: str
    target: Point
    places: tuple[tuple[float, float, float, float], ...]
    width: float
    size: float
    rank: int = 0


def text_width(text: str, size: float) -> float:
    """Width of a text in the bold face at a font size."""
    return sum(_WIDTHS.get(letter, 700) for letter in text) * size / 1000


def stroke(a: Point, b: Point, width: float, cost: float = 1.0) -> Obstacle:
    """Give the obstacle that a line from `a` to `b` is."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    return Obstacle(
        (a[0] + b[0]) / 2,
        (a[1] + b[1]) / 2,
        math.hypot(dx, dy) / 2,
        width / 2,
        math.degrees(math.atan2(-dy, dx)),
        cost,
    )


def disc(centre: Point, radius: float, cost: float = 8.0) -> Obstacle:
    """Give the obstacle that a joint is."""
    return Obstacle(*centre, radius, radius, 0.0, cost)


def along(text: str, a: Point, b: Point, size: float, *, rank: int = 0) -> Wish:
    """Wish for a place at a line, along it: either side, from the middle outwards."""
    width = text_width(text, size) + 0.5 * size
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = math.hypot(dx, dy) or 1.0
    angle = upright(math.degrees(math.atan2(-dy, dx)))
    nx, ny = -math.sin(math.radians(angle)), -math.cos(math.radians(angle))
    offset = (LINE / 2 + GAP) * size
    places = []
    for part, far in ((0.5, 0.0), (0.42, 0.3), (0.58, 0.3), (0.34, 0.6), (0.66, 0.6), (0.26, 1.0)):
        x, y = a[0] + part * dx, a[1] + part * dy
        # A text longer than its member runs over the joints: better than elsewhere, if free.
        long = 2.0 * max(0.0, width / length - 0.8)
        for side, cost in ((1, 0.0), (-1, 0.15)):  # above the writing first
            places.append(
                (x + side * offset * nx, y + side * offset * ny, angle, far + cost + long)
            )
    return Wish(text, ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), tuple(places), width, size, rank)


def beside(
    text: str,
    point: Point,
    size: float,
    *,
    away_deg: float = 90.0,
    reach: float,
    rank: int = 0,
) -> Wish:
    """Wish for a place next to a point, written level, best in the direction `away_deg`.

    `reach` is the radius around the point that stays free.
    """
    width = text_width(text, size) + 0.5 * size
    half_width, half_height = width / 2, LINE * size / 2
    places = []
    for more in (0.0, 0.7, 1.6):
        for turn in (0, 20, -20, 45, -45, 70, -70, 100, -100, 135, -135, 180):
            angle = math.radians(away_deg + turn)
            cosine, sine = math.cos(angle), math.sin(angle)
            # Distance at which the box just clears the circle in this direction.
            support = half_width * abs(cosine) + half_height * abs(sine)
            away = reach + more * size + support
            cost = 1.5 * (abs(turn) / 180) ** 2 + 0.8 * more
            places.append((point[0] + away * cosine, point[1] - away * sine, 0.0, cost))
    return Wish(text, point, tuple(places), width, size, rank)


def upright(angle_deg: float) -> float:
    """Turn a direction into one that reads upright, within (-80, 100]: near plumb, from below."""
    return 100.0 - (100.0 - angle_deg) % 180.0


def place(
    wishes: Sequence[Wish],
    *,
    obstacles: Sequence[Obstacle] = (),
    frame: tuple[float, float, float, float] | None = None,
    ink: Ink | None = None,
) -> list[Label]:
    """Give every wish a place so that no two labels overlap.

    Labels take their cheapest free place in the order given. A label that finds
    none pushes less important ones away, which then look again. Whatever is still
    without a place goes to the nearest free spot around its target, with a leader.

    Parameters
    ----------
    wishes : sequence of Wish
        Most important first.
    obstacles : sequence of Obstacle
        Boxes to keep clear of where that is possible.
    frame : tuple (x0, y0, x1, y1), optional
        Labels stay inside where that is possible.
    ink : Ink, optional
        What is written on the picture already and had better stay readable.

    Returns
    -------
    list of Label
        In the order of the wishes; the same input always gives the same places.

    """
    if not wishes:
        return []
    spots = [
        boxes_of([(x, y, w.width, LINE * w.size, a, c) for x, y, a, c in w.places]) for w in wishes
    ]
    regions = np.concatenate([around(boxes) for boxes in spots])
    standing = boxes_of(
        [(o.x, o.y, 2 * o.half_width, 2 * o.half_height, o.angle_deg, o.cost) for o in obstacles]
    )
    costs = [
        _fixed_costs(boxes, standing[close], frame, ink)
        for boxes, close in zip(spots, near(regions, standing), strict=True)
    ]
    taken = np.full((len(wishes), COLUMNS), np.nan)
    led = np.zeros(len(wishes), bool)
    ranks = np.array([wish.rank for wish in wishes])
    neighbours = near(regions, regions)
    occupied: Occupied | None = None
    for turn in ("greedy", "push", "settle"):
        for position, wish in enumerate(wishes):
            taken[position] = np.nan
            by = np.flatnonzero((neighbours[position] | led) & ~np.isnan(taken[:, 0]))
            covered = counts(spots[position], taken[by])
            total = costs[position] + _COVERED * covered
            best = int(np.argmin(total))
            if total[best] < _COVERED:
                taken[position] = spots[position][best]
            elif turn == "push":  # those in the way look for another place after this one
                first = counts(spots[position], taken[by[ranks[by] < wish.rank]])
                best = int(np.argmin(costs[position] + _COVERED * first + _PUSHED * covered))
                if first[best] == 0:
                    taken[position] = spots[position][best]
                    _, pushed = pairs(taken[position : position + 1], taken[by])
                    taken[by[pushed]] = np.nan
            elif turn == "settle":
                if occupied is None:
                    occupied = Occupied(taken[~np.isnan(taken[:, 0])], frame, wish.size)
                taken[position] = _nearest_free(wish, occupied, standing, frame, ink)
                led[position] = True
            if occupied is not None:
                occupied.cover(taken[position : position + 1])
    return [_label(wish, *row) for wish, *row in zip(wishes, taken, led, strict=True)]


def _fixed_costs(
    spots: FloatArray,
    standing: FloatArray,
    frame: tuple[float, float, float, float] | None,
    ink: Ink | None,
) -> FloatArray:
    total = spots[:, 5] + counts(spots, standing, standing[:, 5])
    if ink is not None:
        total += 6.0 * _covered_ink(spots, ink)
    if frame is not None:
        low, high = spots[:, :2] - spots[:, 6:], spots[:, :2] + spots[:, 6:]
        total += 50.0 * ((low < frame[:2]) | (high > frame[2:])).any(axis=1)
    return np.asarray(total)


def _covered_ink(spots: FloatArray, ink: Ink) -> FloatArray:
    """Share of each spot that has ink below it, looked up at points all over the box."""
    u, v = (g.ravel() for g in np.meshgrid(np.linspace(-0.95, 0.95, 11), (-0.8, -0.3, 0.3, 0.8)))
    along, across = spots[:, 2:3] * u, spots[:, 3:4] * v
    cosine, sine = np.cos(spots[:, 4:5]), np.sin(spots[:, 4:5])
    rows, columns = ink.map.shape
    x = ((spots[:, 0:1] + along * cosine + across * sine) / ink.step).astype(int)
    y = ((spots[:, 1:2] - along * sine + across * cosine) / ink.step).astype(int)
    inside = (x >= 0) & (x < columns) & (y >= 0) & (y < rows)
    found = ink.map[np.clip(y, 0, rows - 1), np.clip(x, 0, columns - 1)] & inside
    return np.asarray(found.mean(axis=1))


def _nearest_free(
    wish: Wish,
    occupied: Occupied,
    standing: FloatArray,
    frame: tuple[float, float, float, float] | None,
    ink: Ink | None,
) -> FloatArray:
    """Search rings around the target, outwards, for a level spot that covers no label."""
    radii = wish.width / 2 + LINE * wish.size + 0.9 * wish.size * np.arange(_RINGS)
    turns = np.radians(np.arange(0.0, 360.0, 15.0) + 7.5)
    radius, turn = (grid.ravel() for grid in np.meshgrid(radii, turns, indexing="ij"))
    x = wish.target[0] + radius * np.cos(turn)
    y = wish.target[1] - radius * np.sin(turn)
    size = (wish.width, LINE * wish.size)
    spots = boxes_of(
        np.column_stack([x, y, *(np.full_like(x, one) for one in size), 0 * x, radius])
    )
    spots[:, 5] /= wish.size
    free = spots[occupied.free(spots)][:_FREE_TRIED]
    if not len(free):  # the sheet is full: better outside it than over another label
        return occupied.outside(spots[0])
    return np.asarray(free[int(np.argmin(_fixed_costs(free, standing, frame, ink)))])


def _label(wish: Wish, box: FloatArray, led: bool) -> Label:
    x, y, half_width, half_height = (float(value) for value in box[:4])
    leader = None
    if led:
        # The leader starts at the edge of the box on the way to the target.
        dx, dy = wish.target[0] - x, wish.target[1] - y
        part = min(half_width / max(abs(dx), 1e-9), half_height / max(abs(dy), 1e-9), 1.0)
        leader = ((x + part * dx, y + part * dy), wish.target)
    return Label(
        wish.text, x, y, math.degrees(float(box[4])), 2 * half_width, 2 * half_height, leader
    )
