"""Where straight strokes meet: joints and crossings among detected lines."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import networkx as nx
import numpy as np
from numpy.typing import NDArray

__all__ = ["Node", "chain_along", "connected_lines", "find_nodes"]

Segments = NDArray[np.float64]


@dataclass(frozen=True)
class Node:
    """A place where lines meet.

    Attributes
    ----------
    at : ndarray, shape (2,)
        Pixel position.
    lines : frozenset of int
        Lines that reach it.
    ending : frozenset of int
        Those among them that end there.
    """

    at: NDArray[np.float64]
    lines: frozenset[int]
    ending: frozenset[int]

    @property
    def crossing(self) -> bool:
        """True where two lines cross and neither ends."""
        return len(self.lines) == 2 and not self.ending


def find_nodes(lines: Segments, *, reach: float) -> list[Node]:
    """Find where lines meet, cross or end.

    Parameters
    ----------
    lines : ndarray, shape (n, 4)
        Ends x0, y0, x1, y1 of each line.
    reach : float
        How far, in pixels, a line may stop short of a meeting or run past it.

    Returns
    -------
    list of Node
        Free ends included, as nodes with a single line.
    """
    meetings = _meetings(lines, reach)
    groups = _cluster(meetings, reach)
    nodes = []
    for group in groups:
        members = [meetings[index] for index in group]
        touching = frozenset(line for _, pair, _ in members for line in pair)
        ending = frozenset(line for _, _, ends in members for line in ends)
        at = np.mean([place for place, _, _ in members], axis=0)
        nodes.append(Node(at, touching, ending & touching))
    free = _free_ends(lines, nodes, reach)
    return [_stopped(node, lines, nodes) for node in nodes] + free


def _stopped(node: Node, lines: Segments, nodes: list[Node]) -> Node:
    """Make a crossing a meeting where one of its lines meets nothing more on one side.

    That is a load's arrow, or a stroke that runs on, at a joint.
    """
    if not node.crossing:
        return node
    ending = set()
    for line in node.lines:
        along = lines[line, 2:] - lines[line, :2]
        sides = [
            float((other.at - node.at) @ along)
            for other in nodes
            if other is not node and line in other.lines and _carries(other, line, nodes)
        ]
        if not any(side > 0 for side in sides) or not any(side < 0 for side in sides):
            ending.add(line)
    return Node(node.at, node.lines, frozenset(ending))


def _carries(node: Node, line: int, nodes: list[Node]) -> bool:
    """Tell whether another line leads on from a node: barbs of an arrow lead nowhere."""
    return any(
        other is not node and len(other.lines) > 1 and (node.lines - {line}) & other.lines
        for other in nodes
    )


_Meeting = tuple[NDArray[np.float64], tuple[int, int], tuple[int, ...]]


def _meetings(lines: Segments, reach: float) -> list[_Meeting]:
    """Every pair of lines that meet: place, the two lines, those that end there."""
    found: list[_Meeting] = []
    start, along = lines[:, :2], lines[:, 2:] - lines[:, :2]
    length = np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-9)
    unit = along / length[:, None]
    for i in range(len(lines)):
        for j in range(i + 1, len(lines)):
            sine = float(unit[i, 0] * unit[j, 1] - unit[i, 1] * unit[j, 0])
            if abs(sine) < 0.14:
                found += _abutting(lines, i, j, reach)
                continue
            offset = start[j] - start[i]
            s = float(offset[0] * unit[j, 1] - offset[1] * unit[j, 0]) / sine
            t = float(offset[0] * unit[i, 1] - offset[1] * unit[i, 0]) / sine
            slack = reach / min(1.0, max(abs(sine), 0.35))
            if not (-slack <= s <= length[i] + slack and -slack <= t <= length[j] + slack):
                continue
            ends = tuple(
                line
                for line, place, size in ((i, s, length[i]), (j, t, length[j]))
                if min(place, size - place) < min(1.3 * slack, 0.25 * size)
            )
            found.append((start[i] + s * unit[i], (i, j), ends))
    return found


def _abutting(lines: Segments, i: int, j: int, reach: float) -> list[_Meeting]:
    """Nearly parallel lines meet where an end of one lies at an end of the other."""
    ends_i, ends_j = lines[i].reshape(2, 2), lines[j].reshape(2, 2)
    gaps = np.hypot(*np.moveaxis(ends_i[:, None] - ends_j[None], 2, 0))
    a, b = np.unravel_index(int(np.argmin(gaps)), gaps.shape)
    if gaps[a, b] > 1.2 * reach:
        return []
    return [((ends_i[a] + ends_j[b]) / 2, (i, j), (i, j))]


def _cluster(meetings: list[_Meeting], reach: float) -> list[list[int]]:
    """Group meetings that lie within reach of one another's centre."""
    groups: list[list[int]] = []
    centres: list[NDArray[np.float64]] = []
    order = sorted(range(len(meetings)), key=lambda index: -len(meetings[index][2]))
    for index in order:
        place = meetings[index][0]
        distances = [float(np.hypot(*(place - centre))) for centre in centres]
        nearest = int(np.argmin(distances)) if distances else -1
        if nearest >= 0 and distances[nearest] < 1.8 * reach:
            groups[nearest].append(index)
            centres[nearest] = np.mean([meetings[k][0] for k in groups[nearest]], axis=0)
        else:
            groups.append([index])
            centres.append(place)
    return groups


def _free_ends(lines: Segments, nodes: list[Node], reach: float) -> list[Node]:
    free = []
    for index, line in enumerate(lines):
        for end in line.reshape(2, 2):
            taken = any(
                index in node.lines and float(np.hypot(*(node.at - end))) < 3 * reach
                for node in nodes
            )
            if not taken:
                free.append(Node(end, frozenset([index]), frozenset([index])))
    return free


def chain_along(line: int, lines: Segments, nodes: list[Node]) -> list[int]:
    """List the nodes on a line in the order in which it passes them."""
    on_line = [index for index, node in enumerate(nodes) if line in node.lines]
    along = lines[line, 2:] - lines[line, :2]
    return sorted(on_line, key=lambda index: float(nodes[index].at @ along))


def connected_lines(lines: Segments, nodes: list[Node]) -> list[list[int]]:
    """Group lines that meet, directly or through others; longest group first."""
    graph = nx.Graph()
    graph.add_nodes_from(range(len(lines)))
    for node in nodes:
        touching = sorted(node.lines)
        graph.add_edges_from(itertools.pairwise(touching))
    lengths = np.hypot(lines[:, 2] - lines[:, 0], lines[:, 3] - lines[:, 1])
    groups = [sorted(group) for group in nx.connected_components(graph)]
    return sorted(groups, key=lambda group: -float(lengths[group].sum()))
