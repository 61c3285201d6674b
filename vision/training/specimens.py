"""Sheets full of supports, each under the end of a few bars: many symbols at one picture's cost."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.training.camera import photograph
from vision.training.hand import Hand, Sheet
from vision.training.paper import draw_paper, lay_ink
from vision.training.second import drawing as second
from vision.training.second import supports as second_supports
from vision.training.second import surface
from vision.training.symbols import PIN_FORMS, ROLLER_FORMS, draw_support
from vision.training.third import holding, strokes
from vision.training.third import sheet as third
from vision.training.truth import Truth, blank_truth

__all__ = ["draw_specimens"]

Rng = np.random.Generator
Points = NDArray[np.float64]
Picture = tuple[NDArray[np.uint8], Truth]

#: Side in pixels of a sheet.
SIDE = 900
#: Share of the joints that have no support.
FREE = 0.15


@dataclass(frozen=True)
class Specimen:
    """A joint, the far ends of its bars, and its support.

    Attributes
    ----------
    at : ndarray, shape (2,)
        In pixels, y down.
    ends : ndarray, shape (n, 2)
    kind : str
        ``"pin"``, ``"roller"``, or nothing.
    push_deg, size : float
        Direction in which the support pushes, and the symbol's height.
    """

    at: Points
    ends: Points
    kind: str
    push_deg: float
    size: float


def draw_specimens(number: int) -> Picture:
    """Draw a numbered sheet in the manner of one of the makers; its truth lists no loads."""
    rng = np.random.default_rng([7, number])
    return (_first, _second, _third)[number % 3](rng)


def _specimens(rng: Rng, side: int, least: float) -> tuple[list[Specimen], float]:
    """Put specimens on a square, in rows; also the length of their bars."""
    rows = int(rng.choice([2, 3, 3, 4]))
    cell = side / (rows + 0.4)
    bar = cell * rng.uniform(0.4, 0.5)
    usual = bar * np.exp(rng.uniform(np.log(0.18), np.log(0.75)))
    lean = rng.normal(0, 4)
    found = []
    for row in range(rows):
        for column in range(rows):
            push = rng.choice([90.0, 0.0, 180.0, rng.uniform(0, 360)], p=[0.45, 0.17, 0.17, 0.21])
            push = float((push + lean + rng.normal(0, 2)) % 360)
            up = np.array([np.cos(np.radians(push)), -np.sin(np.radians(push))])
            at = (np.array([column, row]) + 0.7) * cell - up * 0.12 * cell
            at = at + rng.normal(0, 0.04 * cell, 2)
            kind = str(rng.choice(["", "pin", "roller"], p=[FREE, 0.4, 0.45]))
            size = float(np.clip(usual * rng.uniform(0.8, 1.25), least, 0.45 * cell))
            found.append(Specimen(at, _ends(rng, at, push, bar), kind, push, size))
    return found, bar


def _ends(rng: Rng, at: Points, push: float, bar: float) -> Points:
    """Far ends of two to four bars, apart from each other, that the support can push against."""
    degrees: list[float] = []
    wanted = int(rng.integers(2, 5))
    for spread in rng.permutation(np.linspace(-95, 95, 9)):
        angle = push + spread + rng.normal(0, 4)
        if len(degrees) < wanted and all(abs(angle - other) > 30 for other in degrees):
            degrees.append(float(angle))
    way = np.radians(degrees)
    lengths = bar * rng.uniform(0.8, 1.05, len(way))
    return np.asarray(at + lengths[:, None] * np.column_stack([np.cos(way), -np.sin(way)]))


def _truth(
    specimens: list[Specimen], width: int, height: int, seen: Callable[[Points], Points]
) -> Truth:
    truth = blank_truth(width, height, "specimens")
    for specimen in specimens:
        first = len(truth["joints"])
        places = seen(np.vstack([specimen.at, specimen.ends]))
        truth["joints"] += [{"x": float(x), "y": float(y), "label": None} for x, y in places]
        truth["members"] += [
            {"a": first, "b": first + k, "line": [places[0].tolist(), places[k].tolist()]}
            for k in range(1, len(places))
        ]
        if specimen.kind:
            held = {"joint": first, "kind": specimen.kind, "angle_deg": specimen.push_deg}
            truth["supports"].append(held)
    return truth


def _lettered(rng: Rng, ink: NDArray[np.uint8], specimens: list[Specimen]) -> None:
    """Write letters beside some of the joints."""
    for specimen in specimens:
        if rng.random() < 0.5:
            height = rng.uniform(0.25, 0.7) * max(specimen.size, 20.0)
            way = rng.uniform(0, 2 * np.pi)
            off = rng.uniform(0.5, 1.3) * specimen.size * np.array([np.cos(way), np.sin(way)])
            place = np.round(specimen.at + off + (-0.4 * height, 0.5 * height)).astype(int)
            text = str(rng.choice(list("ABCDEFGHKLMNPR1234567890")))
            face = int(rng.choice([cv2.FONT_HERSHEY_SIMPLEX, cv2.FONT_HERSHEY_SCRIPT_SIMPLEX]))
            wide = max(1, round(height / 12))
            cv2.putText(ink, text, place.tolist(), face, height / 22, 200, wide, cv2.LINE_AA)


def _photographed(rng: Rng, ink: NDArray[np.uint8], specimens: list[Specimen]) -> Picture:
    _lettered(rng, ink, specimens)
    page, chalk = draw_paper(rng, SIDE)
    truth = _truth(specimens, SIDE, SIDE, lambda points: points)
    return photograph(rng, lay_ink(rng, page, ink, chalk), truth, float(rng.uniform(0.2, 0.9)))


def _first(rng: Rng) -> Picture:
    sheet = Sheet(SIDE)
    hand = Hand.draw(rng, float(rng.uniform(0, 1)), np.zeros((0, 24)))
    specimens, bar = _specimens(rng, SIDE, 15.0 + 2 * hand.width)
    style = str(rng.choice(["none", "dot", "open"]))
    radius = float(np.clip(rng.uniform(0.02, 0.06) * bar + hand.width, 2, 0.2 * bar))
    for specimen in specimens:
        for end in specimen.ends:
            hand.line(rng, sheet, specimen.at, end)
        if style != "none":
            hand.circle(rng, sheet, specimen.at, radius, style == "dot")
        if specimen.kind:
            forms = PIN_FORMS if specimen.kind == "pin" else ROLLER_FORMS
            a = np.radians(specimen.push_deg)
            push = np.array([np.cos(a), -np.sin(a)])
            start = specimen.at - push * (radius if style == "open" else 0.0)
            draw_support(rng, hand, sheet, start, push, specimen.size, str(rng.choice(forms)))
    return _photographed(rng, sheet.ink, specimens)


def _third(rng: Rng) -> Picture:
    sheet = third.Sheet(rng, SIDE, third.choose_hand(rng))
    specimens, _ = _specimens(rng, SIDE, 16.0)
    for specimen in specimens:
        for end in specimen.ends:
            strokes.line(sheet, specimen.at, end)
        if specimen.kind:
            styles = holding.PINS if specimen.kind == "pin" else holding.ROLLERS
            style = str(rng.choice([style for style in styles if style != "bare"]))
            holding.draw_support(
                sheet, specimen.at, specimen.kind, specimen.push_deg, specimen.size, style
            )
    return _photographed(rng, sheet.finished(), specimens)


def _second(rng: Rng) -> Picture:
    page = second.Drawing(rng, float(rng.beta(1.6, 1.6) * 1.25))
    specimens, _ = _specimens(rng, second.SIZE, 9.0)
    for specimen in specimens:
        for end in specimen.ends:
            page.sheet.line(specimen.at, end, page.hand)
        if specimen.kind:
            page.symbol = specimen.size
            second_supports.draw_support(page, specimen.at, specimen.kind, specimen.push_deg)
    size = (second.SIZE, second.SIZE)
    ink = np.asarray(cv2.resize(page.sheet.ink, size, interpolation=cv2.INTER_AREA), np.uint8)
    _lettered(rng, ink, specimens)
    grey = surface.photograph(rng, ink, page.camera, page.level, page.hand.grain)
    truth = _truth(specimens, *size, page.camera)
    return np.repeat(grey[..., None], 3, axis=2), truth
