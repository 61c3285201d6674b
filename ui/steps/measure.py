"""Measure: the true dimensions, what they settle, what contradicts, and what to measure next."""

from __future__ import annotations

from functools import lru_cache

import streamlit as st

from model.geometry import Geometry
from model.job import Dimension, Job, truss_of
from ui import live, session
from ui.marks import Sheet
from ui.numbers import number
from ui.steps import dimensions, sheets, tables
from ui.steps.dimensions import title_of
from ui.strings import say
from ui.true_figure import true_figure

_LENGTHS = ["m", "cm", "mm", "ft", "in"]
_FORCES = ["kN", "N", "MN", "lbf", "kip"]
#: Suggestions that are offered at once.
_OFFERED = 3


def show() -> None:
    """Show the step."""
    tables.style()
    job = session.work().job
    st.subheader(say("measure_heading"), anchor=False)
    st.write(say("measure_text"))
    with st.container(horizontal=True):
        _unit("length", _LENGTHS)
        _unit("force", _FORCES)
    found = live.answer(job)
    # Each part in a container of its own: what comes or goes above must not move the fields
    # below, which the browser would take for others while somebody types.
    for part in (_state, _misreads, _next):
        with st.container():
            if found.geometry is not None:
                part(job, found.geometry)
    with st.container():
        _figure(found)
    with st.container():
        _rows(job, found.geometry)
    dimensions.add(job)
    if found.geometry is not None:
        _assumptions(job, found.geometry)
        _coordinates(found, found.geometry)
    sheets.caution()
    st.button(say("next_forces"), type="primary", on_click=session.show_step, args=("forces",))


def _rows(job: Job, geometry: Geometry | None) -> None:
    """Every dimension that was said, to be put right."""
    said = [(i, d) for i, d in enumerate(job.dimensions) if d.source != "assumed"]
    if said:
        st.markdown(f"##### {say('measure_list')}")
    for position, dimension in said:
        dimensions.row(position, dimension, geometry)


def _unit(kind: str, known: list[str]) -> None:
    """Choose a unit of bare numbers and of the answers."""
    now = getattr(session.work().job.units, kind)
    key = session.control(f"unit:{kind}", now)

    @session.guarded
    def choose() -> None:
        if not session.current(key):
            return
        job = session.work().job
        chosen = {kind: st.session_state[key]}
        session.change(job.model_copy(update={"units": job.units.model_copy(update=chosen)}))

    options = known if now in known else [now, *known]
    st.selectbox(
        say(f"units_{kind}"),
        options,
        index=options.index(now),
        key=key,
        on_change=choose,
        width=140,
    )


def _state(job: Job, geometry: Geometry) -> None:
    """Say in one line how far the shape is settled."""
    for problem in geometry.problems:
        if problem.index is None:
            st.error(problem.sentence)
    wrong = [check for check in geometry.checks if check.state in ("contradicts", "problem")]
    if wrong:
        titles = ", ".join(title_of(check.dimension) for check in wrong)
        st.error(say("measure_wrong", titles=titles))
    if wrong or geometry.problems:
        return
    if not geometry.shape_settled:
        loose = ", ".join(geometry.loose_joints)
        st.warning(say("measure_open", n=geometry.freedoms, joints=loose))
    elif not geometry.scale_settled:
        st.warning(say("measure_no_scale"))
    elif geometry.freedoms_measured:
        st.info(say("measure_assumed", n=geometry.freedoms_measured))
    elif job.dimensions:
        st.success(say("measure_settled"))
    else:
        st.success(say("measure_coordinates"))
    for position in geometry.overtight:
        st.info(say("measure_overtight", what=title_of(job.dimensions[position])))


def _misreads(job: Job, geometry: Geometry) -> None:
    """What was probably misread, each with the value that would fit as one press."""
    for misread in geometry.misreads:
        dimension = job.dimensions[misread.index]
        with st.container(border=True):
            st.markdown(f"**{title_of(dimension)}**")
            st.write(misread.sentence)
            with st.container(horizontal=True):
                st.button(
                    say("measure_take", value=misread.value),
                    key=f"take:{misread.index}:{misread.value}",
                    type="primary",
                    on_click=session.guarded(dimensions.change),
                    args=(
                        misread.index,
                        dimension,
                        {"value": misread.value, "source": "typed"},
                    ),
                )
                st.button(
                    say("measure_put_aside"),
                    key=f"aside:{misread.index}:{misread.value}",
                    on_click=session.guarded(dimensions.change),
                    args=(misread.index, dimension, {"active": False}),
                )


def _next(job: Job, geometry: Geometry) -> None:
    """What to measure next, with a field to type it right there."""
    offered = geometry.next_dimensions[:_OFFERED]
    if not offered:
        return
    st.markdown(f"##### {say('measure_next')}")
    for suggestion in offered:
        wanted = suggestion.dimension
        dimensions.wanted(wanted, job.units.length)
    more = len(geometry.next_dimensions) - len(offered)
    if more:
        st.caption(say("measure_more", n=more))


def _figure(found: live.Answer) -> None:
    sheet = _true(found)
    if sheet is not None:
        st.markdown(f"##### {say('measure_true')}")
        sheets.figure(sheet)
        if found.as_drawn:
            st.caption(say("measure_as_drawn"))


@lru_cache(maxsize=16)
def _true(found: live.Answer) -> Sheet | None:
    """Draw the truss to scale, what can still move with arrows."""
    if found.job is None or found.geometry is None or len(found.job.joints) < 2:
        return None
    truss = truss_of(found.job.model_copy(update={"loads": []}))
    return true_figure(truss, found.geometry.open_motions, say("measure_true"))


def _assumptions(job: Job, geometry: Geometry) -> None:
    """What is taken from the drawing; each can be put aside and taken back."""
    said = [(i, d) for i, d in enumerate(job.dimensions) if d.source == "assumed"]
    if not said and not geometry.assumptions:
        return
    used = len(geometry.assumptions) + sum(d.active for _, d in said)
    with st.expander(say("measure_from_drawing", n=used)):
        st.caption(say("measure_from_drawing_text"))
        for assumed in geometry.assumptions:
            _switch(assumed, on=True)
        for position, assumed in said:
            _switch(assumed, on=assumed.active, position=position)


def _switch(assumed: Dimension, *, on: bool, position: int | None = None) -> None:
    title = title_of(assumed)
    key = session.control(f"assumed:{title}", on)
    st.toggle(title, on, key=key, on_change=_turn, args=(key, assumed, on, position))


@session.guarded
def _turn(key: str, assumed: Dimension, was_on: bool, position: int | None) -> None:
    """Put an assumption aside, or take it back: then the drawing proposes it by itself again."""
    on = bool(st.session_state[key])
    # Called though nothing was changed: a run was cut short by the next one, or it was undone.
    if on == was_on or not session.current(key):
        return
    if on and position is not None:
        dimensions.remove(position, assumed)
    else:
        dimensions.append(assumed.model_copy(update={"active": on}))


def _coordinates(found: live.Answer, geometry: Geometry) -> None:
    """Table of the coordinates, each with its standard error."""
    if found.job is None or not len(geometry.points):
        return
    unit = found.job.units.length
    with st.expander(say("measure_coordinates_table")):
        rows = [
            [name, *(f"{number(value)} ± {number(error, 2)}" for value, error in pairs)]
            for name, pairs in (
                (name, zip(place, errors, strict=True))
                for name, place, errors in zip(
                    geometry.joints,
                    geometry.points.tolist(),
                    geometry.standard_errors.tolist(),
                    strict=True,
                )
            )
        ]
        header = [say("joint"), f"x, {unit}", f"y, {unit}"]
        tables.table(say("measure_standard_error"), header, rows)
        for note in geometry.notes:
            st.caption(note)
