"""Measure, by hand: dimensions typed, kept, put right; what is open and what contradicts."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

import sample_sketches
from model.geometry import placed_job, settle
from model.job import Dimension, Job

sys.path.insert(0, str(Path(__file__).parent))
from step_bench import Bench


def roof(*more: Dimension) -> Job:
    job = sample_sketches.load_job("boathouse_roof")
    return job.model_copy(update={"picture": None, "dimensions": [*job.dimensions, *more]})


def settled(job: Job) -> bool:
    return settle(job).settled


def test_a_misread_dimension_is_named_and_one_press_puts_it_right() -> None:
    more = [
        Dimension(kind="length", joints=["A", "F"], value="5 m"),
        Dimension(kind="length", joints=["E", "H"], value="5 m"),
        Dimension(kind="horizontal", joints=["A", "E"], value="1.6 m"),
    ]
    bench = Bench("measure", roof(*more))
    assert not settled(bench.job)
    take = [b.label for b in bench.app.button if b.label.startswith("Take ")]
    assert take[0] == "Take 16 m"
    bench.press("Take 16 m")
    assert bench.job.dimensions[-1].value == "16 m"
    assert settled(bench.job)


def test_what_cannot_be_read_is_kept_named_and_can_be_repaired() -> None:
    bench = Bench("measure", roof())
    label = "Value: Level distance A–B"
    bench.type(label, "four metres")
    assert bench.job.dimensions[0].value == "four metres"
    assert "To be put right: Level distance A–B" in bench.app.error[0].value
    assert "four metres" in bench.app.error[1].value
    assert bench.field(label).value == "four metres"
    bench.type(label, "4 m")
    assert [e.value for e in bench.app.error] == []
    assert settled(bench.job)


def test_the_dimension_that_is_missing_is_typed_where_it_is_asked_for() -> None:
    bench = Bench("measure", "signal_mast")
    assert "G can move" in bench.app.warning[0].value
    bench.type("Length E–G", "2.5 m")
    assert bench.job.dimensions[-1].model_dump(include={"kind", "joints", "value"}) == {
        "kind": "length",
        "joints": ["E", "G"],
        "value": "2.5 m",
    }
    assert settled(bench.job)


def test_an_assumption_of_the_drawing_is_put_aside_and_taken_back() -> None:
    bench = Bench("measure", roof())
    before = settle(bench.job).assumptions
    title = next(t.label for t in bench.app.toggle if t.label.startswith("Level "))
    bench.switch(title)
    aside = bench.job.dimensions[-1]
    assert (aside.source, aside.active) == ("assumed", False)
    assert len(settle(bench.job).assumptions) < len(before)
    bench.switch(title)
    assert settle(bench.job).assumptions == before


@pytest.mark.parametrize(
    ("kind", "joints", "value"),
    [
        ("length", "A F", "16'-4 7/8\""),
        ("horizontal", "A C", "8 m"),
        ("vertical", "C G", "6000 mm"),
        ("x", "C", "8 m"),
        ("y", "G", "6 m"),
        ("angle", "A F", "36.87°"),
        ("angle_between", "B A F", "36.87"),
        ("slope", "F G", "4:3"),
        ("equal", "A F F G", ""),
        ("level", "A B C", None),
        ("plumb", "B F", None),
        ("collinear", "A F G", None),
        ("symmetric", "A E G G", "plumb"),
        ("bays", "A E", "4 @ 4 m = 16 m"),
    ],
)
def test_every_kind_of_dimension_can_be_said(kind: str, joints: str, value: str | None) -> None:
    bench = Bench("measure", roof())
    known = settle(bench.job).points
    bench.app.selectbox(key="new:kind:0").set_value(kind)
    bench.run()
    if kind in ("equal", "symmetric"):
        bench.app.text_input(key="new:listed:0").set_value(joints)
    else:
        bench.app.multiselect(key="new:joints:0").set_value(joints.split())
    if value is not None:
        bench.app.text_input(key="new:value:0").set_value(value)
    bench.app.text_input(key="new:tolerance:0").set_value("1 %")
    bench.run().press("Add")
    added = bench.job.dimensions[-1]
    assert (added.kind, added.joints, added.tolerance) == (kind, joints.split(), "1 %")
    # Each of them says what the roof is anyhow: 4 m bays, 6 m high, rafters 3 in 4.
    geometry = settle(bench.job)
    assert geometry.settled
    assert abs(geometry.points - known).max() < 0.002


def test_a_dimension_that_cannot_be_meant_stays_in_the_form() -> None:
    bench = Bench("measure", roof())
    bench.app.multiselect(key="new:joints:0").set_value(["A", "C"])
    bench.app.text_input(key="new:value:0").set_value("-3 m")
    bench.run().press("Add")
    assert len(bench.job.dimensions) == 6
    assert "greater than zero" in bench.app.error[0].value
    assert bench.app.text_input(key="new:value:0").value == "-3 m"


def test_units_change_what_bare_numbers_and_answers_mean() -> None:
    bench = Bench("measure", roof())
    bench.app.selectbox(key="unit:length:0").set_value("ft")
    bench.run()
    placed = placed_job(bench.job, settle(bench.job))
    # Typed in metres, told in feet: 16 m are 52.49 ft.
    assert placed.joints["E"].x == pytest.approx(16 / 0.3048, rel=1e-6)


def test_a_row_is_put_aside_and_removed() -> None:
    bench = Bench("measure", roof())
    bench.app.checkbox[0].set_value(False)
    bench.run()
    assert not bench.job.dimensions[0].active
    bench.press("✕")
    assert bench.job.dimensions[0].joints == ["B", "C"]


def test_what_is_asked_of_a_dimension_that_is_gone_changes_nothing() -> None:
    bench = Bench("measure", roof(Dimension(kind="length", joints=["A", "F"], value="5 m")))
    without = roof()
    bench.undo(without)
    shown = bench.app.checkbox[-1]
    shown.uncheck()
    bench.run()
    assert bench.job == without


def test_a_dimension_that_stands_elsewhere_now_is_still_the_one_that_is_meant() -> None:
    bench = Bench("measure", roof(Dimension(kind="length", joints=["A", "F"], value="5 m")))
    fewer = bench.job.model_copy(update={"dimensions": bench.job.dimensions[1:]})
    bench.undo(fewer)
    bench.app.checkbox[-1].uncheck()
    bench.run()
    assert [d.active for d in bench.job.dimensions] == [True] * (len(fewer.dimensions) - 1) + [
        False
    ]


def test_a_text_that_was_undone_does_not_come_back() -> None:
    label = "Value: Level distance A–B"
    bench = Bench("measure", roof())
    before = bench.job
    bench.type(label, "4 m and a bit").type(label, "40 m")
    held = bench.held()
    bench.undo(before).run().send(held)
    assert bench.job == before
    bench.type(label, "5 m").undo(before).run()
    held = bench.held()
    bench.type(label, "6 m").undo(before).run().send(held)
    assert bench.job == before
    assert bench.field(label).value == before.dimensions[0].value


def test_what_is_typed_while_a_further_field_is_on_its_way_is_kept() -> None:
    label = "Value: Level distance A–B"
    bench = Bench("measure", roof())
    before = bench.job
    bench.type(label, "40 m")
    bench.field(label).set_value("four metres")
    held = bench.held()
    bench.undo(before).run().send(held)
    assert bench.job.dimensions[0].value == "four metres"
    assert bench.run().field(label).value == "four metres"


def test_a_choice_that_was_undone_does_not_come_back() -> None:
    bench = Bench("measure", roof())
    before = bench.job
    bench.app.checkbox[0].uncheck()
    bench.app.selectbox(key="unit:length:0").set_value("ft")
    next(t for t in bench.app.toggle if t.key.startswith("assumed:")).set_value(False)
    held = bench.held()
    changed = bench.send(held).job
    assert not changed.dimensions[0].active
    assert changed.units.length == "ft"
    assert not changed.dimensions[-1].active
    bench.undo(before).run().send(held)
    assert bench.job == before
    assert bench.app.checkbox[0].value


def test_the_page_and_the_work_stay_when_a_callback_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    bench = Bench("measure", roof())
    before = bench.job

    def fail(*_: object) -> None:
        raise RuntimeError

    monkeypatch.setattr("ui.steps.dimensions.change", fail)
    bench.app.checkbox[-1].uncheck()
    bench.run()
    assert bench.job == before
    assert bench.app.session_state["slipped"] is True
    assert bench.app.checkbox
