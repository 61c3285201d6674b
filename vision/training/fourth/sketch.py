"""A sketch in the making: the strokes drawn so far and the truth about them."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.training.fourth.letters import written
from vision.training.fourth.strokes import Hand, Points, Stroke, freehand
from vision.training.truth import Truth, blank_truth

__all__ = ["GHOST", "GLOW", "MAIN", "MOST_TEXTS", "PATCH_FACES", "SECOND", "Patch", "Sketch"]

#: Layers of ink: wiped remains, the pen, a second pen, and highlighter.
GHOST, MAIN, SECOND, GLOW = range(4)

#: Faces of OpenCV's own stroke fonts.
PATCH_FACES = (0, 2, 3, 4, 6, 16)

#: Most pieces of writing on one page.
MOST_TEXTS = 60

#: Side in units of one cell of the map of what is taken, and its origin.
_CELL, _ORIGIN, _CELLS = 10.0, -2000.0, 500


@dataclass(frozen=True)
class Patch:
    """Print on the page: a text in a face of OpenCV, within four corners."""

    text: str
    face: int
    corners: Points
    layer: int


class Sketch:
    """Strokes and truth in the drawing's units: the truss is 1000 long, y down.

    Parameters
    ----------
    rng : numpy.random.Generator
    hand : Hand
    letter : float
        Height of a capital letter.
    pen : float
        Width of a stroke; nothing is drawn too small for it.
    """

    def __init__(self, rng: np.random.Generator, hand: Hand, letter: float, pen: float) -> None:
        self.rng = rng
        self.hand = hand
        self.letter = letter
        self.pen = pen
        self.neat = float(rng.uniform(0.1, 1))
        self.face = int(rng.choice(PATCH_FACES)) if rng.random() < 0.14 else -1
        self.spine: float | None = None
        self.strokes: list[Stroke] = []
        self.patches: list[Patch] = []
        self.truth: Truth = blank_truth(0, 0)
        self.taken: NDArray[np.uint8] = np.zeros((_CELLS, _CELLS), np.uint8)

    def ink(
        self,
        points: Points,
        pressure: Points | float = 0.92,
        width: float = 1.0,
        layer: int = MAIN,
        fill: bool = False,
    ) -> None:
        """Put down one stroke, or one filled outline."""
        points = np.asarray(points, float)
        press = np.broadcast_to(np.asarray(pressure, float), (len(points),))
        self.strokes.append(Stroke(points, press, width, layer, fill))
        if layer in (MAIN, SECOND):
            cells = np.round((points - _ORIGIN) / _CELL).astype(np.int32)
            cv2.polylines(self.taken, [cells.reshape(-1, 1, 2)], False, 1, 1)

    def line(
        self,
        p: Points,
        q: Points,
        width: float = 1.0,
        layer: int = MAIN,
        bow: float | None = None,
        press: float = 1.0,
    ) -> Points:
        """Draw freehand from `p` to `q`; returns where the ink runs."""
        points, pressure = freehand(self.rng, self.hand, np.asarray(p), np.asarray(q), bow)
        self.ink(points, pressure * press, width, layer)
        return points

    def busy(self, box: Points) -> float:
        """Share of an upright rectangle around four corners where something is drawn."""
        low = np.clip((box.min(axis=0) - _ORIGIN) / _CELL, 0, _CELLS - 1).astype(int)
        high = np.clip((box.max(axis=0) - _ORIGIN) / _CELL + 1, 1, _CELLS).astype(int)
        part = self.taken[low[1] : high[1], low[0] : high[0]]
        return float(part.mean()) if part.size else 1.0

    def text(
        self,
        words: str,
        middle: Points,
        height: float | None = None,
        turn: float | None = None,
        layer: int = MAIN,
        told: bool = True,
    ) -> None:
        """Write around a middle, at a small slope or `turn` (radians, counter-clockwise).

        A page that holds `MOST_TEXTS` takes no more.
        """
        rng = self.rng
        if len(self.truth["texts"]) >= MOST_TEXTS:
            return
        tall = (self.letter if height is None else height) * rng.uniform(0.85, 1.15)
        tall = max(tall, 4.2 * self.pen)
        strokes, wide = written(rng, words, tall, self.neat)
        angle = rng.normal(0, 0.06) if turn is None else turn
        c, s = np.cos(angle), np.sin(angle)
        spin = np.array([[c, s], [-s, c]])
        start = np.array([wide / 2, -tall / 2])
        pad = 0.12 * tall
        corners = np.array(
            [[-pad, -tall - pad], [wide + pad, -tall - pad], [wide + pad, pad], [-pad, pad]]
        )
        if self.face >= 0:
            box = (corners - start) @ spin + middle
            self.patches.append(Patch(words.replace("°", "deg"), self.face, box, layer))
        else:
            ends = np.concatenate([*strokes, corners[:1] + pad, corners[2:3] - pad])
            low, high = ends.min(axis=0) - pad, ends.max(axis=0) + pad
            corners = np.array([low, [high[0], low[1]], high, [low[0], high[1]]])
            box = (corners - start) @ spin + middle
            for stroke in strokes:
                self.ink((stroke - start) @ spin + middle, rng.uniform(0.75, 1.0), 0.9, layer)
        if rng.random() < 0.012:
            self.line(box[3], box[1], layer=layer)
        cells = np.round((box - _ORIGIN) / _CELL).astype(np.int32)
        cv2.fillConvexPoly(self.taken, cells.reshape(-1, 1, 2), 1)
        if told:
            self.truth["texts"].append({"text": words, "box": box.tolist()})

    def text_near(
        self,
        words: str,
        at: Points,
        away: float,
        height: float | None = None,
        careless: float = 0.1,
        layer: int = MAIN,
    ) -> None:
        """Write beside a point where little is drawn yet, or carelessly anywhere."""
        rng = self.rng
        tall = max(self.letter if height is None else height, 4.2 * self.pen)
        half = np.array([0.45 * tall * max(len(words), 1), 0.6 * tall])
        best, least = at, np.inf
        for angle in rng.random() * 2 * np.pi + np.arange(8) * np.pi / 4:
            way = np.array([np.cos(angle), np.sin(angle)])
            middle = at + way * (away + np.abs(way) @ half)
            score = self.busy(np.array([middle - half, middle + half])) + 0.02 * rng.random()
            if rng.random() < careless:
                score *= 0.2
            if score < least:
                best, least = middle, score
        self.text(words, best, height, layer=layer)
