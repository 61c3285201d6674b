"""From light on the surface to the grey picture that a camera or scanner hands over."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.training.fourth.textures import crop, field

__all__ = ["developed"]

Floats = NDArray[np.floating[Any]]
Bytes = NDArray[np.uint8]
Rng = np.random.Generator


def developed(rng: Rng, grey: Floats, fine: bool, dark: bool) -> Bytes:
    """Develop a picture.

    Parameters
    ----------
    grey : ndarray, shape (height, width)
        0 to 255 and beyond.
    fine : bool
        Whether its strokes are thin or faint, so that it bears less blur and noise.
    dark : bool
        Whether the ink is lighter than its ground.
    """
    height, width = grey.shape
    scan = rng.random()
    grey = _optics(rng, grey, 0.6 if fine else 1.0)
    if scan < 0.17:
        image = _scanned(rng, np.clip(grey, 0, 255).astype(np.uint8), dark)
    else:
        image = _sensed(rng, grey, 0.6 if fine else 1.0)
    if rng.random() < 0.12:
        share = rng.uniform(0.72 if fine else 0.5, 0.9)
        small = cv2.resize(image, None, fx=share, fy=share, interpolation=cv2.INTER_AREA)
        way = int(
            rng.choice([cv2.INTER_LINEAR, cv2.INTER_CUBIC, cv2.INTER_NEAREST], p=[0.5, 0.4, 0.1])
        )
        image = np.asarray(cv2.resize(small, (width, height), interpolation=way), np.uint8)
    if rng.random() < 0.7:
        quality = int(rng.uniform(20, 90) if rng.random() < 0.5 else rng.uniform(60, 92))
        _, code = cv2.imencode(".jpg", image, [cv2.IMWRITE_JPEG_QUALITY, quality])
        image = np.asarray(cv2.imdecode(code, cv2.IMREAD_GRAYSCALE), np.uint8)
    return image


def _optics(rng: Rng, grey: Floats, mild: float) -> Floats:
    """Defocus, movement, vignetting."""
    kind = rng.random()
    if kind < 0.4:
        grey = np.asarray(cv2.GaussianBlur(grey, (0, 0), rng.uniform(0.35, 1.0) * mild), np.float32)
    elif kind < 0.5:
        grey = np.asarray(cv2.GaussianBlur(grey, (0, 0), rng.uniform(0.9, 1.9) * mild), np.float32)
    elif kind < 0.58:
        side = int(rng.choice([3, 5, 7] if mild == 1 else [3]))
        shake = np.zeros((side, side), np.float32)
        angle, half = rng.uniform(0, np.pi), side / 2
        end = half * np.array([np.cos(angle), np.sin(angle)])
        middle = np.array([side // 2, side // 2])
        ends = np.round([middle - end, middle + end]).astype(int).tolist()
        cv2.line(shake, ends[0], ends[1], 1.0)
        grey = np.asarray(cv2.filter2D(grey, -1, shake / shake.sum()), np.float32)
    if rng.random() < 0.25:
        height, width = grey.shape
        x = np.linspace(-1, 1, width, dtype=np.float32)[None] ** 2
        y = np.linspace(-1, 1, height, dtype=np.float32)[:, None] ** 2
        grey = grey * (1 - np.float32(rng.uniform(0.05, 0.3)) * (x + y) / 2)
    return grey


def _sensed(rng: Rng, grey: Floats, mild: float) -> Bytes:
    """A camera's noise, tone and sharpening; at times the raster of a screen."""
    height, width = grey.shape
    if rng.random() < 0.03:
        ys, xs = np.mgrid[:height, :width].astype(np.float32)
        a, b = rng.uniform(-0.5, 0.5), rng.uniform(0.7, 1.5)
        beat = np.sin(xs * np.float32(b) + ys * np.float32(a)) * np.sin(ys * np.float32(b * 1.03))
        grey = grey * (1 + np.float32(rng.uniform(0.03, 0.12)) * beat)
    noise = rng.choice([0.6, 2.0, 5.0, 10.0], p=[0.3, 0.4, 0.22, 0.08]) * mild
    rough = crop(rng, "fibre", width, height).astype(np.float32)
    grey = grey + np.float32(noise * rng.uniform(0.4, 0.8)) * rough
    if rng.random() < 0.35:
        soft = cv2.GaussianBlur(grey, (0, 0), rng.uniform(0.8, 2.2))
        grey = grey + np.float32(rng.uniform(0.3, 1.4)) * (grey - soft)
    if rng.random() < 0.3:
        low, high = np.percentile(grey[::6, ::6], [1, 99])
        span = max(float(high - low), 110.0)
        grey = 12 + (grey - low) * np.float32(rng.uniform(200, 240) / span)
    out: Bytes = np.clip(grey, 0, 255).astype(np.uint8)
    if rng.random() < 0.3:
        power = rng.uniform(0.7, 1.4)
        table = (255 * (np.arange(256) / 255) ** power).astype(np.uint8)
        out = np.asarray(cv2.LUT(out, table), np.uint8)
    return out


def _scanned(rng: Rng, image: Bytes, dark: bool) -> Bytes:
    """Scanner and copier looks: two tones, local threshold, hard contrast, mottle, fax."""
    height, width = image.shape
    kind = rng.choice(["local", "hard", "hard", "copy", "copy", "fax", "even"])
    side = int(rng.choice([25, 41, 61]))
    base = cv2.blur(image, (side, side)).astype(np.float32)
    flat = image.astype(np.float32) - base
    swing = max(float(np.percentile(np.abs(flat[::3, ::3]), 98.5)), 8.0)
    sign = 1.0 if dark and rng.random() < 0.6 else -1.0
    ink = (flat if dark else -flat) / swing
    if kind in ("local", "fax"):
        rough = crop(rng, "fibre", width, height).astype(np.float32)
        marked = ink + 0.08 * rough > rng.uniform(0.28, 0.42)
        two = np.where(marked, 255 if sign > 0 else 0, 0 if sign > 0 else 255).astype(np.uint8)
        if kind == "fax":
            small = cv2.resize(
                two, (int(width * 0.8), int(height * 0.8)), interpolation=cv2.INTER_AREA
            )
            step = np.where(small > 150, 255, 0).astype(np.uint8)
            two = np.asarray(cv2.resize(step, (width, height)), np.uint8)
        return two
    if kind == "even":
        paper = np.where(base > 0, image / np.maximum(base, 20), 1)
        lifted: Bytes = np.clip(paper * (70 if dark else 235), 0, 255).astype(np.uint8)
        return lifted
    sharp = 1 / (1 + np.exp(-(ink - rng.uniform(0.25, 0.4)) * rng.uniform(5, 14)))
    if kind == "copy":
        mottle = crop(rng, "blotch", width, height).astype(np.float32)
        mottle = mottle + crop(rng, "fibre", width, height).astype(np.float32)
        sharp = sharp * (0.85 + 0.1 * field(rng, width, height, 6)) + np.abs(0.02 * mottle)
    paper_tone, ink_tone = rng.uniform(205, 255), rng.uniform(0, 90)
    if sign > 0:
        paper_tone, ink_tone = ink_tone, paper_tone
    result: Bytes = np.clip(paper_tone + (ink_tone - paper_tone) * sharp, 0, 255).astype(np.uint8)
    return result
