"""What is found out about a job's geometry: coordinates, checks, misreads, problems."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from model.freedoms import Suggestion
from model.job import Dimension
from model.misreads import Reason

__all__ = ["Check", "Geometry", "Misread", "Problem", "State"]

FloatArray = NDArray[np.float64]
State = Literal["fits", "contradicts", "problem", "off"]


@dataclass(frozen=True)
class Problem:
    """An entry that cannot be used as it is; `index` is its place among the dimensions."""

    index: int | None
    sentence: str


@dataclass(frozen=True)
class Check:
    """What the coordinates say of one dimension.

    Attributes
    ----------
    index : int
        Its place among the job's dimensions.
    dimension : Dimension
    state : {'fits', 'contradicts', 'problem', 'off'}
    measured : str
        The value that the coordinates have, with its unit.
    residual : float
        How far the value is from what all the others say, in standard
        deviations of that difference (normalised residual).
    redundancy : float
        Part of an error in it that would show (0: nothing checks it).
    sentence : str
    """

    index: int
    dimension: Dimension
    state: State
    measured: str
    residual: float
    redundancy: float
    sentence: str


@dataclass(frozen=True)
class Misread:
    """A dimension that is probably wrong, and the text that would fit."""

    index: int
    value: str
    reason: Reason
    sentence: str


@dataclass(frozen=True, eq=False)
class Geometry:
    """Coordinates and all that is known about them.

    Attributes
    ----------
    joints : tuple of str, length n
    points : ndarray, shape (n, 2)
        Best coordinates, in the job's length unit, x right, y up; what no
        dimension settles is as drawn.
    covariance : ndarray, shape (2 n, 2 n)
        In the order x0, y0, x1, y1, ..., in the length unit squared. The
        origin's joint has none.
    freedoms : int
        Open changes of shape, beyond position, rotation and scale.
    freedoms_measured : int
        The same without the assumptions.
    scale_settled, rotation_settled : bool
    open_motions : tuple of dict
        For each freedom the movement (dx, dy) of each joint that moves.
    next_dimensions : tuple of Suggestion
        Smallest set that settles shape and scale, best first.
    checks : tuple of Check
        One for each of the job's dimensions, in order.
    misreads : tuple of Misread
        Most probable first.
    problems : tuple of Problem
    assumptions : tuple of Dimension
        Taken from the drawing beyond those in the job.
    overtight : tuple of int
        Dimensions whose tolerance is probably too tight.
    strain : float or None
        Standard deviation of unit weight: about one where tolerances are right.
    homography : ndarray, shape (3, 3), or None
        Maps coordinates (x, y, 1) to the picture.
    notes : tuple of str
    """

    joints: tuple[str, ...]
    points: FloatArray
    covariance: FloatArray
    freedoms: int = 0
    freedoms_measured: int = 0
    scale_settled: bool = True
    rotation_settled: bool = True
    open_motions: tuple[dict[str, tuple[float, float]], ...] = ()
    next_dimensions: tuple[Suggestion, ...] = ()
    checks: tuple[Check, ...] = ()
    misreads: tuple[Misread, ...] = ()
    problems: tuple[Problem, ...] = ()
    assumptions: tuple[Dimension, ...] = ()
    overtight: tuple[int, ...] = ()
    strain: float | None = None
    homography: FloatArray | None = None
    notes: tuple[str, ...] = ()

    @property
    def shape_settled(self) -> bool:
        """Whether the shape is settled, which is all that member forces depend on."""
        return self.freedoms == 0

    @property
    def settled(self) -> bool:
        """Whether shape and scale are settled and nothing contradicts."""
        agreed = all(check.state in ("fits", "off") for check in self.checks)
        return self.shape_settled and self.scale_settled and agreed and not self.problems

    @property
    def standard_errors(self) -> FloatArray:
        """Standard error of each coordinate, shape (n, 2)."""
        return np.asarray(np.sqrt(np.maximum(np.diag(self.covariance), 0.0)).reshape(-1, 2))

    @property
    def loose_joints(self) -> tuple[str, ...]:
        """Joints that can still move against the rest."""
        moving = {joint for motion in self.open_motions for joint in motion}
        return tuple(joint for joint in self.joints if joint in moving)
