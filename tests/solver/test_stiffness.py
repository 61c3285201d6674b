"""Elastic trusses against textbook formulas, virtual work and a dense stiffness matrix."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from model.errors import InputError
from model.truss import Load, MemberProperties, Support, Truss
from solver.equilibrium import equilibrium_matrix, reactions
from solver.self_stress import self_stress_states
from solver.solution import Solution
from solver.solve import elastic, solve
from solver.stiffness import Imposed, axial_stiffness, respond


def strip(bays: int = 3, redundant: bool = True, seed: int = 0, angle: float = 90.0) -> Truss:
    """A girder of braced bays, joints a little off the grid, members of different E A."""
    random = np.random.default_rng(seed)
    points = np.array([(3.0 * (i // 2), 2.5 * (i % 2)) for i in range(2 * bays + 2)])
    points += random.uniform(-0.3, 0.3, points.shape)
    members = [(0, 1)]
    for bay in range(bays):
        a, b, c, d = range(2 * bay, 2 * bay + 4)
        members += [(a, c), (b, d), (c, d), (a, d)] + ([(b, c)] if redundant else [])
    names = tuple(f"J{i}" for i in range(len(points)))
    supports = [Support("J0", "pin"), Support(names[-2], "roller", angle)]
    if redundant:
        supports.append(Support(names[2], "roller", angle))
    loads = [Load(name, *random.uniform(-20, 20, 2)) for name in names[1::2]]
    properties = tuple(
        MemberProperties(area=float(area), modulus=2.0e5)
        for area in random.uniform(0.5, 3.0, len(members))
    )
    return Truss(names, points, np.array(members), tuple(supports), tuple(loads), properties)


@st.composite
def redundant(draw: DrawFn) -> Truss:
    angle = draw(st.sampled_from([90.0, 60.0, 101.3, 270.0]))
    return strip(draw(st.integers(2, 4)), True, draw(st.integers(0, 10**6)), angle)


def solved(truss: Truss) -> Solution:
    solution = solve(truss)
    assert solution.forces is not None, solution.reason
    return solution


def forces(truss: Truss) -> np.ndarray:
    found = solved(truss).forces
    assert found is not None
    return found


def moved(truss: Truss) -> np.ndarray:
    found = solved(truss).displacements
    assert found is not None
    return found


def with_properties(truss: Truss, **changes: object) -> Truss:
    """The same truss with something changed for every member; a list gives one value each."""
    properties = []
    for position, old in enumerate(truss.properties):
        now = {k: v[position] if isinstance(v, list) else v for k, v in changes.items()}
        properties.append(replace(old, **now))
    return replace(truss, properties=tuple(properties))


def three_bars(angle: float) -> Truss:
    """Three hangers of equal E A from a ceiling 1 m above joint D, the outer ones inclined."""
    out = math.tan(angle)
    return Truss(
        ("A", "B", "C", "D"),
        np.array([(-out, 1.0), (0.0, 1.0), (out, 1.0), (0.0, 0.0)]),
        np.array([(0, 3), (1, 3), (2, 3)]),
        tuple(Support(name, "pin") for name in "ABC"),
        (Load("D", 0.0, -10.0),),
        (MemberProperties(area=1.0, modulus=1000.0),) * 3,
    )


@pytest.mark.parametrize("angle", [0.3, 0.7, 1.2])
def test_three_hangers_share_as_the_textbook_says(angle: float) -> None:
    """Middle hanger P / (1 + 2 cos^3 a), outer P cos^2 a / (1 + 2 cos^3 a).

    S. Timoshenko, Strength of Materials, part I, statically indeterminate
    systems in tension and compression (from memory).
    """
    truss, cosine = three_bars(angle), math.cos(angle)
    middle = 10 / (1 + 2 * cosine**3)
    np.testing.assert_allclose(
        forces(truss), [middle * cosine**2, middle, middle * cosine**2], rtol=1e-12
    )
    assert moved(truss)[3] == pytest.approx([0, -middle / 1000], abs=1e-12)


def test_a_bar_between_walls_takes_its_temperature() -> None:
    """N = -E A a T: common practice."""
    bar = Truss(
        ("A", "B"),
        np.array([(0.0, 0.0), (4.0, 0.0)]),
        np.array([(0, 1)]),
        (Support("A", "pin"), Support("B", "pin")),
        properties=(MemberProperties(2.0, 210.0, temperature_change=30.0, expansion=1.2e-5),),
    )
    assert forces(bar) == pytest.approx([-2.0 * 210.0 * 1.2e-5 * 30.0])


def test_one_diagonal_made_short_stresses_a_square() -> None:
    """Unit-load method by hand: N = n e / sum(n^2 L / E A), n = 1 in the diagonals, -1/sqrt 2
    in the sides."""
    truss = Truss(
        ("A", "B", "C", "D"),
        np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]),
        np.array([(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3)]),
        (Support("A", "pin"), Support("B", "roller")),
        properties=(MemberProperties(1.0, 100.0),) * 4
        + (MemberProperties(1.0, 100.0, length_error=-0.001), MemberProperties(1.0, 100.0)),
    )
    diagonal = 0.001 / ((4 * 0.5 + 2 * math.sqrt(2)) / 100.0)
    expected = [-diagonal / math.sqrt(2)] * 4 + [diagonal] * 2
    np.testing.assert_allclose(forces(truss), expected, rtol=1e-12)


def test_displacements_of_a_determinate_truss_follow_from_virtual_work() -> None:
    """d = sum(N n L / E A) with n from a unit load there, for loads, misfits and settlement."""
    truss = strip(redundant=False)
    errors = np.linspace(-0.01, 0.02, len(truss.members)).tolist()
    truss = with_properties(truss, length_error=errors)
    settled = replace(truss.supports[1], settlement=(0.0, -0.05))
    truss = replace(truss, supports=(truss.supports[0], settled))
    change = forces(truss) * truss.lengths / axial_stiffness(truss).values + errors
    bare = replace(truss, properties=())
    for position, name in enumerate(truss.joints):
        for axis in (0, 1):
            unit = [0.0, 0.0]
            unit[axis] = 1.0
            virtual = solved(replace(bare, loads=(Load(name, *unit),)))
            assert virtual.forces is not None
            assert virtual.reactions is not None
            work = virtual.forces @ change - virtual.reactions[2] * -0.05
            assert moved(truss)[position, axis] == pytest.approx(work, abs=1e-12)


@given(redundant())
@settings(max_examples=30, deadline=None)
def test_a_dense_stiffness_matrix_gives_the_same(truss: Truss) -> None:
    """The direct stiffness method of the textbooks, supports held by transformed freedoms."""
    size = 2 * len(truss.joints)
    stiffness = np.zeros((size, size))
    units = truss.vectors / truss.lengths[:, None]
    axial = np.array([p.area * p.modulus for p in truss.properties]) / truss.lengths
    rows = []
    for (a, b), unit, value in zip(truss.members, units, axial, strict=True):
        row = np.zeros(size)
        row[2 * b : 2 * b + 2] = unit
        row[2 * a : 2 * a + 2] = -unit
        rows.append(row)
        stiffness += value * np.outer(row, row)
    held = np.zeros((0, size))
    for support in truss.supports:
        for direction in support.directions:
            row = np.zeros(size)
            at = truss.index[support.joint]
            row[2 * at : 2 * at + 2] = direction
            held = np.vstack([held, row])
    _, _, turned = np.linalg.svd(held)
    free = turned[len(held) :].T
    loads = truss.load_vector().ravel()
    d = free @ np.linalg.solve(free.T @ stiffness @ free, free.T @ loads)
    solution = solved(truss)
    np.testing.assert_allclose(moved(truss).ravel(), d, atol=1e-9 * np.abs(d).max())
    np.testing.assert_allclose(
        forces(truss), axial * (np.array(rows) @ d), atol=1e-9 * solution.largest
    )


@given(redundant())
@settings(max_examples=30, deadline=None)
def test_every_joint_balances_and_every_roller_is_kept(truss: Truss) -> None:
    settled = tuple(replace(s, settlement=(0.01, -0.02)) for s in truss.supports)
    solution = solved(replace(truss, supports=settled))
    assert solution.residual < 1e-10 * solution.largest
    held = reactions(truss)
    along = np.sum(moved(solution.truss)[held.joints] * held.directions, axis=1)
    np.testing.assert_allclose(along, held.directions @ [0.01, -0.02], atol=1e-12)


@given(redundant())
@settings(max_examples=30, deadline=None)
def test_loads_misfits_and_settlements_add_up(truss: Truss) -> None:
    errors = np.linspace(-0.001, 0.001, len(truss.members)).tolist()
    supports = (*truss.supports[:-1], replace(truss.supports[-1], settlement=(0.0, -0.01)))
    without = replace(truss, loads=())
    parts = [
        truss,
        with_properties(without, length_error=errors),
        replace(without, supports=supports),
    ]
    whole = with_properties(replace(truss, supports=supports), length_error=errors)
    np.testing.assert_allclose(
        forces(whole), sum(map(forces, parts)), atol=1e-9 * solved(whole).largest
    )
    np.testing.assert_allclose(moved(whole), sum(map(moved, parts)), atol=1e-10)


@given(redundant())
@settings(max_examples=20, deadline=None)
def test_displacements_are_reciprocal(truss: Truss) -> None:
    """J. C. Maxwell (1864), E. Betti (1872): a unit load here moves there as there moves here."""
    joints = len(truss.joints)
    units = np.eye(2 * joints).reshape(joints, 2, 2 * joints)
    everywhere = elastic(truss).respond(units).displacements
    assert everywhere is not None
    flexibility = everywhere.reshape(2 * joints, 2 * joints)
    np.testing.assert_allclose(flexibility, flexibility.T, atol=1e-9 * np.abs(flexibility).max())


@given(redundant())
@settings(max_examples=20, deadline=None)
def test_a_settlement_moves_the_joints_as_a_load_acts_on_the_support(truss: Truss) -> None:
    """H. Müller-Breslau: the deflected shape is the influence line of the reaction."""
    solver = elastic(truss)
    units = np.eye(2 * len(truss.joints)).reshape(len(truss.joints), 2, -1)
    under_loads = solver.respond(units).reactions[-1]
    settled = np.zeros(len(reactions(truss).joints))
    settled[-1] = 1.0
    shape = solver.respond(
        np.zeros_like(truss.points), Imposed(np.zeros(len(truss.members)), settled)
    ).displacements
    assert shape is not None
    np.testing.assert_allclose(-under_loads, shape.ravel(), atol=1e-9)


@given(redundant(), st.floats(0.01, 100.0))
@settings(max_examples=20, deadline=None)
def test_stiffer_material_moves_less_and_carries_the_same(truss: Truss, factor: float) -> None:
    stiffer = with_properties(truss, modulus=2.0e5 * factor)
    np.testing.assert_allclose(forces(stiffer), forces(truss), atol=1e-9 * solved(truss).largest)
    np.testing.assert_allclose(moved(stiffer) * factor, moved(truss), rtol=1e-7, atol=1e-13)


@given(redundant())
@settings(max_examples=20, deadline=None)
def test_states_of_self_stress_balance_and_span_all(truss: Truss) -> None:
    states = self_stress_states(truss)
    matrix = equilibrium_matrix(truss).toarray()
    assert len(states) == matrix.shape[1] - matrix.shape[0] == solve(truss).redundants
    assert np.linalg.matrix_rank(states) == len(states)
    np.testing.assert_allclose(matrix @ states.T, 0.0, atol=1e-9)
    without_load = with_properties(
        replace(truss, loads=()), length_error=[0.001 * i for i in range(len(truss.members))]
    )
    solution = solved(without_load)
    response = np.array(solution.unknowns)
    in_span = states.T @ np.linalg.lstsq(states.T, response, rcond=None)[0]
    np.testing.assert_allclose(in_span, response, atol=1e-9 * solution.largest)


@given(st.integers(1, 4), st.integers(0, 10**6))
@settings(max_examples=20, deadline=None)
def test_what_is_imposed_on_a_determinate_truss_strains_nothing(bays: int, seed: int) -> None:
    truss = replace(strip(bays, False, seed), loads=())
    warm = with_properties(truss, temperature_change=25.0, expansion=1.2e-5, length_error=0.01)
    settled = replace(warm.supports[1], settlement=(0.0, -0.1))
    warm = replace(warm, supports=(warm.supports[0], settled))
    assert np.abs(forces(warm)).max() < 1e-9
    stretched = 1.2e-5 * 25.0 * truss.lengths + 0.01
    ends = moved(warm)[truss.members]
    grown = np.sum((ends[:, 1] - ends[:, 0]) * truss.vectors, axis=1) / truss.lengths
    np.testing.assert_allclose(grown, stretched, atol=1e-12)


def test_own_weight_goes_half_to_each_end() -> None:
    truss = with_properties(replace(strip(), loads=()), weight_per_length=0.5)
    loads = truss.load_vector()
    assert loads[:, 1].sum() == pytest.approx(-0.5 * truss.lengths.sum())
    at_first = (truss.members == 0).any(axis=1)
    assert loads[0, 1] == pytest.approx(-0.25 * truss.lengths[at_first].sum())
    lifted = sum(y for _, y in solved(truss).reaction_at.values())
    assert lifted == pytest.approx(0.5 * truss.lengths.sum())
    assert truss.load_vector({"self-weight": 2.0}) == pytest.approx(2 * loads)
    assert not truss.load_vector({"live": 1.0}).any()


def test_members_without_area_are_as_the_others() -> None:
    truss = strip()
    alike = with_properties(truss, area=1.5)
    some = with_properties(alike, area=[1.5] + [None] * (len(truss.members) - 1))
    np.testing.assert_array_equal(forces(some), forces(alike))
    np.testing.assert_array_equal(moved(some), moved(alike))


def test_all_alike_gives_forces_but_no_displacements() -> None:
    truss = strip()
    bare = replace(truss, properties=(), alike=True)
    equal = with_properties(truss, area=1.0)
    np.testing.assert_allclose(forces(bare), forces(equal), atol=1e-9 * solved(equal).largest)
    assert solve(bare).displacements is None


def test_areas_alone_share_the_loads_when_the_material_is_alike() -> None:
    truss = strip()
    no_modulus = replace(with_properties(truss, modulus=None), alike=True)
    np.testing.assert_allclose(forces(no_modulus), forces(truss), rtol=1e-9, atol=1e-9)
    assert solve(no_modulus).displacements is None


def test_missing_stiffness_is_asked_for() -> None:
    truss = strip()
    unsaid = solve(replace(truss, properties=()))
    assert unsaid.status == "redundant"
    assert unsaid.forces is None
    assert "needs E and A" in (unsaid.reason or "")
    areas = [p.area for p in truss.properties]
    mixed = solve(with_properties(truss, area=[None, *areas[1:]]))
    assert mixed.forces is None
    assert "Member J0-J1 has no A" in (mixed.reason or "")
    alike = replace(truss, properties=(MemberProperties(length_error=0.01),) * 16, alike=True)
    assert "needs E and A" in (solve(alike).reason or "")


def test_a_temperature_needs_an_expansion() -> None:
    warm = solve(with_properties(strip(), temperature_change=10.0))
    assert warm.forces is None
    assert "coefficient of expansion" in (warm.reason or "")


def test_very_different_stiffnesses_lose_no_digits() -> None:
    """Three hangers, the middle one 1e12 times stiffer: it takes the load."""
    truss = three_bars(0.7)
    stiff = with_properties(truss, area=[1.0, 1e12, 1.0])
    outer = 10 * math.cos(0.7) ** 2 * 1e-12
    np.testing.assert_allclose(forces(stiff), [outer, 10.0, outer], rtol=1e-9)


def test_a_large_girder_is_solved_with_sparse_factors() -> None:
    """400 braced bays: 1604 freedoms; equilibrium holds to 1e-10 of the largest force."""
    truss = strip(400)
    response = respond(truss, truss.load_vector())
    matrix = equilibrium_matrix(truss)
    unknowns = np.concatenate([response.forces, response.reactions])
    left = matrix @ unknowns + truss.load_vector().ravel()
    assert np.abs(left).max() < 1e-10 * np.abs(unknowns).max()


def test_an_unstable_truss_is_not_factorised() -> None:
    truss = strip(redundant=False)
    loose = replace(truss, members=truss.members[:-1], properties=truss.properties[:-1])
    with pytest.raises(InputError, match="Too few"):
        elastic(loose)


def test_two_supports_on_one_joint_are_refused() -> None:
    truss = strip()
    twice = replace(truss, supports=(*truss.supports, Support("J0", "roller")))
    with pytest.raises(InputError, match="two supports"):
        respond(twice, twice.load_vector())
