"""The maker of hurried drawings: its pictures can be made again and its truth lies on ink."""

import itertools
import subprocess
import sys

import cv2
import numpy as np
import pytest

from vision.training.fourth.nets import any_net, met
from vision.training.fourth.scene import draw_photo
from vision.training.targets import marks

SIDE = 512
#: Most segments, points and boxes of a picture that training takes.
MOST = (640, 256, 64)


@pytest.fixture(scope="module")
def pictures():
    return [draw_photo(np.random.default_rng([4, seed]), SIDE) for seed in range(60)]


def test_same_state_gives_the_same_picture(pictures) -> None:
    grey, truth = draw_photo(np.random.default_rng([4, 7]), SIDE)
    assert np.array_equal(grey, pictures[7][0])
    assert truth == pictures[7][1]


def test_pictures_are_grey_squares_with_light_and_dark(pictures) -> None:
    for grey, truth in pictures:
        assert grey.shape == (SIDE, SIDE)
        assert grey.dtype == np.uint8
        assert (truth["width"], truth["height"]) == (SIDE, SIDE)
        assert np.ptp(grey) > 30


def _contrast(grey: np.ndarray, line: list[list[float]]) -> float:
    """Extreme grey within two pixels of a line against the median farther beside it."""
    points = np.array(line)
    steps = [np.linspace(p, q, 12)[2:-2] for p, q in itertools.pairwise(points)]
    on = np.concatenate(steps)
    way = points[-1] - points[0]
    across = np.array([-way[1], way[0]]) / max(np.hypot(*way), 1e-6)
    offsets = np.arange(-8, 9)
    places = (on[:, None] + offsets[None, :, None] * across).astype(np.float32)
    inside = ((on > 9) & (on < SIDE - 9)).all(axis=1)
    if inside.sum() < 5:
        return np.nan
    values = cv2.remap(grey, places[inside, :, 0], places[inside, :, 1], cv2.INTER_LINEAR)
    profile = values.astype(float).mean(axis=0)
    near, far = profile[6:11], np.median(profile)
    return float(max(far - near.min(), near.max() - far))


def test_members_run_where_ink_is(pictures) -> None:
    shares = []
    for grey, truth in pictures:
        found = np.array([_contrast(grey, bar["line"]) for bar in truth["members"]])
        found = found[~np.isnan(found)]
        if len(found):
            shares.append((found > 6).mean())
    assert np.mean(shares) > 0.9


def test_the_truth_is_consistent(pictures) -> None:
    for _, truth in pictures:
        count = len(truth["joints"])
        pairs = {(min(bar["a"], bar["b"]), max(bar["a"], bar["b"])) for bar in truth["members"]}
        assert len(pairs) == len(truth["members"])
        for bar in truth["members"]:
            assert {bar["a"], bar["b"]} <= set(range(count))
            ends = [truth["joints"][bar[end]] for end in "ab"]
            for end, place in zip(ends, (bar["line"][0], bar["line"][-1]), strict=True):
                assert np.hypot(end["x"] - place[0], end["y"] - place[1]) < 0.05 * SIDE
        for entry in truth["loads"] + truth["reactions"]:
            way = np.subtract(entry["head"], entry["tail"])
            angle = np.degrees(np.arctan2(-way[1], way[0]))
            assert abs((entry["direction_deg"] - angle + 180) % 360 - 180) < 1e-6


def test_marks_fit_the_stream(pictures) -> None:
    for _, truth in pictures:
        rows = [len(part) for part in marks(truth)]
        assert all(row <= most for row, most in zip(rows, MOST, strict=True)), rows


def test_some_but_few_pictures_have_no_truss(pictures) -> None:
    without = sum(not truth["joints"] for _, truth in pictures)
    assert 1 <= without <= 20


def test_nets_have_two_to_fifty_bars_and_no_bar_through_a_joint() -> None:
    for seed in range(120):
        net = any_net(np.random.default_rng(seed))
        assert 2 <= len(net.bars) <= 50
        assert {joint for bar in net.bars for joint in bar} == set(range(len(net.joints)))
        assert np.isclose(np.ptp(net.joints, axis=0).max(), 1000, rtol=0.2)


def test_bars_that_cross_are_told_from_bars_that_touch() -> None:
    p, q, r, s = np.array([[0.0, 0], [2, 2], [0, 2], [2, 0]])
    assert np.allclose(met(p, q, r, s), [1, 1])
    assert met(p, q, p, s) is None


def test_drawing_needs_no_torch() -> None:
    code = "import sys, vision.training.fourth.scene; sys.exit('torch' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
