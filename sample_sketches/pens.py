"""Pens: how wide, how dark and how grainy the mark is that each leaves."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["BALL", "CHALK", "FELT", "FOUNTAIN", "GEL", "MARKER", "PENCIL", "PENS", "Pen"]

Colour = tuple[float, float, float]


@dataclass(frozen=True)
class Pen:
    """One writing tool.

    Attributes
    ----------
    name : str
        What it is: ``"pencil"``, ``"ball"`` and so on.
    width : float
        Width of its line in mm at middling pressure.
    colour : tuple of float
        Red, green and blue reflectance of a thick layer of its ink, 0 to 1.
    strength : float
        Share of the surface that a firm line covers, 0 to 1.
    grain : float
        How much the tooth of the surface shows through, 0 (ink) to 1 (chalk).
    swell : float
        How much pressure changes the width, 0 to 1.
    opaque : bool
        True when the mark hides what lies under it (chalk, board marker), False
        when it darkens it (ink).
    """

    name: str
    width: float
    colour: Colour
    strength: float
    grain: float
    swell: float
    opaque: bool = False


PENCIL = Pen("pencil", 0.55, (0.22, 0.22, 0.24), 0.86, 0.62, 0.35)
BALL = Pen("ball", 0.48, (0.10, 0.16, 0.52), 0.92, 0.26, 0.22)
GEL = Pen("gel", 0.60, (0.07, 0.07, 0.09), 0.96, 0.06, 0.20)
FOUNTAIN = Pen("fountain", 0.62, (0.07, 0.11, 0.30), 0.94, 0.10, 0.55)
FELT = Pen("felt", 1.15, (0.08, 0.08, 0.10), 0.93, 0.12, 0.25)
MARKER = Pen("marker", 1.50, (0.07, 0.08, 0.10), 0.95, 0.22, 0.18, opaque=True)
CHALK = Pen("chalk", 1.70, (0.93, 0.93, 0.89), 0.90, 0.80, 0.30, opaque=True)

PENS = {pen.name: pen for pen in (PENCIL, BALL, GEL, FOUNTAIN, FELT, MARKER, CHALK)}
