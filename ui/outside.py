"""Loads and reactions as arrows at a laid-out truss, where they meet the fewest lines."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ui.marks import LOAD, REACTION, Point
from ui.numbers import is_zero, number
from ui.symbols import freedom
from ui.views import View

__all__ = ["OutsideForce", "direction_deg", "outside_forces"]


@dataclass(frozen=True)
class OutsideForce:
    """A load or reaction with its arrow.

    Attributes
    ----------
    joint : int
    vector : tuple of float
        Its components in the world, x right, y up.
    colour, text : str
    tail, tip : tuple of float
    outer : tuple of float
        The end away from the joint, where its text belongs.
    away_deg : float
        Direction from the joint to that end.
    """

    joint: int
    vector: Point
    colour: str
    text: str
    tail: Point
    tip: Point
    outer: Point
    away_deg: float


@dataclass(frozen=True)
class _Acting:
    """A force before it has a place: joint, components, unit direction on the sheet, look."""

    joint: int
    vector: Point
    direction: Point
    colour: str
    text: str


def outside_forces(
    view: View, unit: str, reactions: Mapping[str, tuple[float, float]]
) -> list[OutsideForce]:
    """Place an arrow for every load and reaction that has a size.

    Loads of one joint and one direction are taken together. A reaction is
    drawn by components at pins and at level or plumb rollers, else along the push.
    """
    busy: list[list[float]] = [[] for _ in view.truss.joints]
    for (a, b), (start, end) in zip(view.truss.members, view.segments, strict=True):
        busy[a].append(direction_deg(end - start))
        busy[b].append(direction_deg(start - end))
    placed = []
    for acting in (*_loads(view, unit), *_reactions(view, unit, reactions)):
        placed.append(_placed(view, acting, busy[acting.joint]))
        busy[acting.joint].append(placed[-1].away_deg)
    return placed


def direction_deg(vector: NDArray[np.float64]) -> float:
    """Direction of a vector of the sheet, counter-clockwise as seen."""
    return math.degrees(math.atan2(-vector[1], vector[0]))


def _placed(view: View, acting: _Acting, busy: list[float]) -> OutsideForce:
    dx, dy = acting.direction
    heading = math.degrees(math.atan2(-dy, dx))
    # Drawn into the joint, as by hand, unless a line is there and the other side is freer.
    into = freedom(heading + 180.0, busy) >= min(25.0, freedom(heading, busy))
    size, scale = view.font_size, view.scales[acting.joint]
    near, far = 0.35 * size, 0.35 * size + 2.6 * size * scale
    sign = -1.0 if into else 1.0
    x, y = view.points[acting.joint].tolist()
    inner = (x + sign * near * dx, y + sign * near * dy)
    outer = (x + sign * far * dx, y + sign * far * dy)
    tail, tip = (outer, inner) if into else (inner, outer)
    away = heading + (180.0 if into else 0.0)
    return OutsideForce(
        acting.joint, acting.vector, acting.colour, acting.text, tail, tip, outer, away
    )


def _point(array: NDArray[np.float64]) -> Point:
    return float(array[0]), float(array[1])


def _loads(view: View, unit: str) -> list[_Acting]:
    together: dict[tuple[str, int], list[tuple[float, float]]] = {}
    for load in view.truss.loads:
        if load.fx or load.fy:
            turn = round(math.degrees(math.atan2(load.fy, load.fx)) * 10)
            together.setdefault((load.joint, turn), []).append((load.fx, load.fy))
    forces = []
    for (joint, _), parts in together.items():
        x, y = (sum(part[axis] for part in parts) for axis in (0, 1))
        at = view.truss.index[joint]
        text = f"{number(math.hypot(x, y))} {unit}"
        forces.append(_Acting(at, (x, y), _point(view.direction(at, x, y)), LOAD, text))
    return forces


def _reactions(
    view: View, unit: str, reactions: Mapping[str, tuple[float, float]]
) -> list[_Acting]:
    largest = max((math.hypot(*pair) for pair in reactions.values()), default=0.0)
    held = {support.joint: support for support in view.truss.supports}
    forces = []
    for joint, (x, y) in reactions.items():
        at = view.truss.index[joint]
        support = held.get(joint)
        inclined = support is not None and support.kind == "roller" and support.angle_deg % 90 != 0
        parts = [(x, y, joint)] if inclined else [(x, 0.0, f"{joint}x"), (0.0, y, f"{joint}y")]
        for fx, fy, name in parts:
            size = math.hypot(fx, fy)
            if not is_zero(size, largest):
                direction = _point(view.direction(at, fx, fy))
                text = f"{name} {number(size)} {unit}"
                forces.append(_Acting(at, (fx, fy), direction, REACTION, text))
    return forces
