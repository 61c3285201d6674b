"""Forces: member forces and reactions in tables, beside the picture that shows them."""

from __future__ import annotations

import streamlit as st

from model.result import CAUTION
from ui import live, session
from ui.numbers import is_zero, number
from ui.strings import say


def show() -> None:
    """Show the step."""
    job = session.work().job
    st.subheader(say("forces_heading"))
    solution = live.answer(job).solution
    if solution is None or solution.forces is None:
        st.info(say("forces_none"))
        return
    unit = job.units.force
    truss, largest = solution.truss, float(abs(solution.forces).max(initial=0.0))
    st.table(
        [
            {
                say("forces_member"): truss.member_name(position),
                say("forces_force", unit=unit): number(abs(force)),
                say("forces_sense"): _sense(force, largest),
            }
            for position, force in enumerate(solution.forces.tolist())
        ]
    )
    st.markdown(f"**{say('forces_reactions', unit=unit)}**")
    st.table(
        [
            {say("forces_joint"): joint, "x": number(x), "y": number(y)}
            for joint, (x, y) in solution.reaction_at.items()
        ]
    )
    st.caption(CAUTION)


def _sense(force: float, largest: float) -> str:
    if is_zero(force, largest):
        return say("no_force")
    return f"T, {say('tension')}" if force > 0 else f"C, {say('compression')}"
