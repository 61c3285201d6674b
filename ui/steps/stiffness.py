"""Stiffness: what members are made of, what is done to them, and supports that settle."""

from __future__ import annotations

import re
from dataclasses import dataclass

import streamlit as st

from model import units
from model.errors import InputError
from model.job import Job, JobMember, JobSupport
from ui import live, session
from ui.numbers import number
from ui.steps import tables, typed
from ui.strings import say

__all__ = ["alike", "read_property", "show"]

_REFUSED, _ROUND = "stiffness_refused", "stiffness_round"
_POWERS = str.maketrans({"²": "^2", "³": "^3", "⁴": "^4"})
_WARMTH = re.compile(r"\s*(?:°\s*C|°|C|K|degC)\s*$")
_PER_DEGREE = re.compile(r"\s*(?:1?\s*/\s*(?:°\s*C|C|K|degC))\s*$")


@dataclass(frozen=True)
class _Kind:
    """A property: its unit in terms of length L and force F, its dimension, how it is written.

    `shown` are the units that it is shown in, metric and otherwise, `examples` likewise.
    """

    unit: str
    dimension: str
    shown: tuple[str, str]
    examples: tuple[str, str]


_KINDS = {
    "modulus": _Kind("F/L^2", "[force]/[length]**2", ("GPa", "ksi"), ("200 GPa", "29000 ksi")),
    "area": _Kind("L^2", "[length]**2", ("cm^2", "inch^2"), ("12 cm2", "2 in2")),
    "inertia": _Kind("L^4", "[length]**4", ("cm^4", "inch^4"), ("850 cm4", "20 in4")),
    "temperature_change": _Kind("°C", "", ("°C", "°C"), ("25 °C", "25 °C")),
    "expansion": _Kind("1/°C", "", ("1/°C", "1/°C"), ("12e-6", "12e-6")),
    "length_error": _Kind("L", "[length]", ("mm", "inch"), ("3 mm", "1/8 in")),
    "weight_per_length": _Kind(
        "F/L", "[force]/[length]", ("kN/m", "lbf/ft"), ("0.4 kN/m", "30 lbf/ft")
    ),
}
_METRIC = ("m", "cm", "mm", "km", "dm")
#: Properties that cannot be negative.
_POSITIVE = ("modulus", "area", "inertia", "weight_per_length")


def read_property(kind: str, text: str, job: Job) -> float | None:
    """Read a property as a person writes it into the job's units; None for an empty text.

    Raises
    ------
    InputError
        If it is not a value of that kind, or it must be greater than zero.
    """
    entry, text = say(f"property_{kind}"), text.strip()
    if not text:
        return None
    if kind == "temperature_change":
        return typed.count(_WARMTH.sub("", text), entry)
    if kind == "expansion":
        return typed.count(_PER_DEGREE.sub("", text), entry)
    written = re.sub(r"(?<=[a-zA-Z])\^?([234])(?!\d)", r"^\1", text.translate(_POWERS))
    value = units.measure(written, _unit(kind, job), _KINDS[kind].dimension, entry)
    if kind in _POSITIVE and (value < 0 or (value == 0 and kind != "weight_per_length")):
        raise InputError(say("property_positive", entry=entry))
    return value


def _unit(kind: str, job: Job) -> str:
    return _KINDS[kind].unit.replace("L", job.units.length).replace("F", job.units.force)


def alike(job: Job) -> None:
    """Say that all members are alike, which a redundant truss can be solved with."""

    key = session.control("alike", job.alike)

    @session.guarded
    def turn() -> None:
        now = session.work().job
        if session.current(key):
            session.change(now.model_copy(update={"alike": bool(st.session_state[key])}))

    st.toggle(say("stiffness_alike"), job.alike, key=key, on_change=turn)


def show(job: Job, found: live.Answer) -> None:
    """Show the members' properties and the supports' settlements, to be typed anew."""
    st.write(say("stiffness_text"))
    alike(job)
    _form(job)
    _known(job)
    if job.supports:
        st.markdown(f"##### {say('stiffness_settlements')}")
        for position, support in enumerate(job.supports):
            _settlement(job, position, support)


def _form(job: Job) -> None:
    """Type properties for some members or for all of them."""
    names = [_name(member) for member in job.members]
    with st.container(border=True):
        st.multiselect(
            say("stiffness_members"), names, key=_key("members"), placeholder=say("stiffness_all")
        )
        with st.container(horizontal=True):
            for kind, what in _KINDS.items():
                st.text_input(
                    say(f"property_{kind}"),
                    key=_key(kind),
                    placeholder=what.examples[_system(job)],
                    width=150,
                )
        with st.container(horizontal=True):
            st.button(say("stiffness_set"), key=_key("set"), on_click=_set, type="primary")
            st.button(say("stiffness_clear"), key=_key("clear"), on_click=_clear)
        if refused := st.session_state.get(_REFUSED):
            st.error(refused)


def _key(part: str) -> str:
    return f"stiffness:{part}:{st.session_state.setdefault(_ROUND, 0)}"


@session.guarded
def _set() -> None:
    """Take what was typed; when one value cannot be read all stays in the form."""
    job, said = session.work().job, st.session_state
    update: dict[str, float] = {}
    try:
        for kind in _KINDS:
            value = read_property(kind, str(said.get(_key(kind)) or ""), job)
            if value is not None:
                update[kind] = value
        if not update:
            raise InputError(say("stiffness_nothing"))
    except InputError as error:
        said[_REFUSED] = str(error)
        return
    _change(update)


@session.guarded
def _clear() -> None:
    _change(dict.fromkeys(_KINDS))


def _change(update: dict[str, float] | dict[str, None]) -> None:
    job, said = session.work().job, st.session_state
    chosen = said.get(_key("members")) or [_name(member) for member in job.members]
    members = [
        member.model_copy(update=update) if _name(member) in chosen else member
        for member in job.members
    ]
    said.pop(_REFUSED, None)
    said[_ROUND] += 1
    session.change(job.model_copy(update={"members": members}))


def _name(member: JobMember) -> str:
    return f"{member.a}–{member.b}"


def _known(job: Job) -> None:
    """Table of what is known of the members."""
    kinds = [kind for kind in _KINDS if any(getattr(m, kind) is not None for m in job.members)]
    if not kinds:
        st.caption(say("stiffness_unknown"))
        return
    header = [say("forces_member")]
    shown = {kind: _KINDS[kind].shown[_system(job)] for kind in kinds}
    factors = {
        kind: units.convert(1.0, _unit(kind, job), unit) if _KINDS[kind].dimension else 1.0
        for kind, unit in shown.items()
    }
    header += [f"{say(f'letter_{kind}')}, {_pretty(unit)}" for kind, unit in shown.items()]
    rows = [
        [_name(member), *(_written(getattr(member, kind), factors[kind]) for kind in kinds)]
        for member in job.members
    ]
    tables.table(say("stiffness_known"), header, rows)


def _system(job: Job) -> int:
    """Whether the job is metric (0) or not (1)."""
    return 0 if job.units.length in _METRIC else 1


def _pretty(unit: str) -> str:
    return unit.replace("inch", "in").replace("^2", "²").replace("^4", "⁴")


def _written(value: float | None, factor: float) -> str:
    if value is None:
        return "–"
    value *= factor
    return number(value) if value == 0 or 1e-3 <= abs(value) < 1e6 else f"{value:.4g}"


def _settlement(job: Job, position: int, support: JobSupport) -> None:
    """How far a support moves, to the right and up."""
    with st.container(horizontal=True, vertical_alignment="bottom"):
        for axis in (0, 1):
            label = say("settlement_right" if axis == 0 else "settlement_up", joint=support.joint)
            now = support.settlement[axis]

            def take(text: str, axis: int = axis, label: str = label) -> None:
                value = typed.quantity(text, job.units.length, "[length]", label) or 0.0
                _settle(position, support.joint, axis, value)

            typed.field(
                label,
                f"{now:g}" if now else "",
                take,
                key=f"settlement:{support.joint}:{axis}",
                placeholder=f"0 {job.units.length}",
                width=150,
            )


def _settle(position: int, joint: str, axis: int, value: float) -> None:
    """Move a support, if there is still one at its joint."""
    job = session.work().job
    at = session.whereabouts(job.supports, position, lambda support: support.joint == joint)
    if at is None:
        return
    supports = [*job.supports]
    moved = list(supports[at].settlement)
    moved[axis] = value
    supports[at] = supports[at].model_copy(update={"settlement": tuple(moved)})
    session.change(job.model_copy(update={"supports": supports}))
