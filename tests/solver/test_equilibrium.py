"""The equilibrium matrix against hand-written equations and against geometry."""

import numpy as np
import pytest

from model.truss import Load, Support, Truss
from solver.equilibrium import columns, equilibrium_matrix, load_vector, reactions

#: Two panels of the davit bracket: a 3-4-5 triangle on a wall.
BRACKET = Truss(
    joints=("A", "B", "C"),
    points=np.array([[0.0, 0.0], [0.0, 3.0], [4.0, 3.0]]),
    members=np.array([[0, 2], [1, 2], [0, 1]]),
    supports=(Support("B", "pin"), Support("A", "roller", 0.0)),
    loads=(Load("C", 0.0, -12.0, case="crate"), Load("C", 5.0, 0.0, case="wind")),
)


def test_the_matrix_is_the_six_sums_written_by_hand() -> None:
    # Columns AC, BC, AB, Bx, By, Ax; rows the sums at A, B, C along x, then y.
    by_hand = [
        [0.8, 0.0, 0.0, 0.0, 0.0, 1.0],
        [0.6, 0.0, 1.0, 0.0, 0.0, 0.0],
        [0.0, 1.0, 0.0, 1.0, 0.0, 0.0],
        [0.0, 0.0, -1.0, 0.0, 1.0, 0.0],
        [-0.8, -1.0, 0.0, 0.0, 0.0, 0.0],
        [-0.6, 0.0, 0.0, 0.0, 0.0, 0.0],
    ]
    np.testing.assert_allclose(equilibrium_matrix(BRACKET).toarray(), by_hand)
    np.testing.assert_allclose(columns(BRACKET).dense(6), by_hand)


def test_loads_add_up_by_case() -> None:
    np.testing.assert_array_equal(load_vector(BRACKET), [0, 0, 0, 0, 5, -12])
    np.testing.assert_array_equal(load_vector(BRACKET, {"wind": 2.0}), [0, 0, 0, 0, 10, 0])


@pytest.mark.parametrize("angle", [0.0, 90.0, 180.0, 270.0, -90.0, 450.0, 30.0, 123.4])
def test_a_roller_pushes_along_its_angle(angle: float) -> None:
    truss = Truss(("A",), np.zeros((1, 2)), np.empty((0, 2), int), (Support("A", "roller", angle),))
    (direction,) = reactions(truss).directions
    expected = [np.cos(np.radians(angle)), np.sin(np.radians(angle))]
    np.testing.assert_allclose(direction, expected, atol=1e-15)
    if angle % 90.0 == 0.0:
        assert set(np.abs(direction).tolist()) == {0.0, 1.0}


def test_the_transpose_takes_small_movements_to_shortenings() -> None:
    """Virtual work: against the lengths of the moved members, to second order."""
    step = 1e-6 * np.random.default_rng(3).standard_normal((3, 2))
    moved = Truss(BRACKET.joints, BRACKET.points + step, BRACKET.members)
    shortening = (equilibrium_matrix(BRACKET).T @ step.ravel())[:3]
    np.testing.assert_allclose(shortening, BRACKET.lengths - moved.lengths, atol=1e-11)


def test_without_supports_and_members_there_are_only_rows() -> None:
    truss = Truss(("A", "B"), np.array([[0.0, 0.0], [1.0, 0.0]]), np.empty((0, 2), dtype=int))
    assert equilibrium_matrix(truss).shape == (4, 0)
