"""Forces: values beside the picture or a figure to scale, cases, stiffness, travelling loads."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import streamlit as st

from model.errors import InputError
from model.job import Job
from model.result import Result
from ui import live, session
from ui.annotate import annotated
from ui.marks import Sheet
from ui.numbers import is_zero, number, slope_text
from ui.steps import cases, ranges, sheets, stiffness, tables, travelling
from ui.steps.tables import Cell
from ui.strings import FORCE_VIEWS, say

_VIEW, _TO_SCALE = "forces_view", "forces_to_scale"


def show() -> None:
    """Show the step."""
    tables.style()
    job = session.work().job
    found = live.answer(job)
    figure = _figure(found) if st.session_state.get(_TO_SCALE) else None
    # In a container of its own, so that what follows keeps its place when the figure comes or goes.
    with st.container():
        if figure is not None:
            with st.container(key="to_scale"):
                sheets.figure(figure)
    st.subheader(say("forces_heading"), anchor=False)
    st.toggle(say("forces_to_scale"), key=_TO_SCALE)
    chosen = st.segmented_control(
        say("forces_views"),
        list(FORCE_VIEWS),
        format_func=FORCE_VIEWS.__getitem__,
        default="values",
        key=_VIEW,
        label_visibility="collapsed",
        required=True,
    )
    views: dict[str, Callable[[Job, live.Answer], None]] = {
        "values": _values,
        "cases": cases.show,
        "stiffness": stiffness.show,
        "travelling": travelling.show,
        "ranges": ranges.show,
    }
    views[chosen or "values"](job, found)
    sheets.caution()


@lru_cache(maxsize=8)
def _figure(found: live.Answer) -> Sheet | None:
    """Draw the result over a clean figure to scale."""
    if found.job is None or found.solution is None:
        return None
    try:
        return annotated(found.job, sheets.result(found))
    except InputError:
        return None


def _values(job: Job, found: live.Answer) -> None:
    """Members with components and slopes, reactions, movements, warnings."""
    if found.solution is None or found.solution.forces is None:
        _why_not(job, found)
        return
    result, unit = sheets.result(found), job.units.force
    if found.as_drawn:
        st.info(say("forces_as_drawn"))
    for warning in result.warnings:
        st.warning(warning)
    _members(found, result, unit)
    _reactions(result, unit)
    if job.combinations:
        cases.envelope(job, found)
    if result.displacements:
        _movements(result, job.units.length)


def _why_not(job: Job, found: live.Answer) -> None:
    """Say why there are no forces and what to do about it."""
    solution = found.solution
    reason = found.reason or (solution.reason if solution else None)
    if reason is None:
        st.info(say("forces_none"))
        return
    st.error(reason)
    if solution is not None and solution.status == "unstable":
        st.write(say("forces_unstable"))
        st.button(say("forces_to_trace"), on_click=session.show_step, args=("trace",))
    elif solution is not None and solution.status == "redundant":
        st.write(say("forces_redundant"))
        stiffness.alike(job)
    else:
        st.button(say("forces_to_measure"), on_click=session.show_step, args=("measure",))


def _members(found: live.Answer, result: Result, unit: str) -> None:
    assert found.solution is not None
    truss = found.solution.truss
    largest = max((abs(member.force) for member in result.members), default=0.0)
    halves = ranges.halves(found)
    header = [say("forces_member"), unit, say("forces_parts"), say("forces_slope")]
    if halves is not None:
        header.insert(2, "±")
    rows = []
    for position, member in enumerate(result.members):
        dx, dy = truss.points[truss.members[position, 1]] - truss.points[truss.members[position, 0]]
        long = float(truss.lengths[position])
        size = 0.0 if is_zero(member.force, largest) else abs(member.force)
        row: list[str | Cell] = [
            f"{member.a}–{member.b}",
            tables.force_cell(member.force, largest),
            f"{number(size * abs(dx) / long)} · {number(size * abs(dy) / long)}",
            slope_text(abs(float(dx)), abs(float(dy))),
        ]
        if halves is not None:
            row.insert(2, number(float(halves[position]), 2))
        rows.append(row)
    tables.table(say("forces_members"), header, rows)
    st.caption(say("forces_parts_note"))


def _reactions(result: Result, unit: str) -> None:
    rows = [[joint, number(x), number(y)] for joint, (x, y) in result.reactions.items()]
    header = [say("joint"), "x →", "y ↑"]
    tables.table(say("forces_reactions", unit=unit), header, rows)


def _movements(result: Result, unit: str) -> None:
    moved = (result.displacements or {}).items()
    rows = [[joint, number(x, 3), number(y, 3)] for joint, (x, y) in moved]
    tables.table(say("forces_movements", unit=unit), [say("joint"), "x →", "y ↑"], rows)
