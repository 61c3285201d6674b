"""Maps of one picture from several looks at it: the whole page, then the truss alone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.maps import CHANNELS, FloatMap, Maps

__all__ = [
    "Frame",
    "Look",
    "Views",
    "carry",
    "drawing_frame",
    "drawn_share",
    "fuse",
    "ink_frame",
    "look_at",
    "look_closer",
    "whole_frame",
]

#: What a network does: a grey square to maps, shape (len(CHANNELS), rows, columns).
Look = Callable[[NDArray[np.uint8]], FloatMap]
Grey = NDArray[np.uint8]

#: Share of the drawing's size that a closer look adds around it.
MARGIN = 0.12
#: Heat from which on a cell belongs to the drawing.
SEEN = 0.25
#: Cells from the maps' edge within which a drawing runs over it, and how far beyond it the next
#: look reaches, as a share of the maps.
EDGE, BEYOND = 2, 0.6
#: How much wider a drawing must turn out for all looks to be taken again.
WIDER = 1.25
#: Most looks on the way to the drawing's own scale.
MOST_LOOKS = 3
#: How much each look at the found drawing weighs beside those on the way to it.
AGAIN = 1.0
#: What seeing a picture in a mirror does to directions: x changes its sign.
_MIRRORED = np.array(
    [-1 if name in ("member_sin2", "support_cos", "load_cos") else 1 for name in CHANNELS],
    np.float32,
)[:, None, None]


@dataclass(frozen=True)
class Views:
    """One picture, evened in different ways; shape (rows, columns) each.

    Attributes
    ----------
    bold : callable
        Gives the ink alone, darkened to that of a good pen; seldom asked for.
    contrast : ndarray of uint8
        Its light evened.
    plain : ndarray of uint8
        As photographed.
    """

    bold: Callable[[], Grey]
    contrast: Grey
    plain: Grey


@dataclass(frozen=True)
class Frame:
    """A square of the picture to look at.

    Attributes
    ----------
    middle : tuple of float
        In pixels of the picture; the square may reach beyond it.
    side : float
        In pixels.
    mirrored : bool
        Seen as in a mirror, left and right changed.
    """

    middle: tuple[float, float]
    side: float
    mirrored: bool = False

    def to_picture(self, size: int) -> NDArray[np.float64]:
        """Homography from pixels of the square, `size` to a side, to the picture's."""
        axes = np.diag([-1.0 if self.mirrored else 1.0, 1.0]) * self.side / size
        found = np.eye(3)
        found[:2, :2] = axes
        found[:2, 2] = np.array(self.middle) - axes @ np.full(2, size / 2 - 0.5)
        return found


def carry(homography: NDArray[np.float64], points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Take points (n, 2) through a homography."""
    if not len(points):
        return np.zeros((0, 2))
    lifted = np.column_stack([points, np.ones(len(points))]) @ homography.T
    carried: NDArray[np.float64] = lifted[:, :2] / lifted[:, 2:]
    return carried


def look_at(grey: Grey, frame: Frame, look: Look, size: int) -> Maps:
    """Bring a square of the picture to the network and take the maps back with it.

    Parameters
    ----------
    grey : ndarray of uint8, shape (rows, columns)
    frame : Frame
    look : callable
        The network.
    size : int
        Side of its square in pixels.
    """
    to_picture = frame.to_picture(size)
    factor = size / frame.side
    warp = to_picture
    if factor < 0.6:  # made smaller first, which averages where the warp would skip pixels
        shrink = max(2 * factor, 0.05)
        smaller = cv2.resize(grey, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA)
        grey = np.asarray(smaller, np.uint8)
        shift = 0.5 * shrink - 0.5
        warp = np.array([[shrink, 0.0, shift], [0.0, shrink, shift], [0.0, 0.0, 1.0]]) @ to_picture
    square = cv2.warpAffine(
        grey,
        warp[:2],
        (size, size),
        flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_REPLICATE,
    )
    values = look(np.asarray(square, np.uint8))
    if frame.mirrored:
        values = values[..., ::-1] * _MIRRORED
        to_picture = replace(frame, mirrored=False).to_picture(size)
    stride = size / values.shape[-1]
    shift = (stride - 1) / 2
    to_square = np.array([[stride, 0.0, shift], [0.0, stride, shift], [0.0, 0.0, 1.0]])
    return Maps(values, to_picture @ to_square, "network")


def whole_frame(shape: tuple[int, ...]) -> Frame:
    """Square around a whole picture of (rows, columns)."""
    rows, columns = shape[:2]
    return Frame(((columns - 1) / 2, (rows - 1) / 2), float(max(rows, columns)))


def drawn_share(maps: Maps, part: NDArray[np.bool_]) -> float:
    """Share of the members' ink in the maps that lies in a part of the picture."""
    rows, columns = np.nonzero(maps["member"] > SEEN)
    if not len(rows):
        return 0.0
    places = carry(maps.to_picture, np.column_stack([columns, rows]).astype(np.float64))
    x, y = np.round(places).clip(0, np.array(part.shape[::-1]) - 1).astype(int).T
    return float(part[y, x].mean())


def look_closer(
    views: Views, look: Look, size: int, whole: Maps, spread: Frame | None = None
) -> Maps:
    """Look at the drawing found in a whole picture at its own scale.

    Parameters
    ----------
    views : Views
    look : callable
        The network.
    size : int
        Side of its square in pixels.
    whole : Maps
        What a look at the whole picture, as photographed, has shown.
    spread : Frame, optional
        Where the ink is: looked at when the whole picture shows no drawing.

    Returns
    -------
    Maps
        Of the looks at the drawing's own scale, averaged with those before them.
    """
    rows, columns = views.plain.shape
    frame, passes = whole_frame((rows, columns)), [whole]
    if drawing_frame(whole, MARGIN, (rows, columns)) is None:
        passes = [look_at(views.bold(), frame, look, size)]
    found = False
    while len(passes) < MOST_LOOKS:
        closer = drawing_frame(fuse(passes), MARGIN, (rows, columns))
        if closer is None and len(passes) == 1:
            closer = spread
        elif closer is not None:
            found = True
        if closer is None or (len(passes) > 1 and _much_alike(closer, frame)):
            break
        frame = closer
        view = views.contrast if len(passes) % 2 else views.bold()
        passes.append(look_at(view, frame, look, size))
    seen = fuse(passes)
    if not found:
        return seen
    seen = _look_again(seen, views, frame, look, size)
    wider = drawing_frame(seen, MARGIN, (rows, columns))
    if wider is None or wider.side < WIDER * frame.side:
        return seen
    # What the looks on the way missed is seen at the edge only now.
    first = look_at(views.contrast, wider, look, size)
    return _look_again(fuse([seen, first]), views, wider, look, size)


def _look_again(seen: Maps, views: Views, frame: Frame, look: Look, size: int) -> Maps:
    """Look at the found drawing as photographed and in a mirror.

    What a network is unsure of it often sees in one of several looks that differ; their average
    is nearer to the truth than any of them. (Looks at the drawing turned upright and at tiles of
    it were tried: the graph got no better, and a roof turned along its rafter worse.)
    """
    again = (
        look_at(views.plain, frame, look, size),
        look_at(views.contrast, replace(frame, mirrored=True), look, size),
    )
    return fuse([*again, seen], AGAIN)


def _much_alike(frame: Frame, other: Frame) -> bool:
    """Tell whether a look at `frame` would show the drawing no better than one at `other`."""
    off = np.abs(np.subtract(frame.middle, other.middle)) + frame.side / 2
    inside = (off < other.side / 2 + 0.05 * frame.side).all()
    return bool(inside) and frame.side > 0.8 * other.side


def fuse(passes: list[Maps], weigh: float = 0.5) -> Maps:
    """Average maps on the grid of the last; the others weigh `weigh`, coarser ones less."""
    grid = passes[-1]
    total = grid.values.copy()
    weight = np.ones(total.shape[1:], np.float32)
    for maps in passes[:-1]:
        share = weigh * min(1.0, _area(grid) / _area(maps))
        seen, inside = _on_grid(maps, grid.to_picture, total.shape[1:])
        total += share * seen * inside
        weight += share * inside
    return Maps(total / weight, grid.to_picture, grid.source)


def _on_grid(
    maps: Maps, to_picture: NDArray[np.float64], shape: tuple[int, int]
) -> tuple[FloatMap, NDArray[np.bool_]]:
    """Carry maps to another grid, whose rows and columns lie along theirs.

    Parameters
    ----------
    maps : Maps
    to_picture : ndarray, shape (3, 3)
        The grid's homography to the picture.
    shape : (int, int)
        Its rows and columns.

    Returns
    -------
    values : ndarray of float32, shape (len(CHANNELS), rows, columns)
    inside : ndarray of bool, shape (rows, columns)
        Where the maps reach.
    """
    between = np.linalg.inv(maps.to_picture) @ to_picture
    if maps.values.shape[1:] == shape and np.allclose(between, np.eye(3), atol=1e-6):
        return maps.values, np.ones(shape, bool)
    (wide, _, left), (_, high, top) = between[:2]
    rows, columns = maps.values.shape[1:]
    across, down = wide * np.arange(shape[1]) + left, high * np.arange(shape[0]) + top
    inside = np.logical_and.outer(
        (down >= 0) & (down <= rows - 1), (across >= 0) & (across <= columns - 1)
    )
    x, y = np.meshgrid(across.astype(np.float32), down.astype(np.float32))
    seen = [cv2.remap(channel, x, y, cv2.INTER_LINEAR) for channel in maps.values]
    return np.stack(seen), inside


def _area(maps: Maps) -> float:
    """Pixels of the picture in a cell."""
    return abs(float(np.linalg.det(maps.to_picture[:2, :2])))


def drawing_frame(maps: Maps, margin: float, shape: tuple[int, int]) -> Frame | None:
    """Square of the picture around the drawing in the maps, or None where there is none.

    Parameters
    ----------
    maps : Maps
    margin : float
        Share of the drawing's size that is added on each side.
    shape : (int, int)
        Rows and columns of the picture; the square is at least a quarter of the longer.
    """
    seen = (np.maximum(maps["member"], maps["joint"]) > SEEN).astype(np.uint8)
    joined = cv2.dilate(seen, np.ones((9, 9), np.uint8))
    count, labels = cv2.connectedComponents(joined)
    inked = np.bincount(labels[seen > 0], minlength=count)[1:]
    if count < 2 or inked.max() < 25:
        return None
    large = 1 + np.flatnonzero(inked >= 0.2 * inked.max())
    rows, columns = np.nonzero(np.isin(labels, large) & (seen > 0))
    low = np.array([columns.min(), rows.min()], dtype=np.float64)
    high = np.array([columns.max(), rows.max()], dtype=np.float64)
    # A drawing that runs over the maps' edge goes on beyond it.
    last = np.array(seen.shape[::-1], dtype=np.float64) - 1
    low = np.where(low <= EDGE, low - BEYOND * last, low)
    high = np.where(high >= last - EDGE, high + BEYOND * last, high)
    ends = carry(maps.to_picture, np.array([low, high]))
    low, high = ends.clip(0, np.array(shape[::-1], dtype=np.float64) - 1)
    middle = (low + high) / 2
    wide = float((high - low).max())
    return Frame((middle[0], middle[1]), max((1 + 2 * margin) * wide, 0.25 * max(shape)))


def ink_frame(ink: NDArray[np.bool_]) -> Frame | None:
    """Square of the picture around the largest drawing in its ink, whatever it shows."""
    scale = 8
    share = cv2.resize(
        ink.astype(np.float32), None, fx=1 / scale, fy=1 / scale, interpolation=cv2.INTER_AREA
    )
    seen = (share > 0.02).astype(np.uint8)
    count, labels = cv2.connectedComponents(cv2.dilate(seen, np.ones((7, 7), np.uint8)))
    if count < 2:
        return None
    largest = 1 + int(np.argmax(np.bincount(labels[seen > 0], minlength=count)[1:]))
    rows, columns = np.nonzero((labels == largest) & (seen > 0))
    x0, x1, y0, y1 = (
        scale * int(v) for v in (columns.min(), columns.max() + 1, rows.min(), rows.max() + 1)
    )
    return Frame(((x0 + x1) / 2, (y0 + y1) / 2), (1 + 2 * MARGIN) * max(x1 - x0, y1 - y0))
