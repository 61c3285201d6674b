"""What a person should be told beside the forces, in sentences that name members and joints."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from model.truss import Truss
from solver.equilibrium import reactions
from solver.reasons import joints_in_words
from solver.solution import Solution

__all__ = ["overlaps", "warnings_of"]

IntArray = NDArray[np.intp]

#: A force below this part of the largest is none.
_NOTHING = 1e-9
#: Member forces above this many times all loads together: a small change of form changes much.
_AMPLIFIED = 100.0
#: Ratio of singular values of a ten-joint truss above which its form is close to critical.
_ILL_CONDITIONED = 1e5
#: A member turned by more than this (radians) has left the form that was solved.
_TURNED = 0.05
#: Part of Euler's load from which on a member is said to be close to it.
_CLOSE_TO_EULER = 0.5
#: A joint nearer to a member's line than this part of the member's length lies on it.
_ON_LINE = 1e-6
#: Pairs of members and joints looked at together.
_PAIRS = 2_000_000


def warnings_of(solution: Solution, unit: str = "") -> list[str]:
    """List what a person should be told beside the result.

    Parameters
    ----------
    solution : Solution
    unit : str
        Unit of force, for the sentences.

    Notes
    -----
    Euler's load is that of a member with pinned ends, pi^2 E I / L^2 (L.
    Euler, *De curvis elasticis*, 1744), about the axis of the inertia given.
    """
    told = overlaps(solution.truss)
    if solution.forces is None:
        return told
    told += _uplift(solution, unit)
    told += _loads_on_supports(solution)
    told += _slender(solution, unit)
    told += _near_critical(solution)
    told += _large_movement(solution)
    return told


def overlaps(truss: Truss) -> list[str]:
    """Tell of members that lie on each other, and of joints on a member that does not end there."""
    told = []
    pairs: dict[tuple[int, int], int] = {}
    for position, (a, b) in enumerate(np.sort(truss.members, axis=1).tolist()):
        first = pairs.setdefault((a, b), position)
        if first != position:
            told.append(
                f"Joints {truss.joints[a]} and {truss.joints[b]} are joined by two members; they"
                " share the force as their stiffnesses do."
            )
    told += [
        f"Joint {truss.joints[joint]} lies on member {truss.member_name(member)} without being"
        " joined to it; split the member there if they are connected."
        for member, joint in _joints_on_members(truss)
    ]
    return told


def _joints_on_members(truss: Truss) -> list[tuple[int, int]]:
    """Pairs of a member and a joint that lies inside its length."""
    found = []
    for member, joint in _pairs_in_reach(truss):
        away = truss.points[joint] - truss.points[truss.members[member, 0]]
        run, rise = truss.vectors[member].T
        square = truss.lengths[member] ** 2
        along = (away[:, 0] * run + away[:, 1] * rise) / square
        across = np.abs(away[:, 0] * rise - away[:, 1] * run) / square
        on = (across <= _ON_LINE) & (along > _ON_LINE) & (along < 1.0 - _ON_LINE)
        found += list(zip(member[on].tolist(), joint[on].tolist(), strict=True))
    return found


def _pairs_in_reach(truss: Truss) -> Iterator[tuple[IntArray, IntArray]]:
    """Give members with the joints between their ends along one axis, some at a time.

    The axis is the one along which fewer joints are between them, which keeps
    the pairs few in long girders and tall towers alike.
    """
    ends = truss.points[truss.members]
    order = np.argsort(truss.points, axis=0)
    first = np.empty((len(ends), 2), dtype=np.intp)
    count = np.empty_like(first)
    for axis in (0, 1):
        placed = truss.points[order[:, axis], axis]
        reach = _ON_LINE * truss.lengths
        first[:, axis] = np.searchsorted(placed, ends[..., axis].min(axis=1) - reach)
        last = np.searchsorted(placed, ends[..., axis].max(axis=1) + reach, side="right")
        count[:, axis] = last - first[:, axis]
    axis_of = count.argmin(axis=1)
    rows = np.arange(len(ends))
    first_of, count_of = first[rows, axis_of], count[rows, axis_of]
    pieces = np.searchsorted(np.cumsum(count_of), np.arange(0, count_of.sum(), _PAIRS)).tolist()
    for begin, end in pairwise([*pieces, len(ends)]):
        number = count_of[begin:end]
        member = np.repeat(rows[begin:end], number)
        within = np.arange(len(member)) - np.repeat(np.cumsum(number) - number, number)
        yield member, order[np.repeat(first_of[begin:end], number) + within, axis_of[member]]


def _uplift(solution: Solution, unit: str) -> list[str]:
    """Tell of rollers that pull."""
    assert solution.reactions is not None
    truss, told = solution.truss, []
    held = reactions(truss)
    rollers = {truss.index[s.joint] for s in truss.supports if s.kind == "roller"}
    for joint, force in zip(held.joints.tolist(), solution.reactions.tolist(), strict=True):
        if joint in rollers and force < -_NOTHING * solution.largest:
            name = truss.joints[joint]
            told.append(
                f"The roller at joint {name} would lift off: it would have to hold the truss down"
                f" with {_quantity(-force, unit)}."
            )
    return told


def _loads_on_supports(solution: Solution) -> list[str]:
    truss = solution.truss
    pressed: dict[str, list[int]] = {"pin": [], "roller": []}
    for support in truss.supports:
        joint = truss.index[support.joint]
        if (support.directions @ solution.loads[joint]).any():
            pressed[support.kind].append(joint)
    told = []
    if pressed["pin"]:
        told.append(
            f"The load at {joints_in_words(truss, pressed['pin'])} goes straight into the support:"
            " no member feels it, and the reaction counts it."
        )
    if pressed["roller"]:
        told.append(
            f"The load at {joints_in_words(truss, pressed['roller'])} acts on a roller: the part of"
            " it against the support goes straight in, and the reaction counts it."
        )
    return told


def _slender(solution: Solution, unit: str) -> list[str]:
    """Compare each compression with Euler's load where E and I are known."""
    truss, told = solution.truss, []
    assert solution.forces is not None
    for member, properties in enumerate(truss.properties):
        if properties.inertia is None or properties.modulus is None:
            continue
        length = float(truss.lengths[member])
        euler = math.pi**2 * properties.modulus * properties.inertia / length**2
        compression = -float(solution.forces[member])
        if compression < _CLOSE_TO_EULER * euler:
            continue
        said = "is slender and would buckle" if compression >= euler else "is slender"
        told.append(
            f"Member {truss.member_name(member)} {said}: its compression of"
            f" {_quantity(compression, unit)} is {compression / euler:.2g} times Euler's load of"
            f" {_quantity(euler, unit)} for pinned ends."
        )
    return told


def _near_critical(solution: Solution) -> list[str]:
    truss = solution.truss
    if solution.status != "determinate" or solution.forces is None or not len(solution.forces):
        return []
    total = float(np.hypot(*solution.loads.T).sum())
    most = int(np.abs(solution.forces).argmax())
    times = abs(float(solution.forces[most])) / total if total else 0.0
    name = truss.member_name(most)
    if times > _AMPLIFIED:
        return [
            f"The form is close to critical: member {name} carries {times:.3g} times all loads"
            " together, and a small error in a dimension changes the forces much."
        ]
    if solution.condition > _ILL_CONDITIONED * max(1.0, (len(truss.joints) / 10.0) ** 2):
        return [
            "The form is close to critical: under other loads than these, a small error in a"
            f" dimension would change the forces much, that of {name} among them."
        ]
    return []


def _large_movement(solution: Solution) -> list[str]:
    """Tell where the displacements leave the form for which the equations were written."""
    truss = solution.truss
    if solution.displacements is None or not len(truss.members):
        return []
    moved = (
        solution.displacements[truss.members[:, 1]] - solution.displacements[truss.members[:, 0]]
    )
    across = truss.vectors[:, 0] * moved[:, 1] - truss.vectors[:, 1] * moved[:, 0]
    turned = np.abs(across) / truss.lengths**2
    most = int(turned.argmax())
    if turned[most] <= _TURNED:
        return []
    joint = int(np.hypot(*solution.displacements.T).argmax())
    far = float(np.hypot(*solution.displacements[joint]))
    return [
        f"Joint {truss.joints[joint]} would move by {far:.3g}, turning member"
        f" {truss.member_name(most)} by {np.degrees(np.arctan(turned[most])):.2g}°: too much for"
        " the truss's own form, so that the small-displacement answer is not to be trusted."
    ]


def _quantity(value: float, unit: str) -> str:
    return f"{value:.4g} {unit}".rstrip()
