"""What must hold for every truss: invariants over random determinate trusses."""

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from model.truss import Load, MemberProperties, Support, Truss
from solver.equilibrium import equilibrium_matrix
from solver.joints import joint_by_joint
from solver.solve import solve
from solver.zero_force import zero_force_members

SIZES = st.floats(0.4, 2.0)
FORCES = st.floats(-50.0, 50.0).map(lambda value: round(value, 3))


@st.composite
def trusses(draw: DrawFn, most: int = 9) -> Truss:
    """A triangle, grown by joints that two members tie to a pair before them.

    Every new joint stands off the line of its pair, so that the truss is
    determinate by construction.
    """
    points = [np.array([0.0, 0.0]), np.array([4.0, 0.0])]
    members = [(0, 1)]
    for joint in range(2, draw(st.integers(3, most))):
        a = draw(st.integers(0, joint - 2))
        b = draw(st.integers(a + 1, joint - 1))
        along = points[b] - points[a]
        across = np.array([-along[1], along[0]]) * draw(st.sampled_from([-1.0, 1.0]))
        points.append(points[a] + draw(SIZES) * along + draw(SIZES) * across + 0.01 * joint)
        members += [(a, joint), (b, joint)]
    names = tuple(f"J{i}" for i in range(len(points)))
    angle = draw(st.sampled_from([90.0, 60.0, 120.0, 270.0, 45.5]))
    loads = [Load(name, draw(FORCES), draw(FORCES)) for name in names if draw(st.booleans())]
    return Truss(
        names,
        np.array(points),
        np.array(members),
        (Support("J0", "pin"), Support("J1", "roller", angle)),
        tuple(loads),
    )


def forces_of(truss: Truss) -> np.ndarray:
    solution = solve(truss)
    assert solution.status == "determinate"
    assert solution.forces is not None
    return solution.forces


def scale_of(truss: Truss) -> float:
    return max(1.0, solve(truss).largest)


@settings(deadline=None, max_examples=80)
@given(trusses())
def test_every_joint_balances(truss: Truss) -> None:
    solution = solve(truss)
    assert solution.forces is not None
    left = {name: np.zeros(2) for name in truss.joints}
    for load in truss.loads:
        left[load.joint] += (load.fx, load.fy)
    for joint, reaction in solution.reaction_at.items():
        left[joint] += reaction
    for (a, b), force in zip(truss.members.tolist(), solution.forces.tolist(), strict=True):
        towards = truss.points[b] - truss.points[a]
        pull = force * towards / np.sqrt(towards @ towards)
        left[truss.joints[a]] += pull
        left[truss.joints[b]] -= pull
    worst = max(np.abs(sums).max() for sums in left.values())
    # Forces far above the loads carry their own rounding; 1e-10 of the load is the promise.
    assert worst <= max(1e-10 * np.abs(solution.loads).max(), 1e-14 * solution.largest)


@settings(deadline=None, max_examples=80)
@given(trusses(), FORCES, FORCES, st.floats(-3.0, 3.0))
def test_loads_superpose(truss: Truss, fx: float, fy: float, factor: float) -> None:
    other = replace(truss, loads=(Load(truss.joints[-1], fx, fy),))
    times = tuple(Load(at.joint, factor * at.fx, factor * at.fy) for at in truss.loads)
    both = replace(truss, loads=times + other.loads)
    expected = factor * forces_of(truss) + forces_of(other)
    tolerance = 1e-9 * (scale_of(truss) + scale_of(other))
    np.testing.assert_allclose(forces_of(both), expected, atol=tolerance)


@settings(deadline=None, max_examples=80)
@given(trusses(), st.floats(-180.0, 180.0), st.floats(0.01, 100.0))
def test_turning_and_scaling_change_no_force(truss: Truss, angle: float, size: float) -> None:
    cosine, sine = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    turn = np.array([[cosine, sine], [-sine, cosine]])
    turned = replace(
        truss,
        points=size * truss.points @ turn + (3.0, -7.0),
        supports=tuple(replace(s, angle_deg=s.angle_deg + angle) for s in truss.supports),
        loads=tuple(Load(at.joint, *(np.array([at.fx, at.fy]) @ turn)) for at in truss.loads),
    )
    tolerance = 1e-8 * scale_of(truss)
    np.testing.assert_allclose(forces_of(turned), forces_of(truss), atol=tolerance)


@settings(deadline=None, max_examples=80)
@given(trusses())
def test_the_mirror_image_has_the_same_forces(truss: Truss) -> None:
    mirrored = replace(
        truss,
        points=truss.points * (-1.0, 1.0),
        supports=tuple(replace(s, angle_deg=180.0 - s.angle_deg) for s in truss.supports),
        loads=tuple(Load(at.joint, -at.fx, at.fy) for at in truss.loads),
    )
    tolerance = 1e-10 * scale_of(truss)
    np.testing.assert_allclose(forces_of(mirrored), forces_of(truss), atol=tolerance)
    for joint, (x, y) in solve(truss).reaction_at.items():
        np.testing.assert_allclose(solve(mirrored).reaction_at[joint], (-x, y), atol=tolerance)


@settings(deadline=None, max_examples=80)
@given(trusses(), st.data(), st.booleans())
def test_a_mechanism_is_found_whatever_the_load(
    truss: Truss, data: st.DataObject, loaded: bool
) -> None:
    gone = data.draw(st.integers(0, len(truss.members) - 1))
    loose = replace(
        truss,
        members=np.delete(truss.members, gone, axis=0),
        loads=truss.loads if loaded else (),
    )
    solution = solve(loose)
    assert solution.status == "unstable"
    assert solution.forces is None
    assert len(solution.mechanisms) == 1
    assert solution.reason is not None
    changed = equilibrium_matrix(loose).T @ solution.mechanisms[0].ravel()
    assert np.abs(changed).max() < 1e-8
    # Counts that balance hide it from nobody: a member more elsewhere does not hold it.
    a, b = loose.members[0]
    doubled = solve(replace(loose, members=np.vstack([loose.members, [[a, b]]])))
    assert doubled.status == "unstable"
    assert doubled.redundants == 1


@settings(deadline=None, max_examples=80)
@given(trusses(), st.data())
def test_stiffness_changes_no_force_in_a_determinate_truss(
    truss: Truss, data: st.DataObject
) -> None:
    areas = data.draw(
        st.lists(st.floats(1e-4, 1e-1), min_size=len(truss.members), max_size=len(truss.members))
    )
    stiff = replace(
        truss, properties=tuple(MemberProperties(area=area, modulus=2e8) for area in areas)
    )
    np.testing.assert_array_equal(forces_of(stiff), forces_of(truss))


@settings(deadline=None, max_examples=80)
@given(trusses())
def test_joint_by_joint_gives_the_solved_forces_and_closes(truss: Truss) -> None:
    solution = solve(truss)
    working = joint_by_joint(solution)
    assert working.method in ("joints", "reactions first")
    tolerance = 1e-8 * max(1.0, solution.largest)
    np.testing.assert_allclose(working.forces, forces_of(truss), atol=tolerance)
    assert all(check.residual <= tolerance for check in working.checks)


@settings(deadline=None, max_examples=80)
@given(trusses())
def test_members_without_force_by_the_rules_have_none(truss: Truss) -> None:
    solution = solve(truss)
    told = {zero.member for zero in zero_force_members(solution)}
    for member, force in enumerate(forces_of(truss)):
        assert (member in told) == (abs(force) <= 1e-9 * solution.largest)
