"""Writing: letters, numbers, units and equations in many hands, as dark-on-clear pictures."""

from __future__ import annotations

import os
from functools import cache, lru_cache
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

__all__ = ["words", "write"]

Rng = np.random.Generator
Grey = NDArray[np.uint8]
_STROKE_FONTS = (
    cv2.FONT_HERSHEY_SIMPLEX,
    cv2.FONT_HERSHEY_PLAIN,
    cv2.FONT_HERSHEY_DUPLEX,
    cv2.FONT_HERSHEY_SCRIPT_SIMPLEX,
    cv2.FONT_HERSHEY_COMPLEX_SMALL,
)
_WORDS = (
    "find all forces",
    "truss",
    "Problem 3",
    "given:",
    "solution",
    "check",
    "joint B",
    "method of joints",
    "roof",
    "Q2",
    "a)",
    "b)",
    "tension",
    "compression",
    "load",
    "not to scale",
    "section 1-1",
    "pin",
    "roller",
    "free body",
    "from above",
    "see page 4",
    "bridge",
    "all members",
    "statics",
    "week 7",
    "homework",
    "sketch",
)


@cache
def fonts() -> tuple[str, ...]:
    """Outline fonts found in the folder named by INKSTRUT_FONTS, if any."""
    folder = os.environ.get("INKSTRUT_FONTS", "")
    return (
        tuple(
            sorted(str(p) for p in Path(folder).iterdir() if p.suffix in {".ttf", ".otf", ".woff"})
        )
        if folder
        else ()
    )


@lru_cache(maxsize=256)
def _font(path: str, size: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(path, size)


def write(rng: Rng, text: str, height: float, width: float) -> Grey:
    """Write `text` about `height` pixels tall with a pen about `width` wide; ink is 255."""
    fine = 2.0
    if fonts() and rng.random() < 0.75:
        font = _font(str(rng.choice(fonts())), int(np.clip(height * fine * 1.35, 10, 90)))
        x0, y0, x1, y1 = font.getbbox(text)
        image = Image.new("L", (int(x1 - x0) + 8, int(y1 - y0) + 8), 0)
        ImageDraw.Draw(image).text((4 - x0, 4 - y0), text, fill=255, font=font)
        mask = np.array(image)
        if width > 2:
            mask = cv2.dilate(mask, np.ones((2, 2), np.uint8))
    else:
        face = int(rng.choice(_STROKE_FONTS))
        scale = height * fine / 22.0
        thick = max(1, int(width * fine * 0.8))
        (w, h), base = cv2.getTextSize(text, face, scale, thick)
        mask = np.zeros((h + base + 12, w + 12), np.uint8)
        cv2.putText(mask, text, (6, h + 4), face, scale, 255, thick, cv2.LINE_AA)
    return _wobble(rng, mask)


def _wobble(rng: Rng, mask: Grey) -> Grey:
    h, w = mask.shape
    x, y = np.meshgrid(np.arange(w, dtype=np.float32), np.arange(h, dtype=np.float32))
    amount = h * rng.uniform(0.0, 0.07)
    wave = amount * np.sin(x / h * rng.uniform(1, 4) + rng.uniform(0, 6))
    lean = rng.normal(0, 0.15) * (y - h / 2)
    squeeze = amount * np.sin(x / h * rng.uniform(2, 6) + rng.uniform(0, 6))
    warped = cv2.remap(
        mask, x + (lean + squeeze).astype(np.float32), y + wave.astype(np.float32), cv2.INTER_LINEAR
    )
    return np.asarray(warped, np.uint8)


def words(rng: Rng, kind: str) -> str:
    """Draw a text of a kind that stands on such sketches."""
    number = (
        f"{rng.integers(1, 100)}"
        if rng.random() < 0.6
        else f"{rng.uniform(0.5, 30):.{rng.integers(1, 3)}f}"
    )
    letter = str(rng.choice(list("ABCDEFGHIJKLMNOPRST")))
    if kind == "joint":
        return (
            letter
            if rng.random() < 0.8
            else f"{rng.integers(1, 20)}"
            if rng.random() < 0.6
            else f"{letter}{rng.integers(1, 9)}"
        )
    if kind == "member":
        return str(
            rng.choice(
                [
                    f"{rng.integers(1, 30)}",
                    letter.lower(),
                    number,
                    f"F{letter}{chr(ord(letter) + 1)}",
                ]
            )
        )
    if kind == "length":
        unit = rng.choice(
            ["m", " m", "", "mm", " cm", "ft", "'", '"', f"'-{rng.integers(0, 12)}\"", "a", "L"]
        )
        return f"{number}{unit}"
    if kind == "force":
        unit = rng.choice([" kN", "kN", "N", " N", "k", " kip", "lb", " kips", "", "P"])
        return "P" if rng.random() < 0.1 else "2P" if rng.random() < 0.05 else f"{number}{unit}"
    if kind == "angle":
        return (
            f"{rng.integers(10, 90)}°"
            if fonts() and rng.random() < 0.7
            else str(rng.choice(["30", "45", "60", "a"]))
        )
    if kind == "result":
        return (
            f"{number} ({rng.choice(['T', 'C'])})"
            if rng.random() < 0.7
            else f"{number}{rng.choice(['T', 'C'])}"
        )
    if kind == "reaction":
        return str(
            rng.choice(
                [
                    f"R{letter}",
                    f"{letter}y",
                    f"{letter}x",
                    f"R{rng.integers(1, 4)}",
                    f"V{letter}",
                    f"H{letter}",
                ]
            )
        )
    if kind == "equation":
        f = f"F{letter}{chr(ord(letter) + 1)}"
        return str(
            rng.choice(
                [
                    f"{f} = {number} kN",
                    "SFx = 0",
                    f"{f} + {number} = 0",
                    f"M{letter} = 0: {number}x{rng.integers(1, 9)}",
                    "2j = m + r",
                    f"{number} x 4/5 = {rng.integers(1, 50)}",
                    f"m = {rng.integers(3, 30)}",
                ]
            )
        )
    return str(rng.choice(_WORDS))
