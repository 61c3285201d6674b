"""What is drawn on and around a truss besides itself: dimensions, angles, cuts, results."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from vision.training import words
from vision.training.hand import Hand, Points, Sheet
from vision.training.lettering import Font, write
from vision.training.symbols import draw_arrow
from vision.training.truth import Truth

__all__ = ["Notes"]

Rng = np.random.Generator


@dataclass(frozen=True)
class Notes:
    """A hand that annotates: its pen, its lettering and the height of its capitals."""

    rng: Rng
    sheet: Sheet
    hand: Hand
    font: Font
    height: float
    truth: Truth

    def text(
        self, text: str, at: Points, angle: float = 0.0, scale: float = 1.0, anchor: float = 0.5
    ) -> None:
        """Write a text centred on a place."""
        height = self.height * scale * self.rng.uniform(0.85, 1.15)
        dark = min(255.0, self.hand.dark * self.rng.uniform(0.9, 1.2))
        turn = angle + self.rng.normal(0, 2.5)
        box = write(self.rng, self.sheet, self.font, text, at, height, dark, turn, anchor)
        self.truth["texts"].append({"text": text, "box": box.tolist()})

    def _line(self, a: Points, b: Points, weight: float = 1.0) -> None:
        path = self.hand.line(self.rng, self.sheet, a, b, 0.5, weight)
        self.truth["dimension_lines"].append(path[::3].tolist())

    def dimension(
        self, a: Points, b: Points, aside: Points, off: float,
        joints: tuple[Points, Points] | None = None,
    ) -> None:  # fmt: skip
        """Dimension the distance a-b along a line moved by `off` along `aside`.

        With `joints`, the extension lines begin at these instead of near a and b.
        """
        rng, u = self.rng, self.sheet.unit
        p, q = a + aside * off, b + aside * off
        along = (q - p) / (np.hypot(*(q - p)) + 1e-9)
        length = float(np.hypot(*(q - p)))
        extend = rng.random() < 0.75
        if extend:
            gap = rng.uniform(0.1, 0.5) * off if rng.random() < 0.8 else 0.0
            if joints:
                gap = rng.uniform(0, 10) * u if rng.random() < 0.7 else 0.0
            for start, end in zip(joints or (a, b), (p, q), strict=True):
                self._line(start + aside * gap, end + aside * rng.uniform(2, 12) * u)
        form = str(
            rng.choice(
                ["arrows", "ticks", "dots", "slashes", "bare"], p=[0.45, 0.2, 0.1, 0.2, 0.05]
            )
        )
        tick = rng.uniform(5, 12) * u
        middle = (p + q) / 2
        label = words.length(rng)
        room = len(label) * self.height * 0.85
        if rng.random() < 0.4 and length > room * 1.5:
            half = along * room * 0.55
            self._line(p, middle - half)
            self._line(middle + half, q)
            at = middle
        else:
            self._line(p, q)
            at = middle + aside * self.height * rng.uniform(0.8, 1.3) * rng.choice([-1, 1])
        for end, way in ((p, along), (q, -along)):
            if form == "arrows":
                for side in (-1, 1):
                    barb = way * tick + np.array([-way[1], way[0]]) * side * tick * 0.45
                    self.hand.line(rng, self.sheet, end, end + barb, 0.3)
            elif form == "ticks":
                self._line(end - aside * tick, end + aside * tick)
            elif form == "slashes":
                slash = (aside + along) * tick * 0.7
                self.hand.line(rng, self.sheet, end - slash, end + slash, 0.3)
            elif form == "dots":
                self.hand.circle(rng, self.sheet, end, 2.2 * u, True)
        upright = np.degrees(np.arctan2(-along[1], along[0]))
        upright = (upright + 90) % 180 - 90
        self.text(label, at, upright if rng.random() < 0.5 else 0.0)

    def angle(self, joint: Points, one: Points, two: Points, radius: float) -> None:
        """Mark the angle between two directions (unit vectors) at a joint."""
        rng = self.rng
        start = float(np.arctan2(one[1], one[0]))
        sweep = float((np.arctan2(two[1], two[0]) - start + np.pi) % (2 * np.pi) - np.pi)
        self.hand.circle(rng, self.sheet, joint, radius, start=start, sweep=sweep)
        t = np.linspace(start, start + sweep, 7)
        arc = joint + radius * np.column_stack([np.cos(t), np.sin(t)])
        self.truth["dimension_lines"].append(arc.tolist())
        middle = start + sweep / 2
        reach = radius + self.height * rng.uniform(0.7, 1.5)
        self.text(
            words.angle(rng), joint + reach * np.array([np.cos(middle), np.sin(middle)]), 0, 0.85
        )

    def slope(self, a: Points, b: Points, size: float) -> None:
        """Draw a slope triangle (run and rise) beside the line a-b."""
        rng = self.rng
        way = (b - a) / (np.hypot(*(b - a)) + 1e-9)
        aside = np.array([-way[1], way[0]]) * rng.choice([-1, 1])
        start = a + (b - a) * rng.uniform(0.3, 0.6) + aside * size * rng.uniform(0.15, 0.5)
        end = start + way * size
        corner = (
            np.array([end[0], start[1]]) if rng.random() < 0.5 else np.array([start[0], end[1]])
        )
        for p, q in ((start, end), (end, corner), (corner, start)):
            self._line(p, q, 0.8)
        run, rise = (str(v) for v in rng.choice([3, 4, 1, 2, 5, 12, 1.5], 2, replace=False))
        out = (corner - (start + end) / 2) / (size + 1e-9)
        for (p, q), text in (((corner, start), run), ((end, corner), rise)):
            self.text(text, (p + q) / 2 + out * self.height * 0.9, 0, 0.7)

    def cut(self, a: Points, b: Points) -> None:
        """Draw a section cut, dashed or wavy, with its number or letters at the ends."""
        rng, u = self.rng, self.sheet.unit
        path = self.hand.path(rng, a, b, u)
        t = np.linspace(0, 1, 13)
        way = (b - a) / (np.hypot(*(b - a)) + 1e-9)
        wave = rng.uniform(0, 14) * u * np.sin(rng.uniform(1, 5) * t + rng.uniform(0, 6))
        path = path + wave[:, None] * np.array([-way[1], way[0]])
        fine = np.column_stack([np.interp(np.linspace(0, 1, 49), t, path[:, k]) for k in (0, 1)])
        if rng.random() < 0.6:
            step = int(rng.choice([2, 3, 4]))
            for k in range(0, 48 - step, 2 * step):
                self.sheet.stroke(fine[k : k + step + 1], self.hand.width * u, self.hand.dark)
        else:
            self.hand.trace(rng, self.sheet, fine)
        self.truth["dimension_lines"].append(path[::2].tolist())
        name = str(rng.choice(["1", "2", "a", "b", "m", "n", "A", "I"]))
        for end, out in ((path[0], -way), (path[-1], way)):
            if rng.random() < 0.5:
                side = np.array([-way[1], way[0]]) * 20 * u
                draw_arrow(rng, self.hand, self.sheet, end, end + side, 7 * u, "vee")
            at = end + out * self.height * 1.4
            if rng.random() < 0.6:
                self.hand.circle(rng, self.sheet, at, self.height * rng.uniform(0.8, 1.1))
            self.text(name, at)

    def result(self, a: Points, b: Points) -> None:
        """Write a force along a member, or the sign that it carries none."""
        rng, u = self.rng, self.sheet.unit
        along = b - a
        way = along / (np.hypot(*along) + 1e-9)
        aside = np.array([-way[1], way[0]]) * rng.choice([-1, 1])
        at = a + along * rng.uniform(0.35, 0.65)
        if rng.random() < 0.3:
            if rng.random() < 0.6:
                self.hand.circle(rng, self.sheet, at, rng.uniform(3, 7) * u)
                if rng.random() < 0.3:
                    slash = np.array([5.0, -7.0]) * u
                    self.hand.line(rng, self.sheet, at - slash, at + slash)
            else:
                self.text("0", at + aside * self.height * rng.uniform(0, 1))
            return
        upright = (np.degrees(np.arctan2(-along[1], along[0])) + 90) % 180 - 90
        near = at + aside * self.height * rng.uniform(0.3, 1.2)
        self.text(words.result(rng), near, upright if rng.random() < 0.6 else 0.0, 0.8)
        if rng.random() < 0.15:
            for start, end in ((a, b), (b, a)):
                out = (end - start) / (np.hypot(*along) + 1e-9)
                mid = start + out * np.hypot(*along) * 0.2
                tail, head = (
                    (mid, mid + out * 14 * u) if rng.random() < 0.5 else (mid + out * 14 * u, mid)
                )
                draw_arrow(rng, self.hand, self.sheet, tail, head, 6 * u, "vee")
