"""From a job as it was saved to its result, with ranges where tolerances are given."""

from __future__ import annotations

from typing import TYPE_CHECKING

from model.errors import InputError
from model.job import Job, truss_of
from model.result import Result

if TYPE_CHECKING:
    from model.geometry import Geometry
    from solver.uncertainty import ForceRanges

__all__ = ["has_tolerances", "placed", "ranges_of", "solved", "with_ranges"]


def placed(job: Job) -> Job:
    """Give the job with coordinates at every joint: its own, or those of its dimensions.

    Raises
    ------
    InputError
        If there are no coordinates and the dimensions contradict or leave a joint free.
    """
    if job.placed:
        return job
    from model.geometry import placed_job, settle

    return placed_job(job, settle(job))


def solved(job: Job) -> tuple[Job, Result]:
    """Place the joints, and solve; forces get a range where a tolerance was given.

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

    if not job.joints:
        raise InputError("The job has no joints; trace a truss first.")
    ready = placed(job)
    result = result_of(ready)
    if result.members and has_tolerances(ready):
        result = with_ranges(result, ranges_of(ready))
    return ready, result


def has_tolerances(job: Job) -> bool:
    """Whether a tolerance was given, of a load or of a dimension."""
    given = [load.tolerance for load in job.loads] + [d.tolerance for d in job.dimensions]
    return any(tolerance is not None for tolerance in given)


def ranges_of(job: Job, geometry: Geometry | None = None) -> ForceRanges:
    """Find how far the forces of a placed, solvable job may be from their values.

    Tolerances of loads count always, those of dimensions where they settle the shape.
    """
    from solver.uncertainty import force_ranges

    if geometry is None and job.dimensions:
        from model.geometry import settle

        geometry = settle(job)
    if geometry is None or not geometry.settled:
        return force_ranges(truss_of(job))
    from model.shifts import shifts_of

    return force_ranges(truss_of(job), shifts=shifts_of(job, geometry))


def with_ranges(result: Result, ranges: ForceRanges) -> Result:
    """Put the root-sum-square ranges into a result: as wide as the tolerances are."""
    members = [
        member.model_copy(update={"range": (member.force - half, member.force + half)})
        for member, half in zip(result.members, ranges.root_sum_square.tolist(), strict=False)
    ]
    return result.model_copy(update={"members": members})
