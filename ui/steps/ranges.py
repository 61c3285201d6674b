"""How sure the forces are: ranges that follow from the tolerances, and what matters most."""

from __future__ import annotations

from functools import lru_cache

import streamlit as st

from model.errors import InputError
from model.job import Job
from solver.uncertainty import ForceRanges, monte_carlo
from ui import live
from ui.numbers import number
from ui.solving import has_tolerances, ranges_of
from ui.steps import tables
from ui.steps.tables import Cell
from ui.strings import say

__all__ = ["halves", "show"]

#: Uncertain quantities listed.
_MOST_SHOWN = 6
#: Trusses drawn at random when asked for.
_DRAWS = 1000


@lru_cache(maxsize=8)
def _ranges(found: live.Answer) -> ForceRanges | None:
    if found.job is None or not found.forces:
        return None
    try:
        return ranges_of(found.job, found.geometry)
    except InputError:
        return None


def halves(found: live.Answer) -> list[float] | None:
    """Half-widths of the members' ranges, where some tolerance was given."""
    if found.job is None or not has_tolerances(found.job):
        return None
    known = _ranges(found)
    return None if known is None or not known.ranking else known.root_sum_square.tolist()


def show(job: Job, found: live.Answer) -> None:
    """Show each force's range, and what would be worth measuring better."""
    known = _ranges(found)
    if known is None or found.solution is None:
        st.info(say("forces_none"))
        return
    if not known.ranking:
        st.info(say("ranges_none"))
        return
    truss, unit = found.solution.truss, job.units.force
    largest = float(abs(known.forces[: len(truss.members)]).max(initial=0.0))
    st.write(say("ranges_text"))
    rows: list[list[str | Cell]] = []
    for position in range(len(truss.members)):
        force = float(known.forces[position])
        rows.append(
            [
                truss.member_name(position),
                tables.force_cell(force, largest),
                f"± {number(float(known.root_sum_square[position]), 2)}",
                f"± {number(float(known.worst[position]), 2)}",
            ]
        )
    header = [say("forces_member"), unit, say("ranges_likely"), say("ranges_worst")]
    tables.table(say("ranges_heading"), header, rows)
    rows = [
        [Cell(one.what, "words"), f"{100 * one.share:.0f} %", f"± {number(one.most, 2)}"]
        for one in known.ranking[:_MOST_SHOWN]
        if one.share >= 0.005
    ]
    header = [say("ranges_what"), say("ranges_share"), say("ranges_most", unit=unit)]
    tables.table(say("ranges_ranking"), header, rows)
    if st.button(say("ranges_draw", n=_DRAWS)):
        _drawn(found, unit)


def _drawn(found: live.Answer, unit: str) -> None:
    """Solve trusses drawn at random within the tolerances, and show their extremes."""
    assert found.solution is not None
    truss, geometry = found.solution.truss, found.geometry
    covariance = geometry.covariance if geometry is not None and geometry.settled else None
    try:
        drawn = monte_carlo(truss, covariance, draws=_DRAWS)
    except InputError as error:
        st.error(str(error))
        return
    largest = float(max(abs(drawn.lowest).max(), abs(drawn.highest).max()))
    rows: list[list[str | Cell]] = [
        [
            truss.member_name(position),
            tables.force_cell(float(drawn.lowest[position]), largest),
            tables.force_cell(float(drawn.highest[position]), largest),
        ]
        for position in range(len(truss.members))
    ]
    header = [say("forces_member"), say("cases_lowest"), say("cases_highest")]
    tables.table(say("ranges_drawn", n=_DRAWS, unit=unit), header, rows)
    if drawn.unstable:
        st.warning(say("ranges_unstable", n=drawn.unstable, of=_DRAWS))
