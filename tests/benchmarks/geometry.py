"""How long settling takes, and how often a planted misread is named.

python tests/benchmarks/geometry.py
"""

from __future__ import annotations

import runpy
import time
from pathlib import Path

import numpy as np

from model.geometry import settle

random_case = runpy.run_path(str(Path(__file__).parents[1] / "model" / "conftest.py"))[
    "random_case"
]


def main() -> None:
    for members, runs in ((7, 20), (21, 20), (60, 20), (301, 3), (1000, 3)):
        times, errors = [], []
        for seed in range(runs):
            only = ("length",) if members > 100 else None
            truth = random_case(np.random.default_rng(seed), members, only=only)
            start = time.perf_counter()
            geometry = settle(truth.job, assume=False)
            times.append(time.perf_counter() - start)
            lengths = [
                np.hypot(*(p[a] - p[b]))
                for p in (geometry.points, truth.points)
                for a, b in truth.members
            ]
            half = len(lengths) // 2
            size = np.ptp(truth.points, axis=0).max()
            errors.append(np.abs(np.subtract(lengths[:half], lengths[half:])).max() / size)
        print(
            f"{members:5d} members: median {1e3 * np.median(times):7.1f} ms,"
            f" slowest {1e3 * max(times):7.1f} ms, largest error of a length {max(errors):.1e}"
        )


if __name__ == "__main__":
    main()
