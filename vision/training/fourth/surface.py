"""Sheets, boards and desks as the photo shows them before anybody drew on them."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.training.fourth.lens import View, scale_at, spread
from vision.training.fourth.painter import lay_lines
from vision.training.fourth.strokes import Points, arc
from vision.training.fourth.textures import crop, field

__all__ = ["Ground", "creased", "ground"]

Floats = NDArray[np.floating[Any]]
Rng = np.random.Generator


@dataclass(frozen=True)
class Ground:
    """A surface in the photo.

    Attributes
    ----------
    grey : ndarray, shape (height, width)
        0 to 255, before the light falls on it.
    sheet : ndarray, shape (height, width)
        1 where the drawing's surface is, 0 on the desk around it.
    """

    grey: Floats
    sheet: Floats


def ground(
    rng: Rng,
    kind: str,
    light: bool,
    view: View,
    drawn: Points,
    size: tuple[int, int],
    bound: bool,
) -> Ground:
    """Make the surface that a drawing lies on.

    Parameters
    ----------
    kind : str
        See `media`.
    light : bool
        Whether its ink is light.
    drawn : ndarray, shape (2, 2)
        Low and high corner of what is drawn, in its units.
    size : (int, int)
        Width and height of the photo.
    bound : bool
        Whether the drawing itself goes across the fold of a book.
    """
    width, height = size
    low, high = spread(view, width, height)
    grey = _bare(rng, kind, light, *size)
    scale = scale_at(view, drawn.mean(axis=0))
    if (kind == "sheet" and rng.random() < 0.66) or (
        kind in ("carton", "tracing") and rng.random() < 0.1
    ):
        lines, dark = _ruling(rng, low, high, scale)
        pixels = [view(line) for line in lines]
        if pixels:
            printed = lay_lines(pixels, 1 if rng.random() < 0.75 else 2, *size)
            grey *= 1 - printed.astype(np.float32) * (dark / 255)
    if kind == "white" and rng.random() < 0.1:
        lines = _squares(low, high, max(60.0, 9 / scale), 16)
        grey *= 1 - lay_lines([view(line) for line in lines], 1, *size).astype(np.float32) * (
            0.2 / 255
        )
    sheet = np.ones((height, width), np.float32)
    loose = {"sheet": 0.34, "napkin": 0.7, "carton": 0.4, "sticky": 0.95, "tracing": 0.4}.get(
        kind, 0.15
    )
    if bound or (kind == "sheet" and rng.random() < 0.1):
        _spine(rng, view, drawn, grey)
    elif rng.random() < loose:
        grey, sheet = _on_desk(rng, kind, view, drawn, grey, scale)
    if kind == "sheet":
        _holes(rng, view, drawn, grey, scale)
    return Ground(grey, sheet)


def _bare(rng: Rng, kind: str, light: bool, width: int, height: int) -> Floats:
    """Unprinted surface over the whole photo."""

    def part(name: str) -> Floats:
        return crop(rng, name, width, height).astype(np.float32)

    if kind == "board":
        base = rng.uniform(35, 95)
        return np.clip(base + part("board") * rng.uniform(2, 9) + part("fibre") * 1.5, 12, 150)
    if kind == "white":
        return rng.uniform(195, 245) + part("board") * rng.uniform(0.3, 3)
    if kind == "carton":
        return rng.uniform(125, 190) + part("carton") * rng.uniform(2, 7) + part("blotch") * 3
    if kind == "plywood":
        return rng.uniform(140, 215) + part("wood") * rng.uniform(2, 9)
    if kind == "napkin":
        dots = part("fibre") * rng.uniform(2, 5) + part("crumple") * rng.uniform(1, 6)
        return rng.uniform(205, 240) + dots
    if kind == "tracing":
        return rng.uniform(185, 230) + part("blotch") * 4 + part("fibre") * 1.5
    if kind == "sticky":
        return np.full((height, width), rng.uniform(180, 232), np.float32) + part("fibre") * 1.0
    if kind == "screen":
        base = rng.uniform(15, 60) if light else rng.uniform(205, 250)
        return np.full((height, width), base, np.float32)
    grey = rng.uniform(190, 250) + part("fibre") * rng.uniform(0.2, 2.5)
    grey += part("blotch") * rng.choice([0.0, 1.0, 3.0])
    if rng.random() < 0.14:
        grey += part("crumple") * rng.uniform(3, 14)
    return grey


def _squares(low: Points, high: Points, step: float, points: int, ways: str = "xy") -> list[Points]:
    lines = []
    for axis in (0, 1):
        if "xy"[axis] not in ways:
            continue
        run = np.linspace(low[1 - axis], high[1 - axis], points)
        for at in np.arange(low[axis], high[axis], step):
            ends = (np.full(points, at), run) if axis == 0 else (run, np.full(points, at))
            lines.append(np.stack(ends, axis=1))
    return lines


def _ruling(rng: Rng, low: Points, high: Points, scale: float) -> tuple[list[Points], float]:
    """Printed lines of a sheet, and how dark they are (0 to 1)."""
    least = max(rng.uniform(5, 9) / scale, (float((high - low).max())) / 110)
    step = max(float(rng.uniform(28, 95)), least)
    low = low + rng.uniform(-1, 0, 2) * step
    kind = rng.choice(["squares", "ruled", "dots", "isometric", "pad", "ghostly"],
                      p=[0.42, 0.26, 0.1, 0.06, 0.12, 0.04])  # fmt: skip
    dark = float(rng.choice([rng.uniform(0.06, 0.22), rng.uniform(0.2, 0.5)], p=[0.7, 0.3]))
    if kind == "ruled":
        lines = _squares(low, high, step * rng.uniform(1.2, 2.2), 20, "y")
        if rng.random() < 0.5:
            x = rng.uniform(low[0], low[0] + 0.3 * (high[0] - low[0]))
            lines.append(np.stack([np.full(20, x), np.linspace(low[1], high[1], 20)], axis=1))
        return lines, dark
    if kind == "dots":
        step = max(step, float((high - low).max()) / 60)
        xs, ys = np.arange(low[0], high[0], step), np.arange(low[1], high[1], step)
        places = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
        tick = np.array([[0, 0], [0.8 / scale, 0]])
        return [place + tick for place in places], min(0.8, 2 * dark)
    if kind == "isometric":
        middle, reach = (low + high) / 2, float((high - low).max())
        lines = []
        for angle in (30, 90, 150):
            way = np.array([np.cos(np.radians(angle)), np.sin(np.radians(angle))])
            side = np.array([-way[1], way[0]])
            run = np.linspace(-reach, reach, 24)[:, None] * way
            lines += [middle + k * side + run for k in np.arange(-reach, reach, step * 1.3)]
        return lines, dark
    if kind == "pad":
        fine = _squares(low, high, step, 16)
        coarse = [line + 0.4 / scale for line in _squares(low, high, step * 5, 16)]
        return fine + coarse + coarse, dark
    return _squares(low, high, step, 16), dark if kind == "squares" else 0.05


def _desk(rng: Rng, width: int, height: int) -> Floats:
    kind = rng.choice(["wood", "blotch", "fibre", "carton"])
    base, swing = rng.uniform(25, 215), rng.uniform(2, 14)
    rough = crop(rng, str(kind), width, height).astype(np.float32)
    return np.asarray(np.clip(base + swing * rough, 4, 250))


def _on_desk(
    rng: Rng, kind: str, view: View, drawn: Points, grey: Floats, scale: float
) -> tuple[Floats, Floats]:
    """Lay the sheet on a desk, its edges around the drawing; maybe on other sheets."""
    height, width = grey.shape
    margin = rng.uniform(120, 260 if kind == "sticky" else 700, (2, 2)) * [[-1, -1], [1, 1]]
    corner = drawn + margin
    mix = np.array([[0, 0], [1, 0], [1, 1], [0, 1], [0, 0]])
    edge = corner[0] + mix * (corner[1] - corner[0]) + rng.normal(0, 8, (5, 2))
    edge[-1] = edge[0]
    outline = np.concatenate([np.linspace(p, q, 12) for p, q in itertools.pairwise(edge)])
    if kind in ("napkin", "carton") or rng.random() < 0.08:
        outline = outline + rng.normal(0, 5, outline.shape)
    pixels = np.round(np.clip(view(outline), -5000, 5000) * 16).astype(np.int32)
    mask = np.zeros((height, width), np.uint8)
    cv2.fillPoly(mask, [pixels], 255, cv2.LINE_AA, 4)
    sheet = mask.astype(np.float32) / 255
    desk = _desk(rng, width, height)
    soft = cv2.GaussianBlur(sheet[::4, ::4], (0, 0), max(0.6, 25 * scale / 4))
    shade = cv2.resize(soft, (width, height))
    drop = rng.uniform(-10, 10, 2)
    shade = cv2.warpAffine(shade, np.array([[1, 0, drop[0]], [0, 1, drop[1]]]), (width, height))
    desk *= 1 - rng.uniform(0.1, 0.6) * shade
    return grey * sheet + desk * (1 - sheet), sheet


def _spine(rng: Rng, view: View, drawn: Points, grey: Floats) -> None:
    """Darken towards the fold of a book beside the drawing."""
    height, width = grey.shape
    aside = rng.uniform(40, 300)
    x = drawn[0, 0] - aside if rng.random() < 0.5 else drawn[1, 0] + aside
    if view.lift:
        x = view.spine
    a, b = view(np.array([[x, drawn[0, 1]], [x, drawn[1, 1]]]))
    way = (b - a) / max(float(np.hypot(*(b - a))), 1e-6)
    ys, xs = np.mgrid[:height, :width].astype(np.float32)
    off = (xs - a[0]) * way[1] - (ys - a[1]) * way[0]
    dark = rng.uniform(0.2, 0.65)
    grey *= 1 - dark * np.exp(-np.abs(off) / rng.uniform(8, 40)).astype(np.float32)
    grey *= np.where(off > 0, 1.0, rng.uniform(0.85, 1.0)).astype(np.float32)
    if rng.random() < 0.7:
        grey[np.abs(off) < rng.uniform(0.5, 1.5)] *= 0.5


def _holes(rng: Rng, view: View, drawn: Points, grey: Floats, scale: float) -> None:
    """Spiral binding or punched holes beside the drawing."""
    if rng.random() > 0.16:
        return
    spiral = rng.random() < 0.6
    axis = int(rng.random() < 0.4)
    at = drawn[0, axis] - rng.uniform(40, 260)
    radius = rng.uniform(8, 16) if spiral else rng.uniform(18, 30)
    gap = rng.uniform(45, 80) if spiral else rng.uniform(300, 500)
    dark = rng.uniform(0.15, 0.75)
    for run in np.arange(drawn[0, 1 - axis] - 800, drawn[1, 1 - axis] + 800, gap):
        middle = np.array([at, run] if axis == 0 else [run, at])
        ring = view(arc(middle, radius, 0, 6.283, 12))
        shade = float(np.clip(245 * dark, 5, 250))
        cv2.fillPoly(grey, [np.round(ring * 16).astype(np.int32)], shade, cv2.LINE_AA, 4)
        if spiral and rng.random() < 0.95:
            wire = view(
                np.array([middle, middle + (np.array([-60, 12]) if axis == 0 else [12, -60])])
            )
            thick = max(1, round(7 * scale))
            cv2.polylines(
                grey,
                [np.round(wire * 16).astype(np.int32)],
                False,
                float(min(250.0, shade * 1.4)),
                thick,
                cv2.LINE_AA,
                4,
            )


def creased(rng: Rng, grey: Floats) -> Floats:
    """Fold the sheet: light changes at one to three straight creases."""
    height, width = grey.shape
    ys, xs = np.mgrid[:height, :width].astype(np.float32)
    light = np.ones_like(grey)
    for _ in range(int(rng.integers(1, 4))):
        angle = rng.choice([0, np.pi / 2]) + rng.normal(0, 0.12)
        at = rng.uniform(0.15, 0.85) * np.array([width, height])
        off = (xs - at[0]) * np.float32(np.cos(angle)) + (ys - at[1]) * np.float32(np.sin(angle))
        step = np.sign(off) * np.exp(-np.abs(off) / rng.uniform(10, 120))
        light += np.float32(rng.uniform(-0.16, 0.16)) * step
        light -= np.float32(rng.uniform(0, 0.25)) * np.exp(-(off**2) / rng.uniform(0.5, 3))
    return grey * light * (1 + 0.02 * field(rng, width, height, 4))
