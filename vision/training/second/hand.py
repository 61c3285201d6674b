"""Strokes of a hand: bow, tremor, taper, pressure, gaps, and their ink on a sheet."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["Hand", "Sheet", "draw_hand"]

FloatArray = NDArray[np.float64]
Rng = np.random.Generator
#: Drawing is done this many times finer than the picture, then averaged down.
FINE = 2


@dataclass(frozen=True)
class Hand:
    """How somebody draws: amplitudes in pixels of the finished picture.

    Attributes
    ----------
    width : float
        Line width.
    bow, tremor : float
        Sideways deviation: one long bend, and short waves.
    overshoot : float
        How far strokes run past (or stop short of) their ends.
    pressure : float
        Unevenness of width and darkness along a stroke, 0 to 1.
    dark : float
        Darkness of the ink, 0 to 1.
    grain : float
        How much the paper's tooth breaks the stroke (pencil, chalk), 0 to 1.
    gap : float
        Chance that a stroke has a gap.
    twice : float
        Chance that a line is drawn over a second time.
    """

    width: float
    bow: float
    tremor: float
    overshoot: float
    pressure: float
    dark: float
    grain: float
    gap: float
    twice: float


def draw_hand(rng: Rng, level: float) -> Hand:
    """Draw a hand; `level` 0 (careful) to 1 (hasty)."""
    pen = rng.choice(
        ["pencil", "ball", "gel", "felt", "marker", "chalk"], p=[0.24, 0.26, 0.18, 0.12, 0.1, 0.1]
    )
    width = {
        "pencil": (1.0, 2.2),
        "ball": (0.9, 1.9),
        "gel": (1.2, 2.4),
        "felt": (2.0, 4.0),
        "marker": (3.0, 7.0),
        "chalk": (2.5, 6.0),
    }[str(pen)]
    dark = {"pencil": (0.25, 0.75), "ball": (0.5, 0.95), "gel": (0.65, 1.0)}.get(
        str(pen), (0.7, 1.0)
    )
    grain = {"pencil": rng.uniform(0.1, 0.6), "chalk": rng.uniform(0.3, 0.8)}.get(
        str(pen), rng.uniform(0, 0.15)
    )
    return Hand(
        width=rng.uniform(*width),
        bow=level * rng.gamma(1.5, 1.6),
        tremor=level * rng.gamma(1.5, 0.45),
        overshoot=level * rng.gamma(1.3, 2.2),
        pressure=rng.uniform(0, 0.5),
        dark=rng.uniform(*dark),
        grain=float(grain),
        gap=0.15 * level * rng.random(),
        twice=0.25 * level * rng.random(),
    )  # fmt: skip


class Sheet:
    """Ink laid on a square sheet of `size` pixels, as darkness 0..1, through a camera."""

    def __init__(self, rng: Rng, size: int, camera: Callable[[FloatArray], FloatArray]) -> None:
        self.rng = rng
        self.size = size
        self.camera = camera
        self.ink = np.zeros((size * FINE, size * FINE), np.uint8)

    def path(
        self, points: FloatArray, hand: Hand, *, dark: float = 1.0, width: float = 1.0
    ) -> None:
        """Lay down a path given in page coordinates, exactly as it runs."""
        seen = self.camera(points)
        n = len(seen)
        if n < 2:
            return
        phase = self.rng.uniform(0, 6.3, 2)
        s = np.linspace(0, 1, n)
        wave = np.sin(phase[0] + s * self.rng.uniform(2, 9)) + 0.6 * np.sin(phase[1] + s * 17)
        press = 1 + hand.pressure * 0.5 * wave - hand.pressure * 0.6 * np.abs(2 * s - 1) ** 4
        widths = np.maximum(1, np.rint(np.maximum(0.7, hand.width * width * press) * FINE)).astype(
            int
        )
        tone = np.clip(255 * hand.dark * dark * (0.75 + 0.25 * press), 20, 255)
        at = np.rint(seen * FINE * 16).astype(np.int32)
        inside = np.all((seen > -60) & (seen < self.size + 60), axis=1)
        # A stroke is drawn on its own patch, so that crossing strokes keep the darker ink.
        low = np.maximum(np.floor(seen.min(0) - 2 * hand.width * width - 4), 0).astype(int)
        high = np.minimum(np.ceil(seen.max(0) + 2 * hand.width * width + 4), self.size).astype(int)
        if (high <= low).any():
            return
        patch = np.zeros(((high - low)[::-1] * FINE), np.uint8)
        shift = (low * FINE * 16).astype(np.int32)
        for i in range(n - 1):
            if inside[i]:
                cv2.line(patch, (at[i] - shift).tolist(), (at[i + 1] - shift).tolist(),
                         float(tone[i]), int(widths[i]), cv2.LINE_AA, 4)  # fmt: skip
        view = self.ink[low[1] * FINE : high[1] * FINE, low[0] * FINE : high[0] * FINE]
        np.maximum(view, patch, out=view)

    def line(
        self,
        a: FloatArray,
        b: FloatArray,
        hand: Hand,
        *,
        dark: float = 1.0,
        width: float = 1.0,
        loose: float = 1.0,
        dash: float = 0.0,
    ) -> None:
        """Draw a line by hand from `a` to `b` in page coordinates (pixels)."""
        rng = self.rng
        a, b = np.asarray(a, float), np.asarray(b, float)
        length = float(np.hypot(*(b - a)))
        if length < 1:
            return
        along = (b - a) / length
        across = np.array([-along[1], along[0]])
        over = rng.normal(0.3, 0.7, 2) * hand.overshoot * min(1, length / 60) * loose
        start, stop = -over[0] / length, 1 + over[1] / length
        n = int(np.clip(length / 9, 4, 40))
        s = np.linspace(start, stop, n)
        bow = rng.normal() * hand.bow * min(1, length / 120) * loose
        side = bow * 4 * s * (1 - s)
        knots = np.cumsum(rng.normal(0, 1, n)) * 0.35
        side = side + hand.tremor * loose * (
            rng.normal(0, 0.6, n) * 0.5 + knots - np.linspace(knots[0], knots[-1], n)
        )
        points = a + np.outer(s * length, along) + np.outer(side, across)
        if dash:
            step = max(2, int(dash / max(length / n, 1)))
            for i in range(0, n - 1, 2 * step):
                self.path(points[i : i + step + 1], hand, dark=dark, width=width)
            return
        if rng.random() < hand.gap and n > 8:
            cut = int(rng.integers(2, n - 3))
            self.path(points[: cut + 1], hand, dark=dark, width=width)
            self.path(points[cut + 1 :], hand, dark=dark, width=width)
        else:
            self.path(points, hand, dark=dark, width=width)
        if rng.random() < hand.twice:
            self.path(
                points + rng.normal(0, 0.8 + 0.4 * hand.width, 2),
                hand,
                dark=dark * 0.9,
                width=width,
            )

    def circle(
        self,
        c: FloatArray,
        r: float,
        hand: Hand,
        *,
        filled: bool = False,
        dark: float = 1.0,
        turn: float = 1.0,
        width: float = 1.0,
    ) -> None:
        """Draw a circle (or `turn` of one) of radius `r` by hand."""
        rng = self.rng
        n = int(np.clip(r * 2, 10, 40))
        t = rng.uniform(0, 6.3) + np.linspace(0, 2 * np.pi * turn * rng.uniform(0.97, 1.08), n)
        radius = r * (
            1 + 0.06 * rng.normal() * np.cos(2 * t + rng.uniform(0, 6)) + rng.normal(0, 0.015, n)
        )
        points = np.asarray(c) + np.c_[np.cos(t), np.sin(t)] * radius[:, None]
        if filled:
            seen = self.camera(points)
            cv2.fillPoly(
                self.ink,
                [np.rint(seen * FINE * 16).astype(np.int32)],
                255 * hand.dark * dark,
                cv2.LINE_AA,
                4,
            )
        self.path(points, hand, dark=dark, width=width)

    def blot(self, c: FloatArray, r: float) -> None:
        """Take the ink away inside a circle, as an open joint circle does."""
        t = np.linspace(0, 2 * np.pi, 16)
        seen = self.camera(np.asarray(c) + r * np.c_[np.cos(t), np.sin(t)])
        cv2.fillPoly(self.ink, [np.rint(seen * FINE * 16).astype(np.int32)], 0.0, cv2.LINE_AA, 4)

    def polygon(
        self, corners: FloatArray, hand: Hand, *, dark: float = 1.0, filled: bool = False
    ) -> None:
        """Draw a closed polygon line by line."""
        corners = np.asarray(corners, float)
        if filled:
            seen = self.camera(corners)
            cv2.fillPoly(
                self.ink,
                [np.rint(seen * FINE * 16).astype(np.int32)],
                255 * hand.dark * dark,
                cv2.LINE_AA,
                4,
            )
        for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True):
            self.line(a, b, hand, dark=dark, loose=0.5)

    def stamp(
        self, mask: NDArray[np.uint8], centre: FloatArray, angle: float, scale: float, dark: float
    ) -> None:
        """Lay a picture of writing (ink 255) with its centre at `centre`, turned by `angle`."""
        (at,) = self.camera(np.asarray(centre, float)[None])
        h, w = mask.shape
        c, s = np.cos(angle) * scale * FINE, np.sin(angle) * scale * FINE
        reach = int(np.hypot(h, w) * scale * FINE / 2) + 2
        corner = np.rint(at * FINE).astype(int) - reach
        matrix = np.array(
            [[c, -s, reach - c * w / 2 + s * h / 2], [s, c, reach - s * w / 2 - c * h / 2]]
        )
        patch = cv2.warpAffine(mask, matrix, (2 * reach, 2 * reach), flags=cv2.INTER_AREA)
        patch = (patch * dark).astype(np.uint8)
        full = self.size * FINE
        x0, y0 = np.maximum(corner, 0)
        x1, y1 = np.minimum(corner + 2 * reach, full)
        if x1 <= x0 or y1 <= y0:
            return
        view = self.ink[y0:y1, x0:x1]
        np.maximum(
            view, patch[y0 - corner[1] : y1 - corner[1], x0 - corner[0] : x1 - corner[0]], out=view
        )
