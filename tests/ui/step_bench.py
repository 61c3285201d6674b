"""A step of the app by itself, without a browser."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from streamlit.testing.v1 import AppTest

from model.job import Job
from ui.session import Work

SCRIPT = """
import json
from importlib import import_module
import streamlit as st
from model.job import Job
from ui import session
if "begun" not in st.session_state:
    st.session_state["begun"] = True
    if st.session_state["begin_job"]:
        session.take_up(Job.model_validate_json(st.session_state["begin_job"]), None)
    else:
        session.open_sample(st.session_state["begin_sample"])
import_module("ui.steps." + st.session_state["begin_step"]).show()
"""


class Bench:
    """A running step, and the job it works on."""

    def __init__(self, step: str, begin: str | Job, **state: Any) -> None:
        self.app = AppTest.from_string(SCRIPT, default_timeout=60)
        whole = begin.model_dump_json() if isinstance(begin, Job) else ""
        given = {"begin_step": step, "begin_job": whole, "begin_sample": begin, **state}
        for name, value in given.items():
            self.app.session_state[name] = value
        self.run()

    def run(self) -> Bench:
        return self.send(self.held())

    def undo(self, job: Job) -> Bench:
        """Bring back an earlier job, as the editor does; the page does not show it yet."""
        work: Work = self.app.session_state["work"]
        self.app.session_state["work"] = replace(work, job=job)
        return self

    def held(self) -> Any:
        """What the browser holds of fields and switches, and sends with everything it sends."""
        return self.app._tree.get_widget_states()

    def send(self, held: Any) -> Bench:
        """Send what the browser held at some time, whether or not it has heard of more since."""
        self.app._run(held)
        assert [e.message for e in self.app.exception] == []
        return self

    @property
    def job(self) -> Job:
        work: Work = self.app.session_state["work"]
        return work.job

    def type(self, label: str, text: str) -> Bench:
        self.field(label).set_value(text)
        return self.run()

    def field(self, label: str) -> Any:
        (found,) = [field for field in self.app.text_input if field.label == label]
        return found

    def press(self, label: str) -> Bench:
        next(button for button in self.app.button if button.label == label).click()
        return self.run()

    def switch(self, label: str) -> Bench:
        (toggle,) = [toggle for toggle in self.app.toggle if toggle.label == label]
        toggle.set_value(not toggle.value)
        return self.run()

    def said(self) -> str:
        """Everything that the step says in boxes, tables and text."""
        app = self.app
        parts = [e.value for e in (*app.error, *app.warning, *app.info, *app.success)]
        parts += [e.value for e in (*app.markdown, *app.caption, *app.code)]
        parts += [str(e.proto.body) for e in app.get("html")]
        return "\n".join(parts)
