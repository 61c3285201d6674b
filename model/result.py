"""What a solved truss answers: the result document, version 1.

Forces in the job's unit, tension positive; displacements in the job's length
unit, x right, y up.
"""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

__all__ = ["CAUTION", "Counts", "ForceEnvelope", "MemberForce", "Result", "Status"]

Status = Literal["determinate", "redundant", "unstable", "rejected"]
Pair = tuple[float, float]

#: Goes with every result that is shown to a person.
CAUTION = (
    "For study and for checking. Idealised: straight members, frictionless pins, loads at "
    "joints, small displacements. Not a design, not an assessment of a real structure: local "
    "codes and a licensed engineer decide."
)


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class Counts(_Part):
    """How many of each, with the independent mechanisms and redundants by rank."""

    joints: int
    members: int
    reactions: int
    mechanisms: int
    redundants: int


class MemberForce(_Part):
    """The force in one member, tension positive, with its range where known."""

    a: str
    b: str
    force: float
    range: Pair | None = None


class ForceEnvelope(_Part):
    """Lowest and highest force of one member, each with the combination that governs."""

    a: str
    b: str
    lowest: float
    lowest_by: str
    highest: float
    highest_by: str


class Result(_Part):
    """The answer to one job.

    `members` holds the forces with every load counted once, `envelope` those
    over the job's combinations, where it has any.
    `mechanism` is the first of `mechanisms`, which lists every independent way
    to move by the joints that move, the farthest by one.
    """

    format: Literal["inkstrut-result"] = "inkstrut-result"
    version: Literal[1] = 1
    status: Status
    counts: Counts
    reason: str | None = None
    warnings: list[str] = []
    reactions: dict[str, Pair] = {}
    members: list[MemberForce] = []
    displacements: dict[str, Pair] | None = None
    mechanism: dict[str, Pair] | None = None
    mechanisms: list[dict[str, Pair]] = []
    envelope: list[ForceEnvelope] = []
    largest_residual: float = 0.0
    caution: str = CAUTION
