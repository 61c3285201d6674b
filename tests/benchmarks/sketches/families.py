"""Trusses of many families, as plans: joints, members, where supports and loads go."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations, pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import Delaunay

__all__ = ["FAMILIES", "Plan"]

FloatArray = NDArray[np.float64]
Rng = np.random.Generator
Pairs = list[tuple[int, int]]


@dataclass(frozen=True)
class Plan:
    """A truss before it is drawn.

    Attributes
    ----------
    points : ndarray, shape (n, 2)
        Joints, y up, in any unit.
    members : list of (int, int)
        Pairs of rows of `points`; members may cross without a joint.
    seats : list of (int, float)
        Joints that carry supports, with the direction of the push in degrees;
        the first is a pin.
    loadable : list of int
        Joints where a load makes sense.
    base : list of int
        Joints along which a dimension chain makes sense, from left to right.
    """

    points: FloatArray
    members: Pairs
    seats: list[tuple[int, float]]
    loadable: list[int]
    base: list[int]


def _chain(indices: list[int]) -> Pairs:
    return list(pairwise(indices))


def _trapezoid(rng: Rng, panels: int, rise: Callable[[float], float], inward: bool) -> Plan:
    """Bottom chord, top chord over the inner joints, verticals, diagonals in or out."""
    bay = 1.0
    height = rng.uniform(0.8, 1.35)
    bottom = list(range(panels + 1))
    top = list(range(panels + 1, 2 * panels))
    points = [(i * bay, 0.0) for i in bottom]
    points += [(i * bay, height * rise(i / panels)) for i in range(1, panels)]
    members = _chain(bottom) + _chain(top) + [(0, top[0]), (panels, top[-1])]
    members += [(i, panels + i) for i in range(1, panels)]
    middle = panels / 2
    for i in range(1, panels - 1):
        left_half = i + 1 <= middle
        crosses = i < middle < i + 1
        falls_right = left_half == inward or crosses
        members.append((panels + i, i + 1) if falls_right else (panels + i + 1, i))
    over = bottom[1:-1] if rng.random() < 0.5 else top
    return Plan(np.array(points), members, [(0, 90.0), (panels, 90.0)], over, bottom)


def pratt(rng: Rng, size: int) -> Plan:
    """Verticals with diagonals that fall towards the middle."""
    return _trapezoid(rng, 4 + 2 * min(size, 3), lambda _: 1.0, True)


def howe(rng: Rng, size: int) -> Plan:
    """Verticals with diagonals that rise towards the middle."""
    return _trapezoid(rng, 4 + 2 * min(size, 3), lambda _: 1.0, False)


def bowed(rng: Rng, size: int) -> Plan:
    """A bowed top chord."""
    panels = 4 + 2 * min(size, 3)
    return _trapezoid(rng, panels, lambda t: 0.5 + 3.2 * t * (1 - t), True)


def pitched(rng: Rng, size: int) -> Plan:
    """A pitched roof with verticals and diagonals."""
    slope = rng.uniform(1.2, 2.2)
    panels = 4 + 2 * min(size, 2)
    return _trapezoid(
        rng, panels, lambda t: slope * (0.5 - abs(t - 0.5)) * 2, bool(rng.integers(2))
    )


def warren(rng: Rng, size: int) -> Plan:
    """Slanting members only, now and then with verticals."""
    panels = 3 + size + int(rng.integers(2))
    height = rng.uniform(0.7, 1.1)
    upright = rng.random() < 0.35
    bottom = list(range(panels + 1))
    top = list(range(panels + 1, 2 * panels + 1))
    points = [(float(i), 0.0) for i in bottom] + [(i + 0.5, height) for i in range(panels)]
    members = _chain(bottom) + _chain(top)
    members += [(i, top[i]) for i in range(panels)] + [(i + 1, top[i]) for i in range(panels)]
    if upright:
        new = len(points)
        for i in range(panels):
            points.append((i + 0.5, 0.0))
            members.remove((i, i + 1))
            members += [(i, new + i), (new + i, i + 1), (new + i, top[i])]
        bottom = [j for i in range(panels) for j in (i, new + i)] + [panels]
    far = panels if rng.random() < 0.75 else panels - 1
    loadable = bottom[1:-1] if rng.random() < 0.6 else top
    return Plan(np.array(points), members, [(0, 90.0), (far, 90.0)], loadable, bottom)


def k_web(rng: Rng, size: int) -> Plan:
    """Parallel chords with K-shaped webs that open towards the ends."""
    panels = 4 if size < 2 else 6
    height = rng.uniform(1.1, 1.5)
    low = list(range(panels + 1))
    high = list(range(panels + 1, 2 * panels + 2))
    points = [(float(i), 0.0) for i in low] + [(float(i), height) for i in low]
    middle = {i: 2 * panels + 1 + i for i in range(1, panels)}
    points += [(float(i), height / 2) for i in middle]
    members = [*_chain(low), *_chain(high), (low[0], high[0]), (low[-1], high[-1])]
    members += [(end, middle[i]) for i in middle for end in (low[i], high[i])]
    for i in range(panels):
        apex, away = (middle[i + 1], i) if i < panels / 2 else (middle[i], i + 1)
        members += [(apex, low[away]), (apex, high[away])]
    return Plan(np.array(points), members, [(0, 90.0), (panels, 90.0)], low[1:-1], low)


def fink(rng: Rng, size: int) -> Plan:
    """A roof with a W-shaped web."""
    h = rng.uniform(0.32, 0.6) * 3
    points = [(0, 0), (1, 0), (2, 0), (3, 0), (0.75, h / 2), (1.5, h), (2.25, h / 2)]
    members = [*_chain([0, 1, 2, 3]), *_chain([0, 4, 5, 6, 3]), *_chain([4, 1, 5, 2, 6])]
    return Plan(np.array(points, float), members, [(0, 90.0), (3, 90.0)], [4, 5, 6], [0, 1, 2, 3])


def scissors(rng: Rng, size: int) -> Plan:
    """A roof with raised ties that meet under the ridge."""
    h = rng.uniform(1.0, 1.5)
    points = np.array([(0, 0), (4, 0), (2, h), (1, h / 2), (3, h / 2), (2, h * 0.33)], float)
    members = [(0, 3), (3, 2), (2, 4), (4, 1), (0, 5), (5, 4), (1, 5), (5, 3), (5, 2)]
    return Plan(points, members, [(0, 90.0), (1, 90.0)], [3, 2, 4], [0, 1])


def king_post(rng: Rng, size: int) -> Plan:
    """A small roof or beam under one post."""
    h = rng.uniform(0.7, 1.2) * (1 if rng.random() < 0.75 else -1)
    points = np.array([(0, 0), (1.5, 0), (3, 0), (1.5, h)], float)
    members = [(0, 1), (1, 2), (0, 3), (3, 2), (1, 3)]
    return Plan(points, members, [(0, 90.0), (2, 90.0)], [1] if h < 0 else [3, 1], [0, 1, 2])


def tower(rng: Rng, size: int) -> Plan:
    """Storeys one above the other, braced singly or by crossing diagonals."""
    storeys = 2 + size
    crossed = rng.random() < 0.35
    taper = rng.uniform(0, 0.35)
    points: list[tuple[float, float]] = []
    for i in range(storeys + 1):
        lean = taper * i / storeys / 2
        points += [(lean, i * 0.95), (1 - lean, i * 0.95)]
    members: Pairs = [(0, 1)] if rng.random() < 0.7 else []
    for i in range(storeys):
        low = 2 * i
        members += [(low, low + 2), (low + 1, low + 3), (low + 2, low + 3)]
        rising = i % 2 == 0
        members += [(low, low + 3)] if rising or crossed else []
        members += [(low + 1, low + 2)] if not rising or crossed else []
    top = [2 * storeys, 2 * storeys + 1]
    if rng.random() < 0.4:
        points.append((0.5, storeys * 0.95 + 0.6))
        members += [(top[0], len(points) - 1), (top[1], len(points) - 1)]
        top = [len(points) - 1]
    left = [2 * i for i in range(1, storeys + 1)]
    return Plan(np.array(points), members, [(0, 90.0), (1, 90.0)], [*left, *top], [0, 1])


def crossed_bays(rng: Rng, size: int) -> Plan:
    """Parallel chords with two diagonals in each bay, crossing without a joint."""
    bays = 2 + size
    height = rng.uniform(0.75, 1.1)
    points = [(float(i), 0.0) for i in range(bays + 1)]
    points += [(float(i), height) for i in range(bays + 1)]
    up = bays + 1
    members = _chain(list(range(up))) + _chain(list(range(up, 2 * up)))
    members += [(i, up + i) for i in range(up)]
    members += [(i, up + i + 1) for i in range(bays)] + [(i + 1, up + i) for i in range(bays)]
    base = list(range(up))
    return Plan(np.array(points), members, [(0, 90.0), (bays, 90.0)], base[1:-1], base)


def bracket(rng: Rng, size: int) -> Plan:
    """A cantilever held at a wall on its left, parallel or pointed."""
    bays = 1 + size + int(rng.integers(2))
    pointed = rng.random() < 0.5
    points = [(float(i), 1.0) for i in range(bays + 1)]
    rise = 0.75 / bays if pointed else 0.0
    low = [(float(i), rise * i) for i in range(bays if pointed else bays + 1)]
    points += low
    up = bays + 1
    members = _chain(list(range(up))) + _chain(list(range(up, up + len(low))))
    if pointed:
        members.append((bays, up + bays - 1))
    members += [(i, up + i) for i in range(1, len(low))]
    falling = rng.random() < 0.5
    members += [(i, up + i + 1) if falling else (i + 1, up + i) for i in range(len(low) - 1)]
    tips = [bays] if rng.random() < 0.6 else list(range(1, bays + 1))
    return Plan(np.array(points), members, [(0, 0.0), (up, 0.0)], tips, list(range(up)))


def crane(rng: Rng, size: int) -> Plan:
    """A mast with a jib."""
    reach = rng.uniform(1.2, 2.2)
    points = np.array(
        [(0, 0), (1, 0), (0, 1.3), (1, 1.3), (1, 2.4), (1 + reach / 2, 1.5), (1 + reach, 2.3)],
        float,
    )
    members = [*_chain([1, 0, 2, 4, 6, 5, 3, 1]), (0, 3), (2, 3), (3, 4), (4, 5)]
    return Plan(points, members, [(0, 90.0), (1, 90.0)], [6], [0, 1])


def polygon(rng: Rng, size: int) -> Plan:
    """Two to four triangles of any shape."""
    points = [(0.0, 0.0), (rng.uniform(1.2, 2.2), rng.uniform(-0.2, 0.2))]
    points.append((rng.uniform(0.2, 1.6), rng.uniform(0.9, 1.6)))
    members: Pairs = [(0, 1), (1, 2), (0, 2)]
    edge = (1, 2)
    for _ in range(int(rng.integers(0, 2 + size))):
        a, b = (np.array(points[i]) for i in edge)
        out = np.array([(b - a)[1], -(b - a)[0]])
        new = (a + b) / 2 + out * rng.uniform(0.6, 1.0) + (b - a) * rng.uniform(-0.2, 0.3)
        distance = [np.hypot(*(new - p)) for p in points]
        if min(distance) < 0.5:
            break
        points.append((float(new[0]), float(new[1])))
        members += [(edge[0], len(points) - 1), (edge[1], len(points) - 1)]
        edge = (edge[0], len(points) - 1) if rng.random() < 0.5 else (len(points) - 1, edge[1])
    order = np.argsort([p[1] for p in points])
    low = sorted(order[:2].tolist(), key=lambda i: points[i][0])
    loadable = [i for i in range(len(points)) if i not in low]
    return Plan(np.array(points), members, [(low[0], 90.0), (low[1], 90.0)], loadable, low)


def irregular(rng: Rng, size: int) -> Plan:
    """Scattered joints joined by triangles, now and then with one edge left out."""
    count = 5 + 2 * size
    points: list[FloatArray] = []
    while len(points) < count:
        new = rng.uniform(0, 1, 2) * (2.2, 1.4)
        if all(np.hypot(*(new - p)) > 0.42 for p in points):
            points.append(new)
        elif rng.random() < 0.004:
            break
    cloud = np.array(points)
    edges = {tuple(sorted(e)) for t in Delaunay(cloud).simplices for e in combinations(t, 2)}
    members = [(int(a), int(b)) for a, b in sorted(edges) if _clear(cloud, int(a), int(b))]
    low = np.argsort(cloud[:, 1])[:3]
    ends = sorted(low.tolist(), key=lambda i: cloud[i, 0])
    seats = [(ends[0], 90.0), (ends[-1], 90.0)]
    rest = [i for i in range(len(cloud)) if i not in (ends[0], ends[-1])]
    return Plan(cloud, members, seats, rest, [ends[0], ends[-1]])


def _clear(points: FloatArray, a: int, b: int) -> bool:
    """Whether no other joint lies close to the member from `a` to `b`."""
    along = points[b] - points[a]
    length = np.hypot(*along)
    for i, point in enumerate(points):
        if i in (a, b):
            continue
        off = point - points[a]
        share = off @ along / length**2
        aside = abs(along[0] * off[1] - along[1] * off[0]) / length
        if 0 < share < 1 and aside < 0.14:
            return False
    return bool(length < 1.5)


def gambrel(rng: Rng, size: int) -> Plan:
    """A roof with two slopes on each side."""
    h = rng.uniform(0.9, 1.2)
    points = [(0, 0), (1, 0), (2, 0), (3, 0), (4, 0), (1, h), (2, 1.35 * h), (3, h)]
    members = [*_chain([0, 1, 2, 3, 4]), *_chain([0, 5, 6, 7, 4]), *_chain([1, 5, 2, 7, 3]), (2, 6)]
    return Plan(
        np.array(points, float), members, [(0, 90.0), (4, 90.0)], [5, 6, 7], [0, 1, 2, 3, 4]
    )


#: Family by name; each takes a generator and a size, 0 (small) to 3 (large).
FAMILIES: dict[str, Callable[[Rng, int], Plan]] = {
    "pratt": pratt,
    "howe": howe,
    "bowed": bowed,
    "pitched": pitched,
    "warren": warren,
    "k-web": k_web,
    "fink": fink,
    "scissors": scissors,
    "king post": king_post,
    "tower": tower,
    "crossed bays": crossed_bays,
    "bracket": bracket,
    "crane": crane,
    "polygon": polygon,
    "irregular": irregular,
    "gambrel": gambrel,
}
