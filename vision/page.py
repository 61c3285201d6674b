"""The sheet in the picture: where it lies, and its ink free of shadow and glare."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["Sheet", "embolden", "find_ink", "find_sheet"]

BoolMap = NDArray[np.bool_]

#: Change of lightness (0 to 255) within a few pixels that is the edge of a sheet.
EDGE_STEP = 18


@dataclass(frozen=True)
class Sheet:
    """Ink of a picture.

    Attributes
    ----------
    ink : ndarray of bool, shape (rows, columns)
        Where a pen, pencil, marker or chalk has been.
    contrast : ndarray of uint8, shape (rows, columns)
        The picture with its light evened: paper 255, ink darker (a dark board inverted).
    beside : ndarray of bool, shape (rows, columns), or None
        What was taken for the sheet's surroundings and left blank.
    """

    ink: BoolMap
    contrast: NDArray[np.uint8]
    beside: BoolMap | None = None


def find_ink(rgb: NDArray[np.uint8], *, sheet_only: bool = True) -> Sheet:
    """Tell ink from paper under uneven light.

    The paper's own brightness is estimated at quarter scale (a local maximum
    wipes out strokes, a median smooths what is left) and divided out; Otsu's
    threshold [1]_ then parts ink from paper.

    Parameters
    ----------
    rgb : ndarray of uint8, shape (rows, columns, 3)
    sheet_only : bool
        Leave out what seems to lie beside a sheet; False where that was found to be drawn on.

    Returns
    -------
    Sheet

    References
    ----------
    .. [1] N. Otsu, "A threshold selection method from gray-level histograms",
       IEEE Trans. Syst. Man Cybern. 9 (1979) 62-66.
    """
    grey = np.asarray(cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY), np.uint8)
    sheet = find_sheet(rgb) if sheet_only else None
    if sheet is not None:
        grey = _paint_over(grey, sheet)
    dark = float(np.median(grey)) < 110
    contrast = _even_light(255 - grey if dark else grey)
    depth = np.asarray(cv2.GaussianBlur(255 - contrast, (0, 0), 0.8), np.uint8)
    ink = depth > _ink_level(depth)
    if sheet is not None:
        ink &= cv2.erode(sheet.astype(np.uint8), np.ones((9, 9), np.uint8)) > 0
        contrast[~sheet] = 255
    return Sheet(ink, contrast, None if sheet is None else ~sheet)


def embolden(sheet: Sheet) -> NDArray[np.uint8]:
    """Darken faint ink to that of a good pen, so that it survives being seen small.

    Returns
    -------
    ndarray of uint8, shape (rows, columns)
        Light paper, dark ink.
    """
    depth = 255.0 - sheet.contrast
    ink = depth[sheet.ink]
    typical = float(np.percentile(ink, 70)) if ink.size else 255.0
    bold = np.clip(depth * max(170.0 / max(typical, 20.0), 1.0), 0, 255)
    return np.asarray(245.0 - 0.85 * bold, np.uint8)


def _paint_over(grey: NDArray[np.uint8], sheet: BoolMap) -> NDArray[np.uint8]:
    """Carry a sheet's own brightness on over what lies beside it."""
    size = (64, max(1, round(64 * grey.shape[0] / grey.shape[1])))
    weight = cv2.resize(sheet.astype(np.float32), size, interpolation=cv2.INTER_AREA)
    total = cv2.resize(grey * sheet.astype(np.float32), size, interpolation=cv2.INTER_AREA)
    spread_weight, spread_total = weight * 1e-6, total * 1e-6
    for sigma in (32.0, 8.0, 2.0):
        share = 1e3 ** (8.0 / sigma - 4.0)
        spread_weight = spread_weight + share * cv2.GaussianBlur(weight, (0, 0), sigma)
        spread_total = spread_total + share * cv2.GaussianBlur(total, (0, 0), sigma)
    beside = spread_total / np.maximum(spread_weight, 1e-20)
    beside = cv2.resize(beside, grey.shape[::-1], interpolation=cv2.INTER_LINEAR)
    return np.where(sheet, grey, np.clip(beside, 0, 255)).astype(np.uint8)


def _even_light(grey: NDArray[np.uint8]) -> NDArray[np.uint8]:
    small = cv2.resize(grey, None, fx=0.25, fy=0.25, interpolation=cv2.INTER_AREA)
    size = max(7, (max(small.shape) // 40) | 1)
    background = cv2.dilate(small, np.ones((size, size), np.uint8))
    background = cv2.medianBlur(background, min(size * 2 + 1, 255))
    background = cv2.resize(
        background, (grey.shape[1], grey.shape[0]), interpolation=cv2.INTER_LINEAR
    )
    return np.asarray(cv2.divide(grey, np.maximum(background, 1), scale=255), np.uint8)


def _ink_level(depth: NDArray[np.uint8]) -> float:
    """Otsu's level among pixels that are darker than the paper's own noise."""
    noise = float(np.percentile(depth, 60))
    floor = max(noise + 8.0, 14.0)
    strokes = depth[depth > floor]
    if strokes.size < 50:
        return max(floor, 30.0)
    level, _ = cv2.threshold(strokes.reshape(1, -1), 0, 255, cv2.THRESH_OTSU)
    whole, _ = cv2.threshold(depth, 0, 255, cv2.THRESH_OTSU)
    return float(max(floor, min(level, whole, 0.55 * np.percentile(strokes, 95))))


def find_sheet(rgb: NDArray[np.uint8]) -> BoolMap | None:
    """Find a sheet of paper, or a board, that does not fill the picture.

    Seen small, with its strokes wiped out by a median, a sheet is the largest
    part without an edge in it; shadows fall off too slowly to be edges.

    Parameters
    ----------
    rgb : ndarray of uint8, shape (rows, columns, 3)

    Returns
    -------
    ndarray of bool, shape (rows, columns), or None
        The sheet without a narrow rim; None where it fills the picture or its
        edges do not show.
    """
    factor = 400.0 / max(rgb.shape[:2])
    small = cv2.resize(rgb, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA)
    light = cv2.medianBlur(np.asarray(cv2.cvtColor(small, cv2.COLOR_RGB2LAB)[..., 0]), 9)
    step = cv2.morphologyEx(light, cv2.MORPH_GRADIENT, np.ones((5, 5), np.uint8))
    smooth = (step <= EDGE_STEP).astype(np.uint8)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(smooth, connectivity=4)
    if count < 2:
        return None
    largest = 1 + int(np.argmax(stats[1:, cv2.CC_STAT_AREA]))
    part = (labels == largest).astype(np.uint8)
    part = cv2.morphologyEx(part, cv2.MORPH_OPEN, np.ones((9, 9), np.uint8))
    contours, _ = cv2.findContours(part, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    if not contours:
        return None
    outline = max(contours, key=cv2.contourArea)
    hull = cv2.convexHull(outline)
    area, hull_area = cv2.contourArea(outline), cv2.contourArea(hull)
    if area < 0.35 * light.size or area < 0.9 * hull_area:
        return None
    mask = np.asarray(cv2.drawContours(np.zeros_like(light), [hull], -1, 255, -1), np.uint8)
    if not _ends_in_a_step(np.asarray(light, np.uint8), mask):
        return None
    framed = cv2.copyMakeBorder(mask, 1, 1, 1, 1, cv2.BORDER_REPLICATE)
    inner = cv2.erode(framed, np.ones((5, 5), np.uint8))[1:-1, 1:-1]
    size = (rgb.shape[1], rgb.shape[0])
    sheet: BoolMap = cv2.resize(inner, size, interpolation=cv2.INTER_LINEAR) > 127
    return sheet


def _ends_in_a_step(light: NDArray[np.uint8], mask: NDArray[np.uint8]) -> bool:
    """Tell whether the light changes sharply nearly all along a mask's edge."""
    window = np.ones((15, 15), np.uint8)
    step = cv2.dilate(light, window).astype(int) - cv2.erode(light, window)
    edge = cv2.morphologyEx(mask, cv2.MORPH_GRADIENT, np.ones((3, 3), np.uint8)) > 0
    edge[:6] = edge[-6:] = False
    edge[:, :6] = edge[:, -6:] = False
    return bool(edge.any()) and float(np.mean(step[edge] > EDGE_STEP)) > 0.85
