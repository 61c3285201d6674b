"""One picture: a truss with everything people draw around it, and the truth of what was drawn."""

from __future__ import annotations

from dataclasses import dataclass, field

import cv2
import numpy as np
from numpy.typing import NDArray

from . import surface
from .families import Shape, draw_shape
from .hand import FINE, Hand, Sheet, draw_hand
from .lettering import words, write
from .stock import stock

__all__ = ["SIZE", "Truth", "draw_scene"]

FloatArray = NDArray[np.float64]
Rng = np.random.Generator
SIZE = 512


@dataclass
class Truth:
    """What was drawn, in pixels of the picture; directions in degrees, counter-clockwise as seen."""

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


def _turned(v: FloatArray, degrees: float) -> FloatArray:
    """Turn a page vector (y down) counter-clockwise as seen."""
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    return np.array([c * v[0] + s * v[1], -s * v[0] + c * v[1]])


def _unit(degrees: float) -> FloatArray:
    """Page vector (y down) of a direction in degrees, counter-clockwise as seen."""
    return np.array([np.cos(np.radians(degrees)), -np.sin(np.radians(degrees))])


class _Scene:
    def __init__(self, rng: Rng, level: float) -> None:
        self.rng, self.level = rng, level
        self.camera = surface.Camera(rng, SIZE, level)
        self.sheet = Sheet(rng, SIZE, self.camera)
        self.hand = draw_hand(rng, level)
        light = rng.uniform(0.6, 1.0)
        self.side_hand = Hand(**{**self.hand.__dict__, "width": self.hand.width * rng.uniform(0.55, 1.0), "dark": self.hand.dark * light})
        self.truth = Truth()
        self.letter_size = 14.0
        self.symbol = 18.0

    # -- writing ---------------------------------------------------------------
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

    # -- arrows ----------------------------------------------------------------
    def arrow(self, tail: FloatArray, head: FloatArray, hand: Hand, style: int | None = None, both: bool = False) -> None:
        rng = self.rng
        style = int(rng.integers(4)) if style is None else style
        length = float(np.hypot(*(head - tail)))
        size = float(np.clip(length * rng.uniform(0.16, 0.35), 4, 16 + hand.width))
        self.sheet.line(tail, head, hand, loose=0.5)
        for tip, other in ((head, tail), (tail, head)) if both else ((head, tail),):
            back = (other - tip) / max(length, 1e-6)
            spread = rng.uniform(18, 38)
            wings = [tip + size * _turned(back, sign * spread) for sign in (1, -1)]
            if style == 3:
                self.sheet.polygon(np.array([tip, *wings]), hand, filled=True)
            else:
                for wing in wings[: 1 if style == 2 and rng.random() < 0.3 else 2]:
                    self.sheet.line(tip, wing, hand, loose=0.3)
                if style == 1 and rng.random() < 0.5:
                    self.sheet.line(wings[0], wings[1], hand, loose=0.3)

    # -- supports ---------------------------------------------------------------
    def support(self, joint: FloatArray, kind: str, degrees: float) -> None:
        """Draw a support that pushes in `degrees`: everything in a frame with `down` away from the truss."""
        rng, sheet, hand = self.rng, self.sheet, self.hand
        up = _unit(degrees)
        across = _turned(up, -90)
        s = self.symbol * rng.uniform(0.75, 1.35)

        def at(x: float, y: float) -> FloatArray:
            return np.asarray(joint + s * (x * across + y * up))

        wide = rng.uniform(0.4, 0.75)
        base = -rng.uniform(0.75, 1.1)
        loose = rng.uniform(0.3, 1.0)

        def triangle(top: float, bottom: float) -> None:
            a, b, c = at(0, top), at(-wide, bottom), at(wide, bottom)
            for p, q in ((a, b), (b, c), (c, a)):
                sheet.line(p, q, hand, loose=loose)

        def ground(y: float, reach: float, hatch: float = 0.75) -> None:
            sheet.line(at(-reach, y), at(reach, y), hand, loose=loose)
            if rng.random() < hatch:
                n, lean = int(rng.integers(3, 9)), rng.choice([-1, 1]) * rng.uniform(0.1, 0.25)
                for x in np.linspace(-reach, reach, n):
                    sheet.line(at(x, y), at(x - lean, y - rng.uniform(0.15, 0.3)), self.side_hand, loose=0.5)

        style = rng.random()
        if kind == "pin":
            if style < 0.62:
                top = 0 if rng.random() < 0.8 else -0.18
                triangle(top, base)
                if rng.random() < 0.7:
                    ground(base, wide * rng.uniform(1.0, 1.8))
                if rng.random() < 0.3:
                    sheet.circle(at(0, 0), s * 0.14, hand)
            elif style < 0.76:
                sheet.polygon(np.array([at(0, 0), at(-wide, base), at(wide, base)]), hand, filled=True)
                if rng.random() < 0.4:
                    ground(base, wide * 1.4)
            elif style < 0.9:
                ground(-0.06 if rng.random() < 0.6 else -0.2, wide * rng.uniform(1.2, 2.4), 1.0)
                if rng.random() < 0.5:
                    sheet.circle(at(0, 0), s * 0.14, hand)
            else:
                n = int(rng.integers(3, 6))
                triangle(0, base)
                for x in np.linspace(-0.5, 0.5, n):
                    sheet.line(at(x * wide, base), at(x * wide - 0.2, base - 0.25), self.side_hand, loose=0.5)
        elif style < 0.3:
            r = rng.uniform(0.1, 0.19)
            triangle(0, base + 0.2)
            for x in np.linspace(-wide, wide, int(rng.integers(2, 4))) * rng.uniform(0.5, 0.85):
                sheet.circle(at(x, base + 0.2 - r), s * r, hand)
            if rng.random() < 0.8:
                ground(base + 0.2 - 2 * r, wide * rng.uniform(1, 1.7), 0.6)
        elif style < 0.52:
            r = rng.uniform(0.28, 0.5)
            sheet.circle(at(0, -r - rng.uniform(0, 0.08)), s * r, hand)
            if rng.random() < 0.8:
                ground(-2 * r - 0.05, wide * rng.uniform(1, 2), 0.7)
        elif style < 0.72:
            triangle(0, base + 0.15)
            if rng.random() < 0.5:
                sheet.line(at(-wide, base + 0.15), at(wide, base + 0.15), hand, loose=loose)
            ground(base - rng.uniform(0.0, 0.15), wide * rng.uniform(1, 1.6), 0.6)
        elif style < 0.86:
            triangle(0, base + 0.25)
            sheet.circle(at(0, base), s * 0.22, hand)
            if rng.random() < 0.8:
                ground(base - 0.24, wide * rng.uniform(1, 1.6), 0.7)
        else:
            r = rng.uniform(0.16, 0.24)
            for x in (-1.05 * r, 1.05 * r):
                sheet.circle(at(x, -r - 0.04), s * r, hand)
            ground(-2 * r - 0.06, wide * rng.uniform(1, 1.8), 0.7)

    # -- lines that are not members ------------------------------------------------
    def dimension(self, a: FloatArray, b: FloatArray, offset: FloatArray, kind: str = "length") -> None:
        rng = self.rng
        hand = self.side_hand
        p, q = a + offset, b + offset
        length = float(np.hypot(*(q - p)))
        if length < 12:
            return
        style = rng.integers(3)
        if style == 0:
            self.sheet.line(p, q, hand, loose=0.6)
            along = (q - p) / length
            tick = _turned(along, rng.choice([45, 90, 60])) * rng.uniform(3, 7)
            for end in (p, q):
                self.sheet.line(end - tick, end + tick, hand, loose=0.3)
        else:
            self.arrow(p, q, hand, int(rng.integers(2)), both=True)
        self.truth.dimensions.append(self.camera(np.linspace(p, q, 6)))
        if rng.random() < 0.65:
            for near, far in ((a, p), (b, q)):
                start = near + (far - near) * rng.uniform(0.05, 0.4)
                end = near + (far - near) * rng.uniform(1.0, 1.2)
                self.sheet.line(start, end, hand, dark=0.85, loose=0.5)
                self.truth.dimensions.append(self.camera(np.linspace(start, end, 4)))
        angle = np.arctan2(*(q - p)[::-1])
        angle = (angle + np.pi / 2) % np.pi - np.pi / 2
        self.text(kind, (p + q) / 2 + self.letter_size * rng.uniform(-0.9, 0.9) * np.array([-np.sin(angle), np.cos(angle)]), angle if rng.random() < 0.7 else 0.0)

    def arc(self, joint: FloatArray, a: FloatArray, b: FloatArray) -> None:
        ta, tb = (np.arctan2(*(v - joint)[::-1]) for v in (a, b))
        span = (tb - ta + np.pi) % (2 * np.pi) - np.pi
        if not 0.15 < abs(span) < 2.2:
            return
        r = self.symbol * self.rng.uniform(0.7, 1.8)
        t = ta + span * np.linspace(0, 1, 10)
        points = joint + r * np.c_[np.cos(t), np.sin(t)]
        self.sheet.path(points, self.side_hand)
        self.truth.dimensions.append(self.camera(points))
        middle = ta + span / 2
        self.text("angle", joint + (r + self.letter_size) * np.array([np.cos(middle), np.sin(middle)]), 0, 0.8)

    def slope_triangle(self, a: FloatArray, b: FloatArray) -> None:
        rng = self.rng
        along = b - a
        s = self.symbol * rng.uniform(0.8, 1.8) / max(float(np.hypot(*along)), 1e-6)
        shift = _turned(along, rng.choice([-90, 90])) * s * rng.uniform(0.3, 0.9)
        p = a + along * rng.uniform(0.3, 0.6) + shift
        q = p + along * s
        corner = np.array([q[0], p[1]]) if rng.random() < 0.5 else np.array([p[0], q[1]])
        for i, j in ((p, q), (q, corner), (corner, p)):
            self.sheet.line(i, j, self.side_hand, loose=0.4)
            self.truth.dimensions.append(self.camera(np.linspace(i, j, 4)))
        for i in (p, q):
            self.text("angle" if rng.random() < 0.2 else "member", (i + corner) / 2 + rng.normal(0, 4, 2) + (corner - (p + q) / 2) * 0.4, 0, 0.75)

    def section_cut(self, points: FloatArray) -> None:
        rng = self.rng
        low, high = points.min(0) - self.symbol, points.max(0) + self.symbol
        x = rng.uniform(low[0] + 0.2 * (high - low)[0], high[0] - 0.2 * (high - low)[0])
        a, b = np.array([x, low[1]]), np.array([x + rng.normal(0, 0.12) * (high - low)[0], high[1]])
        hand = self.side_hand
        s = np.linspace(0, 1, 30)[:, None]
        curve = a + s * (b - a) + np.sin(s * rng.uniform(2, 6) + rng.uniform(0, 6)) * np.array([rng.uniform(0, 10), 0])
        step = int(rng.integers(1, 4))
        if rng.random() < 0.75:
            for i in range(0, 29, 2 * step):
                self.sheet.path(curve[i : i + step + 1], hand)
        else:
            self.sheet.path(curve, hand)
        self.truth.dimensions.append(self.camera(curve))
        for end in (curve[0], curve[-1]):
            if rng.random() < 0.7:
                centre = end + np.array([0, -8 if end is curve[0] else 8])
                self.sheet.circle(centre, self.letter_size * 0.8, hand)
                self.text("angle", centre, 0, 0.7)

    # -- the truss ----------------------------------------------------------------
    def truss(self, shape: Shape) -> FloatArray:
        rng = self.rng
        points = shape.points * (1, -1)
        points = points - (points.min(0) + points.max(0)) / 2
        angle = rng.normal(0, 4) if rng.random() < 0.72 else rng.uniform(-180, 180)
        points = np.array([_turned(p, angle) for p in points])
        span = np.ptp(points, axis=0)
        fill = rng.uniform(0.36, 0.93) if rng.random() < 0.92 else rng.uniform(0.93, 1.5)
        scale = fill * SIZE / max(span.max(), 1e-6)
        room = np.maximum(SIZE - span * scale - 40, 10)
        points = points * scale + SIZE / 2 + rng.uniform(-0.45, 0.45, 2) * room
        size = float(span.max() * scale)
        lengths = [float(np.hypot(*(points[a] - points[b]))) for a, b in shape.members]
        usual = float(np.median(lengths))
        self.symbol = float(np.clip(min(0.075 * size * rng.uniform(0.6, 1.3), 0.55 * usual), 9, 34))
        self.letter_size = float(np.clip(self.symbol * rng.uniform(0.6, 1.0), 8, 26))
        limit = max(1.2, 0.08 * usual)
        if self.hand.width > limit:
            self.hand = Hand(**{**self.hand.__dict__, "width": limit})
        self._members(shape, points)
        self._joints(points)
        self._supports(shape, points, angle)
        self._loads(points, shape, angle)
        self._notes(shape, points, size)
        self.truth.family = shape.family
        return points

    def _members(self, shape: Shape, points: FloatArray) -> None:
        rng, hand = self.rng, self.hand
        double = rng.random() < 0.07
        gap = max(2.2 * hand.width, rng.uniform(3, 7))
        order = rng.permutation(len(shape.members))
        for i in order:
            a, b = (points[j] for j in shape.members[int(i)])
            end = hand if rng.random() > 0.04 else Hand(**{**hand.__dict__, "dark": hand.dark * 0.55})
            if double:
                across = _turned((b - a) / max(float(np.hypot(*(b - a))), 1e-6), 90) * gap / 2
                for side in (across, -across):
                    self.sheet.line(a + side, b + side, end, loose=0.6)
            else:
                self.sheet.line(a, b, end)
        if rng.random() < 0.02:
            i = int(rng.integers(len(points)))
            a, b = points[i], points[i] + rng.normal(0, 40, 2)
            self.sheet.line(a, b, hand, dark=0.8)
            for _ in range(4):
                m = a + (b - a) * rng.uniform(0.2, 0.8)
                self.sheet.line(m + rng.normal(0, 7, 2), m + rng.normal(0, 7, 2), hand)
        self.truth.members = list(shape.members)
        self.truth.joints = self.camera(points)
        self.truth.crossings = crossings(self.truth.joints, shape.members)

    def _joints(self, points: FloatArray) -> None:
        rng, hand = self.rng, self.hand
        style = rng.choice(["none", "dot", "open", "hollow", "gusset"], p=[0.5, 0.19, 0.13, 0.15, 0.03])
        if style == "none":
            return
        r = float(np.clip(self.symbol * rng.uniform(0.1, 0.26), 2.0, 9))
        for p in points:
            if rng.random() < 0.03:
                continue
            if style == "dot":
                self.sheet.circle(p, r * 0.85, hand, filled=True)
            elif style == "gusset":
                self.sheet.polygon(p + r * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]), hand)
            else:
                if style == "hollow":
                    self.sheet.blot(p, r)
                self.sheet.circle(p, r, hand)

    def _supports(self, shape: Shape, points: FloatArray, angle: float) -> None:
        rng = self.rng
        feet = list(shape.feet)
        if rng.random() < 0.1:
            feet = [int(f) for f in rng.permutation(len(points))[:2]]
        if not shape.wall and len(points) > 6 and rng.random() < 0.06:
            feet.append(int(rng.integers(len(points))))
        outward = 0.0 if points[feet].mean(0)[0] <= points.mean(0)[0] else 180.0
        kinds = ["pin"] + ["roller" if rng.random() < 0.75 else "pin" for _ in feet[1:]]
        if rng.random() < 0.5:
            kinds.reverse()
        if rng.random() < 0.08:
            kinds = kinds[:1]
        missing = rng.random() < 0.05
        arrows = rng.random() < 0.08
        for foot, kind in zip(feet, kinds, strict=False):
            push = (outward if shape.wall and rng.random() < 0.8 else 90.0) + angle * (rng.random() < 0.9)
            if rng.random() < 0.1:
                push += float(rng.choice([-60, -45, -30, 30, 45, 60, 90]))
            push = (push + rng.normal(0, 2)) % 360
            if missing:
                continue
            if arrows:
                self._reaction(foot, points[foot], push)
                if kind == "pin" and rng.random() < 0.7:
                    self._reaction(foot, points[foot], push - 90)
                continue
            self.support(points[foot], kind, push)
            self.truth.supports.append((foot, kind, push))
            if rng.random() < 0.06:
                self._reaction(foot, points[foot], push)
        if shape.wall and rng.random() < 0.5 and not missing:
            self._wall(points[list(shape.feet)], outward + angle)

    def _wall(self, feet: FloatArray, degrees: float) -> None:
        rng = self.rng
        up = _unit(degrees)
        across = _turned(up, 90)
        s = (feet - feet.mean(0)) @ across
        back = -self.symbol * rng.choice([0.05, rng.uniform(0.8, 1.3)])
        reach = np.array([s.min() - self.symbol, s.max() + self.symbol])
        a, b = (feet.mean(0) + t * across + back * up for t in reach)
        self.sheet.line(a, b, self.hand, loose=0.5)
        for t in np.arange(reach[0], reach[1], self.symbol * rng.uniform(0.25, 0.6)):
            p = feet.mean(0) + t * across + back * up
            self.sheet.line(p, p - self.symbol * 0.35 * up + self.symbol * 0.25 * across, self.side_hand, loose=0.4)

    def _reaction(self, joint: int, place: FloatArray, degrees: float) -> None:
        rng = self.rng
        u = _unit(degrees)
        length = self.symbol * rng.uniform(1.4, 2.8)
        gap = self.symbol * rng.uniform(0.05, 0.4) * (1 if rng.random() < 0.6 else 4)
        head = place - u * gap if rng.random() < 0.75 else place + u * (gap + length)
        tail = head - u * length
        self.arrow(tail, head, self.side_hand)
        if rng.random() < 0.25:
            m = (tail + head) / 2
            self.sheet.line(m - 5 * _turned(u, 60), m + 5 * _turned(u, 60), self.side_hand, loose=0.3)
        self.text("reaction", tail + (tail - head) / length * self.letter_size + rng.normal(0, 3, 2))
        self.truth.reactions.append((joint, self._seen_direction(tail, head)))

    def _seen_direction(self, tail: FloatArray, head: FloatArray) -> float:
        t, h = self.camera(np.array([tail, head]))
        return float(np.degrees(np.arctan2(-(h - t)[1], (h - t)[0])) % 360)

    def _loads(self, points: FloatArray, shape: Shape, angle: float) -> None:
        rng = self.rng
        n = int(rng.choice([0, 1, 1, 2, 2, 3, 3, 4, 5, 7]))
        free = [i for i in range(len(points)) if i not in {s[0] for s in self.truth.supports}] or [0]
        chosen = [int(i) for i in rng.permutation(free)[:n]]
        usual = rng.choice([270.0, 270.0, 270.0, 0.0, rng.uniform(0, 360)])
        into = rng.random() < 0.6
        members = np.array(shape.members)
        colour = self.hand if rng.random() < 0.7 else Hand(**{**self.hand.__dict__, "dark": float(np.clip(self.hand.dark * rng.uniform(0.5, 1.2), 0.3, 1))})
        for joint in chosen:
            direction = usual + angle if rng.random() < 0.75 else rng.choice([270.0, 0.0, 180.0, 90.0, rng.uniform(0, 360)])
            self._load(joint, points, members, float(direction + rng.normal(0, 2)) % 360, into if rng.random() < 0.9 else not into, colour)
            if rng.random() < 0.08:
                self._load(joint, points, members, float(direction + rng.choice([90, -90])) % 360, into, colour)

    def _load(self, joint: int, points: FloatArray, members: NDArray[np.intp], direction: float, into: bool, hand: Hand) -> None:
        rng = self.rng
        u = _unit(direction)
        place = points[joint]
        length = self.symbol * rng.uniform(1.5, 3.6)
        gap = self.symbol * max(0.0, rng.normal(0.1, 0.12))
        tail = place - u * (gap + length) if into else place + u * gap
        # An arrow lying along a member cannot be told from it: turn it to the other side.
        away = (tail if into else tail + u * length) - place
        ends = members[(members == joint).any(1)]
        for end in ends:
            other = points[end[0] if end[1] == joint else end[1]] - place
            if away @ other > 0.96 * np.hypot(*away) * np.hypot(*other):
                into = not into
                tail = place - u * (gap + length) if into else place + u * gap
                break
        head = tail + u * length
        self.arrow(tail, head, hand)
        free = tail if into else head
        self.text("force", free + (free - place) / max(float(np.hypot(*(free - place))), 1) * self.letter_size * 0.9 + rng.normal(0, 4, 2) + (rng.uniform(-20, 20), 0))
        self.truth.loads.append((joint, self._seen_direction(tail, head)))
        self.truth.arrows.append((self.camera(head[None])[0], self.camera(tail[None])[0]))

    def _notes(self, shape: Shape, points: FloatArray, size: float) -> None:
        rng = self.rng
        centre = points.mean(0)
        members = [(points[a], points[b]) for a, b in shape.members]
        if rng.random() < 0.6:
            for p in points:
                if rng.random() < 0.92:
                    out = (p - centre) / max(float(np.hypot(*(p - centre))), 1e-6)
                    out = _turned(out, rng.normal(0, 40))
                    self.text("joint", p + out * self.letter_size * rng.uniform(0.9, 1.6))
        if rng.random() < 0.5:
            self._dimensions(points)
        if rng.random() < 0.2:
            for _ in range(int(rng.integers(1, 4))):
                a, b = members[int(rng.integers(len(members)))]
                (c, d) = members[int(rng.integers(len(members)))]
                for p, q in ((a, b), (b, a)):
                    for r, s in ((c, d), (d, c)):
                        if np.allclose(p, r) and not np.allclose(q, s):
                            self.arc(p, q, s)
            if rng.random() < 0.7:
                a, b = members[int(rng.integers(len(members)))]
                self.arc(a, b, a + np.array([np.sign(b[0] - a[0]) or 1, 0]) * 40)
        if rng.random() < 0.2:
            for _ in range(int(rng.integers(1, 4))):
                self.slope_triangle(*members[int(rng.integers(len(members)))])
        if rng.random() < 0.2:
            kind = str(rng.choice(["result", "member", "length"]))
            for a, b in members:
                if rng.random() < 0.8 and np.hypot(*(b - a)) > 3 * self.letter_size:
                    t = np.arctan2(*(b - a)[::-1])
                    t = (t + np.pi / 2) % np.pi - np.pi / 2
                    off = self.letter_size * rng.choice([-1, 1]) * rng.uniform(0.1, 1.1)
                    self.text(kind, (a + b) / 2 + off * np.array([-np.sin(t), np.cos(t)]), t if rng.random() < 0.7 else 0, 0.8)
        if rng.random() < 0.1:
            for a, b in members:
                if rng.random() < 0.25:
                    self.sheet.circle(a + (b - a) * rng.uniform(0.4, 0.6), self.letter_size * rng.uniform(0.2, 0.4), self.side_hand)
        if rng.random() < 0.1:
            self.section_cut(points)
        if rng.random() < 0.1:
            for _ in range(int(rng.integers(1, 5))):
                a, b = members[int(rng.integers(len(members)))]
                m, u = (a + b) / 2, (b - a) / max(float(np.hypot(*(b - a))), 1)
                self.arrow(m - u * 8, m + u * 8, self.side_hand)
        if rng.random() < 0.45:
            self.clutter(points)

    def _dimensions(self, points: FloatArray) -> None:
        rng = self.rng
        low, high = points.min(0), points.max(0)
        below = rng.uniform(1.6, 3.2) * self.symbol
        feet = points[np.abs(points[:, 1] - high[1]) < 0.06 * SIZE]
        xs = np.sort(feet[:, 0])
        if len(xs) >= 2 and rng.random() < 0.6:
            for a, b in zip(xs, xs[1:], strict=False):
                self.dimension(np.array([a, high[1]]), np.array([b, high[1]]), np.array([0, below]))
        if rng.random() < 0.5:
            self.dimension(np.array([low[0], high[1]]), np.array([high[0], high[1]]), np.array([0, below * rng.uniform(1.3, 1.8)]))
        if rng.random() < 0.6:
            side = rng.choice([-1, 1])
            x = low[0] if side < 0 else high[0]
            self.dimension(np.array([x, low[1]]), np.array([x, high[1]]), np.array([side * below, 0]))

    def clutter(self, points: FloatArray | None) -> None:
        """Writing, axes, doodles and small figures where there is room."""
        rng = self.rng
        for _ in range(int(rng.integers(1, 7))):
            place = rng.uniform(0.05, 0.95, 2) * SIZE
            if points is not None and len(points) and rng.random() < 0.95:
                low, high = points.min(0) - 2.5 * self.symbol, points.max(0) + 2.5 * self.symbol
                if ((place > low) & (place < high)).all():
                    continue
            what = rng.random()
            if what < 0.55:
                kind = str(rng.choice(["equation", "words", "equation", "force"]))
                lines = int(rng.integers(1, 5))
                for i in range(lines):
                    self.text(kind, place + (rng.normal(0, 4), i * 1.7 * self.letter_size), 0, rng.uniform(0.8, 1.3))
            elif what < 0.65:
                for u in (np.array([1, 0]), np.array([0, -1])):
                    self.arrow(place, place + u * self.symbol * 1.6, self.side_hand)
            elif what < 0.75:
                self.sheet.circle(place, rng.uniform(5, 22), self.side_hand)
                self.text("member", place, 0, 0.8)
            elif what < 0.87:
                k = int(rng.integers(2, 5))
                for t in rng.uniform(0, 360, k):
                    self.arrow(place, place + _unit(t) * self.symbol * rng.uniform(1.2, 2.2), self.side_hand)
                    if rng.random() < 0.5:
                        self.text("member", place + _unit(t) * self.symbol * 2.6, 0, 0.7)
                if rng.random() < 0.5:
                    self.sheet.circle(place, 3, self.side_hand, filled=True)
            else:
                n = int(rng.integers(20, 60))
                t = np.linspace(0, rng.uniform(6, 20), n)
                self.sheet.path(place + np.c_[np.cos(t) * t * 1.2, np.sin(t) * 6] * rng.uniform(0.3, 1), self.side_hand)

    # -- pages without a truss -----------------------------------------------------
    def no_truss(self) -> None:
        rng, hand = self.rng, self.hand
        kind = rng.choice(["writing", "boxes", "graph", "circuit", "plot", "geometry", "table"])
        spots = [rng.uniform(0.1, 0.9, 2) * SIZE for _ in range(int(rng.integers(3, 9)))]
        r = rng.uniform(14, 40)
        if kind in {"boxes", "graph"}:
            for p, q in zip(spots, spots[1:], strict=False):
                u = (q - p) / max(float(np.hypot(*(q - p))), 1)
                a, b = p + u * r * 1.2, q - u * r * 1.2
                if kind == "boxes" or rng.random() < 0.5:
                    self.arrow(a, b, hand)
                else:
                    self.sheet.line(a, b, hand)
            for p in spots:
                if kind == "graph" or rng.random() < 0.25:
                    self.sheet.circle(p, r * rng.uniform(0.6, 1), hand)
                else:
                    w, h = r * rng.uniform(1, 2.2), r * rng.uniform(0.6, 1)
                    turn = rng.random() < 0.2
                    box = np.array([[0, -h], [w, 0], [0, h], [-w, 0]]) if turn else np.array([[-w, -h], [w, -h], [w, h], [-w, h]])
                    self.sheet.polygon(p + box, hand)
                self.text("words" if kind == "boxes" else "joint", p, 0, 0.8)
        elif kind == "circuit":
            x0, y0, x1, y1 = *rng.uniform(0.1, 0.35, 2), *rng.uniform(0.6, 0.9, 2)
            corners = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]]) * SIZE
            for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True):
                u = (b - a) / np.hypot(*(b - a))
                m = a + (b - a) * rng.uniform(0.35, 0.6)
                self.sheet.line(a, m - u * 22, hand)
                self.sheet.line(m + u * 22, b, hand)
                v = _turned(u, 90)
                if rng.random() < 0.6:
                    s = np.linspace(-22, 22, 9)
                    self.sheet.path(m + np.outer(s, u) + np.outer(9 * np.array([0, 1, -1, 1, -1, 1, -1, 1, 0]), v), hand)
                else:
                    for t in (-5, 5):
                        self.sheet.line(m + u * t - v * 14, m + u * t + v * 14, hand)
                    self.sheet.line(m - u * 22, m - u * 5, hand)
                    self.sheet.line(m + u * 5, m + u * 22, hand)
                self.text("force", m + v * 26)
        elif kind == "plot":
            o = np.array([rng.uniform(0.1, 0.3), rng.uniform(0.7, 0.9)]) * SIZE
            self.arrow(o, o + (rng.uniform(150, 320), 0), hand)
            self.arrow(o, o - (0, rng.uniform(150, 320)), hand)
            t = np.linspace(0, 1, 40)
            self.sheet.path(o + np.c_[t * 220, -60 - 50 * np.sin(t * rng.uniform(2, 9)) - 60 * t], hand)
        elif kind == "geometry":
            for _ in range(int(rng.integers(1, 4))):
                p, n = rng.uniform(0.2, 0.8, 2) * SIZE, int(rng.integers(3, 7))
                if rng.random() < 0.4:
                    self.sheet.circle(p, rng.uniform(20, 90), hand)
                else:
                    t = np.sort(rng.uniform(0, 6.3, 2))
                    self.sheet.line(p, p + 120 * np.array([np.cos(t[0]), np.sin(t[0])]), hand)
                for _ in range(n):
                    self.text("joint", p + rng.normal(0, 60, 2))
        elif kind == "table":
            rows, columns = int(rng.integers(2, 7)), int(rng.integers(2, 6))
            p, s = rng.uniform(0.08, 0.25, 2) * SIZE, np.array([rng.uniform(45, 75), rng.uniform(22, 40)])
            for i in range(rows + 1):
                self.sheet.line(p + (0, i * s[1]), p + (columns * s[0], i * s[1]), hand)
            for j in range(columns + 1):
                self.sheet.line(p + (j * s[0], 0), p + (j * s[0], rows * s[1]), hand)
            for i in range(rows):
                for j in range(columns):
                    if rng.random() < 0.8:
                        self.text("length", p + s * (j + 0.5, i + 0.5), 0, 0.8)
        for i in range(int(rng.integers(2, 16)) if kind == "writing" else int(rng.integers(0, 5))):
            self.text("words" if rng.random() < 0.6 else "equation", np.array([rng.uniform(0.2, 0.7) * SIZE, (i * 2 + 2) * self.letter_size]))


def crossings(points: FloatArray, members: tuple[tuple[int, int], ...] | list[tuple[int, int]]) -> FloatArray:
    """Places where two members cross away from their joints, shape (k, 2)."""
    found = []
    for i, (a, b) in enumerate(members):
        for c, d in members[:i]:
            if {a, b} & {c, d}:
                continue
            r, s = points[b] - points[a], points[d] - points[c]
            cross = r[0] * s[1] - r[1] * s[0]
            if abs(cross) < 1e-9:
                continue
            w = points[c] - points[a]
            t, u = (w[0] * s[1] - w[1] * s[0]) / cross, (w[0] * r[1] - w[1] * r[0]) / cross
            if 0.02 < t < 0.98 and 0.02 < u < 0.98:
                found.append(points[a] + t * r)
    return np.array(found).reshape(-1, 2)


def draw_scene(seed: int, level: float | None = None) -> tuple[NDArray[np.uint8], Truth]:
    """Draw picture number `seed`.

    Parameters
    ----------
    seed : int
    level : float, optional
        Roughness 0 (careful, flat light) to 1.3; random without it.

    Returns
    -------
    picture : ndarray of uint8, shape (SIZE, SIZE)
    truth : Truth
    """
    rng = np.random.default_rng(seed)
    level = float(rng.beta(1.6, 1.6) * 1.25) if level is None else level
    scene = _Scene(rng, level)
    if rng.random() < 0.16:
        if stock().pages and rng.random() < 0.55:
            page = surface.real_page(rng, SIZE) * surface._light(rng, SIZE, level)
            return surface.expose(rng, page, level), scene.truth
        scene.no_truss()
        scene.clutter(None)
    else:
        scene.truss(draw_shape(rng))
    ink = cv2.resize(scene.sheet.ink, (SIZE, SIZE), interpolation=cv2.INTER_AREA)
    assert FINE == 2
    return surface.photograph(rng, ink, scene.camera, level, scene.hand.grain), scene.truth
