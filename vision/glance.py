"""A closer look at a single symbol: its ink, brought upright and to size, through a small network.

The reader's large network sees the whole truss in one square, in which an arrowhead or a roller
may be a few cells wide. Here the ink of one stroke, or of what lies under one joint, is sampled
from the picture at its own scale.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.page import Sheet

__all__ = [
    "ARROW",
    "FOOT",
    "Glance",
    "Ink",
    "lay_bare",
    "load",
    "look_along",
    "look_under",
    "tell_feet",
    "tell_feet_twice",
    "tell_strokes",
]

FloatMap = NDArray[np.float32]
Points = NDArray[np.float64]
Floats = NDArray[np.float64]

WEIGHTS = Path(__file__).parent / "weights"
#: Names of the small networks; both tell three kinds apart. Along a stroke that starts at a
#: joint: no arrow, one that points at the joint, one that points away. Under a joint: no
#: support, a pin, a roller; and how far a support leans.
ARROW, FOOT = "arrow", "foot"

#: Where a stroke is sampled, as shares of its length: along it from the joint, and across it.
ALONG, ACROSS = np.linspace(-0.3, 1.4, 96), np.linspace(-0.32, 0.32, 36)
#: Sides, in typical members' lengths, of the squares in which a support is looked for, and
#: where their rows and columns lie from the joint, in sides.
SQUARES = (0.3, 0.6, 1.2)
DOWN, ASIDE = np.linspace(-0.25, 0.75, 48), np.linspace(-0.5, 0.5, 48)
#: Degrees to the unit in which the network tells how far a support leans.
LEAN_DEG = 30.0
#: Halvings of the picture that strokes are sampled from.
LEVELS = 4


@dataclass(frozen=True)
class Ink:
    """Ink of a picture, with and without the members' strokes.

    Attributes
    ----------
    seen : ndarray of bool, shape (rows, columns)
        Where there is ink.
    whole, bare : tuple of ndarray
        How dark it is, about 1 for a typical stroke, at full size and halved repeatedly: all of
        it, and that without the members' strokes.
    """

    seen: NDArray[np.bool_]
    whole: tuple[FloatMap, ...]
    bare: tuple[FloatMap, ...]


def lay_bare(sheet: Sheet, pixels: Points, members: Sequence[tuple[int, int]]) -> Ink:
    """Take the members' strokes out of a picture's ink.

    Parameters
    ----------
    sheet : Sheet
    pixels : ndarray, shape (n, 2)
        Joints in pixels of the sheet.
    members : sequence of (int, int)
    """
    depth = 255.0 - sheet.contrast.astype(np.float32)
    inked = depth[sheet.ink]
    typical = max(float(np.percentile(inked, 70)), 15.0) if inked.size else 255.0
    whole = np.clip(depth / typical, 0.0, 1.2)
    reach = cv2.distanceTransform(sheet.ink.astype(np.uint8), cv2.DIST_L2, 3)[sheet.ink]
    breadth = 4.0 * float(reach.mean()) if reach.size else 1.0
    kept = np.ones(whole.shape, np.uint8)
    for a, b in members:
        ends = [np.round(pixels[k] * 16).astype(int).tolist() for k in (a, b)]
        cv2.line(kept, ends[0], ends[1], 0, max(3, round(breadth + 3)), cv2.LINE_8, 4)
    return Ink(sheet.ink, _halved(whole), _halved(whole * kept))


def _halved(image: FloatMap) -> tuple[FloatMap, ...]:
    levels = [image]
    for _ in range(LEVELS - 1):
        smaller = cv2.resize(levels[-1], None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
        levels.append(np.asarray(smaller, np.float32))
    return tuple(levels)


def look_along(ink: Ink, starts: Points, ends: Points) -> FloatMap:
    """Sample the ink around strokes.

    Parameters
    ----------
    ink : Ink
    starts, ends : ndarray, shape (n, 2)
        The joint and the far end of each stroke, in pixels.

    Returns
    -------
    ndarray of float32, shape (n, 2, len(ALONG), len(ACROSS))
        All the ink, and that without the members'.
    """
    looks = np.zeros((len(starts), 2, len(ALONG), len(ACROSS)), np.float32)
    for look, start, step in zip(looks, starts, ends - starts, strict=True):
        aside = np.array([-step[1], step[0]])
        places = start + ALONG[:, None, None] * step + ACROSS[None, :, None] * aside
        pitch = float(np.hypot(*step)) * (ALONG[1] - ALONG[0])
        look[:] = _sampled(ink, places, pitch)
    return looks


def look_under(ink: Ink, joints: Points, push_deg: Floats, bar: float) -> FloatMap:
    """Sample the ink under joints, turned so that the support would push upwards.

    Parameters
    ----------
    ink : Ink
    joints : ndarray, shape (n, 2)
        In pixels.
    push_deg : ndarray, shape (n,)
        Direction in which a support would push.
    bar : float
        Typical length of a member in pixels.

    Returns
    -------
    ndarray of float32, shape (n, 2 * len(SQUARES), len(DOWN), len(ASIDE))
        For each square all the ink, and that without the members'.
    """
    looks = np.zeros((len(joints), 2 * len(SQUARES), len(DOWN), len(ASIDE)), np.float32)
    for look, joint, degrees in zip(looks, joints, np.radians(push_deg), strict=True):
        up = np.array([np.cos(degrees), -np.sin(degrees)])
        aside = np.array([-up[1], up[0]])
        for k, side in enumerate(SQUARES):
            offset = ASIDE[None, :, None] * aside - DOWN[:, None, None] * up
            pitch = side * bar * (DOWN[1] - DOWN[0])
            look[2 * k : 2 * k + 2] = _sampled(ink, joint + side * bar * offset, pitch)
    return looks


def _sampled(ink: Ink, places: Points, pitch: float) -> FloatMap:
    """Both inks at places (rows, columns, 2) that lie `pitch` pixels apart."""
    level = int(np.clip(np.floor(np.log2(max(pitch, 1e-6) / 0.9)), 0, LEVELS - 1))
    there = ((places + 0.5) * 0.5**level - 0.5).astype(np.float32)
    across, down = np.ascontiguousarray(there[..., 0]), np.ascontiguousarray(there[..., 1])
    seen = [
        cv2.remap(image[level], across, down, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT)
        for image in (ink.whole, ink.bare)
    ]
    return np.asarray(seen, np.float32)


class Glance:
    """One of the small networks.

    Parameters
    ----------
    weights : Path
        ONNX file; input (n, channels, rows, columns), output (n, 3) or (n, 4).
    """

    def __init__(self, weights: Path) -> None:
        """Load the file."""
        self._net = cv2.dnn.readNetFromONNX(str(weights))

    def told(self, looks: FloatMap) -> Floats:
        """What is told of looks: unscaled log-probabilities of the three kinds, and the rest."""
        self._net.setInput(looks)
        raw = np.asarray(self._net.forward(), float)
        return np.column_stack([log_shares(raw[:, :3]), raw[:, 3:]])


def log_shares(odds: Floats) -> Floats:
    """Logarithms of the shares that log-odds (n, k) give each of k kinds."""
    return np.asarray(odds - np.logaddexp.reduce(odds, axis=1, keepdims=True))


@cache
def load(name: str) -> Glance | None:
    """Load a small network once for the whole process; None if its weights are missing."""
    weights = WEIGHTS / f"{name}.onnx"
    return Glance(weights) if weights.is_file() else None


def tell_strokes(ink: Ink, starts: Points, ends: Points) -> Floats:
    """Tell arrows by their ink.

    Parameters
    ----------
    ink, starts, ends
        As for `look_along`.

    Returns
    -------
    ndarray, shape (n, 3)
        Logarithms of the chances of no arrow, one towards its joint, one away from it; zeros
        without the network's weights.
    """
    net = load(ARROW)
    if net is None or not len(starts):
        return np.zeros((len(starts), 3))
    return net.told(look_along(ink, starts, ends))


def tell_feet(ink: Ink, joints: Points, push_deg: Floats, bar: float) -> tuple[Floats, Floats]:
    """Tell supports by their ink.

    Parameters
    ----------
    ink, joints, push_deg, bar
        As for `look_under`.

    Returns
    -------
    log_chance : ndarray, shape (n, 3)
        Logarithms of the chances of no support, a pin, a roller; zeros without the network's
        weights.
    lean_deg : ndarray, shape (n,)
        How far counter-clockwise of `push_deg` the support, if there is one, pushes.
    """
    net = load(FOOT)
    if net is None or not len(joints):
        return np.zeros((len(joints), 3)), np.zeros(len(joints))
    told = net.told(look_under(ink, joints, push_deg, bar))
    return told[:, :3], LEAN_DEG * told[:, 3]


def tell_feet_twice(ink: Ink, joints: Points, push_deg: Floats, bar: float) -> Floats:
    """As `tell_feet` without the lean, from looks as they are and as in a mirror together."""
    net = load(FOOT)
    if net is None or not len(joints):
        return np.zeros((len(joints), 3))
    looks = look_under(ink, joints, push_deg, bar)
    told = net.told(np.concatenate([looks, looks[..., ::-1]]))[:, :3]
    return log_shares(np.mean(np.split(told, 2), axis=0))
