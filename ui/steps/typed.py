"""Fields for values as people write them: taken when they can be read, kept and named when not."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, Literal

import streamlit as st

from model import units
from model.errors import InputError
from ui import session
from ui.strings import say

__all__ = ["count", "field", "quantity"]

_FIELDS = "typed_fields"


@dataclass(frozen=True)
class _Field:
    """What a field stands for: the job's value, what was last taken from it, why that was refused.

    What was last taken tells a new text from a second call for the same one: when a run is cut
    short by the next, callbacks are called again though nothing was typed.

    A value that changed elsewhere is shown in a further field. Put into the one that is there, it
    would overwrite what somebody is typing, and the browser could send that field's text back
    before the value has reached it: empty, as if it had been taken out. Until the further field
    has reached the browser, the one before goes on sending its text; so what was last taken is
    known of each, or the old text would undo the change.
    """

    now: str
    taken: tuple[str, ...]
    refused: str | None = None


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
    there = _fields().get(name) or _Field(now, (now,))
    if there.now != now:
        taken = there.taken if there.taken[-1] == now else (*there.taken, now)
        there = _Field(now, taken)
    _fields()[name] = there
    at = len(there.taken) - 1
    # A container of its own: a message that comes or goes must not move the fields after it,
    # which the browser would take for others while somebody types.
    with st.container(width=width, gap="xsmall"):
        st.text_input(
            label,
            there.taken[at],
            key=_widget(name, at),
            placeholder=placeholder,
            label_visibility="collapsed" if hidden else "visible",
            on_change=_take,
            args=(name, at, take),
        )
        if there.refused is not None:
            st.error(there.refused)


@session.guarded
def _take(name: str, at: int, take: Callable[[str], None]) -> None:
    text, there = str(st.session_state[_widget(name, at)]).strip(), _fields()[name]
    if text == there.taken[at]:
        return
    refused = None
    try:
        take(text)
    except InputError as error:
        refused = str(error)
    taken = [*there.taken]
    taken[at] = text
    if at < len(taken) - 1:  # typed while a further field was on its way: one more, that has it
        taken.append(text)
    _fields()[name] = replace(there, taken=tuple(taken), refused=refused)


def _widget(name: str, at: int) -> str:
    return f"{name}:{at}"


def _fields() -> dict[str, _Field]:
    kept: dict[str, _Field] = st.session_state.setdefault(_FIELDS, {})
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
