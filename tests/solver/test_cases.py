"""Load cases, combinations and envelopes against direct solves."""

from dataclasses import replace

import numpy as np
import pytest

from model.errors import InputError
from model.job import read_job
from model.truss import Load, MemberProperties, Support, Truss
from solver.cases import combinations_of, envelope, envelope_of, solve_cases
from solver.solve import result_of, solve

#: A square of 4 m with both diagonals, held at A and B.
TRUSS = Truss(
    ("A", "B", "C", "D"),
    np.array([(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)]),
    np.array([(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3)]),
    (Support("A", "pin"), Support("B", "pin", settlement=(0.0, -0.01))),
    (
        Load("C", 0.0, -10.0, "dead"),
        Load("D", 0.0, -10.0, "dead"),
        Load("D", 6.0, 0.0, "wind"),
        Load("C", 0.0, -1.0),
    ),
    tuple(
        MemberProperties(1.0, 2e4, None, warmer, 1e-5, None, 0.25)
        for warmer in (None, None, 20.0, None, None, None)
    ),
)


def direct(factors: dict[str | None, float]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    solution = solve(TRUSS, factors)
    assert solution.forces is not None
    assert solution.reactions is not None
    assert solution.displacements is not None
    return solution.forces, solution.reactions, solution.displacements


def test_every_case_is_there_once() -> None:
    names = solve_cases(TRUSS).names
    assert names == ("dead", "wind", None, "self-weight", "temperature", "settlement")


def test_a_combination_is_the_same_as_solving_it() -> None:
    """What stands by itself counts once unless it is given a factor."""
    found = solve_cases(TRUSS).combined({"dead": 1.35, "wind": 1.5, "self-weight": 1.2})
    forces, reactions, moved = direct(
        {
            "dead": 1.35,
            "wind": 1.5,
            "self-weight": 1.2,
            None: 1.0,
            "temperature": 1.0,
            "settlement": 1.0,
        }
    )
    np.testing.assert_allclose(found.forces, forces, atol=1e-9)
    np.testing.assert_allclose(found.reactions, reactions, atol=1e-9)
    assert found.displacements is not None
    np.testing.assert_allclose(found.displacements, moved, atol=1e-12)


def test_all_cases_together_are_the_truss_as_it_stands() -> None:
    cases = solve_cases(TRUSS)
    forces = solve(TRUSS).forces
    assert forces is not None
    np.testing.assert_allclose(cases.forces.sum(axis=1), forces, atol=1e-9)


def test_the_envelope_names_what_governs() -> None:
    combinations = {"still": {"dead": 1.35}, "storm": {"dead": 1.0, "wind": 1.5}}
    found = envelope(solve_cases(TRUSS), combinations)
    each = np.stack([solve_cases(TRUSS).combined(f).forces for f in combinations.values()], -1)
    np.testing.assert_array_equal(found.lowest, each.min(axis=1))
    np.testing.assert_array_equal(found.highest, each.max(axis=1))
    diagonal = TRUSS.members.tolist().index([0, 2])  # the wind pulls at it
    assert found.names[found.highest_by[diagonal]] == "storm"
    post = TRUSS.members.tolist().index([3, 0])
    assert found.names[found.lowest_by[post]] == "still"
    for way, by in ((found.lowest_reactions, found.lowest_reactions_by),):
        np.testing.assert_array_equal(way, found.reactions[np.arange(len(by)), by])


def test_an_unknown_case_is_refused_by_name() -> None:
    with pytest.raises(InputError, match=r"'storm' names the case 'snow'.*dead, wind"):
        envelope(solve_cases(TRUSS), {"storm": {"snow": 1.0}})


def test_an_unstable_truss_is_refused_with_the_reason() -> None:
    with pytest.raises(InputError, match="too few supports"):
        solve_cases(replace(TRUSS, supports=TRUSS.supports[:1]))


def job(combinations: list[dict[str, object]]) -> dict[str, object]:
    return {
        "format": "inkstrut-job",
        "version": 1,
        "joints": {"A": {"x": 0, "y": 0}, "B": {"x": 8, "y": 0}, "C": {"x": 4, "y": 3}},
        "members": [{"a": "A", "b": "B"}, {"a": "A", "b": "C"}, {"a": "B", "b": "C"}],
        "supports": [{"joint": "A", "kind": "pin"}, {"joint": "B", "kind": "roller"}],
        "loads": [
            {"joint": "C", "fy": -6, "case": "dead"},
            {"joint": "C", "fx": 8, "case": "wind"},
        ],
        "combinations": combinations,
    }


def test_the_combinations_of_a_job_are_used() -> None:
    """Gable 3:4:5 by hand: dead -5 and -5 in the rafters, 4 in the tie; wind 5, -5 and 4."""
    found = envelope_of(
        read_job(
            job(
                [
                    {"name": "A", "factors": {"dead": 1.0}},
                    {"name": "B", "factors": {"dead": 1.0, "wind": 2.0}},
                ]
            )
        )
    )
    assert found.lowest == pytest.approx([4, -5, -15])
    assert found.highest == pytest.approx([12, 5, -5])
    assert [found.names[k] for k in found.lowest_by] == ["A", "A", "B"]


def test_the_result_document_carries_the_envelope() -> None:
    """The same gable: the right rafter between -15 by the wind and -5 without it."""
    named = [
        {"name": "A", "factors": {"dead": 1.0}},
        {"name": "B", "factors": {"dead": 1.0, "wind": 2.0}},
    ]
    result = result_of(read_job(job(named)))
    rafter = result.envelope[2]
    assert (rafter.a, rafter.b, rafter.lowest_by, rafter.highest_by) == ("B", "C", "B", "A")
    assert (rafter.lowest, rafter.highest) == (pytest.approx(-15), pytest.approx(-5))
    assert result_of(read_job(job([]))).envelope == []


def test_without_combinations_each_case_alone_and_all_together() -> None:
    assert combinations_of(read_job(job([]))) == {
        "dead": {"dead": 1.0},
        "wind": {"wind": 1.0},
        "all together": {"dead": 1.0, "wind": 1.0},
    }


def test_two_combinations_of_one_name_are_refused() -> None:
    twice = [{"name": "A", "factors": {"dead": 1.0}}] * 2
    with pytest.raises(InputError, match="Two combinations are named 'A'"):
        envelope_of(read_job(job(twice)))
