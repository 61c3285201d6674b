"""Strokes and print brought down as layers of ink, straight in the photo's pixels."""

from __future__ import annotations

import itertools

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.training.fourth.sketch import Patch
from vision.training.fourth.strokes import Points, Stroke

__all__ = ["SHARP", "fixed", "lay", "lay_lines", "lay_patch", "shrunk"]

Bytes = NDArray[np.uint8]

#: Pixels of a layer of ink to one of the photo.
SHARP = 2
_SHIFT = 4


def fixed(pixels: Points) -> NDArray[np.int32]:
    """Photo pixels as OpenCV's fixed-point numbers in a layer of ink."""
    layer = pixels * SHARP + (SHARP - 1) / 2
    rounded: NDArray[np.int32] = np.round(np.clip(layer, -20000, 20000) * 2**_SHIFT).astype(
        np.int32
    )
    return rounded


def _stroke(layer: Bytes, at: NDArray[np.int32], stroke: Stroke, width: float) -> None:
    if stroke.fill:
        cv2.fillPoly(layer, [at], int(255 * stroke.pressure.mean()), cv2.LINE_AA, _SHIFT)
        return
    thick = max(1, round(width * stroke.width))
    press = stroke.pressure
    parts = 1 if np.ptp(press) < 0.12 or len(at) < 4 else min(5, (len(at) - 1) // 2)
    bounds = np.linspace(0, len(at) - 1, parts + 1).astype(int)
    for first, last in itertools.pairwise(bounds):
        shade = int(255 * press[first : last + 1].mean())
        cv2.polylines(layer, [at[first : last + 1]], False, shade, thick, cv2.LINE_AA, _SHIFT)


def lay(
    strokes: list[Stroke], pixels: list[Points], widths: dict[int, float], width: int, height: int
) -> dict[int, Bytes]:
    """Draw strokes, whose points are given in photo pixels, on one layer of ink each."""
    layers: dict[int, Bytes] = {}
    for stroke, at in zip(strokes, pixels, strict=True):
        low, high = at.min(axis=0), at.max(axis=0)
        if high[0] < -20 or high[1] < -20 or low[0] > width + 20 or low[1] > height + 20:
            continue
        if stroke.layer not in layers:
            layers[stroke.layer] = np.zeros((SHARP * height, SHARP * width), np.uint8)
        _stroke(layers[stroke.layer], fixed(at), stroke, widths[stroke.layer])
    return layers


def lay_patch(layer: Bytes, patch: Patch, corners: Points) -> None:
    """Print a text within four corners given in photo pixels."""
    goal = corners * SHARP + (SHARP - 1) / 2
    tall = max(8.0, float(np.hypot(*(goal[3] - goal[0]))))
    size = tall / 30
    thick = max(1, round(size * 1.6))
    (wide, up), down = cv2.getTextSize(patch.text, patch.face, size, thick)
    if wide < 2 or tall > 400 or wide > 4000:
        return
    paper = np.zeros((up + down + 2 * thick, wide + 2 * thick), np.uint8)
    cv2.putText(paper, patch.text, (thick, up + thick), patch.face, size, 240, thick, cv2.LINE_AA)
    low = np.floor(goal.min(axis=0)).astype(int).clip(0)
    high = np.minimum(np.ceil(goal.max(axis=0)).astype(int) + 1, layer.shape[::-1])
    if (high - low).min() < 2:
        return
    h, w = paper.shape
    source = np.array([[0, 0], [w, 0], [w, h], [0, h]], np.float32)
    warp = cv2.getPerspectiveTransform(source, (goal - low).astype(np.float32))
    x, y = (high - low).tolist()
    here = layer[low[1] : high[1], low[0] : high[0]]
    np.maximum(here, cv2.warpPerspective(paper, warp, (x, y), flags=cv2.INTER_AREA), out=here)


def lay_lines(lines: list[Points], thick: int, width: int, height: int) -> Bytes:
    """Draw polylines in photo pixels as one layer at the photo's own scale."""
    layer = np.zeros((SHARP * height, SHARP * width), np.uint8)
    cv2.polylines(layer, [fixed(line) for line in lines], False, 255, thick, cv2.LINE_AA, _SHIFT)
    return shrunk(layer)


def shrunk(layer: Bytes) -> Bytes:
    """Bring a layer of ink to the photo's scale."""
    small: Bytes = np.asarray(
        cv2.resize(
            layer, (layer.shape[1] // SHARP, layer.shape[0] // SHARP), interpolation=cv2.INTER_AREA
        ),
        np.uint8,
    )
    return small
