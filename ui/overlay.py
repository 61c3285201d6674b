"""A reading drawn over its picture, as it was read: nothing is tidied up here."""

from __future__ import annotations

import math

from model.candidate import Candidate, CandidateLoad, CandidateSupport
from ui.labels import beside, disc, place, stroke
from ui.marks import (
    COMPRESSION,
    INK,
    LOAD,
    PAPER,
    REACTION,
    Circle,
    Mark,
    Path,
    Sheet,
    Words,
    arrow,
)
from ui.pictures import Photo

__all__ = ["reading_over"]

#: Readings below this are drawn dashed: they want a second look.
_SURE = 0.6


def reading_over(candidate: Candidate, photo: Photo) -> Sheet:
    """Draw what was read over the picture; the unsure parts are dashed."""
    size = 0.013 * math.hypot(photo.width, photo.height)
    at = {joint.id: (joint.x, joint.y) for joint in candidate.joints}
    marks: list[Mark] = []
    for member in candidate.members:
        dash = None if member.confidence >= _SURE else (0.6 * size, 0.4 * size)
        line = (at[member.a], at[member.b])
        marks.append(Path(line, REACTION, 0.16 * size, 0.08 * size, dash=dash))
    for support in candidate.supports:
        marks += _support(support, at[support.joint], size)
    for load in candidate.loads:
        marks += _load(load, at[load.joint], size)
    for joint in candidate.joints:
        edge = INK if joint.confidence >= _SURE else COMPRESSION
        marks.append(Circle(at[joint.id], 0.32 * size, edge, 0.12 * size, PAPER))
    names = [
        beside(j.label or str(j.id), at[j.id], size, away_deg=90.0, reach=0.6 * size)
        for j in candidate.joints
    ]
    lines = [stroke(at[m.a], at[m.b], 0.3 * size, 3.0) for m in candidate.members]
    placed = place(
        names,
        obstacles=[*lines, *(disc(point, 0.5 * size) for point in at.values())],
        frame=(0.0, 0.0, photo.width, photo.height),
        ink=photo.ink,
    )
    marks += [
        Words(
            label.text, (label.x, label.y), size, plate=(label.width, label.height), edge=REACTION
        )
        for label in placed
    ]
    return Sheet(
        photo.width,
        photo.height,
        tuple(marks),
        title=f"Reading of {candidate.picture.name}",
        picture=photo.jpeg,
        picture_size=(photo.width, photo.height),
    )


def _support(support: CandidateSupport, at: tuple[float, float], size: float) -> list[Mark]:
    """Draw a triangle, open with a wheel below for a roller."""
    turn = math.radians(support.angle_deg)
    push = (math.cos(turn), -math.sin(turn))
    side = (-push[1], push[0])

    def to(across: float, down: float) -> tuple[float, float]:
        return (
            at[0] + size * (across * side[0] - down * push[0]),
            at[1] + size * (across * side[1] - down * push[1]),
        )

    dash = None if support.confidence >= _SURE else (0.5 * size, 0.3 * size)
    corners = (to(0.0, 0.3), to(-0.9, 1.7), to(0.9, 1.7))
    pen, halo = 0.16 * size, 0.08 * size
    marks: list[Mark] = [Path(corners, COMPRESSION, pen, halo, dash=dash, closed=True)]
    if support.kind == "roller":
        marks.append(Circle(to(0.0, 2.15), 0.4 * size, COMPRESSION, pen, PAPER))
    return marks


def _load(load: CandidateLoad, at: tuple[float, float], size: float) -> list[Mark]:
    turn = math.radians(load.direction_deg)
    dx, dy = math.cos(turn), -math.sin(turn)
    tail = (at[0] - 3.4 * size * dx, at[1] - 3.4 * size * dy)
    tip = (at[0] - 0.5 * size * dx, at[1] - 0.5 * size * dy)
    marks: list[Mark] = [*arrow(tail, tip, LOAD, 0.2 * size, 0.9 * size, 0.08 * size)]
    if load.value is not None:
        text = f"{load.value:g} {load.unit or ''}".strip()
        box = beside(text, tail, size, away_deg=load.direction_deg + 180.0, reach=0.3 * size)
        x, y = box.places[0][:2]
        marks.append(Words(text, (x, y), size, plate=(box.width, 1.3 * size), edge=LOAD))
    return marks
