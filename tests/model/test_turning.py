"""A sideways picture turned upright: the same truss, with down where down now is."""

from __future__ import annotations

import numpy as np
import pytest

import sample_sketches
from model.geometry import placed_job, settle
from model.job import Dimension, Job, JobJoint, JobLoad, JobMember, JobPicture, JobSupport, truss_of
from model.turning import quarter_turned
from solver.solve import solve

SIDEWAYS = Job(
    joints={
        "A": JobJoint(pixel=(100.0, 100.0)),
        "B": JobJoint(pixel=(100.0, 500.0)),
        "C": JobJoint(pixel=(400.0, 300.0)),
    },
    members=[JobMember.model_validate({"a": a, "b": b}) for a, b in ("AB", "BC", "AC")],
    supports=[
        JobSupport(joint="A", kind="pin", angle_deg=0.0),
        JobSupport(joint="B", kind="roller", angle_deg=0.0),
    ],
    loads=[JobLoad(joint="C", magnitude="6 kN", direction_deg=180.0)],
    dimensions=[
        Dimension(kind="vertical", joints=["A", "B"], value="4 m"),
        Dimension(kind="slope", joints=["A", "C"], value="4:3"),
        Dimension(kind="angle", joints=["A", "B"], value="90"),
    ],
    picture=JobPicture(name="side.jpg", sha256="0" * 64),
)


def four_turns(job: Job, size: tuple[float, float]) -> Job:
    for turn in range(4):
        job = quarter_turned(job, size[(turn + 1) % 2])
    return job


def test_what_pointed_to_the_left_acts_upwards_and_three_turns_more_it_acts_down() -> None:
    turned = quarter_turned(SIDEWAYS, 600.0)
    assert turned.loads[0].direction_deg == 90.0
    assert [support.angle_deg for support in turned.supports] == [270.0, 270.0]
    assert turned.joints["A"].pixel == (500.0, 100.0)
    assert turned.picture is not None
    assert turned.picture.turn == 90
    upright = quarter_turned(quarter_turned(turned, 800.0), 600.0)
    assert upright.loads[0].direction_deg == 270.0
    assert upright.supports[0].angle_deg == 90.0
    truss = truss_of(placed_job(upright, settle(upright)))
    assert np.allclose([truss.loads[0].fx, truss.loads[0].fy], [0.0, -6.0], atol=1e-12)
    # A gable with sides of 3 along and 4 up under 6 kN at its top, by hand: 3 / sin and 3 / tan.
    forces = solve(truss).forces
    assert forces is not None
    assert forces == pytest.approx([2.25, -3.75, -3.75], abs=1e-3)


def test_dimensions_keep_saying_what_they_said_of_the_drawing() -> None:
    turned = quarter_turned(SIDEWAYS, 600.0)
    assert [(d.kind, d.value) for d in turned.dimensions] == [
        ("horizontal", "4 m"),
        ("slope", "3:4"),
        ("angle", "0°"),
    ]


@pytest.mark.parametrize("name", sample_sketches.names())
def test_four_turns_give_back_the_truss_and_one_keeps_its_forces(name: str) -> None:
    job = sample_sketches.load_job(name)
    back = four_turns(job, (800.0, 600.0))
    assert np.allclose(truss_of(back).points, truss_of(job).points, atol=1e-12)
    for joint, same in zip(job.joints.values(), back.joints.values(), strict=True):
        assert joint.pixel == pytest.approx(same.pixel)
    for load, same_load in zip(truss_of(job).loads, truss_of(back).loads, strict=True):
        assert (load.fx, load.fy) == pytest.approx((same_load.fx, same_load.fy), abs=1e-12)
    for support, same_support in zip(job.supports, back.supports, strict=True):
        assert support.angle_deg == pytest.approx(same_support.angle_deg)
    before = solve(truss_of(job)).forces
    after = solve(truss_of(quarter_turned(job, 600.0))).forces
    if before is None:
        assert after is None
    else:
        assert after is not None
        assert np.allclose(after, before, atol=1e-9 * abs(before).max())
