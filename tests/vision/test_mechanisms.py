"""Which lines stop a truss from folding: counts known by hand."""

import numpy as np
import pytest

from vision.mechanisms import find_looseness

PANEL = np.array([(0, 100), (100, 100), (100, 0), (0, 0)], float)
SIDES = [(0, 1), (1, 2), (2, 3), (0, 3)]
SIMPLE = [(0, 0.0), (0, 90.0), (1, 90.0)]


@pytest.mark.parametrize("holds", [[], SIMPLE])
def test_an_empty_panel_folds_and_either_diagonal_stops_it(holds):
    looseness = find_looseness(PANEL, SIDES, holds)
    assert looseness.mechanisms == 1
    assert looseness.braces == ((0, 2), (1, 3))
    assert find_looseness(PANEL, [*SIDES, (0, 2)], holds).mechanisms == 0


def test_a_brace_too_many_in_one_panel_does_not_stop_the_next():
    at = np.array([(0, 0), (60, 0), (120, 0), (0, 60), (60, 60), (120, 60)], float)
    crossed = [(0, 1), (3, 4), (0, 3), (1, 4), (0, 4), (1, 3)]
    empty = [(1, 2), (4, 5), (2, 5)]
    looseness = find_looseness(at, [*crossed, *empty], [])  # 9 = 2 x 6 - 3 members, yet loose
    assert looseness.mechanisms == 1
    assert looseness.braces == ((1, 5), (2, 4))


def test_a_member_stops_a_mechanism_where_it_would_have_to_stretch():
    looseness = find_looseness(PANEL, SIDES, SIMPLE)
    assert looseness.stopped_by(PANEL, 0, 2)
    assert not looseness.stopped_by(PANEL, 0, 1)  # there already


def test_two_bars_stand_between_pins_and_not_between_rollers():
    at = np.array([(0, 0), (80, 60), (160, 0)], float)
    pins = [(0, 0.0), (0, 90.0), (2, 0.0), (2, 90.0)]
    assert find_looseness(at, [(0, 1), (1, 2)], pins).mechanisms == 0
    assert find_looseness(at, [(0, 1), (1, 2)], [*pins[:2], pins[3]]).mechanisms == 1


def test_three_parallel_rollers_let_a_triangle_slide():
    at = np.array([(0, 0), (80, 60), (160, 0)], float)
    parallel = [(joint, 90.0) for joint in range(3)]
    assert find_looseness(at, [(0, 1), (1, 2), (0, 2)], parallel).mechanisms == 1
