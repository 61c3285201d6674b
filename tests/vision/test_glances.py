"""Looks at single symbols: what is sampled, what is told, and what training learns from."""

import cv2
import numpy as np
import pytest

from vision.glance import LEAN_DEG, WEIGHTS, lay_bare, tell_feet, tell_feet_twice
from vision.page import Sheet, find_ink
from vision.training.looks import looks_at
from vision.training.makers import MAKERS, draw_numbered
from vision.training.specimens import draw_specimens

JOINT = np.array([[300.0, 300.0]])
BAR = 220.0


def _ink(paper):
    return lay_bare(Sheet(paper < 128, paper), JOINT, ())


def _pin(lean_deg):
    """A pin on hatched ground under a truss's corner, turned counter-clockwise about the joint."""
    paper = np.full((600, 600), 255, np.uint8)
    c, s = np.cos(np.radians(lean_deg)), np.sin(np.radians(lean_deg))

    def line(a, b, width=3):
        ends = np.array([a, b], float) @ np.array([[c, -s], [s, c]]) + JOINT[0]
        cv2.line(paper, *np.round(ends).astype(int).tolist(), 0, width, cv2.LINE_AA)

    for a, b in (((0, 0), (-45, 80)), ((0, 0), (45, 80)), ((-75, 80), (75, 80))):
        line(a, b)
    for x in range(-65, 76, 20):
        line((x, 80), (x - 15, 100), 2)
    for end in ((520, 300), (400, 120)):
        cv2.line(paper, (300, 300), end, 0, 4, cv2.LINE_AA)
    return paper


def test_the_files_that_ship_are_small_together():
    assert sum(path.stat().st_size for path in WEIGHTS.iterdir() if path.is_file()) <= 12_000_000


def test_a_mirror_changes_nothing_in_what_is_told_twice():
    paper = _pin(8.0)
    seen = tell_feet_twice(_ink(paper), JOINT, np.array([80.0]), BAR)
    mirrored = np.array([[299.0, 300.0]])
    ink = lay_bare(Sheet(paper[:, ::-1] < 128, np.ascontiguousarray(paper[:, ::-1])), mirrored, ())
    turned = tell_feet_twice(ink, mirrored, np.array([100.0]), BAR)
    assert turned[0] == pytest.approx(seen[0], abs=0.02)


@pytest.mark.parametrize("askew", [-15.0, 15.0])
def test_a_look_from_askew_tells_which_way_the_support_pushes(askew):
    _, lean = tell_feet(_ink(_pin(0.0)), JOINT, np.array([90.0 + askew]), BAR)
    assert lean[0] == pytest.approx(-askew, abs=10.0)


def test_supports_and_joints_without_are_told_from_the_truth():
    rgb, truth = draw_numbered(72_004, 900)
    _, feet = looks_at(rgb, truth, np.random.default_rng(0))
    rows, columns = rgb.shape[:2]
    joints = truth["joints"]
    held = [
        entry["kind"]
        for entry in truth["supports"]
        if 0 < joints[entry["joint"]]["x"] < columns and 0 < joints[entry["joint"]]["y"] < rows
    ]
    assert held
    assert (feet.kind == 1).sum() == 2 * held.count("pin")
    assert (feet.kind == 2).sum() == 2 * held.count("roller")
    assert np.abs(feet.lean_deg).max() <= 25.0 < LEAN_DEG


@pytest.mark.parametrize("maker", range(len(MAKERS)))
def test_a_reduced_picture_still_shows_its_members_where_its_truth_says(maker):
    drawn = (draw_numbered(80_000 + 4 * k + maker, 600) for k in range(3))
    shares = []
    for rgb, truth in (picture for picture in drawn if picture):
        assert max(rgb.shape) <= 600
        ink = cv2.dilate(find_ink(rgb).ink.astype(np.uint8), np.ones((5, 5), np.uint8)) > 0
        at = np.array([(joint["x"], joint["y"]) for joint in truth["joints"]])
        ends = at[[(bar["a"], bar["b"]) for bar in truth["members"]]]
        along = (0.3 * ends[:, 0] + 0.7 * ends[:, 1], 0.6 * ends[:, 0] + 0.4 * ends[:, 1])
        columns, rows = np.round(np.concatenate(along)).astype(int).T
        inside = (columns >= 0) & (rows >= 0) & (columns < ink.shape[1]) & (rows < ink.shape[0])
        shares.append(ink[rows[inside], columns[inside]].mean() - ink.mean())
    assert np.mean(shares) > 0.4


@pytest.mark.parametrize("manner", range(3))
def test_specimens_stand_behind_their_joints(manner):
    """Ink on the side away from which a support pushes, which no bar comes near."""
    inked = []
    for number in range(manner, manner + 9, 3):
        rgb, truth = draw_specimens(number)
        ink = find_ink(rgb).ink
        at = np.array([(joint["x"], joint["y"]) for joint in truth["joints"]])
        bars = np.array([(bar["a"], bar["b"]) for bar in truth["members"]])
        bar = np.median(np.hypot(*(at[bars[:, 0]] - at[bars[:, 1]]).T))
        for entry in truth["supports"]:
            way = np.radians(entry["angle_deg"])
            away = np.array([-np.cos(way), np.sin(way)])
            line = at[entry["joint"]] + np.linspace(0.12, 0.7, 40)[:, None] * bar * away
            columns, rows = np.round(line).astype(int).T
            inside = (columns >= 0) & (rows >= 0)
            inside &= (columns < ink.shape[1]) & (rows < ink.shape[0])
            if inside.all():
                inked.append(ink[rows, columns].any())
    assert len(inked) > 8
    assert np.mean(inked) > 0.85
