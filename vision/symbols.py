"""Small drawn symbols: rings of rollers and joints, arrows of loads."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["Arrow", "arrow_sense", "find_arrow", "find_rings"]

BoolMap = NDArray[np.bool_]
Point = NDArray[np.float64]


@dataclass(frozen=True)
class Arrow:
    """An arrow from tail to head, in pixels (x, y)."""

    tail: Point
    head: Point

    @property
    def direction_deg(self) -> float:
        """Direction from tail to head, counter-clockwise positive as seen."""
        step = self.head - self.tail
        return float(np.degrees(np.arctan2(-step[1], step[0])))


def find_rings(ink: BoolMap, *, largest: float) -> NDArray[np.float64]:
    """Find small closed round outlines.

    A ring is a hole in the ink that fills a circle of its own breadth.

    Parameters
    ----------
    ink : ndarray of bool, shape (rows, columns)
    largest : float
        Largest diameter in pixels.

    Returns
    -------
    ndarray, shape (n, 3)
        Centre x, y and radius of each hole.
    """
    _count, _, stats, centres = cv2.connectedComponentsWithStats(
        np.logical_not(ink).astype(np.uint8), connectivity=4
    )
    width, height = stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT]
    area = stats[:, cv2.CC_STAT_AREA]
    round_ones = (
        (np.maximum(width, height) <= largest)
        & (np.minimum(width, height) >= 3)
        & (np.minimum(width, height) > 0.6 * np.maximum(width, height))
        & (area > 0.62 * width * height)
    )
    return np.column_stack([centres, np.sqrt(area / np.pi)])[round_ones]


def find_arrow(ink: BoolMap, near: Point, far: Point) -> Arrow | None:
    """Tell at which end of a stroke the barbs of an arrowhead lie.

    Parameters
    ----------
    ink : ndarray of bool, shape (rows, columns)
    near, far : ndarray, shape (2,)
        Ends of the stroke; `near` is the end at the joint.

    Returns
    -------
    Arrow or None
        None where neither end has barbs, or both have.
    """
    sense = arrow_sense(ink, near, far)
    if abs(sense) < 0.2:
        return None
    return Arrow(far, near) if sense > 0 else Arrow(near, far)


def arrow_sense(ink: BoolMap, near: Point, far: Point) -> float:
    """Compare the ink of barbs at both ends of a stroke.

    Returns
    -------
    float
        Near 1 for a head at `near` only, near -1 for one at `far` only, near 0
        where neither end has barbs, or both have.
    """
    length = float(np.hypot(*(near - far)))
    at_near, at_far = _barb_ink(ink, near, far, length), _barb_ink(ink, far, near, length)
    return (at_near - at_far) / (at_near + at_far + 0.12)


def _barb_ink(ink: BoolMap, tip: Point, other: Point, length: float) -> float:
    """Share of inked places in the two wedges where barbs of a head at `tip` would lie."""
    back = (other - tip) / max(length, 1e-9)
    across = np.array([-back[1], back[0]])
    shares = []
    for size in np.clip([0.18 * length, 0.35 * length], 5.0, 60.0):
        sides = []
        for side in (-1.0, 1.0):
            distances = np.linspace(0.35, 1.0, 8) * size
            angles = np.radians(np.linspace(12, 44, 9))
            rays = np.cos(angles)[:, None] * back + side * np.sin(angles)[:, None] * across
            places = tip + distances[:, None, None] * rays
            columns = np.clip(np.round(places[..., 0]).astype(int), 0, ink.shape[1] - 1)
            rows = np.clip(np.round(places[..., 1]).astype(int), 0, ink.shape[0] - 1)
            sides.append(float(ink[rows, columns].mean()))
        shares.append(min(sides))
    return max(shares)
