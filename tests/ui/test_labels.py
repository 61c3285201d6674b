"""Labels never overlap, stay the same from run to run, and keep clear of what they can."""

from __future__ import annotations

import math
from itertools import combinations

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import sample_sketches
from model.job import truss_of
from ui.labels import Ink, Label, along, beside, disc, place, stroke, upright
from ui.views import on_picture


def overlap(one: Label, two: Label) -> float:
    """Area that two labels share, by OpenCV's clipping of convex polygons."""
    return float(cv2.intersectConvexConvex(corners(one), corners(two))[0])


def corners(label: Label) -> np.ndarray:
    turn = math.radians(label.angle_deg)
    c, s = math.cos(turn), math.sin(turn)
    halves = [
        (label.width / 2 * i, label.height / 2 * j) for i, j in ((-1, -1), (1, -1), (1, 1), (-1, 1))
    ]
    return np.array(
        [(label.x + u * c + v * s, label.y - u * s + v * c) for u, v in halves], np.float32
    )


def assert_apart(labels: list[Label]) -> None:
    for one, two in combinations(labels, 2):
        assert overlap(one, two) < 0.5, (one.text, two.text)


points = st.tuples(st.floats(0, 600), st.floats(0, 400))


@settings(max_examples=60, deadline=None)
@given(st.lists(points, min_size=2, max_size=14, unique=True), st.integers(8, 40))
def test_no_two_labels_overlap_however_crowded(at: list[tuple[float, float]], size: int) -> None:
    lines = list(combinations(at, 2))[:20]
    wishes = [along(f"{i}.5 (T)", a, b, size) for i, (a, b) in enumerate(lines)]
    wishes += [
        beside(f"J{i}", point, size, away_deg=40.0 * i, reach=6.0) for i, point in enumerate(at)
    ]
    obstacles = [stroke(a, b, 2.0) for a, b in lines] + [disc(point, 5.0) for point in at]
    labels = place(wishes, obstacles=obstacles, frame=(0.0, 0.0, 600.0, 400.0))
    assert [label.text for label in labels] == [wish.text for wish in wishes]
    assert_apart(labels)
    assert labels == place(wishes, obstacles=obstacles, frame=(0.0, 0.0, 600.0, 400.0))


@pytest.mark.parametrize("name", sample_sketches.names())
@pytest.mark.parametrize("growth", [1.0, 1.8])
def test_no_overlap_on_the_samples_and_joints_stay_free(name: str, growth: float) -> None:
    job = sample_sketches.load_job(name)
    view = on_picture(truss_of(job), {k: j.pixel for k, j in job.joints.items()}, 1800.0, 1350.0)
    size = growth * view.font_size
    ends = [(tuple(a), tuple(b)) for a, b in view.segments.tolist()]
    wishes = [along("123.4 (C)", a, b, size) for a, b in ends]
    joints = [tuple(point) for point in view.points.tolist()]
    obstacles = [stroke(a, b, 4.0, 3.0) for a, b in ends] + [disc(p, 0.4 * size) for p in joints]
    labels = place(wishes, obstacles=obstacles)
    assert_apart(labels)
    if growth == 1.0:
        for label in labels:
            if label.leader is None:
                box = corners(label)
                assert all(cv2.pointPolygonTest(box, joint, False) < 0 for joint in joints)


def test_a_lone_label_sits_above_its_member_along_it() -> None:
    (label,) = place([along("5 (T)", (0.0, 100.0), (200.0, 100.0), 20.0)])
    assert (label.x, label.angle_deg, label.leader) == (100.0, 0.0, None)
    assert label.y + label.height / 2 < 100.0


def test_a_label_without_room_gets_a_leader_to_its_member() -> None:
    # Three members too short for their values, all at one spot.
    wishes = [along("1234.5 (C)", (100.0, 100.0), (103.0, 100.0), 20.0) for _ in range(9)]
    labels = place(wishes, frame=(0.0, 0.0, 400.0, 400.0))
    assert_apart(labels)
    led = [label for label in labels if label.leader is not None]
    assert led
    assert all(label.leader[1] == (101.5, 100.0) for label in led)


def test_writing_on_the_picture_is_left_readable() -> None:
    ink = np.zeros((50, 100), bool)
    ink[:25] = True  # the upper half is written on
    wish = along("5 (T)", (20.0, 250.0), (980.0, 250.0), 20.0)
    (label,) = place([wish], ink=Ink(ink, 10.0))
    assert label.y > 250.0


@given(st.floats(-720, 720))
def test_writing_reads_upright(angle: float) -> None:
    turned = upright(angle)
    assert -80.0 - 1e-9 <= turned <= 100.0 + 1e-9
    difference = (turned - angle) % 180.0
    assert min(difference, 180.0 - difference) < 1e-6
