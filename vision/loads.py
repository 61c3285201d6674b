"""Loads: which joints carry an arrow, and which way it acts, from maps and ink together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.joints import value_near
from vision.maps import Maps
from vision.passes import carry
from vision.supports import direction_near
from vision.symbols import arrow_sense

__all__ = ["FoundLoad", "Ray", "find_loads", "rays_at"]

BoolMap = NDArray[np.bool_]

#: Heat from which on arrows are looked for at a joint, and from which on one is believed
#: without a stroke.
MAYBE_LEVEL, BARE_HEAT = 0.15, 0.6
#: How much heads and tails in the maps count beside the direction along a stroke.
ENDS = 0.5
#: Logistic weights of what speaks for an arrow: constant, logit of the heat at the joint,
#: agreement with the maps' direction there, the maps' sense along the stroke, its barbs, its
#: length against the longest. Fitted on rendered pictures.
WEIGHTS = np.array([-4.92, 0.83, 0.27, 2.53, 1.14, 2.39])
#: Probability from which on a stroke is an arrow, and from which on a second one is.
LOAD_CHANCE, SECOND_CHANCE = 0.22, 0.6
#: Degrees between the directions that are looked along.
STEP_DEG = 3


@dataclass(frozen=True)
class FoundLoad:
    """An arrow at joint `joint`; `reaction` is the share of heat for its being a reaction."""

    joint: int
    direction_deg: float
    confidence: float
    reaction: float

    @property
    def is_load(self) -> bool:
        """False for an arrow that is a drawn reaction."""
        return self.reaction <= 0.5


@dataclass(frozen=True)
class Ray:
    """A straight stroke from a joint outwards.

    Attributes
    ----------
    outward_deg : float
        Direction from the joint.
    length : float
        In pixels.
    sense : float
        Up to 1 for an arrow that points at the joint, down to -1 for one that
        points away, about 0 where no barbs are seen.
    near, far : ndarray, shape (2,)
        Ends in pixels; `near` is the one at the joint.
    """

    outward_deg: float
    length: float
    sense: float
    near: NDArray[np.float64]
    far: NDArray[np.float64]

    def acts_deg(self, inward: bool) -> float:
        """Direction in which the arrow acts if it points inwards or not."""
        return (self.outward_deg + (180.0 if inward else 0.0)) % 360.0


def find_loads(
    maps: Maps, at: NDArray[np.float64], members: Sequence[tuple[int, int]], ink: BoolMap
) -> list[FoundLoad]:
    """Read the arrows at each joint that carries a load or a drawn reaction.

    The maps tell that a joint is loaded and roughly which way; a stroke in the
    ink that starts at the joint and is no member gives the direction, and its
    barbs the sense.

    Parameters
    ----------
    maps : Maps
    at : ndarray, shape (n, 2)
        Joints as column and row of the maps.
    members : sequence of (int, int)
    ink : ndarray of bool
        Ink of the picture that the maps show.
    """
    if not len(at):
        return []
    heat, reaction = value_near(maps["load"], at, 3), value_near(maps["reaction"], at, 3)
    pixels = carry(maps.to_picture, at)
    thick = np.asarray(cv2.dilate(ink.astype(np.uint8), np.ones((3, 3), np.uint8)), np.uint8)
    bare = _without_members(ink, pixels, members)
    found = []
    for joint in np.flatnonzero(np.maximum(heat, reaction) >= MAYBE_LEVEL):
        taken = _member_directions(pixels, int(joint), members)
        rays = rays_at(thick, bare, pixels[joint], taken, _reach(pixels, members))
        rough = direction_near(
            maps["load_cos"],
            maps["load_sin"],
            np.maximum(maps["load"], maps["reaction"]),
            at[joint],
        )
        strength = float(max(heat[joint], reaction[joint]))
        share = float(reaction[joint]) / max(float(heat[joint] + reaction[joint]), 1e-6)
        seen = [_sense_in_maps(maps, ray) for ray in rays]
        found += [
            FoundLoad(int(joint), direction, confidence, share)
            for direction, confidence in _choose(rays, seen, rough, strength)
        ]
    return found


def _sense_in_maps(maps: Maps, ray: Ray) -> float:
    """How well the maps along a stroke speak for an arrow inwards (up to 1) or outwards (-1)."""
    pixels = np.stack([ray.near, ray.far])
    to_map = np.asarray(np.linalg.inv(maps.to_picture), dtype=np.float64)
    ends = carry(to_map, pixels)
    places = ends[0] + np.linspace(0.1, 0.9, 16)[:, None] * (ends[1] - ends[0])
    columns, rows = places.T.astype(np.float32)
    cosine, sine = (
        cv2.remap(maps[channel], columns, rows, cv2.INTER_LINEAR).mean()
        for channel in ("load_cos", "load_sin")
    )
    inward = np.radians(ray.acts_deg(True))
    along = float(cosine * np.cos(inward) + sine * np.sin(inward))
    head, tail = value_near(maps["load_head"], ends), value_near(maps["load_tail"], ends)
    return along + ENDS * float(head[0] - head[1] + tail[1] - tail[0]) / 2


def _choose(
    rays: list[Ray], seen: list[float], rough_deg: float, strength: float
) -> list[tuple[float, float]]:
    """Directions and probabilities of the arrows at a joint, at most two."""
    longest = max((ray.length for ray in rays), default=1.0)
    likely: list[tuple[float, float]] = []
    for ray, in_maps in zip(rays, seen, strict=True):
        for side, direction in ((1.0, ray.acts_deg(True)), (-1.0, ray.acts_deg(False))):
            features = np.array(
                [
                    1.0,
                    _logit(strength),
                    float(np.cos(np.radians(direction - rough_deg))),
                    side * float(np.clip(in_maps, -1.5, 1.5)),
                    side * ray.sense,
                    ray.length / longest,
                ]
            )
            chance = 1.0 / (1.0 + float(np.exp(-features @ WEIGHTS)))
            if chance > LOAD_CHANCE:
                likely.append((chance, direction))
    likely.sort(reverse=True)
    if not likely:
        return [(rough_deg % 360.0, 0.4)] if strength >= BARE_HEAT else []
    chance, first = likely[0]
    second = [
        (direction, other)
        for other, direction in likely[1:]
        if other > SECOND_CHANCE and abs((direction - first + 90) % 180 - 90) > 25
    ]
    return [(first, chance), *second[:1]]


def _logit(share: float) -> float:
    clipped = min(max(share, 0.02), 0.98)
    return float(np.log(clipped / (1.0 - clipped)))


def _without_members(
    ink: BoolMap, pixels: NDArray[np.float64], members: Sequence[tuple[int, int]]
) -> BoolMap:
    """Ink that is left when the members' strokes are taken out."""
    depth = cv2.distanceTransform(ink.astype(np.uint8), cv2.DIST_L2, 3)[ink]
    breadth = 4.0 * float(depth.mean()) if depth.size else 1.0
    left = ink.astype(np.uint8)
    for a, b in members:
        ends = [np.round(pixels[k] * 16).astype(int).tolist() for k in (a, b)]
        cv2.line(left, ends[0], ends[1], 0, max(3, round(breadth + 3)), cv2.LINE_8, 4)
    bare: BoolMap = left > 0
    return bare


def _member_directions(
    pixels: NDArray[np.float64], joint: int, members: Sequence[tuple[int, int]]
) -> NDArray[np.float64]:
    others = [a if b == joint else b for a, b in members if joint in (a, b)]
    steps = pixels[others] - pixels[joint]
    directions: NDArray[np.float64] = np.degrees(np.arctan2(-steps[:, 1], steps[:, 0]))
    return directions


def _reach(pixels: NDArray[np.float64], members: Sequence[tuple[int, int]]) -> float:
    """How far from a joint an arrow may extend, in pixels."""
    lengths = [float(np.hypot(*(pixels[a] - pixels[b]))) for a, b in members]
    span = float(np.hypot(*np.ptp(pixels, axis=0)))
    return float(np.clip(1.2 * np.median(lengths) if lengths else span, 0.12 * span, 0.5 * span))


def rays_at(
    ink: NDArray[np.uint8],
    bare: BoolMap,
    joint: NDArray[np.float64],
    taken_deg: NDArray[np.float64],
    reach: float,
) -> list[Ray]:
    """Find straight strokes that start near a joint and are not among its members.

    Parameters
    ----------
    ink : ndarray of uint8, shape (rows, columns)
        1 where there is ink, widened by a pixel.
    bare : ndarray of bool, shape (rows, columns)
        Ink without the members', to look for barbs in.
    joint : ndarray, shape (2,)
        In pixels.
    taken_deg : ndarray, shape (k,)
        Directions of the members at the joint.
    reach : float
        Longest stroke in pixels.

    Returns
    -------
    list of Ray
        Longest first.
    """
    degrees = np.arange(0, 360, STEP_DEG, dtype=np.float64)
    away = np.abs((degrees[:, None] - taken_deg[None] + 180) % 360 - 180)
    free = away.min(axis=1, initial=180.0) > 12.0
    steps = np.arange(0.0, reach)
    way = np.column_stack([np.cos(np.radians(degrees)), -np.sin(np.radians(degrees))])
    places = joint + steps[None, :, None] * way[:, None]
    columns = np.clip(np.round(places[..., 0]).astype(int), 0, ink.shape[1] - 1)
    rows = np.clip(np.round(places[..., 1]).astype(int), 0, ink.shape[0] - 1)
    inked = ink[rows, columns] > 0
    ends = np.array([_run_end(row, 0.2 * reach, 0.04 * reach + 3) for row in inked])
    starts = np.array([_run_start(row, 0.2 * reach) for row in inked])
    lengths = np.where(free, ends - starts, 0.0)
    rays: list[Ray] = []
    for index in np.argsort(-lengths):
        if lengths[index] < 0.18 * reach:
            break
        apart = [abs((degrees[index] - ray.outward_deg + 180) % 360 - 180) for ray in rays]
        if min(apart, default=180.0) < 20.0:
            continue
        near, far = joint + starts[index] * way[index], joint + ends[index] * way[index]
        sense = arrow_sense(bare, near, far)
        rays.append(Ray(float(degrees[index]), float(lengths[index]), sense, near, far))
    return rays


def _run_start(inked: BoolMap, latest: float) -> float:
    """Where a stroke begins on a ray: the first of several inked places, past a gap."""
    first = np.flatnonzero(inked[: int(latest) + 1])
    return float(first[0]) if len(first) else float("inf")


def _run_end(inked: BoolMap, latest: float, gap: float) -> float:
    """Where the stroke that begins first on a ray ends, gaps shorter than `gap` bridged."""
    places = np.flatnonzero(inked)
    if not len(places) or places[0] > latest:
        return 0.0
    breaks = np.flatnonzero(np.diff(places) > gap)
    return float(places[breaks[0]] if len(breaks) else places[-1])
