"""Random trusses with random dimensions, seen in a distorted drawing."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray

from model.job import Dimension, Job

FloatArray = NDArray[np.float64]
Members = list[tuple[int, int]]


class Case(NamedTuple):
    """A job without coordinates, and the coordinates that its dimensions come from."""

    job: Job
    points: FloatArray
    members: Members


def grown(rng: np.random.Generator, members: int) -> tuple[FloatArray, Members]:
    """A simple truss grown triangle by triangle, joints not closer than about half a member."""
    joints = (members + 3) // 2
    while True:
        points = [p + rng.uniform(-0.15, 0.15, 2) for p in np.array([(0, 0), (1, 0), (0.5, 0.8)])]
        lines, edges = [(0, 1), (1, 2), (0, 2)], [(0, 1), (1, 2), (0, 2)]
        for _ in range(500):
            if len(points) == joints:
                break
            a, b = edges[rng.integers(len(edges))]
            d = points[b] - points[a]
            u = d / np.hypot(*d)
            normal = np.array([-u[1], u[0]]) * rng.choice((-1, 1))
            new = (points[a] + points[b]) / 2 + normal * rng.uniform(0.6, 1.0)
            new = new + u * rng.uniform(-0.3, 0.3)
            if min(np.hypot(*(new - p)) for p in points) > 0.55:
                points.append(new)
                k = len(points) - 1
                lines += [(a, k), (b, k)]
                edges += [(a, k), (b, k)]
                edges.remove((a, b))
        if len(points) == joints:
            break
    if len(lines) < members:
        near = sorted(
            (float(np.hypot(*(points[a] - points[b]))), a, b)
            for a in range(joints)
            for b in range(a)
            if (b, a) not in lines
        )
        lines += [(b, a) for _, a, b in near[: members - len(lines)]]
    return np.array(points), lines


def photographed(
    rng: np.random.Generator, points: FloatArray, members: Members, amount: float, tilt: float
) -> FloatArray:
    """Pixels of a sketch that is off by `amount` of a member, photographed askew."""
    typical = float(np.mean([np.hypot(*(points[a] - points[b])) for a, b in members]))
    moved = points + rng.uniform(-amount, amount, points.shape) * typical
    extent = float(np.ptp(moved, axis=0).max())
    unit = (moved - moved.mean(axis=0)) / extent
    depth = 1 + unit @ rng.uniform(-tilt, tilt, 2)
    return np.asarray(unit / depth[:, None] * (1500, -1500) + (2000, 1500))


def dimensions_of(
    rng: np.random.Generator, points: FloatArray, members: Members, extra: float, only: Any = None
) -> list[Dimension]:
    """Dimensions of many kinds in random order that settle all, and some to spare."""
    n = len(points)
    pool: list[tuple[str, tuple[int, ...], float]] = []
    for a, b in members:
        d = points[b] - points[a]
        pool.append(("length", (a, b), float(np.hypot(*d))))
        pool.append(("horizontal", (a, b), abs(float(d[0]))))
        pool.append(("vertical", (a, b), abs(float(d[1]))))
        pool.append(("angle", (a, b), float(np.degrees(np.arctan2(abs(d[1]), abs(d[0]))))))
    ends: dict[int, list[int]] = {}
    for a, b in members:
        ends.setdefault(a, []).append(b)
        ends.setdefault(b, []).append(a)
    for b, around in ends.items():
        for a, c in pairwise(around):
            u, v = points[a] - points[b], points[c] - points[b]
            turn = abs(float(np.degrees(np.arctan2(u[0] * v[1] - u[1] * v[0], u @ v))))
            if 40 < turn < 140:  # else the drawing may show it turning the other way
                pool.append(("angle_between", (a, b, c), turn))
            pool.append(("length", (a, c), float(np.hypot(*(points[a] - points[c])))))
    if only is not None:
        pool = [entry for entry in pool if entry[0] in only]
    order = [pool[at] for at in rng.permutation(len(pool))]
    order = [entry for entry in order if _clear(points, *entry[:2])]
    rows = np.array([_gradient(kind, joints, points) for kind, joints, _ in order])
    chosen: list[int] = []
    needed = 2 * n - (3 if only == ("length",) else 2)  # lengths alone do not tell what is level
    # In random order whatever settles something clearly, then whatever settles the rest best.
    for least in (0.4, 0.0):
        while len(chosen) < needed:
            free = np.linalg.norm(rows, axis=1)
            free[chosen] = 0.0
            at = int(np.argmax(free > least)) if least else int(np.argmax(free))
            if free[at] <= max(least, 1e-3):
                break
            unit = rows[at] / free[at]
            rows = rows - np.outer(rows @ unit, unit)
            chosen.append(at)
    if len(chosen) < needed:
        return []
    spare = [at for at in range(len(order)) if at not in chosen][: round(extra * (2 * n - 2))]
    return [
        Dimension(kind=kind, joints=[f"J{j}" for j in joints], value=value)
        for kind, joints, value in (order[at] for at in chosen + spare)
    ]


def _clear(points: FloatArray, kind: str, joints: tuple[int, ...]) -> bool:
    """Whether the drawing shows beyond doubt which way the line leans."""
    if kind not in ("horizontal", "vertical", "angle"):
        return True
    d = np.abs(points[joints[1]] - points[joints[0]])
    return bool(d.min() > 0.6 * d.max())


def _gradient(kind: str, joints: tuple[int, ...], points: FloatArray) -> FloatArray:
    """Unit gradient of a dimension, by differences: independent of the code under test."""

    def value(p: FloatArray) -> float:
        d = p[joints[1]] - p[joints[0]]
        if kind in ("horizontal", "vertical"):
            return float(d["hv".index(kind[0])])
        if kind == "length":
            return float(np.hypot(*d))
        if kind == "angle":
            return float(np.arctan2(d[1], d[0]))
        u, v = p[joints[0]] - p[joints[1]], p[joints[2]] - p[joints[1]]
        return float(np.arctan2(u[0] * v[1] - u[1] * v[0], u @ v))

    row = np.zeros(points.size)
    for k in {2 * j + axis for j in joints for axis in (0, 1)}:
        step = np.zeros(points.size)
        step[k] = 1e-6
        there, back = points + step.reshape(-1, 2), points - step.reshape(-1, 2)
        row[k] = (value(there) - value(back)) / 2e-6
    return row / np.linalg.norm(row)


def random_case(
    rng: np.random.Generator,
    members: int,
    *,
    extra: float = 0.0,
    amount: float = 0.15,
    tilt: float = 0.4,
    only: Any = None,
) -> Case:
    """A random truss with sufficient dimensions (and `extra` of them to spare) as a job."""
    dimensions: list[Dimension] = []
    while not dimensions:  # now and then nothing tells what is level
        points, lines = grown(rng, members)
        points = (points - points[0]) * rng.uniform(0.5, 20.0)
        dimensions = dimensions_of(rng, points, lines, extra, only)
    pixels = photographed(rng, points, lines, amount, tilt)
    job = Job.model_validate(
        {
            "joints": {f"J{j}": {"pixel": tuple(p)} for j, p in enumerate(pixels.tolist())},
            "members": [{"a": f"J{a}", "b": f"J{b}"} for a, b in lines],
            "supports": [{"joint": "J0", "kind": "pin"}],
            "dimensions": dimensions,
        }
    )
    return Case(job, points, lines)


@pytest.fixture
def case() -> Callable[..., Case]:
    return random_case
