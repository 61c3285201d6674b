"""Forces, by hand: values, cases and combinations, stiffness, travelling loads, ranges."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

import sample_sketches
from model.errors import InputError
from model.geometry import placed_job, settle
from model.job import Job, JobJoint, JobLoad, JobMember, JobSupport, truss_of
from solver.solve import result_of, solve
from ui.steps.stiffness import read_property
from ui.steps.travelling import deck_of

sys.path.insert(0, str(Path(__file__).parent))
from step_bench import Bench


def roof() -> Job:
    job = sample_sketches.load_job("boathouse_roof")
    return placed_job(job, settle(job)).model_copy(update={"picture": None, "dimensions": []})


def square(**more: object) -> Job:
    """A square with both diagonals on a pin and a roller: one member more than needed."""
    corners = {"A": (0.0, 0.0), "B": (3.0, 0.0), "C": (3.0, 3.0), "D": (0.0, 3.0)}
    sides = ("AB", "BC", "CD", "DA", "AC", "BD")
    parts = {
        "joints": {name: JobJoint(x=x, y=y) for name, (x, y) in corners.items()},
        "members": [JobMember(a=a, b=b) for a, b in sides],
        "supports": [JobSupport(joint="A", kind="pin"), JobSupport(joint="B", kind="roller")],
        "loads": [JobLoad(joint="D", fx=10.0)],
    }
    return Job(**{**parts, **more})  # type: ignore[arg-type]


def test_members_are_listed_with_parts_and_slope() -> None:
    said = Bench("forces", "boathouse_roof").said()
    # Joint A by hand: 9 kN up, rafter 3 in 4, so the rafter pushes with 9 · 5/3 = 15 kN.
    row = said.split(">A–F<")[1].split("</tr>")[0]
    assert ">15 C<" in row
    assert ">12 · 9<" in row
    assert ">4 : 3<" in row


def test_the_figure_to_scale_takes_the_place_of_the_picture_and_gives_it_back() -> None:
    bench = Bench("forces", "boathouse_roof")
    assert "<img" not in bench.said()
    bench.switch("Figure to scale in place of the picture")
    assert 'alt="Truss" src="data:image/svg+xml' in bench.said()
    bench.switch("Figure to scale in place of the picture")
    assert "<img" not in bench.said()


def test_an_unstable_truss_says_what_to_do() -> None:
    bench = Bench("forces", "why_it_sways")
    assert "add a member" in bench.app.error[0].value
    assert "Add what is missing" in [b.label for b in bench.app.button]


def test_a_redundant_truss_without_stiffness_asks_for_it_and_takes_alike() -> None:
    bench = Bench("forces", square())
    assert "E and A" in bench.app.error[0].value
    bench.switch("All members are alike")
    assert bench.job.alike
    assert [e.value for e in bench.app.error] == []
    forces = solve(truss_of(bench.job)).forces
    assert forces is not None
    # The sway of 10 kN is shared by the two diagonals: their parts along x add up to it.
    assert abs(forces[4] - forces[5]) / np.sqrt(2) == pytest.approx(10.0)


def test_cases_are_combined_with_factors_and_the_envelope_names_what_governs() -> None:
    bench = Bench("forces", roof(), forces_view="cases")
    for label, case in zip(
        ["Load at F (1): case", "Load at G (2): case", "Load at H (3): case"],
        ["snow", "own", "snow"],
        strict=True,
    ):
        bench.type(label, case)
    assert [load.case for load in bench.job.loads] == ["snow", "own", "snow"]
    bench.press("Add a combination").press("Add a combination")
    fields = [f for f in bench.app.text_input if f.label == "× snow"]
    fields[0].set_value("1,5")
    bench.run()
    assert [c.factors for c in bench.job.combinations] == [
        {"snow": 1.5, "own": 1.0},
        {"snow": 1.0, "own": 1.0},
    ]
    # Superposition: the combination's forces are those of loads multiplied by hand.
    loads = [
        load.model_copy(update={"fy": f * -6.0, "magnitude": None, "direction_deg": None})
        for load, f in zip(bench.job.loads, (1.5, 1.0, 1.5), strict=True)
    ]
    by_hand = result_of(bench.job.model_copy(update={"loads": loads, "combinations": []}))
    most = {f"{e.a}{e.b}": (e.lowest, e.lowest_by) for e in result_of(bench.job).envelope}
    rafter = next(m.force for m in by_hand.members if (m.a, m.b) == ("A", "F"))
    assert most["AF"] == (pytest.approx(rafter), "Combination 1")
    assert ">Combination 1<" in bench.said()
    bench.press("✕")
    assert [c.name for c in bench.job.combinations] == ["Combination 2"]


def test_a_factor_that_is_no_number_stays_with_its_reason() -> None:
    job = roof()
    loads = [load.model_copy(update={"case": "snow"}) for load in job.loads]
    bench = Bench("forces", job.model_copy(update={"loads": loads}), forces_view="cases")
    bench.press("Add a combination").type("× snow", "one and a half")
    assert "'one and a half' is not a number" in bench.app.error[0].value
    assert bench.field("× snow").value == "one and a half"
    assert bench.job.combinations[0].factors == {"snow": 1.0}


@pytest.mark.parametrize(
    ("kind", "text", "value"),
    [
        ("modulus", "200 GPa", 200e6),  # kN/m2
        ("modulus", "210000 N/mm2", 210e6),
        ("area", "12 cm2", 12e-4),
        ("area", "1200 mm²", 12e-4),
        ("area", "0.0012", 12e-4),
        ("inertia", "850 cm4", 850e-8),
        ("inertia", "8.5e6 mm^4", 8.5e-6),
        ("temperature_change", "-15 °C", -15.0),
        ("temperature_change", "20 K", 20.0),
        ("expansion", "12e-6 /K", 12e-6),
        ("expansion", "1.2e-5 1/°C", 1.2e-5),
        ("length_error", "-3 mm", -0.003),
        ("weight_per_length", "400 N/m", 0.4),
        ("modulus", "", None),
    ],
)
def test_properties_are_read_as_people_write_them(
    kind: str, text: str, value: float | None
) -> None:
    read = read_property(kind, text, Job())
    assert read == (None if value is None else pytest.approx(value))


@pytest.mark.parametrize(
    ("kind", "text"),
    [("area", "12 cm"), ("area", "-4 cm2"), ("modulus", "stiff"), ("temperature_change", "warm")],
)
def test_properties_that_cannot_be_meant_name_their_entry(kind: str, text: str) -> None:
    with pytest.raises(InputError, match=r"Area A|Modulus E|Warmer by"):
        read_property(kind, text, Job())


def test_stiffness_is_set_for_chosen_members_and_gives_movements() -> None:
    bench = Bench("forces", square(), forces_view="stiffness")
    bench.app.text_input(key="stiffness:modulus:0").set_value("200 GPa")
    bench.app.text_input(key="stiffness:area:0").set_value("10 cm")
    bench.run().press("Set")
    assert "Area A" in bench.app.error[0].value
    assert bench.app.text_input(key="stiffness:modulus:0").value == "200 GPa"
    bench.app.text_input(key="stiffness:area:0").set_value("10 cm2")
    bench.run().press("Set")
    assert {m.modulus for m in bench.job.members} == {200e6}
    assert [m.area for m in bench.job.members] == pytest.approx([1e-3] * 6)
    assert solve(truss_of(bench.job)).displacements is not None
    bench.type("A moves up by", "-5 mm")
    assert bench.job.supports[0].settlement == (0.0, pytest.approx(-0.005))
    bench.app.multiselect(key="stiffness:members:1").set_value(["A–C"])
    bench.run().press("Forget theirs")
    assert [m.modulus is None for m in bench.job.members] == [False] * 4 + [True, False]


def test_a_load_travels_along_the_bottom_chord() -> None:
    job = roof()
    assert deck_of(truss_of(job)) == ["A", "B", "C", "D", "E"]
    bench = Bench("forces", job, forces_view="travelling")
    said = bench.said()
    # 10 kN at C: 5 kN at E, GH = 5·8 / (0.8·6) = 8.333 in compression; at joint G the hanger
    # balances twice the upward part of that, 2 · 0.6 · 8.333 = 10.
    assert ">10 T at 8<" in said.split(">CG<")[1].split("</tr>")[0]
    bench.app.text_input(key="gaps").set_value("two steps")
    bench.run()
    assert "Gaps between them" in bench.app.error[0].value


def test_ranges_follow_from_a_load_s_tolerance() -> None:
    bench = Bench("forces", roof(), forces_view="cases")
    bench.type("Load at G (2): ± tolerance", "1 kN")
    bench.app.segmented_control(key="forces_view").set_value("ranges")
    said = bench.run().said()
    # 1 kN more at mid-span: half of it at A, and 0.5 · 5/3 in the rafter.
    row = said.split(">AF<")[1].split("</tr>")[0]
    assert "± 0.83" in row
    assert "load 2 at G" in said
    drawn = bench.press("Try 1000 trusses at random").said().split("Extremes of 1000 trusses")[-1]
    low, high = (
        float(cell.split(" C<")[0]) for cell in drawn.split(">AF<")[1].split('class="C">')[1:3]
    )
    # The load varies with a standard deviation of 1 kN, so the rafter's 15 kN with 0.833.
    assert 15 + 2 * 0.833 < low < 15 + 5 * 0.833
    assert 15 - 5 * 0.833 < high < 15 - 2 * 0.833
