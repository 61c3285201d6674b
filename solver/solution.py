"""What a truss answers to its loads."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from model.result import Status
from model.truss import Truss
from solver import equilibrium

__all__ = ["Solution"]

FloatArray = NDArray[np.float64]


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
        Why there are no forces, or no displacements where stiffness was given
        in part; a sentence for each cause, naming joints or members.
    forces : ndarray, shape (m,), or None
        Member forces, tension positive.
    reactions : ndarray, shape (r,), or None
        Reaction components in the order of `solver.equilibrium.reactions`.
    displacements : ndarray, shape (n, 2), or None
        Where stiffness is known.
    mechanisms : ndarray, shape (k, n, 2)
        Independent ways to move; the joint that moves most moves by one.  At
        most 64 are worked out above 300 joints.
    freedoms : int
        How many independent ways to move there are.
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
    freedoms: int = 0
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
        at = [self.truss.index[support.joint] for support in self.truss.supports]
        values = total[at].tolist()
        return {s.joint: (x, y) for s, (x, y) in zip(self.truss.supports, values, strict=True)}
