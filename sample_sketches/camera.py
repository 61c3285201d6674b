"""A camera over a desk or before a board: perspective, light, shadow, blur, noise, JPEG."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from sample_sketches.surfaces import FloatImage, Surface, cloudy

__all__ = ["Photo", "View", "photograph"]

FloatArray = NDArray[np.float64]
Colour = tuple[float, float, float]


@dataclass(frozen=True)
class View:
    """Where the camera stands, what the light is like, and how good the camera is.

    Attributes
    ----------
    width, height : int
        Size of the photo in pixels.
    desk : str
        What lies around the sheet: ``"wood"``, ``"cloth"``, ``"stone"`` or ``"wall"``.
    desk_colour : tuple of float
        Its reflectance, red green blue.
    tilt, pan, turn : float
        Degrees by which the camera leans back, looks aside and is turned.
    margin : float
        Share of the photo's size left around the sheet; negative looks closer.
    curl : float
        Lift of the sheet's edge in mm.
    lens : float
        Barrel distortion at the corner, as a share of the half diagonal.
    light : float
        Strength of the light's fall-off across the photo, 0 to 1.
    light_from : float
        Direction in degrees that the light comes from, counter-clockwise as seen.
    shadow : float
        Depth of the photographer's soft shadow, 0 to 1.
    warmth : float
        Tint of the light: above 0 warm, below 0 cold.
    blur : float
        Spread of the focus in pixels.
    noise : float
        Sensor noise as a share of white.
    quality : int
        JPEG quality.
    glare : float
        Strength of a lamp's reflection, 0 to 1.
    exposure : float
        Brightness of the whole photo; 1 is well exposed.
    motion : float
        Length in pixels of the streak that a shaking hand makes.
    scan : bool
        True for the hard black-and-white look of a scanning program.
    """

    width: int = 1800
    height: int = 1350
    desk: str = "wood"
    desk_colour: Colour = (0.50, 0.36, 0.24)
    tilt: float = 10.0
    pan: float = 0.0
    turn: float = 0.0
    margin: float = 0.04
    curl: float = 1.5
    lens: float = 0.01
    light: float = 0.35
    light_from: float = 120.0
    shadow: float = 0.25
    warmth: float = 0.05
    blur: float = 0.8
    noise: float = 0.012
    quality: int = 85
    glare: float = 0.0
    exposure: float = 1.0
    motion: float = 0.0
    scan: bool = False


@dataclass(frozen=True)
class Photo:
    """A photo and the way from the sheet to its pixels.

    Attributes
    ----------
    jpeg : bytes
        The encoded picture.
    width, height : int
        Its size in pixels.
    """

    jpeg: bytes
    width: int
    height: int
    _to_ideal: FloatArray
    _lens: float
    _curl: tuple[float, float, float]

    def place(self, points: ArrayLike) -> FloatArray:
        """Pixel positions, shape (n, 2), of points on the sheet in mm, shape (n, 2)."""
        sheet = np.atleast_2d(np.asarray(points, float))
        flat = sheet.copy()
        for _ in range(6):
            flat = sheet - _curl_shift(flat, self._curl)
        ideal = _project(self._to_ideal, flat)
        bent = ideal.copy()
        for _ in range(6):
            bent = ideal - (_straight(bent, self._lens, self.width, self.height) - bent)
        return bent


def _project(matrix: FloatArray, points: FloatArray) -> FloatArray:
    lifted = np.c_[points, np.ones(len(points))] @ matrix.T
    return np.asarray(lifted[:, :2] / lifted[:, 2:])


def _straight(points: FloatArray, lens: float, width: int, height: int) -> FloatArray:
    """Positions that the pixels would have without the lens's barrel distortion."""
    centre = np.array([width / 2, height / 2])
    radius = np.hypot(width, height) / 2
    off = (points - centre) / radius
    stretch = 1 + lens * (off**2).sum(-1, keepdims=True)
    return np.asarray(centre + off * stretch * radius)


def _curl_shift(points: FloatArray, curl: tuple[float, float, float]) -> FloatArray:
    """How far a lifted sheet's marks seem to move, in mm, at flat positions `points`."""
    lift, width, height = curl
    x = points[..., 0] / width * 2 - 1
    y = points[..., 1] / height * 2 - 1
    rise = lift * (0.55 * np.cos(1.9 * x + 0.4) + 0.45 * x * y)
    return np.stack([0.5 * rise * x, 0.9 * rise], -1)


def _homography(view: View, size: tuple[float, float]) -> FloatArray:
    """Homography from the sheet (mm) to the pixels of a lens without distortion."""
    width, height = size
    corners = np.array([[0, 0], [width, 0], [width, height], [0, height]], float)
    centred = np.c_[corners - np.array([width, height]) / 2, np.zeros(4)]
    tilt, pan, turn = np.deg2rad([view.tilt, view.pan, view.turn])
    lean = np.array([[1, 0, 0], [0, np.cos(tilt), -np.sin(tilt)], [0, np.sin(tilt), np.cos(tilt)]])
    swing = np.array([[np.cos(pan), 0, np.sin(pan)], [0, 1, 0], [-np.sin(pan), 0, np.cos(pan)]])
    roll = np.array([[np.cos(turn), np.sin(turn), 0], [-np.sin(turn), np.cos(turn), 0], [0, 0, 1]])
    seen = centred @ (lean @ swing @ roll).T
    away = 1.9 * max(width, height)
    flat = seen[:, :2] / (1 + seen[:, 2:] / away)
    low, high = flat.min(0), flat.max(0)
    room = np.array([view.width, view.height]) * (1 - 2 * view.margin)
    scale = float((room / (high - low)).min())
    placed = (flat - (low + high) / 2) * scale + np.array([view.width, view.height]) / 2
    return np.asarray(
        cv2.getPerspectiveTransform(corners.astype(np.float32), placed.astype(np.float32)), float
    )


def _desk(rng: np.random.Generator, view: View, shape: tuple[int, int]) -> FloatImage:
    """What lies around the sheet, shape (rows, columns, 3)."""
    rows, columns = shape
    if view.desk == "wood":
        base = cloudy(rng, shape, columns / 3)
        yy = np.arange(rows, dtype=np.float32)[:, None] / rows
        rings = np.sin(2 * np.pi * (16 * yy + 0.9 * base + 0.25 * cloudy(rng, shape, columns / 9)))
        streaks = rng.standard_normal((rows, max(4, columns // 40)), dtype=np.float32)
        streaks = np.asarray(cv2.resize(cv2.GaussianBlur(streaks, (0, 0), 1.2), (columns, rows)))
        shade = 1 + 0.07 * rings + 0.16 * streaks / (streaks.std() * 3) + 0.05 * base
    elif view.desk == "cloth":
        weave = rng.standard_normal(shape, dtype=np.float32)
        weave = np.asarray(cv2.GaussianBlur(weave, (0, 0), 1.1), np.float32)
        shade = 1 + 0.06 * weave / weave.std() + 0.05 * cloudy(rng, shape, columns / 4)
    elif view.desk == "stone":
        shade = 1 + 0.10 * cloudy(rng, shape, 7) * cloudy(rng, shape, 40)
        shade = shade + 0.05 * cloudy(rng, shape, columns / 5)
    else:
        shade = 1 + 0.015 * cloudy(rng, shape, 5) + 0.03 * cloudy(rng, shape, columns / 3)
    colour = np.array(view.desk_colour, np.float32)
    return np.asarray(np.clip(shade[:, :, None] * colour, 0, 1), np.float32)


def _inverse_map(photo: Photo, view: View) -> tuple[FloatImage, FloatImage]:
    """Position on the sheet in mm that each pixel sees, as two maps."""
    coarse = 8
    columns = np.arange(0, view.width + coarse, coarse)
    rows = np.arange(0, view.height + coarse, coarse)
    grid = np.stack(np.meshgrid(columns, rows), -1).reshape(-1, 2).astype(float)
    ideal = _straight(grid, photo._lens, view.width, view.height)
    flat = _project(np.asarray(np.linalg.inv(photo._to_ideal), float), ideal)
    sheet = flat + _curl_shift(flat, photo._curl)
    field = sheet.reshape(len(rows), len(columns), 2).astype(np.float32)
    # Sample the coarse field at every pixel: pixel p lies at p / coarse on it.
    x = np.arange(view.width, dtype=np.float32) / coarse
    y = np.arange(view.height, dtype=np.float32) / coarse
    at_x, at_y = np.meshgrid(x, y)
    full = cv2.remap(field, at_x, at_y, cv2.INTER_LINEAR)
    return np.ascontiguousarray(full[..., 0]), np.ascontiguousarray(full[..., 1])


def _light(rng: np.random.Generator, view: View) -> FloatImage:
    """Brightness of the light over the photo, shape (rows, columns)."""
    rows, columns = view.height // 8 + 2, view.width // 8 + 2
    yy, xx = np.mgrid[-1 : 1 : rows * 1j, -1 : 1 : columns * 1j]
    turn = np.deg2rad(view.light_from)
    toward = xx * np.cos(turn) - yy * np.sin(turn)
    field = 1 + view.light * (0.42 * toward - 0.16 * (xx**2 + yy**2))
    if view.shadow > 0:
        side = rng.uniform(-0.5, 0.5)
        edge = -toward * 1.0 + 0.35 * np.sin(2.2 * xx + side * 5) + 0.25 * yy - 0.45 + side * 0.3
        field *= 1 - view.shadow / (1 + np.exp(-edge * 7))
    field += 0.015 * cloudy(rng, (rows, columns), columns / 3)
    if view.glare > 0:
        spot = rng.uniform(-0.7, 0.7, 2)
        off = (xx - spot[0]) ** 2 / 0.10 + (yy - spot[1]) ** 2 / 0.05
        field += view.glare * np.exp(-off)
    return np.asarray(cv2.resize(field.astype(np.float32), (view.width, view.height)))


def photograph(surface: Surface, view: View, rng: np.random.Generator) -> Photo:
    """Photograph a drawn sheet.

    Parameters
    ----------
    surface : Surface
        The sheet or board with its drawing.
    view : View
        The camera and the light.
    rng : numpy.random.Generator
        Where texture, shadow edges and noise come from.

    Returns
    -------
    Photo
    """
    width, height = surface.size
    curl = (view.curl, width, height)
    matrix = _homography(view, surface.size)
    blank = Photo(b"", view.width, view.height, matrix, view.lens, curl)
    x, y = _inverse_map(blank, view)
    scale = surface.scale
    at_x, at_y = x * scale - 0.5, y * scale - 0.5
    page = cv2.remap(surface.colour, at_x, at_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    desk = _desk(rng, view, (view.height, view.width))
    inside = np.minimum.reduce([at_x, at_y, width * scale - at_x, height * scale - at_y])
    cover = np.clip(inside + 0.5, 0, 1)[..., None]
    fall = np.array([0.9, 1.6]) * scale * (1 + view.curl)
    below_x, below_y = at_x - fall[0], at_y - fall[1]  # the sheet's shadow lies aside of it
    gap = np.minimum.reduce([below_x, below_y, width * scale - below_x, height * scale - below_y])
    if view.desk != "wall":
        desk *= (1 - 0.55 / (1 + np.exp(-gap / (1.1 * scale))))[..., None].astype(np.float32)
    scene = desk * (1 - cover) + page * cover
    exposure = 0.93 * view.exposure * _light(rng, view)[..., None]
    tint = np.array([1 + view.warmth, 1.0, 1 - 1.3 * view.warmth], np.float32)
    lit = np.clip(scene * exposure * tint, 0, 1.2).astype(np.float32)
    if view.blur > 0:
        lit = np.asarray(cv2.GaussianBlur(lit, (0, 0), view.blur), np.float32)
    if view.motion >= 1:
        lit = _shaken(lit, view.motion, float(rng.uniform(0, np.pi)))
    return Photo(_develop(lit, view, rng), view.width, view.height, matrix, view.lens, curl)


def _shaken(lit: FloatImage, length: float, turn: float) -> FloatImage:
    """Blur along a line of `length` pixels, as when the camera moves."""
    reach = int(length) + 2
    kernel = np.zeros((2 * reach + 1, 2 * reach + 1), np.float32)
    step = np.array([np.cos(turn), np.sin(turn)]) * length / 2
    ends = [tuple(np.round((reach + side * step) * 16).astype(int).tolist()) for side in (-1, 1)]
    cv2.line(kernel, ends[0], ends[1], 1.0, 1, cv2.LINE_AA, 4)
    return np.asarray(cv2.filter2D(lit, -1, kernel / kernel.sum()), np.float32)


def _scanned(seen: FloatImage) -> FloatImage:
    """Even the light out and pull the paper to white, as scanning programs do."""
    grey = seen.mean(2)
    small = cv2.resize(grey, None, fx=0.125, fy=0.125, interpolation=cv2.INTER_AREA)
    paper = cv2.resize(cv2.medianBlur(small, 5), grey.shape[::-1])
    paper = cv2.GaussianBlur(paper, (0, 0), 12)
    level = np.asarray(1 - 2.4 * (1 - 0.06 - grey / np.maximum(paper, 0.05)), np.float32)
    return np.repeat(np.clip(level, 0, 1)[..., None], 3, axis=2)


def _develop(lit: FloatImage, view: View, rng: np.random.Generator) -> bytes:
    """Turn light on the sensor into JPEG bytes: noise, sharpening, a soft shoulder."""
    grain = rng.standard_normal(lit.shape[:2], dtype=np.float32)[..., None]
    speckle = rng.standard_normal(lit.shape, dtype=np.float32)
    rough = np.sqrt(np.clip(lit, 0.03, 1)) * (0.8 * grain + 0.5 * speckle)
    seen = lit + view.noise * cv2.GaussianBlur(rough, (0, 0), 0.6)
    seen += 0.35 * (seen - cv2.GaussianBlur(seen, (0, 0), 1.6))
    seen = np.clip(seen, 0, None)
    if view.scan:
        seen = _scanned(seen)
    shoulder = np.where(seen > 0.85, 0.85 + 0.15 * np.tanh((seen - 0.85) / 0.15), seen)
    picture = np.clip(shoulder * 255 + 0.5, 0, 255).astype(np.uint8)
    done, encoded = cv2.imencode(
        ".jpg", picture[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, view.quality]
    )
    if not done:
        raise RuntimeError("OpenCV could not encode the photo as JPEG.")
    return encoded.tobytes()
