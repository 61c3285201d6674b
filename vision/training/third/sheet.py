"""The sheet that a hand draws on: strokes become ink, in one strong and one light layer."""

from __future__ import annotations

from dataclasses import dataclass, field

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from vision.training.truth import Truth, blank_truth

__all__ = ["FINE", "Hand", "Sheet", "choose_hand"]

Points = NDArray[np.float64]

#: Pixels of the canvas to one pixel of the sheet, and binary digits of a pixel's fraction.
FINE = 2
SHIFT = 4


@dataclass(frozen=True)
class Hand:
    """How somebody draws: all lengths in pixels of a sheet of 768.

    Attributes
    ----------
    sloppy : float
        0 ruled, 1 very careless.
    bow, tremor : float
        Sag of a stroke as a share of its length; size of its small waves.
    ends : float
        Standard deviation of where a stroke starts and ends.
    beyond : float
        Mean of how far strokes run past (or, negative, stop short of) their ends.
    again : float
        Probability that a stroke is drawn twice.
    width, ink : float
        Of the main pen; ink is 0..255.
    light_width, light_ink : float
        Of the pen for dimensions and notes.
    grain : float
        Unevenness of the ink, 0..1.
    pressure : float
        How much a stroke's width varies along it, 0..1.
    letter : float
        Height of a capital.
    slant : float
        Lean of the letters: sideways step for each step up.
    """

    sloppy: float
    bow: float
    tremor: float
    ends: float
    beyond: float
    again: float
    width: float
    ink: float
    light_width: float
    light_ink: float
    grain: float
    pressure: float
    letter: float
    slant: float


#: Least and greatest width, ink, and the grain of pencil, ball pen, fine liner, stylus,
#: marker and chalk.
PENS = {
    "pencil": (1.2, 2.4, 90, 190, 0.45),
    "ball": (1.2, 2.4, 170, 255, 0.2),
    "liner": (1.6, 3.2, 225, 255, 0.0),
    "stylus": (1.8, 4.2, 235, 255, 0.0),
    "marker": (3.2, 6.6, 200, 255, 0.12),
    "chalk": (2.6, 5.0, 140, 230, 0.6),
}


def choose_hand(rng: np.random.Generator) -> Hand:
    """Return somebody's way of drawing."""
    ruled = rng.random() < 0.36
    s = rng.uniform(0, 0.12) if ruled else float(rng.beta(1.5, 1.7))
    name = str(rng.choice(list(PENS), p=[0.27, 0.24, 0.17, 0.14, 0.12, 0.06]))
    low, high, faint, dark, grain = PENS[name]
    width, ink = rng.uniform(low, high), rng.uniform(faint, dark)
    alone = rng.random() < 0.5
    return Hand(
        sloppy=s,
        bow=0.0 if ruled else 0.004 + 0.045 * s * s * rng.random(),
        tremor=0.12 if ruled else rng.uniform(0.2, 0.5) + 1.7 * s * rng.random(),
        ends=0.25 if ruled else 0.5 + 6.0 * s * rng.random(),
        beyond=rng.choice([0.0, 0.0, 1.0, -1.0]) * rng.uniform(1, 4 + 9 * s),
        again=rng.choice([0.0, 0.0, 0.05, 0.25, 0.6]) * (0.3 + s),
        width=width,
        ink=ink,
        light_width=width if alone else max(1.0, width * rng.uniform(0.5, 0.9)),
        light_ink=ink if alone else max(70.0, ink * rng.uniform(0.55, 1.0)),
        grain=grain * rng.uniform(0.4, 1.0),
        pressure=0.0 if ruled or rng.random() < 0.4 else rng.uniform(0.1, 0.5),
        letter=float(
            np.clip(rng.normal(15, 4), 8.5, 27) + (5 if name in ("marker", "chalk") else 0)
        ),
        slant=rng.normal(0.08, 0.16),
    )


@dataclass
class Sheet:
    """A sheet being drawn on, with the truth of what it shows so far.

    Coordinates are pixels of the sheet, x to the right, y down.
    """

    rng: np.random.Generator
    side: int
    hand: Hand
    truth: Truth = field(init=False)
    strong: NDArray[np.uint8] = field(init=False)
    light: NDArray[np.uint8] = field(init=False)

    def __post_init__(self) -> None:
        """Lay out a clean sheet."""
        self.truth = blank_truth(self.side, self.side, "third")
        size = (self.side * FINE, self.side * FINE)
        self.strong = np.zeros(size, np.uint8)
        self.light = np.zeros(size, np.uint8)

    @property
    def unit(self) -> float:
        """Pixels to one pixel of a sheet of 768."""
        return self.side / 768

    def chance(self, probability: float) -> bool:
        """Return True with this probability."""
        return bool(self.rng.random() < probability)

    def ink(
        self,
        line: ArrayLike,
        *,
        light: bool = False,
        wide: float = 1.0,
        shade: float = 1.0,
        closed: bool = False,
    ) -> None:
        """Draw a polyline just as it is."""
        self.ink_all([np.asarray(line, float)], light=light, wide=wide, shade=shade, closed=closed)

    def ink_all(
        self,
        lines: list[Points],
        *,
        light: bool = False,
        wide: float = 1.0,
        shade: float = 1.0,
        closed: bool = False,
    ) -> None:
        """Draw polylines just as they are, with one pen."""
        h = self.hand
        width = (h.light_width if light else h.width) * wide * self.unit * FINE
        value = float(np.clip((h.light_ink if light else h.ink) * shade, 0, 255))
        canvas = self.light if light else self.strong
        fixed = [_fixed(line) for line in lines]
        cv2.polylines(canvas, fixed, closed, value, max(1, round(width)), cv2.LINE_AA, SHIFT)

    def ink_pressed(self, line: Points, *, light: bool = False, wide: float = 1.0) -> None:
        """Draw a polyline whose width varies along it as the pen is pressed."""
        if self.hand.pressure == 0 or len(line) < 6:
            self.ink(line, light=light, wide=wide)
            return
        spread = self.hand.pressure * 0.5
        phase, beat = self.rng.uniform(0, 6.3), self.rng.uniform(0.5, 2.5)
        for k in range(0, len(line) - 1, 4):
            part = 1 + spread * np.sin(phase + beat * k / 6)
            self.ink(line[k : k + 5], light=light, wide=wide * part, shade=min(1.0, 0.4 + part))

    def fill(self, outline: ArrayLike, shade: float = 1.0, *, light: bool = False) -> None:
        """Fill an outline; a shade of 0 wipes it clean in both layers."""
        fixed = [_fixed(np.asarray(outline, float))]
        if shade == 0:
            cv2.fillPoly(self.strong, fixed, 0, cv2.LINE_AA, SHIFT)
            cv2.fillPoly(self.light, fixed, 0, cv2.LINE_AA, SHIFT)
            return
        value = (self.hand.light_ink if light else self.hand.ink) * shade
        canvas = self.light if light else self.strong
        cv2.fillPoly(canvas, fixed, float(value), cv2.LINE_AA, SHIFT)

    def ghost(self, across: float, down: float, shade: float) -> None:
        """Leave the strong ink's faint print beside it, as a rubbed-out first try does."""
        moved = np.roll(self.strong, (round(down * FINE), round(across * FINE)), (0, 1))
        np.maximum(self.light, (moved * shade).astype(np.uint8), out=self.light)

    def busy(self, box: Points) -> float:
        """Return the share of a box (corners) that bears ink, or 1 where it leaves the sheet."""
        low, high = box.min(axis=0), box.max(axis=0)
        if low.min() < 2 or high.max() > self.side - 3:
            return 1.0
        x0, y0 = (low * FINE).astype(int)
        x1, y1 = (high * FINE).astype(int) + 1
        return max(
            float(np.mean(layer[y0:y1:3, x0:x1:3] > 40)) for layer in (self.strong, self.light)
        )

    def finished(self) -> NDArray[np.uint8]:
        """Return the sheet's ink, shape (side, side)."""
        whole = cv2.resize(
            np.maximum(self.strong, self.light), (self.side, self.side), None, 0, 0, cv2.INTER_AREA
        )
        if self.hand.grain > 0:
            tile = self.rng.random((64, 64), np.float32)
            coarse = cv2.resize(self.rng.random((9, 9), np.float32), (self.side, self.side))
            rows = -(-self.side // 64)
            fine = np.tile(tile, (rows, rows))[: self.side, : self.side]
            uneven = 1 - self.hand.grain * (0.65 * fine + 0.45 * coarse)
            whole = np.clip(whole * uneven, 0, 255)
        inked: NDArray[np.uint8] = whole.astype(np.uint8)
        return inked


def _fixed(line: Points) -> NDArray[np.int32]:
    """Points of the sheet as the canvas takes them: whole numbers of a pixel's fraction."""
    fixed: NDArray[np.int32] = (
        np.round(((line + 0.5) * FINE - 0.5) * (1 << SHIFT)).astype(np.int32).reshape(-1, 1, 2)
    )
    return fixed
