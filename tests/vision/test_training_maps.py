"""Perfect maps: the marks of a known picture stand where the picture shows them."""

import itertools

import numpy as np
import pytest

from vision.maps import CHANNELS
from vision.training import draw
from vision.training.targets import marks, paint
from vision.training.truth import blank_truth, moved

TRIANGLE = {
    **blank_truth(400, 200, "few"),
    "joints": [
        {"x": 50.0, "y": 150.0, "label": "A"},
        {"x": 350.0, "y": 150.0, "label": "B"},
        {"x": 200.0, "y": 50.0, "label": "C"},
    ],
    "members": [
        {"a": 0, "b": 1, "line": [[50.0, 150.0], [350.0, 150.0]]},
        {"a": 1, "b": 2, "line": [[350.0, 150.0], [200.0, 50.0]]},
        {"a": 0, "b": 2, "line": [[50.0, 150.0], [200.0, 50.0]]},
    ],
    "supports": [
        {"joint": 0, "kind": "pin", "angle_deg": 90.0},
        {"joint": 1, "kind": "roller", "angle_deg": 120.0},
    ],
    "loads": [
        {"joint": 2, "direction_deg": 270.0, "value": 5.0, "unit": "kN",
         "tail": [200.0, 10.0], "head": [200.0, 45.0]}
    ],
    "texts": [{"text": "5 kN", "box": [[210, 10], [250, 10], [250, 26], [210, 26]]}],
}  # fmt: skip


def cell(maps, x, y):
    column, row, _ = np.linalg.inv(maps.to_picture) @ [x, y, 1.0]
    return round(row), round(column)


def test_maps_have_the_promised_shape():
    maps = paint(TRIANGLE, 512)
    assert maps.values.shape == (len(CHANNELS), 256, 256)
    assert maps.values.dtype == np.float32


@pytest.mark.parametrize(
    ("channel", "x", "y"),
    [
        ("joint", 50, 150), ("joint", 350, 150), ("joint", 200, 50), ("pin", 50, 150),
        ("roller", 350, 150), ("load", 200, 50), ("load_head", 200, 45), ("load_tail", 200, 10),
        ("member", 200, 150), ("member", 125, 100), ("text", 230, 18),
    ],
)  # fmt: skip
def test_a_mark_is_bright_where_it_is_drawn(channel, x, y):
    maps = paint(TRIANGLE, 512)
    assert maps[channel][cell(maps, x, y)] > 0.85


def test_nothing_is_bright_where_nothing_is_drawn():
    maps = paint(TRIANGLE, 512)
    where = cell(maps, 200, 110)
    heats = [name for name in CHANNELS if not name.endswith(("cos", "sin", "cos2", "sin2"))]
    assert all(maps[name][where] < 0.05 for name in heats)


def test_directions_are_counter_clockwise_as_seen():
    maps = paint(TRIANGLE, 512)
    at = cell(maps, 350, 150)
    assert maps["support_cos"][at] == pytest.approx(np.cos(np.radians(120)), abs=1e-5)
    assert maps["support_sin"][at] == pytest.approx(np.sin(np.radians(120)), abs=1e-5)
    at = cell(maps, 200, 50)
    assert (maps["load_cos"][at], maps["load_sin"][at]) == pytest.approx((0, -1), abs=1e-5)
    at = cell(maps, 125, 100)
    slope = 2 * np.arctan2(100, 150)
    assert maps["member_cos2"][at] == pytest.approx(np.cos(slope), abs=1e-5)
    assert maps["member_sin2"][at] == pytest.approx(np.sin(slope), abs=1e-5)


def test_a_camera_turned_by_a_quarter_turns_every_direction():
    turned = moved(TRIANGLE, lambda p: np.column_stack([p[:, 1], 400 - p[:, 0]]), 200, 400)
    assert [s["angle_deg"] for s in turned["supports"]] == pytest.approx([180.0, 210.0])
    assert turned["loads"][0]["direction_deg"] == pytest.approx(0.0, abs=1e-9)
    assert turned["joints"][2]["x"] == 50.0


def test_dark_ink_lies_under_the_member_map():
    """On an easy picture the members' cells are darker than the paper beside them."""
    darker = []
    for seed in range(8):
        picture, truth = draw(seed, "easy", size=700)
        grey = picture.mean(axis=2)
        for bar in truth["members"]:
            line = np.array(bar["line"])
            for p, q in itertools.pairwise(line):
                x, y = ((p + q) / 2).round().astype(int)
                near = grey[max(y - 3, 0) : y + 4, max(x - 3, 0) : x + 4]
                wide = grey[max(y - 14, 0) : y + 15, max(x - 14, 0) : x + 15]
                if near.size and wide.size:
                    darker.append(abs(near.min() - np.median(wide)) > 3)
    assert np.mean(darker) > 0.9


def test_marks_list_every_arrow_twice_ended():
    segments, points, boxes = marks(TRIANGLE)
    assert segments.shape == (4, 5)
    assert points.shape == (3 + 2 + 3, 5)
    assert boxes.shape == (1, 8)
