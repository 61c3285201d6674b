"""The front of the solver: reasons, warnings and refusals, each naming what it is about."""

import copy
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from model.errors import InputError
from model.job import read_job
from model.result import Result
from model.truss import Load, MemberProperties, Support, Truss
from solver.solve import result_of, solve
from solver.warnings import overlaps, warnings_of

#: The canoe rack: a braced square on a pin and a roller.
RACK = Truss(
    joints=tuple("ABCD"),
    points=np.array([[0, 0], [4, 0], [4, 3], [0, 3]], float),
    members=np.array([[0, 1], [1, 2], [2, 3], [3, 0], [0, 2]]),
    supports=(Support("A", "pin"), Support("B", "roller")),
    loads=(Load("D", 9.0, 0.0),),
)
JOB: dict[str, Any] = {
    "format": "inkstrut-job",
    "version": 1,
    "units": {"length": "m", "force": "kN"},
    "joints": {n: {"x": x, "y": y} for n, (x, y) in zip("ABCD", RACK.points.tolist(), strict=True)},
    "members": [{"a": "ABCD"[a], "b": "ABCD"[b]} for a, b in RACK.members.tolist()],
    "supports": [{"joint": "A", "kind": "pin"}, {"joint": "B", "kind": "roller"}],
    "loads": [{"joint": "D", "fx": 9.0}],
}


def job(**entries: Any) -> dict[str, Any]:
    return {**copy.deepcopy(JOB), **entries}


def result(**entries: Any) -> Result:
    return result_of(read_job(job(**entries)))


def reason(truss: Truss) -> str:
    solution = solve(truss)
    assert solution.status == "unstable"
    assert solution.reason is not None
    return solution.reason


def test_the_rack_is_solved_and_says_so() -> None:
    found = result()
    assert found.status == "determinate"
    assert found.counts.model_dump() == {
        "joints": 4, "members": 5, "reactions": 3, "mechanisms": 0, "redundants": 0,
    }  # fmt: skip
    by_name = {f"{m.a}{m.b}": m.force for m in found.members}
    # D: CD = -9.  C: the diagonal takes 9 along x: AC = 9 * 5 / 4, BC = -9 * 3 / 4.
    expected = {"AB": 0.0, "BC": -6.75, "CD": -9.0, "DA": 0.0, "AC": 11.25}
    assert by_name == {name: pytest.approx(force, abs=1e-12) for name, force in expected.items()}
    assert found.reactions["A"] == pytest.approx((-9.0, -6.75))
    assert found.largest_residual < 1e-10 * 9.0


def test_load_cases_are_counted_by_their_factors() -> None:
    loads = (Load("D", 9.0, 0.0, case="wind"), Load("C", 0.0, -5.0, case="canoes"))
    both = solve(replace(RACK, loads=loads), {"wind": 2.0})
    once = solve(RACK)
    assert both.forces is not None
    assert once.forces is not None
    np.testing.assert_allclose(both.forces, 2.0 * once.forces, atol=1e-12)


def test_no_load_has_no_force_but_is_solved() -> None:
    solution = solve(replace(RACK, loads=()))
    assert solution.status == "determinate"
    assert solution.forces is not None
    assert not solution.forces.any()


# Reasons ---------------------------------------------------------------------


def test_no_support_at_all() -> None:
    assert "has no support" in reason(replace(RACK, supports=()))


def test_too_few_supports_names_them_and_the_motion() -> None:
    said = reason(replace(RACK, supports=(Support("A", "pin"),)))
    assert "too few supports" in said
    assert "turn about joint A" in said
    said = reason(replace(RACK, supports=(Support("A", "roller"), Support("B", "roller"))))
    assert "too few supports" in said
    assert "joints A and B" in said


def test_parallel_rollers_let_it_slide() -> None:
    rollers = tuple(Support(name, "roller", 90.0) for name in "ABC")
    said = reason(replace(RACK, supports=rollers))
    assert "badly placed supports" in said
    assert "slide sideways" in said
    assert "joints A, B and C" in said


def test_reactions_through_one_point_let_it_turn() -> None:
    through = [("A", (2.0, 5.0)), ("B", (-2.0, 5.0)), ("D", (2.0, 2.0))]
    supports = tuple(
        Support(name, "roller", float(np.degrees(np.arctan2(y, x)))) for name, (x, y) in through
    )
    assert "turn about the point (2, 5)" in reason(replace(RACK, supports=supports))


def test_a_missing_diagonal_is_offered() -> None:
    said = reason(replace(RACK, members=RACK.members[:4]))
    assert "Too few members" in said
    assert "m + r = 7, 2j = 8" in said
    assert "from A to C" in said or "from B to D" in said


def test_a_missing_diagonal_hidden_by_a_redundant_support() -> None:
    pinned = (Support("A", "pin"), Support("B", "pin"))
    said = reason(replace(RACK, members=RACK.members[:4], supports=pinned))
    assert "Too few members hold joints C and D" in said


def test_a_critical_form_is_told_from_too_few_members() -> None:
    """Two triangles on three parallel links: nine members, and still loose."""
    truss = Truss(
        tuple("ABCDEF"),
        np.array([[0, 0], [4, 0], [2, 1], [0, 5], [4, 5], [2, 6]], float),
        np.array([[0, 1], [1, 2], [0, 2], [3, 4], [4, 5], [3, 5], [0, 3], [1, 4], [2, 5]]),
        (Support("A", "pin"), Support("B", "roller")),
    )
    assert "The form is critical" in reason(truss)


def with_joint(place: tuple[float, float], *members: tuple[int, int]) -> Truss:
    ends = np.array(members, dtype=int).reshape(-1, 2)
    return replace(
        RACK,
        joints=(*RACK.joints, "S"),
        points=np.vstack([RACK.points, place]),
        members=np.vstack([RACK.members, ends]),
    )


def test_a_stray_joint_is_named() -> None:
    assert "Joint S is a stray joint" in reason(with_joint((7.0, 7.0)))


def test_a_joint_on_one_member_is_named() -> None:
    assert "Joint S hangs on member CS alone" in reason(with_joint((7.0, 7.0), (2, 4)))


def test_a_joint_in_a_straight_line_is_named() -> None:
    truss = with_joint((8.0, 0.0), (1, 4))
    assert "Joint S hangs on member BS" in reason(truss)
    between = replace(truss, points=np.vstack([RACK.points, (2.0, 0.0)]))
    members = np.vstack([RACK.members[1:], [[0, 4], [4, 1]]])
    said = reason(replace(between, members=members))
    assert "Joint S lies on one straight line with A and B" in said


def test_a_part_not_joined_to_the_rest_is_named() -> None:
    truss = replace(
        RACK,
        joints=(*RACK.joints, "P", "Q", "R"),
        points=np.vstack([RACK.points, [[9, 0], [11, 0], [10, 2]]]),
        members=np.vstack([RACK.members, [[4, 5], [5, 6], [4, 6]]]),
    )
    said = reason(truss)
    assert "part with joints P, Q and R, not joined to the rest, has no support" in said
    assert len(solve(truss).mechanisms) == 3


def test_every_cause_has_its_sentence() -> None:
    truss = replace(with_joint((7.0, 7.0)), members=RACK.members[:4])
    said = reason(truss)
    assert "stray joint" in said
    assert "Too few members hold" in said


def test_the_result_lists_every_way_to_move() -> None:
    found = result(members=JOB["members"][:4], supports=JOB["supports"][:1])
    assert found.status == "unstable"
    assert found.counts.mechanisms == 2 == len(found.mechanisms)
    assert found.mechanism == found.mechanisms[0]
    for way in found.mechanisms:
        assert max(np.hypot(*move) for move in way.values()) == pytest.approx(1.0)


# Refusals --------------------------------------------------------------------


def test_nothing_drawn_is_refused() -> None:
    solution = solve(Truss((), np.empty((0, 2)), np.empty((0, 2), int)))
    assert (solution.status, "no joints" in (solution.reason or "")) == ("rejected", True)


@pytest.mark.parametrize("bad", [np.nan, np.inf, -np.inf])
def test_numbers_that_are_none_are_refused_by_name(bad: float) -> None:
    points = RACK.points.copy()
    points[2, 1] = bad
    solution = solve(replace(RACK, points=points))
    assert solution.status == "rejected"
    assert "Joint C" in (solution.reason or "")
    solution = solve(replace(RACK, loads=(Load("D", bad, 0.0),)))
    assert solution.status == "rejected"
    assert "load at joint D" in (solution.reason or "")


def test_joints_at_one_place_are_refused_by_name() -> None:
    points = RACK.points.copy()
    points[2] = points[1]
    solution = solve(replace(RACK, points=points))
    assert solution.status == "rejected"
    assert "joints B and C are at one place" in (solution.reason or "")


@pytest.mark.parametrize(
    ("entries", "said"),
    [
        ({"joints": JOB["joints"] | {"E": {"x": float("nan"), "y": 0}}}, "joints → E → x"),
        ({"loads": [{"joint": "D", "fx": "inf"}]}, "Load 1"),
        ({"loads": [{"joint": "D", "fx": 1e999}]}, "loads → 1"),
        ({"loads": [{"joint": "D", "fx": "3 m"}]}, r"Load 1 \(joint D\).*'3 m' is not a force"),
        ({"joints": JOB["joints"] | {"left foot": {"x": 1, "y": 1}}}, "'left foot'"),
        ({"joints": JOB["joints"] | {"<b>E</b>": {"x": 1, "y": 1}}}, "<b>E</b>"),
        ({"loads": [{"joint": "D", "fx": 1.0}] * 10_000}, "Joint D carries 10000 loads"),
        ({"members": [*JOB["members"], {"a": "A", "b": "Z"}]}, r"Member 6 \(A-Z\).*'Z'"),
        ({"members": [*JOB["members"], {"a": "A", "b": "A"}]}, "Member 6.*same joint"),
        ({"members": [{"a": "A", "b": "B", "area": "3 kN"}]}, "members → 1 → area"),
        ({"supports": [{"joint": "A", "kind": "fixed"}]}, "supports → 1 → kind"),
    ],
)
def test_bad_entries_are_refused_in_a_sentence_that_names_them(
    entries: dict[str, Any], said: str
) -> None:
    with pytest.raises(InputError, match=said) as refused:
        result(**entries)
    assert "\n" not in str(refused.value)
    assert str(refused.value).endswith(".")


def test_a_joint_without_coordinates_is_refused_by_name() -> None:
    with pytest.raises(InputError, match="Joint C"):
        result(joints=JOB["joints"] | {"C": {"x": None, "y": None}})


# Warnings --------------------------------------------------------------------


def test_a_slender_member_is_compared_with_eulers_load() -> None:
    """CD, 4 m long, carries 9 kN; pi^2 E I / L^2 = 9.87 * 8 / 16 = 4.93 kN for E I = 8 kN m2."""
    slender = MemberProperties(modulus=8.0, inertia=1.0)
    properties = tuple(slender if i == 2 else MemberProperties() for i in range(5))
    told = warnings_of(solve(replace(RACK, properties=properties)), "kN")
    (said,) = (warning for warning in told if "Euler" in warning)
    assert "Member CD is slender and would buckle" in said
    assert "compression of 9 kN is 1.8 times Euler's load of 4.935 kN" in said


def test_tension_and_stout_members_are_not_slender() -> None:
    stout = (MemberProperties(modulus=8e6, inertia=1.0),) * 5
    assert not warnings_of(solve(replace(RACK, properties=stout)))
    pulled = replace(RACK, loads=(Load("D", -9.0, 0.0),))
    thin = tuple(MemberProperties(modulus=8.0, inertia=float(i == 2) or None) for i in range(5))
    assert not any("CD" in w for w in warnings_of(solve(replace(pulled, properties=thin))))


def test_a_roller_that_would_lift_is_named() -> None:
    told = warnings_of(solve(replace(RACK, loads=(Load("D", -9.0, 0.0),))), "kN")
    (said,) = told
    assert "roller at joint B would lift off" in said
    assert "6.75 kN" in said


def test_loads_on_supports_are_told_only_where_the_support_takes_them() -> None:
    told = warnings_of(solve(replace(RACK, loads=(Load("A", 0.0, -5.0), Load("B", 3.0, 0.0)))))
    (said,) = told
    assert "load at joint A goes straight into the support" in said


def test_members_lying_on_each_other_are_told() -> None:
    through = with_joint((2.0, 0.0), (0, 4), (4, 2))
    (said,) = overlaps(through)
    assert "Joint S lies on member AB" in said
    twice = replace(RACK, members=np.vstack([RACK.members, [[1, 0]]]))
    (said,) = overlaps(twice)
    assert "Joints A and B are joined by two members" in said
    assert overlaps(RACK) == []


def test_a_crossing_without_joint_is_no_overlap() -> None:
    assert overlaps(replace(RACK, members=np.vstack([RACK.members, [[1, 3]]]))) == []


def test_overlaps_are_found_in_a_long_girder_too() -> None:
    n = 3000
    points = np.array([(float(i // 2), float(i % 2)) for i in range(n)])
    members = np.array([(i, i + 2) for i in range(n - 2)] + [(10, 16)])
    truss = Truss(tuple(f"J{i}" for i in range(n)), points, members)
    told = overlaps(truss)
    assert [said.split()[1] for said in told] == ["J12", "J14"]


def test_the_forces_of_a_form_close_to_critical_are_told() -> None:
    toggle = Truss(
        tuple("ABC"),
        np.array([[0, 0], [1, 0.001], [2, 0]], float),
        np.array([[0, 1], [1, 2]]),
        (Support("A", "pin"), Support("C", "pin")),
        (Load("B", 0.0, -1.0),),
    )
    (said,) = warnings_of(solve(toggle))
    assert "close to critical: member AB carries 500 times" in said
    assert warnings_of(solve(RACK)) == []
