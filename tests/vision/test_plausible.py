"""What looks like a truss and what does not."""

from dataclasses import replace

import numpy as np

from vision.graph import Graph
from vision.plausible import Signs, crossed_boxes, looks_like_truss, triangles

WARREN = [(0, 100), (50, 20), (100, 100), (150, 20), (200, 100)]
WARREN_PAIRS = [(0, 1), (0, 2), (1, 2), (1, 3), (2, 3), (2, 4), (3, 4)]
PANEL = [(0, 0), (90, 0), (90, 60), (0, 60)]
PANEL_PAIRS = [(0, 1), (1, 2), (2, 3), (0, 3), (0, 2), (1, 3)]
NOTHING = Signs()
SUPPORTED = Signs(reactions=3, supports=1.2)


def _graph(at, pairs) -> Graph:
    n, m = len(at), len(pairs)
    return Graph(np.array(at, float), np.ones(n), tuple(pairs), np.ones(m))


def _is_truss(at, pairs, signs=NOTHING, page=250.0):
    return looks_like_truss(_graph(at, pairs), page, signs, trained=True)


def test_triangles_are_found():
    assert len(triangles(_graph(WARREN, WARREN_PAIRS))) == 3
    assert len(triangles(_graph(PANEL, PANEL_PAIRS))) == 4


def test_a_warren_truss_is_one_with_or_without_supports():
    assert _is_truss(WARREN, WARREN_PAIRS, SUPPORTED)
    assert _is_truss(WARREN, WARREN_PAIRS)


def test_a_letter_is_too_small():
    assert not _is_truss(WARREN, WARREN_PAIRS, SUPPORTED, page=5000.0)


def test_boxes_joined_by_a_line_are_no_truss():
    at = [(0, 0), (40, 0), (40, 40), (0, 40), (80, 0), (120, 0), (120, 40), (80, 40)]
    pairs = [(0, 1), (1, 2), (2, 3), (0, 3), (4, 5), (5, 6), (6, 7), (4, 7), (1, 4)]
    assert not _is_truss(at, pairs)


def test_a_crossed_box_is_a_truss_only_where_something_holds_or_loads_it():
    assert not _is_truss(PANEL, PANEL_PAIRS)
    assert _is_truss(PANEL, PANEL_PAIRS, SUPPORTED)
    assert _is_truss(PANEL, PANEL_PAIRS, Signs(supports=0.7))
    assert _is_truss(PANEL, PANEL_PAIRS, Signs(arrows=0.7))


def test_crossed_boxes_side_by_side_are_no_truss_either():
    at = [(0, 0), (60, 0), (120, 0), (0, 60), (60, 60), (120, 60)]
    sides = [(0, 1), (1, 2), (3, 4), (4, 5), (0, 3), (1, 4), (2, 5)]
    pairs = [*sides, (0, 4), (1, 3), (1, 5), (2, 4)]
    assert crossed_boxes(_graph(at, pairs)) == set(pairs)
    assert not _is_truss(at, pairs)


def test_diagonals_may_meet_in_a_joint():
    at = [*PANEL, (45, 30)]
    pairs = [(0, 1), (1, 2), (2, 3), (0, 3), (0, 4), (1, 4), (2, 4), (3, 4)]
    assert crossed_boxes(_graph(at, pairs)) == set(pairs)


def test_crossing_members_without_a_box_around_them_are_none():
    scissors = [(0, 100), (200, 100), (100, 0), (50, 50), (150, 50)]
    pairs = [(0, 3), (2, 3), (2, 4), (1, 4), (3, 4), (0, 4), (1, 3)]
    assert crossed_boxes(_graph(scissors, pairs)) == set()
    assert _is_truss(scissors, pairs)


def test_a_figure_with_lines_to_spare_needs_something_that_holds_it():
    at = [(0, 90), (100, 90), (50, 0), (50, 60)]
    pairs = [(0, 1), (1, 2), (0, 2), (0, 3), (1, 3), (2, 3)]  # 2 j - m - 3 = -1
    assert not _is_truss(at, pairs)
    assert _is_truss(at, pairs, SUPPORTED)


def test_a_frame_that_lacks_its_diagonals_is_read_where_it_is_held():
    at = [(0, 0), (60, 0), (120, 0), (0, 60), (60, 60), (120, 60)]
    pairs = [(0, 1), (1, 2), (3, 4), (4, 5), (0, 3), (1, 4), (2, 5)]  # 2 j - m - 3 = 2
    assert _is_truss(at, pairs, SUPPORTED)
    assert not _is_truss(at, pairs)


def test_two_bars_need_their_supports():
    at, pairs = [(0, 0), (80, 60), (160, 0)], [(0, 1), (1, 2)]
    assert _is_truss(at, pairs, Signs(reactions=4, supports=1.1))
    assert _is_truss(at, pairs, Signs(reactions=3, supports=0.9))  # one taken for a roller
    assert not _is_truss(at, pairs, Signs(reactions=2, supports=0.17))
    assert not _is_truss(at, pairs, Signs(reactions=2, supports=1.0))  # one support holds no two


def test_two_bars_held_and_loaded_are_a_truss_though_one_support_is_missed():
    at, pairs = [(0, 0), (80, 60), (160, 0)], [(0, 1), (1, 2)]
    assert _is_truss(at, pairs, Signs(reactions=2, supports=0.7, arrows=0.9))
    assert not _is_truss(at, pairs, Signs(reactions=2, supports=0.7, arrows=0.3))


def test_lines_alone_are_a_truss_only_where_their_joints_are_sure():
    faint = replace(_graph(WARREN, WARREN_PAIRS), joint_confidence=np.full(5, 0.3))
    assert not looks_like_truss(faint, 250.0, NOTHING, trained=True)
    assert looks_like_truss(faint, 250.0, SUPPORTED, trained=True)
