"""Scores of hand-made readings, worked out with pencil."""

from __future__ import annotations

from typing import Any

import pytest

from model.candidate import Candidate
from tests.benchmarks.scoring import Hits, match_joints, reach_of, score


def candidate(
    joints: dict[int, tuple[float, float]],
    members: list[tuple[int, int]],
    **rest: Any,
) -> Candidate:
    return Candidate.model_validate(
        {
            "picture": {"name": "x.jpg", "width": 1000, "height": 800, "sha256": ""},
            "joints": [{"id": i, "x": x, "y": y} for i, (x, y) in joints.items()],
            "members": [{"a": a, "b": b} for a, b in members],
            **rest,
        }
    )


PLACES = {0: (100.0, 500.0), 1: (500.0, 500.0), 2: (300.0, 200.0)}
TRUTH = candidate(
    PLACES,
    [(0, 1), (1, 2), (2, 0)],
    supports=[{"joint": 0, "kind": "pin"}, {"joint": 1, "kind": "roller"}],
    loads=[{"joint": 2, "direction_deg": 270.0}],
)


def test_reach_is_12_pixels_or_a_fortieth_of_the_longer_side() -> None:
    assert reach_of(TRUTH) == 12.0
    wide = candidate({0: (0, 0), 1: (2000, 100)}, [(0, 1)])
    assert reach_of(wide) == 50.0


def test_the_truth_itself_scores_full_marks() -> None:
    result = score(TRUTH, TRUTH)
    assert result.exact
    assert result.joints == Hits(3, 0, 0)
    assert result.members.f1 == result.supports.f1 == result.loads.f1 == 1.0


def test_order_and_ids_do_not_matter() -> None:
    read = candidate({7: (305, 195), 4: (103, 502), 9: (495, 507)}, [(4, 7), (9, 4), (7, 9)])
    assert match_joints(read, TRUTH) == {7: 2, 4: 0, 9: 1}
    assert score(read, TRUTH).exact


def test_a_joint_13_pixels_off_is_missed_and_invented() -> None:
    read = candidate({**PLACES, 2: (313.0, 200.0)}, [(0, 1), (1, 2), (2, 0)])
    result = score(read, TRUTH)
    assert result.joints == Hits(2, 1, 1)
    # Both members at that joint are missed, and two others invented.
    assert result.members == Hits(1, 2, 2)
    # Delete the joint (its members go with it), add it, draw two members.
    assert result.corrections == 4
    assert result.joints.f1 == pytest.approx(2 / 3)
    assert result.members.f1 == pytest.approx(1 / 3)


def test_no_truss_found_costs_all_joints_and_members() -> None:
    result = score(None, TRUTH)
    assert result.joints == Hits(0, 0, 3)
    assert result.corrections == 6
    assert not result.exact


def test_a_joint_too_many_on_a_member_costs_two_corrections() -> None:
    read = candidate({**PLACES, 3: (300.0, 500.0)}, [(0, 3), (3, 1), (1, 2), (2, 0)])
    result = score(read, TRUTH)
    assert result.joints == Hits(3, 1, 0)
    assert result.members == Hits(2, 2, 1)
    # Delete the joint, draw the member again.
    assert result.corrections == 2


def test_a_missing_and_a_wrong_member_cost_one_each() -> None:
    square = {0: (0.0, 0.0), 1: (400.0, 0.0), 2: (400.0, 400.0), 3: (0.0, 400.0)}
    ring = [(0, 1), (1, 2), (2, 3), (3, 0)]
    truth, read = candidate(square, [*ring, (0, 2)]), candidate(square, [*ring, (1, 3)])
    assert score(read, truth).corrections == 2
    assert score(read, truth).members == Hits(4, 1, 1)


def test_a_member_named_twice_counts_once() -> None:
    read = candidate(PLACES, [(0, 1), (1, 0), (1, 2), (2, 0)])
    assert score(read, TRUTH).members == Hits(3, 0, 0)


def test_kind_and_place_of_a_support_are_told_apart() -> None:
    read = candidate(
        PLACES,
        [(0, 1), (1, 2), (2, 0)],
        supports=[{"joint": 0, "kind": "roller"}, {"joint": 1, "kind": "roller"}],
    )
    result = score(read, TRUTH)
    assert result.support_places == Hits(2, 0, 0)
    assert result.supports == Hits(1, 1, 1)


@pytest.mark.parametrize(
    ("joint", "direction", "hits"),
    [
        (2, 284.9, Hits(1, 0, 0)),
        (2, 255.1, Hits(1, 0, 0)),
        (2, 286.0, Hits(0, 1, 1)),
        (2, 90.0, Hits(0, 1, 1)),
        (1, 270.0, Hits(0, 1, 1)),
    ],
)
def test_a_load_needs_its_joint_and_15_degrees(joint: int, direction: float, hits: Hits) -> None:
    loads = [{"joint": joint, "direction_deg": direction}]
    read = candidate(PLACES, [(0, 1), (1, 2), (2, 0)], loads=loads)
    assert score(read, TRUTH).loads == hits


def test_directions_wrap_around_the_circle() -> None:
    truth = candidate(PLACES, [(0, 1)], loads=[{"joint": 2, "direction_deg": 355.0}])
    read = candidate(PLACES, [(0, 1)], loads=[{"joint": 2, "direction_deg": 5.0}])
    assert score(read, truth).loads == Hits(1, 0, 0)


def test_two_loads_at_a_joint_need_two_readings() -> None:
    loads = [{"joint": 2, "direction_deg": 270.0}, {"joint": 2, "direction_deg": 270.0}]
    truth = candidate(PLACES, [(0, 1)], loads=loads)
    assert score(TRUTH, truth).loads == Hits(1, 0, 1)


def test_close_joints_are_paired_so_that_most_are_found() -> None:
    """Nearest first would give 0 the wrong partner and leave 1 without one."""
    truth = candidate({0: (0.0, 0.0), 1: (10.0, 0.0), 2: (400.0, 0.0)}, [(0, 1)])
    read = candidate({0: (9.0, 0.0), 1: (18.0, 0.0), 2: (400.0, 0.0)}, [(0, 1)])
    assert match_joints(read, truth) == {0: 0, 1: 1, 2: 2}


def test_hits_add_up() -> None:
    assert Hits(1, 2, 3) + Hits(4, 5, 6) == Hits(5, 7, 9)
    assert Hits().f1 == 1.0
    assert Hits(0, 1, 0).f1 == 0.0
