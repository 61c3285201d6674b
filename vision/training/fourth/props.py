"""Supports drawn in a hurry."""

from __future__ import annotations

import itertools

import numpy as np

from vision.training.fourth.sketch import MAIN, Sketch
from vision.training.fourth.strokes import Points, ring

__all__ = ["prop"]


class _Place:
    """A support's own frame: along the ground and away from the joint, in its size."""

    def __init__(self, sketch: Sketch, at: Points, push: float, size: float, layer: int) -> None:
        a = np.radians(push)
        self.sketch, self.size, self.layer = sketch, size, layer
        self.at = at + sketch.rng.normal(0, 0.05 * size, 2)
        self.away = np.array([-np.cos(a), np.sin(a)])
        self.along = np.array([-self.away[1], self.away[0]])

    def __call__(self, along: float, away: float) -> Points:
        rough = self.sketch.rng.normal(0, 0.05, 2)
        spot: Points = self.at + self.size * (
            (along + rough[0]) * self.along + (away + rough[1]) * self.away
        )
        return spot

    def line(self, p: tuple[float, float], q: tuple[float, float]) -> None:
        self.sketch.line(self(*p), self(*q), layer=self.layer)

    def wheel(self, along: float, away: float, radius: float) -> None:
        """A circle that may stay open, turn to a scribble, or be filled."""
        rng = self.sketch.rng
        hoop = ring(rng, self(along, away), radius * self.size)
        self.sketch.ink(hoop, layer=self.layer, fill=bool(rng.random() < 0.08))

    def hatch(self, away: float, half: float) -> None:
        """A ground line with strokes below it, or a zigzag."""
        rng = self.sketch.rng
        if rng.random() < 0.9:
            self.line((-half, away), (half, away))
        count = int(rng.integers(3, 9))
        deep, lean = rng.uniform(0.2, 0.5), rng.choice([-1, 1]) * rng.uniform(0.1, 0.35)
        xs = np.linspace(-half, half, count) + rng.normal(0, 0.05, count)
        if rng.random() < 0.25:
            zig = [self(x, away + (deep if k % 2 else 0.02)) for k, x in enumerate(xs)]
            self.sketch.ink(np.array(zig), layer=self.layer)
            return
        for x in xs:
            self.line((x, away), (x - lean, away + deep * rng.uniform(0.7, 1.2)))

    def cone(self, half: float, base: bool = True) -> None:
        """A triangle below the joint, in one stroke or three, closed or not."""
        rng = self.sketch.rng
        left, right = (-half, 1.0), (half, 1.0)
        if rng.random() < 0.35:
            loop = [self(0, 0), self(*left), self(*right), self(rng.normal(0, 0.1), 0.08)]
            points = np.concatenate(
                [np.linspace(p, q, 5) for p, q in itertools.pairwise(loop if base else loop[:3])]
            )
            self.sketch.ink(
                points + rng.normal(0, 0.01 * self.size, points.shape), layer=self.layer
            )
            if not base:
                self.line((0, 0), right)
            return
        self.line((0, 0), left)
        self.line((0, 0), right)
        if base:
            self.line(left, right)


def prop(
    sketch: Sketch, at: Points, push: float, pin: bool, size: float, style: int, layer: int = MAIN
) -> None:
    """Draw a pin or a roller that pushes the truss towards `push` degrees.

    Parameters
    ----------
    style : int
        Any number; one page keeps to the same for its pins and its rollers.
    """
    place = _Place(sketch, at, push, size, layer)
    rng = sketch.rng
    half = rng.uniform(0.4, 0.75)
    if pin:
        style %= 9
        if style in (0, 1, 2, 3):
            place.cone(half)
            if style == 1:
                place.hatch(1.0, half * rng.uniform(1.0, 1.6))
            elif style == 2:
                place.hatch(1.03, half * 1.3)
                place.wheel(0, 0.0, 0.14)
            elif style == 3:
                place.line((-half * 1.5, 1.04), (half * 1.5, 1.04))
        elif style == 4:
            place.cone(half, base=False)
        elif style == 5:
            place.hatch(rng.uniform(0.0, 0.12), rng.uniform(0.6, 1.1))
        elif style == 6:
            place.cone(half, base=False)
            place.hatch(1.0, half * 1.4)
        elif style == 7:
            outline = np.array([place(0, 0), place(-half, 1.0), place(half, 1.0), place(0, 0)])
            sketch.ink(outline, layer=layer, fill=True)
        else:
            place.cone(half)
            for share in rng.uniform(0.3, 0.95, int(rng.integers(2, 6))):
                place.line((-half * share, share), (half * share * 0.8, share - 0.15))
        return
    style %= 8
    radius = rng.uniform(0.1, 0.2)
    if style in (0, 1, 2):
        place.cone(half)
        count = 2 if style == 0 else 3
        for x in np.linspace(-half + radius, half - radius, count):
            place.wheel(x, 1.0 + radius * rng.uniform(1.0, 1.3), radius)
        if rng.random() < 0.7:
            place.hatch(1.05 + 2 * radius, half * 1.4)
    elif style in (3, 4):
        radius = rng.uniform(0.28, 0.5)
        place.wheel(0, radius, radius)
        if style == 4:
            place.hatch(2 * radius, half * 1.3)
    elif style == 5:
        place.cone(half)
        place.line((-half * 1.4, 1.24), (half * 1.4, 1.24))
    elif style == 6:
        place.cone(half, base=bool(rng.random() < 0.4))
        place.wheel(-half * 0.6, 1.0 + radius, radius)
        place.wheel(half * 0.6, 1.0 + radius, radius)
    else:
        radius = rng.uniform(0.25, 0.4)
        place.wheel(0, radius, radius)
        place.line((-half * 1.3, 2 * radius + 0.02), (half * 1.3, 2 * radius + 0.02))
