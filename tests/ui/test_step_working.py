"""Working and comparing, by hand."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from model.job import Answer
from ui import live
from ui.comparing import marks

sys.path.insert(0, str(Path(__file__).parent))
from step_bench import Bench


def test_steps_are_revealed_one_at_a_time_and_all_at_once() -> None:
    bench = Bench("working", "boathouse_roof")
    assert "1. The whole truss set free" in bench.said()
    assert "2. Joint" not in bench.said()
    bench.press("Next step (2 of 8)")
    assert "2. Joint A" in bench.said()
    assert "Closing checks" not in bench.said()
    bench.press("Show all")
    assert "8. Joint" in bench.said()
    assert "Closing checks" in bench.said()
    bench.press("Fold up again")
    assert "2. Joint" not in bench.said()


def test_a_section_through_a_chosen_member_gives_its_force() -> None:
    bench = Bench("working", "boathouse_roof", working_view="section")
    bench.app.multiselect[0].set_value(["GH"])
    said = bench.run().said()
    # By moments about C: 9·8 − 6·4 = 48 = GH · (4/5)·6.
    assert "Section through" in said
    assert ">−10<" in said.split(">GH<")[1].split("</tr>")[0]
    bench.app.multiselect[0].set_value(["AB", "DE"])
    bench.run()
    assert "does not divide the truss in two" in bench.app.error[0].value


def test_members_without_force_are_listed_with_the_reason() -> None:
    said = Bench("working", "boathouse_roof", working_view="without").said()
    assert "BF has no force: at joint B, without load" in said.replace("\\", "")


@pytest.mark.parametrize("sample", ["boathouse_roof", "davit_bracket", "launch_crane"])
def test_the_diagram_of_the_whole_is_drawn_or_refused_with_a_reason(sample: str) -> None:
    bench = Bench("working", sample, working_view="diagram")
    assert "<img" in bench.said() or "cross" in bench.said()


def test_own_values_are_judged_as_they_are_typed_and_kept_in_the_job() -> None:
    bench = Bench("working", "boathouse_roof", working_view="compare")
    bench.type("AB", "12 T").type("AF", "15 T").type("FG", "ten")
    assert bench.job.answers == [Answer(what="AB", value="12 T"), Answer(what="AF", value="15 T")]
    assert bench.field("FG").value == "ten"
    said = bench.said()
    assert "1 of your 2 values are not right." in said
    assert "✗ wrong sense" in said
    placed = live.answer(bench.job).job
    assert placed is not None
    shown = marks(placed.model_copy(update={"answers": bench.job.answers}))
    assert {place: mark["right"] for place, mark in shown.items()} == {"A-B": True, "A-F": False}
    bench.type("AF", "15 C")
    assert "All 2 values are right." in bench.said()
    bench.type("AF", "")
    assert [answer.what for answer in bench.job.answers] == ["AB"]


def test_a_pasted_table_is_taken_as_a_whole_or_refused_with_the_line() -> None:
    bench = Bench("working", "boathouse_roof", working_view="compare")
    bench.type("AB", "11 T")
    bench.app.text_area[0].set_value("what,value,unit\nBA,12 T,kN\nXY,3,kN")
    bench.run().press("Take these")
    assert "no member" in bench.app.error[0].value
    assert [answer.value for answer in bench.job.answers] == ["11 T"]
    bench.app.text_area[0].set_value("what,value,unit\nBA,12000 T,N\nAy,9,kN")
    bench.run().press("Take these")
    assert "All 2 values are right." in bench.said()
    assert bench.field("AB").value == "12000 T N"
    bench.press("Forget my values")
    assert bench.job.answers == []


def test_the_first_joint_that_does_not_balance_is_named() -> None:
    bench = Bench("working", "boathouse_roof", working_view="compare")
    bench.app.text_area[0].set_value(
        "what,value\nAx,0\nAy,9\nEy,9\nAB,12\nAF,-15\nBC,12\nBF,0\nFG,-8\nCF,-5"
    )
    bench.run().press("Take these")
    assert "fail to balance at joint F" in bench.said()
