"""The browser app: one page, the picture with its editor, and beside it the step in hand."""

from __future__ import annotations

import logging
from importlib import import_module
from typing import Any

import streamlit as st

from model.result import CAUTION
from ui import editor, live, session
from ui.strings import EDITOR, STEPS, say

_STYLE = """
<style>
.stMainBlockContainer { padding: 0.5rem 1.2rem 1.5rem; max-width: 1680px; }
.st-key-head { gap: 0.6rem 1.6rem; }
.stAppHeader { background: transparent; height: 2.6rem; pointer-events: none; }
.stAppHeader button { pointer-events: auto; }
h1.brand { font-size: 1.5rem; padding: 0; margin: 0; letter-spacing: -0.01em; }
h1.brand small { font-size: 0.85rem; font-weight: 400; margin-left: 0.6rem; }
[data-testid="stButtonGroup"] > div, [role="radiogroup"] {
  flex-wrap: nowrap; overflow-x: auto; scrollbar-width: none;
}
[data-testid="stButtonGroup"] button { min-width: max-content; }
button[kind="primary"], button[kind="primary"] p { color: light-dark(#fff, #14191f); }
[data-testid="stCaptionContainer"] { opacity: 1; color: inherit; }
[data-testid="stCaptionContainer"] p, [data-testid="stTable"] th, [data-testid="stTable"] th p,
[data-testid="stFileUploaderDropzone"] span,
[data-testid="stFileUploaderDropzone"] small { color: light-dark(#4a545f, #b9bcc0); opacity: 1; }
@media (min-width: 641px) {
  .stColumn:has(.st-key-drawing) { position: sticky; top: 0.6rem; align-self: flex-start; }
}
@media (max-width: 640px) {
  .stMainBlockContainer { padding: 0.4rem 0.5rem 1rem; }
  h1.brand small { display: none; }
  .stColumn:not(:has(.st-key-drawing)) :is(button, input, [data-baseweb="select"] > div,
    summary, label[data-baseweb="checkbox"]) { min-height: 44px; }
}
</style>
"""
#: Picture pixels in a screen pixel, until the editor has said what fits.
_UNIT = 2.0


def main() -> None:
    """Lay out the page."""
    st.set_page_config(page_title=say("title"), layout="wide")
    st.html(_STYLE)
    workspace()


@st.fragment
def workspace() -> None:
    """Show the steps, the picture and the step in hand; an edit reruns only this."""
    step = session.step_now()
    with st.container(horizontal=True, vertical_alignment="center", key="head"):
        st.html(
            f'<h1 class="brand">{say("title")} <small>{say("tagline")}</small></h1>',
            width="content",
        )
        st.segmented_control(
            say("steps"),
            list(STEPS),
            format_func=STEPS.__getitem__,
            key=session.STEP,
            label_visibility="collapsed",
            required=True,
        )
    picture, panel = st.columns([1.9, 1], gap="medium")
    with picture, st.container(key="drawing"):
        _editor(step)
    with panel:
        with st.container():
            if session.slipped():
                st.error(say("slipped"))
        import_module(f"ui.steps.{step}").show()
        if step in ("picture", "trace"):  # the others say it with their results
            st.caption(CAUTION)


def _editor(step: str) -> None:
    work = session.work()
    unit = st.session_state.get("unit", _UNIT)
    data = {
        "strings": EDITOR,
        "step": step,
        "unit": unit,
        "show": {
            "forces": True,
            "chosen": step in ("forces", "working"),
            "arrows": step in ("forces", "working"),
            "values": step != "measure",
            "names": True,
            "dimensions": step == "measure",
            "crossings": step in ("picture", "trace"),
            "doubts": step == "trace",
        },
        "document": _document(work),
        "overlay": _overlay(work, unit, step),
    }
    editor.mount(
        data,
        on_edit_change=_take_edit,
        on_size_change=_take_size,
        on_chosen_change=lambda: None,
        on_wish_change=_obey,
    )


def _overlay(work: session.Work, unit: float, step: str) -> dict[str, Any]:
    """Answer the job. Whatever slips in answering, the editor with the work in it stays."""
    try:
        return live.overlay(work, live.answer(work.job), unit, step)
    except Exception:
        logging.getLogger(__name__).exception("The job could not be answered.")
        line = {"text": say("slipped"), "tone": "stop", "goto": None}
        return {"revision": work.revision, "line": line}


def _document(work: session.Work) -> dict[str, Any] | None:
    """Give the editor its document, unless it has it: it has sent revisions of this version."""
    if work.revision:
        return None
    return {
        "version": f"{st.session_state.setdefault('token', _token())}:{work.version}",
        "revision": work.revision,
        "fresh": work.fresh,
        "pristine": work.pristine,
        "job": work.job.model_dump(mode="json", exclude={"picture"}),
        "doubts": list(work.doubts),
        "picture": work.picture.facts() if work.picture else None,
        "sheet": work.size,
    }


def _token() -> str:
    import secrets

    return secrets.token_hex(6)


def _state(name: str) -> Any:
    return st.session_state[editor.KEY].get(name)


@session.guarded
def _take_edit() -> None:
    edit = _state("edit")
    if edit:
        token, _, version = edit["version"].partition(":")
        if token == st.session_state["token"]:
            session.take_edit({**edit, "version": int(version)})


@session.guarded
def _take_size() -> None:
    st.session_state["unit"] = min(40.0, max(0.1, float(_state("size") or _UNIT)))


@session.guarded
def _obey() -> None:
    wish = _state("wish") or {}
    match wish.get("do"):
        case "step":
            session.show_step(wish["step"])
        case "read":
            st.session_state["brought"] = (wish["sha256"], wish["name"])
            session.show_step("picture")
        case "restore":
            session.restore(wish)


main()
