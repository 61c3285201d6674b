"""What a truss lacks: members and reactions to stand, loads to bear; with what would give it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
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
from vision.mechanisms import find_looseness
from vision.overlooked import MaybeLoad, MaybeSupport

__all__ = [
    "Weighed",
    "holds",
    "member_here",
    "missing_loads",
    "missing_members",
    "missing_supports",
    "set_load",
    "set_support",
]

#: Chance from which on a joint is offered for a missing support.
MAYBE_SUPPORT = 0.1
#: The same for a missing load.
MAYBE_LOAD = 0.1
#: Least chance of a line with ink that would stop a mechanism.
STOPPING = 0.5
#: Most joints that are offered for a missing support or load, and lines for a missing member.
MOST_OFFERED = 3

#: A doubt and how sure the reading is that it questions, 0..1.
Weighed = tuple[float, Doubt]


def missing_members(
    joints: Sequence[CandidateJoint],
    members: Sequence[CandidateMember],
    supports: Sequence[CandidateSupport],
    faint: Mapping[tuple[int, int], float],
) -> list[Weighed]:
    """Where the truss can fold: lines that would stop it, those with faint ink first.

    `faint` gives the chance of each line with ink, by the ink alone.
    """
    at = np.array([[joint.x, joint.y] for joint in joints]).reshape(-1, 2)
    looseness = find_looseness(at, [(member.a, member.b) for member in members], holds(supports))
    if not looseness.mechanisms:
        return []
    inked = [pair for pair in faint if looseness.stopped_by(at, *pair)]
    chance = {pair: max(faint[pair], STOPPING) for pair in inked[: looseness.mechanisms]}
    weighed = [
        (
            1 - chance[a, b],
            Doubt(
                about="member",
                joints=[a, b],
                reason="A member seems to be missing for the truss to stand, and there is faint "
                "ink here.",
                alternatives=[member_here(a, b, chance[a, b])],
            ),
        )
        for a, b in chance
    ]
    left = looseness.mechanisms - len(weighed)
    bare = [pair for pair in looseness.braces if pair not in inked][:MOST_OFFERED]
    if left:
        more = f"{left} more member{'s' if left > 1 else ''} or reaction{'s' if left > 1 else ''}"
        where = "it lacks a diagonal here" if bare else "look for what was not read"
        doubt = Doubt(
            about="member" if bare else "truss",
            joints=list(bare[0]) if bare else [],
            reason=f"The truss needs {more} to stand: {where}.",
            alternatives=[member_here(a, b, 0.3) for a, b in bare],
        )
        weighed.append((0.1, doubt))
    return weighed


def missing_supports(
    supports: Sequence[CandidateSupport],
    reactions: Sequence[CandidateLoad],
    maybe: Sequence[MaybeSupport],
) -> list[Weighed]:
    """Arrows that may stand for supports, and the joints likeliest to have one if they lack."""
    held = {support.joint for support in supports}
    free = [arrow for arrow in reactions if arrow.joint not in held]
    weighed = [(0.1, _reaction(free))] if free else []
    seen = len(holds(supports))
    if seen + len(free) >= 3:
        return weighed
    offered = [support for support in maybe if support.chance >= MAYBE_SUPPORT][:MOST_OFFERED]
    what = "no support" if not supports else f"supports for only {seen}"
    doubt = Doubt(
        about="support",
        joints=[support.joint for support in offered] or sorted(held),
        reason=f"A truss needs three reactions, and {what} could be read.",
        alternatives=[
            Alternative(
                reading=f"a {support.kind} here",
                edits=[set_support(support.joint, support.kind, support.angle_deg)],
                confidence=round(support.chance, 3),
            )
            for support in offered
        ],
    )
    return [(0.0, doubt), *weighed]


def missing_loads(loads: Sequence[CandidateLoad], maybe: Sequence[MaybeLoad]) -> list[Weighed]:
    """Where no load was read, the joints likeliest to carry one."""
    offered = [load for load in maybe if load.chance >= MAYBE_LOAD][:MOST_OFFERED]
    if loads or not offered:
        return []
    doubt = Doubt(
        about="load",
        joints=[load.joint for load in offered],
        reason="No load could be read: one may act here.",
        alternatives=[
            Alternative(
                reading="a load here",
                edits=[set_load(load.joint, load.directions_deg[0])],
                confidence=round(load.chance, 3),
            )
            for load in offered
        ],
    )
    return [(0.5, doubt)]


def holds(supports: Sequence[CandidateSupport]) -> list[tuple[int, float]]:
    """Joint and direction of each reaction."""
    return [
        (support.joint, angle)
        for support in supports
        for angle in ((0.0, 90.0) if support.kind == "pin" else (support.angle_deg,))
    ]


def _reaction(arrows: Sequence[CandidateLoad]) -> Doubt:
    """Arrows read as reactions: they may stand for supports."""
    several = len(arrows) > 1
    by_joint: dict[int, list[CandidateLoad]] = {}
    for arrow in arrows:
        by_joint.setdefault(arrow.joint, []).append(arrow)
    hold = [
        set_support(joint, "pin" if len(here) > 1 else "roller", here[0].direction_deg)
        for joint, here in by_joint.items()
    ]
    load = [set_load(joint, here[0].direction_deg) for joint, here in by_joint.items()]
    return Doubt(
        about="support",
        joints=list(by_joint),
        reason="These arrows look like reactions: they may stand for supports, or be loads."
        if several
        else "An arrow here looks like a reaction: it may stand for a support, or be a load.",
        alternatives=[
            Alternative(
                reading="supports that push this way"
                if several
                else "a support that pushes this way",
                edits=hold,
                confidence=0.5,
            ),
            Alternative(reading="loads" if several else "a load", edits=load, confidence=0.3),
        ],
    )


def member_here(a: int, b: int, confidence: float) -> Alternative:
    """The reading that there is a member between two joints."""
    edits = [Edit(do="add_member", joints=[a, b])]
    return Alternative(reading="a member here", edits=edits, confidence=round(confidence, 3))


def set_load(joint: int, acts_deg: float) -> Edit:
    """The edit that gives a joint a load."""
    return Edit(do="set_load", joints=[joint], angle_deg=round(acts_deg % 360.0, 1))


def set_support(joint: int, kind: str, angle_deg: float) -> Edit:
    """The change that gives a joint a support."""
    named: Literal["pin", "roller"] = "pin" if kind == "pin" else "roller"
    return Edit(do="set_support", joints=[joint], kind=named, angle_deg=round(angle_deg % 360.0, 1))
