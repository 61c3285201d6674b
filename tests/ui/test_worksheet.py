"""A worksheet gives everything that is needed and nothing of the answer; its key gives it all."""

from __future__ import annotations

from itertools import pairwise

import pypdfium2
import pytest

import sample_sketches
from model.job import truss_of
from solver.solve import result_of
from solver.variants import variants
from ui.blank_figure import blank_figure
from ui.marks import Words
from ui.numbers import force_text, number
from ui.worksheet import key_pdf, worksheet_pdf


def pages(content: bytes) -> list[str]:
    return [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(content)]


@pytest.mark.parametrize("name", ["boathouse_roof", "slip_bank_trestle", "launch_crane"])
def test_the_blank_figure_gives_spans_loads_and_names_but_no_forces(name: str) -> None:
    job = sample_sketches.load_job(name)
    truss, result = truss_of(job), result_of(job)
    said = [mark.text for mark in blank_figure(job).marks if isinstance(mark, Words)]
    for axis in (0, 1):
        values = sorted({round(value, 9) for value in truss.points[:, axis].tolist()})
        for low, high in pairwise(values):
            assert f"{number(high - low)} {job.units.length}" in said
    for load in truss.loads:
        assert f"{number(abs(load.fy or load.fx))} {job.units.force}" in said
    assert set(job.joints) <= set(said)
    largest = max(abs(member.force) for member in result.members)
    answers = {force_text(member.force, largest) for member in result.members}
    assert not answers & set(said)


def test_a_worksheet_has_a_page_for_each_job_and_the_key_has_the_answers() -> None:
    jobs = [sample_sketches.load_job(name) for name in ("boathouse_roof", "launch_crane")]
    sheet = pages(worksheet_pdf(jobs))
    assert len(sheet) == 2
    for job, text in zip(jobs, sheet, strict=True):
        assert job.title.split(",")[0] in text
        assert "licensed engineer" in text
        assert all(f"{member.a}-{member.b}" in text for member in job.members)
        assert "tension (T)" not in text
    results = [result_of(job) for job in jobs]
    key = "\n".join(pages(key_pdf(list(zip(jobs, results, strict=True)))))
    # By hand for the roof: A-F pushes with 15, A-B pulls with 12.
    assert "15 (C)" in key
    assert "12 (T)" in key


def test_numbered_variants_differ_and_each_has_its_own_key() -> None:
    job = sample_sketches.load_job("boathouse_roof")
    made = variants(job, 3, seed=5)
    sheet = pages(worksheet_pdf(made))
    key = pages(key_pdf([(variant, result_of(variant)) for variant in made]))
    assert len(sheet) == len(key) == 3
    assert len(set(sheet)) == 3
    for number_, (variant, asked, told) in enumerate(zip(made, sheet, key, strict=True), 1):
        assert f"variant {number_}" in " ".join(asked.split())
        assert f"variant {number_}" in " ".join(told.split())
        # By moments about A: the reaction at E carries each load by its distance.
        at = {name: joint.x for name, joint in variant.joints.items()}
        loads = truss_of(variant).loads
        reaction = -sum(load.fy * at[load.joint] for load in loads) / at["E"]
        assert f"Ey {number(reaction)} kN" in told
        assert f"Ey {number(reaction)} kN" not in asked


def test_inclined_loads_and_rollers_are_said_in_numbers() -> None:
    """The reed channel bridge's 10 kN pulls 3 across, 4 down: 6 and 8."""
    job = sample_sketches.load_job("reed_channel_bridge")
    said = [mark.text for mark in blank_figure(job).marks if isinstance(mark, Words)]
    assert "10 kN: 6 right, 8 down" in said
    (text,) = pages(worksheet_pdf([sample_sketches.load_job("slip_bank_trestle")]))
    assert "The roller at D pushes on the truss at 126.9°" in " ".join(text.split())
