"""From a picture that was brought to a job that can be corrected."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from model.job import Job, JobPicture
from ui import shelf
from ui.session import doubts_of

__all__ = ["Read", "read"]


@dataclass(frozen=True)
class Read:
    """What was read: the job, its picture, the doubts; `nothing` says why there is no truss."""

    job: Job
    picture: shelf.Picture
    doubts: tuple[dict[str, Any], ...] = ()
    nothing: str | None = None


def read(content: bytes, name: str, page: int | None = None) -> Read:
    """Read a picture.

    Raises
    ------
    InputError
        If it is not a picture that can be read.
    """
    from model.tracing import job_from
    from vision.reading import NoTruss, read_picture

    picture = shelf.put(content, name)
    kept = JobPicture(name=picture.name, sha256=picture.sha256)
    try:
        candidate = read_picture(content, name=name, page=page)
    except NoTruss as error:
        return Read(Job(picture=kept), picture, nothing=str(error))
    job = job_from(candidate).model_copy(update={"picture": kept})
    names = dict(zip((j.id for j in candidate.joints), job.joints, strict=True))
    return Read(job, picture, doubts_of(candidate, names))
