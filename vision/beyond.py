"""What the picture shows beyond the truss that was read: a second one, or that it is cut off."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from model.candidate import Alternative, Doubt, Edit

__all__ = ["other_truss", "out_of_frame"]


def other_truss(read: int, at: NDArray[np.float64], members: Sequence[tuple[int, int]]) -> Doubt:
    """Ask which of two trusses on a page is meant; the larger one has been read.

    Parameters
    ----------
    read : int
        Joints of the truss that was read; those of the other are numbered on from there.
    at : ndarray, shape (n, 2)
        Joints of the other truss in pixels of the picture.
    members : sequence of (int, int)
        Its members.
    """
    edits = [Edit(do="remove_joint", joints=[joint]) for joint in range(read)]
    edits += [
        Edit(do="add_joint", joints=[read + k], at=(round(float(x), 1), round(float(y), 1)))
        for k, (x, y) in enumerate(at)
    ]
    edits += [Edit(do="add_member", joints=[read + a, read + b]) for a, b in members]
    x, y = at.mean(axis=0)
    return Doubt(
        about="truss",
        joints=list(range(read)),
        reason="There is more than one truss in the picture; the largest was read. Which is meant?",
        alternatives=[
            Alternative(reading=f"the truss around ({x:.0f}, {y:.0f})", edits=edits, confidence=0.4)
        ],
    )


def out_of_frame(width: int, height: int, lines: NDArray[np.float64]) -> Doubt | None:
    """Say so where members run out of the picture.

    Parameters
    ----------
    width, height : int
        Of the picture in pixels.
    lines : ndarray, shape (n, 2)
        Places on members' ink, in pixels.
    """
    rim = 0.012 * max(width, height)
    sides = {
        "left": lines[:, 0] < rim,
        "right": lines[:, 0] > width - 1 - rim,
        "top": lines[:, 1] < rim,
        "bottom": lines[:, 1] > height - 1 - rim,
    }
    cut = [side for side, near in sides.items() if int(near.sum()) >= 2]
    if not cut:
        return None
    return Doubt(
        about="truss",
        joints=[],
        reason=f"The truss runs out of the picture ({', '.join(cut)}): take one with all of it.",
    )
