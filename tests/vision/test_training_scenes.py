"""The renderer: what it draws is what it says, and a number always gives the same picture."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vision.training import DIFFICULTIES, draw
from vision.training.distractors import FIGURES
from vision.training.families import FAMILIES, draw_frame
from vision.training.hand import Hand, Sheet
from vision.training.lettering import hershey_fonts
from vision.training.notes import Notes
from vision.training.scene import draw_scene
from vision.training.truth import blank_truth
from vision.training.walls import bars_at_wall, wall_truss


def test_the_same_number_gives_the_same_picture():
    first, truth = draw(7, "medium", size=600)
    again, same = draw(7, "medium", size=600)
    assert np.array_equal(first, again)
    assert truth == same
    other, _ = draw(8, "medium", size=600)
    assert other.shape != first.shape or not np.array_equal(first, other)


def test_an_unknown_difficulty_is_named():
    with pytest.raises(ValueError, match="difficulty must be one of easy, medium, hard"):
        draw(1, "fiendish")


@pytest.mark.parametrize("difficulty", DIFFICULTIES)
def test_ink_lies_along_every_member(difficulty):
    """Of the points along a member's centre line, nearly all have ink within a bar's width."""
    for seed in range(6):
        sheet, truth = draw_scene(np.random.default_rng(seed), difficulty, 768)
        reach = 12
        inked = []
        for bar in truth["members"]:
            line = np.array(bar["line"])
            t = np.linspace(0.08, 0.92, 24)
            along = np.linspace(0, 1, len(line))
            x, y = (np.interp(t, along, line[:, k]) for k in (0, 1))
            for px, py in zip(x.astype(int), y.astype(int), strict=True):
                patch = sheet.ink[max(py - reach, 0) : py + reach, max(px - reach, 0) : px + reach]
                inked.append(patch.max(initial=0) > 20)
        assert np.mean(inked) > 0.97


def test_a_page_without_a_truss_has_ink_but_no_joints():
    inked = 0
    for seed in range(8):
        sheet, truth = draw_scene(np.random.default_rng(seed), "medium", 512, truss=False)
        assert truth["joints"] == truth["members"] == truth["loads"] == truth["supports"] == []
        inked += bool(sheet.ink.any())
    assert inked >= 7


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(6, 62))
def test_every_frame_is_one_connected_piece_of_clear_members(seed, most):
    name, frame = draw_frame(np.random.default_rng(seed), most)
    assert name in FAMILIES
    assert 2 <= len(frame.members) <= most
    assert len(set(frame.members)) == len(frame.members)
    assert all(a != b for a, b in frame.members)
    assert all(0 <= j < len(frame.joints) for j, _, _ in frame.supports)
    assert {kind for _, kind, _ in frame.supports} <= {"pin", "roller"}
    ends = {j for pair in frame.members for j in pair}
    assert ends == set(range(len(frame.joints)))


def test_all_families_are_drawn():
    rng = np.random.default_rng(0)
    assert {draw_frame(rng, 40)[0] for _ in range(600)} == set(FAMILIES)


def test_a_load_points_from_its_tail_to_its_head():
    found = 0
    for seed in range(10):
        _, truth = draw(seed, "hard", size=500)
        for load in truth["loads"] + truth["reactions"]:
            (x0, y0), (x1, y1) = load["tail"], load["head"]
            angle = np.degrees(np.arctan2(y0 - y1, x1 - x0))
            off = abs((angle - load["direction_deg"] + 180) % 360 - 180)
            assert off < 1.0
            found += 1
    assert found > 10


def _notes(seed):
    rng = np.random.default_rng(seed)
    hand = Hand.draw(rng, 0.3, np.zeros((0, 24)))
    return Notes(rng, Sheet(768), hand, hershey_fonts()[0], 16.0, blank_truth(768, 768))


@pytest.mark.parametrize("family", [bars_at_wall, wall_truss])
def test_a_wall_pushes_towards_the_truss_that_it_holds(family):
    for seed in range(30):
        frame = family(np.random.default_rng(seed), 24)
        middle = frame.joints.mean(axis=0)
        for joint, _, degrees in frame.supports:
            push = np.array([np.cos(np.radians(degrees)), np.sin(np.radians(degrees))])
            assert push @ (middle - frame.joints[joint]) > 0
        assert "pin" in {kind for _, kind, _ in frame.supports}


@pytest.mark.parametrize("name", FIGURES)
def test_a_figure_that_is_no_truss_marks_none(name):
    for seed in range(4):
        notes = _notes(seed)
        FIGURES[name](notes, (120.0, 120.0, 620.0, 600.0))
        assert notes.sheet.ink.any()
        assert notes.truth["joints"] == notes.truth["members"] == []


def test_extension_lines_may_begin_at_the_joints():
    joints = (np.array([200.0, 150.0]), np.array([500.0, 300.0]))
    begun = 0
    for seed in range(20):
        notes = _notes(seed)
        a, b = np.array([200.0, 420.0]), np.array([500.0, 420.0])
        notes.dimension(a, b, np.array([0.0, 1.0]), 60.0, joints)
        starts = [np.array(line[0]) for line in notes.truth["dimension_lines"]]
        begun += all(min(np.hypot(*(s - j)) for s in starts) < 12 for j in joints)
    assert begun >= 10
