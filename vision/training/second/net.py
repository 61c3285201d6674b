"""A shape in the making: joints by place, members by pair."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

__all__ = ["FloatArray", "Net", "Rng", "Shape", "meeting_point"]

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


class Net:
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
        for a, b in pairwise(chain):
            if a != b and (a, b) not in self.members and (b, a) not in self.members:
                self.members.append((a, b))

    def shape(self, family: str, feet: tuple[int, ...], wall: bool = False) -> Shape:
        return Shape(family, np.array(self.points, float), tuple(self.members), feet, wall)


def meeting_point(a: FloatArray, b: FloatArray, c: FloatArray, d: FloatArray) -> FloatArray:
    r, s = b - a, d - c
    cross = r[0] * s[1] - r[1] * s[0]
    t = ((c - a)[0] * s[1] - (c - a)[1] * s[0]) / (cross or 1e-9)
    return np.asarray(a + t * r)
