"""A truss put on paper: bars, joints, supports, loads and what is written at them."""

from __future__ import annotations

import itertools

import numpy as np

from vision.training.fourth.arrows import angle_mark, arrow, dimension, slope_mark
from vision.training.fourth.nets import Net, met
from vision.training.fourth.props import prop
from vision.training.fourth.sketch import GLOW, MAIN, SECOND, Sketch
from vision.training.fourth.strokes import Points, ring, unit

__all__ = ["draw_truss", "value"]

_UNITS = ("kN", "kN", "N", "k", "kip", "lb", "t", "kg", "kgf", "P", "")


def value(rng: np.random.Generator, unit_of: str) -> str:
    """Write down a force as people do."""
    if unit_of == "P":
        return str(rng.choice(["P", "2P", "F", "Q", "P/2", "W", "F1", "P2"]))
    number = rng.choice([rng.integers(1, 10), 5 * rng.integers(1, 21), 100 * rng.integers(1, 30)])
    text = f"{number}" if rng.random() < 0.85 else f"{number / 4:.1f}"
    return text + (" " if rng.random() < 0.5 else "") + unit_of if unit_of else text


def draw_truss(sketch: Sketch, net: Net) -> None:
    """Draw a whole problem and write its truth into the sketch."""
    rng, truth = sketch.rng, sketch.truth
    truth["family"] = net.recipe
    second = SECOND if rng.random() < 0.3 else MAIN
    truth["joints"] = [{"x": float(x), "y": float(y), "label": ""} for x, y in net.joints]
    _crossings(sketch, net)
    bay = float(np.median([np.hypot(*(net.joints[a] - net.joints[b])) for a, b in net.bars]))
    size = float(np.clip(bay * 0.3, 34, 110) * rng.choice([0.6, 0.8, 1.0, 1.0, 1.3, 1.6]))
    knot = int(rng.choice(7, p=[0.34, 0.2, 0.22, 0.08, 0.06, 0.05, 0.05]))
    radius = float(rng.uniform(7, 20) * np.clip(bay / 200, 0.6, 1.2))
    radius = max(radius, 1.5 * sketch.pen)
    _bars(sketch, net, radius if knot in (2, 6) and rng.random() < 0.6 else 0.0)
    _knots(sketch, net, knot, radius)
    size = max(size, 4.5 * sketch.pen)
    bare = rng.random()
    if bare > 0.04:
        _supports(sketch, net, size, second if rng.random() < 0.4 else MAIN, bare < 0.13)
    if rng.random() < 0.9:
        _loads(sketch, net, bay, second)
    _notes(sketch, net, bay)


def _bars(sketch: Sketch, net: Net, trim: float) -> None:
    """Draw the bars in any order; they stop at open joints of radius `trim`."""
    rng, hand = sketch.rng, sketch.hand
    heavy = rng.random() < 0.15
    glow = rng.random() < 0.08
    twin = rng.random() < 0.05
    tinted = rng.random() < 0.06
    faint = rng.uniform(0.4, 0.8) if rng.random() < 0.1 else 1.0
    for a, b in [net.bars[k] for k in rng.permutation(len(net.bars))]:
        p, q = net.joints[a], net.joints[b]
        if rng.random() < 0.5:
            p, q, a, b = q, p, b, a
        length = float(np.hypot(*(q - p)))
        way = unit(q - p)
        bow = rng.normal(0, hand.bow) * (1.6 if rng.random() < 0.1 else 1)
        miss = np.clip(rng.normal(0, hand.miss, (2, 2)), -12, 12) * min(1, length / 150)
        over = np.clip(rng.uniform(-hand.gap, hand.over, 2) * length, -26, 26) - trim
        start, end = p - over[0] * way + miss[0], q + over[1] * way + miss[1]
        width = rng.uniform(0.85, 1.15) * (rng.choice([1.0, 1.8]) if heavy else 1.0)
        layer = SECOND if tinted and rng.random() < 0.35 else MAIN
        press = float(rng.uniform(faint, 1))
        across = np.array([-way[1], way[0]])
        if rng.random() < 0.012 and length > 120:
            _struck(sketch, p, q + rng.normal(0, 70, 2))
        points = start
        if twin:
            off = across * rng.uniform(6, 9)
            sketch.line(start + off, end + off, width, layer, bow, press)
            points = sketch.line(start - off, end - off, width, layer, bow, press) + off
        elif rng.random() < hand.again:
            for _ in range(int(rng.integers(1, 4))):
                slip = rng.normal(0, 2.5, (2, 2)) + np.outer(rng.normal(0, 0.012, 2), way) * length
                sketch.line(
                    start + slip[0], end + slip[1], width * 0.8, bow=bow * rng.uniform(0, 2)
                )
            points = sketch.line(start, end, width, layer, bow, press)
        elif rng.random() < 0.04 and length > 150:
            cut = rng.uniform(0.3, 0.7)
            mid = p + cut * (q - p) + rng.normal(0, 2, 2)
            first = sketch.line(
                start, mid + way * rng.uniform(-4, 10), width, layer, bow / 2, press
            )
            points = np.vstack([first, sketch.line(mid, end, width, layer, bow / 2, press)])
        else:
            points = sketch.line(start, end, width, layer, bow, press)
        if glow and rng.random() < 0.7:
            sketch.line(start, end, 1.0, GLOW)
        along = np.clip((points - p) @ way / length, -1, 2)
        marks = np.linspace(0, 1, 5 if length > 220 else 3)
        side = np.interp(marks, along[order := np.argsort(along)], ((points - p) @ across)[order])
        line = p + np.outer(marks, q - p) + side[:, None] * across
        sketch.truth["members"].append({"a": int(a), "b": int(b), "line": line.tolist()})


def _struck(sketch: Sketch, p: Points, q: Points) -> None:
    """A bar drawn wrongly and struck out with a scribble or small crosses."""
    rng = sketch.rng
    sketch.line(p, q)
    across = np.array([-(q - p)[1], (q - p)[0]]) / max(float(np.hypot(*(q - p))), 1e-9)
    t = np.linspace(0.15, 0.85, int(rng.integers(9, 22)))
    zig = p + t[:, None] * (q - p) + across * (rng.normal(14, 4, (len(t), 1)) * np.where(
        np.arange(len(t)) % 2, 1, -1)[:, None])  # fmt: skip
    if rng.random() < 0.6:
        sketch.ink(zig)
    else:
        for k in range(0, len(t) - 2, 3):
            sketch.line(zig[k], zig[k + 1])
            sketch.line(zig[k + 1] - across * 26, zig[k] + across * 26)


def _crossings(sketch: Sketch, net: Net) -> None:
    for (a, b), (c, d) in itertools.combinations(net.bars, 2):
        if len({a, b, c, d}) == 4:
            spot = met(net.joints[a], net.joints[b], net.joints[c], net.joints[d])
            if spot is not None:
                sketch.truth["crossings"].append(spot.tolist())


def _knots(sketch: Sketch, net: Net, style: int, radius: float) -> None:
    """Mark the joints: with nothing, dots, open circles, blobs or crosses."""
    rng = sketch.rng
    if style == 0:
        return
    for at in net.joints:
        if rng.random() < 0.06:
            continue
        spot = at + rng.normal(0, 2.5, 2)
        r = radius * rng.uniform(0.8, 1.2)
        hoop = ring(rng, spot, r)
        if style == 1:
            sketch.ink(spot + 0.6 * (hoop - spot), fill=True)
        elif style == 2:
            sketch.ink(hoop)
        elif style == 3:
            sketch.ink(spot + 1.1 * (hoop - spot), fill=True)
        elif style == 4:
            sketch.line(spot - [r, r], spot + np.array([r, r]))
            sketch.line(spot - [r, -r], spot + np.array([r, -r]))
        elif style == 5:
            sketch.ink(spot + rng.normal(0, 0.5 * r, (9, 2)))
        else:
            sketch.ink(hoop)
            sketch.ink(spot + 0.3 * (hoop - spot), fill=True)


def _reaction(sketch: Sketch, joint: int, at: Points, push: float, layer: int, far: float) -> None:
    """Draw a reaction's arrow; its truth goes with it."""
    rng = sketch.rng
    a = np.radians(push)
    way = np.array([np.cos(a), -np.sin(a)])
    length = max(rng.uniform(60, 140), 6 * sketch.pen)
    if rng.random() < 0.75:
        tip = at - way * (far + rng.uniform(4, 20))
        tail = tip - way * length
    else:
        tail = at + way * rng.uniform(0, 8)
        tip = tail + way * length
    look = str(rng.choice(["plain", "plain", "plain", "wavy", "dashed", "double"]))
    arrow(
        sketch,
        tail,
        tip,
        max(rng.uniform(16, 34), 2.5 * sketch.pen),
        int(rng.choice([0, 0, 2, 4])),
        layer,
        look,
    )
    words = ""
    if rng.random() < 0.7:
        words = str(rng.choice(["R", "RA", "Ay", "By", "Ax", "VA", "HA", "R1", "R2", "V"]))
        sketch.text_near(words, tail, 12, sketch.letter * 0.9, layer=layer)
    sketch.truth["reactions"].append({
        "joint": joint, "direction_deg": push, "value": None, "unit": "",
        "tail": tail.tolist(), "head": tip.tolist(),
    })  # fmt: skip


def _supports(sketch: Sketch, net: Net, size: float, layer: int, arrows_only: bool) -> None:
    rng = sketch.rng
    pins, rollers = int(rng.integers(1000)), int(rng.integers(1000))
    shown = rng.random() < 0.14
    wall = [net.joints[j] for j, _, push in net.held if push in (0.0, 180.0)]
    for joint, pin, push in net.held:
        at = net.joints[joint]
        if arrows_only:
            _reaction(sketch, joint, at, push, layer, 0)
            if pin:
                _reaction(sketch, joint, at, push - 90 if push == 90 else 90.0, layer, 0)
            continue
        prop(sketch, at, push, pin, size * rng.uniform(0.85, 1.15), pins if pin else rollers, layer)
        kind = "pin" if pin else "roller"
        if rng.random() < 0.04:
            word = str(rng.choice(["P", "R", "pin", "roller", "fix", "hinge"]))
            a = np.radians(push)
            below = at - 1.4 * size * np.array([np.cos(a), -np.sin(a)])
            sketch.text_near(word, below, 6, sketch.letter * 0.9)
        sketch.truth["supports"].append({"joint": joint, "kind": kind, "angle_deg": push})
        if shown:
            _reaction(sketch, joint, at, push, layer, size * 1.5)
            if pin and rng.random() < 0.5:
                _reaction(sketch, joint, at, push - 90 if push == 90 else 90.0, layer, size * 0.3)
    if len(wall) == 2 and not arrows_only and rng.random() < 0.5:
        push = next(push for _, _, push in net.held if push in (0.0, 180.0))
        back = np.array([-1.0 if push == 0 else 1.0, 0]) * size * rng.uniform(1.35, 1.7)
        ends = sorted((w + back for w in wall), key=lambda w: float(w[1]))
        top, foot = ends[0] - [0, size], ends[1] + np.array([0, size])
        sketch.line(top, foot)
        for t in np.arange(0.03, 1, 26 / max(float(np.hypot(*(foot - top))), 60)):
            start = top + t * (foot - top)
            sketch.line(
                start, start + back * rng.uniform(0.15, 0.3) + np.array([0, rng.uniform(8, 24)])
            )


def _loads(sketch: Sketch, net: Net, bay: float, layer: int) -> None:
    rng = sketch.rng
    held = {joint for joint, _, _ in net.held}
    free = [k for k in range(len(net.joints)) if k not in held or rng.random() < 0.12]
    if not free:
        return
    count = min(len(free), int(rng.choice([1, 1, 2, 2, 3, 4, 5, 7])))
    length = float(rng.uniform(60, 190) * np.clip(bay / 200, 0.75, 1.3))
    length = max(length, 7 * sketch.pen)
    head = float(
        np.clip(length * rng.choice([0.12, 0.2, 0.25, 0.4]), max(12, 2.5 * sketch.pen), 60)
    )
    style = int(rng.choice([0, 0, 0, 1, 2, 3, 4, 4]))
    unit_of = str(rng.choice(_UNITS))
    at_tail = rng.random()
    habit = float(rng.choice([270.0, 90.0, 0.0, 180.0], p=[0.7, 0.05, 0.13, 0.12]))
    for joint in rng.choice(free, count, replace=False):
        at = net.joints[joint]
        push = habit if rng.random() < 0.65 else float(rng.choice([270, 270, 0, 180, 90]))
        if rng.random() < 0.12:
            push = float(rng.uniform(0, 360))
        if held and joint in held and push == 90.0:
            push = 270.0
        pushes = [push, float(rng.choice([0, 180]))] if rng.random() < 0.07 else [push]
        for way_deg in dict.fromkeys(pushes):
            a = np.radians(way_deg)
            way = np.array([np.cos(a), -np.sin(a)])
            reach = length * rng.uniform(0.7, 1.3)
            if rng.random() < (0.85 if at_tail < 0.25 else 0.12):
                tail = at + way * rng.uniform(0, 12)
                tip = tail + way * reach
            else:
                tip = at - way * rng.uniform(0, rng.choice([8, 30]))
                tail = tip - way * reach
            tail = tail + np.array([-way[1], way[0]]) * rng.normal(0, 3)
            look = "double" if rng.random() < 0.04 else "plain"
            arrow(sketch, tail, tip, head * rng.uniform(0.8, 1.2), style, layer, look)
            words = value(rng, unit_of) if rng.random() < 0.82 else ""
            if words:
                end = tail if np.hypot(*(tail - at)) > np.hypot(*(tip - at)) else tip
                sketch.text_near(words, end, 8, careless=0.25, layer=layer)
            sketch.truth["loads"].append({
                "joint": int(joint), "direction_deg": way_deg, "value": None, "unit": "",
                "tail": tail.tolist(), "head": tip.tolist(),
            })  # fmt: skip


def _notes(sketch: Sketch, net: Net, bay: float) -> None:
    """Letters, numbers on members, dimensions, angles and slopes of the truss."""
    rng, joints = sketch.rng, net.joints
    if rng.random() < 0.55:
        numbers, small = rng.random() < 0.2, rng.random() < 0.1
        ringed = rng.random() < 0.06
        for k, at in enumerate(joints):
            word = str(k + 1) if numbers else chr((97 if small else 65) + k % 26)
            if rng.random() < 0.95:
                truth = sketch.truth["joints"][k]
                truth["label"] = word
                sketch.text_near(word, at, 14, careless=0.3)
                if ringed:
                    box = np.array(sketch.truth["texts"][-1]["box"])
                    sketch.ink(ring(rng, box.mean(axis=0), sketch.letter * 0.85), 0.8, 0.8)
    if rng.random() < 0.18 and 2.4 * sketch.letter < 0.9 * bay:
        tail = str(rng.choice(["T", "C", "mixed", ""]))
        for a, b in net.bars:
            if rng.random() < 0.75:
                word = (
                    f"{rng.integers(0, 100)}" if rng.random() < 0.8 else f"{rng.uniform(0, 50):.1f}"
                )
                word += " TC"[int(rng.integers(1, 3))] if tail == "mixed" else tail
                middle = (joints[a] + joints[b]) / 2
                sketch.text_near(word, middle, 6, sketch.letter * 0.75, 0.3)
    low, high = joints.min(axis=0), joints.max(axis=0)
    length_unit = str(rng.choice(["m", " m", "", "ft", "'", " mm", "a", "L"]))

    def measured() -> str:
        if length_unit in "aL" and length_unit:
            return str(rng.choice([length_unit, "2" + length_unit, length_unit + "/2"]))
        return f"{rng.choice([rng.integers(1, 13), rng.integers(2, 30) / 2])}{length_unit}"

    if rng.random() < 0.42:
        floor = sorted({round(float(x)) for x in joints[joints[:, 1] > high[1] - 60][:, 0]})
        stops = [k for i, k in enumerate(floor) if i == 0 or k - floor[i - 1] > 60]
        if rng.random() < 0.35 and len(stops) > 2:
            stops = [stops[0], stops[-1]]
        down = np.array([0.0, rng.uniform(110, 220)])
        for p, q in itertools.pairwise(stops):
            dimension(sketch, np.array([p, high[1]]), np.array([q, high[1]]), down, measured())
    if rng.random() < 0.28:
        x = low[0] if rng.random() < 0.5 else high[0]
        aside = np.array([(-1 if x == low[0] else 1) * rng.uniform(90, 200), 0.0])
        if high[1] - low[1] > 100:
            dimension(sketch, np.array([x, low[1]]), np.array([x, high[1]]), aside, measured())
    for a, b in rng.permutation(np.array(net.bars))[: int(rng.choice([0, 0, 0, 1, 2]))]:
        others = [c for pair in net.bars if a in pair for c in pair if c not in (a, b)]
        if rng.random() < 0.5 and others:
            word = str(rng.choice(["30°", "45°", "60°", "a", "", "36.9°", "x"]))
            angle_mark(sketch, joints[a], joints[b], joints[others[0]], 0.25 * bay, word)
        elif min(np.abs(joints[a] - joints[b])) > 60:
            pair = [("4", "3"), ("3", "4"), ("1", "1"), ("12", "5"), ("2", "1")][
                int(rng.integers(5))
            ]
            way = joints[b] - joints[a]
            start = (
                joints[a] + way * rng.uniform(0.2, 0.5) + rng.choice([-1, 1]) * np.array([0, 22])
            )
            slope_mark(sketch, start, way, rng.uniform(60, 110), pair)
