"""The work in hand with its picture turned: the job, the doubts and the picture together."""

from __future__ import annotations

from typing import Any

from model.job import Job
from model.turning import quarter_turned, turned_direction, turned_pixel
from ui.shelf import Picture

__all__ = ["turned"]

Doubts = tuple[dict[str, Any], ...]


def turned(job: Job, doubts: Doubts, picture: Picture) -> tuple[Job, Doubts, Picture]:
    """Turn everything by a quarter, clockwise as seen."""
    upright = picture.turned((picture.turn + 90) % 360)
    height = float(picture.height)
    return quarter_turned(job, height), tuple(_doubt(one, height) for one in doubts), upright


def _doubt(doubt: dict[str, Any], height: float) -> dict[str, Any]:
    others = [
        {**other, "edits": [_edit(edit, height) for edit in other["edits"]]}
        for other in doubt["alternatives"]
    ]
    return {**doubt, "alternatives": others}


def _edit(edit: dict[str, Any], height: float) -> dict[str, Any]:
    at, degrees = edit.get("at"), edit.get("angle_deg")
    return {
        **edit,
        "at": at and turned_pixel((at[0], at[1]), height),
        "angle_deg": None if degrees is None else turned_direction(degrees),
    }
