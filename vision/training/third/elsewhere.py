"""Sheets without a truss: what else people draw that might be taken for one."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from vision.training.third.figures import (
    beam,
    chart,
    circuit,
    doodle,
    forces,
    geometry,
    graph,
    plot,
    route,
    table,
    words,
)
from vision.training.third.remarks import OPENINGS, WORKING, write_block
from vision.training.third.science import incline, molecule, rays, springs, tree
from vision.training.third.sheet import Sheet

__all__ = ["draw_aside", "draw_elsewhere"]

Points = NDArray[np.float64]


def _box(sheet: Sheet) -> tuple[Points, float]:
    """Middle and half size of what is drawn."""
    rng = sheet.rng
    half = rng.uniform(0.12, 0.4) * sheet.side
    return rng.uniform(half + 20, np.maximum(sheet.side - half - 20, half + 21), 2), half


def draw_elsewhere(sheet: Sheet) -> None:
    """Draw something that is no truss, with writing beside it."""
    rng = sheet.rng
    figures: tuple[Callable[[Sheet, Points, float], None], ...] = (
        geometry, forces, graph, chart, circuit, table, beam, beam, doodle, doodle, plot, route,
        molecule,
        incline,
        springs,
        rays,
        tree,
        words,
    )  # fmt: skip
    for _ in range(int(rng.choice([1, 1, 1, 2, 3]))):
        c, r = _box(sheet)
        if sheet.busy(np.clip([c - r, c + r], 3, sheet.side - 4)) < 0.002:
            figures[int(rng.integers(len(figures)))](sheet, c, r)
    high = sheet.hand.letter * sheet.unit
    for lines in (OPENINGS, WORKING):
        if sheet.chance(0.45):
            chosen = [str(w).replace("{}", "A") for w in rng.choice(lines, int(rng.integers(1, 8)))]
            corner = rng.uniform(0.03, 0.6, 2) * sheet.side
            write_block(
                sheet, chosen, corner, high * rng.uniform(0.7, 1.4), underline=sheet.chance(0.3)
            )


def draw_aside(sheet: Sheet) -> None:
    """Draw something small that is no part of the truss where the sheet is free."""
    rng = sheet.rng
    figures = (forces, forces, forces, table, plot, geometry, graph)
    for _ in range(8):
        r = rng.uniform(0.05, 0.13) * sheet.side
        c = rng.uniform(1.6 * r, sheet.side - 1.6 * r, 2)
        if sheet.busy(np.array([c - 1.5 * r, c + 1.5 * r])) == 0:
            figures[int(rng.integers(len(figures)))](sheet, c, r)
            return
