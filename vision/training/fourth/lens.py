"""Where the drawing's points come to lie in the photo."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from vision.training.fourth.strokes import Points

__all__ = ["View", "aim", "scale_at", "spread"]


@dataclass(frozen=True)
class View:
    """A camera: curl of the sheet, a homography, and the bulge of the lens.

    Attributes
    ----------
    matrix : ndarray, shape (3, 3)
        From the drawing's units to pixels of the photo.
    bulge : float
        Radial distortion at half the photo's width; positive moves points outwards.
    middle, half : ndarray and float
        Centre and half width of the photo.
    spine, lift, fall : float
        The sheet rises by `lift` at x = `spine` and flattens over `fall`; 0 is flat.
    """

    matrix: Points
    bulge: float
    middle: Points
    half: float
    spine: float
    lift: float
    fall: float

    def __call__(self, points: Points) -> Points:
        """Return the pixels (n, 2) of points (n, 2) of the drawing."""
        x, y = points[:, 0], points[:, 1]
        if self.lift:
            y = y + self.lift * np.exp(-np.abs(x - self.spine) / self.fall)
        rows = np.stack([x, y, np.ones_like(x)]) if len(x) else np.zeros((3, 0))
        u, v, w = self.matrix @ rows
        w = np.maximum(w, 0.12)
        off = (np.stack([u / w, v / w], axis=1) - self.middle) / self.half
        off = np.clip(off, -8, 8)
        far = np.minimum((off**2).sum(axis=1, keepdims=True), 3.0)
        pixels: Points = self.middle + self.half * off * (1 + self.bulge * far)
        return pixels

    def back(self, pixels: Points) -> Points:
        """Return about where pixels lie in the drawing, without curl and bulge."""
        u, v, w = np.linalg.inv(self.matrix) @ np.vstack([pixels.T, np.ones(len(pixels))])
        w = np.where(np.abs(w) < 1e-6, 1e-6, w)
        places: Points = np.clip(np.stack([u / w, v / w], axis=1), -9000, 9000)
        return places


def spread(view: View, width: int, height: int) -> tuple[Points, Points]:
    """Low and high corner of what the photo shows of the drawing's plane."""
    edge = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * [width, height]
    places = view.back(edge)
    return places.min(axis=0) - 150, places.max(axis=0) + 150


def scale_at(view: View, place: Points) -> float:
    """Pixels to one unit of the drawing at a place."""
    ends = view(np.array([place - np.array([40, 0]), place + np.array([40, 0])]))
    return max(float(np.hypot(*(ends[1] - ends[0]))) / 80, 1e-3)


def _turn(rng: np.random.Generator) -> float:
    kind = rng.random()
    if kind < 0.10:
        return float(rng.uniform(-180, 180))
    if kind < 0.14:
        return float(rng.choice([90, 180, 270])) + float(rng.normal(0, 2))
    return float(np.clip(rng.normal(0, 3), -7, 7))


def aim(
    rng: np.random.Generator,
    shown: Points,
    spine: float | None,
    size: tuple[int, int],
    fill: float,
    side: int,
    cut: bool,
) -> View:
    """Place a camera so that `shown` fills a share of the picture's side.

    Parameters
    ----------
    shown : ndarray, shape (n, 2)
        Points of the drawing that should be in view.
    spine : float or None
        Where the sheet is bound, if the drawing shows it.
    size : (int, int)
        Width and height of the photo.
    fill : float
        Longest extent of `shown` in the picture, over its side.
    side : int
        Of the square that the photo is brought into.
    cut : bool
        Whether the frame cuts off a part of `shown`.
    """
    width, height = size
    a = np.radians(_turn(rng))
    flip = -1.0 if rng.random() < 0.02 else 1.0
    strong = rng.choice([0.0, 0.04, 0.1, 0.2], p=[0.25, 0.35, 0.28, 0.12])
    lean = rng.uniform(-1, 1, 2) * strong * min(1.0, 1.2 * fill + 0.2)
    middle = shown.mean(axis=0)
    move = np.array([[1, 0, -middle[0]], [0, 1, -middle[1]], [0, 0, 1.0]])
    spin = np.array(
        [[flip * np.cos(a), np.sin(a), 0], [-flip * np.sin(a), np.cos(a), 0], [0, 0, 1]]
    )
    tilt = np.array([[1, 0, 0], [0, 1, 0], [*(lean * 2 / 1000), 1.0]])
    squash = np.diag([1.0, 1.0 - 0.5 * abs(lean[1]), 1.0])
    centre = np.array([width / 2, height / 2])
    flat = View(squash @ tilt @ spin @ move, 0.0, np.zeros(2), 1000.0, 0.0, 0.0, 1.0)
    if spine is None and rng.random() < 0.12:
        aside = rng.uniform(60, 300)
        left = rng.random() < 0.5
        spine = float(shown[:, 0].min() - aside if left else shown[:, 0].max() + aside)
    if spine is not None:
        lift, fall = float(rng.uniform(-90, 90)), float(rng.uniform(120, 300))
        flat = replace(flat, spine=spine, lift=lift, fall=fall)
    seen = flat(shown)
    low, high = seen.min(axis=0), seen.max(axis=0)
    scale = min(
        fill * side / float((high - low).max()), *(0.93 * np.array([width, height]) / (high - low))
    )
    room = np.array([width, height]) - scale * (high - low)
    rim = np.minimum(0.02 * side, room / 2)
    offset = rim + rng.beta(1.6, 1.6, 2) * (room - 2 * rim)
    if cut:
        axis = int(rng.integers(2))
        cut = rng.uniform(0.05, 0.25) * scale * (high - low)[axis]
        offset[axis] = -cut if rng.random() < 0.5 else room[axis] + cut
    fit = np.array(
        [[scale, 0, offset[0] - scale * low[0]], [0, scale, offset[1] - scale * low[1]], [0, 0, 1]]
    )
    bulge = float(rng.normal(0, 0.015)) if rng.random() < 0.5 else 0.0
    return replace(flat, matrix=fit @ flat.matrix, middle=centre, half=side / 2, bulge=bulge)
