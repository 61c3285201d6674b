"""Shapes of trusses: joints and members of every family, in a frame about one unit wide.

Coordinates are x right, y up. A member is a pair of joint positions; members
may cross without a joint.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import Delaunay

__all__ = ["FAMILIES", "Shape", "draw_shape"]

FloatArray = NDArray[np.float64]
Rng = np.random.Generator


@dataclass(frozen=True)
class Shape:
    """A truss without supports or loads.

    `feet` are the joints it may stand on; `wall` says that they hold it to a wall.
    """

    family: str
    points: FloatArray
    members: tuple[tuple[int, int], ...]
    feet: tuple[int, ...]
    wall: bool = False


class _Net:
    """Collects joints by place and members by pair while a family is laid out."""

    def __init__(self) -> None:
        self.points: list[tuple[float, float]] = []
        self.members: list[tuple[int, int]] = []

    def at(self, x: float, y: float) -> int:
        for i, (px, py) in enumerate(self.points):
            if abs(px - x) < 1e-6 and abs(py - y) < 1e-6:
                return i
        self.points.append((float(x), float(y)))
        return len(self.points) - 1

    def join(self, *chain: int) -> None:
        for a, b in zip(chain, chain[1:], strict=False):
            if a != b and (a, b) not in self.members and (b, a) not in self.members:
                self.members.append((a, b))

    def shape(self, family: str, feet: tuple[int, ...], wall: bool = False) -> Shape:
        return Shape(family, np.array(self.points, float), tuple(self.members), feet, wall)


def _profile(rng: Rng, bays: int) -> FloatArray:
    """Heights of the second chord at each panel point, relative to the depth."""
    t = np.linspace(0, 1, bays + 1)
    kind = rng.choice(["flat", "gable", "bow", "parker", "mono", "trapezoid", "hip"])
    if kind == "gable":
        heights = 1 - np.abs(2 * t - 1)
    elif kind == "bow":
        heights = 4 * t * (1 - t)
    elif kind == "parker":
        heights = 0.55 + 0.45 * 4 * t * (1 - t)
    elif kind == "mono":
        heights = t * 1.0 + (0.0 if rng.random() < 0.5 else rng.uniform(0.2, 0.6))
    elif kind == "trapezoid":
        heights = np.clip(np.minimum(t, 1 - t) * bays, 0, 1)
    elif kind == "hip":
        heights = 0.45 + 0.55 * (1 - np.abs(2 * t - 1))
    else:
        heights = np.ones(bays + 1)
    return np.asarray(heights)


def _panels(rng: Rng, web: str, bays: int | None = None) -> Shape:
    """Two chords with a web: Pratt, Howe, Warren, K and their relatives."""
    n = bays or int(rng.choice([2, 3, 4, 4, 5, 6, 6, 7, 8, 8, 10, 12, 14]))
    if web in {"k", "x", "xj"}:
        n = min(n, 8)
    width = 1.0
    depth = rng.uniform(0.12, 0.5) if n > 3 else rng.uniform(0.25, 0.9)
    heights = _profile(rng, n) * depth
    xs = np.linspace(0, width, n + 1)
    if rng.random() < 0.25:
        xs[1:-1] += rng.uniform(-0.2, 0.2, n - 1) / n
    side = -1.0 if rng.random() < 0.2 else 1.0
    net = _Net()
    low = [net.at(x, 0) for x in xs]
    high = [net.at(x, side * h) for x, h in zip(xs, heights, strict=True)]
    net.join(*low)
    if web == "warren":
        return _warren(rng, net, low, xs, side * heights)
    net.join(*high)
    for i in range(n + 1):
        if low[i] != high[i] and not (web == "xopen" and 0 < i < n):
            net.join(low[i], high[i])
    for i in range(n):
        a, b, c, d = low[i], low[i + 1], high[i + 1], high[i]
        if len({a, b, c, d}) < 4:
            continue
        left = i < n / 2
        if web == "pratt":
            net.join(*((d, b) if left else (a, c)))
        elif web == "howe":
            net.join(*((a, c) if left else (d, b)))
        elif web == "zigzag":
            net.join(*((a, c) if i % 2 else (d, b)))
        elif web in {"x", "xopen"}:
            net.join(a, c)
            net.join(b, d)
        elif web == "xj":
            p = np.array(net.points)
            m = net.at(*_meet(p[a], p[c], p[b], p[d]))
            net.join(a, m, c)
            net.join(b, m, d)
        elif web == "k":
            _k_panel(net, (a, b, c, d), left)
        else:
            if rng.random() < 0.9:
                net.join(*((a, c) if rng.random() < 0.5 else (b, d)))
    return net.shape(web, (low[0], low[-1]))


def _k_panel(net: _Net, panel: tuple[int, int, int, int], left: bool) -> None:
    a, b, c, d = panel
    ends, post = ((a, d), (b, c)) if left else ((b, c), (a, d))
    p = np.array(net.points)
    middle = net.at(*((p[ends[0]] + p[ends[1]]) / 2))
    pair = tuple(sorted(ends))
    net.members[:] = [m for m in net.members if tuple(sorted(m)) != pair]
    net.join(ends[0], middle, ends[1])
    net.join(middle, post[0])
    net.join(middle, post[1])


def _warren(rng: Rng, net: _Net, low: list[int], xs: FloatArray, heights: FloatArray) -> Shape:
    net = _Net()
    low = [net.at(x, 0) for x in xs]
    middle = (xs[1:] + xs[:-1]) / 2
    tall = np.interp(middle, xs, heights)
    tall[np.abs(tall) < 0.05] = 0.15 * np.sign(heights.sum() or 1)
    high = [net.at(x, h) for x, h in zip(middle, tall, strict=True)]
    net.join(*low)
    net.join(*high)
    for i, top in enumerate(high):
        net.join(low[i], top, low[i + 1])
    if rng.random() < 0.3:
        for i, x in enumerate(xs[1:-1], 1):
            a, b = high[i - 1], high[i]
            p = np.array(net.points)
            y = np.interp(x, [p[a][0], p[b][0]], [p[a][1], p[b][1]])
            top = net.at(x, y)
            net.members[:] = [m for m in net.members if set(m) != {a, b}]
            net.join(a, top, b)
            net.join(top, low[i])
    return net.shape("warren", (low[0], low[-1]))


def _meet(a: FloatArray, b: FloatArray, c: FloatArray, d: FloatArray) -> FloatArray:
    r, s = b - a, d - c
    cross = r[0] * s[1] - r[1] * s[0]
    t = ((c - a)[0] * s[1] - (c - a)[1] * s[0]) / (cross or 1e-9)
    return np.asarray(a + t * r)


def _fink(rng: Rng) -> Shape:
    h, net = rng.uniform(0.22, 0.55), _Net()
    third = rng.uniform(0.28, 0.37)
    camber = rng.choice([0.0, 0.0, rng.uniform(0.03, 0.12)])
    a, b, top = net.at(0, 0), net.at(1, 0), net.at(0.5, h)
    c, d = net.at(third, camber), net.at(1 - third, camber)
    parts = int(rng.integers(2, 4))
    left = [net.at(0.5 * k / parts, h * k / parts) for k in range(1, parts)]
    right = [net.at(1 - 0.5 * k / parts, h * k / parts) for k in range(1, parts)]
    net.join(a, *left, top)
    net.join(b, *right, top)
    net.join(a, c, d, b)
    net.join(c, top, d)
    for l, r in zip(left, right, strict=True):
        net.join(l, c)
        net.join(r, d)
    return net.shape("fink", (a, b))


def _fan(rng: Rng) -> Shape:
    h, net = rng.uniform(0.2, 0.6), _Net()
    n = int(rng.integers(2, 5))
    a, b, top, m = net.at(0, 0), net.at(1, 0), net.at(0.5, h), net.at(0.5, 0)
    left = [net.at(0.5 * k / n, h * k / n) for k in range(1, n)]
    right = [net.at(1 - 0.5 * k / n, h * k / n) for k in range(1, n)]
    net.join(a, *left, top)
    net.join(b, *right, top)
    net.join(a, m, b)
    net.join(m, top)
    for p in left + right:
        net.join(p, m)
    return net.shape("fan", (a, b))


def _scissors(rng: Rng) -> Shape:
    h, net = rng.uniform(0.35, 0.7), _Net()
    t = rng.uniform(0.5, 0.7)
    a, b, top = net.at(0, 0), net.at(1, 0), net.at(0.5, h)
    l, r = net.at(0.5 * t, h * t), net.at(1 - 0.5 * t, h * t)
    p = np.array(net.points)
    m = net.at(*_meet(p[a], p[r], p[b], p[l]))
    net.join(a, l, top, r, b)
    net.join(a, m, r)
    net.join(b, m, l)
    net.join(m, top)
    return net.shape("scissors", (a, b))


def _post(rng: Rng) -> Shape:
    h, net = rng.uniform(0.2, 0.7), _Net()
    a, b = net.at(0, 0), net.at(1, 0)
    if rng.random() < 0.5:
        m, top = net.at(0.5, 0), net.at(0.5, h)
        net.join(a, m, b, top, a)
        net.join(m, top)
        if rng.random() < 0.5:
            l, r = net.at(0.25, h / 2), net.at(0.75, h / 2)
            net.members[:] = [k for k in net.members if set(k) not in ({a, top}, {b, top})]
            net.join(a, l, top, r, b)
            net.join(l, m, r)
        return net.shape("king post", (a, b))
    x = rng.uniform(0.25, 0.4)
    c, d, e, f = net.at(x, 0), net.at(1 - x, 0), net.at(1 - x, h), net.at(x, h)
    net.join(a, c, d, b, e, f, a)
    net.join(c, f)
    net.join(d, e)
    if rng.random() < 0.7:
        net.join(*((c, e) if rng.random() < 0.5 else (d, f)))
    return net.shape("queen post", (a, b))


def _tower(rng: Rng) -> Shape:
    net, n = _Net(), int(rng.integers(2, 9))
    top, bottom = rng.uniform(0.02, 0.25), rng.uniform(0.2, 0.45)
    ys = np.linspace(0, 1, n + 1) ** rng.uniform(0.8, 1.1)
    half = np.interp(ys, [0, 1], [bottom, top]) / 2
    left = [net.at(-w, y) for w, y in zip(half, ys, strict=True)]
    right = [net.at(w, y) for w, y in zip(half, ys, strict=True)]
    net.join(*left)
    net.join(*right)
    web = rng.choice(["x", "zig", "same", "xj"])
    for i in range(n + 1):
        if i or rng.random() < 0.5:
            net.join(left[i], right[i])
    for i in range(n):
        a, b, c, d = left[i], right[i], right[i + 1], left[i + 1]
        if web == "x":
            net.join(a, c)
            net.join(b, d)
        elif web == "xj":
            p = np.array(net.points)
            m = net.at(*_meet(p[a], p[c], p[b], p[d]))
            net.join(a, m, c)
            net.join(b, m, d)
        else:
            net.join(*((a, c) if web == "same" or i % 2 else (b, d)))
    if rng.random() < 0.3:
        tip = net.at(0, 1 + rng.uniform(0.06, 0.2))
        net.join(left[-1], tip, right[-1])
    return net.shape("tower", (left[0], right[0]))


def _cantilever(rng: Rng) -> Shape:
    net, n = _Net(), int(rng.integers(1, 7))
    deep, thin = rng.uniform(0.2, 0.7), rng.choice([0.0, 0.0, rng.uniform(0.1, 0.4)])
    xs = np.linspace(0, 1, n + 1)
    hs = np.interp(xs, [0, 1], [deep, min(thin, deep)])
    style = rng.integers(3)
    low_y = {0: 0 * xs, 1: -hs, 2: -hs / 2}[int(style)]
    low = [net.at(x, y) for x, y in zip(xs, low_y, strict=True)]
    high = [net.at(x, y + h) for x, y, h in zip(xs, low_y, hs, strict=True)]
    net.join(*low)
    net.join(*high)
    for i in range(n + 1):
        if i or rng.random() < 0.4:
            net.join(low[i], high[i])
    for i in range(n):
        if len({low[i], low[i + 1], high[i], high[i + 1]}) == 4:
            up = (i % 2 == 0) if rng.random() < 0.5 else True
            net.join(*((low[i], high[i + 1]) if up else (high[i], low[i + 1])))
    return net.shape("cantilever", (low[0], high[0]), wall=True)


def _crane(rng: Rng) -> Shape:
    net = _Net()
    w, h, reach = rng.uniform(0.15, 0.3), rng.uniform(0.5, 0.9), rng.uniform(0.4, 0.9)
    a, b, c, d = net.at(0, 0), net.at(w, 0), net.at(w, h), net.at(0, h)
    m1, m2 = net.at(0, h / 2), net.at(w, h / 2)
    net.join(a, m1, d)
    net.join(b, m2, c)
    net.join(m1, m2)
    net.join(d, c)
    net.join(*((a, m2) if rng.random() < 0.5 else (b, m1)))
    net.join(*((m1, c) if rng.random() < 0.5 else (m2, d)))
    tip, top = net.at(w + reach, h * rng.uniform(0.9, 1.1)), net.at(w / 2, h * rng.uniform(1.2, 1.4))
    net.join(d, top, c)
    middle = net.at(w + reach / 2, h * 1.02)
    net.join(c, middle, tip, top, middle)
    return net.shape("crane", (a, b))


def _simple(rng: Rng) -> Shape:
    net, kind = _Net(), rng.integers(5)
    if kind == 0:
        a, b, c = net.at(0, 0), net.at(1, rng.uniform(-0.3, 0.3)), net.at(*rng.uniform(0.2, 0.8, 2))
        net.join(a, c, b)
        if rng.random() < 0.7:
            net.join(a, b)
        return net.shape("simple", (a, b))
    if kind == 1:
        ys = np.sort(rng.uniform(-0.6, 0.6, int(rng.integers(2, 4))))[::-1]
        tip = net.at(rng.uniform(0.5, 1), rng.uniform(-0.3, 0.3))
        feet = [net.at(0, y + 0.01 * k) for k, y in enumerate(ys)]
        for foot in feet:
            net.join(foot, tip)
        return net.shape("bars at a wall", tuple(feet), wall=True)
    if kind == 2:
        a, b, c, d = (net.at(x, y) for x, y in ((0, 0), (1, 0), (1, 0.7), (0, 0.7)))
        net.join(a, b, c, d, a)
        net.join(a, c)
        if rng.random() < 0.5:
            net.join(b, d)
        return net.shape("square", (a, b))
    if kind == 3:
        a, b, c, d = (net.at(x, y) for x, y in ((0, 0), (1, 0), (0.5, 0.8), (0.5, 0.3)))
        net.join(a, c, b)
        net.join(a, d, b)
        net.join(c, d)
        if rng.random() < 0.5:
            net.join(a, b)
        return net.shape("kite", (a, b))
    n = int(rng.integers(5, 9))
    angles = np.sort(rng.uniform(0, 2 * np.pi, n)) if rng.random() < 0.4 else np.arange(n) * 2 * np.pi / n
    ring = [net.at(0.5 + 0.5 * np.cos(t), 0.5 * np.sin(t)) for t in angles]
    net.join(*ring, ring[0])
    if rng.random() < 0.5:
        hub = net.at(0.5, 0)
        for p in ring:
            net.join(hub, p)
    else:
        for k in range(2, n - 1):
            net.join(ring[0], ring[k])
    p = np.array(net.points)
    feet = np.argsort(p[:, 1])[:2]
    return net.shape("polygon", tuple(int(f) for f in feet))


def _irregular(rng: Rng) -> Shape:
    n = int(rng.integers(4, 16))
    points: list[FloatArray] = []
    apart = 0.62 / np.sqrt(n)
    aspect = rng.uniform(0.3, 1.0)
    for _ in range(400):
        p = rng.uniform(0, 1, 2) * (1, aspect)
        if all(np.hypot(*(p - q)) > apart for q in points):
            points.append(p)
        if len(points) == n:
            break
    p = np.array(points)
    edges = {tuple(sorted((int(t[i]), int(t[i - 1])))) for t in Delaunay(p).simplices for i in range(3)}
    keep = [e for e in edges if np.hypot(*(p[e[0]] - p[e[1]])) < 3.2 * apart]
    drop = rng.random(len(keep)) < rng.choice([0.0, 0.1, 0.25])
    degree = np.bincount(np.array(keep).ravel(), minlength=len(p))
    kept = []
    for edge, out in zip(keep, drop, strict=True):
        if out and min(degree[edge[0]], degree[edge[1]]) > 2:
            degree[list(edge)] -= 1
        else:
            kept.append(edge)
    feet = np.argsort(p[:, 1])[:2]
    return Shape("irregular", p, tuple(kept), tuple(int(f) for f in feet))  # type: ignore[arg-type]


def _grown(rng: Rng) -> Shape:
    """Triangle by triangle, each new joint on two old ones."""
    net = _Net()
    a, b, c = net.at(0, 0), net.at(1, 0), net.at(rng.uniform(0.1, 0.9), rng.uniform(0.5, 1))
    net.join(a, b, c, a)
    sides = [(a, c), (c, b)]
    for _ in range(int(rng.integers(1, 9))):
        i, j = sides.pop(int(rng.integers(len(sides))))
        p = np.array(net.points)
        along = p[j] - p[i]
        out = np.array([-along[1], along[0]])
        new = (p[i] + p[j]) / 2 + out * rng.uniform(0.5, 1.0) + along * rng.uniform(-0.4, 0.4)
        if min(np.hypot(*(new - q)) for q in p) < 0.3 * np.hypot(*along):
            continue
        k = net.at(*new)
        net.join(i, k, j)
        sides += [(i, k), (k, j)]
    return net.shape("grown", (a, b))


FAMILIES: dict[str, tuple[float, Callable[[Rng], Shape]]] = {
    "pratt": (1.3, lambda r: _panels(r, "pratt")),
    "howe": (1.3, lambda r: _panels(r, "howe")),
    "warren": (1.6, lambda r: _panels(r, "warren")),
    "zigzag": (0.8, lambda r: _panels(r, "zigzag")),
    "x": (0.7, lambda r: _panels(r, "x")),
    "xopen": (0.4, lambda r: _panels(r, "xopen")),
    "xj": (0.5, lambda r: _panels(r, "xj")),
    "k": (0.7, lambda r: _panels(r, "k")),
    "random": (0.8, lambda r: _panels(r, "random")),
    "fink": (0.9, _fink),
    "fan": (0.7, _fan),
    "scissors": (0.6, _scissors),
    "post": (0.9, _post),
    "tower": (1.1, _tower),
    "cantilever": (1.4, _cantilever),
    "crane": (0.6, _crane),
    "simple": (1.8, _simple),
    "irregular": (1.2, _irregular),
    "grown": (1.2, _grown),
}


def draw_shape(rng: Rng) -> Shape:
    """Draw a shape of a random family, stretched, mirrored and sometimes leaning."""
    names = list(FAMILIES)
    weights = np.array([FAMILIES[name][0] for name in names])
    for _ in range(50):
        shape = FAMILIES[str(rng.choice(names, p=weights / weights.sum()))][1](rng)
        points = shape.points * (rng.choice([-1, 1]), rng.uniform(0.75, 1.35))
        if rng.random() < 0.25:
            points = points @ np.array([[1, 0], [rng.uniform(-0.25, 0.25), 1]])
        if rng.random() < 0.35:
            points = points + rng.normal(0, 0.012, points.shape)
        if rng.random() < 0.12 and not shape.wall:
            points = points * (1, -1)
        shape = Shape(shape.family, points, shape.members, shape.feet, shape.wall)
        if sound(shape):
            return shape
    raise RuntimeError("no sound shape in fifty draws")


def sound(shape: Shape) -> bool:
    """Whether joints are apart, members pass no foreign joint, and there are 2 to 60 members."""
    points, members = shape.points, np.array(shape.members)
    if not 2 <= len(members) <= 60:
        return False
    size = np.ptp(points, axis=0).max()
    gaps = np.hypot(*(points[:, None] - points[None]).transpose(2, 0, 1))
    if (gaps + np.eye(len(points)) * size).min() < 0.028 * size:
        return False
    a, b = points[members[:, 0]], points[members[:, 1]]
    along = b - a
    length = np.hypot(*along.T)
    t = ((points[None] - a[:, None]) * along[:, None]).sum(-1) / (length**2)[:, None]
    foot = a[:, None] + t[..., None] * along[:, None]
    off = np.hypot(*(points[None] - foot).transpose(2, 0, 1))
    own = (np.arange(len(points))[None] == members[:, :1]) | (np.arange(len(points))[None] == members[:, 1:])
    return not bool(((off < 0.02 * size) & (t > 0.02) & (t < 0.98) & ~own).any())
