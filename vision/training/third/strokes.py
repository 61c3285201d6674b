"""Strokes as a hand makes them: lines, rings, dashes, hatching, arrows."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from vision.training.third.sheet import Sheet

__all__ = [
    "Arrow", "across", "arrow", "choose_arrow", "curve", "dashes", "hatching", "line", "ring",
    "scribble", "step", "unit", "wavered",
]  # fmt: skip

Points = NDArray[np.float64]

#: An arrow's look: its head, the head's size in pixels and openness, and its shaft.
Arrow = tuple[str, float, float, str]


def unit(vector: ArrayLike) -> Points:
    """Return a vector of length one."""
    v = np.asarray(vector, float)
    scaled: Points = v / max(float(np.hypot(v[0], v[1])), 1e-9)
    return scaled


def step(x: float, y: float) -> Points:
    """Return a step across and down the sheet."""
    return np.array([x, y], float)


def across(vector: ArrayLike) -> Points:
    """Return the unit vector at right angles to a vector."""
    u = unit(vector)
    return np.array([-u[1], u[0]])


def wavered(sheet: Sheet, a: ArrayLike, b: ArrayLike, steady: float = 1.0) -> Points:
    """Return the points (n, 2) of a stroke from a to b as the hand wavers.

    Parameters
    ----------
    steady : float
        Factor on the hand's own waver.
    """
    a, b = np.asarray(a, float), np.asarray(b, float)
    hand, rng = sheet.hand, sheet.rng
    length = float(np.hypot(*(b - a)))
    n = int(np.clip(length / (9 * sheet.unit), 2, 60)) + 1
    if hand.bow == 0:
        n = 2
    t = np.linspace(0, 1, n)
    off = rng.normal(0, hand.bow) * length * np.sin(np.pi * t)
    size = hand.tremor * sheet.unit * min(1.0, length / (60 * sheet.unit))
    for waves in (2, 5, 11):
        turns = waves * length / (250 * sheet.unit)
        off = off + rng.normal(0, 0.5) * size * np.sin(rng.uniform(0, 6.3) + 6.3 * turns * t)
    points: Points = a + t[:, None] * (b - a) + steady * off[:, None] * across(b - a)
    return points


def line(
    sheet: Sheet, a: ArrayLike, b: ArrayLike, *, light: bool = False, wide: float = 1.0
) -> Points:
    """Draw a small straight stroke of a symbol; return its points."""
    points = wavered(sheet, a, b)
    sheet.ink(points, light=light, wide=wide)
    return points


def curve(sheet: Sheet, points: ArrayLike, *, light: bool = False, wide: float = 1.0) -> Points:
    """Draw a smooth line along given points with a little waver; return it."""
    p = np.asarray(points, float)
    shake = sheet.hand.tremor * 0.4 * sheet.unit
    p = p + sheet.rng.normal(0, 1, p.shape) * min(shake, 0.5 * sheet.unit)
    sheet.ink(p, light=light, wide=wide)
    return p


def ring(
    sheet: Sheet, centre: ArrayLike, radius: float, *, light: bool = False, wide: float = 1.0
) -> Points:
    """Draw a circle as a hand does, not quite round nor quite closed; return its outline."""
    s, rng = sheet.hand.sloppy, sheet.rng
    begin = rng.uniform(0, 6.3)
    turn = 2 * np.pi * (1 + rng.normal(0, 0.05) * s)
    n = int(np.clip(radius * 1.5, 9, 40))
    a = begin + np.linspace(0, turn, n)
    squash = 1 + rng.normal(0, 0.18) * s
    lean = rng.uniform(0, 3.2)
    r = radius * (1 + rng.normal(0, 0.07) * s * np.sin(a + lean))
    x, y = r * np.cos(a) * squash, r * np.sin(a) / squash
    outline: Points = np.asarray(centre, float) + np.stack(
        [x * np.cos(lean) - y * np.sin(lean), x * np.sin(lean) + y * np.cos(lean)], axis=1
    )
    sheet.ink(outline, light=light, wide=wide)
    return outline


def dashes(
    sheet: Sheet, points: Points, dash: float, gap: float, *, light: bool = False, wide: float = 1.0
) -> None:
    """Draw a polyline in dashes."""
    steps = np.hypot(*np.diff(points, axis=0).T)
    along = np.concatenate([[0], np.cumsum(steps)])
    at = 0.0
    pieces = []
    while at < along[-1]:
        end = min(at + dash * sheet.rng.uniform(0.8, 1.2), along[-1])
        where = np.linspace(at, end, 3)
        pieces.append(np.stack([np.interp(where, along, points[:, k]) for k in (0, 1)], axis=1))
        at = end + gap * sheet.rng.uniform(0.8, 1.2)
    if pieces:
        sheet.ink_all(pieces, light=light, wide=wide)


def hatching(
    sheet: Sheet, a: ArrayLike, b: ArrayLike, away: Points, depth: float, *, most: int = 14
) -> None:
    """Hatch along the line a-b on the side to which `away` points, with `most` strokes at most."""
    a, b = np.asarray(a, float), np.asarray(b, float)
    rng = sheet.rng
    length = float(np.hypot(*(b - a)))
    n = int(np.clip(length / max(depth * rng.uniform(0.6, 1.1), 3 * sheet.unit), 3, most))
    lean = rng.choice([-1.0, 1.0]) * rng.uniform(0.5, 1.1) * unit(b - a)
    loose = 0.25 * sheet.hand.sloppy
    pieces = []
    for k in range(n):
        t = (k + 0.5 + loose * rng.normal()) / n
        start = a + t * (b - a)
        pieces.append(np.array([start, start + depth * (1 + loose * rng.normal()) * (away + lean)]))
    sheet.ink_all(pieces, wide=0.8)


def choose_arrow(rng: np.random.Generator, size: float, *, plain: bool = False) -> Arrow:
    """Choose how a hand draws its arrows; plain ones have no block or wavy shaft."""
    heads = ["open", "filled", "closed", "half", "curved", "tick", "barbed"]
    head = str(rng.choice(heads, p=[0.42, 0.28, 0.08, 0.04, 0.07, 0.03, 0.08]))
    shaft = str(
        rng.choice(["one", "block", "wavy", "twice", "dashed"], p=[0.88, 0.05, 0.02, 0.03, 0.02])
    )
    return head, size, float(rng.uniform(0.22, 0.62)), "one" if plain else shaft


def _head(sheet: Sheet, tip: Points, u: Points, look: Arrow, light: bool, wide: float) -> None:
    """Draw an arrow's head at its tip; u is where it points."""
    name, size, open_, _ = look
    rng, s = sheet.rng, sheet.hand.sloppy
    size = size * (1 + 0.2 * s * rng.normal())
    v = across(u)
    left = tip - size * (u + (open_ + 0.15 * s * rng.normal()) * v)
    right = tip - size * (u - (open_ + 0.15 * s * rng.normal()) * v)
    if name == "filled":
        sheet.fill([left, tip, right], light=light)
        sheet.ink([left, tip, right], light=light, wide=0.6 * wide, closed=True)
    elif name == "barbed":
        sheet.fill([left, tip, right, tip - 0.6 * size * u], light=light)
    elif name == "closed":
        sheet.fill([left, tip, right], 0.0)
        sheet.ink([left, tip, right], light=light, wide=wide, closed=True)
    elif name == "half":
        sheet.ink([tip, left], light=light, wide=wide)
    elif name == "tick":
        sheet.ink([tip - size * 0.5 * (u + v), tip + size * 0.2 * v], light=light, wide=wide)
        sheet.ink([tip, right], light=light, wide=wide)
    elif name == "curved":
        t = np.linspace(0, 1, 6)[:, None]
        for end, sign in ((left, 1), (right, -1)):
            bent = tip + t * (end - tip) - sign * 0.25 * size * np.sin(np.pi * t) * v
            sheet.ink(bent, light=light, wide=wide)
    else:
        joined = rng.random() < 0.6
        if joined:
            sheet.ink([left, tip, right], light=light, wide=wide)
        else:
            slip = rng.normal(0, 0.8 * s, 2) * sheet.unit
            sheet.ink([left, tip + slip], light=light, wide=wide)
            sheet.ink([right, tip], light=light, wide=wide)


def arrow(
    sheet: Sheet,
    tail: ArrayLike,
    head: ArrayLike,
    look: Arrow,
    *,
    light: bool = False,
    wide: float = 1.0,
    both: bool = False,
) -> Points:
    """Draw an arrow from tail to head, or a head at each end; return its shaft's points."""
    tail, head = np.asarray(tail, float), np.asarray(head, float)
    u, v = unit(head - tail), across(head - tail)
    size, shaft = look[1], look[3]
    length = float(np.hypot(*(head - tail)))
    look = (look[0], min(size, 0.6 * length), look[2], shaft)
    if shaft == "block":
        half = size * sheet.rng.uniform(0.2, 0.45)
        wing = half + size * sheet.rng.uniform(0.25, 0.5)
        neck = head - min(size, 0.5 * length) * u
        outline = np.array([
            tail + half * v, neck + half * v, neck + wing * v, head,
            neck - wing * v, neck - half * v, tail - half * v,
        ])  # fmt: skip
        sheet.ink(outline, light=light, wide=0.8 * wide, closed=sheet.chance(0.6))
        return np.array([tail, head])
    stop = head - 0.5 * size * u if look[0] in ("filled", "closed", "barbed") else head
    points = np.array([tail, stop])
    if shaft == "wavy":
        t = np.linspace(0, 1, 40)[:, None]
        wave = np.sin(2 * np.pi * t * max(2, round(length / (12 * sheet.unit))))
        sheet.ink(tail + t * (stop - tail) + 2.5 * sheet.unit * wave * v, light=light, wide=wide)
    elif shaft == "dashed":
        dashes(
            sheet, np.array([tail, stop]), 6 * sheet.unit, 4 * sheet.unit, light=light, wide=wide
        )
    elif shaft == "twice":
        gap = 2.2 * sheet.unit
        for sign in (-1, 1):
            sheet.ink([tail + sign * gap * v, stop + sign * gap * v], light=light, wide=0.8 * wide)
    else:
        points = wavered(sheet, tail, stop)
        sheet.ink_pressed(points, light=light, wide=wide)
    _head(sheet, head, u, look, light, wide)
    if both:
        _head(sheet, tail, -u, look, light, wide)
    return points


def scribble(
    sheet: Sheet, a: ArrayLike, b: ArrayLike, depth: float, *, light: bool = False
) -> None:
    """Strike out along a-b with a zigzag."""
    a, b = np.asarray(a, float), np.asarray(b, float)
    n = int(np.clip(np.hypot(*(b - a)) / (5 * sheet.unit), 5, 30))
    t = np.linspace(0, 1, n)[:, None]
    side = depth * np.where(np.arange(n) % 2, 1, -1)[:, None] * sheet.rng.uniform(0.6, 1.1, (n, 1))
    sheet.ink(a + t * (b - a) + side * across(b - a), light=light, wide=0.9)
