"""The picture a job was traced from, ready to be drawn on."""

from __future__ import annotations

import base64
import binascii
import hashlib
import io
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np

from model.errors import InputError
from model.job import Job
from ui.labels import Ink

__all__ = ["Photo", "photo_of", "read_photo"]

_QUALITY = 93
#: Long side of the map of ink, and the contrast in grey levels that counts as ink.
_INK_SIDE = 720
_INK_CONTRAST = 18


@dataclass(frozen=True)
class Photo:
    """An upright picture as JPEG, with its size in pixels and the file it came from."""

    jpeg: bytes
    width: int
    height: int
    source: bytes

    @cached_property
    def ink(self) -> Ink:
        """Where the picture is written on: darker or lighter than the paper around."""
        from PIL import Image, ImageFilter

        image = Image.open(io.BytesIO(self.jpeg))
        step = max(self.width, self.height) / _INK_SIDE
        image.draft("L", (_INK_SIDE, _INK_SIDE))
        size = (max(1, round(self.width / step)), max(1, round(self.height / step)))
        grey = image.convert("L").resize(size)
        around = grey.filter(ImageFilter.BoxBlur(_INK_SIDE // 60))
        contrast = np.abs(np.asarray(grey, np.int16) - np.asarray(around, np.int16))
        return Ink(contrast > _INK_CONTRAST, step)


def read_photo(
    source: Path | bytes, *, name: str | None = None, page: int | None = None, turn: int = 0
) -> Photo:
    """Read any picture file into an upright JPEG of its full size.

    `turn` turns it further, by whole quarters in degrees clockwise.

    Raises
    ------
    InputError
        If it is not a picture that can be read.
    """
    from PIL import Image

    from vision.picture import full_size

    content = _content(source) if isinstance(source, Path) else source
    if isinstance(source, Path):
        name = name or source.name
    image = Image.fromarray(np.rot90(full_size(content, name=name, page=page), -turn // 90))
    buffer = io.BytesIO()
    image.save(buffer, "JPEG", quality=_QUALITY, subsampling=0)
    return Photo(buffer.getvalue(), image.width, image.height, content)


def _content(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        reason = error.strerror or "it cannot be opened"
        raise InputError(f"{path.name}: cannot be read ({reason}); check the path.") from error


def photo_of(job: Job, folder: Path | None = None) -> Photo | None:
    """Find a job's picture: inside the document, or by name and checksum in `folder`.

    Returns None when the job has no picture, or it is not there.

    Raises
    ------
    InputError
        If the picture inside the document is damaged.
    """
    if job.picture is None:
        return None
    if job.picture.data is not None:
        try:
            content = base64.b64decode(job.picture.data, validate=True)
        except (binascii.Error, ValueError) as error:
            raise InputError(
                f"The job's picture '{job.picture.name}' is damaged; open the job and add it again."
            ) from error
        return read_photo(content, name=job.picture.name, turn=job.picture.turn)
    path = None if folder is None else folder / Path(job.picture.name).name
    if path is None or not path.is_file():
        return None
    content = path.read_bytes()
    if hashlib.sha256(content).hexdigest() != job.picture.sha256:
        return None
    return read_photo(content, name=path.name, turn=job.picture.turn)
