"""Whether a graph of lines can be a truss at all: panels, boxes, circuits and writing are not."""

from __future__ import annotations

from itertools import combinations

from vision.graph import Graph

__all__ = ["looks_like_truss", "triangles"]


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


def looks_like_truss(graph: Graph) -> bool:
    """Tell whether a graph has a truss's triangles and enough members to hold its joints.

    A plane truss that stands on three reactions needs ``m >= 2 j - 3``; a
    drawing may lack a member or two, or be held by more reactions, so a few may
    be missing. Boxes joined by arrows and circuits lack triangles and many members.
    """
    joints, members = len(graph.at), len(graph.members)
    if joints < 3 or members < 2:
        return False
    missing = 2 * joints - 3 - members
    if joints == 3:
        return missing <= 1
    in_triangles = {pair for a, b, c in triangles(graph) for pair in ((a, b), (a, c), (b, c))}
    return missing <= max(1, round(0.2 * joints)) and len(in_triangles) >= 0.5 * members
