"""Maps of one picture from several looks at it: the whole page, then the truss alone."""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.maps import CHANNELS, FloatMap, Maps

__all__ = ["Look", "carry", "drawing_box", "fuse", "look_at"]

#: What a network does: a grey square to maps, shape (len(CHANNELS), rows, columns).
Look = Callable[[NDArray[np.uint8]], FloatMap]
Box = tuple[float, float, float, float]


def carry(homography: NDArray[np.float64], points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Take points (n, 2) through a homography."""
    if not len(points):
        return np.zeros((0, 2))
    lifted = np.column_stack([points, np.ones(len(points))]) @ homography.T
    carried: NDArray[np.float64] = lifted[:, :2] / lifted[:, 2:]
    return carried


def look_at(grey: NDArray[np.uint8], box: Box, look: Look, size: int) -> Maps:
    """Bring a box of the picture to the network's square and take the maps back with it.

    Parameters
    ----------
    grey : ndarray of uint8, shape (rows, columns)
    box : tuple of float
        x0, y0, x1, y1 in pixels; may reach beyond the picture.
    look : callable
        The network.
    size : int
        Side of its square in pixels.
    """
    x0, y0, x1, y1 = box
    side = max(x1 - x0, y1 - y0)
    factor = size / side
    middle = np.array([(x0 + x1) / 2, (y0 + y1) / 2])
    offset = size / 2 - 0.5 - factor * middle
    if factor < 0.6:
        shrink = max(2 * factor, 0.05)
        smaller = cv2.resize(grey, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA)
        grey = np.asarray(smaller, np.uint8)
        step = factor / shrink
        shift = offset + factor * 0.5 - step * 0.5
    else:
        step, shift = factor, offset
    warp = np.array([[step, 0.0, shift[0]], [0.0, step, shift[1]]])
    square = cv2.warpAffine(
        grey, warp, (size, size), flags=cv2.INTER_AREA, borderMode=cv2.BORDER_REPLICATE
    )
    values = look(np.asarray(square, np.uint8))
    stride = size / values.shape[-1]
    scale = stride / factor
    start = ((0.5 * stride - 0.5) - offset) / factor
    to_picture = np.array([[scale, 0.0, start[0]], [0.0, scale, start[1]], [0.0, 0.0, 1.0]])
    return Maps(values, to_picture, "network")


def fuse(passes: list[Maps], weights: list[float]) -> Maps:
    """Average maps on the grid of the last, where they cover it."""
    grid = passes[-1]
    rows, columns = grid.values.shape[1:]
    total = grid.values * weights[-1]
    weight = np.full((rows, columns), weights[-1], np.float32)
    for maps, share in zip(passes[:-1], weights[:-1], strict=True):
        to_other = np.linalg.inv(maps.to_picture) @ grid.to_picture
        y, x = np.mgrid[:rows, :columns]
        places = carry(to_other, np.column_stack([x.ravel(), y.ravel()]).astype(np.float64))
        across, down = (places[:, k].reshape(rows, columns).astype(np.float32) for k in (0, 1))
        for channel in range(len(CHANNELS)):
            total[channel] += share * cv2.remap(
                maps.values[channel], across, down, cv2.INTER_LINEAR
            )
        inside = (across >= 0) & (across < maps.values.shape[2]) & (down >= 0)
        inside &= down < maps.values.shape[1]
        weight += share * inside.astype(np.float32)
    return Maps(total / weight, grid.to_picture, grid.source)


def drawing_box(maps: Maps, margin: float) -> Box | None:
    """Box in the picture around the largest drawing in the maps, or None where there is none.

    Parameters
    ----------
    maps : Maps
    margin : float
        Share of the drawing's size that is added on each side.
    """
    seen = (np.maximum(maps["member"], maps["joint"]) > 0.35).astype(np.uint8)
    joined = cv2.dilate(seen, np.ones((9, 9), np.uint8))
    count, labels, _stats, _ = cv2.connectedComponentsWithStats(joined)
    if count < 2:
        return None
    inked = np.bincount(labels[seen > 0], minlength=count)
    best = 1 + int(np.argmax(inked[1:]))
    if inked[best] < 25:
        return None
    rows, columns = np.nonzero((labels == best) & (seen > 0))
    corners = np.array([[columns.min(), rows.min()], [columns.max(), rows.max()]], dtype=np.float64)
    low, high = carry(maps.to_picture, corners)
    spare = margin * float((high - low).max())
    return (low[0] - spare, low[1] - spare, high[0] + spare, high[1] + spare)
