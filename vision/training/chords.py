"""Trusses between two chords: bridges, roofs, cantilevers, towers."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from vision.training.frame import Frame, FrameBuilder

__all__ = ["PATTERNS", "chord_truss", "shaped_chords", "supported"]

Rng = np.random.Generator
Chord = Callable[[float], float]

PATTERNS = (
    "pratt", "howe", "same", "alternate", "warren", "cross", "cross_joined", "k", "mixed", "bare",
    "subdivided", "double_warren",
)  # fmt: skip


def shaped_chords(rng: Rng) -> tuple[Chord, Chord, str]:
    """Choose the run of both chords over 0..1 and say what the outline is."""
    h = rng.uniform(0.1, 0.5)
    shape = str(
        rng.choice(
            ["parallel", "trapezoid", "arch", "gable", "mono", "taper", "lens", "belly", "camel",
             "arch_both", "inverted"],
            p=[0.22, 0.2, 0.1, 0.1, 0.06, 0.1, 0.03, 0.05, 0.06, 0.04, 0.04],
        )
    )  # fmt: skip
    low: Chord = lambda x: 0.0  # noqa: E731
    end = rng.uniform(0.0, 0.6) if rng.random() < 0.5 else 0.0
    if shape == "arch":
        return low, lambda x: h * (end + (1 - end) * 4 * x * (1 - x)), shape
    if shape == "gable":
        rise = rng.uniform(0.0, 0.3) if rng.random() < 0.3 else 0.0
        peak = 0.5 if rng.random() < 0.8 else rng.uniform(0.3, 0.7)
        tent: Chord = lambda x: min(x / peak, (1 - x) / (1 - peak))  # noqa: E731
        return (lambda x: rise * h * tent(x)), (lambda x: h * (end + (1 - end) * tent(x))), shape
    if shape == "mono":
        return low, lambda x: h * (end + (1 - end) * x), shape
    if shape == "taper":
        tip = rng.uniform(0.0, 0.8)
        if rng.random() < 0.5:
            return (lambda x: h * (1 - tip) * x), (lambda x: h), shape
        return (lambda x: h * (1 - tip) * x * 0.5), (lambda x: h - h * (1 - tip) * x * 0.5), shape
    if shape == "lens":
        return (lambda x: -h * 2 * x * (1 - x)), (lambda x: h * 2 * x * (1 - x)), shape
    if shape == "belly":
        return (lambda x: -h * (end + (1 - end) * 4 * x * (1 - x))), low, shape
    if shape == "camel":
        return low, lambda x: h * (1 - max(0.0, abs(2 * x - 1) - 0.5) * rng_slope), shape
    if shape == "arch_both":
        deep = rng.uniform(0.3, 0.6) * h
        return (lambda x: h * 4 * x * (1 - x)), (lambda x: deep + h * 4 * x * (1 - x)), shape
    if shape == "inverted":
        return (lambda x: -h * (1 - abs(2 * x - 1))), low, shape
    return low, lambda x: h, shape


#: Fall of a camelback's outer panels, as a share of its height over its length.
rng_slope = 1.0


def chord_truss(
    rng: Rng, panels: int, low: Chord, high: Chord, pattern: str, clipped: bool
) -> tuple[FrameBuilder, list[int], list[int]]:
    """Build the web between two chords.

    Returns
    -------
    FrameBuilder, list of int, list of int
        What was built, the joints of the lower and of the upper chord from left to right.
    """
    b = FrameBuilder()
    x = np.linspace(0, 1, panels + 1)
    if rng.random() < 0.25:
        x[1:-1] += rng.uniform(-0.25, 0.25, panels - 1) / panels
    if pattern in ("warren", "double_warren"):
        return _warren(b, x, low, high, pattern == "double_warren", clipped)
    lower = [b.joint(v, low(v)) for v in x]
    upper = [b.joint(v, high(v) if high(v) - low(v) > 0.03 else low(v)) for v in x]
    if clipped:
        upper[0], upper[-1] = lower[0], lower[-1]
    b.member(*lower)
    b.member(*upper)
    if clipped:
        b.places = [b.places[k] for k in range(len(b.places))]
    for k in range(panels + 1):
        post = (
            pattern not in ("bare", "cross", "cross_joined")
            or k in (0, panels)
            or (pattern != "bare" and rng.random() < 0.8)
        )
        if pattern == "k" and 0 < k < panels and upper[k] != lower[k]:
            continue
        if post:
            b.member(lower[k], upper[k])
    for k in range(panels):
        _brace(rng, b, pattern, k, panels, lower, upper, x, low, high)
    return _without_loose(b, lower, upper)


def _brace(
    rng: Rng, b: FrameBuilder, pattern: str, k: int, panels: int, lower: list[int],
    upper: list[int], x: np.ndarray, low: Chord, high: Chord,
) -> None:  # fmt: skip
    if lower[k] == upper[k] or lower[k + 1] == upper[k + 1]:
        return
    rising = (lower[k], upper[k + 1])
    falling = (upper[k], lower[k + 1])
    left = k < panels / 2
    if pattern == "pratt":
        b.member(*(falling if left else rising))
    elif pattern == "howe":
        b.member(*(rising if left else falling))
    elif pattern == "same":
        b.member(*rising)
    elif pattern == "alternate":
        b.member(*(rising if k % 2 else falling))
    elif pattern == "mixed":
        for bar in (rising, falling) if rng.random() < 0.15 else (rising,):
            b.member(*(bar if rng.random() < 0.5 else falling))
    elif pattern == "cross":
        b.member(*rising)
        b.member(*falling)
    elif pattern == "cross_joined":
        middle = _meeting(b, rising, falling)
        b.member(rising[0], middle, rising[1])
        b.member(falling[0], middle, falling[1])
    elif pattern == "bare":
        if rng.random() < 0.85:
            b.member(*(rising if rng.random() < 0.5 else falling))
    elif pattern == "subdivided":
        bar = falling if left else rising
        p, q = b.places[bar[0]], b.places[bar[1]]
        middle = b.joint((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)
        b.member(bar[0], middle, bar[1])
        b.member(middle, lower[k] if left else lower[k + 1])
    elif pattern == "k":
        side, other = (k + 1, k) if left else (k, k + 1)
        middle = b.joint(x[side], (low(x[side]) + high(x[side])) / 2)
        b.member(lower[side], middle, upper[side])
        b.member(lower[other], middle, upper[other])


def _meeting(b: FrameBuilder, one: tuple[int, int], two: tuple[int, int]) -> int:
    p, r = np.array(b.places[one[0]]), np.subtract(b.places[one[1]], b.places[one[0]])
    q, s = np.array(b.places[two[0]]), np.subtract(b.places[two[1]], b.places[two[0]])
    t = ((q - p)[0] * s[1] - (q - p)[1] * s[0]) / (r[0] * s[1] - r[1] * s[0])
    at = p + t * r
    return b.joint(at[0], at[1])


def _warren(
    b: FrameBuilder, x: np.ndarray, low: Chord, high: Chord, double: bool, clipped: bool
) -> tuple[FrameBuilder, list[int], list[int]]:
    middle = (x[1:] + x[:-1]) / 2
    lower = [b.joint(v, low(v)) for v in x]
    upper = [b.joint(v, max(high(v), low(v) + 0.06)) for v in middle]
    b.member(*lower)
    for k, top in enumerate(upper):
        b.member(lower[k], top, lower[k + 1])
    b.member(*upper)
    if double and not clipped:
        first, last = b.joint(x[0], high(x[0]) + 0.06), b.joint(x[-1], high(x[-1]) + 0.06)
        b.member(lower[0], first, upper[0])
        b.member(upper[-1], last, lower[-1])
        upper = [first, *upper, last]
    return b, lower, upper


def _without_loose(
    b: FrameBuilder, lower: list[int], upper: list[int]
) -> tuple[FrameBuilder, list[int], list[int]]:
    used = sorted({j for pair in b.members for j in pair})
    new = {old: index for index, old in enumerate(used)}
    b.places = [b.places[old] for old in used]
    b.members = dict.fromkeys((new[p], new[q]) for p, q in b.members)
    return b, [new[j] for j in lower if j in new], [new[j] for j in upper if j in new]


def supported(rng: Rng, b: FrameBuilder, lower: list[int], upper: list[int]) -> Frame:
    """Hold a two-chord truss as a simple span, an overhang, a continuous span or a cantilever."""
    way = rng.random()
    first, last = lower[0], lower[-1]
    loadable = list(dict.fromkeys(lower[1:-1] if rng.random() < 0.6 else upper))
    if way < 0.22 and upper[0] != lower[0]:
        pair = ["pin", "roller"] if rng.random() < 0.5 else ["pin", "pin"]
        if rng.random() < 0.5:
            pair.reverse()
        held = [(upper[0], pair[0], 0.0), (lower[0], pair[1], 0.0)]
        frame = b.frame(held, list(dict.fromkeys([*lower[1:], *upper[1:]])))
        return frame.mirrored() if rng.random() < 0.5 else frame
    if way < 0.34 and len(lower) > 4:
        first = lower[int(rng.integers(0, 2))]
        last = lower[-1 - int(rng.integers(0, 2))]
    if way > 0.9 and len(upper) > 2:
        first, last = upper[0], upper[-1]
    kinds = ["pin", "roller"] if rng.random() < 0.85 else ["pin", "pin"]
    if rng.random() < 0.3:
        kinds.reverse()
    lean = rng.choice([0, 30, 45, -30, -45, 20, 60]) if rng.random() < 0.12 else 0
    held = [(first, kinds[0], 90.0), (last, kinds[1], 90.0 + lean)]
    if 0.34 < way < 0.42 and len(lower) > 4:
        held.append((lower[len(lower) // 2], "roller", 90.0))
    return b.frame(held, [j for j in loadable if j not in (first, last)] or None)
