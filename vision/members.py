"""Members: how well the ink between two joints speaks for a straight bar."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.maps import Maps

__all__ = ["PairEvidence", "arc", "between", "pair_evidence"]

#: Places looked at along a pair, and arcs tried for it.
SAMPLES = 64
ARCS = 7
#: Largest bow as a share of the length, and cells within which a joint is on a line.
BOW = 0.03
NEAR = 2.5


@dataclass(frozen=True)
class PairEvidence:
    """Ink along every pair of joints.

    Attributes
    ----------
    mean : ndarray, shape (n, n)
        Mean of the member map along the pair where its direction agrees, 0..1.
    worst : ndarray, shape (n, n)
        Lowest mean over any stretch of about an eighth of the pair (at least 5 cells).
    length : ndarray, shape (n, n)
        Distance in cells.
    bow : ndarray, shape (n, n)
        Sagitta in cells of the best inked arc from the joint with the lower number.
    """

    mean: NDArray[np.float64]
    worst: NDArray[np.float64]
    length: NDArray[np.float64]
    bow: NDArray[np.float64]

    @property
    def score(self) -> NDArray[np.float64]:
        """One number 0..1 for both."""
        score: NDArray[np.float64] = np.sqrt(np.clip(self.mean * self.worst, 0.0, 1.0))
        return score


def pair_evidence(maps: Maps, at: NDArray[np.float64]) -> PairEvidence:
    """Sample the member map along every pair of joints.

    A hand's stroke bows: the straight line and a few arcs to either side are
    tried, and the best inked one counts.

    Parameters
    ----------
    maps : Maps
    at : ndarray, shape (n, 2)
        Joints as column and row.

    Returns
    -------
    PairEvidence
    """
    n = len(at)
    first, second = np.triu_indices(n, 1)
    tables = [np.zeros((n, n)) for _ in range(4)]
    for start in range(0, len(first), 2000):
        a, b = first[start : start + 2000], second[start : start + 2000]
        for table, column in zip(tables, _along(maps, at[a], at[b]), strict=True):
            table[a, b] = table[b, a] = column
    return PairEvidence(*tables)


def arc(at: NDArray[np.float64], evidence: PairEvidence, a: int, b: int) -> NDArray[np.float64]:
    """Places, shape (n, 2), about one cell apart on the best inked arc of a pair."""
    a, b = min(a, b), max(a, b)
    step = at[b] - at[a]
    length = max(float(evidence.length[a, b]), 1e-6)
    share = np.linspace(0, 1, max(int(length), 4))[:, None]
    across = np.array([-step[1], step[0]]) / length
    places: NDArray[np.float64] = (
        at[a] + share * step + evidence.bow[a, b] * 4 * share * (1 - share) * across
    )
    return places


def _along(
    maps: Maps, start: NDArray[np.float64], end: NDArray[np.float64]
) -> tuple[NDArray[np.float64], ...]:
    """Mean and lowest evidence, distance and sagitta of each pair, on its best inked arc."""
    step = end - start
    distance = np.maximum(np.hypot(step[:, 0], step[:, 1]), 1e-6)
    unit = step / distance[:, None]
    across = np.column_stack([-unit[:, 1], unit[:, 0]])
    trim = np.minimum(3.0, 0.2 * distance) / distance
    share = trim[:, None] + (1 - 2 * trim[:, None]) * np.linspace(0, 1, SAMPLES)
    centre = start[:, None] + share[..., None] * step[:, None]
    sagitta = _sagitta(distance)[:, None] * np.linspace(-1, 1, ARCS)
    bow = 1 - (2 * share - 1) ** 2
    aside = sagitta[:, :, None] * bow[:, None]
    places = centre[:, None] + aside[..., None] * across[:, None, None]
    flat = places.reshape(len(start), -1, 2).astype(np.float32)
    wide = maps["member"]
    ink, cosine, sine = (
        cv2.remap(layer, flat[..., 0], flat[..., 1], cv2.INTER_LINEAR)
        for layer in (wide, maps["member_cos2"], maps["member_sin2"])
    )
    twice = 2 * np.arctan2(-unit[:, 1], unit[:, 0])[:, None]
    size = np.maximum(np.hypot(cosine, sine), 0.3)
    agreement = (cosine * np.cos(twice) + sine * np.sin(twice)) / size
    weight = 0.45 + 0.55 * np.clip((agreement + 0.1) / 0.6, 0.0, 1.0)
    evidence = (ink * weight).astype(np.float64).reshape(-1, SAMPLES)
    mean = evidence.mean(axis=1).reshape(-1, ARCS)
    lowest = _lowest_stretch(evidence, np.repeat(distance, ARCS)).reshape(-1, ARCS)
    best = np.argmax(mean * lowest - 1e-3 * np.abs(np.linspace(-1, 1, ARCS)), axis=1)
    rows = np.arange(len(start))
    sagittas = _sagitta(distance) * np.linspace(-1, 1, ARCS)[best]
    return mean[rows, best], lowest[rows, best], distance, sagittas


def _lowest_stretch(
    values: NDArray[np.float64], distances: NDArray[np.float64]
) -> NDArray[np.float64]:
    share = np.clip(5.0 / np.maximum(distances, 1e-6), 0.125, 1.0)
    widths = np.maximum(np.round(share * SAMPLES).astype(int), 1)
    totals = np.concatenate([np.zeros((len(values), 1)), np.cumsum(values, axis=1)], axis=1)
    lowest = np.empty(len(values))
    for width in np.unique(widths):
        rows = widths == width
        windows = totals[rows, width:] - totals[rows, :-width]
        lowest[rows] = windows.min(axis=1) / width
    return lowest


def between(at: NDArray[np.float64], a: int, b: int) -> NDArray[np.intp]:
    """Indices of the joints on the way from joint `a` to joint `b`, bow allowed for."""
    step = at[b] - at[a]
    distance = max(float(np.hypot(*step)), 1e-6)
    unit = step / distance
    offset = at - at[a]
    along = offset @ unit
    aside = np.abs(offset @ np.array([-unit[1], unit[0]]))
    margin = min(4.0, 0.25 * distance)
    share = np.clip(along / distance, 0.0, 1.0)
    allowed = NEAR + 4 * share * (1 - share) * float(_sagitta(np.array([distance]))[0])
    inside = (along > margin) & (along < distance - margin) & (aside < allowed)
    inside[[a, b]] = False
    return np.flatnonzero(inside)


def _sagitta(distance: NDArray[np.float64]) -> NDArray[np.float64]:
    """Largest bow, in cells, of a hand's straight stroke."""
    return np.clip(BOW * distance, 0.5, 4.0)
