"""How members lie to each other: whether two cross, and whether two are one line."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["cosine", "cross"]

Points = NDArray[np.float64]
Pair = tuple[int, int]


def cosine(u: Points, v: Points) -> float:
    """Cosine of the angle between two steps; -1 where one goes back along the other."""
    return float(u @ v) / max(float(np.hypot(*u) * np.hypot(*v)), 1e-9)


def cross(at: Points, one: Pair, other: Pair) -> bool:
    """Tell whether two members without a joint in common cross.

    Parameters
    ----------
    at : ndarray, shape (n, 2)
        Places of the joints.
    one, other : (int, int)
        Joints of the members.
    """
    if set(one) & set(other):
        return False
    return all(
        _side(at, *here, there[0]) * _side(at, *here, there[1]) < 0
        for here, there in ((one, other), (other, one))
    )


def _side(at: Points, a: int, b: int, place: int) -> float:
    """Positive where a joint lies to one side of the line from `a` to `b`."""
    u, v = at[b] - at[a], at[place] - at[a]
    return float(u[0] * v[1] - u[1] * v[0])
