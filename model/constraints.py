"""Equations that dimensions put on coordinates, with their exact derivatives.

Each equation says that one quantity of a few points (a distance, a direction,
a ratio ...) has a target value. The quantities are evaluated for many
equations of one kind at a time, so that a thousand members cost a few array
operations.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

__all__ = ["QUANTITIES", "Equation", "Quantity", "System", "value_of"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]
Evaluation = tuple[FloatArray, FloatArray]
Quantity = Literal[
    "x", "y", "dx", "dy", "mid_dx", "mid_dy", "distance", "along", "direction", "turn",
    "ratio", "offset",
]  # fmt: skip

#: A distance below this (in units of the truss's size) counts as zero in a division.
_TINY = 1e-12


@dataclass(frozen=True)
class Equation:
    """One scalar condition on a few joints.

    Attributes
    ----------
    quantity : str
        One of `QUANTITIES`.
    joints : tuple of int
        Positions of the joints, as many as the quantity takes.
    target : float
        The value that the quantity should have: lengths in units of the
        system, angles in radians, ratios as natural logarithms.
    sigma : float
        Its standard deviation, in the same unit.
    owner : int
        Position of the dimension the equation comes from.
    """

    quantity: Quantity
    joints: tuple[int, ...]
    target: float
    sigma: float
    owner: int = -1


def _x(p: FloatArray) -> Evaluation:
    return p[:, 0, 0], _constant(p, [[1, 0]])


def _y(p: FloatArray) -> Evaluation:
    return p[:, 0, 1], _constant(p, [[0, 1]])


def _dx(p: FloatArray) -> Evaluation:
    return p[:, 1, 0] - p[:, 0, 0], _constant(p, [[-1, 0], [1, 0]])


def _dy(p: FloatArray) -> Evaluation:
    return p[:, 1, 1] - p[:, 0, 1], _constant(p, [[0, -1], [0, 1]])


def _mid_dx(p: FloatArray) -> Evaluation:
    gradient = np.array([[-1, 0], [-1, 0], [1, 0], [1, 0]]) / 2
    return (p[:, 2:, 0].sum(axis=1) - p[:, :2, 0].sum(axis=1)) / 2, _constant(p, gradient)


def _mid_dy(p: FloatArray) -> Evaluation:
    gradient = np.array([[0, -1], [0, -1], [0, 1], [0, 1]]) / 2
    return (p[:, 2:, 1].sum(axis=1) - p[:, :2, 1].sum(axis=1)) / 2, _constant(p, gradient)


def _distance(p: FloatArray) -> Evaluation:
    d, length = _vector(p, 0, 1)
    unit = d / length[:, None]
    return length, np.stack([-unit, unit], axis=1)


def _along(p: FloatArray) -> Evaluation:
    """Distance from joint 0 to 1, measured along the straight line from joint 2 to 3."""
    d = p[:, 1] - p[:, 0]
    line, length = _vector(p, 2, 3)
    unit = line / length[:, None]
    value = np.einsum("ki,ki->k", d, unit)
    turning = (d - value[:, None] * unit) / length[:, None]
    return value, np.stack([-unit, unit, -turning, turning], axis=1)


def _direction(p: FloatArray) -> Evaluation:
    d, length = _vector(p, 0, 1)
    across = np.stack([-d[:, 1], d[:, 0]], axis=1) / (length**2)[:, None]
    return np.arctan2(d[:, 1], d[:, 0]), np.stack([-across, across], axis=1)


def _turn(p: FloatArray) -> Evaluation:
    """Angle from the line 0-1 to the line 2-3, anticlockwise."""
    first, first_gradient = _direction(p[:, :2])
    second, second_gradient = _direction(p[:, 2:])
    return second - first, np.concatenate([-first_gradient, second_gradient], axis=1)


def _ratio(p: FloatArray) -> Evaluation:
    """Logarithm of the length 2-3 over the length 0-1."""
    first, first_gradient = _distance(p[:, :2])
    second, second_gradient = _distance(p[:, 2:])
    gradients = [-first_gradient / first[:, None, None], second_gradient / second[:, None, None]]
    return np.log(second / first), np.concatenate(gradients, axis=1)


def _offset(p: FloatArray) -> Evaluation:
    """Distance of the middle of 2 and 3 from the line 0-1, in lengths of 0-1, left positive."""
    d, length = _vector(p, 0, 1)
    to = (p[:, 2] + p[:, 3]) / 2 - p[:, 0]
    square = length**2
    value = (d[:, 0] * to[:, 1] - d[:, 1] * to[:, 0]) / square
    by_middle = np.stack([-d[:, 1], d[:, 0]], axis=1) / square[:, None]
    by_end = np.stack([to[:, 1], -to[:, 0]], axis=1) / square[:, None]
    by_end -= (2 * value / square)[:, None] * d
    half = by_middle / 2
    return value, np.stack([-by_end - by_middle, by_end, half, half], axis=1)


def _vector(p: FloatArray, start: int, end: int) -> tuple[FloatArray, FloatArray]:
    d = p[:, end] - p[:, start]
    return d, np.maximum(np.hypot(d[:, 0], d[:, 1]), _TINY)


def _constant(p: FloatArray, gradient: Sequence[Sequence[float]] | FloatArray) -> FloatArray:
    return np.broadcast_to(np.asarray(gradient, float), p.shape)


#: Each quantity: points of its joints (k, w, 2) to values (k,) and gradients (k, w, 2).
QUANTITIES: dict[Quantity, Callable[[FloatArray], Evaluation]] = {
    "x": _x,
    "y": _y,
    "dx": _dx,
    "dy": _dy,
    "mid_dx": _mid_dx,
    "mid_dy": _mid_dy,
    "distance": _distance,
    "along": _along,
    "direction": _direction,
    "turn": _turn,
    "ratio": _ratio,
    "offset": _offset,
}
_ANGULAR = ("direction", "turn")


def value_of(quantity: Quantity, points: FloatArray) -> float:
    """Value of one quantity of the given points, shape (w, 2)."""
    return float(QUANTITIES[quantity](points[None])[0][0])


@dataclass(frozen=True, eq=False)
class System:
    """Equations on n points, evaluated together.

    Attributes
    ----------
    equations : tuple of Equation
        The rows, in order.
    size : int
        Number n of points.
    """

    equations: tuple[Equation, ...]
    size: int

    def __len__(self) -> int:
        """Number of rows."""
        return len(self.equations)

    @cached_property
    def sigmas(self) -> FloatArray:
        """Standard deviation of each row."""
        return np.array([equation.sigma for equation in self.equations], float)

    @cached_property
    def owners(self) -> IntArray:
        """Dimension that each row comes from."""
        return np.array([equation.owner for equation in self.equations], np.intp)

    @cached_property
    def _targets(self) -> FloatArray:
        return np.array([equation.target for equation in self.equations], float)

    @cached_property
    def _blocks(self) -> list[tuple[Quantity, IntArray, IntArray]]:
        rows: dict[Quantity, list[int]] = {}
        for row, equation in enumerate(self.equations):
            rows.setdefault(equation.quantity, []).append(row)
        return [
            (quantity, np.array(at, np.intp), np.array([self.equations[i].joints for i in at]))
            for quantity, at in rows.items()
        ]

    @cached_property
    def places(self) -> tuple[IntArray, IntArray]:
        """Rows and columns of the entries of the Jacobian; repeated places add up."""
        rows, columns = [np.empty(0, np.intp)], [np.empty(0, np.intp)]
        for _, at, joints in self._blocks:
            rows.append(np.repeat(at, 2 * joints.shape[1]))
            columns.append(np.stack([2 * joints, 2 * joints + 1], axis=-1).ravel())
        return np.concatenate(rows), np.concatenate(columns)

    def evaluate(self, points: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Weighted residuals (value - target) / sigma and their derivatives.

        Parameters
        ----------
        points : ndarray, shape (n, 2)

        Returns
        -------
        residuals : ndarray, shape (rows,)
        entries : ndarray
            Non-zero entries of the Jacobian, in the order of `places`.
        """
        residuals = np.empty(len(self))
        entries = [np.empty(0)]
        for quantity, at, joints in self._blocks:
            values, gradients = QUANTITIES[quantity](points[joints])
            miss = values - self._targets[at]
            if quantity in _ANGULAR:
                miss = np.remainder(miss + np.pi, 2 * np.pi) - np.pi
            residuals[at] = miss / self.sigmas[at]
            entries.append((gradients / self.sigmas[at][:, None, None]).ravel())
        return residuals, np.concatenate(entries)

    def jacobian(self, points: FloatArray) -> sparse.coo_array:
        """Jacobian of the weighted residuals, shape (rows, 2 n), columns x0, y0, x1, y1, ..."""
        shape = (len(self), 2 * self.size)
        return sparse.coo_array((self.evaluate(points)[1], self.places), shape=shape)

    def without(self, owner: int) -> System:
        """The same system less the rows of one dimension."""
        return System(tuple(e for e in self.equations if e.owner != owner), self.size)
