"""Paper and boards: the bare surface that a drawing is made on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["SURFACES", "Surface", "cloudy", "make_surface"]

FloatImage = NDArray[np.float32]
Colour = tuple[float, float, float]


@dataclass(frozen=True)
class Surface:
    """A bare sheet or board, seen straight on in even light.

    Attributes
    ----------
    colour : ndarray, shape (rows, columns, 3), float32
        Reflectance, red green blue, 0 to 1.
    tooth : ndarray, shape (rows, columns), float32
        Roughness, 0 (takes ink) to 1 (stays bare), about evenly spread.
    scale : float
        Pixels per mm.
    """

    colour: FloatImage
    tooth: FloatImage
    scale: float

    @property
    def size(self) -> tuple[float, float]:
        """Width and height in mm."""
        rows, columns = self.tooth.shape
        return columns / self.scale, rows / self.scale


def cloudy(rng: np.random.Generator, shape: tuple[int, int], grain: float) -> FloatImage:
    """Smooth noise of unit deviation whose patches are about `grain` pixels wide."""
    rows, columns = shape
    small = (max(3, int(rows / grain) + 3), max(3, int(columns / grain) + 3))
    noise = rng.standard_normal(small, dtype=np.float32)
    return np.asarray(cv2.resize(noise, (columns, rows), interpolation=cv2.INTER_CUBIC), np.float32)


def _tooth(rng: np.random.Generator, shape: tuple[int, int], scale: float) -> FloatImage:
    """Paper tooth: fine noise with a little grain above it, spread over 0 to 1."""
    fine = cv2.GaussianBlur(rng.standard_normal(shape, dtype=np.float32), (0, 0), 0.10 * scale)
    fine = fine / (fine.std() + 1e-6)
    mixed = 0.85 * fine + 0.5 * cloudy(rng, shape, 0.8 * scale)
    return np.asarray(1 / (1 + np.exp(-1.7 * mixed)), np.float32)


def _stripes(
    image: FloatImage,
    scale: float,
    offsets: NDArray[np.float64],
    colour: Colour,
    width: float,
    share: float,
    *,
    upright: bool = False,
) -> None:
    """Print straight lines at `offsets` mm, `width` mm wide, covering `share` of the paper."""
    length = image.shape[1] if upright else image.shape[0]
    where = np.arange(length, dtype=np.float64)[:, None] / scale
    distance = np.abs(where - offsets[None, :]).min(axis=1)
    cover = share * np.clip((width / 2 - distance) * scale + 0.5, 0, 1)
    cover = cover.astype(np.float32)
    cover = cover[None, :, None] if upright else cover[:, None, None]
    image *= 1 - cover
    image += cover * np.array(colour, np.float32)


def _sheet(
    rng: np.random.Generator, shape: tuple[int, int], scale: float, tint: Colour
) -> FloatImage:
    """Plain paper: a tint with fibres and faint clouds."""
    fibre = cv2.GaussianBlur(rng.standard_normal(shape, dtype=np.float32), (0, 0), 0.12 * scale)
    shade = 1 + 0.012 * fibre / (fibre.std() + 1e-6) + 0.010 * cloudy(rng, shape, 18 * scale)
    return np.asarray(shade[:, :, None] * np.array(tint, np.float32), np.float32)


def _every(step: float, stop: float, start: float = 0.0) -> NDArray[np.float64]:
    return np.arange(start or step, stop, step)


def _plain(rng: np.random.Generator, image: FloatImage, scale: float) -> None:
    """Leave the sheet as it is."""


def _ruled(rng: np.random.Generator, image: FloatImage, scale: float) -> None:
    """Print blue lines, mostly with a red margin."""
    height, width = image.shape[0] / scale, image.shape[1] / scale
    step = rng.choice([6.5, 7.1, 8.0])
    blue = (0.52, 0.64, 0.84)
    _stripes(image, scale, _every(step, height, 16), blue, 0.28, rng.uniform(0.55, 0.9))
    if rng.random() < 0.8 and width > 90:
        margin = np.array([rng.uniform(20, 30)])
        _stripes(image, scale, margin, (0.90, 0.48, 0.50), 0.30, 0.75, upright=True)


def _squared(rng: np.random.Generator, image: FloatImage, scale: float) -> None:
    """Print a 5 mm (sometimes 4 mm) grid."""
    height, width = image.shape[0] / scale, image.shape[1] / scale
    step = rng.choice([4.0, 5.0, 5.0])
    tint: Colour = ((0.62, 0.70, 0.84), (0.72, 0.74, 0.76), (0.62, 0.80, 0.72))[rng.integers(3)]
    share = rng.uniform(0.45, 0.85)
    _stripes(image, scale, _every(step, height), tint, 0.22, share)
    _stripes(image, scale, _every(step, width), tint, 0.22, share, upright=True)


def _dotted(rng: np.random.Generator, image: FloatImage, scale: float) -> None:
    """Print a 5 mm grid of grey dots."""
    rows, columns = image.shape[:2]
    step = 5.0
    for y in _every(step, rows / scale):
        for x in _every(step, columns / scale):
            centre = (int(x * scale * 16), int(y * scale * 16))
            cv2.circle(
                image, centre, int(0.27 * scale * 16), (0.63, 0.63, 0.66), -1, cv2.LINE_AA, 4
            )


def _crumpled(rng: np.random.Generator, image: FloatImage, scale: float) -> None:
    """Shade the facets and creases of paper that was crushed and smoothed out."""
    rows, columns = image.shape[:2]
    small = (max(8, rows // 6), max(8, columns // 6))
    yy, xx = np.mgrid[0 : small[0], 0 : small[1]].astype(np.float32)
    relief = np.zeros(small, np.float32)
    for _ in range(26):
        turn = rng.uniform(0, np.pi)
        cut = rng.uniform(0, 1, 2) * (small[1], small[0])
        side = (xx - cut[0]) * np.cos(turn) + (yy - cut[1]) * np.sin(turn)
        relief += np.float32(rng.normal(0, 1)) * np.abs(side) / max(small)
    dy, dx = np.gradient(relief)
    slope = (dx * 0.8 + dy * 0.6) * max(small)
    slope = np.asarray(cv2.resize(slope, (columns, rows), interpolation=cv2.INTER_LINEAR))
    slope = cv2.GaussianBlur(slope, (0, 0), 0.25 * scale)
    image *= np.clip(1 + 0.022 * (slope - slope.mean()), 0.8, 1.12)[:, :, None].astype(np.float32)


def _whiteboard(rng: np.random.Generator, image: FloatImage, scale: float) -> None:
    """Leave the grey smears of earlier drawings, wiped off."""
    rows, columns = image.shape[:2]
    smear = np.zeros((rows // 4, columns // 4), np.float32)
    for _ in range(14):
        start = rng.uniform(0, 1, 2) * (columns // 4, rows // 4)
        sweep = rng.normal(0, 1, (4, 2)) * (columns / 30, rows / 30)
        path = (start + np.cumsum(sweep, axis=0)).astype(np.int32)
        cv2.polylines(smear, [path], False, float(rng.uniform(0.3, 1)), int(rng.integers(6, 26)))
    smear = cv2.GaussianBlur(smear, (0, 0), 4)
    smear *= (0.6 + 0.4 * np.abs(cloudy(rng, smear.shape, 5))).astype(np.float32)
    smear = np.asarray(cv2.resize(smear, (columns, rows)))
    image *= (1 - 0.045 * smear)[:, :, None].astype(np.float32)


def _chalk(rng: np.random.Generator, image: FloatImage, scale: float) -> None:
    """Leave the dust of a wiped chalk board."""
    shape = image.shape[:2]
    dust = np.clip(0.5 + 0.5 * cloudy(rng, shape, 40 * scale), 0, 1)
    streak = rng.standard_normal((shape[0] // 2, max(2, shape[1] // 60)), dtype=np.float32)
    streak = np.asarray(cv2.GaussianBlur(streak, (0, 0), 3), np.float32)
    wide = np.asarray(cv2.resize(streak / streak.std(), (shape[1], shape[0])), np.float32)
    image += (0.050 * dust + 0.014 * dust * wide)[:, :, None].astype(np.float32)


Print = Callable[[np.random.Generator, FloatImage, float], None]

#: Name of each surface, with the colours it comes in and what is printed on it.
SURFACES: dict[str, tuple[tuple[Colour, ...], Print]] = {
    "plain": (((0.93, 0.92, 0.89), (0.95, 0.95, 0.95), (0.94, 0.91, 0.83)), _plain),
    "ruled": (((0.95, 0.95, 0.93), (0.94, 0.93, 0.88)), _ruled),
    "squared": (((0.95, 0.95, 0.94), (0.93, 0.94, 0.90)), _squared),
    "dotted": (((0.95, 0.94, 0.90), (0.95, 0.95, 0.95)), _dotted),
    "coloured": (((0.78, 0.87, 0.93), (0.95, 0.89, 0.58), (0.80, 0.90, 0.76)), _plain),
    "kraft": (((0.72, 0.58, 0.42),), _plain),
    "legal pad": (((0.96, 0.91, 0.62),), _ruled),
    "crumpled": (((0.93, 0.92, 0.89), (0.95, 0.95, 0.94)), _crumpled),
    "whiteboard": (((0.93, 0.94, 0.95), (0.90, 0.92, 0.92)), _whiteboard),
    "chalk board": (((0.13, 0.24, 0.19), (0.16, 0.17, 0.17)), _chalk),
}  # fmt: skip


def make_surface(
    name: str,
    size: tuple[float, float],
    scale: float,
    rng: np.random.Generator,
    colour: Colour | None = None,
) -> Surface:
    """Make a bare surface.

    Parameters
    ----------
    name : str
        One of `SURFACES`.
    size : tuple of float
        Width and height in mm.
    scale : float
        Pixels per mm.
    rng : numpy.random.Generator
        Where its unevenness comes from.
    colour : tuple of float, optional
        Reflectance of the sheet; one of the surface's own colours when absent.

    Returns
    -------
    Surface
    """
    tints, print_on = SURFACES[name]
    tint = colour or tints[rng.integers(len(tints))]
    shape = (round(size[1] * scale), round(size[0] * scale))
    image = _sheet(rng, shape, scale, tint)
    print_on(rng, image, scale)
    tooth = _tooth(rng, shape, scale)
    return Surface(np.clip(image, 0, 1), tooth, scale)
