"""Papers and boards: colour, grids, rules, creases, stains; and ink laid on them."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["draw_paper", "lay_ink"]

Rng = np.random.Generator
Image = NDArray[Any]


def _cloud(rng: Rng, size: int, cells: int) -> Image:
    """Smooth noise of about unit spread."""
    coarse = rng.normal(0, 1, (cells, cells)).astype(np.float32)
    cloud: Image = cv2.resize(coarse, (size, size), interpolation=cv2.INTER_CUBIC)
    return cloud


def draw_paper(rng: Rng, size: int) -> tuple[Image, bool]:
    """Make a square of paper or board, RGB 0..1, and say whether it takes chalk."""
    board = bool(rng.random() < 0.08)
    if board:
        base = np.array([[0.12, 0.2, 0.16], [0.13, 0.14, 0.15], [0.1, 0.13, 0.2]])[rng.integers(3)]
    else:
        tints = [[0.97, 0.97, 0.96], [0.95, 0.92, 0.84], [0.9, 0.93, 0.96]]
        tints += [[0.98, 0.96, 0.75], [0.8, 0.8, 0.78]]
        base = np.array(tints)[rng.choice(5, p=[0.55, 0.2, 0.1, 0.07, 0.08])]
    page = np.ones((size, size, 3), np.float32) * base.astype(np.float32)
    page *= (1 + 0.012 * _cloud(rng, size, 90) + 0.02 * _cloud(rng, size, 6))[..., None]
    if rng.random() < 0.65 and not board:
        _rule(rng, page, size)
    for _ in range(int(rng.choice([0, 0, 0, 1, 2, 4]))):
        _crease(rng, page, size)
    if rng.random() < 0.1:
        centre = rng.uniform(0, size, 2).astype(int).tolist()
        stain = np.zeros((size, size), np.float32)
        cv2.circle(stain, centre, int(size * rng.uniform(0.05, 0.12)), 1.0, int(rng.uniform(3, 9)))
        page *= (1 - 0.25 * cv2.GaussianBlur(stain, (0, 0), 2.5))[..., None] ** np.array(
            [0.5, 1, 1.6]
        )
    if board:
        smear = cv2.GaussianBlur(np.maximum(_cloud(rng, size, 25), 0), (0, 0), 0.02 * size)
        page += 0.06 * smear[..., None]
    return page.astype(np.float32), board


def _rule(rng: Rng, page: Image, size: int) -> None:
    colours = [
        [0.55, 0.7, 0.9],
        [0.6, 0.6, 0.6],
        [0.9, 0.6, 0.6],
        [0.55, 0.8, 0.6],
        [0.75, 0.65, 0.5],
    ]
    colour = np.array(colours[rng.integers(5)], np.float32)
    strength = rng.uniform(0.15, 0.9)
    step = size * rng.uniform(0.018, 0.05)
    mask = np.zeros((size, size), np.float32)
    kind = rng.choice(["squares", "lines", "dots"], p=[0.55, 0.3, 0.15])
    thick = int(rng.choice([1, 1, 2]))
    marks = np.arange(rng.uniform(0, step), size, step)
    for index, at in enumerate(marks):
        heavy = 1 + (kind == "squares" and index % 5 == 0 and strength > 0.6)
        if kind == "dots":
            for other in marks:
                cv2.circle(mask, (int(at), int(other)), thick, 1.0, -1, cv2.LINE_AA)
            continue
        cv2.line(mask, (0, int(at)), (size, int(at)), 1.0, thick * heavy)
        if kind == "squares":
            cv2.line(mask, (int(at), 0), (int(at), size), 1.0, thick * heavy)
    if kind == "lines" and rng.random() < 0.6:
        x = int(size * rng.uniform(0.06, 0.14))
        cv2.line(mask, (x, 0), (x, size), 1.0, thick)
    page *= 1 - strength * mask[..., None] * (1 - colour)


def _crease(rng: Rng, page: Image, size: int) -> None:
    a, b = rng.uniform(0, size, (2, 2))
    along = (b - a) / (np.hypot(*(b - a)) + 1e-6)
    y, x = np.mgrid[:size, :size].astype(np.float32)
    off = ((x - a[0]) * along[1] - (y - a[1]) * along[0]) / size
    fold = np.exp(-((off / 0.004) ** 2)) + np.tanh(off / 0.05) * np.exp(-np.abs(off) / 0.08) * 0.5
    page *= (1 + rng.uniform(-0.09, 0.09) * fold)[..., None]


def lay_ink(rng: Rng, page: Image, ink: NDArray[np.uint8], chalk: bool) -> Image:
    """Lay the ink of a sheet on a paper of its size."""
    size = page.shape[0]
    dark: Image = cv2.GaussianBlur(ink.astype(np.float32) / 255, (0, 0), 0.5)
    if chalk or rng.random() < 0.25:
        grain = rng.uniform(0.6, 1.2, (size, size)).astype(np.float32)
        dark *= cv2.GaussianBlur(grain, (0, 0), 0.7)
    if chalk:
        tone = np.array([0.95, 0.95, 0.9], np.float32) * rng.uniform(0.75, 1.0)
    else:
        tones = [
            [0.1, 0.1, 0.12],
            [0.1, 0.15, 0.5],
            [0.3, 0.3, 0.32],
            [0.6, 0.1, 0.12],
            [0.1, 0.35, 0.2],
        ]
        tone = np.array(tones[rng.choice(5, p=[0.4, 0.27, 0.25, 0.05, 0.03])], np.float32)
    cover = np.clip(dark * rng.uniform(0.75, 1.0), 0, 1)[..., None]
    laid: Image = page * (1 - cover) + tone * cover * np.maximum(page, 0.6)
    return laid
