"""What may be drawn beside what was read: joints, supports and loads that the maps show faintly."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from vision.graph import Graph
from vision.joints import peaks, value_near
from vision.loads import FoundLoad
from vision.maps import Maps
from vision.members import between, pair_evidence
from vision.passes import carry
from vision.supports import direction_near

__all__ = ["MaybeJoint", "MaybeLoad", "MaybeSupport", "Overlooked", "find_overlooked"]

Pair = tuple[int, int]
Points = NDArray[np.float64]

#: Heat from which on a peak is looked at, and cells within which it belongs to a joint or a line.
FAINT_JOINT, SAME_JOINT, ON_LINE = 0.12, 5.0, 3.0
#: Evidence from which on a line runs from a faint joint to another one.
LINE_LEVEL = 0.3
#: Evidence from which on a line that was not read, close beside others, is probable, and how.
BESIDE_LEVEL, BESIDE_CHANCE = 0.6, 0.6
#: Logistic weights, fitted on rendered pictures. Of a joint: constant, logit of its heat and of
#: a crossing's, heat of members, lines that end there, whether it lies on a member, writing.
JOINT_WEIGHTS = np.array([-5.88, 1.36, -0.35, 2.11, 0.97, -1.06, -0.33])
#: Of a support: constant, logits of its heat and of a reaction's.
SUPPORT_WEIGHTS = np.array([1.32, 2.98, -0.97])


@dataclass(frozen=True)
class MaybeJoint:
    """A place that may be a joint.

    Attributes
    ----------
    at : ndarray, shape (2,)
        In pixels of the picture that the maps show.
    chance : float
        Probability that there is one.
    on : tuple of (int, int)
        Members that it lies on.
    ends : tuple of int
        Joints from which a line leads there, where it lies on no member.
    """

    at: Points
    chance: float
    on: tuple[Pair, ...]
    ends: tuple[int, ...]


@dataclass(frozen=True)
class MaybeSupport:
    """A support that joint `joint` may have, and how probably."""

    joint: int
    kind: str
    angle_deg: float
    chance: float


@dataclass(frozen=True)
class MaybeLoad:
    """A load that joint `joint` may carry, and how probably.

    `directions_deg` are those in which it may act, the likelier first.
    """

    joint: int
    directions_deg: tuple[float, ...]
    chance: float


@dataclass(frozen=True)
class Overlooked:
    """All that may have been overlooked in one truss, the most probable first.

    Members are given by their joints and how probable they are.
    """

    joints: tuple[MaybeJoint, ...] = ()
    members: tuple[tuple[int, int, float], ...] = ()
    supports: tuple[MaybeSupport, ...] = ()
    loads: tuple[MaybeLoad, ...] = ()


def find_overlooked(
    maps: Maps,
    graph: Graph,
    held: Collection[int],
    unsure: Sequence[FoundLoad],
) -> Overlooked:
    """Look for what the maps show too faintly to be read.

    Parameters
    ----------
    maps : Maps
    graph : Graph
        The truss that was read, in pixels of the picture that the maps show.
    held : collection of int
        Joints that have a support.
    unsure : sequence of FoundLoad
        Arrows that are less likely than not.
    """
    to_map = np.asarray(np.linalg.inv(maps.to_picture), dtype=np.float64)
    at = carry(to_map, graph.at)
    return Overlooked(
        _joints(maps, at, graph.members),
        _members(maps, at, graph.members),
        _supports(maps, at, held),
        tuple(
            MaybeLoad(arrow.joint, (arrow.direction_deg, arrow.direction_deg + 180.0), arrow.chance)
            for arrow in sorted(unsure, key=lambda arrow: -arrow.chance)
        ),
    )


def _joints(maps: Maps, at: Points, members: tuple[Pair, ...]) -> tuple[MaybeJoint, ...]:
    places, heat = peaks(maps["joint"], floor=FAINT_JOINT)
    low, high = at.min(axis=0) - SAME_JOINT, at.max(axis=0) + SAME_JOINT
    near = np.hypot(*np.moveaxis(places[:, None] - at[None], 2, 0)).min(axis=1, initial=np.inf)
    kept = (near > SAME_JOINT) & ((places > low) & (places < high)).all(axis=1)
    places, heat = places[kept], heat[kept]
    if not len(places):
        return ()
    crossing, member, text = (
        value_near(maps[name], places, radius)
        for name, radius in (("crossing", 2), ("member", 2), ("text", 3))
    )
    evidence = pair_evidence(maps, np.concatenate([at, places])).score[len(at) :, : len(at)]
    found = []
    for k, place in enumerate(places):
        on = tuple(pair for pair in members if _distance(place, at, pair) < ON_LINE)
        ends = tuple(int(joint) for joint in np.flatnonzero(evidence[k] > LINE_LEVEL))
        features = [
            *(1.0, _logit(heat[k]), _logit(crossing[k]), member[k]),
            *(min(len(ends), 4), bool(on), text[k]),
        ]
        chance = _chance(JOINT_WEIGHTS, features)
        pixel = carry(maps.to_picture, place[None])[0]
        found.append(MaybeJoint(pixel, chance, _crossed(at, on), () if on else ends))
    return tuple(sorted(found, key=lambda joint: -joint.chance))


def _members(
    maps: Maps, at: Points, members: tuple[Pair, ...]
) -> tuple[tuple[int, int, float], ...]:
    """Lines full of ink that were taken for parts of their neighbours."""
    score = np.triu(pair_evidence(maps, at).score, 1)
    read = {(min(pair), max(pair)) for pair in members}
    pairs = [(int(a), int(b)) for a, b in np.argwhere(score >= BESIDE_LEVEL)]
    return tuple(
        (a, b, BESIDE_CHANCE)
        for a, b in sorted(pairs, key=lambda pair: -float(score[pair]))
        if (a, b) not in read and not len(between(at, a, b))
    )


def _crossed(at: Points, on: tuple[Pair, ...]) -> tuple[Pair, ...]:
    """Of the members near a place, two that cross there without a joint in common, or one."""
    for one, other in combinations(on, 2):
        if not set(one) & set(other):
            return one, other
    return on[:1]


def _supports(maps: Maps, at: Points, held: Collection[int]) -> tuple[MaybeSupport, ...]:
    pin, roller, reaction = (value_near(maps[c], at, 4) for c in ("pin", "roller", "reaction"))
    found = []
    for joint in range(len(at)):
        if joint in held:
            continue
        kind = "pin" if pin[joint] >= roller[joint] else "roller"
        heat = max(pin[joint], roller[joint])
        chance = _chance(SUPPORT_WEIGHTS, [1.0, _logit(heat), _logit(reaction[joint])])
        angle = direction_near(maps["support_cos"], maps["support_sin"], maps[kind], at[joint])
        found.append(MaybeSupport(joint, kind, angle, chance))
    return tuple(sorted(found, key=lambda support: -support.chance))


def _distance(place: Points, at: Points, pair: Pair) -> float:
    """Cells between a place and a member's line; infinite beside its ends."""
    start, step = at[pair[0]], at[pair[1]] - at[pair[0]]
    length = max(float(np.hypot(*step)), 1e-9)
    offset = place - start
    along = float(offset @ step) / length
    if not SAME_JOINT < along < length - SAME_JOINT:
        return float("inf")
    return abs(float(step[0] * offset[1] - step[1] * offset[0])) / length


def _chance(weights: NDArray[np.float64], features: list[float]) -> float:
    return 1.0 / (1.0 + float(np.exp(-weights @ np.array(features, dtype=np.float64))))


def _logit(share: float) -> float:
    clipped = min(max(float(share), 0.01), 0.99)
    return float(np.log(clipped / (1.0 - clipped)))
