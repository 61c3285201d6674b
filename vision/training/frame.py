"""The bare truss that a sketch shows: joints, members and where it may be held and loaded."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

__all__ = ["Frame", "FrameBuilder", "Points", "crossings"]

Points = NDArray[np.float64]


@dataclass(frozen=True)
class Frame:
    """A truss on no particular paper; x to the right, y up, any unit.

    Attributes
    ----------
    joints : ndarray, shape (n, 2)
    members : tuple of pairs of joint indices
    supports : tuple of (joint, kind, angle_deg)
        `angle_deg` is the direction in which the support pushes on the truss.
    loadable : tuple of int
        Joints where a load would commonly act.
    """

    joints: Points
    members: tuple[tuple[int, int], ...]
    supports: tuple[tuple[int, str, float], ...]
    loadable: tuple[int, ...]

    def turned(self, degrees: float) -> Frame:
        """Turn the truss counter-clockwise together with its supports."""
        c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
        supports = tuple((j, kind, (angle + degrees) % 360) for j, kind, angle in self.supports)
        return replace(self, joints=self.joints @ np.array([[c, s], [-s, c]]), supports=supports)

    def mirrored(self) -> Frame:
        """Swap left and right."""
        supports = tuple((j, kind, (180 - angle) % 360) for j, kind, angle in self.supports)
        return replace(self, joints=self.joints * np.array([-1.0, 1.0]), supports=supports)


class FrameBuilder:
    """Collects joints, each place once, and members, each pair once."""

    def __init__(self) -> None:
        self.places: list[tuple[float, float]] = []
        self.members: dict[tuple[int, int], None] = {}

    def joint(self, x: float, y: float) -> int:
        """Return the index of the joint at (x, y), new if nothing is there."""
        for index, (px, py) in enumerate(self.places):
            if abs(px - x) < 1e-6 and abs(py - y) < 1e-6:
                return index
        self.places.append((float(x), float(y)))
        return len(self.places) - 1

    def member(self, *chain: int) -> None:
        """Join each joint of the chain with the next."""
        for a, b in itertools.pairwise(chain):
            if a != b:
                self.members[min(a, b), max(a, b)] = None

    def frame(
        self, supports: list[tuple[int, str, float]], loadable: list[int] | None = None
    ) -> Frame:
        """Close the collection."""
        held = {joint for joint, _, _ in supports}
        free = [j for j in range(len(self.places)) if j not in held]
        return Frame(
            np.array(self.places), tuple(self.members), tuple(supports), tuple(loadable or free)
        )


def crossings(joints: Points, members: tuple[tuple[int, int], ...]) -> list[tuple[float, float]]:
    """Return the places where two members cross away from any joint."""
    found = []
    for index, (a, b) in enumerate(members):
        for c, d in members[index + 1 :]:
            if len({a, b, c, d}) < 4:
                continue
            p, r = joints[a], joints[b] - joints[a]
            q, s = joints[c], joints[d] - joints[c]
            turn = r[0] * s[1] - r[1] * s[0]
            if abs(turn) < 1e-9:
                continue
            t = ((q - p)[0] * s[1] - (q - p)[1] * s[0]) / turn
            u = ((q - p)[0] * r[1] - (q - p)[1] * r[0]) / turn
            if 0.01 < t < 0.99 and 0.01 < u < 0.99:
                found.append(tuple(p + t * r))
    return found
