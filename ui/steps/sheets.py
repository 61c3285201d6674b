"""Figures and document blocks beside the picture."""

from __future__ import annotations

import base64
from collections.abc import Iterable
from functools import lru_cache
from html import escape

import streamlit as st

from model.result import CAUTION, Result
from solver.solve import result_of
from ui.document import Block, Figures, Heading, Lines, Table, Text
from ui.live import Answer
from ui.marks import Sheet
from ui.rendering import svg
from ui.steps.tables import Cell, table

__all__ = ["blocks", "caution", "figure", "figures", "plain", "result"]

#: Screen pixels in a figure's own below which its writing is too small.
_LEGIBLE = 0.68


@lru_cache(maxsize=32)
def result(found: Answer) -> Result:
    """Give the result document of an answer; answers are the same object for the same job."""
    assert found.job is not None
    return result_of(found.job)


def caution(*more: str) -> None:
    """Say what goes with every result."""
    st.html(f'<div class="caution" role="note">{escape(" ".join((*more, CAUTION)))}</div>')


def figure(sheet: Sheet) -> None:
    """Show a figure as an image that says what it is."""
    st.html(f'<div class="figure-frame">{_image(sheet)}</div>')


def figures(sheets: Iterable[Sheet]) -> None:
    """Show figures side by side, as wide as each of them is."""
    shown = tuple(sheets)
    parts = "".join(
        f'<div style="flex:{sheet.width / sheet.height:.3f} 1 {_least(sheet):.0f}px;'
        f'max-width:{sheet.width:.0f}px">{_image(sheet)}</div>'
        for sheet in shown
    )
    st.html(
        f'<div class="figure-frame" style="display:flex;flex-wrap:wrap;justify-content:center">'
        f"{parts}</div>"
    )


def _least(sheet: Sheet) -> float:
    """Width on the screen below which a figure takes a row of its own."""
    return min(_LEGIBLE * float(sheet.width), 380.0)


@lru_cache(maxsize=256)
def _image(sheet: Sheet) -> str:
    content = base64.b64encode(svg(sheet).encode()).decode()
    source = f"data:image/svg+xml;base64,{content}"
    return f'<img alt="{escape(sheet.title, quote=True)}" src="{source}">'


def blocks(shown: Iterable[Block]) -> None:
    """Show the blocks of a document; tables take their heading for a caption."""
    heading = ""
    for block in shown:
        match block:
            case Heading(text, level):
                heading = text
                st.html(f'<h{level + 2} class="block">{escape(text)}</h{level + 2}>')
            case Text(text, warns):
                st.warning(plain(text)) if warns else st.markdown(plain(text))
            case Lines(lines):
                st.code("\n".join(lines), language=None, wrap_lines=True)
            case Table(header, rows):
                table(heading, header, [[_kind(cell) for cell in row] for row in rows])
            case Figures(sheets):
                figures(sheets)


def _kind(cell: str) -> str | Cell:
    return Cell(cell, "words") if len(cell) > 24 else cell


def plain(text: str) -> str:
    """Text as it is, not as Markdown."""
    return "".join(f"\\{c}" if c in "\\`*_{}[]<>#$~|:" else c for c in text)
