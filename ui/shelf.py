"""Pictures on the server: put on a shelf by their checksum, fetched by URL, never in messages.

A picture is only found by who knows its checksum, so that sessions do not meet.
"""

from __future__ import annotations

import hashlib
import io
import re
import tempfile
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from urllib.parse import unquote

from PIL import Image
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, PlainTextResponse, Response
from starlette.routing import Route

from model.errors import InputError
from ui.strings import say

__all__ = ["Picture", "clear", "fetch", "find", "keep", "put", "routes"]

#: Long side of what the browser gets to see; the original stays for export.
_LONG_SIDE = 2000
_MOST_BYTES = 80_000_000
_MOST_PICTURES = 300
_CHECKSUM = re.compile(r"^[0-9a-f]{64}$")
_FOREVER = {"Cache-Control": "private, max-age=31536000, immutable"}


@dataclass(frozen=True)
class Picture:
    """A picture on the shelf: its name, checksum, and size in upright pixels.

    `turn` is how far a person has turned it, in degrees clockwise.
    """

    name: str
    sha256: str
    width: int
    height: int
    turn: int = 0

    def turned(self, turn: int) -> Picture:
        """Give the same picture turned that far in all."""
        size = (self.width, self.height)
        width, height = size[::-1] if (turn - self.turn) % 180 else size
        return replace(self, width=width, height=height, turn=turn)

    @property
    def original(self) -> Path:
        """File with the bytes as they came."""
        return _folder() / self.sha256

    def facts(self) -> dict[str, object]:
        """What the editor needs to show and keep the picture."""
        return {
            "name": self.name,
            "sha256": self.sha256,
            "width": self.width,
            "height": self.height,
            "turn": self.turn,
            "url": f"picture/{self.sha256}/view",
            "original": f"picture/{self.sha256}/original",
        }


@cache
def _shelf() -> tempfile.TemporaryDirectory[str]:
    return tempfile.TemporaryDirectory(prefix="inkstrut-")


def clear() -> None:
    """Take everything off the shelf, and the shelf away."""
    _shelf().cleanup()


def _folder() -> Path:
    return Path(_shelf().name)


def put(content: bytes, name: str) -> Picture:
    """Put a picture on the shelf.

    Raises
    ------
    InputError
        If it is not a picture that can be read.
    """
    from vision.picture import full_size

    checksum = hashlib.sha256(content).hexdigest()
    there = find(checksum, name)
    if there is not None:
        return there
    image = Image.fromarray(full_size(content, name=name))
    picture = Picture(name, checksum, *image.size)
    image.thumbnail((_LONG_SIDE, _LONG_SIDE))
    view = io.BytesIO()
    image.save(view, "JPEG", quality=86)
    picture.original.write_bytes(content)
    (_folder() / f"{checksum}.jpg").write_bytes(view.getvalue())
    (_folder() / f"{checksum}.size").write_text(f"{picture.width} {picture.height}")
    _tidy()
    return picture


def keep(content: bytes) -> str:
    """Keep a file that is still to be looked into; its checksum is how to `fetch` it."""
    checksum = hashlib.sha256(content).hexdigest()
    (_folder() / checksum).write_bytes(content)
    return checksum


def fetch(checksum: str) -> bytes | None:
    """Give the bytes of a file on the shelf, if it is still there."""
    path = _folder() / checksum
    return path.read_bytes() if _CHECKSUM.match(checksum) and path.exists() else None


def find(checksum: str, name: str) -> Picture | None:
    """Find a picture by its checksum, if it is on the shelf."""
    size = _folder() / f"{checksum}.size"
    if not _CHECKSUM.match(checksum) or not size.exists():
        return None
    width, height = map(int, size.read_text().split())
    return Picture(name, checksum, width, height)


def _tidy() -> None:
    """Take the oldest pictures off a full shelf."""
    sizes = sorted(_folder().glob("*.size"), key=lambda path: path.stat().st_mtime)
    for size in sizes[:-_MOST_PICTURES]:
        for path in (size, size.with_suffix(".jpg"), size.with_suffix("")):
            path.unlink(missing_ok=True)
    loose = [path for path in _folder().glob("*") if not path.suffix]
    for path in sorted(loose, key=lambda path: path.stat().st_mtime)[: -2 * _MOST_PICTURES]:
        path.unlink(missing_ok=True)


async def _get(request: Request) -> Response:
    checksum, which = request.path_params["checksum"], request.path_params["which"]
    if find(checksum, "") is None or which not in ("view", "original"):
        return Response(status_code=404)
    if which == "view":
        return FileResponse(
            _folder() / f"{checksum}.jpg", media_type="image/jpeg", headers=_FOREVER
        )
    # Whatever was brought is never shown as a page of this server.
    return FileResponse(
        _folder() / checksum,
        media_type="application/octet-stream",
        headers={**_FOREVER, "X-Content-Type-Options": "nosniff"},
    )


async def _post(request: Request) -> Response:
    """Take a file from the browser: a picture to be read, or one that it has kept."""
    origin = request.headers.get("origin", "")
    if origin.split("://")[-1] != request.headers.get("host"):
        return Response(status_code=403)
    content = bytearray()
    async for part in request.stream():
        content += part
        if len(content) > _MOST_BYTES:
            return PlainTextResponse(say("picture_large"), status_code=413)
    name = unquote(request.headers.get("x-picture-name", "picture"))[:200]
    if request.query_params.get("back"):
        try:
            await run_in_threadpool(put, bytes(content), name)
        except InputError as error:
            return PlainTextResponse(str(error), status_code=422)
    return JSONResponse({"sha256": keep(bytes(content)), "name": name})


def routes() -> list[Route]:
    """Give the server's routes for pictures."""
    return [
        Route("/picture/{checksum}/{which}", _get, methods=["GET", "HEAD"]),
        Route("/picture", _post, methods=["POST"]),
    ]
