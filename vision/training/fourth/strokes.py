"""How a hurried hand moves: strokes as points with a pressure along them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Hand", "Points", "Stroke", "any_hand", "arc", "freehand", "ring", "rounded", "unit"]

Points = NDArray[np.float64]


@dataclass(frozen=True)
class Stroke:
    """One touch of the pen.

    Attributes
    ----------
    points : ndarray, shape (n, 2)
        In the drawing's units, y down.
    pressure : ndarray, shape (n,)
        0 (no ink) to 1.
    width : float
        Share of the pen's usual width.
    layer : int
        Index of the layer of ink (see `sketch`).
    fill : bool
        Whether the outline is filled.
    """

    points: Points
    pressure: Points
    width: float
    layer: int
    fill: bool = False


@dataclass(frozen=True)
class Hand:
    """How roughly somebody draws; lengths in thousandths of the truss, else shares."""

    tremor: float
    bow: float
    over: float
    gap: float
    miss: float
    hook: float
    again: float
    fade: float
    aim: float


def any_hand(rng: np.random.Generator) -> Hand:
    """Draw a hand at random, from brisk and firm to shaky and careless."""
    rough = rng.beta(1.5, 1.8)
    if rng.random() < 0.15:
        return _ruled(rng)
    return Hand(
        tremor=float(rng.uniform(0.2, 0.6 + 2.4 * rough)),
        bow=float(rng.uniform(0.0, 0.012 + 0.03 * rough)),
        over=float(rng.uniform(0.0, 0.06) * (0.2 + 0.8 * rough)),
        gap=float(rng.uniform(0.0, 0.06) * (0.2 + 0.8 * rough)),
        miss=float(rng.uniform(0.0, 2 + 8 * rough)),
        hook=float(rng.uniform(0, 0.5) * rough),
        again=float(rng.choice([0.0, 0.0, 0.08, 0.5, 0.9])),
        fade=float(rng.uniform(0, 0.5)),
        aim=float(rng.uniform(0, 0.02) * rough),
    )


def _ruled(rng: np.random.Generator) -> Hand:
    """A hand that draws along an edge, and is careless only about the ends."""
    over, gap, miss = rng.uniform(0, [0.05, 0.03, 5.0])
    return Hand(0.1, 0.0005, float(over), float(gap), float(miss), 0.0, 0.0, 0.2, 0.0)


def unit(vector: Points) -> Points:
    """Return a vector at length one."""
    scaled: Points = vector / max(float(np.hypot(vector[0], vector[1])), 1e-9)
    return scaled


def freehand(
    rng: np.random.Generator, hand: Hand, p: Points, q: Points, bow: float | None = None
) -> tuple[Points, Points]:
    """Draw from `p` to `q` in one movement.

    The pen's place along the way follows the minimum-jerk law of Flash and Hogan (1985);
    across it, the stroke bows, aims a little wrong at first and trembles.

    Parameters
    ----------
    bow : float, optional
        Greatest sideways offset as a share of the length; drawn at random if left out.

    Returns
    -------
    points : ndarray, shape (n, 2)
    pressure : ndarray, shape (n,)
    """
    along = q - p
    length = float(np.hypot(along[0], along[1]))
    if length < 1e-6:
        return np.array([p, q]), np.ones(2)
    across = np.array([-along[1], along[0]]) / length
    t = np.linspace(0, 1, int(np.clip(length / 30, 4, 18)))
    s = t**3 * (10 - 15 * t + 6 * t**2) * 0.5 + t * 0.5
    bend = rng.normal(0, hand.bow) if bow is None else bow
    wave = np.sin(2 * np.pi * (s * rng.uniform(0.5, 2.5) + rng.random()))
    side = length * (bend * 4 * s * (1 - s) + hand.aim * rng.normal() * 4 * s * (1 - s) ** 3)
    side = side + hand.tremor * (wave * s * (1 - s) * 4 + 0.5 * rng.normal(0, 1, len(t)))
    points = p + s[:, None] * along + side[:, None] * across
    pressure = 0.86 + 0.12 * np.sin(np.pi * t) + rng.normal(0, 0.04, len(t))
    trend = rng.uniform(-1, 1) * hand.fade
    pressure = pressure * (1 - np.abs(trend) * (t if trend > 0 else 1 - t))
    if rng.random() < hand.hook and length > 25:
        turn = rng.uniform(-2.8, 2.8)
        way = unit(along)
        c, n = np.cos(turn), np.sin(turn)
        back = np.array([c * way[0] - n * way[1], n * way[0] + c * way[1]])
        tail = points[-1] + back * rng.uniform(4, 12)
        points = np.vstack([points, tail])
        pressure = np.append(pressure, 0.5)
    return points, np.clip(pressure, 0.15, 1.0)


def arc(at: Points, radius: float, start: float, end: float, count: int = 14) -> Points:
    """Points on a circle from angle `start` to `end` (radians, counter-clockwise as seen)."""
    a = np.linspace(start, end, count)
    return at + radius * np.stack([np.cos(a), -np.sin(a)], axis=1)


def ring(rng: np.random.Generator, at: Points, radius: float) -> Points:
    """A hand-drawn circle: out of round, left open or run over, at times gone round twice."""
    start, turns = (
        rng.uniform(0, 6.3),
        rng.choice([5.7, 6.3, 6.5, 6.9, 12.8], p=[0.2, 0.3, 0.2, 0.2, 0.1]),
    )
    a = np.linspace(start, start + turns, 18 if turns < 7 else 32)
    dent = 0.07 * rng.normal(0, 1, 2)
    size = radius * (1 + dent[0] * np.sin(2 * a) + dent[1] * np.cos(2 * a))
    size = size * (1 + rng.normal(0, 0.1) * np.linspace(-0.5, 0.5, len(a)))
    points: Points = at + np.stack([np.cos(a), -np.sin(a)], axis=1) * size[:, None]
    return points + rng.normal(0, 0.015 * radius, points.shape)


def rounded(points: Points, times: int = 2) -> Points:
    """Cut the corners of a polyline (Chaikin 1974); its ends stay."""
    for _ in range(times):
        if len(points) < 3:
            return points
        a, b = points[:-1], points[1:]
        cut = np.stack([0.75 * a + 0.25 * b, 0.25 * a + 0.75 * b], axis=1).reshape(-1, 2)
        points = np.vstack([points[:1], cut[1:-1], points[-1:]])
    return points
