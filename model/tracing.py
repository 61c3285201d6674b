"""From what was read in a picture to a job that a person can put right."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import count
from string import ascii_uppercase

import numpy as np

from model.candidate import (
    Candidate,
    CandidateDimension,
    CandidateJoint,
    CandidateLoad,
    CandidateMember,
    CandidateSupport,
)
from model.job import (
    JOINT_NAME,
    Dimension,
    Job,
    JobJoint,
    JobLoad,
    JobMember,
    JobPicture,
    JobSupport,
    JobUnits,
)

__all__ = ["job_from"]

#: Joints whose heights differ by less than this part of the truss's extent are in one row.
_ROW = 0.08
_LENGTH_UNITS = {"m": "m", "cm": "m", "mm": "mm", "ft": "ft", "'": "ft", "in": "ft", '"': "ft"}


def job_from(candidate: Candidate) -> Job:
    """Make a job of a candidate, everything that was read carried along.

    Joints get the letters read beside them where these are valid and unique;
    the others A, B, C ... from left to right, the bottom row first. Places in
    the picture are kept; coordinates stay open. A load whose value was not
    read keeps its direction and waits for a magnitude.

    Parameters
    ----------
    candidate : Candidate

    Returns
    -------
    Job
        Dimensions have the source ``read``.
    """
    names = _names(candidate.joints)
    return Job(
        title=candidate.picture.name,
        units=_units(candidate),
        joints={names[j.id]: JobJoint(pixel=(j.x, j.y)) for j in _in_order(candidate.joints)},
        members=_members(candidate.members, names),
        supports=_supports(candidate.supports, names),
        loads=[_load(load, names) for load in candidate.loads if load.joint in names],
        dimensions=[_dimension(d, names) for d in candidate.dimensions],
        picture=JobPicture(name=candidate.picture.name, sha256=candidate.picture.sha256),
    )


def _in_order(joints: Sequence[CandidateJoint]) -> list[CandidateJoint]:
    """Joints row by row from the bottom, each row from left to right."""
    if not joints:
        return []
    places = np.array([(joint.x, joint.y) for joint in joints])
    gap = _ROW * float(np.ptp(places, axis=0).max())
    rows: list[list[CandidateJoint]] = []
    for joint in sorted(joints, key=lambda j: -j.y):
        if rows and rows[-1][0].y - joint.y <= gap:
            rows[-1].append(joint)
        else:
            rows.append([joint])
    return [joint for row in rows for joint in sorted(row, key=lambda j: j.x)]


def _names(joints: Sequence[CandidateJoint]) -> dict[int, str]:
    read = Counter(joint.label for joint in joints)
    kept = {
        joint.id: joint.label
        for joint in joints
        if joint.label and read[joint.label] == 1 and JOINT_NAME.match(joint.label)
    }
    letters = (letter for letter in _letters() if letter not in kept.values())
    return {joint.id: kept.get(joint.id) or next(letters) for joint in _in_order(joints)}


def _letters() -> Iterator[str]:
    yield from ascii_uppercase
    for round_ in count(1):
        yield from (f"{letter}{round_}" for letter in ascii_uppercase)


def _units(candidate: Candidate) -> JobUnits:
    lengths = Counter(
        _LENGTH_UNITS[d.unit]
        for d in candidate.dimensions
        if d.kind in ("length", "horizontal", "vertical") and d.unit in _LENGTH_UNITS
    )
    forces = Counter(load.unit for load in candidate.loads if load.unit)
    standard = JobUnits()
    return JobUnits(
        length=lengths.most_common(1)[0][0] if lengths else standard.length,
        force=forces.most_common(1)[0][0] if forces else standard.force,
    )


def _members(members: Sequence[CandidateMember], names: dict[int, str]) -> list[JobMember]:
    pairs = {frozenset((m.a, m.b)): m for m in reversed(members) if m.a != m.b}
    return [
        JobMember.model_validate({"a": names[m.a], "b": names[m.b]})
        for m in reversed(pairs.values())
    ]


def _supports(supports: Sequence[CandidateSupport], names: dict[int, str]) -> list[JobSupport]:
    surest = {s.joint: s for s in sorted(supports, key=lambda s: s.confidence)}
    return [
        JobSupport(joint=names[s.joint], kind=s.kind, angle_deg=s.angle_deg)
        for s in supports
        if surest[s.joint] is s
    ]


def _load(load: CandidateLoad, names: dict[int, str]) -> JobLoad:
    magnitude = None if load.value is None else _written(load.value, load.unit)
    return JobLoad(joint=names[load.joint], magnitude=magnitude, direction_deg=load.direction_deg)


def _dimension(dimension: CandidateDimension, names: dict[int, str]) -> Dimension:
    """Carry a read dimension over; a slope's value is its rise over its run."""
    joints = [names.get(joint, f"joint{joint}") for joint in dimension.joints]
    value: float | str
    if dimension.kind == "slope":
        value = f"1:{dimension.value:g}"
    elif dimension.kind == "angle":
        value = dimension.value
    else:
        value = _written(dimension.value, dimension.unit)
    return Dimension(kind=dimension.kind, joints=joints, value=value, source="read")


def _written(value: float, unit: str | None) -> float | str:
    return f"{value:g} {unit}" if unit else value
