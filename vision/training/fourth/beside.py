"""What stands around a truss on the same page and belongs to no truss."""

from __future__ import annotations

import itertools

import numpy as np

from vision.training.fourth.arrows import arrow
from vision.training.fourth.sketch import GHOST, MAIN, PATCH_FACES, Sketch
from vision.training.fourth.strokes import Points, arc, ring

__all__ = ["page_notes", "phrase", "writing"]

_WORDS = (
    "find", "all", "member", "forces", "the", "reaction", "at", "joint", "method", "of", "given",
    "solve", "for", "use", "check", "ans", "see", "note", "load", "is", "steel", "and", "so",
    "from", "sum", "moments", "about", "zero", "then", "total", "weight", "per", "hence",
)  # fmt: skip
_SUMS = (
    "Fx = 0", "Fy = 0", "MA = 0", "RA + RB = {}", "Ay = {}", "By = {} kN", "AB = {}", "4 x {} = {}",
    "Ax = 0", "tan a = {}/{}", "FBC = -{}", "{} - {} = 0", "x = {}", "sin 30° = 0.5", "m + r = 2j",
    "({} + {}) / 2", "CD = {} (C)", "EF = {} T", "By({}) = {}({})", "L = {} m", "h = {}",
)  # fmt: skip


def phrase(rng: np.random.Generator, longest: int = 6) -> str:
    """A few words, or one line of a calculation."""
    if rng.random() < 0.5:
        text = str(rng.choice(_SUMS))
        while "{}" in text:
            text = text.replace("{}", str(rng.integers(1, 60)), 1)
        return text
    return " ".join(rng.choice(_WORDS, int(rng.integers(1, longest + 1))).tolist())


def writing(sketch: Sketch, at: Points, lines: int, height: float, layer: int = MAIN) -> None:
    """Write lines below each other, their left ends near `at`."""
    rng = sketch.rng
    for k in range(lines):
        text = phrase(rng)
        middle = at + np.array([0.5 * height * len(text) * 0.8, k * height * rng.uniform(1.7, 2.0)])
        sketch.text(text, middle, height, rng.normal(0, 0.03), layer, told=layer != GHOST)


def _spot(sketch: Sketch, size: Points, reach: float) -> Points | None:
    """Middle of a free place of about a size, in view and near the truss if possible."""
    rng = sketch.rng
    joints = np.array([[j["x"], j["y"]] for j in sketch.truth["joints"]])
    middle = (joints.min(axis=0) + joints.max(axis=0)) / 2 if len(joints) else np.zeros(2)
    for k in range(14):
        off = rng.uniform(-0.5, 0.5, 2) * (reach if k > 6 else min(reach, 1700))
        at = middle + off
        corners = np.array([at - size / 2 - 15, at + size / 2 + 15])
        if sketch.busy(corners) == 0:
            return np.asarray(at, float)
    return None


def page_notes(sketch: Sketch, reach: float) -> None:
    """Add some of the things that stand beside a truss; `reach` is what the photo spans."""
    rng = sketch.rng
    makers = (_equations, _star, _axes, _pointer, _number, _little_truss, _crossed_out, _doodle,
              _underlined, _boxed, _moment, _section, _printed, _neighbour)  # fmt: skip
    shares = np.array([3, 1.6, 1.6, 1.5, 1.5, 0.8, 0.8, 0.8, 1.2, 1, 0.5, 0.5, 0.7, 0.7])
    for index in rng.choice(len(makers), int(rng.choice([0, 1, 2, 3, 5])), p=shares / shares.sum()):
        makers[index](sketch, reach)


def _equations(sketch: Sketch, reach: float) -> None:
    rng, tall = sketch.rng, sketch.letter * sketch.rng.uniform(0.6, 1.0)
    lines = int(rng.integers(1, 7))
    size = np.array([tall * 12, tall * 2 * lines])
    spot = _spot(sketch, size, reach)
    if spot is not None:
        writing(sketch, spot - size / 2 + np.array([0, tall]), lines, tall)


def _printed(sketch: Sketch, reach: float) -> None:
    """A printed paragraph, as on a question sheet."""
    rng, own = sketch.rng, sketch.face
    sketch.face = int(rng.choice(PATCH_FACES))
    tall, lines = sketch.letter * rng.uniform(0.6, 0.9), int(rng.integers(1, 5))
    spot = _spot(sketch, np.array([900.0, tall * 2 * lines]), reach)
    if spot is not None:
        for k in range(lines):
            text = " ".join(rng.choice(_WORDS, int(rng.integers(5, 9))).tolist())
            row = spot + np.array([0.0, (k - lines / 2) * 1.7 * tall])
            sketch.text(text, row, tall, 0.0)
    sketch.face = own


def _neighbour(sketch: Sketch, reach: float) -> None:
    """The next page of a book or pad: the fold, and the writing beyond it."""
    rng, side = sketch.rng, sketch.rng.choice([-1, 1])
    joints = np.array([[j["x"], j["y"]] for j in sketch.truth["joints"]])
    edge = joints[:, 0].max() if side > 0 else joints[:, 0].min()
    sketch.spine = float(edge + side * rng.uniform(130, 350))
    tall = sketch.letter * rng.uniform(0.6, 0.9)
    start = sketch.spine + (40 if side > 0 else -rng.uniform(9, 14) * tall)
    lines = min(int(rng.integers(3, 12)), int(reach / tall / 2))
    writing(sketch, np.array([start, joints[:, 1].min() - rng.uniform(0, 200)]), lines, tall)


def _star(sketch: Sketch, reach: float) -> None:
    """The forces at one joint, drawn apart."""
    rng, size = sketch.rng, sketch.rng.uniform(60, 130)
    at = _spot(sketch, np.full(2, 2.4 * size), reach)
    if at is None:
        return
    if rng.random() < 0.7:
        sketch.ink(arc(at, rng.uniform(5, 12), 0, 6.4, 9), fill=bool(rng.random() < 0.5))
    for a in rng.uniform(0, 6.28) + np.sort(rng.uniform(0, 6.28, int(rng.integers(2, 6)))):
        way = np.array([np.cos(a), np.sin(a)])
        p, q = at + way * 12, at + way * size
        if rng.random() < 0.3:
            p, q = q, p
        arrow(sketch, p, q, rng.uniform(14, 28), int(rng.choice([0, 2, 4])))
        if rng.random() < 0.6:
            word = str(rng.choice(["FAB", "FAC", "AB", "Ay", "10", "N1", "5 kN", "T"]))
            sketch.text_near(word, at + way * size, 5, sketch.letter * 0.7)


def _axes(sketch: Sketch, reach: float) -> None:
    rng, size = sketch.rng, sketch.rng.uniform(60, 150)
    at = _spot(sketch, np.full(2, size * 1.5), reach)
    if at is None:
        return
    foot = at + np.array([-size / 2, size / 2])
    for way, word in (((size, 0.0), "x"), ((0.0, -size), "y")):
        arrow(sketch, foot, foot + way, rng.uniform(14, 24), int(rng.choice([0, 2, 4])))
        sketch.text_near(word, foot + way, 4, sketch.letter * 0.8)


def _pointer(sketch: Sketch, reach: float) -> None:
    """A note with an arrow that points at somewhere on the truss."""
    rng, tall = sketch.rng, sketch.letter * 0.8
    text = " ".join(rng.choice(_WORDS, int(rng.integers(1, 3))).tolist())
    size = np.array([tall * len(text) * 0.9, tall * 1.4])
    spot = _spot(sketch, size, reach)
    members = sketch.truth["members"]
    if spot is None or not members:
        return
    sketch.text(text, spot, tall)
    line = np.array(members[int(rng.integers(len(members)))]["line"])
    goal = line[len(line) // 2]
    way = goal - spot
    far = float(np.hypot(*way))
    if not 120 < far < 600:
        return
    t = np.linspace(0, 1, 9)[:, None]
    side = np.array([-way[1], way[0]]) * rng.normal(0, 0.15)
    start, end = spot + way * min(0.45, 0.7 * size[0] / far), goal - way / far * 16
    path = start + t * (end - start) + 4 * t * (1 - t) * side
    sketch.ink(path, 0.8, 0.8)
    arrow(sketch, path[-2], path[-1], rng.uniform(12, 22), int(rng.choice([0, 2, 4])))


def _number(sketch: Sketch, reach: float) -> None:
    rng = sketch.rng
    spot = _spot(sketch, np.array([120.0, 90.0]), min(reach, 1700))
    if spot is None:
        return
    word = str(rng.choice(["1)", "2.", "Q3", "Ex 4", "P/R", "a)", "fig 2", "7", "P", "R", "No 5"]))
    sketch.text(word, spot, sketch.letter * rng.uniform(0.9, 1.5))
    if rng.random() < 0.4:
        sketch.ink(ring(rng, spot, sketch.letter * 1.2))


def _little_truss(sketch: Sketch, reach: float) -> None:
    """A tiny reference figure in which nothing is to be read."""
    rng, size = sketch.rng, sketch.rng.uniform(70, 110)
    at = _spot(sketch, np.array([2.2 * size, 1.2 * size]), reach)
    if at is None:
        return
    if rng.random() < 0.5:
        corner = at + size * np.array([[-0.8, 0.4], [0.8, 0.4], [0.8, -0.4], [-0.8, 0.4]])
    else:
        corner = at + size * np.array([[-1, 0], [1, 0], [1, 0.12], [-1, 0.12], [-1, 0]])
    for p, q in itertools.pairwise(corner):
        sketch.line(p, q, 0.8)


def _crossed_out(sketch: Sketch, reach: float) -> None:
    """An earlier try, struck out."""
    rng, size = sketch.rng, sketch.rng.uniform(90, 220)
    at = _spot(sketch, np.array([2 * size, size]), reach)
    if at is None:
        return
    for _ in range(int(rng.integers(2, 6))):
        p, q = at + rng.uniform(-0.5, 0.5, (2, 2)) * [2 * size, size]
        sketch.line(p, q, 0.9)
    half = np.array([size, size / 2])
    for _ in range(int(rng.integers(1, 3))):
        sketch.line(at - half, at + half)
        sketch.line(at - half * [1, -1], at + half * [1, -1])
    if rng.random() < 0.5:
        t = np.linspace(0, 1, 26)
        zig = (
            at
            - half
            + np.stack([2 * half[0] * t, half[1] * (1 + np.where(np.arange(26) % 2, 0.9, -0.9))], 1)
        )
        sketch.ink(zig)


def _doodle(sketch: Sketch, reach: float) -> None:
    rng, size = sketch.rng, sketch.rng.uniform(40, 110)
    at = _spot(sketch, np.full(2, 2 * size), reach)
    if at is None:
        return
    t = np.linspace(0, 1, 60)
    kind = rng.integers(4)
    if kind == 0:
        a = t * 2 * np.pi * rng.uniform(2, 5)
        path = np.stack([np.cos(a), np.sin(a)], 1) * t[:, None] * size
    elif kind == 1:
        a = np.linspace(0, 4 * np.pi, 6) - np.pi / 2
        path = np.stack([np.cos(a), np.sin(a)], 1) * size
    elif kind == 2:
        path = np.cumsum(rng.normal(0, 1, (60, 2)), axis=0) * size / 8
    else:
        sketch.ink(at + arc(np.zeros(2), size * 0.5, 0.7, 2.4, 9) * [1, -1])
        for x in (-0.3, 0.3):
            sketch.ink(arc(at + np.array([x * size, -0.3 * size]), 0.08 * size, 0, 6.4, 8))
        path = arc(np.zeros(2), size, 0, 6.4, 22)
    sketch.ink(at + path, 0.85)


def _underlined(sketch: Sketch, reach: float) -> None:
    rng, tall = sketch.rng, sketch.letter * sketch.rng.uniform(0.9, 1.4)
    text = str(rng.choice(["Truss", "Problem 3", "Quiz", "roof", "Statics", "bridge", "boathouse"]))
    spot = _spot(sketch, np.array([tall * len(text), 2 * tall]), reach)
    if spot is None:
        return
    sketch.text(text, spot, tall)
    for k in range(int(rng.integers(1, 3))):
        low = spot + np.array([0, tall * (0.8 + 0.25 * k)])
        sketch.line(
            low - [0.45 * tall * len(text), 0], low + np.array([0.45 * tall * len(text), 0])
        )


def _boxed(sketch: Sketch, reach: float) -> None:
    rng, tall = sketch.rng, sketch.letter * 0.9
    text = phrase(rng, 2)
    size = np.array([tall * len(text) * 0.85 + tall, 2.2 * tall])
    spot = _spot(sketch, size, reach)
    if spot is None:
        return
    sketch.text(text, spot, tall, 0.0)
    corner = spot + size / 2 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1], [-1, -1]])
    for p, q in itertools.pairwise(corner):
        sketch.line(p, q)


def _moment(sketch: Sketch, reach: float) -> None:
    """A turning arrow with its letter."""
    rng, size = sketch.rng, sketch.rng.uniform(30, 60)
    at = _spot(sketch, np.full(2, 3 * size), reach)
    if at is None:
        return
    start = rng.uniform(0, 6.3)
    path = arc(at, size, start, start + rng.choice([-1, 1]) * rng.uniform(3.5, 5.2), 14)
    sketch.ink(path)
    arrow(sketch, path[-2], path[-1], 0.4 * size, 0)
    sketch.text(str(rng.choice(["+", "M", "-"])), at, sketch.letter * 0.8)


def _section(sketch: Sketch, reach: float) -> None:
    """A dashed or wavy cut through the truss, with a letter at its ends."""
    rng = sketch.rng
    joints = np.array([[j["x"], j["y"]] for j in sketch.truth["joints"]])
    low, high = joints.min(axis=0), joints.max(axis=0)
    x = low[0] + rng.uniform(0.25, 0.75) * (high[0] - low[0])
    p = np.array([x + rng.normal(0, 30), low[1] - 60])
    q = np.array([x + rng.normal(0, 30), high[1] + 60])
    count = max(4, int((q - p)[1] / 50))
    for k in range(count):
        sketch.line(p + (q - p) * k / count, p + (q - p) * (k + 0.6) / count, 0.8)
    sketch.truth["dimension_lines"].append([p.tolist(), q.tolist()])
    word = str(rng.choice(["a", "1", "m", "A"]))
    sketch.text_near(word, p, 6)
    sketch.text_near(word, q, 6)
