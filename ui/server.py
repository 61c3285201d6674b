"""The app with the addresses of its own: pictures, and the editor's modules."""

from __future__ import annotations

import logging
import traceback
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import streamlit as st
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Route

from ui import shelf
from ui.editor import FOLDER
from ui.strings import say


async def _module(request: Request) -> Response:
    path = FOLDER / request.path_params["name"]
    if path.suffix != ".js" or path.parent != FOLDER or not path.is_file():
        return Response(status_code=404)
    kept = {"Cache-Control": "public, max-age=31536000, immutable"}
    return FileResponse(path, media_type="text/javascript", headers=kept)


def _failed(error: Exception) -> bool:
    """Say in a sentence that the program slipped; the log has the rest."""
    logging.getLogger("inkstrut").error("".join(traceback.format_exception(error)))
    st.error(say("slipped"))
    return True


@asynccontextmanager
async def _serving(_app: object) -> AsyncIterator[None]:
    """Say where the app is; clear the shelf when the server stops, however it is stopped."""
    host, port = st.get_option("server.address"), st.get_option("server.port")
    everywhere = host in ("0.0.0.0", "::")
    print(
        say("serving", address=f"http://{'localhost' if everywhere else host}:{port}"),
        *([say("serving_others", port=port)] if everywhere else []),
        flush=True,
    )
    yield
    shelf.clear()


app = st.App(
    Path(__file__).with_name("app.py"),
    routes=[*shelf.routes(), Route("/editor/{version}/{name}", _module)],
    on_script_error=_failed,
    lifespan=_serving,
)
