"""Strokes at joints that may be arrows, and all that speaks for or against each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.evidence import logit
from vision.glance import Ink, tell_strokes
from vision.joints import peaks, value_near, window_near
from vision.maps import FloatMap, Maps
from vision.passes import carry

__all__ = [
    "Strokes",
    "find_strokes",
    "member_directions",
    "rays_at",
    "reach_of",
    "stroke_evidence",
    "turn",
    "widened",
]

Floats = NDArray[np.float64]

#: Heat from which on arrows are looked for at a joint.
MAYBE_LEVEL = 0.06
#: Degrees between the directions that are looked along, from a member that is there, and
#: between two strokes.
STEP_DEG, MEMBER_DEG, STROKE_DEG = 3, 12.0, 20.0
#: A stroke's latest start and least length, and the gaps that are bridged, as shares of the
#: longest; a short gap stops before lettering, a long one bridges faint ink.
LATEST, SHORTEST, GAPS = 0.2, 0.14, (0.04, 0.012)
#: Heat of an arrow's ends in the maps, and how well the directions between must agree.
END_LEVEL, AGREEMENT = 0.12, 0.2
#: Most ends that are paired, and cells within which they are.
MOST_ENDS, NEAREST, FARTHEST = 60, 5.0, 120.0
#: Places along a stroke at which the maps are looked at.
PLACES = np.linspace(0.08, 0.92, 18)


@dataclass(frozen=True)
class Strokes:
    """Straight strokes that begin near joints, in pixels.

    Attributes
    ----------
    joint : ndarray of int, shape (n,)
    near, far : ndarray, shape (n, 2)
        Ends; `near` is the one at the joint.
    paired : ndarray of bool, shape (n,)
        True for one between two ends of an arrow in the maps, False for one in the ink.
    """

    joint: NDArray[np.intp]
    near: Floats
    far: Floats
    paired: NDArray[np.bool_]

    @property
    def outward_deg(self) -> Floats:
        """Directions from the joints."""
        step = self.far - self.near
        return np.asarray(np.degrees(np.arctan2(-step[:, 1], step[:, 0])))


def find_strokes(
    maps: Maps, at: Floats, members: Sequence[tuple[int, int]], ink: NDArray[np.bool_]
) -> Strokes:
    """Find the strokes that may be arrows, at all joints with some heat of a load or reaction.

    Parameters
    ----------
    maps : Maps
    at : ndarray, shape (n, 2)
        Joints as column and row of the maps.
    members : sequence of (int, int)
    ink : ndarray of bool
        Ink of the picture that the maps show.
    """
    heat = value_near(np.maximum(maps["load"], maps["reaction"]), at, 4)
    pixels = carry(maps.to_picture, at)
    thick = widened(ink)
    reach = reach_of(pixels, members)
    pairs = _paired_ends(maps)
    cell = float(np.sqrt(abs(np.linalg.det(maps.to_picture[:2, :2]))))
    found: list[tuple[int, Floats, Floats, bool]] = []
    for joint in np.flatnonzero(heat >= MAYBE_LEVEL).tolist():
        taken = member_directions(pixels, joint, members)
        found += [(joint, *ends, False) for ends in rays_at(thick, pixels[joint], taken, reach)]
        found += [(joint, *ends, True) for ends in _pairs_at(pairs, pixels[joint], cell)]
    return Strokes(
        np.array([joint for joint, *_ in found], dtype=np.intp),
        np.array([near for _, near, _, _ in found]).reshape(-1, 2),
        np.array([far for _, _, far, _ in found]).reshape(-1, 2),
        np.array([paired for *_, paired in found], dtype=bool),
    )


def widened(ink: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Ink wider by a pixel all around."""
    wide: NDArray[np.bool_] = cv2.dilate(ink.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    return wide


def reach_of(pixels: Floats, members: Sequence[tuple[int, int]]) -> float:
    """How far from a joint an arrow may extend, in pixels."""
    lengths = [float(np.hypot(*(pixels[a] - pixels[b]))) for a, b in members]
    span = float(np.hypot(*np.ptp(pixels, axis=0)))
    return float(np.clip(1.2 * np.median(lengths) if lengths else span, 0.12 * span, 0.5 * span))


def member_directions(pixels: Floats, joint: int, members: Sequence[tuple[int, int]]) -> Floats:
    """Directions in degrees of the members at a joint."""
    others = [a if b == joint else b for a, b in members if joint in (a, b)]
    steps = pixels[others] - pixels[joint]
    return np.asarray(np.degrees(np.arctan2(-steps[:, 1], steps[:, 0])))


def rays_at(
    ink: NDArray[np.bool_], joint: Floats, taken_deg: Floats, reach: float
) -> list[tuple[Floats, Floats]]:
    """Find straight strokes that start near a joint and are not among its members.

    Parameters
    ----------
    ink : ndarray of bool, shape (rows, columns)
        Where there is ink, widened by a pixel.
    joint : ndarray, shape (2,)
        In pixels.
    taken_deg : ndarray, shape (k,)
        Directions of the members at the joint.
    reach : float
        Longest stroke in pixels.

    Returns
    -------
    list of (ndarray, ndarray)
        Near and far end of each, longest first; a second time with another far end where a
        short gap in the ink may be its end.
    """
    degrees = np.arange(0.0, 360.0, STEP_DEG)
    degrees = degrees[turn(degrees[:, None], taken_deg[None]).min(axis=1, initial=180) > MEMBER_DEG]
    way = np.column_stack([np.cos(np.radians(degrees)), -np.sin(np.radians(degrees))])
    places = np.round(joint + np.arange(int(reach))[None, :, None] * way[:, None]).astype(int)
    columns, rows = places[..., 0], places[..., 1]
    inside = (columns >= 0) & (rows >= 0) & (columns < ink.shape[1]) & (rows < ink.shape[0])
    inked = inside & ink[rows.clip(0, ink.shape[0] - 1), columns.clip(0, ink.shape[1] - 1)]
    found: list[tuple[Floats, Floats]] = []
    for gap in GAPS:
        starts, ends = _runs(inked, LATEST * reach, gap * reach + 2)
        lengths = np.where(starts >= 0, ends - starts, 0)
        kept: list[float] = []
        for k in np.argsort(-lengths):
            if lengths[k] < SHORTEST * reach:
                break
            if turn(degrees[k], np.array(kept)).min(initial=180) < STROKE_DEG:
                continue
            kept.append(float(degrees[k]))
            near, far = joint + starts[k] * way[k], joint + ends[k] * way[k]
            if not any(np.hypot(*(far - other)) < 0.12 * ends[k] for _, other in found):
                found.append((near, far))
    return found


def _runs(
    inked: NDArray[np.bool_], latest: float, gap: float
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Start and end of the first inked run in each row, gaps up to `gap` bridged.

    The start is -1 where the first ink comes later than `latest`.
    """
    rows, length = inked.shape
    never = 10 * length + 10
    following = np.where(inked, np.arange(length), never)
    following = np.minimum.accumulate(following[:, ::-1], axis=1)[:, ::-1]
    after = np.column_stack([following[:, 1:], np.full(rows, never)])
    ends = (inked & (after - np.arange(length) > gap)).argmax(axis=1)
    return np.where(following[:, 0] <= latest, following[:, 0], -1), ends


def _paired_ends(maps: Maps) -> Floats:
    """Arrows in the maps, head x, y, tail x, y in pixels: their ends, joined along directions."""
    heads, tails = (
        peaks(maps[channel], floor=END_LEVEL, apart=4)[0][:MOST_ENDS]
        for channel in ("load_head", "load_tail")
    )
    steps = heads[:, None] - tails[None]
    lengths = np.hypot(steps[..., 0], steps[..., 1])
    i, j = np.nonzero((lengths > NEAREST) & (lengths < FARTHEST))
    if not len(i):
        return np.zeros((0, 4))
    along = tails[j][:, None] + PLACES[None, :, None] * (heads[i] - tails[j])[:, None]
    head, tail = carry(maps.to_picture, heads)[i], carry(maps.to_picture, tails)[j]
    unit = (head - tail) / np.hypot(*(head - tail).T)[:, None]
    agreement = (
        sampled(maps["load_cos"], along) * unit[:, :1]
        - sampled(maps["load_sin"], along) * unit[:, 1:]
    ).mean(axis=1)
    good = agreement > AGREEMENT
    return np.column_stack([head[good], tail[good]])


def _pairs_at(pairs: Floats, joint: Floats, cell: float) -> list[tuple[Floats, Floats]]:
    """Near and far end of each arrow of the maps whose line begins near a joint."""
    found = []
    for near, far in ((pairs[:, :2], pairs[:, 2:]), (pairs[:, 2:], pairs[:, :2])):
        step = near - far
        length = np.hypot(step[:, 0], step[:, 1])
        unit = step / length[:, None]
        offset = joint - near
        ahead = (offset * unit).sum(axis=1)
        aside = np.abs(offset[:, 0] * unit[:, 1] - offset[:, 1] * unit[:, 0])
        here = (ahead > -0.25 * length - 3 * cell) & (ahead < 0.6 * length + 5 * cell)
        here &= (aside < 0.2 * length + 2 * cell) & (aside < 5 * cell)
        found += [(near[k], far[k]) for k in np.flatnonzero(here)]
    return found


def stroke_evidence(
    maps: Maps, at: Floats, members: Sequence[tuple[int, int]], ink: Ink, strokes: Strokes
) -> Floats:
    """What speaks for an arrow that points at its joint, and for one that points away.

    Parameters
    ----------
    maps, at, members
        As for `find_strokes`.
    ink : Ink
    strokes : Strokes

    Returns
    -------
    ndarray, shape (n, 2, k)
        Numbers for each stroke; the first row of each is for an arrow inwards.
    """
    pixels = carry(maps.to_picture, at)
    to_map = np.asarray(np.linalg.inv(maps.to_picture))
    joint, near, far = strokes.joint, strokes.near, strokes.far
    start, end = carry(to_map, near), carry(to_map, far)
    length = np.maximum(np.hypot(*(far - near).T), 1e-6)
    cells = np.maximum(np.hypot(*(end - start).T), 1e-6)
    along = start[:, None] + PLACES[None, :, None] * (end - start)[:, None]
    ahead = ((end - start) / cells[:, None])[:, None]
    beyond = end[:, None] + np.linspace(1, 8, 6)[None, :, None] * ahead
    out = np.radians(strokes.outward_deg)
    cosine, sine = sampled(maps["load_cos"], along), sampled(maps["load_sin"], along)
    outward = cosine * np.cos(out)[:, None] + sine * np.sin(out)[:, None]
    thirds = outward.reshape(len(outward), 3, len(PLACES) // 3).mean(axis=2)
    near_text: FloatMap = cv2.dilate(maps["text"], _disc(9)).astype(np.float32)
    tops = {
        name: np.asarray(cv2.dilate(maps[name], _disc(7)), np.float32)
        for name in ("load_head", "load_tail")
    }
    head, tail = (
        np.column_stack([sampled(tops[name], e[:, None])[:, 0] for e in (start, end)])
        for name in ("load_head", "load_tail")
    )
    heats = [
        value_near(heat, at, 4)
        for heat in (maps["load"], maps["reaction"], np.maximum(maps["pin"], maps["roller"]))
    ]
    rough = np.array([_mean_direction(maps, place) for place in at]).reshape(-1, 2)
    longest = np.zeros(len(at))
    np.maximum.at(longest, joint, length)
    typical = float(np.median([np.hypot(*(at[a] - at[b])) for a, b in members])) if members else 1
    member_gap, opposite_gap = _member_gaps(pixels, members, strokes)
    told = tell_strokes(ink, pixels[joint], far)
    on_whole = carry(maps.to_picture, along.reshape(-1, 2)).reshape(along.shape)
    common = [
        logit(heats[0][joint]),
        logit(heats[1][joint]),
        logit(heats[2][joint]),
        np.hypot(cosine, sine).mean(axis=1),
        sampled(ink.whole[0], on_whole).mean(axis=1),
        np.log(cells / 20.0),
        length / np.maximum(longest[joint], 1e-6),
        cells / typical,
        sampled(maps["dimension"], along).mean(axis=1),
        sampled(maps["dimension"], beyond).mean(axis=1),
        sampled(maps["text"], along).mean(axis=1),
        sampled(near_text, beyond[:, 2:3])[:, 0],
        sampled(maps["member"], along[:, 4:]).mean(axis=1),
        np.hypot(*(near - pixels[joint]).T) / length,
        np.minimum(member_gap, 60.0) / 60.0,
        np.minimum(opposite_gap, 30.0) / 30.0,
        _nearest_other(pixels, strokes) / length,
        strokes.paired.astype(float),
        np.bincount(np.ravel(np.array(members, int)), minlength=len(at))[joint] / 5.0,
    ]
    senses = []
    for side, tip, butt in ((-1.0, 0, 1), (1.0, 1, 0)):
        mean = rough[joint, 0] * np.cos(out) + rough[joint, 1] * np.sin(out)
        size = np.hypot(*rough[joint].T)
        acts = np.sin(out) * side
        senses.append(
            [
                side * outward.mean(axis=1),
                (side * thirds).min(axis=1),
                side * mean,
                side * mean / np.maximum(size, 1e-3),
                head[:, tip],
                tail[:, butt],
                head[:, butt],
                tail[:, tip],
                logit(head[:, tip]),
                logit(tail[:, butt]),
                np.full(len(joint), side),
                told[:, 1 + tip] - told[:, 0],
                told[:, 1 + tip] - told[:, 1 + butt],
                acts,
                np.abs(acts),
            ]
        )
    return np.stack([np.column_stack([*common, *sense]) for sense in senses], axis=1)


def _disc(size: int) -> NDArray[np.uint8]:
    return np.asarray(cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size)), np.uint8)


def _mean_direction(maps: Maps, place: Floats) -> tuple[float, float]:
    window = window_near(place, 4)
    cosine, sine = maps["load_cos"][window], maps["load_sin"][window]
    return (float(cosine.mean()), float(sine.mean())) if cosine.size else (0.0, 0.0)


def _member_gaps(
    pixels: Floats, members: Sequence[tuple[int, int]], strokes: Strokes
) -> tuple[Floats, Floats]:
    """Degrees between each stroke and the nearest member, and the nearest one's opposite."""
    gaps = np.full((2, len(strokes.joint)), 180.0)
    for k, (joint, outward) in enumerate(zip(strokes.joint, strokes.outward_deg, strict=True)):
        taken = member_directions(pixels, int(joint), members)
        gaps[0, k] = turn(outward, taken).min(initial=180.0)
        gaps[1, k] = turn(outward + 180.0, taken).min(initial=180.0)
    return gaps[0], gaps[1]


def _nearest_other(pixels: Floats, strokes: Strokes) -> Floats:
    """Distance from each far end to the nearest joint that is not the stroke's own."""
    offset = strokes.far[:, None] - pixels[None]
    distance = np.hypot(offset[..., 0], offset[..., 1])
    distance[np.arange(len(distance)), strokes.joint] = np.inf
    nearest = np.minimum(distance.min(axis=1, initial=np.inf), 1e6)
    length = np.hypot(*(strokes.far - strokes.near).T)
    return np.asarray(np.minimum(nearest, 2.0 * length))


def turn(a_deg: Floats | float, b_deg: Floats | float) -> Floats:
    """Angle between directions in degrees, 0 to 180."""
    return np.abs((np.asarray(a_deg) - b_deg + 180.0) % 360.0 - 180.0)


def sampled(image: FloatMap, places: Floats) -> Floats:
    """Values of an image at places (rows, columns, 2), 0 outside."""
    if not places.size:
        return np.zeros(places.shape[:-1])
    across, down = (np.ascontiguousarray(places[..., k], np.float32) for k in (0, 1))
    return np.asarray(
        cv2.remap(image, across, down, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT), float
    )
