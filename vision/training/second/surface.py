"""What the ink stands on and how the camera saw it: paper, grids, boards, light, blur, noise."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.training.second.stock import stock

__all__ = ["Camera", "expose", "light", "photograph", "real_page"]

FloatArray = NDArray[np.float64]
Picture = NDArray[Any]
Rng = np.random.Generator


class Camera:
    """Takes page coordinates to picture pixels: perspective, lens and page curl."""

    def __init__(self, rng: Rng, size: int, level: float) -> None:
        self.size = size
        corners = np.array([[0, 0], [size, 0], [size, size], [0, size]], np.float32)
        moved = corners + rng.normal(0, 0.045 * level * size, (4, 2)).astype(np.float32)
        self.homography = cv2.getPerspectiveTransform(corners, moved).astype(float)
        self.lens = rng.normal(0, 0.02) * level
        self.curl = rng.normal(0, 0.008 * level) * size * (rng.random() < 0.4)
        self.wave = rng.uniform(1, 4) * np.pi / size
        self.turn = rng.uniform(0, np.pi)

    def __call__(self, points: FloatArray) -> FloatArray:
        p = np.atleast_2d(np.asarray(points, float))
        s = p @ (np.cos(self.turn), np.sin(self.turn))
        p = p + (self.curl * np.sin(s * self.wave))[:, None] * (
            np.sin(self.turn),
            -np.cos(self.turn),
        )
        q = np.c_[p, np.ones(len(p))] @ self.homography.T
        p = q[:, :2] / q[:, 2:]
        c = p - self.size / 2
        return np.asarray(
            self.size / 2 + c * (1 + self.lens * (c**2).sum(1, keepdims=True) / self.size**2 * 4)
        )


def _noise(rng: Rng, size: int, cells: int) -> Picture:
    """Smooth noise with about `cells` bumps across, mean 0, range about -1..1."""
    small = rng.normal(0, 0.6, (max(2, cells), max(2, cells))).astype(np.float32)
    return np.asarray(cv2.resize(small, (size, size), interpolation=cv2.INTER_CUBIC))


def _paper(rng: Rng, size: int) -> Picture:
    tone = rng.uniform(0.62, 1.0)
    page = np.full((size, size), tone, np.float32)
    papers = stock().papers
    if papers and rng.random() < 0.4:
        image = papers[int(rng.integers(len(papers)))]
        if rng.random() < 0.5:
            image = np.ascontiguousarray(np.rot90(image, int(rng.integers(4))))
        side = int(min(image.shape) * rng.uniform(0.35, 1.0))
        y, x = (int(rng.integers(0, s - side + 1)) for s in image.shape)
        part = cv2.resize(
            image[y : y + side, x : x + side], (size, size), interpolation=cv2.INTER_AREA
        )
        part = part.astype(np.float32) / 255
        part = np.clip(part / max(float(np.median(part)), 0.2), 0.3, 1.6)
        page = tone * (1 + (part - 1) * rng.uniform(0.3, 1.0))
    page += rng.uniform(0, 0.02) * rng.normal(0, 1, (size, size)).astype(np.float32)
    page += rng.uniform(0, 0.03) * _noise(rng, size, int(rng.integers(20, 120)))
    if rng.random() < 0.15:
        page += 0.06 * _creases(rng, size)
    return page


def _creases(rng: Rng, size: int) -> Picture:
    mask = np.zeros((size, size), np.float32)
    for _ in range(int(rng.integers(1, 7))):
        a, b = rng.integers(0, size, 2), rng.integers(0, size, 2)
        cv2.line(
            mask,
            a.tolist(),
            b.tolist(),
            float(rng.choice([-1, 1])),
            int(rng.integers(1, 4)),
            cv2.LINE_AA,
        )
    return np.asarray(cv2.GaussianBlur(mask, (0, 0), rng.uniform(0.5, 2)))


def _rules(rng: Rng, size: int, camera: Camera) -> Picture:
    """Ruled, squared or dotted lines through the camera, 0..1."""
    mask = np.zeros((size, size), np.uint8)
    kind = rng.choice(["ruled", "squared", "dotted", "fine"], p=[0.35, 0.4, 0.1, 0.15])
    step = rng.uniform(9, 40) if kind != "fine" else rng.uniform(5, 10)
    angle = rng.normal(0, 0.06) + rng.choice([0, np.pi / 2, 0, rng.uniform(0, np.pi)])
    c, s = np.cos(angle), np.sin(angle)
    turn = np.array([[c, s], [-s, c]])
    reach = np.linspace(-0.9 * size, 0.9 * size, 24)
    thick = 1 if rng.random() < 0.75 else 2
    offsets = np.arange(-0.9 * size, 0.9 * size, step)
    if kind == "dotted":
        grid = np.stack(np.meshgrid(offsets, offsets), -1).reshape(-1, 2)
        for x, y in np.rint(camera(grid @ turn + size / 2)).astype(int):
            if 0 <= x < size and 0 <= y < size:
                cv2.circle(mask, (int(x), int(y)), thick, 255, -1, cv2.LINE_AA)
        return mask.astype(np.float32) / 255
    for i, offset in enumerate(offsets):
        strong = 255 if kind != "fine" or i % 5 == 0 else 110
        for flip in (False, True) if kind != "ruled" else (False,):
            pts = (
                np.c_[np.full_like(reach, offset), reach]
                if flip
                else np.c_[reach, np.full_like(reach, offset)]
            )
            seen = np.rint(camera(pts @ turn + size / 2) * 16).astype(np.int32)
            cv2.polylines(mask, [seen], False, strong, thick, cv2.LINE_AA, 4)
    return mask.astype(np.float32) / 255


def light(rng: Rng, size: int, level: float) -> Picture:
    """Light over the page: slopes, fall-off to the corners, a shadow."""
    y, x = np.mgrid[-1 : 1 : size * 1j, -1 : 1 : size * 1j].astype(np.float32)
    slope = rng.normal(0, 0.14 * level, 2)
    light = 1 + slope[0] * x + slope[1] * y + 0.08 * level * _noise(rng, size, 3)
    light -= rng.uniform(0, 0.2) * level * (x**2 + y**2)
    if rng.random() < 0.35 * level:
        corners = rng.uniform(-0.3, 1.3, (int(rng.integers(3, 6)), 2)) * size
        shade = np.zeros((size, size), np.float32)
        cv2.fillPoly(shade, [cv2.convexHull(corners.astype(np.int32))], 1.0)
        light *= 1 - rng.beta(1.5, 2.5) * 0.65 * cv2.GaussianBlur(shade, (0, 0), rng.uniform(1, 30))
    return np.asarray(np.clip(light, 0.15, 2), np.float32)


def _desk(rng: Rng, size: int, camera: Camera, picture: Picture) -> Picture:
    """Show the page's edge and the desk beyond it on one or more sides."""
    inset = np.where(rng.random(4) < 0.6, rng.uniform(0.0, 0.09, 4), -0.2) * size
    left, t, r, b = inset
    quad = camera(np.array([[left, t], [size - r, t], [size - r, size - b], [left, size - b]]))
    mask = np.zeros((size, size), np.float32)
    cv2.fillPoly(mask, [np.rint(quad * 16).astype(np.int32)], 1.0, cv2.LINE_AA, 4)
    desk = rng.uniform(0.05, 0.9) + 0.08 * _noise(rng, size, int(rng.integers(3, 40)))
    if rng.random() < 0.4:
        stripes = np.sin(np.linspace(0, rng.uniform(10, 120), size, dtype=np.float32))
        desk = desk + rng.uniform(0, 0.06) * (
            stripes[:, None] if rng.random() < 0.5 else stripes[None]
        )
    shadow = cv2.GaussianBlur(mask, (0, 0), rng.uniform(2, 10))
    desk = desk * (1 - 0.4 * shadow)
    return np.asarray(picture * mask + desk * (1 - mask), np.float32)


def _things(rng: Rng, size: int, picture: Picture) -> None:
    """Fingers, pens and clips reaching in from an edge."""
    for _ in range(int(rng.integers(1, 3))):
        start = np.array([rng.choice([0, size]), rng.uniform(0, size)])[:: int(rng.choice([1, -1]))]
        end = start + (size / 2 - start) * rng.uniform(0.1, 0.35) + rng.normal(0, 0.1 * size, 2)
        mask: Picture = np.zeros((size, size), np.float32)
        cv2.line(
            mask,
            start.astype(int).tolist(),
            end.astype(int).tolist(),
            1.0,
            int(rng.uniform(8, 60)),
            cv2.LINE_AA,
        )
        mask = cv2.GaussianBlur(mask, (0, 0), 1.2)
        picture *= 1 - mask
        picture += mask * (rng.uniform(0.1, 0.8) + 0.05 * _noise(rng, size, 8))


def photograph(rng: Rng, ink: Picture, camera: Camera, level: float, grain: float) -> Picture:
    """Put ink (0..255 darkness, size x size) on a surface and photograph it.

    Returns
    -------
    ndarray of uint8, shape (size, size)
        The grey picture.
    """
    size = len(ink)
    dark = ink.astype(np.float32) / 255
    if grain > 0.02:
        tooth = rng.random((size, size), dtype=np.float32)
        if rng.random() < 0.5:
            tooth = cv2.GaussianBlur(tooth, (0, 0), 0.8) * 1.4 - 0.2
        dark = dark * (1 - grain * np.clip(tooth * 1.3 - 0.1, 0, 1))
    board = rng.random() < 0.13
    if board:
        page = rng.uniform(0.08, 0.38) + 0.04 * _noise(rng, size, int(rng.integers(3, 30)))
        page += rng.uniform(0, 0.05) * cv2.GaussianBlur(
            _noise(rng, size, 60), (0, 0), sigmaX=30, sigmaY=2
        )
        tone = rng.uniform(0.65, 1.0)
    else:
        page = _paper(rng, size)
        tone = rng.uniform(0.02, 0.35)
        if rng.random() < 0.15:  # coloured or wrapping paper, pale ink
            page = page * rng.uniform(0.5, 0.85)
            tone = min(tone + rng.uniform(0, 0.2), 0.65 * float(page.mean()))
    if rng.random() < (0.12 if board else 0.5):
        strength = rng.beta(1.3, 2.4) * 0.55 if not board else -rng.uniform(0.05, 0.3)
        page = page * (1 - strength * _rules(rng, size, camera))
    if rng.random() < 0.12 and not board:
        pages = stock().pages
        ghost = _crop(rng, pages, size)[:, ::-1] if pages else None
        if ghost is not None:
            page = page * (1 - rng.uniform(0.05, 0.25) * (1 - ghost))
    picture = (
        page * (1 - dark) + tone * np.minimum(page, 1) * dark
        if not board
        else page * (1 - dark) + tone * dark
    )
    if rng.random() < 0.3 * level:
        picture = _desk(rng, size, camera, picture)
    if rng.random() < 0.1 * level:
        _things(rng, size, picture)
    return expose(rng, picture * light(rng, size, level), level)


def _crop(rng: Rng, pages: list[Picture], size: int) -> Picture:
    image = pages[int(rng.integers(len(pages)))]
    angle = rng.normal(0, 8) + 90 * int(rng.integers(4)) * (rng.random() < 0.3)
    scale = size / max(image.shape) * rng.uniform(0.95, 2.2)
    h, w = image.shape
    centre = (w * rng.uniform(0.35, 0.65), h * rng.uniform(0.35, 0.65))
    matrix = cv2.getRotationMatrix2D(centre, angle, scale)
    matrix[:, 2] += np.array([size / 2 - centre[0], size / 2 - centre[1]])
    part = cv2.warpAffine(
        image, matrix, (size, size), flags=cv2.INTER_AREA, borderMode=cv2.BORDER_REPLICATE
    )
    return part.astype(np.float32) / 255


def real_page(rng: Rng, size: int) -> Picture:
    """A part of a real page without a truss, 0..1."""
    return _crop(rng, stock().pages, size)


def expose(rng: Rng, picture: Picture, level: float) -> Picture:
    """Blur, noise, tone curve, scan modes and compression."""
    blur = abs(rng.normal(0, 0.75)) * level
    if blur > 0.2:
        picture = cv2.GaussianBlur(picture, (0, 0), blur)
    if rng.random() < 0.12 * level:
        length = int(rng.integers(2, 6))
        kernel = np.zeros((7, 7), np.float32)
        t = rng.uniform(0, np.pi)
        end = np.rint(3 + length / 2 * np.array([np.cos(t), np.sin(t)])).astype(int)
        cv2.line(kernel, (6 - end).tolist(), end.tolist(), 1.0, 1)
        picture = cv2.filter2D(picture, -1, kernel / kernel.sum())
    size = len(picture)
    picture = picture + abs(rng.normal(0, 0.018)) * rng.normal(0, 1, (size, size)).astype(
        np.float32
    )
    gain, gamma = rng.uniform(0.75, 1.1), rng.uniform(0.7, 1.35)
    grey = np.clip(picture * gain, 0, 1) ** gamma
    if rng.random() < 0.3:
        low, high = np.percentile(grey, [rng.uniform(0, 3), rng.uniform(60, 99)])
        grey = np.clip((grey - low) / max(high - low, 0.05), 0, 1)
    out = np.asarray(grey * 255, np.uint8)
    mode = rng.random()
    if mode < 0.05:
        block = int(rng.choice([15, 31, 51]))
        out = np.asarray(
            cv2.adaptiveThreshold(
                out, 255, cv2.ADAPTIVE_THRESH_MEAN_C, cv2.THRESH_BINARY, block, rng.uniform(4, 12)
            )
        )
    elif mode < 0.08:
        out = 255 - out
    if rng.random() < 0.4:
        _, packed = cv2.imencode(".jpg", out, [cv2.IMWRITE_JPEG_QUALITY, int(rng.integers(30, 92))])
        out = np.asarray(cv2.imdecode(packed, cv2.IMREAD_GRAYSCALE))
    return np.asarray(out, np.uint8)
