"""Measure the statics: ``python -m tests.benchmarks.statics [ladder|memory|joints|job|import]``.

Times are processor time, medians; on an idle machine the clock says the same.
"""

from __future__ import annotations

import gc
import subprocess
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from statistics import median
from typing import Any

import numpy as np

from model.job import read_job
from model.truss import Load, Support, Truss

__all__ = ["girder", "wall"]

SIZES = (10, 100, 1_000, 10_000, 100_000, 200_000)
_COUNTS = {10: 201, 100: 201, 1_000: 51, 10_000: 21, 100_000: 9, 200_000: 7}


def girder(members: int) -> Truss:
    """Footbridge of one span: parallel chords, posts, diagonals falling towards the middle."""
    panels = max(2, (members - 1) // 4)
    lower = 2 * np.arange(panels + 1)
    points = np.column_stack(
        [np.repeat(3.0 * np.arange(panels + 1), 2), np.tile([0.0, 4.0], panels + 1)]
    )
    left, right = lower[:-1], lower[1:]
    falling = np.arange(panels) < panels // 2
    diagonals = np.column_stack(
        [np.where(falling, left + 1, left), np.where(falling, right, right + 1)]
    )
    chords = [np.column_stack([left, right]), np.column_stack([left + 1, right + 1])]
    posts = np.column_stack([lower, lower + 1])
    names = tuple(f"J{i}" for i in range(len(points)))
    return Truss(
        names,
        points,
        np.vstack([*chords, posts, diagonals]),
        (Support(names[0], "pin"), Support(names[2 * panels], "roller")),
        tuple(Load(names[i], 0.0, -1.0) for i in range(2, 2 * panels, max(2, panels // 50 * 2))),
    )


def wall(members: int) -> Truss:
    """Quay wall: rows of joints, each tied by two members to the row below, the lowest pinned."""
    width = max(2, round((members / 2) ** 0.5))
    rows = max(2, round(members / 2 / width) + 1)
    jitter = np.random.default_rng(0).uniform(0.0, 0.2, size=(rows * width, 2))
    row, column = np.divmod(np.arange(rows * width), width)
    points = np.column_stack([column, row]) + jitter
    upper = np.arange(width, rows * width)
    beside = np.where(column[upper] < width - 1, 1, -1)
    names = tuple(f"J{i}" for i in range(len(points)))
    return Truss(
        names,
        points,
        np.vstack(
            [
                np.column_stack([upper - width, upper]),
                np.column_stack([upper - width + beside, upper]),
            ]
        ),
        tuple(Support(name, "pin") for name in names[:width]),
        tuple(Load(name, 0.1, -1.0) for name in names[-width:]),
    )


FAMILIES: dict[str, Callable[[int], Truss]] = {"girder": girder, "wall": wall}


def fresh(truss: Truss) -> Truss:
    """The same truss with nothing remembered from a solution before."""
    return Truss(truss.joints, truss.points, truss.members, truss.supports, truss.loads)


def seconds(call: Callable[[], object], times: int) -> float:
    """Median processor time of a call: what else the machine does hardly counts."""
    taken = []
    gc.collect()
    for _ in range(times):
        begin = time.process_time()
        call()
        taken.append(time.process_time() - begin)
    return median(taken)


def ladder() -> None:
    """Whole solve against SciPy's bare factorisation and solution of the same matrix."""
    from scipy.sparse.linalg import splu

    def factorise_and_solve(matrix: Any, right: Any) -> Any:
        return splu(matrix).solve(right)

    from solver.equilibrium import equilibrium_matrix, load_vector
    from solver.solve import solve

    for family, build in FAMILIES.items():
        print(f"{family}\n  members     solve ms  SciPy ms   ratio  left over / load")
        measured = []
        for size in SIZES:
            truss = build(size)
            matrix, loads = equilibrium_matrix(truss), load_vector(truss)
            count = _COUNTS[size]
            # Taken in turn, so that whatever else the machine does falls on both.
            bare, whole = [], []
            for _ in range(count):
                bare.append(seconds(partial(factorise_and_solve, matrix, -loads), 1))
                whole.append(seconds(partial(solve, fresh(truss)), 1))
            solution = solve(truss)
            assert solution.status == "determinate"
            left = solution.residual / np.abs(loads).max()
            ours, theirs = median(whole), median(bare)
            measured.append((len(truss.members), ours))
            print(
                f"  {len(truss.members):8,} {1e3 * ours:11.3f} {1e3 * theirs:9.3f}"
                f" {ours / theirs:7.2f}  {left:.1e}"
            )
        print(f"  time grows as n^{growth(measured[2:]):.2f} from 1,000 members on")


def growth(measured: list[tuple[int, float]]) -> float:
    """Exponent of the power law through the measurements."""
    sizes, values = np.log(np.array(measured, dtype=float)).T
    return float(np.polyfit(sizes, values, 1)[0])


def memory() -> None:
    """Largest resident memory of a process that solves one truss, above one that only builds it."""
    for family in FAMILIES:
        measured = []
        for size in SIZES[3:]:
            built, solved = (
                int(
                    subprocess.check_output(
                        [sys.executable, "-m", __spec__.name, step, family, str(size)]
                    )
                )
                for step in ("peak-built", "peak-solved")
            )
            measured.append((size, float(max(1, solved - built))))
            print(f"{family} {size:8,} members: {(solved - built) / 1024:7.1f} MiB to solve")
        print(f"  memory grows as n^{growth(measured):.2f}")


def peak(family: str, size: int, solved: bool) -> None:
    """Print this process's largest resident memory in KiB."""
    import scipy.sparse.linalg  # noqa: F401  (its own size is not the truss's)

    from solver.solve import solve

    # A small one first: what the libraries load on their first call is not the truss's.
    solve(FAMILIES[family](1_000))
    truss = FAMILIES[family](size)
    _ = truss.index, truss.load_vector()
    if solved:
        solve(truss)
    # Not getrusage: its maximum is that of the process this one was started from, if larger.
    status = Path("/proc/self/status").read_text()
    print(next(line.split()[1] for line in status.splitlines() if line.startswith("VmHWM")))


def joints() -> None:
    """Joint by joint with all steps and checks."""
    from solver.joints import joint_by_joint
    from solver.solve import solve

    for family, build in FAMILIES.items():
        for size in (1_000, 10_000, 100_000):
            solution = solve(build(size))
            taken = seconds(partial(joint_by_joint, solution), 3)
            working = joint_by_joint(solution)
            print(
                f"{family} {len(solution.truss.members):8,} members: {taken:6.3f} s,"
                f" {len(working.steps):,} steps ({working.method})"
            )


def job() -> None:
    """A job of 21 members to its result, from the document's text on."""
    from solver.solve import result_of

    truss = girder(21)
    document: dict[str, Any] = {
        "format": "inkstrut-job",
        "version": 1,
        "joints": {
            n: {"x": x, "y": y}
            for n, (x, y) in zip(truss.joints, truss.points.tolist(), strict=True)
        },
        "members": [
            {"a": truss.joints[a], "b": truss.joints[b]} for a, b in truss.members.tolist()
        ],
        "supports": [{"joint": s.joint, "kind": s.kind} for s in truss.supports],
        "loads": [{"joint": load.joint, "fx": load.fx, "fy": load.fy} for load in truss.loads],
    }
    read = read_job(document)
    print(f"read_job: {1e3 * seconds(partial(read_job, document), 101):.2f} ms")
    print(f"result_of: {1e3 * seconds(partial(result_of, read), 101):.2f} ms")


def imports() -> None:
    """Import of the solver's front in a fresh process."""
    code = (
        "import time; t = time.process_time(); import solver.solve; print(time.process_time() - t)"
    )
    taken = [float(subprocess.check_output([sys.executable, "-c", code])) for _ in range(7)]
    print(f"import solver.solve: {median(taken):.3f} s")


MEASURES = {"ladder": ladder, "memory": memory, "joints": joints, "job": job, "import": imports}


def main(words: list[str]) -> None:
    """Run the measures named, or all."""
    if words and words[0].startswith("peak-"):
        peak(words[1], int(words[2]), words[0] == "peak-solved")
        return
    for name in words or MEASURES:
        MEASURES[name]()


if __name__ == "__main__":
    main(sys.argv[1:])
