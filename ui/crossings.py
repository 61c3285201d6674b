"""Members that meet away from a joint: the drawing is then no plane graph."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from model.truss import Truss
from ui.boxes import boxes_of, pairs

__all__ = ["crossing_members"]

FloatArray = NDArray[np.float64]
#: Distance, as a part of the truss, within which things touch.
_TOUCH = 1e-9


def crossing_members(truss: Truss) -> tuple[int, int] | None:
    """Find two members that cross, overlap or touch away from a joint that they share."""
    ends = truss.points[truss.members]
    size = float(np.ptp(truss.points, axis=0).max(initial=0.0)) or 1.0
    angles = np.degrees(np.arctan2(truss.vectors[:, 1], truss.vectors[:, 0]))
    thick = np.full(len(ends), 4 * _TOUCH * size)
    middles = ends.mean(axis=1) * (1.0, -1.0)  # boxes live on a sheet, y down
    lines = boxes_of(np.column_stack([middles, truss.lengths, thick, angles, 0 * thick]))
    here, there = (positions.tolist() for positions in pairs(lines, lines))
    for first, second in zip(here, there, strict=True):
        if first < second:
            shared = bool(set(truss.members[first]) & set(truss.members[second]))
            if _meet(ends[first], ends[second], shared, _TOUCH * size):
                return first, second
    return None


def _meet(one: FloatArray, two: FloatArray, shared: bool, touch: float) -> bool:
    """Whether two segments meet anywhere but at an end that they share."""
    sides = []
    for line, points in ((one, two), (two, one)):
        along = line[1] - line[0]
        normal = np.array([-along[1], along[0]]) / (np.hypot(*along) or 1.0)
        sides.append((points - line[0]) @ normal)
    if shared:
        if max(np.abs(sides[0]).max(), np.abs(sides[1]).max()) > touch:
            return False
        corner = next(p for p in one if np.any(np.all(p == two, axis=1)))
        far_one = one[int(np.all(one[0] == corner))] - corner
        far_two = two[int(np.all(two[0] == corner))] - corner
        return float(far_one @ far_two) > 0.0
    if any(np.all(side > touch) or np.all(side < -touch) for side in sides):
        return False
    if all(np.abs(side).max() <= touch for side in sides):  # on one line
        along = (one[1] - one[0]) / (np.hypot(*(one[1] - one[0])) or 1.0)
        a, b = np.sort((one - one[0]) @ along), np.sort((two - one[0]) @ along)
        return bool(min(a[1], b[1]) - max(a[0], b[0]) >= -touch)
    return True
