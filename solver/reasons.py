"""Why a truss has no forces to show: what is refused, and what can move, in sentences."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from model.truss import Truss

__all__ = ["joints_in_words", "refusal", "unstable"]

FloatArray = NDArray[np.float64]

#: A member shorter than this part of the truss's extent has no direction.
_NO_LENGTH = 1e-9


def refusal(truss: Truss) -> str | None:
    """Say what in a truss cannot be taken into equations at all; None if nothing."""
    if not len(truss.joints):
        return "There are no joints yet; draw the truss first."
    if not np.isfinite(truss.points).all():
        bad = truss.joints[int(np.argmin(np.isfinite(truss.points).all(axis=1)))]
        return f"Joint {bad} has a coordinate that is not a finite number; correct it."
    for load in truss.loads if not np.isfinite(truss.load_vector()).all() else ():
        if not (np.isfinite(load.fx) and np.isfinite(load.fy)):
            return f"The load at joint {load.joint} is not a finite number; correct it."
    extent = float(np.ptp(truss.points, axis=0).max())
    if len(truss.members) and float(truss.lengths.min()) <= _NO_LENGTH * extent:
        a, b = truss.members[int(truss.lengths.argmin())]
        return (
            f"Member {truss.joints[a]}-{truss.joints[b]} is a zero-length member: joints"
            f" {truss.joints[a]} and {truss.joints[b]} are at one place; merge them or move one."
        )
    return None


def joints_in_words(truss: Truss, positions: NDArray[np.intp] | list[int], most: int = 6) -> str:
    """Name joints as a sentence would: 'joint A', 'joints A, B and C', 'joints A, B and 7 more'."""
    names = [truss.joints[position] for position in positions]
    if len(names) == 1:
        return f"joint {names[0]}"
    if len(names) > most:
        return f"joints {', '.join(names[: most - 1])} and {len(names) - most + 1} more"
    return f"joints {', '.join(names[:-1])} and {names[-1]}"


def unstable(truss: Truss, mechanisms: FloatArray) -> str:
    """Say what can move and why, in one sentence."""
    moving = np.flatnonzero(np.abs(mechanisms).max(axis=(0, 2)) > 0)
    return f"The truss can move at {joints_in_words(truss, moving)}."
