"""Share: what a person takes along, and what they begin or open next."""

from __future__ import annotations

import re
from collections.abc import Callable

import streamlit as st

from model.errors import InputError
from model.job import Job
from solver.variants import variants
from ui import downloads, live, session
from ui.site_sheet import SITE_CAUTION
from ui.steps import sheets, tables
from ui.strings import say

_OPEN, _OPENED, _REFUSED = "share_open", "share_opened", "share_refused"
_COUNT, _SEED = "variants_count", "variants_seed"
_MOST_VARIANTS = 30

_PNG, _SVG, _PDF, _CSV = "image/png", "image/svg+xml", "application/pdf", "text/csv"
_ZIP, _JSON, _TEXT = "application/zip", "application/json", "text/plain"


def show() -> None:
    """Show the step."""
    tables.style()
    work = session.work()
    found = live.answer(work.job)
    st.subheader(say("share_heading"), anchor=False)
    bundle = downloads.Bundle(work.job, found, work.picture)
    _job(bundle)
    if found.solution is None:
        st.info(found.reason or say("share_later"))
    else:
        _results(bundle, solved=found.forces)
        _teaching(bundle)
    if work.job.joints:
        _site(bundle)
    _begin(found, work.job)
    sheets.caution()


def _button(label: str, name: str, make: Callable[[], bytes], mime: str) -> None:
    """A download that is made when it is asked for."""
    title = re.sub(r"[^0-9a-z]+", "-", (session.work().job.title or say("title")).lower())
    st.download_button(
        label,
        make,
        file_name=f"{title.strip('-')[:48]}-{name}",
        mime=mime,
        on_click="ignore",
        key=f"download:{name}",
    )


def _job(bundle: downloads.Bundle) -> None:
    st.write(say("share_job_note"))
    _button(say("share_job"), "job.json", bundle.job_file, _JSON)


def _results(bundle: downloads.Bundle, *, solved: bool) -> None:
    if bundle.picture is not None:
        st.markdown(f"##### {say('share_picture')}")
        with st.container(horizontal=True):
            for kind, mime in (("png", _PNG), ("svg", _SVG), ("pdf", _PDF)):
                label = say("share_picture_as", kind=kind.upper())
                _button(label, f"picture.{kind}", bundle.drawn(kind, over_photo=True), mime)
    st.markdown(f"##### {say('share_figure')}")
    with st.container(horizontal=True):
        for kind, mime in (("png", _PNG), ("svg", _SVG), ("pdf", _PDF)):
            label = say("share_figure_as", kind=kind.upper())
            _button(label, f"figure.{kind}", bundle.drawn(kind, over_photo=False), mime)
    if solved:
        st.markdown(f"##### {say('share_working')}")
        with st.container(horizontal=True):
            _button(say("share_working_pdf"), "working.pdf", bundle.working_pdf, _PDF)
            _button(say("share_working_md"), "working.zip", bundle.working_markdown, _ZIP)
    st.markdown(f"##### {say('share_tables')}")
    with st.container(horizontal=True):
        for table in bundle.tables():
            _button(say(f"share_{table}"), f"{table}.csv", bundle.table(table), _CSV)
        _button(say("share_graph"), "truss.graphml", bundle.graph, _TEXT)
        _button(say("share_result"), "result.json", bundle.result_file, _JSON)
    _button(say("share_all"), "everything.zip", bundle.everything, _ZIP)


def _teaching(bundle: downloads.Bundle) -> None:
    st.markdown(f"##### {say('share_teaching')}")
    with st.container(horizontal=True, vertical_alignment="bottom"):
        count = int(
            st.number_input(say("share_variants"), 0, _MOST_VARIANTS, 0, key=_COUNT, width=150)
        )
        seed = int(st.number_input(say("share_seed"), 0, 99999, 1, key=_SEED, width=150))
    st.caption(say("share_variants_note"))
    try:
        bundle.problems(count, seed)
    except InputError as error:
        st.error(str(error))
        return
    with st.container(horizontal=True):
        _button(say("share_worksheet"), "worksheet.pdf", bundle.worksheet(count, seed), _PDF)
        if bundle.found.forces:
            _button(say("share_key"), "key.pdf", bundle.key(count, seed), _PDF)
        for kind, mime in (("svg", _SVG), ("png", _PNG), ("pdf", _PDF)):
            label = say("share_blank_as", kind=kind.upper())
            _button(label, f"blank.{kind}", bundle.blank(kind), mime)


def _site(bundle: downloads.Bundle) -> None:
    st.markdown(f"##### {say('share_site')}")
    st.caption(SITE_CAUTION)
    _button(say("share_site_pdf"), "site-sheet.pdf", bundle.site_sheet, _PDF)


def _begin(found: live.Answer, job: Job) -> None:
    """Open a saved job, or begin another one."""
    st.markdown(f"##### {say('share_begin')}")
    st.file_uploader(say("open_job"), type=["json"], key=_OPEN, on_change=_open)
    if refused := st.session_state.get(_REFUSED):
        st.error(refused)
    with st.container(horizontal=True):
        if found.forces and found.job is not None:
            st.button(say("share_variant"), on_click=_variant, args=(found.job, job.title))
        st.button(say("share_empty"), on_click=session.open_blank)
    st.caption(say("share_begin_note"))


@session.guarded
def _open() -> None:
    """Open the file that was chosen; the work in hand stays when it cannot be read."""
    chosen = st.session_state[_OPEN]
    if chosen is None or chosen.file_id == st.session_state.get(_OPENED):
        return
    st.session_state[_OPENED] = chosen.file_id
    st.session_state.pop(_REFUSED, None)
    try:
        session.open_job(chosen.getvalue())
    except InputError as error:
        st.session_state[_REFUSED] = str(error)
        return
    session.show_step("trace")


@session.guarded
def _variant(job: Job, title: str) -> None:
    """Go on with another problem of the same kind, drawn to scale on a clean sheet."""
    seed = st.session_state.get(_SEED, 1) + st.session_state.setdefault("variants_begun", 0)
    st.session_state["variants_begun"] += 1
    try:
        (made,) = variants(job.model_copy(update={"title": title}), 1, seed)
    except InputError as error:
        st.session_state[_REFUSED] = str(error)
        return
    joints = {name: j.model_copy(update={"pixel": None}) for name, j in made.joints.items()}
    clean = made.model_copy(update={"joints": joints, "picture": None, "answers": []})
    session.open_job(clean.model_dump(mode="json"))
    st.session_state.pop(_REFUSED, None)
