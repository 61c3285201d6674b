"""Rendered sketches with their truth, and the training of the reader's network."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from vision.training.camera import photograph
from vision.training.paper import draw_paper, lay_ink
from vision.training.scene import DIFFICULTIES, Hands, draw_scene
from vision.training.truth import Truth

__all__ = ["DIFFICULTIES", "draw"]


def draw(
    seed: int,
    difficulty: str = "medium",
    *,
    truss: bool = True,
    hands: Hands | None = None,
    size: int = 1200,
) -> tuple[NDArray[np.uint8], Truth]:
    """Render a numbered picture with its full truth.

    Parameters
    ----------
    seed : int
        The same number gives the same picture.
    difficulty : str
        ``"easy"``, ``"medium"`` or ``"hard"``.
    truss : bool
        False for a page without a truss.
    hands : Hands, optional
        Strokes and fonts to draw with; OpenCV's own stroke fonts without.
    size : int
        Side in pixels of the sheet before the camera sees it.

    Returns
    -------
    picture : ndarray of uint8, shape (height, width, 3)
        RGB.
    truth : dict
        As `vision.training.truth.Truth` describes it, in pixels of the picture.
    """
    if difficulty not in DIFFICULTIES:
        raise ValueError(f"difficulty must be one of {', '.join(DIFFICULTIES)}, not {difficulty!r}")
    rng = np.random.default_rng((seed, list(DIFFICULTIES).index(difficulty)))
    sheet, truth = draw_scene(rng, difficulty, size, hands, truss)
    page, chalk = draw_paper(rng, size)
    hardness = {"easy": 0.25, "medium": 0.6, "hard": 1.0}[difficulty]
    return photograph(rng, lay_ink(rng, page, sheet.ink, chalk), truth, hardness)
