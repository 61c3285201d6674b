"""The truss on the sheet, with its supports, loads and notes."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from vision.training.second.beside import clutter
from vision.training.second.drawing import SIZE, Drawing, FloatArray, turned, unit
from vision.training.second.families import Shape
from vision.training.second.hand import Hand
from vision.training.second.measures import angle_arc, dimension, section_cut, slope_triangle
from vision.training.second.supports import draw_support

__all__ = ["crossings", "draw_truss"]


def draw_truss(page: Drawing, shape: Shape) -> FloatArray:
    rng = page.rng
    points = shape.points * (1, -1)
    points = points - (points.min(0) + points.max(0)) / 2
    angle = rng.normal(0, 4) if rng.random() < 0.72 else rng.uniform(-180, 180)
    points = np.array([turned(p, angle) for p in points])
    span = np.ptp(points, axis=0)
    fill = rng.uniform(0.36, 0.93) if rng.random() < 0.92 else rng.uniform(0.93, 1.5)
    scale = fill * SIZE / max(span.max(), 1e-6)
    room = np.maximum(SIZE - span * scale - 40, 10)
    points = points * scale + SIZE / 2 + rng.uniform(-0.45, 0.45, 2) * room
    size = float(span.max() * scale)
    lengths = [float(np.hypot(*(points[a] - points[b]))) for a, b in shape.members]
    usual = float(np.median(lengths))
    page.symbol = float(np.clip(min(0.075 * size * rng.uniform(0.6, 1.3), 0.55 * usual), 9, 34))
    page.letter_size = float(np.clip(page.symbol * rng.uniform(0.6, 1.0), 8, 26))
    limit = max(1.2, 0.08 * usual)
    if page.hand.width > limit:
        page.hand = Hand(**{**page.hand.__dict__, "width": limit})
    _members(page, shape, points)
    _joints(page, points)
    _supports(page, shape, points, angle)
    _loads(page, points, shape, angle)
    _notes(page, shape, points, size)
    page.truth.family = shape.family
    return np.asarray(points, float)


def _members(page: Drawing, shape: Shape, points: FloatArray) -> None:
    rng, hand = page.rng, page.hand
    double = rng.random() < 0.07
    gap = max(2.2 * hand.width, rng.uniform(3, 7))
    order = rng.permutation(len(shape.members))
    for i in order:
        a, b = (points[j] for j in shape.members[int(i)])
        end = hand if rng.random() > 0.04 else Hand(**{**hand.__dict__, "dark": hand.dark * 0.55})
        if double:
            across = turned((b - a) / max(float(np.hypot(*(b - a))), 1e-6), 90) * gap / 2
            for side in (across, -across):
                page.sheet.line(a + side, b + side, end, loose=0.6)
        else:
            page.sheet.line(a, b, end)
    if rng.random() < 0.02:
        i = int(rng.integers(len(points)))
        a, b = points[i], points[i] + rng.normal(0, 40, 2)
        page.sheet.line(a, b, hand, dark=0.8)
        for _ in range(4):
            m = a + (b - a) * rng.uniform(0.2, 0.8)
            page.sheet.line(m + rng.normal(0, 7, 2), m + rng.normal(0, 7, 2), hand)
    page.truth.members = list(shape.members)
    page.truth.joints = page.camera(points)
    page.truth.crossings = crossings(page.truth.joints, shape.members)


def _joints(page: Drawing, points: FloatArray) -> None:
    rng, hand = page.rng, page.hand
    style = rng.choice(["none", "dot", "open", "hollow", "gusset"], p=[0.5, 0.19, 0.13, 0.15, 0.03])
    if style == "none":
        return
    r = float(np.clip(page.symbol * rng.uniform(0.1, 0.26), 2.0, 9))
    for p in points:
        if rng.random() < 0.03:
            continue
        if style == "dot":
            page.sheet.circle(p, r * 0.85, hand, filled=True)
        elif style == "gusset":
            page.sheet.polygon(p + r * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]), hand)
        else:
            if style == "hollow":
                page.sheet.blot(p, r)
            page.sheet.circle(p, r, hand)


def crossings(
    points: FloatArray, members: tuple[tuple[int, int], ...] | list[tuple[int, int]]
) -> FloatArray:
    """Places where two members cross away from their joints, shape (k, 2)."""
    found = []
    for i, (a, b) in enumerate(members):
        for c, d in members[:i]:
            if {a, b} & {c, d}:
                continue
            r, s = points[b] - points[a], points[d] - points[c]
            cross = r[0] * s[1] - r[1] * s[0]
            if abs(cross) < 1e-9:
                continue
            w = points[c] - points[a]
            t, u = (w[0] * s[1] - w[1] * s[0]) / cross, (w[0] * r[1] - w[1] * r[0]) / cross
            if 0.02 < t < 0.98 and 0.02 < u < 0.98:
                found.append(points[a] + t * r)
    return np.array(found).reshape(-1, 2)


def _supports(page: Drawing, shape: Shape, points: FloatArray, angle: float) -> None:
    rng = page.rng
    feet = list(shape.feet)
    if rng.random() < 0.1:
        feet = [int(f) for f in rng.permutation(len(points))[:2]]
    if not shape.wall and len(points) > 6 and rng.random() < 0.06:
        feet.append(int(rng.integers(len(points))))
    outward = 0.0 if points[feet].mean(0)[0] <= points.mean(0)[0] else 180.0
    kinds = ["pin"] + ["roller" if rng.random() < 0.75 else "pin" for _ in feet[1:]]
    if rng.random() < 0.5:
        kinds.reverse()
    if rng.random() < 0.08:
        kinds = kinds[:1]
    missing = rng.random() < 0.05
    arrows = rng.random() < 0.08
    for foot, kind in zip(feet, kinds, strict=False):
        push = (outward if shape.wall and rng.random() < 0.8 else 90.0) + angle * (
            rng.random() < 0.9
        )
        if rng.random() < 0.1:
            push += float(rng.choice([-60, -45, -30, 30, 45, 60, 90]))
        push = (push + rng.normal(0, 2)) % 360
        if missing:
            continue
        if arrows:
            _reaction(page, foot, points[foot], push)
            if kind == "pin" and rng.random() < 0.7:
                _reaction(page, foot, points[foot], push - 90)
            continue
        draw_support(page, points[foot], kind, push)
        page.truth.supports.append((foot, kind, push))
        if rng.random() < 0.06:
            _reaction(page, foot, points[foot], push)
    if shape.wall and rng.random() < 0.5 and not missing:
        _wall(page, points[list(shape.feet)], outward + angle)


def _wall(page: Drawing, feet: FloatArray, degrees: float) -> None:
    rng = page.rng
    up = unit(degrees)
    across = turned(up, 90)
    s = (feet - feet.mean(0)) @ across
    back = -page.symbol * rng.choice([0.05, rng.uniform(0.8, 1.3)])
    reach = np.array([s.min() - page.symbol, s.max() + page.symbol])
    a, b = (feet.mean(0) + t * across + back * up for t in reach)
    page.sheet.line(a, b, page.hand, loose=0.5)
    for t in np.arange(reach[0], reach[1], page.symbol * rng.uniform(0.25, 0.6)):
        p = feet.mean(0) + t * across + back * up
        page.sheet.line(
            p, p - page.symbol * 0.35 * up + page.symbol * 0.25 * across, page.side_hand, loose=0.4
        )


def _reaction(page: Drawing, joint: int, place: FloatArray, degrees: float) -> None:
    rng = page.rng
    u = unit(degrees)
    length = page.symbol * rng.uniform(1.4, 2.8)
    gap = page.symbol * rng.uniform(0.05, 0.4) * (1 if rng.random() < 0.6 else 4)
    head = place - u * gap if rng.random() < 0.75 else place + u * (gap + length)
    tail = head - u * length
    page.arrow(tail, head, page.side_hand)
    if rng.random() < 0.25:
        m = (tail + head) / 2
        page.sheet.line(m - 5 * turned(u, 60), m + 5 * turned(u, 60), page.side_hand, loose=0.3)
    page.text("reaction", tail + (tail - head) / length * page.letter_size + rng.normal(0, 3, 2))
    page.truth.reactions.append((joint, page.seen_direction(tail, head)))


def _loads(page: Drawing, points: FloatArray, shape: Shape, angle: float) -> None:
    rng = page.rng
    n = int(rng.choice([0, 1, 1, 2, 2, 3, 3, 4, 5, 7]))
    free = [i for i in range(len(points)) if i not in {s[0] for s in page.truth.supports}] or [0]
    chosen = [int(i) for i in rng.permutation(free)[:n]]
    usual = rng.choice([270.0, 270.0, 270.0, 0.0, rng.uniform(0, 360)])
    into = rng.random() < 0.6
    members = np.array(shape.members)
    colour = (
        page.hand
        if rng.random() < 0.7
        else Hand(
            **{
                **page.hand.__dict__,
                "dark": float(np.clip(page.hand.dark * rng.uniform(0.5, 1.2), 0.3, 1)),
            }
        )
    )
    for joint in chosen:
        direction = (
            usual + angle
            if rng.random() < 0.75
            else rng.choice([270.0, 0.0, 180.0, 90.0, rng.uniform(0, 360)])
        )
        _load(
            page,
            joint,
            points,
            members,
            float(direction + rng.normal(0, 2)) % 360,
            into if rng.random() < 0.9 else not into,
            colour,
        )
        if rng.random() < 0.08:
            _load(
                page,
                joint,
                points,
                members,
                float(direction + rng.choice([90, -90])) % 360,
                into,
                colour,
            )


def _load(
    page: Drawing,
    joint: int,
    points: FloatArray,
    members: NDArray[np.intp],
    direction: float,
    into: bool,
    hand: Hand,
) -> None:
    rng = page.rng
    u = unit(direction)
    place = points[joint]
    length = page.symbol * (rng.uniform(1.5, 3.6) if rng.random() < 0.8 else rng.uniform(1, 5.5))
    gap = page.symbol * max(0.0, rng.normal(0.1, 0.12 if rng.random() < 0.85 else 0.4))
    tail = place - u * (gap + length) if into else place + u * gap
    # An arrow lying along a member cannot be told from it: turn it to the other side.
    away = (tail if into else tail + u * length) - place
    ends = members[(members == joint).any(1)]
    for end in ends:
        other = points[end[0] if end[1] == joint else end[1]] - place
        if away @ other > 0.96 * np.hypot(*away) * np.hypot(*other):
            into = not into
            tail = place - u * (gap + length) if into else place + u * gap
            break
    head = tail + u * length
    page.arrow(tail, head, hand)
    free = tail if into else head
    page.text(
        "force",
        free
        + (free - place) / max(float(np.hypot(*(free - place))), 1) * page.letter_size * 0.9
        + rng.normal(0, 4, 2)
        + (rng.uniform(-20, 20), 0),
    )
    page.truth.loads.append((joint, page.seen_direction(tail, head)))
    page.truth.arrows.append((page.camera(head[None])[0], page.camera(tail[None])[0]))


def _notes(page: Drawing, shape: Shape, points: FloatArray, size: float) -> None:
    rng = page.rng
    centre = points.mean(0)
    members = [(points[a], points[b]) for a, b in shape.members]
    if rng.random() < 0.6:
        for p in points:
            if rng.random() < 0.92:
                out = (p - centre) / max(float(np.hypot(*(p - centre))), 1e-6)
                out = turned(out, rng.normal(0, 40))
                page.text("joint", p + out * page.letter_size * rng.uniform(0.9, 1.6))
    if rng.random() < 0.5:
        _dimensions(page, points)
    if rng.random() < 0.2:
        for _ in range(int(rng.integers(1, 4))):
            a, b = members[int(rng.integers(len(members)))]
            (c, d) = members[int(rng.integers(len(members)))]
            for p, q in ((a, b), (b, a)):
                for r, s in ((c, d), (d, c)):
                    if np.allclose(p, r) and not np.allclose(q, s):
                        angle_arc(page, p, q, s)
        if rng.random() < 0.7:
            a, b = members[int(rng.integers(len(members)))]
            angle_arc(page, a, b, a + np.array([np.sign(b[0] - a[0]) or 1, 0]) * 40)
    if rng.random() < 0.2:
        for _ in range(int(rng.integers(1, 4))):
            slope_triangle(page, *members[int(rng.integers(len(members)))])
    if rng.random() < 0.2:
        kind = str(rng.choice(["result", "member", "length"]))
        for a, b in members:
            if rng.random() < 0.8 and np.hypot(*(b - a)) > 3 * page.letter_size:
                t = np.arctan2(*(b - a)[::-1])
                t = (t + np.pi / 2) % np.pi - np.pi / 2
                off = page.letter_size * rng.choice([-1, 1]) * rng.uniform(0.1, 1.1)
                page.text(
                    kind,
                    (a + b) / 2 + off * np.array([-np.sin(t), np.cos(t)]),
                    t if rng.random() < 0.7 else 0,
                    0.8,
                )
    if rng.random() < 0.1:
        for a, b in members:
            if rng.random() < 0.25:
                page.sheet.circle(
                    a + (b - a) * rng.uniform(0.4, 0.6),
                    page.letter_size * rng.uniform(0.2, 0.4),
                    page.side_hand,
                )
    if rng.random() < 0.1:
        section_cut(page, points)
    if rng.random() < 0.1:
        for _ in range(int(rng.integers(1, 5))):
            a, b = members[int(rng.integers(len(members)))]
            m, u = (a + b) / 2, (b - a) / max(float(np.hypot(*(b - a))), 1)
            page.arrow(m - u * 8, m + u * 8, page.side_hand)
    if rng.random() < 0.45:
        clutter(page, points)


def _dimensions(page: Drawing, points: FloatArray) -> None:
    rng = page.rng
    low, high = points.min(0), points.max(0)
    below = rng.uniform(1.6, 3.2) * page.symbol
    feet = points[np.abs(points[:, 1] - high[1]) < 0.06 * SIZE]
    xs = np.sort(feet[:, 0])
    down = np.array([0, below])
    if len(xs) >= 2 and rng.random() < 0.6:
        for x0, x1 in pairwise(xs):
            a, b = np.array([x0, high[1]]), np.array([x1, high[1]])
            dimension(page, a, b, a + down, b + down)
    if rng.random() < 0.5:
        a, b = np.array([low[0], high[1]]), high
        further = down * rng.uniform(1.3, 1.8)
        dimension(page, a, b, a + further, b + further)
    if rng.random() < 0.7:
        # The height, from the joints themselves out to a line beside the truss.
        top, foot = points[points[:, 1].argmin()], points[points[:, 1].argmax()]
        x = low[0] - below if rng.random() < 0.5 else high[0] + below
        dimension(page, top, foot, np.array([x, top[1]]), np.array([x, foot[1]]))
    if rng.random() < 0.25:
        a, b = (points[int(i)] for i in rng.permutation(len(points))[:2])
        y = low[1] - below if rng.random() < 0.6 else high[1] + below
        dimension(page, a, b, np.array([a[0], y]), np.array([b[0], y]))
