"""Joints from their heat map: peaks, placed to a fraction of a cell."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.lines import extend_along_ink, merge_collinear, stroke_segments
from vision.nodes import find_nodes

__all__ = ["meetings", "peaks", "value_near", "window_near"]

FloatMap = NDArray[np.float32]

#: Strokes in a member map beyond which it shows no one truss.
MOST_STROKES = 250


def peaks(
    heat: FloatMap, *, floor: float, apart: float = 5.0
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Find the separate hills of a heat map.

    Parameters
    ----------
    heat : ndarray, shape (rows, columns)
    floor : float
        Height below which a hill is left out.
    apart : float
        Hills closer than this many cells are one; the higher one stays.

    Returns
    -------
    at : ndarray, shape (n, 2)
        Column and row of each top, by the centroid of the cells around it.
    height : ndarray, shape (n,)
        Highest first.
    """
    smooth = cv2.GaussianBlur(heat, (0, 0), 0.7)
    top = cv2.dilate(smooth, np.ones((3, 3), np.uint8))
    rows, columns = np.nonzero((smooth >= top) & (heat >= floor))
    order = np.argsort(-smooth[rows, columns])
    kept: list[NDArray[np.float64]] = []
    heights: list[float] = []
    for index in order:
        place = _centroid(heat, int(rows[index]), int(columns[index]))
        if all(float(np.hypot(*(place - other))) > apart for other in kept):
            kept.append(place)
            heights.append(float(heat[rows[index], columns[index]]))
    return np.array(kept).reshape(-1, 2), np.array(heights)


def _centroid(heat: FloatMap, row: int, column: int) -> NDArray[np.float64]:
    low_row, low_column = max(row - 2, 0), max(column - 2, 0)
    window = heat[low_row : row + 3, low_column : column + 3].astype(np.float64) ** 2
    y, x = np.mgrid[: window.shape[0], : window.shape[1]]
    total = max(float(window.sum()), 1e-12)
    return np.array(
        [
            low_column + float((window * x).sum()) / total,
            low_row + float((window * y).sum()) / total,
        ]
    )


def meetings(member: FloatMap, *, level: float = 0.4) -> NDArray[np.float64]:
    """Find where the lines of a member map meet or end, crossings left out.

    Parameters
    ----------
    member : ndarray, shape (rows, columns)
        Heat of members' centre lines.
    level : float
        Heat of a line.

    Returns
    -------
    ndarray, shape (n, 2)
        Column and row.
    """
    ink = member > level
    lines = merge_collinear(stroke_segments(ink, 5.0), reach=4.0, offset=2.0, angle_deg=7.0)
    if not len(lines) or len(lines) > MOST_STROKES:
        return np.zeros((0, 2))
    lines = extend_along_ink(lines, ink, 6.0)
    nodes = [node for node in find_nodes(lines, reach=2.5) if not node.crossing]
    return np.array([node.at for node in nodes]).reshape(-1, 2)


def value_near(heat: FloatMap, at: NDArray[np.float64], radius: int = 3) -> NDArray[np.float64]:
    """Highest value of a map within `radius` cells of each place (n, 2)."""
    size = 2 * radius + 1
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size))
    spread = cv2.dilate(heat, disc)
    rows = np.clip(np.round(at[:, 1]).astype(int), 0, heat.shape[0] - 1)
    columns = np.clip(np.round(at[:, 0]).astype(int), 0, heat.shape[1] - 1)
    return np.asarray(spread[rows, columns], dtype=np.float64)


def window_near(place: NDArray[np.float64], radius: int) -> tuple[slice, slice]:
    """Rows and columns of a map that lie within `radius` of a place, given as column and row."""
    column, row = (max(round(float(value)) - radius, 0) for value in place)
    return slice(row, row + 2 * radius + 1), slice(column, column + 2 * radius + 1)
