"""What a written dimension says: its value read, its joints found, its equations.

How each kind of `model.job.Dimension` uses its joints and value
-----------------------------------------------------------------
=============  ==========================  ==========================================
kind           joints                      value
=============  ==========================  ==========================================
length         a, b (any two)              distance between them
horizontal     a, b                        horizontal distance, without sign
vertical       a, b                        vertical distance, without sign
x, y           a                           coordinate
angle          a, b                        0 to 90: from level, leaning as drawn; else
                                           the direction from a to b, anticlockwise
angle_between  a, b, c or a, b, c, d       at b between ba and bc; between ab and cd
slope          a, b                        run:rise, leaning as drawn
equal          a, b, c, d, ...             lengths ab = cd = ... (and equal to a value)
level, plumb   a, b, ...                   none: all at one height, one above the other
collinear      a, b, c, ...                none: all on one straight line
symmetric      a, b, c, d, ...             pairs a-b, c-d; a joint on the axis is paired
                                           with itself; 'plumb' (also when empty),
                                           'level' or 'C-D', the axis through two joints
bays           a, ..., z or a, z           '6 @ 2 m = 12 m', '6 @ 2 m' or '2 m', along
                                           the straight line from the first to the last
=============  ==========================  ==========================================

A sign or a lean that the value leaves open is the drawing's, so that a mirror
image never satisfies a dimension.

A tolerance is the half-width within which about 95 % of such measurements lie:
twice the standard deviation. Where none is given `DEFAULT_TOLERANCE` holds.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from model import units
from model.constraints import Equation, Quantity, value_of
from model.errors import InputError
from model.job import Dimension

__all__ = ["LENGTHS", "Measured", "entry_of", "equations_of", "read", "written"]

FloatArray = NDArray[np.float64]

#: Kinds whose value is a length.
LENGTHS = ("length", "horizontal", "vertical", "x", "y", "bays")
_ANGLES = ("angle", "angle_between", "slope", "level", "plumb")
#: Relative (of the length; coordinates: of the truss's size) and angular, in radians.
DEFAULT_TOLERANCE = {"relative": 0.005, "angle": math.radians(0.5)}
#: The same for what is only assumed from a drawing that is not to scale.
ASSUMED_TOLERANCE = {"relative": 0.08, "angle": math.radians(4.0)}
#: Tightest tolerance that the adjustment tells apart, in parts of the size or radians.
_TIGHTEST = 1e-6
_LEAST = {"x": 1, "y": 1, "angle_between": 3, "collinear": 3, "equal": 4}
_MOST = {
    "length": 2, "horizontal": 2, "vertical": 2, "angle": 2, "slope": 2,
    "x": 1, "y": 1, "angle_between": 4,
}  # fmt: skip
_BAYS = re.compile(r"^\s*(?:(\d+)\s*[@x×*]\s*)?([^=]+?)\s*(?:=\s*(.+?)\s*)?$")
_AXIS = re.compile(r"^\s*(\w+['′]?)\s*-\s*(\w+['′]?)\s*$")


@dataclass(frozen=True)
class Measured:
    """A dimension whose value and joints could be read.

    Attributes
    ----------
    dimension : Dimension
        The entry itself.
    owner : int
        Its position in the list of entries.
    joints : tuple of int
        Positions of its joints; an axis through joints comes last.
    value : float or None
        Length in the job's unit, angle in radians (slope: that of its steepness).
    tolerance : float or None
        As given, in the value's unit; None for the default.
    """

    dimension: Dimension
    owner: int
    joints: tuple[int, ...]
    value: float | None
    tolerance: float | None
    bays: int = 1

    @property
    def soft(self) -> bool:
        """Whether it is only assumed from the drawing."""
        return self.dimension.source == "assumed"


def entry_of(dimension: Dimension) -> str:
    """Name a dimension in a sentence: 'length A-B 3 m'."""
    joints = "-".join(joint[:16] for joint in dimension.joints[:6])
    value = "" if dimension.value is None else f" {written(dimension)[:30]}"
    return f"{dimension.kind.replace('_', ' ')} {joints}{value}".strip()


def written(dimension: Dimension) -> str:
    """The value as text, bare numbers without a needless point."""
    value = dimension.value
    return f"{value:.12g}" if isinstance(value, int | float) else str(value or "")


def read(dimension: Dimension, owner: int, index: Mapping[str, int], unit: str) -> Measured:
    """Read a dimension's value and joints.

    Parameters
    ----------
    dimension : Dimension
    owner : int
        Position among the entries.
    index : mapping
        Position of each joint by name.
    unit : str
        Length unit of bare numbers and of the result.

    Raises
    ------
    InputError
        In one sentence, if a joint is not there or the value cannot be meant.
    """
    entry = f"Dimension '{entry_of(dimension)}'"
    for joint in dimension.joints:
        if joint not in index:
            raise InputError(
                f"{entry} names joint '{joint[:40]}', which is not there (any more);"
                " choose another joint or remove the entry."
            )
    joints = tuple(index[joint] for joint in dimension.joints)
    _check_joints(dimension, joints, entry)
    bays = 1
    if dimension.kind == "bays":
        value, bays = _bays(dimension, len(joints), unit, entry)
    elif dimension.kind == "symmetric":
        value, joints = None, joints + _axis(dimension, index, entry)
    else:
        value = _value(dimension, unit, entry)
    return Measured(
        dimension, owner, joints, value, _tolerance(dimension, value, unit, entry), bays
    )


def _check_joints(dimension: Dimension, joints: tuple[int, ...], entry: str) -> None:
    kind = dimension.kind
    least, most = _LEAST.get(kind, 2), _MOST.get(kind, len(joints))
    if not least <= len(joints) <= most:
        wanted = f"{least}" if most == least else f"{least} or more"
        raise InputError(f"{entry} needs {wanted} joint{'s' * (least > 1)}; choose them again.")
    if kind in ("equal", "symmetric") and len(joints) % 2:
        raise InputError(f"{entry} needs its joints in pairs; add or remove one.")
    together = {
        "equal": [joints[i : i + 2] for i in range(0, len(joints), 2)],
        "symmetric": [],
        "angle_between": [joints[:2], joints[-2:]],
    }.get(kind, [joints])
    if any(len(set(group)) < len(group) for group in together):
        raise InputError(f"{entry} names the same joint twice; choose another joint.")


def _value(dimension: Dimension, unit: str, entry: str) -> float | None:
    kind, value = dimension.kind, dimension.value
    if kind in ("level", "plumb", "collinear") or (kind == "equal" and value is None):
        return None
    if value is None or value == "":
        raise InputError(f"{entry} has no value yet; type one or remove the entry.")
    if kind == "slope":
        run, rise = units.slope(str(value), entry=entry)
        return math.atan2(rise, run)
    if kind in ("angle", "angle_between"):
        degrees = units.angle(value, entry=entry)
        if abs(degrees) >= 360 or (kind == "angle_between" and degrees <= 0):
            raise InputError(f"{entry}: an angle lies between 0 and 360 degrees; correct it.")
        return math.radians(degrees)
    length = units.length(value, unit, entry=entry)
    if kind in ("length", "equal") and length <= 0:
        raise InputError(f"{entry}: a length is greater than zero; correct it.")
    if kind in ("horizontal", "vertical") and length < 0:
        raise InputError(f"{entry}: give the distance without sign; the drawing tells the side.")
    return length


def _bays(dimension: Dimension, joints: int, unit: str, entry: str) -> tuple[float, int]:
    match = _BAYS.match("" if dimension.value is None else str(dimension.value))
    if match is None:
        raise InputError(f"{entry}: write equal bays as '6 @ 2 m' or '6 @ 2 m = 12 m'.")
    bay = units.length(match[2], unit, entry=entry)
    if bay <= 0:
        raise InputError(f"{entry}: a bay is longer than zero; correct it.")
    number = int(match[1]) if match[1] else max(joints - 1, 1)
    if number < 1 or (joints > 2 and number != joints - 1):
        raise InputError(
            f"{entry}: {number} bays need {number + 1} joints (or only the first and the last),"
            f" and {joints} are named; choose them again."
        )
    if match[3]:
        total = units.length(match[3], unit, entry=entry)
        if abs(total - number * bay) > 0.001 * abs(total):
            raise InputError(
                f"{entry}: {number} bays of {bay:g} {unit} make {number * bay:g} {unit},"
                f" not {total:g} {unit}; correct one of the three."
            )
        bay = total / number
    return bay, number


def _axis(dimension: Dimension, index: Mapping[str, int], entry: str) -> tuple[int, ...]:
    said = str(dimension.value or "plumb").strip()
    if said.lower() in ("plumb", "level"):
        return ()
    match = _AXIS.match(said)
    if match is None or match[1] == match[2] or not {match[1], match[2]} <= index.keys():
        raise InputError(
            f"{entry}: the axis is 'plumb', 'level' or goes through two joints, 'C-D'."
        )
    return index[match[1]], index[match[2]]


def _tolerance(dimension: Dimension, value: float | None, unit: str, entry: str) -> float | None:
    text, entry = dimension.tolerance, f"{entry}, tolerance"
    if text is None or text == "":
        return None
    if isinstance(text, str) and text.strip().endswith("%"):
        share = units.measure(text.strip()[:-1], "", "", entry) / 100
        tolerance = share * abs(value) if value else share
    elif dimension.kind in LENGTHS or (dimension.kind == "equal" and value is not None):
        tolerance = units.length(text, unit, entry=entry)
    elif dimension.kind in _ANGLES:
        tolerance = math.radians(units.angle(text, entry=entry))
    else:
        raise InputError(f"{entry}: give it in percent, such as 1 %.")
    if tolerance < 0:
        raise InputError(f"{entry}: a tolerance is not negative; correct it.")
    return tolerance


def equations_of(measured: Measured, points: FloatArray, size: float) -> list[Equation]:
    """Equations of a dimension, its signs and leans taken from the drawing.

    Parameters
    ----------
    measured : Measured
    points : ndarray, shape (n, 2)
        The drawing made flat, in units of `size`, y up.
    size : float
        The length that counts as one, in the job's unit.
    """
    kind, j, owner = measured.dimension.kind, measured.joints, measured.owner
    length = 0.0 if measured.value is None else measured.value / size
    relative, angular = _sigmas(measured, size)
    scaled = relative * abs(length) if measured.tolerance is None else measured.tolerance / 2 / size
    scaled = max(scaled, _TIGHTEST)
    match kind:
        case "length":
            return [Equation("distance", j, length, scaled, owner)]
        case "horizontal" | "vertical":
            quantity: Quantity = "dx" if kind == "horizontal" else "dy"
            drawn = value_of(quantity, points[list(j)])
            scaled = max(scaled, 0.1 * relative) if measured.tolerance is None else scaled
            return [Equation(quantity, j, math.copysign(length, drawn), scaled, owner)]
        case "x" | "y":
            scaled = relative if measured.tolerance is None else scaled
            return [Equation(kind, j, length, scaled, owner)]
        case "angle" | "slope":
            return [_lean(measured, points, angular)]
        case "angle_between":
            return [_between(measured, points, angular)]
        case "level" | "plumb":
            turn = 0.0 if kind == "level" else math.pi / 2
            return [_parallel((j[0], other), turn, points, angular, owner) for other in j[1:]]
        case "equal":
            pairs = [j[i : i + 2] for i in range(0, len(j), 2)]
            if measured.value is not None:
                return [Equation("distance", pair, length, scaled, owner) for pair in pairs]
            return [
                Equation("ratio", (*pairs[0], *pair), 0.0, relative, owner) for pair in pairs[1:]
            ]
        case "collinear":
            return _collinear(j, points, relative, owner)
        case "symmetric":
            return _symmetric(measured, points, relative, angular)
        case "bays":
            if len(j) == 2:
                total = measured.bays * length
                return [Equation("distance", j, total, scaled * measured.bays, owner)]
            ends = (j[0], j[-1])
            return [Equation("along", (*bay, *ends), length, scaled, owner) for bay in pairwise(j)]


def _sigmas(measured: Measured, size: float) -> tuple[float, float]:
    """Relative and angular standard deviation."""
    default = ASSUMED_TOLERANCE if measured.soft else DEFAULT_TOLERANCE
    if measured.tolerance is None:
        return default["relative"] / 2, default["angle"] / 2
    half = max(measured.tolerance / 2, _TIGHTEST)
    return half, half


def _lean(measured: Measured, points: FloatArray, sigma: float) -> Equation:
    t, joints = measured.value or 0.0, measured.joints
    drawn = value_of("direction", points[list(joints)])
    from_level = 0 <= t <= math.pi / 2
    candidates = [t, t + math.pi] + ([-t, math.pi - t] if from_level else [])
    target = min(candidates, key=lambda c: abs(_wrapped(c - drawn)))
    return Equation("direction", joints, _wrapped(target), sigma, measured.owner)


def _between(measured: Measured, points: FloatArray, sigma: float) -> Equation:
    j = measured.joints
    joints = (j[1], j[0], j[1], j[2]) if len(j) == 3 else j
    drawn = _wrapped(value_of("turn", points[list(joints)]))
    t = measured.value or 0.0
    target = min((t, -t), key=lambda c: abs(_wrapped(c - drawn)))
    return Equation("turn", joints, _wrapped(target), sigma, measured.owner)


def _parallel(
    joints: tuple[int, int], turn: float, points: FloatArray, sigma: float, owner: int
) -> Equation:
    """The line through two joints has the direction `turn` or its opposite, as drawn."""
    drawn = value_of("direction", points[list(joints)])
    target = min((turn, turn + math.pi), key=lambda c: abs(_wrapped(c - drawn)))
    return Equation("direction", joints, _wrapped(target), sigma, owner)


def _collinear(
    joints: Sequence[int], points: FloatArray, sigma: float, owner: int
) -> list[Equation]:
    away = points[list(joints)] - points[joints[0]]
    line = away[np.argmax(np.hypot(*away.T))]
    order = [joints[i] for i in np.argsort(away @ line)]
    base = (order[0], order[-1])
    return [Equation("offset", (*base, c, c), 0.0, sigma, owner) for c in order[1:-1]]


def _symmetric(
    measured: Measured, points: FloatArray, relative: float, angular: float
) -> list[Equation]:
    number = len(measured.dimension.joints)
    j, axis, owner = measured.joints[:number], measured.joints[number:], measured.owner
    level = str(measured.dimension.value or "").strip().lower() == "level"
    pairs = [(j[i], j[i + 1]) for i in range(0, number, 2)]
    equations = []
    for a, b in pairs:
        if axis and a != b:
            turn = value_of("turn", points[[*axis, a, b]])
            square = min((math.pi / 2, -math.pi / 2), key=lambda c: abs(_wrapped(c - turn)))
            equations.append(Equation("turn", (*axis, a, b), square, angular, owner))
        elif a != b:
            across = math.pi / 2 if level else 0.0
            equations.append(_parallel((a, b), across, points, angular, owner))
        if axis:
            if not {a, b} <= set(axis):
                equations.append(Equation("offset", (*axis, a, b), 0.0, relative, owner))
        elif (a, b) != pairs[0]:
            middle: Quantity = "mid_dy" if level else "mid_dx"
            equations.append(Equation(middle, (*pairs[0], a, b), 0.0, relative, owner))
    return equations


def _wrapped(angle: float) -> float:
    return math.remainder(angle, 2 * math.pi)
