"""From a job as it was saved to its result."""

from __future__ import annotations

from model.job import Job
from model.result import Result

__all__ = ["solved"]


def solved(job: Job) -> tuple[Job, Result]:
    """Place the joints by the dimensions where that is still to do, and solve.

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

    if not job.placed or job.dimensions:
        from model.geometry import placed_job, settle

        job = placed_job(job, settle(job))
    return job, result_of(job)
