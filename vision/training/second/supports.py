"""Supports as people draw them."""

from __future__ import annotations

import numpy as np

from vision.training.second.drawing import Drawing, FloatArray, turned, unit

__all__ = ["draw_support"]


def draw_support(page: Drawing, joint: FloatArray, kind: str, degrees: float) -> None:
    """Draw a support that pushes in `degrees`, in a frame whose y points into the truss."""
    rng, sheet, hand = page.rng, page.sheet, page.hand
    up = unit(degrees)
    across = turned(up, -90)
    s = page.symbol * rng.uniform(0.75, 1.35)

    def at(x: float, y: float) -> FloatArray:
        return np.asarray(joint + s * (x * across + y * up))

    wide = rng.uniform(0.4, 0.75)
    base = -rng.uniform(0.75, 1.1)
    loose = rng.uniform(0.3, 1.0)

    def triangle(top: float, bottom: float) -> None:
        a, b, c = at(0, top), at(-wide, bottom), at(wide, bottom)
        for p, q in ((a, b), (b, c), (c, a)):
            sheet.line(p, q, hand, loose=loose)

    def ground(y: float, reach: float, hatch: float = 0.75) -> None:
        sheet.line(at(-reach, y), at(reach, y), hand, loose=loose)
        if rng.random() < hatch:
            n, lean = int(rng.integers(3, 9)), rng.choice([-1, 1]) * rng.uniform(0.1, 0.25)
            for x in np.linspace(-reach, reach, n):
                sheet.line(
                    at(x, y), at(x - lean, y - rng.uniform(0.15, 0.3)), page.side_hand, loose=0.5
                )

    style = rng.random()
    if kind == "pin":
        if style < 0.62:
            top = 0 if rng.random() < 0.8 else -0.18
            triangle(top, base)
            if rng.random() < 0.7:
                ground(base, wide * rng.uniform(1.0, 1.8))
            if rng.random() < 0.3:
                sheet.circle(at(0, 0), s * 0.14, hand)
        elif style < 0.76:
            sheet.polygon(np.array([at(0, 0), at(-wide, base), at(wide, base)]), hand, filled=True)
            if rng.random() < 0.4:
                ground(base, wide * 1.4)
        elif style < 0.9:
            ground(-0.06 if rng.random() < 0.6 else -0.2, wide * rng.uniform(1.2, 2.4), 1.0)
            if rng.random() < 0.5:
                sheet.circle(at(0, 0), s * 0.14, hand)
        else:
            n = int(rng.integers(3, 6))
            triangle(0, base)
            for x in np.linspace(-0.5, 0.5, n):
                sheet.line(
                    at(x * wide, base), at(x * wide - 0.2, base - 0.25), page.side_hand, loose=0.5
                )
    elif style < 0.3:
        r = rng.uniform(0.1, 0.19)
        triangle(0, base + 0.2)
        for x in np.linspace(-wide, wide, int(rng.integers(2, 4))) * rng.uniform(0.5, 0.85):
            own = r * rng.uniform(0.75, 1.25)
            sheet.circle(at(x, base + 0.2 - own), s * own, hand)
        if rng.random() < 0.8:
            ground(base + 0.2 - 2 * r, wide * rng.uniform(1, 1.7), 0.6)
    elif style < 0.52:
        r = rng.uniform(0.28, 0.5)
        sheet.circle(at(0, -r - rng.uniform(0, 0.08)), s * r, hand)
        if rng.random() < 0.8:
            ground(-2 * r - 0.05, wide * rng.uniform(1, 2), 0.7)
    elif style < 0.72:
        triangle(0, base + 0.15)
        if rng.random() < 0.5:
            sheet.line(at(-wide, base + 0.15), at(wide, base + 0.15), hand, loose=loose)
        ground(base - rng.uniform(0.0, 0.15), wide * rng.uniform(1, 1.6), 0.6)
    elif style < 0.86:
        triangle(0, base + 0.25)
        sheet.circle(at(0, base), s * 0.22, hand)
        if rng.random() < 0.8:
            ground(base - 0.24, wide * rng.uniform(1, 1.6), 0.7)
    else:
        r = rng.uniform(0.16, 0.24)
        for x in (-1.05 * r, 1.05 * r):
            sheet.circle(at(x, -r - 0.04), s * r, hand)
        ground(-2 * r - 0.06, wide * rng.uniform(1, 1.8), 0.7)
