"""Pages on which there is no truss."""

from __future__ import annotations

import itertools

import numpy as np

from vision.training.fourth.arrows import arrow
from vision.training.fourth.beside import phrase, writing
from vision.training.fourth.props import prop
from vision.training.fourth.sketch import Sketch
from vision.training.fourth.strokes import Points, arc, ring

__all__ = ["draw_other"]


def draw_other(sketch: Sketch) -> None:
    """Fill about the square (0..1000)^2 with something that is no truss."""
    makers = (_page, _flow, _circuit, _geometry, _graph, _house, _table, _box, _beam, _plot, _map,
              _child, _empty, _vectors, _tree)  # fmt: skip
    shares = np.array([2, 1.4, 1.2, 1.8, 1.6, 1.2, 1, 1, 2, 1.2, 0.8, 0.7, 0.5, 0.8, 0.6])
    makers[int(sketch.rng.choice(len(makers), p=shares / shares.sum()))](sketch)
    rng = sketch.rng
    if rng.random() < 0.4:
        for _ in range(int(rng.integers(1, 4))):
            sketch.text_near(phrase(rng, 2), rng.uniform(0, 1000, 2), 10)


def _loop(sketch: Sketch, corners: Points, width: float = 1.0) -> None:
    for p, q in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        sketch.line(p, q, width)


def _rect(at: Points, half: Points) -> Points:
    corners: Points = at + half * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    return corners


def _page(sketch: Sketch) -> None:
    rng = sketch.rng
    tall = rng.uniform(24, 50)
    writing(sketch, np.array([rng.uniform(0, 150), 60.0]), int(900 / (2 * tall)), tall)


def _flow(sketch: Sketch) -> None:
    rng = sketch.rng
    last = None
    for k in range(int(rng.integers(3, 6))):
        at = np.array([rng.choice([300.0, 500.0, 700.0]), 100 + 190 * k]) + rng.normal(0, 25, 2)
        half = np.array([rng.uniform(80, 160), rng.uniform(40, 65)])
        diamond = half * 1.2 * np.array([[0, -1], [1, 0], [0, 1], [-1, 0]])
        kind = rng.integers(3)
        if kind == 0:
            _loop(sketch, at + diamond)
        elif kind == 1:
            _loop(sketch, _rect(at, half))
        else:
            sketch.ink(at + arc(np.zeros(2), 1, 0, 6.4, 22) * half)
        sketch.text(phrase(rng, 1)[:9], at, 34)
        if last is not None:
            arrow(sketch, last + np.array([0, 75]), at - [0, 80], 26, int(rng.integers(5)))
        last = at


def _circuit(sketch: Sketch) -> None:
    """Wires on a grid with resistors, sources and lamps."""
    rng = sketch.rng
    wide, high = int(rng.integers(1, 4)), int(rng.integers(1, 3))
    step = 900 / max(wide, high)
    nodes = {
        (i, j): np.array([i * step, j * step]) for i in range(wide + 1) for j in range(high + 1)
    }
    for (i, j), at in nodes.items():
        for other in ((i + 1, j), (i, j + 1)):
            if other not in nodes or rng.random() < 0.1:
                continue
            goal, part = nodes[other], rng.integers(5)
            a, b = at + 0.35 * (goal - at), at + 0.65 * (goal - at)
            if part == 0:
                sketch.line(at, goal)
                continue
            sketch.line(at, a)
            sketch.line(b, goal)
            side = np.array([-(goal - at)[1], (goal - at)[0]]) / step * 30
            if part == 1:
                t = np.linspace(0, 1, 9)[:, None]
                swing = np.array([0, 1, -1, 1, -1, 1, -1, 1, 0])[:, None]
                sketch.ink(a + t * (b - a) + swing * side)
            elif part == 2:
                radius = float(np.hypot(*(b - a))) / 2
                sketch.ink(arc((a + b) / 2, radius, 0, 6.4, 20))
                sketch.text(str(rng.choice(["V", "A", "+", "M"])), (a + b) / 2, 44)
            elif part == 3:
                for end, size in ((a, 1.6), (b, 0.8)):
                    sketch.line(end - size * side, end + size * side)
            else:
                _loop(sketch, np.array([a + side, b + side, b - side, a - side]))
            if rng.random() < 0.6:
                sketch.text_near(
                    str(rng.choice(["R1", "R2", "10", "5 V", "C", "L"])), (a + b) / 2, 40
                )
        if rng.random() < 0.3:
            sketch.ink(arc(at, 9, 0, 6.3, 9), fill=True)


def _geometry(sketch: Sketch) -> None:
    """Triangles and circles of a geometry exercise, with letters at the corners."""
    rng = sketch.rng
    for _ in range(int(rng.integers(1, 3))):
        at, size = rng.uniform(300, 700, 2), rng.uniform(220, 420)
        angles = np.sort(rng.uniform(0, 6.28, int(rng.choice([3, 3, 3, 4, 5]))))
        corners = at + size * np.stack([np.cos(angles), np.sin(angles)], 1)
        _loop(sketch, corners)
        kind = rng.integers(4)
        if kind == 0:
            sketch.ink(arc(at, size, 0, 6.4, 40))
        elif kind == 1:
            sketch.line(corners[0], (corners[1] + corners[2]) / 2)
            foot = (corners[1] + corners[2]) / 2
            sketch.ink(foot + np.array([[0, 26], [26, 26], [26, 0]]))
        elif kind == 2:
            for p, q in zip(corners, np.roll(corners, -1, axis=0), strict=True):
                middle, tick = (p + q) / 2, rng.normal(0, 16, 2)
                sketch.line(middle - tick, middle + tick)
        for k, corner in enumerate(corners):
            if rng.random() < 0.8:
                sketch.text_near("ABCDEFGH"[k], corner, 10)
    if rng.random() < 0.4:
        sketch.text(
            str(rng.choice(["a² = b² + c²".replace("²", "2"), "30°", "area = ?"])),
            np.array([500.0, 980.0]),
        )


def _graph(sketch: Sketch) -> None:
    """Ringed nodes with edges between their rims."""
    rng = sketch.rng
    count, radius = int(rng.integers(4, 10)), rng.uniform(34, 64)
    places: list[Points] = []
    for _ in range(200):
        spot = rng.uniform(60, 940, 2)
        if all(np.hypot(*(spot - p)) > 3.2 * radius for p in places) and len(places) < count:
            places.append(spot)
    for k, at in enumerate(places):
        sketch.ink(ring(rng, at, radius))
        sketch.text(str(rng.choice([str(k + 1), chr(97 + k)])), at, radius * 0.9)
    for i in range(len(places)):
        for j in range(i):
            way = places[j] - places[i]
            far = float(np.hypot(*way))
            if far < 520 and rng.random() < 0.6:
                p, q = places[i] + way / far * radius, places[j] - way / far * radius
                if rng.random() < 0.3:
                    arrow(sketch, p, q, 24, int(rng.integers(5)))
                else:
                    sketch.line(p, q)
                if rng.random() < 0.3:
                    sketch.text_near(str(rng.integers(1, 20)), (p + q) / 2, 6, 30)


def _house(sketch: Sketch) -> None:
    """A house, a kite, an envelope or a window."""
    rng = sketch.rng
    kind, half = rng.integers(4), rng.uniform(150, 330, 2)
    at = np.array([500.0, 550.0])
    if kind == 0:
        box = _rect(at, half)
        _loop(sketch, box)
        tip = at + np.array([rng.normal(0, 20), -half[1] * rng.uniform(1.6, 2.2)])
        sketch.line(box[0] - [40, 0], tip)
        sketch.line(tip, box[1] + np.array([40, 0]))
        _loop(sketch, _rect(at + np.array([0, half[1] * 0.6]), half * [0.2, 0.4]))
        for x in (-0.55, 0.55):
            pane = at + np.array([half[0] * x, -0.2 * half[1]])
            _loop(sketch, _rect(pane, half * 0.2))
            sketch.line(pane - [half[0] * 0.2, 0], pane + np.array([half[0] * 0.2, 0]))
            sketch.line(pane - [0, half[1] * 0.2], pane + np.array([0, half[1] * 0.2]))
    elif kind == 1:
        tips = at + half * np.array([[0, -1.3], [0.8, -0.2], [0, 1.3], [-0.8, -0.2]])
        _loop(sketch, tips)
        sketch.line(tips[0], tips[2])
        sketch.line(tips[1], tips[3])
        t = np.linspace(0, 1, 30)
        sketch.ink(tips[2] + np.stack([60 * np.sin(t * 12), t * 300], 1))
    else:
        box = _rect(at, half)
        _loop(sketch, box)
        if kind == 2:
            sketch.line(box[0], at)
            sketch.line(box[1], at)
        else:
            for share in (-0.33, 0.33, 0):
                sketch.line(at + half * [share, -1], at + half * [share, 1])
            sketch.line(at - half * [1, 0], at + half * [1, 0])
    if rng.random() < 0.6:
        sun = np.array([860.0, 120.0])
        sketch.ink(arc(sun, 60, 0, 6.4, 18))
        for a in np.arange(0, 6.2, 0.7):
            way = np.array([np.cos(a), np.sin(a)])
            sketch.line(sun + 75 * way, sun + 125 * way)


def _table(sketch: Sketch) -> None:
    rng = sketch.rng
    rows, columns = int(rng.integers(3, 9)), int(rng.integers(2, 6))
    xs = np.sort(rng.uniform(0, 1000, columns + 1) * 0.3 + np.linspace(0, 700, columns + 1))
    ys = np.linspace(50, 900, rows + 1) + rng.normal(0, 6, rows + 1)
    for x in xs:
        sketch.line(np.array([x, ys[0]]), np.array([x, ys[-1]]))
    for y in ys:
        sketch.line(np.array([xs[0], y]), np.array([xs[-1], y]))
    tall = min(40.0, 0.4 * float(ys[1] - ys[0]))
    for i in range(columns):
        for j in range(rows):
            if rng.random() < 0.8:
                middle = np.array([(xs[i] + xs[i + 1]) / 2, (ys[j] + ys[j + 1]) / 2])
                sketch.text(
                    str(rng.choice(["AB", "12", "0", "-4.5", "T", "C", "BC", "7.1"])), middle, tall
                )


def _box(sketch: Sketch) -> None:
    """Boxes in perspective or oblique view, with hidden edges dashed or not."""
    rng = sketch.rng
    for _ in range(int(rng.integers(1, 3))):
        front = _rect(rng.uniform(300, 600, 2), rng.uniform(100, 250, 2))
        back = front.mean(axis=0) + (front - front.mean(axis=0)) * rng.uniform(0.5, 1)
        back = back + np.array([rng.uniform(80, 220), -rng.uniform(80, 200)])
        _loop(sketch, front)
        hidden = rng.random() < 0.5
        for k in range(4):
            if not (hidden and k == 3):
                sketch.line(front[k], back[k])
            if not (hidden and k in (2, 3)):
                sketch.line(back[k], back[(k + 1) % 4])
    sketch.text_near(str(rng.choice(["V = abc", "2 m", "box", "h"])), front[2], 20)


def _beam(sketch: Sketch) -> None:
    """A beam or frame with supports, loads and maybe its diagrams."""
    rng = sketch.rng
    y = rng.uniform(250, 500)
    left, right = np.array([80.0, y]), np.array([920.0, y])
    size = rng.uniform(45, 80)
    if rng.random() < 0.6:
        sketch.line(left, right, rng.choice([1.0, 2.2]))
        if rng.random() < 0.5:
            sketch.line(left + np.array([0, 26]), right + np.array([0, 26]))
            sketch.line(left, left + np.array([0, 26]))
            sketch.line(right, right + np.array([0, 26]))
            left, right = left + np.array([0, 26]), right + np.array([0, 26])
        feet = [left, right]
    else:
        feet = [left + np.array([0, 380]), right + np.array([0, 380])]
        corners = [feet[0], left, right, feet[1]]
        for p, q in itertools.pairwise(corners):
            sketch.line(p, q, 1.4)
    prop(sketch, feet[0], 90, True, size, int(rng.integers(9)))
    if rng.random() < 0.8:
        prop(sketch, feet[1], 90, bool(rng.random() < 0.3), size, int(rng.integers(8)))
    for x in rng.uniform(150, 850, int(rng.integers(0, 3))):
        arrow(sketch, np.array([x, y - 150]), np.array([x, y - 6]), 28, int(rng.integers(5)))
        sketch.text_near(f"{rng.integers(1, 60)} kN", np.array([x, y - 150]), 10)
    if rng.random() < 0.6:
        a, b = np.sort(rng.uniform(100, 900, 2))
        top = y - rng.uniform(50, 90)
        sketch.line(np.array([a, top]), np.array([b, top]))
        for x in np.arange(a, b + 1, max(28.0, (b - a) / 12)):
            arrow(sketch, np.array([x, top]), np.array([x, y - 4]), 14, 4)
        sketch.text(f"{rng.integers(1, 20)} kN/m", np.array([(a + b) / 2, top - 40]))
    if rng.random() < 0.5:
        sketch.line(np.array([80.0, 800]), np.array([920.0, 800]))
        t = np.linspace(0, 1, 20)
        sketch.ink(np.stack([80 + 840 * t, 800 + rng.choice([-1, 1]) * 400 * t * (1 - t)], 1))
        sketch.text(str(rng.choice(["M", "V", "Mmax"])), np.array([40.0, 780.0]))


def _plot(sketch: Sketch) -> None:
    rng = sketch.rng
    foot = np.array([100.0, 880.0])
    for tip in (np.array([960.0, 880]), np.array([100.0, 80])):
        arrow(sketch, foot, tip, 26, int(rng.integers(5)))
    for _ in range(int(rng.integers(1, 4))):
        x = np.linspace(0, 1, 30)
        k = np.array([[1.0], [2.0], [3.0]])
        waves = rng.normal(0, 1, (3, 1)) / k * np.sin(np.pi * k * x + rng.uniform(0, 3, (3, 1)))
        y: Points = waves.sum(axis=0)
        if rng.random() < 0.35:
            x = np.linspace(0, 1, int(rng.integers(3, 8)))
            y = rng.uniform(-1, 1, len(x))
        y = (y - y.min()) / max(float(np.ptp(y)), 1e-6)
        sketch.ink(np.stack([130 + 780 * x, 850 - rng.uniform(300, 700) * y], 1))
    for n in range(1, int(rng.integers(2, 7))):
        sketch.line(np.array([100 + 130 * n, 868]), np.array([100 + 130 * n, 892]))
        sketch.text(str(n), np.array([100 + 130 * n, 930]), 34)


def _map(sketch: Sketch) -> None:
    """Streets as double lines, a river and a cross."""
    rng = sketch.rng
    for _ in range(int(rng.integers(2, 5))):
        p, q = rng.uniform(0, 1000, (2, 2))
        side = np.array([-(q - p)[1], (q - p)[0]]) / max(float(np.hypot(*(q - p))), 1) * 22
        sketch.line(p + side, q + side)
        sketch.line(p - side, q - side)
        sketch.text_near(phrase(rng, 1), (p + q) / 2, 30)
    t = np.linspace(0, 1, 40)
    sketch.ink(np.stack([1000 * t, 500 + 160 * np.sin(5 * t + rng.uniform(0, 6))], 1), width=1.5)
    spot = rng.uniform(200, 800, 2)
    sketch.line(spot - 30, spot + 30)
    sketch.line(spot - [30, -30], spot + np.array([30, -30]))


def _child(sketch: Sketch) -> None:
    """People, flowers and scribbles."""
    rng = sketch.rng
    for _ in range(int(rng.integers(2, 5))):
        at, s = rng.uniform(150, 850, 2), rng.uniform(60, 140)
        sketch.ink(arc(at, 0.45 * s, 0, 6.5, 18))
        hip = at + np.array([0, 1.6 * s])
        sketch.line(at + np.array([0, 0.45 * s]), hip)
        for x in (-0.7, 0.7):
            sketch.line(hip, hip + np.array([x * s, s]))
            sketch.line(
                at + np.array([0, 0.8 * s]), at + np.array([x * s, rng.uniform(0.4, 1.4) * s])
            )
    sketch.ink(rng.uniform(200, 800, 2) + np.cumsum(rng.normal(0, 25, (50, 2)), axis=0))


def _empty(sketch: Sketch) -> None:
    """Next to nothing: a word or a stroke."""
    rng = sketch.rng
    if rng.random() < 0.5:
        sketch.text(phrase(rng, 2), rng.uniform(200, 800, 2))
    else:
        sketch.line(rng.uniform(0, 1000, 2), rng.uniform(0, 1000, 2))


def _vectors(sketch: Sketch) -> None:
    """Arrows laid tip to tail, with their sum."""
    rng = sketch.rng
    at = start = np.array([150.0, 800.0])
    for k in range(int(rng.integers(2, 5))):
        goal = at + np.array([rng.uniform(60, 300), rng.uniform(-380, 150)])
        arrow(sketch, at, goal, 30, int(rng.integers(5)))
        sketch.text_near("abcdef"[k], (at + goal) / 2, 10)
        at = goal
    arrow(sketch, start, at, 30, 0)
    sketch.text_near("R", (start + at) / 2, 12)


def _tree(sketch: Sketch) -> None:
    """A tree of boxes or words."""
    rng = sketch.rng
    rows = int(rng.integers(2, 4))
    above = [np.array([500.0, 80.0])]
    sketch.text(phrase(rng, 1)[:8], above[0], 40)
    for row in range(1, rows + 1):
        here: list[Points] = []
        for parent in above:
            for side in (-1, 1):
                at = parent + np.array([side * 420 / 2**row, 240.0]) + rng.normal(0, 12, 2)
                sketch.line(parent + np.array([0, 36]), at - [0, 40])
                sketch.text(str(rng.integers(1, 99)), at, 40)
                here.append(at)
        above = here
