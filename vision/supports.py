"""Supports from their maps: which joint, pin or roller, and which way they push."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.joints import value_near
from vision.maps import FloatMap, Maps

__all__ = ["FoundSupport", "direction_near", "find_supports"]

#: Heat above which a joint counts as supported.
SUPPORT_LEVEL = 0.3


@dataclass(frozen=True)
class FoundSupport:
    """A support at joint `joint`; `rival` is the heat of the other kind."""

    joint: int
    kind: str
    angle_deg: float
    confidence: float
    rival: float


def find_supports(maps: Maps, at: NDArray[np.float64]) -> list[FoundSupport]:
    """Read the kind and direction of the support at each joint that has one.

    Parameters
    ----------
    maps : Maps
    at : ndarray, shape (n, 2)
        Joints as column and row.
    """
    if not len(at):
        return []
    pin, roller = value_near(maps["pin"], at, 4), value_near(maps["roller"], at, 4)
    found = []
    for joint in np.flatnonzero(np.maximum(pin, roller) >= SUPPORT_LEVEL):
        if not _nearest(maps, at, int(joint)):
            continue
        kind = "pin" if pin[joint] >= roller[joint] else "roller"
        angle = direction_near(maps["support_cos"], maps["support_sin"], maps[kind], at[joint])
        best, rival = max(pin[joint], roller[joint]), min(pin[joint], roller[joint])
        found.append(FoundSupport(int(joint), kind, angle, float(best), float(rival)))
    return found


def _nearest(maps: Maps, at: NDArray[np.float64], joint: int) -> bool:
    """Tell whether the top of the support's heat near a joint is not nearer to another one."""
    heat = np.maximum(maps["pin"], maps["roller"])
    top = _top_near(heat, at[joint], 4)
    distances = np.hypot(*(at - top).T)
    return bool(distances[joint] <= distances.min() + 1e-9)


def _top_near(heat: FloatMap, place: NDArray[np.float64], radius: int) -> NDArray[np.float64]:
    low_row, low_column = (max(round(float(v)) - radius, 0) for v in place[::-1])
    window = heat[low_row : low_row + 2 * radius + 1, low_column : low_column + 2 * radius + 1]
    if window.size == 0:
        return place
    row, column = np.unravel_index(int(np.argmax(window)), window.shape)
    return np.array([low_column + column, low_row + row], dtype=np.float64)


def direction_near(
    cosine: FloatMap, sine: FloatMap, heat: FloatMap, place: NDArray[np.float64], radius: int = 4
) -> float:
    """Mean direction in degrees around a place, weighted by a heat map."""
    low_row, low_column = (max(round(float(v)) - radius, 0) for v in place[::-1])
    window = np.s_[low_row : low_row + 2 * radius + 1, low_column : low_column + 2 * radius + 1]
    weight = heat[window]
    x, y = float((cosine[window] * weight).sum()), float((sine[window] * weight).sum())
    return float(np.degrees(np.arctan2(y, x)))
