"""The light on the surface, and the things that lie about on it."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.training.fourth.strokes import Points
from vision.training.fourth.textures import field

__all__ = ["clutter", "lit"]

Floats = NDArray[np.floating[Any]]
Rng = np.random.Generator


def _blur(image: Floats, sigma: float) -> Floats:
    """Blur a wide shadow cheaply, at a quarter of its scale."""
    if sigma < 3:
        return np.asarray(cv2.GaussianBlur(image, (0, 0), max(sigma, 0.3)), np.float32)
    height, width = image.shape
    small = cv2.resize(image, (width // 4, height // 4), interpolation=cv2.INTER_AREA)
    return np.asarray(
        cv2.resize(cv2.GaussianBlur(small, (0, 0), sigma / 4), (width, height)), np.float32
    )


def lit(rng: Rng, grey: Floats, kind: str) -> Floats:
    """Let light fall: gradients, lamps, shadows of hand and phone, glare."""
    height, width = grey.shape
    light = np.full_like(grey, rng.uniform(0.72, 1.05))
    ys, xs = np.mgrid[:height, :width].astype(np.float32)
    strength = rng.choice([0.03, 0.1, 0.25, 0.4], p=[0.35, 0.35, 0.2, 0.1])
    angle = rng.uniform(0, 2 * np.pi)
    slope = (np.cos(angle) * xs + np.sin(angle) * ys) / max(width, height)
    light *= 1 + np.float32(strength) * (slope - slope.mean())
    light *= 1 + np.float32(0.4 * strength) * field(rng, width, height, 2)
    if rng.random() < 0.12:
        at = rng.uniform(-0.2, 1.2, 2) * [width, height]
        far = ((xs - at[0]) ** 2 + (ys - at[1]) ** 2) / (rng.uniform(0.5, 1.0) * width) ** 2
        light *= np.float32(0.6) + np.float32(0.5) * np.exp(-far)
    for _ in range(int(rng.choice([0, 1, 2], p=[0.68, 0.24, 0.08]))):
        light *= 1 - np.float32(rng.uniform(0.1, 0.5)) * _shadow(rng, width, height)
    grey = grey * light
    if (
        (kind in ("white", "screen") and rng.random() < 0.6)
        or (kind == "board" and rng.random() < 0.35)
    ) or rng.random() < 0.04:
        grey = _glare(rng, grey)
    return grey


def _shadow(rng: Rng, width: int, height: int) -> Floats:
    """Shape of a shadow, 0 to 1: a phone, a hand with an arm, a head, a window bar."""
    mask = np.zeros((height, width), np.uint8)
    at = rng.uniform(0, 1, 2) * [width, height]
    kind = rng.integers(4)
    if kind == 0:
        half = rng.uniform(0.15, 0.4, 2) * width
        turn = rng.uniform(0, 180)
        box = cv2.boxPoints(((at[0], at[1]), (2 * half[0], 2 * half[1]), turn))
        cv2.fillPoly(mask, [np.round(box).astype(np.int32)], 255)
    elif kind == 1:
        side = rng.choice([0, width])
        elbow = np.array([side, rng.uniform(0.4, 1.3) * height])
        ends = [elbow.astype(int).tolist(), at.astype(int).tolist()]
        cv2.line(mask, ends[0], ends[1], 255, int(rng.uniform(0.1, 0.25) * width))
        for spread in (-0.5, -0.15, 0.15, 0.45):
            way = np.arctan2(*(at - elbow)[::-1]) + spread
            tip = at + 0.16 * width * np.array([np.cos(way), np.sin(way)])
            cv2.line(mask, ends[1], tip.astype(int).tolist(), 255, int(0.045 * width))
    elif kind == 2:
        axes = (rng.uniform(0.15, 0.5, 2) * width).astype(int).tolist()
        cv2.ellipse(mask, at.astype(int).tolist(), axes, rng.uniform(0, 180), 0, 360, 255, -1)
    else:
        way = rng.uniform(0, np.pi)
        end = 2 * width * np.array([np.cos(way), np.sin(way)])
        thick = int(rng.uniform(0.05, 0.5) * width)
        cv2.line(mask, (at - end).astype(int).tolist(), (at + end).astype(int).tolist(), 255, thick)
    return _blur(mask.astype(np.float32) / 255, float(rng.choice([0.8, 3, 9, 25])))


def _glare(rng: Rng, grey: Floats) -> Floats:
    """Reflections of lamps or a window, so weak over most ink that it stays readable."""
    height, width = grey.shape
    for _ in range(int(rng.integers(1, 3))):
        mask = np.zeros((height, width), np.uint8)
        at = (rng.uniform(0, 1, 2) * [width, height]).astype(int).tolist()
        axes = (rng.uniform(0.03, 0.22, 2) * width).astype(int).tolist()
        if rng.random() < 0.5:
            cv2.ellipse(mask, at, axes, rng.uniform(0, 180), 0, 360, 255, -1)
        else:
            box = cv2.boxPoints(((at[0], at[1]), (2 * axes[0], 2 * axes[1]), rng.uniform(-20, 20)))
            cv2.fillPoly(mask, [np.round(box).astype(np.int32)], 255)
        spot = _blur(mask.astype(np.float32) / 255, float(rng.uniform(3, 25)))
        grey = grey + (255 - grey) * spot * np.float32(
            rng.uniform(0.15, 0.7 if rng.random() < 0.85 else 0.9)
        )
    return grey


def _capsule(
    grey: Floats, p: Points, q: Points, half: float, shade: float, round_light: float
) -> None:
    """Paint a rod with light along its middle, and its shadow."""
    way = (q - p) / max(float(np.hypot(*(q - p))), 1e-6)
    side = np.array([-way[1], way[0]])
    for offset, size, tone in (
        (half * 0.5, 1.05, None), (0.0, 1.0, shade), (-0.25 * half, 0.35, shade + round_light)
    ):  # fmt: skip
        a, b = (p + offset * side).astype(int).tolist(), (q + offset * side).astype(int).tolist()
        thick = max(1, round(2 * half * size))
        if tone is None:
            cv2.line(grey, a, b, max(0.0, 0.5 * float(grey.mean())), thick, cv2.LINE_AA)
        else:
            cv2.line(grey, a, b, float(np.clip(tone, 3, 252)), thick, cv2.LINE_AA)


def clutter(rng: Rng, grey: Floats, low: Points, high: Points, kind: str) -> None:
    """Lay things about, mostly outside the box (pixels) of what must stay readable."""
    height, width = grey.shape
    for _ in range(int(rng.choice([1, 2, 3], p=[0.6, 0.3, 0.1]))):
        at = rng.uniform(-0.05, 1.05, 2) * [width, height]
        for _ in range(8):
            if not ((at > low - 14) & (at < high + 14)).all():
                break
            at = rng.uniform(-0.05, 1.05, 2) * [width, height]
        else:
            continue
        out = at - (low + high) / 2
        way = out / max(float(np.hypot(*out)), 1e-6)
        turn = rng.normal(0, 0.5)
        c, s = np.cos(turn), np.sin(turn)
        way = np.array([c * way[0] - s * way[1], s * way[0] + c * way[1]])
        unit = float(np.clip((high - low).max() / 400, 0.5, 1.3))
        what = rng.choice(["pen", "pen", "finger", "ring", "block", "ruler", "magnet", "clip"])
        if kind in ("board", "white"):
            what = rng.choice(["magnet", "magnet", "edge", "block", "finger"])
        if what == "pen":
            half, shade = rng.uniform(4, 10) * unit, rng.uniform(10, 230)
            nib = at + way * 34 * unit
            _capsule(grey, at + way * 18 * unit, nib, half * 0.6, shade * 0.7, 10)
            _capsule(grey, nib, at + way * rng.uniform(150, 500), half, shade, rng.uniform(10, 60))
        elif what == "finger":
            shade = rng.uniform(95, 200)
            _capsule(grey, at + way * 20, at + way * 400, rng.uniform(18, 34) * unit, shade, 12)
            if rng.random() < 0.5:
                nail = (at + way * 16).astype(int).tolist()
                cv2.circle(grey, nail, int(11 * unit), shade + 22, -1, cv2.LINE_AA)
        elif what == "ring":
            radius = int(rng.uniform(40, 110) * unit)
            stain = np.zeros_like(grey)
            spot = (at + way * radius * 0.6).astype(int).tolist()
            cv2.circle(stain, spot, radius, 1, int(rng.integers(2, 7)), cv2.LINE_AA)
            grey *= 1 - np.float32(rng.uniform(0.08, 0.3)) * _blur(stain, rng.uniform(0.5, 2))
        elif what == "magnet":
            shade = rng.uniform(10, 245)
            spot = at.astype(int).tolist()
            cv2.circle(
                grey,
                (at + 3).astype(int).tolist(),
                int(15 * unit),
                float(grey.mean()) * 0.6,
                -1,
                cv2.LINE_AA,
            )
            cv2.circle(grey, spot, int(14 * unit), shade, -1, cv2.LINE_AA)
            cv2.circle(grey, spot, int(8 * unit), min(252, shade + 20), 2, cv2.LINE_AA)
        elif what == "edge":
            axis = int(rng.integers(2))
            wide = int(rng.uniform(8, 40))
            strip = grey[-wide:] if axis else grey[:, :wide]
            strip[:] = rng.uniform(40, 220)
            strip[:2] = 60
        elif what in ("block", "clip"):
            size = rng.uniform(14, 60, 2) * unit
            box = cv2.boxPoints(
                ((at + way * 40).tolist(), (size * 2).tolist(), rng.uniform(0, 180))
            )
            corners = np.round(box).astype(np.int32)
            cv2.fillPoly(grey, [corners + 4], float(grey.mean() * 0.55), cv2.LINE_AA)
            cv2.fillPoly(grey, [corners], rng.uniform(20, 245), cv2.LINE_AA)
        else:
            _ruler(rng, grey, at, way, unit)
    if rng.random() < 0.05:
        middle = (low + high) / 2 + rng.normal(0, 80, 2)
        _ruler(rng, grey, middle, np.array([1.0, rng.normal(0, 0.3)]), 1.0, rng.uniform(0.05, 0.15))


def _ruler(
    rng: Rng, grey: Floats, at: Points, way: Points, unit: float, cover: float | None = None
) -> None:
    """A ruler with its ticks; clear plastic where it lies over the drawing."""
    way = way / max(float(np.hypot(*way)), 1e-6)
    side = np.array([-way[1], way[0]])
    long, wide = rng.uniform(250, 700), rng.uniform(22, 40) * unit
    start = at - way * (long / 2 if cover else 0)
    corners = np.array(
        [start, start + way * long, start + way * long + side * wide, start + side * wide]
    )
    mask = np.zeros_like(grey)
    cv2.fillPoly(mask, [np.round(corners).astype(np.int32)], 1, cv2.LINE_AA)
    share = np.float32(rng.uniform(0.4, 1.0) if cover is None else cover)
    grey += (rng.uniform(90, 240) - grey) * mask * share
    gap = rng.uniform(4, 7) * unit
    for k, run in enumerate(np.arange(gap, long, gap)):
        foot = start + way * run
        tip = foot + side * wide * (0.3 if k % 5 else 0.45)
        ends = np.round(np.array([foot, tip]) * 16).astype(np.int32)
        cv2.polylines(grey, [ends], False, float(grey.mean() * 0.5), 1, cv2.LINE_AA, 4)
