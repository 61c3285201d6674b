"""Trusses before anybody draws them: joints, bars and what holds them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.training.fourth.recipes import RECIPES, Bars, Held, Plot
from vision.training.fourth.strokes import Points

__all__ = ["Net", "any_net", "met"]

Rng = np.random.Generator


@dataclass(frozen=True)
class Net:
    """A truss: `joints` (n, 2) with y down, longest extent 1000; `bars`; `held` joints.

    `held` gives a joint, whether it is a pin, and the direction (degrees) of the push.
    """

    recipe: str
    joints: Points
    bars: tuple[tuple[int, int], ...]
    held: tuple[Held, ...]


def met(p: Points, q: Points, r: Points, s: Points) -> Points | None:
    """Return where the inner parts of two straight bars cross, if they do."""
    d, e = q - p, s - r
    cross = d[0] * e[1] - d[1] * e[0]
    if abs(cross) < 1e-9:
        return None
    t = ((r - p)[0] * e[1] - (r - p)[1] * e[0]) / cross
    u = ((r - p)[0] * d[1] - (r - p)[1] * d[0]) / cross
    if 0.02 < t < 0.98 and 0.02 < u < 0.98:
        spot: Points = p + t * d
        return spot
    return None


def _clear(joints: Points, bars: Bars) -> Bars:
    """Leave out bars that run through or very near a third joint, and zero-length ones."""
    kept: Bars = set()
    for a, b in sorted(bars):
        d = joints[b] - joints[a]
        length = float(np.hypot(*d))
        if length < 25:
            continue
        t = (joints - joints[a]) @ d / length**2
        off = np.abs((joints - joints[a]) @ np.array([-d[1], d[0]])) / length
        near = (t > 0.01) & (t < 0.99) & (off < 14)
        near[[a, b]] = False
        if not near.any():
            kept.add((a, b))
    return kept


def any_net(rng: Rng) -> Net:
    """Draw one truss at random: 2 to 50 bars, at least one support."""
    while True:
        weights: NDArray[np.float64] = np.array([w for _, w in RECIPES])
        recipe = RECIPES[int(rng.choice(len(RECIPES), p=weights / weights.sum()))][0]
        plot = Plot()
        held = recipe(rng, plot)
        joints = np.array(plot.places)
        joints = joints + rng.normal(
            0, rng.choice([0.002, 0.01, 0.025]) * np.ptp(joints), joints.shape
        )
        low, high = joints.min(axis=0), joints.max(axis=0)
        joints = (joints - low) * (1000 / float((high - low).max()))
        if (recipe.__name__ == "_wall" and rng.random() < 0.35) or rng.random() < 0.1:
            joints[:, 0] = joints[:, 0].max() - joints[:, 0]
            held = [(j, pin, (180 - way) % 360) for j, pin, way in held]
        bars = _extra(rng, joints, _clear(joints, set(plot.bars)))
        used = sorted({joint for bar in bars for joint in bar})
        if not 2 <= len(bars) <= 50 or any(joint not in used for joint, _, _ in held):
            continue
        gaps = joints[used][:, None] - joints[used][None]
        apart = np.hypot(gaps[..., 0], gaps[..., 1]) + 1e9 * np.eye(len(used))
        if apart.min() < 40:
            continue
        name = {old: new for new, old in enumerate(used)}
        return Net(
            recipe.__name__.strip("_"),
            joints[used],
            tuple((name[a], name[b]) for a, b in sorted(bars)),
            tuple((name[j], pin, way) for j, pin, way in held),
        )


def _extra(rng: Rng, joints: Points, bars: Bars) -> Bars:
    """Now and then add a bar between two joints not far apart, crossing others."""
    if rng.random() < 0.15 and len(joints) > 3:
        a, b = rng.choice(len(joints), 2, replace=False)
        if np.hypot(*(joints[a] - joints[b])) < 600:
            bars = _clear(joints, bars | {(int(min(a, b)), int(max(a, b)))})
    return bars
