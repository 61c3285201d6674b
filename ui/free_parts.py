"""Figure of a part of the truss cut free, or of the whole with its supports taken away."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from model.truss import Truss
from solver.steps import Acting
from ui.figures import colour_of, free_body, said
from ui.labels import Obstacle, Wish, beside, disc, place, stroke
from ui.marks import INK, PAPER, Circle, Mark, Path, Sheet, arrow
from ui.symbols import freedom, written
from ui.views import View, true_scale

__all__ = ["free_part"]


def free_part(
    truss: Truss,
    joints: Sequence[str],
    forces: Sequence[Acting],
    unit: str,
    *,
    width: float = 760.0,
) -> Sheet:
    """Draw the members between `joints`, and every force on that part."""
    if len(joints) == 1:
        return free_body(joints[0], forces, unit)
    part = _part_of(truss, joints)
    view = true_scale(part, width, margin=0.19)
    size = 0.019 * width
    marks: list[Mark] = []
    obstacles: list[Obstacle] = []
    for (x0, y0), (x1, y1) in view.segments.tolist():
        marks.append(Path(((x0, y0), (x1, y1)), INK, 0.11 * size))
        obstacles.append(stroke((x0, y0), (x1, y1), 0.3 * size, 3.0))
    busy: dict[str, list[float]] = {name: [] for name in joints}
    for (a, b), (dx, dy) in zip(truss.members.tolist(), truss.vectors.tolist(), strict=True):
        for joint, sign in ((truss.joints[a], 1.0), (truss.joints[b], -1.0)):
            if joint in busy:
                busy[joint].append(math.degrees(math.atan2(sign * dy, sign * dx)))
    wishes: list[tuple[Wish, str]] = []
    least = 1e-9 * max((abs(acting.force or 0.0) for acting in forces), default=0.0)
    for acting in forces:
        if acting.kind != "member" and acting.force is not None and abs(acting.force) <= least:
            continue
        marks += _drawn(view, acting, busy, size, obstacles, wishes, unit)
    for name, (x, y) in zip(part.joints, view.points.tolist(), strict=True):
        marks.append(Circle((x, y), 0.25 * size, INK, 0.1 * size, PAPER))
        obstacles.append(disc((x, y), 0.4 * size))
        wishes.append((beside(name, (x, y), size, away_deg=60.0, reach=0.5 * size), INK))
    placed = place(
        [wish for wish, _ in wishes],
        obstacles=obstacles,
        frame=(0.0, 0.0, view.width, view.height),
    )
    marks += written(placed, [(size, edge) for _, edge in wishes])
    return Sheet(view.width, view.height, tuple(marks), title="The part set free")


def _part_of(truss: Truss, joints: Sequence[str]) -> Truss:
    """Give the joints and the members between them as a truss of its own."""
    chosen = [truss.index[name] for name in joints]
    place_of = {at: position for position, at in enumerate(chosen)}
    members = [
        (place_of[a], place_of[b]) for a, b in truss.members.tolist() if {a, b} <= set(chosen)
    ]
    return Truss(
        tuple(joints), truss.points[chosen], np.array(members, dtype=np.intp).reshape(-1, 2)
    )


def _drawn(
    view: View,
    acting: Acting,
    busy: dict[str, list[float]],
    size: float,
    obstacles: list[Obstacle],
    wishes: list[tuple[Wish, str]],
    unit: str,
) -> Sequence[Mark]:
    """Arrow of one force; adds its obstacle and its text."""
    at = view.truss.index[acting.joint]
    x, y = view.points[at].tolist()
    heading = math.degrees(math.atan2(acting.direction[1], acting.direction[0]))
    against = (acting.force or 0.0) < 0
    if acting.kind == "member":
        side, into = heading, against
    else:
        acts = heading + (180.0 if against else 0.0)
        into = freedom(acts + 180.0, busy[acting.joint]) >= min(
            25.0, freedom(acts, busy[acting.joint])
        )
        side = acts + (180.0 if into else 0.0)
        busy[acting.joint].append(side)
    turn = math.radians(side)
    near, far = 0.5 * size, 4.2 * size
    inner = (x + near * math.cos(turn), y - near * math.sin(turn))
    outer = (x + far * math.cos(turn), y - far * math.sin(turn))
    tail, tip = (outer, inner) if into else (inner, outer)
    colour = colour_of(acting)
    obstacles.append(stroke(inner, outer, 0.6 * size, 6.0))
    wishes.append(
        (beside(said(acting, unit), outer, size, away_deg=side, reach=0.35 * size), colour)
    )
    shaft, head = arrow(tail, tip, colour, 0.14 * size, 0.8 * size)
    if acting.force is None:
        shaft = Path(shaft.points, colour, shaft.width, dash=(0.5 * size, 0.35 * size))
    return shaft, head
