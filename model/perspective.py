"""The photo's perspective: homographies between the picture and the flat drawing.

References
----------
R. Hartley, A. Zisserman, *Multiple View Geometry in Computer Vision*, 2nd ed.,
2004, sec. 4.1 (estimating a homography by the direct linear transform, with
normalised coordinates).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from model.errors import InputError

__all__ = ["flatten", "matrix_of", "page_homography", "project"]

FloatArray = NDArray[np.float64]


def project(homography: FloatArray, points: FloatArray) -> FloatArray:
    """Map points, shape (n, 2), by a 3x3 homography."""
    mapped = points @ homography[:, :2].T + homography[:, 2]
    return np.asarray(mapped[:, :2] / mapped[:, 2:])


def page_homography(
    corners: Sequence[tuple[float, float]], aspect: float | None = None
) -> FloatArray:
    """Homography from picture pixels to the flat page.

    Parameters
    ----------
    corners : four pairs
        Page corners in the picture, clockwise from the top left.
    aspect : float, optional
        Width of the page over its height; by default that of the mean sides
        in the picture. A sketch's proportions are a first guess in any case.

    Returns
    -------
    ndarray, shape (3, 3)
        Maps (x, y, 1) in pixels to the page, y down, in pixels of about the same size.
    """
    quad = np.asarray(corners, float)
    if quad.shape != (4, 2) or not _convex(quad):
        raise InputError("The page's corners do not form a four-sided page; mark all four again.")
    sides = np.hypot(*(np.roll(quad, -1, axis=0) - quad).T)
    width, height = (sides[0] + sides[2]) / 2, (sides[1] + sides[3]) / 2
    if aspect is not None:
        width, height = np.sqrt(width * height * aspect), np.sqrt(width * height / aspect)
    flat = np.array([(0, 0), (width, 0), (width, height), (0, height)])
    return _direct_linear(quad, flat)


def matrix_of(h: FloatArray) -> FloatArray:
    """Homography matrix of the eight parameters a11, a12, a21, a22, t1, t2, g1, g2."""
    return np.array([[h[0], h[1], h[4]], [h[2], h[3], h[5]], [h[6], h[7], 1.0]])


def flatten(h: FloatArray, points: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Map points by eight parameters, with the derivatives by the parameters.

    Returns
    -------
    mapped : ndarray, shape (n, 2)
    derivatives : ndarray, shape (2 n, 8)
        Rows in the order x0, y0, x1, y1, ...
    """
    depth = np.maximum(1 + points @ h[6:], 0.05)
    mapped = (points @ h[:4].reshape(2, 2).T + h[4:6]) / depth[:, None]
    by = np.zeros((len(points), 2, 8))
    scaled = points / depth[:, None]
    for axis in (0, 1):
        by[:, axis, 2 * axis : 2 * axis + 2] = scaled
        by[:, axis, 4 + axis] = 1 / depth
        by[:, axis, 6:] = -mapped[:, axis, None] * scaled
    return mapped, by.reshape(-1, 8)


def _direct_linear(source: FloatArray, target: FloatArray) -> FloatArray:
    from_unit, to_unit = _normaliser(source), _normaliser(target)
    p, q = project(from_unit, source), project(to_unit, target)
    rows = []
    for (x, y), (u, v) in zip(p, q, strict=True):
        rows.append([x, y, 1, 0, 0, 0, -u * x, -u * y, -u])
        rows.append([0, 0, 0, x, y, 1, -v * x, -v * y, -v])
    unit = np.linalg.svd(np.array(rows))[2][-1].reshape(3, 3)
    homography = np.linalg.inv(to_unit) @ unit @ from_unit
    return np.asarray(homography / homography[2, 2])


def _normaliser(points: FloatArray) -> FloatArray:
    centre = points.mean(axis=0)
    spread = max(float(np.hypot(*(points - centre).T).mean()), 1e-300)
    k = np.sqrt(2) / spread
    return np.array([[k, 0, -k * centre[0]], [0, k, -k * centre[1]], [0, 0, 1]])


def _convex(quad: FloatArray) -> bool:
    side = np.roll(quad, -1, axis=0) - quad
    following = np.roll(side, -1, axis=0)
    turns = side[:, 0] * following[:, 1] - side[:, 1] * following[:, 0]
    return bool(np.all(turns > 0) or np.all(turns < 0))
