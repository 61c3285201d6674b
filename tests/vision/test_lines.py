"""Straight strokes, their meetings, small symbols: facts on drawn ink."""

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vision.lines import DETECTORS, extend_along_ink, merge_collinear, stroke_segments
from vision.nodes import find_nodes
from vision.page import find_ink, find_sheet
from vision.symbols import find_arrow, find_rings


def _ink(lines, size=(400, 300), breadth=4):
    page = np.zeros(size[::-1], np.uint8)
    for start, end in lines:
        cv2.line(page, start, end, 1, breadth)
    return page > 0


@settings(max_examples=20, deadline=None)
@given(st.tuples(st.integers(30, 370), st.integers(30, 270), st.integers(0, 359)))
def test_one_stroke_is_one_segment_with_its_ends(stroke):
    x, y, degrees = stroke
    end = (round(x + 90 * np.cos(np.radians(degrees))), round(y + 90 * np.sin(np.radians(degrees))))
    if not (20 < end[0] < 380 and 20 < end[1] < 280):
        return
    found = stroke_segments(_ink([((x, y), end)]), 20.0)
    assert len(found) == 1
    ends = found.reshape(2, 2)
    nearest = np.hypot(*np.moveaxis(ends[:, None] - np.array([(x, y), end])[None], 2, 0))
    assert nearest.min(axis=0).max() < 6.0


@pytest.mark.parametrize("name", sorted(DETECTORS))
def test_every_detector_finds_a_long_line(name):
    found = DETECTORS[name](_ink([((50, 60), (350, 220))]), 40.0)
    merged = merge_collinear(found, reach=15.0, offset=5.0)
    lengths = np.hypot(merged[:, 2] - merged[:, 0], merged[:, 3] - merged[:, 1])
    assert lengths.max() == pytest.approx(np.hypot(300, 160), rel=0.05)


def test_pieces_of_one_stroke_are_joined_and_parallels_are_not():
    pieces = np.array([[0, 0, 100, 0], [108, 1, 200, 2], [0, 30, 200, 30]], float)
    merged = merge_collinear(pieces, reach=12.0, offset=4.0)
    assert len(merged) == 2
    assert sorted(np.round(np.abs(merged[:, 2] - merged[:, 0]))) == [200, 200]


def test_a_line_is_lengthened_along_its_ink_to_the_first_meeting_only():
    ink = _ink([((50, 150), (350, 150)), ((200, 50), (200, 250))])
    lines = np.array([[50.0, 150, 180, 150], [200, 50, 200, 250]])
    grown = extend_along_ink(lines, ink, 60.0)
    assert grown[0, 2:] == pytest.approx([200, 150], abs=1.0)


def test_meeting_crossing_and_free_end():
    lines = np.array([[50.0, 50, 250, 50], [250, 52, 150, 250], [60, 150, 300, 150]])
    nodes = find_nodes(lines, reach=8.0)
    kinds = {
        tuple(np.round(node.at, -1).astype(int)): (len(node.lines), node.crossing) for node in nodes
    }
    assert kinds[(250, 50)] == (2, False)
    assert sum(count == 1 for count, _ in kinds.values()) == 4


@pytest.mark.parametrize("inward", [True, False])
def test_an_arrow_and_its_sense(inward):
    ink = np.zeros((300, 300), np.uint8)
    tail, head = ((150, 40), (150, 146)) if inward else ((150, 154), (150, 260))
    cv2.arrowedLine(ink, tail, head, 1, 3, tipLength=0.2)
    arrow = find_arrow(ink > 0, np.array(head, float), np.array(tail, float))
    assert arrow is not None
    assert arrow.direction_deg == pytest.approx(-90.0)


def test_a_plain_line_is_no_arrow():
    assert (
        find_arrow(_ink([((150, 40), (150, 250))]), np.array([150.0, 40]), np.array([150.0, 250]))
        is None
    )


def test_rings_are_found_and_boxes_and_triangles_are_not():
    page = np.zeros((200, 300), np.uint8)
    cv2.circle(page, (60, 100), 14, 1, 3)
    cv2.polylines(page, [np.array([[120, 120], [150, 70], [180, 120]])], True, 1, 3)
    cv2.rectangle(page, (210, 60), (290, 180), 1, 3)
    rings = find_rings(page > 0, largest=40.0)
    assert rings[:, :2].tolist() == [pytest.approx([60, 100], abs=1)]
    assert rings[0, 2] == pytest.approx(12.5, abs=1.5)


def test_a_sheet_on_a_desk_is_found_and_its_edge_is_no_ink():
    desk = np.full((600, 800, 3), 90, np.uint8)
    sheet = np.array([[120, 80], [700, 60], [720, 540], [100, 520]])
    cv2.fillPoly(desk, [sheet], (235, 235, 230))
    cv2.line(desk, (200, 300), (600, 300), (40, 40, 60), 4)
    found = find_sheet(desk)
    assert found is not None
    truth = cv2.fillPoly(np.zeros((600, 800), np.uint8), [sheet], 1) > 0
    assert (found & truth).sum() > 0.93 * truth.sum()
    assert (found & ~truth).sum() < 0.01 * truth.sum()
    rows, columns = np.nonzero(find_ink(desk).ink)
    assert rows.min() > 290
    assert rows.max() < 310
    assert columns.min() == pytest.approx(200, abs=6)


def test_a_shadow_is_no_sheet():
    shade = np.linspace(90, 240, 800)[None].repeat(600, axis=0).astype(np.uint8)
    assert find_sheet(np.dstack([shade] * 3)) is None
