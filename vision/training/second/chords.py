"""Trusses of two chords with a web: Pratt, Howe, Warren, K and their relatives."""

from __future__ import annotations

import numpy as np

from vision.training.second.net import FloatArray, Net, Rng, Shape, meeting_point

__all__ = ["panels"]


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


def panels(rng: Rng, web: str, bays: int | None = None) -> Shape:
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
    net = Net()
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
            m = net.at(*meeting_point(p[a], p[c], p[b], p[d]))
            net.join(a, m, c)
            net.join(b, m, d)
        elif web == "k":
            _k_panel(net, (a, b, c, d), left)
        else:
            if rng.random() < 0.9:
                net.join(*((a, c) if rng.random() < 0.5 else (b, d)))
    return net.shape(web, (low[0], low[-1]))


def _k_panel(net: Net, panel: tuple[int, int, int, int], left: bool) -> None:
    a, b, c, d = panel
    ends, post = ((a, d), (b, c)) if left else ((b, c), (a, d))
    p = np.array(net.points)
    middle = net.at(*((p[ends[0]] + p[ends[1]]) / 2))
    pair = tuple(sorted(ends))
    net.members[:] = [m for m in net.members if tuple(sorted(m)) != pair]
    net.join(ends[0], middle, ends[1])
    net.join(middle, post[0])
    net.join(middle, post[1])


def _warren(rng: Rng, net: Net, low: list[int], xs: FloatArray, heights: FloatArray) -> Shape:
    net = Net()
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
