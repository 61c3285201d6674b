"""The front of the solver: from a truss to its forces, or to the reason why there are none."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from model.errors import InputError
from model.job import Job, truss_of
from model.result import Counts, ForceEnvelope, MemberForce, Result
from model.truss import Truss
from solver import equilibrium
from solver.reasons import refusal, unstable
from solver.solution import Solution
from solver.warnings import warnings_of

if TYPE_CHECKING:
    from solver.stiffness import ElasticTruss

__all__ = ["Solution", "elastic", "result_of", "solve"]

FloatArray = NDArray[np.float64]
Factors = dict[str | None, float]

#: Up to this many equations the matrix is kept dense: a library call costs more than the zeros.
_SMALL = 64
#: A smallest singular value, as a part of the largest, above which the rank is beyond doubt.
_SURE = 5e-10
#: A remainder above this part of the largest load is worked off once more.
_TIGHT = 1e-11


def solve(truss: Truss, factors: Factors | None = None) -> Solution:
    """Find reactions and member forces.

    Parameters
    ----------
    truss : Truss
    factors : dict, optional
        Factor of each load case; without it every load counts once.

    Returns
    -------
    Solution
        Never raises for a truss that cannot be solved: its status and reason
        say so.

    Notes
    -----
    A determinate truss is solved from the equations of equilibrium alone, by
    sparse LU factors.  The same factors applied to a random vector bound the
    smallest singular value; only when that leaves the rank in doubt, or the
    counts do not balance, is the rank itself worked out (`solver.rank`).
    """
    loads = truss.load_vector(factors)
    reason = refusal(truss, loads)
    if reason is not None:
        return Solution(truss, "rejected", loads, reason)
    columns = equilibrium.columns(truss)
    square = len(columns.starts) - 1 == loads.size
    if square:
        direct = (_dense if loads.size <= _SMALL else _sparse)(columns, loads.ravel())
        if direct.smallest > _SURE:
            return _moved(_determinate(truss, loads, direct, direct.smallest), factors)
    from solver.rank import rank_of

    rank = rank_of(equilibrium.equilibrium_matrix(truss))
    if len(rank.mechanisms):
        said = unstable(truss, rank.mechanisms)
        return Solution(
            truss,
            "unstable",
            loads,
            said,
            mechanisms=rank.mechanisms,
            freedoms=rank.freedoms,
            redundants=rank.redundants,
        )
    if square:
        return _moved(_determinate(truss, loads, direct, rank.smallest), factors)
    bare = Solution(
        truss, "redundant", loads, redundants=rank.redundants, condition=1.0 / rank.smallest
    )
    return _redundant(bare, factors)


def result_of(job: Job) -> Result:
    """Solve a job and give the result document.

    Parameters
    ----------
    job : Job
        Checked (see `model.job.read_job`), with coordinates for every joint.

    Raises
    ------
    InputError
        If a joint has no coordinates, a typed value cannot be read, or a
        combination names a case that no load has.
    """
    truss = truss_of(job)
    solution = solve(truss)
    forces = [] if solution.forces is None else solution.forces.tolist()
    ways = [_moving(truss, mechanism) for mechanism in solution.mechanisms]
    return Result(
        status=solution.status,
        counts=Counts(
            joints=len(truss.joints),
            members=len(truss.members),
            reactions=sum(len(support.directions) for support in truss.supports),
            mechanisms=solution.freedoms,
            redundants=solution.redundants,
        ),
        reason=solution.reason,
        warnings=[] if solution.status == "rejected" else warnings_of(solution, job.units.force),
        reactions=solution.reaction_at,
        members=[
            MemberForce(a=member.a, b=member.b, force=force)
            for member, force in zip(job.members, forces, strict=False)
        ],
        displacements=_by_name(truss, solution.displacements),
        mechanism=ways[0] if ways else None,
        mechanisms=ways,
        envelope=_envelope(job, truss) if job.combinations and forces else [],
        largest_residual=solution.residual,
    )


def elastic(truss: Truss) -> ElasticTruss:
    """Give a stable truss factorised once, to be solved for many loads.

    Raises
    ------
    InputError
        With the reason, if the truss cannot be solved.
    """
    from solver.stiffness import ElasticTruss

    solution = solve(truss)
    if solution.forces is None:
        raise InputError(solution.reason or "The truss cannot be solved.")
    return ElasticTruss(truss)


class _Direct(NamedTuple):
    """Forces and reactions by elimination, what is left over, and how safe the rank is."""

    unknowns: FloatArray
    residual: float
    smallest: float


def _determinate(truss: Truss, loads: FloatArray, direct: _Direct, smallest: float) -> Solution:
    count = len(truss.members)
    return Solution(
        truss,
        "determinate",
        loads,
        forces=direct.unknowns[:count],
        reactions=direct.unknowns[count:],
        condition=1.0 / smallest,
        residual=direct.residual,
    )


def _dense(columns: equilibrium.Columns, loads: FloatArray) -> _Direct:
    matrix = columns.dense(loads.size)
    right = np.eye(loads.size, loads.size + 1, 1)
    right[:, 0] = -loads
    try:
        both = np.linalg.solve(matrix, right)
    except np.linalg.LinAlgError:
        return _Direct(np.zeros(loads.size), 0.0, 0.0)
    unknowns = np.array(both[:, 0], dtype=float)
    left_over = matrix @ unknowns + loads
    if np.abs(left_over).max() > _TIGHT * np.abs(loads).max():
        # Close to a critical form the forces are so large that the remainder drowns in the
        # rounding of the products; a longer word finds it.
        exact = matrix.astype(np.longdouble)
        unknowns -= both[:, 1:] @ (exact @ unknowns + loads).astype(float)
        left_over = (exact @ unknowns + loads).astype(float)
    smallest = 1.0 / float(np.linalg.norm(both[:, 1:]) * _largest(columns, loads.size))
    return _Direct(unknowns, float(np.abs(left_over).max()), smallest)


def _sparse(columns: equilibrium.Columns, loads: FloatArray) -> _Direct:
    from scipy.sparse.linalg import splu

    matrix = columns.sparse(loads.size)
    try:
        # Trusses have few members a joint: columns gathered in panels only cost time.
        factors = splu(matrix, panel_size=1)
    except RuntimeError:  # a pivot is exactly zero
        return _Direct(np.zeros(loads.size), 0.0, 0.0)
    # The cosines of the squares are as good as noise, the same each time, and cost nothing.
    noise = np.cos(np.arange(loads.size, dtype=float) ** 2)
    both = factors.solve(np.column_stack([-loads, noise]))
    unknowns = both[:, 0]
    left_over = np.asarray(matrix @ unknowns + loads)
    if np.abs(left_over).max() > _TIGHT * np.abs(loads).max():
        unknowns = unknowns - factors.solve(left_over)
        left_over = np.asarray(matrix @ unknowns + loads)
    # Noise of variance 1/2 has about that much of the direction which the matrix shrinks most.
    shrunk = math.sqrt(2.0) * float(np.linalg.norm(both[:, 1]))
    smallest = 1.0 / (shrunk * _largest(columns, loads.size))
    return _Direct(unknowns, float(np.abs(left_over).max()), smallest)


def _largest(columns: equilibrium.Columns, equations: int) -> float:
    """Largest norm of a row: not above the largest singular value, and close to it."""
    return math.sqrt(np.bincount(columns.rows, columns.data**2, minlength=equations).max())


def _moved(solution: Solution, factors: Factors | None) -> Solution:
    """Add the displacements of a determinate truss, where something is said of its members."""
    if not solution.truss.properties or solution.forces is None:
        return solution
    from solver.stiffness import displacements

    try:
        moved = displacements(solution.truss, solution.forces, factors)
    except InputError as error:
        return replace(solution, reason=str(error))
    return replace(solution, displacements=moved)


def _redundant(bare: Solution, factors: Factors | None) -> Solution:
    """Add forces and displacements, or the reason why stiffness leaves them open."""
    from solver.stiffness import respond

    try:
        response = respond(bare.truss, bare.loads, factors)
    except InputError as error:
        return replace(bare, reason=str(error))
    unknowns = np.concatenate([response.forces, response.reactions])
    left_over = equilibrium.equilibrium_matrix(bare.truss) @ unknowns + bare.loads.ravel()
    return replace(
        bare,
        forces=response.forces,
        reactions=response.reactions,
        displacements=response.displacements,
        residual=float(np.abs(left_over).max(initial=0.0)),
    )


def _envelope(job: Job, truss: Truss) -> list[ForceEnvelope]:
    from solver.cases import combinations_of, envelope, solve_cases

    found = envelope(solve_cases(truss), combinations_of(job))
    return [
        ForceEnvelope(
            a=member.a,
            b=member.b,
            lowest=float(found.lowest[position]),
            lowest_by=found.names[found.lowest_by[position]],
            highest=float(found.highest[position]),
            highest_by=found.names[found.highest_by[position]],
        )
        for position, member in enumerate(job.members)
    ]


def _moving(truss: Truss, mechanism: FloatArray) -> dict[str, tuple[float, float]]:
    """The joints that move, with their displacements."""
    moving = np.flatnonzero(mechanism.any(axis=1)).tolist()
    return {truss.joints[joint]: _pair(mechanism[joint]) for joint in moving}


def _by_name(
    truss: Truss, displacements: FloatArray | None
) -> dict[str, tuple[float, float]] | None:
    if displacements is None:
        return None
    return dict(zip(truss.joints, map(_pair, displacements), strict=True))


def _pair(values: FloatArray) -> tuple[float, float]:
    return float(values[0]), float(values[1])
