"""Sections: a part of the truss cut free, and the equation that leaves one unknown."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

import numpy as np
from numpy.typing import NDArray

from model.errors import InputError
from model.truss import Truss
from solver.knowledge import Knowledge
from solver.parts import (
    equation_for,
    extent_of,
    find_reactions,
    members_across,
    next_equation,
    part_step,
    unknown_lines,
)
from solver.solution import Solution
from solver.steps import (
    PARALLEL,
    PartStep,
    SimultaneousStep,
    Step,
    Vector,
)

__all__ = ["Section", "find_section", "section"]

Mask = NDArray[np.bool_]

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
    open : tuple of str
        Members cut that the part's equilibrium does not tell.
    """

    before: tuple[Step, ...]
    part: PartStep
    compared: tuple[tuple[str, float, float], ...]
    open: tuple[str, ...]


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
    cut_members = members_across(truss, inside).tolist()
    names = _listed(truss, cut_members)
    part = part_step(knowledge, inside, f"Section through {names}.", wanted)
    if part is None or all(knowledge.values[c] is None for c in wanted):
        raise InputError(
            f"The section through {names} leaves more unknown forces than the part's equilibrium"
            " can tell; cut at most three members that do not all meet in one point."
        )
    from solver.joints import joint_by_joint

    by_joints = joint_by_joint(solution).forces
    compared = tuple(
        (truss.member_name(c), force, by_joints[c])
        for c in cut_members
        if (force := knowledge.values[c]) is not None
    )
    left = tuple(truss.member_name(c) for c in cut_members if knowledge.values[c] is None)
    return Section(before, part, compared, left)


def find_section(knowledge: Knowledge) -> PartStep | None:
    """Look for a cut whose part has an equation with one unknown left, and take it.

    The truss is swept from left to right, then from below; a part with three
    unknown forces or fewer comes before one with more.
    """
    best: tuple[tuple[bool, bool, float, int], Mask] | None = None
    for inside, straight in _cuts(knowledge.truss, ((1.0, 0.0), (0.0, 1.0))):
        for side in (inside, ~inside):
            lines = unknown_lines(knowledge, side)
            if not 0 < len(lines) <= _MOST_UNKNOWN:
                continue
            equation = next_equation(lines, extent_of(knowledge.truss))
            if equation is not None:
                rank = (len(lines) > 3, not straight, equation.cost, int(side.sum()))
                if best is None or rank < best[0]:
                    best = (rank, side)
    if best is None:
        return None
    cut = _listed(knowledge.truss, members_across(knowledge.truss, best[1]).tolist())
    return part_step(
        knowledge, best[1], f"No joint is left with two unknowns or fewer; section through {cut}."
    )


def _through(solution: Solution, member: int) -> Mask:
    """Choose the cut through a member that a person would choose."""
    truss = solution.truss
    x, y = (truss.vectors[member] / truss.lengths[member]).tolist()
    a, b = truss.members[member]
    supported = {truss.index[s.joint] for s in truss.supports}
    # Only where the unknown forces lie is asked, and the reactions will be known.
    knowledge = Knowledge(truss, solution.loads, solution.largest)
    for column in range(len(truss.members), len(knowledge.values)):
        knowledge.learn(column, 0.0)
    cuts = _cuts(truss, ((1.0, 0.0), (0.0, 1.0), (x, y), (-y, x)), between=(int(a), int(b)))
    round_a_joint = [(np.arange(len(truss.joints)) == joint, False) for joint in (a, b)]
    best: tuple[tuple[int, bool, float, int], Mask] | None = None
    for inside, straight in [*cuts, *round_a_joint]:
        if inside[a] == inside[b]:
            continue
        lines = unknown_lines(knowledge, inside)
        if len(lines) > _MOST_UNKNOWN:
            continue
        target = next(line for line in lines if line.column == member)
        others = [line for line in lines if line.column != member]
        equation = equation_for(target, others, extent_of(truss))
        if equation is None:
            continue
        free = sum(1 for joint in supported if inside[joint])
        rank = (max(len(lines), 3), not straight, equation.cost, min(free, len(supported) - free))
        if best is None or rank < best[0]:
            best = (rank, inside)
    if best is None:
        raise InputError(
            f"No cut through member {truss.member_name(member)} leaves it alone in an equation;"
            " solve its joints instead."
        )
    return best[1]


def _sides(truss: Truss, cut: Sequence[int]) -> Mask:
    """Tell on which side of the cut each joint lies."""
    names = _listed(truss, cut)
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
    solution: Solution, knowledge: Knowledge, inside: Mask
) -> tuple[Mask, tuple[Step, ...]]:
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
    forces = [(len(unknown_lines(knowledge, s)), int(s.sum())) for s in (inside, ~inside)]
    return (inside if forces[0] <= forces[1] else ~inside), tuple(steps)


def _cuts(
    truss: Truss, along: Iterable[Vector], between: tuple[int, int] | None = None
) -> Iterator[tuple[Mask, bool]]:
    """Sweep the truss along directions: the joints passed, and whether by a straight cut.

    Where up to three joints lie level, the cut also passes between them in
    every way: so it can go round the middle joint of a K panel.  With two
    joints given, only the cuts from the level of one to that of the other.
    """
    for direction in along:
        passed = truss.points @ np.array(direction)
        order = np.argsort(passed, kind="stable")
        breaks = np.flatnonzero(np.diff(passed[order]) > PARALLEL * extent_of(truss)) + 1
        starts = np.concatenate([[0], breaks, [len(order)]])
        first, last = 0, len(breaks)
        if between is not None:
            places = np.flatnonzero(np.isin(order, between))
            first, last = (np.searchsorted(starts, places, side="right") - 1).tolist()
        for begin, end in pairwise(starts[first : last + 2].tolist()):
            inside = np.zeros(len(order), dtype=bool)
            inside[order[:begin]] = True
            level = order[begin:end].tolist()
            if len(level) <= _MOST_LEVEL:
                for size in range(1, len(level)):
                    for some in combinations(level, size):
                        part_of_level = inside.copy()
                        part_of_level[list(some)] = True
                        yield part_of_level, False
            inside[level] = True
            if end < len(order):
                yield inside, True


def _listed(truss: Truss, members: Sequence[int]) -> str:
    names = [truss.member_name(c) for c in members]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
