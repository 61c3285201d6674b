"""From a picture that was brought to a job that can be corrected."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from model.candidate import Alternative, Candidate, Doubt
from model.job import Job, JobPicture
from ui import shelf

__all__ = ["Read", "doubts_of", "read"]


@dataclass(frozen=True)
class Read:
    """What was read: the job, its picture, the doubts; `nothing` says why there is no truss."""

    job: Job
    picture: shelf.Picture
    doubts: tuple[dict[str, Any], ...] = ()
    nothing: str | None = None


def read(content: bytes, name: str, page: int | None = None) -> Read:
    """Read a picture, or a page of a document.

    Raises
    ------
    InputError
        If it is not a picture that can be read.
    """
    from model.tracing import job_from
    from vision.reading import NoTruss, read_picture

    if page is not None:
        from ui.pictures import read_photo

        content, name = read_photo(content, name=name, page=page).jpeg, f"{name}, {page}"
    picture = shelf.put(content, name)
    kept = JobPicture(name=picture.name, sha256=picture.sha256)
    try:
        candidate = read_picture(content, name=name)
    except NoTruss as error:
        return Read(Job(picture=kept), picture, nothing=str(error))
    job = job_from(candidate).model_copy(update={"picture": kept})
    at = {joint.pixel: name for name, joint in job.joints.items()}
    names = {joint.id: at[(joint.x, joint.y)] for joint in candidate.joints}
    return Read(job, picture, doubts_of(candidate, names))


def doubts_of(candidate: Candidate, names: dict[int, str]) -> tuple[dict[str, Any], ...]:
    """Give a reading's doubts with the names of joints instead of their ids.

    Joints that another reading would add are called by their id, as '+12'. Readings
    in the same words are told apart by their joints.
    """

    def named(ids: list[int]) -> list[str]:
        return [names.get(i, f"+{i}") for i in ids]

    def told(other: Alternative, doubt: Doubt) -> str:
        alike = [one for one in doubt.alternatives if one.reading == other.reading]
        if len(alike) < 2:
            return other.reading
        return f"{other.reading} ({'-'.join(named(other.edits[0].joints))})"

    return tuple(
        {
            **doubt.model_dump(),
            "joints": named(doubt.joints),
            "alternatives": [
                {
                    **other.model_dump(),
                    "reading": told(other, doubt),
                    "edits": [
                        {**edit.model_dump(), "joints": named(edit.joints)} for edit in other.edits
                    ],
                }
                for other in doubt.alternatives
            ],
        }
        for doubt in candidate.doubts
    )
