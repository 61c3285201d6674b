"""The overlay editor: corrections made on the picture itself.

Plain ES modules, a style sheet and a skeleton, shipped as they are. The page gets a few lines
that fetch the modules from the app's own server; no build step, no network beyond it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

__all__ = ["FOLDER", "KEY", "mount", "version"]

FOLDER = Path(__file__).parent
#: Key of the editor's state in the session.
KEY = "editor"
_START = """
const modules = import(new URL("editor/{version}/editor.js", document.baseURI).href);
const cleanups = new WeakMap();
export default function (component) {{
  const place = component.parentElement;
  modules.then(({{ mount }}) => cleanups.set(place, mount(component)));
  return () => cleanups.get(place)?.();
}}
"""


@cache
def version() -> str:
    """Checksum of the editor's files; part of their address, so that none is ever stale."""
    checksum = hashlib.sha256()
    for path in sorted(FOLDER.glob("*.*s")):
        checksum.update(path.read_bytes())
    return checksum.hexdigest()[:12]


@cache
def _component() -> Callable[..., Any]:
    import streamlit as st

    component: Callable[..., Any] = st.components.v2.component(
        "inkstrut_editor",
        html=(FOLDER / "editor.html").read_text(encoding="utf-8"),
        css=(FOLDER / "editor.css").read_text(encoding="utf-8"),
        js=_START.format(version=version()),
    )
    return component


def mount(data: dict[str, Any], **callbacks: Callable[[], None]) -> None:
    """Put the editor on the page, or send it what is new.

    A callback runs when the editor sends something of its kind, which is then
    in ``st.session_state[KEY]``: ``on_edit_change`` (a revision of the
    document), ``on_size_change`` (picture pixels in a screen pixel),
    ``on_chosen_change`` (ids of what is chosen) and ``on_wish_change``
    (anything else that it asks for).
    """
    _component()(key=KEY, data=data, **callbacks)
