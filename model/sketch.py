"""The drawing as the adjustment needs it: flat, y up, its extent one, the origin at a joint."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from model import perspective
from model.adjustment import Adjusted, Drawing
from model.constraints import Equation, System
from model.contradictions import Network
from model.dimensions import Measured, equations_of
from model.findings import Problem
from model.job import Job

__all__ = ["Sketch", "drawn_places", "origin_of", "sketch_of"]

FloatArray = NDArray[np.float64]

#: Weight of the two equations that hold the origin; they contradict nothing.
_ORIGIN_SIGMA = 1e-3
#: A distance drawn shorter than this part of the extent tells no scale.
_SHORT = 0.02


@dataclass(frozen=True, eq=False)
class Sketch:
    """A job's drawing in units of its extent.

    Attributes
    ----------
    names : tuple of str
    members : list of pairs of int
    supports : list of int
    origin : int
        The joint at (0, 0) unless coordinates are given.
    size : float
        What the drawing's extent stands for, in the job's length unit.
    unit : str
        That unit.
    drawing : Drawing
    from_unit : ndarray, shape (3, 3)
        Maps the drawing's points to pixels (to the coordinates drawn, where there are none).
    """

    names: tuple[str, ...]
    members: list[tuple[int, int]]
    supports: list[int]
    origin: int
    size: float
    unit: str
    drawing: Drawing
    from_unit: FloatArray

    def flattened(self, fit: Adjusted) -> FloatArray:
        """The drawing with the estimated perspective taken out."""
        return perspective.flatten(fit.view, self.drawing.points)[0]

    def to_picture(self, fit: Adjusted) -> FloatArray:
        """Homography from coordinates to the (flat) picture."""
        to_unit = np.linalg.inv(perspective.matrix_of(fit.view))
        matrix = self.from_unit @ to_unit @ np.diag([1 / self.size, 1 / self.size, 1.0])
        return np.asarray(matrix / matrix[2, 2])

    def network(
        self, points: FloatArray, measured: Sequence[Measured], assumed: Sequence[Measured] = ()
    ) -> Network:
        """Equations of the dimensions, with signs and leans as in `points`."""
        hard: list[Equation] = []
        soft: list[Equation] = []
        given = {m.dimension.kind for m in measured}
        if "x" not in given:
            hard.append(Equation("x", (self.origin,), 0.0, _ORIGIN_SIGMA))
        if "y" not in given:
            hard.append(Equation("y", (self.origin,), 0.0, _ORIGIN_SIGMA))
        for m in (*measured, *assumed):
            (soft if m.soft else hard).extend(equations_of(m, points, self.size))
        n = len(self.names)
        systems = System(tuple(hard), n), System(tuple(soft), n)
        return Network(*systems, self.drawing, self.size, self.unit, self.names)


def sketch_of(job: Job, drawn: FloatArray, measured: Sequence[Measured], flat: bool) -> Sketch:
    """Make the sketch of a job from the places in its drawing (y up)."""
    names = tuple(job.joints)
    index = {name: position for position, name in enumerate(names)}
    members = [(index[m.a], index[m.b]) for m in job.members]
    extent = float(np.ptp(drawn, axis=0).max())
    origin = origin_of(job, drawn)
    points = (drawn - drawn[origin]) / extent
    size = _size(points, members, measured)
    shift = _shift(points, measured, size)
    flip = -1.0 if all(joint.pixel is not None for joint in job.joints.values()) else 1.0
    x, y = drawn[origin] - shift * extent
    from_unit = np.array([[extent, 0, x], [0, flip * extent, flip * y], [0, 0, 1]])
    return Sketch(
        names,
        members,
        [index[s.joint] for s in job.supports if s.joint in index],
        origin,
        size,
        job.units.length,
        Drawing(points + shift, flat=flat),
        from_unit,
    )


def drawn_places(
    job: Job, homography: FloatArray | None
) -> tuple[FloatArray | None, list[Problem]]:
    """Places in the drawing, flat where the page is known, y up; or what is missing."""
    joints = job.joints.values()
    if joints and all(joint.pixel is not None for joint in joints):
        pixels = np.array([joint.pixel for joint in joints], float)
        flat = pixels if homography is None else perspective.project(homography, pixels)
        drawn = flat * (1, -1)
    elif joints and job.placed:
        drawn = np.array([(joint.x, joint.y) for joint in joints], float)
    else:
        lost = [name for name, joint in job.joints.items() if joint.pixel is None]
        sentence = (
            f"Joint {lost[0]} has neither a place in the picture nor coordinates; place it there."
            if lost
            else "There are no joints yet; trace the drawing first."
        )
        return None, [Problem(None, sentence)]
    if not np.isfinite(drawn).all() or not np.ptp(drawn, axis=0).max() > 0:
        return None, [Problem(None, "All joints are drawn at one place; move them apart.")]
    return drawn, []


def origin_of(job: Job, drawn: FloatArray) -> int:
    """The joint at (0, 0): the first pin, else the first support, else the one at lower left."""
    names = list(job.joints)
    for support in sorted(job.supports, key=lambda s: s.kind != "pin"):
        if support.joint in job.joints:
            return names.index(support.joint)
    return int(np.argmin(drawn.sum(axis=1)))


def _size(
    points: FloatArray, members: Sequence[tuple[int, int]], measured: Sequence[Measured]
) -> float:
    """Length that the drawing's extent stands for: the median of what the dimensions say."""
    ratios = []
    for m in measured:
        if m.value is None or not m.value > 0:
            continue
        if m.dimension.kind in ("length", "horizontal", "vertical", "bays"):
            d = np.abs(points[m.joints[-1]] - points[m.joints[0]])
            drawn = {"horizontal": d[0], "vertical": d[1]}.get(m.dimension.kind, np.hypot(*d))
            ratios.append(m.bays * m.value / max(drawn, _SHORT))
    for axis, kind in enumerate(("x", "y")):
        at = [(m.joints[0], m.value or 0.0) for m in measured if m.dimension.kind == kind]
        for (a, first), (b, second) in combinations(at, 2):
            if first != second:
                drawn = abs(points[a, axis] - points[b, axis])
                ratios.append(abs(first - second) / max(drawn, _SHORT))
    if ratios:
        return float(np.median(ratios))
    lengths = [np.hypot(*(points[a] - points[b])) for a, b in members]
    return 10.0 / float(max(lengths, default=1.0) or 1.0)


def _shift(points: FloatArray, measured: Sequence[Measured], size: float) -> FloatArray:
    """Movement of the drawing that brings it to the coordinates given."""
    shift = np.zeros(2)
    for axis, kind in enumerate(("x", "y")):
        given = [m for m in measured if m.dimension.kind == kind]
        if given:
            away = [(m.value or 0.0) / size - points[m.joints[0], axis] for m in given]
            shift[axis] = np.median(away)
    return shift
