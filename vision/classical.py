"""A reader without training: maps from straight strokes, their meetings and small symbols."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import combinations, pairwise

import cv2
import networkx as nx
import numpy as np
from numpy.typing import NDArray

from vision.lines import DETECTORS, extend_along_ink, merge_collinear
from vision.maps import CHANNELS, Maps
from vision.nodes import Node, chain_along, connected_lines, find_nodes
from vision.painter import Painter
from vision.symbols import Arrow, find_arrow, find_rings

__all__ = ["read_ink"]

Segments = NDArray[np.float64]
BoolMap = NDArray[np.bool_]

#: Long side, in pixels, at which strokes are followed.
TRACING_SIDE = 1000
#: Cells on the long side of the maps.
CELLS = 384
#: Most lines that are looked at, longest first.
MOST_LINES = 160
#: Long lines of one direction from which on they are the paper's own.
RULES = 6
#: Pixels from the edge of the tracing copy that are left out: shadows of the sheet's edge.
RIM = 4


@dataclass
class _Frame:
    """Bars between nodes, and what was found at the nodes."""

    graph: nx.Graph
    supports: dict[int, tuple[str, float]] = field(default_factory=dict)
    loads: list[tuple[int, Arrow]] = field(default_factory=list)
    symbol_lines: set[int] = field(default_factory=set)


def read_ink(ink: BoolMap, detector: str = "classical") -> Maps:
    """Make maps from ink by line detection alone.

    Parameters
    ----------
    ink : ndarray of bool, shape (rows, columns)
        Ink of the upright picture.
    detector : str
        Name of the line detector in `vision.lines.DETECTORS`.

    Returns
    -------
    Maps
        Covering the largest connected drawing; all zero where there is none.
    """
    factor = min(1.0, TRACING_SIDE / max(ink.shape))
    small = _reduced(ink, factor)
    span = _drawing_span(small)
    found = DETECTORS[detector](small, max(7.0, 0.012 * span))
    lines = merge_collinear(found, reach=0.016 * span, offset=max(3.0, 0.005 * span))
    lengths = np.hypot(lines[:, 2] - lines[:, 0], lines[:, 3] - lines[:, 1])
    lines = _without_ruling(lines[lengths >= 0.025 * span], max(small.shape))[:MOST_LINES]
    lines = extend_along_ink(lines, small, 0.06 * span)
    reach = max(5.0, 0.013 * span)
    nodes = find_nodes(lines, reach=reach)
    frame = _largest_frame(small, lines, nodes)
    if frame.graph.number_of_edges():
        nodes = _contract(frame, nodes, 0.03 * span)
        rings = find_rings(small, largest=0.06 * span)
        _take_out_supports(frame, nodes, rings, small)
        _prune(frame)
        _take_out_hanging(frame, nodes, rings)
        _prune(frame)
        _take_out_unbraced(frame)
        _prune(frame)
        _take_rings(frame, nodes, lines, rings)
        _take_loads(frame, nodes, lines, small)
    return _paint(frame, nodes, small, 1.0 / factor)


def _reduced(ink: BoolMap, factor: float) -> BoolMap:
    shrunk = cv2.resize(
        ink.astype(np.uint8) * 255, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA
    )
    small: BoolMap = shrunk > 70
    small[:RIM] = small[-RIM:] = False
    small[:, :RIM] = small[:, -RIM:] = False
    _count, labels, stats, _ = cv2.connectedComponentsWithStats(small.astype(np.uint8))
    specks = np.flatnonzero(stats[:, cv2.CC_STAT_AREA] < 8)
    small[np.isin(labels, specks[specks > 0])] = False
    return small


def _without_ruling(lines: Segments, side: int) -> Segments:
    """Leave out the ruling of paper: many long lines of the same direction."""
    along = lines[:, 2:] - lines[:, :2]
    long = np.hypot(along[:, 0], along[:, 1]) > 0.5 * side
    twice = 2 * np.arctan2(along[:, 1], along[:, 0])
    alike = np.cos(twice[:, None] - twice[None]) > np.cos(np.radians(8))
    kept: Segments = lines[~(long & ((alike & long[None]).sum(axis=1) >= RULES))]
    return kept


def _drawing_span(ink: BoolMap) -> float:
    """Diagonal of the largest connected piece of ink, small gaps bridged."""
    joined = cv2.dilate(ink.astype(np.uint8), np.ones((7, 7), np.uint8))
    count, _, stats, _ = cv2.connectedComponentsWithStats(joined)
    if count < 2:
        return float(np.hypot(*ink.shape))
    diagonals = np.hypot(stats[1:, cv2.CC_STAT_WIDTH], stats[1:, cv2.CC_STAT_HEIGHT])
    return float(diagonals.max())


def _largest_frame(ink: BoolMap, lines: Segments, nodes: list[Node]) -> _Frame:
    """Bars of the connected group of lines that holds the most length in closed shapes."""
    best, best_length = _Frame(nx.Graph()), 0.0
    for group in connected_lines(lines, nodes)[:4]:
        graph = _bars(ink, lines, nodes, group)
        length = float(nx.k_core(graph, 2).size("length"))
        if length > best_length:
            best, best_length = _Frame(graph), length
    return best


def _bars(ink: BoolMap, lines: Segments, nodes: list[Node], group: Iterable[int]) -> nx.Graph:
    graph: nx.Graph = nx.Graph()
    thick = np.asarray(cv2.dilate(ink.astype(np.uint8), np.ones((5, 5), np.uint8)), np.uint8)
    for line in group:
        chain = [index for index in chain_along(line, lines, nodes) if not nodes[index].crossing]
        for a, b in pairwise(chain):
            start, end = nodes[a].at, nodes[b].at
            length = float(np.hypot(*(end - start)))
            if length > 4 and _inked(thick, start, end) > 0.7:
                graph.add_edge(a, b, length=length, line=line)
    return graph


def _contract(frame: _Frame, nodes: list[Node], shortest: float) -> list[Node]:
    """Make one node of two with a bar between them that is too short to be one."""
    graph, moved = frame.graph, list(nodes)
    for a, b, data in sorted(graph.edges(data=True), key=lambda edge: float(edge[2]["length"])):
        if data["length"] >= shortest or not graph.has_edge(a, b):
            continue
        keep, drop = (a, b) if len(moved[a].lines) >= len(moved[b].lines) else (b, a)
        lines = moved[keep].lines | moved[drop].lines
        moved[keep] = Node(moved[keep].at, lines, moved[keep].ending | moved[drop].ending)
        for other, edge in list(graph[drop].items()):
            if other != keep and not graph.has_edge(keep, other):
                length = float(np.hypot(*(moved[keep].at - moved[other].at)))
                graph.add_edge(keep, other, length=length, line=edge["line"])
        graph.remove_node(drop)
    return moved


def _inked(thick: NDArray[np.uint8], start: NDArray[np.float64], end: NDArray[np.float64]) -> float:
    places = np.linspace(start, end, max(8, int(np.hypot(*(end - start)))))
    columns = np.clip(np.round(places[:, 0]).astype(int), 0, thick.shape[1] - 1)
    rows = np.clip(np.round(places[:, 1]).astype(int), 0, thick.shape[0] - 1)
    return float(thick[rows, columns].mean())


def _take_out_supports(frame: _Frame, nodes: list[Node], rings: Segments, ink: BoolMap) -> None:
    """Recognise small triangles that hang on a joint as supports and remove them."""
    graph = frame.graph
    lengths = np.array([data["length"] for _, _, data in graph.edges(data=True)])
    small = 0.5 * float(np.percentile(lengths, 80))
    thick = np.asarray(cv2.dilate(ink.astype(np.uint8), np.ones((5, 5), np.uint8)), np.uint8)
    for apex in sorted(graph.nodes):
        if apex not in graph:
            continue
        base = _support_base(graph, nodes, apex, small, thick)
        if base is None:
            continue
        _record_support(frame, nodes, rings, apex, base)


def _take_out_hanging(frame: _Frame, nodes: list[Node], rings: Segments) -> None:
    """Recognise what hangs on the rest by a single joint as a support and remove it.

    Nothing in a truss that stands can turn about one joint of its rest, so a
    closed outline that does is the drawing of a support, however large.
    """
    graph = frame.graph
    blocks = [graph.subgraph(block) for block in nx.biconnected_components(graph)]
    if len(blocks) < 2:
        return
    main = max(blocks, key=lambda block: float(block.size("length")))
    for apex in set(nx.articulation_points(graph)) & set(main):
        rest = set(graph) - (set(main) - {apex})
        hanging = nx.node_connected_component(graph.subgraph(rest), apex) - {apex}
        _record_support(frame, nodes, rings, apex, hanging)


def _take_out_unbraced(frame: _Frame) -> None:
    """Remove what no triangle holds: dimension and extension lines around the truss."""
    graph = frame.graph
    held = {node for node, count in nx.triangles(graph).items() if count}
    if held:
        graph.remove_nodes_from(set(graph) - held)


def _record_support(
    frame: _Frame, nodes: list[Node], rings: Segments, apex: int, base: Iterable[int]
) -> None:
    """Note the support whose outline has the corners `base`, and remove the outline."""
    corners = np.array([nodes[corner].at for corner in base])
    push = nodes[apex].at - (middle := corners.mean(axis=0))
    side = float(np.hypot(*np.ptp(corners, axis=0)))
    on_rings = any(_below(ring, middle, push, side) for ring in rings)
    angle = float(np.degrees(np.arctan2(-push[1], push[0])))
    frame.supports[apex] = ("roller" if on_rings else "pin", angle)
    edges = frame.graph.edges(list(base))
    frame.symbol_lines |= {frame.graph.edges[edge]["line"] for edge in edges}
    frame.graph.remove_nodes_from(list(base))


def _below(
    ring: NDArray[np.float64], middle: NDArray[np.float64], push: NDArray[np.float64], side: float
) -> bool:
    """Tell whether a ring lies between a support's base and the ground."""
    height = float(np.hypot(*push))
    offset = ring[:2] - middle
    depth = -float(offset @ push) / height
    aside = abs(float(offset[0] * push[1] - offset[1] * push[0])) / height
    return 0.6 * ring[2] < depth < 0.5 * height and aside < 0.7 * side and ring[2] > 0.03 * side


def _support_base(
    graph: nx.Graph, nodes: list[Node], apex: int, small: float, thick: NDArray[np.uint8]
) -> tuple[int, int] | None:
    """The two base corners of a small triangle below a joint that carries longer bars."""
    around = graph[apex]
    near = [node for node in around if around[node]["length"] < small]
    if len(near) == len(around):
        return None
    for a, b in combinations(near, 2):
        legs = nodes[a].at - nodes[apex].at, nodes[b].at - nodes[apex].at
        sizes = [float(np.hypot(*leg)) for leg in legs]
        cosine = float(legs[0] @ legs[1]) / (sizes[0] * sizes[1])
        if not (-0.2 < cosine < 0.93 and max(sizes) < 1.8 * min(sizes)):
            continue
        if _inked(thick, nodes[a].at, nodes[b].at) < 0.75:
            continue
        outside = [
            graph.edges[corner, node]["length"]
            for corner in (a, b)
            for node in graph[corner]
            if node not in (apex, a, b)
        ]
        if all(length < small for length in outside):
            return a, b
    return None


def _prune(frame: _Frame) -> None:
    """Keep the largest piece, without bars that have a free end."""
    pieces = [frame.graph.subgraph(piece) for piece in nx.connected_components(frame.graph)]
    if pieces:
        largest = max(pieces, key=lambda piece: float(piece.size("length")))
        frame.graph = nx.Graph(nx.k_core(largest, 2))
        _dissolve(frame.graph, frame.supports)
    frame.supports = {joint: what for joint, what in frame.supports.items() if joint in frame.graph}


def _dissolve(graph: nx.Graph, held: Iterable[int]) -> None:
    """Make one bar of two on the same line where nothing else meets it any more."""
    for node in set(graph) - set(held):
        if graph.degree(node) != 2:
            continue
        (a, first), (b, second) = graph[node].items()
        if first["line"] == second["line"] and not graph.has_edge(a, b):
            graph.add_edge(a, b, length=first["length"] + second["length"], line=first["line"])
            graph.remove_node(node)


def _take_rings(frame: _Frame, nodes: list[Node], lines: Segments, rings: Segments) -> None:
    """Recognise a single ring between a joint and the ground as a roller."""
    for joint in set(frame.graph) - set(frame.supports):
        for x, y, radius in rings:
            push = nodes[joint].at - np.array([x, y])
            distance = float(np.hypot(*push))
            if not 0.7 * radius < distance < 3.0 * radius + 4:
                continue
            if _ground_beyond(lines, np.array([x, y]), push / distance, radius):
                angle = float(np.degrees(np.arctan2(-push[1], push[0])))
                frame.supports[joint] = ("roller", angle)
                break


def _ground_beyond(
    lines: Segments, centre: NDArray[np.float64], push: NDArray[np.float64], radius: float
) -> bool:
    """Tell whether a line touches a ring on the side away from its joint."""
    for line in lines:
        start, along = line[:2], line[2:] - line[:2]
        length = float(np.hypot(*along))
        if abs(float(along @ push)) > 0.35 * length or length < 2 * radius:
            continue
        share = float(np.clip((centre - start) @ along / length**2, 0, 1))
        offset = start + share * along - centre
        if 0.6 * radius < float(np.hypot(*offset)) < 2.0 * radius + 4 and float(offset @ push) < 0:
            return True
    return False


def _take_loads(frame: _Frame, nodes: list[Node], lines: Segments, ink: BoolMap) -> None:
    """Find arrows among the strokes that are not bars and point at a joint."""
    graph = frame.graph
    if graph.number_of_nodes() < 2:
        return
    joints = sorted(graph.nodes)
    at = np.array([nodes[joint].at for joint in joints])
    span = float(np.hypot(*np.ptp(at, axis=0)))
    found: list[tuple[float, int, Arrow]] = []
    for stroke in _spare_strokes(frame, nodes, lines):
        length = float(np.hypot(*(stroke[1] - stroke[0])))
        if not 0.05 * span < length < 0.6 * span:
            continue
        for near, far in ((stroke[0], stroke[1]), (stroke[1], stroke[0])):
            joint = _pointed_at(at, near, far, span)
            arrow = find_arrow(ink, near, far) if joint is not None else None
            if joint is not None and arrow is not None:
                found.append((length, joints[joint], arrow))
                break
    for length, joint, arrow in found:
        if length > 0.6 * max(size for size, other, _ in found if other == joint):
            frame.loads.append((joint, arrow))


def _spare_strokes(frame: _Frame, nodes: list[Node], lines: Segments) -> list[Segments]:
    """Strokes that are no bars, and the parts of bars' lines that stick out beyond them."""
    bars: dict[int, set[int]] = {}
    for a, b, data in frame.graph.edges(data=True):
        bars.setdefault(data["line"], set()).update((a, b))
    strokes = []
    for index, line in enumerate(lines):
        if index in frame.symbol_lines:
            continue
        ends = line.reshape(2, 2)
        if index not in bars:
            strokes.append(ends)
            continue
        along = (ends[1] - ends[0]) / max(float(np.hypot(*(ends[1] - ends[0]))), 1e-9)
        places = sorted((nodes[node].at for node in bars[index]), key=lambda at: float(at @ along))
        strokes += [np.array([places[0], ends[0]]), np.array([places[-1], ends[1]])]
    return strokes


def _pointed_at(
    at: Segments, near: NDArray[np.float64], far: NDArray[np.float64], span: float
) -> int | None:
    """Joint that a stroke ends at or points to from close by."""
    length = float(np.hypot(*(near - far)))
    gaps = np.hypot(*(at - near).T)
    joint = int(np.argmin(gaps))
    if gaps[joint] > min(max(0.05 * span, 0.4 * length), length):
        return None
    way, rest = (near - far) / length, at[joint] - near
    aside = abs(float(way[0] * rest[1] - way[1] * rest[0]))
    return joint if aside < 0.03 * span else None


def _paint(frame: _Frame, nodes: list[Node], ink: BoolMap, scale: float) -> Maps:
    """Draw what was found as maps over the box of the drawing."""
    joints = sorted(frame.graph.nodes)
    if not joints:
        values = np.zeros((len(CHANNELS), 8, 8), np.float32)
        return Maps(values, np.diag([scale, scale, 1.0]), "classical")
    at = np.array([nodes[joint].at for joint in joints])
    margin = 0.2 * float(np.hypot(*np.ptp(at, axis=0))) + 4
    low, high = at.min(axis=0) - margin, at.max(axis=0) + margin
    cell = float((high - low).max()) / CELLS
    columns, rows = (int(np.ceil(size)) for size in (high - low) / cell)
    painter = Painter(rows, columns, low, cell)
    for a, b in frame.graph.edges:
        painter.line(nodes[a].at, nodes[b].at)
    for joint in joints:
        painter.spot("joint", nodes[joint].at, 0.9 if frame.graph.degree(joint) > 1 else 0.4)
    for node in nodes:
        if node.crossing:
            painter.spot("crossing", node.at, 0.8)
    for joint, (kind, angle) in frame.supports.items():
        painter.spot(kind, nodes[joint].at, 0.8)
        painter.direction("support", nodes[joint].at, angle)
    for joint, arrow in frame.loads:
        painter.spot("load", nodes[joint].at, 0.8)
        painter.direction("load", nodes[joint].at, arrow.direction_deg)
        painter.spot("load_head", arrow.head, 0.8)
        painter.spot("load_tail", arrow.tail, 0.8)
    to_small = np.array([[cell, 0, low[0]], [0, cell, low[1]], [0, 0, 1.0]])
    to_picture = np.array([[scale, 0, (scale - 1) / 2], [0, scale, (scale - 1) / 2], [0, 0, 1.0]])
    return Maps(painter.values, to_picture @ to_small, "classical")
