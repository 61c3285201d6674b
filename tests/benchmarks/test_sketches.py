"""The maker of the evaluation set: the same seed, the same picture, truth inside the frame."""

from __future__ import annotations

from itertools import combinations

import cv2
import numpy as np
import pytest

from tests.benchmarks.sketches.families import FAMILIES
from tests.benchmarks.sketches.maker import make_sketch
from tests.benchmarks.sketches.other_pages import make_other_page

CASES = [("easy", 2), ("medium", 3), ("hard", 0)]


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("size", [0, 3])
def test_a_plan_has_no_stray_joint_and_no_member_twice(family: str, size: int) -> None:
    plan = FAMILIES[family](np.random.default_rng(size), size)
    assert len({frozenset(pair) for pair in plan.members}) == len(plan.members)
    assert {i for pair in plan.members for i in pair} == set(range(len(plan.points)))
    assert all(
        np.hypot(*(plan.points[a] - plan.points[b])) > 0.2
        for a, b in combinations(range(len(plan.points)), 2)
    )


@pytest.mark.parametrize(("difficulty", "seed"), CASES)
def test_a_seed_gives_one_picture_with_its_truth_inside(difficulty: str, seed: int) -> None:
    sketch = make_sketch(seed, difficulty)
    assert make_sketch(seed, difficulty).jpeg == sketch.jpeg
    image = cv2.imdecode(np.frombuffer(sketch.jpeg, np.uint8), cv2.IMREAD_COLOR)
    assert image is not None
    assert image.shape[:2] == (sketch.truth.picture.height, sketch.truth.picture.width)
    for joint in sketch.truth.joints:
        assert 0 < joint.x < image.shape[1]
        assert 0 < joint.y < image.shape[0]
    ids = {joint.id for joint in sketch.truth.joints}
    assert {end for m in sketch.truth.members for end in (m.a, m.b)} == ids
    assert set(sketch.tags) == {"difficulty", "family", "paper", "pen"}


def test_a_page_without_a_truss_is_drawn_the_same_way_twice() -> None:
    first, second = make_other_page(3), make_other_page(3)
    assert first.jpeg == second.jpeg
    assert first.shows == "graph"
