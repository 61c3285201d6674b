"""Two hundred random determinate trusses against SymPy's truss module (pin and level roller)."""

import numpy as np
import pytest
from sympy.physics.continuum_mechanics.truss import Truss as SymbolicTruss

from model.truss import Load, Support, Truss
from solver.solve import solve


def grown(seed: int) -> Truss:
    """A triangle grown by zero to three joints, each tied by two members to earlier ones."""
    random = np.random.default_rng(seed)
    points = [np.array([0.0, 0.0]), np.array([random.uniform(2, 6), random.uniform(-1, 1)])]
    members = [(0, 1)]
    for joint in range(2, 3 + seed % 4):
        a, b = sorted(random.choice(joint, 2, replace=False).tolist())
        along = points[b] - points[a]
        across = np.array([-along[1], along[0]]) * random.choice([-1.0, 1.0])
        place = points[a] + random.uniform(0.2, 0.9) * along + random.uniform(0.4, 1.2) * across
        points.append(place.round(3))
        members += [(a, joint), (b, joint)]
    names = tuple("ABCDEFG"[: len(points)])
    loads = [
        Load(name, *random.uniform(-20, 20, 2).round(2)) for name in names if random.random() < 0.7
    ]
    return Truss(
        names,
        np.array(points),
        np.array(members),
        (Support("A", "pin"), Support("B", "roller")),
        tuple(loads) or (Load(names[-1], 3.0, -10.0),),
    )


def by_sympy(truss: Truss) -> tuple[list[float], list[float]]:
    symbolic = SymbolicTruss()
    for name, (x, y) in zip(truss.joints, truss.points.tolist(), strict=True):
        symbolic.add_node((name, x, y))
    for position, (a, b) in enumerate(truss.members.tolist()):
        symbolic.add_member((f"m{position}", truss.joints[a], truss.joints[b]))
    symbolic.apply_support(("A", "pinned"), ("B", "roller"))
    for load in truss.loads:
        symbolic.apply_load((load.joint, load.fx, 0), (load.joint, load.fy, 90))
    symbolic.solve()
    forces = [float(symbolic.internal_forces[f"m{i}"]) for i in range(len(truss.members))]
    reactions = [float(symbolic.reaction_loads[f"R_{at}"]) for at in ("A_x", "A_y", "B_y")]
    return forces, reactions


@pytest.mark.parametrize("first", range(0, 200, 20))
def test_forces_and_reactions_are_those_of_sympy(first: int) -> None:
    for seed in range(first, first + 20):
        truss = grown(seed)
        solution = solve(truss)
        assert solution.forces is not None
        forces, reactions = by_sympy(truss)
        tolerance = 1e-9 * solution.largest
        np.testing.assert_allclose(solution.forces, forces, atol=tolerance, err_msg=f"seed {seed}")
        np.testing.assert_allclose(solution.reactions, reactions, atol=tolerance)
