"""States of self-stress: forces that balance at every joint without any load."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from model.truss import Truss
from solver.equilibrium import reactions
from solver.stiffness import ElasticTruss

__all__ = ["self_stress_states"]

FloatArray = NDArray[np.float64]

#: A force below this part of the largest is none.
_NOTHING = 1e-9


def self_stress_states(truss: Truss) -> FloatArray:
    """Find as many independent states of self-stress as a stable truss has redundants.

    Parameters
    ----------
    truss : Truss
        Stable; its loads and properties play no part.

    Returns
    -------
    ndarray, shape (s, m + r)
        Member forces, tension positive, then reaction components in the order
        of `solver.equilibrium.reactions`.  Each state has one member or
        reaction that no other state strains, and a largest force of one.

    Notes
    -----
    The forces of a truss with misfits at random, which carries no load, are a
    state of self-stress; so many of them as there are redundants span all.
    Elimination with full pivoting then makes each as local as may be.

    References
    ----------
    S. Pellegrino, C. R. Calladine, "Matrix analysis of statically and
    kinematically indeterminate frameworks", Int. J. Solids Structures 22
    (1986) 409-428.
    """
    members, held = len(truss.members), len(reactions(truss).joints)
    count = members + held - 2 * len(truss.joints)
    if count == 0:
        return np.empty((0, members + held))
    # Every column of the misfits matters, so all members get the same flexibility.
    plain = replace(truss, properties=(), alike=True)
    random = np.random.default_rng(0)
    right = np.zeros((members + held + 2 * len(truss.joints), count))
    right[: members + held] = random.standard_normal((members + held, count))
    states = ElasticTruss(plain).solve(right)[: members + held].T
    for row in range(count):
        rest = np.abs(states[row:])
        at, column = divmod(int(rest.argmax()), rest.shape[1])
        states[[row, row + at]] = states[[row + at, row]]
        states[row] /= states[row, column]
        others = np.arange(count) != row
        states[others] -= np.outer(states[others, column], states[row])
    states /= np.abs(states).max(axis=1, keepdims=True)
    states[np.abs(states) < _NOTHING] = 0.0
    return states
