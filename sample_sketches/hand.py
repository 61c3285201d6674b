"""A hand that draws: lines that bow and tremble, circles that do not quite close, lettering."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.ndimage import gaussian_filter1d

from sample_sketches.lettering import letter_strokes, text_width
from sample_sketches.pens import Pen
from sample_sketches.surfaces import Surface

__all__ = ["Hand", "Manner"]

FloatArray = NDArray[np.float64]


@dataclass(frozen=True)
class Manner:
    """How steadily somebody draws.

    Attributes
    ----------
    bow : float
        Sag of a straight line, as a share of its length.
    tremor : float
        Side-to-side shake in mm.
    overshoot : float
        How far, in mm, lines run past (or stop short of) where they should end.
    uneven : float
        How much the pressure varies along a line, 0 to 1.
    slant : float
        Lean of the lettering, as run over rise.
    untidy : float
        How far letters stray from their model, in grid steps.
    """

    bow: float = 0.006
    tremor: float = 0.16
    overshoot: float = 0.9
    uneven: float = 0.16
    slant: float = 0.12
    untidy: float = 0.35


@dataclass(frozen=True)
class Hand:
    """Somebody's hand with a pen, over a surface; all lengths in mm, y down the page."""

    surface: Surface
    pen: Pen
    manner: Manner
    rng: np.random.Generator

    def holding(self, pen: Pen) -> Hand:
        """Return the same hand with another pen."""
        return replace(self, pen=pen)

    def line(self, start: ArrayLike, end: ArrayLike, *, sure: float = 1.0) -> None:
        """Draw a straight line as well as this hand can.

        `sure` below 1 makes it tidier: less bow, less overshoot.
        """
        a, b = np.asarray(start, float), np.asarray(end, float)
        length = float(np.hypot(*(b - a)))
        if length < 1e-6:
            return
        along = (b - a) / length
        aside = np.array([-along[1], along[0]])
        slack = self.manner.overshoot * sure * min(1.0, length / 25)
        a = a - along * self.rng.normal(0.15, 0.6) * slack
        b = b + along * self.rng.normal(0.25, 0.7) * slack
        t = np.linspace(0, 1, max(4, int(length / 0.35)))
        bow = self.rng.normal(0, self.manner.bow * sure) * length
        lean = self.rng.normal(0, 0.3, 2) * self.manner.tremor
        sag = bow * np.sin(np.pi * t ** self.rng.uniform(0.8, 1.25))
        sag += self._shake(len(t)) + lean[0] + (lean[1] - lean[0]) * t
        self.stroke(a + (b - a) * t[:, None] + sag[:, None] * aside)

    def polyline(self, points: ArrayLike) -> None:
        """Draw straight lines from point to point without lifting the pen."""
        corners = np.asarray(points, float)
        pieces = []
        for a, b in pairwise(corners):
            count = max(3, int(np.hypot(*(b - a)) / 0.3))
            pieces.append(a + (b - a) * np.linspace(0, 1, count, endpoint=False)[:, None])
        path = np.vstack([*pieces, corners[-1:]])
        shake = np.stack([self._shake(len(path)), self._shake(len(path))], 1)
        self.stroke(path + 0.8 * shake)

    def arc(self, centre: ArrayLike, radius: float, start: float, stop: float) -> None:
        """Draw part of a circle from angle `start` to `stop` (degrees, counter-clockwise)."""
        span = np.deg2rad(stop - start)
        t = np.deg2rad(start) + np.linspace(0, 1, max(10, int(abs(span) * radius / 0.25))) * span
        squash = 1 + self.rng.normal(0, 0.06)
        drift = 1 + self.rng.normal(0, 0.05) * np.linspace(-1, 1, len(t))
        x = radius * np.cos(t) * squash * drift
        y = -radius * np.sin(t) / squash * drift
        self.stroke(np.asarray(centre, float) + np.stack([x, y], 1))

    def circle(self, centre: ArrayLike, radius: float) -> None:
        """Draw a circle that overlaps a little where it closes."""
        start = self.rng.uniform(60, 150)
        self.arc(centre, radius, start, start + 360 + self.rng.uniform(-8, 30))

    def disc(self, centre: ArrayLike, radius: float) -> None:
        """Fill a dot, going round it a few times."""
        for share in np.arange(1.0, 0.05, -min(0.5, self.pen.width / max(radius, 1e-6))):
            self.circle(centre, radius * float(share))
        self.stroke(np.asarray(centre, float) + self.rng.normal(0, 0.1 * radius, (4, 2)))

    def write(
        self, text: str, start: ArrayLike, height: float, *, angle: float = 0.0
    ) -> FloatArray:
        """Write a line of lettering; returns the four corners of what it covers, in mm."""
        origin = np.asarray(start, float)
        strokes = letter_strokes(
            text,
            origin,
            height,
            self.rng,
            angle=angle,
            slant=self.manner.slant,
            untidy=self.manner.untidy,
        )
        for points in strokes:
            self.stroke(_resampled(points, 0.2), taper=0.35)
        turn = np.deg2rad(angle)
        along = np.array([np.cos(turn), -np.sin(turn)]) * text_width(text, height)
        up = np.array([-np.sin(turn), -np.cos(turn)]) * height
        return np.array([origin, origin + along, origin + along + up, origin + up])

    def stroke(self, points: FloatArray, *, taper: float = 0.25) -> None:
        """Lay the pen's mark along a path of points in mm, shape (n, 2)."""
        scale = self.surface.scale
        radius = 0.5 * self.pen.width * scale
        step = max(0.6, 0.4 * radius) / scale
        path = _resampled(points, step) * scale
        pressure = self._pressure(len(path), taper)
        radii = radius * (1 + self.pen.swell * (pressure - 0.85))
        low = np.floor(path.min(0) - 2 * radius - 3).astype(int)
        high = np.ceil(path.max(0) + 2 * radius + 3).astype(int)
        rows, columns = self.surface.tooth.shape
        low = np.maximum(low, 0)
        high = np.minimum(high, [columns, rows])
        if np.any(high <= low):
            return
        layer = np.zeros((high[1] - low[1], high[0] - low[0]), np.uint8)
        centres = np.round((path - low) * 16).astype(int)
        sizes = np.maximum(4, np.round(radii * 16)).astype(int)
        shades = np.round(255 * pressure).astype(int)
        for (x, y), size, shade in zip(
            centres.tolist(), sizes.tolist(), shades.tolist(), strict=True
        ):
            cv2.circle(layer, (x, y), size, shade, -1, cv2.LINE_AA, 4)
        self._lay(layer, low)

    def _shake(self, count: int) -> FloatArray:
        """Side-to-side tremor in mm along `count` points, with a slow and a quick part."""
        slow = gaussian_filter1d(self.rng.normal(0, 1, count), 18, mode="reflect") * 7.0
        quick = gaussian_filter1d(self.rng.normal(0, 1, count), 4, mode="reflect") * 1.3
        return np.asarray(self.manner.tremor * (0.75 * slow + 0.4 * quick))

    def _pressure(self, count: int, taper: float) -> FloatArray:
        """Pressure 0.25 to 1 along a stroke: a firm start, a lighter end, some unevenness."""
        t = np.linspace(0, 1, count)
        wave = gaussian_filter1d(self.rng.normal(0, 1, count + 60), 14)[30:-30] * 6
        base = 0.92 + self.manner.uneven * 0.6 * wave
        base -= taper * (0.35 * np.exp(-t * count / 4) + 0.8 * np.clip((t - 0.9) / 0.1, 0, 1) ** 2)
        return np.asarray(np.clip(base, 0.25, 1.0))

    def _lay(self, layer: NDArray[np.uint8], low: NDArray[np.int_]) -> None:
        """Add a stroke's layer to the surface, letting its tooth show through."""
        rows = slice(low[1], low[1] + layer.shape[0])
        columns = slice(low[0], low[0] + layer.shape[1])
        touched = layer > 0
        pressed = layer[touched].astype(np.float32) / 255
        tooth = self.surface.tooth[rows, columns][touched]
        grain = self.pen.grain
        bite = np.clip((1.25 * pressed - grain * tooth) / (1.25 - 0.75 * grain), 0, 1)
        cover = (self.pen.strength * bite**0.8)[:, None].astype(np.float32)
        under = self.surface.colour[rows, columns][touched]
        ink = np.array(self.pen.colour, np.float32)
        if self.pen.opaque:
            over = under * (1 - cover) + ink * cover
        else:
            over = under * (1 - cover * (1 - ink))
        self.surface.colour[rows, columns][touched] = over


def _resampled(points: FloatArray, step: float) -> FloatArray:
    """Return the polyline with points about `step` apart."""
    run = np.r_[0.0, np.cumsum(np.hypot(*np.diff(points, axis=0).T))]
    if run[-1] < step:
        return np.asarray(points, float)
    at = np.linspace(0, run[-1], int(run[-1] / step) + 2)
    return np.stack([np.interp(at, run, points[:, 0]), np.interp(at, run, points[:, 1])], 1)
