"""Figures that are no truss: flowcharts, circuits, graphs, beams, geometry, tables, doodles."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from vision.training import words
from vision.training.boxes import envelope, kite, window, wireframe
from vision.training.hand import Points, hatch
from vision.training.notes import Notes
from vision.training.symbols import PIN_FORMS, ROLLER_FORMS, draw_arrow, draw_support

__all__ = ["FIGURES", "draw_figure"]

Rng = np.random.Generator
#: x0, y0, x1, y1 in pixels.
Box = tuple[float, float, float, float]

_HEADS = ("vee", "filled", "open", "half", "hook")


def _inside(rng: Rng, box: Box, count: int) -> Points:
    x0, y0, x1, y1 = box
    spots: Points = rng.uniform((x0, y0), (x1, y1), (count, 2))
    return spots


def flowchart(n: Notes, box: Box) -> None:
    """Boxes, diamonds and ellipses with writing, joined by arrows."""
    rng, u = n.rng, n.sheet.unit
    columns, rows = int(rng.integers(1, 5)), int(rng.integers(2, 5))
    x0, y0, x1, y1 = box
    w, h = (x1 - x0) / columns, (y1 - y0) / rows
    last = None
    for k in range(columns * rows):
        if rng.random() < 0.25:
            continue
        middle = np.array([x0 + (k % columns + 0.5) * w, y0 + (k // columns + 0.5) * h])
        half = np.array([w * rng.uniform(0.22, 0.36), h * rng.uniform(0.18, 0.32)])
        form = rng.random()
        if form < 0.6:
            ring = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1], [-1, -1]]) * half + middle
            n.hand.chain(rng, n.sheet, ring)
            if rng.random() < 0.12:
                n.hand.line(rng, n.sheet, ring[0], ring[2])
                n.hand.line(rng, n.sheet, ring[1], ring[3])
        elif form < 0.8:
            ring = np.array([[0, -1], [1, 0], [0, 1], [-1, 0], [0, -1]]) * half * 1.2 + middle
            n.hand.chain(rng, n.sheet, ring)
        else:
            n.hand.circle(rng, n.sheet, middle, float(half.min()))
        if rng.random() < 0.8:
            n.text(words.prose(rng)[: int(rng.integers(1, 9))], middle, 0, 0.8)
        if last is not None:
            (a, ha), (b, hb) = last, (middle, half)
            if abs(a[1] - b[1]) < h / 2:
                start, end = a + np.array([ha[0], 0]), b - np.array([hb[0], 0])
            else:
                start, end = a + np.array([0, ha[1]]), b - np.array([0, hb[1]])
            if rng.random() < 0.5 and abs(a[1] - b[1]) > h / 2:
                elbow = np.array([start[0], (start[1] + end[1]) / 2])
                other = np.array([end[0], elbow[1]])
                n.hand.chain(rng, n.sheet, np.array([start, elbow, other]))
                start = other
            draw_arrow(rng, n.hand, n.sheet, start, end, 9 * u, str(rng.choice(_HEADS)))
        last = (middle, half)


def circuit(n: Notes, box: Box) -> None:
    """A loop or two of wire with resistors, sources and capacitors."""
    rng, u = n.rng, n.sheet.unit
    x0, y0, x1, y1 = box
    xs = np.linspace(x0, x1, int(rng.integers(2, 5)))
    corners = [np.array([x, y]) for y in (y0, y1) for x in xs]
    m = len(xs)
    wires = [(k, k + 1) for k in range(m - 1)] + [(m + k, m + k + 1) for k in range(m - 1)]
    wires += [(k, m + k) for k in range(m)]
    for i, j in wires:
        a, b = corners[i], corners[j]
        along = b - a
        way = along / np.hypot(*along)
        aside = np.array([-way[1], way[0]])
        part = min(0.3 * float(np.hypot(*along)), 55 * u)
        p, q = (a + b) / 2 - way * part / 2, (a + b) / 2 + way * part / 2
        kind = rng.choice(["wire", "resistor", "source", "capacitor", "coil", "box"])
        if kind == "wire":
            n.hand.line(rng, n.sheet, a, b)
            continue
        n.hand.line(rng, n.sheet, a, p)
        n.hand.line(rng, n.sheet, q, b)
        if kind == "resistor":
            t = np.linspace(0, 1, 9)
            zig = np.array([0, 1, -1, 1, -1, 1, -1, 1, 0]) * part * 0.2
            n.hand.chain(rng, n.sheet, p + t[:, None] * (q - p) + zig[:, None] * aside)
        elif kind == "source":
            n.hand.circle(rng, n.sheet, (p + q) / 2, part / 2)
        elif kind == "coil":
            for t in np.linspace(0.12, 0.88, 4):
                n.hand.circle(rng, n.sheet, p + (q - p) * t, part * 0.13)
        elif kind == "box":
            s = aside * part * 0.2
            n.hand.chain(rng, n.sheet, np.array([p - s, p + s, q + s, q - s, p - s]))
        else:
            for end in (p + (q - p) * 0.42, p + (q - p) * 0.58):
                n.hand.line(rng, n.sheet, end - aside * part * 0.35, end + aside * part * 0.35)
        n.text(
            words.prose(rng)[:4] if rng.random() < 0.3 else words.force(rng)[0],
            (p + q) / 2 + aside * part * 0.6,
        )
    for k in corners:
        if rng.random() < 0.3:
            n.hand.circle(rng, n.sheet, k, 3 * u, True)


def graph(n: Notes, box: Box) -> None:
    """Axes with a curve, a stepped line or bars; a shear or moment diagram is one."""
    rng, u = n.rng, n.sheet.unit
    x0, y0, x1, y1 = box
    base = y1 if rng.random() < 0.6 else (y0 + y1) / 2
    origin = np.array([x0, base])
    form = str(rng.choice(_HEADS))
    draw_arrow(rng, n.hand, n.sheet, origin, np.array([x1, base]), 9 * u, form)
    draw_arrow(rng, n.hand, n.sheet, np.array([x0, y1]), np.array([x0, y0]), 9 * u, form)
    x = np.linspace(x0, x1 - 0.1 * (x1 - x0), int(rng.integers(4, 12)))
    y = rng.uniform(y0, y1, len(x))
    kind = rng.random()
    if kind < 0.4:
        n.hand.chain(rng, n.sheet, np.column_stack([x, y]))
    elif kind < 0.7:
        stepped = np.column_stack([np.repeat(x, 2)[1:], np.repeat(y, 2)[:-1]])
        n.hand.chain(rng, n.sheet, stepped)
    else:
        fine = np.linspace(x[0], x[-1], 40)
        wave = np.interp(fine, x, y)
        smooth = np.convolve(np.pad(wave, 4, "edge"), np.ones(9) / 9, "valid")
        n.hand.trace(rng, n.sheet, np.column_stack([fine, smooth]))
    if rng.random() < 0.5:
        for a, b in zip(x, y, strict=True):
            n.hand.line(rng, n.sheet, np.array([a, base]), np.array([a, b]))
    n.text(str(rng.choice(["x", "t", "V", "M"])), np.array([x1, base + 1.4 * n.height]))
    n.text(str(rng.choice(["y", "f", "V", "M"])), np.array([x0 - n.height, y0]))


def beam(n: Notes, box: Box) -> None:
    """A beam with supports and loads: one line, or a long box."""
    rng, u = n.rng, n.sheet.unit
    x0, y0, x1, y1 = box
    y = (y0 + y1) / 2
    deep = rng.choice([0.0, rng.uniform(6, 26)]) * u
    a, b = np.array([x0, y]), np.array([x1, y])
    up = np.array([0.0, -1.0])
    n.hand.line(rng, n.sheet, a, b)
    if deep:
        n.hand.chain(rng, n.sheet, np.array([b, b + up * deep, a + up * deep, a]))
    size = rng.uniform(18, 40) * u
    if rng.random() < 0.3:
        wall = np.array([0.0, 1.0]) * size
        n.hand.line(rng, n.sheet, a - wall, a + wall)
        hatch(rng, n.hand, n.sheet, a - wall, a + wall, np.array([-1.0, 0.0]), size * 0.3)
    else:
        for at, forms in ((a, PIN_FORMS), (a + (b - a) * rng.uniform(0.6, 1), ROLLER_FORMS)):
            draw_support(rng, n.hand, n.sheet, at, up, size, str(rng.choice(forms)))
    form = str(rng.choice(_HEADS))
    for _ in range(int(rng.integers(1, 4))):
        at = a + (b - a) * rng.uniform(0.1, 1) + up * deep
        draw_arrow(rng, n.hand, n.sheet, at + up * rng.uniform(40, 80) * u, at, 10 * u, form)
        n.text(words.force(rng)[0], at + up * 90 * u)
    if rng.random() < 0.4:
        p, q = np.sort(rng.uniform(0, 1, 2))
        top = np.array([0.0, -30 * u - deep])
        for t in np.linspace(p, q, 7):
            at = a + (b - a) * t
            draw_arrow(rng, n.hand, n.sheet, at + top, at + up * deep, 6 * u, form)
        n.hand.line(rng, n.sheet, a + (b - a) * p + top, a + (b - a) * q + top)
    if rng.random() < 0.6:
        n.dimension(a, b, -up, rng.uniform(45, 80) * u)


def geometry(n: Notes, box: Box) -> None:
    """Overlapping circles, open angles, a solid, curved figures."""
    rng, u = n.rng, n.sheet.unit
    x0, y0, x1, y1 = box
    size = min(x1 - x0, y1 - y0)
    middle = np.array([(x0 + x1) / 2, (y0 + y1) / 2])
    kind = rng.random()
    if kind < 0.35:
        for _ in range(int(rng.integers(1, 4))):
            n.hand.circle(rng, n.sheet, _inside(rng, box, 1)[0], size * rng.uniform(0.1, 0.4))
        n.hand.line(rng, n.sheet, *_inside(rng, box, 2))
    elif kind < 0.65:
        shift = np.array([0.3, -0.25]) * size * rng.uniform(0.6, 1.2)
        front = np.array([[0, 0], [1, 0], [1, 1], [0, 1], [0, 0]]) * size * 0.55 + [
            x0,
            y0 + size * 0.35,
        ]
        n.hand.chain(rng, n.sheet, front)
        n.hand.chain(rng, n.sheet, (front + shift)[:4])
        for k in range(3):
            n.hand.line(rng, n.sheet, front[k], front[k] + shift)
    else:
        for _ in range(int(rng.integers(2, 4))):
            a, b = _inside(rng, box, 2)
            draw_arrow(rng, n.hand, n.sheet, middle, (a + b) / 2, 10 * u, "vee")
        n.hand.circle(rng, n.sheet, middle, 25 * u, start=rng.uniform(0, 6), sweep=1.0)
    n.text(words.angle(rng), middle + rng.normal(0, 20, 2) * u)


def network(n: Notes, box: Box) -> None:
    """Large circles with names in them, joined by lines or arrows."""
    rng, u = n.rng, n.sheet.unit
    radius = rng.uniform(1.1, 2.0) * n.height
    spots: list[Points] = []
    for at in _inside(rng, box, 40):
        if all(np.hypot(*(at - s)) > 4 * radius for s in spots) and len(spots) < 9:
            spots.append(at)
    for k, a in enumerate(spots):
        n.hand.circle(rng, n.sheet, a, radius)
        n.text(words.letter(rng, k, int(rng.integers(0, 4))), a)
        for b in spots[:k]:
            if rng.random() < 0.35:
                way = (b - a) / np.hypot(*(b - a))
                p, q = a + way * radius, b - way * radius
                if rng.random() < 0.5:
                    draw_arrow(rng, n.hand, n.sheet, p, q, 8 * u, "vee")
                else:
                    n.hand.line(rng, n.sheet, p, q)


def table(n: Notes, box: Box) -> None:
    """A ruled table with entries."""
    rng = n.rng
    x0, y0, x1, y1 = box
    xs, ys = (
        np.linspace(x0, x1, int(rng.integers(3, 6))),
        np.linspace(y0, y1, int(rng.integers(3, 8))),
    )
    for x in xs[:: int(rng.choice([1, 1, 2]))]:
        n.hand.line(rng, n.sheet, np.array([x, y0]), np.array([x, y1]))
    for y in ys:
        n.hand.line(rng, n.sheet, np.array([x0, y]), np.array([x1, y]))
    for x in xs[:-1] + np.diff(xs) / 2:
        for y in ys[:-1] + np.diff(ys) / 2:
            if rng.random() < 0.7:
                n.text(words.result(rng)[:6], np.array([x, y]), 0, 0.8)


def writing(n: Notes, box: Box) -> None:
    """Lines of writing."""
    rng = n.rng
    x0, y0, x1, y1 = box
    y = y0
    while y < y1:
        text = " ".join(words.prose(rng) for _ in range(int(rng.integers(1, 3))))
        room = int((x1 - x0) / (0.8 * n.height))
        n.text(text[: max(room, 2)], np.array([x0, y]), anchor=0.0)
        y += n.height * rng.uniform(1.7, 2.6)
        if rng.random() < 0.1:
            n.hand.line(rng, n.sheet, np.array([x0, y]), np.array([x0 + (x1 - x0) * 0.4, y]))


def free_body(n: Notes, box: Box) -> None:
    """One joint cut free: a point with arrows and their names."""
    rng, u = n.rng, n.sheet.unit
    x0, y0, x1, y1 = box
    middle = np.array([(x0 + x1) / 2, (y0 + y1) / 2])
    size = min(x1 - x0, y1 - y0) / 2
    if rng.random() < 0.7:
        n.hand.circle(rng, n.sheet, middle, rng.uniform(2, 6) * u, rng.random() < 0.5)
    form = str(rng.choice(_HEADS))
    for _ in range(int(rng.integers(2, 6))):
        t = rng.choice(np.arange(0, 360, 45)) + rng.normal(0, 8)
        way = np.array([np.cos(np.radians(t)), np.sin(np.radians(t))])
        tail, head = middle, middle + way * size * rng.uniform(0.6, 1)
        if rng.random() < 0.35:
            tail, head = head, middle + way * 5 * u
        draw_arrow(rng, n.hand, n.sheet, tail, head, 9 * u, form)
        n.text(words.letter(rng, int(rng.integers(9)), 0) + "B", middle + way * size * 1.1)


def axes(n: Notes, box: Box) -> None:
    """A small cross of coordinate axes."""
    rng, u = n.rng, n.sheet.unit
    corner = np.array([box[0], box[3]])
    size = min(box[2] - box[0], box[3] - box[1]) * rng.uniform(0.4, 0.8)
    for way, name in ((np.array([1.0, 0.0]), "x"), (np.array([0.0, -1.0]), "y")):
        draw_arrow(rng, n.hand, n.sheet, corner, corner + way * size, 8 * u, "vee")
        n.text(name, corner + way * (size + n.height))


def doodle(n: Notes, box: Box) -> None:
    """A scribble, a house or a spiral."""
    rng = n.rng
    x0, y0, x1, y1 = box
    size = min(x1 - x0, y1 - y0)
    middle = np.array([(x0 + x1) / 2, (y0 + y1) / 2])
    kind = rng.random()
    if kind < 0.5:
        walk = np.cumsum(rng.normal(0, size * 0.08, (60, 2)), axis=0)
        smooth = np.column_stack([np.convolve(walk[:, k], np.ones(7) / 7, "valid") for k in (0, 1)])
        n.hand.trace(rng, n.sheet, middle + smooth - smooth.mean(axis=0))
    elif kind < 0.75:
        t = np.linspace(0, rng.uniform(6, 30), 90)
        spiral = np.column_stack([np.cos(t), np.sin(t)]) * (t / t[-1])[:, None] * size * 0.4
        n.hand.trace(rng, n.sheet, middle + spiral)
    else:
        house = np.array([[0, 1], [0, 0.45], [0.5, 0], [1, 0.45], [1, 1], [0, 1]]) * size * 0.8
        n.hand.chain(rng, n.sheet, house + np.array([x0, y0]))
        door = np.array([[0.4, 1], [0.4, 0.65], [0.6, 0.65], [0.6, 1]]) * size * 0.8
        n.hand.chain(rng, n.sheet, door + np.array([x0, y0]))


FIGURES: dict[str, Callable[[Notes, Box], None]] = {
    "flowchart": flowchart, "circuit": circuit, "graph": graph, "beam": beam,
    "geometry": geometry, "network": network, "table": table, "writing": writing,
    "free_body": free_body, "axes": axes, "doodle": doodle, "wireframe": wireframe,
    "window": window, "kite": kite, "envelope": envelope,
}  # fmt: skip


def draw_figure(n: Notes, box: Box, small: bool) -> None:
    """Draw one figure at random; beside a truss only small ones."""
    beside = (
        "free_body",
        "free_body",
        "axes",
        "doodle",
        "table",
        "writing",
        "writing",
        "geometry",
        "graph",
        "beam",
    )
    names = beside if small else (*FIGURES, "wireframe", "wireframe", "envelope")
    FIGURES[str(n.rng.choice(names))](n, box)
