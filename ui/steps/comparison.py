"""Compare: a person's own values beside the members, judged one by one."""

from __future__ import annotations

import streamlit as st

from model.answers_file import answer_value, read_answers
from model.errors import InputError
from model.job import Answer, Job
from model.truss import Truss
from solver.answers import Report, Verdict, judge_answers
from ui import live, session
from ui.numbers import number
from ui.steps import tables, typed
from ui.steps.tables import Cell
from ui.strings import VERDICTS, say

__all__ = ["show"]

_PASTED, _REFUSED = "answers_pasted", "answers_refused"


def show(job: Job, found: live.Answer) -> None:
    """Show a field for each member and reaction, and what is to be said of the values."""
    assert found.job is not None
    assert found.solution is not None
    st.write(say("compare_text", unit=job.units.force))
    truss = found.solution.truss
    names = _names(truss)
    given = {names.get(_plain(answer.what), answer.what): answer for answer in job.answers}
    members = [truss.member_name(position) for position in range(len(truss.members))]
    with st.container(horizontal=True, gap="small"):
        for name in members:
            _field(job, name, given.get(name), names, member=True)
    with st.container(horizontal=True, gap="small"):
        for name in _reactions(truss):
            _field(job, name, given.get(name), names, member=False)
    _paste()
    if not job.answers:
        return
    st.button(say("compare_clear"), on_click=_clear)
    try:
        report = judge_answers(found.job, job.answers)
    except InputError as error:
        st.error(str(error))
        return
    _verdicts(report, set(members), job.units.force)


def _plain(what: str) -> str:
    """What an answer is to, without what joins the names of joints."""
    return what.replace("-", "").replace("–", "").replace(" ", "")


def _names(truss: Truss) -> dict[str, str]:
    """The names of members from either end, and of reactions, as `_plain` leaves them."""
    names = {name: name for name in _reactions(truss)}
    for position, (a, b) in enumerate(truss.members.tolist()):
        name = truss.member_name(position)
        names[truss.joints[a] + truss.joints[b]] = names[truss.joints[b] + truss.joints[a]] = name
    return names


def _reactions(truss: Truss) -> list[str]:
    """The components that supports can have."""
    return [
        f"{support.joint}{'xy'[axis]}"
        for support in truss.supports
        for axis in (0, 1)
        if abs(support.directions[:, axis]).max() > 1e-9
    ]


def _field(
    job: Job, name: str, answer: Answer | None, names: dict[str, str], *, member: bool
) -> None:
    def take(text: str) -> None:
        answers = session.work().job.answers
        others = [a for a in answers if names.get(_plain(a.what), a.what) != name]
        if not text:
            _keep(others)
            return
        said = Answer(what=name, value=text)
        answer_value(said, job.units.force, entry=name, member=member)
        _keep([*others, said])

    now = ""
    if answer is not None:
        now = f"{answer.value}{f' {answer.unit}' if answer.unit else ''}"
    typed.field(name, now, take, key=f"answer:{name}", width=96)


@session.guarded
def _clear() -> None:
    _keep([])


def _keep(answers: list[Answer]) -> None:
    job = session.work().job
    session.change(job.model_copy(update={"answers": answers}))


def _paste() -> None:
    """Take a whole table at once, pasted or from a file."""
    with st.expander(say("compare_paste")):
        st.text_area(
            say("compare_csv"), key=_PASTED, placeholder="what,value,unit\nAB,12.5 T,kN\nAx,3,kN"
        )
        st.button(say("compare_take"), on_click=_take_pasted)
        brought = st.file_uploader(say("compare_file"), type=["csv", "txt"], key="answers_file")
        if brought is not None:
            st.button(
                say("compare_take_file", file=brought.name),
                on_click=session.guarded(_take),
                args=(brought.getvalue().decode("utf-8", "replace"),),
            )
        if refused := st.session_state.get(_REFUSED):
            st.error(refused)


@session.guarded
def _take_pasted() -> None:
    _take(str(st.session_state[_PASTED]))


def _take(text: str) -> None:
    """Take a table's values in place of what was said of the same members."""
    job = session.work().job
    found = live.answer(job)
    try:
        read = list(read_answers(text).values())
        if found.job is None or found.solution is None:
            raise InputError(say("working_none"))
        judge_answers(found.job, read)
    except InputError as error:
        st.session_state[_REFUSED] = str(error)
        return
    st.session_state.pop(_REFUSED, None)
    names = _names(found.solution.truss)
    said = {names.get(_plain(answer.what)) for answer in read}
    others = [a for a in job.answers if names.get(_plain(a.what)) not in said]
    _keep([*others, *read])


def _given(verdict: Verdict, members: set[str]) -> str:
    """A person's value as a force with its sense, or as a reaction with its sign."""
    value = verdict.given or 0.0
    if verdict.what in members and value:
        return f"{number(abs(value))} {say('letter_T' if value > 0 else 'letter_C')}"
    return number(value)


def _verdicts(report: Report, members: set[str], unit: str) -> None:
    """Say what is right and what is wrong, first where the balance fails."""
    said = [verdict for verdict in report.verdicts if verdict.kind != "missing"]
    wrong = [verdict for verdict in said if verdict.kind != "right"]
    if wrong:
        st.error(say("compare_wrong", n=len(wrong), of=len(said)))
    else:
        st.success(say("compare_right", n=len(said)))
    if report.balance is not None:
        st.warning(report.balance.sentence)
    rows: list[list[str | Cell]] = []
    for verdict in sorted(said, key=lambda one: one.kind == "right"):
        right = verdict.kind == "right"
        said_so = f"{'✓' if right else '✗'} {VERDICTS[verdict.kind]}"
        tone = "right" if right else "wrong"
        mark = Cell(said_so, tone, "" if right else verdict.sentence)
        rows.append([verdict.what, _given(verdict, members), mark])
    header = [say("compare_what"), say("compare_yours", unit=unit), say("compare_verdict")]
    tables.table(say("compare_heading"), header, rows)
    left = len(report.verdicts) - len(said)
    if left:
        st.caption(say("compare_left", n=left))
    st.caption(report.rounding)
