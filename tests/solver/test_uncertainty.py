"""Ranges of forces against hand-derived derivatives, differences and trusses drawn at random."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model.errors import InputError
from model.truss import Load, MemberProperties, Support, Truss
from solver.solve import solve
from solver.uncertainty import force_ranges, monte_carlo, sensitivities


def gable(tolerance: float | None = None) -> Truss:
    """Two rafters and a tie: 8 m wide, 3 m high, 12 kN at the top."""
    return Truss(
        ("A", "B", "C"),
        np.array([(0.0, 0.0), (8.0, 0.0), (4.0, 3.0)]),
        np.array([(0, 1), (0, 2), (1, 2)]),
        (Support("A", "pin"), Support("B", "roller")),
        (Load("C", 0.0, -12.0, tolerance=tolerance),),
    )


def panel(redundant: bool, seed: int = 1) -> Truss:
    """Two bays with everything that may strain them."""
    random = np.random.default_rng(seed)
    points = np.array([(0, 0), (3, 0), (6, 0), (0, 2.0), (3, 2.5), (6, 2.0)])
    points += random.uniform(-0.4, 0.4, points.shape)
    pairs = [(0, 1), (1, 2), (3, 4), (4, 5), (0, 3), (1, 4), (2, 5), (0, 4), (1, 5)]
    members = np.array(pairs + ([(1, 3), (2, 4)] if redundant else []))
    properties = tuple(
        MemberProperties(
            area=random.uniform(1, 2),
            modulus=1e3,
            temperature_change=random.uniform(-50, 50),
            expansion=1e-5,
            length_error=random.uniform(-0.01, 0.01),
            weight_per_length=random.uniform(0, 1),
        )
        for _ in members
    )
    return Truss(
        tuple("ABCDEF"),
        points,
        members,
        (Support("A", "pin"), Support("C", "roller", 100.0, (0.001, -0.01))),
        (Load("E", 3.0, -10.0, tolerance=0.5), Load("F", 1.0, -4.0)),
        properties,
    )


def forces(truss: Truss) -> np.ndarray:
    return np.array(solve(truss).unknowns)


def test_the_derivatives_of_a_gable_by_hand() -> None:
    """Raising the top by dh: tie P a / 2 h, so -P a / 2 h^2; rafter -P r / 2 h, and so on."""
    found = sensitivities(gable()).points
    half, height, load = 4.0, 3.0, 12.0
    rafter = math.hypot(half, height)
    assert found[0, 2, 1] == pytest.approx(-load * half / (2 * height**2))
    by_height = -load / 2 * (1 / rafter - rafter / height**2)
    assert found[1, 2, 1] == pytest.approx(by_height)
    assert found[2, 2, 1] == pytest.approx(by_height)
    # The top moved along: By = P x / 8.
    assert found[5, 2, 0] == pytest.approx(load / 8)
    assert found[3, 2].tolist() == pytest.approx([0.0, 0.0], abs=1e-12)


@given(st.booleans(), st.integers(0, 10**6))
@settings(max_examples=15, deadline=None)
def test_derivatives_agree_with_central_differences(redundant: bool, seed: int) -> None:
    truss = panel(redundant, seed)
    found = sensitivities(truss)
    step = 1e-5
    for joint, name in enumerate(truss.joints):
        for axis in (0, 1):
            moved = np.zeros_like(truss.points)
            moved[joint, axis] = step
            ahead = forces(replace(truss, points=truss.points + moved))
            behind = forces(replace(truss, points=truss.points - moved))
            column = found.points[:, joint, axis]
            np.testing.assert_allclose(
                column, (ahead - behind) / (2 * step), atol=1e-5 * np.abs(found.points).max()
            )
            unit = [0.0, 0.0]
            unit[axis] = 1.0
            more = forces(replace(truss, loads=(*truss.loads, Load(name, *unit))))
            np.testing.assert_allclose(found.loads[:, joint, axis], more - forces(truss), atol=1e-9)


@given(st.integers(0, 10**6))
@settings(max_examples=10, deadline=None)
def test_stiffness_plays_no_part_in_a_determinate_truss(seed: int) -> None:
    truss = panel(False, seed)
    weights = [
        replace(MemberProperties(), weight_per_length=p.weight_per_length) for p in truss.properties
    ]
    bare = replace(truss, properties=tuple(weights))
    np.testing.assert_allclose(sensitivities(bare).points, sensitivities(truss).points, atol=1e-7)


@given(st.integers(0, 10**6))
@settings(max_examples=10, deadline=None)
def test_moving_or_swelling_the_whole_changes_nothing(seed: int) -> None:
    """Forces under fixed loads depend on shape alone: not on place or size."""
    truss = replace(panel(False, seed), properties=())
    found = sensitivities(truss).points
    size = np.abs(found).max()
    np.testing.assert_allclose(found.sum(axis=1), 0.0, atol=1e-9 * size)
    np.testing.assert_allclose(np.einsum("knx,nx->k", found, truss.points), 0.0, atol=1e-9 * size)


def test_a_load_alone_by_hand() -> None:
    """12 kN and 0.6 kN more or less: every force 5 % more or less, one load to blame."""
    found = force_ranges(gable(0.6))
    np.testing.assert_allclose(found.worst, 0.05 * np.abs(found.forces), atol=1e-12)
    np.testing.assert_allclose(found.root_sum_square, found.worst)
    (only,) = found.ranking
    assert (only.what, only.share, only.on) == ("load 1 at C", pytest.approx(1.0), 1)
    assert only.most == pytest.approx(0.5)


def test_the_ranges_hold_a_monte_carlo_check() -> None:
    for redundant in (True, False):
        truss = panel(redundant)
        covariance = np.eye(12) * 0.002**2
        found = force_ranges(truss, covariance)
        drawn = monte_carlo(truss, covariance, draws=800, seed=7)
        np.testing.assert_allclose(drawn.deviations, found.root_sum_square, rtol=0.1)
        assert drawn.unstable == 0
        assert (found.root_sum_square <= found.worst + 1e-12).all()


def test_errors_within_their_tolerances_stay_within_the_worst_case() -> None:
    truss = panel(True)
    tolerance = 0.001
    found = force_ranges(replace(truss, loads=truss.loads[1:]), np.eye(12) * tolerance**2)
    random = np.random.default_rng(3)
    for _ in range(200):
        off = tolerance * random.uniform(-1, 1, truss.points.shape)
        drawn = forces(replace(truss, points=truss.points + off, loads=truss.loads[1:]))
        assert (drawn >= found.lowest - 0.02 * found.worst).all()
        assert (drawn <= found.highest + 0.02 * found.worst).all()


def test_the_same_seed_draws_the_same() -> None:
    truss = gable(0.5)
    first, again = (monte_carlo(truss, draws=20, seed=3) for _ in range(2))
    np.testing.assert_array_equal(first.deviations, again.deviations)
    assert not np.array_equal(first.deviations, monte_carlo(truss, draws=20, seed=4).deviations)


def test_the_dimension_that_matters_most_comes_first() -> None:
    """The same error of 0.1 m in the height moves the forces more than in the width."""
    height, width = np.zeros(6), np.zeros(6)
    height[5] = 0.1
    width[2], width[4] = 0.1, 0.05
    found = force_ranges(gable(), shifts={"width": width, "height": height})
    assert [one.what for one in found.ranking] == ["height", "width"]
    assert sum(one.share for one in found.ranking) == pytest.approx(1.0)
    joined = np.outer(height, height) + np.outer(width, width)
    np.testing.assert_allclose(
        found.root_sum_square, force_ranges(gable(), joined).root_sum_square, atol=1e-12
    )


def test_joints_are_ranked_where_only_their_covariance_is_known() -> None:
    covariance = np.diag([0.0, 0.0, 1e-6, 1e-6, 1e-4, 1e-4])
    found = force_ranges(gable(0.01), covariance)
    assert found.ranking[0].what == "joint C"
    assert {one.what for one in found.ranking} == {"joint A", "joint B", "joint C", "load 1 at C"}


def test_nothing_uncertain_leaves_no_range() -> None:
    found = force_ranges(gable())
    assert found.ranking == ()
    np.testing.assert_array_equal(found.lowest, found.highest)


def test_a_truss_without_forces_has_no_ranges() -> None:
    with pytest.raises(InputError, match="too few supports"):
        force_ranges(replace(gable(), supports=gable().supports[:1]))


def test_a_dimension_may_act_in_several_ways() -> None:
    """Two independent errors of one dimension: squares add, the worst case adds sizes."""
    ways = np.zeros((6, 2))
    ways[5, 0], ways[2, 1] = 0.1, 0.1
    found = force_ranges(gable(), shifts={"both": ways})
    apart = [force_ranges(gable(), shifts={"one": way}).worst for way in ways.T]
    np.testing.assert_allclose(found.worst, apart[0] + apart[1])
    np.testing.assert_allclose(found.root_sum_square, np.hypot(*apart))
    assert [one.what for one in found.ranking] == ["both"]
