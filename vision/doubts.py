"""What the reader is least sure of, each with its next-best reading."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np

from model.candidate import (
    Alternative,
    CandidateJoint,
    CandidateLoad,
    CandidateMember,
    CandidateSupport,
    Doubt,
    Edit,
)
from vision.lacking import (
    Weighed,
    holds,
    member_here,
    missing_loads,
    missing_members,
    missing_supports,
    set_load,
    set_support,
)
from vision.overlooked import MaybeJoint, MaybeLoad, Overlooked
from vision.suspects import (
    doubtful_joints,
    doubtful_kinds,
    doubtful_members,
    doubtful_supports,
    running_through,
)

__all__ = ["MAYBE", "SURE", "list_doubts"]

#: Confidence below which something that was read is doubtful.
SURE = {"load": 0.9, "reaction": 0.5}
#: Chance from which on a reading other than the one made is worth a doubt.
MAYBE = {
    "no joint": 0.12,
    "no member": 0.2,
    "no support": 0.2,
    "other kind": 0.12,
    "joint": 0.15,
    "member": 0.2,
    "load": 0.2,
}
#: Confidence from which on a support's kind is not offered to be the other.
SURE_KIND = 0.95
#: Nothing was overlooked.
NOTHING = Overlooked()


def list_doubts(
    joints: Sequence[CandidateJoint],
    members: Sequence[CandidateMember],
    supports: Sequence[CandidateSupport],
    loads: Sequence[CandidateLoad],
    *,
    faint: Sequence[tuple[int, int]] = (),
    reactions: Sequence[CandidateLoad] = (),
    overlooked: Overlooked = NOTHING,
) -> list[Doubt]:
    """List doubts about what was read, least sure first.

    A member at a doubtful joint stands or falls with it, and is not asked for.

    Parameters
    ----------
    joints, members, supports, loads : sequences
        What was read; joints are numbered by their place in the sequence.
    faint : sequence of (int, int)
        Joints with a little ink between them, most ink first.
    reactions : sequence of CandidateLoad
        Arrows that look like drawn reactions.
    overlooked : Overlooked
        What else may be drawn, in pixels of the picture.
    """
    inked = {(a, b): c for a, b, c in overlooked.members if c >= MAYBE["member"]}
    rest = {pair: 0.0 for pair in faint if pair not in inked}
    weighed = missing_members(joints, members, supports, {**inked, **rest})
    asked = [doubt.joints for _, doubt in weighed]
    weighed += missing_supports(supports, reactions, overlooked.supports)
    none = dict(zip((j.id for j in joints), doubtful_joints(joints, members), strict=True))
    doubtful = {joint for joint, chance in none.items() if chance >= MAYBE["no joint"]}
    weighed += [
        (1 - none[j.id], _joint(j, none[j.id], joints, members)) for j in joints if j.id in doubtful
    ]
    weighed += [
        (1 - chance, _member(member, chance))
        for member, chance in zip(members, doubtful_members(joints, members), strict=True)
        if chance >= MAYBE["no member"] and not {member.a, member.b} & doubtful
    ]
    spare = len(members) + len(holds(supports)) - 2 * len(joints)
    weighed += _supports(supports, loads, spare)
    weighed += _arrows(loads, supports)
    weighed += _reactions(reactions, supports)
    weighed += [
        (1 - maybe.chance, _maybe_joint(maybe, len(joints)))
        for maybe in overlooked.joints
        if maybe.chance >= MAYBE["joint"]
    ]
    weighed += [
        (1 - chance, _maybe_member(*pair, chance))
        for pair, chance in inked.items()
        if list(pair) not in asked
    ]
    weighed += missing_loads(loads, overlooked.loads)
    weighed += [
        (1 - maybe.chance, _maybe_load(maybe))
        for maybe in overlooked.loads
        if loads and maybe.chance >= MAYBE["load"]
    ]
    return [doubt for _, doubt in sorted(weighed, key=lambda pair: pair[0])]


def _joint(
    joint: CandidateJoint,
    none: float,
    joints: Sequence[CandidateJoint],
    members: Sequence[CandidateMember],
) -> Doubt:
    """A joint that may be none: its members that are in line then run through."""
    members_here = sum(joint.id in (member.a, member.b) for member in members)
    through = running_through(joint.id, joints, members)
    edits = [Edit(do="remove_joint", joints=[joint.id])]
    edits += [Edit(do="add_member", joints=list(pair)) for pair in through]
    crossing = len(through) == 2 and members_here == 4
    other = Alternative(
        reading="a crossing without a joint" if crossing else "no joint here",
        edits=edits,
        confidence=round(none, 3),
    )
    merged = [
        Alternative(
            reading="one joint with its neighbour",
            edits=[Edit(do="merge_joints", joints=[neighbour, joint.id])],
            confidence=round(0.5 * none, 3),
        )
        for neighbour in _twin(joint, joints)
    ]
    reason = "This joint is drawn faintly."
    if crossing:
        reason = "These members may cross without a joint."
    elif merged:
        reason = "This joint and the one beside it may be one."
    elif through and members_here == 2:
        reason = "This joint may be a mark on a member that runs through."
    return Doubt(about="joint", joints=[joint.id], reason=reason, alternatives=[other, *merged])


def _twin(joint: CandidateJoint, joints: Sequence[CandidateJoint]) -> list[int]:
    """The joint so near to another that both may be one, if there is such a one."""
    at = np.array([[other.x, other.y] for other in joints])
    distance = np.hypot(*(at - (joint.x, joint.y)).T)
    distance[joint.id] = np.inf
    nearest = int(np.argmin(distance))
    span = float(np.hypot(*np.ptp(at, axis=0)))
    return [nearest] if distance[nearest] < 0.06 * span else []


def _maybe_joint(maybe: MaybeJoint, new: int) -> Doubt:
    """A joint that may have been overlooked: on a member, on a crossing, or beside both."""
    at = (round(float(maybe.at[0]), 1), round(float(maybe.at[1]), 1))
    near = sorted({joint for pair in maybe.on for joint in pair}) or list(maybe.ends)
    if len(maybe.on) == 2:
        reason, reading = "These members may meet in a joint.", "a joint at the crossing"
        edits = [Edit(do="join_members", joints=[*maybe.on[0], *maybe.on[1]], at=at)]
    elif maybe.on:
        reason, reading = "A joint may divide this member.", "a joint here"
        edits = [Edit(do="split_member", joints=list(maybe.on[0]), at=at)]
    else:
        reason, reading = "A faint joint was left out here.", "a joint here"
        edits = [Edit(do="add_joint", joints=[new], at=at)]
        edits += [Edit(do="add_member", joints=[new, end]) for end in maybe.ends]
    other = Alternative(reading=reading, edits=edits, confidence=round(maybe.chance, 3))
    return Doubt(about="joint", joints=near, reason=reason, alternatives=[other])


def _member(member: CandidateMember, none: float) -> Doubt:
    pair = [member.a, member.b]
    other = Alternative(
        reading="no member here",
        edits=[Edit(do="remove_member", joints=pair)],
        confidence=round(none, 3),
    )
    return Doubt(
        about="member",
        joints=pair,
        reason="The line of this member is faint or broken.",
        alternatives=[other],
    )


def _maybe_member(a: int, b: int, chance: float) -> Doubt:
    return Doubt(
        about="member",
        joints=[a, b],
        reason="A member may run here that was not read.",
        alternatives=[member_here(a, b, chance)],
    )


def _supports(
    supports: Sequence[CandidateSupport], loads: Sequence[CandidateLoad], spare: int
) -> list[Weighed]:
    """Supports that may be none, and those one of which may be of the other kind."""
    weighed: list[Weighed] = []
    left = []
    for support, none in zip(supports, doubtful_supports(supports, loads), strict=True):
        if none >= MAYBE["no support"]:
            weighed.append((1 - none, _support(support, none)))
        elif support.confidence < SURE_KIND:
            left.append(support)
    chance = doubtful_kinds(supports, spare)
    if left and chance >= MAYBE["other kind"]:
        weighed.append((1 - chance, _kinds(sorted(left, key=lambda s: s.confidence), chance)))
    return weighed


def _support(support: CandidateSupport, none: float) -> Doubt:
    """A support that may be none, or of the other kind."""
    away = Alternative(
        reading="no support here",
        edits=[Edit(do="remove_support", joints=[support.joint])],
        confidence=round(none, 3),
    )
    other = _other_kind(support, max(1 - support.confidence - none, 0.0))
    return Doubt(
        about="support",
        joints=[support.joint],
        reason=f"There may be no support here, or another than a {support.kind}.",
        alternatives=[away, other],
    )


def _kinds(supports: Sequence[CandidateSupport], chance: float) -> Doubt:
    """Supports one of which may be of the other kind, the least sure first."""
    one = supports[0]
    reason = (
        f"This support may be a {_other(one.kind)} instead of a {one.kind}."
        if len(supports) == 1
        else "One of these supports may be of the other kind."
    )
    unsure = [1 - support.confidence for support in supports]
    return Doubt(
        about="support",
        joints=[support.joint for support in supports],
        reason=reason,
        alternatives=[
            _other_kind(support, chance * share / sum(unsure))
            for support, share in zip(supports, unsure, strict=True)
        ],
    )


def _other_kind(support: CandidateSupport, chance: float) -> Alternative:
    kind = _other(support.kind)
    return Alternative(
        reading=f"a {kind}",
        edits=[set_support(support.joint, kind, support.angle_deg)],
        confidence=round(chance, 3),
    )


def _other(kind: str) -> Literal["pin", "roller"]:
    return "roller" if kind == "pin" else "pin"


def _arrows(loads: Sequence[CandidateLoad], supports: Sequence[CandidateSupport]) -> list[Weighed]:
    """Doubtful loads, one doubt a joint; where supports lack, they may be reactions."""
    held = {support.joint for support in supports}
    lacking = len(holds(supports)) < 3
    weighed: dict[int, Weighed] = {}
    for load in sorted(loads, key=lambda load: load.confidence):
        if load.confidence < SURE["load"]:
            doubt = _load(load, may_hold=lacking and load.joint not in held)
            weighed.setdefault(load.joint, (load.confidence, doubt))
    return list(weighed.values())


def _load(load: CandidateLoad, *, may_hold: bool) -> Doubt:
    left = 1 - load.confidence
    none = Edit(do="remove_load", joints=[load.joint])
    turned = set_load(load.joint, load.direction_deg + 180)
    hold = [none, set_support(load.joint, "roller", load.direction_deg)]
    readings = [("no load here", [none], 0.6), ("a load the other way", [turned], 0.4)]
    if may_hold:
        readings.insert(1, ("a support that pushes this way", hold, 0.5))
    return Doubt(
        about="load",
        joints=[load.joint],
        reason="This arrow may not be a load, or may act the other way.",
        alternatives=[
            Alternative(reading=reading, edits=edits, confidence=share * left)
            for reading, edits, share in readings
        ],
    )


def _reactions(
    arrows: Sequence[CandidateLoad], supports: Sequence[CandidateSupport]
) -> list[Weighed]:
    """Arrows at supports that were taken for reactions but may be loads."""
    held = {support.joint for support in supports}
    return [
        (
            arrow.confidence,
            Doubt(
                about="load",
                joints=[arrow.joint],
                reason="This arrow was taken for a reaction, but it may be a load.",
                alternatives=[
                    Alternative(
                        reading="a load",
                        edits=[set_load(arrow.joint, arrow.direction_deg)],
                        confidence=round(1 - arrow.confidence, 3),
                    )
                ],
            ),
        )
        for arrow in arrows
        if arrow.joint in held and arrow.confidence < SURE["reaction"]
    ]


def _maybe_load(maybe: MaybeLoad) -> Doubt:
    edits = [set_load(maybe.joint, way) for way in maybe.directions_deg]
    readings = ("a load here", "a load the other way")
    return Doubt(
        about="load",
        joints=[maybe.joint],
        reason="A load may act here that was not read.",
        alternatives=[
            Alternative(reading=reading, edits=[edit], confidence=round(maybe.chance / share, 3))
            for reading, edit, share in zip(readings, edits, (1, 2), strict=False)
        ],
    )
