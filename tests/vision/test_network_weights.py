"""The weights that ship: small, loadable by OpenCV alone, and able to see a truss."""

import cv2
import numpy as np
import pytest

from model.errors import InputError
from vision.maps import CHANNELS
from vision.network import SIZE, STRIDE, WEIGHTS, available, load, read_maps
from vision.training.scene import draw_scene
from vision.training.targets import paint


@pytest.fixture
def square():
    sheet, truth = draw_scene(np.random.default_rng(11), "easy", SIZE)
    return cv2.GaussianBlur(235 - (sheet.ink * 0.8).astype(np.uint8), (0, 0), 0.7), truth


def test_the_file_ships_and_is_small():
    assert available()
    assert WEIGHTS.stat().st_size <= 12_000_000


def test_it_has_at_most_five_million_parameters():
    """The file stores float32 numbers, so it holds at most one for every four bytes."""
    assert WEIGHTS.stat().st_size / 4 <= 5_000_000


def test_maps_have_the_promised_shape_and_range(square):
    values = load().maps(square[0])
    assert values.shape == (len(CHANNELS), SIZE // STRIDE, SIZE // STRIDE)
    assert values.dtype == np.float32
    for name, channel in zip(CHANNELS, values, strict=True):
        low = -1.0 if name.endswith(("cos", "sin", "cos2", "sin2")) else 0.0
        assert channel.min() >= low
        assert channel.max() <= 1.0


def test_it_sees_the_members_of_a_clean_sheet(square):
    grey, truth = square
    seen, perfect = load().maps(grey), paint(truth, SIZE)
    member = seen[CHANNELS.index("member")]
    assert member[perfect["member"] > 0.8].mean() > 0.7
    assert member[perfect["member"] < 0.01].mean() < 0.05


def test_blank_paper_shows_nothing():
    values = load().maps(np.full((SIZE, SIZE), 230, np.uint8))
    assert values[CHANNELS.index("joint")].max() < 0.3
    assert values[CHANNELS.index("member")].max() < 0.3


def test_map_cells_lead_back_to_the_picture():
    to_picture = np.array([[3.0, 0, 10], [0, 3.0, 20], [0, 0, 1]])
    maps = read_maps(np.full((SIZE, SIZE), 230, np.uint8), to_picture)
    assert maps.source == "network"
    assert (maps.to_picture @ [0, 0, 1]).tolist() == [11.5, 21.5, 1.0]
    assert (maps.to_picture @ [4, 0, 1]).tolist() == [35.5, 21.5, 1.0]


def test_another_size_is_refused():
    with pytest.raises(ValueError, match="512 x 512"):
        load().maps(np.zeros((100, 100), np.uint8))


def test_missing_weights_are_named(tmp_path):
    with pytest.raises(InputError, match=r"nowhere\.onnx are missing"):
        load(tmp_path / "nowhere.onnx")
