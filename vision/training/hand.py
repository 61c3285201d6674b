"""How a hand draws: wobble, bow, overshoot, pressure; and the sheet that takes the ink."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["Hand", "Points", "Sheet", "hatch"]

Points = NDArray[np.float64]
Rng = np.random.Generator


class Sheet:
    """Ink on nothing: how dark each pixel was made, 0 for untouched.

    Parameters
    ----------
    size : int
        Side in pixels; every length of a drawing goes with ``unit`` = size / 768.
    """

    def __init__(self, size: int) -> None:
        self.size = size
        self.unit = size / 768
        self.ink = np.zeros((size, size), np.uint8)

    def stroke(self, line: Points, width: float, dark: float) -> None:
        """Draw a polyline (n, 2) of a width in pixels; ink never lightens what is there."""
        thick = max(1, round(width))
        dark *= min(1.0, 0.35 + 0.65 * width)
        low = np.floor(line.min(axis=0)).astype(int) - thick - 2
        high = np.ceil(line.max(axis=0)).astype(int) + thick + 3
        low, high = np.maximum(low, 0), np.minimum(high, self.size)
        if (high <= low).any():
            return
        patch = np.zeros((high[1] - low[1], high[0] - low[0]), np.uint8)
        points = np.round((line - low) * 16).astype(np.int32)
        cv2.polylines(patch, [points], False, int(dark), thick, cv2.LINE_AA, 4)
        view = self.ink[low[1] : high[1], low[0] : high[0]]
        np.maximum(view, patch, out=view)

    def fill(self, outline: Points, dark: float) -> None:
        """Fill a polygon; a dark of 0 wipes."""
        points = np.round(outline * 16).astype(np.int32)
        cv2.fillPoly(self.ink, [points], int(dark), cv2.LINE_AA, 4)

    def stamp(self, mask: NDArray[np.uint8], to_sheet: Points, dark: float) -> Points:
        """Lay a mask on the sheet by a 2 x 3 affine map; return its corners (4, 2) there."""
        h, w = mask.shape
        corners = np.array([[0, 0], [w, 0], [w, h], [0, h]]) @ to_sheet[:, :2].T + to_sheet[:, 2]
        low = np.maximum(np.floor(corners.min(axis=0)).astype(int), 0)
        high = np.minimum(np.ceil(corners.max(axis=0)).astype(int) + 1, self.size)
        if (high <= low).any():
            return corners
        moved = to_sheet.copy()
        moved[:, 2] -= low
        wide, tall = (high - low).tolist()
        laid = cv2.warpAffine(mask, moved, (wide, tall), flags=cv2.INTER_AREA)
        view = self.ink[low[1] : high[1], low[0] : high[0]]
        np.maximum(view, (laid * (dark / 255)).astype(np.uint8), out=view)
        return corners


@dataclass(frozen=True)
class Hand:
    """One person with one pen; lengths in units of the sheet.

    Attributes
    ----------
    width, dark : float
        Of the pen's line; dark 0..255.
    bow, tremor : float
        Sideways departure from the straight line as a share of its length, and in units.
    overshoot : float
        Spread of where a line ends, in units.
    pressure : float
        Spread of the darkness along a line, 0..1.
    slip : float
        How often a line is broken or drawn twice.
    wobbles : ndarray, shape (n, 24)
        Sideways departures of real strokes as shares of their length; may be empty.
    """

    width: float
    dark: float
    bow: float
    tremor: float
    overshoot: float
    pressure: float
    slip: float
    wobbles: Points = field(default_factory=lambda: np.zeros((0, 24)), repr=False)

    @classmethod
    def draw(cls, rng: Rng, sloppy: float, wobbles: Points) -> Hand:
        """Take a hand at random; sloppy 0..1."""
        pen = rng.choice(["pencil", "ball", "gel", "felt", "marker"], p=[0.25, 0.3, 0.2, 0.15, 0.1])
        low, high, dark0, dark1 = {
            "pencil": (0.8, 2.2, 70, 190),
            "ball": (0.7, 2.0, 110, 255),
            "gel": (1.2, 2.8, 180, 255),
            "felt": (2.2, 5.0, 180, 255),
            "marker": (4.0, 11.0, 160, 255),
        }[str(pen)]
        return cls(
            width=rng.uniform(low, high),
            dark=rng.uniform(dark0, dark1),
            bow=abs(rng.normal(0, 0.004 + 0.012 * sloppy)) * (2.2 if rng.random() < 0.12 else 1),
            tremor=abs(rng.normal(0, 0.3 + 1.2 * sloppy)),
            overshoot=abs(rng.normal(0, 1.0 + 5.0 * sloppy)),
            pressure=rng.uniform(0, 0.5) if pen in ("pencil", "ball") else rng.uniform(0, 0.15),
            slip=rng.uniform(0, 0.12) * sloppy,
            wobbles=wobbles,
        )

    def path(self, rng: Rng, a: Points, b: Points, unit: float) -> Points:
        """Return the line (13, 2) that the hand makes from a to b, both exactly met."""
        along = b - a
        length = float(np.hypot(*along)) + 1e-9
        aside = np.array([-along[1], along[0]]) / length
        t = np.linspace(0, 1, 13)
        off = rng.normal(0, 1) * self.bow * length * 4 * t * (1 - t)
        waves = rng.normal(0, 1, 3)[:, None] * np.sin(
            np.pi * np.array([[2], [3.3], [5.1]]) * t + rng.uniform(0, 6, (3, 1))
        )
        off = off + self.tremor * unit * 0.5 * waves.sum(axis=0) * np.minimum(1, 6 * t * (1 - t))
        if len(self.wobbles) and rng.random() < 0.6:
            real = self.wobbles[int(rng.integers(len(self.wobbles)))]
            share = min(1.0, (self.bow * 40 + self.tremor * 0.3)) * rng.choice([-1, 1])
            off = off + np.interp(t, np.linspace(0, 1, 24), real) * length * share
        path: Points = a + t[:, None] * along + off[:, None] * aside
        return path

    def line(
        self, rng: Rng, sheet: Sheet, a: Points, b: Points, ends: float = 1.0, weight: float = 1.0
    ) -> Points:
        """Draw a line from a to b and return the path between them.

        `ends` scales the overshoot, `weight` the width.
        """
        u = sheet.unit
        path = self.path(rng, a, b, u)
        length = float(np.hypot(*(b - a))) + 1e-9
        drawn = path.copy()
        for end, inner in ((0, 1), (-1, -2)):
            way = path[end] - path[inner]
            way = way / (np.hypot(*way) + 1e-9)
            reach = np.clip(rng.normal(0, self.overshoot * ends * u), -0.06 * length, 0.12 * length)
            drawn[end] = path[end] + way * reach
        self.trace(rng, sheet, drawn, weight)
        if rng.random() < self.slip:
            shift = rng.normal(0, 1.2 * u, 2)
            self.trace(rng, sheet, drawn + shift, weight)
        return path

    def trace(self, rng: Rng, sheet: Sheet, path: Points, weight: float = 1.0) -> None:
        """Draw along a path with the pen's pressure."""
        width = self.width * weight * sheet.unit
        if self.pressure < 0.05 or len(path) < 4:
            sheet.stroke(path, width * rng.uniform(0.9, 1.1), self.dark)
            return
        if rng.random() < self.slip * 0.5 and len(path) > 8:
            gap = int(rng.integers(3, len(path) - 4))
            parts = [path[: gap + 1], path[gap + 1 :]]
        else:
            cuts = np.linspace(0, len(path) - 1, int(rng.integers(3, 5))).astype(int)
            parts = [path[i : j + 1] for i, j in itertools.pairwise(cuts)]
        for part in parts:
            dark = self.dark * (1 - self.pressure * rng.uniform(0, 1))
            sheet.stroke(part, width * rng.uniform(0.85, 1.15), dark)

    def chain(self, rng: Rng, sheet: Sheet, points: Points, weight: float = 1.0) -> None:
        """Draw straight lines from point to point."""
        for a, b in itertools.pairwise(points):
            self.line(rng, sheet, a, b, 0.5, weight)

    def circle(
        self, rng: Rng, sheet: Sheet, centre: Points, radius: float, filled: bool = False,
        start: float | None = None, sweep: float = 2 * np.pi,
    ) -> None:  # fmt: skip
        """Draw a circle or an arc (angles in radians, clockwise as seen)."""
        first = rng.uniform(0, 6.3) if start is None else start
        if start is None:
            sweep += rng.normal(0, 0.25) * min(1.0, self.overshoot / 3)
        t = np.linspace(first, first + sweep, max(10, int(radius / sheet.unit)))
        flat = 1 + rng.normal(0, 0.06)
        wave = 1 + rng.normal(0, 0.03) * np.sin(2 * t + rng.uniform(0, 6))
        ring = (
            centre + radius * np.column_stack([np.cos(t) * flat, np.sin(t) / flat]) * wave[:, None]
        )
        if filled:
            sheet.fill(ring, self.dark)
        self.trace(rng, sheet, ring)


def hatch(
    rng: Rng, hand: Hand, sheet: Sheet, a: Points, b: Points, away: Points, length: float
) -> None:
    """Hatch the side of the line a-b that `away` (unit vector) points to."""
    along = (b - a) / (np.hypot(*(b - a)) + 1e-9)
    count = max(3, int(np.hypot(*(b - a)) / (length * rng.uniform(0.5, 1.0))))
    lean = along * rng.choice([-1, 1]) * rng.uniform(0.4, 1.1)
    for t in np.linspace(0.03, 0.97, count):
        start = a + (b - a) * (t + rng.normal(0, 0.01))
        hand.line(rng, sheet, start, start + (away + lean) * length * rng.uniform(0.7, 1.2), 0.3)
