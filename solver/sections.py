"""Sections: a part of the truss cut free, and the equation that leaves one unknown."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from model.errors import InputError
from model.truss import Truss
from solver.knowledge import Knowledge
from solver.solution import Solution
from solver.steps import (
    PARALLEL,
    Acting,
    PartStep,
    SimultaneousStep,
    Step,
    Sum,
    Vector,
    sum_along,
    sum_moment,
)

__all__ = ["Section", "find_reactions", "find_section", "section"]

#: A part with more unknown forces than this is not looked at.
_MOST_UNKNOWN = 5
#: Joints level with each other up to which a cut may pass between them in any way.
_MOST_LEVEL = 3


@dataclass(frozen=True)
class Section:
    """A section worked out.

    Attributes
    ----------
    before : tuple of PartStep or SimultaneousStep
        The reactions, where the part needs them.
    part : PartStep
        The part cut free, with its equations.
    compared : tuple of (str, float, float)
        Each member found: its name, its force by the section, and joint by joint.
    """

    before: tuple[Step, ...]
    part: PartStep
    compared: tuple[tuple[str, float, float], ...]


class _Line(NamedTuple):
    """An unknown force on a part: its column, where it acts, along what, and its other end."""

    column: int
    joint: int
    point: Vector
    direction: Vector
    far: Vector


class _Equation(NamedTuple):
    """An equation that leaves one unknown; the lower the cost, the sooner it is taken."""

    cost: float
    column: int
    point: Vector | None
    direction: Vector | None


def section(solution: Solution, cut: int | Iterable[int]) -> Section:
    """Work out a section through a member, or through chosen members.

    Parameters
    ----------
    solution : Solution
        Of status 'determinate'.
    cut : int or iterable of int
        Position of one member, through which a cut is then looked for, or
        those of all members cut.

    Raises
    ------
    InputError
        If the chosen members do not divide the truss, or more are cut than
        equilibrium of the part can tell.

    References
    ----------
    A. Ritter, *Elementare Theorie und Berechnung eiserner Dach- und
    Brücken-Constructionen*, Hannover 1863: moments about the point where the
    other two members meet.
    """
    truss = solution.truss
    if solution.status != "determinate":
        raise InputError(
            solution.reason or "A section needs a determinate truss; this one is redundant."
        )
    wanted = [int(cut)] if isinstance(cut, int | np.integer) else [int(c) for c in cut]
    if isinstance(cut, int | np.integer):
        inside = _through(solution, wanted[0])
    else:
        inside = _sides(truss, wanted)
    knowledge = Knowledge(truss, solution.loads, solution.largest)
    inside, before = _with_reactions(solution, knowledge, inside)
    part = _part(
        knowledge, inside, f"Section through {_listed(truss, _crossing(truss, inside))}.", wanted
    )
    missing = [c for c in wanted if knowledge.values[c] is None]
    if part is None or missing:
        raise InputError(
            f"The section through {_listed(truss, _crossing(truss, inside))} leaves more unknown"
            " forces than the part's equilibrium can tell; cut at most three members that do not"
            " all meet in one point."
        )
    from solver.joints import joint_by_joint

    by_joints = joint_by_joint(solution).forces
    compared = tuple(
        (truss.member_name(c), float(knowledge.values[c] or 0.0), by_joints[c])
        for c in map(int, _crossing(truss, inside))
        if knowledge.values[c] is not None
    )
    return Section(before, part, compared)


def find_reactions(knowledge: Knowledge) -> list[PartStep]:
    """Find what the equilibrium of each connected truss as a whole tells of its reactions."""
    steps = []
    for joints in _connected(knowledge):
        inside = np.zeros(len(knowledge.columns_at), dtype=bool)
        inside[joints] = True
        step = _part(knowledge, inside, "The whole truss, with its supports taken away.")
        if step is not None:
            steps.append(step)
    return steps


def find_section(knowledge: Knowledge) -> PartStep | None:
    """Look for a cut whose part has an equation with one unknown left, and take it.

    The truss is swept from left to right, then from below; a part with three
    unknown forces or fewer comes before one with more.
    """
    best: tuple[tuple[bool, float, int], NDArray[np.bool_]] | None = None
    for inside in _cuts(knowledge.truss, ((1.0, 0.0), (0.0, 1.0))):
        for side in (inside, ~inside):
            lines = _unknown_lines(knowledge, side)
            if not 0 < len(lines) <= _MOST_UNKNOWN:
                continue
            equation = _next_equation(lines, _extent(knowledge.truss))
            if equation is not None:
                rank = (len(lines) > 3, equation.cost, int(side.sum()))
                if best is None or rank < best[0]:
                    best = (rank, side)
    if best is None:
        return None
    cut = _listed(knowledge.truss, _crossing(knowledge.truss, best[1]))
    return _part(
        knowledge, best[1], f"No joint is left with two unknowns or fewer; section through {cut}."
    )


def _through(solution: Solution, member: int) -> NDArray[np.bool_]:
    """Choose the cut through a member that a person would choose."""
    truss = solution.truss
    x, y = (truss.vectors[member] / truss.lengths[member]).tolist()
    a, b = truss.members[member]
    supported = {truss.index[s.joint] for s in truss.supports}
    best: tuple[tuple[int, float, int], NDArray[np.bool_]] | None = None
    for inside in _cuts(truss, ((1.0, 0.0), (0.0, 1.0), (x, y), (-y, x))):
        if inside[a] == inside[b]:
            continue
        knowledge = Knowledge(truss, solution.loads, solution.largest)
        for column in range(len(truss.members), len(knowledge.values)):
            knowledge.learn(column, 0.0)
        lines = _unknown_lines(knowledge, inside)
        if len(lines) > _MOST_UNKNOWN:
            continue
        target = next(line for line in lines if line.column == member)
        others = [line for line in lines if line.column != member]
        equation = _equation_for(target, others, _extent(truss))
        if equation is None:
            continue
        free = sum(1 for joint in supported if inside[joint])
        rank = (max(len(lines), 3), equation.cost, min(free, len(supported) - free))
        if best is None or rank < best[0]:
            best = (rank, inside)
    if best is None:
        raise InputError(
            f"No straight cut through member {truss.member_name(member)} leaves it alone in an"
            " equation; solve its joints instead."
        )
    return best[1]


def _sides(truss: Truss, cut: Sequence[int]) -> NDArray[np.bool_]:
    """Tell on which side of the cut each joint lies."""
    names = _listed(truss, np.array(cut, dtype=np.intp))
    kept: list[list[int]] = [[] for _ in truss.joints]
    across: list[list[int]] = [[] for _ in truss.joints]
    for position, (a, b) in enumerate(truss.members.tolist()):
        links = across if position in set(cut) else kept
        links[a].append(b)
        links[b].append(a)
    side: list[bool | None] = [None] * len(truss.joints)
    start = int(truss.members[cut[0], 0]) if cut else 0
    side[start] = True
    stack = [start]
    while stack:
        joint = stack.pop()
        for neighbours, same in ((kept[joint], True), (across[joint], False)):
            for other in neighbours:
                expected = side[joint] if same else not side[joint]
                if side[other] is None:
                    side[other] = expected
                    stack.append(other)
                elif side[other] != expected:
                    raise InputError(
                        f"Cutting {names} does not divide the truss in two; cut every member"
                        " between the two parts and no other."
                    )
    return np.array([bool(s) for s in side])


def _with_reactions(
    solution: Solution, knowledge: Knowledge, inside: NDArray[np.bool_]
) -> tuple[NDArray[np.bool_], tuple[Step, ...]]:
    """Take the side without unknown reactions, or find the reactions first."""
    truss = solution.truss
    held = [ends[0] for ends in knowledge.ends[len(truss.members) :]]
    sides = [side for side in (inside, ~inside) if not any(side[joint] for joint in held)]
    if sides:
        return sides[0], ()
    steps: list[Step] = [*find_reactions(knowledge)]
    count = len(truss.members)
    left = [c for c, value in enumerate(knowledge.values) if c >= count and value is None]
    if left:
        found = []
        for column in left:
            knowledge.learn(column, solution.unknowns[column])
            found.append(knowledge.acting(column, knowledge.ends[column][0]))
        joints = tuple(dict.fromkeys(a.joint for a in found))
        why = "The truss as a whole does not tell these reactions; all equations together do."
        steps.append(SimultaneousStep(joints, tuple(found), why))
    forces = [(len(_unknown_lines(knowledge, s)), int(s.sum())) for s in (inside, ~inside)]
    return (inside if forces[0] <= forces[1] else ~inside), tuple(steps)


def _part(
    knowledge: Knowledge,
    inside: NDArray[np.bool_],
    reason: str,
    wanted: Sequence[int] = (),
) -> PartStep | None:
    """Write the equations of a part as far as they leave one unknown each; learns the forces."""
    truss = knowledge.truss
    joints = np.flatnonzero(inside).tolist()
    crossing = {int(c) for c in _crossing(truss, inside)}
    acting = _acting_on(knowledge, joints, crossing)
    before = tuple(force for _, _, force in acting)
    lines = _unknown_lines(knowledge, inside)
    equations: list[tuple[Sum, Acting]] = []
    while lines:
        equation = _next_equation(lines, _extent(truss), wanted)
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
    knowledge: Knowledge, acting: list[tuple[int | None, Vector, Acting]], equation: _Equation
) -> Sum:
    if equation.direction is not None:
        return sum_along(equation.direction, (force for _, _, force in acting))
    assert equation.point is not None
    truss = knowledge.truss
    apart = np.hypot(*(truss.points - equation.point).T)
    nearest = int(apart.argmin())
    at_joint = float(apart[nearest]) <= PARALLEL * _extent(truss)
    name = truss.joints[nearest] if at_joint else None
    return sum_moment(equation.point, ((force, place) for _, place, force in acting), name)


def _unknown_lines(knowledge: Knowledge, inside: NDArray[np.bool_]) -> list[_Line]:
    """Give the unknown forces on a part as lines."""
    truss = knowledge.truss
    count = len(truss.members)
    lines = []
    columns = [int(c) for c in _crossing(truss, inside)]
    columns += [c for c in range(count, len(knowledge.ends)) if inside[knowledge.ends[c][0]]]
    for column in columns:
        if knowledge.values[column] is not None:
            continue
        a, b = knowledge.ends[column]
        near, far = (a, b) if inside[a] else (b, a)
        x, y = truss.points[near].tolist()
        far_x, far_y = truss.points[far].tolist()
        direction = knowledge.direction(column, near)
        lines.append(_Line(column, near, (x, y), direction, (far_x, far_y)))
    return lines


def _next_equation(
    lines: list[_Line], extent: float, wanted: Sequence[int] = ()
) -> _Equation | None:
    """Choose the next equation with one unknown; the wanted columns come first."""
    found = []
    for line in lines:
        others = [other for other in lines if other.column != line.column]
        equation = _equation_for(line, others, extent)
        if equation is not None:
            found.append(equation)
    return min(found, key=lambda e: (e.column not in wanted, e.cost), default=None)


def _equation_for(line: _Line, others: list[_Line], extent: float) -> _Equation | None:
    """Find the equation in which, of the unknown forces, only that along `line` is left.

    Moments about a joint come first, then sums along an axis, then moments
    about another point, then sums along another direction.
    """
    if not others:
        x, y = line.direction
        return _Equation(1.0, line.column, None, (1.0, 0.0) if abs(x) >= abs(y) else (0.0, 1.0))
    first = others[0]
    crossing = [o for o in others if abs(_cross(first.direction, o.direction)) > PARALLEL]
    points: list[tuple[float, Vector]]
    if crossing:
        points = [_meeting(first, crossing[0], others, extent)]
    else:
        points = [(0.0, first.point), (0.0, first.far)]
    candidates = []
    for cost, point in points:
        away = [abs(_arm(other, point)) for other in others]
        if max(away) <= PARALLEL * extent and abs(_arm(line, point)) > PARALLEL * extent:
            candidates.append(_Equation(cost, line.column, point, None))
    if not crossing and abs(_cross(first.direction, line.direction)) > PARALLEL:
        run, rise = first.direction
        if abs(rise) <= PARALLEL:
            candidates.append(_Equation(1.0, line.column, None, (0.0, 1.0)))
        elif abs(run) <= PARALLEL:
            candidates.append(_Equation(1.0, line.column, None, (1.0, 0.0)))
        else:
            candidates.append(_Equation(3.0, line.column, None, (-rise, run)))
    return min(candidates, key=lambda e: e.cost, default=None)


def _meeting(
    first: _Line, second: _Line, others: list[_Line], extent: float
) -> tuple[float, Vector]:
    """Where two lines meet, with the cost of moments about that point."""
    turn = _cross(first.direction, second.direction)
    apart = (second.point[0] - first.point[0], second.point[1] - first.point[1])
    along = _cross(apart, second.direction) / turn
    point = (
        first.point[0] + along * first.direction[0],
        first.point[1] + along * first.direction[1],
    )
    for joint in (p for line in others for p in (line.point, line.far)):
        if math.dist(joint, point) <= PARALLEL * extent:
            return 0.0, joint
    return 2.0, point


def _cross(one: Vector, other: Vector) -> float:
    return one[0] * other[1] - one[1] * other[0]


def _arm(line: _Line, point: Vector) -> float:
    return _cross((line.point[0] - point[0], line.point[1] - point[1]), line.direction)


def _extent(truss: Truss) -> float:
    return float(np.ptp(truss.points, axis=0).max())


def _crossing(truss: Truss, inside: NDArray[np.bool_]) -> NDArray[np.intp]:
    """Members with one end inside and the other outside."""
    return np.flatnonzero(inside[truss.members[:, 0]] != inside[truss.members[:, 1]])


def _cuts(truss: Truss, along: Iterable[Vector]) -> Iterator[NDArray[np.bool_]]:
    """Sweep the truss along directions; give the joints passed, as a mask, for each cut.

    Where up to three joints lie level, the cut also passes between them in
    every way: so it can go round the middle joint of a K panel.
    """
    for direction in along:
        passed = truss.points @ np.array(direction)
        order = np.argsort(passed, kind="stable")
        breaks = np.flatnonzero(np.diff(passed[order]) > PARALLEL * _extent(truss)) + 1
        inside = np.zeros(len(truss.joints), dtype=bool)
        for level in np.split(order, breaks):
            if len(level) <= _MOST_LEVEL:
                for size in range(1, len(level)):
                    for some in combinations(level.tolist(), size):
                        between = inside.copy()
                        between[list(some)] = True
                        yield between
            inside = inside.copy()
            inside[level] = True
            if not inside.all():
                yield inside


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


def _listed(truss: Truss, members: NDArray[np.intp]) -> str:
    names = [truss.member_name(int(c)) for c in members]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
