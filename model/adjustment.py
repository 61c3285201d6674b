"""Least squares in three ranks: what was measured, what was assumed, what was drawn.

Measurements decide whatever they can decide; assumptions only what the
measurements leave open; the drawing, seen through a homography that is
estimated with it, only what both leave open. A robust fit of all three
together (`scipy.optimize.least_squares`) comes near; then a Gauss-Newton
iteration in ranks makes it exact: each rank is solved in the null space of
those before it, so that not even a large contradiction with the drawing moves
a measured coordinate.

References
----------
E. M. Mikhail, F. Ackermann, *Observations and Least Squares*, 1976 (adjustment,
cofactors, redundancy numbers). Å. Björck, *Numerical Methods for Least Squares
Problems*, 1996, sec. 5.1 (problems with equality constraints by null spaces).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import linalg, sparse
from scipy.sparse import linalg as splinalg

from model import perspective
from model.constraints import System

__all__ = ["Adjusted", "Drawing", "adjust"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

#: Pivots below this part of the largest count as zero.
RANK_TOLERANCE = 1e-9
#: Unknowns above which the robust fit factorises sparse matrices.
_DENSE = 150
#: Weights of the three ranks in the robust fits that come near.
_LETTING_GO = ((0.3, 1.0, 1.0), (1.0, 0.1, 0.03), (1.0, 0.01, 0.001))
#: Iterations in which the drawing has its say: what only a sketch tells need not be exact.
_AS_DRAWN = 2
#: A Jacobian from a place no farther away than this is as good as the right one.
_MOVED = 1e-9
#: Robust residual that is a gross error: no need to reach the last digit with it.
_GROSS = 10.0
_PLAIN = np.array([1.0, 0, 0, 1, 0, 0, 0, 0])


@dataclass(frozen=True, eq=False)
class Drawing:
    """Where the joints were drawn, made flat as far as it is known.

    Attributes
    ----------
    points : ndarray, shape (n, 2)
        Drawn places, centred, extent about one, y up.
    sigma : float
        How far a sketch that is not to scale is off, in parts of its extent.
    flat : bool
        Whether the perspective is already out of it.
    """

    points: FloatArray
    sigma: float = 0.08
    flat: bool = False

    def prior(self, h: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Weighted departures of a homography from a plain view, and their Jacobian."""
        tilt = 0.02 if self.flat else 0.3
        rows = np.array(
            [
                [1, 0, 0, -1, 0, 0, 0, 0],  # stretched
                [0, 1, 1, 0, 0, 0, 0, 0],  # sheared
                [0, 1, -1, 0, 0, 0, 0, 0],  # turned
                [1, 0, 0, 1, 0, 0, 0, 0],  # enlarged
                [0, 0, 0, 0, 1, 0, 0, 0],
                [0, 0, 0, 0, 0, 1, 0, 0],
                [0, 0, 0, 0, 0, 0, 1, 0],  # tilted
                [0, 0, 0, 0, 0, 0, 0, 1],
            ],
            float,
        )
        weights = 1 / np.array([0.4, 0.4, 0.3, 2.0, 100.0, 100.0, tilt, tilt])
        jacobian = rows * weights[:, None]
        return jacobian @ (h - _PLAIN), jacobian


class Adjusted(NamedTuple):
    """Coordinates from an adjustment and what is known of them.

    Attributes
    ----------
    points : ndarray, shape (n, 2)
    view : ndarray, shape (8,)
        Homography from the drawing to the coordinates (`perspective.matrix_of`).
    covariance : ndarray, shape (2 n, 2 n)
    residuals, redundancies : ndarray, shape (rows,)
        Of the measured equations: weighted residuals, and which part of an
        error in each shows in its residual (0: nothing checks it).
    robust_residuals : ndarray, shape (rows,)
        Weighted residuals of the robust fit, in which a gross error stands
        alone instead of spreading to its neighbours.
    assumed_residuals : ndarray
        Weighted residuals of the assumed equations.
    open_by_measured, open_by_all : ndarray, shape (2 n, k)
        Orthonormal movements left free by the measurements, and by the
        measurements and assumptions together.
    away_from_drawing : float
        How badly the coordinates fit the drawing seen through `view` (robust loss).
    converged : bool
    """

    points: FloatArray
    view: FloatArray
    covariance: FloatArray
    residuals: FloatArray
    redundancies: FloatArray
    robust_residuals: FloatArray
    assumed_residuals: FloatArray
    open_by_measured: FloatArray
    open_by_all: FloatArray
    away_from_drawing: float
    converged: bool


def adjust(
    measured: System,
    assumed: System,
    drawing: Drawing,
    start: FloatArray | None = None,
    view: FloatArray | None = None,
    *,
    near: bool = True,
) -> Adjusted:
    """Adjust coordinates to measurements, assumptions and a drawing, in that rank.

    Parameters
    ----------
    measured, assumed : System
        Equations on the same n points, in units in which the truss's extent
        is about one. Position must be fixed by `measured`.
    drawing : Drawing
    start : ndarray, shape (n, 2), optional
        By default the drawing.
    view : ndarray, shape (8,), optional
        Homography to start from.
    near : bool
        Whether to fit robustly first; not needed from a start that is near.
    """
    points = drawing.points.copy() if start is None else start.copy()
    view = _PLAIN.copy() if view is None else view.copy()
    if near:
        points, view = _approach(measured, assumed, drawing, points, view)
    robust = measured.evaluate(points)[0]
    return _finish(measured, assumed, drawing, points, view, robust)


class _Together:
    """All three ranks as the rows of one problem in the coordinates and the view."""

    def __init__(self, measured: System, assumed: System, drawing: Drawing) -> None:
        self.measured, self.assumed, self.drawing = measured, assumed, drawing
        n = len(drawing.points)
        first, second, third = len(measured), len(assumed), 2 * n
        drawn = np.arange(2 * n)
        by_view = np.indices((2 * n, 8)).reshape(2, -1)
        by_prior = np.indices((8, 8)).reshape(2, -1)
        rows = [
            measured.places[0],
            assumed.places[0] + first,
            drawn + first + second,
            by_view[0] + first + second,
            by_prior[0] + first + second + third,
        ]
        columns = [
            measured.places[1],
            assumed.places[1],
            drawn,
            by_view[1] + 2 * n,
            by_prior[1] + 2 * n,
        ]
        self.places = (np.concatenate(rows), np.concatenate(columns))
        self.shape = (first + second + third + 8, 2 * n + 8)

    def rows(self, z: FloatArray, weights: tuple[float, ...]) -> tuple[FloatArray, FloatArray]:
        """Residuals of all rows and the entries of their Jacobian at `places`."""
        points, view = z[:-8].reshape(-1, 2), z[-8:]
        r1, j1 = self.measured.evaluate(points)
        r2, j2 = self.assumed.evaluate(points)
        seen, by_view = perspective.flatten(view, self.drawing.points)
        r3 = (points - seen).ravel() / self.drawing.sigma
        r4, j4 = self.drawing.prior(view)
        w1, w2, w3 = weights
        one = np.full(r3.size, w3 / self.drawing.sigma)
        seen_entries = -one[0] * by_view.ravel()
        entries = [w1 * j1, w2 * j2, one, seen_entries, w3 * j4.ravel()]
        return np.concatenate([w1 * r1, w2 * r2, w3 * r3, w3 * r4]), np.concatenate(entries)

    def correction(self, residuals: FloatArray, entries: FloatArray, damping: float) -> FloatArray:
        """Levenberg-Marquardt step with rows weighted as the loss 2 (sqrt(1 + r^2) - 1) does."""
        weights = (1 + residuals**2) ** -0.25
        rows = self.places[0]
        jacobian = sparse.csc_array((entries * weights[rows], self.places), shape=self.shape)
        normal = (jacobian.T @ jacobian).tocsc()
        diagonal = normal.diagonal() + 1e-12
        gradient = jacobian.T @ (weights * residuals)
        if self.shape[1] <= _DENSE:
            matrix = normal.toarray()
            matrix[np.diag_indices_from(matrix)] += damping * diagonal
            return np.asarray(np.linalg.solve(matrix, -gradient))
        damped = normal + sparse.diags_array(damping * diagonal, format="csc")
        return np.asarray(splinalg.splu(damped).solve(-gradient))


def _approach(
    measured: System, assumed: System, drawing: Drawing, points: FloatArray, view: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Fit all three ranks together, robustly; then again with the drawing let go."""
    together = _Together(measured, assumed, drawing)
    z = np.concatenate([points.ravel(), view])
    for weights in _LETTING_GO:
        z = _levenberg_marquardt(together, z, weights)
    return z[:-8].reshape(-1, 2), z[-8:]


def _levenberg_marquardt(
    together: _Together, z: FloatArray, weights: tuple[float, ...]
) -> FloatArray:
    """Minimise the robust sum of squares (damping after Nielsen 1999)."""
    residuals, entries = together.rows(z, weights)
    cost, damping, growth = _loss(residuals), 1e-3, 2.0
    for _ in range(60):
        step = together.correction(residuals, entries, damping)
        tried, tried_entries = together.rows(z + step, weights)
        gain = cost - _loss(tried)
        if gain > 0:
            z, residuals, entries = z + step, tried, tried_entries
            cost, damping, growth = cost - gain, damping / 5, 2.0
            if gain < 1e-4 * cost or float(np.abs(step).max()) < 1e-6:
                break
        else:
            damping, growth = damping * growth, 2 * growth
            if damping > 1e8:
                break
    return z


def _loss(residuals: FloatArray) -> float:
    return float(np.sum(np.sqrt(1 + residuals**2) - 1))


class _Ranks(NamedTuple):
    """Linear maps of the three ranks at one point: corrections from residuals."""

    by_measured: FloatArray
    hat: FloatArray
    open_by_measured: FloatArray
    j2: FloatArray
    by_assumed: FloatArray
    open_by_all: FloatArray


def _ranks(measured: System, assumed: System, points: FloatArray) -> _Ranks:
    j1 = measured.jacobian(points).toarray()
    j2 = assumed.jacobian(points).toarray()
    by_measured, hat, free = _solve(j1)
    by_free, _, still_free = _solve(j2 @ free)
    return _Ranks(by_measured, hat, free, j2, free @ by_free, free @ still_free)


def _solve(matrix: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Least-squares inverse, diagonal of the projection on the range, and null space.

    QR factorisation with column pivoting; the solution is a basic one (not of
    least norm), which the ranks that follow complete in the null space.
    """
    columns = matrix.shape[1]
    if not matrix.size:
        return np.zeros(matrix.shape[::-1]), np.zeros(len(matrix)), np.eye(columns)
    q, r, order = linalg.qr(matrix, mode="economic", pivoting=True)
    diagonal = np.abs(np.diag(r))
    rank = int(np.sum(diagonal > RANK_TOLERANCE * diagonal[0]))
    inverse = np.zeros((columns, len(matrix)))
    inverse[order[:rank]] = linalg.solve_triangular(r[:rank, :rank], q[:, :rank].T)
    null = np.zeros((columns, columns - rank))
    null[order[:rank]] = -linalg.solve_triangular(r[:rank, :rank], r[:rank, rank:])
    null[order[rank:]] = np.eye(columns - rank)
    hat = np.sum(q[:, :rank] ** 2, axis=1).astype(np.float64)
    return inverse, hat, np.linalg.qr(null)[0].astype(np.float64)


def _finish(
    measured: System,
    assumed: System,
    drawing: Drawing,
    points: FloatArray,
    view: FloatArray,
    robust: FloatArray,
) -> Adjusted:
    ranks, at = _ranks(measured, assumed, points), points
    last, converged = np.inf, False
    exact = 1e-13 if np.abs(robust).max(initial=0.0) < _GROSS else 1e-6
    for iteration in range(30):
        decided, drawn, turn = _step(measured, assumed, drawing, points, view, ranks)
        if iteration >= _AS_DRAWN:
            drawn, turn = np.zeros_like(drawn), np.zeros_like(turn)
        size, by_drawing = (float(np.abs(step).max(initial=0.0)) for step in (decided, drawn))
        limit = min(1.0, 0.2 / max(size, by_drawing, 0.2))
        points = points + limit * (decided + drawn).reshape(-1, 2)
        view = view + limit * turn
        if by_drawing == 0 and (size < exact or (size < 1e-9 and size > 0.5 * last)):
            converged = True
            break
        stale = size + by_drawing > 0.02 * last or limit < 1
        if stale:  # the Jacobian used is no longer good enough
            ranks, at = _ranks(measured, assumed, points), points
        last = size + by_drawing
    if np.abs(points - at).max(initial=0.0) > _MOVED:
        ranks = _ranks(measured, assumed, points)
    covariance = _covariance(measured, drawing, points, view, ranks)
    return Adjusted(
        points,
        view,
        covariance,
        measured.evaluate(points)[0],
        np.clip(1 - ranks.hat, 0, 1),
        robust,
        assumed.evaluate(points)[0],
        ranks.open_by_measured,
        ranks.open_by_all,
        _loss(_away(drawing, points, view)),
        converged,
    )


def _step(
    measured: System,
    assumed: System,
    drawing: Drawing,
    points: FloatArray,
    view: FloatArray,
    ranks: _Ranks,
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Corrections by what was measured and assumed, by the drawing, and of the view."""
    step = -ranks.by_measured @ measured.evaluate(points)[0]
    left = assumed.evaluate(points)[0] + ranks.j2 @ step
    step -= ranks.by_assumed @ left
    free = ranks.open_by_all
    by_view = perspective.flatten(view, drawing.points)[1]
    by_prior = drawing.prior(view)[1]
    away = _away(drawing, points + step.reshape(-1, 2), view)
    third = _third(drawing, free, by_view, by_prior)
    solution: FloatArray = np.linalg.lstsq(third, -away, rcond=1e-9)[0].astype(np.float64)
    by_drawing: FloatArray = free @ solution[: free.shape[1]]
    return step, by_drawing, solution[free.shape[1] :]


def _away(drawing: Drawing, points: FloatArray, view: FloatArray) -> FloatArray:
    """Weighted residuals of the third rank: coordinates against the drawing, and the view."""
    seen = perspective.flatten(view, drawing.points)[0]
    return np.concatenate([(points - seen).ravel() / drawing.sigma, drawing.prior(view)[0]])


def _third(
    drawing: Drawing, free: FloatArray, by_view: FloatArray, by_prior: FloatArray
) -> FloatArray:
    zeros = np.zeros((len(by_prior), free.shape[1]))
    return np.block([[free / drawing.sigma, -by_view / drawing.sigma], [zeros, by_prior]])


def _covariance(
    measured: System, drawing: Drawing, points: FloatArray, view: FloatArray, ranks: _Ranks
) -> FloatArray:
    """Covariance of the coordinates by the linear propagation of all three ranks."""
    observed = ranks.by_measured[:, measured.owners >= 0]  # the datum has no error
    observed = observed - ranks.by_assumed @ (ranks.j2 @ observed)
    parts = np.hstack([observed, ranks.by_assumed])
    free = ranks.open_by_all
    if not free.shape[1]:
        return np.asarray(parts @ parts.T)
    by_view = perspective.flatten(view, drawing.points)[1]
    by_prior = drawing.prior(view)[1]
    inverse = np.linalg.pinv(_third(drawing, free, by_view, by_prior))[: free.shape[1]]
    of_points = inverse[:, : points.size]
    parts = parts - free @ (of_points @ parts) / drawing.sigma
    drawn = free @ inverse
    return np.asarray(parts @ parts.T + drawn @ drawn.T)
