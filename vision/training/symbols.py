"""Supports and arrows as people draw them."""

from __future__ import annotations

import numpy as np

from vision.training.hand import Hand, Points, Sheet, hatch

__all__ = ["PIN_FORMS", "ROLLER_FORMS", "draw_arrow", "draw_support", "draw_wall"]

Rng = np.random.Generator

PIN_FORMS = (
    "triangle",
    "triangle_hatched",
    "triangle_filled",
    "lambda",
    "block",
    "plate",
    "ringed",
)
ROLLER_FORMS = (
    "wheels",
    "wheels_hatched",
    "circle",
    "circle_hatched",
    "gap",
    "ringed_wheels",
    "rocker",
)


def draw_support(
    rng: Rng, hand: Hand, sheet: Sheet, joint: Points, push: Points, size: float, form: str,
    wall: bool = True,
) -> None:  # fmt: skip
    """Draw a support at a joint.

    Parameters
    ----------
    joint : ndarray, shape (2,)
    push : ndarray, shape (2,)
        Unit vector in which the support pushes on the truss, y down.
    size : float
        Height of the symbol in pixels.
    form : str
        One of `PIN_FORMS` or `ROLLER_FORMS`.
    wall : bool
        Whether the ground under it is drawn here.
    """
    side = np.array([-push[1], push[0]])
    shake = size * rng.uniform(0.0, 0.06)

    def spot(across: float, down: float) -> Points:
        return joint + side * across * size - push * down * size + rng.normal(0, shake, 2)

    def ground(down: float, half: float, hatched: bool) -> None:
        if not wall:
            return
        a, b = spot(-half, down), spot(half, down)
        hand.line(rng, sheet, a, b)
        if hatched:
            hatch(rng, hand, sheet, a, b, -push, size * rng.uniform(0.2, 0.4))

    half = rng.uniform(0.4, 0.75)
    wide = half + rng.uniform(0.1, 0.5)
    if form in ("circle", "circle_hatched"):
        r = rng.uniform(0.22, 0.42)
        hand.circle(rng, sheet, spot(0, r), r * size)
        if form == "circle_hatched" or rng.random() < 0.75:
            ground(2 * r + rng.uniform(0, 0.05), wide, form == "circle_hatched")
        return
    if form == "plate":
        ground(0.0 if rng.random() < 0.5 else 0.1, wide, True)
        return
    if form == "block":
        box = np.array([spot(-half, 0.15), spot(-half, 0.8), spot(half, 0.8), spot(half, 0.15)])
        hand.chain(rng, sheet, np.vstack([box, box[:1]]))
        hand.circle(rng, sheet, joint, 0.14 * size)
        ground(0.82, wide, rng.random() < 0.6)
        return
    top = 0.0
    if form in ("ringed", "ringed_wheels"):
        hand.circle(rng, sheet, joint, rng.uniform(0.1, 0.18) * size)
        top = 0.14
    low = rng.uniform(0.7, 1.0)
    if not wall:  # which is a symbol's height away: only a roller keeps off it
        low = 1.0 - rng.uniform(0.15, 0.3) if form == "gap" else 1.0 if form in PIN_FORMS else low
    feet = np.array([spot(-half, low), spot(half, low)])
    apex = joint - push * top * size + rng.normal(0, shake * 0.5, 2)
    if form == "triangle_filled":
        sheet.fill(np.vstack([apex, feet]), hand.dark * rng.uniform(0.6, 1))
    hand.line(rng, sheet, apex, feet[0], 0.6)
    hand.line(rng, sheet, apex, feet[1], 0.6)
    if form == "rocker":
        hand.circle(rng, sheet, spot(0, low * 0.35), low * 0.75 * size, start=_angle(-push) - 0.75,
                    sweep=1.5)  # fmt: skip
        ground(low * 1.12, wide, rng.random() < 0.5)
        return
    if form != "lambda":
        hand.line(rng, sheet, feet[0], feet[1], 0.6)
    if form in ("wheels", "wheels_hatched", "ringed_wheels"):
        r = rng.uniform(0.08, 0.2)
        uneven = rng.uniform(0, 0.3) if rng.random() < 0.4 else 0.0
        for across in np.linspace(-half + r, half - r, int(rng.choice([2, 2, 3, 4]))):
            own = r * (1 + uneven * rng.normal())
            hand.circle(rng, sheet, spot(across + uneven * r, low + own), max(0.05, own) * size)
        if form == "wheels_hatched" or rng.random() < 0.6:
            ground(low + 2.1 * r, wide, form == "wheels_hatched")
    elif form == "gap":
        gap = rng.uniform(0.12, 0.3)
        ground(low + gap, wide, rng.random() < 0.5)
        if not wall or rng.random() < 0.1:
            hand.line(rng, sheet, spot(-half, low + gap), spot(half, low + gap))
    elif form == "lambda":
        ground(low, wide, True)
        if not wall:
            hand.line(rng, sheet, feet[0], feet[1], 0.6)
    elif form == "triangle_hatched":
        if rng.random() < 0.5:
            hatch(rng, hand, sheet, feet[0], feet[1], -push, size * rng.uniform(0.2, 0.4))
        else:
            ground(low, wide, True)
    elif rng.random() < 0.3:
        ground(low + rng.uniform(0, 0.03), wide, rng.random() < 0.5)


def draw_wall(
    rng: Rng, hand: Hand, sheet: Sheet, places: Points, push: Points, off: float, spare: float
) -> None:
    """Draw one hatched wall behind supports that push the same way, `off` pixels behind them."""
    side = np.array([-push[1], push[0]])
    along = places @ side
    middle = places.mean(axis=0)
    base = middle - push * off - side * (middle @ side)
    a, b = base + side * (along.min() - spare), base + side * (along.max() + spare)
    hand.line(rng, sheet, a, b)
    hatch(rng, hand, sheet, a, b, -push, spare * rng.uniform(0.25, 0.5))


def draw_arrow(
    rng: Rng, hand: Hand, sheet: Sheet, tail: Points, head: Points, size: float, form: str,
    weight: float = 1.0,
) -> None:  # fmt: skip
    """Draw an arrow with a head of one of the forms vee, filled, open, half, hook."""
    way = (head - tail) / (np.hypot(*(head - tail)) + 1e-9)
    aside = np.array([-way[1], way[0]])
    spread = size * rng.uniform(0.3, 0.6)
    tip = head + rng.normal(0, 0.04 * size, 2)
    sloppy = 0.5 if rng.random() < 0.25 else 0.15
    left = head - (way * size - aside * spread) * rng.uniform(1 - sloppy, 1 + sloppy)
    right = head - (way * size + aside * spread) * rng.uniform(1 - sloppy, 1 + sloppy)
    tip = tip + (way * rng.normal(0, 0.2) + aside * rng.normal(0, 0.1)) * size * (sloppy > 0.3)
    hand.line(rng, sheet, tail, head - way * (size * 0.7 if form == "open" else 0), 0.3, weight)
    if form == "filled":
        sheet.fill(np.array([tip, left, right]), hand.dark)
    elif form == "open":
        hand.chain(rng, sheet, np.array([left, tip, right, left]), weight)
    elif form == "half":
        hand.line(rng, sheet, tip, left, 0.3, weight)
    elif form == "hook":
        t = np.linspace(0, 1, 6)[:, None]
        bend = left + (tip - left) * t - way * size * 0.25 * (4 * t * (1 - t))
        hand.trace(rng, sheet, bend, weight)
        hand.line(rng, sheet, tip, right, 0.3, weight)
    else:
        hand.line(rng, sheet, tip, left, 0.3, weight)
        hand.line(rng, sheet, tip, right, 0.3, weight)


def _angle(vector: Points) -> float:
    return float(np.arctan2(vector[1], vector[0]))
