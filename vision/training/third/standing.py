"""Recipes: towers, cranes, brackets from walls, portals, grown and toy trusses."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from vision.training.third.chorded import bays, chorded
from vision.training.third.plan import Plan, crossings, sound

__all__ = ["choose_plan"]

Points = NDArray[np.float64]


def _tower(rng: np.random.Generator) -> Plan:
    """A mast of storeys, often with an arm or two."""
    plan = Plan()
    n = int(rng.integers(2, 8))
    foot, head = rng.uniform(1.0, 2.0), rng.uniform(0.5, 1.0)
    if rng.random() < 0.3:
        head = foot
    y, left, right = 0.0, [], []
    for k in range(n + 1):
        half = 0.5 * (foot + (head - foot) * k / n)
        left.append(plan.joint(-half, y))
        right.append(plan.joint(half, y))
        y += 2 * half * rng.uniform(0.75, 1.1)
    plan.row(left)
    plan.row(right)
    bays(rng, left, right, plan)
    if rng.random() < 0.5 and (left[0], right[0]) in plan.bars:
        plan.bars.remove((left[0], right[0]))
    if rng.random() < 0.35:
        tip = plan.joint(0.0, y)
        plan.bar(left[-1], tip)
        plan.bar(right[-1], tip)
    arms = int(rng.integers(0, 3))
    for side, posts in ((1, right), (-1, left))[:arms]:
        k = n
        x = plan.joints[posts[k]][0] + side * rng.uniform(0.8, 1.8)
        end = plan.joint(x, plan.joints[posts[k if rng.random() < 0.5 else k - 1]][1])
        plan.bar(posts[k], end)
        plan.bar(posts[k - 1], end)
        plan.loaded.append(end)
    plan.loaded += left if rng.random() < 0.6 else [left[-1], right[-1]]
    second = "pin" if rng.random() < 0.45 else "roller"
    plan.holds = [(left[0], "pin", 90), (right[0], second, 90)]
    return plan


def _bracket(rng: np.random.Generator) -> Plan:
    """A truss that stands out from a wall."""
    plan = Plan()
    n = int(rng.integers(1, 7))
    deep, tip = rng.uniform(0.8, 1.8), rng.choice([0.0, 0.0, rng.uniform(0.3, 0.8)])
    shape = str(rng.choice(["up", "down", "both"]))
    lower, upper = [], []
    for k in range(n + 1):
        h = deep + (tip - deep) * k / n
        base = {"up": 0.0, "down": deep - h, "both": 0.5 * (deep - h)}[shape]
        lower.append(plan.joint(k, base))
        upper.append(plan.joint(k, base + h if h > 0.28 else base))
    plan.row(lower)
    plan.row(upper)
    bays(rng, lower, upper, plan)
    wall = (lower[0], upper[0])
    if rng.random() < 0.5 and wall in plan.bars:
        plan.bars.remove(wall)
    plan.loaded = [lower[-1], upper[-1], *(upper[1:] if rng.random() < 0.5 else lower[1:])]
    kinds = ["pin", "roller"]
    rng.shuffle(kinds)
    if rng.random() < 0.35:
        kinds = ["pin", "pin"]
    ways = [float(rng.choice([0, 0, 0, 90])) if k == "pin" else 0.0 for k in kinds]
    plan.holds = [
        (upper[0], kinds[0], ways[0] if ways[0] == 0 else 0.0),
        (lower[0], kinds[1], ways[1]),
    ]
    return plan


def _crane(rng: np.random.Generator) -> Plan:
    """A mast with a slanting arm and a stay."""
    plan = Plan()
    a, b = plan.joint(0, 0), plan.joint(rng.uniform(0.8, 1.4), 0)
    high = rng.uniform(1.2, 2.4)
    c, d = plan.joint(0, high), plan.joint(plan.joints[b][0], high * rng.uniform(0.8, 1.0))
    for p, q in ((a, c), (b, d), (c, d), (a, d) if rng.random() < 0.5 else (b, c)):
        plan.bar(p, q)
    last, before = d, c
    x, y = plan.joints[d]
    slope = rng.uniform(-0.1, 0.9)
    thick = rng.uniform(0.5, 0.8)
    for k in range(int(rng.integers(1, 6))):
        x += rng.uniform(0.6, 1.0)
        up = k % 2 == 0
        new = plan.joint(x, y + slope * (x - plan.joints[d][0]) + (thick if up else 0.0))
        plan.bar(last, new)
        plan.bar(before, new)
        before, last = last, new
    plan.loaded = [last, before]
    second = "pin" if rng.random() < 0.4 else "roller"
    plan.holds = [(a, "pin", 90), (b, second, 90)]
    return plan


def _portal(rng: np.random.Generator) -> Plan:
    """Two legs of ladder and a beam of bays between, or an arch of two halves."""
    plan = Plan()
    w, legs, n = rng.uniform(0.6, 0.9), int(rng.integers(1, 4)), int(rng.integers(2, 6))
    span = 2 * w + n * 0.9
    rows = [plan.joint(0, k * 0.9) for k in range(legs + 2)]
    inner = [plan.joint(w, k * 0.9) for k in range(legs + 1)]
    right = [plan.joint(span, k * 0.9) for k in range(legs + 2)]
    inner_r = [plan.joint(span - w, k * 0.9) for k in range(legs + 1)]
    top = (legs + 1) * 0.9
    beam = [w + k * 0.9 for k in range(n + 1)]
    upper = [plan.joint(x, top) for x in beam]
    lower = [inner[-1], *[plan.joint(x, legs * 0.9) for x in beam[1:-1]], inner_r[-1]]
    plan.row([*rows[:-1]])
    plan.row([*right[:-1]])
    plan.bar(rows[-2], rows[-1])
    plan.bar(right[-2], right[-1])
    plan.row(inner)
    plan.row(inner_r)
    plan.row([rows[-1], *upper, right[-1]])
    plan.row([rows[-2], *lower, right[-2]])
    bays(rng, rows[:-1], inner, plan)
    bays(rng, inner_r, right[:-1], plan)
    bays(rng, lower, upper, plan)
    plan.bar(rows[-2], upper[0])
    plan.bar(right[-2], upper[-1])
    plan.loaded = upper if rng.random() < 0.6 else rows[1:]
    feet = [rows[0], inner[0], inner_r[0], right[0]]
    if rng.random() < 0.5:
        feet = [rows[0], right[0]]
    plan.holds = [(f, "pin" if rng.random() < 0.6 else "roller", 90) for f in feet]
    return plan


#: Webs of half a pitched roof: shares of the rafter, shares of the half span, and bars
#: between them as rafter-foot pairs; the last rafter joint is the ridge.
ROOFS: list[tuple[list[float], list[float], str]] = [
    ([0.5, 1], [0.67], "00 10"),
    ([0.33, 0.67, 1], [0.67], "00 10 20"),
    ([0.33, 0.67, 1], [0.4, 0.75], "00 10 11 21"),
    ([0.5, 1], [1], "00 10"),
    ([0.33, 0.67, 1], [0.5, 1], "00 10 11 21"),
    ([1], [0.5], "00"),
]


def _roof(rng: np.random.Generator) -> Plan:
    """A pitched roof whose webs run from its rafters to few joints of its tie."""
    plan = Plan()
    rafter, tie, webs = ROOFS[int(rng.integers(len(ROOFS)))]
    half = len(rafter) + 0.3
    rise, lift = half * rng.uniform(0.4, 0.9), rng.choice([0.0, 0.0, 0.0, rng.uniform(0.05, 0.2)])
    rows: dict[int, list[int]] = {}
    feet: dict[int, list[int]] = {}
    for side in (-1, 1):
        heel = plan.joint(side * half, 0)
        rows[side] = [plan.joint(side * half * (1 - t), rise * t) for t in rafter]
        feet[side] = [plan.joint(side * half * (1 - t), lift * half) for t in tie]
        plan.row([heel, *rows[side]])
        for pair in webs.split():
            plan.bar(rows[side][int(pair[0])], feet[side][int(pair[1])])
    heels = plan.joint(-half, 0), plan.joint(half, 0)
    plan.row([heels[0], *feet[-1], *feet[1][::-1], heels[1]])
    plan.loaded = rows[-1] if rng.random() < 0.4 else list(dict.fromkeys(rows[-1] + rows[1]))
    plan.holds = [(heels[0], "pin", 90), (heels[1], "roller", 90)]
    return plan


def _grown(rng: np.random.Generator) -> Plan:
    """A triangle to which joints are added by two bars each."""
    plan = Plan()
    base = plan.joint(0, 0), plan.joint(1, rng.normal(0, 0.1))
    tip = plan.joint(rng.uniform(0.2, 0.8), rng.uniform(0.6, 1.0))
    edges = [base, (base[1], tip), (tip, base[0])]
    plan.bars = [*edges]
    for _ in range(int(rng.choice([1, 2, 3, 4, 5, 6, 8, 10, 13]))):
        k = int(rng.integers(len(edges)))
        a, b = edges[k]
        at = plan.places()
        mid, along = 0.5 * (at[a] + at[b]), at[b] - at[a]
        out = np.array([along[1], -along[0]])
        new = mid + rng.uniform(0.5, 1.05) * out + rng.normal(0, 0.2) * along
        trial = Plan([*plan.joints, (float(new[0]), float(new[1]))], [*plan.bars])
        j = len(plan.joints)
        trial.bars += [(a, j), (b, j)]
        if sound(trial) and not crossings(trial.places(), trial.bars):
            plan.joints, plan.bars = trial.joints, trial.bars
            edges[k : k + 1] = [(a, j), (j, b)]
    for _ in range(3):
        a, b = (int(k) for k in rng.choice(len(plan.joints), 2))
        at = plan.places()
        trial = Plan(plan.joints, [*plan.bars])
        trial.bar(a, b)
        if np.hypot(*(at[a] - at[b])) < 1.9 and sound(trial) and rng.random() < 0.25:
            plan.bars = trial.bars
    at = plan.places()
    order = np.argsort(at[:, 1] + 0.02 * at[:, 0])
    first = int(order[0])
    rest = [int(k) for k in order[1 : max(3, len(order) // 2)]]
    far = max(rest, key=lambda k: float(abs(at[k, 0] - at[first, 0])))
    held = sorted((first, far), key=lambda k: float(at[k, 0]))
    plan.holds = [(held[0], "pin", 90), (held[1], "roller", 90)]
    plan.loaded = [int(k) for k in order[::-1][: max(1, len(order) // 2)]]
    return plan


#: First exercises: joints on a grid, bars, and holds as joint, kind, angle.
TOYS: list[tuple[list[tuple[float, float]], str, list[tuple[int, str, float]], list[int]]] = [
    ([(0, 0), (2, 0), (1, 1.2)], "01 12 02", [(0, "pin", 90), (1, "roller", 90)], [2]),
    ([(0, 0), (2, 0), (0, 1.5)], "01 12 02", [(0, "pin", 90), (1, "roller", 90)], [2]),
    ([(0, 0), (0, 1.2), (1.6, 0)], "02 12", [(0, "pin", 0), (1, "pin", 0)], [2]),
    ([(0, 0), (0, 1.2), (1.6, 1.2)], "02 12", [(0, "pin", 0), (1, "pin", 0)], [2]),
    ([(0, 1), (2, 1), (1, 0)], "02 12", [(0, "pin", 270), (1, "pin", 270)], [2]),
    (
        [(0, 1), (1, 1), (2, 1), (1, 0)],
        "03 13 23",
        [(0, "pin", 270), (1, "pin", 270), (2, "pin", 270)],
        [3],
    ),
    (
        [(0, 0), (1.4, 0), (1.4, 1.2), (0, 1.2)],
        "01 12 23 30 02",
        [(0, "pin", 90), (1, "roller", 90)],
        [2, 3],
    ),
    (
        [(0, 0), (1.4, 0), (1.4, 1.2), (0, 1.2)],
        "01 12 23 02 13",
        [(0, "pin", 0), (3, "pin", 0)],
        [2, 1],
    ),
    (
        [(0, 0), (1.5, 0), (1.5, 1.5), (0, 1.5)],
        "01 12 23 13",
        [(0, "pin", 0), (3, "roller", 0)],
        [2, 1],
    ),
    (
        [(0, 0), (1, 1), (2, 0), (1, -1)],
        "01 12 23 30 13",
        [(0, "pin", 90), (2, "roller", 90)],
        [1, 3],
    ),
    (
        [(0, 0), (1, 0), (2, 0), (1, 1)],
        "01 12 03 13 23",
        [(0, "pin", 90), (2, "roller", 90)],
        [3, 1],
    ),
    (
        [(0, 0), (1.3, 0), (0.6, 1.1), (1.9, 1.1)],
        "01 02 12 23 13",
        [(0, "pin", 90), (1, "roller", 90)],
        [2, 3],
    ),
    (
        [(0, 0), (1, 0), (2, 0), (0, 1), (1, 1)],
        "01 12 34 04 14 24",
        [(0, "pin", 0), (3, "pin", 0)],
        [2, 4],
    ),
    (
        [(0, 0), (2, 0), (1, 0.7), (1, 1.7)],
        "02 12 03 13 23",
        [(0, "pin", 90), (1, "roller", 90)],
        [3],
    ),
    ([(0, 0), (2, 0), (1, 0.9)], "02 12", [(0, "pin", 90), (1, "pin", 90)], [2]),
    (
        [(0, 0), (3, 0), (1, 1), (2, 1)],
        "02 23 13 03 01",
        [(0, "pin", 90), (1, "roller", 90)],
        [2, 3],
    ),
]


def _toy(rng: np.random.Generator) -> Plan:
    """A truss of a first exercise, stretched."""
    joints, bars, holds, loaded = TOYS[int(rng.integers(len(TOYS)))]
    wide, high = rng.uniform(0.7, 1.5), rng.uniform(0.7, 1.5)
    plan = Plan([(x * wide, y * high) for x, y in joints])
    plan.bars = [(int(pair[0]), int(pair[1])) for pair in bars.split()]
    plan.holds, plan.loaded = list(holds), list(loaded)
    if rng.random() < 0.25:
        plan.joints = [(x + rng.normal(0, 0.12), y + rng.normal(0, 0.12)) for x, y in plan.joints]
    return plan


def _mirrored(plan: Plan) -> None:
    """Turn left and right about."""
    plan.joints = [(-x, y) for x, y in plan.joints]
    plan.holds = [(j, kind, (180 - angle) % 360) for j, kind, angle in plan.holds]


def choose_plan(rng: np.random.Generator) -> Plan:
    """Return a sound plan by one of the recipes."""
    recipes = (chorded, _tower, _bracket, _crane, _portal, _grown, _toy, _roof)
    for _ in range(30):
        k = int(rng.choice(len(recipes), p=[0.43, 0.07, 0.1, 0.05, 0.04, 0.11, 0.14, 0.06]))
        plan = recipes[k](rng)
        if k in (0, 1, 5) and len(plan.bars) > 4 and rng.random() < 0.06:
            plan.bars.pop(int(rng.integers(len(plan.bars))))
        if not sound(plan):
            continue
        if rng.random() < 0.4:
            _mirrored(plan)
        return plan
    return _toy(np.random.default_rng(0))
