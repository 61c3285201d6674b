"""Numbered variants of a problem: other spans, heights and loads, the numbers still clean.

Spans and heights are stretched, which keeps a stable truss stable; stretches
are chosen so that slopes which were simple, such as 3:4, are simple again.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from fractions import Fraction
from itertools import product
from typing import NamedTuple

from model.errors import InputError
from model.job import Job, JobJoint, JobLoad, load_of, truss_of
from solver.solve import solve

__all__ = ["variants"]

#: Factors by which spans and heights are stretched.
_STRETCHES = [
    Fraction(a, b)
    for a, b in ((1, 2), (2, 3), (3, 4), (1, 1), (5, 4), (4, 3), (3, 2), (5, 3), (2, 1), (5, 2))
]
#: Largest number in a slope, as run:rise, that is still simple.
_SIMPLE = 15
#: Denominators of clean coordinates, and how close a number must be to be one.
_CLEAN = 20
_CLOSE = 1e-9
#: Loads are multiplied by a factor between these, in clean steps; farther for whole numbers.
_LEAST, _MOST, _FARTHEST = 0.5, 2.0, 4.0
#: So many whole sizes of a load are enough to leave the broken ones out.
_FEW = 3
#: Draws for each variant before the search is given up.
_DRAWS = 50


class _Change(NamedTuple):
    """Stretches along x and y, and the factor of each load."""

    span: Fraction
    height: Fraction
    factors: tuple[Fraction, ...]


def variants(job: Job, count: int, seed: int = 0) -> list[Job]:
    """Make variants of a problem, each different from the job and from each other.

    Parameters
    ----------
    job : Job
        With coordinates for every joint, and solvable.
    count : int
    seed : int
        The same seed makes the same variants, whatever the count: more are
        added behind.

    Returns
    -------
    list of Job
        Titled with their number.  They have coordinates but no dimensions,
        picture or answers; loads are written as components, in the job's unit.
        Equal loads stay equal.  `solver.solve.result_of` gives each its key.

    Raises
    ------
    InputError
        If the job cannot be solved, with the reason, or not so many different
        variants exist.
    """
    if (solution := solve(truss_of(job))).forces is None:
        raise InputError(f"Variants need a problem that can be solved: {solution.reason}")
    chance = random.Random(seed)
    stretches = list(_stretches(job))
    sizes, steps = _sizes(job), _load_factors(job)
    seen = {_Change(Fraction(1), Fraction(1), tuple(Fraction(1) for _ in job.loads))}
    made: list[Job] = []
    for _ in range(_DRAWS * count):
        if len(made) == count:
            break
        span, height = chance.choice(stretches)
        factor_of = {size: chance.choice(factors) for size, factors in steps.items()}
        change = _Change(span, height, tuple(factor_of[size] for size in sizes))
        if change in seen:
            continue
        seen.add(change)
        variant = _changed(job, change, len(made) + 1)
        # Rollers at an angle are not stretched with the rest.
        if solve(truss_of(variant)).forces is not None:
            made.append(variant)
    if len(made) < count:
        raise InputError(
            f"Only {len(made)} different variants of this problem have clean numbers; ask for"
            " fewer."
        )
    return made


def _stretches(job: Job) -> Iterator[tuple[Fraction, Fraction]]:
    """Stretches along x and y that leave slopes and places as simple as they are."""
    slopes = [_slope(run, rise) for run, rise in _inclined(job)]
    simple = [slope for slope in slopes if slope is not None]
    spans = _clean_stretches([joint.x for joint in job.joints.values()])
    heights = _clean_stretches([joint.y for joint in job.joints.values()])
    for span, height in product(spans, heights):
        stretched = [slope * height / span for slope in simple]
        # Slopes such as 30 degrees only stay when all is scaled alike.
        if span == height or (
            len(simple) == len(slopes)
            and all(max(s.numerator, s.denominator) <= _SIMPLE for s in stretched)
            and sum(map(_whole, stretched)) >= sum(map(_whole, simple))
        ):
            yield span, height


def _clean_stretches(places: list[float | None]) -> list[Fraction]:
    """Stretches after which clean places can still be written with two decimals."""
    clean = [place for place in map(_fraction, places) if place is not None]
    written = [place for place in clean if 100 % place.denominator == 0]
    return [s for s in _STRETCHES if all(100 % (p * s).denominator == 0 for p in written)]


def _inclined(job: Job) -> Iterator[tuple[float, float]]:
    for member in job.members:
        a, b = job.joints[member.a], job.joints[member.b]
        run, rise = (b.x or 0.0) - (a.x or 0.0), (b.y or 0.0) - (a.y or 0.0)
        if min(abs(run), abs(rise)) > _CLOSE * math.hypot(run, rise):
            yield abs(run), abs(rise)


def _slope(run: float, rise: float) -> Fraction | None:
    """Rise over run, if it is one of small whole numbers."""
    near = Fraction(rise / run).limit_denominator(60)
    return near if abs(float(near) * run - rise) <= _CLOSE * rise else None


def _whole(slope: Fraction) -> bool:
    """Whether run, rise and length are to each other as whole numbers, such as 3:4:5."""
    square = slope.numerator**2 + slope.denominator**2
    return math.isqrt(square) ** 2 == square


def _fraction(place: float | None) -> Fraction | None:
    place = place or 0.0
    near = Fraction(place).limit_denominator(_CLEAN)
    return near if abs(float(near) - place) <= _CLOSE * max(1.0, abs(place)) else None


def _sizes(job: Job) -> list[float]:
    """Size of each load, rounded so that equal loads are equal."""
    return [float(f"{math.hypot(*pair):.9g}") for pair in _components(job)]


def _components(job: Job) -> list[tuple[float, float]]:
    loads = [load_of(load, job.units.force, "Load") for load in job.loads]
    return [(load.fx, load.fy) for load in loads]


def _load_factors(job: Job) -> dict[float, list[Fraction]]:
    """Factors for each size of load that lead to clean loads, whole ones where there are some."""
    parts: dict[float, list[Fraction]] = {}
    for size, pair in zip(_sizes(job), _components(job), strict=True):
        parts.setdefault(size, []).extend(Fraction(p).limit_denominator(10**6) for p in pair)
    return {size: _clean_factors(size, components) for size, components in parts.items()}


def _clean_factors(size: float, components: list[Fraction]) -> list[Fraction]:
    if size == 0.0:
        return [Fraction(1)]
    exact = Fraction(size).limit_denominator(10**6)
    power = Fraction(10) ** math.floor(math.log10(size))
    # 12 goes in steps of 1, 24 in steps of 2, 60 in steps of 5.
    step = power / 10 if size < 2 * power else power / (5 if size < 5 * power else 2)
    first, last = math.ceil(_LEAST * exact / step), math.floor(_FARTHEST * exact / step)
    clean = [step * times / exact for times in range(first, last + 1)]
    near = [factor for factor in clean if factor <= _MOST]
    whole = [f for f in clean if all((part * f).denominator == 1 for part in components)]
    whole_near = [factor for factor in whole if factor <= _MOST]
    return next((some for some in (whole_near, whole) if len(some) >= _FEW), near)


def _changed(job: Job, change: _Change, number: int) -> Job:
    joints = {
        name: JobJoint(
            x=float(_exact(joint.x) * change.span), y=float(_exact(joint.y) * change.height)
        )
        for name, joint in job.joints.items()
    }
    loads = [
        _scaled(load, job.units.force, factor)
        for load, factor in zip(job.loads, change.factors, strict=True)
    ]
    return job.model_copy(
        update={
            "title": f"{job.title or 'Truss'}, variant {number}",
            "joints": joints,
            "loads": loads,
            "dimensions": [],
            "answers": [],
            "picture": None,
        }
    )


def _exact(place: float | None) -> Fraction:
    near = _fraction(place or 0.0)
    return Fraction(place or 0.0) if near is None else near


def _scaled(load: JobLoad, unit: str, factor: Fraction) -> JobLoad:
    read = load_of(load, unit, "Load")
    x, y = (float(f"{component * float(factor):.12g}") for component in (read.fx, read.fy))
    return JobLoad(joint=load.joint, fx=x, fy=y, case=load.case, tolerance=load.tolerance)
