"""Straight strokes in ink: by following the skeleton, by OpenCV's LSD, by Hough."""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
from numpy.typing import NDArray
from skimage.morphology import skeletonize
from skimage.transform import probabilistic_hough_line

__all__ = [
    "DETECTORS",
    "extend_along_ink",
    "hough_segments",
    "lsd_segments",
    "merge_collinear",
    "skeleton_chains",
    "stroke_segments",
]

Points = NDArray[np.float64]
Segments = NDArray[np.float64]
BoolMap = NDArray[np.bool_]

_NEIGHBOURS = [(-1, 0), (1, 0), (0, -1), (0, 1), (-1, -1), (-1, 1), (1, -1), (1, 1)]


def stroke_segments(ink: BoolMap, shortest: float) -> Segments:
    """Find straight strokes by thinning the ink and following its centre lines.

    Parameters
    ----------
    ink : ndarray of bool, shape (rows, columns)
    shortest : float
        Length in pixels below which a stroke is left out.

    Returns
    -------
    ndarray, shape (n, 4)
        Ends x0, y0, x1, y1 in pixels. One pen stroke may come in several pieces.

    References
    ----------
    Thinning: T. Y. Zhang, C. Y. Suen, Comm. ACM 27 (1984) 236-239. Splitting at the
    farthest point: D. Douglas, T. Peucker, Cartographica 10 (1973) 112-122.
    """
    pieces: list[Points] = []
    for chain in skeleton_chains(ink):
        if len(chain) >= 0.6 * shortest:
            pieces += _split_straight(chain)
    lengths = [float(np.hypot(*(piece[-1] - piece[0]))) for piece in pieces]
    found = [
        _fit(piece) for piece, length in zip(pieces, lengths, strict=True) if length >= shortest
    ]
    return np.array(found).reshape(-1, 4)


def lsd_segments(ink: BoolMap, shortest: float) -> Segments:
    """Find straight strokes by OpenCV's line segment detector (von Gioi et al. 2010)."""
    image = cv2.GaussianBlur(np.where(ink, 0, 255).astype(np.uint8), (0, 0), 1.0)
    found = cv2.createLineSegmentDetector(cv2.LSD_REFINE_STD).detect(image)[0]
    return _long_enough(found, shortest)


def hough_segments(ink: BoolMap, shortest: float) -> Segments:
    """Find straight strokes by the probabilistic Hough transform (Matas et al. 2000)."""
    thin = skeletonize(ink)  # type: ignore[no-untyped-call]
    lines = probabilistic_hough_line(  # type: ignore[no-untyped-call]
        thin, threshold=10, line_length=max(5, round(shortest)), line_gap=4, rng=0
    )
    return _long_enough(np.array(lines, dtype=np.float64), shortest)


#: Detectors by the name of the reader that uses them.
DETECTORS: dict[str, Callable[[BoolMap, float], Segments]] = {
    "classical": stroke_segments,
    "lsd": lsd_segments,
    "hough": hough_segments,
}


def _long_enough(found: NDArray[np.generic] | None, shortest: float) -> Segments:
    if found is None or len(found) == 0:
        return np.zeros((0, 4))
    segments = np.asarray(found, dtype=np.float64).reshape(-1, 4)
    lengths = np.hypot(segments[:, 2] - segments[:, 0], segments[:, 3] - segments[:, 1])
    kept: Segments = segments[lengths >= shortest]
    return kept


def skeleton_chains(ink: BoolMap) -> list[Points]:
    """Thin the ink and cut it at its junctions.

    Returns
    -------
    list of ndarray, shape (n, 2)
        Centre-line points (x, y) in order, one array per piece between junctions.
    """
    thin = np.pad(skeletonize(ink), 1)  # type: ignore[no-untyped-call]
    count = cv2.filter2D(thin.astype(np.uint8), -1, np.ones((3, 3), np.uint8)) * thin
    pieces = thin & (count <= 3)
    left = set(zip(*np.nonzero(pieces), strict=True))
    ends = [pixel for pixel in left if count[pixel] <= 2 or _free_neighbours(pixel, left) <= 1]
    chains = []
    for start in [*ends, *left]:
        if start in left:
            chains.append(_walk(start, left))
    return [np.array(chain, dtype=np.float64)[:, ::-1] - 1 for chain in chains if len(chain) > 1]


def _free_neighbours(pixel: tuple[int, int], left: set[tuple[int, int]]) -> int:
    row, column = pixel
    return sum((row + dr, column + dc) in left for dr, dc in _NEIGHBOURS)


def _walk(start: tuple[int, int], left: set[tuple[int, int]]) -> list[tuple[int, int]]:
    chain = [start]
    left.discard(start)
    while True:
        row, column = chain[-1]
        for dr, dc in _NEIGHBOURS:
            following = (row + dr, column + dc)
            if following in left:
                chain.append(following)
                left.discard(following)
                break
        else:
            return chain


def _split_straight(chain: Points) -> list[Points]:
    """Split a chain at its farthest point until each piece is straight by hand's measure."""
    if len(chain) < 3:
        return [chain]
    start, end = chain[0], chain[-1]
    along = end - start
    length = float(np.hypot(*along))
    if length < 1e-9:
        offsets = np.hypot(*(chain - start).T)
    else:
        offsets = np.abs((chain - start) @ np.array([-along[1], along[0]])) / length
    farthest = int(np.argmax(offsets))
    if offsets[farthest] <= max(2.5, 0.035 * length):
        return [chain]
    return _split_straight(chain[: farthest + 1]) + _split_straight(chain[farthest:])


def _fit(piece: Points) -> NDArray[np.float64]:
    """Ends of the straight line through a piece, by total least squares."""
    centre = piece.mean(axis=0)
    _, _, axes = np.linalg.svd(piece - centre, full_matrices=False)
    reach = (piece - centre) @ axes[0]
    return np.concatenate([centre + reach.min() * axes[0], centre + reach.max() * axes[0]])


def merge_collinear(
    segments: Segments, *, reach: float, offset: float, angle_deg: float = 9.0
) -> Segments:
    """Join pieces of the same straight stroke, longest first.

    Parameters
    ----------
    segments : ndarray, shape (n, 4)
    reach : float
        Largest gap, in pixels, that is bridged along a line.
    offset : float
        Largest sideways distance, in pixels, between pieces of one line.
    angle_deg : float
        Largest angle between pieces; long pieces must agree within half of it.

    Returns
    -------
    ndarray, shape (m, 4)
    """
    remaining = list(segments[np.argsort(-_lengths(segments))])
    merged: list[NDArray[np.float64]] = []
    while remaining:
        line = remaining.pop(0)
        grown = True
        while grown:
            grown = False
            for index, other in enumerate(remaining):
                if _same_line(line, other, reach, offset, angle_deg):
                    line = _join(line, other)
                    del remaining[index]
                    grown = True
                    break
        merged.append(line)
    return np.array(merged).reshape(-1, 4)


def _lengths(segments: Segments) -> NDArray[np.float64]:
    lengths: NDArray[np.float64] = np.hypot(
        segments[:, 2] - segments[:, 0], segments[:, 3] - segments[:, 1]
    )
    return lengths


def _same_line(
    line: NDArray[np.float64],
    other: NDArray[np.float64],
    reach: float,
    offset: float,
    angle_deg: float,
) -> bool:
    start, along = line[:2], line[2:] - line[:2]
    length = float(np.hypot(*along))
    unit = along / length
    across = np.array([-unit[1], unit[0]])
    step = other[2:] - other[:2]
    other_length = float(np.hypot(*step))
    sine = abs(float(step @ across)) / max(other_length, 1e-9)
    allowed = angle_deg if min(length, other_length) < 4 * reach else 0.6 * angle_deg
    if sine > np.sin(np.radians(allowed)):
        return False
    ends = other.reshape(2, 2) - start
    positions = np.sort(ends @ unit)
    gap = max(positions[0] - length, -positions[1], 0.0)
    if gap > reach:
        return False
    sideways = np.abs(ends @ across)
    near = sideways[np.argmin(np.abs(ends @ unit - np.clip(ends @ unit, 0, length)))]
    return float(near) <= offset and float(sideways.max()) <= offset + 0.12 * other_length


def _join(line: NDArray[np.float64], other: NDArray[np.float64]) -> NDArray[np.float64]:
    """Fit one line to the samples of two, each weighing by its length."""
    samples = [
        np.linspace(piece[:2], piece[2:], max(2, round(float(np.hypot(*(piece[2:] - piece[:2]))))))
        for piece in (line, other)
    ]
    return _fit(np.concatenate(samples))


def extend_along_ink(segments: Segments, ink: BoolMap, longest: float) -> Segments:
    """Lengthen each line at both ends as far as its stroke goes on straight.

    Strokes that meet at a sharp angle run together before they reach the joint,
    where thinning loses them; the ink itself still shows the way. A line is
    lengthened no farther than to the first line that it meets.

    Parameters
    ----------
    segments : ndarray, shape (n, 4)
    ink : ndarray of bool, shape (rows, columns)
    longest : float
        Most pixels added at one end.
    """
    thick = cv2.dilate(ink.astype(np.uint8), np.ones((3, 3), np.uint8))
    grown = segments.copy()
    for row, (x0, y0, x1, y1) in enumerate(segments):
        length = float(np.hypot(x1 - x0, y1 - y0))
        unit = np.array([x1 - x0, y1 - y0]) / max(length, 1e-9)
        steps = np.arange(1.0, min(longest, 0.35 * length) + 1.0)
        for column, end, way in ((0, np.array([x0, y0]), -unit), (2, np.array([x1, y1]), unit)):
            places = end + steps[:, None] * way
            columns = np.clip(np.round(places[:, 0]).astype(int), 0, ink.shape[1] - 1)
            rows = np.clip(np.round(places[:, 1]).astype(int), 0, ink.shape[0] - 1)
            blank = np.flatnonzero(thick[rows, columns] == 0)
            reached = len(steps) if not len(blank) else int(blank[0])
            if reached:
                grown[row, column : column + 2] = places[reached - 1]
    return np.array([_cut_at_meeting(row, segments, grown) for row in range(len(grown))]).reshape(
        -1, 4
    )


def _cut_at_meeting(row: int, segments: Segments, grown: Segments) -> NDArray[np.float64]:
    """Take back what was added to a line beyond the first line that it meets."""
    line = grown[row].copy()
    others = np.delete(grown, row, axis=0)
    for column in (0, 2):
        end, tip = segments[row, column : column + 2], line[column : column + 2]
        added = tip - end
        if not len(others) or float(np.hypot(*added)) < 1.0:
            continue
        along = others[:, 2:] - others[:, :2]
        sine = added[0] * along[:, 1] - added[1] * along[:, 0]
        offset = others[:, :2] - end
        safe = np.where(np.abs(sine) < 1e-9, np.inf, sine)
        share = (offset[:, 0] * along[:, 1] - offset[:, 1] * along[:, 0]) / safe
        place = (offset[:, 0] * added[1] - offset[:, 1] * added[0]) / safe
        sharp = np.abs(sine) > 0.14 * np.hypot(*added) * np.hypot(along[:, 0], along[:, 1])
        meets = sharp & (share > 0) & (share < 1) & (place > -0.02) & (place < 1.02)
        if meets.any():
            line[column : column + 2] = end + float(share[meets].min()) * added
    return np.asarray(line, dtype=np.float64)
