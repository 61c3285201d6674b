"""Picture files: what is read, how it is turned, and one sentence for each that cannot be."""

import io
from pathlib import Path

import cv2
import numpy as np
import pillow_heif
import pytest
from PIL import Image
from reportlab.lib.pdfencrypt import StandardEncryption
from reportlab.pdfgen.canvas import Canvas

from model.errors import InputError
from vision import picture

WIDTH, HEIGHT = 160, 100


def _marked() -> Image.Image:
    """White, with a black square in the top left corner."""
    pixels = np.full((HEIGHT, WIDTH, 3), 255, np.uint8)
    pixels[:30, :30] = 0
    return Image.fromarray(pixels)


def _saved(image: Image.Image, form: str, **options: object) -> bytes:
    content = io.BytesIO()
    image.save(content, form, **options)
    return content.getvalue()


def _pdf(pages: int, **options: object) -> bytes:
    content = io.BytesIO()
    canvas = Canvas(content, pagesize=(WIDTH, HEIGHT), **options)
    for _ in range(pages):
        canvas.rect(0, HEIGHT - 30, 30, 30, fill=1)
        canvas.showPage()
    canvas.save()
    return content.getvalue()


def _corner_is_dark(content: bytes, **options: object) -> bool:
    read = picture.load(content, **options)
    rows, columns = read.rgb.shape[:2]
    dark = read.rgb[: rows // 6, : columns // 8].mean() < 40
    return bool(dark and read.rgb[rows // 2 :, columns // 2 :].mean() > 200)


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP", "TIFF", "BMP"])
def test_formats_are_read(form):
    assert _corner_is_dark(_saved(_marked(), form))


def test_heic_is_read():
    content = io.BytesIO()
    pillow_heif.from_pillow(_marked()).save(content, quality=95)
    assert _corner_is_dark(content.getvalue())


def test_pdf_page_is_read_and_counted():
    assert _corner_is_dark(_pdf(1))
    assert _corner_is_dark(_pdf(3), page=2)
    assert picture.page_count(_pdf(3)) == 3
    assert picture.page_count(_saved(_marked(), "PNG")) == 1


def test_exif_turn_is_applied():
    turned = Image.fromarray(np.rot90(np.asarray(_marked()), 1))  # lies on its left side
    exif = Image.Exif()
    exif[0x0112] = 6  # to be shown turned clockwise by a quarter
    content = _saved(turned, "JPEG", exif=exif.tobytes())
    read = picture.load(content)
    assert (read.width, read.height) == (WIDTH, HEIGHT)
    assert _corner_is_dark(content)
    assert picture.full_size(content).shape == (HEIGHT, WIDTH, 3)


@pytest.mark.parametrize("mode", ["L", "1", "P", "CMYK", "RGBA", "LA"])
def test_colour_modes_are_read(mode):
    form = "JPEG" if mode == "CMYK" else "PNG"
    assert _corner_is_dark(_saved(_marked().convert(mode), form))


@pytest.mark.parametrize("shape", [(HEIGHT, WIDTH), (HEIGHT, WIDTH, 3)])
@pytest.mark.parametrize("form", [".png", ".tiff"])
def test_sixteen_bits_are_read(shape, form):
    deep = np.full(shape, 65535, np.uint16)
    deep[:30, :30] = 0
    assert _corner_is_dark(cv2.imencode(form, deep)[1].tobytes())


def test_transparent_drawing_is_laid_on_paper_that_shows_it():
    strokes = np.zeros((HEIGHT, WIDTH, 4), np.uint8)
    strokes[:30, :30] = (255, 255, 255, 255)
    read = picture.load(_saved(Image.fromarray(strokes), "PNG"))
    assert read.rgb[5, 5].mean() > 200
    assert read.rgb[-5, -5].mean() < 50


def test_large_picture_is_reduced_and_its_size_kept():
    large = Image.fromarray(np.full((3024, 4032), 255, np.uint8))
    for form in ("JPEG", "PNG"):
        read = picture.load(_saved(large, form))
        assert (read.width, read.height) == (4032, 3024)
        assert max(read.rgb.shape) <= 1.25 * picture.WORKING_SIDE
        corner = read.to_full(np.array([[read.rgb.shape[1] - 0.5, read.rgb.shape[0] - 0.5]]))
        assert corner == pytest.approx(np.array([[4031.5, 3023.5]]))


def test_multi_page_tiff_asks_which():
    content = _saved(_marked(), "TIFF", save_all=True, append_images=[_marked()])
    assert picture.page_count(content) == 2
    assert _corner_is_dark(content, page=2)
    with pytest.raises(InputError, match="page 1 to 2"):
        picture.load(content)


def _fails(content: bytes, words: str, **options: object) -> None:
    with pytest.raises(InputError, match=words) as caught:
        picture.load(content, name="sketch", **options)
    message = str(caught.value)
    assert message.startswith("sketch: ")
    assert "\n" not in message
    assert message.endswith(".")


def test_empty_file():
    _fails(b"", "empty")


def test_text_named_as_a_picture(tmp_path):
    path = tmp_path / "notes.jpg"
    path.write_text("two loads of 3 kN")
    with pytest.raises(InputError, match=r"notes\.jpg: is not a picture"):
        picture.load(path)


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP", "TIFF"])
@pytest.mark.parametrize("share", [0.03, 0.3, 0.7])
def test_truncated_file(form, share):
    noise = np.random.default_rng(0).integers(0, 255, (200, 200, 3), dtype=np.uint8)
    content = _saved(Image.fromarray(noise), form)
    _fails(content[: int(len(content) * share)], "damaged|not a picture")


def test_tiny_picture():
    _fails(_saved(Image.new("RGB", (1, 1)), "PNG"), "1 by 1 pixels")


def test_too_large_a_picture_is_refused_undecoded():
    header = _saved(Image.new("1", (10_000, 6_000)), "PNG")
    _fails(header, "60 megapixels")


def test_animated_picture():
    frames = [Image.new("RGB", (64, 64), colour) for colour in ("red", "blue")]
    _fails(_saved(frames[0], "WEBP", save_all=True, append_images=frames[1:]), "animated")
    _fails(_saved(frames[0], "GIF", save_all=True, append_images=frames[1:]), "animated")


def test_pdf_with_many_pages_asks_which():
    _fails(_pdf(3), "has 3 pages; say which")
    _fails(_pdf(3), "no page 4", page=4)
    _fails(_saved(_marked(), "PNG"), "one page only", page=2)


def test_encrypted_and_damaged_pdf():
    _fails(_pdf(1, encrypt=StandardEncryption("secret")), "password")
    _fails(b"%PDF-1.7\nnothing follows", "damaged")
    _fails(_pdf(1)[:200], "damaged")


def test_missing_file():
    with pytest.raises(InputError, match=r"nowhere\.png: cannot be read"):
        picture.load(Path("nowhere.png"))
