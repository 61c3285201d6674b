"""Share: what a person takes along."""

from __future__ import annotations

import base64

import streamlit as st

from ui import session
from ui.strings import say


def show() -> None:
    """Show the step."""
    st.subheader(say("share_heading"))
    st.write(say("share_job_note"))
    st.download_button(
        say("share_job"), _saved(), file_name=_name(), mime="application/json", on_click="ignore"
    )


def _saved() -> str:
    """Give the job document with its picture inside."""
    work = session.work()
    job = work.job
    if work.picture is not None and job.picture is not None:
        data = base64.b64encode(work.picture.original.read_bytes()).decode()
        job = job.model_copy(update={"picture": job.picture.model_copy(update={"data": data})})
    return job.model_dump_json(indent=1)


def _name() -> str:
    title = session.work().job.title or say("title")
    kept = "".join(letter if letter.isalnum() else "-" for letter in title.lower())
    return f"{'-'.join(part for part in kept.split('-') if part)[:60]}.json"
