"""Numbered pictures of all makers of training pictures, each with its truth."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.training import draw
from vision.training.camera import photograph
from vision.training.fourth.scene import draw_photo
from vision.training.paper import draw_paper, lay_ink
from vision.training.scene import DIFFICULTIES
from vision.training.second import scene as second
from vision.training.third.scene import draw_sheet
from vision.training.truth import Truth, moved

__all__ = ["MAKERS", "draw_numbered"]

Picture = tuple[NDArray[np.uint8], Truth]

#: Who draws by turns: picture n is drawn by maker n modulo their count.
MAKERS = ("first", "second", "third", "fourth")
#: First number of the second maker's pictures here; those from 77,000,000 on are kept apart.
SECOND_FROM = 78_000_000


def draw_numbered(number: int, longest: int | None = None) -> Picture | None:
    """Draw a picture of one of the makers, which take turns.

    Parameters
    ----------
    number : int
        The same number gives the same picture.
    longest : int, optional
        Side in pixels that the picture's longer one is reduced to.

    Returns
    -------
    (ndarray of uint8 (rows, columns, 3), dict) or None
        RGB and its truth; None where no truss was drawn, or the maker gave up.
    """
    try:
        rgb, truth = _draw(number, longest)
    except (ArithmeticError, LookupError, RuntimeError, ValueError, cv2.error) as error:
        print(f"picture {number}: {error!r}", flush=True)
        return None
    if len(truth["members"]) < 2:
        return None
    return _reduced(rgb, truth, longest) if longest and max(rgb.shape) > longest else (rgb, truth)


def _draw(number: int, longest: int | None) -> Picture:
    size = longest or 1200
    turn = number % len(MAKERS)
    if MAKERS[turn] == "first":
        level = list(DIFFICULTIES)[number // len(MAKERS) % len(DIFFICULTIES)]
        return draw(number, level, size=size)
    if MAKERS[turn] == "second":
        return _second(SECOND_FROM + number)
    rng = np.random.default_rng([turn, number])
    if MAKERS[turn] == "third":
        ink, truth = draw_sheet(rng, size)
        page, chalk = draw_paper(rng, size)
        return photograph(rng, lay_ink(rng, page, ink, chalk), truth, float(rng.uniform(0.25, 1)))
    grey, truth = draw_photo(rng)
    return np.repeat(grey[..., None], 3, axis=2), truth


def _second(seed: int) -> Picture:
    """Picture of the second maker, with a truth like the others'."""
    grey, seen = second.draw_scene(seed)
    truth: dict[str, Any] = {
        "joints": [{"x": float(x), "y": float(y)} for x, y in seen.joints],
        "members": [{"a": a, "b": b} for a, b in seen.members],
        "supports": [
            {"joint": joint, "kind": kind, "angle_deg": angle}
            for joint, kind, angle in seen.supports
        ],
        "loads": [
            {"joint": joint, "direction_deg": angle, "head": head, "tail": tail}
            for (joint, angle), (head, tail) in zip(seen.loads, seen.arrows, strict=True)
        ],
        "reactions": [
            {"joint": joint, "direction_deg": angle, "head": None, "tail": None}
            for joint, angle in seen.reactions
        ],
    }
    return np.repeat(grey[..., None], 3, axis=2), truth


def _reduced(rgb: NDArray[np.uint8], truth: Truth, longest: int) -> Picture:
    height, width = rgb.shape[:2]
    factor = longest / max(height, width)
    size = (round(width * factor), round(height * factor))
    smaller = np.asarray(cv2.resize(rgb, size, interpolation=cv2.INTER_AREA), np.uint8)
    scale = np.array(size) / (width, height)
    return smaller, moved(truth, lambda points: (points + 0.5) * scale - 0.5, *size)
