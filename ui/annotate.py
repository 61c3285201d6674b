"""Forces over the photo, or over a clean figure to scale: one sheet of marks.

Tension and compression are told apart four times over: by colour, by the
weight of the line, by the letter behind the value, and by the arrows at the
joints, which pull away from them in tension and push at them in compression.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from model.job import Job, truss_of
from model.result import CAUTION, Result
from model.truss import Truss
from ui.labels import Obstacle, Wish, along, beside, disc, place, stroke, text_width
from ui.marks import (
    COMPRESSION,
    INK,
    LOAD,
    NO_FORCE,
    PAPER,
    REACTION,
    TENSION,
    Circle,
    Mark,
    Path,
    Point,
    Sheet,
    Words,
    arrow,
)
from ui.numbers import force_text, is_zero, range_text
from ui.outside import OutsideForce, direction_deg, outside_forces
from ui.pictures import Photo
from ui.symbols import supports, written
from ui.views import View, on_picture, true_scale

__all__ = ["annotated", "member_colour", "over_view", "wrapped"]


#: Colour, width and dash in font sizes, and what a line of that kind means.
_Entry = tuple[str, float, tuple[float, float] | None, str]


def annotated(job: Job, result: Result, photo: Photo | None = None) -> Sheet:
    """Draw a result over the job's photo, or over a clean figure when there is none.

    Parameters
    ----------
    job : Job
        Placed (every joint has coordinates).
    result : Result
        Its solution; an unstable one shows how the truss moves.
    photo : Photo, optional
        The picture the joints' pixels belong to.
    """
    truss = truss_of(job)
    if photo is not None and sum(j.pixel is not None for j in job.joints.values()) >= 2:
        pixels = {name: joint.pixel for name, joint in job.joints.items()}
        view = on_picture(truss, pixels, photo.width, photo.height)
        return over_view(view, job, result, photo)
    return over_view(true_scale(truss, _width_for(truss)), job, result)


def _width_for(truss: Truss) -> float:
    """Width of a clean figure in which a typical member has room for its value."""
    span = float(np.ptp(truss.points[:, 0])) or 1.0
    typical = float(np.quantile(truss.lengths, 0.25)) if len(truss.members) else span
    return float(np.clip(180.0 * span / typical, 1600.0, 6400.0))


def over_view(view: View, job: Job, result: Result, photo: Photo | None = None) -> Sheet:
    """Draw a result over a laid-out truss; without a photo the truss itself is drawn as well."""
    size = view.font_size
    forces = [member.force for member in result.members] or [0.0] * len(view.truss.members)
    marks: list[Mark] = [] if photo is not None else list(supports(view))
    for position in range(len(view.truss.members)):
        marks += _member(view, position, forces[position], _largest(result), bool(result.members))
    marks += _motion(view, result)
    outside = outside_forces(view, job.units.force, result.reactions)
    for one in outside:
        marks += arrow(one.tail, one.tip, one.colour, 0.16 * size, 0.75 * size, 0.07 * size)
    for x, y in view.points.tolist():
        marks.append(Circle((x, y), 0.2 * size, INK, 0.09 * size, PAPER))
    marks += _labels(view, job, result, outside, photo)
    band, height = _band(view, job, result)
    return Sheet(
        view.width,
        view.height + height,
        (*marks, *band),
        title=job.title or "Truss",
        picture=None if photo is None else photo.jpeg,
        picture_size=(0.0, 0.0) if photo is None else (photo.width, photo.height),
    )


def member_colour(force: float, largest: float) -> str:
    """Colour of a member by its force."""
    if is_zero(force, largest):
        return NO_FORCE
    return TENSION if force > 0 else COMPRESSION


def _largest(result: Result) -> float:
    return max((abs(member.force) for member in result.members), default=0.0)


def _member(view: View, position: int, force: float, largest: float, solved: bool) -> list[Mark]:
    """Draw a member's line and, when it carries force, its arrow at either joint."""
    size = view.font_size
    a, b = (np.asarray(end) for end in view.segments[position])
    ends = tuple(map(tuple, (a.tolist(), b.tolist())))
    if not solved:
        return [Path(ends, NO_FORCE, 0.12 * size, 0.05 * size)]
    colour = member_colour(force, largest)
    if is_zero(force, largest):
        dash = (0.12 * size, 0.3 * size)
        return [Path(ends, colour, 0.14 * size, 0.06 * size, dash=dash)]
    width = (0.11 if force > 0 else 0.21) * size
    marks: list[Mark] = [Path(ends, colour, width, 0.06 * size)]
    span = float(np.hypot(*(b - a))) or 1.0
    for joint, start, other in zip(view.truss.members[position], (a, b), (b, a), strict=True):
        along_member = (other - start) / span
        near = min(0.45 * size, 0.08 * span) * view.scales[joint]
        far = near + min(1.15 * size * view.scales[joint], 0.22 * span)
        inner, outer = start + near * along_member, start + far * along_member
        tail, tip = (inner, outer) if force > 0 else (outer, inner)
        head = min(0.8 * size * view.scales[joint], 0.18 * span)
        marks += arrow(_point(tail), _point(tip), colour, width, head, 0.05 * size)
    return marks


def _point(array: NDArray[np.float64]) -> Point:
    return float(array[0]), float(array[1])


def _motion(view: View, result: Result) -> list[Mark]:
    """Show the truss where an unstable one moves to, dashed."""
    if not result.mechanism:
        return []
    moved = view.points.copy()
    moves = np.array([result.mechanism.get(name, (0.0, 0.0)) for name in view.truss.joints])
    turned = np.einsum("nij,nj->ni", view.jacobians, moves)
    largest = float(np.hypot(*turned.T).max()) or 1.0
    moved += turned * (1.8 * view.font_size / largest)
    size = view.font_size
    return [
        Path(
            tuple(_point(moved[joint]) for joint in member),
            COMPRESSION,
            0.12 * size,
            0.05 * size,
            dash=(0.5 * size, 0.35 * size),
        )
        for member in view.truss.members
    ]


def _labels(
    view: View, job: Job, result: Result, outside: list[OutsideForce], photo: Photo | None
) -> list[Mark]:
    """Values at members, loads, reactions and names, none over another."""
    size, largest = view.font_size, _largest(result)
    wishes: list[tuple[Wish, str]] = []
    spans = np.hypot(*(view.segments[:, 1] - view.segments[:, 0]).T)
    for position in np.argsort(spans, kind="stable") if result.members else ():
        member = result.members[position]
        text = force_text(member.force, largest)
        if member.range is not None:
            text += f": {range_text(*member.range)}"
        a, b = (_point(end) for end in view.segments[position])
        wishes.append((along(text, a, b, size), member_colour(member.force, largest)))
    for one in outside:
        wish = beside(one.text, one.outer, size, away_deg=one.away_deg, reach=0.3 * size, rank=1)
        wishes.append((wish, one.colour))
    for joint, name in enumerate(view.truss.joints):
        away = _open_side(view, joint, outside)
        point = _point(view.points[joint])
        wishes.append((beside(name, point, size, away_deg=away, reach=0.45 * size, rank=2), INK))
    placed = place(
        [wish for wish, _ in wishes],
        obstacles=_obstacles(view, outside),
        frame=(0.0, 0.0, view.width, view.height),
        ink=None if photo is None else photo.ink,
    )
    return written(placed, [(size, edge) for _, edge in wishes])


def _open_side(view: View, joint: int, outside: list[OutsideForce]) -> float:
    """Direction in the middle of the widest gap between the lines at a joint."""
    taken = [one.away_deg % 360.0 for one in outside if one.joint == joint]
    for (a, b), (start, end) in zip(view.truss.members, view.segments, strict=True):
        if a == joint:
            taken.append(direction_deg(end - start) % 360.0)
        if b == joint:
            taken.append(direction_deg(start - end) % 360.0)
    if not taken:
        return 90.0
    taken.sort()
    gaps = [
        (after - before)
        for before, after in zip(taken, [*taken[1:], taken[0] + 360.0], strict=True)
    ]
    widest = int(np.argmax(gaps))
    return taken[widest] + gaps[widest] / 2


def _obstacles(view: View, outside: list[OutsideForce]) -> list[Obstacle]:
    size = view.font_size
    obstacles = [disc(_point(point), 0.4 * size) for point in view.points]
    for a, b in view.segments:
        obstacles.append(stroke(_point(a), _point(b), 0.3 * size, 3.0))
    for one in outside:
        obstacles.append(stroke(one.tail, one.tip, 0.6 * size, 6.0))
    return obstacles


def _band(view: View, job: Job, result: Result) -> tuple[list[Mark], float]:
    """Draw the legend and the cautions below the picture; gives the marks and their height."""
    size = float(np.clip(view.width / 75.0, 0.4 * view.font_size, 0.8 * view.font_size))
    top, left = view.height + 1.2 * size, 1.2 * size
    unit = job.units.force
    entries = _legend(view, result, unit)
    marks: list[Mark] = []
    x = left
    for colour, width, dash, text in entries:
        long = 2.4 * size + text_width(text, size) + 2.2 * size
        if x > left and x + long > view.width:
            x, top = left, top + 1.7 * size
        pattern = None if dash is None else (dash[0] * size * 1.6, dash[1] * size * 1.6)
        marks.append(
            Path(((x, top), (x + 2 * size, top)), colour, width * 1.6 * size, dash=pattern)
        )
        marks.append(Words(text, (x + 2.5 * size, top), size, start=True))
        x += long
    sentences = [CAUTION if result.reason is None else f"{result.reason} {CAUTION}"]
    if result.warnings:
        sentences = [*(f"Warning: {warning}" for warning in result.warnings), *sentences]
    if result.envelope:
        sentences.insert(0, "Every load counts once here; the combinations are in the envelope.")
    if any(properties.weight_per_length for properties in view.truss.properties):
        sentences.insert(0, "The members' own weight counts at their joints; it is not drawn.")
    for sentence in sentences:
        for line in wrapped(sentence, size, view.width - 2 * left):
            top += 1.6 * size
            marks.append(Words(line, (left, top), size, bold=False, start=True))
    height = top + 1.4 * size - view.height
    return marks, height


def _legend(view: View, result: Result, unit: str) -> list[_Entry]:
    """Explain the marks that are on the sheet, and no others."""
    largest = _largest(result)
    senses = {member_colour(member.force, largest) for member in result.members}
    entries: list[_Entry] = [
        (TENSION, 0.11, None, f"tension (T), {unit}"),
        (COMPRESSION, 0.21, None, f"compression (C), {unit}"),
        (NO_FORCE, 0.14, (0.12, 0.3), "no force"),
    ]
    entries = [entry for entry in entries if entry[0] in senses]
    if not result.members:
        entries.append((NO_FORCE, 0.12, None, "member, force not known"))
    if result.mechanism:
        entries.append((COMPRESSION, 0.12, (0.5, 0.35), "how it can move, not to scale"))
    if view.truss.loads:
        entries.append((LOAD, 0.16, None, "load"))
    if result.reactions:
        entries.append((REACTION, 0.16, None, "reaction"))
    return entries


def wrapped(text: str, size: float, width: float) -> list[str]:
    """Break a sentence into lines no wider than `width`."""
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and text_width(longer, size) * 0.92 > width:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines
