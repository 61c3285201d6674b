"""What a dimension's tolerance does to the coordinates, against settling again with it off."""

from typing import Any

import numpy as np
import pytest

from model.geometry import settle
from model.job import Job, read_job
from model.shifts import shifts_of

DIMENSIONS: list[dict[str, Any]] = [
    {"kind": "horizontal", "joints": ["A", "B"], "value": 8, "tolerance": "40 mm"},
    {"kind": "level", "joints": ["A", "B"]},
    {"kind": "length", "joints": ["A", "C"], "value": 5, "tolerance": "20 mm"},
    {"kind": "length", "joints": ["B", "C"], "value": 5, "tolerance": "10 mm"},
]
HEIGHT = {"kind": "vertical", "joints": ["A", "C"], "value": 3, "tolerance": "30 mm"}


def gable(dimensions: list[dict[str, Any]]) -> Job:
    return read_job(
        {
            "format": "inkstrut-job",
            "version": 1,
            "joints": {
                "A": {"pixel": [100, 500]},
                "B": {"pixel": [900, 510]},
                "C": {"pixel": [500, 200]},
            },
            "members": [{"a": "A", "b": "B"}, {"a": "A", "b": "C"}, {"a": "B", "b": "C"}],
            "supports": [{"joint": "A", "kind": "pin"}, {"joint": "B", "kind": "roller"}],
            "dimensions": dimensions,
        }
    )


@pytest.mark.parametrize("dimensions", [DIMENSIONS, [*DIMENSIONS, HEIGHT]])
def test_a_dimension_off_by_its_tolerance_moves_the_joints_so(
    dimensions: list[dict[str, Any]],
) -> None:
    job = gable(dimensions)
    settled = settle(job)
    shifts = list(shifts_of(job, settled).values())
    for position, dimension in enumerate(dimensions):
        if dimension["kind"] == "level":
            continue
        off = float(dimension["tolerance"].split()[0]) / 1000 / 10  # a tenth: still straight
        changed = [dict(d) for d in dimensions]
        changed[position]["value"] += off
        moved = (settle(gable(changed)).points - settled.points).ravel()
        np.testing.assert_allclose(moved, shifts[position][:, 0] / 10, atol=2e-5)


@pytest.mark.parametrize("dimensions", [DIMENSIONS, [*DIMENSIONS, HEIGHT]])
def test_all_shifts_together_are_the_covariance(dimensions: list[dict[str, Any]]) -> None:
    """A tolerance is two standard deviations."""
    job = gable(dimensions)
    settled = settle(job)
    shifts = np.hstack(list(shifts_of(job, settled).values()))
    size = np.abs(settled.covariance).max()
    np.testing.assert_allclose(shifts @ shifts.T / 4, settled.covariance, atol=1e-6 * size)


def test_what_is_assumed_from_the_drawing_is_named() -> None:
    job = gable([DIMENSIONS[0], DIMENSIONS[2]])
    settled = settle(job)
    assumed = set(shifts_of(job, settled)) - {"horizontal A-B 8", "length A-C 5"}
    assert len(assumed) == len(settled.assumptions) > 0


def test_a_dimension_switched_off_has_no_part() -> None:
    job = gable([*DIMENSIONS, HEIGHT | {"active": False}])
    assert len(shifts_of(job, settle(job))) == len(DIMENSIONS)
