"""What figures share: supports as they are drawn, labels on plates, the room around a joint."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from model.truss import Support
from ui.labels import Label
from ui.marks import INK, PAPER, Circle, Mark, Path, Point, Words
from ui.views import View

__all__ = ["freedom", "support", "supports", "written"]

FloatArray = NDArray[np.float64]


def supports(view: View) -> list[Mark]:
    """Draw every support of a laid-out truss."""
    marks: list[Mark] = []
    for one in view.truss.supports:
        at = view.truss.index[one.joint]
        turn = np.radians(one.angle_deg)
        push = view.direction(at, float(np.cos(turn)), float(np.sin(turn)))
        marks += support(one, view.points[at], push, view.font_size)
    return marks


def support(one: Support, at: FloatArray, push: FloatArray, size: float) -> list[Mark]:
    """Draw a support: a triangle on hatched ground, with two wheels under a roller.

    Parameters
    ----------
    one : Support
    at : ndarray, shape (2,)
        The joint on the sheet.
    push : ndarray, shape (2,)
        Unit direction on the sheet in which the support pushes on the truss.
    size : float
        Font size of the sheet.
    """
    side = np.array([-push[1], push[0]])

    def to(across: float, down: float) -> Point:
        x, y = at + size * (across * side - down * push)
        return float(x), float(y)

    pen = 0.08 * size
    marks: list[Mark] = [
        Path((to(-0.7, 1.2), to(0.0, 0.0), to(0.7, 1.2)), INK, pen, closed=True, fill=PAPER)
    ]
    ground = 1.2
    if one.kind == "roller":
        ground = 1.66
        for across in (-0.38, 0.38):
            marks.append(Circle(to(across, 1.43), 0.23 * size, INK, pen, PAPER))
    marks.append(Path((to(-1.05, ground), to(1.05, ground)), INK, 1.3 * pen))
    for across in np.arange(-0.9, 1.0, 0.35):
        marks.append(Path((to(across, ground), to(across - 0.28, ground + 0.32)), INK, 0.7 * pen))
    return marks


def freedom(angle: float, busy: Iterable[float]) -> float:
    """Smallest turn from a direction to one that is taken."""
    return min((abs((angle - other + 180.0) % 360.0 - 180.0) for other in busy), default=180.0)


def written(labels: Sequence[Label], looks: Iterable[tuple[float, str]]) -> list[Mark]:
    """Draw placed labels on light plates, their leaders below all of them.

    `looks` gives each label's font size and the colour of its plate's edge;
    ink stands for a plate without an edge.
    """
    leaders: list[Mark] = []
    words: list[Mark] = []
    for label, (size, edge) in zip(labels, looks, strict=True):
        if label.leader is not None:
            leaders.append(Path(label.leader, edge, 0.06 * size, 0.04 * size))
        words.append(
            Words(
                label.text,
                (label.x, label.y),
                size,
                angle_deg=label.angle_deg,
                plate=(label.width, label.height),
                edge=None if edge == INK else edge,
            )
        )
    return [*leaders, *words]
