"""Measure networks map by map on pictures of both makers that no training draws.

``python -m vision.training.measure WEIGHTS.onnx ...``; whole pages in one look, the second maker's
papers from the file named by INKSTRUT_MATERIAL.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.maps import CHANNELS
from vision.network import SIZE, STRIDE, Network
from vision.training import DIFFICULTIES, draw
from vision.training.second.rows import second_rows
from vision.training.second.scene import draw_scene
from vision.training.targets import POINTS, paint, paint_cells

__all__ = ["peaks", "score"]

Map = NDArray[np.float32]
#: Numbers from which neither maker's training pictures are drawn, and families held by walls.
FIRST, SECOND = 50_000, 77_000_000
WALLS = ("bracket", "bars_at_wall", "wall_truss")
#: Heat of a peak, and cells within which it counts as the true one.
HEAT, REACH = 0.35, 3.5


def _first(count: int, families: tuple[str, ...] = ()) -> Iterator[tuple[NDArray[np.uint8], Map]]:
    levels, number = list(DIFFICULTIES), FIRST
    while count:
        number += 1
        picture, truth = draw(number, levels[number % 3])
        if families and truth["family"] not in families:
            continue
        count -= 1
        high, wide = picture.shape[:2]
        factor = SIZE / max(high, wide)
        shift = SIZE / 2 - 0.5 - factor * (np.array([wide, high]) / 2 - 0.5)
        warp = np.array([[factor, 0, shift[0]], [0, factor, shift[1]]])
        grey: Any = cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY)
        blur = 0.4 / factor if factor < 1 else 0.0
        grey = cv2.GaussianBlur(grey, (0, 0), blur) if blur > 0.45 else grey
        square = cv2.warpAffine(grey, warp, (SIZE, SIZE), borderMode=cv2.BORDER_REPLICATE)
        yield np.asarray(square, np.uint8), paint(truth, SIZE).values


def _second(count: int) -> Iterator[tuple[NDArray[np.uint8], Map]]:
    for number in range(SECOND + 1, SECOND + 1 + count):
        grey, truth = draw_scene(number)
        segments, points, boxes = second_rows(truth)
        for rows, width in ((segments, 4), (points, 2), (boxes, 8)):
            rows[:, :width] = (rows[:, :width] - (STRIDE - 1) / 2) / STRIDE
        yield grey, paint_cells(segments, points, boxes, SIZE // STRIDE)


def peaks(heat: Map, least: float) -> NDArray[np.float64]:
    """Local maxima (n, 2) of a map, hottest first, none within two cells of a hotter one."""
    hot = (heat >= least) & (heat >= cv2.dilate(heat, np.ones((3, 3), np.uint8)))
    y, x = np.nonzero(hot)
    found: list[tuple[int, int]] = []
    for k in np.argsort(-heat[y, x]):
        if all(np.hypot(x[k] - px, y[k] - py) > 2 for px, py in found):
            found.append((int(x[k]), int(y[k])))
    return np.array(found, float).reshape(-1, 2)


def score(seen: Map, true: Map) -> dict[str, NDArray[np.float64]]:
    """Count for each map of points the hits, the peaks seen and the true ones.

    For ``member``: the inked cells shared, seen and true. 2 x first / (second + third) is F1 for
    points and Dice for the members.
    """
    counts = {}
    for name in POINTS:
        ours = peaks(seen[CHANNELS.index(name)], HEAT)
        theirs = peaks(true[CHANNELS.index(name)], 0.8)
        total = (len(ours), len(theirs))
        hits = 0
        for place in theirs:
            far = np.hypot(*(ours - place).T)
            if len(far) and far.min() <= REACH:
                ours = np.delete(ours, far.argmin(), axis=0)
                hits += 1
        counts[name] = np.array([hits, *total], float)
    ours, theirs = seen[0] > 0.5, true[0] > 0.5
    counts["member"] = np.array([(ours & theirs).sum(), ours.sum(), theirs.sum()], float)
    return counts


def main() -> None:
    """Print the figures of each file of weights on the same pictures."""
    networks = {name: Network(Path(name)) for name in sys.argv[1:]}
    for title, pictures in (
        ("first maker", _first(36)), ("walls", _first(24, WALLS)), ("second maker", _second(36)),
    ):  # fmt: skip
        sums: dict[str, dict[str, NDArray[np.float64]]] = {name: {} for name in networks}
        for grey, true in pictures:
            for name, network in networks.items():
                for channel, counted in score(network.maps(grey), true).items():
                    sums[name][channel] = sums[name].get(channel, 0) + counted
        for name, totals in sums.items():
            figures = [
                f"{channel} {2 * hits / max(ours + theirs, 1e-9):.3f}"
                for channel, (hits, ours, theirs) in totals.items()
            ]
            print(title, name, *figures, sep="  ", flush=True)


if __name__ == "__main__":
    main()
