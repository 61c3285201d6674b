"""Share, by hand: every download is what it says, and a saved job opens again."""

from __future__ import annotations

import io
import json
import sys
import zipfile
from collections.abc import Callable
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PIL import Image

import sample_sketches
from model.geometry import placed_job, settle
from model.job import Combination, Job, read_job
from solver.solve import result_of
from ui import live, shelf
from ui.downloads import Bundle

sys.path.insert(0, str(Path(__file__).parent))
from step_bench import Bench


@cache
def bundle(name: str = "boathouse_roof") -> Bundle:
    path = sample_sketches.picture_path(name)
    job = sample_sketches.load_job(name)
    return Bundle(job, live.answer(job), shelf.put(path.read_bytes(), path.name))


@pytest.mark.parametrize("over_photo", [True, False])
def test_pictures_come_in_three_formats(over_photo: bool) -> None:
    make = {kind: bundle().drawn(kind, over_photo=over_photo) for kind in ("png", "svg", "pdf")}
    picture = bundle().picture
    assert picture is not None
    image = Image.open(io.BytesIO(make["png"]()))
    drawn = ElementTree.fromstring(make["svg"]())
    assert image.size[0] / image.size[1] == pytest.approx(
        float(drawn.attrib["width"]) / float(drawn.attrib["height"]), rel=0.01
    )
    if over_photo:
        assert float(drawn.attrib["width"]) == picture.width
    assert "15 (C)" in "".join(drawn.itertext())
    assert make["pdf"]().startswith(b"%PDF-")


@pytest.mark.parametrize(
    "make",
    [
        lambda: bundle().working_pdf(),
        lambda: bundle().worksheet(0, 1)(),
        lambda: bundle().worksheet(2, 1)(),
        lambda: bundle().key(2, 1)(),
        lambda: bundle().site_sheet(),
        lambda: bundle("why_it_sways").site_sheet(),
        lambda: bundle().blank("pdf")(),
    ],
)
def test_documents_are_pdf(make: Callable[[], bytes]) -> None:
    content = make()
    assert content.startswith(b"%PDF-")
    assert content.rstrip().endswith(b"%%EOF")


def test_the_markdown_has_its_figures_beside_it() -> None:
    with zipfile.ZipFile(io.BytesIO(bundle().working_markdown())) as archive:
        text = archive.read("working.md").decode()
        figures = [name for name in archive.namelist() if name.startswith("figures/")]
        assert figures
        for name in figures:
            assert f"({name})" in text
            ElementTree.fromstring(archive.read(name))


def test_tables_and_graph_agree_with_the_result() -> None:
    result = json.loads(bundle().result_file())
    forces = {(m["a"], m["b"]): m["force"] for m in result["members"]}
    lines = bundle().table("members")().decode().splitlines()
    assert lines[0].startswith("a,b,length,length_unit,force")
    assert len(lines) == 1 + len(forces)
    for line in lines[1:]:
        a, b, _, _, force, *_ = line.split(",")
        assert float(force) == pytest.approx(forces[a, b])
    assert bundle().table("reactions")().decode().count("\n") == 3
    assert bundle().table("joints")().decode().count("\n") == 9
    graph = ElementTree.fromstring(bundle().graph())
    assert len(graph.findall(".//{*}edge")) == 13


def test_the_envelope_has_a_table_when_there_are_combinations() -> None:
    job = sample_sketches.load_job("boathouse_roof")
    loads = [load.model_copy(update={"case": "snow"}) for load in job.loads]
    more = {"loads": loads, "combinations": [Combination(name="heavy", factors={"snow": 1.5})]}
    job = job.model_copy(update=more)
    whole = Bundle(job, live.answer(job), None)
    assert whole.tables() == ["members", "reactions", "joints", "envelope"]
    assert ",heavy," in whole.table("envelope")().decode()


def test_the_job_file_holds_the_picture_and_opens_again() -> None:
    again = read_job(bundle().job_file())
    picture = bundle().picture
    assert picture is not None
    assert again.picture is not None
    assert again.picture.data is not None
    before = sample_sketches.load_job("boathouse_roof")
    assert again.model_copy(update={"picture": None}) == before.model_copy(update={"picture": None})


def test_everything_is_one_archive() -> None:
    with zipfile.ZipFile(io.BytesIO(bundle().everything())) as archive:
        assert archive.testzip() is None
        assert {"result.json", "working.pdf", "picture.png", "job.json", "truss.graphml"} <= set(
            archive.namelist()
        )


def share(begin: str | Job = "boathouse_roof") -> Bench:
    return Bench("share", begin)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"\xff\xd8\xff\xe0 not a job", "not a JSON document"),
        (b'{"format": "inkstrut-job", "version": 7}', "newer than this program"),
        (b'{"a": 1}', "not an Inkstrut job"),
        (b'{"format": "inkstrut-job", "version": 1, "joints": {"A": {"x": "left"}}}', "joints"),
        (
            b'{"format": "inkstrut-job", "version": 1, "members": [{"a": "A", "b": "B"}]}',
            "not among the joints",
        ),
    ],
)
def test_a_job_that_cannot_be_opened_gets_one_sentence(content: bytes, said: str) -> None:
    bench = share()
    before = bench.job
    bench.app.get("file_uploader")[0].upload("saved.json", content, "application/json")
    bench.run()
    assert said in bench.app.error[0].value
    assert bench.job == before


def test_a_saved_job_is_opened() -> None:
    bench = share("canoe_rack")
    bench.app.get("file_uploader")[0].upload("saved.json", bundle().job_file(), "application/json")
    bench.run()
    assert bench.job.title == bundle().job.title
    assert bench.app.session_state["next_step"] == "trace"


def test_a_variant_begins_a_truss_of_its_own() -> None:
    bench = share()
    job = sample_sketches.load_job("boathouse_roof")
    before = result_of(placed_job(job, settle(job)))
    bench.press("A variant of this one")
    assert bench.job.title == f"{job.title}, variant 1"
    assert bench.job.picture is None
    assert all(joint.pixel is not None for joint in bench.job.joints.values())
    after = result_of(bench.job)
    assert after.status == "determinate"
    assert [m.force for m in after.members] != pytest.approx([m.force for m in before.members])


def test_variants_are_counted_and_an_empty_sheet_begins() -> None:
    bench = share()
    bench.app.number_input(key="variants_count").set_value(3)
    bench.run()
    assert [e.value for e in bench.app.error] == []
    bench.press("An empty sheet")
    assert bench.job == Job()
    assert "Capture sheet PDF" not in [b.label for b in bench.app.get("download_button")]


def test_variants_of_what_cannot_be_solved_are_refused() -> None:
    bench = share("why_it_sways")
    bench.app.number_input(key="variants_count").set_value(2)
    bench.run()
    assert "Variants need a problem that can be solved" in bench.app.error[0].value
