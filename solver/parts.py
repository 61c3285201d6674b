"""Equilibrium of a part of a truss: the equations that leave one unknown each."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from model.truss import Truss
from solver.knowledge import Knowledge
from solver.steps import PARALLEL, Acting, PartStep, Sum, Vector, sum_along, sum_moment

__all__ = [
    "Equation",
    "Line",
    "balance_of_whole",
    "equation_for",
    "extent_of",
    "find_reactions",
    "members_across",
    "next_equation",
    "part_step",
    "unknown_lines",
]

Mask = NDArray[np.bool_]


class Line(NamedTuple):
    """An unknown force on a part: its column, where it acts, along what, and its other end."""

    column: int
    joint: int
    point: Vector
    direction: Vector
    far: Vector


class Equation(NamedTuple):
    """An equation that leaves one unknown; the lower the cost, the sooner it is taken."""

    cost: float
    column: int
    point: Vector | None
    direction: Vector | None


def find_reactions(knowledge: Knowledge) -> list[PartStep]:
    """Find what the equilibrium of each connected truss as a whole tells of its reactions."""
    steps = []
    for joints in _connected(knowledge):
        inside = np.zeros(len(knowledge.columns_at), dtype=bool)
        inside[joints] = True
        step = part_step(knowledge, inside, "The whole truss, with its supports taken away.")
        if step is not None:
            steps.append(step)
    return steps


def balance_of_whole(knowledge: Knowledge) -> tuple[Sum, Sum, Sum]:
    """Write the sums of all loads and reactions, and their moments about the first support."""
    truss = knowledge.truss
    acting = _acting_on(knowledge, list(range(len(truss.joints))), set())
    forces = [force for _, _, force in acting]
    joint = truss.index[truss.supports[0].joint] if truss.supports else 0
    x, y = truss.points[joint].tolist()
    return (
        sum_along((1.0, 0.0), forces),
        sum_along((0.0, 1.0), forces),
        sum_moment((x, y), [(force, place) for _, place, force in acting], truss.joints[joint]),
    )


def part_step(
    knowledge: Knowledge,
    inside: Mask,
    reason: str,
    wanted: Sequence[int] = (),
) -> PartStep | None:
    """Write the equations of a part as far as they leave one unknown each; learns the forces."""
    truss = knowledge.truss
    joints = np.flatnonzero(inside).tolist()
    crossing = {int(c) for c in members_across(truss, inside)}
    acting = _acting_on(knowledge, joints, crossing)
    before = tuple(force for _, _, force in acting)
    lines = unknown_lines(knowledge, inside)
    equations: list[tuple[Sum, Acting]] = []
    while lines:
        equation = next_equation(lines, extent_of(truss), wanted)
        if equation is None:
            break
        total = _written(knowledge, acting, equation)
        (term,) = total.unknown
        joint = next(line.joint for line in lines if line.column == equation.column)
        knowledge.learn(equation.column, -total.known / term.factor)
        equations.append((total, knowledge.acting(equation.column, joint)))
        lines = [line for line in lines if line.column != equation.column]
        acting = _acting_on(knowledge, joints, crossing)
    if not equations:
        return None
    return PartStep(
        joints=tuple(truss.joints[j] for j in joints),
        whole=not crossing,
        cut=tuple(truss.member_name(c) for c in sorted(crossing)),
        forces=before,
        equations=tuple(equations),
        reason=reason,
    )


def _acting_on(
    knowledge: Knowledge, joints: list[int], crossing: set[int]
) -> list[tuple[int | None, Vector, Acting]]:
    """List the forces on a part: loads, reactions and cut members, with columns and places."""
    truss = knowledge.truss
    count = len(truss.members)
    listed: list[tuple[int | None, Vector, Acting]] = []
    for joint in joints:
        place = (float(truss.points[joint, 0]), float(truss.points[joint, 1]))
        load = knowledge.load(joint)
        if load is not None:
            listed.append((None, place, load))
        listed += [
            (column, place, knowledge.acting(column, joint))
            for column in knowledge.columns_at[joint]
            if column >= count or column in crossing
        ]
    return listed


def _written(
    knowledge: Knowledge, acting: list[tuple[int | None, Vector, Acting]], equation: Equation
) -> Sum:
    """Write an equation out; what it leaves out within rounding is not in it at all."""
    listed = [
        (force, place)
        for column, place, force in acting
        if force.force is not None or column == equation.column
    ]
    if equation.direction is not None:
        return sum_along(equation.direction, (force for force, _ in listed))
    assert equation.point is not None
    truss = knowledge.truss
    apart = np.hypot(*(truss.points - equation.point).T)
    nearest = int(apart.argmin())
    at_joint = float(apart[nearest]) <= PARALLEL * extent_of(truss)
    return sum_moment(equation.point, listed, truss.joints[nearest] if at_joint else None)


def unknown_lines(knowledge: Knowledge, inside: Mask) -> list[Line]:
    """Give the unknown forces on a part as lines."""
    truss = knowledge.truss
    count = len(truss.members)
    lines = []
    columns = [int(c) for c in members_across(truss, inside)]
    columns += [c for c in range(count, len(knowledge.ends)) if inside[knowledge.ends[c][0]]]
    for column in columns:
        if knowledge.values[column] is not None:
            continue
        a, b = knowledge.ends[column]
        near, far = (a, b) if inside[a] else (b, a)
        x, y = truss.points[near].tolist()
        far_x, far_y = truss.points[far].tolist()
        direction = knowledge.direction(column, near)
        lines.append(Line(column, near, (x, y), direction, (far_x, far_y)))
    return lines


def next_equation(lines: list[Line], extent: float, wanted: Sequence[int] = ()) -> Equation | None:
    """Choose the next equation with one unknown; the wanted columns come first."""
    found = []
    for line in lines:
        others = [other for other in lines if other.column != line.column]
        equation = equation_for(line, others, extent)
        if equation is not None:
            found.append(equation)
    return min(found, key=lambda e: (e.column not in wanted, e.cost), default=None)


def equation_for(line: Line, others: list[Line], extent: float) -> Equation | None:
    """Find the equation in which, of the unknown forces, only that along `line` is left.

    Moments about a joint come first, then sums along an axis, then moments
    about another point, then sums along another direction.
    """
    if not others:
        x, y = line.direction
        return Equation(1.0, line.column, None, (1.0, 0.0) if abs(x) >= abs(y) else (0.0, 1.0))
    first = others[0]
    crossing = [o for o in others if abs(_cross(first.direction, o.direction)) > PARALLEL]
    # All on one line: about either end of the first, rather the one with the longer arm.
    ends = sorted((first.point, first.far), key=lambda end: -abs(_arm(line, end)))
    points = [(0.5, end) for end in ends]
    if crossing:
        points = [_meeting(first, crossing[0], others, extent)]
    candidates = []
    for cost, point in points:
        away = [abs(_arm(other, point)) for other in others]
        if max(away) <= PARALLEL * extent and abs(_arm(line, point)) > PARALLEL * extent:
            candidates.append(Equation(cost, line.column, point, None))
    if not crossing and abs(_cross(first.direction, line.direction)) > PARALLEL:
        run, rise = first.direction
        if rise == 0.0:
            candidates.append(Equation(1.0, line.column, None, (0.0, 1.0)))
        elif run == 0.0:
            candidates.append(Equation(1.0, line.column, None, (1.0, 0.0)))
        else:
            candidates.append(Equation(3.0, line.column, None, (-rise, run)))
    return min(candidates, key=lambda e: e.cost, default=None)


def _meeting(first: Line, second: Line, others: list[Line], extent: float) -> tuple[float, Vector]:
    """Where two lines meet, with the cost of moments about that point.

    Least where two of the unknown forces act at a joint there.
    """
    turn = _cross(first.direction, second.direction)
    apart = (second.point[0] - first.point[0], second.point[1] - first.point[1])
    along = _cross(apart, second.direction) / turn
    point = (
        first.point[0] + along * first.direction[0],
        first.point[1] + along * first.direction[1],
    )
    joints = []
    for line in others:
        for end in (line.point, line.far):
            if math.dist(end, point) <= PARALLEL * extent:
                joints.append(end)
                break
    if joints:
        return (0.0 if len(joints) > 1 else 0.5), joints[0]
    return 2.0, point


def _cross(one: Vector, other: Vector) -> float:
    return one[0] * other[1] - one[1] * other[0]


def _arm(line: Line, point: Vector) -> float:
    return _cross((line.point[0] - point[0], line.point[1] - point[1]), line.direction)


def extent_of(truss: Truss) -> float:
    """Give the larger of a truss's width and height."""
    return float(np.ptp(truss.points, axis=0).max())


def members_across(truss: Truss, inside: Mask) -> NDArray[np.intp]:
    """Members with one end inside and the other outside."""
    return np.flatnonzero(inside[truss.members[:, 0]] != inside[truss.members[:, 1]])


def _connected(knowledge: Knowledge) -> Iterator[list[int]]:
    """Joints of each connected truss."""
    seen = [False] * len(knowledge.columns_at)
    for start in range(len(seen)):
        if seen[start]:
            continue
        seen[start] = True
        joints = [start]
        for joint in joints:
            for column in knowledge.columns_at[joint]:
                for other in knowledge.ends[column]:
                    if not seen[other]:
                        seen[other] = True
                        joints.append(other)
        yield joints
