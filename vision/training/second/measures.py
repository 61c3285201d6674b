"""Lines that are not members: dimensions, angle arcs, slope triangles, section cuts."""

from __future__ import annotations

import numpy as np

from vision.training.second.drawing import Drawing, FloatArray, turned

__all__ = ["angle_arc", "dimension", "section_cut", "slope_triangle"]


def dimension(page: Drawing, a: FloatArray, b: FloatArray, p: FloatArray, q: FloatArray) -> None:
    """Dimension a-b by a line p-q; extension lines may be long and begin at the joints."""
    rng = page.rng
    hand = page.side_hand
    length = float(np.hypot(*(q - p)))
    if length < 12:
        return
    style = rng.integers(3)
    if style == 0:
        page.sheet.line(p, q, hand, loose=0.6)
        along = (q - p) / length
        tick = turned(along, rng.choice([45, 90, 60])) * rng.uniform(3, 7)
        for end in (p, q):
            page.sheet.line(end - tick, end + tick, hand, loose=0.3)
    else:
        page.arrow(p, q, hand, int(rng.integers(2)), both=True)
    page.truth.dimensions.append(page.camera(np.linspace(p, q, 6)))
    if rng.random() < 0.65:
        for near, far in ((a, p), (b, q)):
            reach = max(float(np.hypot(*(far - near))), 1.0)
            start = near + (far - near) * min(rng.uniform(0.0, 0.4), rng.uniform(0, 14) / reach)
            end = near + (far - near) * (1 + min(rng.uniform(0.0, 0.2), rng.uniform(0, 12) / reach))
            page.sheet.line(start, end, hand, dark=0.85, loose=0.5)
            page.truth.dimensions.append(page.camera(np.linspace(start, end, 4)))
    angle = np.arctan2(*(q - p)[::-1])
    angle = (angle + np.pi / 2) % np.pi - np.pi / 2
    page.text(
        "length",
        (p + q) / 2
        + page.letter_size * rng.uniform(-0.9, 0.9) * np.array([-np.sin(angle), np.cos(angle)]),
        angle if rng.random() < 0.7 else 0.0,
    )


def angle_arc(page: Drawing, joint: FloatArray, a: FloatArray, b: FloatArray) -> None:
    ta, tb = (np.arctan2(*(v - joint)[::-1]) for v in (a, b))
    span = (tb - ta + np.pi) % (2 * np.pi) - np.pi
    if not 0.15 < abs(span) < 2.2:
        return
    r = page.symbol * page.rng.uniform(0.7, 1.8)
    t = ta + span * np.linspace(0, 1, 10)
    points = joint + r * np.c_[np.cos(t), np.sin(t)]
    page.sheet.path(points, page.side_hand)
    page.truth.dimensions.append(page.camera(points))
    middle = ta + span / 2
    page.text(
        "angle", joint + (r + page.letter_size) * np.array([np.cos(middle), np.sin(middle)]), 0, 0.8
    )


def slope_triangle(page: Drawing, a: FloatArray, b: FloatArray) -> None:
    rng = page.rng
    along = b - a
    s = page.symbol * rng.uniform(0.8, 1.8) / max(float(np.hypot(*along)), 1e-6)
    shift = turned(along, rng.choice([-90, 90])) * s * rng.uniform(0.3, 0.9)
    p = a + along * rng.uniform(0.3, 0.6) + shift
    q = p + along * s
    corner = np.array([q[0], p[1]]) if rng.random() < 0.5 else np.array([p[0], q[1]])
    for i, j in ((p, q), (q, corner), (corner, p)):
        page.sheet.line(i, j, page.side_hand, loose=0.4)
        page.truth.dimensions.append(page.camera(np.linspace(i, j, 4)))
    for i in (p, q):
        page.text(
            "angle" if rng.random() < 0.2 else "member",
            (i + corner) / 2 + rng.normal(0, 4, 2) + (corner - (p + q) / 2) * 0.4,
            0,
            0.75,
        )


def section_cut(page: Drawing, points: FloatArray) -> None:
    rng = page.rng
    low, high = points.min(0) - page.symbol, points.max(0) + page.symbol
    x = rng.uniform(low[0] + 0.2 * (high - low)[0], high[0] - 0.2 * (high - low)[0])
    a, b = np.array([x, low[1]]), np.array([x + rng.normal(0, 0.12) * (high - low)[0], high[1]])
    hand = page.side_hand
    s = np.linspace(0, 1, 30)[:, None]
    curve = (
        a
        + s * (b - a)
        + np.sin(s * rng.uniform(2, 6) + rng.uniform(0, 6)) * np.array([rng.uniform(0, 10), 0])
    )
    step = int(rng.integers(1, 4))
    if rng.random() < 0.75:
        for i in range(0, 29, 2 * step):
            page.sheet.path(curve[i : i + step + 1], hand)
    else:
        page.sheet.path(curve, hand)
    page.truth.dimensions.append(page.camera(curve))
    for end in (curve[0], curve[-1]):
        if rng.random() < 0.7:
            centre = end + np.array([0, -8 if end is curve[0] else 8])
            page.sheet.circle(centre, page.letter_size * 0.8, hand)
            page.text("angle", centre, 0, 0.7)
