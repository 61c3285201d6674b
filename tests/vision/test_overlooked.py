"""What the maps show faintly beside what was read."""

import cv2
import numpy as np
import pytest

from vision.graph import Graph
from vision.loads import FoundLoad
from vision.maps import CHANNELS, Maps
from vision.overlooked import find_overlooked
from vision.painter import Painter

SIZE = 256
SQUARE = [(60, 60), (180, 60), (180, 180), (60, 180)]


def _maps(**spots) -> Maps:
    """Maps with spots of a height at places, and every listed line of 'member' inked."""
    values = np.zeros((len(CHANNELS), SIZE, SIZE), np.float32)
    for channel, places in spots.items():
        layer = values[CHANNELS.index(channel)]
        for place, height in places:
            if channel == "member":
                start, end = place
                cv2.line(layer, start, end, height, 3)
                continue
            spot = np.zeros((SIZE, SIZE), np.float32)
            spot[place[1], place[0]] = 1.0
            spot = cv2.GaussianBlur(spot, (0, 0), 2.0)
            layer += height * spot / spot.max()
    return Maps(values, np.diag([2.0, 2.0, 1.0]), "network")


def _graph(pairs) -> Graph:
    at = 2.0 * np.array(SQUARE, float)  # two pixels to a cell
    return Graph(at, np.ones(4), tuple(pairs), np.ones(len(pairs)))


SIDES = [(0, 1), (1, 2), (2, 3), (0, 3)]


def test_a_faint_joint_on_a_member_divides_it():
    line = [((SQUARE[0], SQUARE[1]), 1.0)]
    maps = _maps(joint=[((120, 61), 0.5)], member=line)
    (found,) = find_overlooked(maps, _graph(SIDES), (), ()).joints
    assert found.on == ((0, 1),)
    assert found.at == pytest.approx([240.0, 120.0], abs=1.0)  # on the member


def test_a_faint_joint_where_two_members_cross_joins_them():
    lines = [((SQUARE[0], SQUARE[2]), 1.0), ((SQUARE[1], SQUARE[3]), 1.0)]
    graph = _graph([*SIDES, (0, 2), (1, 3)])
    maps = _maps(joint=[((120, 120), 0.5)], member=lines)
    (found,) = find_overlooked(maps, graph, (), ()).joints
    assert found.on == ((0, 2), (1, 3))
    crossed = _maps(joint=[((120, 120), 0.5)], crossing=[((120, 120), 0.9)], member=lines)
    assert find_overlooked(crossed, graph, (), ()).joints == ()


def test_an_inked_line_that_was_not_read_is_found():
    painter = Painter(SIZE, SIZE, np.zeros(2), 1.0)
    painter.line(np.array(SQUARE[0], float), np.array(SQUARE[2], float))
    maps = Maps(painter.values, np.diag([2.0, 2.0, 1.0]), "network")
    assert [pair[:2] for pair in find_overlooked(maps, _graph(SIDES), (), ()).members] == [(0, 2)]
    assert find_overlooked(maps, _graph([*SIDES, (0, 2)]), (), ()).members == ()


def test_a_joint_that_was_read_is_not_found_again():
    maps = _maps(joint=[(place, 0.9) for place in SQUARE])
    assert find_overlooked(maps, _graph(SIDES), (), ()).joints == ()


def test_the_joint_with_the_warmest_support_comes_first():
    maps = _maps(roller=[(SQUARE[2], 0.25)], support_sin=[(SQUARE[2], 1.0)])
    found = find_overlooked(maps, _graph(SIDES), held={3}, arrows=())
    assert found.supports[0].joint == 2
    assert {support.joint for support in found.supports} == {0, 1, 2}
    assert (found.supports[0].kind, found.supports[0].angle_deg) == ("roller", pytest.approx(90))


def test_an_unsure_arrow_may_act_either_way():
    unsure = [FoundLoad(1, 30.0, 0.2, 0.1, 0.25), FoundLoad(2, 270.0, 0.3, 0.1, 0.4)]
    maps = _maps(load=[(SQUARE[1], 0.4), (SQUARE[2], 0.6)])
    found = find_overlooked(maps, _graph(SIDES), (), unsure)
    assert [load.joint for load in found.loads] == [2, 1]
    assert found.loads[0].directions_deg == (270.0, 450.0)


def test_a_warm_joint_without_a_stroke_may_carry_a_load_as_the_maps_say():
    spots = {"load": [(SQUARE[1], 0.6)], "load_head": [(SQUARE[1], 0.6)]}
    maps = _maps(**spots, load_sin=[(SQUARE[1], -1.0)])
    (load,) = find_overlooked(maps, _graph(SIDES), (), ()).loads
    assert (load.joint, load.directions_deg[0]) == (1, pytest.approx(-90.0))
    read = [FoundLoad(1, 270.0, 0.9, 0.1, 0.9)]
    assert find_overlooked(maps, _graph(SIDES), (), read).loads == ()


def test_a_member_longer_than_its_parallels_is_likelier_to_be_divided():
    maps = _maps(joint=[((120, 60), 0.3), ((60, 120), 0.3)])
    at = np.array([(60, 60), (180, 60), (60, 180), (90, 180), (120, 180)], float)
    pairs = ((0, 1), (0, 2), (2, 3), (3, 4))
    graph = Graph(2.0 * at, np.ones(5), pairs, np.ones(4))
    chance = {joint.on[0]: joint.chance for joint in find_overlooked(maps, graph, (), ()).joints}
    assert chance[0, 1] > chance[0, 2]


def test_a_faint_joint_beside_the_truss_is_found_with_the_lines_that_lead_there():
    painter = Painter(SIZE, SIZE, np.zeros(2), 1.0)
    for corner in SQUARE[1:3]:
        painter.line(np.array(corner, float), np.array((230.0, 120.0)))
    spot = _maps(joint=[((230, 120), 0.5)])
    maps = Maps(np.maximum(painter.values, spot.values), np.diag([2.0, 2.0, 1.0]), "network")
    (found,) = find_overlooked(maps, _graph(SIDES), (), ()).joints
    assert (found.on, found.ends) == ((), (1, 2))
