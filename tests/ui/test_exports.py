"""Tables, graph and job read back as they were written; the working says what a person would."""

from __future__ import annotations

import csv
import io
import math

import networkx as nx
import pypdfium2
import pytest

import sample_sketches
from model.job import Combination, JobLoad, read_job, truss_of
from model.result import CAUTION
from solver.solve import result_of
from ui.exports import (
    all_files,
    graphml,
    job_json,
    joints_csv,
    members_csv,
    reactions_csv,
    with_picture,
    working_pdf,
)
from ui.numbers import number, range_text
from ui.pictures import photo_of


@pytest.fixture(scope="module")
def roof():
    job = sample_sketches.load_job("boathouse_roof")
    return job, result_of(job)


@pytest.mark.parametrize("name", sample_sketches.names())
def test_csv_tables_read_back(name: str) -> None:
    job = sample_sketches.load_job(name)
    result = result_of(job)
    members = list(csv.DictReader(io.StringIO(members_csv(job, result))))
    assert [(row["a"], row["b"]) for row in members] == [(m.a, m.b) for m in job.members]
    for row, force in zip(members, result.members, strict=False):
        assert float(row["force"]) == force.force
        assert row["force_unit"] == job.units.force
    truss = truss_of(job)
    assert [float(row["length"]) for row in members] == truss.lengths.tolist()
    reactions = list(csv.DictReader(io.StringIO(reactions_csv(job, result))))
    assert {r["joint"]: (float(r["x"]), float(r["y"])) for r in reactions} == result.reactions
    joints = list(csv.DictReader(io.StringIO(joints_csv(job, result))))
    assert [(float(r["x"]), float(r["y"])) for r in joints] == [tuple(p) for p in truss.points]


def test_the_members_table_names_the_sense(roof) -> None:
    rows = {(r["a"], r["b"]): r["sense"] for r in csv.DictReader(io.StringIO(members_csv(*roof)))}
    # Hand calculation at joint A: 9 up needs AF to push with 15 and AB to pull with 12.
    assert rows[("A", "F")] == "compression"
    assert rows[("A", "B")] == "tension"
    assert rows[("B", "F")] == "none"


def test_graphml_reads_back_as_the_same_graph(roof) -> None:
    job, result = roof
    graph = nx.parse_graphml(graphml(job, result))
    assert set(graph.nodes) == set(job.joints)
    assert {frozenset(edge) for edge in graph.edges} == {frozenset((m.a, m.b)) for m in job.members}
    for member in result.members:
        assert graph.edges[member.a, member.b]["force"] == member.force
    assert graph.nodes["E"]["support"] == "roller"
    assert graph.nodes["A"]["reaction_y"] == pytest.approx(9.0)
    assert graph.graph["force_unit"] == "kN"


def test_one_document_reopens_the_whole_job(roof) -> None:
    job, _ = roof
    content = sample_sketches.picture_path("boathouse_roof").read_bytes()
    again = read_job(job_json(with_picture(job, content)))
    assert again.model_copy(update={"picture": job.picture}) == job
    photo = photo_of(again)  # no folder: the picture comes out of the document itself
    assert photo.source == content


def test_the_working_has_every_step_in_order(roof) -> None:
    document = pypdfium2.PdfDocument(working_pdf(roof[0]))
    pages = [page.get_textpage().get_text_range() for page in document]
    text = "\n".join(pages).replace("\r\n", "\n")
    order = [
        "The whole truss set free",
        "Ey·16 − 6·4 − 6·8 − 6·12 = 0",
        "so Ey = 9 kN",
        "Joint A",
        "9 + (3/5)·AF = 0",
        "so AF = −15 kN: it pushes at joint A, compression",
        "AB + (4/5)·(−15) = 0",
        "so AB = 12 kN: it pulls on joint A, tension",
        "run : rise = 4 : 3, so 12 kN and 9 kN, together 15 kN",
        "Closing checks",
        "Members without force",
        "Check by a section",
        "Reciprocal diagram",
        "Answers",
    ]
    places = [text.find(part) for part in order]
    assert -1 not in places, order[places.index(-1)]
    assert places == sorted(places)
    for number_, page in enumerate(pages, 1):
        assert f"Page {number_}" in page
        assert "licensed engineer" in page


def test_every_export_of_every_sample_is_made() -> None:
    for name in ("canoe_rack", "slip_bank_trestle", "davit_bracket", "why_it_sways"):
        job = sample_sketches.load_job(name)
        result = result_of(job)
        files = dict(all_files(job, result))
        assert {"result.json", "members.csv", "truss.graphml", "figure.svg", "job.json"} <= set(
            files
        )
        assert ("working.md" in files) == bool(result.members)
        assert all(files.values())
        if result.members:
            words = files["working.md"].decode()
            assert CAUTION in words
            for shown in (line for line in words.splitlines() if line.startswith("![")):
                assert shown.split("(")[-1].rstrip(")") in files
    assert (
        "no reciprocal diagram"
        in dict(all_files(*(lambda j: (j, result_of(j)))(sample_sketches.load_job("canoe_rack"))))[
            "working.md"
        ].decode()
    )


@pytest.mark.parametrize("value", [0.0, 1.0, -14.142135, 1234567.0, 0.00012345, -99.996, 1e6])
def test_numbers_keep_four_digits_and_never_an_exponent(value: float) -> None:
    text = number(value).replace("−", "-")
    assert "e" not in text
    assert math.isclose(float(text), value, rel_tol=5.1e-4, abs_tol=1e-12)


def test_ranges_are_told_by_size_and_by_sense_where_it_may_change() -> None:
    assert range_text(-15.7, -14.3) == "14.3 to 15.7"
    assert range_text(14.3, 15.7) == "14.3 to 15.7"
    assert range_text(-0.5, 1.25) == "0.5 (C) to 1.25 (T)"


def test_every_joint_has_its_free_body_figure() -> None:
    for name in ("boathouse_roof", "davit_bracket"):
        job = sample_sketches.load_job(name)
        files = dict(all_files(job, result_of(job)))
        drawn = {path.split("joint-")[1].split("-")[0] for path in files if "/joint-" in path}
        assert drawn == set(job.joints)


def test_combinations_give_an_envelope_table() -> None:
    """Two cases on the roof: snow as drawn, wind lifting at the ridge with twice its size."""
    job = sample_sketches.load_job("boathouse_roof")
    snow = [load.model_copy(update={"case": "snow"}) for load in job.loads]
    wind = JobLoad(joint="G", fy=12.0, case="wind")
    both = {
        "loads": [*snow, wind],
        "combinations": [
            Combination(name="snow alone", factors={"snow": 1.0}),
            Combination(name="lift", factors={"wind": 2.0}),
        ],
    }
    job = job.model_copy(update=both)
    files = dict(all_files(job, result_of(job)))
    rows = {r["a"] + r["b"]: r for r in csv.DictReader(io.StringIO(files["envelope.csv"].decode()))}
    # By hand: 24 up at the ridge takes 12 down at A, so AF pulls with 12 * 5/3 = 20.
    assert float(rows["AF"]["lowest"]) == pytest.approx(-15.0)
    assert rows["AF"]["lowest_by"] == "snow alone"
    assert float(rows["AF"]["highest"]) == pytest.approx(20.0)
    assert rows["AF"]["highest_by"] == "lift"
    assert "Envelope of the combinations" in files["working.md"].decode()
