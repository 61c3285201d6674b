"""Members without force: each rule at a joint where it shows, and loads that cancel."""

import numpy as np
import pytest

from model.truss import Load, Support, Truss
from solver.solve import solve
from solver.zero_force import ZeroForce, zero_force_members


def mast(*loads: Load) -> Truss:
    """Signal mast: two braced panels, one on the other, on a pin and a roller."""
    return Truss(
        tuple("ABCDEF"),
        np.array([[0, 0], [2, 0], [0, 3], [2, 3], [0, 6], [2, 6]], float),
        np.array([[0, 1], [0, 2], [1, 3], [1, 2], [2, 3], [2, 4], [3, 5], [3, 4], [4, 5]]),
        (Support("A", "pin"), Support("B", "roller")),
        loads,
    )


def told(truss: Truss) -> dict[str, ZeroForce]:
    return {zero.name: zero for zero in zero_force_members(solve(truss))}


def test_two_members_at_a_bare_joint_have_no_force() -> None:
    found = told(mast(Load("E", 6.0, 0.0)))
    # F carries neither load nor support; its members are not on one line.
    for name in ("DF", "EF"):
        assert found[name].rule == "two members"
        assert found[name].joint == "F"
        assert "joint F" in found[name].reason


def test_the_rule_is_used_again_on_what_is_left() -> None:
    found = told(mast(Load("C", 6.0, 0.0)))
    # F first; then E is bare, for EF is gone; then at D, BD is left beside CD.
    assert [found[n].joint for n in ("EF", "CE", "DE")] == ["F", "E", "E"]
    assert {"DF", "EF", "CE", "DE", "CD", "BD"} <= set(found)


def test_a_member_across_a_straight_pair_has_no_force() -> None:
    truss = Truss(
        tuple("ABCD"),
        np.array([[0, 0], [8, 0], [4, 0], [4, 3]], float),
        np.array([[0, 2], [2, 1], [0, 3], [1, 3], [2, 3]]),
        (Support("A", "pin"), Support("B", "roller")),
        (Load("D", 0.0, -12.0),),
    )
    (zero,) = told(truss).values()
    assert (zero.name, zero.rule, zero.joint) == ("CD", "straight pair", "C")
    assert "AC and CB" in zero.reason


def test_a_load_along_one_of_two_members_leaves_the_other_without_force() -> None:
    found = told(mast(Load("F", 0.0, -5.0)))
    assert found["EF"].rule == "load in line"
    assert "the load and DF" in found["EF"].reason
    assert "DF" not in found


def test_loads_that_happen_to_cancel_are_said_to_do_so() -> None:
    """Half and half of a load on both feet of the square's top: the diagonal rests."""
    truss = mast(Load("C", -3.0, 0.0), Load("D", 3.0, 0.0))
    found = told(truss)
    assert found["BC"].rule == "this load only"
    assert found["BC"].joint is None
    assert "only for this load" in found["BC"].reason
    skewed = told(mast(Load("C", -3.0, 0.0), Load("D", 3.5, 0.0)))
    assert "BC" not in skewed


@pytest.mark.parametrize("joint", list("CDEF"))
@pytest.mark.parametrize("load", [(4.0, 0.0), (0.0, -4.0), (3.0, -4.0)])
def test_rules_and_forces_agree(joint: str, load: tuple[float, float]) -> None:
    truss = mast(Load(joint, *load))
    forces = solve(truss).forces
    assert forces is not None
    still = {truss.member_name(i) for i in range(9) if abs(forces[i]) < 1e-12}
    assert set(told(truss)) == still
