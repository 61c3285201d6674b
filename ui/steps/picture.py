"""Picture: a person's own picture, a saved job, or a sample."""

from __future__ import annotations

import streamlit as st

import sample_sketches
from model.errors import InputError
from ui import session, shelf
from ui.strings import say

_PICTURES = ["jpg", "jpeg", "png", "webp", "tif", "tiff", "heic", "heif", "pdf"]
#: Checksum and name of the file that is to be read, and what was wrong with the last one.
_BROUGHT, _WRONG, _OPENED = "brought", "picture_wrong", "sample_opened"


def show() -> None:
    """Show the step."""
    st.subheader(say("own_heading"))
    st.write(say("own_text"))
    _bring()
    if _BROUGHT in st.session_state:
        _read(*st.session_state[_BROUGHT])
    if _WRONG in st.session_state:
        st.warning(st.session_state[_WRONG])
    st.divider()
    _samples()
    if session.work().picture is not None:
        st.button(say("turn"), on_click=_turn, help=say("turn_why"))
    st.button(say("blank"), on_click=session.open_blank)
    saved = st.file_uploader(say("open_job"), type=["json"], key="saved")
    if saved is not None and st.session_state.get("opened_last") != saved.file_id:
        st.session_state["opened_last"] = saved.file_id
        _open(saved.getvalue())


def _bring() -> None:
    """Take a picture from a file or the camera, once."""
    brought = st.file_uploader(say("own_upload"), type=_PICTURES, key="own_file")
    if st.toggle(say("own_camera"), key="own_camera_on"):
        brought = st.camera_input(say("own_camera"), key="own_photo") or brought
    if brought is not None and st.session_state.get("brought_last") != brought.file_id:
        st.session_state["brought_last"] = brought.file_id
        st.session_state[_BROUGHT] = (shelf.keep(brought.getvalue()), brought.name)


def _read(checksum: str, name: str) -> None:
    """Read what was brought and go on to Trace; the work in hand stays when that fails."""
    from ui import reading

    st.session_state.pop(_WRONG, None)
    content = shelf.fetch(checksum)
    try:
        if content is None:
            raise InputError(say("picture_gone"))
        page = _page(content)
        if page == 0:
            return
        with st.spinner(say("reading")):
            found = reading.read(content, name, page)
    except InputError as error:
        st.session_state[_WRONG] = str(error)
    else:
        session.take_up(found.job, found.picture, found.doubts)
        if found.nothing:
            st.session_state[_WRONG] = say("read_nothing", reason=found.nothing)
        else:
            session.show_step("trace")
    del st.session_state[_BROUGHT]
    st.rerun(scope="fragment")


def _page(content: bytes) -> int | None:
    """Give the page to read: None for a plain picture, 0 while a person has not said which."""
    from vision.picture import page_count

    try:
        pages = page_count(content)
    except InputError:
        return None  # reading it says what is wrong, by its name
    if pages == 1:
        return None
    with st.form("page"):
        st.write(say("own_page", n=pages))
        page = st.number_input(say("own_page_number"), 1, pages)
        return int(page) if st.form_submit_button(say("own_read"), type="primary") else 0


def _samples() -> None:
    titles = {name: sample_sketches.load_job(name).title for name in sample_sketches.names()}
    st.selectbox(
        say("samples"),
        list(titles),
        index=None,
        placeholder=titles.get(session.work().sample or "", say("sample")),
        format_func=titles.__getitem__,
        key="sample",
        on_change=_open_sample,
    )


@session.guarded
def _turn() -> None:
    session.turn_picture()


@session.guarded
def _open_sample() -> None:
    st.session_state.pop(_WRONG, None)
    chosen = st.session_state["sample"]
    # A run cut short by the next calls this again, although nothing was chosen anew.
    if chosen and chosen != st.session_state.get(_OPENED):
        st.session_state[_OPENED] = chosen
        session.open_sample(chosen)


def _open(content: bytes) -> None:
    try:
        session.open_job(content)
    except InputError as error:
        st.warning(str(error))
        return
    session.show_step("trace")
    st.rerun(scope="fragment")
