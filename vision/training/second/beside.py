"""What stands beside a truss, and whole pages without one."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from vision.training.second.drawing import SIZE, Drawing, FloatArray, turned, unit

__all__ = ["clutter", "page_without_truss"]


def clutter(page: Drawing, points: FloatArray | None) -> None:
    """Writing, axes, doodles and small figures where there is room."""
    rng = page.rng
    for _ in range(int(rng.integers(1, 7))):
        place = rng.uniform(0.05, 0.95, 2) * SIZE
        if points is not None and len(points) and rng.random() < 0.95:
            low, high = points.min(0) - 2.5 * page.symbol, points.max(0) + 2.5 * page.symbol
            if ((place > low) & (place < high)).all():
                continue
        what = rng.random()
        if what < 0.55:
            kind = str(rng.choice(["equation", "words", "equation", "force"]))
            lines = int(rng.integers(1, 5))
            for i in range(lines):
                page.text(
                    kind,
                    place + np.array([rng.normal(0, 4), i * 1.7 * page.letter_size]),
                    0,
                    rng.uniform(0.8, 1.3),
                )
        elif what < 0.65:
            for u in (np.array([1, 0]), np.array([0, -1])):
                page.arrow(place, place + u * page.symbol * 1.6, page.side_hand)
        elif what < 0.75:
            page.sheet.circle(place, rng.uniform(5, 22), page.side_hand)
            page.text("member", place, 0, 0.8)
        elif what < 0.87:
            k = int(rng.integers(2, 5))
            for t in rng.uniform(0, 360, k):
                page.arrow(
                    place, place + unit(t) * page.symbol * rng.uniform(1.2, 2.2), page.side_hand
                )
                if rng.random() < 0.5:
                    page.text("member", place + unit(t) * page.symbol * 2.6, 0, 0.7)
            if rng.random() < 0.5:
                page.sheet.circle(place, 3, page.side_hand, filled=True)
        else:
            n = int(rng.integers(20, 60))
            t = np.linspace(0, rng.uniform(6, 20), n)
            page.sheet.path(
                place + np.c_[np.cos(t) * t * 1.2, np.sin(t) * 6] * rng.uniform(0.3, 1),
                page.side_hand,
            )


def page_without_truss(page: Drawing) -> None:
    """Fill the page with something else: boxes, a graph, a circuit, a plot, a table."""
    rng, hand = page.rng, page.hand
    kind = rng.choice(["writing", "boxes", "graph", "circuit", "plot", "geometry", "table"])
    spots = [rng.uniform(0.1, 0.9, 2) * SIZE for _ in range(int(rng.integers(3, 9)))]
    r = rng.uniform(14, 40)
    if kind in {"boxes", "graph"}:
        for p, q in pairwise(spots):
            u = (q - p) / max(float(np.hypot(*(q - p))), 1)
            a, b = p + u * r * 1.2, q - u * r * 1.2
            if kind == "boxes" or rng.random() < 0.5:
                page.arrow(a, b, hand)
            else:
                page.sheet.line(a, b, hand)
        for p in spots:
            if kind == "graph" or rng.random() < 0.25:
                page.sheet.circle(p, r * rng.uniform(0.6, 1), hand)
            else:
                w, h = r * rng.uniform(1, 2.2), r * rng.uniform(0.6, 1)
                turn = rng.random() < 0.2
                box = (
                    np.array([[0, -h], [w, 0], [0, h], [-w, 0]])
                    if turn
                    else np.array([[-w, -h], [w, -h], [w, h], [-w, h]])
                )
                page.sheet.polygon(p + box, hand)
            page.text("words" if kind == "boxes" else "joint", p, 0, 0.8)
    elif kind == "circuit":
        x0, y0, x1, y1 = *rng.uniform(0.1, 0.35, 2), *rng.uniform(0.6, 0.9, 2)
        corners = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]]) * SIZE
        for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True):
            u = (b - a) / np.hypot(*(b - a))
            m = a + (b - a) * rng.uniform(0.35, 0.6)
            page.sheet.line(a, m - u * 22, hand)
            page.sheet.line(m + u * 22, b, hand)
            v = turned(u, 90)
            if rng.random() < 0.6:
                s = np.linspace(-22, 22, 9)
                page.sheet.path(
                    m + np.outer(s, u) + np.outer(9 * np.array([0, 1, -1, 1, -1, 1, -1, 1, 0]), v),
                    hand,
                )
            else:
                for t in (-5, 5):
                    page.sheet.line(m + u * t - v * 14, m + u * t + v * 14, hand)
                page.sheet.line(m - u * 22, m - u * 5, hand)
                page.sheet.line(m + u * 5, m + u * 22, hand)
            page.text("force", m + v * 26)
    elif kind == "plot":
        o = np.array([rng.uniform(0.1, 0.3), rng.uniform(0.7, 0.9)]) * SIZE
        page.arrow(o, o + np.array([rng.uniform(150, 320), 0]), hand)
        page.arrow(o, o - (0, rng.uniform(150, 320)), hand)
        run = np.linspace(0, 1, 40)
        rise = 60 + 50 * np.sin(run * rng.uniform(2, 9)) + 60 * run
        page.sheet.path(o + np.c_[run * 220, -rise], hand)
    elif kind == "geometry":
        for _ in range(int(rng.integers(1, 4))):
            p, n = rng.uniform(0.2, 0.8, 2) * SIZE, int(rng.integers(3, 7))
            if rng.random() < 0.4:
                page.sheet.circle(p, rng.uniform(20, 90), hand)
            else:
                lean = float(rng.uniform(0, 6.3, 2).min())
                page.sheet.line(p, p + 120 * np.array([np.cos(lean), np.sin(lean)]), hand)
            for _ in range(n):
                page.text("joint", p + rng.normal(0, 60, 2))
    elif kind == "table":
        rows, columns = int(rng.integers(2, 7)), int(rng.integers(2, 6))
        p, s = (
            rng.uniform(0.08, 0.25, 2) * SIZE,
            np.array([rng.uniform(45, 75), rng.uniform(22, 40)]),
        )
        for i in range(rows + 1):
            page.sheet.line(p + s * np.array([0, i]), p + s * np.array([columns, i]), hand)
        for j in range(columns + 1):
            page.sheet.line(p + s * np.array([j, 0]), p + s * np.array([j, rows]), hand)
        for i in range(rows):
            for j in range(columns):
                if rng.random() < 0.8:
                    page.text("length", p + s * (j + 0.5, i + 0.5), 0, 0.8)
    for i in range(int(rng.integers(2, 16)) if kind == "writing" else int(rng.integers(0, 5))):
        page.text(
            "words" if rng.random() < 0.6 else "equation",
            np.array([rng.uniform(0.2, 0.7) * SIZE, (i * 2 + 2) * page.letter_size]),
        )
