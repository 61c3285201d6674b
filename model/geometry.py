"""From a sketch that is not to scale to coordinates: the drawing starts, the dimensions decide.

`settle` gives the geometry of a job with everything that is known about it;
`placed_job` writes its coordinates into the job. What each kind of dimension
means is told in `model.dimensions`, the adjustment in `model.adjustment`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from model import perspective
from model.adjustment import Adjusted, Drawing
from model.assumptions import propose
from model.constraints import Equation, System
from model.contradictions import LIMIT, UNCHECKED, Network, Suspect, normalised, suspects
from model.dimensions import Measured, entry_of, equations_of, read
from model.errors import InputError
from model.freedoms import Freedoms, Suggestion, freedoms_of, motions, suggest
from model.job import Dimension, Job
from model.misreads import Reason
from model.wording import told

__all__ = [
    "Check",
    "Geometry",
    "Misread",
    "Problem",
    "Suggestion",
    "as_drawn",
    "placed_job",
    "settle",
]

FloatArray = NDArray[np.float64]
State = Literal["fits", "contradicts", "problem", "off"]

#: An assumption off by more than this many standard deviations is refuted by what was measured.
_REFUTED = 2.5
#: Strain (standard deviation of unit weight) and residuals from which tolerances are too tight.
_STRAINED = 1.5
_ORIGIN_SIGMA = 1e-3
#: How much longer than the other two sides a side may be, for their tolerances' sake.
_STRETCH = 1.02


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


def settle(job: Job, *, homography: FloatArray | None = None, assume: bool = True) -> Geometry:
    """Find the coordinates that the drawing and the dimensions of a job give.

    Parameters
    ----------
    job : Job
    homography : ndarray, shape (3, 3), optional
        From picture pixels to the flat page, where the page was found
        (`model.perspective.page_homography`). Without it the perspective is
        estimated together with the dimensions, as far as these determine it.
    assume : bool
        Whether to propose assumptions from the drawing.

    Returns
    -------
    Geometry
        Also for dimensions that are wrong, contradictory or too few; these
        are named in it.
    """
    names = tuple(job.joints)
    if job.placed and not job.dimensions:
        points = np.array([(j.x, j.y) for j in job.joints.values()], float).reshape(-1, 2)
        return Geometry(names, points, np.zeros((points.size, points.size)))
    drawn, missing = _drawn(job, homography)
    measured, problems = _read(job)
    if drawn is None or len(names) < 2:
        points = np.zeros((len(names), 2))
        notes = tuple(problem.sentence for problem in missing)
        checks = tuple(
            Check(i, d, "off", "", 0.0, 0.0, "Waits for the drawing.")
            for i, d in enumerate(job.dimensions)
        )
        return Geometry(
            names, points, np.zeros((points.size, points.size)), problems=(*missing, *problems),
            scale_settled=False, checks=checks, notes=notes,
        )  # fmt: skip
    work = _Work(job, names, drawn, measured, homography is not None)
    return work.geometry(problems, assume)


def placed_job(job: Job, geometry: Geometry) -> Job:
    """Write the coordinates of a geometry into its job.

    Raises
    ------
    InputError
        If the shape or the scale is not settled, or dimensions cannot be used
        or contradict each other; names what to do first.
    """
    if job.placed and not job.dimensions:
        return job
    if geometry.problems:
        raise InputError(geometry.problems[0].sentence)
    if geometry.misreads:
        raise InputError(geometry.misreads[0].sentence)
    for check in geometry.checks:
        if check.state == "contradicts":
            raise InputError(check.sentence)
    if not (geometry.shape_settled and geometry.scale_settled):
        raise InputError(_unsettled(geometry))
    return _with_points(job, geometry.points)


def as_drawn(job: Job, *, homography: FloatArray | None = None) -> Job:
    """Give a job the proportions of its drawing, the longest member ten units long.

    Member forces depend only on the shape, so that they can be shown before
    any dimension is given; they are then those of the sketch as drawn.

    Raises
    ------
    InputError
        If a joint has no place in the drawing.
    """
    drawn, missing = _drawn(job, homography)
    if drawn is None:
        raise InputError(missing[0].sentence)
    longest = max(_drawn_lengths(job, drawn), default=1.0)
    origin = _origin(job, drawn)
    return _with_points(job, (drawn - drawn[origin]) * (10.0 / (longest or 1.0)))


def _unsettled(geometry: Geometry) -> str:
    measure = geometry.next_dimensions[0].dimension if geometry.next_dimensions else None
    what = "another dimension" if measure is None else f"the length {'-'.join(measure.joints)}"
    if not geometry.shape_settled:
        loose = f"joint {geometry.loose_joints[0]}" if geometry.loose_joints else "the shape"
        freedoms = f"{geometry.freedoms} freedom{'s' * (geometry.freedoms > 1)} open"
        return f"The dimensions do not settle {loose} ({freedoms}); measure {what} next."
    return f"The dimensions settle the shape but no length is given; measure {what}."


def _with_points(job: Job, points: FloatArray) -> Job:
    joints = {
        name: joint.model_copy(update={"x": float(x), "y": float(y)})
        for (name, joint), (x, y) in zip(job.joints.items(), points, strict=True)
    }
    return job.model_copy(update={"joints": joints})


def _drawn(job: Job, homography: FloatArray | None) -> tuple[FloatArray | None, list[Problem]]:
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


def _drawn_lengths(job: Job, drawn: FloatArray) -> list[float]:
    index = {name: position for position, name in enumerate(job.joints)}
    return [float(np.hypot(*(drawn[index[m.a]] - drawn[index[m.b]]))) for m in job.members]


def _origin(job: Job, drawn: FloatArray) -> int:
    """The joint at (0, 0): the first pin, else the first support, else the one at lower left."""
    names = list(job.joints)
    for support in sorted(job.supports, key=lambda s: s.kind != "pin"):
        if support.joint in job.joints:
            return names.index(support.joint)
    return int(np.argmin(drawn.sum(axis=1)))


def _read(job: Job) -> tuple[list[Measured], list[Problem]]:
    index = {name: position for position, name in enumerate(job.joints)}
    measured, problems = [], []
    for position, dimension in enumerate(job.dimensions):
        if not dimension.active:
            continue
        try:
            measured.append(read(dimension, position, index, job.units.length))
        except InputError as error:
            problems.append(Problem(position, str(error)))
    return measured, problems


def _impossible(measured: Sequence[Measured]) -> list[tuple[Measured, Measured, Measured]]:
    """Triangles of lengths whose longest side (given first) exceeds the other two together."""
    sides = {
        frozenset(m.joints): m for m in measured if m.dimension.kind == "length" and not m.soft
    }
    around: dict[int, set[int]] = {}
    for a, b in (sorted(side) for side in sides):
        around.setdefault(a, set()).add(b)
    found = []
    for joint, others in around.items():
        for a, b in combinations(sorted(others), 2):
            if b not in around.get(a, ()):
                continue
            three = [sides[frozenset(pair)] for pair in ((joint, a), (joint, b), (a, b))]
            short, middle, long = sorted(three, key=lambda m: m.value or 0.0)
            if (long.value or 0.0) > _STRETCH * ((short.value or 0.0) + (middle.value or 0.0)):
                found.append((long, middle, short))
    return found


def _about_triangle(three: Sequence[Measured], wrong: list[list[Suspect]]) -> Problem:
    owners = [m.owner for m in three]
    (culprit, *_) = [ranked[0].owner for ranked in wrong if ranked[0].owner in owners]
    entries = ", ".join(entry_of(m.dimension) for m in three)
    return Problem(
        culprit,
        f"Three lengths make no triangle: {entries}; the first is longer than the other two"
        " together, so correct one of the three.",
    )


class _Work:
    """One job on its way from the drawing to its geometry, in units of the drawing's extent."""

    def __init__(
        self,
        job: Job,
        names: tuple[str, ...],
        drawn: FloatArray,
        measured: list[Measured],
        flat: bool,
    ) -> None:
        self.job, self.names, self.measured = job, names, measured
        index = {name: position for position, name in enumerate(names)}
        self.members = [(index[m.a], index[m.b]) for m in job.members]
        self.supports = [index[s.joint] for s in job.supports if s.joint in index]
        self.extent = float(np.ptp(drawn, axis=0).max())
        self.origin = _origin(job, drawn)
        self.centre = drawn[self.origin]
        points = (drawn - self.centre) / self.extent
        self.size = self._size(points)
        shift = self._shift(points)
        self.centre = self.centre - shift * self.extent
        self.drawing = Drawing(points + shift, flat=flat)

    def _size(self, points: FloatArray) -> float:
        """Length that the drawing's extent stands for."""
        ratios = []
        for m in self.measured:
            if m.value is None or not m.value > 0:
                continue
            if m.dimension.kind in ("length", "horizontal", "vertical", "bays"):
                d = np.abs(points[m.joints[-1]] - points[m.joints[0]])
                drawn = {"horizontal": d[0], "vertical": d[1]}.get(m.dimension.kind, np.hypot(*d))
                bays = max(m.bays, 1) if m.dimension.kind == "bays" else 1
                ratios.append(bays * m.value / max(drawn, 0.02))
        for kind, axis in (("x", 0), ("y", 1)):
            at = [(m.joints[0], m.value or 0.0) for m in self.measured if m.dimension.kind == kind]
            for (a, first), (b, second) in combinations(at, 2):
                drawn = abs(points[a, axis] - points[b, axis])
                if first != second:
                    ratios.append(abs(first - second) / max(drawn, 0.02))
        if ratios:
            return float(np.median(ratios))
        lengths = [np.hypot(*(points[a] - points[b])) for a, b in self.members]
        return 10.0 / float(max(lengths, default=1.0) or 1.0)

    def _shift(self, points: FloatArray) -> FloatArray:
        """Movement of the drawing that brings it to the coordinates given."""
        shift = np.zeros(2)
        for axis, kind in enumerate(("x", "y")):
            given = [m for m in self.measured if m.dimension.kind == kind]
            if given:
                away = [(m.value or 0.0) / self.size - points[m.joints[0], axis] for m in given]
                shift[axis] = np.median(away)
        return shift

    def network(self, points: FloatArray, assumed: Sequence[Measured]) -> Network:
        """Equations with their signs and leans as in `points`."""
        hard: list[Equation] = []
        given = {m.dimension.kind for m in self.measured}
        for kind in ("x", "y"):
            if kind not in given:
                hard.append(Equation(kind, (self.origin,), 0.0, _ORIGIN_SIGMA))
        soft: list[Equation] = []
        for m in self.measured:
            (soft if m.soft else hard).extend(equations_of(m, points, self.size))
        for m in assumed:
            soft.extend(equations_of(m, points, self.size))
        n = len(self.names)
        return Network(
            System(tuple(hard), n), System(tuple(soft), n), self.drawing, self.size,
            self.job.units.length, self.names,
        )  # fmt: skip

    def geometry(self, problems: list[Problem], assume: bool) -> Geometry:
        """Adjust, look for contradictions, see what is open."""
        network = self.network(self.drawing.points, ())
        by_owner = {m.owner: m for m in self.measured}
        impossible = _impossible(self.measured)
        fit = None
        if not impossible:
            fit = network.adjust()
            network = self.network(self._flattened(fit), ())
        triples = [[m.owner for m in three] for three in impossible]
        wrong, rest, fit = suspects(network, by_owner, triples, fit)
        problems = problems + [_about_triangle(three, wrong) for three in impossible]
        alone = self._freedoms(rest, fit, fit.open_by_measured, System((), len(self.names)))
        assumptions: list[Measured] = []
        if assume and (alone.shape or alone.rotation):
            assumptions, rest, fit = self._assume(rest, fit, wrong)
        free = self._freedoms(rest, fit, fit.open_by_all, rest.assumed)
        return self._result(network, rest, fit, wrong, alone, free, assumptions, problems)

    def _flattened(self, fit: Adjusted) -> FloatArray:
        """The drawing with the estimated perspective taken out."""
        return perspective.flatten(fit.view, self.drawing.points)[0]

    def _freedoms(
        self, network: Network, fit: Adjusted, space: FloatArray, assumed: System
    ) -> Freedoms:
        rows = [network.measured.jacobian(fit.points).toarray()]
        if len(assumed):
            rows.append(assumed.jacobian(fit.points).toarray())
        return freedoms_of(fit.points, np.vstack(rows), space)

    def _assume(
        self, network: Network, fit: Adjusted, wrong: list[list[Suspect]]
    ) -> tuple[list[Measured], Network, Adjusted]:
        """Add what the drawing seems to mean and the measurements neither settle nor refute."""
        index = {name: position for position, name in enumerate(self.names)}
        spoken_for = {(d.kind, frozenset(d.joints)) for d in self.job.dimensions}
        proposed = propose(self._flattened(fit), self.members, self.supports, self.names)
        first = len(self.job.dimensions)
        taken = [
            read(dimension, first + position, index, self.job.units.length)
            for position, dimension in enumerate(proposed)
            if (dimension.kind, frozenset(dimension.joints)) not in spoken_for
        ]
        taken = self._deciding(taken, fit)
        left_out = [ranked[0].owner for ranked in wrong]
        while True:
            network = self.network(self._flattened(fit), taken)
            for owner in left_out:
                network = network.without(owner)
            after = network.adjust(fit)
            refuted = {
                int(owner)
                for owner, residual in zip(
                    network.assumed.owners, after.assumed_residuals, strict=True
                )
                if owner >= first and abs(residual) > _REFUTED
            }
            if not refuted:
                return taken, network, after
            taken = [m for m in taken if m.owner not in refuted]

    def _deciding(self, proposed: list[Measured], fit: Adjusted) -> list[Measured]:
        """Those that say something about what the measurements leave open."""
        deciding = []
        for m in proposed:
            system = System(tuple(equations_of(m, fit.points, self.size)), len(self.names))
            jacobian = system.jacobian(fit.points).toarray()
            effect = np.linalg.norm(jacobian @ fit.open_by_measured)
            if effect > 1e-6 * np.linalg.norm(jacobian):
                deciding.append(m)
        return deciding

    def _result(
        self,
        network: Network,
        rest: Network,
        fit: Adjusted,
        wrong: list[list[Suspect]],
        alone: Freedoms,
        free: Freedoms,
        assumptions: list[Measured],
        problems: list[Problem],
    ) -> Geometry:
        scale_settled = not free.scale
        checks = self._checks(rest, fit, wrong, problems)
        strain = _strain(rest.measured, fit)
        overtight = tuple(
            check.index
            for check in checks
            if strain is not None and strain > _STRAINED and abs(check.residual) > 2
            and check.state in ("fits", "contradicts") and check.dimension.source != "assumed"
            and not wrong
        )  # fmt: skip
        moved = motions(fit.points, free)
        return Geometry(
            joints=self.names,
            points=fit.points * self.size,
            covariance=fit.covariance * self.size**2,
            freedoms=free.shape,
            freedoms_measured=alone.shape,
            scale_settled=scale_settled,
            rotation_settled=not free.rotation,
            open_motions=tuple(_arrows(self.names, motion) for motion in moved),
            next_dimensions=tuple(suggest(fit.points, self.members, self.names, free)),
            checks=checks,
            misreads=tuple(self._misreads(wrong)),
            problems=tuple(problems),
            assumptions=tuple(m.dimension for m in assumptions),
            overtight=overtight,
            strain=strain,
            homography=self._to_picture(fit),
            notes=_notes(free, assumptions, strain, overtight),
        )

    def _to_picture(self, fit: Adjusted) -> FloatArray:
        """Homography from the coordinates to the drawing, pixels where there are any."""
        flip = -1.0 if any(joint.pixel is not None for joint in self.job.joints.values()) else 1.0
        to_extent = np.array(
            [
                [self.extent, 0, self.centre[0]],
                [0, flip * self.extent, flip * self.centre[1]],
                [0, 0, 1],
            ]
        )
        back = np.linalg.inv(perspective.matrix_of(fit.view)) @ np.diag([1, 1, self.size])
        matrix = to_extent @ back
        return np.asarray(matrix / matrix[2, 2])

    def _checks(
        self,
        rest: Network,
        fit: Adjusted,
        wrong: list[list[Suspect]],
        problems: list[Problem],
    ) -> tuple[Check, ...]:
        by_owner = {m.owner: m for m in self.measured}
        unusable = {p.index: p.sentence for p in problems if p.index is not None}
        largest = normalised(rest.measured, fit)
        soft = _largest(rest.assumed.owners, np.abs(fit.assumed_residuals))
        checked = _largest(rest.measured.owners, fit.redundancies)
        left_out = {ranked[0].owner: ranked[0] for ranked in wrong}
        checks = []
        for position, dimension in enumerate(self.job.dimensions):
            m = by_owner.get(position)
            if m is None:
                state: State = "problem" if position in unusable else "off"
                sentence = unusable.get(position, "Switched off.")
                checks.append(Check(position, dimension, state, "", 0.0, 0.0, sentence))
                continue
            measured = told(m, fit.points * self.size, self.job.units.length)
            if position in left_out:
                residual, redundancy = left_out[position].miss, 1.0
            elif m.soft:
                residual, redundancy = soft.get(position, 0.0), 1.0
            else:
                residual = largest.get(position, 0.0)
                redundancy = checked.get(position, 0.0)
            bad = position in unusable
            off = abs(residual) > LIMIT
            state = "problem" if bad else "contradicts" if off else "fits"
            sentence = (
                unusable[position]
                if bad
                else _verdict(dimension, measured, off, redundancy, m.soft)
            )
            checks.append(
                Check(
                    position,
                    dimension,
                    state,
                    measured,
                    float(residual),
                    float(redundancy),
                    sentence,
                )
            )
        return tuple(checks)

    def _misreads(self, wrong: list[list[Suspect]]) -> list[Misread]:
        """The most probable one of each contradiction, then the next most probable ones."""
        by_owner = {m.owner: m for m in self.measured}
        ordered = [ranked[0] for ranked in wrong]
        ordered += [s for ranked in wrong for s in ranked[1:] if s.text is not None]
        named: dict[int, Misread] = {}
        for suspect in ordered:
            m = by_owner[suspect.owner]
            text = suspect.text or told(m, None, self.job.units.length, suspect.value, self.size)
            entry = entry_of(m.dimension)
            why = "" if suspect.reason == "other value" else f" ({suspect.reason})"
            if m.dimension.value is None:
                sentence = f"Dimension '{entry}' contradicts the others; switch it off."
            else:
                sentence = (
                    f"Dimension '{entry}' contradicts the others; {text} would fit{why}:"
                    " correct it, or remove it."
                )
            named.setdefault(suspect.owner, Misread(suspect.owner, text, suspect.reason, sentence))
        return list(named.values())


def _largest(owners: NDArray[np.intp], values: FloatArray) -> dict[int, float]:
    largest: dict[int, float] = {}
    for owner, value in zip(owners.tolist(), values.tolist(), strict=True):
        largest[owner] = max(largest.get(owner, 0.0), value)
    return largest


def _strain(system: System, fit: Adjusted) -> float | None:
    redundancy = float(fit.redundancies[system.owners >= 0].sum())
    if redundancy < 0.5:
        return None
    return float(np.sqrt(np.sum(fit.residuals**2) / redundancy))


def _arrows(names: Sequence[str], motion: FloatArray) -> dict[str, tuple[float, float]]:
    return {
        name: (float(dx), float(dy))
        for name, (dx, dy) in zip(names, motion, strict=True)
        if np.hypot(dx, dy) > 1e-6
    }


def _verdict(dimension: Dimension, measured: str, off: bool, redundancy: float, soft: bool) -> str:
    entry = entry_of(dimension)
    if off and soft:
        return f"Assumption '{entry}' does not fit the dimensions; switch it off."
    if off:
        return (
            f"Dimension '{entry}' contradicts the others, which give {measured}; correct it,"
            " widen its tolerance or remove it."
        )
    if soft:
        return "Assumed from the drawing."
    if redundancy < UNCHECKED:
        return "Taken as given; nothing checks it."
    return "Agrees with the others."


def _notes(
    free: Freedoms, assumptions: list[Measured], strain: float | None, overtight: tuple[int, ...]
) -> tuple[str, ...]:
    notes = []
    if free.shape:
        notes.append(f"{free.shape} freedom{'s' * (free.shape > 1)} of the shape as drawn.")
    elif free.scale:
        notes.append("The shape is settled, its scale is not: forces are right, lengths are not.")
    if free.rotation:
        notes.append("Nothing says what is level; the truss is turned as it was drawn.")
    if assumptions:
        number = len(assumptions)
        notes.append(f"{number} assumption{'s' * (number > 1)} taken from the drawing.")
    if overtight and strain is not None:
        notes.append(
            f"The dimensions disagree by {strain:.1f} times their tolerances; widen the"
            " tolerances or measure again."
        )
    return tuple(notes)
