"""Picture files to upright arrays: photographs, scans and PDF pages."""

from __future__ import annotations

import hashlib
import io
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
import pillow_heif
import pypdfium2
from numpy.typing import NDArray
from PIL import Image, ImageOps, UnidentifiedImageError

from model.errors import InputError

__all__ = ["LARGEST", "WORKING_SIDE", "Picture", "full_size", "load", "page_count"]

#: Most pixels that are decoded.
LARGEST = 50_000_000
#: Long side, in pixels, above which a picture is read from a reduced copy.
WORKING_SIDE = 2016
#: Shortest side that can hold a drawing.
SMALLEST = 32
#: Long side, in pixels, of a rendered PDF page.
PDF_SIDE = 2400

pillow_heif.register_heif_opener()
Image.MAX_IMAGE_PIXELS = None  # our own, lower limit is checked before anything is decoded


@dataclass(frozen=True)
class Picture:
    """An upright picture, in a copy small enough to be read quickly.

    Attributes
    ----------
    name, sha256 : str
        Name and checksum of the file it came from.
    width, height : int
        Size of the full upright picture in pixels.
    rgb : ndarray, shape (rows, columns, 3), uint8
        The picture, reduced to about `WORKING_SIDE` on its long side.
    """

    name: str
    sha256: str
    width: int
    height: int
    rgb: NDArray[np.uint8]

    @property
    def scale(self) -> NDArray[np.float64]:
        """Full pixels per pixel of `rgb`, along x and y."""
        rows, columns = self.rgb.shape[:2]
        return np.array([self.width / columns, self.height / rows])

    def to_full(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """Take points (n, 2) of `rgb` to the full picture; pixel centres are whole numbers."""
        full: NDArray[np.float64] = (np.asarray(points) + 0.5) * self.scale - 0.5
        return full


def load(source: Path | bytes, *, page: int | None = None, name: str | None = None) -> Picture:
    """Read a picture file into an upright, possibly reduced array.

    Parameters
    ----------
    source : Path or bytes
        The file (JPEG, PNG, WebP, TIFF, HEIC or PDF) or its content.
    page : int, optional
        Page of a document with several, from 1.
    name : str, optional
        Name to use in messages; the file's own by default.

    Raises
    ------
    InputError
        If the file is missing, empty, damaged, encrypted, not a picture, too
        small, over 50 megapixels, animated, or has several pages and none is named.
    """
    content, name = _content(source, name)
    image = _open(content, name, page)
    width, height = _upright_size(image, name)
    if isinstance(image, Image.Image) and image.format in ("JPEG", "MPO"):
        target = _reduced(image.size)
        image.draft("RGB", (int(target[0]), int(target[1])))
    rgb = _decode(image, content, name)
    long_side = max(rgb.shape[:2])
    if long_side > WORKING_SIDE * 1.25:
        factor = WORKING_SIDE / long_side
        size = (max(1, round(rgb.shape[1] * factor)), max(1, round(rgb.shape[0] * factor)))
        rgb = np.asarray(cv2.resize(rgb, size, interpolation=cv2.INTER_AREA), np.uint8)
    return Picture(name, hashlib.sha256(content).hexdigest(), width, height, rgb)


def full_size(
    source: Path | bytes, *, page: int | None = None, name: str | None = None
) -> NDArray[np.uint8]:
    """Read the whole upright picture, shape (height, width, 3), as `load` measures it."""
    content, name = _content(source, name)
    return _decode(_open(content, name, page), content, name)


def page_count(source: Path | bytes) -> int:
    """Count the pages of a PDF or TIFF; 1 for any other picture."""
    content, name = _content(source, None)
    if _is_pdf(content):
        document = _open_pdf(content, name)
        pages = len(document)
        document.close()
        return pages
    image = _identify(content, name)
    return _frames(image) if image.format == "TIFF" else 1


def _content(source: Path | bytes, name: str | None) -> tuple[bytes, str]:
    if isinstance(source, bytes):
        content, name = source, name or "picture"
    else:
        name = name or source.name
        try:
            content = source.read_bytes()
        except OSError as error:
            reason = error.strerror or "it cannot be opened"
            raise InputError(f"{name}: cannot be read ({reason}); check the path.") from error
    if not content:
        raise InputError(f"{name}: the file is empty; save or photograph the picture again.")
    return content, name


def _open(content: bytes, name: str, page: int | None) -> Image.Image:
    """Open a file without decoding it (a PDF page is rendered), all limits checked."""
    if _is_pdf(content):
        return _render_pdf(content, name, page)
    image = _identify(content, name)
    frames = _frames(image)
    if image.format == "TIFF":
        number = _chosen_page(frames, page, name)
        try:
            image.seek(number)
        except (OSError, EOFError, ValueError) as error:
            raise _damaged(name) from error
    elif page not in (None, 1):
        raise InputError(f"{name}: has one page only, so page {page} cannot be read.")
    elif frames > 1 and image.format not in ("MPO", "HEIF"):
        raise InputError(f"{name}: is animated; save one of its frames as a picture.")
    width, height = image.size
    if width * height > LARGEST:
        raise InputError(
            f"{name}: has {width * height / 1e6:.0f} megapixels, the most that is read is "
            f"{LARGEST / 1e6:.0f}; save a smaller copy."
        )
    if min(width, height) < SMALLEST:
        raise InputError(
            f"{name}: is only {width} by {height} pixels, too small to hold a drawing; "
            "use the original photo."
        )
    return image


def _identify(content: bytes, name: str) -> Image.Image:
    try:
        return Image.open(io.BytesIO(content))
    except UnidentifiedImageError as error:
        image = _open_deep(content)
        if image is not None:
            return image
        raise InputError(
            f"{name}: is not a picture; use JPEG, PNG, WebP, TIFF, HEIC or PDF."
        ) from error
    except (OSError, ValueError, SyntaxError, EOFError) as error:
        raise _damaged(name) from error


def _open_deep(content: bytes) -> Image.Image | None:
    """Open what Pillow does not know but OpenCV does: TIFF with 16 bits a colour."""
    if content[:4] not in (b"II*\0", b"MM\0*"):
        return None
    try:
        array = cv2.imdecode(np.frombuffer(content, np.uint8), cv2.IMREAD_UNCHANGED)
    except cv2.error:
        return None
    if array is None or array.size > 4 * LARGEST:
        return None
    eight = array if array.dtype == np.uint8 else _to_eight_bits(array)
    if eight.ndim == 2:
        return Image.fromarray(eight)
    order = cv2.COLOR_BGRA2RGBA if eight.shape[2] == 4 else cv2.COLOR_BGR2RGB
    return Image.fromarray(cv2.cvtColor(eight, order))


def _frames(image: Image.Image) -> int:
    return int(getattr(image, "n_frames", 1))


def _chosen_page(pages: int, page: int | None, name: str) -> int:
    """Index of the page to read."""
    if page is None:
        if pages > 1:
            raise InputError(
                f"{name}: has {pages} pages; say which one holds the truss (page 1 to {pages})."
            )
        return 0
    if not 1 <= page <= pages:
        raise InputError(f"{name}: has no page {page}; it has {pages}, counted from 1.")
    return page - 1


def _is_pdf(content: bytes) -> bool:
    return b"%PDF-" in content[:1024]


def _open_pdf(content: bytes, name: str) -> pypdfium2.PdfDocument:
    try:
        return pypdfium2.PdfDocument(content)
    except pypdfium2.PdfiumError as error:
        if "password" in str(error).lower():
            raise InputError(
                f"{name}: the PDF is protected by a password; save a copy without one."
            ) from error
        raise InputError(
            f"{name}: the PDF is damaged and cannot be opened; export or scan it again."
        ) from error


def _render_pdf(content: bytes, name: str, page: int | None) -> Image.Image:
    document = _open_pdf(content, name)
    try:
        number = _chosen_page(len(document), page, name)
        sheet = document[number]
        long_side = max(sheet.get_size())
        rendered = sheet.render(scale=PDF_SIDE / max(long_side, 1.0))
        image: Image.Image = rendered.to_pil().convert("RGB")
    except pypdfium2.PdfiumError as error:
        raise InputError(
            f"{name}: the PDF page cannot be shown; export or scan it again."
        ) from error
    finally:
        document.close()
    if min(image.size) < SMALLEST:
        raise InputError(f"{name}: the PDF page is too narrow to hold a drawing.")
    return image


def _upright_size(image: Image.Image, name: str) -> tuple[int, int]:
    try:
        turned = image.getexif().get(0x0112, 1) in (5, 6, 7, 8)
    except (OSError, ValueError, SyntaxError, EOFError) as error:
        raise _damaged(name) from error
    width, height = image.size
    return (height, width) if turned else (width, height)


def _reduced(size: tuple[int, int]) -> tuple[float, float]:
    """Smallest size that a JPEG may be decoded at."""
    factor = min(1.0, WORKING_SIDE * 0.75 / max(size))
    return size[0] * factor, size[1] * factor


def _decode(image: Image.Image, content: bytes, name: str) -> NDArray[np.uint8]:
    """Decode, turn upright and bring to eight bits a colour on white."""
    try:
        image.load()
        image = ImageOps.exif_transpose(image)
    except (OSError, ValueError, SyntaxError, EOFError) as error:
        raise _damaged(name) from error
    if image.mode.startswith(("I", "F")):
        return np.dstack([_to_eight_bits(np.asarray(image))] * 3)
    if "A" in image.mode or "transparency" in image.info:
        return _on_paper(np.asarray(image.convert("RGBA")))
    return np.asarray(image.convert("RGB"))


def _damaged(name: str) -> InputError:
    return InputError(f"{name}: the picture is damaged or cut short; copy or photograph it again.")


def _to_eight_bits(deep: NDArray[np.generic]) -> NDArray[np.uint8]:
    values = np.nan_to_num(deep.astype(np.float32))
    brightest = float(values.max(initial=0.0))
    if brightest > 255.0 or deep.dtype.kind == "f":
        values = values * (255.0 / max(brightest, 1e-12))
    return np.clip(values, 0, 255).astype(np.uint8)


def _on_paper(rgba: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Lay a drawing with transparent parts on paper that its ink shows on."""
    alpha = rgba[..., 3:].astype(np.float32) / 255.0
    colour = rgba[..., :3].astype(np.float32)
    inked = alpha[..., 0] > 0.5
    light_ink = bool(inked.any()) and float(colour[inked].mean()) > 200 and inked.mean() < 0.5
    paper = 0.0 if light_ink else 255.0
    return np.asarray(np.round(colour * alpha + paper * (1 - alpha)), dtype=np.uint8)
