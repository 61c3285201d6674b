"""How networks are measured map by map."""

import numpy as np

from vision.training import draw
from vision.training.measure import peaks, score
from vision.training.targets import paint


def test_perfect_maps_score_full_marks():
    _, truth = draw(7, "medium")
    maps = paint(truth, 512).values
    counts = score(maps, maps)
    assert counts["joint"][0] == len(truth["joints"])
    for hits, ours, theirs in counts.values():
        assert hits == ours == theirs


def test_a_shifted_map_misses_and_a_near_one_hits():
    _, truth = draw(7, "medium")
    maps = paint(truth, 512).values
    near, far = np.roll(maps, 2, axis=2), np.roll(maps, 12, axis=2)
    joints = len(truth["joints"])
    assert score(near, maps)["joint"][0] == joints
    assert score(far, maps)["joint"][0] < joints


def test_peaks_come_hottest_first_and_apart():
    heat = np.zeros((20, 20), np.float32)
    heat[5, 4], heat[12, 15], heat[5, 5] = 0.6, 0.9, 0.6
    assert peaks(heat, 0.35).tolist() == [[15, 12], [4, 5]]
    assert len(peaks(heat, 0.7)) == 1
