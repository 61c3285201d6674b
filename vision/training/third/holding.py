"""Supports and the ground as people draw them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from vision.training.third.sheet import Sheet
from vision.training.third.strokes import across, curve, hatching, line, ring

__all__ = ["PINS", "ROLLERS", "draw_shared_ground", "draw_support"]

Points = NDArray[np.float64]

PINS = ("triangle", "eye", "legs", "solid", "lugs", "wall", "dome", "bare", "box")
ROLLERS = ("wheels", "circle", "gap", "rocker", "link", "under", "pad", "between", "legs")


class _Frame:
    """The support's own axes: down from the joint into the ground, and across."""

    def __init__(self, sheet: Sheet, joint: Points, angle_deg: float, size: float) -> None:
        a = np.radians(angle_deg)
        self.sheet, self.joint, self.size = sheet, joint, size
        self.down = -np.array([np.cos(a), -np.sin(a)])
        self.side = across(self.down)

    def at(self, x: float, y: float) -> Points:
        """Return the point x across and y down, in sizes of the symbol."""
        place: Points = self.joint + self.size * (x * self.side + y * self.down)
        return place

    def stroke(self, x0: float, y0: float, x1: float, y1: float, wide: float = 1.0) -> None:
        """Draw a stroke from one place to another."""
        loose = 0.06 * self.sheet.hand.sloppy
        shift = self.sheet.rng.normal(0, loose, 4)
        line(self.sheet, self.at(x0 + shift[0], y0 + shift[1]),
             self.at(x1 + shift[2], y1 + shift[3]), wide=wide)  # fmt: skip

    def triangle(self, y: float, half: float, *, closed: bool = True) -> None:
        """Draw two legs from the joint and, if closed, the line between their feet."""
        self.stroke(0, 0, -half, y)
        self.stroke(0, 0, half, y)
        if closed:
            self.stroke(-half, y, half, y)

    def ground(self, y: float, half: float, hatch: bool) -> None:
        """Draw the ground's line and its hatching."""
        self.stroke(-half, y, half, y, wide=float(self.sheet.rng.choice([1.0, 1.0, 1.4])))
        if hatch:
            depth = self.size * self.sheet.rng.uniform(0.18, 0.35)
            into = -self.down if self.sheet.chance(0.04) else self.down
            hatching(self.sheet, self.at(-half, y), self.at(half, y), into, depth)

    def wheels(self, y: float, half: float, radius: float, count: int) -> None:
        """Draw wheels in a row, their middles at y."""
        spread = np.linspace(-1, 1, count) * (half - radius) if count > 1 else np.zeros(1)
        for x in spread:
            outline = ring(self.sheet, self.at(float(x), y), radius * self.size, wide=0.9)
            if self.sheet.chance(0.08):
                self.sheet.fill(outline)


def draw_shared_ground(sheet: Sheet, joints: Points, angle_deg: float, size: float) -> None:
    """Draw one floor or wall behind supports that stand in a row.

    Parameters
    ----------
    joints : ndarray, shape (n, 2)
    angle_deg, size : float
        As `draw_support` takes them, with style ``"shared"``.
    """
    a = np.radians(angle_deg)
    down = -np.array([np.cos(a), -np.sin(a)])
    side = across(down)
    along = joints @ side
    past = sheet.rng.uniform(0.5, 1.6, 2) * size
    deep = float(np.mean(joints @ down)) + 1.02 * size
    p = (along.min() - past[0]) * side + deep * down
    q = (along.max() + past[1]) * side + deep * down
    line(sheet, p, q, wide=float(sheet.rng.choice([1.0, 1.3])))
    if sheet.chance(0.8):
        depth = max(6 * sheet.unit, 0.25 * size)
        hatching(sheet, p, q, down, depth, most=40)


def draw_support(
    sheet: Sheet, joint: Points, kind: str, angle_deg: float, size: float, style: str
) -> None:
    """Draw the support of a joint.

    Parameters
    ----------
    angle_deg : float
        Where it pushes on the truss, counter-clockwise as seen.
    size : float
        Height of the symbol in pixels.
    style : str
        One of `PINS` or `ROLLERS`, as the kind is, or ``"shared"``: without its own ground.
    """
    frame = _Frame(sheet, joint, angle_deg, size)
    (_pin if kind == "pin" else _roller)(frame, style, sheet.rng)


def _pin(f: _Frame, style: str, rng: np.random.Generator) -> None:
    half = rng.uniform(0.4, 0.75)
    base = half * rng.uniform(1.0, 1.8)
    hatch = rng.random() < 0.7
    if style == "triangle":
        f.triangle(1.0, half)
        if rng.random() < 0.75:
            f.ground(1.0, base, hatch)
    elif style == "eye":
        f.triangle(1.0, half)
        f.ground(1.0, base, hatch)
        f.sheet.fill(ring(f.sheet, f.joint, 0.17 * f.size), 0.0)
        ring(f.sheet, f.joint, 0.17 * f.size)
    elif style == "legs":
        f.triangle(1.0, half, closed=False)
        f.ground(1.0, base, hatch)
    elif style == "solid":
        f.sheet.fill([f.at(0, 0), f.at(half, 1), f.at(-half, 1)], rng.uniform(0.5, 1.0))
        f.triangle(1.0, half)
        if rng.random() < 0.5:
            f.ground(1.0, base, hatch)
    elif style == "lugs":
        w = rng.uniform(0.22, 0.4)
        t = np.linspace(-np.pi / 2, np.pi / 2, 9)
        dome = [f.at(w * np.sin(a), -w * np.cos(a)) for a in t]
        curve(f.sheet, np.array([f.at(-w, 1.0), *dome, f.at(w, 1.0)]))
        ring(f.sheet, f.joint, 0.4 * w * f.size, wide=0.9)
        f.ground(1.0, base, hatch)
    elif style == "wall":
        deep = rng.choice([0.0, 0.12, 0.3])
        if deep:
            f.stroke(-0.12, deep, 0, 0)
            f.stroke(0.12, deep, 0, 0)
        f.ground(deep, rng.uniform(0.7, 1.6), True)
    elif style == "dome":
        t = np.linspace(np.pi, 0, 11)
        r = rng.uniform(0.4, 0.6)
        curve(f.sheet, np.array([f.at(r * np.cos(a), 0.85 - 0.85 * np.sin(a)) for a in t]))
        f.ground(0.85, base, hatch)
    elif style == "shared":
        f.triangle(1.0, half)
    elif style == "box":
        f.triangle(0.8, half)
        f.sheet.ink(
            [f.at(-base, 0.8), f.at(-base, 1.1), f.at(base, 1.1), f.at(base, 0.8)], closed=True
        )
        if hatch:
            hatching(f.sheet, f.at(-base, 0.8), f.at(base, 0.8), f.down, 0.28 * f.size)
    else:
        f.triangle(1.0, half)


def _roller(f: _Frame, style: str, rng: np.random.Generator) -> None:
    half = rng.uniform(0.4, 0.7)
    base = half * rng.uniform(1.0, 1.8)
    hatch = rng.random() < 0.6
    floor = rng.random() < 0.85
    r = rng.uniform(0.1, 0.2)
    if style in ("wheels", "legs", "pad"):
        count = int(rng.choice([1, 2, 2, 3, 3]))
        if style == "legs":
            f.triangle(0.75, half, closed=False)
            f.stroke(-half * 1.15, 0.75, half * 1.15, 0.75)
        elif style == "pad":
            t = np.linspace(np.pi, 0, 9)
            curve(f.sheet, np.array([f.at(half * np.cos(a), 0.75 - 0.75 * np.sin(a)) for a in t]))
            f.stroke(-half, 0.75, half, 0.75)
        else:
            f.triangle(0.75, half)
        f.wheels(0.75 + r, half if count > 1 else r, r, count)
        if floor:
            f.ground(0.76 + 2 * r, base, hatch)
    elif style == "shared":
        f.triangle(0.74, half)
        count = int(rng.choice([1, 2, 3]))
        f.wheels(0.87, half if count > 1 else 0.13, 0.13, count)
    elif style == "circle":
        big = rng.uniform(0.28, 0.5)
        f.wheels(big, big, big, 1)
        if floor or rng.random() < 0.6:
            f.ground(2.02 * big, max(base, 1.2 * big), hatch)
    elif style == "gap":
        f.triangle(0.8, half)
        f.ground(0.8 + rng.uniform(0.12, 0.28), base, hatch)
    elif style == "rocker":
        f.stroke(0, 0, -half, 0.7)
        f.stroke(0, 0, half, 0.7)
        t = np.linspace(-1, 1, 9)
        sag = rng.uniform(0.15, 0.3)
        curve(f.sheet, np.array([f.at(half * x, 0.7 + sag * (1 - x * x)) for x in t]))
        f.ground(0.72 + sag, base, hatch)
    elif style == "link":
        tiny = rng.uniform(0.08, 0.14)
        long = rng.uniform(0.9, 1.5)
        f.stroke(0, tiny, 0, long - tiny)
        ring(f.sheet, f.at(0, 0), tiny * f.size, wide=0.9)
        ring(f.sheet, f.at(0, long), tiny * f.size, wide=0.9)
        f.ground(long + tiny, base, True)
    elif style == "between":
        big = rng.uniform(0.18, 0.3)
        f.stroke(-half, 0.04, half, 0.04)
        count = int(rng.choice([1, 2, 3]))
        f.wheels(0.06 + big, half if count > 1 else big, min(big, half / max(count, 1)), count)
        f.ground(0.08 + 2 * big, base, hatch)
    else:
        f.triangle(0.7, half)
        f.ground(0.7, half, False)
        f.wheels(0.7 + 1.2 * r, half, r, 2)
        if floor:
            f.ground(0.7 + 2.4 * r, base, hatch)
