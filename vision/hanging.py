"""Outlines that hang on a truss by one joint: supports read as members."""

from __future__ import annotations

from dataclasses import dataclass

import networkx as nx
import numpy as np
from numpy.typing import NDArray

from vision.graph import Graph

__all__ = ["Hanging", "take_out_hanging"]


@dataclass(frozen=True)
class Hanging:
    """A closed outline that hung on joint `joint`, and the direction from it to the joint."""

    joint: int
    angle_deg: float


def take_out_hanging(graph: Graph, held: NDArray[np.bool_]) -> tuple[Graph, list[Hanging]]:
    """Take out small closed outlines that hang on the rest by a single joint.

    Nothing in a truss that stands can turn about one joint of its rest unless it
    has a support of its own; a small triangle that does is the drawing of one.

    Parameters
    ----------
    graph : Graph
    held : ndarray of bool, shape (n,)
        Joints at which a support was seen.

    Returns
    -------
    Graph
        Without the outlines.
    list of Hanging
        Where they hung, with the joints' new numbers.
    """
    net = nx.Graph(graph.members)
    found: list[tuple[int, float]] = []
    dropped: set[int] = set()
    cuts = set(nx.articulation_points(net))
    for block in nx.biconnected_components(net):
        apexes = block & cuts
        corners = sorted(block - apexes)
        if len(apexes) != 1 or not 2 <= len(corners) <= 4 or held[corners].any():
            continue
        apex = apexes.pop()
        inside = max(_length(graph, a, b) for a, b in net.subgraph(block).edges)
        outside = [_length(graph, apex, other) for other in net[apex] if other not in block]
        if inside < 0.75 * max(outside, default=0.0):
            step = graph.at[apex] - graph.at[corners].mean(axis=0)
            found.append((apex, float(np.degrees(np.arctan2(-step[1], step[0])))))
            dropped |= set(corners)
    kept = np.array([k for k in range(len(graph.at)) if k not in dropped], dtype=np.intp)
    number = {int(old): new for new, old in enumerate(kept)}
    return graph.keep(kept), [Hanging(number[apex], angle) for apex, angle in found]


def _length(graph: Graph, a: int, b: int) -> float:
    return float(np.hypot(*(graph.at[a] - graph.at[b])))
