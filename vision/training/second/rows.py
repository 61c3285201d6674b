"""What the second maker drew, as rows that both painters of maps take."""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray

from vision.training.second.scene import Truth

__all__ = ["second_rows"]


def second_rows(
    truth: Truth,
) -> tuple[NDArray[np.float32], NDArray[np.float32], NDArray[np.float32]]:
    """The second maker's truth as rows like those of `vision.training.targets.marks`."""
    at = truth.joints
    segments: list[tuple[float, ...]] = [(*at[a], *at[b], 0) for a, b in truth.members]
    for path in truth.dimensions:
        segments += [(*p, *q, 1) for p, q in itertools.pairwise(path)]
    points: list[tuple[float, ...]] = [(*p, 0, 0, 0) for p in at]
    points += [(*p, 1, 0, 0) for p in truth.crossings]

    def step(degrees: float) -> tuple[float, float]:
        return 4 * float(np.cos(np.radians(degrees))), -4 * float(np.sin(np.radians(degrees)))

    for joint, kind, degrees in truth.supports:
        points.append((*at[joint], 2 if kind == "pin" else 3, *step(degrees)))
    for joint, degrees in truth.loads:
        points.append((*at[joint], 4, *step(degrees)))
    for joint, degrees in truth.reactions:
        points.append((*at[joint], 7, *step(degrees)))
    for head, tail in truth.arrows:
        segments.append((*tail, *head, 2))
        points += [(*head, 5, 0, 0), (*tail, 6, 0, 0)]
    return (
        np.array(segments, np.float32).reshape(-1, 5),
        np.array(points, np.float32).reshape(-1, 5),
        np.array([np.ravel(quad) for quad in truth.texts], np.float32).reshape(-1, 8),
    )
