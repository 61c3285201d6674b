"""Picture: a person's own picture, a saved job, or a sample."""

from __future__ import annotations

import sample_sketches
import streamlit as st

from model.errors import InputError
from ui import session
from ui.strings import say

_PICTURES = ["jpg", "jpeg", "png", "webp", "tif", "tiff", "heic", "heif", "pdf"]


def show() -> None:
    """Show the step."""
    st.subheader(say("own_heading"))
    st.write(say("own_text"))
    brought = st.file_uploader(say("own_upload"), type=_PICTURES, key="brought")
    if st.toggle(say("own_camera"), key="camera_on"):
        brought = st.camera_input(say("own_camera"), key="camera") or brought
    if brought is not None and st.session_state.get("read_last") != brought.file_id:
        st.session_state["read_last"] = brought.file_id
        _read(brought.getvalue(), brought.name)
    _show_said()
    st.divider()
    names = sample_sketches.names()
    titles = {name: sample_sketches.load_job(name).title for name in names}
    st.selectbox(
        say("samples"),
        names,
        index=None,
        placeholder=titles.get(session.work().sample or "", say("sample")),
        format_func=titles.__getitem__,
        key="sample",
        on_change=_open_sample,
    )
    saved = st.file_uploader(say("open_job"), type=["json"], key="saved")
    if saved is not None and st.session_state.get("opened_last") != saved.file_id:
        st.session_state["opened_last"] = saved.file_id
        _open(saved.getvalue())


def _show_said() -> None:
    wrong = st.session_state.pop("picture_wrong", None)
    if wrong:
        st.warning(wrong)


def _open_sample() -> None:
    if st.session_state["sample"]:
        session.open_sample(st.session_state["sample"])


def _read(content: bytes, name: str) -> None:
    """Read a picture and go on to Trace; when it cannot be read the work in hand stays."""
    from ui.reading import read

    try:
        with st.spinner(say("reading")):
            found = read(content, name)
    except InputError as error:
        st.warning(str(error))
        return
    session.take_up(found.job, found.picture, found.doubts)
    if found.nothing:
        st.session_state["picture_wrong"] = say("read_nothing", reason=found.nothing)
    else:
        session.show_step("trace")
    st.rerun()


def _open(content: bytes) -> None:
    try:
        session.open_job(content)
    except InputError as error:
        st.warning(str(error))
        return
    session.show_step("trace")
    st.rerun()
