"""A sheet in the making: the hand, the camera, writing, arrows, and the truth so far."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from vision.training.second import surface
from vision.training.second.hand import Hand, Sheet, draw_hand
from vision.training.second.lettering import words, write
from vision.training.second.stock import stock

__all__ = ["SIZE", "Drawing", "Truth", "turned", "unit"]

FloatArray = NDArray[np.float64]
Rng = np.random.Generator
SIZE = 512


@dataclass
class Truth:
    """What was drawn, in pixels; directions in degrees, counter-clockwise as seen."""

    family: str = "none"
    joints: FloatArray = field(default_factory=lambda: np.zeros((0, 2)))
    members: list[tuple[int, int]] = field(default_factory=list)
    crossings: FloatArray = field(default_factory=lambda: np.zeros((0, 2)))
    supports: list[tuple[int, str, float]] = field(default_factory=list)
    loads: list[tuple[int, float]] = field(default_factory=list)
    reactions: list[tuple[int, float]] = field(default_factory=list)
    arrows: list[tuple[FloatArray, FloatArray]] = field(default_factory=list)  # head, tail of loads
    dimensions: list[FloatArray] = field(default_factory=list)
    texts: list[FloatArray] = field(default_factory=list)  # corner quads


def turned(v: FloatArray, degrees: float) -> FloatArray:
    """Turn a page vector (y down) counter-clockwise as seen."""
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    return np.array([c * v[0] + s * v[1], -s * v[0] + c * v[1]])


def unit(degrees: float) -> FloatArray:
    """Page vector (y down) of a direction in degrees, counter-clockwise as seen."""
    return np.array([np.cos(np.radians(degrees)), -np.sin(np.radians(degrees))])


class Drawing:
    """One sheet while it is drawn on; `symbol` and `letter_size` are the sizes of its signs."""

    def __init__(self, rng: Rng, level: float) -> None:
        self.rng, self.level = rng, level
        self.camera = surface.Camera(rng, SIZE, level)
        self.sheet = Sheet(rng, SIZE, self.camera)
        self.hand = draw_hand(rng, level)
        light = rng.uniform(0.6, 1.0)
        self.side_hand = Hand(
            **{
                **self.hand.__dict__,
                "width": self.hand.width * rng.uniform(0.55, 1.0),
                "dark": self.hand.dark * light,
            }
        )
        self.truth = Truth()
        self.letter_size = 14.0
        self.symbol = 18.0

    def text(self, kind: str, centre: FloatArray, angle: float = 0.0, size: float = 1.0) -> None:
        rng = self.rng
        marks = stock().marks
        height = float(np.clip(self.letter_size * size * rng.uniform(0.8, 1.25), 7, 40))
        if marks and kind != "joint" and rng.random() < 0.3:
            mask = marks[int(rng.integers(len(marks)))]
            scale = height / max(mask.shape[0], 20) * (1.3 if mask.shape[0] > 60 else 1)
        else:
            mask = write(rng, words(rng, kind), height, self.side_hand.width)
            scale = 0.5
        turn = angle + rng.normal(0, 0.05)
        self.sheet.stamp(mask, centre, turn, scale, float(np.clip(self.side_hand.dark, 0.3, 1)))
        h, w = np.array(mask.shape) * scale / 2
        c, s = np.cos(turn), np.sin(turn)
        quad = np.array([[-w, -h], [w, -h], [w, h], [-w, h]]) @ np.array([[c, s], [-s, c]]) + centre
        self.truth.texts.append(self.camera(quad))

    def arrow(
        self,
        tail: FloatArray,
        head: FloatArray,
        hand: Hand,
        style: int | None = None,
        both: bool = False,
    ) -> None:
        rng = self.rng
        style = int(rng.integers(4)) if style is None else style
        length = float(np.hypot(*(head - tail)))
        size = float(np.clip(length * rng.uniform(0.16, 0.35), 4, 16 + hand.width))
        self.sheet.line(tail, head, hand, loose=0.5)
        for tip, other in ((head, tail), (tail, head)) if both else ((head, tail),):
            back = (other - tip) / max(length, 1e-6)
            spread = rng.uniform(18, 38)
            wings = [tip + size * turned(back, sign * spread) for sign in (1, -1)]
            if style == 3:
                self.sheet.polygon(np.array([tip, *wings]), hand, filled=True)
            else:
                for wing in wings[: 1 if style == 2 and rng.random() < 0.3 else 2]:
                    self.sheet.line(tip, wing, hand, loose=0.3)
                if style == 1 and rng.random() < 0.5:
                    self.sheet.line(wings[0], wings[1], hand, loose=0.3)

    def seen_direction(self, tail: FloatArray, head: FloatArray) -> float:
        t, h = self.camera(np.array([tail, head]))
        return float(np.degrees(np.arctan2(-(h - t)[1], (h - t)[0])) % 360)
