"""Trusses held at a wall: two or three bars, and cantilevers of one panel or many."""

from __future__ import annotations

import numpy as np

from vision.training.chords import PATTERNS, chord_truss
from vision.training.frame import Frame, FrameBuilder

__all__ = ["bars_at_wall", "wall_truss"]

Rng = np.random.Generator


def _leaning(rng: Rng, frame: Frame) -> Frame:
    """Most walls are plumb, on either side; some lean."""
    if rng.random() < 0.5:
        frame = frame.mirrored()
    return frame.turned(rng.uniform(-50, 50)) if rng.random() < 0.15 else frame


def _kinds(rng: Rng, count: int) -> list[str]:
    """A pin above or below rollers, or pins alone."""
    if rng.random() < 0.4:
        return ["pin"] * count
    kinds = ["roller"] * count
    kinds[int(rng.integers(count))] = "pin"
    return kinds


def bars_at_wall(rng: Rng, most: int) -> Frame:
    """Two to four bars from a wall to one joint, or to two joints that a bar ties."""
    b = FrameBuilder()
    count = int(rng.choice([2, 2, 2, 3, 3, 4]))
    heights = np.sort(rng.uniform(0, 1.3, count))
    while np.diff(heights).min() < 0.22:
        heights = np.sort(rng.uniform(0, 1.3, count))
    feet = [b.joint(0, y) for y in heights]
    reach = rng.uniform(0.45, 1.5)
    level = heights[int(rng.integers(count))] if rng.random() < 0.6 else rng.uniform(-0.1, 1.4)
    tip = b.joint(reach, level)
    for foot in feet:
        b.member(foot, tip)
    free = [tip]
    if rng.random() < 0.35:
        low = heights[0] if rng.random() < 0.5 else level - rng.uniform(0.3, 0.8)
        if abs(low - level) > 0.2:
            free.append(b.joint(reach * rng.uniform(0.7, 1.3), low))
            b.member(tip, free[-1], feet[0])
    if rng.random() < 0.25:
        b.member(*feet)
    kinds = _kinds(rng, count)
    held = [(foot, kind, 0.0) for foot, kind in zip(feet, kinds, strict=True)]
    return _leaning(rng, b.frame(held, free))


def wall_truss(rng: Rng, most: int) -> Frame:
    """A truss that two brackets hold to a wall, of even depth or tapering to its tip."""
    panels = int(rng.integers(1, max(2, min(7, most // 4)) + 1))
    deep, tip = rng.uniform(0.25, 0.8), rng.choice([0.0, rng.uniform(0.2, 1.0), 1.0])
    slant = float(rng.choice([0.0, 0.5, 1.0]))  # which chord is level

    def low(x: float) -> float:
        return float(deep * (1 - tip) * x * slant)

    def high(x: float) -> float:
        return float(deep - deep * (1 - tip) * x * (1 - slant))

    pattern = str(rng.choice(PATTERNS[:10]))
    if panels == 1 and pattern == "bare":
        pattern = "same"
    b, lower, upper = chord_truss(rng, panels, low, high, pattern, False)
    first, last = lower[0], upper[0]
    if abs(b.places[first][0]) + abs(b.places[last][0]) > 1e-6:
        # A truss of triangles begins with a single joint: tie a bracket above it.
        last = b.joint(0.0, high(0.0) + 0.05)
        b.member(first, last, upper[0])
    elif rng.random() < 0.4:
        b.members.pop((min(first, last), max(first, last)), None)
    kinds = _kinds(rng, 2)
    held = [(first, kinds[0], 0.0), (last, kinds[1], 0.0)]
    free = list(dict.fromkeys([*lower[1:], *upper[1:]]))
    return _leaning(rng, b.frame(held, free or None))
