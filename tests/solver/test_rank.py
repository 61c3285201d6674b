"""Mechanisms and redundants: counts known beforehand, and motions without change of length."""

import numpy as np
import pytest

from model.truss import Load, Support, Truss
from solver.equilibrium import equilibrium_matrix
from solver.rank import rank_of
from solver.solve import solve


def ladder(panels: int, diagonals: int) -> Truss:
    """A gangway of square panels, a diagonal in the first of them, on a pin and a roller."""
    points = np.array([(float(i), float(j)) for i in range(panels + 1) for j in (0, 1)])
    members = [(2 * i, 2 * i + 1) for i in range(panels + 1)]
    members += [(2 * i + j, 2 * i + 2 + j) for i in range(panels) for j in (0, 1)]
    members += [(2 * i, 2 * i + 3) for i in range(diagonals)]
    names = tuple(f"J{i}" for i in range(len(points)))
    return Truss(
        names,
        points,
        np.array(members),
        (Support("J0", "pin"), Support(names[2 * panels], "roller")),
    )


@pytest.mark.parametrize(
    ("panels", "missing"),
    [(4, 0), (4, 1), (4, 3), (250, 0), (250, 1), (250, 5), (250, 20)],
)
def test_every_panel_without_diagonal_can_move(panels: int, missing: int) -> None:
    """Dense below 600 equations, sparse above: 250 panels have 1,004."""
    matrix = equilibrium_matrix(ladder(panels, panels - missing))
    rank = rank_of(matrix)
    assert len(rank.mechanisms) == missing
    assert rank.redundants == 0
    for mechanism in rank.mechanisms:
        assert np.abs(matrix.T @ mechanism.ravel()).max() < 1e-9
        assert np.hypot(*mechanism.T).max() == pytest.approx(1.0)


@pytest.mark.parametrize("panels", [5, 220])
def test_crossed_panels_are_redundant_once_each(panels: int) -> None:
    truss = ladder(panels, panels)
    crossed = [(2 * i + 1, 2 * i + 2) for i in range(3)]
    more = Truss(truss.joints, truss.points, np.vstack([truss.members, crossed]), truss.supports)
    rank = rank_of(equilibrium_matrix(more))
    assert (len(rank.mechanisms), rank.redundants) == (0, 3)


def test_mechanisms_of_different_panels_are_told_apart() -> None:
    """Loose posts at both ends move one at a time, not as a mixture of the two."""
    truss = ladder(3, 3)
    loose = np.array([[0.0, 3.0], [3.0, 3.0]])
    more = Truss(
        (*truss.joints, "P", "Q"),
        np.vstack([truss.points, loose]),
        np.vstack([truss.members, [[1, 8], [7, 9]]]),
        truss.supports,
    )
    moving = [
        set(np.flatnonzero(m.any(axis=1))) for m in rank_of(equilibrium_matrix(more)).mechanisms
    ]
    assert sorted(map(sorted, moving)) == [[8], [9]]


@pytest.mark.parametrize("offset", [1e-9, 1e-6, 1e-3])
def test_a_toggle_is_stable_as_soon_as_it_has_a_rise(offset: float) -> None:
    """Bar forces are half the load over the slope, whatever digits that leaves."""
    truss = Truss(
        ("A", "D", "B"),
        np.array([[0.0, 0.0], [1.0, offset], [2.0, 0.0]]),
        np.array([[0, 1], [1, 2]]),
        (Support("A", "pin"), Support("B", "pin")),
        (Load("D", 0.0, -1.0),),
    )
    solution = solve(truss)
    assert solution.status == "determinate"
    assert solution.forces is not None
    np.testing.assert_allclose(solution.forces, -0.5 * np.hypot(1.0, offset) / offset, rtol=1e-6)


def test_a_long_girder_is_not_taken_for_a_mechanism() -> None:
    """Ten thousand panels: singular values over seven powers of ten, and still determinate."""
    solution = solve(ladder(10_000, 10_000))
    assert solution.status == "determinate"
    assert solution.condition > 1e6
    broken = solve(ladder(10_000, 9_999))
    assert broken.status == "unstable"
    assert len(broken.mechanisms) == 1


def test_very_many_mechanisms_are_counted_and_the_first_worked_out() -> None:
    truss = ladder(400, 300)
    rank = rank_of(equilibrium_matrix(truss))
    assert rank.freedoms == 100
    assert rank.redundants == 0
    assert len(rank.mechanisms) == 64
    for mechanism in rank.mechanisms:
        assert np.abs(equilibrium_matrix(truss).T @ mechanism.ravel()).max() < 1e-8
