"""Whether a graph of lines can be a truss at all: panels, boxes, circuits and writing are not."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from vision.crossing import cosine, cross
from vision.evidence import logit
from vision.graph import Graph

__all__ = ["Signs", "crossed_boxes", "looks_like_truss", "triangles"]

Pair = tuple[int, int]

#: Least diagonal of a truss as a share of the picture's.
SMALLEST_EXTENT = 0.12
#: Signs below which a graph must be a truss by its shape alone, and from which on (with three
#: reactions) a graph may lack members.
FEW_SIGNS, MANY_SIGNS = 0.4, 1.2
#: Confidences of the supports and of the arrows from which on both together tell of a truss.
SURE_SUPPORT, SURE_ARROW = 0.4, 0.6
#: Mean log-odds of the joints' heat from which on lines alone may be a truss.
SURE_JOINTS = 0.5
#: Cosine between two members at a joint beyond which they are one line.
IN_LINE = -0.95


@dataclass(frozen=True)
class Signs:
    """What is drawn at the joints that only a truss has.

    Attributes
    ----------
    reactions : int
        Reactions of the supports seen, and those drawn as arrows where there is none.
    supports, arrows : float
        Confidences of supports, and of loads and reactions drawn as arrows, added up. (Letters
        and numbers are no sign: figures of geometry have them as well.)
    """

    reactions: int = 0
    supports: float = 0.0
    arrows: float = 0.0

    @property
    def weight(self) -> float:
        """Confidences of all symbols."""
        return self.supports + self.arrows

    @property
    def held_and_loaded(self) -> bool:
        """True where a support and an arrow were both seen well."""
        return self.supports >= SURE_SUPPORT and self.arrows >= SURE_ARROW


def triangles(graph: Graph) -> list[tuple[int, int, int]]:
    """List the triples of joints that are joined pairwise."""
    around = _around(graph)
    return [
        (joint, a, b)
        for joint in around
        for a, b in combinations(sorted(other for other in around[joint] if other > joint), 2)
        if b in around[a]
    ]


def crossed_boxes(graph: Graph) -> set[Pair]:
    """Find the members of four-sided outlines that have both diagonals.

    The diagonals may cross freely or meet in a joint. A sketch of a screen is
    full of such boxes, which stand for pictures.
    """
    around = _around(graph)
    diagonals: dict[Pair, set[Pair]] = {
        (a, b): {(a, b)} for a in around for b in around[a] if a < b
    }
    for joint in around:
        for a, b in combinations(sorted(around[joint]), 2):
            if cosine(graph.at[a] - graph.at[joint], graph.at[b] - graph.at[joint]) < IN_LINE:
                diagonals.setdefault((a, b), {_pair(a, joint), _pair(b, joint)})
    found: set[Pair] = set()
    for (a, c), one in diagonals.items():
        for b, d in combinations(sorted(around[a] & around[c]), 2):
            if (b, d) in diagonals and cross(graph.at, (a, c), (b, d)):
                found |= one | diagonals[b, d]
                found |= {_pair(a, b), _pair(b, c), _pair(c, d), _pair(d, a)}
    return found


def looks_like_truss(graph: Graph, page_diagonal: float, signs: Signs, *, trained: bool) -> bool:
    """Tell whether a graph has a truss's size, triangles and enough members to hold its joints.

    A plane truss that stands needs ``m + r >= 2 j``; a drawing may lack a member
    or two, and supports are easily missed, so that at least three reactions are
    taken for granted. Boxes joined by arrows and circuits lack triangles and
    many members; a letter or a gateway is small; ruled paper has far too many.
    Where hardly anything but lines is drawn, they must just stand by themselves,
    with joints that are sure, and not be boxes with crossed diagonals; figures of
    geometry often have members to spare.

    Parameters
    ----------
    graph : Graph
        In pixels.
    page_diagonal : float
        Diagonal of the picture in pixels.
    signs : Signs
        What is drawn at the joints.
    trained : bool
        True where a network told members from other lines and saw the signs;
        without, few signs are seen, so that their lack says nothing, but a
        triangle needs some.
    """
    joints, members = len(graph.at), len(graph.members)
    if joints < 3 or not 2 <= members <= 2.5 * joints:
        return False
    extent = float(np.hypot(*np.ptp(graph.at, axis=0))) / page_diagonal
    if extent < SMALLEST_EXTENT or (
        joints < 5 and signs.weight == 0 and extent < 2 * SMALLEST_EXTENT
    ):
        return False
    if joints == 3 and not trained and not (members == 3 and signs.weight):
        return False
    missing = 2 * joints - members - max(3, signs.reactions)
    in_triangles = {_pair(*pair) for triple in triangles(graph) for pair in combinations(triple, 2)}
    braced = len(in_triangles) / members
    if trained and signs.weight < FEW_SIGNS:
        boxed = len(crossed_boxes(graph)) / members
        stands = _just_stands(missing, joints) and _sureness(graph) >= SURE_JOINTS
        return stands and braced >= 0.8 and boxed < 0.2
    if trained and signs.reactions >= 3 and signs.weight >= MANY_SIGNS and members >= joints:
        return missing <= max(1, round(0.4 * joints))
    few_held = joints <= 4 and signs.reactions >= 3
    held = signs.reactions >= 4 or few_held or signs.held_and_loaded
    return missing <= max(1, round(0.2 * joints)) and (braced >= 0.5 or (trained and held))


def _sureness(graph: Graph) -> float:
    """Mean log-odds of the joints' heat."""
    return float(logit(graph.joint_confidence).mean())


def _just_stands(missing: int, joints: int) -> bool:
    """Tell whether a shape is rigid with hardly a member to spare, as trusses are drawn."""
    return -(joints // 8) <= missing <= 0


def _around(graph: Graph) -> dict[int, set[int]]:
    """Neighbours of every joint."""
    around: dict[int, set[int]] = {joint: set() for joint in range(len(graph.at))}
    for a, b in graph.members:
        around[a].add(b)
        around[b].add(a)
    return around


def _pair(a: int, b: int) -> Pair:
    return (a, b) if a < b else (b, a)
