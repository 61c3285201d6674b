"""Ranges of forces that follow from tolerances on dimensions and loads.

The sensitivities are exact derivatives by the adjoint method: the equations of
the elastic truss are symmetric, M z = b, so with the solution w of M w = e_i
the force z_i changes by w'(db - dM z), whatever it is that changes.  One
factorisation serves all forces.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from model.errors import InputError
from model.truss import Load, Truss
from solver.solve import elastic, solve
from solver.stiffness import ElasticTruss, imposed

__all__ = [
    "ForceRanges",
    "Influence",
    "MonteCarlo",
    "Sensitivities",
    "force_ranges",
    "monte_carlo",
    "sensitivities",
]

FloatArray = NDArray[np.float64]

#: Forces whose derivatives are worked out together.
_TOGETHER = 256


class Sensitivities(NamedTuple):
    """First derivatives of the member forces, then the reaction components.

    Attributes
    ----------
    points : ndarray, shape (m + r, n, 2)
        By the coordinates of the joints.
    loads : ndarray, shape (m + r, n, 2)
        By the loads on the joints.
    """

    points: FloatArray
    loads: FloatArray


class Influence(NamedTuple):
    """How much of the ranges one uncertain quantity causes.

    Attributes
    ----------
    what : str
        A dimension's name, ``joint C`` or ``load 2 at C``.
    share : float
        Its part of the sum of all forces' squared ranges, 0 to 1.
    most : float
        The largest change of any one force that it causes by itself.
    on : int
        The force it changes most: a member's position, or m plus a reaction's.
    """

    what: str
    share: float
    most: float
    on: int


@dataclass(frozen=True, eq=False)
class ForceRanges:
    """To first order, how far each force may be from its value.

    Arrays have one entry a member, then one a reaction component.

    Attributes
    ----------
    forces : ndarray, shape (m + r,)
    worst : ndarray, shape (m + r,)
        Half-width if every tolerance is used up in its worst sense.
    root_sum_square : ndarray, shape (m + r,)
        Half-width if the errors are independent: as wide as the tolerances are.
    ranking : tuple of Influence
        What matters most, first.
    """

    forces: FloatArray
    worst: FloatArray
    root_sum_square: FloatArray
    ranking: tuple[Influence, ...]

    @property
    def lowest(self) -> FloatArray:
        """Lower ends of the worst-case ranges."""
        return np.asarray(self.forces - self.worst)

    @property
    def highest(self) -> FloatArray:
        """Upper ends of the worst-case ranges."""
        return np.asarray(self.forces + self.worst)


class MonteCarlo(NamedTuple):
    """Forces of trusses drawn at random within their tolerances, each fully solved.

    Attributes
    ----------
    deviations : ndarray, shape (m + r,)
        Standard deviations, to be compared with the root-sum-square ranges.
    lowest, highest : ndarray, shape (m + r,)
        The extremes that were drawn.
    unstable : int
        How many of the drawn trusses could not be solved.
    """

    deviations: FloatArray
    lowest: FloatArray
    highest: FloatArray
    unstable: int


def sensitivities(truss: Truss) -> Sensitivities:
    """Differentiate every force by every coordinate and load.

    Temperature changes, length errors, settlements and own weight count with
    the forces; E, A and the settlements stay as they are.

    Raises
    ------
    InputError
        If the truss cannot be solved, with the reason.

    References
    ----------
    R. T. Haftka, Z. Gürdal, *Elements of Structural Optimization*, 3rd ed.,
    Kluwer 1992, section 7.2 (adjoint method).
    """
    solver = elastic(truss)
    loads = truss.load_vector()
    made_to = imposed(truss)
    solver.respond(loads, made_to)  # refuses what stiffness leaves open
    return _sensitivities(solver, _right(solver, loads, made_to.elongations, made_to.settlements))


def force_ranges(
    truss: Truss,
    covariance: FloatArray | None = None,
    shifts: Mapping[str, FloatArray] | None = None,
) -> ForceRanges:
    """Find how far tolerances may carry each force.

    Parameters
    ----------
    truss : Truss
        Loads with a tolerance count, each along its own direction.
    covariance : ndarray, shape (2 n, 2 n), optional
        Of the joints' coordinates, in the order x0, y0, x1, y1, ..., in which a
        standard deviation counts as a tolerance.  The joints are then ranked.
    shifts : dict of str to ndarray, shape (2 n,) or (2 n, k), optional
        Instead of the covariance: by the name of each dimension, how the
        coordinates move when it alone is off by its tolerance
        (`model.shifts.shifts_of`), in k independent ways.  The dimensions are
        then ranked.

    Raises
    ------
    InputError
        If the truss cannot be solved, with the reason.

    Notes
    -----
    The worst case adds up what each dimension does; from a covariance alone it
    adds up the coordinates, which is never less.
    """
    by_points, by_loads = sensitivities(truss)
    count = len(by_points)
    by_points = by_points.reshape(count, -1)
    names, changes = _of_loads(truss, by_loads)
    squares = np.sum(changes**2, axis=1)
    worst = np.sum(np.abs(changes), axis=1)
    parts = changes**2
    if shifts is not None:
        ways = [by_points @ shift.reshape(by_points.shape[1], -1) for shift in shifts.values()]
        own = [np.sum(way**2, axis=1, keepdims=True) for way in ways]
        names = [*shifts, *names]
        parts = np.hstack([*own, parts])
        changes = np.hstack([*map(np.sqrt, own), changes])
        squares += sum(square[:, 0] for square in own)
        worst += sum(np.abs(way).sum(axis=1) for way in ways)
    elif covariance is not None:
        spread = by_points @ covariance
        of_joints = (spread * by_points).reshape(count, -1, 2).sum(axis=2)
        alone = _alone(by_points, covariance)
        names = [*(f"joint {name}" for name in truss.joints), *names]
        changes = np.hstack([alone, changes])
        parts = np.hstack([of_joints, parts])
        squares += of_joints.sum(axis=1)
        worst += np.abs(by_points) @ np.sqrt(np.clip(np.diag(covariance), 0.0, None))
    return ForceRanges(
        _forces(truss),
        worst,
        np.sqrt(np.clip(squares, 0.0, None)),
        _ranking(names, changes, parts),
    )


def monte_carlo(
    truss: Truss,
    covariance: FloatArray | None = None,
    *,
    draws: int = 1000,
    seed: int = 0,
) -> MonteCarlo:
    """Check the first-order ranges by solving trusses drawn at random.

    Parameters
    ----------
    truss : Truss
    covariance : ndarray, shape (2 n, 2 n), optional
        As for `force_ranges`; normal deviates with this covariance are drawn,
        and loads with their tolerances as standard deviations.
    draws : int
    seed : int
        The same seed draws the same trusses.

    Raises
    ------
    InputError
        If no drawn truss can be solved, with the reason of the last.
    """
    random = np.random.default_rng(seed)
    root = None if covariance is None else _root(covariance)
    drawn = []
    reason: str | None = None
    for _ in range(draws):
        points = truss.points
        if root is not None:
            points = points + (root @ random.standard_normal(root.shape[1])).reshape(-1, 2)
        loads = tuple(_drawn(load, random) for load in truss.loads)
        solution = solve(replace(truss, points=points, loads=loads))
        if solution.forces is None or solution.reactions is None:
            reason = solution.reason
            continue
        drawn.append(np.concatenate([solution.forces, solution.reactions]))
    if not drawn:
        raise InputError(reason or "No truss was drawn; ask for one draw or more.")
    table = np.array(drawn)
    return MonteCarlo(table.std(axis=0), table.min(axis=0), table.max(axis=0), draws - len(drawn))


def _right(
    solver: ElasticTruss, loads: FloatArray, elongations: FloatArray, settlements: FloatArray
) -> FloatArray:
    imposed_ = np.concatenate([-elongations, settlements]) / solver.softest
    return np.concatenate([imposed_, -loads.ravel()])


def _sensitivities(solver: ElasticTruss, right: FloatArray) -> Sensitivities:
    truss = solver.truss
    members, joints = len(truss.members), len(truss.joints)
    count = len(right) - 2 * joints
    state = solver.solve(right)
    by_points = np.empty((count, joints, 2))
    by_loads = np.empty((count, joints, 2))
    for start in range(0, count, _TOGETHER):
        rows = np.arange(start, min(start + _TOGETHER, count))
        units = np.zeros((len(right), len(rows)))
        units[rows, np.arange(len(rows))] = 1.0
        adjoint = solver.solve(units).T
        by_loads[rows] = -adjoint[:, count:].reshape(-1, joints, 2)
        by_points[rows] = _by_points(
            solver,
            state[:members],
            state[count:].reshape(joints, 2),
            adjoint[:, :members],
            adjoint[:, count:].reshape(-1, joints, 2),
        )
    return Sensitivities(by_points, by_loads)


def _by_points(
    solver: ElasticTruss,
    forces: FloatArray,
    moved: FloatArray,
    adjoint_forces: FloatArray,
    adjoint_moved: FloatArray,
) -> FloatArray:
    """Derivatives by the coordinates, shape (k, n, 2), of k adjoint solutions.

    Each member's vector v = L u enters its flexibility (dL = u dv), its
    direction (du = (I - u u') dv / L), its thermal elongation and its weight.
    """
    truss = solver.truss
    first, second = truss.members.T
    units = truss.vectors / truss.lengths[:, None]
    across = np.eye(2) - units[:, :, None] * units[:, None, :]
    per_length = 1.0 / (solver.stiffness.values * solver.softest)
    stretch = adjoint_forces * (forces * per_length + _thermal(truss) / solver.softest)
    lifted = (adjoint_moved[:, first, 1] + adjoint_moved[:, second, 1]) / 2
    along = _weights(truss) * lifted - stretch
    turn = (
        adjoint_forces[:, :, None] * (moved[first] - moved[second])
        + forces[:, None] * (adjoint_moved[:, first] - adjoint_moved[:, second])
    ) / truss.lengths[:, None]
    by_vectors = along[:, :, None] * units - np.einsum("mij,kmj->kmi", across, turn)
    total = np.zeros_like(adjoint_moved)
    np.add.at(total.swapaxes(0, 1), second, by_vectors.swapaxes(0, 1))
    np.add.at(total.swapaxes(0, 1), first, -by_vectors.swapaxes(0, 1))
    return total


def _thermal(truss: Truss) -> FloatArray:
    """Elongation by temperature of each member, over its length."""
    return imposed(truss, {"temperature": 1.0}).elongations / truss.lengths


def _weights(truss: Truss) -> FloatArray:
    """Weight per length of each member."""
    if not truss.properties:
        return np.zeros(len(truss.members))
    return np.array([properties.weight_per_length or 0.0 for properties in truss.properties])


def _forces(truss: Truss) -> FloatArray:
    solution = solve(truss)
    assert solution.forces is not None
    assert solution.reactions is not None
    return np.concatenate([solution.forces, solution.reactions])


def _of_loads(truss: Truss, by_loads: FloatArray) -> tuple[list[str], FloatArray]:
    """Names of the uncertain loads, and what each does when off by its tolerance."""
    names, columns = [], [np.empty((len(by_loads), 0))]
    for position, load in enumerate(truss.loads, 1):
        if load.tolerance:
            names.append(f"load {position} at {load.joint}")
            change = by_loads[:, truss.index[load.joint]] @ _direction(load)
            columns.append(load.tolerance * change[:, None])
    return names, np.hstack(columns)


def _direction(load: Load) -> FloatArray:
    size = math.hypot(load.fx, load.fy)
    return np.array([load.fx, load.fy]) / size if size else np.array([0.0, -1.0])


def _drawn(load: Load, random: np.random.Generator) -> Load:
    if not load.tolerance:
        return load
    x, y = load.tolerance * random.standard_normal() * _direction(load)
    return replace(load, fx=load.fx + float(x), fy=load.fy + float(y))


def _alone(by_points: FloatArray, covariance: FloatArray) -> FloatArray:
    """What each joint does by itself to each force, shape (k, n)."""
    joints = len(covariance) // 2
    at = np.arange(joints)
    own = covariance.reshape(joints, 2, joints, 2)[at, :, at, :]
    each = by_points.reshape(-1, joints, 2)
    squares = np.einsum("kni,nij,knj->kn", each, own, each)
    return np.asarray(np.sqrt(np.clip(squares, 0.0, None)))


def _root(covariance: FloatArray) -> FloatArray:
    """A factor G with G G' the covariance, which may be singular."""
    values, vectors = np.linalg.eigh(covariance)
    return np.asarray(vectors * np.sqrt(np.clip(values, 0.0, None)))


def _ranking(names: list[str], changes: FloatArray, parts: FloatArray) -> tuple[Influence, ...]:
    """Rank by the part of all squared ranges together."""
    if not names or not len(changes):
        return ()
    totals = parts.sum(axis=0)
    whole = float(totals.sum()) or 1.0
    most = np.abs(changes).argmax(axis=0)
    order = np.argsort(-totals, kind="stable")
    return tuple(
        Influence(names[k], float(totals[k]) / whole, float(abs(changes[most[k], k])), int(most[k]))
        for k in order.tolist()
    )
