"""Members fitted to their ink in the picture, joints to the members that meet there."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.graph import Graph

__all__ = ["refit"]

#: Places along a member at which its stroke is looked for.
PLACES = 40


def refit(graph: Graph, contrast: NDArray[np.uint8], precision: float) -> Graph:
    """Move joints to where the lines through their members' ink meet.

    Each half of a member is a straight line by robust weighted least squares
    through the centres of its stroke; a joint is the point nearest to all its
    lines, held to its first place by a weak spring, so that two nearly parallel
    members cannot carry it away.

    Parameters
    ----------
    graph : Graph
        In pixels of `contrast`.
    contrast : ndarray of uint8, shape (rows, columns)
        Evened picture: paper 255, ink darker.
    precision : float
        Pixels by which the given joints may be wrong.

    Returns
    -------
    Graph
        With joints moved by at most 2.5 times `precision`.
    """
    depth = cv2.GaussianBlur(255 - contrast, (0, 0), 1.0).astype(np.float32)
    at = graph.at
    for _ in range(2):
        normals: list[list[NDArray[np.float64]]] = [[] for _ in at]
        for a, b in graph.members:
            for joint, other in ((a, b), (b, a)):
                line = _near_half(depth, at[joint], at[other], precision)
                if line is not None:
                    normals[joint].append(line)
        at = np.array(
            [_meeting(place, lines, precision) for place, lines in zip(at, normals, strict=True)]
        ).reshape(-1, 2)
    shift = at - graph.at
    size = np.maximum(np.hypot(shift[:, 0], shift[:, 1]), 1e-9)[:, None]
    return graph.moved(graph.at + shift * np.minimum(1.0, 2.5 * precision / size))


def _near_half(
    depth: NDArray[np.float32],
    joint: NDArray[np.float64],
    other: NDArray[np.float64],
    precision: float,
) -> NDArray[np.float64] | None:
    """Line through the half of a stroke next to a joint, as normal and offset (nx, ny, c)."""
    step = other - joint
    length = float(np.hypot(*step))
    if length < 8:
        return None
    unit = step / length
    across = np.array([-unit[1], unit[0]])
    reach = float(np.clip(0.012 * length + 1.5 * precision, 4.0, 0.15 * length + 3.0))
    share = np.linspace(min(0.12 + 2 * precision / length, 0.3), 0.62, PLACES)
    aside = np.linspace(-reach, reach, 2 * int(np.ceil(reach)) + 1)
    places = joint + share[:, None, None] * step + aside[None, :, None] * across
    profile = cv2.remap(
        depth,
        places[..., 0].astype(np.float32),
        places[..., 1].astype(np.float32),
        cv2.INTER_LINEAR,
    ).astype(np.float64)
    profile = np.clip(profile - 0.5 * np.percentile(profile, 90), 0.0, None)
    profile *= np.exp(-((aside / reach) ** 2))
    weight = profile.sum(axis=1)
    seen = weight > 1e-6
    if np.count_nonzero(seen) < PLACES // 3:
        return None
    centre = (profile @ aside) / np.maximum(weight, 1e-9)
    slope, start = _robust_line(share * length, centre, np.minimum(weight, np.median(weight[seen])))
    normal = across - slope * unit
    normal /= np.hypot(*normal)
    through = joint + start * across
    return np.array([normal[0], normal[1], float(normal @ through)])


def _robust_line(
    x: NDArray[np.float64], y: NDArray[np.float64], weight: NDArray[np.float64]
) -> tuple[float, float]:
    """Weighted least squares with Tukey's biweight, five rounds; slope and intercept."""
    slope, start = 0.0, float(np.median(y[weight > 0]))
    for _ in range(5):
        residual = y - slope * x - start
        spread = max(1.4826 * float(np.median(np.abs(residual[weight > 0]))), 0.5)
        biweight = np.clip(1 - (residual / (4.0 * spread)) ** 2, 0.0, None) ** 2
        w = weight * biweight
        total = float(w.sum())
        if total <= 1e-9:
            break
        mean_x, mean_y = float(w @ x) / total, float(w @ y) / total
        variance = max(float(w @ (x - mean_x) ** 2), 1e-9)
        slope = float(w @ ((x - mean_x) * (y - mean_y))) / variance
        slope = float(np.clip(slope, -0.2, 0.2))
        start = mean_y - slope * mean_x
    return slope, start


def _meeting(
    place: NDArray[np.float64], lines: list[NDArray[np.float64]], precision: float
) -> NDArray[np.float64]:
    """Point nearest to the lines in least squares, with a spring to `place`."""
    spring = 1.0 / precision**2
    if not lines:
        return place
    normals = np.array([line[:2] for line in lines])
    offsets = np.array([line[2] for line in lines])
    off = normals @ place - offsets
    weights = 1.0 / (1.5**2 + (0.5 * off) ** 2)
    matrix = spring * np.eye(2) + (normals * weights[:, None]).T @ normals
    solved: NDArray[np.float64] = np.linalg.solve(
        matrix, spring * place + (weights * offsets) @ normals
    )
    return solved
