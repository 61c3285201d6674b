"""What the reader is least sure of, each with its next-best reading."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from model.candidate import (
    Alternative,
    CandidateJoint,
    CandidateLoad,
    CandidateMember,
    CandidateSupport,
    Doubt,
    Edit,
)

__all__ = ["SURE", "list_doubts", "other_truss", "out_of_frame"]

#: Confidence below which something that was read is doubtful.
SURE = 0.8

_Weighed = tuple[float, Doubt]


def list_doubts(
    joints: Sequence[CandidateJoint],
    members: Sequence[CandidateMember],
    supports: Sequence[CandidateSupport],
    loads: Sequence[CandidateLoad],
    *,
    faint: Sequence[tuple[int, int]] = (),
    reactions: Sequence[CandidateLoad] = (),
) -> list[Doubt]:
    """List doubts about what was read, least sure first.

    Parameters
    ----------
    joints, members, supports, loads : sequences
        What was read; joints are numbered by their place in the sequence.
    faint : sequence of (int, int)
        Joints with a little ink between them, most ink first.
    reactions : sequence of CandidateLoad
        Arrows that look like drawn reactions.
    """
    weighed = _mechanics(joints, members, supports, faint)
    weighed += [(arrow.confidence * 0.5, _reaction(arrow)) for arrow in reactions]
    for joint in joints:
        if joint.confidence < SURE:
            weighed.append((joint.confidence, _joint(joint, joints, members)))
    for member in members:
        if member.confidence < SURE:
            weighed.append((member.confidence, _member(member)))
    for support in supports:
        if support.confidence < SURE:
            weighed.append((support.confidence, _support(support)))
    for load in loads:
        if load.confidence < SURE:
            weighed.append((load.confidence, _load(load)))
    return [doubt for _, doubt in sorted(weighed, key=lambda pair: pair[0])]


def _mechanics(
    joints: Sequence[CandidateJoint],
    members: Sequence[CandidateMember],
    supports: Sequence[CandidateSupport],
    faint: Sequence[tuple[int, int]],
) -> list[_Weighed]:
    """Doubts that follow from counting members and reactions against joints."""
    weighed: list[_Weighed] = []
    reactions = sum(2 if support.kind == "pin" else 1 for support in supports)
    if reactions < 3:
        seen = "no support" if not supports else f"supports for only {reactions}"
        weighed.append(
            (
                0.0,
                Doubt(
                    about="support",
                    joints=[support.joint for support in supports],
                    reason=f"A truss needs three reactions, and {seen} could be read.",
                ),
            )
        )
    missing = 2 * len(joints) - len(members) - max(reactions, 3)
    for rank, (a, b) in enumerate(faint[: max(missing, 2)]):
        needed = rank < missing
        reason = (
            "A member seems to be missing for the truss to stand, and there is faint ink here."
            if needed
            else "There is faint ink between these joints."
        )
        other = Alternative(
            reading="a member here",
            edits=[Edit(do="add_member", joints=[a, b])],
            confidence=0.5 if needed else 0.2,
        )
        doubt = Doubt(about="member", joints=[a, b], reason=reason, alternatives=[other])
        weighed.append((0.1 if needed else 0.7, doubt))
    if missing > len(faint) and missing > 0:
        reason = (
            f"The joints need {missing} more member{'s' if missing > 1 else ''} or reaction"
            f"{'s' if missing > 1 else ''} to stand: look for what was not read."
        )
        weighed.append((0.2, Doubt(about="truss", joints=[], reason=reason)))
    return weighed


def _joint(
    joint: CandidateJoint, joints: Sequence[CandidateJoint], members: Sequence[CandidateMember]
) -> Doubt:
    """A joint that may be none: its members that are in line then run through."""
    others = [m.a if m.b == joint.id else m.b for m in members if joint.id in (m.a, m.b)]
    through = [pair for pair in combinations(others, 2) if _in_line(joint, *pair, joints)]
    edits = [Edit(do="remove_joint", joints=[joint.id])]
    edits += [Edit(do="add_member", joints=list(pair)) for pair in through]
    crossing = len(through) == 2 and len(others) == 4
    other = Alternative(
        reading="a crossing without a joint" if crossing else "no joint here",
        edits=edits,
        confidence=1 - joint.confidence,
    )
    reason = (
        "These members may cross without a joint." if crossing else "This joint is drawn faintly."
    )
    return Doubt(about="joint", joints=[joint.id], reason=reason, alternatives=[other])


def _in_line(joint: CandidateJoint, a: int, b: int, joints: Sequence[CandidateJoint]) -> bool:
    first = np.array([joints[a].x - joint.x, joints[a].y - joint.y])
    second = np.array([joints[b].x - joint.x, joints[b].y - joint.y])
    return float(first @ second) < -0.97 * float(np.hypot(*first) * np.hypot(*second))


def _member(member: CandidateMember) -> Doubt:
    pair = [member.a, member.b]
    other = Alternative(
        reading="no member here",
        edits=[Edit(do="remove_member", joints=pair)],
        confidence=1 - member.confidence,
    )
    return Doubt(
        about="member",
        joints=pair,
        reason="The line of this member is faint or broken.",
        alternatives=[other],
    )


def _support(support: CandidateSupport) -> Doubt:
    kind: Literal["pin", "roller"] = "roller" if support.kind == "pin" else "pin"
    edit = Edit(do="set_support", joints=[support.joint], kind=kind, angle_deg=support.angle_deg)
    none = Edit(do="remove_support", joints=[support.joint])
    left = 1 - support.confidence
    return Doubt(
        about="support",
        joints=[support.joint],
        reason=f"This support may be a {kind} instead of a {support.kind}.",
        alternatives=[
            Alternative(reading=f"a {kind}", edits=[edit], confidence=0.7 * left),
            Alternative(reading="no support here", edits=[none], confidence=0.3 * left),
        ],
    )


def _load(load: CandidateLoad) -> Doubt:
    left = 1 - load.confidence
    turned = Edit(
        do="set_load", joints=[load.joint], angle_deg=round((load.direction_deg + 180) % 360, 1)
    )
    none = Edit(do="remove_load", joints=[load.joint])
    return Doubt(
        about="load",
        joints=[load.joint],
        reason="This arrow may not be a load, or may act the other way.",
        alternatives=[
            Alternative(reading="no load here", edits=[none], confidence=0.6 * left),
            Alternative(reading="a load the other way", edits=[turned], confidence=0.4 * left),
        ],
    )


def _reaction(arrow: CandidateLoad) -> Doubt:
    hold = Edit(
        do="set_support", joints=[arrow.joint], kind="roller", angle_deg=arrow.direction_deg
    )
    load = Edit(do="set_load", joints=[arrow.joint], angle_deg=arrow.direction_deg)
    return Doubt(
        about="support",
        joints=[arrow.joint],
        reason="An arrow here looks like a reaction: it may stand for a support, or be a load.",
        alternatives=[
            Alternative(reading="a support that pushes this way", edits=[hold], confidence=0.5),
            Alternative(reading="a load", edits=[load], confidence=0.3),
        ],
    )


def other_truss(read: int, at: NDArray[np.float64], members: Sequence[tuple[int, int]]) -> Doubt:
    """Ask which of two trusses on a page is meant; the larger one has been read.

    Parameters
    ----------
    read : int
        Joints of the truss that was read; those of the other are numbered on from there.
    at : ndarray, shape (n, 2)
        Joints of the other truss in pixels of the picture.
    members : sequence of (int, int)
        Its members.
    """
    edits = [Edit(do="remove_joint", joints=[joint]) for joint in range(read)]
    edits += [
        Edit(do="add_joint", joints=[read + k], at=(round(float(x), 1), round(float(y), 1)))
        for k, (x, y) in enumerate(at)
    ]
    edits += [Edit(do="add_member", joints=[read + a, read + b]) for a, b in members]
    x, y = at.mean(axis=0)
    return Doubt(
        about="truss",
        joints=list(range(read)),
        reason="There is more than one truss in the picture; the largest was read. Which is meant?",
        alternatives=[
            Alternative(reading=f"the truss around ({x:.0f}, {y:.0f})", edits=edits, confidence=0.4)
        ],
    )


def out_of_frame(width: int, height: int, lines: NDArray[np.float64]) -> Doubt | None:
    """Say so where members run out of the picture.

    Parameters
    ----------
    width, height : int
        Of the picture in pixels.
    lines : ndarray, shape (n, 2)
        Places on members' ink, in pixels.
    """
    rim = 0.012 * max(width, height)
    sides = {
        "left": lines[:, 0] < rim,
        "right": lines[:, 0] > width - 1 - rim,
        "top": lines[:, 1] < rim,
        "bottom": lines[:, 1] > height - 1 - rim,
    }
    cut = [side for side, near in sides.items() if int(near.sum()) >= 2]
    if not cut:
        return None
    return Doubt(
        about="truss",
        joints=[],
        reason=f"The truss runs out of the picture ({', '.join(cut)}): take one with all of it.",
    )
