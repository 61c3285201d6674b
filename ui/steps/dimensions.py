"""Single dimensions beside the picture: a row each, a field for the next one, a form for any."""

from __future__ import annotations

from typing import Any, get_args

import streamlit as st

from model.dimensions import read, written
from model.errors import InputError
from model.geometry import Geometry
from model.job import Dimension, Job
from ui import session
from ui.steps import typed
from ui.strings import KINDS, say

__all__ = ["add", "append", "change", "remove", "row", "title_of", "wanted"]

#: Kinds that say all without a value.
_WITHOUT_VALUE = ("level", "plumb", "collinear")
_SIGNS = {"fits": "✓", "contradicts": "✗", "problem": "!", "off": "–"}
_IN_PAIRS = ("equal", "symmetric")
_EXAMPLES = {
    "length": "2.4 m",
    "horizontal": "12'-6\"",
    "vertical": "7 1/2 in",
    "angle": "30°",
    "angle_between": "45°",
    "slope": "4:3",
    "x": "1.2 m",
    "y": "1.2 m",
    "equal": "2 m",
    "symmetric": "plumb",
    "bays": "6 @ 2 m",
}
#: Part of an error that must show for a dimension to count as checked by the others.
_CHECKED = 0.05
#: What the dimension in the form lacks, and how many forms have been filled.
_REFUSED, _ROUND = "dimension_refused", "dimension_round"


def title_of(dimension: Dimension) -> str:
    """Name a dimension: its kind and its joints."""
    return f"{KINDS[dimension.kind]} {'–'.join(dimension.joints)}"


def append(dimension: Dimension) -> None:
    """Take a further dimension into the job, once."""
    job = session.work().job
    if dimension in job.dimensions:
        return
    session.change(job.model_copy(update={"dimensions": [*job.dimensions, dimension]}))


def change(position: int, shown: Dimension, update: dict[str, Any]) -> None:
    """Change a dimension of the job, if one of this kind between these joints is still there."""
    job = session.work().job
    title = title_of(shown)
    at = session.whereabouts(job.dimensions, position, lambda d: title_of(d) == title)
    if at is None:
        return
    changed = [*job.dimensions]
    changed[at] = changed[at].model_copy(update=update)
    if changed != job.dimensions:
        session.change(job.model_copy(update={"dimensions": changed}))


@session.guarded
def remove(position: int, dimension: Dimension) -> None:
    """Take a dimension out of the job, if it is still there."""
    job = session.work().job
    if job.dimensions[position : position + 1] != [dimension]:
        return
    left = [d for i, d in enumerate(job.dimensions) if i != position]
    session.change(job.model_copy(update={"dimensions": left}))


@session.guarded
def _use(key: str, position: int, shown: Dimension) -> None:
    if session.current(key):
        change(position, shown, {"active": bool(st.session_state[key])})


def row(position: int, dimension: Dimension, geometry: Geometry | None) -> None:
    """One dimension: value and tolerance to type anew, what the coordinates have, aside, away."""
    title = title_of(dimension)
    check = None
    if geometry is not None and position < len(geometry.checks):
        check = geometry.checks[position]
    with st.container(border=True, gap="xsmall"):
        with st.container(horizontal=True, vertical_alignment="center", gap="small"):
            sign = _SIGNS[check.state] if check else ""
            read = f" · {say('measure_read')}" if dimension.source == "read" else ""
            st.markdown(f"**{title}** {sign}{read}", width="stretch")
            key = session.control(f"used:{position}:{title}", dimension.active)
            st.checkbox(
                say("measure_on"),
                dimension.active,
                key=key,
                on_change=_use,
                args=(key, position, dimension),
            )
            st.button(
                "✕",
                key=f"away:{position}:{title}",
                help=say("measure_remove", what=title),
                on_click=remove,
                args=(position, dimension),
            )
        with st.container(horizontal=True, gap="small"):
            if dimension.kind not in _WITHOUT_VALUE:
                _value(position, dimension, title)
            _tolerance(position, dimension, title)
        if check is not None and check.state in ("contradicts", "problem"):
            st.error(check.sentence)
        elif check is not None and check.measured and check.redundancy > _CHECKED:
            st.caption(say("measure_checked", measured=check.measured))


def _value(position: int, dimension: Dimension, title: str) -> None:
    def take(text: str) -> None:
        change(position, dimension, {"value": text or None, "source": "typed"})

    label = f"{say('measure_value')}: {title}"
    typed.field(label, written(dimension), take, key=f"value:{position}:{title}", hidden=True)


def _tolerance(position: int, dimension: Dimension, title: str) -> None:
    def take(text: str) -> None:
        change(position, dimension, {"tolerance": text or None})

    now = dimension.tolerance
    typed.field(
        f"{say('measure_tolerance')}: {title}",
        "" if now is None else str(now),
        take,
        key=f"tolerance:{position}:{title}",
        placeholder=say("measure_tolerance"),
        hidden=True,
        width=130,
    )


def wanted(dimension: Dimension, unit: str) -> None:
    """A dimension that would settle something, with the field to type it."""

    def take(text: str) -> None:
        if text:
            append(dimension.model_copy(update={"value": text, "source": "typed"}))

    title = title_of(dimension)
    typed.field(title, "", take, key=f"wanted:{title}", placeholder=say("measure_type", unit=unit))


def add(job: Job) -> None:
    """Say any dimension: what, between which joints, how much, how sure."""
    kinds = list(get_args(Dimension.model_fields["kind"].annotation))
    with st.container(border=True):
        st.markdown(f"**{say('measure_another')}**")
        kind = st.selectbox(
            say("measure_kind"), kinds, format_func=KINDS.__getitem__, key=_new("kind")
        )
        st.caption(say(f"about_{kind}"))
        if kind in _IN_PAIRS:
            st.text_input(say("measure_listed"), key=_new("listed"), placeholder="A B, C D")
        else:
            st.multiselect(say("measure_joints"), list(job.joints), key=_new("joints"))
        with st.container(horizontal=True):
            if kind not in _WITHOUT_VALUE:
                st.text_input(say("measure_value"), key=_new("value"), placeholder=_EXAMPLES[kind])
            st.text_input(
                say("measure_tolerance"), key=_new("tolerance"), placeholder="5 mm, 1 %", width=130
            )
        st.button(say("measure_add"), key=_new("add"), on_click=_take_new)
        if refused := st.session_state.get(_REFUSED):
            st.error(refused)


def _new(part: str) -> str:
    """Key of a field of the form; a dimension taken leaves a new, empty form."""
    return f"new:{part}:{st.session_state.setdefault(_ROUND, 0)}"


@session.guarded
def _take_new() -> None:
    """Take the form's dimension; what cannot be meant stays in the form with the reason."""
    job, said = session.work().job, st.session_state
    listed = str(said.get(_new("listed")) or "").replace(",", " ").replace("-", " ").split()
    dimension = Dimension(
        kind=said[_new("kind")],
        joints=listed or list(said.get(_new("joints")) or []),
        value=str(said.get(_new("value")) or "").strip() or None,
        tolerance=str(said.get(_new("tolerance")) or "").strip() or None,
    )
    index = {name: position for position, name in enumerate(job.joints)}
    try:
        read(dimension, 0, index, job.units.length)
    except InputError as error:
        said[_REFUSED] = str(error)
        return
    said.pop(_REFUSED, None)
    said[_ROUND] += 1
    append(dimension)
