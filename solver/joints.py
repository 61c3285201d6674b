"""Joint by joint, in the order in which a person would take the joints."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from solver.knowledge import Knowledge
from solver.parts import balance_of_whole, find_reactions
from solver.sections import find_section
from solver.solution import Solution
from solver.steps import (
    PARALLEL,
    Acting,
    Check,
    JointStep,
    Method,
    Rule,
    SimultaneousStep,
    Step,
    Vector,
    Working,
)

__all__ = ["joint_by_joint"]

#: Sections taken before the rest is solved together, and members up to which they are
#: looked for: more than a person would write.
_MOST_SECTIONS = 40
_MOST_MEMBERS = 500


def joint_by_joint(solution: Solution) -> Working:
    """Work a truss out joint by joint.

    Parameters
    ----------
    solution : Solution
        Of status 'determinate' or 'redundant'.

    Returns
    -------
    Working
        The steps, with forces found by them alone, and the closing checks.  A
        redundant truss gets the checks at its joints only, its forces being
        those of its stiffness.

    Raises
    ------
    ValueError
        If the solution has no forces.

    Notes
    -----
    The next joint is the one nearest to the last that has at most two unknown
    forces, not both on one line.  If no joint at all is to be had, then in
    this order: the reactions, from the truss as a whole; a joint where all
    unknown members but one lie on one line (the sum perpendicular to it
    leaves that one); a section; all remaining equations together.
    """
    if solution.forces is None or solution.reactions is None:
        raise ValueError(solution.reason or "The truss has no forces to work out.")
    if solution.status != "determinate":
        return _checks_only(solution)
    knowledge = _nothing_known(solution)
    steps: list[Step] = []
    _walk(knowledge, steps, range(len(knowledge.columns_at)))
    method: Method = "joints"
    if knowledge.open:
        fresh = _nothing_known(solution)
        from_whole = find_reactions(fresh)
        if from_whole:
            knowledge, steps, method = fresh, [*from_whole], "reactions first"
            _walk(knowledge, steps, range(len(knowledge.columns_at)))
    method = _past_standstill(knowledge, steps, solution) or method
    return _finished(knowledge, steps, method)


def _nothing_known(solution: Solution) -> Knowledge:
    return Knowledge(solution.truss, solution.loads, solution.largest)


def _checks_only(solution: Solution) -> Working:
    knowledge = _nothing_known(solution)
    for column, force in enumerate(solution.unknowns):
        knowledge.learn(column, force)
    return _finished(knowledge, [], "checks only")


def _walk(knowledge: Knowledge, steps: list[Step], start: Iterable[int]) -> None:
    """Solve joints with two unknown forces or fewer, each time one next to the last."""
    waiting = [joint for joint in start if knowledge.unknown_at[joint] <= 2][::-1]
    while waiting:
        joint = waiting.pop()
        unknown = knowledge.unknown(joint)
        if not 0 < len(unknown) <= 2:
            continue
        forces = knowledge.at(joint)
        found = _found(knowledge, joint, unknown)
        if not found:
            continue
        rule: Rule = "two unknowns" if len(found) == 2 else "one unknown"
        steps.append(JointStep(knowledge.truss.joints[joint], rule, forces, found))
        waiting += _next_to(knowledge, joint, unknown)


def _next_to(knowledge: Knowledge, joint: int, columns: Iterable[int]) -> list[int]:
    """Joints at the other ends that can be solved now, the first of them last."""
    ends = (sum(knowledge.ends[column]) - joint for column in columns)
    return sorted((end for end in ends if 0 < knowledge.unknown_at[end] <= 2), reverse=True)


def _found(knowledge: Knowledge, joint: int, unknown: list[int]) -> tuple[Acting, ...]:
    """Solve the two sums of a joint for its one or two unknown forces; empty if they cannot be."""
    x, y = knowledge.left_over(joint)
    directions = [knowledge.direction(column, joint) for column in unknown]
    if len(unknown) == 1:
        along_x, along_y = directions[0]
        force = -x / along_x if abs(along_x) >= abs(along_y) else -y / along_y
        knowledge.learn(unknown[0], force)
        return (knowledge.acting(unknown[0], joint),)
    (ax, ay), (bx, by) = directions
    turn = ax * by - ay * bx
    if abs(turn) <= PARALLEL:
        return ()
    knowledge.learn(unknown[0], (y * bx - x * by) / turn)
    knowledge.learn(unknown[1], (x * ay - y * ax) / turn)
    # The one that is alone in a sum comes first.
    second_first = abs(ax) <= PARALLEL or (abs(bx) > PARALLEL and abs(ay) <= PARALLEL)
    order = unknown[::-1] if second_first else unknown
    return tuple(knowledge.acting(column, joint) for column in order)


def _past_standstill(knowledge: Knowledge, steps: list[Step], solution: Solution) -> Method | None:
    """Go on where no joint has two unknown forces or fewer; say what it took."""
    took: Method | None = None
    sections_left = _MOST_SECTIONS if len(knowledge.truss.members) <= _MOST_MEMBERS else 0
    while knowledge.open:
        if _straight_pairs(knowledge, steps):
            continue
        step = find_section(knowledge) if sections_left else None
        if step is None:
            steps.append(_together(knowledge, solution))
            return "simultaneous"
        sections_left -= 1
        took = "with sections"
        steps.append(step)
        _walk(knowledge, steps, range(len(knowledge.columns_at)))
    return took


def _straight_pairs(knowledge: Knowledge, steps: list[Step]) -> bool:
    """Use every joint where all unknown forces but one lie on one line; whether any did."""
    before = knowledge.open
    for joint, count in enumerate(knowledge.unknown_at):
        if count < 3:
            continue
        unknown = knowledge.unknown(joint)
        alone = _alone(knowledge, joint, unknown)
        if alone is None:
            continue
        column, (run, rise) = alone
        forces = knowledge.at(joint)
        x, y = knowledge.left_over(joint)
        across = knowledge.direction(column, joint)
        knowledge.learn(column, -(y * run - x * rise) / (across[1] * run - across[0] * rise))
        found = (knowledge.acting(column, joint),)
        steps.append(JointStep(knowledge.truss.joints[joint], "straight pair", forces, found))
        _walk(knowledge, steps, [joint, *_next_to(knowledge, joint, [column])])
    return knowledge.open < before


def _alone(knowledge: Knowledge, joint: int, unknown: list[int]) -> tuple[int, Vector] | None:
    """Find the one unknown force that is not on the line of all the others."""
    directions = {column: knowledge.direction(column, joint) for column in unknown}
    for column in unknown:
        (run, rise), *others = (d for c, d in directions.items() if c != column)
        x, y = directions[column]
        straight = all(abs(run * oy - rise * ox) <= PARALLEL for ox, oy in others)
        if straight and abs(run * y - rise * x) > PARALLEL:
            return column, (run, rise)
    return None


def _together(knowledge: Knowledge, solution: Solution) -> SimultaneousStep:
    """Take the forces that are left from all equations at once."""
    forces = solution.unknowns
    left = [column for column, value in enumerate(knowledge.values) if value is None]
    joints = tuple(
        name
        for name, count in zip(knowledge.truss.joints, knowledge.unknown_at, strict=True)
        if count
    )
    for column in left:
        knowledge.learn(column, forces[column])
    return SimultaneousStep(
        joints,
        tuple(knowledge.acting(column, knowledge.ends[column][0]) for column in left),
        "No joint is left with two unknowns or fewer, and no section leaves one unknown alone:"
        " the remaining equations are solved together.",
    )


def _finished(knowledge: Knowledge, steps: list[Step], method: Method) -> Working:
    used = Counter[str]()
    for step in steps:
        if isinstance(step, JointStep):
            used[step.joint] += 2 if step.rule == "two unknowns" else 1
    checks = tuple(
        Check(name, knowledge.at(joint))
        for joint, name in enumerate(knowledge.truss.joints)
        if used[name] < 2
    )
    count = len(knowledge.truss.members)
    values = [value or 0.0 for value in knowledge.values]
    return Working(
        method,
        tuple(steps),
        checks,
        balance_of_whole(knowledge),
        tuple(values[:count]),
        tuple(values[count:]),
    )
