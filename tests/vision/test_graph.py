"""The graph from maps: right on clean maps, and no worse for what a network does to them."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vision.graph import Graph, choose_graph, connected_pieces
from vision.hanging import take_out_hanging
from vision.maps import CHANNELS, Maps
from vision.painter import Painter
from vision.passes import carry, fuse

WARREN = [(30, 120), (80, 120), (130, 120), (180, 120), (55, 60), (105, 60), (155, 60)]
PAIRS = [(0, 1), (1, 2), (2, 3), (4, 5), (5, 6), (0, 4), (4, 1), (1, 5), (5, 2), (2, 6), (6, 3)]


def _maps(joints, pairs, heat=0.9, size=210) -> Maps:
    painter = Painter(size, size, np.zeros(2), 1.0)
    for a, b in pairs:
        painter.line(np.array(joints[a], float), np.array(joints[b], float))
    for joint in joints:
        painter.spot("joint", np.array(joint, float), heat)
    return Maps(painter.values, np.eye(3), "network")


def _is(graph: Graph, joints, pairs) -> bool:
    if len(graph.at) != len(joints):
        return False
    distance = np.hypot(*np.moveaxis(graph.at[:, None] - np.array(joints, float)[None], 2, 0))
    names = distance.argmin(axis=1)
    found = {tuple(sorted((int(names[a]), int(names[b])))) for a, b in graph.members}
    close = distance.min(axis=1).max() < 1.0 and len(set(names.tolist())) == len(joints)
    return bool(close) and found == {tuple(sorted(pair)) for pair in pairs}


def test_clean_maps_give_the_graph():
    assert _is(choose_graph(_maps(WARREN, PAIRS)), WARREN, PAIRS)


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 10_000))
def test_noise_and_jitter_do_not_change_the_graph(seed):
    rng = np.random.default_rng(seed)
    joints = (np.array(WARREN) + rng.uniform(-4, 4, (len(WARREN), 2))).tolist()
    maps = _maps(joints, PAIRS, heat=rng.uniform(0.6, 0.95))
    noisy = maps.values + rng.normal(0, 0.03, maps.values.shape).astype(np.float32)
    assert _is(choose_graph(Maps(noisy, maps.to_picture, "network")), joints, PAIRS)


def test_crossing_members_have_no_joint_unless_the_maps_see_one():
    square = [(40, 40), (160, 40), (160, 160), (40, 160)]
    pairs = [(0, 1), (1, 2), (2, 3), (0, 3), (0, 2), (1, 3)]
    assert _is(choose_graph(_maps(square, pairs)), square, pairs)
    centre = [*square, (100, 100)]
    spokes = [(0, 1), (1, 2), (2, 3), (0, 3), (0, 4), (1, 4), (2, 4), (3, 4)]
    assert _is(choose_graph(_maps(centre, spokes)), centre, spokes)


def test_a_weak_spot_on_a_member_is_no_joint():
    maps = _maps(WARREN, PAIRS)
    layer = maps.values[CHANNELS.index("joint")]
    painter = Painter(*layer.shape, np.zeros(2), 1.0)
    painter.spot("joint", np.array([55.0, 120.0]), 0.45)
    np.maximum(layer, painter.values[CHANNELS.index("joint")], out=layer)
    assert _is(choose_graph(maps), WARREN, PAIRS)


def test_a_joint_without_a_peak_is_found_where_members_meet():
    maps = _maps(WARREN, PAIRS)
    layer = maps.values[CHANNELS.index("joint")]
    layer[50:70, 95:115] = 0.0  # around (105, 60)
    graph = choose_graph(maps)
    assert len(graph.at) == len(WARREN)
    assert {len(WARREN), len(PAIRS)} == {len(graph.at), len(graph.members)}


def test_a_free_end_is_kept_only_at_a_support():
    joints = [*WARREN, (20, 20)]
    pairs = [*PAIRS, (4, 7)]
    maps = _maps(joints, pairs)
    assert _is(choose_graph(maps), WARREN, PAIRS)
    held = _maps(joints, pairs)
    painter = Painter(*held["pin"].shape, np.zeros(2), 1.0)
    painter.spot("pin", np.array([20.0, 20.0]), 0.9)
    held.values[CHANNELS.index("pin")] = painter.values[CHANNELS.index("pin")]
    assert _is(choose_graph(held), joints, pairs)


def test_two_trusses_are_two_pieces_largest_first():
    small = [(20, 180), (60, 180), (40, 150)]
    joints = [*WARREN, *small]
    pairs = [*PAIRS, (7, 8), (8, 9), (7, 9)]
    pieces = connected_pieces(choose_graph(_maps(joints, pairs)))
    assert [len(piece.at) for piece in pieces] == [7, 3]


def _graph(at, members) -> Graph:
    n, m = len(at), len(members)
    return Graph(np.array(at, float), np.ones(n), tuple(members), np.ones(m))


def test_a_small_triangle_hanging_on_one_joint_is_a_support():
    at = [*WARREN, (22, 135), (38, 135)]
    graph = _graph(at, [*PAIRS, (0, 7), (7, 8), (0, 8)])
    rest, hanging = take_out_hanging(graph, np.zeros(len(at), bool))
    assert _is(rest, WARREN, PAIRS)
    assert [outline.joint for outline in hanging] == [0]
    assert hanging[0].angle_deg == pytest.approx(90.0)
    held = np.zeros(len(at), bool)
    held[7] = True
    untouched, none = take_out_hanging(graph, held)
    assert len(untouched.members) == len(graph.members)
    assert none == []


def test_carry_and_fuse_keep_places():
    turn = np.array([[2.0, 0.0, 5.0], [0.0, 2.0, 7.0], [0.0, 0.0, 1.0]])
    points = np.array([[1.0, 2.0], [30.0, 40.0]])
    assert carry(np.linalg.inv(turn), carry(turn, points)) == pytest.approx(points)
    coarse = _maps(WARREN, PAIRS)
    fine = Maps(
        _maps([(2 * x - 40, 2 * y - 80) for x, y in WARREN], PAIRS, size=360).values,
        np.array([[0.5, 0.0, 20.0], [0.0, 0.5, 40.0], [0.0, 0.0, 1.0]]),
        "network",
    )
    graph = choose_graph(fuse([coarse, fine]))
    assert _is(graph.moved(carry(fine.to_picture, graph.at)), WARREN, PAIRS)
