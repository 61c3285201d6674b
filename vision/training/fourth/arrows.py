"""Arrows, dimension lines and angle marks of a hurried hand."""

from __future__ import annotations

import numpy as np

from vision.training.fourth.sketch import MAIN, Sketch
from vision.training.fourth.strokes import Points, arc, unit

__all__ = ["angle_mark", "arrow", "barbs", "dimension", "slope_mark"]


def barbs(sketch: Sketch, tail: Points, tip: Points, size: float, style: int, layer: int) -> None:
    """Draw an arrow's head: a V, one barb, a filled blob, a closed triangle, or two V."""
    rng = sketch.rng
    way = unit(tip - tail)
    across = np.array([-way[1], way[0]])
    spread = rng.uniform(0.3, 0.75)
    left = tip - size * (way * rng.uniform(0.8, 1.1) - across * spread)
    right = tip - size * (way * rng.uniform(0.8, 1.1) + across * spread)
    if style == 1:
        sketch.line(tip, left, layer=layer)
    elif style == 2:
        sketch.ink(np.array([tip, left, right, tip]), layer=layer, fill=True)
    elif style == 3:
        sketch.ink(np.array([tip, left, right, tip]), layer=layer)
    elif style == 4:
        sketch.ink(np.array([left, tip, right]), layer=layer)
    else:
        sketch.line(left, tip, layer=layer)
        sketch.line(tip, right, layer=layer)


def arrow(
    sketch: Sketch,
    tail: Points,
    tip: Points,
    head: float,
    style: int = 0,
    layer: int = MAIN,
    look: str = "plain",
) -> None:
    """Draw a shaft and a head; `look` may be "wavy", "dashed" or "double"."""
    rng = sketch.rng
    way = tip - tail
    across = np.array([-way[1], way[0]]) / max(float(np.hypot(*way)), 1e-9)
    if look == "wavy":
        t = np.linspace(0, 1, 25)
        wave = np.sin(t * 2 * np.pi * rng.integers(3, 6)) * (t < 0.85)
        sketch.ink(tail + t[:, None] * way + wave[:, None] * across * 9, layer=layer)
    elif look == "dashed":
        count = int(rng.integers(4, 7))
        for k in range(count):
            sketch.line(tail + way * k / count, tail + way * (k + 0.6) / count, layer=layer)
        sketch.line(tail + way * 0.92, tip, layer=layer)
    elif look == "double":
        for side in (-6, 6):
            sketch.line(tail + side * across, tip - 0.08 * way + side * across, layer=layer)
    else:
        sketch.line(tail, tip, layer=layer)
    slip = rng.normal(0, 0.08 * head, 2)
    barbs(sketch, tail, tip + slip, head, style, layer)


def _course(points: Points) -> list[list[float]]:
    """Few points of a drawn line, enough for its bow."""
    picked: list[list[float]] = points[
        np.linspace(0, len(points) - 1, 4).round().astype(int)
    ].tolist()
    return picked


def dimension(
    sketch: Sketch, p: Points, q: Points, shift: Points, words: str, layer: int = MAIN
) -> None:
    """Draw a dimension of `p` to `q` moved aside by `shift`, with its extension lines."""
    rng = sketch.rng
    a, b = p + shift, q + shift
    told = sketch.truth["dimension_lines"]
    style = int(rng.integers(6))
    pen = sketch.pen
    told.append(_course(sketch.line(a, b, 0.8, layer)))
    if rng.random() < 0.7:
        for foot, end in ((p, a), (q, b)):
            start = foot + shift * rng.uniform(0.15, 0.6)
            stop = end + unit(shift) * rng.uniform(0, 18)
            told.append(_course(sketch.line(start, stop, 0.8, layer)))
    way = unit(b - a)
    across = np.array([-way[1], way[0]])
    size = max(rng.uniform(10, 24), 2 * pen)
    if style < 3:
        barbs(sketch, b, a, size, (0, 2, 4)[style], layer)
        barbs(sketch, a, b, size, (0, 2, 4)[style], layer)
    elif style < 5:
        lean = 0.7 * way if style == 3 else 0 * way
        for end in (a, b):
            sketch.line(end - size * (across + lean), end + size * (across + lean), 0.8, layer)
    if words:
        away = unit(shift) * sketch.letter * rng.uniform(0.7, 1.0)
        if rng.random() < 0.3:
            away = -away
        turn = float(np.arctan2(-way[1], way[0])) if rng.random() < 0.6 else 0.0
        if abs(turn) > np.pi / 2:
            turn -= np.pi * np.sign(turn)
        if abs(way[0]) < 0.5 and abs(turn) < 0.5:
            away = away * max(1.0, 0.4 * len(words))
        sketch.text(words, (a + b) / 2 + away, sketch.letter * 0.9, turn, layer)


def angle_mark(sketch: Sketch, at: Points, p: Points, q: Points, radius: float, words: str) -> None:
    """Draw an arc between the directions from `at` to `p` and to `q`."""
    start = float(np.arctan2(-(p - at)[1], (p - at)[0]))
    sweep = float(np.arctan2(-(q - at)[1], (q - at)[0])) - start
    sweep = (sweep + np.pi) % (2 * np.pi) - np.pi
    points = arc(at, radius, start, start + sweep, 7)
    sketch.ink(points + sketch.rng.normal(0, 1.5, points.shape), 0.85, 0.8)
    sketch.truth["dimension_lines"].append(points[::2].tolist())
    if words:
        mid = arc(at, radius + sketch.letter * 0.9, start + sweep / 2, start + sweep / 2, 1)[0]
        sketch.text(words, mid, sketch.letter * 0.7)


def slope_mark(
    sketch: Sketch, at: Points, way: Points, size: float, words: tuple[str, str]
) -> None:
    """Draw a small slope triangle whose long side follows `way`."""
    step = unit(way) * size
    corner = at + np.array([step[0], 0.0])
    end = at + step
    for p, q in ((at, corner), (corner, end), (end, at)):
        sketch.truth["dimension_lines"].append(sketch.line(p, q, 0.8)[[0, -1]].tolist())
    side = np.sign(step[1]) or 1.0
    sketch.text(words[0], (at + corner) / 2 - [0, side * sketch.letter * 0.6], sketch.letter * 0.65)
    out = np.array([np.sign(step[0]) * sketch.letter * 0.6, 0])
    sketch.text(words[1], (corner + end) / 2 + out, sketch.letter * 0.65)
