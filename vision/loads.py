"""Loads from their maps: which joint, and which way the arrow acts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.joints import peaks, value_near
from vision.maps import Maps
from vision.supports import direction_near

__all__ = ["FoundLoad", "find_loads"]

#: Heat above which a joint counts as loaded, and an arrow's end as seen.
LOAD_LEVEL = 0.4
END_LEVEL = 0.35


@dataclass(frozen=True)
class FoundLoad:
    """An arrow at joint `joint`; `reaction` is the heat for its being a reaction."""

    joint: int
    direction_deg: float
    confidence: float
    reaction: float


def find_loads(maps: Maps, at: NDArray[np.float64]) -> list[FoundLoad]:
    """Read the arrows at each joint that carries a load or a drawn reaction.

    The maps' own direction tells roughly which way; where the head and the
    tail of an arrow are seen on that line, the direction is taken from them.

    Parameters
    ----------
    maps : Maps
    at : ndarray, shape (n, 2)
        Joints as column and row.
    """
    if not len(at):
        return []
    heat, reaction = value_near(maps["load"], at, 3), value_near(maps["reaction"], at, 3)
    heads, _ = peaks(maps["load_head"], floor=END_LEVEL)
    tails, _ = peaks(maps["load_tail"], floor=END_LEVEL)
    found = []
    for joint in np.flatnonzero(np.maximum(heat, reaction) >= LOAD_LEVEL):
        place = at[joint]
        weight = np.maximum(maps["load"], maps["reaction"])
        rough = direction_near(maps["load_cos"], maps["load_sin"], weight, place)
        direction = _from_ends(place, rough, heads, tails)
        found.append(FoundLoad(int(joint), direction, float(heat[joint]), float(reaction[joint])))
    return found


def _from_ends(
    place: NDArray[np.float64],
    rough_deg: float,
    heads: NDArray[np.float64],
    tails: NDArray[np.float64],
) -> float:
    """Direction of the arrow whose far end, and near end where seen, lie as the map says."""
    rough = np.array([np.cos(np.radians(rough_deg)), -np.sin(np.radians(rough_deg))])
    best, best_fit = rough_deg, 0.9
    for head in heads:
        for tail in tails:
            step = head - tail
            length = float(np.hypot(*step))
            if length < 5:
                continue
            near_end = min(float(np.hypot(*(head - place))), float(np.hypot(*(tail - place))))
            aside = abs(float(step[0] * (place - tail)[1] - step[1] * (place - tail)[0])) / length
            fit = float(rough @ step) / length - 0.01 * aside
            if near_end < max(4.0, 0.6 * length) and aside < 4.0 and fit > best_fit:
                best, best_fit = float(np.degrees(np.arctan2(-step[1], step[0]))), fit
    return best
