"""One misread among redundant dimensions is named, with the value that would fit."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from model import units
from model.geometry import settle
from model.job import Dimension
from model.misreads import readings

PLANTED = ("digit", "decimal point", "digits swapped", "unit", "feet and inches")
TRIALS = 40


def value_of(dimension: Dimension, text: str) -> float:
    return units.angle(text) if "angle" in dimension.kind else units.length(text, "m")


def as_written(dimension: Dimension, feet: bool) -> Dimension:
    """The dimension as a person writes it, rounded; inches with half an inch to spare."""
    value = float(dimension.value or 0.0)
    if "angle" in dimension.kind:
        return dimension.model_copy(update={"value": f"{value:.1f}"})
    if not feet:
        return dimension.model_copy(update={"value": f"{value:.2f} m", "tolerance": "1 cm"})
    inches = max(round(value / 0.0254), 1)
    text = f"{inches // 12}'-{inches % 12}\""
    return dimension.model_copy(update={"value": text, "tolerance": "1 in"})


def clearly_wrong(dimension: Dimension, text: str) -> bool:
    """Off by at least eight times what is tolerated (the smaller slips are no contradiction)."""
    written, true = value_of(dimension, text), value_of(dimension, str(dimension.value))
    if "angle" in dimension.kind:
        return abs(written - true) > 4 and 0 < written < 360
    least = 0.2 if str(dimension.tolerance) == "1 in" else 0.08
    return abs(written - true) > least and written > 0


def test_one_planted_misread_is_named(case: Callable[..., Any]) -> None:
    """In at least 95 % of trials: digit, decimal point, swapped digits, unit, feet and inches.

    Planted where it can be seen at all: in a dimension a third of whose error shows.
    """
    named, told, trials, seed = 0, 0, 0, 0
    while trials < TRIALS:
        rng = np.random.default_rng(seed)
        truth = case(rng, int(rng.integers(7, 41)), extra=0.5)
        feet = seed % 3 == 2
        seed += 1
        dimensions = [as_written(d, feet) for d in truth.job.dimensions]
        job = truth.job.model_copy(update={"dimensions": dimensions})
        checks = settle(job, assume=False).checks
        seen = [check.index for check in checks if check.redundancy > 1 / 3]
        if not seen or any(check.state != "fits" for check in checks):
            continue
        at = int(rng.choice(seen))
        slips = [
            r
            for r in readings(str(dimensions[at].value), dimensions[at].kind, "m")
            if r.reason in PLANTED and clearly_wrong(dimensions[at], r.text)
        ]
        if not slips:
            continue
        reason = rng.choice(sorted({slip.reason for slip in slips}))
        text = str(rng.choice([slip.text for slip in slips if slip.reason == reason]))
        spoilt = list(dimensions)
        spoilt[at] = dimensions[at].model_copy(update={"value": text})
        misreads = settle(job.model_copy(update={"dimensions": spoilt}), assume=False).misreads
        trials += 1
        if misreads and misreads[0].index == at:
            named += 1
            right = value_of(dimensions[at], str(dimensions[at].value))
            told += value_of(dimensions[at], misreads[0].value) == pytest.approx(right, rel=0.03)
    assert named >= 0.95 * trials
    assert told >= 0.85 * trials


@pytest.mark.parametrize(
    ("written", "kind", "meant", "reason"),
    [
        ("12", "length", "1.2", "decimal point"),
        ("1.2 m", "length", "12 m", "decimal point"),
        ("3.71 m", "length", "3.11 m", "digit"),
        ("21°", "angle", "12°", "digits swapped"),
        ("12 m", "length", "12 ft", "unit"),
        ("30 cm", "length", "30 mm", "unit"),
        ("5'-6\"", "length", "6'-5\"", "feet and inches"),
        ("4:3", "slope", "3:4", "run and rise"),
        ("30", "angle", "60", "from plumb"),
    ],
)
def test_the_usual_slips_are_among_the_readings(
    written: str, kind: str, meant: str, reason: str
) -> None:
    assert (meant, reason) in {(r.text, r.reason) for r in readings(written, kind, "m")}
