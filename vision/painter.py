"""Drawing what was found as maps, as a network would."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.maps import CHANNELS

__all__ = ["Painter"]


class Painter:
    """Draws marks, given in pixels, into maps.

    Parameters
    ----------
    rows, columns : int
        Size of the maps in cells.
    low : ndarray, shape (2,)
        Pixel under the first cell's centre.
    cell : float
        Pixels to a cell.
    """

    def __init__(self, rows: int, columns: int, low: NDArray[np.float64], cell: float) -> None:
        """Start with empty maps."""
        self.values = np.zeros((len(CHANNELS), rows, columns), np.float32)
        self._low, self._cell = low, cell
        self._y, self._x = np.mgrid[:rows, :columns]

    def _place(self, at: NDArray[np.float64]) -> NDArray[np.float64]:
        place: NDArray[np.float64] = (at - self._low) / self._cell
        return place

    def spot(self, channel: str, at: NDArray[np.float64], height: float) -> None:
        """Raise a hill of a heat map."""
        x, y = self._place(at)
        hill = height * np.exp(-((self._x - x) ** 2 + (self._y - y) ** 2) / (2 * 1.6**2))
        layer = self.values[CHANNELS.index(channel)]
        np.maximum(layer, hill, out=layer)

    def direction(self, kind: str, at: NDArray[np.float64], angle_deg: float) -> None:
        """Set the direction of a support or load around a joint."""
        x, y = self._place(at)
        near = (self._x - x) ** 2 + (self._y - y) ** 2 <= 4.0**2
        self.values[CHANNELS.index(f"{kind}_cos")][near] = np.cos(np.radians(angle_deg))
        self.values[CHANNELS.index(f"{kind}_sin")][near] = np.sin(np.radians(angle_deg))

    def line(self, start: NDArray[np.float64], end: NDArray[np.float64]) -> None:
        """Draw a member with its direction."""
        a, b = self._place(start), self._place(end)
        along = b - a
        twice = 2 * np.arctan2(-along[1], along[0])
        mask = np.zeros(self.values.shape[1:], np.uint8)
        ends = [(round(float(x) * 16), round(float(y) * 16)) for x, y in (a, b)]
        cv2.line(mask, ends[0], ends[1], 255, 3, cv2.LINE_AA, 4)
        on = mask > 60
        self.values[CHANNELS.index("member")][on] = 0.95
        self.values[CHANNELS.index("member_cos2")][on] = np.cos(twice)
        self.values[CHANNELS.index("member_sin2")][on] = np.sin(twice)
