"""Members without force, found by looking at joints one by one, each with its reason."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from solver.knowledge import Knowledge
from solver.solution import Solution
from solver.steps import PARALLEL, Vector

__all__ = ["ZeroForce", "zero_force_members"]

#: A solved force below this part of the largest is none.
_NOTHING = 1e-9


@dataclass(frozen=True, slots=True)
class ZeroForce:
    """A member without force, and why.

    Attributes
    ----------
    member : int
        Position in ``truss.members``.
    name : str
    joint : str or None
        The joint at which it shows.
    rule : {'two members', 'straight pair', 'load in line', 'this load only'}
        'two members': they meet at a joint without load or support, not on one
        line.  'straight pair': all other members at a joint without load or
        support lie on one line.  'load in line': the same with the loads or
        the support on that line as well.  'this load only': no rule tells, the
        sizes of the loads happen to cancel.
    reason : str
        The same in a sentence.
    """

    member: int
    name: str
    joint: str | None
    rule: Literal["two members", "straight pair", "load in line", "this load only"]
    reason: str


def zero_force_members(solution: Solution) -> tuple[ZeroForce, ...]:
    """Find the members without force by the rules, repeatedly, then by the solved forces.

    Parameters
    ----------
    solution : Solution
        Solved or not: the rules ask only where the loads and supports are.

    Returns
    -------
    tuple of ZeroForce
        In the order in which they are found; those that are zero only for this
        load come last, if the solution has forces.

    Notes
    -----
    One rule covers all: where all forces at a joint but one (members, loads
    and reactions not yet known to be nothing) lie on one line, that one is
    nothing, for its component across the line has nothing to balance it.
    """
    knowledge = Knowledge(solution.truss, solution.loads, 1.0)
    found = list(_by_rules(knowledge))
    if solution.forces is not None:
        told = {zero.member for zero in found}
        for member, force in enumerate(solution.forces.tolist()):
            if abs(force) <= _NOTHING * solution.largest and member not in told:
                name = solution.truss.member_name(member)
                why = (
                    f"{name} has no force only for this load: no joint shows it, but the forces"
                    " happen to cancel there."
                )
                found.append(ZeroForce(member, name, None, "this load only", why))
    return tuple(found)


def _by_rules(knowledge: Knowledge) -> Iterator[ZeroForce]:
    truss = knowledge.truss
    waiting = list(range(len(truss.joints)))[::-1]
    while waiting:
        joint = waiting.pop()
        active = {c: knowledge.direction(c, joint) for c in knowledge.unknown(joint)}
        load = knowledge.load(joint)
        lone = [c for c in active if _alone(c, active, load.direction if load else None)]
        for column in lone:
            knowledge.learn(column, 0.0)
            waiting += [end for end in knowledge.ends[column] if end != joint]
            if column < len(truss.members):
                yield _told(knowledge, joint, column, [c for c in active if c != column])
        if lone:
            waiting.append(joint)


def _alone(column: int, active: dict[int, Vector], load: Vector | None) -> bool:
    """Whether all other forces lie on one line and this one does not."""
    x, y = active[column]
    others = [d for c, d in active.items() if c != column]
    if load is not None:
        others.append(load)
    if not others:
        return True
    run, rise = others[0]
    straight = all(abs(run * oy - rise * ox) <= PARALLEL for ox, oy in others[1:])
    return straight and abs(run * y - rise * x) > PARALLEL


def _told(knowledge: Knowledge, joint: int, column: int, others: list[int]) -> ZeroForce:
    truss = knowledge.truss
    at = truss.joints[joint]
    name = truss.member_name(column)
    members = [truss.member_name(c) for c in others if c < len(truss.members)]
    supported = len(members) < len(others)
    loaded = knowledge.load(joint) is not None
    if supported or loaded:
        held = [*(["the load"] if loaded else []), *(["the reaction"] if supported else [])]
        line = " and ".join([*held, *members])
        why = (
            f"at joint {at} all other forces ({line}) lie on one line, and nothing balances a"
            f" force of {name} across it"
            if len(held) + len(members) > 1
            else f"at joint {at} only {line} acts beside it, along another line"
        )
        return ZeroForce(column, name, at, "load in line", f"{name} has no force: {why}.")
    if not members:
        why = f"at joint {at}, without load, no other member with a force is left"
        return ZeroForce(column, name, at, "two members", f"{name} has no force: {why}.")
    if len(members) == 1:
        why = f"at joint {at}, without load, only {members[0]} is left beside it, not on one line"
        return ZeroForce(column, name, at, "two members", f"{name} has no force: {why}.")
    line = f"{', '.join(members[:-1])} and {members[-1]}"
    why = f"at joint {at}, without load, {line} lie on one line, and {name} does not"
    return ZeroForce(column, name, at, "straight pair", f"{name} has no force: {why}.")
