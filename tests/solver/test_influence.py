"""Influence lines against direct solves, hand-worked ordinates and a fine sweep."""

from dataclasses import replace

import numpy as np
import pytest

from model.errors import InputError
from model.truss import Load, MemberProperties, Support, Truss
from solver.influence import InfluenceLines, influence_lines
from solver.solve import solve


def pratt() -> Truss:
    """Six bays of 4 m, 5 m high; lower joints L0 to L6, upper U1 to U5, diagonals down inwards."""
    lower, upper = [f"L{i}" for i in range(7)], [f"U{i}" for i in range(1, 6)]
    names = (*lower, *upper)
    points = np.array([(4.0 * i, 0.0) for i in range(7)] + [(4.0 * i, 5.0) for i in range(1, 6)])
    pairs = [(f"L{i}", f"L{i + 1}") for i in range(6)] + [
        (f"U{i}", f"U{i + 1}") for i in range(1, 5)
    ]
    pairs += [(f"L{i}", f"U{i}") for i in range(1, 6)] + [("L0", "U1"), ("L6", "U5")]
    pairs += [("U1", "L2"), ("U2", "L3"), ("L3", "U4"), ("L4", "U5")]
    at = {name: position for position, name in enumerate(names)}
    return Truss(
        names,
        points,
        np.array([(at[a], at[b]) for a, b in pairs]),
        (Support("L0", "pin"), Support("L6", "roller")),
    )


LOWER = [f"L{i}" for i in range(7)]


def line(lines: InfluenceLines, a: str, b: str) -> np.ndarray:
    ends = {lines.truss.index[a], lines.truss.index[b]}
    (at,) = (k for k, pair in enumerate(lines.truss.members.tolist()) if set(pair) == ends)
    return lines.forces[at]


def test_ordinates_of_a_pratt_girder() -> None:
    """By sections, common practice: chords x (l - x) / (l h), diagonals from the bay's shear."""
    lines = influence_lines(pratt(), LOWER)
    assert lines.positions == pytest.approx([4.0 * i for i in range(7)])
    sixths = np.arange(7) / 6
    assert lines.reactions[1] == pytest.approx(1 - sixths)
    assert lines.reactions[2] == pytest.approx(sixths)
    # Moments about L2, 8 m from the left support, over the height of 5 m.
    about_l2 = np.minimum(lines.positions * 16, (24 - lines.positions) * 8) / 24
    assert line(lines, "U1", "U2") == pytest.approx(-about_l2 / 5)
    about_u2 = about_l2
    assert line(lines, "L2", "L3") == pytest.approx(about_u2 / 5)
    shear = np.where(np.arange(7) <= 2, -sixths, 1 - sixths)
    slope = np.hypot(4, 5) / 5
    assert line(lines, "U2", "L3") == pytest.approx(shear * slope)
    assert line(lines, "L0", "U1") == pytest.approx(
        np.where(np.arange(7) == 0, 0.0, -(1 - sixths)) * slope
    )
    assert line(lines, "L1", "U1") == pytest.approx([0, 1, 0, 0, 0, 0, 0], abs=1e-12)


@pytest.mark.parametrize("direction", [270.0, 0.0, 33.0])
def test_every_ordinate_is_a_direct_solve(direction: float) -> None:
    truss = pratt()
    stiff = replace(
        truss,
        supports=(*truss.supports, Support("L3", "roller", 80.0)),
        properties=tuple(MemberProperties(1.0 + k % 3, 10.0) for k in range(len(truss.members))),
    )
    lines = influence_lines(stiff, ["L0", "U1", "U2", "L3"], direction)
    force = (np.cos(np.radians(direction)), np.sin(np.radians(direction)))
    for position, joint in enumerate(lines.joints):
        solution = solve(replace(stiff, loads=(Load(joint, *force),)))
        np.testing.assert_allclose(lines.forces[:, position], solution.forces, atol=1e-12)
        np.testing.assert_allclose(lines.reactions[:, position], solution.reactions, atol=1e-12)


def test_two_equal_loads_on_a_chord() -> None:
    """The line of L2-L3 has its peak at L2: by hand one load stands there, one beside it on L3."""
    lines = influence_lines(pratt(), LOWER)
    ordinates = line(lines, "L2", "L3")
    worst = lines.worst([10.0, 10.0], [4.0])
    at = next(k for k, pair in enumerate(pratt().members.tolist()) if pair == [2, 3])
    assert ordinates[2] == pytest.approx(8 * 16 / 24 / 5)
    assert worst.highest[at] == pytest.approx(10 * (ordinates[2] + ordinates[3]))
    assert worst.lowest[at] == pytest.approx(0.0, abs=1e-6)


def swept(lines: InfluenceLines, values: list[float], spacings: list[float]) -> np.ndarray:
    """Every line's forces under the train at 20,000 positions, both ways."""
    behind = np.concatenate([[0.0], np.cumsum(spacings)])
    reach = lines.positions[-1]
    first = np.linspace(-behind[-1] - 1, reach + behind[-1] + 1, 20_000)
    rows = np.vstack([lines.forces, lines.reactions])
    caused = []
    for row in rows:
        for sign in (-1.0, 1.0):
            total = np.zeros_like(first)
            for value, offset in zip(values, behind, strict=True):
                at = first + sign * offset
                total += value * np.interp(at, lines.positions, row, left=0.0, right=0.0)
            caused.append(total)
    return np.array(caused).reshape(len(rows), -1)


@pytest.mark.parametrize("chain", [LOWER, LOWER[1:5], ["L0", "U1", "U2", "U3"]])
def test_no_position_of_a_train_is_worse(chain: list[str]) -> None:
    lines = influence_lines(pratt(), chain)
    values, spacings = [5.0, 12.0, 8.0], [3.1, 6.4]
    worst = lines.worst(values, spacings)
    everywhere = swept(lines, values, spacings)
    size = np.abs(everywhere).max()
    assert (everywhere.max(axis=1) <= worst.highest + 1e-9 * size).all()
    assert (everywhere.min(axis=1) >= worst.lowest - 1e-9 * size).all()
    np.testing.assert_allclose(everywhere.max(axis=1), worst.highest, atol=2e-3 * size)
    np.testing.assert_allclose(everywhere.min(axis=1), worst.lowest, atol=2e-3 * size)


def test_the_worst_position_causes_the_worst_force() -> None:
    lines = influence_lines(pratt(), LOWER)
    values, behind = np.array([5.0, 12.0, 8.0]), np.array([0.0, 3.1, 9.5])
    worst = lines.worst(values.tolist(), [3.1, 6.4])
    rows = np.vstack([lines.forces, lines.reactions])
    for row, at, turned, force in zip(
        rows, worst.lowest_at, worst.lowest_turned, worst.lowest, strict=True
    ):
        places = at + behind if turned else at - behind
        caused = values @ np.interp(places, lines.positions, row, left=0.0, right=0.0)
        assert caused == pytest.approx(force, abs=1e-6)


@pytest.mark.parametrize(
    ("chain", "said"),
    [
        (["L0"], "two or more joints"),
        (["L0", "X"], "Joint 'X' of the load's path"),
        (["L0", "L1", "L0"], "Joint L0 is twice"),
    ],
)
def test_a_path_that_cannot_be_used_is_refused(chain: list[str], said: str) -> None:
    with pytest.raises(InputError, match=said):
        influence_lines(pratt(), chain)


@pytest.mark.parametrize(
    ("values", "spacings", "said"),
    [
        ([], [], "one load or more"),
        ([1.0, 2.0], [], "A train of 2 loads needs 1 spacings, not 0"),
        ([1.0, 2.0], [-1.0], "no spacing below zero"),
        ([1.0, float("nan")], [1.0], "must be numbers"),
    ],
)
def test_a_train_that_cannot_be_used_is_refused(
    values: list[float], spacings: list[float], said: str
) -> None:
    with pytest.raises(InputError, match=said):
        influence_lines(pratt(), LOWER).worst(values, spacings)
