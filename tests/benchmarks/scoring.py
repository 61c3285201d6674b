"""How well a reading agrees with the truth: matches, F1 scores, corrections."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment

from model.candidate import Candidate

__all__ = ["Hits", "Score", "match_joints", "reach_of", "score"]

#: A joint counts as found within this many pixels, or this share of the truss's
#: longer side, whichever is more.
REACH_PIXELS = 12.0
REACH_SHARE = 0.025
LOAD_DEGREES = 15.0


@dataclass(frozen=True)
class Hits:
    """How many were found, invented and missed."""

    found: int = 0
    invented: int = 0
    missed: int = 0

    def __add__(self, other: Hits) -> Hits:
        return Hits(
            self.found + other.found,
            self.invented + other.invented,
            self.missed + other.missed,
        )

    @property
    def f1(self) -> float:
        """F1 score; 1 where there was nothing to find and nothing was invented."""
        total = 2 * self.found + self.invented + self.missed
        return 2 * self.found / total if total else 1.0


@dataclass(frozen=True)
class Score:
    """One reading against its truth.

    Attributes
    ----------
    joints, members : Hits
    support_places, supports : Hits
        At the right joint; at the right joint and of the right kind.
    loads : Hits
        At the right joint and within `LOAD_DEGREES` of the right direction.
    corrections : int
        Joints and members that a person would add or delete to get the true
        graph. Deleting a joint takes its members with it.
    exact : bool
        Whether nothing of the graph needs correcting.
    """

    joints: Hits
    members: Hits
    support_places: Hits
    supports: Hits
    loads: Hits
    corrections: int

    @property
    def exact(self) -> bool:
        return self.corrections == 0


def reach_of(truth: Candidate) -> float:
    """Distance in pixels within which a joint counts as found."""
    points = np.array([(joint.x, joint.y) for joint in truth.joints])
    return max(REACH_PIXELS, REACH_SHARE * float(np.ptp(points, axis=0).max()))


def match_joints(read: Candidate, truth: Candidate) -> dict[int, int]:
    """Ids of the joints read, each with the id of the true joint it stands for.

    As many pairs as possible lie within reach, and among such matchings the
    sum of distances is smallest (assignment problem, `scipy.optimize`).
    """
    if not read.joints:
        return {}
    distance = _distances(read, truth)
    reach = reach_of(truth)
    too_far = reach * (1 + min(distance.shape))
    rows, columns = linear_sum_assignment(np.where(distance <= reach, distance, too_far))
    return {
        read.joints[row].id: truth.joints[column].id
        for row, column in zip(rows.tolist(), columns.tolist(), strict=True)
        if distance[row, column] <= reach
    }


def _distances(read: Candidate, truth: Candidate) -> NDArray[np.float64]:
    ours = np.array([(joint.x, joint.y) for joint in read.joints])
    theirs = np.array([(joint.x, joint.y) for joint in truth.joints])
    return np.asarray(np.hypot(*(ours[:, None] - theirs[None, :]).transpose(2, 0, 1)))


def score(read: Candidate | None, truth: Candidate) -> Score:
    """Score a reading; `None` stands for 'no truss found'."""
    if read is None:
        read = truth.model_copy(
            update={"joints": [], "members": [], "supports": [], "loads": [], "doubts": []}
        )
    match = match_joints(read, truth)
    joints = Hits(len(match), len(read.joints) - len(match), len(truth.joints) - len(match))
    kept = {frozenset((m.a, m.b)) for m in read.members if m.a in match and m.b in match}
    placed = {frozenset(match[end] for end in pair) for pair in kept}
    true = {frozenset((m.a, m.b)) for m in truth.members}
    lost = len({frozenset((m.a, m.b)) for m in read.members}) - len(kept)
    found = len(placed & true)
    members = Hits(found, len(placed - true) + lost, len(true - placed))
    corrections = joints.invented + joints.missed + len(placed - true) + len(true - placed)
    return Score(
        joints,
        members,
        _same(
            ((match.get(s.joint, -1), "") for s in read.supports),
            ((s.joint, "") for s in truth.supports),
        ),
        _same(
            ((match.get(s.joint, -1), s.kind) for s in read.supports),
            ((s.joint, s.kind) for s in truth.supports),
        ),
        _loads(read, truth, match),
        corrections,
    )


def _same(read: Iterable[tuple[int, str]], truth: Iterable[tuple[int, str]]) -> Hits:
    """Count equal entries; a joint that was not found (-1) matches nothing."""
    ours, theirs = Counter(read), Counter(truth)
    found = (ours & theirs).total()
    return Hits(found, ours.total() - found, theirs.total() - found)


def _loads(read: Candidate, truth: Candidate, match: dict[int, int]) -> Hits:
    """Pair loads one to one at the same joint within `LOAD_DEGREES`."""
    left = [(load.joint, load.direction_deg) for load in truth.loads]
    found = 0
    for load in read.loads:
        joint = match.get(load.joint)
        for place, direction in left:
            turn = abs((load.direction_deg - direction + 180) % 360 - 180)
            if place == joint and turn <= LOAD_DEGREES:
                left.remove((place, direction))
                found += 1
                break
    return Hits(found, len(read.loads) - found, len(truth.loads) - found)
