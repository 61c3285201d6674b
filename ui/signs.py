"""Where the editor's arrows stand in the picture: on the freer side of their joint.

The same rule and sizes as the editor's own (`symbols.js`), so that values keep clear of them.
Directions in degrees of the picture, counter-clockwise as seen; sizes in pixels of the screen.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ui.views import View

__all__ = ["angle_of", "angles_around", "arrow", "ends_at_joint", "name_direction"]

Point = tuple[float, float]

#: Distances from the joint at which a load's and a reaction's arrow begin and end.
LOAD = (9.0, 58.0)
REACTION = (46.0, 92.0)
REACTION_AWAY = (14.0, 60.0)
#: Distance from the joint at which its name stands.
NAME = 20.0


def angle_of(vector: Sequence[float] | NDArray[np.float64]) -> float:
    """Direction of a vector of the picture."""
    return math.degrees(math.atan2(-float(vector[1]), float(vector[0]))) % 360.0


def angles_around(view: View) -> list[list[float]]:
    """Directions in which members and supports leave each joint."""
    around: list[list[float]] = [[] for _ in view.truss.joints]
    for (a, b), (p, q) in zip(view.truss.members.tolist(), view.segments, strict=True):
        around[a].append(angle_of(q - p))
        around[b].append(angle_of(p - q))
    for support in view.truss.supports:
        around[view.truss.index[support.joint]].append(support.angle_deg + 180.0)
    return around


def ends_at_joint(degrees: float, around: Sequence[float]) -> bool:
    """Whether an arrow ends at its joint, or starts there, whichever side is freer."""

    def clear(angle: float) -> float:
        return min([180.0, *(abs((angle - other + 540.0) % 360.0 - 180.0) for other in around)])

    return clear(degrees + 180.0) >= clear(degrees) - 1.0


def name_direction(around: Sequence[float]) -> float:
    """Direction from a joint to its name: the middle of the widest gap between its members."""
    # Whole degrees, as the editor has them, so that of two equal gaps both take the same.
    taken = sorted(math.floor(angle + 0.5) % 360.0 for angle in around)
    if not taken:
        return 45.0
    gaps = zip(taken, [*taken[1:], taken[0] + 360.0], strict=True)
    start, end = max(gaps, key=lambda gap: gap[1] - gap[0])
    return (start + end) / 2


def arrow(
    joint: Point, degrees: float, inwards: bool, reach: tuple[float, float], unit: float
) -> tuple[Point, Point]:
    """Give the near and the far end of an arrow at a joint; `unit` is a screen pixel there."""
    angle = math.radians(degrees + 180.0 * inwards)
    dx, dy = math.cos(angle) * unit, -math.sin(angle) * unit
    near, far = reach
    return (
        (joint[0] + near * dx, joint[1] + near * dy),
        (joint[0] + far * dx, joint[1] + far * dy),
    )
