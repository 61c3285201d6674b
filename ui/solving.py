"""From a job as it was saved to its result."""

from __future__ import annotations

from model.job import Job
from model.result import Result

__all__ = ["placed", "solved"]


def placed(job: Job) -> Job:
    """Give the job with coordinates at every joint, from its dimensions where it has any.

    Raises
    ------
    InputError
        If the dimensions contradict or leave a joint free.
    """
    if job.placed and not job.dimensions:
        return job
    from model.geometry import placed_job, settle

    return placed_job(job, settle(job))


def solved(job: Job) -> tuple[Job, Result]:
    """Place the joints, and solve.

    Returns
    -------
    tuple of Job and Result
        The job with coordinates at every joint, and its result.

    Raises
    ------
    InputError
        If a typed value cannot be read, or the dimensions do not fix the joints.
    """
    from solver.solve import result_of

    job = placed(job)
    return job, result_of(job)
