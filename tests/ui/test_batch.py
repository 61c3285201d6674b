"""Many pictures at once: one bad one stops nothing, and what is done is not done again."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image

import sample_sketches
from ui import batch
from ui.cli import _run


@pytest.fixture
def pictures(tmp_path: Path) -> Path:
    folder = tmp_path / "class"
    folder.mkdir()
    (folder / "a_letter.jpg").write_text("no picture at all")
    Image.new("RGB", (640, 480), "white").save(folder / "b_blank.png")
    mast = sample_sketches.picture_path("signal_mast")
    (folder / "mast.jpg").write_bytes(mast.read_bytes())
    sways = sample_sketches.load_job("why_it_sways").model_copy(update={"dimensions": []})
    (folder / "sways.job.json").write_text(sways.model_dump_json())
    (folder / "notes.txt").write_text("not for us")
    return folder


def rows_of(output: Path) -> dict[str, dict[str, str]]:
    with (output / "summary.csv").open(newline="") as file:
        return {row["picture"]: row for row in csv.DictReader(file)}


def test_one_bad_picture_never_stops_the_rest(
    pictures: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    output = tmp_path / "out"
    code = _run(["batch", str(pictures), "-o", str(output)])
    err = capsys.readouterr().err
    assert code == 1
    assert err == "inkstrut: 2 of 4 failed: a_letter.jpg, b_blank.png.\n"
    rows = rows_of(output)
    assert {name: row["status"] for name, row in rows.items()} == {
        "a_letter.jpg": "failed",
        "b_blank.png": "no truss",
        "mast.jpg": "read",
        "sways.job.json": "not solvable",
    }
    assert "not a picture" in rows["a_letter.jpg"]["message"]
    assert rows["sways.job.json"]["message"]
    candidate = json.loads((output / "mast.jpg" / "candidate.json").read_text())
    assert int(rows["mast.jpg"]["members"]) == len(candidate["members"]) > 0
    assert (output / "mast.jpg" / "reading.png").is_file()
    summary = json.loads((output / "summary.json").read_text())
    assert [row["picture"] for row in summary] == sorted(rows)


def test_resuming_does_only_what_is_missing_or_changed(pictures: Path, tmp_path: Path) -> None:
    output = tmp_path / "out"
    output.mkdir()
    for name in ("a_letter.jpg", "b_blank.png"):
        (pictures / name).unlink()
    said: list[str] = []
    (pictures / "mast.jpg").rename(pictures.parent / "mast.jpg")
    first = batch.run(pictures, output, say=said.append)
    assert [row.status for row in first] == ["not solvable"]
    (pictures.parent / "mast.jpg").rename(pictures / "mast.jpg")
    said.clear()
    second = batch.run(pictures, output, resume=True, say=said.append)
    assert [row.picture for row in second] == ["mast.jpg", "sways.job.json"]
    assert len(said) == 1
    assert "mast.jpg: read" in said[0]
    said.clear()
    assert batch.run(pictures, output, resume=True, say=said.append) == second
    assert said == []
    # A job laid beside the picture changes what is to be done with it.
    job = sample_sketches.load_job("signal_mast").model_copy(update={"dimensions": []})
    (pictures / "mast.job.json").write_text(job.model_dump_json())
    third = batch.run(pictures, output, resume=True)
    assert third[0].status == "solved"
    # By hand: both loads have moment 3*10 + 6*8 = 78 about A over a base of 3.
    assert third[0].largest_force == pytest.approx(26.0)


def test_an_empty_folder_and_a_silent_cluster_are_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code = _run(["batch", str(tmp_path), "-o", str(tmp_path / "out")])
    assert code == 2
    assert "holds no pictures" in capsys.readouterr().err
    code = _run(["batch", str(tmp_path / "none"), "-o", str(tmp_path / "out")])
    assert code == 2
    assert "cannot be read" in capsys.readouterr().err
    mast = sample_sketches.picture_path("signal_mast")
    (tmp_path / "mast.jpg").write_bytes(mast.read_bytes())
    where = ["batch", str(tmp_path), "-o", str(tmp_path / "out"), "--cluster", "nonsense"]
    assert _run(where) == 2
    err = capsys.readouterr().err
    assert "no Dask scheduler answers at 'nonsense'" in err
    assert err.count("\n") == 1


def test_a_cluster_given_by_its_address_does_the_work(tmp_path: Path) -> None:
    from dask.distributed import LocalCluster

    folder, output = tmp_path / "in", tmp_path / "out"
    folder.mkdir()
    output.mkdir()
    for name in ("davit_bracket", "why_it_sways"):
        job = sample_sketches.load_job(name).model_copy(update={"dimensions": [], "alike": True})
        (folder / f"{name}.job.json").write_text(job.model_dump_json())
    with LocalCluster(
        n_workers=1, threads_per_worker=1, processes=False, dashboard_address=None
    ) as c:
        rows = batch.run(folder, output, cluster=c.scheduler_address)
    assert [row.status for row in rows] == ["solved", "not solvable"]
    assert (output / "davit_bracket" / "working.pdf").read_bytes().startswith(b"%PDF")


def test_stopping_keeps_what_is_done(
    pictures: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def stopped(folder: Path, names: list[str], cluster: str | None) -> Iterator[batch.Outcome]:
        yield batch.work(batch._item(folder, "sways.job.json"))
        raise KeyboardInterrupt

    monkeypatch.setattr(batch, "_outcomes", stopped)
    output = tmp_path / "out"
    assert _run(["batch", str(pictures), "-o", str(output)]) == 130
    assert capsys.readouterr().err == "inkstrut: Stopped.\n"
    assert list(rows_of(output)) == ["sways.job.json"]
    assert (output / "sways" / "row.json").is_file()
