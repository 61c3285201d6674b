"""Starting the browser app."""

from __future__ import annotations

import os
import sys
from pathlib import Path

__all__ = ["launch"]

_FLAGS = {
    "browser.gatherUsageStats": "false",
    "client.toolbarMode": "minimal",
    "client.showErrorDetails": "none",
    "client.showErrorLinks": "false",
    # Streamlit's own welcome, and the offers to its developers that go with it.
    "logger.hideWelcomeMessage": "true",
    # No page keeps messages to be told of again by their name: under quick changes it has forgotten
    # one that the server still counts on, and is then cut off from it for good.
    "global.minCachedMessageSize": "1e15",
    "server.maxUploadSize": "80",
    "server.showEmailPrompt": "false",
    "server.fileWatcherType": "none",
    "runner.magicEnabled": "false",
    "theme.font": "system-ui, -apple-system, 'Segoe UI', Roboto, 'DejaVu Sans', sans-serif",
    "theme.baseRadius": "10px",
    "theme.light.primaryColor": "#26436b",
    "theme.light.backgroundColor": "#faf8f2",
    "theme.light.secondaryBackgroundColor": "#efece3",
    "theme.light.textColor": "#1d2a3a",
    "theme.light.borderColor": "#d9d3c5",
    "theme.dark.primaryColor": "#a9c3ea",
    "theme.dark.backgroundColor": "#14191f",
    "theme.dark.secondaryBackgroundColor": "#1f262f",
    "theme.dark.textColor": "#ecebe6",
    "theme.dark.borderColor": "#3b4552",
}


def launch(port: int | None = None, host: str = "localhost", *, open_browser: bool = True) -> None:
    """Start the app and serve it until it is stopped.

    Parameters
    ----------
    port : int, optional
        Port to serve on; the first free one from 8501 when left out.
    host : str
        Address to listen on; only this machine unless told otherwise.
    open_browser : bool
        Whether to open a browser window on the app.
    """
    # Trusses are small matrices: threads of the linear algebra only wait for each other.
    for library in ("OPENBLAS", "OMP", "MKL"):
        os.environ.setdefault(f"{library}_NUM_THREADS", "1")
    from streamlit.web import cli

    flags = {
        **_FLAGS,
        "server.address": host,
        "server.headless": "false" if open_browser else "true",
    }
    if port is not None:
        flags["server.port"] = str(port)
    script = str(Path(__file__).with_name("server.py"))
    sys.argv = ["streamlit", "run", script, *(f"--{name}={value}" for name, value in flags.items())]
    cli.main(prog_name="inkstrut")
