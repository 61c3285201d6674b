"""Pictures by number: a truss or a page without one, with the truth of what was drawn."""

from __future__ import annotations

import cv2
import numpy as np

from vision.training.second import surface
from vision.training.second.beside import clutter, page_without_truss
from vision.training.second.drawing import SIZE, Drawing, Truth
from vision.training.second.families import draw_shape
from vision.training.second.stock import stock
from vision.training.second.truss import draw_truss

__all__ = ["SIZE", "Truth", "draw_scene"]


def draw_scene(seed: int, level: float | None = None) -> tuple[surface.Picture, Truth]:
    """Draw picture number `seed`.

    Parameters
    ----------
    seed : int
    level : float, optional
        Roughness 0 (careful, flat light) to 1.3; random without it.

    Returns
    -------
    picture : ndarray of uint8, shape (SIZE, SIZE)
    truth : Truth
    """
    rng = np.random.default_rng(seed)
    level = float(rng.beta(1.6, 1.6) * 1.25) if level is None else level
    scene = Drawing(rng, level)
    if rng.random() < 0.16:
        if stock().pages and rng.random() < 0.55:
            page = surface.real_page(rng, SIZE) * surface.light(rng, SIZE, level)
            return surface.expose(rng, page, level), scene.truth
        page_without_truss(scene)
        clutter(scene, None)
    else:
        draw_truss(scene, draw_shape(rng))
    ink = cv2.resize(scene.sheet.ink, (SIZE, SIZE), interpolation=cv2.INTER_AREA)
    return surface.photograph(rng, ink, scene.camera, level, scene.hand.grain), scene.truth
