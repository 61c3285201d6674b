"""The third maker of practice drawings: its truth agrees with its ink."""

from __future__ import annotations

import itertools

import cv2
import numpy as np
import pytest

from vision.training.targets import marks
from vision.training.third.letters import GLYPHS
from vision.training.third.plan import crossings, sound
from vision.training.third.scene import draw_sheet
from vision.training.third.standing import choose_plan

SEEDS = range(60)

#: What the trainer's stream takes of one sheet: segments, points and texts.
LIMITS = (640, 256, 64)


@pytest.fixture(scope="module")
def sheets():
    return [draw_sheet(np.random.default_rng(seed)) for seed in SEEDS]


def near_ink(ink, reach):
    return cv2.dilate(ink, np.ones((2 * reach + 1, 2 * reach + 1), np.uint8)) > 25


def inside(points, side):
    points = np.asarray(points, float).reshape(-1, 2)
    return points[((points > 1) & (points < side - 2)).all(axis=1)].astype(int)


def test_same_state_gives_same_sheet():
    ink, truth = draw_sheet(np.random.default_rng(5))
    again, truth_again = draw_sheet(np.random.default_rng(5))
    assert np.array_equal(ink, again)
    assert truth == truth_again


def test_sheet_has_the_side_asked_for():
    ink, truth = draw_sheet(np.random.default_rng(2), 512)
    assert ink.shape == (512, 512)
    assert ink.dtype == np.uint8
    assert (truth["width"], truth["height"]) == (512, 512)
    assert ink.max() > 60


def test_joints_lie_on_ink(sheets):
    hit = total = 0
    for ink, truth in sheets:
        covered = near_ink(ink, 9)
        for x, y in inside([[j["x"], j["y"]] for j in truth["joints"]], 768):
            hit += covered[y, x]
            total += 1
    assert total > 200
    assert hit / total > 0.98


def test_members_have_ink_under_most_of_their_length(sheets):
    total, poor = 0, 0
    for ink, truth in sheets:
        covered = near_ink(ink, 6)
        for bar in truth["members"]:
            line = np.array(bar["line"])
            t = np.linspace(0, 1, 20)[:, None]
            way = np.concatenate([a + t * (b - a) for a, b in itertools.pairwise(line)])
            seen = inside(way, 768)
            if len(seen) > 10:
                total += 1
                poor += covered[seen[:, 1], seen[:, 0]].mean() < 0.8
    assert total > 300
    assert poor / total < 0.02


def test_members_run_from_joint_to_joint(sheets):
    for _, truth in sheets:
        at = np.array([[j["x"], j["y"]] for j in truth["joints"]])
        for bar in truth["members"]:
            assert np.allclose(bar["line"][0], at[bar["a"]], atol=1e-6)
            assert np.allclose(bar["line"][-1], at[bar["b"]], atol=1e-6)


def test_arrows_point_as_their_direction_says(sheets):
    entries = [e for _, t in sheets for e in (*t["loads"], *t["reactions"])]
    assert len(entries) > 50
    for entry in entries:
        dx, dy = np.subtract(entry["head"], entry["tail"])
        turn = np.radians(entry["direction_deg"])
        assert np.allclose([np.cos(turn), -np.sin(turn)], np.array([dx, dy]) / np.hypot(dx, dy))


def test_marks_stay_within_the_limits(sheets):
    for _, truth in sheets:
        for rows, limit in zip(marks(truth), LIMITS, strict=True):
            assert len(rows) <= limit
            assert np.isfinite(rows).all()


def test_some_sheets_have_no_truss_and_most_have_one(sheets):
    without = [t for _, t in sheets if not t["members"]]
    assert 1 <= len(without) <= 0.25 * len(sheets)
    for truth in without:
        assert not truth["joints"]
        assert not truth["loads"]
        assert not truth["supports"]


def test_texts_lie_on_the_sheet_and_hold_ink(sheets):
    for ink, truth in sheets:
        for entry in truth["texts"]:
            box = np.array(entry["box"])
            assert box.min() >= 0
            assert box.max() < 768
            (x0, y0), (x1, y1) = box.min(axis=0).astype(int), box.max(axis=0).astype(int) + 1
            assert ink[y0:y1, x0:x1].max() > 20


def test_plans_are_sound():
    rng = np.random.default_rng(1)
    for _ in range(60):
        plan = choose_plan(rng)
        assert sound(plan)
        assert all(0 <= hold[0] < len(plan.joints) for hold in plan.holds)


def test_crossing_of_two_diagonals_is_their_middle():
    square = np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]])
    assert crossings(square, [(0, 2), (1, 3), (0, 1)]) == [(1.0, 1.0)]


def test_alphabet_has_what_is_written():
    assert set("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789.-+=()/°'\"") <= set(
        GLYPHS
    )
