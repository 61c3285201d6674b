"""Which lines would stop a truss from folding."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

__all__ = ["Looseness", "find_looseness"]

Pair = tuple[int, int]
Points = NDArray[np.float64]

#: Share of the largest singular value below which one is nought.
NOUGHT = 1e-4
#: Least stretch of a line, for a mechanism of unit size, by which it would stop it.
STOPS = 0.03
#: Share of a line's length within which a joint lies on it.
NEAR = 0.06


@dataclass(frozen=True)
class Looseness:
    """How a truss can fold.

    Attributes
    ----------
    mechanisms : int
        Number of independent ways in which it can.
    motions : ndarray, shape (k, 2 n)
        Motions that stretch no member, those as a whole among them if nothing holds the truss.
    braces : tuple of (int, int)
        Joints that a further member would join to stop one: diagonals of panels that have none.
    """

    mechanisms: int
    motions: NDArray[np.float64]
    braces: tuple[Pair, ...]

    def stopped_by(self, at: Points, a: int, b: int) -> bool:
        """Tell whether a member between two joints would stop a mechanism."""
        return float(np.linalg.norm(self.motions @ _row(at, a, b))) > STOPS


def find_looseness(
    at: Points, members: Sequence[Pair], holds: Sequence[tuple[int, float]]
) -> Looseness:
    """Tell how a truss can fold, and which lines would stop it.

    A mechanism is a motion of the joints that stretches no member (the null
    space of the compatibility matrix); where too few supports were read to hold
    the truss, its motions as a whole do not count.

    Parameters
    ----------
    at : ndarray, shape (n, 2)
        Joints.
    members : sequence of (int, int)
    holds : sequence of (int, float)
        Joint of each reaction, and its direction in degrees, counter-clockwise as seen.
    """
    rows = [_row(at, a, b) for a, b in members]
    rigid = 3 if len(holds) < 3 else 0
    if not rigid:
        rows += [_hold(len(at), joint, degrees) for joint, degrees in holds]
    _, sizes, motions = np.linalg.svd(np.array(rows).reshape(-1, 2 * len(at)))
    rank = int((sizes > NOUGHT * sizes.max(initial=0.0)).sum())
    loose = motions[rank:]
    mechanisms = max(0, len(loose) - rigid)
    loosened = Looseness(mechanisms, loose, ())
    if not mechanisms:
        return loosened
    around: list[set[int]] = [set() for _ in at]
    for a, b in members:
        around[a].add(b)
        around[b].add(a)
    braces = [
        (a, b)
        for a, b in combinations(range(len(at)), 2)
        if b not in around[a]
        and len(around[a] & around[b]) >= 2
        and not _on_the_way(at, a, b)
        and loosened.stopped_by(at, a, b)
    ]
    return replace(loosened, braces=tuple(braces))


def _on_the_way(at: Points, a: int, b: int) -> bool:
    """Tell whether a joint lies on the line between two others."""
    step = at[b] - at[a]
    squared = max(float(step @ step), 1e-9)
    along = (at - at[a]) @ step / squared
    aside = np.abs((at - at[a]) @ np.array([-step[1], step[0]])) / squared
    return bool(((along > NEAR) & (along < 1 - NEAR) & (aside < NEAR)).any())


def _row(at: Points, a: int, b: int) -> NDArray[np.float64]:
    """Stretch of the line from `a` to `b` for a unit of each component of motion."""
    step = at[b] - at[a]
    unit = step / max(float(np.hypot(*step)), 1e-9)
    row = np.zeros((len(at), 2))
    row[a], row[b] = -unit, unit
    return row.ravel()


def _hold(joints: int, joint: int, degrees: float) -> NDArray[np.float64]:
    row = np.zeros((joints, 2))
    row[joint] = np.cos(np.radians(degrees)), -np.sin(np.radians(degrees))
    return row.ravel()
