"""What is drawn: a sheet of marks that knows nothing of trusses or of file formats.

Sheet coordinates: pixels, x right, y down. `ui.rendering` makes SVG, PDF and
PNG of it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

__all__ = [
    "COMPRESSION",
    "INK",
    "LOAD",
    "NO_FORCE",
    "PAPER",
    "REACTION",
    "TENSION",
    "Circle",
    "Mark",
    "Path",
    "Point",
    "Sheet",
    "Words",
    "arrow",
]

Point = tuple[float, float]

# Colours from the palette of Okabe & Ito (2008), told apart by colour-blind eyes.
TENSION = "#009E73"
COMPRESSION = "#D55E00"
NO_FORCE = "#999999"
LOAD = "#CC79A7"
REACTION = "#0072B2"
INK = "#16181D"
PAPER = "#FFFFFF"


@dataclass(frozen=True)
class Path:
    """Straight strokes through `points`, filled when `fill` is given.

    `halo` is how far a light edge shows on both sides; `dash` is on and off.
    """

    points: tuple[Point, ...]
    colour: str
    width: float
    halo: float = 0.0
    dash: tuple[float, float] | None = None
    closed: bool = False
    fill: str | None = None
    opacity: float = 1.0


@dataclass(frozen=True)
class Circle:
    """A circle with an outline, filled when `fill` is given."""

    centre: Point
    radius: float
    colour: str
    width: float
    fill: str | None = None


@dataclass(frozen=True)
class Words:
    """A line of text centred on `at`, or starting there when `start` is set.

    `plate` is the size of a light box behind it, edged in `edge`; `angle_deg`
    turns counter-clockwise as seen.
    """

    text: str
    at: Point
    size: float
    colour: str = INK
    angle_deg: float = 0.0
    bold: bool = True
    start: bool = False
    plate: tuple[float, float] | None = None
    edge: str | None = None


Mark = Path | Circle | Words


@dataclass(frozen=True)
class Sheet:
    """Marks on a sheet of `width` by `height`, over a picture at the top left if there is one.

    Attributes
    ----------
    picture : bytes or None
        The picture as JPEG, drawn `picture_size` large.
    """

    width: float
    height: float
    marks: tuple[Mark, ...]
    title: str = ""
    picture: bytes | None = None
    picture_size: tuple[float, float] = (0.0, 0.0)


def arrow(
    tail: Point, tip: Point, colour: str, width: float, head: float, halo: float = 0.0
) -> tuple[Path, Path]:
    """Shaft and filled head of an arrow; `head` is the length of the head."""
    length = math.dist(tail, tip) or 1.0
    ux, uy = (tip[0] - tail[0]) / length, (tip[1] - tail[1]) / length
    neck = (tip[0] - 0.8 * head * ux, tip[1] - 0.8 * head * uy)
    back = (tip[0] - head * ux, tip[1] - head * uy)
    half = 0.42 * head
    wings = (
        (back[0] - half * uy, back[1] + half * ux),
        tip,
        (back[0] + half * uy, back[1] - half * ux),
    )
    return (
        Path((tail, neck), colour, width, halo),
        Path(wings, colour, 0.0, halo, closed=True, fill=colour),
    )
