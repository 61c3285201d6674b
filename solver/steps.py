"""The working of a truss as data: what a person would write down, before it is put in words.

Signs: x right, y up, moments anticlockwise; a force is positive where it acts
along its `Acting.direction`.  A member's direction at a joint points away from
the joint, so that a positive member force pulls on the joint: tension.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, TypeAlias

__all__ = [
    "PARALLEL",
    "Acting",
    "Check",
    "JointStep",
    "Method",
    "PartStep",
    "Rule",
    "SimultaneousStep",
    "Step",
    "Sum",
    "Term",
    "Working",
    "sum_along",
    "sum_moment",
]

Vector = tuple[float, float]
Rule = Literal["two unknowns", "one unknown", "straight pair"]
Method = Literal["joints", "reactions first", "with sections", "simultaneous", "checks only"]

#: Directions closer than this are one direction, and an arm below it (of the part's extent) none.
PARALLEL = 1e-9


@dataclass(frozen=True, slots=True)
class Acting:
    """One force as it acts on a joint, or on a part of the truss at that joint.

    Attributes
    ----------
    name : str
        'AC' for a member, 'Ax' or 'Ay' for a reaction along an axis, 'B(120°)'
        for one along another direction, 'load' for the loads on a joint together.
    kind : {'member', 'reaction', 'load'}
    joint : str
        Where it acts.
    direction : tuple of float
        Unit vector along which it acts when positive.
    slope : tuple of float
        Run and rise along that direction: of a member in the length unit, from
        this joint to its other end; of a reaction the unit vector; of a load
        its components.
    force : float or None
        None while unknown.
    """

    name: str
    kind: Literal["member", "reaction", "load"]
    joint: str
    direction: Vector
    slope: Vector
    force: float | None = None

    @property
    def x(self) -> float:
        """Component along x on the joint; zero while unknown."""
        return self.direction[0] * (self.force or 0.0)

    @property
    def y(self) -> float:
        """Component along y on the joint; zero while unknown."""
        return self.direction[1] * (self.force or 0.0)

    @property
    def sense(self) -> Literal["tension", "compression", "none"]:
        """Of a member: tension where it pulls on the joint, compression where it pushes."""
        if not self.force:
            return "none"
        return "tension" if self.force > 0 else "compression"

    @property
    def ratio(self) -> Vector:
        """Sizes of run and rise in small whole numbers where there are such.

        The components of the force are to each other as these: x : y = run : rise.
        """
        run, rise = abs(self.slope[0]), abs(self.slope[1])
        if run == 0.0 or rise == 0.0:
            return (1.0, 0.0) if rise == 0.0 else (0.0, 1.0)
        near = Fraction(run / rise).limit_denominator(60)
        if near.numerator <= 60 and abs(near * rise - run) <= 1e-9 * run:
            return float(near.numerator), float(near.denominator)
        return run, rise


@dataclass(frozen=True, slots=True)
class Term:
    """One term of a sum: `factor` times the force of `acting`.

    In a sum along a direction the factor is the cosine, in a moment the lever
    arm, positive where a positive force turns anticlockwise.
    """

    acting: Acting
    factor: float

    @property
    def value(self) -> float | None:
        """The product; None while the force is unknown."""
        return None if self.acting.force is None else self.factor * self.acting.force


@dataclass(frozen=True, slots=True)
class Sum:
    """An equation of equilibrium: its terms add up to nothing.

    Attributes
    ----------
    kind : {'x', 'y', 'along', 'moment'}
    terms : tuple of Term
        Only those with a factor that is not zero.
    direction : tuple of float or None
        Unit vector of a sum along a direction.
    point : tuple of float or None
        Point of a moment.
    joint : str or None
        Name of the joint at that point, if one is there.
    """

    kind: Literal["x", "y", "along", "moment"]
    terms: tuple[Term, ...]
    direction: Vector | None = None
    point: Vector | None = None
    joint: str | None = None

    @property
    def unknown(self) -> tuple[Term, ...]:
        """The terms whose force is still unknown."""
        return tuple(term for term in self.terms if term.acting.force is None)

    @property
    def known(self) -> float:
        """What the known terms add up to."""
        return math.fsum(term.value for term in self.terms if term.value is not None)


@dataclass(frozen=True, slots=True)
class JointStep:
    """One joint solved.

    Attributes
    ----------
    joint : str
    rule : {'two unknowns', 'one unknown', 'straight pair'}
        By 'straight pair' all unknown members but one lie on one line; the sum
        perpendicular to it leaves that one alone.
    forces : tuple of Acting
        All forces on the joint before the step, the known ones first.
    found : tuple of Acting
        The unknown ones with their forces, in the order in which they follow.
    """

    joint: str
    rule: Rule
    forces: tuple[Acting, ...]
    found: tuple[Acting, ...]

    @property
    def known(self) -> tuple[Acting, ...]:
        """Forces known before the step."""
        return tuple(acting for acting in self.forces if acting.force is not None)

    @property
    def sums(self) -> tuple[Sum, ...]:
        """The equations in the order in which they are used.

        Two unknowns: the sums along x and y, first the one with one unknown in
        it.  One unknown: the sum in which it has its larger component.
        Straight pair: the sum perpendicular to the pair.
        """
        if self.rule == "straight pair":
            pair = next(a for a in self.forces if a.force is None and a.name != self.found[0].name)
            run, rise = pair.direction
            return (sum_along((-rise, run), self.forces),)
        both = (sum_along((1.0, 0.0), self.forces), sum_along((0.0, 1.0), self.forces))
        if self.rule == "one unknown":
            x, y = self.found[0].direction
            return (both[0] if abs(x) >= abs(y) else both[1],)
        return both if len(both[0].unknown) <= len(both[1].unknown) else both[::-1]


@dataclass(frozen=True, slots=True)
class PartStep:
    """Equilibrium of the whole truss, or of a part of it beside a section.

    Attributes
    ----------
    joints : tuple of str
        The joints of the part.
    whole : bool
        Whether it is a whole connected truss, with its supports taken away.
    cut : tuple of str
        Names of the members that the section cuts.
    forces : tuple of Acting
        All forces on the part before the step.
    equations : tuple of (Sum, Acting)
        Each equation with the force that follows from it; a force found counts
        as known in the equations after it.
    reason : str
        Why this step is taken here.
    """

    joints: tuple[str, ...]
    whole: bool
    cut: tuple[str, ...]
    forces: tuple[Acting, ...]
    equations: tuple[tuple[Sum, Acting], ...]
    reason: str

    @property
    def found(self) -> tuple[Acting, ...]:
        """The forces that follow."""
        return tuple(acting for _, acting in self.equations)


@dataclass(frozen=True, slots=True)
class SimultaneousStep:
    """All equations of the remaining joints solved together.

    Attributes
    ----------
    joints : tuple of str
        Joints with unknown forces left.
    found : tuple of Acting
        Each remaining force, as it acts on one of its joints.
    reason : str
    """

    joints: tuple[str, ...]
    found: tuple[Acting, ...]
    reason: str


@dataclass(frozen=True, slots=True)
class Check:
    """The closing check at a joint whose equations were not all used."""

    joint: str
    forces: tuple[Acting, ...]

    @property
    def sums(self) -> tuple[Sum, Sum]:
        """The sums along x and y with every force known."""
        return sum_along((1.0, 0.0), self.forces), sum_along((0.0, 1.0), self.forces)

    @property
    def residual(self) -> float:
        """The larger of what the two sums leave."""
        return max(abs(total.known) for total in self.sums)


Step: TypeAlias = JointStep | PartStep | SimultaneousStep


@dataclass(frozen=True, slots=True)
class Working:
    """The whole working of a truss, in order.

    Attributes
    ----------
    method : {'joints', 'reactions first', 'with sections', 'simultaneous', 'checks only'}
        What it took: joints alone; the reactions first; a section where no
        joint had two unknowns or fewer; a simultaneous solution.  'checks only'
        for a redundant truss, whose forces come from its stiffness.
    steps : tuple of JointStep, PartStep or SimultaneousStep
    checks : tuple of Check
        Every joint at which an equation was left over.
    whole : tuple of Sum
        Loads and reactions together: the sums along x and y, and the moments
        about the first support, as a last check.
    forces : tuple of float
        Member forces, tension positive, as the steps give them.
    reactions : tuple of float
        Reaction components in the order of `solver.equilibrium.reactions`.
    """

    method: Method
    steps: tuple[Step, ...]
    checks: tuple[Check, ...]
    whole: tuple[Sum, Sum, Sum]
    forces: tuple[float, ...]
    reactions: tuple[float, ...]


def sum_along(direction: Vector, forces: Iterable[Acting]) -> Sum:
    """Write the sum of forces along a unit vector."""
    along_x, along_y = direction
    terms = [Term(a, a.direction[0] * along_x + a.direction[1] * along_y) for a in forces]
    kept = tuple(term for term in terms if abs(term.factor) > PARALLEL)
    if along_y == 0.0:
        return Sum("x", kept, direction)
    return Sum("y" if along_x == 0.0 else "along", kept, direction)


def sum_moment(
    point: Vector, forces: Iterable[tuple[Acting, Vector]], joint: str | None = None
) -> Sum:
    """Write the sum of moments about a point, of forces each with where it acts."""
    terms = []
    size = 0.0
    for acting, (x, y) in forces:
        arm_x, arm_y = x - point[0], y - point[1]
        size = max(size, abs(arm_x), abs(arm_y))
        terms.append(Term(acting, arm_x * acting.direction[1] - arm_y * acting.direction[0]))
    kept = tuple(term for term in terms if abs(term.factor) > PARALLEL * size)
    return Sum("moment", kept, point=point, joint=joint)
