"""The reciprocal diagram of a whole truss: every member's force as one line.

Clerk Maxwell's reciprocal figure, with Bow's naming: the plane around the
truss is cut into spaces by its members and by the outside forces; every space
becomes a point of the diagram, and the line between two points is the force in
the member that parts the two spaces. The force polygons of all joints are in it.

References
----------
J. C. Maxwell, On reciprocal figures and diagrams of forces, Philosophical
Magazine 27 (1864); R. H. Bow, Economics of construction (1873).
"""

from __future__ import annotations

import math
from collections import deque
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from model.errors import InputError
from model.truss import Truss
from ui.crossings import crossing_members

__all__ = ["ForceLine", "NotDrawable", "Reciprocal", "Space", "reciprocal_diagram"]

FloatArray = NDArray[np.float64]


class NotDrawable(InputError):  # noqa: N818 - a property of the truss, not a fault
    """The truss has no reciprocal diagram as it is drawn; the message says why."""


@dataclass(frozen=True)
class Space:
    """A region of the plane: letters outside, numbers inside.

    Attributes
    ----------
    name : str
    place : tuple of float
        Where its name stands in the figure of the truss, in world units.
    point : tuple of float
        Its point in the diagram, in units of force.
    """

    name: str
    place: tuple[float, float]
    point: tuple[float, float]


@dataclass(frozen=True)
class ForceLine:
    """A line of the diagram between the points of two spaces.

    `force` is positive for tension in a member, and the size of an outside force.
    """

    name: str
    kind: str
    spaces: tuple[int, int]
    force: float


@dataclass(frozen=True)
class Reciprocal:
    """The diagram; `gap` is the largest distance by which it fails to close."""

    spaces: tuple[Space, ...]
    lines: tuple[ForceLine, ...]
    gap: float


@dataclass(frozen=True)
class _Edge:
    """A member (position >= 0) or an outside force, as seen from one joint."""

    angle: float
    vector: tuple[float, float]
    member: int
    kind: str = "member"


def reciprocal_diagram(
    truss: Truss, forces: FloatArray, reactions: dict[str, tuple[float, float]]
) -> Reciprocal:
    """Draw the reciprocal diagram of a solved truss.

    Parameters
    ----------
    truss : Truss
    forces : ndarray, shape (m,)
        Member forces, tension positive.
    reactions : dict
        Reaction at each supported joint, x and y.

    Raises
    ------
    NotDrawable
        If members cross without a joint, overlap, or an outside force acts at
        a joint inside the truss: the plane then has no spaces to name.
    """
    if not np.any(truss.load_vector()) and not np.any(forces):
        raise NotDrawable("No force acts on the truss, so there is no diagram to draw.")
    crossing = crossing_members(truss)
    if crossing is not None:
        first, second = (truss.member_name(member) for member in crossing)
        raise NotDrawable(
            f"Members {first} and {second} cross or overlap away from a joint, so the plane has no "
            "spaces to name and there is no reciprocal diagram; the force polygons of the joints "
            "stand alone."
        )
    around = _edges(truss, forces)
    outer = _outer_corners(truss, around)
    around = _with_outside_forces(truss, around, outer, reactions)
    return _diagram(truss, forces, around)


def _edges(truss: Truss, forces: FloatArray) -> list[list[_Edge]]:
    """Members around each joint, clockwise, each with its force on the joint."""
    around: list[list[_Edge]] = [[] for _ in truss.joints]
    for position, (a, b) in enumerate(truss.members.tolist()):
        unit = truss.vectors[position] / truss.lengths[position]
        for joint, sign in ((a, 1.0), (b, -1.0)):
            x, y = (sign * unit).tolist()
            pull = (float(forces[position]) * x, float(forces[position]) * y)
            around[joint].append(_Edge(math.atan2(y, x), pull, position))
    for edges in around:
        edges.sort(key=lambda edge: -edge.angle)
    return around


def _walk(
    truss: Truss, around: list[list[_Edge]], joint: int, corner: int
) -> list[tuple[int, int]]:
    """Corners (joint, position) of a space without outside forces, in order along its edge.

    Corner k at a joint lies clockwise after its edge k.
    """
    visited: list[tuple[int, int]] = []
    at = (joint, corner)
    while not visited or at != visited[0]:
        visited.append(at)
        here, k = at
        member = around[here][k].member
        a, b = truss.members[member].tolist()
        there = b if here == a else a
        position = next(i for i, edge in enumerate(around[there]) if edge.member == member)
        at = (there, (position - 1) % len(around[there]))
    return visited


def _outer_corners(truss: Truss, around: list[list[_Edge]]) -> set[tuple[int, int]]:
    """Corners on the outside of the truss."""
    first = int(np.lexsort((truss.points[:, 1], truss.points[:, 0]))[0])
    if not around[first]:
        raise NotDrawable(f"Joint {truss.joints[first]} has no member; join it or remove it.")
    # Clockwise after its lowest edge, the leftmost joint looks out of the truss.
    lowest = min(range(len(around[first])), key=lambda k: around[first][k].angle)
    corners = _walk(truss, around, first, lowest)
    reached = {joint for joint, _ in corners}
    # A part of the truss that is not connected would have an outside of its own.
    todo, seen = deque(reached), set(reached)
    while todo:
        here = todo.popleft()
        for edge in around[here]:
            for other in truss.members[edge.member].tolist():
                if other not in seen:
                    seen.add(other)
                    todo.append(other)
    if len(seen) < len(truss.joints):
        raise NotDrawable("The truss is in separate parts; draw each as a job of its own.")
    return set(corners)


def _with_outside_forces(
    truss: Truss,
    around: list[list[_Edge]],
    outer: set[tuple[int, int]],
    reactions: dict[str, tuple[float, float]],
) -> list[list[_Edge]]:
    loads = truss.load_vector()
    given = [(at, "load", tuple(loads[at].tolist())) for at in range(len(truss.joints))]
    given += [(truss.index[name], "reaction", pair) for name, pair in reactions.items()]
    size = max((math.hypot(*force) for _, _, force in given), default=0.0)
    full = [list(edges) for edges in around]
    for at, kind, force in given:
        if math.hypot(*force) <= 1e-9 * size:
            continue
        corners = [k for joint, k in outer if joint == at]
        if not corners:
            raise NotDrawable(
                f"The {kind} at joint {truss.joints[at]} acts inside the truss, so it parts no "
                "two outer spaces and there is no reciprocal diagram; the force polygons of the "
                "joints stand alone."
            )
        angle = _outside_angle(around[at], corners, math.atan2(force[1], force[0]))
        full[at].append(_Edge(angle, (force[0], force[1]), -1, kind))
    for edges in full:
        edges.sort(key=lambda edge: -edge.angle)
    return full


def _outside_angle(edges: list[_Edge], corners: list[int], heading: float) -> float:
    """Direction in which the arrow of an outside force leaves a joint, on the outside."""
    for direction in (heading + math.pi, heading):
        for k in corners:
            start, width = _corner(edges, k)
            turn = (start - direction) % math.tau
            if 1e-6 < turn < width - 1e-6:
                return _wrapped(direction)
    start, width = max((_corner(edges, k) for k in corners), key=lambda corner: corner[1])
    return _wrapped(start - width / 2)


def _corner(edges: list[_Edge], k: int) -> tuple[float, float]:
    """Angle at which a corner begins, and how far it turns clockwise."""
    start, end = edges[k].angle, edges[(k + 1) % len(edges)].angle
    width = (start - end) % math.tau
    return start, width or math.tau


def _wrapped(angle: float) -> float:
    return math.atan2(math.sin(angle), math.cos(angle))


def _diagram(truss: Truss, forces: FloatArray, around: list[list[_Edge]]) -> Reciprocal:
    space_of = _spaces(truss, around)
    members = _members_of(space_of)
    points, gap = _points(around, space_of)
    names, places = _names_and_places(truss, around, members)
    lines: dict[int | tuple[int, int], ForceLine] = {}
    for joint, edges in enumerate(around):
        for k, edge in enumerate(edges):
            pair = (space_of[joint, (k - 1) % len(edges)], space_of[joint, k])
            if edge.member >= 0:
                name, force = truss.member_name(edge.member), float(forces[edge.member])
                lines.setdefault(edge.member, ForceLine(name, "member", pair, force))
            else:
                size = math.hypot(*edge.vector)
                lines[joint, k] = ForceLine(truss.joints[joint], edge.kind, pair, size)
    spaces = tuple(
        Space(names[number], places[number], (float(points[number, 0]), float(points[number, 1])))
        for number in range(len(points))
    )
    return Reciprocal(spaces, tuple(lines.values()), gap)


def _spaces(truss: Truss, around: list[list[_Edge]]) -> dict[tuple[int, int], int]:
    """Number the spaces: corners on the same side of a member are in the same one."""
    position = {
        (joint, edge.member): k
        for joint, edges in enumerate(around)
        for k, edge in enumerate(edges)
        if edge.member >= 0
    }
    joined: dict[tuple[int, int], list[tuple[int, int]]] = {
        (joint, k): [] for joint, edges in enumerate(around) for k in range(len(edges))
    }
    for member, (a, b) in enumerate(truss.members.tolist()):
        for one, two in ((a, b), (b, a)):
            after = (one, position[one, member])
            before = (two, (position[two, member] - 1) % len(around[two]))
            joined[after].append(before)
            joined[before].append(after)
    numbers: dict[tuple[int, int], int] = {}
    for corner in joined:
        if corner in numbers:
            continue
        number = max(numbers.values(), default=-1) + 1
        todo = [corner]
        while todo:
            here = todo.pop()
            if here not in numbers:
                numbers[here] = number
                todo += joined[here]
    return numbers


def _members_of(space_of: dict[tuple[int, int], int]) -> list[list[tuple[int, int]]]:
    """Corners of each space."""
    corners: list[list[tuple[int, int]]] = [[] for _ in range(max(space_of.values()) + 1)]
    for corner, number in space_of.items():
        corners[number].append(corner)
    return corners


def _points(
    around: list[list[_Edge]], space_of: dict[tuple[int, int], int]
) -> tuple[FloatArray, float]:
    """Step from space to space, clockwise around the joints, by the force that is crossed."""
    steps: dict[int, list[tuple[int, FloatArray]]] = {}
    for joint, edges in enumerate(around):
        for k, edge in enumerate(edges):
            before, after = space_of[joint, (k - 1) % len(edges)], space_of[joint, k]
            vector = np.array(edge.vector)
            steps.setdefault(before, []).append((after, vector))
            steps.setdefault(after, []).append((before, -vector))
    points = np.full((max(space_of.values()) + 1, 2), np.nan)
    points[0] = 0.0
    todo = deque([0])
    gap = 0.0
    while todo:
        here = todo.popleft()
        for there, vector in steps[here]:
            reached = points[here] + vector
            if np.isnan(points[there, 0]):
                points[there] = reached
                todo.append(there)
            gap = max(gap, float(np.hypot(*(points[there] - reached))))
    return points, gap


def _names_and_places(
    truss: Truss, around: list[list[_Edge]], spaces: list[list[tuple[int, int]]]
) -> tuple[list[str], list[tuple[float, float]]]:
    """Letters for the outer spaces, numbers for the inner; a place for each name."""
    centre = (truss.points.min(axis=0) + truss.points.max(axis=0)) / 2
    extent = float(np.ptp(truss.points, axis=0).max())
    outer: list[tuple[float, int]] = []
    places: list[tuple[float, float]] = [(0.0, 0.0)] * len(spaces)
    for number, corners in enumerate(spaces):
        bisectors = [_bisector(around[joint], k) for joint, k in corners]
        joints = truss.points[[joint for joint, _ in corners]]
        inner = _is_inner(around, corners)
        if inner:
            place = joints.mean(axis=0)
        else:
            out = np.mean(bisectors, axis=0)
            out /= np.hypot(*out) or 1.0
            middle = joints.mean(axis=0)
            reach = float(((joints - middle) @ out).max())
            place = middle + (reach + 0.13 * extent) * out
            outer.append((math.atan2(*(place - centre)[::-1]), number))
        places[number] = (float(place[0]), float(place[1]))
    names = [""] * len(spaces)
    # Clockwise from the upper left, as the letters are read.
    outer.sort(key=lambda entry: -((entry[0] - math.radians(135.1)) % math.tau))
    for letter, (_, number) in enumerate(outer):
        names[number] = _letters(letter)
    inside = [number for number, name in enumerate(names) if not name]
    inside.sort(key=lambda number: (round(places[number][0], 9), places[number][1]))
    for count, number in enumerate(inside, 1):
        names[number] = str(count)
    return names, places


def _is_inner(around: list[list[_Edge]], corners: list[tuple[int, int]]) -> bool:
    """Whether a space is closed by members alone, turning the way a polygon's inside does."""
    turn = 0.0
    for joint, k in corners:
        edges = around[joint]
        if edges[k].member < 0 or edges[(k + 1) % len(edges)].member < 0:
            return False
        turn += math.pi - _corner(edges, k)[1]
    return turn > 0.0


def _bisector(edges: list[_Edge], k: int) -> FloatArray:
    start, width = _corner(edges, k)
    return np.array([math.cos(start - width / 2), math.sin(start - width / 2)])


def _letters(number: int) -> str:
    return chr(ord("a") + number) if number < 26 else f"{chr(ord('a') + number % 26)}{number // 26}"
