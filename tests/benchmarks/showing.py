"""How long it takes to place labels and to draw and write results; medians, in milliseconds.

Run as ``python tests/benchmarks/showing.py``.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from statistics import median
from time import perf_counter

import sample_sketches
from model.job import Job, read_job, truss_of
from solver.solve import result_of
from ui.annotate import annotated
from ui.exports import working_pdf
from ui.labels import along, beside, disc, place, stroke
from ui.pictures import read_photo
from ui.rendering import pdf, png, svg
from ui.views import true_scale


def milliseconds(work: Callable[[], object], times: int = 7) -> float:
    """Median time of a piece of work."""
    taken = []
    for _ in range(times):
        start = perf_counter()
        work()
        taken.append(1000 * (perf_counter() - start))
    return median(taken)


def bridge(panels: int) -> Job:
    """A bridge of 4 * panels - 3 members."""
    bottom = {f"L{i}": {"x": 3.0 * i, "y": 0.0} for i in range(panels + 1)}
    top = {f"U{i}": {"x": 3.0 * i, "y": 4.0} for i in range(1, panels)}
    pairs = [(f"L{i}", f"L{i + 1}") for i in range(panels)]
    pairs += [(f"U{i}", f"U{i + 1}") for i in range(1, panels - 1)]
    pairs += [(f"L{i}", f"U{i}") for i in range(1, panels)]
    pairs += [("L0", "U1"), (f"L{panels}", f"U{panels - 1}")]
    pairs += [(f"U{i}", f"L{i + 1}") for i in range(1, panels // 2)]
    pairs += [(f"L{i}", f"U{i + 1}") for i in range(panels // 2, panels - 1)]
    return read_job(
        {
            "format": "inkstrut-job",
            "version": 1,
            "joints": bottom | top,
            "members": [{"a": a, "b": b} for a, b in pairs],
            "supports": [
                {"joint": "L0", "kind": "pin"},
                {"joint": f"L{panels}", "kind": "roller"},
            ],
            "loads": [{"joint": f"L{i}", "fy": -7.0} for i in range(1, panels)],
        }
    )


def labels_of(job: Job) -> Callable[[], object]:
    """Give the placing of all member values and joint names of a job."""
    view = true_scale(truss_of(job), 3000.0)
    size = view.font_size
    ends = [(tuple(a), tuple(b)) for a, b in view.segments.tolist()]
    joints = [tuple(p) for p in view.points.tolist()]
    wishes = [along("12.34 (T)", a, b, size) for a, b in ends]
    wishes += [beside("U12", p, size, reach=0.5 * size, rank=2) for p in joints]
    obstacles = [stroke(a, b, 3.0, 3.0) for a, b in ends] + [disc(p, 0.4 * size) for p in joints]
    return lambda: place(wishes, obstacles=obstacles, frame=(0, 0, view.width, view.height))


def main() -> None:
    """Print the table."""
    for panels in (11, 25, 100):
        job = bridge(panels)
        name = f"labels of {len(job.members)} members and {len(job.joints)} joints"
        print(f"{name:<52}{milliseconds(labels_of(job)):8.1f}")
    name = sample_sketches.names()[0]
    job, photo = sample_sketches.load_job(name), read_photo(sample_sketches.picture_path(name))
    result = result_of(job)
    sheet = annotated(job, result, photo)
    for what, work in (
        ("marks over the photo (1800 x 1350)", lambda: annotated(job, result, photo)),
        ("SVG", lambda: svg(sheet)),
        ("PDF", lambda: pdf(sheet)),
        ("PNG", lambda: png(sheet)),
        ("worked solution as PDF", lambda: working_pdf(job)),
    ):
        print(f"{what:<52}{milliseconds(work):8.1f}")
    version = [sys.executable, "-c", "from ui.cli import _run; _run(['--version'])"]
    run = lambda: subprocess.run(version, check=True, capture_output=True)  # noqa: E731
    print(f"{'inkstrut --version':<52}{milliseconds(run):8.1f}")


if __name__ == "__main__":
    main()
