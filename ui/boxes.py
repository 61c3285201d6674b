"""Oriented boxes on a sheet, many at once: which overlap, and which spots are free.

References
----------
S. Gottschalk, M. C. Lin, D. Manocha, OBBTree: a hierarchical structure for
rapid interference detection, SIGGRAPH 1996: two oriented boxes are apart if an
axis of one of them parts them.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

__all__ = ["COLUMNS", "Occupied", "around", "boxes_of", "counts", "near", "pairs"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

# Boxes are rows: x, y, half width, half height, angle in radians, cost, and the
# half extents along x and y.
COLUMNS = 8
#: Most cells of a grid along its longer side.
_CELLS = 2000


def boxes_of(
    rows: FloatArray | Sequence[tuple[float, float, float, float, float, float]],
) -> FloatArray:
    """Boxes from rows of centre, width, height, angle in degrees and cost."""
    boxes = np.zeros((len(rows), COLUMNS))
    boxes[:, :6] = np.array(rows, float).reshape(-1, 6)
    boxes[:, 2:4] /= 2
    boxes[:, 4] = np.radians(boxes[:, 4])
    cosine, sine = np.abs(np.cos(boxes[:, 4])), np.abs(np.sin(boxes[:, 4]))
    boxes[:, 6] = boxes[:, 2] * cosine + boxes[:, 3] * sine
    boxes[:, 7] = boxes[:, 2] * sine + boxes[:, 3] * cosine
    return boxes


def around(boxes: FloatArray) -> FloatArray:
    """Give the level box around all of them, shape (1, 8)."""
    low = (boxes[:, :2] - boxes[:, 6:]).min(axis=0)
    high = (boxes[:, :2] + boxes[:, 6:]).max(axis=0)
    return boxes_of([(*(low + high) / 2, *(high - low), 0.0, 0.0)])


def near(a: FloatArray, b: FloatArray) -> NDArray[np.bool_]:
    """Whether the level boxes around `a` and `b` meet, shape (len(a), len(b))."""
    meet = np.abs(a[:, None, 0] - b[None, :, 0]) < a[:, None, 6] + b[None, :, 6]
    meet &= np.abs(a[:, None, 1] - b[None, :, 1]) < a[:, None, 7] + b[None, :, 7]
    return meet


def pairs(a: FloatArray, b: FloatArray) -> tuple[IntArray, IntArray]:
    """Positions of the boxes in `a` and `b` that overlap."""
    here, there = np.nonzero(near(a, b))
    meet = _overlap(a[here], b[there])
    return here[meet], there[meet]


def counts(spots: FloatArray, others: FloatArray, weights: FloatArray | None = None) -> FloatArray:
    """Count, or weigh, the boxes of `others` that each spot covers."""
    here, there = pairs(spots, others)
    weight = None if weights is None else weights[there]
    return np.bincount(here, weight, minlength=len(spots)).astype(float)


def _overlap(a: FloatArray, b: FloatArray) -> NDArray[np.bool_]:
    """Whether boxes overlap, row by row, by the separating axis test."""
    dx, dy = b[:, 0] - a[:, 0], b[:, 1] - a[:, 1]
    cosine, sine = np.abs(np.cos(a[:, 4] - b[:, 4])), np.abs(np.sin(a[:, 4] - b[:, 4]))
    meet = np.ones(len(a), bool)
    for one, two in ((a, b), (b, a)):
        c, s = np.cos(one[:, 4]), np.sin(one[:, 4])
        meet &= np.abs(dx * c - dy * s) < one[:, 2] + two[:, 2] * cosine + two[:, 3] * sine
        meet &= np.abs(dx * s + dy * c) < one[:, 3] + two[:, 2] * sine + two[:, 3] * cosine
    return meet


class Occupied:
    """A grid over the sheet, and as far again on every side, that knows where boxes lie.

    Cells touched by the level box around a box count as taken, so that a spot
    found free is free; boxes are only ever added.
    """

    def __init__(
        self, boxes: FloatArray, frame: tuple[float, float, float, float] | None, cell: float
    ) -> None:
        """Lay the grid around boxes and frame, its cells half of `cell` wide."""
        whole = around(boxes)[0] if len(boxes) else np.zeros(COLUMNS)
        low, high = whole[:2] - whole[6:], whole[:2] + whole[6:]
        if frame is not None:
            low, high = np.minimum(low, frame[:2]), np.maximum(high, frame[2:])
        margin = float((high - low).max()) + 40.0 * cell
        self._low = low - margin
        self._step = max(cell / 2, float((high - low).max() + 2 * margin) / _CELLS)
        shape = np.ceil((high - low + 2 * margin) / self._step).astype(int) + 1
        self._taken = np.zeros(shape, bool)
        self._next_outside = low[1] - margin
        self.cover(boxes)

    def cover(self, boxes: FloatArray) -> None:
        """Mark boxes as lying there."""
        low, high = self._cells(boxes)
        for (x0, y0), (x1, y1) in zip(low.tolist(), high.tolist(), strict=True):
            self._taken[max(x0, 0) : max(x1 + 1, 0), max(y0, 0) : max(y1 + 1, 0)] = True

    def free(self, boxes: FloatArray) -> NDArray[np.bool_]:
        """Tell which boxes lie on the grid and touch nothing."""
        low, high = self._cells(boxes)
        inside = ((low >= 0) & (high < self._taken.shape)).all(axis=1)
        low, high = (np.clip(cells, 0, np.subtract(self._taken.shape, 1)) for cells in (low, high))
        columns, rows = (np.arange(int(n) + 1) for n in (high - low).max(axis=0, initial=0))
        x = np.minimum(low[:, 0, None] + columns, high[:, 0, None])
        y = np.minimum(low[:, 1, None] + rows, high[:, 1, None])
        return np.asarray(inside & ~self._taken[x[:, :, None], y[:, None, :]].any(axis=(1, 2)))

    def outside(self, box: FloatArray) -> FloatArray:
        """Move a box off the grid, above all that was moved there before."""
        moved = box.copy()
        self._next_outside -= 2.2 * moved[7]
        moved[1] = self._next_outside
        return np.asarray(moved)

    def _cells(self, boxes: FloatArray) -> tuple[IntArray, IntArray]:
        low = np.floor((boxes[:, :2] - boxes[:, 6:] - self._low) / self._step).astype(np.intp)
        high = np.floor((boxes[:, :2] + boxes[:, 6:] - self._low) / self._step).astype(np.intp)
        return low, high
