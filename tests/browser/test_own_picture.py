"""From a person's own picture to forces over it; and pictures that cannot be used."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

from browser_hand import PHONE, Hand
from PIL import Image, ImageDraw

import sample_sketches

PICTURE = "slipway_gantry"
FILE = '.st-key-own_file input[type="file"]'


def bring(hand: Hand, content: bytes, name: str, where: str = FILE) -> None:
    hand.page.locator(where).set_input_files(
        {"name": name, "mimeType": "application/octet-stream", "buffer": content}
    )


def photo(name: str = PICTURE) -> bytes:
    return sample_sketches.picture_path(name).read_bytes()


def read(hand: Hand) -> None:
    """Wait until the picture has been read."""
    hand.page.get_by_role("heading", name="Is this your truss?").wait_for(timeout=30_000)
    hand.settled()


def put_right(hand: Hand) -> None:
    """Accept what was read and say the size of each load, following the one line."""
    read(hand)
    hand.focus()
    for _ in range(30):
        if not hand.page.locator(".doubtbar").is_visible():
            break
        hand.keys("a")
    for _ in range(8):
        hand.settled()
        if "type its size" not in hand.text(".missing"):
            break
        hand.page.locator(".missing").click()
        hand.write("card_size", "6 kN")
    hand.settled()


def test_from_an_own_picture_to_forces_at_the_desk(
    open_page: Callable[..., Hand], server: str
) -> None:
    hand = open_page(server)
    bring(hand, photo(), "gantry on the slip.jpg")
    put_right(hand)
    assert hand.text(".missing").startswith("Forces in kN")
    assert len(hand.labels()) > len(hand.members()) >= 9
    hand.step("Measure")
    assert "shape as drawn" in hand.text(".missing")
    hand.page.locator(".missing").click()
    hand.write("card_value", "3 m")
    hand.settled()
    assert "3 m" in str(hand.page.locator(".dimension .words").all_text_contents())


def test_from_a_phone_photo_to_forces(open_page: Callable[..., Hand], server: str) -> None:
    hand = open_page(server, **PHONE)
    bring(hand, photo(), "photo.jpg", ".bring input")
    put_right(hand)
    assert len(hand.labels()) > len(hand.members()) >= 9


def document(pages: int) -> bytes:
    """A scanned document with the sketch on its second page."""
    sheets = [Image.new("RGB", (900, 675), "white") for _ in range(pages)]
    with Image.open(io.BytesIO(photo())) as sketch:
        sheets[1] = sketch.convert("RGB")
    file = io.BytesIO()
    sheets[0].save(file, "PDF", save_all=True, append_images=sheets[1:])
    return file.getvalue()


def test_a_document_of_many_pages_asks_which(open_page: Callable[..., Hand], server: str) -> None:
    hand = open_page(server)
    bring(hand, document(40), "notes.pdf")
    hand.page.get_by_text("The document has 40 pages. Which one?").wait_for()
    assert hand.joints() == set("ABCDEFGH")
    hand.page.get_by_label("Page", exact=True).fill("2")
    hand.page.get_by_role("button", name="Read this page").click()
    read(hand)
    assert len(hand.members()) >= 9


def png(size: tuple[int, int], **kind: Any) -> bytes:
    file = io.BytesIO()
    Image.new(kind.get("mode", "L"), size, 255).save(file, "PNG")
    return file.getvalue()


def test_what_cannot_be_read_is_said_and_the_work_stays(
    open_page: Callable[..., Hand], server: str
) -> None:
    hand = open_page(server)
    for content, name in (
        (b"these are words, no picture", "words.jpg"),
        (photo()[:4000], "half.jpg"),
        (b"", "nothing.png"),
        (png((8000, 7500), mode="1"), "huge.png"),
    ):
        bring(hand, content, name)
        warning = hand.page.get_by_test_id("stAlert").filter(has_text=name.split(".")[0])
        warning.wait_for(timeout=20_000)
        assert "Traceback" not in str(warning.text_content())
        assert hand.joints() == set("ABCDEFGH"), name
        assert hand.labels(), name


def test_a_picture_without_a_truss_can_be_drawn_over(
    open_page: Callable[..., Hand], server: str
) -> None:
    page = Image.new("L", (1200, 900), 245)
    ImageDraw.Draw(page).ellipse((300, 300, 500, 460), outline=30, width=6)
    file = io.BytesIO()
    page.save(file, "PNG")
    hand = open_page(server)
    bring(hand, file.getvalue(), "blot.png")
    hand.page.get_by_test_id("stAlert").filter(has_text="truss").wait_for(timeout=20_000)
    hand.settled()
    assert hand.joints() == set()
    hand.tool("Member")
    hand.drag((300, 400), (500, 400))
    assert hand.members() == {"A-B"}
