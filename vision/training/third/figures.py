"""Figures that might be taken for a truss, each round a place and of some half size."""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray

from vision.training.third.holding import draw_support
from vision.training.third.letters import write, write_near
from vision.training.third.measures import dimension, length_text
from vision.training.third.remarks import draw_axes, draw_moment
from vision.training.third.sheet import Sheet
from vision.training.third.strokes import (
    across,
    arrow,
    choose_arrow,
    curve,
    hatching,
    line,
    ring,
    step,
    unit,
    wavered,
)

__all__ = [
    "beam",
    "chart",
    "circuit",
    "doodle",
    "forces",
    "geometry",
    "graph",
    "plot",
    "route",
    "table",
    "words",
]

Points = NDArray[np.float64]


def _path(sheet: Sheet, points: Points, *, closed: bool = False) -> None:
    """Draw a polygon stroke by stroke."""
    ends = np.roll(points, -1, axis=0) if closed else points[1:]
    for a, b in zip(points, ends, strict=False):
        sheet.ink_pressed(wavered(sheet, a, b))


def _corners(sheet: Sheet, points: Points, centre: Points) -> None:
    high = sheet.hand.letter * sheet.unit
    for name, p in zip("ABCDEFGHIJKL", points, strict=False):
        write_near(sheet, name, p, high, unit(p - centre), 4 * sheet.unit)


def geometry(sheet: Sheet, c: Points, r: float) -> None:
    """A triangle or polygon with a height, a circle, arcs and letters."""
    rng = sheet.rng
    n = int(rng.choice([3, 3, 3, 4, 5, 6]))
    a = np.sort(rng.uniform(0, 6.3) + np.arange(n) * 6.283 / n + rng.normal(0, 0.25, n))
    p = c + r * np.stack([np.cos(a), np.sin(a)], axis=1)
    _path(sheet, p, closed=True)
    if n > 3 and sheet.chance(0.5):
        _path(sheet, p[[0, 2]])
    if n == 3 and sheet.chance(0.6):
        foot = p[1] + rng.uniform(0.3, 0.7) * (p[2] - p[1])
        _path(sheet, np.array([p[0], foot]))
    if sheet.chance(0.35):
        ring(sheet, c, r * rng.choice([1.0, 0.5]), light=True)
    if sheet.chance(0.8):
        _corners(sheet, p, c)
    if sheet.chance(0.5):
        for a_, b_ in itertools.pairwise(p):
            mid = 0.5 * (a_ + b_)
            write_near(
                sheet, length_text(rng), mid, sheet.hand.letter * sheet.unit, unit(mid - c), 5
            )


def forces(sheet: Sheet, c: Points, r: float) -> None:
    """A force polygon, or a body cut free with its forces."""
    rng = sheet.rng
    look = choose_arrow(rng, rng.uniform(8, 16) * sheet.unit, plain=True)
    n = int(rng.integers(3, 7))
    if sheet.chance(0.5):
        a = np.sort(rng.uniform(0, 6.3, n))
        p = c + r * np.stack([np.cos(a), np.sin(a)], axis=1)
        for one, two in zip(p, np.roll(p, -1, axis=0), strict=True):
            arrow(sheet, one, two, look)
            mid = 0.5 * (one + two)
            if sheet.chance(0.7):
                write_near(sheet, f"F_{rng.integers(1, 9)}", mid, sheet.hand.letter * sheet.unit,
                           unit(mid - c), 5)  # fmt: skip
        return
    for a in rng.uniform(0, 6.3) + np.arange(n) * 6.283 / n + rng.normal(0, 0.2, n):
        u = np.array([np.cos(a), np.sin(a)])
        near, far = c + 0.12 * r * u, c + r * u
        arrow(sheet, *((near, far) if sheet.chance(0.75) else (far, near)), look)
        write_near(sheet, str(rng.choice(["F_AB", "F_BC", "P", "T", "10 kN", "R"])), far,
                   sheet.hand.letter * sheet.unit, u, 5)  # fmt: skip
    ring(sheet, c, rng.uniform(3, 0.12 * r))


def graph(sheet: Sheet, c: Points, r: float) -> None:
    """Rings joined by lines: a graph or a tree, with a word or number in each."""
    rng = sheet.rng
    size = rng.uniform(13, 26) * sheet.unit
    places: list[Points] = []
    for _ in range(40):
        p = c + rng.uniform(-1, 1, 2) * r * [1.1, 0.9]
        if all(np.hypot(*(p - q)) > 3.2 * size for q in places) and len(places) < 9:
            places.append(p)
    directed = sheet.chance(0.5)
    look = choose_arrow(rng, 10 * sheet.unit, plain=True)
    for k in range(1, len(places)):
        far = [float(np.hypot(*(p - places[k]))) for p in places[:k]]
        for j in np.argsort(far)[: int(rng.choice([1, 1, 2]))]:
            u = unit(places[k] - places[j])
            a, b = places[j] + size * u, places[k] - size * u
            if directed:
                arrow(sheet, a, b, look)
            else:
                line(sheet, a, b)
    for k, p in enumerate(places):
        ring(sheet, p, size)
        if sheet.chance(0.85):
            write(
                sheet,
                str(rng.choice([str(k), "ABCDEFGHIJ"[k], str(rng.integers(1, 99))])),
                p,
                0.9 * size,
            )


def chart(sheet: Sheet, c: Points, r: float) -> None:
    """Boxes with words, joined by arrows."""
    rng = sheet.rng
    wide, tall = 0.42 * r + 30, rng.uniform(18, 30) * sheet.unit
    look = choose_arrow(rng, 10 * sheet.unit, plain=True)
    y = c[1] - r
    last = None
    for _ in range(int(rng.integers(2, 6))):
        p = np.array([c[0] + rng.choice([0, 0, -0.5, 0.5]) * r, y])
        rim = np.array([[-wide, -tall], [wide, -tall], [wide, tall], [-wide, tall]])
        if sheet.chance(0.25):
            rim = np.array([[0, -1.4 * tall], [wide, 0], [0, 1.4 * tall], [-wide, 0]])
        _path(sheet, p + rim, closed=True)
        word = str(rng.choice(["start", "sketch", "check", "x = 0?", "stop", "measure", "solve"]))
        write(sheet, word, p, 0.7 * tall)
        if last is not None:
            arrow(sheet, last + step(0, 1.4 * tall), p - step(0, 1.4 * tall), look)
        last = p
        y += 4.6 * tall


def circuit(sheet: Sheet, c: Points, r: float) -> None:
    """A loop of wires with zigzag resistors and a cell."""
    rng = sheet.rng
    n = int(rng.integers(1, 4))
    x = np.linspace(c[0] - r, c[0] + r, n + 1)
    top, foot = c[1] - 0.5 * r, c[1] + 0.5 * r
    line(sheet, [x[0], foot], [x[-1], foot])
    for one, two in itertools.pairwise(x):
        t = np.linspace(0, 1, 13)
        zig = np.where((np.arange(13) > 3) & (np.arange(13) < 9), (-1.0) ** np.arange(13), 0) * 8
        sheet.ink(np.stack([one + t * (two - one), top + zig], axis=1))
        write(
            sheet,
            f"R_{rng.integers(1, 9)}",
            [0.5 * (one + two), top - 24],
            sheet.hand.letter * sheet.unit,
        )
    for one in x:
        mid = 0.5 * (top + foot)
        line(sheet, [one, top], [one, mid - 6])
        line(sheet, [one, mid + 6], [one, foot])
        line(sheet, [one - 16, mid - 6], [one + 16, mid - 6])
        line(sheet, [one - 8, mid + 6], [one + 8, mid + 6])
        if sheet.chance(0.5):
            ring(sheet, [one, top], 4)


def table(sheet: Sheet, c: Points, r: float) -> None:
    """A grid with words and numbers."""
    rng = sheet.rng
    rows, columns = int(rng.integers(2, 8)), int(rng.integers(2, 6))
    x, y = np.linspace(c[0] - r, c[0] + r, columns + 1), np.linspace(c[1] - r, c[1] + r, rows + 1)
    for v in x if sheet.chance(0.8) else x[[1]]:
        line(sheet, [v, y[0]], [v, y[-1]])
    for v in y if sheet.chance(0.8) else y[[1]]:
        line(sheet, [x[0], v], [x[-1], v])
    high = min(sheet.hand.letter * sheet.unit, 0.5 * (y[1] - y[0]), 0.3 * (x[1] - x[0]))
    for i, j in itertools.product(range(rows), range(columns)):
        if sheet.chance(0.75):
            text = str(
                rng.choice(
                    ["AB", "BC", "CD", "3.2", "-8", "0", "T", "C", f"{rng.uniform(0, 99):.1f}"]
                )
            )
            write(sheet, text, [0.5 * (x[j] + x[j + 1]), 0.5 * (y[i] + y[i + 1])], high)


def beam(sheet: Sheet, c: Points, r: float) -> None:
    """A beam, or a frame with stiff corners, on supports with loads of any kind."""
    rng = sheet.rng
    a, b = c - step(r, 0), c + step(r, 0)
    deep = rng.choice([0.0, rng.uniform(4, 14)]) * sheet.unit
    wide = 1.0 if deep else rng.uniform(1.0, 1.8)
    framed = sheet.chance(0.35)
    size = rng.uniform(16, 36) * sheet.unit
    feet = [a + step(0, deep), b + step(0, deep)]
    sheet.ink(wavered(sheet, a, b), wide=wide)
    if deep:
        sheet.ink([a, a + step(0, deep), b + step(0, deep), b], wide=0.9)
    if framed:
        tall = rng.uniform(0.5, 1.0) * r
        feet = [foot + step(0, tall) for foot in feet]
        for top, foot in zip((a, b), feet, strict=True):
            sheet.ink(wavered(sheet, top, foot), wide=wide)
    elif sheet.chance(0.35):
        feet[1] = feet[1] - step(rng.uniform(0.2, 0.8) * r, 0)
    if sheet.chance(0.25) and not framed:
        line(sheet, a - step(0, 30), a + step(0, 30 + deep))
        hatching(sheet, a - step(0, 30), a + step(0, 30 + deep), np.array([-1.0, 0.0]), 9)
        feet = feet[1:] if sheet.chance(0.3) else []
    for foot, kind, style in zip(feet, ("pin", "roller"), ("triangle", "wheels"), strict=False):
        draw_support(sheet, foot, kind, 90, size, style)
    look = choose_arrow(rng, 9 * sheet.unit, plain=True)
    if sheet.chance(0.6):
        start, end = np.sort(rng.uniform(0, 1, 2))
        high = rng.uniform(20, 50) * sheet.unit
        p, q = a + start * (b - a), a + end * (b - a)
        n = int(np.clip((q - p)[0] / (16 * sheet.unit), 2, 16))
        slope = rng.choice([1.0, 1.0, 0.0])
        tops = [
            p + t * (q - p) - step(0, high * (1 - t * (1 - slope))) for t in np.linspace(0, 1, n)
        ]
        line(sheet, tops[0], tops[-1])
        for t, top in zip(np.linspace(0, 1, n), tops, strict=True):
            foot = p + t * (q - p)
            if foot[1] - top[1] > 8 * sheet.unit:
                arrow(sheet, top, foot - step(0, 1), look, light=True)
        write_near(sheet, str(rng.choice(["q", "w", "5 kN/m"])), 0.5 * (p + q) - step(0, high),
                   sheet.hand.letter * sheet.unit, np.array([0.0, -1.0]), 5)  # fmt: skip
    for _ in range(int(rng.integers(0, 3))):
        at = a + rng.uniform(0, 1) * (b - a)
        arrow(sheet, at - step(0, rng.uniform(40, 90)), at - step(0, 2), look)
    if sheet.chance(0.5):
        off = np.array([0.0, rng.uniform(40, 80) * sheet.unit])
        cut = a + rng.uniform(0.3, 0.7) * (b - a)
        for p, q in ((a, cut), (cut, b)) if sheet.chance(0.6) else ((a, b),):
            dimension(sheet, p, q, off, "arrows", look, "gap", length_text(rng))
    if sheet.chance(0.3):
        draw_moment(sheet, a + rng.uniform(0, 1) * (b - a), rng.uniform(12, 28))


def doodle(sheet: Sheet, c: Points, r: float) -> None:
    """A house, an envelope, a kite, a box in perspective, a tent, a star."""
    rng = sheet.rng
    figures: dict[str, tuple[list[tuple[float, float]], str]] = {
        "house": (
            [
                (-1, 1),
                (1, 1),
                (1, -0.1),
                (-1, -0.1),
                (0, -1),
                (-0.2, 1),
                (-0.2, 0.4),
                (0.2, 0.4),
                (0.2, 1),
            ],
            "01 12 23 30 34 42 56 67 78",
        ),
        "envelope": ([(-1, 0.6), (1, 0.6), (1, -0.6), (-1, -0.6), (0, 0.1)], "01 12 23 30 34 42"),
        "window": (
            [(-1, 1), (1, 1), (1, -1), (-1, -1), (0, 1), (0, -1), (-1, 0), (1, 0)],
            "01 12 23 30 45 67",
        ),
        "kite": ([(0, -1), (0.6, -0.2), (0, 1), (-0.6, -0.2)], "01 12 23 30 02 13"),
        "cube": (
            [
                (-1, 1),
                (0.4, 1),
                (0.4, -0.4),
                (-1, -0.4),
                (-0.4, 0.4),
                (1, 0.4),
                (1, -1),
                (-0.4, -1),
            ],
            "01 12 23 30 45 56 67 74 04 15 26 37",
        ),
        "star": (
            [(0, -1), (0.59, 0.81), (-0.95, -0.31), (0.95, -0.31), (-0.59, 0.81)],
            "01 12 23 34 40",
        ),
        "tent": ([(-1, 0.6), (-0.2, -0.6), (0.2, 0.7), (1, 0.3), (0.5, -0.8)], "01 12 20 23 34 41"),
        "ladder": (
            [
                (-0.3, 1),
                (-0.2, -1),
                (0.3, 1),
                (0.2, -1),
                (-0.27, 0.5),
                (0.27, 0.5),
                (-0.25, 0),
                (0.25, 0),
                (-0.23, -0.5),
                (0.23, -0.5),
            ],
            "01 23 45 67 89",
        ),
        "stair": (
            [
                (-1, 1),
                (-1, 0.5),
                (-0.5, 0.5),
                (-0.5, 0),
                (0, 0),
                (0, -0.5),
                (0.5, -0.5),
                (0.5, -1),
                (1, -1),
            ],
            "01 12 23 34 45 56 67 78",
        ),
    }
    points, edges = figures[str(rng.choice(list(figures)))]
    p = c + r * (
        np.array(points) * rng.uniform(0.7, 1.2, 2) + rng.normal(0, 0.03, (len(points), 2))
    )
    for pair in edges.split():
        sheet.ink_pressed(wavered(sheet, p[int(pair[0])], p[int(pair[1])]))
    if sheet.chance(0.3):
        _corners(sheet, p, c)


def plot(sheet: Sheet, c: Points, r: float) -> None:
    """Axes with a curve or a broken line of marks."""
    rng = sheet.rng
    origin = c + step(-r, 0.7 * r)
    draw_axes(sheet, origin, 1.6 * r)
    x = np.linspace(0, 1.4 * r, int(rng.integers(4, 9)))
    y = np.abs(np.cumsum(rng.normal(0.1, 0.35, len(x)))) * 0.5 * r
    p = origin + np.stack([x, -np.clip(y, 0, 1.4 * r)], axis=1)
    if sheet.chance(0.5):
        t = np.linspace(0, x[-1], 50)
        curve(sheet, np.stack([origin[0] + t, np.interp(origin[0] + t, p[:, 0], p[:, 1])], axis=1))
    else:
        _path(sheet, p)
    if sheet.chance(0.6):
        for q in p:
            if sheet.chance(0.5):
                ring(sheet, q, 3.5 * sheet.unit)
            else:
                s = 4 * sheet.unit
                sheet.ink([q - s, q + s])
                sheet.ink([q + step(s, -s), q + step(-s, s)])


def route(sheet: Sheet, c: Points, r: float) -> None:
    """A sketched map: roads of two lines, blocks, a cross for a place."""
    rng = sheet.rng
    for _ in range(int(rng.integers(2, 5))):
        a, b = c + rng.uniform(-1, 1, 2) * r, c + rng.uniform(-1, 1, 2) * r
        gap = rng.uniform(4, 12) * sheet.unit * across(b - a)
        t = np.linspace(0, 1, 14)[:, None]
        way = a + t * (b - a) + rng.normal(0, 0.15) * r * np.sin(np.pi * t) * across(b - a)
        curve(sheet, way + gap)
        curve(sheet, way - gap)
    for _ in range(int(rng.integers(1, 5))):
        p, s = c + rng.uniform(-1, 1, 2) * r, rng.uniform(10, 30) * sheet.unit
        _path(sheet, p + s * np.array([[-1, -0.7], [1, -0.7], [1, 0.7], [-1, 0.7]]), closed=True)
    look = choose_arrow(rng, 10 * sheet.unit, plain=True)
    p = c + step(r, -r)
    arrow(sheet, p + step(0, 60 * sheet.unit), p, look)
    write_near(sheet, "N", p, sheet.hand.letter * sheet.unit, np.array([0.0, -1.0]), 4)


def words(sheet: Sheet, c: Points, r: float) -> None:
    """Nothing but writing."""
