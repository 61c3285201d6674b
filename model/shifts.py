"""What each dimension's tolerance does to the coordinates."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from model.constraints import System
from model.dimensions import entry_of, equations_of, read
from model.geometry import Geometry
from model.job import Job

__all__ = ["shifts_of"]

FloatArray = NDArray[np.float64]

#: Standard deviations in a tolerance, as the adjustment of the coordinates takes it.
_DEVIATIONS = 2.0
_DRAWING = "the drawing"


def shifts_of(job: Job, geometry: Geometry) -> dict[str, FloatArray]:
    """Find how the coordinates move when one dimension is off by its tolerance.

    Parameters
    ----------
    job : Job
    geometry : Geometry
        Of the same job (`model.geometry.settle`), without problems.

    Returns
    -------
    dict of str to ndarray, shape (2 n, k)
        By the name of each dimension, and of each assumption taken from the
        drawing, in the order x0, y0, x1, y1, ... and the job's length unit;
        a dimension of several equations has a column for each.  Where even
        the assumptions left something to the drawing, it is named as well.

    Notes
    -----
    With the covariance C of least squares and the weighted derivatives J of
    the equations, C J' is what a standard deviation of each observation does
    to the unknowns (E. M. Mikhail, *Observations and Least Squares*, IEP 1976).
    """
    size = float(np.ptp(geometry.points, axis=0).max()) or 1.0
    covariance = geometry.covariance / size**2
    index = {name: position for position, name in enumerate(geometry.joints)}
    shifts: dict[str, FloatArray] = {}
    explained = np.zeros_like(covariance)
    said = [dimension for dimension in job.dimensions if dimension.active]
    for position, dimension in enumerate([*said, *geometry.assumptions]):
        measured = read(dimension, position, index, job.units.length)
        equations = equations_of(measured, geometry.points / size, size)
        system = System(tuple(equations), len(index))
        by_deviation = covariance @ system.jacobian(geometry.points / size).toarray().T
        explained += by_deviation @ by_deviation.T
        name = entry_of(dimension)
        before = shifts.get(name, np.empty((len(covariance), 0)))
        shifts[name] = np.hstack([before, _DEVIATIONS * size * by_deviation])
    values, vectors = np.linalg.eigh(covariance - explained)
    left = values > 1e-3 * np.abs(np.diag(covariance)).max(initial=0.0)
    if geometry.freedoms_measured > len(geometry.assumptions) and left.any():
        shifts[_DRAWING] = _DEVIATIONS * size * vectors[:, left] * np.sqrt(values[left])
    return shifts
