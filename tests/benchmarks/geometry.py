"""How long settling takes.

python tests/benchmarks/geometry.py
"""

from __future__ import annotations

import runpy
import time
from pathlib import Path

import numpy as np

from model.geometry import settle
from model.job import Job

random_case = runpy.run_path(str(Path(__file__).parents[1] / "model" / "conftest.py"))[
    "random_case"
]


def long_truss(rng: np.random.Generator, members: int) -> tuple[Job, np.ndarray]:
    """A chain of triangles with every length given, drawn 10 % off."""
    joints = (members + 3) // 2
    points = np.array([(j / 2, 0.8 * (j % 2)) for j in range(joints)])
    points += rng.uniform(-0.1, 0.1, points.shape)
    pairs = [(j, k) for j in range(joints) for k in (j + 1, j + 2) if k < joints]
    drawn = (points + rng.uniform(-0.1, 0.1, points.shape)) * (100, -100)
    job = Job.model_validate(
        {
            "joints": {f"J{j}": {"pixel": tuple(p)} for j, p in enumerate(drawn.tolist())},
            "members": [{"a": f"J{a}", "b": f"J{b}"} for a, b in pairs],
            "dimensions": [
                {
                    "kind": "length",
                    "joints": [f"J{a}", f"J{b}"],
                    "value": float(np.hypot(*(points[a] - points[b]))),
                }
                for a, b in pairs
            ],
        }
    )
    return job, points


def main() -> None:
    for members, runs in ((7, 20), (21, 20), (60, 20), (301, 3), (1000, 3)):
        times, errors = [], []
        for seed in range(runs):
            rng = np.random.default_rng(seed)
            if members > 100:
                job, points = long_truss(rng, members)
            else:
                job, points, _ = random_case(rng, members)
            start = time.perf_counter()
            geometry = settle(job, assume=False)
            times.append(time.perf_counter() - start)
            d, e = geometry.points[1:] - geometry.points[:-1], points[1:] - points[:-1]
            miss = np.abs(np.hypot(*d.T) - np.hypot(*e.T)).max()
            errors.append(miss / np.ptp(points, axis=0).max())
        print(
            f"{members:5d} members: median {1e3 * np.median(times):7.1f} ms, slowest"
            f" {1e3 * max(times):7.1f} ms, largest relative error {max(errors):.1e}"
        )


if __name__ == "__main__":
    main()
