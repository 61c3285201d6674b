"""The reciprocal diagram is a reciprocal figure in Maxwell's sense.

J. C. Maxwell, On reciprocal figures and diagrams of forces (1864): to every
line of one figure a line of the other, parallel where the forces are drawn
along the members; lines that meet in a point of one close a polygon in the other.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

import sample_sketches
from model.job import truss_of
from model.truss import Load, Support, Truss
from solver.solve import solve
from ui.reciprocal import NotDrawable, Reciprocal, reciprocal_diagram

PLANAR = [
    n for n in sample_sketches.names() if n not in ("canoe_rack", "davit_bracket", "why_it_sways")
]


def diagram_of(name: str) -> tuple[Truss, Reciprocal]:
    truss = truss_of(sample_sketches.load_job(name))
    solution = solve(truss)
    return truss, reciprocal_diagram(truss, solution.forces, solution.reaction_at)


@pytest.mark.parametrize("name", PLANAR)
def test_lines_are_as_long_as_the_forces_and_parallel_to_the_members(name: str) -> None:
    truss, diagram = diagram_of(name)
    members = [line for line in diagram.lines if line.kind == "member"]
    assert len(members) == len(truss.members)
    largest = max(abs(line.force) for line in members)
    vectors = {truss.member_name(k): truss.vectors[k] for k in range(len(truss.members))}
    for line in diagram.lines:
        a, b = (np.array(diagram.spaces[space].point) for space in line.spaces)
        assert math.dist(a, b) == pytest.approx(abs(line.force), abs=1e-9 * largest)
        if line.kind == "member" and abs(line.force) > 1e-6 * largest:
            along, drawn = vectors[line.name], b - a
            cross = along[0] * drawn[1] - along[1] * drawn[0]
            assert abs(cross) < 1e-9 * np.hypot(*along) * np.hypot(*drawn)


@pytest.mark.parametrize("name", PLANAR)
def test_it_closes_and_has_as_many_spaces_as_euler_says(name: str) -> None:
    truss, diagram = diagram_of(name)
    outside = [line for line in diagram.lines if line.kind != "member"]
    # Euler: a connected plane graph of m lines and j points has m - j + 1 inner faces.
    inner = len(truss.members) - len(truss.joints) + 1
    assert len(diagram.spaces) == inner + len(outside)
    assert diagram.gap < 1e-9 * max(line.force for line in outside)
    names = [space.name for space in diagram.spaces]
    assert len(set(names)) == len(names)
    assert sum(name.isdigit() for name in names) == inner


@pytest.mark.parametrize("name", PLANAR)
def test_the_lines_of_a_joint_close_a_polygon(name: str) -> None:
    truss, diagram = diagram_of(name)
    for joint in truss.joints:
        at = [
            line
            for line in diagram.lines
            if (line.kind == "member" and joint in _ends(truss, line.name))
            or (line.kind != "member" and line.name == joint)
        ]
        # Each space at the joint is the end of exactly two of its lines.
        ends = [space for line in at for space in line.spaces]
        assert all(ends.count(space) == 2 for space in ends)


def _ends(truss: Truss, name: str) -> tuple[str, str]:
    for k, (a, b) in enumerate(truss.members.tolist()):
        if truss.member_name(k) == name:
            return truss.joints[a], truss.joints[b]
    raise AssertionError(name)


def test_spaces_parted_by_a_member_without_force_share_a_point() -> None:
    _, diagram = diagram_of("boathouse_roof")
    (line,) = (line for line in diagram.lines if line.name == "BF")
    one, two = (diagram.spaces[space] for space in line.spaces)
    assert math.dist(one.point, two.point) < 1e-9
    assert {one.name, two.name} == {"1", "2"}


def test_crossing_members_are_refused_by_name() -> None:
    with pytest.raises(NotDrawable, match="AD and BC cross"):
        diagram_of("canoe_rack")


def test_a_load_inside_the_truss_is_refused_by_its_joint() -> None:
    points = np.array([(0, 0), (8, 0), (4, 6), (4, 2)], float)
    truss = Truss(
        ("A", "B", "C", "D"),
        points,
        np.array([(0, 1), (1, 2), (0, 2), (0, 3), (1, 3), (2, 3)]),
        (Support("A", "pin"), Support("B", "roller")),
        (Load("D", 0.0, -5.0),),
    )
    with pytest.raises(NotDrawable, match="load at joint D acts inside"):
        reciprocal_diagram(truss, np.zeros(6), {"A": (0.0, 2.5), "B": (0.0, 2.5)})
