"""Cameras: where the page lies in the picture, light on it, and what a phone does to it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.training.truth import Truth, moved

__all__ = ["photograph"]

Rng = np.random.Generator
Image = NDArray[Any]
Points = NDArray[Any]


def photograph(
    rng: Rng, page: Image, truth: Truth, hardness: float
) -> tuple[NDArray[np.uint8], Truth]:
    """Take a picture of a page.

    Parameters
    ----------
    page : ndarray, shape (n, n, 3)
        RGB 0..1.
    truth : dict
        In pixels of the page.
    hardness : float
        0 for a flat clean scan, 1 for the worst of pictures.
    """
    n = page.shape[0]
    long = int(rng.uniform(700, 1500))
    short = int(long / rng.choice([1.0, 1.33, 1.33, 1.5, 1.78]))
    w, h = (long, short) if rng.random() < 0.65 else (short, long)
    homography = _view(rng, n, w, h, hardness)
    if rng.random() < 0.25 * hardness:
        page, bend = _curl(rng, page)
        truth = moved(truth, bend, n, n)
    inside = cv2.warpPerspective(np.ones((n, n), np.float32), homography, (w, h))[..., None]
    desk = rng.uniform(0.1, 0.75, 3).astype(np.float32) * np.ones((h, w, 3), np.float32)
    grain = cv2.resize(rng.normal(0, 0.04, (h, 8)).astype(np.float32), (w, h))
    picture = cv2.warpPerspective(page, homography, (w, h), flags=cv2.INTER_AREA)
    picture = picture * inside + (desk + grain[..., None]) * (1 - inside)
    picture = _light(rng, picture, hardness)
    picture = _phone(rng, picture, hardness)
    return picture, moved(truth, lambda p: _carry(homography, p), w, h)


def _carry(homography: Points, points: Points) -> Points:
    lifted = np.column_stack([points, np.ones(len(points))]) @ homography.T
    carried: Points = lifted[:, :2] / lifted[:, 2:]
    return carried


def _view(rng: Rng, n: int, w: int, h: int, hardness: float) -> Points:
    """Homography from the page to the picture; the middle of the page stays in it."""
    fill = rng.uniform(0.85, 1.25) * min(w, h) / n
    turn = rng.normal(0, 3 * hardness)
    if rng.random() < 0.12 * hardness:
        turn += rng.choice([90, 180, 270])
    c, s = np.cos(np.radians(turn)) * fill, np.sin(np.radians(turn)) * fill
    middle = np.array([w, h]) / 2 + rng.normal(0, 0.03, 2) * min(w, h)
    corners = np.array([[0, 0], [n, 0], [n, n], [0, n]], float)
    seen = (corners - n / 2) @ np.array([[c, s], [-s, c]]) + middle
    seen += rng.normal(0, 0.035 * hardness, (4, 2)) * min(w, h)
    matrix: Points = cv2.getPerspectiveTransform(
        corners.astype(np.float32), seen.astype(np.float32)
    )
    return matrix


def _curl(rng: Rng, page: Image) -> tuple[Image, Callable[[Points], Points]]:
    """Bend the page along a sine; returns the page and the map of its points."""
    n = page.shape[0]
    deep, phase, turns = rng.uniform(0.004, 0.02) * n, rng.uniform(0, 6), rng.uniform(0.5, 1.5)
    wave = 2 * np.pi * turns / n
    y, x = np.mgrid[:n, :n].astype(np.float32)
    bent = cv2.remap(
        page, x, (y + deep * np.sin(wave * x + phase)).astype(np.float32), cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_REPLICATE,
    )  # fmt: skip

    def bend(points: Points) -> Points:
        return np.column_stack(
            [points[:, 0], points[:, 1] - deep * np.sin(wave * points[:, 0] + phase)]
        )

    return bent, bend


def _light(rng: Rng, picture: Image, hardness: float) -> Image:
    h, w = picture.shape[:2]
    field = cv2.resize(
        rng.normal(0, 1, (3, 3)).astype(np.float32), (w, h), interpolation=cv2.INTER_CUBIC
    )
    picture = picture * np.exp(0.22 * hardness * field)[..., None] * rng.uniform(0.6, 1.05)
    if rng.random() < 0.4 * hardness:
        edge = rng.uniform(0, 1, (4, 2)) * [w, h]
        shade: Image = np.zeros((h, w), np.float32)
        cv2.fillPoly(shade, [edge.astype(np.int32)], 1.0)
        shade = cv2.GaussianBlur(shade, (0, 0), rng.uniform(0.005, 0.06) * w)
        picture = picture * (1 - rng.uniform(0.15, 0.5) * shade)[..., None]
    if rng.random() < 0.12 * hardness:
        y, x = np.mgrid[:h, :w].astype(np.float32)
        cx, cy, r = rng.uniform(0, w), rng.uniform(0, h), rng.uniform(0.1, 0.3) * w
        picture = picture + 0.35 * np.exp(-((x - cx) ** 2 + (y - cy) ** 2) / r**2)[..., None]
    warm = 1 + rng.normal(0, 0.05 * hardness, 3)
    warmed: Image = (picture * warm).astype(np.float32)
    return warmed


def _phone(rng: Rng, picture: Image, hardness: float) -> NDArray[np.uint8]:
    if rng.random() < 0.5 * hardness:
        picture = cv2.GaussianBlur(picture, (0, 0), rng.uniform(0.4, 1.6))
    if rng.random() < 0.1 * hardness:
        length = int(rng.integers(3, 9))
        kernel = np.zeros((length, length), np.float32)
        cv2.line(
            kernel, (0, int(rng.integers(length))), (length - 1, int(rng.integers(length))), 1.0
        )
        picture = cv2.filter2D(picture, -1, kernel / kernel.sum())
    picture = picture + rng.normal(0, rng.uniform(0, 0.03) * hardness, picture.shape).astype(
        np.float32
    )
    if rng.random() < 0.12:
        grey = picture.mean(axis=2, keepdims=True)
        local = cv2.GaussianBlur(grey, (0, 0), 25)[..., None]
        picture = np.repeat(np.clip((grey - local) * 4 + 0.9, 0, 1), 3, axis=2)
    pixels = (np.clip(picture, 0, 1) * 255).astype(np.uint8)
    quality = int(rng.uniform(35, 95)) if hardness > 0.3 else 92
    coded = cv2.imencode(".jpg", pixels[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
    decoded = np.asarray(cv2.imdecode(coded, cv2.IMREAD_COLOR), np.uint8)
    return np.ascontiguousarray(decoded[..., ::-1])
