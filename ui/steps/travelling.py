"""Travelling loads: influence lines along a chain of joints, and where a train does most."""

from __future__ import annotations

import re
from functools import lru_cache

import streamlit as st

from model.errors import InputError
from model.job import Job
from model.truss import Truss
from solver.influence import InfluenceLines, influence_lines
from ui import live
from ui.influence_figure import influence_figure
from ui.numbers import number
from ui.steps import sheets, tables, typed
from ui.steps.tables import Cell
from ui.strings import say

__all__ = ["deck_of", "show"]


def show(job: Job, found: live.Answer) -> None:
    """Show the influence line of a member, and the worst places of a train of loads."""
    if not found.forces or found.solution is None:
        st.info(say("forces_none"))
        return
    truss, scope = found.solution.truss, "–".join(found.solution.truss.joints)
    st.write(say("travelling_text"))
    chain = st.multiselect(
        say("travelling_chain"), list(truss.joints), deck_of(truss), key=f"chain:{scope}"
    )
    names = [truss.member_name(position) for position in range(len(truss.members))]
    member = st.selectbox(say("travelling_member"), names, key=f"travelling:{scope}")
    with st.container(horizontal=True, vertical_alignment="bottom"):
        train = st.text_input(
            say("travelling_train", unit=job.units.force), "10", key="train", width=160
        )
        gaps = st.text_input(
            say("travelling_gaps", unit=job.units.length), "", key="gaps", width=160,
            placeholder="2 m, 1.5 m",
        )  # fmt: skip
    try:
        lines = _lines(found, tuple(chain))
        values = _listed(train, job.units.force, "[force]", say("travelling_train", unit=""))
        spacings = _listed(gaps, job.units.length, "[length]", say("travelling_gaps", unit=""))
        if len(spacings) == 1 and len(values) > 2:
            spacings = spacings * (len(values) - 1)
        worst = lines.worst(values, spacings)
    except InputError as error:
        st.error(str(error))
        return
    position = names.index(member)
    title = say("travelling_line", member=member)
    sheets.figure(influence_figure(lines, position, title, job.units.length))
    largest = float(max(abs(worst.lowest).max(), abs(worst.highest).max()))
    rows: list[list[str | Cell]] = [
        [
            name,
            _worst(worst.lowest[p], worst.lowest_at[p], worst.lowest_turned[p], largest),
            _worst(worst.highest[p], worst.highest_at[p], worst.highest_turned[p], largest),
        ]
        for p, name in enumerate(names)
    ]
    header = [say("forces_member"), say("cases_lowest"), say("cases_highest")]
    tables.table(say("travelling_worst", unit=job.units.force), header, rows)
    ends = {"joint": lines.joints[0], "last": lines.joints[-1]}
    st.caption(say("travelling_note", unit=job.units.length, **ends))


def _worst(force: float, at: float, turned: bool, largest: float) -> Cell:
    """An extreme, and where the train then is."""
    cell = tables.force_cell(float(force), largest)
    if cell.tone == "none":
        return cell
    place = f"{number(round(float(at), 6), 3)}{' ←' if turned else ''}"
    return Cell(say("travelling_at", force=cell.text, place=place), cell.tone)


@lru_cache(maxsize=8)
def _lines(found: live.Answer, chain: tuple[str, ...]) -> InfluenceLines:
    assert found.solution is not None
    return influence_lines(found.solution.truss, chain)


def _listed(text: str, unit: str, dimension: str, entry: str) -> list[float]:
    """Read values parted by commas; where semicolons part them a comma is a decimal one."""
    parts = re.split(";" if ";" in text else ",", text)
    read = [typed.quantity(part, unit, dimension, entry) for part in parts]
    return [value for value in read if value is not None]


def deck_of(truss: Truss) -> list[str]:
    """Guess the chain that a load travels along: the joints on the line of the supports, or below.

    Neighbours in it are joined by members; without such a line, the lowest chain.
    """
    import networkx as nx

    if len(truss.supports) < 2 or not len(truss.members):
        return []
    graph = nx.Graph()
    for (a, b), long in zip(truss.members.tolist(), truss.lengths.tolist(), strict=True):
        (x0, y0), (x1, y1) = truss.points[a], truss.points[b]
        if abs(x1 - x0) > abs(y1 - y0):
            graph.add_edge(a, b, weight=long + 4.0 * abs(y1 - y0))
    held = [truss.index[support.joint] for support in truss.supports]
    first = min(held, key=lambda joint: truss.points[joint][0])
    last = max(held, key=lambda joint: truss.points[joint][0])
    if first == last or not (graph.has_node(first) and graph.has_node(last)):
        return []
    try:
        path = nx.shortest_path(graph, first, last, weight="weight")
    except nx.NetworkXNoPath:
        return []
    return [truss.joints[joint] for joint in path]
