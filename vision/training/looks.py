"""Looks at single symbols in drawn pictures, with what is there: to train and to judge on.

Pictures are used as they are drawn, with their true joints and members put off as a reading
puts them off: no maps are needed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.arrows import member_directions, rays_at, reach_of, turn, widened
from vision.glance import Ink, lay_bare, look_along, look_under
from vision.page import find_ink
from vision.training.makers import draw_numbered
from vision.training.specimens import draw_specimens
from vision.training.truth import Truth

__all__ = ["UNIT", "Looks", "looks_at", "looks_in"]

Rng = np.random.Generator
Points = NDArray[np.float64]
#: Both ends and kind of a stroke.
Stroke = tuple[Points, Points, int]
#: A joint, the direction it is looked at from, the kind of its support and how far it leans.
Foot = tuple[int, float, int, float]

#: First number of the pictures; those of `vision.training.evidence` come before.
FIRST = 72_000
#: Longer side of the pictures in pixels, which is what most of the time goes by.
LONGEST = 900
#: Steps of stored darkness to that of a typical stroke.
UNIT = 200
#: How far joints are off as shares of the truss's span, mostly and now and then; how often
#: that is; how often a member is lacking.
OFF, FAR_OFF, FAR_SHARE, LACKING = 0.004, 0.01, 0.15, 0.15
#: Standard deviations, in degrees, of the direction in which supports are looked for.
ASTRAY_DEG = (4.0, 12.0)
#: Most strokes of a picture that are no arrow.
MOST_PLAIN = 14


@dataclass(frozen=True)
class Looks:
    """Looks of one of the small networks.

    Attributes
    ----------
    seen : ndarray of uint8, shape (n, channels, rows, columns)
        Darkness in steps, `UNIT` of them to a typical stroke's.
    kind : ndarray of int, shape (n,)
        Which of the network's three kinds is there.
    lean_deg : ndarray, shape (n,)
        How far counter-clockwise of the look's own direction a support pushes; 0 elsewhere.
    at_wall : ndarray of bool, shape (n,)
        Whether the look's own direction is rather level than plumb.
    number : ndarray of int, shape (n,)
        The picture; -1 for a sheet of specimens.
    """

    seen: NDArray[np.uint8]
    kind: NDArray[np.int64]
    lean_deg: NDArray[np.float32]
    at_wall: NDArray[np.bool_]
    number: NDArray[np.int64]

    def only(self, which: NDArray[np.bool_]) -> Looks:
        """Some of the looks."""
        return Looks(**{field.name: getattr(self, field.name)[which] for field in fields(self)})

    @classmethod
    def joined(cls, looks: Sequence[Looks]) -> Looks:
        """Looks of many pictures as one."""
        names = [field.name for field in fields(cls)]
        return cls(
            **{name: np.concatenate([getattr(one, name) for one in looks]) for name in names}
        )


def looks_in(number: int) -> tuple[Looks, Looks] | None:
    """Looks along strokes and under joints of a numbered picture, if it shows a truss.

    Every third number stands for a sheet of specimens.
    """
    cv2.setNumThreads(1)
    rng = np.random.default_rng(number)
    if number % 3 == 2:
        return looks_at(*draw_specimens(number), rng, -1)
    picture = draw_numbered(FIRST + number, LONGEST)
    return looks_at(*picture, rng, number) if picture else None


def looks_at(
    rgb: NDArray[np.uint8], truth: Truth, rng: Rng, number: int = 0
) -> tuple[Looks, Looks]:
    """Looks along strokes and under joints of one picture."""
    at = np.array([(joint["x"], joint["y"]) for joint in truth["joints"]])
    astray = np.where(rng.random((len(at), 1)) < FAR_SHARE, FAR_OFF, OFF)
    at = at + rng.normal(0, 1, at.shape) * astray * np.hypot(*np.ptp(at, axis=0))
    members = [(bar["a"], bar["b"]) for bar in truth["members"]]
    if len(members) > 3 and rng.random() < LACKING:
        members.pop(int(rng.integers(len(members))))
    sheet = find_ink(rgb)
    ink = lay_bare(sheet, at, members)
    rows, columns = sheet.ink.shape
    seen = np.flatnonzero(((at > 0) & (at < (columns, rows))).all(axis=1))
    strokes = _strokes(ink, at, members, seen, truth, rng)
    return _along(ink, strokes, number), _under(
        ink, at, members, _feet(at, seen, truth, rng), number
    )


def _along(ink: Ink, strokes: list[Stroke], number: int) -> Looks:
    starts, ends = (np.array([one[k] for one in strokes]).reshape(-1, 2) for k in (0, 1))
    count = len(strokes)
    return Looks(
        _stored(look_along(ink, starts, ends)),
        np.array([kind for *_, kind in strokes], np.int64),
        np.zeros(count, np.float32),
        np.zeros(count, bool),
        np.full(count, number),
    )


def _under(
    ink: Ink, at: Points, members: list[tuple[int, int]], feet: list[Foot], number: int
) -> Looks:
    bar = float(np.median([np.hypot(*(at[a] - at[b])) for a, b in members]))
    joints, push, kinds, lean = (np.array([one[k] for one in feet]) for k in range(4))
    return Looks(
        _stored(look_under(ink, at[joints.astype(np.intp)], push.astype(float), bar)),
        kinds.astype(np.int64),
        lean.astype(np.float32),
        np.abs(np.cos(np.radians(push.astype(float)))) > 0.7,
        np.full(len(feet), number),
    )


def _stored(looks: NDArray[np.float32]) -> NDArray[np.uint8]:
    return np.clip(looks * UNIT, 0, 255).astype(np.uint8)


def _strokes(
    ink: Ink,
    at: Points,
    members: list[tuple[int, int]],
    seen: NDArray[np.intp],
    truth: Truth,
    rng: Rng,
) -> list[Stroke]:
    """Arrows, and some of the strokes at joints that are none."""
    thick, reach = widened(ink.seen), reach_of(at, members)
    arrows: list[Stroke] = []
    plain: list[Stroke] = []
    for joint in seen.tolist():
        taken = member_directions(at, joint, members)
        for _, far in rays_at(thick, at[joint], taken, reach):
            kind = _stroke_kind(at[joint], far, joint, truth)
            if kind is not None:
                (arrows if kind else plain).append((at[joint], far, kind))
    return arrows + [plain[k] for k in rng.permutation(len(plain))[:MOST_PLAIN].tolist()]


def _stroke_kind(place: Points, far: Points, joint: int, truth: Truth) -> int | None:
    """0 for no arrow, 1 for one inwards, 2 for one outwards, None where it is hard to say."""
    step = far - place
    angle = float(np.degrees(np.arctan2(-step[1], step[0])))
    for entry in [*truth["loads"], *truth["reactions"]]:
        if entry["joint"] != joint:
            continue
        if entry["head"] is None:
            line = turn(angle, entry["direction_deg"])
            if min(line, 180 - line) < 20:
                return None
            continue
        head, tail = np.array(entry["head"]) - place, np.array(entry["tail"]) - place
        outwards = bool(np.hypot(*head) > np.hypot(*tail))
        true = head if outwards else tail
        if turn(angle, float(np.degrees(np.arctan2(-true[1], true[0])))) <= 13:
            share = np.hypot(*step) / np.hypot(*true)
            return (2 if outwards else 1) if 0.55 < share < 1.8 else None
    return 0


def _feet(at: Points, seen: NDArray[np.intp], truth: Truth, rng: Rng) -> list[Foot]:
    """Supports from the right side and from a wrong one, arrows from behind, other joints."""
    found: list[Foot] = []
    held = {entry["joint"]: entry for entry in truth["supports"] if entry["joint"] in seen}
    for joint, entry in held.items():
        for spread in ASTRAY_DEG:
            astray = float(np.clip(rng.normal(0, spread), -25, 25))
            kind = 1 if entry["kind"] == "pin" else 2
            found.append((joint, entry["angle_deg"] + astray, kind, -astray))
        wrong = entry["angle_deg"] + rng.choice([90, 180, 270]) + rng.normal(0, 7)
        found.append((joint, wrong, 0, 0.0))
    free = [joint for joint in rng.permutation(seen).tolist() if joint not in held]
    for entry in [*truth["reactions"][:2], *truth["loads"][:2]]:
        if entry["joint"] in free:
            found.append((entry["joint"], entry["direction_deg"] + rng.normal(0, 7), 0, 0.0))
    for joint in free[:3]:
        inner = at.mean(axis=0) - at[joint]
        likely = float(np.degrees(np.arctan2(-inner[1], inner[0])) + rng.normal(0, 20))
        push = likely if rng.random() < 0.6 else float(rng.choice([0, 90, 180]))
        found.append((joint, push, 0, 0.0))
    return found
