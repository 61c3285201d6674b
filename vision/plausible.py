"""Whether a graph of lines can be a truss at all: panels, boxes, circuits and writing are not."""

from __future__ import annotations

from itertools import combinations

import numpy as np

from vision.graph import Graph

__all__ = ["looks_like_truss", "triangles"]

#: Least diagonal of a truss as a share of the picture's.
SMALLEST_EXTENT = 0.12


def triangles(graph: Graph) -> list[tuple[int, int, int]]:
    """List the triples of joints that are joined pairwise."""
    around: dict[int, set[int]] = {joint: set() for joint in range(len(graph.at))}
    for a, b in graph.members:
        around[a].add(b)
        around[b].add(a)
    return [
        (joint, a, b)
        for joint in around
        for a, b in combinations(sorted(other for other in around[joint] if other > joint), 2)
        if b in around[a]
    ]


def looks_like_truss(
    graph: Graph, page_diagonal: float, reactions: int, symbols: int, *, trained: bool
) -> bool:
    """Tell whether a graph has a truss's size, triangles and enough members to hold its joints.

    A plane truss that stands needs ``m + r >= 2 j``; a drawing may lack a member
    or two, and supports are easily missed, so that at least three reactions are
    taken for granted. Boxes joined by arrows and circuits lack triangles and
    many members; a letter or a gateway is small; ruled paper has far too many.

    Parameters
    ----------
    graph : Graph
        In pixels.
    page_diagonal : float
        Diagonal of the picture in pixels.
    reactions, symbols : int
        Reactions of the supports, and supports and loads, seen at the joints.
    trained : bool
        True where a network told members from other lines; without, symbols
        and size must speak for a small graph.
    """
    joints, members = len(graph.at), len(graph.members)
    if joints < 3 or not 2 <= members <= 2.5 * joints:
        return False
    extent = float(np.hypot(*np.ptp(graph.at, axis=0))) / page_diagonal
    if extent < SMALLEST_EXTENT or (joints < 5 and symbols == 0 and extent < 2 * SMALLEST_EXTENT):
        return False
    if joints == 3 and not trained and not (members == 3 and symbols):
        return False
    missing = 2 * joints - members - max(3, reactions)
    in_triangles = {pair for a, b, c in triangles(graph) for pair in ((a, b), (a, c), (b, c))}
    braced = len(in_triangles) >= 0.5 * members or (
        trained and (reactions >= 4 or (joints <= 4 and symbols > 0))
    )
    return missing <= max(1, round(0.2 * joints)) and braced
