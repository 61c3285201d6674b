"""Load cases and combinations: which load belongs to which, factors, and the envelope."""

from __future__ import annotations

from functools import lru_cache

import streamlit as st

from model.errors import InputError
from model.job import Combination, Job, JobLoad, load_of, truss_of
from solver.cases import Envelope, envelope_of, solve_cases
from ui import live, session
from ui.numbers import number
from ui.steps import tables, typed
from ui.steps.tables import Cell
from ui.strings import say

__all__ = ["envelope", "show"]


def show(job: Job, found: live.Answer) -> None:
    """Show the loads with their cases, the combinations, and what they come to."""
    st.write(say("cases_text"))
    for position, load in enumerate(job.loads):
        _load(job, position, load)
    names = _case_names(job, found)
    st.markdown(f"##### {say('cases_combinations')}")
    if not names:
        st.caption(say("cases_none"))
    for position, combination in enumerate(job.combinations):
        _combination(position, combination, names)
    if names:
        with st.container(horizontal=True):
            st.button(say("cases_add"), on_click=_add, args=(names,))
            if not job.combinations:
                st.caption(say("cases_alone"))
    envelope(job, found, each=True)


def _load(job: Job, position: int, load: JobLoad) -> None:
    """One load: its size and direction as they are, its case and tolerance to type."""
    try:
        read = load_of(load, job.units.force, say("load_entry", joint=load.joint))
        said = say("cases_load", joint=load.joint, force=_parts(read.fx, read.fy, job.units.force))
    except InputError as error:
        said = str(error)
    st.markdown(f"**{said}**")
    label = f"{say('load_entry', joint=load.joint)} ({position + 1})"
    with st.container(horizontal=True):
        typed.field(
            f"{label}: {say('cases_case')}",
            load.case or "",
            lambda text: _set_load(position, load, {"case": text or None}),
            key=f"case:{position}:{load.joint}",
            placeholder=say("cases_case"),
            hidden=True,
        )
        typed.field(
            f"{label}: {say('measure_tolerance')}",
            "" if load.tolerance is None else str(load.tolerance),
            lambda text: _set_tolerance(position, load, text),
            key=f"load_tolerance:{position}:{load.joint}",
            placeholder=say("measure_tolerance"),
            hidden=True,
            width=130,
        )


def _parts(x: float, y: float, unit: str) -> str:
    """Say a force by its parts, such as '3 kN to the right, 4 kN down'."""
    said = [
        say(f"part_{way[force < 0]}", size=number(abs(force)), unit=unit)
        for force, way in ((x, ("right", "left")), (y, ("up", "down")))
        if number(force) != "0"
    ]
    return ", ".join(said) or say("part_none")


def _set_load(position: int, shown: JobLoad, update: dict[str, object]) -> None:
    """Change a load, if there is still one at its joint."""
    job = session.work().job
    at = session.whereabouts(job.loads, position, lambda load: load.joint == shown.joint)
    if at is None:
        return
    loads = [*job.loads]
    loads[at] = loads[at].model_copy(update=update)
    session.change(job.model_copy(update={"loads": loads}))


def _set_tolerance(position: int, shown: JobLoad, text: str) -> None:
    job = session.work().job
    entry = f"{say('load_entry', joint=shown.joint)}: {say('tolerance')}"
    value = typed.quantity(text, job.units.force, "[force]", entry)
    if value is not None and value < 0:
        raise InputError(say("tolerance_wrong", entry=entry))
    _set_load(position, shown, {"tolerance": text or None})


def _case_names(job: Job, found: live.Answer) -> list[str]:
    """Names of the cases, also those that are not loads: own weight, temperature and so on."""
    solved = _cases(found)
    if solved is not None:
        return [name for name in solved if name is not None]
    return list(dict.fromkeys(load.case for load in job.loads if load.case))


@lru_cache(maxsize=8)
def _cases(found: live.Answer) -> tuple[str | None, ...] | None:
    if found.job is None or not found.forces:
        return None
    try:
        return solve_cases(truss_of(found.job)).names
    except InputError:
        return None


def _combination(position: int, combination: Combination, names: list[str]) -> None:
    """One combination: its name and the factor of each case."""
    with st.container(border=True):
        with st.container(horizontal=True, vertical_alignment="bottom"):
            typed.field(
                say("cases_name"),
                combination.name,
                lambda text: _rename(position, combination, text),
                key=f"combination:{position}",
            )
            st.button(
                "✕",
                key=f"combination_away:{position}",
                help=say("measure_remove", what=combination.name),
                on_click=_remove_combination,
                args=(position, combination),
            )
        listed = list(dict.fromkeys([*names, *combination.factors]))
        with st.container(horizontal=True):
            for case in listed:
                factor = combination.factors.get(case)
                typed.field(
                    f"× {case}",
                    "" if factor is None else f"{factor:g}",
                    lambda text, case=case: _factor(position, combination, case, text),  # type: ignore[misc]
                    key=f"factor:{position}:{case}",
                    placeholder=say("cases_left_out"),
                    width=120,
                )


def _current(position: int, shown: Combination) -> int | None:
    """Where a combination of the page now stands in the job; it may have been renamed since."""
    there = session.work().job.combinations
    at = session.whereabouts(there, position, lambda one: one.name == shown.name)
    return position if at is None and position < len(there) else at


def _set_combination(at: int, *combination: Combination) -> None:
    """Put a combination in the place of another, or nothing."""
    job = session.work().job
    changed = [*job.combinations]
    changed[at : at + 1] = combination
    session.change(job.model_copy(update={"combinations": changed}))


@session.guarded
def _remove_combination(position: int, shown: Combination) -> None:
    if session.work().job.combinations[position : position + 1] == [shown]:
        _set_combination(position)


def _rename(position: int, shown: Combination, text: str) -> None:
    there, at = session.work().job.combinations, _current(position, shown)
    if not text or any(c.name == text for i, c in enumerate(there) if i != at):
        raise InputError(say("cases_name_wrong", text=text))
    if at is not None:
        _set_combination(at, there[at].model_copy(update={"name": text}))


def _factor(position: int, shown: Combination, case: str, text: str) -> None:
    at = _current(position, shown)
    if at is None:
        return
    combination = session.work().job.combinations[at]
    factors = dict(combination.factors)
    if text:
        factors[case] = typed.count(text, f"{combination.name}, {case}")
    else:
        factors.pop(case, None)
    _set_combination(at, combination.model_copy(update={"factors": factors}))


@session.guarded
def _add(names: list[str]) -> None:
    job = session.work().job
    there = {combination.name for combination in job.combinations}
    number_ = next(n for n in range(1, 1000) if say("cases_new", n=n) not in there)
    added = Combination(name=say("cases_new", n=number_), factors=dict.fromkeys(names, 1.0))
    session.change(job.model_copy(update={"combinations": [*job.combinations, added]}))


def envelope(job: Job, found: live.Answer, *, each: bool = False) -> None:
    """Show the lowest and highest force of each member and what governs; on request every case."""
    try:
        extremes = _envelope(found)
    except InputError as error:
        st.error(str(error))
        return
    if extremes is None or found.solution is None or len(extremes.names) < 2:
        return
    truss, unit = found.solution.truss, job.units.force
    largest = float(abs(extremes.forces).max(initial=0.0))
    members = [truss.member_name(position) for position in range(len(truss.members))]
    rows: list[list[str | Cell]] = [
        [
            name,
            tables.force_cell(low, largest, extremes.names[extremes.lowest_by[position]]),
            tables.force_cell(high, largest, extremes.names[extremes.highest_by[position]]),
        ]
        for position, (name, low, high) in enumerate(
            zip(members, extremes.lowest.tolist(), extremes.highest.tolist(), strict=True)
        )
    ]
    header = [say("cases_lowest"), say("cases_highest")]
    tables.table(say("cases_envelope", unit=unit), [say("forces_member"), *header], rows)
    if each:
        rows = [
            [name, *(tables.force_cell(force, largest) for force in forces)]
            for name, forces in zip(members, extremes.forces.tolist(), strict=True)
        ]
        header = [say("forces_member"), *extremes.names]
        tables.table(say("cases_each", unit=unit), header, rows)


@lru_cache(maxsize=8)
def _envelope(found: live.Answer) -> Envelope | None:
    if found.job is None or not found.forces:
        return None
    return envelope_of(found.job)
