"""Recipes for trusses: where the joints lie, which bars join them, what holds them."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import numpy as np
from scipy.spatial import Delaunay

from vision.training.fourth.strokes import Points

__all__ = ["RECIPES", "Bars", "Held", "Plot"]

Rng = np.random.Generator
Bars = set[tuple[int, int]]
#: A joint, whether a pin holds it, and the direction in degrees in which it is pushed.
Held = tuple[int, bool, float]


class Plot:
    """Collects joints and bars while a recipe runs; a place asked for twice is one joint."""

    def __init__(self) -> None:
        self.places: list[tuple[float, float]] = []
        self.bars: Bars = set()

    def at(self, x: float, y: float) -> int:
        for index, (u, v) in enumerate(self.places):
            if abs(u - x) + abs(v - y) < 1e-6:
                return index
        self.places.append((float(x), float(y)))
        return len(self.places) - 1

    def bar(self, *chain: int) -> None:
        for a, b in itertools.pairwise(chain):
            if a != b:
                self.bars.add((min(a, b), max(a, b)))


def _profile(rng: Rng) -> Callable[[float], float]:
    """Height along a span from 0 to 1, as a share of the greatest height."""
    kind = rng.integers(7)
    low = rng.choice([0.0, 0.0, 0.3, 0.6])
    skew = rng.uniform(0.3, 0.7)
    if kind == 0:
        return lambda s: 1.0
    if kind == 1:
        return lambda s: float(low + (1 - low) * (s / skew if s < skew else (1 - s) / (1 - skew)))
    if kind == 2:
        return lambda s: float(low + (1 - low) * 4 * s * (1 - s))
    if kind == 3:
        return lambda s: float(0.15 + 0.85 * s)
    if kind == 4:
        return lambda s: float(min(1.0, low + 3.2 * min(s, 1 - s)))
    if kind == 5:
        return lambda s: 1.0 if 0.01 < s < 0.99 else 0.0
    return lambda s: float(0.45 + 1.6 * abs(s - 0.5))


def _floor(rng: Rng, first: int, last: int) -> list[Held]:
    left = bool(rng.random() < 0.72)
    held = [(first, left, 90.0), (last, not left, 90.0)]
    if rng.random() < 0.12:
        held = [(first, True, 90.0), (last, True, 90.0)]
    if rng.random() < 0.14:
        side = int(rng.integers(2))
        lean = float(rng.choice([30, 45, 60, 20]))
        joint, pin, _ = held[side]
        held[side] = (joint, pin, 90 - lean if side == 0 else 90 + lean)
    return held


def _chorded(rng: Rng, plot: Plot) -> list[Held]:
    """Two chords, one web rule per bay."""
    bays = int(rng.integers(2, 9))
    high, profile = rng.uniform(0.12, 0.45), _profile(rng)
    camber = rng.choice([0.0, 0.0, 0.0, rng.uniform(-0.15, 0.2)])
    hang = 1.0 if rng.random() < 0.85 else -1.0
    low = [plot.at(k, -bays * camber * 4 * (k / bays) * (1 - k / bays)) for k in range(bays + 1)]
    top = []
    for k in range(bays + 1):
        x, y = plot.places[low[k]]
        up = profile(k / bays) * high * bays
        top.append(low[k] if up < 0.02 * bays else plot.at(x, y - hang * up))
    plot.bar(*low)
    plot.bar(*top)
    rule = rng.choice(["/", "\\", "in", "out", "any", "X", "zig", "mixed"])
    posts = rng.random() < 0.85
    for k in range(bays + 1):
        if (posts or k in (0, bays)) and (rng.random() < 0.96 or k in (0, bays)):
            plot.bar(low[k], top[k])
    for k in range(bays):
        half = k < bays / 2
        way = {"/": "/", "\\": "\\", "in": "\\" if half else "/", "out": "/" if half else "\\",
               "zig": "/\\"[k % 2], "X": "X", "any": "/\\"[int(rng.integers(2))],
               "mixed": "/\\X"[int(rng.integers(3))]}[str(rule)]  # fmt: skip
        if way in "/X":
            plot.bar(low[k], top[k + 1])
        if way in "\\X":
            plot.bar(top[k], low[k + 1])
    ends = (top[0], top[-1]) if rng.random() < 0.1 else (low[0], low[-1])
    if rng.random() < 0.1 and bays > 3:
        ends = (low[1], low[-1 - int(rng.integers(2))])
    return _floor(rng, *ends)


def _zigzag(rng: Rng, plot: Plot) -> list[Held]:
    bays, high, profile = int(rng.integers(2, 8)), rng.uniform(0.12, 0.35), _profile(rng)
    flip = 1 if rng.random() < 0.8 else -1
    low = [plot.at(k, 0) for k in range(bays + 1)]
    top = [
        plot.at(k + 0.5, -flip * high * bays * max(profile((k + 0.5) / bays), 0.25))
        for k in range(bays)
    ]
    plot.bar(*low)
    plot.bar(*top)
    for k in range(bays):
        plot.bar(low[k], top[k], low[k + 1])
        if rng.random() < 0.1:
            mid = plot.at(k + 0.5, 0)
            plot.bars.discard((low[k], low[k + 1]))
            plot.bar(low[k], mid, low[k + 1])
            plot.bar(mid, top[k])
    return _floor(rng, low[0], low[-1])


def _points(rng: Rng, plot: Plot) -> list[Held]:
    """Triangulate scattered points; some outer or inner bars are left away."""
    count = int(rng.integers(4, 15))
    aspect = rng.uniform(0.35, 1.0)
    kept: list[Points] = []
    apart = 0.75 / np.sqrt(count)
    for _ in range(300):
        spot = rng.random(2)
        if all(np.hypot(*(spot - other)) > apart for other in kept):
            kept.append(spot)
        if len(kept) == count:
            break
    spots = np.array(kept) * [1, aspect]
    for x, y in spots:
        plot.at(x, y)
    for a, b, c in Delaunay(spots).simplices:
        sides = sorted(np.hypot(*(spots[i] - spots[j])) for i, j in ((a, b), (b, c), (c, a)))
        if sides[2] < 0.93 * (sides[0] + sides[1]):
            plot.bar(int(a), int(b), int(c), int(a))
    for bar in sorted(plot.bars):
        if rng.random() < 0.06:
            plot.bars.discard(bar)
    order = np.argsort(-spots[:, 1])[: max(3, count // 3)]
    left, right = order[np.argmin(spots[order, 0])], order[np.argmax(spots[order, 0])]
    return _floor(rng, int(left), int(right))


def _fan(rng: Rng, plot: Plot) -> list[Held]:
    count, high = int(rng.integers(3, 8)), rng.uniform(0.3, 0.9)
    sag = rng.uniform(-0.25, 0.35)
    apex = plot.at(rng.uniform(-0.2, 1.2), -high)
    foot = [plot.at(s, sag * 4 * s * (1 - s)) for s in (k / (count - 1) for k in range(count))]
    plot.bar(*foot)
    for joint in foot:
        plot.bar(apex, joint)
    return _floor(rng, foot[0], foot[-1])


def _tower(rng: Rng, plot: Plot) -> list[Held]:
    floors, narrow = int(rng.integers(2, 7)), rng.uniform(0.2, 1.0)
    wide, lean = rng.uniform(0.6, 1.6), rng.choice([0.0, 0.0, 0.15])
    sides = []
    for k in range(floors + 1):
        half = wide / 2 * (1 + (narrow - 1) * k / floors)
        sides.append((plot.at(-half + lean * k, -k), plot.at(half + lean * k, -k)))
    crossed = rng.random() < 0.35
    for k, (lower, upper) in enumerate(itertools.pairwise(sides)):
        plot.bar(lower[0], upper[0])
        plot.bar(lower[1], upper[1])
        plot.bar(*upper)
        flip = bool((k % 2 == 0) ^ (rng.random() < 0.2))
        if flip or crossed:
            plot.bar(lower[0], upper[1])
        if not flip or crossed:
            plot.bar(lower[1], upper[0])
    if rng.random() < 0.5:
        plot.bar(*sides[0])
    if rng.random() < 0.4:
        apex = plot.at(lean * floors, -floors - rng.uniform(0.4, 1))
        plot.bar(sides[-1][0], apex, sides[-1][1])
    if rng.random() < 0.3:
        arm = plot.at(wide * 1.3 + lean * floors, -floors + rng.uniform(-0.2, 0.3))
        plot.bar(sides[-1][1], arm, sides[-2][1])
    return _floor(rng, *sides[0])


def _wall(rng: Rng, plot: Plot) -> list[Held]:
    """A cantilever from a wall at the left or right."""
    bays, high = int(rng.integers(1, 6)), rng.uniform(0.5, 1.6)
    tip, slope = rng.choice([0.0, 0.0, 0.4, 1.0]), rng.choice([0.0, 0.5, 1.0])
    top = [plot.at(k, -high + slope * high * (1 - tip) * k / bays) for k in range(bays + 1)]
    low = [plot.at(k, -(1 - slope) * high * (1 - tip) * k / bays) for k in range(bays + 1)]
    plot.bar(*top)
    plot.bar(*low)
    crossed = rng.random() < 0.15
    rule = rng.integers(3)
    for k in range(bays):
        last = top[k + 1] == low[k + 1]
        if k:
            plot.bar(top[k], low[k])
        if (rule == 0 or (rule == 2 and k % 2)) or crossed:
            plot.bar(low[k], top[k + 1])
        if (rule == 1 or (rule == 2 and k % 2 == 0)) or crossed:
            plot.bar(top[k], low[k + 1])
        if last:
            break
    plot.bar(top[-1], low[-1])
    pin_above = bool(rng.random() < 0.6)
    if rng.random() < 0.3:
        plot.bar(top[0], low[0])
    both = rng.random() < 0.4
    way = 0.0
    held = [(top[0], pin_above or both, way), (low[0], not pin_above or both, way)]
    if rng.random() < 0.2:
        held[1] = (low[0], held[1][1], 90.0)
    return held


def _scissors(rng: Rng, plot: Plot) -> list[Held]:
    high, rise = rng.uniform(0.5, 0.9), rng.uniform(0.25, 0.45)
    a, b, apex = plot.at(-1, 0), plot.at(1, 0), plot.at(0, -high)
    share = rng.uniform(0.45, 0.7)
    left, right = plot.at(-1 + share, -high * share), plot.at(1 - share, -high * share)
    plot.bar(a, left, apex, right, b)
    if rng.random() < 0.6:
        mid = plot.at(0, -high * share / (2 - share))
        plot.bar(a, mid, right)
        plot.bar(b, mid, left)
        plot.bar(mid, apex)
    else:
        plot.bar(a, right)
        plot.bar(b, left)
        if rng.random() < 0.5:
            plot.bar(left, right)
    if rise < 0.3:
        plot.bar(a, b)
    return _floor(rng, a, b)


def _arch(rng: Rng, plot: Plot) -> list[Held]:
    bays, deep = int(rng.integers(3, 9)), rng.uniform(0.12, 0.3)
    spread = rng.uniform(0.5, 1.4)
    angles = np.linspace(-spread, spread, bays + 1)
    outer = [plot.at((1 + deep) * np.sin(a), -(1 + deep) * np.cos(a)) for a in angles]
    inner = [plot.at(np.sin(a), -np.cos(a)) for a in angles]
    plot.bar(*outer)
    plot.bar(*inner)
    for k in range(bays + 1):
        plot.bar(outer[k], inner[k])
        if k < bays:
            flip = (k < bays / 2) if bays % 2 == 0 else k % 2 == 0
            plot.bar(*((inner[k], outer[k + 1]) if flip else (outer[k], inner[k + 1])))
    held = _floor(rng, inner[0], inner[-1])
    if rng.random() < 0.5:
        held = [(j, True, d) for j, _, d in held]
    return held


#: Toys: places and bars; the first two places are held.
_TOYS: tuple[tuple[tuple[tuple[float, float], ...], str, str], ...] = (
    (((0, 0), (2, 0), (1, -1.2)), "01 12 02", "floor"),
    (((0, 0), (1.6, 0), (0, -1.2)), "01 12 02", "floor"),
    (((0, 0), (1.6, 0), (1.6, -1.1)), "01 12 02", "floor"),
    (((0, 0), (0, -1), (1.4, 0)), "02 12", "wall"),
    (((0, 0), (0, -1), (1.4, -1)), "02 12", "wall"),
    (((0, 0), (0, -1), (1.4, -0.4)), "02 12 01", "wall"),
    (((0, 0), (1.5, 0), (0.7, 1.0)), "02 12", "ceiling"),
    (((0, 0), (1.5, 0), (0.7, -1.0)), "02 12", "floor"),
    (((0, 0), (1, 0), (1, -1), (0, -1)), "01 12 23 03 02", "floor"),
    (((0, 0), (1, 0), (1, -1), (0, -1)), "01 12 23 03 13 02", "floor"),
    (((0, 0), (2, 0), (1, -1), (1, 0)), "03 13 02 12 23", "floor"),
    (((0, 0), (2, 0), (1, -1.1), (1, 0.6)), "02 12 03 13 23", "floor"),
    (((0, 0), (2, 0), (1, 0), (1, -0.9), (2, -0.9)), "02 12 03 23 34 14 24", "floor"),
    (((0, 0), (0, -1), (1, -1), (1, 0)), "03 12 23 02", "wall"),
    (((0, 0), (0, -1), (1, -0.5), (2, -0.5)), "02 12 23 13", "wall"),
    (((0, 0), (2, 0), (0.5, -0.9), (1.5, -0.9)), "02 23 13 03 01", "floor"),
    (((0, 0), (2, 0), (1, 0), (0.5, -0.8), (1.5, -0.8)), "02 12 03 23 24 14 34", "floor"),
    (((0, 0), (3, 0), (1, 0), (2, 0), (1.5, -1)), "02 23 13 04 14 24 34", "floor"),
    (((0, 0), (2, 0), (1, -1.3), (0.5, -0.65), (1.5, -0.65)), "01 03 23 24 14 34", "floor"),
)


def _toy(rng: Rng, plot: Plot) -> list[Held]:
    places, bars, on = _TOYS[int(rng.integers(len(_TOYS)))]
    stretch = rng.uniform(0.7, 1.4)
    for x, y in places:
        plot.at(x * stretch, y)
    for pair in bars.split():
        plot.bar(int(pair[0]), int(pair[1]))
    if on == "floor":
        return _floor(rng, 0, 1)
    way = 0.0 if on == "wall" else 270.0
    second = bool(rng.random() < 0.7)
    return [(0, True, way), (1, second, way)]


def _rafters(rng: Rng, plot: Plot) -> list[Held]:
    """Roof trusses whose webs meet the chords at shares of the span."""
    high, parts = rng.uniform(0.25, 0.7), int(rng.integers(1, 4))
    apex = plot.at(1, -high)
    ends = plot.at(0, 0), plot.at(2, 0)
    tie = sorted({0.0, 2.0, *(rng.choice([[1.0], [0.67, 1.33], [0.5, 1.0, 1.5]][parts - 1:parts][0],
                                         size=parts, replace=False))})  # fmt: skip
    low = [plot.at(x, 0) for x in tie]
    plot.bar(*low)
    for side in (0, 1):
        share = [k / (parts + 1) for k in range(1, parts + 1)]
        chord = [plot.at(s if side == 0 else 2 - s, -high * s) for s in share]
        plot.bar(ends[side], *chord, apex)
        for joint in chord:
            x = plot.places[joint][0]
            near = sorted(low, key=lambda k: abs(plot.places[k][0] - x))[:2]
            for other in near[: int(rng.integers(1, 3))]:
                plot.bar(joint, other)
    for joint in low[1:-1]:
        if abs(plot.places[joint][0] - 1) < 0.4:
            plot.bar(joint, apex)
    return _floor(rng, *ends)


RECIPES: tuple[tuple[Callable[[Rng, Plot], list[Held]], float], ...] = (
    (_chorded, 0.25), (_zigzag, 0.12), (_points, 0.14), (_fan, 0.05), (_tower, 0.08),
    (_wall, 0.1), (_scissors, 0.04), (_arch, 0.05), (_toy, 0.12), (_rafters, 0.05),
)  # fmt: skip
