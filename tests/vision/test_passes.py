"""Looks at a picture: where each look sees things, and which way they point."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from vision.maps import CHANNELS, FloatMap, Maps
from vision.passes import (
    Frame,
    Views,
    carry,
    drawn_share,
    fuse,
    look_at,
    look_closer,
    whole_frame,
)

SIZE, STRIDE = 512, 2


def picture(*strokes: tuple[int, int, int, int]) -> NDArray[np.uint8]:
    page = np.full((900, 1200), 240, np.uint8)
    for x0, y0, x1, y1 in strokes:
        cv2.line(page, (x0, y0), (x1, y1), 30, 9, cv2.LINE_AA)
    return page


def by_gradients(square: NDArray[np.uint8]) -> FloatMap:
    """What a perfect reader of one stroke sees: its ink, its slope, and arrows to the right."""
    cells = cv2.resize(square, None, fx=1 / STRIDE, fy=1 / STRIDE, interpolation=cv2.INTER_AREA)
    dark = np.clip((200 - cells.astype(np.float32)) / 150, 0, 1)
    smooth = cv2.GaussianBlur(dark, (0, 0), 1.5)
    x, y = cv2.Sobel(smooth, cv2.CV_32F, 1, 0), cv2.Sobel(smooth, cv2.CV_32F, 0, 1)
    window = (0, 0), 4
    xx, yy, xy = (cv2.GaussianBlur(part, *window) for part in (x * x, y * y, x * y))
    twice = np.arctan2(2 * xy, yy - xx)  # of the stroke, counter-clockwise as seen
    values = np.zeros((len(CHANNELS), *dark.shape), np.float32)
    for name, part in (
        ("member", dark),
        ("member_cos2", np.cos(twice)),
        ("member_sin2", np.sin(twice)),
        ("load_cos", np.ones_like(dark)),
        ("support_sin", np.ones_like(dark)),
    ):
        values[CHANNELS.index(name)] = part
    return values


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_look_sees_the_stroke_where_it_is(mirrored: bool) -> None:
    grey = picture((400, 500, 800, 400))
    slope = np.degrees(np.arctan2(100, 400))
    maps = look_at(grey, Frame((600.0, 450.0), 700.0, mirrored), by_gradients, SIZE)
    rows, columns = np.nonzero(maps["member"] > 0.8)
    places = carry(maps.to_picture, np.column_stack([columns, rows]).astype(np.float64))
    off = (places - [400, 500]) @ [100, 400] / np.hypot(100, 400)
    assert abs(off).max() < 6  # half the stroke's breadth and a pixel
    assert places[:, 0].min() == pytest.approx(398, abs=6)
    assert places[:, 0].max() == pytest.approx(802, abs=6)
    inside = maps["member"] > 0.8
    cosine, sine = maps["member_cos2"][inside].mean(), maps["member_sin2"][inside].mean()
    assert np.degrees(np.arctan2(sine, cosine)) / 2 == pytest.approx(slope, abs=2)


@pytest.mark.parametrize("mirrored", [False, True])
def test_arrows_are_told_as_they_point_in_the_picture(mirrored: bool) -> None:
    grey = picture((400, 500, 800, 400))
    frame = Frame((600.0, 450.0), 700.0, mirrored)
    maps = look_at(grey, frame, by_gradients, SIZE)
    for name, seen in (("load", (1.0, 0.0)), ("support", (0.0, -1.0))):  # right, up: in pixels
        step = frame.to_picture(SIZE)[:2, :2] @ np.array(seen)
        angle = np.degrees(np.arctan2(-step[1], step[0]))
        told = np.degrees(np.arctan2(maps[f"{name}_sin"].mean(), maps[f"{name}_cos"].mean()))
        assert abs((told - angle + 180) % 360 - 180) < 1e-3


def test_looks_that_agree_keep_their_values_when_they_are_fused() -> None:
    grey = picture((400, 500, 800, 400))
    straight = look_at(grey, Frame((600.0, 450.0), 700.0), by_gradients, SIZE)
    mirrored = look_at(grey, Frame((600.0, 450.0), 700.0, True), by_gradients, SIZE)
    fused = fuse([mirrored, straight], 1.0)
    assert np.array_equal(fused.to_picture, straight.to_picture)
    middle = np.s_[70:190, 70:190]
    assert abs(fused["member"] - straight["member"])[middle].mean() < 0.02
    for name in ("member_cos2", "member_sin2"):
        on = straight["member"][middle] > 0.9
        assert abs(fused[name] - straight[name])[middle][on].max() < 0.12


def from_afar(grey: NDArray[np.uint8]) -> Maps:
    return look_at(grey, whole_frame(grey.shape), by_gradients, SIZE)


def test_the_last_look_is_at_the_drawing_alone() -> None:
    grey = picture((500, 300, 700, 300), (500, 300, 600, 400), (600, 400, 700, 300))
    maps = look_closer(Views(lambda: grey, grey, grey), by_gradients, SIZE, from_afar(grey))
    corners = carry(maps.to_picture, np.array([[0.0, 0.0], [255.0, 255.0]]))
    assert (corners[0] > [440, 190]).all()
    assert (corners[1] < [760, 510]).all()


def test_where_nothing_is_seen_the_ink_is_looked_at() -> None:
    grey = picture((500, 300, 700, 300))
    asked: list[NDArray[np.uint8]] = []
    nothing = from_afar(np.full_like(grey, 230))

    def blind_from_afar(square: NDArray[np.uint8]) -> FloatMap:
        asked.append(square)
        values = by_gradients(square)
        return values if len(asked) > 1 else values * 0

    spread = Frame((600.0, 300.0), 300.0)
    maps = look_closer(Views(lambda: grey, grey, grey), blind_from_afar, SIZE, nothing, spread)
    rows, columns = np.nonzero(maps["member"] > 0.6)
    places = carry(maps.to_picture, np.column_stack([columns, rows]).astype(np.float64))
    assert places[:, 0].min() == pytest.approx(500, abs=6)
    assert places[:, 0].max() == pytest.approx(700, abs=6)


def test_a_drawing_that_runs_over_the_edge_of_a_look_is_followed() -> None:
    grey = picture((200, 300, 1000, 300), (200, 300, 600, 420), (600, 420, 1000, 300))
    whole = from_afar(grey)
    half = replace(whole, values=whole.values.copy())
    half.values[:, :, :128] = 0  # the first look sees the right half alone
    maps = look_closer(Views(lambda: grey, grey, grey), by_gradients, SIZE, half)
    left, right = carry(maps.to_picture, np.array([[0.0, 0.0], [255.0, 255.0]]))[:, 0]
    assert left < 200
    assert right > 1000


def test_the_share_of_a_drawing_in_a_part_of_the_picture_is_told() -> None:
    grey = picture((200, 300, 1000, 300))
    part = np.zeros(grey.shape, bool)
    part[:, :600] = True
    assert drawn_share(from_afar(grey), part) == pytest.approx(0.5, abs=0.03)
    assert drawn_share(from_afar(np.full_like(grey, 230)), part) == 0.0
