"""The value that coordinates give to a dimension, told as a person would write it."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from model.dimensions import Measured

__all__ = ["told"]

FloatArray = NDArray[np.float64]


def told(
    measured: Measured,
    points: FloatArray | None,
    unit: str,
    value: float | None = None,
    size: float = 1.0,
) -> str:
    """Tell the value of a dimension with its unit.

    Parameters
    ----------
    measured : Measured
    points : ndarray, shape (n, 2), or None
        Coordinates in `unit`, from which the value is taken.
    unit : str
    value : float, optional
        The value itself in the equation's terms (lengths in units of `size`,
        angles in radians), where there are no points.
    size : float
    """
    kind = measured.dimension.kind
    if kind in ("angle", "angle_between", "slope", "level", "plumb"):
        radians = _angle(measured, points) if points is not None else (value or 0.0)
        return _told_angle(measured, radians)
    if kind in ("collinear", "symmetric") or (kind == "equal" and measured.value is None):
        return ""
    length = _length(measured, points) if points is not None else (value or 0.0) * size
    if kind in ("horizontal", "vertical"):
        length = abs(length)
    if kind == "bays":
        return f"{measured.bays} @ {_rounded(abs(length))} {unit}"
    return f"{_rounded(length)} {unit}"


def _told_angle(measured: Measured, radians: float) -> str:
    written = measured.value or 0.0
    if measured.dimension.kind == "slope":
        run, rise = abs(math.cos(radians)), abs(math.sin(radians))
        return f"1:{_rounded(rise / run)}" if run > 1e-6 else "0:1"
    if measured.dimension.kind == "angle_between":
        return f"{_rounded(abs(math.degrees(math.remainder(radians, 2 * math.pi))))}°"
    if measured.dimension.kind == "angle" and not 0 <= written <= math.pi / 2:
        turn = written + math.remainder(radians - written, math.pi)
        return f"{_rounded(math.degrees(turn))}°"
    lean = abs(math.remainder(radians, math.pi))
    if measured.dimension.kind == "plumb":
        lean = math.pi / 2 - lean
    return f"{_rounded(math.degrees(lean))}°"


def _angle(measured: Measured, points: FloatArray) -> float:
    j = measured.joints
    if measured.dimension.kind == "angle_between":
        a, b, c, d = (j[1], j[0], j[1], j[2]) if len(j) == 3 else j
        return _towards(points[d] - points[c]) - _towards(points[b] - points[a])
    return _towards(points[j[-1]] - points[j[0]])


def _towards(vector: FloatArray) -> float:
    return math.atan2(float(vector[1]), float(vector[0]))


def _length(measured: Measured, points: FloatArray) -> float:
    j, kind = measured.joints, measured.dimension.kind
    if kind in ("x", "y"):
        return float(points[j[0], "xy".index(kind)])
    d = points[j[-1]] - points[j[0]]
    if kind in ("horizontal", "vertical"):
        return float(d[0] if kind == "horizontal" else d[1])
    if kind == "equal":
        d = points[j[1]] - points[j[0]]
    return float(np.hypot(*d)) / (measured.bays if kind == "bays" else 1)


def _rounded(value: float) -> str:
    """Four significant digits, without an exponent or a sign on nought."""
    text = f"{value:.4g}"
    if "e" in text:
        text = f"{value:.0f}" if abs(value) > 1 else f"{value:.6f}"
    return "0" if float(text) == 0 else text
