"""The truss as its dimensions make it: to scale, with what can still move."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from model.truss import Truss
from ui.labels import Obstacle, along, beside, disc, place, stroke
from ui.marks import COMPRESSION, INK, PAPER, Circle, Mark, Path, Point, Sheet, Words, arrow
from ui.numbers import number
from ui.symbols import supports
from ui.views import true_scale

__all__ = ["true_figure"]

_WIDTH = 900.0
#: Longest arrow of a motion, in font sizes.
_REACH = 3.2
#: Members up to which each length is written.
_FEW = 24


def true_figure(
    truss: Truss, motions: Sequence[Mapping[str, tuple[float, float]]], title: str
) -> Sheet:
    """Draw a truss to scale with the length of each member.

    Parameters
    ----------
    truss : Truss
    motions : sequence of mapping
        For each open freedom the movement of each joint that moves, drawn as an arrow.
    title : str
    """
    view = true_scale(truss, _WIDTH, margin=0.1)
    size = max(view.font_size, 0.022 * _WIDTH)
    points: list[Point] = [(x, y) for x, y in view.points.tolist()]
    lines: list[tuple[Point, Point]] = [((a[0], a[1]), (b[0], b[1])) for a, b in view.segments]
    marks: list[Mark] = [*supports(view)]
    marks += [Path(line, INK, 0.12 * size) for line in lines]
    obstacles: list[Obstacle] = [disc(point, 0.4 * size) for point in points]
    obstacles += [stroke(a, b, 0.2 * size, 2.0) for a, b in lines]
    for tail, tip in _arrows(truss, points, motions, _REACH * size):
        marks += arrow(tail, tip, COMPRESSION, 0.18 * size, 0.8 * size)
        obstacles.append(stroke(tail, tip, 0.6 * size, 4.0))
    marks += [Circle(point, 0.24 * size, INK, 0.1 * size, PAPER) for point in points]
    wishes = [
        beside(name, point, 1.1 * size, reach=0.5 * size, rank=1)
        for name, point in zip(truss.joints, points, strict=True)
    ]
    if len(lines) <= _FEW:
        wishes += [
            along(number(length), *line, 0.9 * size)
            for length, line in zip(truss.lengths.tolist(), lines, strict=True)
        ]
    frame = (0.0, 0.0, view.width, view.height)
    for wish, label in zip(wishes, place(wishes, obstacles=obstacles, frame=frame), strict=True):
        if label.leader is not None:
            marks.append(Path(label.leader, INK, 0.05 * size))
        middle = (label.x, label.y)
        marks.append(Words(label.text, middle, wish.size, angle_deg=label.angle_deg))
    return Sheet(view.width, view.height, tuple(marks), title=title)


def _arrows(
    truss: Truss,
    points: Sequence[Point],
    motions: Sequence[Mapping[str, tuple[float, float]]],
    reach: float,
) -> list[tuple[Point, Point]]:
    """Arrows of the motions, the joint that moves most by `reach`."""
    drawn = []
    for motion in motions:
        most = max((float(np.hypot(*move)) for move in motion.values()), default=0.0)
        for joint, (dx, dy) in motion.items():
            if most and np.hypot(dx, dy) > 0.08 * most:
                x, y = points[truss.index[joint]]
                drawn.append(((x, y), (x + dx / most * reach, y - dy / most * reach)))
    return drawn
