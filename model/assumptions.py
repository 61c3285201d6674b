"""What a drawing says without words: lines meant level, plumb, straight, equal, symmetric."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import networkx as nx
import numpy as np
from numpy.typing import NDArray

from model.job import Dimension

__all__ = ["propose"]

FloatArray = NDArray[np.float64]
Members = Sequence[tuple[int, int]]

#: How far from level, plumb or straight a line may be drawn, in radians.
_ANGLE = math.radians(6.0)
#: How much panels of one chord may differ from their mean to be taken as equal.
_PANEL = 0.15
#: How far a joint may be from its mirror image, in parts of the extent.
_MIRROR = 0.06


def propose(
    points: FloatArray, members: Members, supports: Sequence[int], names: Sequence[str]
) -> list[Dimension]:
    """Propose what the drawing seems to mean, as soft assumptions.

    Parameters
    ----------
    points : ndarray, shape (n, 2)
        The drawing made flat, y up.
    members : sequence of pairs
        Positions of the joints at each member's ends.
    supports : sequence of int
        Supported joints.
    names : sequence of str
        Names of the joints.

    Returns
    -------
    list of Dimension
        Of the kinds level, plumb, collinear, equal and symmetric, with the
        source ``assumed``.
    """
    found: list[tuple[str, Sequence[int]]] = []
    level, plumb = _rows(points, members, 0), _rows(points, members, 1)
    found += [("level", row) for row in level]
    found += [("level", pair) for pair in _level_supports(points, supports, level)]
    found += [("plumb", row) for row in plumb]
    lines = _lines(points, members)
    straight = [set(row) for row in level + plumb]
    found += [("collinear", line) for line in lines if not any(set(line) <= s for s in straight)]
    chords = lines + [row for row in level + plumb if row not in lines and _joined(row, members)]
    for chord in chords:
        panels = [np.hypot(*(points[b] - points[a])) for a, b in pairwise(chord)]
        if len(panels) > 1 and max(np.abs(panels / np.mean(panels) - 1)) < _PANEL:
            found.append(("equal", [joint for panel in pairwise(chord) for joint in panel]))
    mirrored = _mirror(points, members)
    if mirrored:
        found.append(("symmetric", mirrored))
    return [
        Dimension.model_validate(
            {"kind": kind, "joints": [names[j] for j in joints], "source": "assumed"}
        )
        for kind, joints in found
    ]


def _joined(row: Sequence[int], members: Members) -> bool:
    """Whether each joint of a row is tied to the next by a member."""
    known = {frozenset(member) for member in members}
    return all(frozenset(pair) in known for pair in pairwise(row))


def _rows(points: FloatArray, members: Members, along: int) -> list[list[int]]:
    """Joints that near-level (along 0) or near-plumb (along 1) members tie together."""
    graph: nx.Graph = nx.Graph()
    for a, b in members:
        if _off(points[b] - points[a], along) < _ANGLE:
            graph.add_edge(a, b)
    rows = []
    for component in nx.connected_components(graph):
        row = sorted(component, key=lambda j: float(points[j, along]))
        if all(_off(points[j] - points[row[0]], along) < _ANGLE for j in row[1:]):
            rows.append(row)
        else:  # an arch of slight slopes, not a level chord
            edges = graph.subgraph(component).edges
            rows += [[a, b] for a, b in edges if _off(points[b] - points[a], along) < _ANGLE / 2]
    return rows


def _off(vector: FloatArray, along: int) -> float:
    """Angle between a vector and the axis `along`, without sense."""
    return math.atan2(abs(float(vector[1 - along])), abs(float(vector[along])))


def _level_supports(
    points: FloatArray, supports: Sequence[int], level: list[list[int]]
) -> list[list[int]]:
    return [
        [a, b]
        for a, b in pairwise(sorted(supports, key=lambda j: float(points[j, 0])))
        if _off(points[b] - points[a], 0) < _ANGLE and not any({a, b} <= set(r) for r in level)
    ]


def _lines(points: FloatArray, members: Members) -> list[list[int]]:
    """Longest chains of three or more joints whose members go straight on."""
    graph: nx.Graph = nx.Graph(list(members))
    follows: nx.Graph = nx.Graph()  # nodes are members, edges where one continues another
    for joint in graph:
        around = list(graph[joint])
        for i, a in enumerate(around):
            for b in around[i + 1 :]:
                to_a, to_b = points[a] - points[joint], points[b] - points[joint]
                cross = float(to_a[0] * to_b[1] - to_a[1] * to_b[0])
                if abs(math.atan2(cross, float(-to_a @ to_b))) < _ANGLE:
                    follows.add_edge(frozenset((a, joint)), frozenset((joint, b)))
    lines = []
    for chain in nx.connected_components(follows):
        joints = sorted(set().union(*chain))
        away = points[joints] - points[joints].mean(axis=0)
        axis = np.linalg.svd(away, full_matrices=False)[2][0]
        if len(joints) == len(chain) + 1 and np.abs(away - np.outer(away @ axis, axis)).max() < (
            _ANGLE / 2 * np.ptp(away @ axis)
        ):
            lines.append([joints[i] for i in np.argsort(away @ axis)])
    return lines


def _mirror(points: FloatArray, members: Members) -> list[int]:
    """Pairs of joints that mirror each other about a plumb axis, or nothing."""
    centre = (points[:, 0].min() + points[:, 0].max()) / 2
    image = points * (-1, 1) + (2 * centre, 0)
    apart = np.hypot(*(points[:, None] - image[None]).transpose(2, 0, 1))
    partner = apart.argmin(axis=1)
    extent = float(np.ptp(points, axis=0).max())
    paired = bool((partner[partner] == np.arange(len(points))).all())
    if not paired or apart.min(axis=1).max() > _MIRROR * extent:
        return []
    known = {frozenset(member) for member in members}
    if any(frozenset((int(partner[a]), int(partner[b]))) not in known for a, b in members):
        return []
    pairs = sorted(
        {(min(j, int(p)), max(j, int(p))) for j, p in enumerate(partner)},
        key=lambda pair: pair[0] == pair[1],
    )
    return [] if pairs[0][0] == pairs[0][1] else [joint for pair in pairs for joint in pair]
