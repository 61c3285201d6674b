"""Working: how the forces come about, joint by joint, as a person would write it."""

from __future__ import annotations

import streamlit as st

from model.result import CAUTION
from solver.joints import joint_by_joint, sentences
from ui import live, session
from ui.strings import say


def show() -> None:
    """Show the step."""
    st.subheader(say("working_heading"))
    solution = live.answer(session.work().job).solution
    if solution is None or solution.forces is None:
        st.info(say("working_none"))
        return
    worked = joint_by_joint(solution.truss)
    for step in (*worked.steps, *worked.checks):
        with st.container(border=True):
            for sentence in sentences(step):
                st.write(sentence)
    st.caption(CAUTION)
