"""From a sketch that is not to scale to coordinates: the drawing starts, the dimensions decide.

`settle` gives the geometry of a job with everything that is known about it;
`placed_job` writes its coordinates into the job. What each kind of dimension
means is told in `model.dimensions`, the adjustment in `model.adjustment`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from model.adjustment import Adjusted
from model.assumptions import propose
from model.constraints import System
from model.contradictions import Network, Suspect, suspects
from model.dimensions import Measured, entry_of, equations_of, read
from model.errors import InputError
from model.findings import Check, Geometry, Misread, Problem
from model.freedoms import Freedoms, Suggestion, freedoms_of, motions, suggest
from model.job import Job
from model.sketch import Sketch, drawn_places, origin_of, sketch_of
from model.verdicts import checks_of, misreads_of, notes_of, overtight_of, strain_of

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

#: An assumption off by more than this many standard deviations is refuted by what was measured.
_REFUTED = 2.5
#: How much longer than the other two sides a side may be, for their tolerances' sake.
_STRETCH = 1.02


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
    drawn, missing = drawn_places(job, homography)
    measured, problems = _read(job)
    if drawn is None:
        return _undrawn(job, [*missing, *problems])
    sketch = sketch_of(job, drawn, measured, flat=homography is not None)
    geometry = _adjusted(job, sketch, measured, problems, assume)
    if homography is None or geometry.homography is None:
        return geometry
    to_picture = np.linalg.inv(homography) @ geometry.homography
    return replace(geometry, homography=to_picture / to_picture[2, 2])


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
    drawn, missing = drawn_places(job, homography)
    if drawn is None:
        raise InputError(missing[0].sentence)
    at = dict(zip(job.joints, drawn, strict=True))
    longest = max((float(np.hypot(*(at[m.a] - at[m.b]))) for m in job.members), default=10.0)
    return _with_points(job, (drawn - drawn[origin_of(job, drawn)]) * (10.0 / (longest or 10.0)))


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


def _undrawn(job: Job, problems: list[Problem]) -> Geometry:
    """What can be said of dimensions before there is a drawing."""
    unusable = {problem.index: problem.sentence for problem in problems}
    checks = [
        Check(i, d, "problem", "", 0.0, 0.0, unusable[i])
        if i in unusable
        else Check(i, d, "off", "", 0.0, 0.0, "Waits for the drawing.")
        for i, d in enumerate(job.dimensions)
    ]
    points = np.zeros((len(job.joints), 2))
    return Geometry(
        tuple(job.joints),
        points,
        np.zeros((points.size, points.size)),
        scale_settled=False,
        rotation_settled=False,
        checks=tuple(checks),
        problems=tuple(problems),
    )


def _adjusted(
    job: Job, sketch: Sketch, measured: list[Measured], problems: list[Problem], assume: bool
) -> Geometry:
    """Adjust, look for contradictions, complete by assumptions, see what is open."""
    impossible = _impossible(measured)
    network = sketch.network(sketch.drawing.points, measured)
    first = None
    if not impossible:
        first = network.adjust()
        network, first = _with_leans_seen_flat(sketch, measured, network, first)
    by_owner = {m.owner: m for m in measured}
    triples = [[m.owner for m in three] for three in impossible]
    wrong, rest, fit = suspects(network, by_owner, triples, first)
    problems = problems + [_about_triangle(three, wrong) for three in impossible]
    alone = _freedoms(rest, fit, fit.open_by_measured, assumed=False)
    assumptions: list[Measured] = []
    if assume and (alone.shape or alone.rotation):
        assumptions, rest, fit = _assume(job, sketch, measured, fit, wrong)
    free = _freedoms(rest, fit, fit.open_by_all, assumed=True)
    unusable = {p.index: p.sentence for p in problems if p.index is not None}
    checks = checks_of(job.dimensions, by_owner, unusable, wrong, rest, fit)
    strain = strain_of(rest.measured, fit)
    overtight = overtight_of(checks, strain, wrong)
    return Geometry(
        joints=sketch.names,
        points=fit.points * sketch.size,
        covariance=fit.covariance * sketch.size**2,
        freedoms=free.shape,
        freedoms_measured=alone.shape,
        scale_settled=not free.scale,
        rotation_settled=not free.rotation,
        open_motions=tuple(_arrows(sketch.names, m) for m in motions(fit.points, free)),
        next_dimensions=tuple(suggest(fit.points, sketch.members, sketch.names, free)),
        checks=checks,
        misreads=misreads_of(by_owner, wrong, rest),
        problems=tuple(problems),
        assumptions=tuple(m.dimension for m in assumptions),
        overtight=overtight,
        strain=strain,
        homography=sketch.to_picture(fit),
        notes=notes_of(free, assumptions, strain, overtight),
    )


def _with_leans_seen_flat(
    sketch: Sketch, measured: list[Measured], network: Network, fit: Adjusted
) -> tuple[Network, Adjusted]:
    """Read signs and leans again from the drawing with its perspective taken out."""
    flat = sketch.network(sketch.flattened(fit), measured)
    before = (network.measured.equations, network.assumed.equations)
    if (flat.measured.equations, flat.assumed.equations) == before:
        return network, fit
    return flat, flat.adjust(fit)


def _freedoms(network: Network, fit: Adjusted, space: FloatArray, *, assumed: bool) -> Freedoms:
    systems = [network.measured, network.assumed] if assumed else [network.measured]
    rows = [system.jacobian(fit.points).toarray() for system in systems]
    return freedoms_of(fit.points, np.vstack(rows), space)


def _assume(
    job: Job,
    sketch: Sketch,
    measured: list[Measured],
    fit: Adjusted,
    wrong: list[list[Suspect]],
) -> tuple[list[Measured], Network, Adjusted]:
    """Add what the drawing seems to mean and the measurements neither settle nor refute."""
    index = {name: position for position, name in enumerate(sketch.names)}
    spoken_for = {(d.kind, frozenset(d.joints)) for d in job.dimensions}
    first = len(job.dimensions)
    proposed = [
        read(dimension, first + position, index, sketch.unit)
        for position, dimension in enumerate(
            propose(sketch.flattened(fit), sketch.members, sketch.supports, sketch.names)
        )
        if (dimension.kind, frozenset(dimension.joints)) not in spoken_for
    ]
    taken = [m for m in proposed if _decides(m, fit, sketch)]
    while True:
        network = sketch.network(sketch.flattened(fit), measured, taken)
        for ranked in wrong:
            network = network.without(ranked[0].owner)
        after = network.adjust(fit)
        misses = zip(network.assumed.owners.tolist(), after.assumed_residuals, strict=True)
        refuted = {owner for owner, miss in misses if owner >= first and abs(miss) > _REFUTED}
        if not refuted:
            return taken, network, after
        taken = [m for m in taken if m.owner not in refuted]


def _decides(m: Measured, fit: Adjusted, sketch: Sketch) -> bool:
    """Whether an assumption says something about what the measurements leave open."""
    system = System(tuple(equations_of(m, fit.points, sketch.size)), len(sketch.names))
    jacobian = system.jacobian(fit.points).toarray()
    effect = float(np.linalg.norm(jacobian @ fit.open_by_measured))
    return effect > 1e-6 * float(np.linalg.norm(jacobian))


def _arrows(names: Sequence[str], motion: FloatArray) -> dict[str, tuple[float, float]]:
    return {
        name: (float(dx), float(dy))
        for name, (dx, dy) in zip(names, motion, strict=True)
        if np.hypot(dx, dy) > 1e-6
    }
