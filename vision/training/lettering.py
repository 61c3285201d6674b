"""Writing: glyphs of many hands, set along a line with a hand's unevenness."""

from __future__ import annotations

from functools import cache
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.training.hand import Points, Sheet

__all__ = ["Font", "hershey_fonts", "write"]

Rng = np.random.Generator
Mask = NDArray[Any]

#: Height in pixels of the strips in which glyphs are kept; the baseline is at 0.72 of it.
STRIP = 48

#: One hand's glyphs: some masks (STRIP high) for each character.
Font = dict[str, list[Mask]]


@cache
def hershey_fonts() -> tuple[Font, ...]:
    """Return OpenCV's own stroke fonts as glyphs."""
    fonts = []
    for face, thick in ((0, 3), (0, 5), (1, 2), (3, 2), (7, 3), (0 | 16, 3)):
        font: Font = {}
        for code in range(33, 127):
            (wide, tall), _ = cv2.getTextSize("H", face, 1.0, thick)
            scale = 0.62 * STRIP / tall
            (wide, _), _ = cv2.getTextSize(chr(code), face, scale, thick)
            mask = np.zeros((STRIP, max(wide, 4)), np.uint8)
            cv2.putText(
                mask, chr(code), (0, int(0.74 * STRIP)), face, scale, 255, thick, cv2.LINE_AA
            )
            font[chr(code)] = [mask]
        fonts.append(font)
    return tuple(fonts)


def strip(rng: Rng, font: Font, text: str) -> Mask:
    """Set a text in one line, each glyph a little off."""
    parts: list[Mask] = []
    uneven = rng.uniform(0, 1)
    for char in text:
        if char == " ":
            parts.append(np.zeros((STRIP, int(STRIP * rng.uniform(0.2, 0.45))), np.uint8))
            continue
        choices = font.get("o" if char == "°" else char)
        if not choices:
            choices = hershey_fonts()[0].get(char)
        if not choices:
            continue
        glyph = choices[int(rng.integers(len(choices)))]
        scale = 0.45 if char == "°" else 1 + uneven * rng.normal(0, 0.06)
        angle = uneven * rng.normal(0, 0.06)
        rise = uneven * rng.normal(0, 1.5) - (0.16 * STRIP if char == "°" else 0)
        wide = max(3, int(glyph.shape[1] * scale) + 3)
        warp = np.array([[scale, -angle, 1.0], [angle, scale, rise + (1 - scale) * 0.4 * STRIP]])
        parts.append(cv2.warpAffine(glyph, warp, (wide, STRIP), flags=cv2.INTER_LINEAR))
        gap = int(max(0, rng.normal(1, 1.2)))
        parts.append(np.zeros((STRIP, gap), np.uint8))
    return np.hstack(parts) if parts else np.zeros((STRIP, 4), np.uint8)


def write(
    rng: Rng, sheet: Sheet, font: Font, text: str, at: Points, height: float, dark: float,
    angle: float = 0.0, anchor: float = 0.5,
) -> Points:  # fmt: skip
    """Write a text on the sheet and return its box (4, 2).

    Parameters
    ----------
    at : ndarray, shape (2,)
        Where the middle of the line goes, `anchor` of its width from its start.
    height : float
        Of a capital, in pixels.
    angle : float
        Degrees, counter-clockwise as seen.
    """
    mask = strip(rng, font, text)
    columns = np.nonzero(mask.any(axis=0))[0]
    rows = np.nonzero(mask.any(axis=1))[0]
    if not len(columns):
        return np.repeat(at[None], 4, axis=0)
    mask = mask[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
    scale = height / (0.62 * STRIP)
    if scale < 0.5:
        shrink = max(2 * scale, 0.1)
        mask = cv2.resize(mask, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA)
        scale /= shrink
    c, s = np.cos(np.radians(angle)) * scale, np.sin(np.radians(angle)) * scale
    slant = rng.normal(0, 0.1)
    turn = np.array([[c, s + slant * c], [-s, c - slant * s]])
    h, w = mask.shape
    offset = at - turn @ np.array([w * anchor, h / 2])
    return sheet.stamp(np.asarray(mask, np.uint8), np.column_stack([turn, offset]), dark)
