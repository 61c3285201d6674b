"""Noise and grain of papers, boards and pens, made once per process from fixed seeds."""

from __future__ import annotations

from functools import cache
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["FINE", "crop", "field", "texture"]

Bytes = NDArray[np.uint8]
Floats = NDArray[np.floating[Any]]

#: Side of the textures that lie on ink, at twice the picture's scale; others are `_COARSE`.
FINE, _COARSE, _VARIANTS = 1300, 720, 4
_ON_INK = ("lead", "chalk", "streak")


def _noise(rng: np.random.Generator, side: int, sigma: tuple[float, float]) -> Floats:
    """Blurred noise of mean 0 and deviation 1."""
    shrink = max(1, int(min(sigma) / 2))
    small = rng.standard_normal((side // shrink + 2, side // shrink + 2)).astype(np.float32)
    blurred = cv2.GaussianBlur(small, (0, 0), sigma[0] / shrink, sigmaY=sigma[1] / shrink)
    large = cv2.resize(blurred, (side, side), interpolation=cv2.INTER_CUBIC)
    scaled: Floats = (large - large.mean()) / max(float(large.std()), 1e-6)
    return scaled


def _plain(rng: np.random.Generator, kind: str) -> Floats:
    """Values around 0, or for what lies on ink the share (0 to 1) that it lets through."""
    side = FINE if kind in _ON_INK else _COARSE
    if kind == "lead":
        return np.asarray(0.86 - 0.34 * np.abs(_noise(rng, side, (1.0, 1.0))))
    if kind == "chalk":
        grain = _noise(rng, side, (1.5, 1.5)) + 0.5 * _noise(rng, side, (6, 6))
        return 0.78 + 0.42 * np.clip(grain, -1.7, 0.6)
    if kind == "streak":
        lean = rng.uniform(1.5, 4)
        return 0.92 - 0.2 * np.clip(_noise(rng, side, (lean, 12)), -0.3, 2)
    if kind == "fibre":
        return _noise(rng, side, (0.8, 0.8)) + 0.7 * _noise(rng, side, (2, 2))
    if kind == "blotch":
        return _noise(rng, side, (18, 18)) + 0.8 * _noise(rng, side, (70, 70))
    if kind == "wood":
        bend = 40 * _noise(rng, side, (120, 60))
        rows = np.arange(side, dtype=np.float32)[:, None]
        rings = np.sin((rows + bend) / rng.uniform(3, 12))
        return np.asarray(0.6 * rings + 0.8 * _noise(rng, side, (30, 1)))
    if kind == "board":
        rows = np.arange(side)[:, None] + (90 * _noise(rng, side, (130, 130))).astype(int)
        swept = _noise(rng, side, (50, 5))[rows % side, np.arange(side)[None]]
        cloud = _noise(rng, side, (60, 60)) + 0.6 * _noise(rng, side, (15, 15))
        return np.asarray(0.5 * swept + cloud + 0.25 * _noise(rng, side, (1, 1)))
    if kind == "carton":
        ribs = np.sin(np.arange(side, dtype=np.float32) / rng.uniform(1.2, 3))[:, None]
        return np.asarray(
            0.4 * ribs + 0.7 * _noise(rng, side, (1, 1)) + 0.6 * _noise(rng, side, (8, 3))
        )
    return _crumple(rng, side)


def _crumple(rng: np.random.Generator, side: int) -> Floats:
    """Light on flat facets between many creases."""
    small = side // 3
    y, x = np.mgrid[:small, :small].astype(np.float32) / small
    light = np.zeros((small, small), np.float32)
    for _ in range(26):
        angle, at = rng.uniform(0, 2 * np.pi), rng.uniform(-0.6, 1.2)
        bend = 0.03 * np.sin(6 * (x - y) + rng.uniform(0, 6))
        off = np.cos(angle) * x + np.sin(angle) * y - at + bend
        light += np.sign(off) * np.exp(-np.abs(off) * rng.uniform(2, 12)) * rng.uniform(0.3, 1)
    large = cv2.resize(light, (side, side), interpolation=cv2.INTER_LINEAR)
    scaled: Floats = ((large - large.mean()) / large.std()).astype(np.float32)
    return scaled


@cache
def texture(kind: str, variant: int) -> Bytes | Floats:
    """One sheet of texture: bytes (255 lets all ink through) on ink, else deviations."""
    rng = np.random.default_rng([len(kind), ord(kind[0]), ord(kind[1]), variant])
    values = _plain(rng, kind)
    if kind in _ON_INK:
        through: Bytes = (255 * np.clip(values, 0, 1)).astype(np.uint8)
        return through
    return values.astype(np.float32)


def crop(rng: np.random.Generator, kind: str, width: int, height: int) -> NDArray[np.generic]:
    """Cut a piece of a texture at a random place, turned or mirrored at random."""
    sheet: NDArray[Any] = texture(kind, int(rng.integers(_VARIANTS)))
    if rng.random() < 0.5 and kind != "board":
        sheet = sheet.T
    times = -(-max(width, height) // len(sheet))
    if times > 1:
        sheet = np.tile(sheet, (times, times))
    x = int(rng.integers(sheet.shape[1] - width + 1))
    y = int(rng.integers(sheet.shape[0] - height + 1))
    return np.ascontiguousarray(sheet[y : y + height, x : x + width])


def field(rng: np.random.Generator, width: int, height: int, cells: int) -> Floats:
    """A smooth random field of about -1 to 1 with `cells` swings across."""
    small = rng.uniform(-1, 1, (cells + 1, cells + 1)).astype(np.float32)
    smooth: Floats = np.asarray(
        cv2.resize(small, (width, height), interpolation=cv2.INTER_CUBIC), np.float32
    )
    return smooth
