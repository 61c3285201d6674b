"""What may be drawn beside what was read: joints, members, supports and loads seen faintly."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from vision.crossing import cross
from vision.evidence import chances, logit
from vision.graph import Graph
from vision.joints import peaks, value_near
from vision.loads import FoundLoad
from vision.maps import Maps
from vision.mechanisms import find_looseness
from vision.members import between, pair_evidence
from vision.passes import carry
from vision.supports import direction_near

__all__ = ["MaybeJoint", "MaybeLoad", "MaybeSupport", "Overlooked", "find_overlooked"]

Pair = tuple[int, int]
Points = NDArray[np.float64]

#: Heat from which on a peak is looked at, and cells within which it belongs to a joint or a line.
FAINT_JOINT, SAME_JOINT, ON_LINE = 0.08, 5.0, 3.0
#: Evidence from which on a line runs from a faint joint to another one, or may be a member.
LINE_LEVEL, FAINT_LINE = 0.3, 0.06
#: Cosine from which on two members count as parallel.
PARALLEL = 0.97
#: Share of its way below which a line is close beside others nearly all along.
OWN_WAY = 0.3
#: Logit of the heat of no joint at all.
SURELY = 4.6
#: How near to 0 and 1 heats are taken to come.
RIM = 0.01
#: Chance below which nothing is worth a word.
UNLIKELY = 0.05

# Logistic weights, fitted on rendered pictures; the constant comes first.
#: Of a joint beside the members: logits of its heat and of a crossing's, heat of members and of
#: writing, lines that end there, logarithm of its distance from the nearest joint in members.
JOINT_WEIGHTS = np.array([-1.43, 1.06, 0.25, 0.84, 0.57, 0.66, 0.72])
#: Of a joint where two members cross: logits of its heat, of a crossing's and of a load's.
CROSSING_WEIGHTS = np.array([-1.11, 0.96, -0.84, 0.11])
#: Of a joint that divides a member: logit of its heat, logarithms of the member's length in
#: those of all and of its parallels, and of the number of joints.
DIVIDED_WEIGHTS = np.array([-3.37, 1.07, 0.57, 1.40, 0.86])
#: Of a member: logit of its evidence, joints on its way and logit of the least sure one's heat,
#: whether nearly all its way is others', whether it would stop a mechanism, members that it
#: crosses, logarithms of its length in those of all and of the number of joints.
MEMBER_WEIGHTS = np.array([7.32, 0.60, -8.07, -1.47, 0.46, 2.01, -0.79, -0.93, -0.94])
#: Of a support: logits of its heat and of a reaction's.
SUPPORT_WEIGHTS = np.array([1.32, 2.98, -0.97])
#: Of a load: logits of its heat and of an arrow's head, whether a stroke is there, and a support,
#: logarithm of the number of joints.
LOAD_WEIGHTS = np.array([0.60, 0.34, 0.89, 1.45, -1.70, -0.48])


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
    arrows: Sequence[FoundLoad],
) -> Overlooked:
    """Look for what the maps show too faintly to be read.

    Parameters
    ----------
    maps : Maps
    graph : Graph
        The truss that was read, in pixels of the picture that the maps show.
    held : collection of int
        Joints that have a support.
    arrows : sequence of FoundLoad
        Those that were read, and those that are less likely than not.
    """
    to_map = np.asarray(np.linalg.inv(maps.to_picture), dtype=np.float64)
    at = carry(to_map, graph.at)
    joints = [
        *_beside(maps, at, graph.members),
        *_at_crossings(maps, at, graph.members),
        *_dividing(maps, at, graph.members),
    ]
    return Overlooked(
        tuple(sorted(joints, key=lambda joint: -joint.chance)),
        _members(maps, at, graph),
        _supports(maps, at, held),
        _loads(maps, at, held, arrows),
    )


def _beside(maps: Maps, at: Points, members: Sequence[Pair]) -> list[MaybeJoint]:
    """Peaks of the joint map on no member."""
    places, _ = peaks(maps["joint"], floor=FAINT_JOINT)
    near = _distances(places, at).min(axis=1, initial=np.inf)
    aside = _off(places, at, members).min(axis=1, initial=np.inf)
    places = places[(near > SAME_JOINT) & (aside >= ON_LINE)]
    if not len(places):
        return []
    score = pair_evidence(maps, np.concatenate([at, places])).score[len(at) :, : len(at)]
    chances = _chances(JOINT_WEIGHTS, _beside_evidence(maps, at, members, places, score))
    return [
        MaybeJoint(_pixel(maps, place), chance, (), tuple(np.flatnonzero(row > LINE_LEVEL)))
        for place, chance, row in zip(places, chances, score, strict=True)
        if chance >= UNLIKELY
    ]


def _beside_evidence(
    maps: Maps, at: Points, members: Sequence[Pair], places: Points, score: NDArray[np.float64]
) -> NDArray[np.float64]:
    near = _distances(places, at).min(axis=1, initial=np.inf)
    return np.column_stack(
        [
            _logit(value_near(maps["joint"], places, 2)),
            _logit(value_near(maps["crossing"], places, 2)),
            value_near(maps["member"], places, 2),
            value_near(maps["text"], places, 3),
            np.minimum((score > LINE_LEVEL).sum(axis=1), 4),
            np.log(near / _usual_length(at, members)),
        ]
    )


def _at_crossings(maps: Maps, at: Points, members: Sequence[Pair]) -> list[MaybeJoint]:
    """Places where two members cross."""
    crossed = _crossings(at, members)
    if not crossed:
        return []
    places = np.array([place for place, _ in crossed])
    chances = _chances(CROSSING_WEIGHTS, _crossing_evidence(maps, places))
    return [
        MaybeJoint(_pixel(maps, place), chance, pairs, ())
        for (place, pairs), chance in zip(crossed, chances, strict=True)
        if chance >= UNLIKELY
    ]


def _crossing_evidence(maps: Maps, places: Points) -> NDArray[np.float64]:
    return np.column_stack(
        [_logit(value_near(maps[name], places, 2)) for name in ("joint", "crossing", "load")]
    )


def _crossings(at: Points, members: Sequence[Pair]) -> list[tuple[Points, tuple[Pair, Pair]]]:
    """Where members without a joint in common cross, away from every joint."""
    found = []
    for one, other in combinations(members, 2):
        if not cross(at, one, other):
            continue
        step, across = at[one[1]] - at[one[0]], at[other[1]] - at[other[0]]
        area = float(step[0] * across[1] - step[1] * across[0])
        gap = at[other[0]] - at[one[0]]
        share = float(gap[0] * across[1] - gap[1] * across[0]) / (area or np.inf)
        place = at[one[0]] + share * step
        if _off(place[None], at, (one, other)).max() < ON_LINE:
            found.append((place, (one, other)))
    return found


def _dividing(maps: Maps, at: Points, members: Sequence[Pair]) -> list[MaybeJoint]:
    """The warmest place on each member, crossings left out."""
    crossed = np.array([place for place, _ in _crossings(at, members)]).reshape(-1, 2)
    found = []
    for pair in members:
        places = _along(at, pair)
        places = places[_distances(places, crossed).min(axis=1, initial=np.inf) > SAME_JOINT]
        if not len(places):
            continue
        heat = value_near(maps["joint"], places, 2)
        warmest = int(np.median(np.flatnonzero(heat >= heat.max() - 1e-6)))
        evidence = _dividing_evidence(at, members, pair, float(heat.max()))
        (chance,) = _chances(DIVIDED_WEIGHTS, evidence)
        if chance >= UNLIKELY:
            found.append(MaybeJoint(_pixel(maps, places[warmest]), chance, (pair,), ()))
    return found


def _dividing_evidence(
    at: Points, members: Sequence[Pair], pair: Pair, heat: float
) -> NDArray[np.float64]:
    step = at[pair[1]] - at[pair[0]]
    length = float(np.hypot(*step))
    steps = np.array([at[b] - at[a] for a, b in members if (a, b) != pair]).reshape(-1, 2)
    lengths = np.hypot(steps[:, 0], steps[:, 1])
    parallel = lengths[np.abs(steps @ step) > PARALLEL * lengths * length]
    usual = float(np.median(parallel)) if len(parallel) else length
    ratios = np.log([length / _usual_length(at, members), length / usual, len(at)])
    return np.array([[float(_logit(heat)), *ratios]])


def _along(at: Points, pair: Pair) -> Points:
    """Places a cell apart along a member, away from its ends."""
    step = at[pair[1]] - at[pair[0]]
    length = float(np.hypot(*step))
    cells = np.arange(SAME_JOINT, length - SAME_JOINT)
    places: Points = at[pair[0]] + cells[:, None] * step / max(length, 1e-9)
    return places


def _members(maps: Maps, at: Points, graph: Graph) -> tuple[tuple[int, int, float], ...]:
    """Lines with ink that were not read."""
    pairs, evidence = _unread(maps, at, graph)
    if not pairs:
        return ()
    found = [
        (*pair, chance)
        for pair, chance in zip(pairs, _chances(MEMBER_WEIGHTS, evidence), strict=True)
        if chance >= UNLIKELY
    ]
    return tuple(sorted(found, key=lambda member: -member[2]))


def _unread(maps: Maps, at: Points, graph: Graph) -> tuple[list[Pair], NDArray[np.float64]]:
    """Pairs of joints with ink between them that are no members, and what speaks for each."""
    score = np.triu(pair_evidence(maps, at).score, 1)
    read = {(min(pair), max(pair)) for pair in graph.members}
    pairs = [(int(a), int(b)) for a, b in np.argwhere(score >= FAINT_LINE)]
    pairs = [pair for pair in pairs if pair not in read]
    loose = find_looseness(at, graph.members, ())
    usual = _usual_length(at, graph.members)
    heat = _logit(graph.joint_confidence)
    evidence = []
    for a, b in pairs:
        way = at[a] + np.linspace(0.12, 0.88, 24)[:, None] * (at[b] - at[a])
        own = _off(way, at, graph.members).min(axis=1, initial=np.inf) >= ON_LINE
        on_way = between(at, a, b)
        evidence.append(
            [
                float(_logit(score[a, b])),
                min(len(on_way), 2),
                float(heat[on_way].min(initial=SURELY)),
                np.mean(own) < OWN_WAY,
                loose.mechanisms > 0 and loose.stopped_by(at, a, b),
                min(sum(cross(at, (a, b), pair) for pair in graph.members), 3),
                float(np.log(max(np.hypot(*(at[a] - at[b])), 1.0) / usual)),
                float(np.log(len(at))),
            ]
        )
    return pairs, np.array(evidence, dtype=np.float64)


def _supports(maps: Maps, at: Points, held: Collection[int]) -> tuple[MaybeSupport, ...]:
    pin, roller, reaction = (value_near(maps[c], at, 4) for c in ("pin", "roller", "reaction"))
    evidence = np.column_stack([_logit(np.maximum(pin, roller)), _logit(reaction)])
    found = []
    for joint, chance in enumerate(_chances(SUPPORT_WEIGHTS, evidence)):
        if joint in held:
            continue
        kind = "pin" if pin[joint] >= roller[joint] else "roller"
        angle = direction_near(maps["support_cos"], maps["support_sin"], maps[kind], at[joint])
        found.append(MaybeSupport(joint, kind, angle, chance))
    return tuple(sorted(found, key=lambda support: -support.chance))


def _loads(
    maps: Maps, at: Points, held: Collection[int], arrows: Sequence[FoundLoad]
) -> tuple[MaybeLoad, ...]:
    """Joints without a read arrow that are warm, or have a stroke that may be one."""
    taken = {arrow.joint for arrow in arrows if arrow.is_read}
    stroke = {arrow.joint: arrow for arrow in arrows if not arrow.is_read}
    found = []
    evidence = _load_evidence(maps, at, held, stroke)
    for joint, chance in enumerate(_chances(LOAD_WEIGHTS, evidence)):
        if joint in taken or chance < UNLIKELY:
            continue
        acts = (
            stroke[joint].direction_deg
            if joint in stroke
            else direction_near(maps["load_cos"], maps["load_sin"], maps["load"], at[joint])
        )
        found.append(MaybeLoad(joint, (acts, acts + 180.0), chance))
    return tuple(sorted(found, key=lambda load: -load.chance))


def _load_evidence(
    maps: Maps, at: Points, held: Collection[int], stroke: Collection[int]
) -> NDArray[np.float64]:
    return np.column_stack(
        [
            _logit(value_near(maps["load"], at, 4)),
            _logit(value_near(maps["load_head"], at, 6)),
            [joint in stroke for joint in range(len(at))],
            [joint in held for joint in range(len(at))],
            np.full(len(at), np.log(len(at))),
        ]
    )


def _off(places: Points, at: Points, members: Sequence[Pair]) -> NDArray[np.float64]:
    """Cells between places (n, 2) and members' lines, shape (n, m); infinite beside their ends."""
    ends = np.array(members, dtype=np.intp).reshape(-1, 2)
    start, step = at[ends[:, 0]], at[ends[:, 1]] - at[ends[:, 0]]
    length = np.maximum(np.hypot(step[:, 0], step[:, 1]), 1e-9)
    offset = places[:, None] - start[None]
    along = (offset * step).sum(axis=2) / length
    aside = np.abs(step[:, 0] * offset[..., 1] - step[:, 1] * offset[..., 0]) / length
    beside = (along > SAME_JOINT) & (along < length - SAME_JOINT)
    return np.where(beside, aside, np.inf)


def _usual_length(at: Points, members: Sequence[Pair]) -> float:
    return float(np.median([np.hypot(*(at[a] - at[b])) for a, b in members])) if members else 1.0


def _distances(places: Points, others: Points) -> NDArray[np.float64]:
    """Distances between places (n, 2) and others (m, 2), shape (n, m)."""
    return np.asarray(np.hypot(*np.moveaxis(places[:, None] - others[None], 2, 0)))


def _pixel(maps: Maps, place: Points) -> Points:
    pixel: Points = carry(maps.to_picture, place[None])[0]
    return pixel


def _chances(weights: NDArray[np.float64], evidence: NDArray[np.float64]) -> list[float]:
    return [float(chance) for chance in chances(weights[0] + evidence @ weights[1:])]


def _logit(share: NDArray[np.float64] | float) -> NDArray[np.float64]:
    return logit(share, RIM)
