"""Figures of boxes whose crossed lines resemble a braced panel and are none."""

from __future__ import annotations

import numpy as np

from vision.training import words
from vision.training.hand import Points
from vision.training.notes import Notes

__all__ = ["envelope", "kite", "window", "wireframe"]

Rng = np.random.Generator
Box = tuple[float, float, float, float]


def _ring(box: Box) -> Points:
    x0, y0, x1, y1 = box
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1], [x0, y0]])


def _frame(n: Notes, box: Box, crossed: bool) -> None:
    ring = _ring(box)
    n.hand.chain(n.rng, n.sheet, ring)
    if crossed:
        n.hand.line(n.rng, n.sheet, ring[0], ring[2])
        n.hand.line(n.rng, n.sheet, ring[1], ring[3])


def wireframe(n: Notes, box: Box) -> None:
    """A screen drawn as boxes: pictures crossed out, buttons, fields, lines of text."""
    rng = n.rng
    x0, y0, x1, y1 = box
    n.hand.chain(rng, n.sheet, _ring(box))
    wide, tall = x1 - x0, y1 - y0
    y = y0 + 0.08 * tall
    if rng.random() < 0.6:
        n.hand.line(rng, n.sheet, np.array([x0, y]), np.array([x1, y]))
        n.text(words.prose(rng)[:12], np.array([x0 + 0.03 * wide, y0 + 0.04 * tall]), anchor=0.0)
    while y < y1 - 0.12 * tall:
        high = min(rng.uniform(0.1, 0.4) * tall, y1 - y - 0.03 * tall)
        count = int(rng.choice([1, 1, 2, 3]))
        crossed = rng.random() < 0.6
        for k in range(count):
            left = x0 + wide * (0.04 + 0.92 * k / count)
            right = left + wide * (0.92 / count - 0.03)
            part = (left, y + 0.04 * tall, right, y + high)
            if crossed or rng.random() < 0.3:
                _frame(n, part, crossed)
            else:
                for line in np.arange(part[1], part[3], 1.6 * n.height):
                    end = np.array([right - rng.uniform(0, 0.4) * (right - left), line])
                    n.hand.line(rng, n.sheet, np.array([left, line]), end)
            if rng.random() < 0.3:
                text = words.prose(rng)[: int(rng.integers(3, 9))]
                n.text(text, np.array([(left + right) / 2, y + high / 2]), 0, 0.8)
        y += high + 0.02 * tall


def window(n: Notes, box: Box) -> None:
    """A window or a door: a frame, its bars, the lines that say how it opens."""
    rng = n.rng
    x0, y0, x1, y1 = box
    _frame(n, box, False)
    if rng.random() < 0.6:
        rim = 0.06 * min(x1 - x0, y1 - y0)
        _frame(n, (x0 + rim, y0 + rim, x1 - rim, y1 - rim), rng.random() < 0.2)
    for k in range(1, int(rng.integers(1, 4))):
        x = x0 + (x1 - x0) * k / 3
        n.hand.line(rng, n.sheet, np.array([x, y0]), np.array([x, y1]))
    if rng.random() < 0.5:
        y = y0 + (y1 - y0) * rng.uniform(0.3, 0.6)
        n.hand.line(rng, n.sheet, np.array([x0, y]), np.array([x1, y]))
    if rng.random() < 0.5:
        side, other = (x0, x1) if rng.random() < 0.5 else (x1, x0)
        hinge = np.array([other, (y0 + y1) / 2])
        for y in (y0, y1):
            n.hand.line(rng, n.sheet, np.array([side, y]), hinge)


def kite(n: Notes, box: Box) -> None:
    """A kite with its cross, tail and string."""
    rng, u = n.rng, n.sheet.unit
    x0, y0, x1, y1 = box
    size = min(x1 - x0, y1 - y0) * 0.6
    middle = np.array([(x0 + x1) / 2, y0 + 0.5 * size])
    half = size * rng.uniform(0.28, 0.4)
    arms = np.array(
        [[0, -0.45 * size], [half, -0.05 * size], [0, 0.65 * size], [-half, 0.05 * size]]
    )
    top, right, foot, left = middle + arms
    n.hand.chain(rng, n.sheet, np.array([top, right, foot, left, top]))
    if rng.random() < 0.8:
        n.hand.line(rng, n.sheet, top, foot)
        n.hand.line(rng, n.sheet, left, right)
    t = np.linspace(0, 1, 40)[:, None]
    sway = 0.08 * size * np.sin(t * rng.uniform(8, 20)) * np.array([1.0, 0.0])
    n.hand.trace(rng, n.sheet, foot + t * np.array([0.3, 0.4]) * size + sway)
    if rng.random() < 0.5:
        for k in (8, 18, 28):
            at = foot + t[k] * np.array([0.3, 0.4]) * size
            bow = np.array([[-8, -5], [8, 5], [8, -5], [-8, 5], [-8, -5]]) * u
            n.hand.chain(rng, n.sheet, at + bow)


def envelope(n: Notes, box: Box) -> None:
    """An envelope from behind or a crate with crossed boards."""
    rng = n.rng
    x0, y0, x1, y1 = box
    tall = min(y1 - y0, 0.65 * (x1 - x0))
    box = (x0, y0, x1, y0 + tall)
    crate = rng.random() < 0.4
    _frame(n, box, crate)
    if crate:
        return
    ring = _ring(box)
    point = np.array([(x0 + x1) / 2, y0 + tall * rng.uniform(0.35, 0.65)])
    n.hand.chain(rng, n.sheet, np.array([ring[0], point, ring[1]]))
    if rng.random() < 0.6:
        for corner in (ring[2], ring[3]):
            n.hand.line(rng, n.sheet, corner, point + (corner - point) * rng.uniform(0, 0.3))
