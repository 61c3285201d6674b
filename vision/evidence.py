"""Weighing of evidence: numbers that speak for and against something, to its probability."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["Weighing", "chances", "curve", "logit", "standard", "weighing"]

Floats = NDArray[np.float64]

#: Fitted weights; written by ``python -m vision.training.evidence``.
WEIGHTS = Path(__file__).parent / "weights" / "evidence.json"


@dataclass(frozen=True)
class Weighing:
    """A logistic curve over a few smooth steps of the evidence (one hidden layer).

    Attributes
    ----------
    mean, scale : ndarray, shape (k,)
        Of the evidence it was fitted on.
    hidden : ndarray, shape (k + 1, h)
        Weights of the steps; the last row is their offset.
    out : ndarray, shape (h + 1,)
        Weights of the steps in the log-odds; the last is the offset.
    """

    mean: Floats
    scale: Floats
    hidden: Floats
    out: Floats

    def chance(self, evidence: Floats) -> Floats:
        """Probability for each row of evidence (n, k)."""
        steps = np.tanh(standard(self.mean, self.scale, evidence) @ self.hidden)
        return chances(steps @ self.out[:-1] + self.out[-1])


def chances(odds: Floats) -> Floats:
    """Probabilities that log-odds give."""
    return np.asarray(1.0 / (1.0 + np.exp(-odds)))


def logit(share: Floats | float, rim: float = 0.02) -> Floats:
    """Log-odds of shares, which are kept `rim` away from 0 and 1."""
    clipped = np.clip(share, rim, 1.0 - rim)
    return np.asarray(np.log(clipped / (1.0 - clipped)))


def standard(mean: Floats, scale: Floats, evidence: Floats) -> Floats:
    """Evidence in standard deviations, kept within four, and a column of ones."""
    near = np.clip((evidence - mean) / scale, -4.0, 4.0)
    return np.column_stack([near, np.ones(len(near))])


@cache
def _document() -> dict[str, Any]:
    document: dict[str, Any] = json.loads(WEIGHTS.read_text(encoding="utf-8"))
    return document


@cache
def weighing(name: str) -> Weighing:
    """The fitted weighing of that name."""
    entry = _document()[name]
    return Weighing(*(np.array(entry[part]) for part in ("mean", "scale", "hidden", "out")))


def curve(part: str) -> tuple[float, float]:
    """Start and slope of the logistic curve from a part's raw evidence to its confidence."""
    start, slope = _document()["curves"][part]
    return float(start), float(slope)
