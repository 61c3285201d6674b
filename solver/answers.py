"""A person's own values judged one by one, each with a sentence."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from model.answers_file import answer_value, read_answers
from model.errors import InputError
from model.job import Answer, Job, truss_of
from model.truss import Truss
from solver.slips import Kind, Slips, Values, find_slips
from solver.solution import Solution
from solver.solve import solve

__all__ = ["OF_LARGEST", "RELATIVE", "Imbalance", "Report", "Verdict", "judge", "judge_answers"]

#: A value is right within this part of itself, or within this part of the largest force.
RELATIVE = 0.005
OF_LARGEST = 0.0005


@dataclass(frozen=True)
class Verdict:
    """What is to be said of one value.

    Attributes
    ----------
    what : str
        The member or reaction component, as the truss names it.
    kind : Kind
    given : float or None
        The person's value, tension positive; None where there is none.
    right : float
        The right value.
    joint : str or None
        Of a value carried over, the joint at which it follows from the others.
    sentence : str
    """

    what: str
    kind: Kind
    given: float | None
    right: float
    joint: str | None
    sentence: str


@dataclass(frozen=True)
class Imbalance:
    """The first joint at which the person's own values do not balance.

    Attributes
    ----------
    joint : str
    x, y : float
        What its sums leave.
    sentence : str
    """

    joint: str
    x: float
    y: float
    sentence: str


@dataclass(frozen=True)
class Report:
    """All verdicts: members in their order, then reactions by support.

    Attributes
    ----------
    verdicts : tuple of Verdict
    balance : Imbalance or None
        The first joint that fails; None where all balance.
    rounding : str
        How rounding is allowed for, in one sentence.
    """

    verdicts: tuple[Verdict, ...]
    balance: Imbalance | None
    rounding: str

    @property
    def all_right(self) -> bool:
        """Whether every value that was given is right."""
        return all(verdict.kind in ("right", "missing") for verdict in self.verdicts)


def judge_answers(job: Job, answers: str | Sequence[Answer] | None = None) -> Report:
    """Judge a person's own values for a job.

    Parameters
    ----------
    job : Job
        With coordinates for every joint.
    answers : str or sequence of Answer, optional
        An answers file, or answers; without it those saved in the job.

    Raises
    ------
    InputError
        If a line or value cannot be read (with its number), names nothing in
        the truss, or the truss cannot be solved.
    """
    if isinstance(answers, str):
        entries = {f"Line {n} ({a.what})": a for n, a in read_answers(answers).items()}
    else:
        said = job.answers if answers is None else answers
        entries = {f"Answer {n} ({a.what})": a for n, a in enumerate(said, 1)}
    solution = solve(truss_of(job))
    if solution.forces is None:
        raise InputError(f"There is nothing to compare with: {solution.reason}")
    return judge(solution, entries, job.units.force)


def judge(
    solution: Solution,
    answers: Mapping[str, Answer],
    unit: str,
    relative: float = RELATIVE,
    of_largest: float = OF_LARGEST,
) -> Report:
    """Judge a person's own values against a solution.

    Parameters
    ----------
    solution : Solution
        With forces.
    answers : dict of str to Answer
        By what to call each in an error.
    unit : str
        Unit of force of the solution.
    relative, of_largest : float
        A value is right within `relative` of itself, or within `of_largest`
        of the largest force, whichever is more.

    Raises
    ------
    InputError
        If a value cannot be read, or names nothing or the same thing twice.
    """
    given = _given(solution.truss, answers, unit)
    values = Values(solution, given, relative, of_largest * solution.largest)
    slips = find_slips(values)
    verdicts = tuple(
        _verdict(values, slips, position, name, unit)
        for position, name in _asked(solution.truss, given)
    )
    rounding = (
        f"A value counts as right within {100 * relative:g} % of itself or"
        f" {_size(values.floor)} {unit} ({100 * of_largest:g} % of the largest force)."
    )
    return Report(verdicts, _imbalance(solution.truss, slips, unit), rounding)


def _given(truss: Truss, answers: Mapping[str, Answer], unit: str) -> np.ndarray:
    """The values by position (see `Values`), not a number where there is none."""
    members = len(truss.members)
    known = _names(truss)
    folded: dict[str, set[int]] = {}
    for name, position in known.items():
        folded.setdefault(name.casefold(), set()).add(position)
    given = np.full(members + 2 * len(truss.joints), np.nan)
    for entry, answer in answers.items():
        what = answer.what.replace(" ", "").replace("–", "-").replace("_", "")
        meant = {known[what]} if what in known else folded.get(what.casefold(), set())
        if len(meant) != 1:
            raise InputError(
                f"{entry} is no member or reaction of this truss; write a member such as"
                f" {truss.member_name(0)}, or a reaction such as {truss.supports[0].joint}x."
            )
        (position,) = meant
        if not math.isnan(given[position]):
            raise InputError(f"{entry} was answered before; keep one of the two.")
        given[position] = answer_value(answer, unit, entry=entry, member=position < members)
    return given


def _names(truss: Truss) -> dict[str, int]:
    """Every way to name a member or reaction, and its position; members win."""
    names: dict[str, int] = {}
    for support in truss.supports:
        joint = truss.index[support.joint]
        for axis in (0, 1):
            names[f"{support.joint}{'xy'[axis]}"] = len(truss.members) + 2 * joint + axis
    twice = set()
    run_together: dict[str, int] = {}
    for position, ends in enumerate(truss.members.tolist()):
        a, b = (truss.joints[end] for end in ends)
        for first, second in ((a, b), (b, a)):
            names[f"{first}-{second}"] = position
            if run_together.setdefault(first + second, position) != position:
                twice.add(first + second)
    return names | {name: p for name, p in run_together.items() if name not in twice}


def _asked(truss: Truss, given: np.ndarray) -> list[tuple[int, str]]:
    """What is judged: every member, and reaction components that are there or were given."""
    members = len(truss.members)
    asked = [(position, truss.member_name(position)) for position in range(members)]
    for support in truss.supports:
        held = np.abs(support.directions).max(axis=0) > 1e-9
        for axis in (0, 1):
            position = members + 2 * truss.index[support.joint] + axis
            if held[axis] or not math.isnan(given[position]):
                asked.append((position, f"{support.joint}{'xy'[axis]}"))
    return asked


def _verdict(values: Values, slips: Slips, position: int, name: str, unit: str) -> Verdict:
    kind = slips.kinds[position]
    given, right = float(values.given[position]), float(values.right[position])
    truss = values.solution.truss
    member = position < len(truss.members)
    at = slips.follows_at.get(position)
    joint = truss.joints[at] if at is not None else None

    def written(value: float) -> str:
        if not abs(value) > 1e-9 * values.solution.largest:
            return "0"
        if not member:
            return f"{'−' if value < 0 else ''}{_size(value)} {unit}"
        return f"{_size(value)} {unit} ({'T' if value > 0 else 'C'})"

    yours, answer = written(given), written(right)
    if kind == "missing":
        said = f"no value given; it is {answer}"
    elif kind == "right":
        said = f"{yours} is right"
    elif kind == "wrong sense":
        opposite = "tension and compression are" if member else "the direction is"
        said = f"{_size(given)} {unit} is the right size, but {opposite} exchanged: it is {answer}"
    elif kind == "component":
        said = f"{yours} is {_component(values, position)} of the force, which is {answer}"
    elif kind == "slope inverted":
        said = f"{yours} comes from exchanging the member's run and rise; it is {answer}"
    elif kind == "carried over":
        place = f"at joint {joint}" if joint else "from the truss as a whole"
        said = (
            f"{yours} follows {place} from an earlier slip in your own values; it should be"
            f" {answer}"
        )
    else:
        said = f"{yours} is wrong; it is {answer}"
    return Verdict(
        name, kind, None if math.isnan(given) else given, right, joint, f"{name}: {said}."
    )


def _component(values: Values, position: int) -> str:
    truss = values.solution.truss
    x, y = np.abs(truss.vectors[position]) / truss.lengths[position] * abs(values.right[position])
    size = abs(values.given[position])
    return "the component along x" if abs(size - x) <= abs(size - y) else "the component along y"


def _imbalance(truss: Truss, slips: Slips, unit: str) -> Imbalance | None:
    if slips.unbalanced is None:
        return None
    joint = truss.joints[slips.unbalanced]
    x, y = slips.left_over

    def signed(value: float) -> str:
        return f"{'−' if value < 0 else ''}{_size(value)} {unit}"

    return Imbalance(
        joint,
        x,
        y,
        f"Your values first fail to balance at joint {joint}: its sum along x leaves {signed(x)},"
        f" along y {signed(y)}.",
    )


def _size(value: float) -> str:
    """Write the size of a value with four significant digits and no exponent."""
    size = abs(value)
    if size < 1e-12:
        return "0"
    decimals = min(12, max(0, 3 - math.floor(math.log10(size))))
    text = f"{size:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
