"""Trace: put right what was misread, on the picture itself."""

from __future__ import annotations

import streamlit as st

from ui import session
from ui.strings import say


def show() -> None:
    """Show the step."""
    work = session.work()
    job = work.job
    st.subheader(say("trace_heading"))
    st.write(say("trace_text"))
    st.write(
        say(
            "trace_counts",
            joints=len(job.joints),
            members=len(job.members),
            supports=len(job.supports),
            loads=len(job.loads),
        )
    )
    if work.doubts:
        st.info(say("trace_doubts", n=len(work.doubts)))
    else:
        st.success(say("trace_no_doubts"))
    st.button(say("next_measure"), type="primary", on_click=session.show_step, args=("measure",))
