"""Figures of the natural sciences, some made of bars and triangles like a truss."""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray

from vision.training.third.letters import write, write_near
from vision.training.third.sheet import Sheet
from vision.training.third.strokes import (
    across,
    arrow,
    choose_arrow,
    curve,
    dashes,
    hatching,
    line,
    ring,
    step,
    unit,
)

__all__ = ["incline", "molecule", "rays", "springs", "tree"]

Points = NDArray[np.float64]


def molecule(sheet: Sheet, c: Points, r: float) -> None:
    """Hexagons side by side with double bonds and letters at their ends."""
    rng = sheet.rng
    size = r * rng.uniform(0.3, 0.55)
    turn = rng.choice([0.0, np.pi / 6])
    a = turn + np.arange(6) * np.pi / 3
    for k in range(int(rng.integers(1, 4))):
        middle = c + (k - 1) * np.sqrt(3) * size * np.array(
            [np.cos(turn + 0.52), np.sin(turn + 0.52)]
        )
        p = middle + size * np.stack([np.cos(a), np.sin(a)], axis=1)
        for i, (one, two) in enumerate(zip(p, np.roll(p, -1, axis=0), strict=True)):
            line(sheet, one, two)
            if i % 2 == k % 2:
                line(sheet, middle + 0.82 * (one - middle), middle + 0.82 * (two - middle))
        if sheet.chance(0.6):
            i = int(rng.integers(6))
            end = middle + 1.8 * (p[i] - middle)
            line(sheet, p[i], end)
            name = str(rng.choice(["OH", "H", "N", "CH_3", "O", "Cl"]))
            write_near(sheet, name, end, sheet.hand.letter * sheet.unit, unit(end - middle), 3)


def incline(sheet: Sheet, c: Points, r: float) -> None:
    """A block on a slope with its forces and the slope's angle."""
    rng = sheet.rng
    rise = rng.uniform(0.4, 1.1) * r
    a, b, corner = c + step(-r, 0.5 * r), c + step(r, 0.5 * r - rise), c + step(r, 0.5 * r)
    line(sheet, a, b)
    line(sheet, a, corner)
    if sheet.chance(0.7):
        line(sheet, corner, b)
    if sheet.chance(0.3):
        hatching(sheet, a, corner, step(0, 1), 8 * sheet.unit)
    u = unit(b - a)
    up = -across(u) if across(u)[1] > 0 else across(u)
    foot, half = a + rng.uniform(0.35, 0.7) * (b - a), rng.uniform(0.12, 0.2) * r
    box = [
        foot - half * u,
        foot + half * u,
        foot + half * (u + 1.4 * up),
        foot + half * (1.4 * up - u),
    ]
    for one, two in zip(box, [*box[1:], box[0]], strict=True):
        line(sheet, one, two)
    middle = foot + 0.7 * half * up
    look = choose_arrow(rng, 9 * sheet.unit, plain=True)
    ways = [(np.array([0.0, 1.0]), "mg"), (up, "N"), (u, "F"), (-u, "T")]
    for way, name in ways[: int(rng.integers(1, 5))]:
        tip = middle + rng.uniform(0.4, 0.7) * r * way
        arrow(sheet, middle, tip, look)
        write_near(sheet, name, tip, sheet.hand.letter * sheet.unit, way, 4)
    t = np.linspace(0, 1, 7)[:, None]
    ways_between = np.array([1.0, 0.0]) + t * (u - np.array([1.0, 0.0]))
    curve(sheet, a + 0.3 * r * ways_between, light=True)
    write(sheet, "θ", a + 0.42 * r * ways_between[3], 0.9 * sheet.hand.letter * sheet.unit)


def springs(sheet: Sheet, c: Points, r: float) -> None:
    """Weights between springs from a wall, or under a ceiling with a pulley."""
    rng = sheet.rng
    if sheet.chance(0.5):
        wall = c + step(-r, 0)
        line(sheet, wall - step(0, 0.3 * r), wall + step(0, 0.3 * r))
        hatching(sheet, wall - step(0, 0.3 * r), wall + step(0, 0.3 * r), step(-1, 0), 8)
        x = wall[0]
        half = 0.16 * r
        for k in range(int(rng.integers(1, 3))):
            t = np.linspace(0, 0.6 * r, 13)
            zig = np.where((np.arange(13) > 1) & (np.arange(13) < 11), (-1.0) ** np.arange(13), 0)
            sheet.ink(np.stack([x + t, c[1] + 0.08 * r * zig], axis=1))
            x += 0.6 * r
            box = np.array([[x, -half], [x + 2 * half, -half], [x + 2 * half, half], [x, half]])
            sheet.ink(box + step(0, c[1]), closed=True)
            write(sheet, f"m_{k + 1}", [x + half, c[1]], min(half, sheet.hand.letter * sheet.unit))
            x += 2 * half
        return
    a, b = c + step(-0.5 * r, -r), c + step(0.5 * r, -r)
    line(sheet, a, b)
    hatching(sheet, a, b, step(0, -1), 8 * sheet.unit)
    wheel = 0.22 * r
    line(sheet, c + step(0, -r), c + step(0, -0.5 * r))
    ring(sheet, c + step(0, -0.5 * r), wheel)
    for side, deep in ((-1, rng.uniform(0.2, 0.8)), (1, rng.uniform(0.2, 0.8))):
        end = c + step(side * wheel, deep * r)
        line(sheet, c + step(side * wheel, -0.5 * r), end)
        half = rng.uniform(0.1, 0.2) * r
        box = end + half * np.array([[-1, 0], [1, 0], [1, 1.6], [-1, 1.6]])
        sheet.ink(box, closed=True)


def rays(sheet: Sheet, c: Points, r: float) -> None:
    """A lens with an axis and the rays through it."""
    rng = sheet.rng
    t = np.linspace(-1, 1, 11)
    for sign in (-1, 1):
        bow = np.stack([sign * 0.1 * r * (1 - t * t), 0.6 * r * t], axis=1)
        curve(sheet, c + bow)
    dashes(sheet, np.array([c - step(r, 0), c + step(r, 0)]), 9, 6, light=True)
    look = choose_arrow(rng, 8 * sheet.unit, plain=True)
    foot, high = c - step(0.8 * r, 0), rng.uniform(0.25, 0.5) * r
    arrow(sheet, foot, foot - step(0, high), look)
    image = c + step(0.8 * r, rng.uniform(0.2, 0.6) * r)
    arrow(sheet, [image[0], c[1]], image, look)
    tip = foot - step(0, high)
    for through in (tip[1], c[1], image[1]):
        line(sheet, tip, [c[0], through], light=True)
        line(sheet, [c[0], through], image, light=True)


def tree(sheet: Sheet, c: Points, r: float) -> None:
    """Branches that fork, with a word or a share at each end."""
    rng = sheet.rng
    level = [c - step(0, r)] if sheet.chance(0.6) else [c - step(0, r), c - step(0.1 * r, r)]
    high = 0.8 * sheet.hand.letter * sheet.unit
    for depth in range(int(rng.integers(2, 4))):
        spread = 0.9 * r / 2**depth
        lower = []
        for p in level[:4]:
            forks = int(rng.choice([2, 2, 3]))
            for x in np.linspace(-0.5, 0.5, forks):
                q = p + step(2 * x * spread * 0.9, 0.6 * r)
                line(sheet, p, q)
                lower.append(q)
        level = lower
    for q in level[:10]:
        write_near(
            sheet, str(rng.choice(["H", "T", "1/2", "0.3", "yes", "no"])), q, high, step(0, 1), 4
        )
    for one, two in itertools.pairwise(level[:2]):
        if sheet.chance(0.2):
            dashes(sheet, np.array([one, two]), 5, 4, light=True)
