"""Tables beside the picture: narrow enough for a phone, figures under figures."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape

import streamlit as st

from ui.numbers import is_zero, number
from ui.strings import say

__all__ = ["Cell", "force_cell", "style", "table"]

_STYLE = """
<style>
.sheet-table { overflow-x: auto; }
.sheet-table table { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums;
  font-size: 0.93rem; }
.sheet-table caption { text-align: left; font-weight: 600; padding: 0.5rem 0 0.3rem; }
.sheet-table th { text-align: right; font-weight: 600; font-size: 0.84rem;
  border-bottom: 1.5px solid currentColor; padding: 0.25rem 0.5rem; }
.sheet-table td { text-align: right; padding: 0.28rem 0.5rem; white-space: nowrap;
  border-bottom: 1px solid color-mix(in srgb, currentColor 18%, transparent); }
.sheet-table td small { display: block; white-space: normal; font-weight: 400; }
.sheet-table td.words { white-space: normal; text-align: left; }
.sheet-table tr > :first-child { text-align: left; padding-left: 0; font-weight: 600; }
.sheet-table .T { color: light-dark(#00664b, #35c99d); }
.sheet-table .C { color: light-dark(#a84700, #f29a5e); }
.sheet-table .none { color: light-dark(#5d6670, #a9b0b7); }
.sheet-table .wrong { color: light-dark(#a1260d, #ff9d8a); font-weight: 600; }
.sheet-table td:is(.right, .wrong) { text-align: left; width: 60%; padding-left: 1.2rem; }
.sheet-table .right { color: light-dark(#00664b, #35c99d); }
.caution { border-left: 4px solid #d55e00; padding: 0.5rem 0.8rem; font-size: 0.86rem;
  margin-top: 0.6rem; line-height: 1.45; }
h3.block, h4.block, h5.block { padding: 0.3rem 0 0; margin: 0; font-size: 1.12rem; }
[data-testid="stMultiSelect"] span[title], [data-testid="stMultiSelect"] span[title] ~ * {
  color: light-dark(#fff, #14191f);
}
.figure-frame { background: #fff; border-radius: 8px; padding: 4px;
  border: 1px solid color-mix(in srgb, currentColor 18%, transparent); }
.figure-frame img { width: 100%; display: block; }
/* The figure to scale takes the place of the picture, whose editor keeps its size out of sight. */
.stMain:has(.st-key-to_scale) .stColumn:has(.st-key-drawing) { visibility: hidden; }
@media (min-width: 641px) {
  [data-testid="stHorizontalBlock"]:has(.st-key-to_scale) { position: relative; }
  :is(.stColumn, .stColumn > *, [data-testid="stLayoutWrapper"]):has(.st-key-to_scale) {
    position: static;
  }
  .st-key-to_scale img { max-height: calc(100vh - 5.5rem); object-fit: contain; }
  .st-key-to_scale { position: absolute; left: 0; top: 0; width: calc((100% - 2rem) * 1.9 / 2.9); }
}
@media (max-width: 640px) {
  [data-testid="stHorizontalBlock"]:has(.st-key-to_scale) { position: relative; }
  .stMain:has(.st-key-to_scale) .stColumn:has(.st-key-drawing) {
    position: absolute !important; width: 100%;
  }
  .stColumn:not(:has(.st-key-drawing)) [data-testid="stButtonGroup"] button { padding: 0 0.6rem; }
}
</style>
"""


@dataclass(frozen=True)
class Cell:
    """A cell's text with what it means: T, C, none, right, wrong, words; a note goes below."""

    text: str
    tone: str = ""
    note: str = ""


def style() -> None:
    """Put down, once a step, how tables, figures and cautions look."""
    st.html(_STYLE)


def table(caption: str, header: Sequence[str], rows: Iterable[Sequence[str | Cell]]) -> None:
    """Show a table; the first column names its rows."""
    head = "".join(f'<th scope="col">{escape(name)}</th>' for name in header)
    body = "".join(f"<tr>{''.join(map(_cell, row))}</tr>" for row in rows)
    st.html(
        f'<div class="sheet-table" tabindex="0" role="region" aria-label="{escape(caption)}">'
        f"<table><caption>{escape(caption)}</caption><thead><tr>{head}</tr></thead>"
        f"<tbody>{body}</tbody></table></div>"
    )


def _cell(cell: str | Cell) -> str:
    if isinstance(cell, str):
        return f"<td>{escape(cell)}</td>"
    note = f"<small>{escape(cell.note)}</small>" if cell.note else ""
    return f'<td class="{cell.tone}">{escape(cell.text)}{note}</td>'


def force_cell(force: float, largest: float, note: str = "") -> Cell:
    """Size and sense of a member's force."""
    if is_zero(force, largest):
        return Cell("0", "none", note)
    sense = "T" if force > 0 else "C"
    return Cell(f"{number(abs(force))} {say(f'letter_{sense}')}", sense, note)
