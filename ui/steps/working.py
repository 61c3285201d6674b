"""Working: how the forces come about, joint by joint, as a person would write it."""

from __future__ import annotations

import base64
from html import escape

import streamlit as st

from solver.solve import result_of
from ui import live, session
from ui.document import Block, Figures, Heading, Lines, Table, Text
from ui.marks import Sheet
from ui.rendering import svg
from ui.strings import say
from ui.working import working_blocks


def show() -> None:
    """Show the step."""
    found = live.answer(session.work().job)
    if found.job is None or found.solution is None or not found.forces:
        st.subheader(say("working_heading"))
        st.info(say("working_none"))
        return
    for block in working_blocks(found.job, found.solution, result_of(found.job)):
        _show(block)


def _show(block: Block) -> None:
    match block:
        case Heading(text, level):
            st.markdown(f"{'#' * (level + 2)} {text}")
        case Text(text, caution):
            st.caption(text) if caution else st.write(text)
        case Lines(lines):
            st.code("\n".join(lines), language=None, wrap_lines=True)
        case Table(header, rows):
            st.table([dict(zip(header, row, strict=True)) for row in rows])
        case Figures(sheets):
            for column, sheet in zip(st.columns(len(sheets)), sheets, strict=True):
                column.html(_image(sheet))


def _image(sheet: Sheet) -> str:
    """Give a figure as an image that says what it shows."""
    content = base64.b64encode(svg(sheet).encode()).decode()
    source = f"data:image/svg+xml;base64,{content}"
    return f'<img style="width:100%" alt="{escape(sheet.title, quote=True)}" src="{source}">'
