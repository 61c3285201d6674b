"""The choice of the graph: which joints and members explain the ink best."""

from __future__ import annotations

from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.evidence import logit
from vision.joints import meetings, peaks, value_near
from vision.maps import Maps
from vision.members import PairEvidence, arc, between, pair_evidence

__all__ = ["Graph", "choose_graph", "connected_pieces"]

Pair = tuple[int, int]

#: Heat below which nothing is taken for a joint.
JOINT_FLOOR = 0.15
#: Heat given to a meeting of members' lines without a peak, and how many are tried.
MEETING_HEAT = 0.12
MOST_MEETINGS = 60
#: Evidence above which a pair of joints is a member.
MEMBER_LEVEL = 0.22
#: Evidence from which on a pair is worth a doubt.
FAINT_LEVEL = 0.06
#: Share of its way that a member must have for itself.
OWN_INK = 0.3
#: Cells to either side that a member's stroke explains, times two.
BREADTH = 5
#: Costs: of a member, of a cell of unexplained ink.
MEMBER_PRICE = 0.1
WEAKNESS_PRICE = 3.0
JOINT_PRICE = 2.5
LONELY_PRICE = 20.0
INK_PRICE = 0.04
#: Heat from which on a cell asks for an explanation, and from which on it does so fully.
FAINT_INK, STRONG_INK = 0.3, 0.8


@dataclass(frozen=True)
class Graph:
    """Joints and members, in whatever plane the joints are given.

    Attributes
    ----------
    at : ndarray, shape (n, 2)
    joint_confidence : ndarray, shape (n,)
    members : tuple of (int, int)
    member_confidence : ndarray, shape (m,)
    faint : tuple of (int, int)
        Pairs with some ink between them, too little for a member; most ink first.
    """

    at: NDArray[np.float64]
    joint_confidence: NDArray[np.float64]
    members: tuple[Pair, ...]
    member_confidence: NDArray[np.float64]
    faint: tuple[Pair, ...] = ()

    def degree(self) -> NDArray[np.intp]:
        """Members at each joint, shape (n,)."""
        flat = [joint for pair in self.members for joint in pair]
        return np.bincount(np.array(flat, dtype=np.intp), minlength=len(self.at))

    def keep(self, joints: NDArray[np.intp]) -> Graph:
        """Return the graph on some of its joints, renumbered in the order given."""
        number = {int(old): new for new, old in enumerate(joints)}
        kept = [k for k, (a, b) in enumerate(self.members) if a in number and b in number]
        return Graph(
            self.at[joints],
            self.joint_confidence[joints],
            tuple((number[self.members[k][0]], number[self.members[k][1]]) for k in kept),
            self.member_confidence[kept],
            tuple((number[a], number[b]) for a, b in self.faint if a in number and b in number),
        )

    def moved(self, at: NDArray[np.float64]) -> Graph:
        """Return the same graph with its joints at other places."""
        return replace(self, at=at)


@dataclass(frozen=True)
class _Field:
    """All that the choice looks at: candidate joints, pairs, ink."""

    at: NDArray[np.float64]
    heat: NDArray[np.float64]
    crossing: NDArray[np.float64]
    held: NDArray[np.bool_]
    evidence: PairEvidence
    on_the_way: dict[Pair, NDArray[np.intp]]
    arcs: dict[Pair, NDArray[np.int32]]
    cells: dict[Pair, tuple[NDArray[np.intp], NDArray[np.intp]]]
    ink: NDArray[np.float32]


def choose_graph(maps: Maps) -> Graph:
    """Choose joints and members that explain the member map with least assumed.

    Joints are switched on and off one at a time as long as that lowers the
    cost: minus log-odds of each joint's heat, a price for each member and for
    joints with too few members, and the ink that stays unexplained.

    Returns
    -------
    Graph
        In map coordinates (column, row).
    """
    field = _look(maps)
    active = field.heat >= 0.35
    cost, members = _cost(field, active)
    order = np.argsort(np.abs(field.heat - 0.5))
    for _ in range(3):
        changed = False
        for joint in order:
            if field.heat[joint] > 0.93 and active[joint] and _degree(members, int(joint)) > 2:
                continue
            trial = active.copy()
            trial[joint] = not trial[joint]
            trial_cost, trial_members = _cost(field, trial)
            if trial_cost < cost - 1e-9:
                active, cost, members, changed = trial, trial_cost, trial_members, True
        if not changed:
            break
    chosen = Graph(
        field.at,
        field.heat,
        tuple(members),
        np.array([field.evidence.score[pair] for pair in members]),
        _faint(field, active, members),
    )
    return chosen.keep(np.flatnonzero(active))


def _look(maps: Maps) -> _Field:
    at, heat = _candidates(maps)
    evidence = pair_evidence(maps, at)
    near = np.argwhere(np.triu(evidence.score >= MEMBER_LEVEL, 1))
    order = np.argsort(evidence.length[near[:, 0], near[:, 1]])
    pairs = [(int(near[k, 0]), int(near[k, 1])) for k in order]
    arcs = {pair: arc(at, evidence, *pair) for pair in pairs}
    support = np.maximum(maps["pin"], maps["roller"])
    return _Field(
        at,
        heat,
        value_near(maps["crossing"], at, 2) if len(at) else heat,
        value_near(support, at) > 0.2 if len(at) else np.zeros(0, bool),
        evidence,
        {pair: between(at, *pair) for pair in pairs},
        {pair: np.round(places * 16).astype(np.int32) for pair, places in arcs.items()},
        {pair: _cells(places, maps["member"].shape) for pair, places in arcs.items()},
        np.clip((maps["member"] - FAINT_INK) / (STRONG_INK - FAINT_INK), 0.0, 1.0),
    )


def _candidates(maps: Maps) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Peaks of the joint map, and meetings of members' lines where it has none."""
    at, heat = peaks(maps["joint"], floor=JOINT_FLOOR)
    met = meetings(maps["member"])
    if not len(met):
        return at, heat
    apart = np.hypot(*np.moveaxis(met[:, None] - at[None], 2, 0)).min(axis=1, initial=np.inf)
    met = met[apart > 6.0][:MOST_MEETINGS]
    met_heat = np.maximum(value_near(maps["joint"], met, 2), MEETING_HEAT)
    return np.concatenate([at, met]), np.concatenate([heat, met_heat])


def _cells(
    places: NDArray[np.float64], shape: tuple[int, ...]
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Rows and columns of places on a map, its ends left out."""
    trim = max(1, min(3, len(places) // 5))
    inner = np.round(places[trim:-trim]).astype(np.intp)
    return np.clip(inner[:, 1], 0, shape[0] - 1), np.clip(inner[:, 0], 0, shape[1] - 1)


def _members(field: _Field, active: NDArray[np.bool_]) -> tuple[list[Pair], NDArray[np.uint8]]:
    """Members among the active joints, and the cells whose ink they explain.

    Short pairs come first; a pair most of whose way runs along members found
    before it has no ink of its own.
    """
    explained = np.zeros(field.ink.shape, np.uint8)
    members = []
    for pair, way in field.on_the_way.items():
        if not (active[pair[0]] and active[pair[1]]) or active[way].any():
            continue
        rows, columns = field.cells[pair]
        own = explained[rows, columns] == 0
        if float(own.mean()) < OWN_INK:
            continue
        members.append(pair)
        cv2.polylines(explained, [field.arcs[pair]], False, 1, BREADTH, cv2.LINE_8, 4)
    return members, explained


def _faint(field: _Field, active: NDArray[np.bool_], members: list[Pair]) -> tuple[Pair, ...]:
    """Pairs with some ink of their own that were not taken for members."""
    _, explained = _members(field, active)
    score = np.where(active[:, None] & active[None], field.evidence.score, 0.0)
    found = []
    for a, b in np.argwhere(np.triu(score > FAINT_LEVEL, 1)):
        pair = (int(a), int(b))
        if pair in members or active[between(field.at, *pair)].any():
            continue
        rows, columns = _cells(arc(field.at, field.evidence, *pair), field.ink.shape)
        if float((explained[rows, columns] == 0).mean()) > 0.6:
            found.append(pair)
    return tuple(sorted(found, key=lambda pair: -float(score[pair])))


def _degree(members: list[Pair], joint: int) -> int:
    return sum(joint in pair for pair in members)


def _cost(field: _Field, active: NDArray[np.bool_]) -> tuple[float, list[Pair]]:
    members, explained = _members(field, active)
    cost = -JOINT_PRICE * float(logit(field.heat[active]).sum())
    rival = field.crossing[active] / np.maximum(field.crossing[active] + field.heat[active], 1e-6)
    cost += 3.0 * float(np.clip(rival - 0.5, 0.0, None).sum())
    for a, b in members:
        cost += MEMBER_PRICE + WEAKNESS_PRICE * max(0.0, 0.6 - float(field.evidence.worst[a, b]))
    unexplained = float(field.ink[explained == 0].sum())
    cost += INK_PRICE * unexplained
    for joint in np.flatnonzero(active):
        cost += _lonely(field, members, int(joint))
    return cost, members


def _lonely(field: _Field, members: list[Pair], joint: int) -> float:
    """Price of a joint with too few members: none, one, or two in one line."""
    others = [a if b == joint else b for a, b in members if joint in (a, b)]
    if not others:
        return 6.0
    if len(others) == 1:
        return 0.5 if field.held[joint] else LONELY_PRICE
    if len(others) == 2:
        steps = [field.at[other] - field.at[joint] for other in others]
        cosine = float(steps[0] @ steps[1]) / max(
            float(np.hypot(*steps[0]) * np.hypot(*steps[1])), 1e-9
        )
        return 3.0 if cosine < -0.985 else 0.0
    return 0.0


def connected_pieces(graph: Graph) -> list[Graph]:
    """Split a graph into its connected pieces with members, most member length first."""
    mark = np.arange(len(graph.at))
    for a, b in graph.members:
        mark[mark == mark[b]] = mark[a]
    lengths = [float(np.hypot(*(graph.at[a] - graph.at[b]))) for a, b in graph.members]
    total: dict[int, float] = {}
    for (a, _), length in zip(graph.members, lengths, strict=True):
        total[int(mark[a])] = total.get(int(mark[a]), 0.0) + length
    order = sorted(total, key=lambda key: -total[key])
    return [graph.keep(np.flatnonzero(mark == key)) for key in order]
