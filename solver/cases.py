"""Load cases, combinations of them with factors, and envelopes with the case that governs.

Forces of elastic trusses add up, so each case is solved once, all of them with
one factorisation, and combinations are sums.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from model.errors import InputError
from model.job import Job, truss_of
from model.truss import SELF_WEIGHT, Truss
from solver.solve import elastic
from solver.stiffness import LENGTH_ERROR, SETTLEMENT, TEMPERATURE, Imposed, Response, imposed

__all__ = ["Cases", "Envelope", "combinations_of", "envelope", "envelope_of", "solve_cases"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

#: What is there whether or not a combination speaks of it; None: loads without a case.
_STANDING: tuple[str | None, ...] = (None, SELF_WEIGHT, TEMPERATURE, LENGTH_ERROR, SETTLEMENT)


@dataclass(frozen=True, eq=False)
class Cases:
    """The answers of a truss to each of its c cases alone.

    Attributes
    ----------
    truss : Truss
    names : tuple of str or None, length c
        Load cases in the order of the loads (None: loads without a case), then
        ``self-weight``, ``temperature``, ``length error`` and ``settlement``
        where the truss has them.
    forces : ndarray, shape (m, c)
    reactions : ndarray, shape (r, c)
    displacements : ndarray, shape (n, 2, c), or None
    """

    truss: Truss
    names: tuple[str | None, ...]
    forces: FloatArray
    reactions: FloatArray
    displacements: FloatArray | None

    def combined(self, factors: Mapping[str, float], name: str = "") -> Response:
        """Add up cases.

        Parameters
        ----------
        factors : dict
            Factor of each case.  Loads without a case, self-weight,
            temperature, length errors and settlements count once where no
            factor is given; load cases not named count zero.
        name : str
            Of the combination, for the error's sentence.

        Raises
        ------
        InputError
            If a factor is given for a case that the truss does not have.
        """
        named = [case for case in self.names if case is not None]
        for case in factors:
            if case not in named:
                there = ", ".join(named) or "none; give the loads a case"
                raise InputError(
                    f"Combination '{name}' names the case '{case}', which no load has; the cases"
                    f" are: {there}."
                )
        weights = np.array(
            [
                factors.get(case, float(case in _STANDING)) if case is not None else 1.0
                for case in self.names
            ]
        )
        moved = None if self.displacements is None else self.displacements @ weights
        return Response(self.forces @ weights, self.reactions @ weights, moved)


@dataclass(frozen=True, eq=False)
class Envelope:
    """The lowest and highest force of every member and reaction over k combinations.

    Attributes
    ----------
    names : tuple of str, length k
    forces, reactions : ndarray, shape (m, k) and (r, k)
        Of each combination.
    lowest, highest : ndarray, shape (m,)
    lowest_by, highest_by : ndarray of int, shape (m,)
        The combination that governs: a position in `names`.
    lowest_reactions, highest_reactions : ndarray, shape (r,)
    lowest_reactions_by, highest_reactions_by : ndarray of int, shape (r,)
    """

    names: tuple[str, ...]
    forces: FloatArray
    reactions: FloatArray
    lowest: FloatArray
    highest: FloatArray
    lowest_by: IntArray
    highest_by: IntArray
    lowest_reactions: FloatArray
    highest_reactions: FloatArray
    lowest_reactions_by: IntArray
    highest_reactions_by: IntArray


def solve_cases(truss: Truss) -> Cases:
    """Solve every case of a truss with one factorisation.

    Raises
    ------
    InputError
        If the truss cannot be solved, with the reason.
    """
    solver = elastic(truss)
    names = _names(truss)
    columns: list[dict[str | None, float]] = [{name: 1.0} for name in names]
    loads = np.stack([truss.load_vector(column) for column in columns], axis=-1)
    each = [imposed(truss, column) for column in columns]
    made_to = Imposed(
        np.stack([one.elongations for one in each], axis=-1),
        np.stack([one.settlements for one in each], axis=-1),
    )
    response = solver.respond(loads, made_to)
    return Cases(truss, names, response.forces, response.reactions, response.displacements)


def envelope(cases: Cases, combinations: Mapping[str, Mapping[str, float]]) -> Envelope:
    """Find the lowest and highest force of each member and reaction, and what governs.

    Parameters
    ----------
    cases : Cases
    combinations : dict
        At least one; factors of the cases (see `Cases.combined`) by name.  Of
        equals the first governs.

    Raises
    ------
    InputError
        If a combination names a case that is not there.
    """
    answers = [cases.combined(factors, name) for name, factors in combinations.items()]
    forces = np.stack([answer.forces for answer in answers], axis=-1)
    reactions = np.stack([answer.reactions for answer in answers], axis=-1)
    return Envelope(
        tuple(combinations),
        forces,
        reactions,
        forces.min(axis=1),
        forces.max(axis=1),
        forces.argmin(axis=1),
        forces.argmax(axis=1),
        reactions.min(axis=1),
        reactions.max(axis=1),
        reactions.argmin(axis=1),
        reactions.argmax(axis=1),
    )


def combinations_of(job: Job) -> dict[str, dict[str, float]]:
    """Combinations of a job by name; without any, each load case alone and all together.

    Raises
    ------
    InputError
        If two combinations have the same name.
    """
    names = [combination.name for combination in job.combinations]
    for name in names:
        if names.count(name) > 1:
            raise InputError(f"Two combinations are named '{name}'; rename one of them.")
    if names:
        return {c.name: dict(c.factors) for c in job.combinations}
    cases = list(dict.fromkeys(load.case for load in job.loads if load.case is not None))
    together = {"all together": dict.fromkeys(cases, 1.0)}
    return {case: {case: 1.0} for case in cases} | together


def envelope_of(job: Job) -> Envelope:
    """Find the envelope of a job's combinations (see `combinations_of`).

    Raises
    ------
    InputError
        If the truss cannot be solved, or a combination cannot be used.
    """
    return envelope(solve_cases(truss_of(job)), combinations_of(job))


def _names(truss: Truss) -> tuple[str | None, ...]:
    names = list(dict.fromkeys(load.case for load in truss.loads))
    if truss.own_weight.any():
        names.append(SELF_WEIGHT)
    for case in (TEMPERATURE, LENGTH_ERROR, SETTLEMENT):
        if imposed(truss, {case: 1.0}):
            names.append(case)
    return tuple(dict.fromkeys(names)) or (None,)
