"""The signs of a truss drawing: members, joints, supports, arrows, dimension lines."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sample_sketches.hand import Hand
from sample_sketches.lettering import text_width

__all__ = [
    "draw_arrow",
    "draw_dimension",
    "draw_joint",
    "draw_member",
    "draw_slope",
    "draw_support",
    "unit_vector",
]

FloatArray = NDArray[np.float64]


def unit_vector(angle: float) -> FloatArray:
    """Unit vector on the page (y down) of a direction in degrees, counter-clockwise as seen."""
    turn = np.deg2rad(angle)
    return np.array([np.cos(turn), -np.sin(turn)])


def _aside(direction: FloatArray) -> FloatArray:
    return np.array([-direction[1], direction[0]])


def draw_member(
    hand: Hand, a: ArrayLike, b: ArrayLike, *, double: float = 0.0, trim: float = 0.0
) -> None:
    """Draw a member from joint to joint.

    Parameters
    ----------
    a, b : array_like, shape (2,)
        The joints in mm.
    double : float
        Distance in mm between the two lines of a double-line member; 0 for one line.
    trim : float
        Length in mm left out at each end, for joints drawn as open circles.
    """
    start, end = np.asarray(a, float), np.asarray(b, float)
    along = (end - start) / np.hypot(*(end - start))
    start, end = start + trim * along, end - trim * along
    if hand.rng.random() < 0.5:
        start, end = end, start
    if double == 0:
        hand.line(start, end, sure=0.4 if trim else 1.0)
        return
    for side in (-0.5, 0.5):
        shift = side * double * _aside(along)
        hand.line(start + shift, end + shift, sure=0.5)


def draw_joint(hand: Hand, at: ArrayLike, mark: str, radius: float = 1.3) -> None:
    """Mark a joint: ``"none"``, ``"dot"`` or ``"open"`` (an open circle)."""
    if mark == "dot":
        hand.disc(at, radius * hand.rng.uniform(0.75, 1.0))
    elif mark == "open":
        hand.circle(at, radius * hand.rng.uniform(0.92, 1.1))


def draw_support(
    hand: Hand,
    at: ArrayLike,
    kind: str,
    angle: float,
    *,
    style: str = "triangle",
    size: float = 8.0,
    gap: float = 0.0,
) -> None:
    """Draw a support.

    Parameters
    ----------
    at : array_like, shape (2,)
        The joint it holds, in mm.
    kind : str
        ``"pin"`` or ``"roller"``.
    angle : float
        Direction in degrees in which it pushes on the truss (90 = straight up).
    style : str
        ``"triangle"`` (a pin is a triangle on hatching, a roller a triangle on two
        wheels), ``"wheel"`` (a roller is one circle against the ground) or
        ``"bare"`` (a triangle on a line, without hatching).
    size : float
        Height of the triangle in mm.
    gap : float
        Distance in mm left between the joint and the support's top.
    """
    push = unit_vector(angle)
    side = _aside(push)
    rng = hand.rng
    top = np.asarray(at, float) - gap * push
    wide = size * rng.uniform(0.52, 0.66)
    if kind == "roller" and style == "wheel":
        radius = 0.42 * size
        hand.circle(top - push * radius, radius)
        ground = top - push * 2.05 * radius
    else:
        base = top - push * size
        corners = [top, base + side * wide, base - side * wide, top]
        hand.polyline(np.array(corners) + rng.normal(0, 0.25, (4, 2)))
        ground = base
        if kind == "roller":
            radius = 0.16 * size
            for share in (-0.5, 0.5):
                hand.circle(base - push * radius * 1.1 + side * wide * share, radius)
            ground = base - push * 2.3 * radius
    reach = wide * rng.uniform(1.35, 1.7)
    hand.line(ground - side * reach, ground + side * reach)
    if style != "bare":
        _hatch(hand, ground, side, push, reach, 0.30 * size)


def _hatch(
    hand: Hand, at: FloatArray, side: FloatArray, push: FloatArray, reach: float, depth: float
) -> None:
    """Draw short slanting strokes behind a ground line."""
    count = max(4, int(2 * reach / 2.2))
    for share in np.linspace(-0.92, 0.92, count):
        start = at + side * reach * share
        hand.line(start, start - push * depth + side * depth * hand.rng.uniform(0.5, 0.9), sure=0.3)


def draw_arrow(
    hand: Hand, tail: ArrayLike, head: ArrayLike, *, barb: float = 3.4, closed: bool = False
) -> None:
    """Draw an arrow from `tail` to `head` (mm) with barbs `barb` mm long, or a closed head."""
    start, end = np.asarray(tail, float), np.asarray(head, float)
    along = (end - start) / np.hypot(*(end - start))
    hand.line(start, end, sure=0.25)
    side = _aside(along)
    spread = hand.rng.uniform(0.34, 0.5)
    left = end - barb * (along + spread * side)
    right = end - barb * (along - spread * side)
    if closed:
        hand.polyline([end, left, right, end, (left + right) / 2])
    elif hand.rng.random() < 0.5:
        hand.polyline([left, end, right])
    else:
        hand.line(end, left, sure=0.2)
        hand.line(end, right, sure=0.2)


def draw_dimension(
    hand: Hand,
    a: ArrayLike,
    b: ArrayLike,
    text: str,
    *,
    direction: float,
    offset: float,
    height: float = 4.2,
) -> FloatArray:
    """Draw a dimension line between two points with its number.

    Parameters
    ----------
    a, b : array_like, shape (2,)
        Points that it measures between, in mm.
    text : str
        The number to write on it.
    direction : float
        Direction of the dimension line in degrees, counter-clockwise as seen.
    offset : float
        Distance in mm from `a` to the dimension line, to its left.
    height : float
        Height of the lettering in mm.

    Returns
    -------
    ndarray, shape (4, 2)
        Corners of the written number.
    """
    start, end = np.asarray(a, float), np.asarray(b, float)
    along = unit_vector(direction)
    aside = unit_vector(direction + 90)
    foot = start + aside * offset
    other = foot + along * float((end - start) @ along)
    if other @ along < foot @ along:
        foot, other = other, foot
        start, end = end, start
    for joint, mark in ((start, foot), (end, other)):
        reach = mark - joint
        length = float(np.hypot(*reach))
        # Short extension lines leave room for what hangs at the joint; where
        # the joint is far away the line goes all the way to it.
        begin = length - 9.0 if 12.0 < length < 45.0 else 2.5
        if length > 4:
            hand.line(joint + reach / length * begin, mark + reach / length * 1.8, sure=0.4)
    barb = max(2.2, 2.4 * hand.pen.width)
    draw_arrow(hand, (foot + other) / 2, other, barb=barb)
    draw_arrow(hand, (foot + other) / 2, foot, barb=barb)
    wide = text_width(text, height)
    at = (foot + other) / 2 - along * wide / 2 + aside * (1.0 + 0.7 * hand.pen.width)
    return hand.write(text, at, height, angle=direction)


def draw_slope(
    hand: Hand, at: ArrayLike, run: int, rise: int, *, size: float = 10.0, height: float = 3.4
) -> list[FloatArray]:
    """Draw a slope triangle with its run and rise; `run` < 0 leans the other way.

    Returns the corners of the two numbers.
    """
    corner = np.asarray(at, float)
    flat = np.array([np.sign(run) * size, 0.0])
    up = np.array([0.0, -size * abs(rise / run)])
    hand.polyline([corner, corner + flat, corner + flat + up, corner])
    below = corner + flat / 2 + [-height * 0.4, height + 1.2]
    beside = corner + flat + up / 2 + [1.2 if run > 0 else -height, height * 0.4]
    return [
        hand.write(str(abs(run)), below, height),
        hand.write(str(abs(rise)), beside, height),
    ]
