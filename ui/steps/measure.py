"""Measure: the true dimensions, as a person writes them."""

from __future__ import annotations

import streamlit as st

from model.job import Dimension
from ui import session
from ui.strings import KINDS, say

_LENGTHS = ["m", "cm", "mm", "ft", "in"]
_FORCES = ["kN", "N", "MN", "lbf", "kip"]


def show() -> None:
    """Show the step."""
    job = session.work().job
    st.subheader(say("measure_heading"))
    st.write(say("measure_text"))
    length, force = st.columns(2)
    _unit(length, "length", _LENGTHS)
    _unit(force, "force", _FORCES)
    for position, dimension in enumerate(job.dimensions):
        _row(position, dimension)
    _add(list(job.joints))


def _unit(place: object, kind: str, known: list[str]) -> None:
    """Choose a unit of bare numbers and of the answers."""
    job = session.work().job
    now = getattr(job.units, kind)
    options = known if now in known else [now, *known]
    with place:  # type: ignore[attr-defined]
        chosen = st.selectbox(say(f"units_{kind}"), options, index=options.index(now))
    if chosen != now:
        session.change(
            job.model_copy(update={"units": job.units.model_copy(update={kind: chosen})})
        )
        st.rerun(scope="fragment")


def _row(position: int, dimension: Dimension) -> None:
    """One dimension: its value can be typed anew, and it can be put aside or removed."""
    work = session.work()
    key = f"{work.version}:{position}"
    name, value, used, away = st.columns([2.2, 2, 0.8, 0.8], vertical_alignment="bottom")
    title = f"{KINDS[dimension.kind]} {'–'.join(dimension.joints)}"
    with name:
        st.write(title)
    with value:
        typed = st.text_input(
            f"{say('measure_value')}: {title}",
            "" if dimension.value is None else str(dimension.value),
            key=f"value:{key}",
            label_visibility="collapsed",
            disabled=dimension.value is None,
        )
    with used:
        active = st.checkbox(say("measure_on"), dimension.active, key=f"used:{key}")
    with away:
        gone = st.button("✕", key=f"away:{key}", help=say("measure_remove", what=title))
    if gone:
        _set(position, None)
    elif dimension.value is not None and typed != str(dimension.value):
        _set(position, dimension.model_copy(update={"value": typed, "source": "typed"}))
    elif active != dimension.active:
        _set(position, dimension.model_copy(update={"active": active}))


def _set(position: int, dimension: Dimension | None) -> None:
    job = session.work().job
    dimensions = [*job.dimensions]
    dimensions[position : position + 1] = [] if dimension is None else [dimension]
    session.change(job.model_copy(update={"dimensions": dimensions}))
    st.rerun(scope="fragment")


def _add(joints: list[str]) -> None:
    """Say another dimension."""
    with st.form("another", clear_on_submit=True):
        kind = st.selectbox(say("measure_kind"), list(KINDS), format_func=KINDS.__getitem__)
        between = st.multiselect(say("measure_joints"), joints)
        value = st.text_input(say("measure_value"))
        if st.form_submit_button(say("measure_add")) and between:
            job = session.work().job
            added = Dimension.model_validate(
                {"kind": kind, "joints": between, "value": value or None}
            )
            session.change(job.model_copy(update={"dimensions": [*job.dimensions, added]}))
            st.rerun(scope="fragment")
