"""Maps of one picture from several looks at it: the whole page, then the truss alone."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.maps import CHANNELS, FloatMap, Maps

__all__ = ["Look", "carry", "drawing_box", "fuse", "look_at", "look_closer"]

#: What a network does: a grey square to maps, shape (len(CHANNELS), rows, columns).
Look = Callable[[NDArray[np.uint8]], FloatMap]
Box = tuple[float, float, float, float]

#: Share of the drawing's size that a closer look adds around it.
MARGIN = 0.12
#: Heat from which on a cell belongs to the drawing.
SEEN = 0.25
#: Most looks at one picture.
MOST_LOOKS = 3


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


def look_closer(views: Sequence[NDArray[np.uint8]], look: Look, size: int) -> Maps:
    """Look at the whole picture, then at the drawing found there at its own scale.

    Parameters
    ----------
    views : sequence of ndarray of uint8, shape (rows, columns)
        The picture, differently evened; looked at in turn.
    look : callable
        The network.
    size : int
        Side of its square in pixels.

    Returns
    -------
    Maps
        Of the last look, averaged with those before it.
    """
    rows, columns = views[0].shape
    box: Box = (0.0, 0.0, float(columns), float(rows))
    passes = [look_at(views[0], box, look, size)]
    while len(passes) < MOST_LOOKS:
        closer = drawing_box(fuse(passes), MARGIN, max(rows, columns))
        if closer is None or (len(passes) > 1 and _much_alike(closer, box)):
            break
        box = closer
        passes.append(look_at(views[len(passes) % len(views)], box, look, size))
    return fuse(passes)


def _much_alike(box: Box, other: Box) -> bool:
    """Tell whether a look at `box` would show the drawing no better than one at `other`."""
    low, high = np.array(box[:2]), np.array(box[2:])
    other_low, other_high = np.array(other[:2]), np.array(other[2:])
    side, other_side = float((high - low).max()), float((other_high - other_low).max())
    inside = (low > other_low - 0.05 * side).all() and (high < other_high + 0.05 * side).all()
    return bool(inside) and side > 0.8 * other_side


def fuse(passes: list[Maps]) -> Maps:
    """Average maps on the grid of the last, the coarser ones weighing less."""
    grid = passes[-1]
    rows, columns = grid.values.shape[1:]
    total = grid.values.copy()
    weight = np.ones((rows, columns), np.float32)
    y, x = np.mgrid[:rows, :columns]
    cells = np.column_stack([x.ravel(), y.ravel()]).astype(np.float64)
    for maps in passes[:-1]:
        zoom = float(maps.to_picture[0, 0] / grid.to_picture[0, 0])
        share = 0.5 * min(1.0, zoom**-2)
        places = carry(np.linalg.inv(maps.to_picture) @ grid.to_picture, cells)
        across, down = (places[:, k].reshape(rows, columns).astype(np.float32) for k in (0, 1))
        inside = (across >= 0) & (across <= maps.values.shape[2] - 1)
        inside &= (down >= 0) & (down <= maps.values.shape[1] - 1)
        for channel in range(len(CHANNELS)):
            seen = cv2.remap(maps.values[channel], across, down, cv2.INTER_LINEAR)
            total[channel] += share * seen * inside
        weight += share * inside
    return Maps(total / weight, grid.to_picture, grid.source)


def drawing_box(maps: Maps, margin: float, side: float) -> Box | None:
    """Box in the picture around the drawing in the maps, or None where there is none.

    Parameters
    ----------
    maps : Maps
    margin : float
        Share of the drawing's size that is added on each side.
    side : float
        Long side of the picture in pixels; the box is at least a quarter of it.
    """
    seen = (np.maximum(maps["member"], maps["joint"]) > SEEN).astype(np.uint8)
    joined = cv2.dilate(seen, np.ones((9, 9), np.uint8))
    count, labels = cv2.connectedComponents(joined)
    inked = np.bincount(labels[seen > 0], minlength=count)[1:]
    if count < 2 or inked.max() < 25:
        return None
    large = 1 + np.flatnonzero(inked >= 0.2 * inked.max())
    rows, columns = np.nonzero(np.isin(labels, large) & (seen > 0))
    corners = np.array([[columns.min(), rows.min()], [columns.max(), rows.max()]], dtype=np.float64)
    low, high = carry(maps.to_picture, corners)
    spare = max(margin * float((high - low).max()), (0.25 * side - float((high - low).max())) / 2)
    return (low[0] - spare, low[1] - spare, high[0] + spare, high[1] + spare)
