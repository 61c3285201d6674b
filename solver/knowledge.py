"""What is known so far of the forces in a truss, as the working goes on."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from model.truss import Truss
from solver import equilibrium
from solver.steps import Acting, Vector

__all__ = ["Knowledge"]

#: A force below this part of the largest is a rounding error of the steps before it.
_NOTHING = 1e-11


class Knowledge:
    """The forces found so far, by the columns of the equilibrium matrix.

    Parameters
    ----------
    truss : Truss
    loads : ndarray, shape (n, 2)
        The sum of the loads on each joint.
    largest : float
        The largest force to be expected, against which rounding errors are told.

    Attributes
    ----------
    truss : Truss
    values : list of float or None
        Force of each column (members, then reaction components); None while unknown.
    columns_at : list of list of int
        The columns that act on each joint.
    unknown_at : list of int
        How many of them are unknown.
    open : int
        How many are unknown altogether.
    ends : list of tuple of int
        The two joints of a member; a reaction's joint twice.
    """

    def __init__(self, truss: Truss, loads: NDArray[np.float64], largest: float) -> None:
        """Begin with no force known."""
        held = equilibrium.reactions(truss)
        self.truss = truss
        self.values: list[float | None] = [None] * (len(truss.members) + len(held.joints))
        self.ends: list[tuple[int, int]] = [
            *map(tuple, truss.members.tolist()),
            *((joint, joint) for joint in held.joints.tolist()),
        ]
        units = np.vstack([truss.vectors / truss.lengths[:, None], held.directions])
        units[np.abs(units) < 1e-12] = 0.0
        self._units: list[Vector] = [*map(tuple, units.tolist())]
        self._vectors: list[Vector] = [*map(tuple, truss.vectors.tolist())]
        self._names = [truss.member_name(i) for i in range(len(truss.members))]
        self._names += [
            _reaction_name(truss.joints[joint], unit)
            for joint, unit in zip(held.joints.tolist(), held.directions.tolist(), strict=True)
        ]
        self._loads: list[Vector] = [*map(tuple, loads.tolist())]
        self._nothing = _NOTHING * largest
        self.columns_at: list[list[int]] = [[] for _ in truss.joints]
        for column, (a, b) in enumerate(self.ends):
            self.columns_at[a].append(column)
            if b != a:
                self.columns_at[b].append(column)
        self.open = len(self.values)
        self.unknown_at = [len(columns) for columns in self.columns_at]

    def learn(self, column: int, force: float) -> float:
        """Write down a force; returns it, zero where it is but a rounding error."""
        if abs(force) <= self._nothing:
            force = 0.0
        self.values[column] = force
        self.open -= 1
        a, b = self.ends[column]
        self.unknown_at[a] -= 1
        if b != a:
            self.unknown_at[b] -= 1
        return force

    def unknown(self, joint: int) -> list[int]:
        """Columns at a joint that are still unknown."""
        return [column for column in self.columns_at[joint] if self.values[column] is None]

    def direction(self, column: int, joint: int) -> Vector:
        """Unit vector along which a column acts on a joint when positive."""
        x, y = self._units[column]
        return (x, y) if self.ends[column][0] == joint else (0.0 - x, 0.0 - y)

    def acting(self, column: int, joint: int) -> Acting:
        """Give a column as the force that acts on a joint."""
        name, force = self._names[column], self.values[column]
        direction = self.direction(column, joint)
        if column >= len(self._vectors):
            return Acting(name, "reaction", self.truss.joints[joint], direction, direction, force)
        run, rise = self._vectors[column]
        if self.ends[column][0] != joint:
            run, rise = 0.0 - run, 0.0 - rise
        return Acting(name, "member", self.truss.joints[joint], direction, (run, rise), force)

    def load(self, joint: int) -> Acting | None:
        """Give the loads on a joint as one force; None if there are none."""
        fx, fy = self._loads[joint]
        size = (fx * fx + fy * fy) ** 0.5
        if size == 0.0:
            return None
        direction = (fx / size, fy / size)
        return Acting("load", "load", self.truss.joints[joint], direction, (fx, fy), size)

    def at(self, joint: int) -> tuple[Acting, ...]:
        """All forces on a joint, known ones first, the loads at the head."""
        load = self.load(joint)
        acting = [self.acting(column, joint) for column in self.columns_at[joint]]
        known = [a for a in acting if a.force is not None]
        unknown = [a for a in acting if a.force is None]
        return (*([load] if load is not None else ()), *known, *unknown)

    def left_over(self, joint: int) -> Vector:
        """Sum of the known forces on a joint, x and y."""
        x, y = self._loads[joint]
        for column in self.columns_at[joint]:
            force = self.values[column]
            if force:
                along_x, along_y = self.direction(column, joint)
                x += force * along_x
                y += force * along_y
        return x, y


def _reaction_name(joint: str, unit: list[float]) -> str:
    x, y = unit
    if x == 0.0:
        return f"{joint}y"
    if y == 0.0:
        return f"{joint}x"
    return f"{joint}({np.degrees(np.arctan2(y, x)):.4g}°)"
