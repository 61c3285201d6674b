"""Recipe: two chords over panels, and a rule for the web of each bay."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from vision.training.third.plan import Plan

__all__ = ["bays", "chorded", "zigzag"]

Points = NDArray[np.float64]
Profile = Callable[[float], float]

WEBS = ("up", "down", "inward", "outward", "turns", "cross", "star", "k", "sub", "none", "any")


def _profiles(rng: np.random.Generator, n: int) -> tuple[Profile, Profile]:
    """Bottom and top heights over t in 0..1 for a truss of n panels of about 1."""
    deep = rng.uniform(0.6, 1.5) * (1.0 if n < 6 else rng.uniform(0.9, 1.5))
    rise = n * rng.uniform(0.18, 0.42)
    shape = str(
        rng.choice(
            [
                "flat",
                "gable",
                "trapeze",
                "arc",
                "lens",
                "mono",
                "bellied",
                "scissors",
                "arch",
                "lean",
            ],
            p=[0.36, 0.14, 0.08, 0.12, 0.04, 0.07, 0.06, 0.04, 0.05, 0.04],
        )
    )
    ridge = float(rng.choice([0.5, 0.5, 0.5, rng.uniform(0.3, 0.7)]))

    def tent(t: float) -> float:
        return t / ridge if t <= ridge else (1 - t) / (1 - ridge)

    def hump(t: float) -> float:
        return 4 * t * (1 - t)

    closing = 1.0 if deep < 1 else 0.8
    low = rng.choice([0.0, 0.0, deep * 0.5])
    table: dict[str, tuple[Profile, Profile]] = {
        "flat": (lambda t: 0.0, lambda t: deep),
        "gable": (lambda t: 0.0, lambda t: rise * tent(t)),
        "trapeze": (lambda t: 0.0, lambda t: 0.6 * deep + 0.6 * rise * tent(t)),
        "arc": (lambda t: 0.0, lambda t: low + rise * hump(t)),
        "lens": (lambda t: -0.5 * rise * hump(t), lambda t: 0.6 * rise * hump(t)),
        "mono": (lambda t: 0.0, lambda t: low + rise * t),
        "bellied": (lambda t: -0.7 * rise * hump(t), lambda t: deep),
        "scissors": (lambda t: 0.35 * rise * tent(t), lambda t: rise * tent(t)),
        "arch": (lambda t: 0.7 * rise * hump(t), lambda t: 0.5 * deep + 0.9 * rise * hump(t)),
        "lean": (lambda t: 0.35 * n * t, lambda t: deep + 0.35 * n * t * closing),
    }
    bottom, top = table[shape]
    if rng.random() < 0.12:
        return (lambda t: -top(t)), (lambda t: -bottom(t))
    return bottom, top


def bays(rng: np.random.Generator, lower: list[int], upper: list[int], plan: Plan) -> None:
    """Fill the bays between two rows of joints by one rule, or bay by bay by any."""
    n = len(lower) - 1
    rule = str(rng.choice(WEBS, p=[0.1, 0.1, 0.12, 0.12, 0.11, 0.22, 0.05, 0.06, 0.03, 0.01, 0.08]))
    posts = rng.random() < 0.88
    if posts or rule == "none":
        for k in range(n + 1):
            plan.bar(lower[k], upper[k])
    else:
        plan.bar(lower[0], upper[0])
        plan.bar(lower[n], upper[n])
    parity = int(rng.integers(2))
    for k in range(n):
        a, b, c, d = lower[k], lower[k + 1], upper[k], upper[k + 1]
        if len({a, b, c, d}) < 4:
            continue
        way = str(rng.choice(WEBS[:9])) if rule == "any" else rule
        if way == "inward":
            way = "up" if 2 * k + 1 < n else "down"
        elif way == "outward":
            way = "down" if 2 * k + 1 < n else "up"
        elif way == "turns":
            way = "up" if (k + parity) % 2 else "down"
        if way in ("up", "cross"):
            plan.bar(a, d)
        if way in ("down", "cross"):
            plan.bar(c, b)
        if way == "sub":
            mid = plan.joint(*(0.5 * (plan.places()[a] + plan.places()[d])))
            plan.row([a, mid, d])
            plan.bar(mid, b)
        if way == "star":
            p = plan.places()[[a, b, c, d]]
            mid = plan.joint(*_meeting(p[0], p[3], p[2], p[1]))
            plan.row([a, mid, d])
            plan.row([c, mid, b])
        if way == "k":
            post = b if 2 * k + 1 < n else a
            other = d if post == b else c
            if (post, other) not in plan.bars and (other, post) not in plan.bars:
                continue
            at = plan.places()
            mid = plan.joint(*(0.5 * (at[post] + at[other])))
            for pair in ((post, other), (other, post)):
                if pair in plan.bars:
                    plan.bars.remove(pair)
            plan.row([post, mid, other])
            far = (a, c) if post == b else (b, d)
            plan.bar(far[0], mid)
            plan.bar(far[1], mid)


def _meeting(a: Points, b: Points, c: Points, d: Points) -> tuple[float, float]:
    """Where the lines a-b and c-d meet."""
    r, s = b - a, d - c
    t = ((c - a)[0] * s[1] - (c - a)[1] * s[0]) / (r[0] * s[1] - r[1] * s[0] + 1e-12)
    return float(a[0] + t * r[0]), float(a[1] + t * r[1])


def zigzag(rng: np.random.Generator, n: int, bottom: Profile, top: Profile, plan: Plan) -> None:
    """Lay a web without posts: upper joints over the middles of the lower panels."""
    lower = [plan.joint(k, bottom(k / n)) for k in range(n + 1)]
    heights = [top((k + 0.5) / n) for k in range(n)]
    upper = [plan.joint(k + 0.5, max(heights[k], bottom((k + 0.5) / n) + 0.35)) for k in range(n)]
    plan.row(lower)
    plan.row(upper)
    for k in range(n):
        plan.bar(lower[k], upper[k])
        plan.bar(upper[k], lower[k + 1])
    if rng.random() < 0.2:
        ends = [(0, upper[0]), (n, upper[-1])]
        for k, neighbour in ends:
            corner = plan.joint(k, plan.joints[neighbour][1])
            plan.bar(lower[k], corner)
            plan.bar(corner, neighbour)
    elif rng.random() < 0.25:
        for k in range(n):
            foot = plan.joint(k + 0.5, bottom((k + 0.5) / n))
            chord = (lower[k], lower[k + 1])
            if chord in plan.bars and bottom(0.3) == bottom(0.5):
                plan.bars.remove(chord)
                plan.row([lower[k], foot, lower[k + 1]])
                plan.bar(foot, upper[k])
            else:
                plan.joints.pop()
                break
    plan.loaded = upper if rng.random() < 0.5 else lower[1:-1]
    plan.holds = [(lower[0], "pin", 90), (lower[n], "roller", 90)]
    if rng.random() < 0.25 and n > 2:
        inner = int(rng.integers(1, n))
        plan.holds[1] = (lower[inner], "roller", 90)


def chorded(rng: np.random.Generator) -> Plan:
    """Make a truss of two chords."""
    plan = Plan()
    n = int(np.clip(round(rng.lognormal(1.45, 0.45)), 1, 13))
    bottom, top = _profiles(rng, n)
    if rng.random() < 0.28:
        zigzag(rng, n, bottom, top, plan)
        return plan
    steps = np.ones(n)
    if rng.random() < 0.25:
        steps = rng.uniform(0.6, 1.5, n)
    x = np.concatenate([[0], np.cumsum(steps)])
    t = x / x[-1]
    lower, upper = [], []
    for k in range(n + 1):
        lo, hi = bottom(float(t[k])), top(float(t[k]))
        lower.append(plan.joint(float(x[k]), lo))
        upper.append(plan.joint(float(x[k]), hi if hi - lo > 0.3 else lo))
    blunt = lower[0] != upper[0] and lower[n] != upper[n]
    if blunt and n > 2 and rng.random() < 0.35:
        first = [lower[0], *upper[1:n], lower[n]]
        hidden = {upper[0], upper[n]}
        kept = [k for k in range(len(plan.joints)) if k not in hidden]
        new = {old: i for i, old in enumerate(kept)}
        plan.joints = [plan.joints[k] for k in kept]
        lower, upper = [new[k] for k in lower], [new[k] for k in first]
    plan.row(lower)
    plan.row(upper)
    bays(rng, lower, upper, plan)
    base = lower
    if rng.random() < 0.1:
        base = upper
    plan.loaded = upper[:] if rng.random() < 0.5 else lower[1:-1] or upper[:]
    kinds = ["pin", "roller"] if rng.random() < 0.9 else ["pin", "pin"]
    left, right = base[0], base[n]
    if n > 3 and rng.random() < 0.14:
        right = base[int(rng.integers(n // 2 + 1, n))]
        if rng.random() < 0.4:
            left = base[1]
    plan.holds = [(left, kinds[0], 90), (right, kinds[1], 90)]
    if n > 3 and rng.random() < 0.07:
        plan.holds.append((base[n // 2], "roller", 90))
    return plan
