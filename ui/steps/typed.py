"""Fields for values as people write them: taken when they can be read, kept and named when not."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

import streamlit as st

from model import units
from model.errors import InputError
from ui import session
from ui.strings import say

__all__ = ["count", "field", "quantity"]

_UNREAD = "unread"


@dataclass(frozen=True)
class _Unread:
    """What was typed and could not be read, the reason, and the value that it was to replace."""

    text: str
    reason: str
    instead_of: str


def field(
    label: str,
    now: str,
    take: Callable[[str], None],
    *,
    key: str,
    placeholder: str = "",
    hidden: bool = False,
    width: int | Literal["stretch"] = "stretch",
) -> None:
    """Show a field for one value.

    Parameters
    ----------
    label : str
    now : str
        The value as it stands in the job.
    take : callable
        Takes what was typed into the job; raises `InputError` when it cannot be read.
    key : str
        Names the field among all of the truss.
    placeholder : str
    hidden : bool
        Whether the label is for screen readers only.
    width : int or 'stretch'
    """
    name = f"{_truss()}:{key}"
    kept = _unread().get(name)
    if kept is not None and kept.instead_of != now:
        kept = None
    widget = f"{name}:{now}"
    st.text_input(
        label,
        now if kept is None else kept.text,
        key=widget,
        placeholder=placeholder,
        label_visibility="collapsed" if hidden else "visible",
        on_change=_take,
        args=(widget, name, now, take),
        width=width,
    )
    if kept is not None:
        st.error(kept.reason)


def _take(widget: str, name: str, now: str, take: Callable[[str], None]) -> None:
    text = str(st.session_state[widget]).strip()
    _unread().pop(name, None)
    if text == now:
        return
    try:
        take(text)
    except InputError as error:
        _unread()[name] = _Unread(text, str(error), now)


def _unread() -> dict[str, _Unread]:
    kept: dict[str, _Unread] = st.session_state.setdefault(_UNREAD, {})
    return kept


def _truss() -> str:
    """Tell one truss from another, so that a field never shows what was typed for another one."""
    job = session.work().job
    return job.picture.sha256[:12] if job.picture else job.title


def quantity(text: str, unit: str, dimension: str, entry: str) -> float | None:
    """Read a value with its unit, or nothing; a bare number is in `unit`."""
    if not text.strip():
        return None
    return units.measure(text, unit, dimension, entry)


def count(text: str, entry: str) -> float:
    """Read a bare number, such as a factor."""
    try:
        value: Any = float(text.strip().replace(",", ".").replace("−", "-"))
    except ValueError:
        raise InputError(say("number_wrong", entry=entry, text=text)) from None
    if not abs(value) < 1e12:
        raise InputError(say("number_wrong", entry=entry, text=text))
    return float(value)
