"""What people add to a truss drawing: section cuts, answers, angles, reactions, sums beside it."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from sample_sketches.figure import Figure
from sample_sketches.hand import Hand
from sample_sketches.lettering import text_width
from sample_sketches.symbols import draw_arrow, unit_vector

__all__ = [
    "draw_angle",
    "draw_answers",
    "draw_doodle",
    "draw_reaction",
    "draw_section_cut",
    "draw_sums",
    "draw_title",
    "draw_zero_marks",
]

FloatArray = NDArray[np.float64]

_SUMS = (
    "RA + RB = 24 kN", "Ay = 9 kN", "12 x 4 = 48", "FAB = 15 kN (C)", "sum M at A = 0",
    "By = 36 / 12 = 3", "m + r = 2j", "13 + 3 = 16", "H = 0", "check joint C", "F1 = -4.2 kN",
    "tan a = 3/4", "L = 5 m", "Ax = 0",
)  # fmt: skip
_TITLES = (
    "Reedbank jetty", "boathouse roof", "Problem 4", "slipway 2", "Q3 find all forces",
    "oar rack, north", "joint by joint", "gantry at low tide", "Ex. 7", "site sketch 12",
)  # fmt: skip


def _members(figure: Figure) -> list[tuple[FloatArray, FloatArray]]:
    return [(figure.at(a), figure.at(b)) for a, b in figure.members]


def _along(a: FloatArray, b: FloatArray) -> tuple[FloatArray, FloatArray, float]:
    """Start, unit vector and readable angle of a member, drawn from left to right."""
    if b[0] < a[0]:
        a, b = b, a
    along = (b - a) / np.hypot(*(b - a))
    return a, along, float(np.degrees(np.arctan2(-along[1], along[0])))


def draw_answers(hand: Hand, figure: Figure, share: float) -> None:
    """Write member forces along some members, with T or C."""
    height = 0.62 * figure.letter_height
    for a, b in _members(figure):
        value, part = hand.rng.integers(1, 30), hand.rng.choice(["", ".5", ".2"])
        text = f"{value}{part} {hand.rng.choice(['(T)', '(C)', 'T', 'C'])}"
        wide = text_width(text, height)
        if hand.rng.random() > share or np.hypot(*(b - a)) < 1.5 * wide:
            continue
        start, along, angle = _along(a, b)
        above = np.array([along[1], -along[0]]) * (1.2 + figure.double / 2)
        at = start + along * (np.hypot(*(b - a)) - wide) / 2 + above
        hand.write(text, at, height, angle=angle)


def draw_zero_marks(hand: Hand, figure: Figure, count: int) -> None:
    """Put a small 'o' on some members, as for members without force."""
    for index in hand.rng.permutation(len(figure.members))[:count]:
        a, b = _members(figure)[int(index)]
        hand.circle((a + b) / 2, 0.22 * figure.letter_height)


def draw_section_cut(hand: Hand, figure: Figure) -> None:
    """Run a dashed, bowed line across the truss, with a number in a circle at its end."""
    points = np.array(list(figure.places.values()))
    low, high = points.min(0), points.max(0)
    x = float(
        hand.rng.uniform(low[0] + 0.3 * (high[0] - low[0]), low[0] + 0.7 * (high[0] - low[0]))
    )
    top = np.array([x + hand.rng.normal(0, 4), low[1] - 9])
    bottom = np.array([x + hand.rng.normal(0, 4), high[1] + 9])
    bow = hand.rng.normal(0, 4)
    for t in np.arange(0, 1, 0.085):
        ends = np.array([t, t + 0.055])[:, None]
        dash = top + (bottom - top) * ends
        dash[:, 0] += bow * np.sin(np.pi * ends[:, 0])
        hand.line(dash[0], dash[1], sure=0.2)
    radius = 0.75 * figure.letter_height
    hand.circle(top - [0, radius + 1], radius)
    hand.write(str(hand.rng.integers(1, 5)), top - [0.25 * radius, 0.55 * radius], radius)


def draw_angle(hand: Hand, figure: Figure) -> None:
    """Draw an angle arc with its degrees at a joint where two members meet."""
    joints = list(figure.places)
    for index in hand.rng.permutation(len(joints)):
        joint = joints[int(index)]
        at = figure.at(joint)
        ways = [
            figure.at(b if a == joint else a) - at for a, b in figure.members if joint in (a, b)
        ]
        angles = sorted(float(np.degrees(np.arctan2(-w[1], w[0]))) % 360 for w in ways)
        gaps = [(b - a, a, b) for a, b in pairwise(angles) if 22 < b - a < 80]
        if not gaps:
            continue
        gap, start, stop = gaps[0]
        radius = 1.7 * figure.letter_height
        hand.arc(at, radius, start, stop)
        text = f"{round(gap)}°"
        height = 0.6 * figure.letter_height
        centre = at + unit_vector((start + stop) / 2) * (radius + 0.9 * height)
        start = centre + np.array([-0.5 * text_width(text, height), 0.5 * height])
        hand.write(text, start, height)
        return


def draw_reaction(hand: Hand, figure: Figure, joint: str, angle: float, below: float) -> None:
    """Draw a reaction arrow that ends under a support, named as a reaction."""
    push = unit_vector(angle)
    head = figure.at(joint) - push * below
    tail = head - push * 13
    draw_arrow(hand, tail, head, barb=3.0)
    height = 0.8 * figure.letter_height
    aside = np.array([2.0, 0.0]) if abs(push[1]) > 0.5 else np.array([-4.0, -2.0])
    hand.write(f"R{joint}", tail + aside + [0.0, 0.3 * height], height)


def draw_sums(hand: Hand, box: tuple[float, float, float, float], height: float) -> None:
    """Fill a free box (x0, y0, x1, y1 in mm) with lines of sums."""
    x0, y0, x1, y1 = box
    y = y0 + height
    while y < y1:
        text = str(hand.rng.choice(_SUMS))
        if text_width(text, height) < x1 - x0:
            hand.write(text, (x0 + hand.rng.uniform(0, 4), y), height, angle=hand.rng.normal(0, 1))
        y += height * hand.rng.uniform(1.7, 2.1)


def draw_title(hand: Hand, at: tuple[float, float], height: float) -> None:
    """Write a title, mostly underlined."""
    corners = hand.write(str(hand.rng.choice(_TITLES)), at, height, angle=hand.rng.normal(0, 1))
    if hand.rng.random() < 0.6:
        hand.line(corners[0] + [0, 2], corners[1] + [0, 2])


def draw_doodle(hand: Hand, at: tuple[float, float], size: float) -> None:
    """Draw a stray spiral, star or scribble."""
    kind = hand.rng.integers(3)
    centre = np.array(at)
    if kind == 0:
        t = np.linspace(0, 5 * np.pi, 120)
        hand.stroke(centre + (t / t[-1] * size)[:, None] * np.stack([np.cos(t), np.sin(t)], 1))
    elif kind == 1:
        t = np.deg2rad(90 + 144 * np.arange(6))
        hand.polyline(centre + size * np.stack([np.cos(t), -np.sin(t)], 1))
    else:
        zigzag = np.stack([np.linspace(-1, 1, 14), 0.4 * (-1.0) ** np.arange(14)], 1)
        hand.polyline(centre + size * zigzag)
