"""Figure of a part of the truss cut free, or of the whole with its supports taken away."""

from __future__ import annotations

import math
from collections.abc import Sequence

from model.truss import Truss
from solver.steps import Acting
from ui.figures import colour_of, said
from ui.labels import Obstacle, Wish, beside, disc, place, stroke
from ui.marks import INK, PAPER, Circle, Mark, Path, Sheet, Words, arrow
from ui.symbols import freedom
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
    view = true_scale(truss, width, margin=0.17)
    size = 0.019 * width
    inside = {truss.index[name] for name in joints}
    marks: list[Mark] = []
    obstacles: list[Obstacle] = []
    busy: dict[int, list[float]] = {at: [] for at in inside}
    for (a, b), (start, end) in zip(truss.members.tolist(), view.segments.tolist(), strict=True):
        if a in inside and b in inside:
            marks.append(Path((tuple(start), tuple(end)), INK, 0.11 * size))
            obstacles.append(stroke(tuple(start), tuple(end), 0.3 * size, 3.0))
        for joint, (x0, y0), (x1, y1) in ((a, start, end), (b, end, start)):
            if joint in inside:
                busy[joint].append(math.degrees(math.atan2(y0 - y1, x1 - x0)))
    wishes: list[tuple[Wish, str]] = []
    for acting in forces:
        if acting.kind == "load" and not acting.force:
            continue
        marks += _drawn(view, acting, busy, size, obstacles, wishes, unit)
    for at in sorted(inside):
        x, y = view.points[at].tolist()
        marks.append(Circle((x, y), 0.25 * size, INK, 0.1 * size, PAPER))
        obstacles.append(disc((x, y), 0.4 * size))
        wishes.append(
            (beside(truss.joints[at], (x, y), size, away_deg=60.0, reach=0.5 * size), INK)
        )
    placed = place(
        [wish for wish, _ in wishes],
        obstacles=obstacles,
        frame=(0.0, 0.0, view.width, view.height),
    )
    for label, (_, edge) in zip(placed, wishes, strict=True):
        plate = (label.width, label.height)
        marks.append(
            Words(
                label.text,
                (label.x, label.y),
                size,
                plate=plate,
                edge=None if edge == INK else edge,
            )
        )
    return Sheet(view.width, view.height, tuple(marks), title="The part set free")


def _drawn(
    view: View,
    acting: Acting,
    busy: dict[int, list[float]],
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
        into = freedom(acts + 180.0, busy[at]) >= min(25.0, freedom(acts, busy[at]))
        side = acts + (180.0 if into else 0.0)
        busy[at].append(side)
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
