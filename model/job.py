"""The saved job: the document, version 1, and what must be true of it.

World coordinates: x right, y up. Forces in the job's unit, tension positive.
The document keeps what a person typed as it was typed (``12'-6"``, ``3 kN``);
`truss_of` reads it.
"""

from __future__ import annotations

import json
import math
import re
from collections import Counter
from typing import Any, Literal

import numpy as np
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from model import truss as _truss
from model import units
from model.errors import InputError

__all__ = [
    "Answer",
    "Combination",
    "Dimension",
    "Job",
    "JobJoint",
    "JobLoad",
    "JobMember",
    "JobPicture",
    "JobSupport",
    "JobUnits",
    "read_job",
    "truss_of",
]

#: A value as a person writes it, in the job's unit when it is a bare number.
Typed = float | str
JOINT_NAME = re.compile(r"^[^\W_]\w{0,15}['′]?$")
_MOST_LOADS_ON_A_JOINT = 200


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class JobUnits(_Part):
    """The units of bare numbers and of the answers."""

    length: str = "m"
    force: str = "kN"


class JobJoint(_Part):
    """World coordinates once they are known, and the place in the picture if there is one."""

    x: float | None = None
    y: float | None = None
    pixel: tuple[float, float] | None = None


class JobMember(_Part):
    """A member between joints `a` and `b`, with its properties in the job's units."""

    a: str
    b: str
    area: float | None = Field(None, gt=0)
    modulus: float | None = Field(None, gt=0)
    inertia: float | None = Field(None, gt=0)
    temperature_change: float | None = None
    expansion: float | None = None
    length_error: float | None = None
    weight_per_length: float | None = Field(None, ge=0)


class JobSupport(_Part):
    """A support; `angle_deg` is the direction in which it pushes on the truss."""

    joint: str
    kind: Literal["pin", "roller"]
    angle_deg: float = 90.0
    settlement: tuple[float, float] = (0.0, 0.0)


class JobLoad(_Part):
    """A load by components, or by magnitude with a direction or a slope (run, rise)."""

    joint: str
    fx: Typed = 0.0
    fy: Typed = 0.0
    magnitude: Typed | None = None
    direction_deg: float | None = None
    slope: tuple[float, float] | None = None
    case: str | None = None
    tolerance: Typed | None = None


class Dimension(_Part):
    """One thing said about the geometry.

    `joints` names the joints it is about, in the order each kind asks for (see
    `model.geometry`); `value` is kept as typed. A joint that no longer exists
    is kept, so that the entry can be repaired.
    """

    kind: Literal[
        "length",
        "horizontal",
        "vertical",
        "angle",
        "angle_between",
        "slope",
        "x",
        "y",
        "equal",
        "level",
        "plumb",
        "collinear",
        "symmetric",
        "bays",
    ]
    joints: list[str]
    value: Typed | None = None
    tolerance: Typed | None = None
    source: Literal["typed", "read", "assumed"] = "typed"
    active: bool = True


class Combination(_Part):
    """A named sum of load cases, each with its factor."""

    name: str
    factors: dict[str, float]


class Answer(_Part):
    """A person's own value for a member ('AB', 'A-B') or a reaction component ('Ax', 'Ay')."""

    what: str
    value: Typed
    unit: str | None = None


class JobPicture(_Part):
    """The picture the job was traced from; `data` is base64 where it travels along.

    `turn` is how far the file's upright picture is turned, in degrees clockwise; the
    pixels of the joints are those of the picture so turned.
    """

    name: str
    sha256: str
    data: str | None = None
    turn: int = Field(default=0, ge=0, lt=360, multiple_of=90)


class Job(_Part):
    """Everything a person has said and drawn about one truss."""

    format: Literal["inkstrut-job"] = "inkstrut-job"
    version: Literal[1] = 1
    title: str = ""
    units: JobUnits = JobUnits()
    joints: dict[str, JobJoint] = {}
    members: list[JobMember] = []
    supports: list[JobSupport] = []
    loads: list[JobLoad] = []
    dimensions: list[Dimension] = []
    combinations: list[Combination] = []
    answers: list[Answer] = []
    alike: bool = False
    picture: JobPicture | None = None

    @property
    def placed(self) -> bool:
        """Whether every joint has its world coordinates."""
        return all(j.x is not None and j.y is not None for j in self.joints.values())


def read_job(text: str | bytes | dict[str, Any]) -> Job:
    """Read a job document and check it.

    Parameters
    ----------
    text : str, bytes or dict
        The JSON document.

    Raises
    ------
    InputError
        In one sentence that names the entry, if the document is not JSON, not
        a job, from a newer version, or refers to what is not there.
    """
    if not isinstance(text, dict):
        try:
            text = json.loads(text)
        except (ValueError, UnicodeDecodeError) as error:
            raise InputError("The job is not a JSON document; choose a saved job file.") from error
    if not isinstance(text, dict) or text.get("format") != "inkstrut-job":
        raise InputError("The document is not an Inkstrut job; choose a saved job file.")
    version = text.get("version")
    if isinstance(version, int) and version > 1:
        raise InputError(
            f"The job is of version {version}, newer than this program reads (1); update Inkstrut."
        )
    try:
        job = Job.model_validate(text)
    except ValidationError as error:
        raise InputError(_sentence(error)) from None
    check(job)
    return job


def check(job: Job) -> None:
    """Refuse a job whose parts do not fit together, naming the first that does not."""
    for name in job.joints:
        if not JOINT_NAME.match(name):
            raise InputError(
                f"Joint name '{name[:40]}': use up to 16 letters and digits, without spaces."
            )
    _check_members(job)
    for position, support in enumerate(job.supports, 1):
        _known(job, support.joint, f"Support {position}")
    twice = [j for j, n in Counter(s.joint for s in job.supports).items() if n > 1]
    if twice:
        raise InputError(f"Joint {twice[0]} has more than one support; keep one of them.")
    for position, load in enumerate(job.loads, 1):
        _known(job, load.joint, f"Load {position}")
    for joint, number in Counter(load.joint for load in job.loads).items():
        if number > _MOST_LOADS_ON_A_JOINT:
            raise InputError(
                f"Joint {joint} carries {number} loads; add them up to {_MOST_LOADS_ON_A_JOINT}"
                " or fewer."
            )


def _check_members(job: Job) -> None:
    seen: set[frozenset[str]] = set()
    for position, member in enumerate(job.members, 1):
        entry = f"Member {position} ({member.a}-{member.b})"
        _known(job, member.a, entry)
        _known(job, member.b, entry)
        if member.a == member.b:
            raise InputError(f"{entry} begins and ends at the same joint; choose two joints.")
        if frozenset((member.a, member.b)) in seen:
            raise InputError(f"{entry} is there twice; remove one of the two.")
        seen.add(frozenset((member.a, member.b)))
        a, b = job.joints[member.a], job.joints[member.b]
        if a.x is not None and a.y is not None and (a.x, a.y) == (b.x, b.y):
            raise InputError(f"{entry} has no length: both joints are at ({a.x:g}, {a.y:g}).")


def _known(job: Job, joint: str, entry: str) -> None:
    if joint not in job.joints:
        raise InputError(f"{entry} names joint '{joint[:40]}', which is not among the joints.")


def truss_of(job: Job) -> _truss.Truss:
    """Give the truss that a checked and fully placed job describes.

    Raises
    ------
    InputError
        If a joint has no coordinates yet, or a typed value cannot be read.
    """
    for name, joint in job.joints.items():
        if joint.x is None or joint.y is None:
            raise InputError(
                f"Joint {name} has no coordinates yet; give the dimensions that fix it."
            )
    names = tuple(job.joints)
    index = {name: position for position, name in enumerate(names)}
    properties = tuple(
        _truss.MemberProperties(**member.model_dump(exclude={"a", "b"})) for member in job.members
    )
    nothing_said = all(p == _truss.MemberProperties() for p in properties)
    return _truss.Truss(
        joints=names,
        points=np.array([(j.x, j.y) for j in job.joints.values()], float).reshape(-1, 2),
        members=np.array([(index[m.a], index[m.b]) for m in job.members], np.intp).reshape(-1, 2),
        supports=tuple(
            _truss.Support(s.joint, s.kind, s.angle_deg, s.settlement) for s in job.supports
        ),
        loads=tuple(
            load_of(load, job.units.force, f"Load {position} (joint {load.joint})")
            for position, load in enumerate(job.loads, 1)
        ),
        properties=() if nothing_said else properties,
        alike=job.alike,
    )


def load_of(load: JobLoad, unit: str, entry: str) -> _truss.Load:
    """Read a load's typed values into components in `unit`."""
    fx = units.force(load.fx, unit, entry=entry)
    fy = units.force(load.fy, unit, entry=entry)
    if load.magnitude is not None:
        if fx or fy:
            raise InputError(f"{entry}: give components or a magnitude, not both.")
        fx, fy = _components(load, units.force(load.magnitude, unit, entry=entry), entry)
    elif load.direction_deg is not None or load.slope is not None:
        raise InputError(f"{entry}: a direction needs a magnitude; give one.")
    tolerance = None
    if load.tolerance is not None:
        tolerance = abs(units.force(load.tolerance, unit, entry=f"{entry}, tolerance"))
    return _truss.Load(load.joint, fx, fy, load.case, tolerance)


def _components(load: JobLoad, magnitude: float, entry: str) -> tuple[float, float]:
    if (load.direction_deg is None) == (load.slope is None):
        raise InputError(
            f"{entry}: give a direction or a slope with the magnitude, one of the two."
        )
    if load.slope is not None:
        run, rise = load.slope
        length = math.hypot(run, rise)
        if length == 0:
            raise InputError(f"{entry}: a slope of 0:0 has no direction; give run and rise.")
        return magnitude * run / length, magnitude * rise / length
    (direction,) = _truss.Support(load.joint, "roller", load.direction_deg or 0.0).directions
    return magnitude * float(direction[0]), magnitude * float(direction[1])


def _sentence(error: ValidationError) -> str:
    first = error.errors()[0]
    place = " → ".join(
        str(part + 1) if isinstance(part, int) else str(part)[:40]
        for part in first["loc"]
        if part not in ("float", "str")
    )
    said = first["msg"][:1].lower() + first["msg"][1:]
    return f"The job's entry {place or 'as a whole'} cannot be used: {said}."
