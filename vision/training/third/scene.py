"""One sheet: a truss with all that people write beside it, or something else."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from vision.training.third.acting import draw_loads, draw_supports
from vision.training.third.drawn import draw_joints, draw_members, place
from vision.training.third.elsewhere import draw_aside, draw_elsewhere
from vision.training.third.measures import draw_measures, draw_section
from vision.training.third.remarks import draw_remarks
from vision.training.third.sheet import Sheet, choose_hand
from vision.training.third.standing import choose_plan
from vision.training.truth import Truth

__all__ = ["draw_sheet"]


def draw_sheet(rng: np.random.Generator, side: int = 768) -> tuple[NDArray[np.uint8], Truth]:
    """Draw a sheet.

    Parameters
    ----------
    rng : numpy.random.Generator
        All that is drawn follows from its state.
    side : int
        Pixels of the square sheet.

    Returns
    -------
    ink : ndarray, shape (side, side), uint8
        How much ink covers each pixel: 0 none, 255 full.
    truth : dict
        What the sheet shows, in its pixels.
    """
    sheet = Sheet(rng, side, choose_hand(rng))
    if sheet.chance(0.1):
        sheet.truth["family"] = "none"
        draw_elsewhere(sheet)
        return sheet.finished(), sheet.truth
    drawn = place(sheet, choose_plan(rng))
    panel = drawn.panel / sheet.unit
    sheet.hand = replace(
        sheet.hand,
        letter=min(sheet.hand.letter, 6 + 0.22 * panel),
        width=min(sheet.hand.width, 1 + 0.05 * panel),
    )
    draw_members(sheet, drawn)
    if sheet.chance(0.04):
        away, down = rng.normal(0, 8 * sheet.unit, 2)
        sheet.ghost(away, down, rng.uniform(0.06, 0.18))
    if sheet.chance(0.25):
        draw_joints(sheet, drawn)
        draw_supports(sheet, drawn)
    else:
        draw_supports(sheet, drawn)
        draw_joints(sheet, drawn)
    wordless = sheet.chance(0.08)
    draw_loads(sheet, drawn, named=not wordless)
    if wordless:
        return sheet.finished(), sheet.truth
    draw_measures(sheet, drawn)
    if sheet.chance(0.06):
        draw_section(sheet, drawn)
    draw_remarks(sheet, drawn)
    if sheet.chance(0.14):
        draw_aside(sheet)
    return sheet.finished(), sheet.truth
