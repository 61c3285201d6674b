"""What the reader is least sure of, each with its next-best reading."""

from __future__ import annotations

from typing import Literal

from model.candidate import (
    Alternative,
    CandidateJoint,
    CandidateLoad,
    CandidateMember,
    CandidateSupport,
    Doubt,
    Edit,
)

__all__ = ["list_doubts"]

#: Confidence below which something that was read is doubtful.
SURE = 0.8


def list_doubts(
    joints: list[CandidateJoint],
    members: list[CandidateMember],
    supports: list[CandidateSupport],
    loads: list[CandidateLoad],
) -> list[Doubt]:
    """List doubts about what was read, least sure first."""
    weighed: list[tuple[float, Doubt]] = []
    for joint in joints:
        if joint.confidence < SURE:
            weighed.append((joint.confidence, _joint(joint)))
    for member in members:
        if member.confidence < SURE:
            weighed.append((member.confidence, _member(member)))
    for support in supports:
        if support.confidence < SURE:
            weighed.append((support.confidence, _support(support)))
    for load in loads:
        if load.confidence < SURE:
            weighed.append((load.confidence, _load(load)))
    doubts = [doubt for _, doubt in sorted(weighed, key=lambda pair: pair[0])]
    return _mechanics(len(joints), len(members), supports) + doubts


def _joint(joint: CandidateJoint) -> Doubt:
    other = Alternative(
        reading="no joint here",
        edits=[Edit(do="remove_joint", joints=[joint.id])],
        confidence=1 - joint.confidence,
    )
    return Doubt(
        about="joint",
        joints=[joint.id],
        reason="This joint is drawn faintly.",
        alternatives=[other],
    )


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
    other = Alternative(reading=f"a {kind}", edits=[edit], confidence=1 - support.confidence)
    return Doubt(
        about="support",
        joints=[support.joint],
        reason=f"This support may be a {kind} instead of a {support.kind}.",
        alternatives=[other],
    )


def _load(load: CandidateLoad) -> Doubt:
    other = Alternative(
        reading="no load here",
        edits=[Edit(do="remove_load", joints=[load.joint])],
        confidence=1 - load.confidence,
    )
    return Doubt(
        about="load",
        joints=[load.joint],
        reason="This arrow may not be a load.",
        alternatives=[other],
    )


def _mechanics(joints: int, members: int, supports: list[CandidateSupport]) -> list[Doubt]:
    """Doubts that follow from counting reactions and members against joints."""
    reactions = sum(2 if support.kind == "pin" else 1 for support in supports)
    doubts = []
    if reactions < 3:
        seen = "no support was" if not supports else f"supports for only {reactions} reactions were"
        doubts.append(
            Doubt(
                about="support",
                joints=[support.joint for support in supports],
                reason=f"A truss needs at least three reactions, but {seen} recognised.",
            )
        )
    return doubts
