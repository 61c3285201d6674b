"""Arrows and supports as the reader tells them: from clean ink, and in a drawn truss."""

from itertools import pairwise

import cv2
import numpy as np
import pytest

from vision.arrows import rays_at
from vision.evidence import Weighing
from vision.glance import lay_bare, tell_feet, tell_strokes
from vision.loads import Arrows, choose
from vision.page import Sheet
from vision.reading import read_picture
from vision.training.evidence import fit_curve, fit_weighing

JOINT = np.array([300.0, 300.0])


def _sheet(draw):
    paper = np.full((600, 600), 255, np.uint8)
    draw(paper)
    return Sheet(paper < 128, paper)


def _told_along(draw, far):
    ink = lay_bare(_sheet(draw), JOINT[None], ())
    return tell_strokes(ink, JOINT[None], np.array([far], float))[0]


def _told_under(draw):
    ink = lay_bare(_sheet(draw), JOINT[None], ())
    return tell_feet(ink, JOINT[None], np.array([90.0]), 220.0)[0][0]


def _members(paper):
    for end in ((80, 300), (520, 300), (200, 120), (400, 120)):
        cv2.line(paper, (300, 300), end, 0, 4, cv2.LINE_AA)


def test_an_arrow_that_points_at_its_joint():
    def draw(paper):
        cv2.arrowedLine(paper, (300, 430), (300, 308), 0, 3, cv2.LINE_AA, tipLength=0.2)

    assert _told_along(draw, (300, 430)).argmax() == 1


def test_an_arrow_that_points_away():
    def draw(paper):
        cv2.arrowedLine(paper, (300, 304), (300, 430), 0, 3, cv2.LINE_AA, tipLength=0.2)

    assert _told_along(draw, (300, 430)).argmax() == 2


def _triangle(paper, foot=380):
    corners = np.array([[300, 300], [255, foot], [345, foot]])
    cv2.polylines(paper, [corners], True, 0, 3, cv2.LINE_AA)


def test_a_triangle_on_hatched_ground_is_a_pin():
    def draw(paper):
        _members(paper)
        _triangle(paper)
        cv2.line(paper, (225, 380), (375, 380), 0, 3, cv2.LINE_AA)
        for x in range(235, 376, 20):
            cv2.line(paper, (x, 380), (x - 15, 400), 0, 2, cv2.LINE_AA)

    assert _told_under(draw).argmax() == 1


def test_nothing_below_a_joint_is_no_support():
    assert _told_under(_members).argmax() == 0


@pytest.mark.parametrize("far", [(300, 150), (300, 450)])
def test_a_stroke_at_a_joint_is_found_from_end_to_end(far):
    ink = np.zeros((600, 600), np.uint8)
    cv2.line(ink, (80, 300), (520, 300), 1, 4)
    cv2.line(ink, (300, 300), far, 1, 4)
    rays = rays_at(ink > 0, JOINT, np.array([0.0, 180.0]), 220.0)
    assert len(rays) == 1
    assert rays[0][1] == pytest.approx(far, abs=8)


def _arrows(angles, joints):
    count = len(angles)
    return Arrows(
        np.array(joints),
        np.array(angles, float),
        np.ones(count),
        np.zeros((count, 2)),
        np.zeros((count, 1)),
    )


def test_one_stroke_is_not_read_both_ways():
    arrows = _arrows([270.0, 90.0, 275.0], [0, 0, 0])
    assert choose(arrows, np.array([0.9, 0.8, 0.7])) == [0]


def test_two_loads_at_one_joint_are_both_read():
    arrows = _arrows([270.0, 0.0, 180.0], [0, 0, 0])
    assert choose(arrows, np.array([0.9, 0.8, 0.3])) == [0, 1]


def test_a_fit_finds_the_true_probabilities():
    """Evidence drawn from two normal distributions, for which Bayes' rule gives the odds."""
    rng = np.random.default_rng(5)
    right = rng.random(6000) < 0.4
    evidence = rng.normal(np.where(right, 1.0, -1.0), 1.0)[:, None]
    fitted = fit_weighing(evidence, right, steps=3, price=0.5)
    places = np.linspace(-2, 2, 9)
    true = 1 / (1 + np.exp(-(np.log(0.4 / 0.6) + 2 * places)))
    assert fitted.chance(places[:, None]) == pytest.approx(true, abs=0.04)


def test_a_curve_through_honest_evidence_changes_nothing():
    said = np.random.default_rng(3).random(8000)
    right = np.random.default_rng(4).random(8000) < said
    start, slope = fit_curve(np.column_stack([said, right]))
    assert start == pytest.approx(0, abs=0.1)
    assert slope == pytest.approx(1, abs=0.1)


def test_evidence_far_from_all_that_was_seen_counts_no_more_than_four_deviations():
    weighing = Weighing(np.zeros(1), np.ones(1), np.array([[0.1], [0.0]]), np.array([2.0, 0.0]))
    assert weighing.chance(np.array([[4.0]])) == weighing.chance(np.array([[400.0]]))


@pytest.fixture(scope="module")
def read():
    """A truss of three panels on paper: a load at C, a dimension line below, a pin, a roller."""
    paper = np.full((900, 1300, 3), 245, np.uint8)
    low = [(200, 600), (500, 600), (800, 600), (1100, 600)]
    high = [(350, 340), (650, 340), (950, 340)]
    ink = (40, 40, 60)
    for row in (low, high):
        for a, b in pairwise(row):
            cv2.line(paper, a, b, ink, 4, cv2.LINE_AA)
    for k, top in enumerate(high):
        for foot in low[k : k + 2]:
            cv2.line(paper, top, foot, ink, 4, cv2.LINE_AA)
    for (x, y), wheels in ((low[0], 0), (low[3], 2)):
        corners = np.array([[x, y], [x - 35, y + 55], [x + 35, y + 55]])
        cv2.polylines(paper, [corners], True, ink, 4, cv2.LINE_AA)
        ground = y + (55 if not wheels else 82)
        for wheel in range(wheels):
            cv2.circle(paper, (x - 18 + 36 * wheel, y + 68), 12, ink, 3, cv2.LINE_AA)
        cv2.line(paper, (x - 60, ground), (x + 60, ground), ink, 4, cv2.LINE_AA)
        for step in range(-50, 61, 20):
            cv2.line(paper, (x + step, ground), (x + step - 12, ground + 16), ink, 3, cv2.LINE_AA)
    cv2.arrowedLine(paper, (650, 190), (650, 330), ink, 4, cv2.LINE_AA, tipLength=0.2)
    cv2.putText(paper, "12 kN", (670, 220), cv2.FONT_HERSHEY_SIMPLEX, 1.2, ink, 3, cv2.LINE_AA)
    for x in (500, 800):
        cv2.line(paper, (x, 620), (x, 790), ink, 2, cv2.LINE_AA)
    for a, b in (((500, 770), (800, 770)), ((800, 770), (500, 770))):
        cv2.arrowedLine(paper, a, b, ink, 2, cv2.LINE_AA, tipLength=0.06)
    cv2.putText(paper, "3 m", (620, 755), cv2.FONT_HERSHEY_SIMPLEX, 1.2, ink, 3, cv2.LINE_AA)
    return read_picture(cv2.imencode(".png", paper)[1].tobytes(), name="drawn")


def _near(read, x, y):
    return min(read.joints, key=lambda joint: np.hypot(joint.x - x, joint.y - y)).id


def test_the_load_is_read_with_its_sense_and_the_dimension_line_is_none(read):
    assert [(load.joint, round(load.direction_deg, -1)) for load in read.loads] == [
        (_near(read, 650, 340), 270.0)
    ]


def test_the_triangle_is_a_pin_and_the_one_on_circles_a_roller(read):
    assert {(support.joint, support.kind) for support in read.supports} == {
        (_near(read, 200, 600), "pin"),
        (_near(read, 1100, 600), "roller"),
    }
