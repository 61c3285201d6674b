"""Variants of a problem: solvable, different, with clean numbers, the same for the same seed."""

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model.errors import InputError
from model.job import Job, read_job
from solver.solve import result_of
from solver.variants import variants


def footbridge(angle: float = 90.0, height: float = 3.0) -> Job:
    """Three bays of 4 m, slopes 3:4, 12 kN at two joints and 5 kN along 3:4 at another."""
    places = {
        "A": (0, 0),
        "C": (4, 0),
        "D": (8, 0),
        "B": (12, 0),
        "E": (4, height),
        "F": (8, height),
    }
    pairs = ["AC", "CD", "DB", "AE", "EC", "EF", "ED", "FD", "FB"]
    return read_job(
        {
            "format": "inkstrut-job",
            "version": 1,
            "title": "Jetty",
            "joints": {name: {"x": x, "y": y, "pixel": [x, y]} for name, (x, y) in places.items()},
            "members": [{"a": a, "b": b} for a, b in pairs],
            "supports": [
                {"joint": "A", "kind": "pin"},
                {"joint": "B", "kind": "roller", "angle_deg": angle},
            ],
            "loads": [
                {"joint": "C", "fy": "-12 kN"},
                {"joint": "D", "fy": -12, "case": "live"},
                {"joint": "E", "magnitude": 5, "slope": [3, -4]},
            ],
            "dimensions": [{"kind": "length", "joints": ["A", "C"], "value": 4}],
            "answers": [{"what": "AC", "value": 3}],
        }
    )


@given(st.integers(0, 10**6))
@settings(max_examples=10, deadline=None)
def test_variants_are_solvable_different_and_clean(seed: int) -> None:
    made = variants(footbridge(), 5, seed)
    assert len({variant.model_dump_json(exclude={"title"}) for variant in made}) == 5
    for number, variant in enumerate(made, 1):
        assert variant.title == f"Jetty, variant {number}"
        assert result_of(variant).status == "determinate"
        for load in variant.loads:
            assert float(load.fx).is_integer()
            assert float(load.fy).is_integer()
        assert variant.loads[0].fy == variant.loads[1].fy
        assert variant.loads[1].case == "live"
        assert variant.loads[2].fx / -variant.loads[2].fy == pytest.approx(3 / 4)
        for joint in variant.joints.values():
            assert joint.pixel is None
            for place in (joint.x, joint.y):
                assert round(100 * place) == pytest.approx(100 * place)
        corner = variant.joints["E"]
        length = (
            Fraction(corner.x).limit_denominator(100),
            Fraction(corner.y).limit_denominator(100),
        )
        square = sum(part**2 for part in length)
        # The slope was 3:4, so lengths stay whole to run and rise.
        assert math.isqrt(square.numerator) ** 2 == square.numerator
        assert math.isqrt(square.denominator) ** 2 == square.denominator
        assert not variant.dimensions
        assert not variant.answers


def test_spans_heights_and_loads_all_vary() -> None:
    made = variants(footbridge(), 12)
    assert len({variant.joints["B"].x for variant in made}) > 2
    assert len({variant.joints["E"].y for variant in made}) > 2
    assert len({variant.loads[0].fy for variant in made}) > 2


def test_the_same_seed_makes_the_same_and_more_come_behind() -> None:
    job = footbridge()
    assert variants(job, 6, 3)[:4] == variants(job, 4, 3)
    assert variants(job, 4, 3) != variants(job, 4, 4)


def test_slopes_that_are_not_simple_are_kept() -> None:
    """At 30 degrees only all dimensions together may grow."""
    height = 4 * math.tan(math.radians(30))
    for variant in variants(footbridge(height=height), 5):
        corner = variant.joints["E"]
        assert corner.y / corner.x == pytest.approx(math.tan(math.radians(30)))


def test_an_inclined_roller_stays_solvable() -> None:
    for variant in variants(footbridge(angle=120.0), 5):
        assert variant.supports[1].angle_deg == 120.0
        assert result_of(variant).status == "determinate"


def test_an_unstable_problem_has_no_variants() -> None:
    job = footbridge()
    loose = job.model_copy(update={"members": job.members[:-1]})
    with pytest.raises(InputError, match=r"can be solved: .*[Jj]oint"):
        variants(loose, 2)


def test_more_than_there_are_is_refused() -> None:
    gable = read_job(
        {
            "format": "inkstrut-job",
            "version": 1,
            "joints": {"A": {"x": 0, "y": 0}, "B": {"x": 8, "y": 0}, "C": {"x": 4, "y": 3}},
            "members": [{"a": "A", "b": "B"}, {"a": "A", "b": "C"}, {"a": "B", "b": "C"}],
            "supports": [{"joint": "A", "kind": "pin"}, {"joint": "B", "kind": "roller"}],
            "loads": [{"joint": "C", "fy": -1}],
        }
    )
    with pytest.raises(InputError, match="different variants of this problem"):
        variants(gable, 1000)
