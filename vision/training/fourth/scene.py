"""One finished picture of a hurried drawing, and its truth."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.training.fourth.bare import draw_other
from vision.training.fourth.beside import page_notes, writing
from vision.training.fourth.develop import developed
from vision.training.fourth.figure import draw_truss
from vision.training.fourth.lens import View, aim, scale_at
from vision.training.fourth.light import clutter, lit
from vision.training.fourth.media import Medium, any_media
from vision.training.fourth.nets import Net, any_net
from vision.training.fourth.painter import lay, lay_patch, shrunk
from vision.training.fourth.sketch import GHOST, GLOW, MAIN, SECOND, Sketch
from vision.training.fourth.strokes import Points, any_hand
from vision.training.fourth.surface import creased, ground
from vision.training.fourth.textures import crop
from vision.training.truth import Truth, moved

__all__ = ["draw_photo"]

Floats = NDArray[np.floating[Any]]
Rng = np.random.Generator

#: Share of the pictures without a truss.
_BARE = 0.12
#: Pixels (in 512, times units to the side over 512) that all but the shortest bars keep.
_LEAST_BAR = 20 * 1000 / 512


def draw_photo(rng: Rng, side: int = 512) -> tuple[NDArray[np.uint8], Truth]:
    """Draw a sketch in a hurry and photograph it.

    Parameters
    ----------
    rng : numpy.random.Generator
        The same state gives the same picture.
    side : int
        Of the square picture; a photo of another shape has its border values replicated.

    Returns
    -------
    grey : ndarray of uint8, shape (side, side)
    truth : dict
        In the picture's pixels (see `vision.training.truth`).
    """
    fill = float(rng.uniform(0.6, 0.95) if rng.random() < 0.5 else rng.uniform(0.25, 0.75))
    kind, pen = any_media(rng)
    net = any_net(rng) if rng.random() > _BARE else None
    bay = 1000.0
    if net is not None:
        lengths = [float(np.hypot(*(net.joints[a] - net.joints[b]))) for a, b in net.bars]
        fill = max(fill, min(0.94, _LEAST_BAR / (side / 512 * float(np.quantile(lengths, 0.2)))))
    span = fill * side / 1000
    stroke = float(rng.uniform(*pen.width)) * np.sqrt(fill / 0.75) * side / 512 / span
    if net is not None:
        bay = float(np.median(lengths))
        stroke = min(stroke, 0.1 * float(np.quantile(lengths, 0.3)))
    letter = max(min(float(rng.uniform(26, 62)), 0.4 * bay), 8.5 / span, 4.5 * stroke)
    sketch = _sketch(rng, net, 1000 / fill, letter, stroke)
    shown = _shown(sketch)
    cut = bool(rng.random() < 0.06)
    width, height = (side, side) if cut else _shape(rng, side)
    view = aim(rng, shown, sketch.spine, (width, height), fill, side, cut)
    drawn = _extent(rng, sketch, shown)
    back = ground(rng, kind, pen.light, view, drawn, (width, height), sketch.spine is not None)
    wide = max(0.85, stroke * scale_at(view, drawn.mean(axis=0)))
    grey = _inked(rng, back.grey, pen, sketch, view, wide, back.sheet)
    if kind in ("sheet", "tracing", "sticky") and rng.random() < 0.12:
        grey = creased(rng, grey)
    seen = view(shown)
    if rng.random() < (0.2 if net is not None else 0.5):
        clutter(rng, grey, seen.min(axis=0), seen.max(axis=0), kind)
    grey = lit(rng, grey, kind)
    fine = wide < 1.7 or pen.tone[1] > 0.6 or fill < 0.45
    photo = developed(rng, grey, fine, pen.light)
    left, top = (side - width) // 2, (side - height) // 2
    frame = (top, side - height - top, left, side - width - left)
    picture = np.asarray(cv2.copyMakeBorder(photo, *frame, cv2.BORDER_REPLICATE), np.uint8)
    offset = np.array([left, top], float)
    truth = moved(sketch.truth, lambda points: view(points) + offset, side, side)
    _drop_unseen(truth, back.sheet, offset)
    return picture, truth


def _extent(rng: Rng, sketch: Sketch, shown: Points) -> Points:
    """Low and high corner of what must lie on the sheet: the truss, or most times all."""
    low, high = shown.min(axis=0), shown.max(axis=0)
    if rng.random() < 0.7 and sketch.strokes:
        points = np.concatenate([stroke.points for stroke in sketch.strokes])
        low, high = np.minimum(low, points.min(axis=0)), np.maximum(high, points.max(axis=0))
    return np.array([low, high])


def _drop_unseen(truth: Truth, sheet: Floats, offset: Points) -> None:
    """Leave out writing and dimension lines of which next to nothing is on the sheet."""
    height, width = sheet.shape

    def seen(points: Points) -> bool:
        spread = np.concatenate([points, points.mean(axis=0, keepdims=True)]) - offset
        x, y = np.round(spread).astype(int).T
        inside = (x >= 0) & (y >= 0) & (x < width) & (y < height)
        on = sheet[y.clip(0, height - 1), x.clip(0, width - 1)] > 0.5
        return bool((inside & on).mean() > 0.3)

    truth["texts"] = [text for text in truth["texts"] if seen(np.array(text["box"]))]
    lines = truth["dimension_lines"]
    truth["dimension_lines"] = [line for line in lines if seen(np.array(line))]


def _shape(rng: Rng, side: int) -> tuple[int, int]:
    """Width and height of the photo, its longer side filling the square."""
    aspect = float(
        rng.choice([1.0, 4 / 3, 3 / 2, 16 / 9, rng.uniform(1, 1.6)], p=[0.4, 0.3, 0.1, 0.05, 0.15])
    )
    short = int(round(side / aspect / 2) * 2)
    return (side, short) if rng.random() < 0.7 else (short, side)


def _sketch(rng: Rng, net: Net | None, reach: float, letter: float, stroke: float) -> Sketch:
    """Draw a whole page, of which the photo spans about `reach`, with a truss or without."""
    sketch = Sketch(rng, any_hand(rng), letter, stroke)
    if net is None:
        draw_other(sketch)
        return sketch
    draw_truss(sketch, net)
    if rng.random() < 0.75:
        page_notes(sketch, reach)
    return sketch


def _shown(sketch: Sketch) -> Points:
    """Points that the camera is aimed at: the truss, or all there is."""
    truth = sketch.truth
    if not truth["joints"]:
        if not sketch.strokes:
            return np.array([[0.0, 0], [1000, 1000]])
        points = np.concatenate([stroke.points for stroke in sketch.strokes])
        low, high = points.min(axis=0), points.max(axis=0)
        return np.array(
            [low - 60, high + 60, [low[0] - 60, high[1] + 60], [high[0] + 60, low[1] - 60]]
        )
    parts = [np.array([[j["x"], j["y"]] for j in truth["joints"]])]
    for arrow in truth["loads"] + truth["reactions"]:
        parts.append(np.array([arrow["tail"], arrow["head"]]))
    for held in truth["supports"]:
        a = np.radians(held["angle_deg"])
        parts.append(parts[0][held["joint"]] + 70 * np.array([[-np.cos(a), np.sin(a)]]))
    points = np.concatenate(parts)
    flat = 160 - np.ptp(points, axis=0)
    if flat.max() > 0:
        low, high = points.min(axis=0), points.max(axis=0)
        points = np.vstack([points, low - np.maximum(flat, 0) / 2, high + np.maximum(flat, 0) / 2])
    return points


def _wiped(rng: Rng, sketch: Sketch, through: bool) -> None:
    """Remains of what was there before, or the back of the sheet that shines through."""
    start = rng.uniform(-500, 500, 2)
    if rng.random() < 0.6:
        writing(sketch, start, int(rng.integers(2, 8)), rng.uniform(40, 90), GHOST)
    if through:
        other = Sketch(rng, sketch.hand, sketch.letter, sketch.pen)
        draw_truss(other, any_net(rng))
        shift = np.array([1000, 0]) + rng.normal(0, 150, 2)
        for stroke in other.strokes:
            behind = stroke.points * [-1, 1] + shift
            sketch.strokes.append(replace(stroke, points=behind, layer=GHOST, fill=False))
        return
    for _ in range(int(rng.integers(2, 9))):
        p = rng.uniform(-200, 1200, 2)
        sketch.line(p, p + rng.normal(0, 250, 2), 1.0, GHOST)


def _inked(
    rng: Rng, grey: Floats, pen: Medium, sketch: Sketch, view: View, wide: float, sheet: Floats
) -> Floats:
    """Put the sketch on the surface."""
    height, width = grey.shape
    board = pen.light or pen.grain == "streak"
    through = not board and rng.random() < 0.06
    if through or rng.random() < (0.5 if board else 0.12):
        _wiped(rng, sketch, through)
    ends = np.cumsum([len(stroke.points) for stroke in sketch.strokes])[:-1]
    everything = np.concatenate([stroke.points for stroke in sketch.strokes] or [np.zeros((0, 2))])
    pixels = np.split(view(everything), ends) if sketch.strokes else []
    second = 2 * wide * rng.uniform(0.7, 1.3)
    widths = {GHOST: 2.4 * wide, MAIN: 2 * wide, SECOND: max(second, 1.7), GLOW: max(9.0, 6 * wide)}
    layers = lay(sketch.strokes, pixels, widths, width, height)
    for patch in sketch.patches:
        layer = layers.setdefault(patch.layer, np.zeros((2 * height, 2 * width), np.uint8))
        lay_patch(layer, patch, view(patch.corners))
    tone, depth = rng.uniform(*pen.tone), rng.uniform(*pen.depth)
    soft = float(rng.uniform(*pen.soft))
    for name in (GHOST, GLOW, SECOND, MAIN):
        if name not in layers:
            continue
        layer = layers[name]
        if pen.grain and depth > 0.05 and name != GLOW:
            grain = crop(rng, pen.grain, 2 * width, 2 * height).astype(np.uint8)
            let = cv2.addWeighted(grain, depth, grain, 0.0, 255 * (1 - depth))
            layer = np.asarray(cv2.multiply(layer, let, scale=1 / 255), np.uint8)
        ink = shrunk(layer).astype(np.float32) / 255
        share, here = 1.0, tone
        if name == GHOST:
            ink = np.asarray(cv2.GaussianBlur(ink, (0, 0), rng.uniform(0.8, 2.5)), np.float32)
            share = float(rng.uniform(0.04, 0.14 if through else 0.3))
        elif name == GLOW:
            share, here = 1.0, float(rng.uniform(0.72, 0.92)) if not pen.light else 60.0
        elif name == SECOND:
            here = (
                float(np.clip(tone * rng.uniform(0.5, 1.5), 0.05, 0.7)) if not pen.light else tone
            )
        if soft > 0.25 and name in (MAIN, SECOND):
            ink = np.asarray(cv2.GaussianBlur(ink, (0, 0), soft), np.float32)
        if name == MAIN and pen.grain in ("lead", "chalk") and rng.random() < 0.3:
            smudge = np.asarray(cv2.blur(ink, (15, 15)), np.float32)
            ink = np.minimum(1, ink + smudge * np.float32(rng.uniform(0.1, 0.5)))
        ink = ink * np.float32(share) * sheet
        grey = (
            grey + (here - grey) * ink if pen.light else grey * (1 - ink * (1 - np.float32(here)))
        )
    return grey.astype(np.float32)
