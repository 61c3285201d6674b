"""Working: how the forces come about, joint by joint, as a person would write it."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import streamlit as st

from model.errors import InputError
from model.job import Job
from solver.joints import joint_by_joint
from solver.sections import Section, section
from solver.steps import Step, Working
from solver.zero_force import zero_force_members
from ui import live, session
from ui.document import Block
from ui.steps import comparison, sheets, tables
from ui.strings import WORKING_VIEWS, say
from ui.working import (
    METHODS,
    check_blocks,
    diagram_blocks,
    given_blocks,
    section_blocks,
    step_blocks,
)

_VIEW = "working_view"
#: For which truss how many steps are open.
_SHOWN = "working_shown"


def show() -> None:
    """Show the step."""
    tables.style()
    job = session.work().job
    found = live.answer(job)
    st.subheader(say("working_heading"), anchor=False)
    if found.job is None or found.solution is None or not found.forces:
        solution = found.solution
        st.info(found.reason or (solution and solution.reason) or say("working_none"))
        return
    chosen = st.segmented_control(
        say("working_views"),
        list(WORKING_VIEWS),
        format_func=WORKING_VIEWS.__getitem__,
        default="joints",
        key=_VIEW,
        label_visibility="collapsed",
        required=True,
    )
    views: dict[str, Callable[[Job, live.Answer], None]] = {
        "joints": _joints,
        "section": _section,
        "without": _without,
        "diagram": _diagram,
        "compare": comparison.show,
    }
    views[chosen or "joints"](job, found)
    sheets.caution()


@lru_cache(maxsize=8)
def _working(found: live.Answer) -> Working:
    assert found.solution is not None
    return joint_by_joint(found.solution)


def _joints(job: Job, found: live.Answer) -> None:
    """Joint by joint, one step after the other."""
    working, unit = _working(found), job.units.force
    total = len(working.steps)
    if found.as_drawn:
        st.info(say("forces_as_drawn"))
    st.write(METHODS[working.method])
    with st.expander(say("working_given")):
        sheets.blocks(_given(found)[1:])
    shown = _open(job, total)
    for position, step in enumerate(working.steps[:shown], 1):
        with st.container(border=True):
            sheets.blocks(_step(found, step, unit, position))
    if shown < total:
        with st.container(horizontal=True):
            st.button(
                say("working_next", n=shown + 1, of=total),
                type="primary",
                on_click=_reveal,
                args=(job, shown + 1),
            )
            st.button(say("working_all"), on_click=_reveal, args=(job, total))
        return
    sheets.blocks(_checks(found, unit))
    if total > 1:
        st.button(say("working_fold"), on_click=_reveal, args=(job, 1))


def _truss(job: Job) -> str:
    """Tell trusses apart: the steps of another one begin folded."""
    return "–".join(f"{member.a}{member.b}" for member in job.members)


def _open(job: Job, total: int) -> int:
    """How many steps are open: one at first."""
    truss, shown = st.session_state.get(_SHOWN, ("", 1))
    return min(total, shown if truss == _truss(job) else 1)


def _reveal(job: Job, steps: int) -> None:
    st.session_state[_SHOWN] = (_truss(job), steps)


@lru_cache(maxsize=8)
def _given(found: live.Answer) -> list[Block]:
    assert found.job is not None
    assert found.solution is not None
    return given_blocks(found.job, sheets.result(found), found.solution.truss)


@lru_cache(maxsize=256)
def _step(found: live.Answer, step: Step, unit: str, position: int) -> list[Block]:
    assert found.solution is not None
    return step_blocks(found.solution.truss, step, unit, position)


@lru_cache(maxsize=8)
def _checks(found: live.Answer, unit: str) -> list[Block]:
    assert found.solution is not None
    return check_blocks(_working(found), found.solution, unit)


def _section(job: Job, found: live.Answer) -> None:
    """Cut the truss through one member, or through those chosen."""
    assert found.solution is not None
    st.write(say("section_text"))
    truss, unit = found.solution.truss, job.units.force
    names = [truss.member_name(position) for position in range(len(truss.members))]
    chosen = st.multiselect(say("section_members"), names, key=f"section:{_truss(job)}")
    if not chosen:
        return
    members = tuple(names.index(name) for name in chosen)
    try:
        cut = _cut(found, members)
    except InputError as error:
        st.error(str(error))
        return
    for position, step in enumerate(cut.before, 1):
        sheets.blocks(step_blocks(truss, step, unit, position))
    st.markdown(f"#### {say('section_heading', members=', '.join(cut.part.cut))}")
    sheets.blocks(section_blocks(found.solution, cut, unit))
    if cut.open:
        st.info(say("section_open", members=", ".join(cut.open)))


@lru_cache(maxsize=16)
def _cut(found: live.Answer, members: tuple[int, ...]) -> Section:
    assert found.solution is not None
    return section(found.solution, members[0] if len(members) == 1 else members)


def _without(job: Job, found: live.Answer) -> None:
    """Members without force, and why."""
    assert found.solution is not None
    without = zero_force_members(found.solution)
    if without:
        st.write(say("without_text"))
        st.markdown("\n".join(f"- {sheets.plain(one.reason)}" for one in without))
    else:
        st.info(say("without_none"))


def _diagram(job: Job, found: live.Answer) -> None:
    """The reciprocal diagram of the whole truss."""
    sheets.blocks(_diagram_blocks(found, job.units.force)[1:])


@lru_cache(maxsize=8)
def _diagram_blocks(found: live.Answer, unit: str) -> list[Block]:
    assert found.solution is not None
    return diagram_blocks(found.solution, unit)
