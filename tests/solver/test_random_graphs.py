"""Whatever is drawn gets an answer: random joints, members and supports on a small grid."""

from dataclasses import replace

import numpy as np
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from model.errors import InputError
from model.truss import Load, Support, Truss
from solver.equilibrium import equilibrium_matrix
from solver.joints import joint_by_joint
from solver.sections import section
from solver.solve import solve
from solver.warnings import warnings_of
from solver.zero_force import zero_force_members


@st.composite
def drawings(draw: DrawFn) -> Truss:
    """Up to seven joints at grid points, which makes critical forms and straight lines common."""
    places = draw(
        st.lists(
            st.tuples(st.integers(0, 3), st.integers(0, 2)), min_size=2, max_size=7, unique=True
        )
    )
    names = tuple("ABCDEFG"[: len(places)])
    pairs = [(a, b) for b in range(len(places)) for a in range(b)]
    members = draw(st.lists(st.sampled_from(pairs), unique=True, max_size=2 * len(places)))
    held = draw(st.lists(st.sampled_from(names), unique=True, max_size=3))
    supports = tuple(
        Support(name, *draw(st.sampled_from([("pin", 90.0), ("roller", 90.0), ("roller", 30.0)])))
        for name in held
    )
    loads = tuple(
        Load(name, *draw(st.sampled_from([(0, -6), (5, 0), (3, -4)]))) for name in names[1:3]
    )
    return Truss(
        names,
        np.array(places, dtype=float),
        np.array(members, dtype=int).reshape(-1, 2),
        supports,
        loads,
        alike=True,
    )


@settings(deadline=None, max_examples=300)
@given(drawings())
def test_the_counts_are_those_of_numpys_rank(truss: Truss) -> None:
    matrix = equilibrium_matrix(truss).toarray()
    rank = int(np.linalg.matrix_rank(matrix)) if matrix.size else 0
    solution = solve(truss)
    moves, spare = len(matrix) - rank, matrix.shape[1] - rank
    assert (solution.freedoms, solution.redundants) == (moves, spare)
    expected = "unstable" if moves else "redundant" if spare else "determinate"
    assert solution.status == expected
    assert len(solution.mechanisms) == moves
    if moves:
        assert solution.reason is not None
        assert np.linalg.matrix_rank(solution.mechanisms.reshape(moves, -1)) == moves
        assert np.abs(matrix.T @ solution.mechanisms.reshape(moves, -1).T).max(initial=0) < 1e-9


@settings(deadline=None, max_examples=300)
@given(drawings())
def test_reasons_are_whole_sentences(truss: Truss) -> None:
    solution = solve(truss)
    for said in [*warnings_of(solution), *([solution.reason] if solution.reason else [])]:
        assert said[0].isupper()
        assert said.endswith(".")
        assert "  " not in said
        assert " and  " not in said


@st.composite
def standing(draw: DrawFn) -> Truss:
    """Members in any order, each kept if it stiffens what is there: trusses of every kind."""
    drawn = draw(drawings())
    supports = (Support("A", "pin"), Support("B", "roller", draw(st.sampled_from([90.0, 30.0]))))
    pairs = [(a, b) for b in range(len(drawn.joints)) for a in range(b)]
    kept = replace(drawn, members=np.empty((0, 2), dtype=int), supports=supports)
    for pair in draw(st.permutations(pairs)):
        more = replace(kept, members=np.vstack([kept.members, [pair]]))
        columns = equilibrium_matrix(more).toarray()
        if np.linalg.matrix_rank(columns) == columns.shape[1]:
            kept = more
    # All joints on one line, or the roller in line with the pin, cannot be made to stand.
    assume(len(kept.members) + 3 == 2 * len(kept.joints))
    return kept


@settings(deadline=None, max_examples=200)
@given(standing())
def test_what_is_solved_can_be_worked_out(truss: Truss) -> None:
    solution = solve(truss)
    assert solution.status == "determinate"
    assert solution.forces is not None
    tolerance = 1e-9 * max(1.0, solution.largest)
    working = joint_by_joint(solution)
    np.testing.assert_allclose(working.forces, solution.forces, atol=tolerance)
    assert all(check.residual <= tolerance for check in working.checks)
    assert all(abs(total.known) <= 10 * tolerance for total in working.whole)
    still = {zero.member for zero in zero_force_members(solution)}
    assert still == set(np.flatnonzero(np.abs(solution.forces) <= 1e-9 * solution.largest))


@settings(deadline=None, max_examples=200)
@given(standing(), st.data())
def test_a_section_agrees_or_says_why_there_is_none(truss: Truss, data: st.DataObject) -> None:
    solution = solve(truss)
    member = data.draw(st.integers(0, len(truss.members) - 1))
    try:
        done = section(solution, member)
    except InputError as error:
        refused = str(error)
    else:
        refused = ""
        tolerance = 1e-9 * max(1.0, solution.largest)
        assert truss.member_name(member) in {name for name, _, _ in done.compared}
        for _, by_section, by_joints in done.compared:
            assert abs(by_section - by_joints) <= tolerance
    assert not refused or truss.member_name(member) in refused
