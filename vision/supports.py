"""Supports from their maps: which joint, pin or roller, and which way they push."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.joints import value_near
from vision.maps import FloatMap, Maps
from vision.passes import carry
from vision.symbols import find_rings

__all__ = ["FoundSupport", "direction_near", "find_supports", "supported"]

BoolMap = NDArray[np.bool_]

#: Heat above which a joint counts as supported.
SUPPORT_LEVEL = 0.3
#: Log-odds of a roller: constant, difference of the logits of both heats, a ring beyond the
#: joint. Fitted on rendered pictures.
KIND_ODDS = np.array([-0.74, 2.4, 1.34])


@dataclass(frozen=True)
class FoundSupport:
    """A support at joint `joint`, and how sure its place and its kind are together."""

    joint: int
    kind: str
    angle_deg: float
    evidence: float


def supported(maps: Maps, at: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Tell which joints (n, 2), as column and row, a support was seen at."""
    heat = np.maximum(maps["pin"], maps["roller"])
    warm = value_near(heat, at, 4) >= SUPPORT_LEVEL
    return np.array([seen and _nearest(heat, at, k) for k, seen in enumerate(warm)], dtype=bool)


def find_supports(maps: Maps, at: NDArray[np.float64], ink: BoolMap) -> list[FoundSupport]:
    """Read the kind and direction of the support at each joint that has one.

    Rings drawn in the ink on the far side of the joint speak for a roller.

    Parameters
    ----------
    maps : Maps
    at : ndarray, shape (n, 2)
        Joints as column and row.
    ink : ndarray of bool
        Ink of the picture that the maps show.
    """
    joints = np.flatnonzero(supported(maps, at))
    if not len(joints):
        return []
    pin, roller = value_near(maps["pin"], at, 4), value_near(maps["roller"], at, 4)
    pixels = carry(maps.to_picture, at)
    span = float(np.hypot(*np.ptp(pixels, axis=0)))
    rings = find_rings(ink, largest=0.1 * span)
    found = []
    for joint in joints:
        heat = maps["pin" if pin[joint] >= roller[joint] else "roller"]
        angle = direction_near(maps["support_cos"], maps["support_sin"], heat, at[joint])
        ring = _ring_beyond(rings, pixels[joint], angle, span)
        odds = KIND_ODDS @ [1.0, _logit(roller[joint]) - _logit(pin[joint]), float(ring)]
        chance = 1.0 / (1.0 + float(np.exp(-abs(odds))))
        place = float(max(pin[joint], roller[joint]))
        kind = "roller" if odds > 0 else "pin"
        found.append(FoundSupport(int(joint), kind, angle, place * chance))
    return found


def _ring_beyond(
    rings: NDArray[np.float64], joint: NDArray[np.float64], angle_deg: float, span: float
) -> bool:
    """Tell whether a ring lies where a support that pushes this way would have its roller."""
    offset = rings[:, :2] - joint
    distance = np.hypot(offset[:, 0], offset[:, 1])
    away = offset @ np.array([-np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))])
    near = (distance > 0.02 * span) & (distance < 0.17 * span)
    return bool((near & (away > 0.6 * distance) & (rings[:, 2] < 0.6 * distance)).any())


def _logit(share: float) -> float:
    clipped = min(max(float(share), 0.02), 0.98)
    return float(np.log(clipped / (1.0 - clipped)))


def _nearest(heat: FloatMap, at: NDArray[np.float64], joint: int) -> bool:
    """Tell whether the top of the support's heat near a joint is not nearer to another one."""
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
