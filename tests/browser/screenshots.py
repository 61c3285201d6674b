"""Take the README's pictures of every step, at the desk and on the phone.

python tests/browser/screenshots.py
"""

from __future__ import annotations

import io
from pathlib import Path

from browser_hand import DESKTOP, PHONE, Hand
from conftest import find_browser, free_port, serving
from PIL import Image
from playwright.sync_api import sync_playwright

FOLDER = Path(__file__).parents[2] / "ui" / "screenshots"
COLOURS = ("#009e73", "#d55e00", "#cc79a7", "#0072b2", "#f0c419", "#26436b")
STEPS = ("Picture", "Trace", "Measure", "Forces", "Working", "Share")


def keep(hand: Hand, name: str, width: int) -> None:
    """Keep what is on the screen as a small PNG."""
    hand.page.mouse.move(0, 0)
    hand.page.evaluate("window.scrollTo(0, 0)")
    hand.page.wait_for_timeout(3500)  # until the last announcement has faded
    with Image.open(io.BytesIO(hand.page.screenshot())) as image:
        size = (width, round(image.height * width / image.width))
        small = image.convert("RGB").resize(size, Image.Resampling.LANCZOS)
    # The colours that mean something take part in the choice of the palette by their own strip.
    strip = Image.new("RGB", (width, size[1] + 40 * len(COLOURS)))
    strip.paste(small)
    for row, colour in enumerate(COLOURS):
        strip.paste(colour, (0, size[1] + 40 * row, width, size[1] + 40 * (row + 1)))
    palette = strip.quantize(200, dither=Image.Dither.NONE)
    small.quantize(palette=palette, dither=Image.Dither.NONE).save(
        FOLDER / f"{name}.png", optimize=True
    )


def main() -> None:
    FOLDER.mkdir(exist_ok=True)
    with sync_playwright() as playwright, serving(free_port()) as address:
        browser = playwright.chromium.launch(
            executable_path=find_browser(), args=["--no-sandbox", "--disable-gpu"]
        )
        for kind, context, width in (("desk", DESKTOP, 1080), ("phone", PHONE, 390)):
            hand = Hand(browser.new_context(**context), address).open()
            for step in STEPS:
                hand.step(step)
                keep(hand, f"{kind}-{step.lower()}", width)
            hand.context.close()
        dark = Hand(browser.new_context(**DESKTOP, color_scheme="dark"), address).open()
        dark.step("Forces")
        keep(dark, "desk-forces-dark", 1080)
        browser.close()


if __name__ == "__main__":
    main()
