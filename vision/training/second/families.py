"""Shapes of trusses: joints and members of every family, in a frame about one unit wide.

Coordinates are x right, y up. A member is a pair of joint positions; members
may cross without a joint.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.spatial import Delaunay

from vision.training.second.chords import panels
from vision.training.second.net import FloatArray, Net, Rng, Shape, meeting_point

__all__ = ["FAMILIES", "Shape", "draw_shape"]


def _fink(rng: Rng) -> Shape:
    h, net = rng.uniform(0.22, 0.55), Net()
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
    for one, other in zip(left, right, strict=True):
        net.join(one, c)
        net.join(other, d)
    return net.shape("fink", (a, b))


def _fan(rng: Rng) -> Shape:
    h, net = rng.uniform(0.2, 0.6), Net()
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
    h, net = rng.uniform(0.35, 0.7), Net()
    t = rng.uniform(0.5, 0.7)
    a, b, top = net.at(0, 0), net.at(1, 0), net.at(0.5, h)
    low, r = net.at(0.5 * t, h * t), net.at(1 - 0.5 * t, h * t)
    p = np.array(net.points)
    m = net.at(*meeting_point(p[a], p[r], p[b], p[low]))
    net.join(a, low, top, r, b)
    net.join(a, m, r)
    net.join(b, m, low)
    net.join(m, top)
    return net.shape("scissors", (a, b))


def _post(rng: Rng) -> Shape:
    h, net = rng.uniform(0.2, 0.7), Net()
    a, b = net.at(0, 0), net.at(1, 0)
    if rng.random() < 0.5:
        m, top = net.at(0.5, 0), net.at(0.5, h)
        net.join(a, m, b, top, a)
        net.join(m, top)
        if rng.random() < 0.5:
            low, r = net.at(0.25, h / 2), net.at(0.75, h / 2)
            net.members[:] = [k for k in net.members if set(k) not in ({a, top}, {b, top})]
            net.join(a, low, top, r, b)
            net.join(low, m, r)
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
    net, n = Net(), int(rng.integers(2, 9))
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
            m = net.at(*meeting_point(p[a], p[c], p[b], p[d]))
            net.join(a, m, c)
            net.join(b, m, d)
        else:
            net.join(*((a, c) if web == "same" or i % 2 else (b, d)))
    if rng.random() < 0.3:
        tip = net.at(0, 1 + rng.uniform(0.06, 0.2))
        net.join(left[-1], tip, right[-1])
    return net.shape("tower", (left[0], right[0]))


def _cantilever(rng: Rng) -> Shape:
    net, n = Net(), int(rng.integers(1, 7))
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
    net = Net()
    w, h, reach = rng.uniform(0.15, 0.3), rng.uniform(0.5, 0.9), rng.uniform(0.4, 0.9)
    a, b, c, d = net.at(0, 0), net.at(w, 0), net.at(w, h), net.at(0, h)
    m1, m2 = net.at(0, h / 2), net.at(w, h / 2)
    net.join(a, m1, d)
    net.join(b, m2, c)
    net.join(m1, m2)
    net.join(d, c)
    net.join(*((a, m2) if rng.random() < 0.5 else (b, m1)))
    net.join(*((m1, c) if rng.random() < 0.5 else (m2, d)))
    tip, top = (
        net.at(w + reach, h * rng.uniform(0.9, 1.1)),
        net.at(w / 2, h * rng.uniform(1.2, 1.4)),
    )
    net.join(d, top, c)
    middle = net.at(w + reach / 2, h * 1.02)
    net.join(c, middle, tip, top, middle)
    return net.shape("crane", (a, b))


def _simple(rng: Rng) -> Shape:
    net, kind = Net(), rng.integers(5)
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
    angles = (
        np.sort(rng.uniform(0, 2 * np.pi, n))
        if rng.random() < 0.4
        else np.arange(n) * 2 * np.pi / n
    )
    ring = [net.at(0.5 + 0.5 * np.cos(t), 0.5 * np.sin(t)) for t in angles]
    net.join(*ring, ring[0])
    if rng.random() < 0.5:
        hub = net.at(0.5, 0)
        for corner in ring:
            net.join(hub, corner)
    else:
        for k in range(2, n - 1):
            net.join(ring[0], ring[k])
    p = np.array(net.points)
    lowest = np.argsort(p[:, 1])[:2]
    return net.shape("polygon", tuple(int(f) for f in lowest))


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
    edges = {
        tuple(sorted((int(t[i]), int(t[i - 1])))) for t in Delaunay(p).simplices for i in range(3)
    }
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
    net = Net()
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
    "pratt": (1.3, lambda r: panels(r, "pratt")),
    "howe": (1.3, lambda r: panels(r, "howe")),
    "warren": (1.6, lambda r: panels(r, "warren")),
    "zigzag": (0.8, lambda r: panels(r, "zigzag")),
    "x": (0.7, lambda r: panels(r, "x")),
    "xopen": (0.4, lambda r: panels(r, "xopen")),
    "xj": (0.5, lambda r: panels(r, "xj")),
    "k": (0.7, lambda r: panels(r, "k")),
    "random": (0.8, lambda r: panels(r, "random")),
    "fink": (0.9, _fink),
    "fan": (0.7, _fan),
    "scissors": (0.6, _scissors),
    "post": (0.9, _post),
    "tower": (1.1, _tower),
    "cantilever": (2.2, _cantilever),
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
    own = (np.arange(len(points))[None] == members[:, :1]) | (
        np.arange(len(points))[None] == members[:, 1:]
    )
    return not bool(((off < 0.02 * size) & (t > 0.02) & (t < 0.98) & ~own).any())
