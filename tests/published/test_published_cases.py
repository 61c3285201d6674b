"""Forty-five worked examples and hard cases, each against the source named in its test's id.

The values of `published` are the sources' own, as printed, with the slips that
are known listed here; `recomputed` is an independent recalculation of the same
cases in exact or dense arithmetic, kept with them.
"""

import json
import math
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from model.errors import InputError
from model.job import read_job
from model.truss import Load, MemberProperties, Support, Truss
from solver.joints import joint_by_joint
from solver.reasons import connected_parts
from solver.solution import Solution
from solver.solve import result_of, solve
from solver.steps import JointStep, PartStep
from solver.warnings import warnings_of
from solver.zero_force import zero_force_members

Case = dict[str, Any]
CASES: list[Case] = json.loads(Path(__file__).with_name("cases.json").read_text())
STATUS = {
    "determinate": "determinate",
    "stable": "determinate",
    "indeterminate": "redundant",
    "unstable": "unstable",
    "rejected": "rejected",
}
#: Printed values that equilibrium, and the rest of the same page, contradict.
KNOWN_SLIPS = {"TU-1": {"member B-C": (240, 600.0)}}


def source(case: Case) -> str:
    of = case["source"]
    return f"{case['id']}: {of['author']}, {of['title']}, {of['ref']}"


def every(cases: list[Case]) -> Any:
    return pytest.mark.parametrize("case", [pytest.param(c, id=source(c)) for c in cases])


def truss_of(case: Case) -> Truss:
    names = tuple(case["joints"])
    index = {name: position for position, name in enumerate(names)}
    misfit = case.get("lack_of_fit", {})
    return Truss(
        joints=names,
        points=np.array(list(case["joints"].values()), dtype=float),
        members=np.array([[index[a], index[b]] for a, b, *_ in case["members"]]),
        supports=tuple(
            Support(joint, s["type"], s.get("normal_deg", 90.0))
            for joint, s in case["supports"].items()
        ),
        loads=tuple(Load(load["joint"], load["fx"], load["fy"]) for load in case["loads"]),
        properties=tuple(
            MemberProperties(
                *(reversed(stiffness) if stiffness else (None, None)),
                length_error=misfit.get(f"{a}-{b}"),
            )
            for a, b, *stiffness in case["members"]
        ),
        alike=len(case["members"][0]) == 2,
    )


def member_index(case: Case) -> dict[str, int]:
    return {f"{a}-{b}": position for position, (a, b, *_) in enumerate(case["members"])}


def found_values(case: Case, solution: Solution) -> dict[str, float]:
    """Everything a source might print, by name."""
    assert solution.forces is not None
    found: dict[str, float] = {}
    for name, position in member_index(case).items():
        found[f"member {name}"] = float(solution.forces[position])
    for joint, (x, y) in solution.reaction_at.items():
        found |= {f"reaction {joint}x": x, f"reaction {joint}y": y}
    if solution.displacements is not None:
        for joint, (x, y) in zip(case["joints"], solution.displacements.tolist(), strict=True):
            found |= {
                f"moves {joint}x": x,
                f"moves {joint}y": y,
                f"moves {joint}": math.hypot(x, y),
            }
    if len(case["members"][0]) > 2:
        areas = np.array([member[3] for member in case["members"]])
        stresses = solution.forces / areas
        for name, position in member_index(case).items():
            found[f"stress {name}"] = float(stresses[position])
        found["max_abs_stress"] = found["max_abs_stress_ksi"] = float(np.abs(stresses).max())
        found["volume_cm3"] = float(areas @ solution.truss.lengths)
        # Aluminium of 0.1 lb per cubic inch, as the source has it.
        found["weight_lb"] = 0.1 * found["volume_cm3"]
    return found


def printed_values(case: Case) -> dict[str, float]:
    """What the source prints, by the same names."""
    published = case["published"]
    printed: dict[str, float] = {}
    for name, value in published.get("members", {}).items():
        printed[f"member {name}"] = value
    for name, value in published.get("stresses", {}).items():
        printed[f"stress {name}"] = value
    for what, entry in (("reaction", "reactions"), ("moves", "displacements")):
        for joint, (x, y) in published.get(entry, {}).items():
            if x == "norm":
                printed[f"{what} {joint}"] = y
                continue
            printed |= {f"{what} {joint}x": x, f"{what} {joint}y": y}
    printed |= published.get("scalar", {})
    return {name: value for name, value in printed.items() if value is not None}


def test_all_forty_five_cases_are_here() -> None:
    assert len({case["id"] for case in CASES}) == 45
    for case in CASES:
        assert case["published"] or case.get("expect"), case["id"]


@every([case for case in CASES if printed_values(case)])
def test_the_printed_values_come_out(case: Case) -> None:
    found = found_values(case, solve(truss_of(case)))
    within = case["tolerance"]
    slips = {}
    for name, printed in printed_values(case).items():
        absolute = within["abs"]
        if name.startswith("moves"):
            absolute = within.get("abs_u", absolute)
        if abs(found[name] - printed) > max(within["rel"] * abs(printed), absolute):
            slips[name] = (printed, pytest.approx(found[name]))
    assert slips == KNOWN_SLIPS.get(case["id"], {})


@every([case for case in CASES if "zero_members" in case["published"]])
def test_the_printed_members_without_force_come_out(case: Case) -> None:
    told = zero_force_members(solve(truss_of(case)))
    positions = member_index(case)
    assert {zero.member for zero in told} == {
        positions[name] for name in case["published"]["zero_members"]
    }


@every([case for case in CASES if "count" in case["published"]])
def test_the_printed_count_of_redundants_comes_out(case: Case) -> None:
    assert solve(truss_of(case)).redundants == case["published"]["count"]["s"]


@every([case for case in CASES if "expect" in case])
def test_a_hard_case_ends_as_it_should(case: Case) -> None:
    expect, truss = case["expect"], truss_of(case)
    solution = solve(truss)
    assert solution.status == STATUS[expect["status"]]
    if "mechanisms" in expect:
        assert len(solution.mechanisms) == expect["mechanisms"]
        assert solution.redundants == expect["self_stress"]
    if "components" in expect:
        assert len(connected_parts(truss)) == expect["components"]
    if "cond_min" in expect:
        assert solution.condition >= expect["cond_min"]
        assert any("close to critical" in warning for warning in warnings_of(solution))
        assert solution.residual < 1e-10 * np.abs(solution.loads).max()
    if "duplicates" in expect:
        joined_twice = [w for w in warnings_of(solution) if "two members" in w]
        assert len(joined_twice) == expect["duplicates"]
    if "reason" in expect:
        assert expect["reason"] in (solution.reason or "")
    for position, force in expect.get("member_by_index", {}).items():
        assert solution.forces is not None
        assert solution.forces[int(position)] == pytest.approx(force)
    if expect.get("all_members_zero"):
        assert solution.forces is not None
        assert np.abs(solution.forces).max() < 1e-12
    for joint in expect.get("reaction_sign", {}):
        assert solution.reaction_at[joint][1] < 0
        assert any(
            f"roller at joint {joint} would lift" in warning for warning in warnings_of(solution)
        )


@every([case for case in CASES if case["recomputed"]["status"] != "rejected"])
def test_rank_and_forces_agree_with_the_recalculation(case: Case) -> None:
    recomputed = case["recomputed"]
    solution = solve(truss_of(case))
    assert solution.status == STATUS[recomputed["status"]]
    assert len(solution.mechanisms) == recomputed["mechanisms"]
    assert solution.redundants == recomputed["s"]
    if solution.status == "unstable":
        moving = np.abs(solution.mechanisms).max(axis=(0, 2)) > 1e-9
        named = [name for name, moves in zip(case["joints"], moving.tolist(), strict=True) if moves]
        assert named == recomputed["moving_joints"]
        assert solution.reason is not None
        assert re.search(rf"[Jj]oints? ({'|'.join(case['joints'])})\b", solution.reason)
        return
    assert solution.forces is not None
    forces = np.array(list(recomputed["members"].values()))
    scale = max(np.abs(forces).max(), np.abs(solution.loads).max())
    np.testing.assert_allclose(solution.forces, forces, rtol=2e-6, atol=2e-6 * scale)
    for joint, reaction in recomputed["reactions"].items():
        np.testing.assert_allclose(solution.reaction_at[joint], reaction, atol=2e-6 * scale)
    for joint, moved in recomputed.get("displacements", {}).items():
        assert solution.displacements is not None
        found = solution.displacements[solution.truss.index[joint]]
        largest = np.abs(solution.displacements).max()
        np.testing.assert_allclose(found, moved, rtol=2e-6, atol=2e-6 * largest)


@every([case for case in CASES if "joint_method" in case["recomputed"]])
def test_joint_by_joint_goes_as_far_as_it_can(case: Case) -> None:
    solution = solve(truss_of(case))
    working = joint_by_joint(solution)
    assert solution.forces is not None
    scale = solution.largest
    np.testing.assert_allclose(working.forces, solution.forces, atol=1e-9 * scale)
    assert all(check.residual < 1e-9 * scale for check in working.checks)
    rules = {step.rule for step in working.steps if isinstance(step, JointStep)}
    beyond = rules & {"straight pair"} or working.method in ("with sections", "simultaneous")
    taken = {"joints": "yes", "reactions first": "after reactions"}.get(working.method, "")
    assert ("stalls" if beyond else taken) == case["recomputed"]["joint_method"]
    if case["recomputed"]["joint_method_with_perpendicular_step"] != "stalls":
        assert working.method in ("joints", "reactions first")


@every([case for case in CASES if "zero_by_rules" in case["recomputed"]])
def test_members_without_force_agree_by_rules_and_by_forces(case: Case) -> None:
    solution = solve(truss_of(case))
    positions = member_index(case)
    told = zero_force_members(solution)
    by_rules = {zero.member for zero in told if zero.rule != "this load only"}
    assert by_rules == {positions[name] for name in case["recomputed"]["zero_by_rules"]}
    assert {zero.member for zero in told} == {
        positions[name] for name in case["recomputed"]["zero_members"]
    }


def test_the_shallow_toggle_is_not_to_be_trusted() -> None:
    """CF-9: the linear answer moves the joint by 500 times the rise."""
    case = next(case for case in CASES if case["id"] == "CF-9")
    told = warnings_of(solve(truss_of(case)), "kN")
    assert any("close to critical" in warning and "500 times" in warning for warning in told)
    assert any("Joint D would move by 0.5" in warning for warning in told)


def test_the_fink_roof_needs_the_sum_across_the_rafter() -> None:
    """ES-F1, and HB-1 (its coefficients are from memory): no joint has two unknowns left."""
    for case in (case for case in CASES if case["id"] in ("ES-F1", "HB-1")):
        steps = joint_by_joint(solve(truss_of(case))).steps
        assert isinstance(steps[0], PartStep)
        assert steps[0].whole
        assert any(isinstance(s, JointStep) and s.rule == "straight pair" for s in steps)


def job_of(case: Case) -> dict[str, Any]:
    return {
        "format": "inkstrut-job",
        "version": 1,
        "units": {"length": "m", "force": "kN"},
        "joints": {name: {"x": x, "y": y} for name, (x, y) in case["joints"].items()},
        "members": [
            {"a": a, "b": b} | (dict(zip(("modulus", "area"), rest, strict=True)) if rest else {})
            for a, b, *rest in case["members"]
        ],
        "supports": [
            {"joint": joint, "kind": s["type"], "angle_deg": s.get("normal_deg", 90.0)}
            for joint, s in case["supports"].items()
        ],
        "loads": case["loads"],
        "alike": len(case["members"][0]) == 2,
    }


@every([case for case in CASES if case["id"] not in ("HC-10", "HC-11", "CF-7")])
def test_the_result_document_says_the_same(case: Case) -> None:
    solution = solve(truss_of(case))
    result = result_of(read_job(job_of(case)))
    assert result.status == solution.status
    assert result.counts.mechanisms == len(solution.mechanisms)
    assert result.reason == solution.reason
    if solution.forces is not None:
        np.testing.assert_allclose([m.force for m in result.members], solution.forces)
        assert result.reactions == solution.reaction_at


@pytest.mark.parametrize(
    ("name", "said"),
    [("HC-10", "Member 2 (A-B) is there twice"), ("HC-11", "(D-D2) has no length")],
)
def test_a_job_refuses_what_the_solver_would_not_take(name: str, said: str) -> None:
    case = next(case for case in CASES if case["id"] == name)
    with pytest.raises(InputError, match=said.replace("(", r"\(").replace(")", r"\)")):
        read_job(job_of(case))
