"""The front of the solver: from a truss to its forces, or to the reason why there are none."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from model.result import Status
from model.truss import Truss
from solver import equilibrium
from solver.reasons import refusal, unstable

__all__ = ["Solution", "solve"]

FloatArray = NDArray[np.float64]

#: Up to this many equations the matrix is kept dense: a library call costs more than the zeros.
_SMALL = 64
#: A smallest singular value, as a part of the largest, above which the rank is beyond doubt.
_SURE = 1e-8
#: A remainder above this part of the largest load is worked off once more.
_TIGHT = 1e-13


@dataclass(frozen=True, eq=False)
class Solution:
    """What a truss answers to its loads.

    Attributes
    ----------
    truss : Truss
    status : {'determinate', 'redundant', 'unstable', 'rejected'}
        'unstable' whenever some joint can move, whatever the counts and loads.
    loads : ndarray, shape (n, 2)
        The sum of the loads on each joint.
    reason : str or None
        Why there are no forces, in one sentence that names joints.
    forces : ndarray, shape (m,), or None
        Member forces, tension positive.
    reactions : ndarray, shape (r,), or None
        Reaction components in the order of `solver.equilibrium.reactions`.
    displacements : ndarray, shape (n, 2), or None
        Where stiffness is known.
    mechanisms : ndarray, shape (k, n, 2)
        Independent ways to move; the joint that moves most moves by one.
    redundants : int
        Independent states of self-stress.
    condition : float
        Largest over smallest singular value of the equilibrium matrix, estimated.
    residual : float
        Largest force left over at any joint, along x or y.
    """

    truss: Truss
    status: Status
    loads: FloatArray
    reason: str | None = None
    forces: FloatArray | None = None
    reactions: FloatArray | None = None
    displacements: FloatArray | None = None
    mechanisms: FloatArray = field(default_factory=lambda: np.empty((0, 0, 2)))
    redundants: int = 0
    condition: float = 1.0
    residual: float = 0.0

    @property
    def largest(self) -> float:
        """Largest size of any load, member force or reaction component."""
        parts = (self.loads, self.forces, self.reactions)
        return max(float(np.abs(p).max(initial=0.0)) for p in parts if p is not None)

    @cached_property
    def unknowns(self) -> list[float]:
        """Member forces, then reaction components; empty where there are none."""
        if self.forces is None or self.reactions is None:
            return []
        return [*self.forces.tolist(), *self.reactions.tolist()]

    @cached_property
    def reaction_at(self) -> dict[str, tuple[float, float]]:
        """Reaction at each support by its joint's name, as x and y components."""
        if self.reactions is None:
            return {}
        held = equilibrium.reactions(self.truss)
        total = np.zeros((len(self.truss.joints), 2))
        np.add.at(total, held.joints, held.directions * self.reactions[:, None])
        return {s.joint: _pair(total[self.truss.index[s.joint]]) for s in self.truss.supports}


def solve(truss: Truss, factors: dict[str | None, float] | None = None) -> Solution:
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
    reason = refusal(truss)
    if reason is not None:
        return Solution(truss, "rejected", np.zeros_like(truss.points), reason)
    loads = truss.load_vector(factors)
    columns = equilibrium.columns(truss)
    square = len(columns.starts) - 1 == loads.size
    if square:
        direct = (_dense if loads.size <= _SMALL else _sparse)(columns, loads.ravel())
        if direct.smallest > _SURE:
            return _determinate(truss, loads, direct, direct.smallest)
    from solver.rank import rank_of

    rank = rank_of(equilibrium.equilibrium_matrix(truss))
    if len(rank.mechanisms):
        said = unstable(truss, rank.mechanisms)
        return Solution(
            truss, "unstable", loads, said, mechanisms=rank.mechanisms, redundants=rank.redundants
        )
    if square:
        return _determinate(truss, loads, direct, rank.smallest)
    return Solution(
        truss,
        "redundant",
        loads,
        "The truss is redundant; it needs E and A of its members.",
        redundants=rank.redundants,
    )


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


def _pair(values: FloatArray) -> tuple[float, float]:
    return float(values[0]), float(values[1])
