"""What a picture is drawn on, with and by whom, and how it is photographed, by difficulty."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sample_sketches.camera import View
from sample_sketches.hand import Manner
from sample_sketches.pens import PENS, Pen

__all__ = ["LEVELS", "Level", "Setting", "choose_setting"]

Rng = np.random.Generator
Span = tuple[float, float]


@dataclass(frozen=True)
class Level:
    """A difficulty: what may occur, and how often (shares 0 to 1)."""

    families: tuple[str, ...]
    sizes: tuple[int, int]
    papers: tuple[str, ...]
    pens: tuple[str, ...]
    marks: tuple[float, float, float]
    support_styles: tuple[float, float, float]
    fill: Span
    tilt: float
    turn: float
    shadow: Span
    untidy: Span
    sway: float = 1.0
    double: float = 0.0
    inclined: float = 0.0
    no_supports: float = 0.0
    slanted: float = 0.0
    most_loads: int = 2
    dimensioned: float = 0.5
    plain_lengths: float = 0.0
    sloped: float = 0.0
    written: float = 0.3
    answered: float = 0.0
    zero_marked: float = 0.0
    cut: float = 0.0
    angled: float = 0.0
    reactions: float = 0.0
    redrawn: float = 0.0
    doodled: float = 0.0
    poor_camera: float = 0.0
    quarter_turn: float = 0.0


LEVELS = {
    "easy": Level(
        families=("pratt", "warren", "king post", "howe", "fink", "polygon", "bracket", "pitched"),
        sizes=(0, 0),
        papers=("plain", "plain", "ruled", "squared", "whiteboard", "dotted"),
        pens=("ball", "gel", "felt", "fountain"),
        marks=(0.5, 0.35, 0.15),
        support_styles=(0.85, 0.15, 0.0),
        fill=(0.55, 0.72),
        tilt=8,
        turn=3,
        shadow=(0.0, 0.2),
        untidy=(0.6, 1.0),
    ),
    "medium": Level(
        families=(
            "warren", "pitched", "pratt", "tower", "scissors", "bowed", "howe", "crossed bays",
            "bracket", "crane", "polygon", "gambrel", "irregular", "k-web",
        ),
        sizes=(0, 1),
        papers=(
            "plain", "ruled", "squared", "dotted", "coloured", "whiteboard", "chalk board",
            "legal pad", "kraft",
        ),
        pens=("ball", "gel", "felt", "pencil", "pencil", "fountain"),
        marks=(0.5, 0.25, 0.25),
        support_styles=(0.65, 0.2, 0.15),
        fill=(0.48, 0.74),
        tilt=15,
        turn=10,
        shadow=(0.05, 0.35),
        untidy=(0.8, 1.4),
        sway=1.6,
        double=0.08,
        inclined=0.1,
        slanted=0.35,
        most_loads=4,
        dimensioned=0.7,
        plain_lengths=0.3,
        sloped=0.2,
        written=0.6,
        answered=0.12,
        zero_marked=0.08,
        angled=0.25,
        reactions=0.12,
        redrawn=0.1,
        doodled=0.1,
        poor_camera=0.15,
    ),
    "hard": Level(
        families=(
            "tower", "warren", "crossed bays", "k-web", "pratt", "irregular", "howe", "bowed",
            "scissors", "crane", "pitched", "bracket", "polygon",
        ),
        sizes=(1, 3),
        papers=(
            "ruled", "squared", "plain", "dotted", "coloured", "whiteboard", "chalk board",
            "crumpled", "crumpled", "kraft", "legal pad",
        ),
        pens=("pencil", "pencil", "ball", "felt", "gel"),
        marks=(0.6, 0.2, 0.2),
        support_styles=(0.5, 0.25, 0.25),
        fill=(0.42, 0.80),
        tilt=22,
        turn=18,
        shadow=(0.1, 0.5),
        untidy=(1.0, 2.0),
        sway=2.0,
        double=0.15,
        inclined=0.2,
        no_supports=0.05,
        slanted=0.5,
        most_loads=5,
        dimensioned=0.8,
        plain_lengths=0.5,
        sloped=0.3,
        written=0.8,
        answered=0.35,
        zero_marked=0.2,
        cut=0.2,
        angled=0.35,
        reactions=0.25,
        redrawn=0.3,
        doodled=0.25,
        poor_camera=0.5,
        quarter_turn=0.08,
    ),
}  # fmt: skip

_INKS = ((0.08, 0.09, 0.11), (0.09, 0.16, 0.50), (0.06, 0.10, 0.34), (0.09, 0.09, 0.10))
_REDS = ((0.70, 0.10, 0.12), (0.62, 0.08, 0.10), (0.10, 0.42, 0.20))
_CHALKS = ((0.95, 0.80, 0.45), (0.90, 0.62, 0.60), (0.62, 0.80, 0.92))
_DESKS = (
    ("wood", (0.48, 0.33, 0.21)), ("wood", (0.62, 0.49, 0.35)), ("wood", (0.26, 0.19, 0.14)),
    ("cloth", (0.30, 0.34, 0.38)), ("cloth", (0.52, 0.50, 0.46)), ("stone", (0.40, 0.40, 0.40)),
    ("stone", (0.72, 0.71, 0.69)),
)  # fmt: skip


@dataclass(frozen=True)
class Setting:
    """One picture's sheet, pens, hand and camera."""

    paper: str
    size: Span
    scale: float
    pen: Pen
    load_pen: Pen | None
    note_pen: Pen | None
    manner: Manner
    letter_height: float
    view: View


def choose_setting(rng: Rng, level: Level, *, upright: bool) -> Setting:
    """Choose paper, pens, hand and camera for a picture of the given difficulty."""
    paper = str(rng.choice(level.papers))
    board = paper in ("whiteboard", "chalk board")
    pen = _pen(rng, level, paper)
    size = (rng.uniform(195, 215), rng.uniform(255, 290)) if upright else _wide(rng)
    view = _view(rng, level, board=board, upright=size[1] > size[0])
    scale = float(np.clip(1.15 * max(view.width, view.height) / max(size), 3.6, 9.0))
    shaky = rng.uniform(*level.untidy)
    manner = Manner(
        bow=0.005 * shaky,
        tremor=0.15 * shaky + 0.06 * pen.width,
        overshoot=0.85 * shaky,
        uneven=0.16 * rng.uniform(0.7, 1.6),
        slant=float(rng.uniform(-0.05, 0.28)),
        untidy=0.32 * min(shaky, 1.5),
    )
    other = _other_colour(rng, pen)
    return Setting(
        paper=paper,
        size=size,
        scale=scale,
        pen=pen,
        load_pen=other if rng.random() < 0.35 else None,
        note_pen=_other_colour(rng, pen) if rng.random() < 0.2 else None,
        manner=manner,
        letter_height=float(rng.uniform(4.4, 6.2)) + 1.3 * pen.width,
        view=view,
    )


def _wide(rng: Rng) -> Span:
    return (rng.uniform(270, 315), rng.uniform(200, 225))


def _pen(rng: Rng, level: Level, paper: str) -> Pen:
    if paper == "chalk board":
        return replace(PENS["chalk"], width=rng.uniform(1.4, 2.1))
    if paper == "whiteboard":
        colour = _INKS[rng.integers(len(_INKS))] if rng.random() < 0.8 else _REDS[0]
        return replace(PENS["marker"], width=rng.uniform(1.1, 1.8), colour=colour)
    pen = PENS[str(rng.choice(level.pens))]
    if pen.name == "pencil":
        return replace(pen, width=rng.uniform(0.4, 0.75), strength=rng.uniform(0.55, 0.9))
    return replace(pen, width=pen.width * rng.uniform(0.8, 1.3), colour=_INKS[rng.integers(4)])


def _other_colour(rng: Rng, pen: Pen) -> Pen:
    """The same sort of pen in another colour."""
    if pen.name == "pencil":
        return pen
    colours = _CHALKS if pen.name == "chalk" else (*_REDS, _INKS[1])
    return replace(pen, colour=colours[rng.integers(len(colours))])


def _view(rng: Rng, level: Level, *, board: bool, upright: bool) -> View:
    long_side = int(rng.choice([960, 1280, 1600, 2016, 2560, 3264, 4032], p=_SIDES))
    short = round(long_side * float(rng.choice([0.75, 0.75, 0.5625])) / 2) * 2
    poor = rng.random() < level.poor_camera
    if poor:
        long_side, short = min(long_side, 2016), min(short, 1512)
    turned = float(rng.choice([90, -90, 180])) if rng.random() < level.quarter_turn else 0.0
    on_side = abs(turned) == 90
    width, height = (short, long_side) if upright != on_side else (long_side, short)
    desk, colour = ("wall", (0.66, 0.65, 0.62)) if board else _DESKS[rng.integers(len(_DESKS))]
    sharp = long_side / 1800
    return View(
        width=width,
        height=height,
        desk=desk,
        desk_colour=colour,
        tilt=float(rng.normal(0, 0.5) * level.tilt + (0 if board else 0.5 * level.tilt)),
        pan=float(rng.normal(0, 0.5) * level.tilt),
        turn=float(rng.normal(0, 0.2 if board else 0.6) * level.turn) + turned,
        margin=float(rng.uniform(-0.16, -0.03) if board else rng.uniform(-0.10, 0.05)),
        curl=0.0 if board else float(rng.uniform(0, 0.3) * level.tilt),
        lens=float(rng.normal(0.008, 0.012)),
        light=float(rng.uniform(0.1, 0.5)),
        light_from=float(rng.uniform(0, 360)),
        shadow=float(rng.uniform(*level.shadow)),
        warmth=float(rng.normal(0.02, 0.04)),
        blur=float(rng.uniform(0.6, 1.1) * (1.7 if poor else 1.0) * max(sharp, 0.6)),
        noise=float(rng.uniform(0.006, 0.016) * (1.8 if poor else 1.0)),
        quality=int(rng.integers(45, 75) if poor else rng.integers(75, 93)),
        glare=float(rng.uniform(0.1, 0.4)) if board and rng.random() < 0.5 else 0.0,
        exposure=float(rng.uniform(0.62, 1.06)),
        motion=float(rng.uniform(1, 4)) if poor and rng.random() < 0.5 else 0.0,
        scan=bool(not board and rng.random() < 0.06),
    )


_SIDES = (0.10, 0.17, 0.25, 0.18, 0.14, 0.08, 0.08)
