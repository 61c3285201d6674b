"""How probably something that was read is not so, from the reading as a whole."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from model.candidate import CandidateJoint, CandidateLoad, CandidateMember, CandidateSupport
from vision.crossing import cosine, cross
from vision.evidence import chances, logit

__all__ = [
    "doubtful_joints",
    "doubtful_kinds",
    "doubtful_members",
    "doubtful_supports",
    "running_through",
]

Pair = tuple[int, int]

#: Cosine between two members at a joint below which they are one line.
IN_LINE = -0.97
#: How near to 0 and 1 confidences are taken to come.
RIM = 0.01

# Logistic weights, fitted on rendered pictures; the constant comes first.
#: Of a joint that is none: logit of its confidence, whether members run through it, whether it
#: has two members, or one, logit of the worst one's confidence, logarithm of the distance to the
#: nearest joint in members.
JOINT_WEIGHTS = np.array([-2.87, -0.99, 2.31, 1.96, 3.60, -0.42, -0.89])
#: Of a member that is none: logit of its confidence, whether it crosses another one, the fewer
#: members at one of its ends, logarithm of its length in those of all.
MEMBER_WEIGHTS = np.array([-4.40, -1.39, 2.19, 0.81, -0.83])
#: Of a support that is none: logit of its confidence, whether a load was read there as well,
#: whether it is the only one, or one of more than two.
SUPPORT_WEIGHTS = np.array([-1.75, -1.25, 1.56, 1.36, 2.36])
#: Of supports one of which is of the other kind: logits of the two lowest confidences, whether
#: all are pins and the truss has a reaction or member to spare, whether there is but one.
KINDS_WEIGHTS = np.array([-0.20, -0.16, -0.56, 1.08, 1.07])
#: Logit taken for the second lowest confidence of a single support.
SURELY = 3.0


def doubtful_joints(
    joints: Sequence[CandidateJoint], members: Sequence[CandidateMember]
) -> list[float]:
    """Chance of each joint that there is none.

    A stray mark on a member, or where two cross, makes a joint of two members in line, or close
    to a true one.
    """
    if not members:
        return [0.0 for _ in joints]
    at = np.array([[joint.x, joint.y] for joint in joints])
    usual = float(np.median([np.hypot(*(at[m.a] - at[m.b])) for m in members]))
    apart = np.hypot(*np.moveaxis(at[:, None] - at[None], 2, 0))
    np.fill_diagonal(apart, np.inf)
    near = np.clip(apart.min(axis=1) / usual, 0.05, 10.0)
    evidence = []
    for joint in joints:
        here = [member for member in members if joint.id in (member.a, member.b)]
        evidence.append(
            [
                _logit(joint.confidence),
                bool(running_through(joint.id, joints, members)),
                len(here) == 2,
                len(here) == 1,
                _logit(min((member.confidence for member in here), default=0.5)),
                float(np.log(near[joint.id])),
            ]
        )
    return _chances(JOINT_WEIGHTS, evidence)


def running_through(
    joint: int, joints: Sequence[CandidateJoint], members: Sequence[CandidateMember]
) -> list[Pair]:
    """Ends of each two members that run through a joint in one line."""
    others = [m.a if m.b == joint else m.b for m in members if joint in (m.a, m.b)]
    at = np.array([[other.x, other.y] for other in joints])
    steps = {other: at[other] - at[joint] for other in others}
    return [(a, b) for a, b in combinations(others, 2) if cosine(steps[a], steps[b]) < IN_LINE]


def doubtful_members(
    joints: Sequence[CandidateJoint], members: Sequence[CandidateMember]
) -> list[float]:
    """Chance of each member that there is none.

    A faint line across others, between joints that have members enough, is the likeliest not to
    be one.
    """
    at = np.array([[joint.x, joint.y] for joint in joints]).reshape(-1, 2)
    degree = np.bincount([end for m in members for end in (m.a, m.b)], minlength=len(joints))
    lengths = [float(np.hypot(*(at[m.a] - at[m.b]))) for m in members]
    usual = float(np.median(lengths)) if lengths else 1.0
    evidence = [
        [
            _logit(member.confidence),
            any(cross(at, (member.a, member.b), (other.a, other.b)) for other in members),
            float(min(degree[member.a], degree[member.b])),
            float(np.log(max(length, 1.0) / max(usual, 1.0))),
        ]
        for member, length in zip(members, lengths, strict=True)
    ]
    return _chances(MEMBER_WEIGHTS, evidence)


def doubtful_supports(
    supports: Sequence[CandidateSupport], loads: Sequence[CandidateLoad]
) -> list[float]:
    """Chance of each support that there is none."""
    loaded = {load.joint for load in loads}
    alone, many = len(supports) == 1, len(supports) > 2
    evidence = [
        [_logit(support.confidence), support.joint in loaded, alone, many] for support in supports
    ]
    return _chances(SUPPORT_WEIGHTS, evidence)


def doubtful_kinds(supports: Sequence[CandidateSupport], spare: int) -> float:
    """Chance that one of the supports is a pin for a roller, or a roller for a pin.

    Parameters
    ----------
    supports : sequence of CandidateSupport
    spare : int
        Members and reactions beyond those that the joints need, m + r - 2 j: one too many
        speaks for a roller among pins.
    """
    if not supports:
        return 0.0
    least = sorted(_logit(support.confidence) for support in supports)
    pins = len(supports) > 1 and all(support.kind == "pin" for support in supports)
    second = least[1] if len(least) > 1 else SURELY
    evidence = [least[0], second, pins and spare > 0, len(supports) == 1]
    return _chances(KINDS_WEIGHTS, [evidence])[0]


def _chances(weights: NDArray[np.float64], evidence: Sequence[Sequence[float]]) -> list[float]:
    if not evidence:
        return []
    told = chances(weights[0] + np.array(evidence, dtype=np.float64) @ weights[1:])
    return [float(chance) for chance in told]


def _logit(share: float) -> float:
    return float(logit(share, RIM))
