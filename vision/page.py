"""The sheet in the picture: where it lies, and its ink free of shadow and glare."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["Sheet", "find_ink", "find_sheet"]

BoolMap = NDArray[np.bool_]


@dataclass(frozen=True)
class Sheet:
    """Ink of a picture.

    Attributes
    ----------
    ink : ndarray of bool, shape (rows, columns)
        Where a pen, pencil, marker or chalk has been.
    contrast : ndarray of uint8, shape (rows, columns)
        The picture with its light evened: paper 255, ink darker (a dark board inverted).
    dark : bool
        True for light strokes on a dark board.
    """

    ink: BoolMap
    contrast: NDArray[np.uint8]
    dark: bool


def find_ink(grey: NDArray[np.uint8], *, strictness: float = 1.0) -> Sheet:
    """Tell ink from paper under uneven light.

    The paper's own brightness is estimated at quarter scale (a local maximum
    wipes out strokes, a median smooths what is left) and divided out; Otsu's
    threshold [1]_ then parts ink from paper.

    Parameters
    ----------
    grey : ndarray of uint8, shape (rows, columns)
    strictness : float
        Factor on the depth that ink must have; above 1 keeps only bold strokes.

    Returns
    -------
    Sheet

    References
    ----------
    .. [1] N. Otsu, "A threshold selection method from gray-level histograms",
       IEEE Trans. Syst. Man Cybern. 9 (1979) 62-66.
    """
    dark = float(np.median(grey)) < 110
    positive = 255 - grey if dark else grey
    contrast = _even_light(positive)
    depth = np.asarray(cv2.GaussianBlur(255 - contrast, (0, 0), 0.8), np.uint8)
    level = _ink_level(depth) * strictness
    return Sheet(depth > level, contrast, dark)


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


def find_sheet(rgb: NDArray[np.uint8]) -> NDArray[np.float64] | None:
    """Find the four corners of a sheet of paper that lies on something darker.

    Parameters
    ----------
    rgb : ndarray of uint8, shape (rows, columns, 3)

    Returns
    -------
    ndarray, shape (4, 2), or None
        Corners in pixels, clockwise as seen from the top left; None where the
        sheet fills the picture or its edges do not show.
    """
    factor = 400.0 / max(rgb.shape[:2])
    small = cv2.resize(rgb, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA)
    light = cv2.medianBlur(cv2.cvtColor(small, cv2.COLOR_RGB2LAB)[..., 0], 9)
    _level, bright = cv2.threshold(light, 0, 255, cv2.THRESH_BINARY | cv2.THRESH_OTSU)
    if light[bright > 0].mean() - light[bright == 0].mean() < 45:
        return None
    bright = cv2.morphologyEx(bright, cv2.MORPH_CLOSE, np.ones((9, 9), np.uint8))
    contours, _ = cv2.findContours(bright, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    if not contours:
        return None
    outline = max(contours, key=cv2.contourArea)
    area = cv2.contourArea(outline)
    hull = cv2.convexHull(outline)
    if area < 0.2 * light.size or area < 0.85 * cv2.contourArea(hull):
        return None
    corners = cv2.approxPolyDP(hull, 0.03 * cv2.arcLength(hull, True), True)[:, 0, :]
    if len(corners) != 4 or abs(cv2.contourArea(corners) - area) > 0.12 * area:
        return None
    centre = corners.mean(axis=0)
    turn = np.arctan2(corners[:, 1] - centre[1], corners[:, 0] - centre[0])
    ordered = corners[np.argsort(turn)]
    start = int(np.argmin(ordered.sum(axis=1)))
    result: NDArray[np.float64] = np.roll(ordered, -start, axis=0) / factor
    return result
