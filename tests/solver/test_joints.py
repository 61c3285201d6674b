"""Joint by joint: the order, the sums and the checks of trusses worked by hand."""

from itertools import pairwise

import numpy as np
import pytest

from model.truss import Load, Support, Truss
from solver.joints import joint_by_joint
from solver.solve import solve
from solver.steps import JointStep, PartStep, SimultaneousStep, Working

#: The davit bracket: AC is the strut of a 3-4-5 triangle, BC the tie.
BRACKET = Truss(
    joints=("A", "B", "C"),
    points=np.array([[0.0, 0.0], [0.0, 3.0], [4.0, 3.0]]),
    members=np.array([[0, 2], [1, 2], [0, 1]]),
    supports=(Support("B", "pin"), Support("A", "roller", 0.0)),
    loads=(Load("C", 0.0, -12.0),),
)
#: The boathouse's jetty footbridge: four panels, verticals, diagonals towards the middle.
FOOTBRIDGE = Truss(
    joints=("A", "B", "C", "D", "E", "F", "G", "H"),
    points=np.array([[0, 0], [3, 0], [6, 0], [9, 0], [12, 0], [3, 4], [6, 4], [9, 4]], float),
    members=np.array(
        [
            *([0, 1], [1, 2], [2, 3], [3, 4], [0, 5], [5, 6], [6, 7], [7, 4]),
            *([1, 5], [2, 6], [3, 7], [5, 2], [2, 7]),
        ]
    ),
    supports=(Support("A", "pin"), Support("E", "roller")),
    loads=(Load("B", 0, -10.0), Load("C", 0, -10.0), Load("D", 0, -10.0)),
)


def worked(truss: Truss) -> Working:
    return joint_by_joint(solve(truss))


def test_the_bracket_starts_at_its_free_joint() -> None:
    working = worked(BRACKET)
    assert working.method == "joints"
    assert [step.joint for step in working.steps if isinstance(step, JointStep)] == ["C", "A", "B"]


def test_a_joint_shows_its_two_sums_with_numbers() -> None:
    step = worked(BRACKET).steps[0]
    assert isinstance(step, JointStep)
    assert [acting.name for acting in step.known] == ["load"]
    first, second = step.sums
    # Sum along y: -12 - 0.6 AC = 0 leaves AC alone; then along x: -0.8 AC - BC = 0.
    assert (first.kind, second.kind) == ("y", "x")
    assert first.known == -12.0
    assert [(t.acting.name, t.factor) for t in first.unknown] == [("AC", pytest.approx(-0.6))]
    strut, tie = step.found
    assert (strut.name, strut.sense, strut.force) == ("AC", "compression", pytest.approx(-20.0))
    assert (tie.name, tie.sense, tie.force) == ("BC", "tension", pytest.approx(16.0))


def test_components_are_to_each_other_as_run_to_rise() -> None:
    step = worked(BRACKET).steps[0]
    assert isinstance(step, JointStep)
    strut = step.found[0]
    assert strut.ratio == (4.0, 3.0)
    # The strut pushes joint C away from A: to the right and up.
    assert (strut.x, strut.y) == (pytest.approx(16.0), pytest.approx(12.0))
    assert strut.slope == (-4.0, -3.0)


def test_a_span_finds_its_reactions_first_by_moments_about_the_pin() -> None:
    working = worked(FOOTBRIDGE)
    assert working.method == "reactions first"
    whole = working.steps[0]
    assert isinstance(whole, PartStep)
    assert whole.whole
    assert whole.cut == ()
    (moments, roller), (_, pin_x), (_, pin_y) = whole.equations
    assert (moments.kind, moments.joint) == ("moment", "A")
    # 12 Ey = 10 (3 + 6 + 9): Ey = 15.
    assert moments.known == pytest.approx(-180.0)
    assert [t.factor for t in moments.unknown] == [12.0]
    assert (roller.name, roller.force) == ("Ey", pytest.approx(15.0))
    assert (pin_x.name, pin_x.force) == ("Ax", 0.0)
    assert (pin_y.name, pin_y.force) == ("Ay", pytest.approx(15.0))


def test_the_next_joint_is_a_neighbour_of_the_last() -> None:
    joints = [s.joint for s in worked(FOOTBRIDGE).steps if isinstance(s, JointStep)]
    neighbours = {frozenset(FOOTBRIDGE.joints[e] for e in ends) for ends in FOOTBRIDGE.members}
    steps_aside = [pair for pair in pairwise(joints) if frozenset(pair) not in neighbours]
    assert joints[0] == "A"
    assert len(steps_aside) <= 1


def test_every_equation_is_used_or_checked() -> None:
    for truss in (BRACKET, FOOTBRIDGE):
        working = worked(truss)
        found = sum(len(step.found) for step in working.steps)
        assert found == len(truss.members) + 3
        solved = {
            step.joint
            for step in working.steps
            if isinstance(step, JointStep) and step.rule == "two unknowns"
        }
        assert {check.joint for check in working.checks} == set(truss.joints) - solved
        assert all(check.residual < 1e-12 for check in working.checks)
        assert all(abs(total.known) < 1e-12 for total in working.whole)
        assert not any(total.unknown for total in working.whole)


def test_a_wrong_force_would_fail_the_closing_check() -> None:
    check = worked(FOOTBRIDGE).checks[-1]
    sums = [
        sum(term.factor for term in total.terms if term.acting.kind == "member")
        for total in check.sums
    ]
    assert any(abs(factor) > 0.1 for factor in sums)


def test_the_hexagon_says_that_it_is_stuck() -> None:
    """No joint with two members: moments for the reactions, then all equations together."""
    angles = np.radians([180, 120, 60, 0, -60, -120])
    points = np.column_stack([np.cos(angles), np.sin(angles)]) * 3.0
    points[1] += (0.4, 0.3)
    truss = Truss(
        tuple("ABCDEF"),
        points,
        np.array([[0, 1], [1, 2], [2, 3], [3, 4], [4, 5], [5, 0], [0, 3], [1, 4], [2, 5]]),
        (Support("A", "pin"), Support("D", "roller")),
        (Load("C", 0.0, -10.0),),
    )
    working = worked(truss)
    assert working.method == "simultaneous"
    last = working.steps[-1]
    assert isinstance(last, SimultaneousStep)
    assert len(last.found) == 9
    assert "solved together" in last.reason
    assert len(working.checks) == 6


def test_a_redundant_or_loose_truss_is_not_worked_by_joints() -> None:
    loose = Truss(("A", "B"), np.array([[0.0, 0.0], [1.0, 0.0]]), np.array([[0, 1]]))
    with pytest.raises(ValueError, match="support"):
        worked(loose)
