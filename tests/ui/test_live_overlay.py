"""What is drawn over the picture while a person edits, without a browser."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

import sample_sketches
from model.job import Job, JobLoad, JobMember
from ui import live
from ui.session import Work
from ui.shelf import Picture


def work(job: Job, **changes: Any) -> Work:
    return Work(job, picture=Picture("sketch.jpg", "0" * 64, 1800, 1350), **changes)


def drawn(job: Job, **changes: Any) -> dict[str, Any]:
    now = work(job, **changes)
    return live.overlay(now, live.answer(job), 2.0, "forces")


@pytest.fixture
def roof() -> Job:
    return sample_sketches.load_job("boathouse_roof")


def test_a_kingpost_roof_by_hand(roof: Job) -> None:
    """Three loads of 6 kN at slope 3:4: by hand A takes 9, AF = 9 / 0.6 = 15, AB = 12."""
    shown = drawn(roof)
    assert shown["members"]["A-F"]["said"] == "15 kN compression"
    assert shown["members"]["A-B"]["said"] == "12 kN tension"
    assert shown["members"]["A-F"]["parts"] == "along x 12, along y 9; run : rise = 4 : 3"
    assert shown["members"]["A-B"]["parts"] is None
    assert shown["members"]["B-F"]["sense"] == "0"
    assert [part["text"] for part in shown["reactions"]["A"]] == ["9"]
    assert shown["line"] == {"text": "Solved. Forces in kN", "tone": "done", "goto": None}


def test_every_sample_that_stands_has_its_values(roof: Job) -> None:
    for name in sample_sketches.names():
        job = sample_sketches.load_job(name)
        shown = drawn(job)
        if "mechanism" in shown:
            assert "labels" not in shown
        else:
            assert len(shown["members"]) == len(job.members), name


def test_an_undimensioned_drawing_gets_forces_as_drawn_and_a_next_dimension(roof: Job) -> None:
    joints = {
        name: joint.model_copy(update={"x": None, "y": None}) for name, joint in roof.joints.items()
    }
    traced = roof.model_copy(update={"joints": joints, "dimensions": []})
    shown = drawn(traced)
    assert len(shown["members"]) == 13
    assert "shape as drawn" in shown["line"]["text"]
    assert shown["line"]["goto"]["step"] == "measure"


@pytest.mark.parametrize(
    ("change", "words", "tool"),
    [
        (
            {"joints": {}, "members": [], "supports": [], "loads": [], "dimensions": []},
            "Draw",
            "joint",
        ),
        ({"members": []}, "Draw members", "member"),
        ({"supports": []}, "supported", "support"),
        ({"loads": []}, "load", "load"),
    ],
)
def test_the_line_names_what_is_missing_and_its_tool(
    roof: Job, change: dict[str, Any], words: str, tool: str
) -> None:
    line = drawn(roof.model_copy(update=change))["line"]
    assert words in line["text"]
    assert line["goto"]["tool"] == tool


def test_the_line_goes_to_a_load_that_cannot_be_read(roof: Job) -> None:
    bad = JobLoad(joint="B", magnitude="heavy", direction_deg=270.0)
    line = drawn(roof.model_copy(update={"loads": [*roof.loads, bad]}))["line"]
    assert line["goto"]["select"] == ["l:3"]
    assert "heavy" in line["text"]


def test_a_dimension_that_cannot_be_read_is_marked_and_gone_to(roof: Job) -> None:
    bad = roof.dimensions[1].model_copy(update={"value": "four-ish"})
    job = roof.model_copy(update={"dimensions": [roof.dimensions[0], bad, *roof.dimensions[2:]]})
    shown = drawn(job)
    assert shown["wrong"] == [1]
    assert shown["line"]["goto"]["select"] == ["d:1"]


def test_a_mechanism_swings_within_the_picture(roof: Job) -> None:
    job = roof.model_copy(update={"members": [m for m in roof.members if {m.a, m.b} != {"C", "G"}]})
    moves = np.array(list(drawn(job)["mechanism"].values()))
    assert 40 < np.hypot(*moves.T).max() < 120


def test_a_long_truss_writes_only_values_that_have_room() -> None:
    joints, members = {}, []
    for i in range(60):
        joints[f"A{i}"] = {"x": float(i), "y": 0.0, "pixel": (25.0 * i, 600.0)}
        joints[f"B{i}"] = {"x": float(i), "y": 1.0, "pixel": (25.0 * i, 575.0)}
        members.append(JobMember(a=f"A{i}", b=f"B{i}"))
        if i:
            members += [JobMember(a=f"{row}{i - 1}", b=f"{row}{i}") for row in "AB"]
            members.append(JobMember(a=f"A{i - 1}", b=f"B{i}"))
    job = Job.model_validate(
        {
            "joints": joints,
            "members": [m.model_dump() for m in members],
            "supports": [{"joint": "A0", "kind": "pin"}, {"joint": "A59", "kind": "roller"}],
            "loads": [{"joint": "B30", "fy": -10.0}],
        }
    )
    shown = drawn(job)
    assert shown["thinned"]
    assert 5 < len(shown["labels"]) < len(shown["members"]) == 237
    closer = live.overlay(work(job), live.answer(job), 0.4, "forces")
    assert len(closer["labels"]) > 2 * len(shown["labels"])
