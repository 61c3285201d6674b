"""What went wrong where a person's values are not the right ones.

A value that is not right but follows from the person's other values, wrong
ones among them, at the joint at which it is found, is carried over: the slip
was made before.  Which joint that is depends on the order in which the joints
were taken, so the usual orders are tried and the one that leaves the fewest
slips is believed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from model.truss import Truss
from solver.equilibrium import equilibrium_matrix
from solver.solution import Solution

if TYPE_CHECKING:
    from scipy.sparse import csr_array

__all__ = ["Kind", "Slips", "Values", "find_slips"]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
Kind = Literal[
    "right", "wrong sense", "component", "slope inverted", "carried over", "wrong", "missing"
]

#: Starting joints that are tried, and members up to which more than one is.
_STARTS = 12
_MANY_MEMBERS = 500
#: A direction cosine below this is none.
_NONE = 1e-9
#: The place at which reactions are found when they are taken from the truss as a whole.
_WHOLE = -1


@dataclass(frozen=True, eq=False)
class Values:
    """A person's values beside the right ones: m members, then n joints' reactions x and y.

    Attributes
    ----------
    solution : Solution
    given : ndarray, shape (m + 2 n,)
        Not a number where nothing was given.
    relative, floor : float
        A value is right within this part of itself, or within this force.
    """

    solution: Solution
    given: FloatArray
    relative: float
    floor: float

    @cached_property
    def right(self) -> FloatArray:
        """The right values."""
        truss = self.solution.truss
        reactions = np.zeros((len(truss.joints), 2))
        for joint, pair in self.solution.reaction_at.items():
            reactions[truss.index[joint]] = pair
        assert self.solution.forces is not None
        return np.concatenate([self.solution.forces, reactions.ravel()])

    def allowed(self, values: FloatArray | float) -> FloatArray:
        """By how much values may be off for rounding."""
        return np.maximum(self.relative * np.abs(values), self.floor)

    @cached_property
    def wrong(self) -> BoolArray:
        """Given and not right."""
        return np.asarray(np.abs(self.given - self.right) > self.allowed(self.right))


class Slips(NamedTuple):
    """What became of each value, and where the person's own values do not balance.

    Attributes
    ----------
    kinds : list of Kind, length m + 2 n
    follows_at : dict of int to int or None
        Of each value carried over, the joint at which it follows; None: from
        the truss as a whole.
    unbalanced : int or None
        The first joint, in the order believed, that does not balance.
    left_over : tuple of float
        What its sums along x and y leave.
    """

    kinds: list[Kind]
    follows_at: dict[int, int | None]
    unbalanced: int | None
    left_over: tuple[float, float]


class _Order(NamedTuple):
    """One order of taking the joints, and the joint (or _WHOLE) at which each value is found."""

    joints: list[int]
    found_at: dict[int, int]

    def alone(self, position: int) -> bool:
        """Whether a value is the only one found at its joint."""
        place = self.found_at[position]
        return place != _WHOLE and list(self.found_at.values()).count(place) == 1


def find_slips(values: Values) -> Slips:
    """Find the kind of each value, and the first joint that does not balance."""
    balances = _Balances(values)
    special = {int(p): _special(values, int(p)) for p in np.flatnonzero(values.wrong)}
    best: tuple[int, _Order, dict[int, int]] | None = None
    for order in _orders(values.solution.truss, balances):
        carried = balances.carried(order)
        carried |= balances.partly_carried(order, carried, special)
        cost = balances.cost(order, carried, special)
        if best is None or cost < best[0]:
            best = cost, order, carried
        if cost <= 1:
            break  # one slip at most, of a known kind: nothing explains it better
    assert best is not None
    _, order, carried = best
    kinds: list[Kind] = []
    for position, given in enumerate(values.given.tolist()):
        if given != given:
            kinds.append("missing")
        elif position not in special:
            kinds.append("right")
        else:
            kinds.append("carried over" if position in carried else special[position])
    unbalanced = next((joint for joint in order.joints if not balances.at(joint)), None)
    left = (0.0, 0.0) if unbalanced is None else balances.left_at(unbalanced)
    follows = {p: None if joint == _WHOLE else joint for p, joint in carried.items()}
    return Slips(kinds, follows, unbalanced, left)


class _Balances:
    """The sums at every joint and of the whole, with the person's values in them.

    Rows are 2 * joint, 2 * joint + 1, then the sums of the whole along x and y
    and its moments about the first pin.
    """

    def __init__(self, values: Values) -> None:
        truss = values.solution.truss
        self.wrong = values.wrong
        self.members = truss.members
        self.joints = len(truss.joints)
        self.factors = _factors(truss)
        self.columns = self.factors.tocsc()
        missing = np.isnan(values.given)
        taken = np.where(missing, values.right, values.given)
        rounding = np.where(missing, 0.0, values.allowed(taken))
        loads = np.concatenate([values.solution.loads.ravel(), np.zeros(3)])
        loads[-3:] = self.factors[-3:, len(self.members) :] @ loads[:-3]
        self.left = np.asarray(self.factors @ taken + loads)
        slack = abs(self.factors) @ rounding + values.floor
        self.balanced: BoolArray = np.abs(self.left) <= slack

    def at(self, joint: int) -> bool:
        """Whether both sums of a joint balance."""
        return self.how_many(joint) == 2

    def how_many(self, joint: int) -> int:
        """How many of a joint's two sums balance."""
        return int(self.balanced[2 * joint]) + int(self.balanced[2 * joint + 1])

    def left_at(self, joint: int) -> tuple[float, float]:
        """What the sums of a joint leave."""
        return float(self.left[2 * joint]), float(self.left[2 * joint + 1])

    def carried(self, order: _Order) -> dict[int, int]:
        """Wrong values that satisfy the sums from which they are found, with the place."""
        carried = {}
        for position in np.flatnonzero(self.wrong).tolist():
            if position in order.found_at:
                place = order.found_at[position]
                # A value alone at its joint takes one sum; the other is the closing check.
                enough = any if order.alone(position) else all
                follows = self._follows(position, place, enough)
            else:
                place, *other = self.ends(position)
                follows = all(self._follows(position, end, all) for end in (place, *other))
            if follows:
                carried[position] = place
        return carried

    def _follows(self, position: int, place: int, enough: Callable[[Iterable[bool]], bool]) -> bool:
        rows = self._rows(position, place)
        others = {p for row in rows for p in self._wrong_in(row)} - {position}
        return bool(others) and enough(bool(self.balanced[row]) for row in rows)

    def partly_carried(
        self, order: _Order, carried: dict[int, int], special: dict[int, Kind]
    ) -> dict[int, int]:
        """Wrong values that satisfy one sum together with a slip of a known kind."""
        partly = {}
        for position, kind in special.items():
            if kind != "wrong" or position in carried:
                continue
            place = order.found_at.get(position, self.ends(position)[0])
            for row in self._rows(position, place):
                known = {p for p in self._wrong_in(row) if special[p] != "wrong"}
                if self.balanced[row] and known - {position} - set(carried):
                    partly[position] = place
        return partly

    def cost(self, order: _Order, carried: dict[int, int], special: dict[int, Kind]) -> int:
        """How much an order leaves to explain: one a known slip, two a place of unknown ones."""
        slips = [position for position in special if position not in carried]
        unknown = {order.found_at.get(p, _WHOLE - 1) for p in slips if special[p] == "wrong"}
        return sum(special[p] != "wrong" for p in slips) + 2 * len(unknown)

    def ends(self, position: int) -> list[int]:
        """The joints at which a value acts."""
        count = len(self.members)
        if position < count:
            return [int(end) for end in self.members[position]]
        return [(position - count) // 2]

    def _rows(self, position: int, place: int) -> list[int]:
        """Rows of the sums at a place in which a value appears."""
        start, end = self.columns.indptr[position : position + 2]
        rows = self.columns.indices[start:end].tolist()
        first = 2 * (self.joints if place == _WHOLE else place)
        last = first + (3 if place == _WHOLE else 2)
        return [row for row in rows if first <= row < last]

    def _wrong_in(self, row: int) -> list[int]:
        start, end = self.factors.indptr[row : row + 2]
        return [p for p in self.factors.indices[start:end].tolist() if self.wrong[p]]


def _factors(truss: Truss) -> csr_array:
    """Factors of members and reaction components in every sum, shape (2 n + 3, m + 2 n)."""
    from scipy.sparse import block_array, csr_array, eye_array

    joints, members = len(truss.joints), len(truss.members)
    of_members = equilibrium_matrix(truss)[:, :members]
    pins = [s.joint for s in truss.supports if s.kind == "pin"]
    about = truss.points[truss.index[pins[0]]] if pins else np.zeros(2)
    whole = np.zeros((3, 2 * joints))
    whole[0, 0::2] = whole[1, 1::2] = 1.0
    whole[2, 0::2] = about[1] - truss.points[:, 1]
    whole[2, 1::2] = truss.points[:, 0] - about[0]
    factors = block_array(
        [[of_members, eye_array(2 * joints)], [None, csr_array(whole)]], format="csr"
    )
    factors.data[np.abs(factors.data) < _NONE] = 0.0
    factors.eliminate_zeros()
    return factors


def _special(values: Values, position: int) -> Kind:
    """What a wrong value looks like by itself."""
    right, given = float(values.right[position]), abs(float(values.given[position]))

    def is_size_of(candidate: float) -> bool:
        near = bool(abs(given - abs(candidate)) <= values.allowed(candidate))
        return near and abs(candidate) > values.floor

    if is_size_of(right):
        return "wrong sense"
    truss = values.solution.truss
    if position >= len(truss.members):
        return "wrong"
    x, y = np.abs(truss.vectors[position]) / truss.lengths[position]
    if min(x, y) < _NONE:
        return "wrong"
    if is_size_of(right * x) or is_size_of(right * y):
        return "component"
    return "slope inverted" if is_size_of(right * x / y) or is_size_of(right * y / x) else "wrong"


def _orders(truss: Truss, balances: _Balances) -> Iterator[_Order]:
    """Orders in which a person may take the joints: with the reactions first, then without."""
    joints, members = len(truss.joints), len(truss.members)
    at: list[set[int]] = [set() for _ in range(joints)]
    for position, ends in enumerate(truss.members.tolist()):
        for end in ends:
            at[end].add(position)
    held: dict[int, list[int]] = {}
    for support in truss.supports:
        joint = truss.index[support.joint]
        along = np.abs(support.directions).max(axis=0) > _NONE
        held[joint] = [members + 2 * joint + axis for axis in (0, 1) if along[axis]]
    known = {position: _WHOLE for of_joint in held.values() for position in of_joint}
    most = _STARTS if members <= _MANY_MEMBERS else 1
    for found_first in (known, {}):
        if not found_first:
            for joint, positions in held.items():
                at[joint] |= set(positions)
        starts = [joint for joint in range(joints) if len(at[joint]) <= 2] or [0]
        for start in sorted(starts, key=lambda joint: joint not in held)[:most]:
            yield _walk(at, start, dict(found_first), balances)


def _walk(at: list[set[int]], start: int, found_at: dict[int, int], balances: _Balances) -> _Order:
    """Take joints with two unknown values or fewer, next to those taken before.

    Of several, one that balances is taken first: so the slips come as late as
    they can, and what follows from them comes after them.
    """
    unknown = [positions - found_at.keys() for positions in at]
    left = dict.fromkeys(range(len(at)))
    near = {start: None}
    taken: list[int] = []
    while True:
        ready = [joint for joint in near if len(unknown[joint]) <= 2]
        ready = ready or [joint for joint in left if len(unknown[joint]) <= 2]
        if not ready:
            return _Order([*taken, *left], found_at)
        joint = max(reversed(ready), key=balances.how_many)
        taken.append(joint)
        del left[joint]
        near.pop(joint, None)
        for position in sorted(unknown[joint]):
            found_at[position] = joint
            for end in balances.ends(position):
                unknown[end].discard(position)
                if end in left:
                    near[end] = None
