"""The live overlay: what the editor draws over the picture, computed anew for each revision."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from model.errors import InputError
from model.geometry import Geometry, placed_job, settle
from model.job import Job, check, load_of, truss_of
from solver.solution import Solution
from solver.solve import solve
from ui import labels, signs
from ui.comparing import marks
from ui.numbers import force_text, is_zero, number, slope_text
from ui.session import Work
from ui.strings import KINDS, say
from ui.views import View, on_picture

__all__ = ["Answer", "answer", "overlay"]

FloatArray = NDArray[np.float64]

#: So many values are always written.
_FEW = 60
#: Sizes on the screen, in its pixels: the writing, a joint, its name, how far off a load is.
_WRITING = 12.5
_JOINT = 10.0
_NAME = 9.0
_LOAD_VALUE = 72.0
#: How far the joint that moves most swings, in parts of the picture's diagonal.
_SWING = 0.035


@dataclass(frozen=True, eq=False)
class Answer:
    """What a job comes to.

    Attributes
    ----------
    geometry : Geometry or None
        What its dimensions and its drawing say.
    job : Job or None
        The job with coordinates at every joint; as far as dimensions leave
        the shape open it is the drawing's.
    solution : Solution or None
    reason : str or None
        Why there is no solution, in one sentence.
    as_drawn : bool
        Shape or scale are still the drawing's.
    """

    geometry: Geometry | None = None
    job: Job | None = None
    solution: Solution | None = None
    reason: str | None = None
    as_drawn: bool = False

    @property
    def forces(self) -> bool:
        """Whether there are forces to show."""
        return self.solution is not None and self.solution.forces is not None


def answer(job: Job) -> Answer:
    """Settle and solve a job; what is wrong with it is said, not raised."""
    return _answer(job.model_dump_json(exclude={"picture", "answers", "title"}))


@lru_cache(maxsize=48)
def _answer(document: str) -> Answer:
    job = Job.model_validate_json(document)
    try:
        check(job)
    except InputError as error:
        return Answer(reason=str(error))
    geometry = settle(job)
    settled = geometry.shape_settled and geometry.scale_settled
    drawn = not settled and not job.placed
    try:
        if drawn:
            placed = _as_drawn(job, geometry)
        else:
            placed = placed_job(job, geometry) if settled else job
    except InputError as error:
        return Answer(geometry, reason=str(error))
    if not job.members or not job.supports:
        return Answer(geometry, placed, as_drawn=drawn)
    try:
        return Answer(geometry, placed, solve(truss_of(placed)), as_drawn=drawn)
    except InputError as error:
        return Answer(geometry, placed, reason=str(error), as_drawn=drawn)


def _as_drawn(job: Job, geometry: Geometry) -> Job:
    """Give the joints the best coordinates that are known; the drawing decides what is open."""
    if geometry.problems:
        raise InputError(geometry.problems[0].sentence)
    joints = {
        name: joint.model_copy(update={"x": x, "y": y})
        for (name, joint), (x, y) in zip(job.joints.items(), geometry.points.tolist(), strict=True)
    }
    return job.model_copy(update={"joints": joints})


def overlay(work: Work, found: Answer, unit: float, step: str) -> dict[str, Any]:
    """Give the editor its overlay.

    Parameters
    ----------
    work : Work
    found : Answer
    unit : float
        Picture pixels in one pixel of the screen, the whole picture in view.
    step : str
        The step in hand.
    """
    line = _line(work, found, step)
    common = {"revision": work.revision, "line": line, "wrong": _wrong(found)}
    solution = found.solution
    if solution is None:
        return common
    pixels = {name: joint.pixel for name, joint in work.job.joints.items()}
    try:
        view = on_picture(solution.truss, pixels, *work.size)
    except InputError:
        return common
    if len(solution.mechanisms):
        return {**common, "mechanism": _motion(solution, view)}
    if solution.forces is None:
        return common
    shown = _forces(work.job, solution, view, unit)
    if step == "working" and work.job.answers and found.job is not None:
        shown["verdicts"] = marks(found.job.model_copy(update={"answers": work.job.answers}))
    return {**common, **shown}


def _forces(job: Job, solution: Solution, view: View, unit: float) -> dict[str, Any]:
    truss, forces = solution.truss, solution.forces
    assert forces is not None
    largest = float(np.abs(forces).max(initial=0.0))
    members = {}
    runs = np.abs(truss.vectors).tolist()
    for (a, b), force, run in zip(truss.members.tolist(), forces.tolist(), runs, strict=True):
        members[_key(truss.joints[a], truss.joints[b])] = {
            "sense": _sense(force, largest),
            "weight": round(math.sqrt(abs(force) / largest), 3) if largest else 0,
            "said": _said(force, largest, job.units.force),
            "parts": None if is_zero(force, largest) else _parts(force, *run),
        }
    size = _WRITING * unit
    around = signs.angles_around(view)
    reactions = _reactions(solution, view, around, largest)
    shown = _readable(view.segments, forces, size)
    senses = ["R" for parts in reactions.values() for _ in parts]
    senses += [_sense(float(forces[member]), largest) for member in shown]
    placed = labels.place(
        [
            *_reaction_wishes(view, reactions, size, unit),
            *(
                labels.along(force_text(float(forces[m]), largest), *_ends(view, m), size)
                for m in shown
            ),
        ],
        obstacles=_obstacles(view, reactions, around, unit),
        frame=(0.0, 0.0, view.width, view.height),
    )
    return {
        "members": members,
        "reactions": reactions,
        "labels": [_written(label, sense) for label, sense in zip(placed, senses, strict=True)],
        "font": round(size, 2),
        "unit": unit,
        "thinned": len(shown) < len(forces),
    }


def _written(label: labels.Label, sense: str) -> dict[str, Any]:
    return {
        "text": label.text,
        "x": round(label.x, 1),
        "y": round(label.y, 1),
        "angle_deg": round(label.angle_deg, 2),
        "width": round(label.width, 1),
        "height": round(label.height, 1),
        "leader": label.leader,
        "sense": sense,
    }


def _ends(view: View, member: int) -> tuple[labels.Point, labels.Point]:
    (x0, y0), (x1, y1) = view.segments[member].tolist()
    return (x0, y0), (x1, y1)


def _readable(segments: FloatArray, forces: FloatArray, size: float) -> list[int]:
    """Members whose values are written: all of a few, else the largest that leave each other room.

    Closer up, where there is room for more, the editor asks again.
    """
    if len(forces) <= _FEW:
        return list(range(len(forces)))
    middles = segments.mean(axis=1)
    room = cKDTree(middles).query_ball_point(middles, 2.6 * size)
    taken: set[int] = set()
    for member in np.argsort(-np.abs(forces), kind="stable").tolist():
        if taken.isdisjoint(room[member]):
            taken.add(member)
    return sorted(taken)


def _key(a: str, b: str) -> str:
    return f"{a}-{b}" if a < b else f"{b}-{a}"


def _sense(force: float, largest: float) -> str:
    if is_zero(force, largest):
        return "0"
    return "T" if force > 0 else "C"


def _said(force: float, largest: float, unit: str) -> str:
    if is_zero(force, largest):
        return say("no_force")
    return f"{number(abs(force))} {unit} {say('tension' if force > 0 else 'compression')}"


def _parts(force: float, run: float, rise: float) -> str | None:
    """Write an inclined member's components and its slope; None where it is level or plumb."""
    long = math.hypot(run, rise)
    if min(run, rise) < 1e-9 * long:
        return None
    x, y = (number(abs(force) * part / long) for part in (run, rise))
    return say("parts", x=x, y=y, slope=slope_text(run, rise))


def _reactions(
    solution: Solution, view: View, around: list[list[float]], largest: float
) -> dict[str, list[dict[str, Any]]]:
    """Reaction arrows at each support, as they lie in the picture."""
    truss = solution.truss
    drawn: dict[str, list[dict[str, Any]]] = {}
    for support in truss.supports:
        x, y = solution.reaction_at[support.joint]
        joint = truss.index[support.joint]
        drawn[support.joint] = []
        for part in [(x, 0.0), (0.0, y)] if support.kind == "pin" else [(x, y)]:
            if is_zero(math.hypot(*part), largest):
                continue
            degrees = round(signs.angle_of(view.direction(joint, *part)), 1)
            drawn[support.joint].append(
                {
                    "direction_deg": degrees,
                    "inwards": signs.ends_at_joint(degrees, around[joint]),
                    "text": number(math.hypot(*part)),
                }
            )
    return drawn


def _reaction_arrows(
    view: View, reactions: dict[str, list[dict[str, Any]]], unit: float
) -> list[tuple[str, labels.Point, labels.Point]]:
    """Each reaction's size with the near and the far end of its arrow."""
    arrows = []
    for name, parts in reactions.items():
        x, y = view.points[view.truss.index[name]].tolist()
        for part in parts:
            reach = signs.REACTION if part["inwards"] else signs.REACTION_AWAY
            ends = signs.arrow((x, y), part["direction_deg"], part["inwards"], reach, unit)
            arrows.append((part["text"], *ends))
    return arrows


def _reaction_wishes(
    view: View, reactions: dict[str, list[dict[str, Any]]], size: float, unit: float
) -> list[labels.Wish]:
    return [
        labels.beside(
            text,
            far,
            size,
            away_deg=signs.angle_of((far[0] - near[0], far[1] - near[1])),
            reach=4 * unit,
        )
        for text, near, far in _reaction_arrows(view, reactions, unit)
    ]


def _obstacles(
    view: View,
    reactions: dict[str, list[dict[str, Any]]],
    around: list[list[float]],
    unit: float,
) -> list[labels.Obstacle]:
    """What the values keep clear of: joints with names, members, supports, loads, reactions."""
    points = [(x, y) for x, y in view.points.tolist()]
    kept = [labels.disc(point, _JOINT * unit) for point in points]
    kept += [
        labels.stroke((x0, y0), (x1, y1), 3 * unit, 0.5)
        for (x0, y0), (x1, y1) in view.segments.tolist()
    ]
    kept += [
        labels.stroke(near, far, 12 * unit, 2.0)
        for _, near, far in _reaction_arrows(view, reactions, unit)
    ]
    for point, taken in zip(points, around, strict=True):
        name = signs.arrow(point, signs.name_direction(taken), False, (0.0, signs.NAME), unit)[1]
        kept.append(labels.disc(name, _NAME * unit, 50.0))
    truss = view.truss
    for support in truss.supports:
        x, y = points[truss.index[support.joint]]
        _, far = signs.arrow((x, y), support.angle_deg, True, (0.0, 30.0), unit)
        kept.append(labels.stroke((x, y), far, 34 * unit, 2.0))
    for load in truss.loads:
        if not load.fx and not load.fy:
            continue
        joint = truss.index[load.joint]
        degrees = signs.angle_of(view.direction(joint, load.fx, load.fy))
        inwards = signs.ends_at_joint(degrees, around[joint])
        near, far = signs.arrow(points[joint], degrees, inwards, signs.LOAD, unit)
        _, value = signs.arrow(points[joint], degrees, inwards, (0.0, _LOAD_VALUE), unit)
        kept.append(labels.stroke(near, far, 12 * unit, 2.0))
        kept.append(labels.disc(value, 20 * unit, 50.0))
    return kept


def _motion(solution: Solution, view: View) -> dict[str, list[float]]:
    """How far each joint swings in the picture."""
    moves = solution.mechanisms[0]
    swing = _SWING * math.hypot(view.width, view.height)
    seen = np.einsum("nij,nj->ni", view.jacobians, moves)
    most = float(np.hypot(*seen.T).max()) or 1.0
    return {
        name: [round(x * swing / most, 2), round(y * swing / most, 2)]
        for name, (x, y) in zip(solution.truss.joints, seen.tolist(), strict=True)
    }


def _line(work: Work, found: Answer, step: str) -> dict[str, Any]:
    """Give the one line: what is missing and where to go for it, or that all is well."""
    job = work.job
    if not job.joints:
        return _asks("line_empty", {"tool": "joint", "step": "trace"})
    if not job.members:
        return _asks("line_no_members", {"tool": "member", "step": "trace"})
    if not job.supports:
        return _asks("line_no_support", {"tool": "support", "step": "trace"})
    if not job.loads:
        return _asks("line_no_load", {"tool": "load", "step": "trace"})
    for index, load in enumerate(job.loads):
        if load.magnitude is None and not load.fx and not load.fy:
            goto = {"select": [f"l:{index}"], "type": True}
            return _asks("line_load_value", goto, joint=load.joint)
    for index, load in enumerate(job.loads):
        try:
            load_of(load, job.units.force, say("load_entry", joint=load.joint))
        except InputError as error:
            goto = {"select": [f"l:{index}"], "type": True}
            return {"text": str(error), "tone": "stop", "goto": goto}
    wrong = _wrong(found)
    if wrong and found.reason:
        goto = {"step": "measure", "select": [f"d:{wrong[0]}"], "type": True}
        return {"text": found.reason, "tone": "stop", "goto": goto}
    if not found.forces:
        reason = found.reason or (found.solution and found.solution.reason) or ""
        return {"text": reason, "tone": "stop", "goto": {"step": "trace"}}
    if work.doubts:
        goto = {"step": "trace", "doubts": True}
        return _asks("line_unsure", goto, unit=job.units.force, n=len(work.doubts))
    if found.as_drawn and found.geometry is not None:
        return _measure_next(found.geometry, job)
    return {"text": say("line_solved", unit=job.units.force), "tone": "done", "goto": None}


def _measure_next(geometry: Geometry, job: Job) -> dict[str, Any]:
    """Ask for the dimension that settles most of what is still the drawing's."""
    unit = job.units.force
    if not geometry.next_dimensions:
        return _asks("line_drawn", {"step": "measure"}, unit=unit)
    dimension = geometry.next_dimensions[0].dimension
    goto: dict[str, Any] = {"step": "measure"}
    if dimension.kind in ("length", "horizontal", "vertical"):
        goto["dimension"] = {"joints": dimension.joints, "kind": dimension.kind}
    what = f"{KINDS[dimension.kind].lower()} {'–'.join(dimension.joints)}"
    return _asks("line_measure", goto, unit=unit, what=what)


def _wrong(found: Answer) -> list[int]:
    """Positions of the dimensions that cannot be right, the most suspect first."""
    geometry = found.geometry
    if geometry is None:
        return []
    suspects = [problem.index for problem in geometry.problems if problem.index is not None]
    suspects += [misread.index for misread in geometry.misreads]
    suspects += [one.index for one in geometry.checks if one.state in ("contradicts", "problem")]
    return list(dict.fromkeys(suspects))


def _asks(name: str, goto: dict[str, Any], **values: object) -> dict[str, Any]:
    return {"text": say(name, **values), "tone": "asks", "goto": goto}
