"""What a rendered picture shows, in its own pixels, and how that moves with a camera."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["Truth", "blank_truth", "direction_deg", "moved"]

#: A plain dictionary, like a candidate's document, with these keys: ``width``, ``height``,
#: ``family``; ``joints`` (x, y, label), ``members`` (a, b, line: where its ink runs),
#: ``supports`` (joint, kind, angle_deg), ``loads`` and ``reactions`` (joint, direction_deg,
#: value, unit, tail, head), ``crossings`` (points), ``dimension_lines`` (polylines),
#: ``texts`` (text, box of four corners). Pixels, y down; angles counter-clockwise as seen.
Truth = dict[str, Any]

Points = NDArray[np.float64]


def blank_truth(width: int, height: int, family: str = "none") -> Truth:
    """Return the truth of a picture without a truss."""
    return {
        "width": width, "height": height, "family": family, "joints": [], "members": [],
        "supports": [], "loads": [], "reactions": [], "crossings": [], "dimension_lines": [],
        "texts": [],
    }  # fmt: skip


def direction_deg(vector: Points) -> float:
    """Angle of a vector given with y down, in degrees counter-clockwise as seen, 0..360."""
    return float(np.degrees(np.arctan2(-vector[1], vector[0])) % 360)


def moved(truth: Truth, warp: Callable[[Points], Points], width: int, height: int) -> Truth:
    """Carry a truth through a camera.

    Parameters
    ----------
    truth : dict
    warp : callable
        Takes points (n, 2) of the old picture to points (n, 2) of the new.
    width, height : int
        Of the new picture.
    """

    def line(points: list[list[float]]) -> list[list[float]]:
        carried: list[list[float]] = warp(np.asarray(points, float).reshape(-1, 2)).tolist()
        return carried

    def turned(at: Points, degrees: float) -> float:
        step = 4.0 * np.array([np.cos(np.radians(degrees)), -np.sin(np.radians(degrees))])
        start, end = warp(np.array([at, at + step]))
        return direction_deg(end - start)

    places = np.array([[j["x"], j["y"]] for j in truth["joints"]]).reshape(-1, 2)
    new = warp(places) if len(places) else places

    def arrow(entry: dict[str, Any]) -> dict[str, Any]:
        tail, head = line([entry["tail"], entry["head"]])
        way = direction_deg(np.subtract(head, tail))
        return {**entry, "tail": tail, "head": head, "direction_deg": way}

    return {
        "width": width,
        "height": height,
        "family": truth["family"],
        "joints": [
            {**joint, "x": float(x), "y": float(y)}
            for joint, (x, y) in zip(truth["joints"], new, strict=True)
        ],
        "members": [{**bar, "line": line(bar["line"])} for bar in truth["members"]],
        "supports": [
            {**held, "angle_deg": turned(places[held["joint"]], held["angle_deg"])}
            for held in truth["supports"]
        ],
        "loads": [arrow(entry) for entry in truth["loads"]],
        "reactions": [arrow(entry) for entry in truth["reactions"]],
        "crossings": line(truth["crossings"]),
        "dimension_lines": [line(entry) for entry in truth["dimension_lines"]],
        "texts": [{**entry, "box": line(entry["box"])} for entry in truth["texts"]],
    }
