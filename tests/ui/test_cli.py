"""The commands: exit codes, one line for each error, never a traceback."""

from __future__ import annotations

import json
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

import sample_sketches
from ui.cli import _run


def run(capsys: pytest.CaptureFixture[str], *arguments: object) -> tuple[int, str, str]:
    code = _run([str(argument) for argument in arguments])
    captured = capsys.readouterr()
    return code, captured.out, captured.err


def job_file(folder: Path, **changes: object) -> Path:
    """A job of three bars, changed by what is given."""
    job = {
        "format": "inkstrut-job",
        "version": 1,
        "title": "Canoe rack arm",
        "joints": {"A": {"x": 0, "y": 0}, "B": {"x": 4, "y": 0}, "C": {"x": 4, "y": 3}},
        "members": [{"a": "A", "b": "B"}, {"a": "B", "b": "C"}, {"a": "A", "b": "C"}],
        "supports": [{"joint": "A", "kind": "pin"}, {"joint": "B", "kind": "roller"}],
        "loads": [{"joint": "C", "fx": 6.0}],
    }
    path = folder / "rack.job.json"
    path.write_text(json.dumps(job | changes), encoding="utf-8")
    return path


def huge(path: Path) -> None:
    Image.fromarray(np.zeros((7100, 7100), np.uint8)).save(path, compress_level=1)


BAD_PICTURES = {
    "empty.jpg": (lambda p: p.write_bytes(b""), 2, "empty"),
    "cut.jpg": (
        lambda p: p.write_bytes(sample_sketches.picture_path("oar_loft").read_bytes()[:3000]),
        2,
        "cut.jpg",
    ),
    "tiny.png": (lambda p: Image.new("L", (1, 1)).save(p), 2, "1 by 1"),
    "huge.png": (huge, 2, "50"),
    "letter.jpg": (lambda p: p.write_text("Dear boathouse, ..."), 2, "not a picture"),
    "paper.png": (lambda p: Image.new("RGB", (900, 700), "#f4f1e8").save(p), 3, "no truss found"),
}


@pytest.mark.parametrize("name", BAD_PICTURES)
def test_a_bad_picture_is_one_sentence(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    make, expected, says = BAD_PICTURES[name]
    make(tmp_path / name)
    code, out, err = run(capsys, "read", tmp_path / name)
    assert (code, out) == (expected, "")
    assert err.count("\n") == 1
    assert says in err
    assert name in err


def test_a_missing_picture_is_one_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = run(capsys, "read", "nowhere.jpg")
    assert code == 2
    assert (
        err
        == "inkstrut: nowhere.jpg: cannot be read (No such file or directory); check the path.\n"
    )


BAD_JOBS = {
    "missing joint": (
        {"members": [{"a": "A", "b": "Z"}]},
        "Member 1 (A-Z) names joint 'Z', which is not among the joints.",
    ),
    "duplicate member": (
        {"members": [{"a": "A", "b": "B"}, {"a": "B", "b": "A"}]},
        "Member 2 (B-A) is there twice",
    ),
    "no length": (
        {"joints": {"A": {"x": 1, "y": 1}, "B": {"x": 1, "y": 1}, "C": {"x": 0, "y": 3}}},
        "Member 1 (A-B) has no length",
    ),
    "newer version": ({"version": 7}, "version 7, newer than this program reads"),
    "no joints": (
        {"joints": {}, "members": [], "supports": [], "loads": []},
        "The job has no joints; trace a truss first.",
    ),
    "another format": ({"format": "shopping-list"}, "not an Inkstrut job"),
    "a length for a force": (
        {"loads": [{"joint": "C", "fx": "6 m"}]},
        "Load 1 (joint C): '6 m' is not a force",
    ),
}


@pytest.mark.parametrize("kind", BAD_JOBS)
def test_a_bad_job_is_one_sentence_that_names_the_entry(
    kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    changes, says = BAD_JOBS[kind]
    code, out, err = run(capsys, "solve", job_file(tmp_path, **changes))
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    assert says in err


@pytest.mark.parametrize("content", [b"", b"{", b"[1, 2]", b"\xff\xfe\x00"])
def test_a_file_that_is_no_job_is_refused(
    content: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "odd.json").write_bytes(content)
    code, _, err = run(capsys, "solve", tmp_path / "odd.json")
    assert code == 2
    assert err.startswith("inkstrut: odd.json: ")
    assert err.count("\n") == 1


def test_solve_prints_the_result(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys, "solve", job_file(tmp_path))
    assert (code, err) == (0, "")
    result = json.loads(out)
    assert (result["format"], result["status"]) == ("inkstrut-result", "determinate")
    forces = {m["a"] + m["b"]: m["force"] for m in result["members"]}
    # By hand: 6 along x at C over 4:3 gives AC = 6 * 5/4, BC = -6 * 3/4, AB = 0.
    assert forces["AC"] == pytest.approx(7.5)
    assert forces["BC"] == pytest.approx(-4.5)
    assert forces["AB"] == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(
    "changes",
    [
        {"loads": []},
        {"loads": [{"joint": "A", "fy": -3.0}]},
        {"joints": {"A": {"x": 0, "y": 0}, "B": {"x": 4e-9, "y": 0}, "C": {"x": 4e-9, "y": 3e-9}}},
        {"joints": {"A": {"x": 0, "y": 0}, "B": {"x": 4e9, "y": 0}, "C": {"x": 4e9, "y": 3e9}}},
        {"title": "Dock\u0000 <b>&amp; 桁 " + "long " * 80},
    ],
)
def test_odd_but_solvable_jobs_are_written_in_full(
    changes: dict[str, object], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, _, err = run(capsys, "solve", job_file(tmp_path, **changes), "-o", tmp_path / "out")
    assert code == 0, err
    assert (tmp_path / "out" / "working.pdf").read_bytes().startswith(b"%PDF")
    ET.parse(tmp_path / "out" / "figure.svg")
    ET.parse(tmp_path / "out" / "truss.graphml")


def test_an_unstable_truss_is_told_apart_and_still_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = job_file(tmp_path, members=[{"a": "A", "b": "B"}, {"a": "B", "b": "C"}])
    code, out, err = run(capsys, "solve", job)
    assert code == 4
    result = json.loads(out)
    assert result["status"] == "unstable"
    assert result["mechanism"]
    assert err == f"inkstrut: {result['reason']}\n"
    code, _, _ = run(capsys, "solve", job, "-o", tmp_path / "out")
    assert code == 4
    assert (tmp_path / "out" / "figure.png").is_file()


def test_solve_writes_everything_beside_the_picture(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for path in (sample_sketches.picture_path("oar_loft"),):
        (tmp_path / path.name).write_bytes(path.read_bytes())
    job = sample_sketches.load_job("oar_loft")
    (tmp_path / "oar_loft.job.json").write_text(job.model_dump_json(), encoding="utf-8")
    code, out, err = run(capsys, "solve", tmp_path / "oar_loft.job.json", "-o", tmp_path / "out")
    assert (code, out, err) == (0, "", "")
    made = {path.name for path in (tmp_path / "out").iterdir()}
    assert {
        *("picture.png", "picture.svg", "picture.pdf", "figure.png", "members.csv"),
        *("reactions.csv", "joints.csv", "truss.graphml", "working.pdf", "working.md"),
        *("result.json", "job.json"),
    } <= made
    # The job that was written reopens by itself, picture included.
    alone = tmp_path / "alone"
    alone.mkdir()
    (alone / "job.json").write_bytes((tmp_path / "out" / "job.json").read_bytes())
    code, _, _ = run(capsys, "solve", alone / "job.json", "-o", alone / "out")
    assert code == 0
    assert (alone / "out" / "picture.png").is_file()


def test_read_writes_candidate_and_overlay(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    picture = sample_sketches.picture_path("signal_mast")
    files = (tmp_path / "mast.json", tmp_path / "mast.png")
    code, out, _ = run(capsys, "read", picture, "-o", files[0], "--overlay", files[1])
    assert (code, out) == (0, "")
    candidate = json.loads(files[0].read_text())
    assert candidate["format"] == "inkstrut-candidate"
    assert candidate["joints"]
    assert Image.open(files[1]).size == Image.open(picture).size
    code, out, _ = run(capsys, "read", picture)
    again = json.loads(out)
    assert again | {"seconds": 0} == candidate | {"seconds": 0}


@pytest.mark.parametrize(
    "arguments",
    [
        ["bogus"],
        ["read"],
        ["solve"],
        ["batch", "."],
        ["app", "--port", "0"],
        ["read", "a", "--what"],
    ],
)
def test_a_wrong_command_line_is_one_line(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = run(capsys, *arguments)
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    assert "inkstrut --help" in err


@pytest.mark.parametrize("command", ["app", "read", "solve", "compare", "batch"])
def test_each_command_has_help(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, command, "--help")
    assert code == 0
    assert f"inkstrut {command}" in out


def test_an_unwritable_place_is_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "taken").write_text("a file, not a folder")
    code, _, err = run(capsys, "solve", job_file(tmp_path), "-o", tmp_path / "taken")
    assert code == 2
    assert "cannot be written" in err
    assert err.count("\n") == 1


def test_the_version_needs_none_of_the_heavy_libraries() -> None:
    code = (
        "import sys; from ui.cli import _run; _run(['--version']); "
        "heavy = {'cv2', 'scipy', 'streamlit', 'dask', 'skimage', 'reportlab', 'networkx'}; "
        "print(sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    version, heavy = done.stdout.splitlines()
    assert version.startswith("inkstrut ")
    assert heavy == "[]"


def test_a_missing_system_library_is_one_sentence(tmp_path: Path) -> None:
    """A bare server's OpenCV fails to load libGL; the import is made to fail in the same way."""
    (tmp_path / "cv2.py").write_text(
        "raise ImportError('libGL.so.1: cannot open shared object file: No such file or directory')"
    )
    picture = sample_sketches.picture_path("oar_loft")
    code = f"from ui.cli import _run; raise SystemExit(_run(['read', {str(picture)!r}]))"
    done = subprocess.run(
        [sys.executable, "-c", f"import sys; sys.path.insert(0, {str(tmp_path)!r}); {code}"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert "system library libGL.so.1 is missing" in done.stderr
    assert done.stderr.count("\n") == 1


def test_compare_tells_right_from_wrong_by_its_exit_status(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = job_file(tmp_path)
    answers = tmp_path / "mine.csv"
    answers.write_text(
        "what,value,unit\nAC,7.5 T,kN\nBC,4.5 C,kN\nAB,0,\nAx,-6,\nAy,-4.5,\nBy,4.5,\n"
    )
    code, out, err = run(capsys, "compare", job, answers)
    assert (code, err) == (0, "")
    assert "AC: 7.5 kN (T) is right." in out
    answers.write_text("what,value,unit\nAC,7.5 C,kN\n")
    code, out, _ = run(capsys, "compare", job, answers)
    assert code == 1
    assert "wrong sense" in out
    code, out, _ = run(capsys, "compare", "--quiet", job, answers)
    assert (code, out) == (1, "")
    answers.write_text("what,value,unit\nAC,heavy,kN\n")
    code, out, err = run(capsys, "compare", job, answers)
    assert (code, out) == (2, "")
    assert err.startswith("inkstrut: mine.csv: ")
    assert err.count("\n") == 1
