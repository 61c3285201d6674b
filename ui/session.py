"""One person's work in one session: the document, which revision of it, and the step.

The editor owns the document while a person edits it. Its revisions come up here and are taken
when they belong to the version it was last given; a change made on this side makes a new version.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache, wraps
from typing import Any, ParamSpec, TypeVar

import numpy as np
import streamlit as st

import sample_sketches
from model.errors import InputError
from model.job import Job, JobPicture, read_job, truss_of
from ui import editor, shelf
from ui.strings import STEPS
from ui.turning import turned
from ui.views import on_picture, true_scale

__all__ = [
    "STEP",
    "Work",
    "change",
    "chosen",
    "control",
    "current",
    "guarded",
    "open_blank",
    "open_job",
    "open_sample",
    "restore",
    "show_step",
    "slipped",
    "step_now",
    "take_edit",
    "take_up",
    "turn_picture",
    "whereabouts",
    "work",
]

#: Where the session keeps the work, the step's control, and the step to go to.
_WORK, STEP, _NEXT = "work", "step", "next_step"
#: Set when a callback has failed, until it has been said.
_SLIPPED = "slipped"
#: The value that each control shows, and how often it was another.
_CONTROLS = "controls"
#: Size of the blank sheet that stands for a picture.
SHEET = (1600.0, 1200.0)

_P = ParamSpec("_P")
_Thing = TypeVar("_Thing")


@dataclass(frozen=True)
class Work:
    """What a person has in hand.

    Attributes
    ----------
    job : Job
    doubts : tuple of dict
        What the reader was not sure of, with names of joints; as the editor takes them.
    picture : Picture or None
    version : int
        Grows with every change made on this side.
    revision : int
        The editor's count since it was given that version.
    fresh : bool
        The version is another truss, not a change to the one before.
    pristine : bool
        It is the sample that everybody sees first.
    sample : str or None
        Name of the sample it began as.
    """

    job: Job
    doubts: tuple[dict[str, Any], ...] = ()
    picture: shelf.Picture | None = None
    version: int = 1
    revision: int = 0
    fresh: bool = True
    pristine: bool = False
    sample: str | None = None

    @property
    def size(self) -> tuple[float, float]:
        """Size of the picture, or of the blank sheet in its place."""
        return (self.picture.width, self.picture.height) if self.picture else SHEET


@cache
def _sample(name: str) -> tuple[Job, shelf.Picture]:
    path = sample_sketches.picture_path(name)
    picture = shelf.put(path.read_bytes(), path.name)
    job = sample_sketches.load_job(name)
    return job.model_copy(update={"picture": _named(picture)}), picture


def _named(picture: shelf.Picture | None) -> JobPicture | None:
    """Name a picture as a job does."""
    if picture is None:
        return None
    return JobPicture(name=picture.name, sha256=picture.sha256, turn=picture.turn)


def work() -> Work:
    """Give the session's work; a new session begins with the first sample, solved."""
    if _WORK not in st.session_state:
        name = sample_sketches.names()[0]
        job, picture = _sample(name)
        st.session_state[_WORK] = Work(job, picture=picture, pristine=True, sample=name)
    kept: Work = st.session_state[_WORK]
    return kept


def change(job: Job) -> None:
    """Take a change that was made beside the picture; it becomes a step in the editor's undo."""
    now = work()
    if job == now.job:  # a callback may be called again for what it has already done
        return
    st.session_state[_WORK] = replace(
        now,
        job=_measured_anew(job, now.job),
        version=now.version + 1,
        revision=0,
        fresh=False,
        pristine=False,
    )


def _measured_anew(job: Job, before: Job) -> Job:
    """Forget the coordinates when the dimensions are others; these and the drawing give them."""
    if job.dimensions == before.dimensions:
        return job
    joints = {
        name: joint.model_copy(update={"x": None, "y": None} if joint.pixel else {})
        for name, joint in job.joints.items()
    }
    return job.model_copy(update={"joints": joints})


def take_up(
    job: Job,
    picture: shelf.Picture | None,
    doubts: tuple[dict[str, Any], ...] = (),
    *,
    sample: str | None = None,
    fresh: bool = True,
) -> None:
    """Begin with another truss; when it is not `fresh` the editor can go back behind it."""
    st.session_state[_WORK] = Work(
        job, doubts, picture, version=work().version + 1, sample=sample, fresh=fresh
    )


def turn_picture() -> None:
    """Turn the picture by a quarter, clockwise, with all that is drawn on it."""
    now = work()
    if now.picture is None:
        return
    job, doubts, picture = turned(now.job, now.doubts, now.picture)
    st.session_state[_WORK] = replace(
        now,
        job=job,
        doubts=doubts,
        picture=picture,
        version=now.version + 1,
        revision=0,
        fresh=False,
        pristine=False,
    )


def open_sample(name: str) -> None:
    """Begin with a sample."""
    job, picture = _sample(name)
    take_up(job, picture, sample=name)


def open_job(text: str | bytes | dict[str, Any]) -> None:
    """Begin with a saved job; the work in hand stays when it cannot be read."""
    import base64
    import binascii

    job = read_job(text)
    picture = None
    if job.picture is not None:
        picture = shelf.find(job.picture.sha256, job.picture.name)
        if picture is None and job.picture.data is not None:
            try:
                content = base64.b64decode(job.picture.data, validate=True)
            except binascii.Error as error:
                raise InputError(
                    f"The job's picture '{job.picture.name}' is damaged; save the job again."
                ) from error
            picture = shelf.put(content, job.picture.name)
        picture = picture and picture.turned(job.picture.turn)
        job = job.model_copy(update={"picture": job.picture.model_copy(update={"data": None})})
    take_up(_drawn(job), picture)


def open_blank() -> None:
    """Begin with a blank sheet."""
    take_up(Job(), None)


def _drawn(job: Job) -> Job:
    """Give every joint a place on the sheet: a job that was never drawn is drawn to scale."""
    if not job.placed or all(joint.pixel for joint in job.joints.values()):
        return job
    truss = truss_of(job.model_copy(update={"loads": []}))
    pixels = {name: joint.pixel for name, joint in job.joints.items()}
    if sum(pixel is not None for pixel in pixels.values()) < 2:
        view = true_scale(truss, SHEET[0])
        down = (SHEET[1] - view.height) / 2
        points = (view.points + np.array([0.0, down])).tolist()
    else:
        points = on_picture(truss, pixels, *SHEET).points.tolist()
    return job.model_copy(
        update={
            "joints": {
                name: joint.model_copy(update={"pixel": tuple(point)})
                for (name, joint), point in zip(job.joints.items(), points, strict=True)
            }
        }
    )


def take_edit(edit: dict[str, Any]) -> None:
    """Take a revision from the editor, unless it is of a version that is gone."""
    now = work()
    if edit["version"] != now.version or edit["revision"] <= now.revision:
        return
    # The editor goes back and forth over a turned picture: it says which way up it has it.
    picture = now.picture and now.picture.turned(edit["turn"])
    job = Job.model_validate({**edit["job"], "picture": _named(picture) or now.job.picture})
    st.session_state[_WORK] = replace(
        now,
        job=_measured_anew(job, now.job) if picture == now.picture else job,
        picture=picture,
        doubts=tuple(edit["doubts"]),
        revision=edit["revision"],
        pristine=False,
    )


def restore(wish: dict[str, Any]) -> None:
    """Take up what the browser has kept."""
    picture, kept = None, wish.get("picture")
    if kept:
        picture = shelf.find(kept["sha256"], kept["name"])
        picture = picture and picture.turned(kept.get("turn", 0))
    job = Job.model_validate({**wish["job"], "picture": _named(picture)})
    take_up(job, picture, tuple(wish["doubts"]), fresh=bool(wish["fresh"]))
    show_step(wish.get("step") or "trace")


def guarded(act: Callable[_P, None]) -> Callable[_P, None]:
    """Wrap a callback so that the page stays when it fails: the work is then as it was."""

    @wraps(act)
    def carefully(*args: _P.args, **kwargs: _P.kwargs) -> None:
        try:
            act(*args, **kwargs)
        except Exception:
            logging.getLogger(__name__).exception("What was asked on the page failed.")
            st.session_state[_SLIPPED] = True

    return carefully


def slipped() -> bool:
    """Tell, once, whether a callback has failed."""
    return bool(st.session_state.pop(_SLIPPED, False))


def whereabouts(
    things: Sequence[_Thing], position: int, same: Callable[[_Thing], bool]
) -> int | None:
    """Find where a thing shown at a position now is, or None when it is gone.

    A callback may be called for what the page showed before: by then an undo may have taken the
    thing away, or moved it.
    """
    if position < len(things) and same(things[position]):
        return position
    return next((at for at, thing in enumerate(things) if same(thing)), None)


def control(name: str, now: object) -> str:
    """Give the key of a control that shows a value: another one each time the value is another.

    Put into the control that is there, the value could be lost to a choice on its way here. The
    control before goes on sending what was chosen in it until the browser has the further one.
    """
    kept: dict[str, tuple[object, int]] = st.session_state.setdefault(_CONTROLS, {})
    shown, further = kept.get(name, (now, 0))
    kept[name] = (now, further + (shown != now))
    return f"{name}:{kept[name][1]}"


def current(key: str) -> bool:
    """Tell whether a control's key is its last: what one before sends was taken already."""
    name, _, further = key.rpartition(":")
    return bool(st.session_state[_CONTROLS][name][1] == int(further))


def chosen() -> tuple[str, ...]:
    """Ids of what is chosen on the picture, in the steps that follow it: 'm:A-B', 'j:A', ..."""
    state = st.session_state.get(editor.KEY) or {}
    return tuple(state.get("chosen") or ())


def show_step(step: str) -> None:
    """Go to a step with the next run."""
    if step in STEPS:
        st.session_state[_NEXT] = step


def step_now() -> str:
    """Give the step in hand, having gone where `show_step` said; before its control is made."""
    now = st.session_state.get(STEP)
    wanted = st.session_state.pop(_NEXT, None) or now or next(iter(STEPS))
    if wanted != now:  # told again what it already shows, the control could lose a choice just made
        st.session_state[STEP] = wanted
    return str(wanted)
