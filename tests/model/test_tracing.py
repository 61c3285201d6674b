"""A candidate becomes a job with nothing that was read left out."""

from __future__ import annotations

import pytest

from model.candidate import Candidate
from model.errors import InputError
from model.geometry import as_drawn, placed_job, settle
from model.job import check, truss_of
from model.tracing import job_from


def candidate(**entries: object) -> Candidate:
    document: dict[str, object] = {
        "picture": {"name": "davit.jpg", "width": 800, "height": 600, "sha256": "ab"},
        "joints": [
            {"id": 7, "x": 400, "y": 100},
            {"id": 3, "x": 90, "y": 505},
            {"id": 4, "x": 700, "y": 495},
        ],
        "members": [{"a": 3, "b": 4}, {"a": 4, "b": 7}, {"a": 3, "b": 7}, {"a": 7, "b": 3}],
        "supports": [
            {"joint": 3, "kind": "pin"},
            {"joint": 4, "kind": "roller", "confidence": 0.9},
            {"joint": 4, "kind": "pin", "confidence": 0.2},
        ],
        "loads": [{"joint": 7, "direction_deg": 270, "value": 12, "unit": "kN"}],
        "dimensions": [
            {"kind": "length", "joints": [3, 4], "value": 6, "unit": "m"},
            {"kind": "slope", "joints": [3, 7], "value": 0.75},
            {"kind": "angle", "joints": [4, 7], "value": 36.9},
        ],
    }
    return Candidate.model_validate({**document, **entries})


def test_joints_are_named_in_reading_order_bottom_row_first() -> None:
    job = job_from(candidate())
    assert {name: joint.pixel for name, joint in job.joints.items()} == {
        "A": (90, 505),
        "B": (700, 495),
        "C": (400, 100),
    }
    assert all(joint.x is None and joint.y is None for joint in job.joints.values())


def test_letters_read_are_kept_where_valid_and_unique() -> None:
    joints = [
        {"id": 7, "x": 400, "y": 100, "label": "B"},
        {"id": 3, "x": 90, "y": 505, "label": "Q"},
        {"id": 4, "x": 700, "y": 495, "label": "Q"},
        {"id": 5, "x": 750, "y": 100, "label": "a b"},
    ]
    job = job_from(candidate(joints=joints))
    assert list(job.joints) == ["A", "C", "B", "D"]
    assert job.joints["B"].pixel == (400, 100)


def test_more_joints_than_letters_have_names_all_the_same() -> None:
    joints = [{"id": i, "x": 10.0 * i, "y": 0} for i in range(60)]
    job = job_from(candidate(joints=joints))
    assert len(job.joints) == 60
    check(job)


def test_what_was_read_is_carried_along() -> None:
    job = job_from(candidate())
    check(job)
    assert [(m.a, m.b) for m in job.members] == [("A", "B"), ("B", "C"), ("A", "C")]
    assert [(s.joint, s.kind) for s in job.supports] == [("A", "pin"), ("B", "roller")]
    assert [d.source for d in job.dimensions] == ["read"] * 3
    assert [d.value for d in job.dimensions] == ["6 m", "1:0.75", 36.9]
    truss = truss_of(placed_job(job, settle(job)))
    assert truss.load_vector()[2] == pytest.approx([0, -12])
    assert truss.points[1] == pytest.approx([6, 0], abs=0.002)
    assert truss.points[2] == pytest.approx([3, 2.25], abs=0.01)


def test_a_load_without_a_value_waits_for_one() -> None:
    job = job_from(candidate(loads=[{"joint": 7, "direction_deg": 270}]))
    with pytest.raises(InputError, match="needs a magnitude"):
        truss_of(as_drawn(job))


def test_units_are_those_that_were_read() -> None:
    dimension = {"kind": "length", "joints": [3, 4], "value": 20, "unit": "ft"}
    load = {"joint": 7, "direction_deg": 270, "value": 3, "unit": "kip"}
    units = job_from(candidate(dimensions=[dimension], loads=[load])).units
    assert (units.length, units.force) == ("ft", "kip")
