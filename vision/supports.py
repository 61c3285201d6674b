"""Supports: which joint, pin or roller, and which way they push, from maps and ink together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.evidence import logit, weighing
from vision.glance import Ink, tell_feet, tell_feet_twice
from vision.joints import value_near, window_near
from vision.maps import FloatMap, Maps
from vision.passes import carry
from vision.symbols import find_rings

__all__ = ["FoundSupport", "direction_near", "find_supports", "supported"]

Floats = NDArray[np.float64]

#: Heat above which a joint counts as supported on the maps' word alone, and from which on
#: its ink is looked at.
SUPPORT_LEVEL, MAYBE_LEVEL = 0.3, 0.08
#: Farthest, in degrees, that a support's direction is put right by a look at its ink.
MOST_LEAN_DEG = 25.0
#: Probability from which on a joint is supported.
SUPPORT_CHANCE = 0.45


@dataclass(frozen=True)
class FoundSupport:
    """A support at joint `joint`, and how sure its place and its kind are together."""

    joint: int
    kind: str
    angle_deg: float
    evidence: float


@dataclass(frozen=True)
class Feet:
    """Joints that may be supported.

    Attributes
    ----------
    joint : ndarray of int, shape (n,)
    push_deg : ndarray, shape (n,)
        Direction in which the support would push.
    evidence : ndarray, shape (n, k)
    """

    joint: NDArray[np.intp]
    push_deg: Floats
    evidence: Floats


def supported(maps: Maps, at: Floats) -> NDArray[np.bool_]:
    """Tell which joints (n, 2), as column and row, a support was seen at in the maps."""
    return _warm(maps, at, SUPPORT_LEVEL)


def find_supports(
    maps: Maps, at: Floats, members: Sequence[tuple[int, int]], ink: Ink
) -> list[FoundSupport]:
    """Read the place, kind and direction of the supports.

    Parameters
    ----------
    maps : Maps
    at : ndarray, shape (n, 2)
        Joints as column and row.
    members : sequence of (int, int)
    ink : Ink
        Of the picture that the maps show.
    """
    if maps.source != "network":
        return _painted_supports(maps, at)
    feet = find_feet(maps, at, members, ink)
    if not len(feet.joint):
        return []
    place = weighing("support").chance(feet.evidence)
    roller = weighing("roller").chance(beside_others(feet, place))
    found = []
    for k in np.flatnonzero(place > SUPPORT_CHANCE):
        kind, sure = ("roller", roller[k]) if roller[k] > 0.5 else ("pin", 1.0 - roller[k])
        angle = float(feet.push_deg[k])
        found.append(FoundSupport(int(feet.joint[k]), kind, angle, float(place[k] * sure)))
    return found


def find_feet(maps: Maps, at: Floats, members: Sequence[tuple[int, int]], ink: Ink) -> Feet:
    """List the joints that may be supported, with what speaks for it and for either kind."""
    joints = np.flatnonzero(_warm(maps, at, MAYBE_LEVEL))
    if not len(joints):
        return Feet(joints, np.zeros(0), np.zeros((0, 0)))
    heat = np.maximum(maps["pin"], maps["roller"])
    push = np.array(
        [direction_near(maps["support_cos"], maps["support_sin"], heat, at[k]) for k in joints]
    )
    pixels = carry(maps.to_picture, at)
    lengths = [float(np.hypot(*(pixels[a] - pixels[b]))) for a, b in members]
    bar = float(np.median(lengths)) if lengths else 1.0
    sides = (push[:, None] + 90.0 * np.arange(4)).ravel()
    told, lean = tell_feet(ink, np.repeat(pixels[joints], 4, axis=0), sides, bar)
    held = np.maximum(told[:, 1], told[:, 2]) - told[:, 0]
    upright = np.where(held > 0.0, lean.clip(-MOST_LEAN_DEG, MOST_LEAN_DEG), 0.0)
    push = push + upright[::4]
    told = tell_feet_twice(ink, pixels[joints], push, bar)
    span = float(np.hypot(*np.ptp(pixels, axis=0)))
    rings = find_rings(ink.seen, largest=0.1 * span)
    down = -np.column_stack([np.cos(np.radians(push)), -np.sin(np.radians(push))])
    farthest = ((pixels[None] - pixels[joints][:, None]) * down[:, None]).sum(axis=2).max(axis=1)
    pin, roller = (value_near(maps[kind], at[joints], 4) for kind in ("pin", "roller"))
    size = np.array(
        [
            np.hypot(_mean_near(maps["support_cos"], at[k]), _mean_near(maps["support_sin"], at[k]))
            for k in joints
        ]
    )
    warm = np.maximum(pin, roller)
    other = np.array([np.delete(warm, k).max(initial=0.0) for k in range(len(warm))])
    degree = np.bincount(np.ravel(np.array(members, int)), minlength=len(at))[joints]
    evidence = np.column_stack(
        [
            logit(pin),
            logit(roller),
            logit(warm),
            size,
            told[:, 1] - told[:, 0],
            told[:, 2] - told[:, 0],
            held.reshape(-1, 4)[:, 1:].max(axis=1),
            np.minimum(farthest / span, 0.6),
            degree / 5.0,
            logit(other),
            logit(value_near(maps["load"], at[joints], 4)),
            logit(value_near(maps["reaction"], at[joints], 4)),
            [
                _ring_beyond(rings, pixels[k], angle, span)
                for k, angle in zip(joints, push, strict=True)
            ],
            np.abs(np.sin(np.radians(push))),
        ]
    )
    return Feet(joints, push, evidence)


def beside_others(feet: Feet, place: Floats) -> Floats:
    """Evidence of each support with its certainty and the likely kinds of the others."""
    lean = feet.evidence[:, 5] - feet.evidence[:, 4] + feet.evidence[:, 1] - feet.evidence[:, 0]
    others = np.where(np.eye(len(place), dtype=bool), 0.0, place[None])
    total = others.sum(axis=1)
    company = (others @ np.tanh(lean / 2.0)) / np.maximum(total, 1.0)
    return np.column_stack([feet.evidence, logit(place), company, total])


def _warm(maps: Maps, at: Floats, level: float) -> NDArray[np.bool_]:
    """Joints near a support's heat, the top of which is not nearer to another one."""
    heat = np.maximum(maps["pin"], maps["roller"])
    warm = value_near(heat, at, 4) >= level
    return np.array([seen and _nearest(heat, at, k) for k, seen in enumerate(warm)], dtype=bool)


def _painted_supports(maps: Maps, at: Floats) -> list[FoundSupport]:
    """Supports in maps that were painted from symbols already found."""
    pin, roller = value_near(maps["pin"], at, 4), value_near(maps["roller"], at, 4)
    found = []
    for joint in np.flatnonzero(supported(maps, at)):
        kind = "pin" if pin[joint] >= roller[joint] else "roller"
        angle = direction_near(maps["support_cos"], maps["support_sin"], maps[kind], at[joint])
        evidence = float(max(pin[joint], roller[joint]))
        found.append(FoundSupport(int(joint), kind, angle, evidence))
    return found


def _ring_beyond(rings: Floats, joint: Floats, angle_deg: float, span: float) -> bool:
    """Tell whether a ring lies where a support that pushes this way would have its roller."""
    offset = rings[:, :2] - joint
    distance = np.hypot(offset[:, 0], offset[:, 1])
    away = offset @ np.array([-np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))])
    near = (distance > 0.02 * span) & (distance < 0.17 * span)
    return bool((near & (away > 0.6 * distance) & (rings[:, 2] < 0.6 * distance)).any())


def _nearest(heat: FloatMap, at: Floats, joint: int) -> bool:
    """Tell whether the top of the support's heat near a joint is not nearer to another one."""
    top = _top_near(heat, at[joint], 4)
    distances = np.hypot(*(at - top).T)
    return bool(distances[joint] <= distances.min() + 1e-9)


def _top_near(heat: FloatMap, place: Floats, radius: int) -> Floats:
    rows, columns = window_near(place, radius)
    window = heat[rows, columns]
    if window.size == 0:
        return place
    row, column = np.unravel_index(int(np.argmax(window)), window.shape)
    return np.array([columns.start + column, rows.start + row], dtype=np.float64)


def _mean_near(image: FloatMap, place: Floats, radius: int = 3) -> float:
    window = image[window_near(place, radius)]
    return float(window.mean()) if window.size else 0.0


def direction_near(
    cosine: FloatMap, sine: FloatMap, heat: FloatMap, place: Floats, radius: int = 4
) -> float:
    """Mean direction in degrees around a place, weighted by a heat map."""
    window = window_near(place, radius)
    weight = heat[window]
    x, y = float((cosine[window] * weight).sum()), float((sine[window] * weight).sum())
    return float(np.degrees(np.arctan2(y, x)))
