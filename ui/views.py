"""Where a truss's joints are on a sheet: on the photo, or in a clean figure to scale."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from model.errors import InputError
from model.truss import Truss

__all__ = ["View", "on_picture", "true_scale"]

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class View:
    """A truss laid out on a sheet.

    Attributes
    ----------
    truss : Truss
    points : ndarray, shape (n, 2)
        Joints on the sheet, x right, y down.
    width, height : float
        Size of the sheet.
    """

    truss: Truss
    points: FloatArray
    width: float
    height: float

    @cached_property
    def segments(self) -> FloatArray:
        """Ends of the members on the sheet, shape (m, 2, 2)."""
        return np.asarray(self.points[self.truss.members])

    @cached_property
    def font_size(self) -> float:
        """Size of the writing: by the members' lengths, within limits of the sheet's size."""
        diagonal = float(np.hypot(self.width, self.height))
        spans = np.hypot(*(self.segments[:, 1] - self.segments[:, 0]).T)
        typical = float(np.median(spans)) if len(spans) else diagonal / 8
        return float(np.clip(0.105 * typical, 0.0065 * min(diagonal, 1900.0), 0.019 * diagonal))

    @cached_property
    def jacobians(self) -> FloatArray:
        """How world directions lie on the sheet around each joint, shape (n, 2, 2).

        A weighted affine fit of the joints near by, held to the similarity of
        the whole: it follows the perspective of a photo without following the
        slips of a sketch that is not to scale.
        """
        world, sheet = self.truss.points, self.points
        whole = _similarity(world, sheet)
        spread = float(np.hypot(*(world - world.mean(0)).T).max(initial=0.0)) or 1.0
        jacobians = np.empty((len(world), 2, 2))
        for position, point in enumerate(world):
            offsets = world - point
            weights = np.exp(-0.5 * (np.hypot(*offsets.T) / (0.7 * spread)) ** 2)
            root = np.sqrt(weights)[:, None]
            rows = np.hstack([offsets / spread, np.ones((len(world), 1))]) * root
            held = np.hstack([np.eye(2), np.zeros((2, 1))]) * 0.5
            right = np.vstack([sheet * root, 0.5 * spread * whole.T])
            fit = np.linalg.lstsq(np.vstack([rows, held]), right, rcond=None)[0]
            jacobians[position] = fit[:2].T / spread
        return jacobians

    @cached_property
    def scales(self) -> FloatArray:
        """Local size of the drawing at each joint, about 1, shape (n,)."""
        local = np.sqrt(np.abs(np.linalg.det(self.jacobians)))
        typical = float(np.median(local)) or 1.0
        return np.asarray(np.clip(local / typical, 0.65, 1.5))

    def place(self, x: float, y: float) -> tuple[float, float]:
        """Place on the sheet of a world point; exact in a figure to scale."""
        world, sheet = self.truss.points, self.points
        offset = _similarity(world, sheet) @ (np.array([x, y]) - world.mean(0))
        column, row = sheet.mean(0) + offset
        return float(column), float(row)

    def direction(self, joint: int, x: float, y: float) -> FloatArray:
        """Unit vector on the sheet of the world direction (x, y) at a joint."""
        vector = self.jacobians[joint] @ np.array([x, y])
        return np.asarray(vector / (np.hypot(*vector) or 1.0))


def on_picture(
    truss: Truss, pixels: dict[str, tuple[float, float] | None], width: float, height: float
) -> View:
    """Lay a truss out where its joints are in the picture.

    Joints without a pixel are put where the others say that they are.

    Raises
    ------
    InputError
        If fewer than two joints have a pixel.
    """
    points = np.array([pixels.get(name) or (np.nan, np.nan) for name in truss.joints], float)
    known = ~np.isnan(points[:, 0])
    if known.sum() < 2:
        raise InputError("The job does not say where its joints are in the picture; trace it.")
    if not known.all():
        whole = _similarity(truss.points[known], points[known])
        centre_world, centre = truss.points[known].mean(0), points[known].mean(0)
        points[~known] = centre + (truss.points[~known] - centre_world) @ whole.T
    return View(truss, points, width, height)


def true_scale(truss: Truss, width: float = 1600.0, *, margin: float = 0.17) -> View:
    """Lay a truss out to scale, `width` wide, with a margin for loads and reactions."""
    low, high = truss.points.min(axis=0), truss.points.max(axis=0)
    spans = np.maximum(high - low, 1e-12)
    border = min(margin * width, 280.0)  # room for arrows and their values, however wide
    scale = min((width - 2 * border) / spans[0], 0.75 * width / spans[1])
    height = spans[1] * scale + 2 * border
    left = (width - spans[0] * scale) / 2
    x = left + (truss.points[:, 0] - low[0]) * scale
    y = height - border - (truss.points[:, 1] - low[1]) * scale
    return View(truss, np.column_stack([x, y]), width, height)


def _similarity(world: FloatArray, sheet: FloatArray) -> FloatArray:
    """Matrix that turns and scales world vectors onto the sheet, by least squares."""
    a = (world - world.mean(0)) @ np.array([1, 1j])
    b = (sheet - sheet.mean(0)) @ np.array([1, -1j])  # the sheet's y points down
    size = float((np.abs(a) ** 2).sum())
    factor = complex((np.conj(a) * b).sum() / size) if size else 1.0 + 0j
    return np.array([[factor.real, -factor.imag], [-factor.imag, -factor.real]])
