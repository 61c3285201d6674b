"""Sections of trusses whose cut members are known in closed form."""

import numpy as np
import pytest

from model.errors import InputError
from model.truss import Load, Support, Truss
from solver.sections import section
from solver.solve import solve

PANELS, WIDTH, DEPTH, LOAD = 6, 3.0, 4.0, 10.0


def girder() -> Truss:
    """Slipway gantry: six panels, parallel chords, diagonals falling towards the middle."""
    lower = [(i * WIDTH, 0.0) for i in range(PANELS + 1)]
    upper = [(i * WIDTH, DEPTH) for i in range(1, PANELS)]
    names = [f"L{i}" for i in range(PANELS + 1)] + [f"U{i}" for i in range(1, PANELS)]
    at = {name: position for position, name in enumerate(names)}
    pairs = [(f"L{i}", f"L{i + 1}") for i in range(PANELS)]
    pairs += [(f"U{i}", f"U{i + 1}") for i in range(1, PANELS - 1)]
    pairs += [(f"L{i}", f"U{i}") for i in range(1, PANELS)]
    pairs += [("L0", "U1"), ("U1", "L2"), ("U2", "L3"), ("L3", "U4"), ("L4", "U5"), ("U5", "L6")]
    return Truss(
        tuple(names),
        np.array(lower + upper),
        np.array([(at[a], at[b]) for a, b in pairs]),
        (Support("L0", "pin"), Support("L6", "roller")),
        tuple(Load(f"L{i}", 0.0, -LOAD) for i in range(1, PANELS)),
    )


def member(truss: Truss, name: str) -> int:
    return [truss.member_name(i) for i in range(len(truss.members))].index(name)


GIRDER = girder()
#: Reaction 25; moment at L2 = 25 * 6 - 10 * 3 = 120, at L3 = 25 * 9 - 10 * 6 - 10 * 3 = 135.
CLOSED_FORM = {
    "U2-U3": -135.0 / DEPTH,
    "L2-L3": 120.0 / DEPTH,
    # Panel shear 25 - 10 - 10 = 5 on a 3-4-5 diagonal.
    "U2-L3": 5.0 * 5.0 / 4.0,
}


@pytest.mark.parametrize("name", CLOSED_FORM)
def test_one_cut_gives_chords_by_moments_and_the_diagonal_by_shear(name: str) -> None:
    done = section(solve(GIRDER), member(GIRDER, name))
    assert set(done.part.cut) == set(CLOSED_FORM)
    by_section = {acting.name: acting.force for acting in done.part.found}
    for cut, force in CLOSED_FORM.items():
        assert by_section[cut] == pytest.approx(force)
    total, first = done.part.equations[0]
    assert first.name == name
    # Moments about the joint where the other two meet; a sum along y where they are parallel.
    expected = {"U2-U3": ("moment", "L3"), "L2-L3": ("moment", "U2"), "U2-L3": ("y", None)}
    assert (total.kind, total.joint) == expected[name]


def test_the_reactions_come_before_a_part_that_is_supported() -> None:
    done = section(solve(GIRDER), member(GIRDER, "U2-U3"))
    (whole,) = done.before
    assert [acting.name for acting in whole.found] == ["L6y", "L0x", "L0y"]


def test_a_section_agrees_with_joint_by_joint() -> None:
    for position in range(len(GIRDER.members)):
        done = section(solve(GIRDER), position)
        assert GIRDER.member_name(position) in [name for name, _, _ in done.compared]
        for _, by_section, by_joints in done.compared:
            assert by_section == pytest.approx(by_joints, abs=1e-9)


def test_a_cantilever_needs_no_reactions() -> None:
    """The free side of the cut carries no support."""
    truss = Truss(
        tuple("ABCDE"),
        np.array([[0, 3], [0, 0], [4, 3], [4, 0], [8, 3]], float),
        np.array([[0, 2], [1, 3], [2, 3], [1, 2], [2, 4], [3, 4]]),
        (Support("A", "pin"), Support("B", "pin")),
        (Load("E", 0.0, -6.0),),
    )
    done = section(solve(truss), [member(truss, name) for name in ("AC", "BC", "BD")])
    assert done.before == ()
    assert set(done.part.joints) == {"C", "D", "E"}
    found = {acting.name: acting.force for acting in done.part.found}
    # Moments about C: 6 * 4 = -3 BD; about B: 6 * 8 = 3 AC; shear: BC = 6 / 0.6.
    assert found["BD"] == pytest.approx(-8.0)
    assert found["AC"] == pytest.approx(16.0)
    assert found["BC"] == pytest.approx(-10.0)


def test_a_cut_round_the_middle_joint_opens_a_k_panel() -> None:
    """Four members cut, three of which meet in one joint: moments about it."""
    truss = Truss(
        ("A", "M", "B", "C", "N", "D", "E"),
        np.array([[0, 4], [0, 2], [0, 0], [3, 4], [3, 2], [3, 0], [6, 2]], float),
        np.array([[0, 3], [2, 5], [0, 4], [2, 4], [3, 4], [4, 5], [3, 6], [5, 6]]),
        (Support("A", "pin"), Support("B", "pin"), Support("M", "pin")),
        (Load("E", 0.0, -8.0),),
    )
    done = section(solve(truss), [member(truss, n) for n in ("AC", "CN", "ND", "BD")])
    found = {acting.name: acting.force for acting in done.part.found}
    # Moments about D and about C of the load's 8 at an arm of 3, over the depth of 4.
    assert found == {"AC": pytest.approx(6.0), "BD": pytest.approx(-6.0)}
    assert {total.joint for total, _ in done.part.equations} == {"C", "D"}
    assert done.open == ("CN", "ND")
    for name, by_section, by_joints in done.compared:
        assert by_section == pytest.approx(by_joints), name


def test_a_cut_that_does_not_divide_is_refused() -> None:
    with pytest.raises(InputError, match="does not divide the truss"):
        section(solve(GIRDER), [member(GIRDER, "U2-U3"), member(GIRDER, "L2-L3")])


def test_too_many_members_cut_are_refused_by_name() -> None:
    # All members of a joint where two lines cross: no equation leaves one alone.
    cut = [member(GIRDER, n) for n in ("L2-L3", "U2-L3", "L3-U3", "L3-U4", "L3-L4")]
    with pytest.raises(InputError, match=r"U2-L3.*at most three"):
        section(solve(GIRDER), cut)


def test_an_unstable_truss_has_no_sections() -> None:
    loose = Truss(("A", "B"), np.array([[0.0, 0.0], [1.0, 0.0]]), np.array([[0, 1]]))
    with pytest.raises(InputError, match="no support"):
        section(solve(loose), 0)
