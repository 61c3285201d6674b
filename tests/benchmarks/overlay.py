"""A reading drawn over its picture: right, invented and missed, told by colour and by shape."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np

from model.candidate import Candidate
from tests.benchmarks.scoring import match_joints

__all__ = ["draw_overlay"]

Point = tuple[int, int]

# Okabe-Ito colours, blue green red.
_RIGHT = (115, 158, 0)
_INVENTED = (0, 94, 213)
_MISSED = (178, 114, 0)
_LONG_SIDE = 1400


def draw_overlay(picture: Path, read: Candidate | None, truth: Candidate | None, to: Path) -> None:
    """Draw a reading over its picture.

    Right joints are green rings and right members green lines; invented ones
    are vermilion crosses and lines crossed by a cross; missed ones are blue
    squares and dashed lines. Supports and loads are written beside their joints:
    what was read, and in brackets what is true.
    """
    image = cv2.imread(str(picture), cv2.IMREAD_COLOR)
    if image is None:
        return  # what failed to open has nothing to draw on; the table names it
    scale = _LONG_SIDE / max(image.shape[:2])
    image = cv2.resize(image, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    image = (image * 0.6 + 100).clip(0, 255).astype(np.uint8)
    match = match_joints(read, truth) if read and truth else {}
    ours = _places(read, scale) if read else {}
    theirs = _places(truth, scale) if truth else {}
    true = {frozenset((m.a, m.b)) for m in truth.members} if truth else set()
    found = set()
    for member in read.members if read else []:
        pair = frozenset((match.get(member.a, -1), match.get(member.b, -2)))
        a, b = ours[member.a], ours[member.b]
        if pair in true:
            found.add(pair)
            cv2.line(image, a, b, _RIGHT, 3, cv2.LINE_AA)
        else:
            cv2.line(image, a, b, _INVENTED, 3, cv2.LINE_AA)
            middle = ((a[0] + b[0]) // 2, (a[1] + b[1]) // 2)
            cv2.drawMarker(image, middle, _INVENTED, cv2.MARKER_TILTED_CROSS, 22, 3, cv2.LINE_AA)
    for pair in true - found:
        a, b = (theirs[joint] for joint in pair)
        _dashed(image, a, b)
    for joint, place in ours.items():
        if joint in match:
            cv2.circle(image, place, 11, _RIGHT, 2, cv2.LINE_AA)
        else:
            cv2.drawMarker(image, place, _INVENTED, cv2.MARKER_TILTED_CROSS, 22, 3, cv2.LINE_AA)
    for joint in theirs.keys() - set(match.values()):
        cv2.drawMarker(image, theirs[joint], _MISSED, cv2.MARKER_SQUARE, 24, 3, cv2.LINE_AA)
    if read:
        _note(image, ours, read, 22, "{}")
    if truth:
        _note(image, theirs, truth, 40, "({})")
    cv2.imwrite(str(to), image)


def _places(candidate: Candidate, scale: float) -> dict[int, Point]:
    return {j.id: (round(j.x * scale), round(j.y * scale)) for j in candidate.joints}


def _dashed(image: np.ndarray, a: Point, b: Point) -> None:
    count = max(4, int(np.hypot(b[0] - a[0], b[1] - a[1]) / 16))
    spots = np.linspace(a, b, count).round().astype(int).tolist()
    for start, end in zip(spots[::2], spots[1::2], strict=False):
        cv2.line(image, tuple(start), tuple(end), _MISSED, 3, cv2.LINE_AA)


def _note(
    image: np.ndarray, places: dict[int, Point], candidate: Candidate, drop: int, form: str
) -> None:
    for joint, (x, y) in places.items():
        said = [f"{s.kind} {s.angle_deg:.0f}" for s in candidate.supports if s.joint == joint]
        said += [f"load {ld.direction_deg:.0f}" for ld in candidate.loads if ld.joint == joint]
        if said:
            text = form.format(", ".join(said))
            cv2.putText(
                image, text, (x + 12, y + drop), cv2.FONT_HERSHEY_SIMPLEX, 0.5, (40, 40, 40), 1,
                cv2.LINE_AA,
            )  # fmt: skip
