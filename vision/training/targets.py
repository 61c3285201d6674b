"""The maps that a perfect network would see in a picture whose truth is known."""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray

from vision.maps import CHANNELS, Maps
from vision.training.truth import Truth

__all__ = ["JOINT_RADIUS", "LINE_RADIUS", "POINTS", "SEGMENTS", "marks", "paint", "paint_cells"]

Floats = NDArray[np.float32]

#: Standard deviations in cells of a line's and of a point's heat.
LINE_RADIUS = 1.1
JOINT_RADIUS = 1.6

#: Kinds of segments and points in the order of the numbers that `marks` gives them.
SEGMENTS = ("member", "dimension", "load_arrow", "reaction_arrow")
POINTS = ("joint", "crossing", "pin", "roller", "load", "load_head", "load_tail", "reaction")


def marks(truth: Truth) -> tuple[Floats, Floats, Floats]:
    """List a truth's marks as plain rows, for the painters.

    Returns
    -------
    segments : ndarray, shape (s, 5)
        x0, y0, x1, y1, kind (index in `SEGMENTS`); an arrow runs from tail to head.
    points : ndarray, shape (p, 5)
        x, y, kind (index in `POINTS`), and a step dx, dy in the mark's direction.
    boxes : ndarray, shape (t, 8)
        The corners of each text.
    """
    at = [(j["x"], j["y"]) for j in truth["joints"]]
    segments: list[tuple[float, ...]] = []
    for kind, lines in ((0, [m["line"] for m in truth["members"]]), (1, truth["dimension_lines"])):
        for line in lines:
            for p, q in itertools.pairwise(line):
                segments.append((*p, *q, kind))
    points: list[tuple[float, ...]] = [(*place, 0, 0, 0) for place in at]
    points += [(*place, 1, 0, 0) for place in truth["crossings"]]
    for held in truth["supports"]:
        a = np.radians(held["angle_deg"])
        kind = 2 if held["kind"] == "pin" else 3
        points.append((*at[held["joint"]], kind, 4 * np.cos(a), -4 * np.sin(a)))
    for kind, entries in ((2, truth["loads"]), (3, truth["reactions"])):
        for entry in entries:
            segments.append((*entry["tail"], *entry["head"], kind))
            a = np.radians(entry["direction_deg"])
            step = (4 * np.cos(a), -4 * np.sin(a))
            points.append((*at[entry["joint"]], 4 if kind == 2 else 7, *step))
            points.append((*entry["head"], 5, *step))
            points.append((*entry["tail"], 6, *step))
    boxes = [np.ravel(entry["box"]) for entry in truth["texts"]]
    return (
        np.array(segments, np.float32).reshape(-1, 5),
        np.array(points, np.float32).reshape(-1, 5),
        np.array(boxes, np.float32).reshape(-1, 8),
    )


def paint(truth: Truth, size: int, stride: int = 2) -> Maps:
    """Paint perfect maps of a whole picture brought into a square of `size` pixels.

    The picture keeps its aspect and lies in the middle, as the reader's first look has it.
    Directions of a load are painted at its joint and along its whole arrow; those of a
    support around its joint. Nothing is painted for a joint outside the picture.

    Parameters
    ----------
    truth : dict
        In pixels of the picture.
    size : int
        Side of the network's square.
    stride : int
        Pixels of the square to one cell.
    """
    w, h = truth["width"], truth["height"]
    factor = size / max(w, h)
    offset = size / 2 - 0.5 - factor * (np.array([w, h]) / 2 - 0.5)
    start = (stride - 1) / 2
    segments, points, boxes = marks(truth)

    def to_cells(xy: Floats) -> Floats:
        cells: Floats = ((xy * factor + offset - start) / stride).astype(np.float32)
        return cells

    segments[:, :4] = to_cells(segments[:, :4].reshape(-1, 2)).reshape(-1, 4)
    points[:, :2] = to_cells(points[:, :2])
    boxes = to_cells(boxes.reshape(-1, 2)).reshape(-1, 8)
    values = paint_cells(segments, points, boxes, size // stride)
    scale = stride / factor
    shift = (start - offset) / factor
    to_picture = np.array([[scale, 0, shift[0]], [0, scale, shift[1]], [0, 0, 1.0]])
    return Maps(values, to_picture, "network")


def _window(low: Floats, high: Floats, rim: float, cells: int) -> tuple[slice, slice]:
    """Rows and columns of the cells within `rim` of a box."""
    x0, y0 = np.clip(np.floor(low - rim), 0, cells).astype(int)
    x1, y1 = np.clip(np.ceil(high + rim) + 1, 0, cells).astype(int)
    return slice(y0, y1), slice(x0, x1)


def paint_cells(segments: Floats, points: Floats, boxes: Floats, cells: int) -> Floats:
    """Paint marks given in cells; returns maps of shape (len(CHANNELS), cells, cells)."""
    rows, columns = np.mgrid[:cells, :cells].astype(np.float32)
    values = {name: np.zeros((cells, cells), np.float32) for name in CHANNELS}
    nearest = np.full((3, cells, cells), np.inf, np.float32)
    for segment in segments:
        x0, y0, x1, y1, kind = segment
        ends = segment[:4].reshape(2, 2)
        here = _window(ends.min(axis=0), ends.max(axis=0), 6.0, cells)
        x, y = columns[here], rows[here]
        dx, dy = x1 - x0, y1 - y0
        length = max(float(np.hypot(dx, dy)), 1e-6)
        t = np.clip(((x - x0) * dx + (y - y0) * dy) / length**2, 0, 1)
        far = (x - x0 - t * dx) ** 2 + (y - y0 - t * dy) ** 2
        layer = 0 if kind == 0 else (1 if kind == 1 else 2)
        closer = far < nearest[layer][here]
        nearest[layer][here][closer] = far[closer]
        if layer == 0:
            twice = 2 * np.arctan2(-dy, dx)
            values["member_cos2"][here][closer] = np.cos(twice)
            values["member_sin2"][here][closer] = np.sin(twice)
        elif layer == 2:
            values["load_cos"][here][closer] = dx / length
            values["load_sin"][here][closer] = -dy / length
    values["member"] = np.exp(-nearest[0] / (2 * LINE_RADIUS**2))
    values["dimension"] = np.exp(-nearest[1] / (2 * LINE_RADIUS**2))
    around = nearest[0] < 9
    for name in ("member_cos2", "member_sin2"):
        values[name] *= around
    for name in ("load_cos", "load_sin"):
        values[name] *= nearest[2] < 9
    for px, py, kind, dx, dy in points:
        if not (0 <= px < cells and 0 <= py < cells):
            continue
        name = POINTS[int(kind)]
        place = np.array([px, py], np.float32)
        here = _window(place, place, 8.0, cells)
        far = (columns[here] - px) ** 2 + (rows[here] - py) ** 2
        spot = values[name][here]
        np.maximum(spot, np.exp(-far / (2 * JOINT_RADIUS**2)), out=spot)
        target = {"pin": "support", "roller": "support", "load": "load", "reaction": "load"}.get(
            name
        )
        if target:
            near = far < 16
            length = np.hypot(dx, dy)
            values[f"{target}_cos"][here][near] = dx / length
            values[f"{target}_sin"][here][near] = -dy / length
    for box in boxes:
        corners = box.reshape(4, 2)
        here = _window(corners.min(axis=0), corners.max(axis=0), 1.0, cells)
        x, y = columns[here], rows[here]
        inside = np.ones(x.shape, bool)
        (ux, uy), (vx, vy) = corners[1] - corners[0], corners[2] - corners[1]
        turn = np.sign(ux * vy - uy * vx) or 1.0
        for p, q in zip(corners, np.roll(corners, -1, axis=0), strict=True):
            inside &= turn * ((q[0] - p[0]) * (y - p[1]) - (q[1] - p[1]) * (x - p[0])) >= 0
        values["text"][here][inside] = 1.0
    return np.stack([values[name] for name in CHANNELS]).astype(np.float32)
