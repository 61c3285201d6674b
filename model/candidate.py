"""What was read from a picture: the candidate document, version 1.

Pixels of the upright picture: origin top left, x right, y down. Angles in
degrees, counter-clockwise positive as seen, 0 to the right.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

__all__ = [
    "Alternative",
    "Candidate",
    "CandidateDimension",
    "CandidateJoint",
    "CandidateLoad",
    "CandidateMember",
    "CandidateSupport",
    "Doubt",
    "Edit",
    "PictureFacts",
    "WrittenText",
]

Confidence = Annotated[float, Field(ge=0.0, le=1.0)]


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class PictureFacts(_Part):
    """Name, size in pixels (upright) and checksum of the picture that was read."""

    name: str
    width: int = Field(gt=0)
    height: int = Field(gt=0)
    sha256: str


class CandidateJoint(_Part):
    """A joint at pixel (x, y), with the letter written beside it if one was read."""

    id: int
    x: float
    y: float
    label: str | None = None
    confidence: Confidence = 1.0


class CandidateMember(_Part):
    """A member between the joints with ids `a` and `b`."""

    a: int
    b: int
    confidence: Confidence = 1.0


class CandidateSupport(_Part):
    """A support; `angle_deg` is the direction in which it pushes on the truss."""

    joint: int
    kind: Literal["pin", "roller"]
    angle_deg: float = 90.0
    confidence: Confidence = 1.0


class CandidateLoad(_Part):
    """A load; `direction_deg` is the direction in which it acts."""

    joint: int
    direction_deg: float
    value: float | None = None
    unit: str | None = None
    confidence: Confidence = 1.0


class CandidateDimension(_Part):
    """A written dimension and the joints it belongs to."""

    kind: Literal["length", "horizontal", "vertical", "angle", "slope"]
    joints: list[int]
    value: float
    unit: str | None = None
    confidence: Confidence = 1.0


class WrittenText(_Part):
    """Writing found at `box` (x0, y0, x1, y1); `text` is empty where it was not read."""

    text: str
    box: tuple[float, float, float, float]
    confidence: Confidence = 1.0


class Edit(_Part):
    """One change that another reading would make to the candidate.

    `joints` are ids; `at` is a pixel position. ``split_member`` puts a new joint
    at `at` into the member between two joints; ``join_members`` turns a crossing
    of two members (four ids: a, b, c, d) into a joint at `at`; ``set_support``
    and ``set_load`` replace what the joint carries by `kind` and `angle_deg`.
    """

    do: Literal[
        "add_joint",
        "remove_joint",
        "merge_joints",
        "split_member",
        "join_members",
        "add_member",
        "remove_member",
        "set_support",
        "remove_support",
        "set_load",
        "remove_load",
    ]
    joints: list[int] = []
    at: tuple[float, float] | None = None
    kind: Literal["pin", "roller"] | None = None
    angle_deg: float | None = None


class Alternative(_Part):
    """The next-best reading of something doubtful, in words and as edits."""

    reading: str
    edits: list[Edit]
    confidence: Confidence = 0.5


class Doubt(_Part):
    """Something the reader is not sure of, least sure first in the candidate's list."""

    about: Literal["joint", "member", "support", "load", "dimension", "truss"]
    joints: list[int]
    reason: str
    alternatives: list[Alternative] = []


class Candidate(_Part):
    """Everything that was read from one picture."""

    format: Literal["inkstrut-candidate"] = "inkstrut-candidate"
    version: Literal[1] = 1
    picture: PictureFacts
    joints: list[CandidateJoint]
    members: list[CandidateMember]
    supports: list[CandidateSupport] = []
    loads: list[CandidateLoad] = []
    dimensions: list[CandidateDimension] = []
    texts: list[WrittenText] = []
    doubts: list[Doubt] = []
    seconds: float = 0.0
