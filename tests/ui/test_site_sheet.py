"""The capture sheet says what was measured, how sure the forces are and what to measure next."""

from __future__ import annotations

import math

import pypdfium2
import pytest

import sample_sketches
from model.job import Dimension, Job, read_job, truss_of
from solver.uncertainty import monte_carlo
from ui.site_sheet import SITE_CAUTION, site_sheet_pdf
from ui.solving import solved


def words(content: bytes) -> list[str]:
    return [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(content)]


def bracket(**changes: object) -> Job:
    """Two bars to a wall, 3 high and 4 out, measured with a tape."""
    job = {
        "format": "inkstrut-job",
        "version": 1,
        "title": "Davit bracket",
        "joints": {
            "A": {"pixel": [100, 400]},
            "B": {"pixel": [100, 100]},
            "C": {"pixel": [500, 405]},
        },
        "members": [{"a": "A", "b": "C"}, {"a": "B", "b": "C"}],
        "supports": [{"joint": "A", "kind": "pin"}, {"joint": "B", "kind": "pin"}],
        "loads": [{"joint": "C", "fy": -6.0}],
        "dimensions": [
            {"kind": "length", "joints": ["A", "B"], "value": "3 m", "tolerance": "10 mm"},
            {"kind": "length", "joints": ["A", "C"], "value": "4 m", "tolerance": "10 mm"},
            {"kind": "length", "joints": ["B", "C"], "value": "5 m", "tolerance": "10 mm"},
            {"kind": "plumb", "joints": ["A", "B"]},
        ],
    }
    return read_job(job | changes)


def test_dimensions_alone_place_and_solve_with_a_range() -> None:
    job, result = solved(bracket())
    forces = {member.a + member.b: member for member in result.members}
    # By hand: 6 down on a 3-4-5 bracket gives BC = 6 * 5/3 and AC = -6 * 4/3.
    assert forces["BC"].force == pytest.approx(10.0, rel=1e-6)
    assert forces["AC"].force == pytest.approx(-8.0, rel=1e-6)
    low, high = forces["BC"].range
    assert low < 10.0 < high
    # By hand BC = 6 BC/AB in lengths: 10 mm on the one is 0.02, on the other 10/3 * 0.01.
    assert (high - low) / 2 == pytest.approx(math.hypot(0.02, 0.1 / 3), rel=1e-3)
    # A tolerance is two standard deviations of trusses drawn at random.
    from model.geometry import settle

    drawn = monte_carlo(truss_of(job), settle(bracket()).covariance, draws=2000, seed=1)
    assert (high - low) / 2 == pytest.approx(2 * float(drawn.deviations[1]), rel=0.1)


def test_a_load_tolerance_alone_scales_every_force() -> None:
    plain = {"joints": {"A": {"x": 0, "y": 0}, "B": {"x": 0, "y": 3}, "C": {"x": 4, "y": 0}}}
    load = [{"joint": "C", "fy": -6.0, "tolerance": 0.6}]
    _, result = solved(bracket(dimensions=[], loads=load, **plain))
    for member in result.members:
        assert (member.range[1] - member.range[0]) / 2 == pytest.approx(0.1 * abs(member.force))


def test_the_sheet_has_cautions_on_every_page_and_the_tolerances() -> None:
    pages = words(site_sheet_pdf(bracket()))
    for page in pages:
        assert SITE_CAUTION in " ".join(page.split())
        assert "licensed engineer" in page
    text = " ".join(" ".join(pages).split())
    assert "3 m ± 10 mm" in text
    assert "How sure the forces are" in text
    assert "measure there next" in text


def test_an_open_geometry_still_gets_its_sheet_with_what_to_measure() -> None:
    open_ = bracket(
        joints={
            "A": {"pixel": [100, 400]},
            "B": {"pixel": [113, 100]},
            "C": {"pixel": [505, 371]},
            "D": {"pixel": [420, 60]},
        },
        members=[{"a": a, "b": b} for a, b in ("AC", "BC", "CD", "BD")],
        dimensions=[{"kind": "length", "joints": ["A", "B"], "value": "3 m"}],
    )
    text = " ".join(" ".join(words(site_sheet_pdf(open_))).split())
    assert "Not settled yet" in text
    assert "Measure next" in text
    assert "Forces" not in text


def test_a_contradiction_is_named_on_the_sheet() -> None:
    job = sample_sketches.load_job("boathouse_roof")
    wrong = Dimension(kind="horizontal", joints=["A", "E"], value="19 m", tolerance="10 mm")
    again = job.model_copy(update={"dimensions": [*job.dimensions, wrong]})
    text = " ".join(" ".join(words(site_sheet_pdf(again))).split())
    assert "contradicts" in text
