"""Lettering with an alphabet of our own, made of strokes on a small grid."""

from __future__ import annotations

from functools import cache

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from vision.training.third.sheet import FINE, Sheet

__all__ = ["TEXTS", "print_line", "size_of", "write", "write_near"]

Points = NDArray[np.float64]

#: Most texts that a sheet bears.
TEXTS = 56

#: Strokes of each character as pairs of digits x y: the base line is y = 2, capitals reach
#: y = 8, small letters y = 6; '~' starts a round stroke, ',' parts two ways of writing it.
GLYPHS = {
    "A": "022842 1434,~02081828384842 0545", "B": "0208 ~0828473605 ~0535443202",
    "C": "~4738170513223243", "D": "0208 ~082847432202",
    "E": "48080242 0535,~4718065515 ~1503123243",
    "F": "480802 0535", "G": "~4738180704122243 4424", "H": "0208 4248 0545",
    "I": "2228,2228 1232 1838", "J": "~3833221213", "K": "0208 4805 1642", "L": "080242",
    "M": "0208244842", "N": "02084248", "O": "~281705132233453728", "P": "0208 ~082847463505",
    "Q": "~281705132233453728 3342", "R": "0208 ~082847463505 2542", "S": "~47381807153544321203",
    "T": "0848 2228", "U": "~080312324348", "V": "082248", "W": "0812263248", "X": "0842 0248",
    "Y": "082548 2522", "Z": "08480242,08480242 1535",
    "a": "~3526160503122233 3632", "b": "0802 ~0516263533221203", "c": "~3526160503122233",
    "d": "3832 ~3526160503122233", "e": "~04343526160503122233", "f": "~3828171612 0626",
    "g": "~3526160503122233 ~3631201001", "h": "0802 ~0416263532", "i": "1612 1718",
    "j": "~26211001 2728", "k": "0802 3604 1532", "l": "1812", "m": "0602 ~05162622 ~25364642",
    "n": "0602 ~0416263532", "o": "~160503122233352616", "p": "0600 ~0516263533221203",
    "q": "3630 ~3526160503122233", "r": "0602 ~04162635", "s": "~352616052433221203",
    "t": "~18132232 0636", "u": "~060312223336 3632", "v": "062246", "w": "0612243246",
    "x": "0632 0236", "y": "0613 3610", "z": "06360232",
    "0": "~281715132233353728,~281705132233453728", "1": "172822,2822",
    "2": "~07183847350212 0242,~07182847351302 0242",
    "3": "~0718384725 ~2544331203,0848251544 ~44331203", "4": "380444 3832,0804 0444 3832",
    "5": "4808 0805 ~05253544331203", "6": "~3818050312324344352504",
    "7": "084822,084822 1535", "8": "~2516071838473625 ~2514031232433425",
    "9": "~47352506071838474322", ".": "2223", ",": "2311", "-": "1535", "+": "0545 2723",
    "=": "0646 0444", "(": "~28161422", ")": "~18262412", "/": "0238", "°": "~1827160718",
    "'": "1817", '"': "1817 2827", "?": "~071838473524 2223", ":": "2223 2526",
    "Σ": "4808250242", "θ": "~281705132233453728 0545", "α": "~4622120305162642",
    "Δ": "02284202", "μ": "0600 ~060312223336 3632",
    "|": "2228", "→": "0545 364534", "*": "1636 2725",
    ";": "2311 2526", "!": "2824 2223", "_": "0242", "%": "0248 0708 4243",
}  # fmt: skip


def _round(points: Points) -> Points:
    """Round a stroke's corners off (Chaikin, twice), its ends kept."""
    for _ in range(2):
        cut = np.empty((2 * len(points) - 2, 2))
        cut[0::2] = 0.75 * points[:-1] + 0.25 * points[1:]
        cut[1::2] = 0.25 * points[:-1] + 0.75 * points[1:]
        points = np.concatenate([points[:1], cut, points[-1:]])
    return points


@cache
def _glyph(character: str, way: int, rounded: bool = False) -> tuple[tuple[Points, ...], float]:
    """Strokes of a character (y up, base line at 0, capitals 1 high) and its advance."""
    ways = GLYPHS[character].split(",") if character != "," else [GLYPHS[character]]
    strokes = []
    for code in ways[way % len(ways)].split():
        smooth = code.startswith("~")
        digits = np.array([int(d) for d in code.lstrip("~")], float).reshape(-1, 2)
        points = (digits - [0, 2]) / 6
        strokes.append(_round(points) if (smooth or rounded) and len(points) > 2 else points)
    right = max(float(s[:, 0].max()) for s in strokes)
    left = min(float(s[:, 0].min()) for s in strokes)
    return tuple(s - [left, 0] for s in strokes), right - left + 0.22


def _laid(text: str, way: int, rounded: bool = False) -> tuple[list[Points], float]:
    """Strokes of a text of height 1 from its left end on, and its length.

    An underscore lowers the letters and digits that follow, a caret raises them.
    """
    strokes: list[Points] = []
    x, small, lift = 0.0, 1.0, 0.0
    for character in text:
        if character == "_":
            small, lift = 0.62, -0.32
            continue
        if character == "^":
            small, lift = 0.6, 0.5
            continue
        if character == " ":
            x, small, lift = x + 0.5, 1.0, 0.0
            continue
        if not character.isalnum():
            small, lift = 1.0, 0.0
        glyph, advance = _glyph(character, way, rounded)
        strokes += [s * small + [x, lift] for s in glyph]
        x += advance * small
    return strokes, max(x - 0.2, 0.2)


def size_of(text: str, height: float) -> tuple[float, float]:
    """Length and height that a text takes."""
    return _laid(text, 0)[1] * height, height


def write(
    sheet: Sheet,
    text: str,
    at: ArrayLike,
    height: float,
    *,
    turn_deg: float = 0.0,
    light: bool = True,
    left: bool = False,
    wipe: bool = False,
) -> Points | None:
    """Write a text and list it; return its box, or None where it would leave the sheet.

    Parameters
    ----------
    at : (x, y)
        The text's middle, or with `left` the left end of its base line.
    turn_deg : float
        Counter-clockwise as seen.
    wipe : bool
        Clear what lies under the text first.
    """
    truth = sheet.truth
    if len(truth["texts"]) >= TEXTS:
        return None
    rng, hand = sheet.rng, sheet.hand
    strokes, length = _laid(text, _sum(text) + round(hand.slant * 90), hand.sloppy > 0.55)
    squeeze = 0.75 + 0.5 * ((round(hand.letter * 7)) % 10) / 10
    s = hand.sloppy
    start = np.array([0.0, 0.0]) if left else np.array([-0.5 * length * squeeze, -0.5])
    c, si = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    spin = np.array([[c, -si], [-si, -c]]) * height

    def placed(points: Points) -> Points:
        moved = points * [squeeze, 1.0] + start
        moved = moved + np.stack([hand.slant * points[:, 1], 0 * points[:, 1]], axis=1)
        carried: Points = moved @ spin.T + np.asarray(at, float)
        return carried

    low = min(float(p[:, 1].min()) for p in strokes)
    high = max(float(p[:, 1].max()) for p in strokes)
    box = placed(
        np.array([[0, high + 0.1], [length, high + 0.1], [length, low - 0.1], [0, low - 0.1]])
    )
    if box.min() < 1 or box.max() > sheet.side - 2:
        return None
    if wipe:
        sheet.fill(box, 0.0)
    shaky = 0.035 + 0.07 * s
    wave = rng.normal(0, shaky, (len(strokes), 2))
    drawn = [
        placed(p + w + rng.normal(0, 0.3 * shaky, p.shape))
        for p, w in zip(strokes, wave, strict=True)
    ]
    thick = 1.0 if height > 11 * sheet.unit else 0.75
    sheet.ink_all(drawn, light=light, wide=thick)
    truth["texts"].append({"text": text, "box": box.tolist()})
    return box


def _sum(text: str) -> int:
    """A number that depends on the text alone, so that one sheet writes a word one way."""
    return sum(map(ord, text)) % 2


def print_line(sheet: Sheet, text: str, at: ArrayLike, height: float) -> Points | None:
    """Print a line from the left end of its base line on, as a form does, and list it.

    The letters are those that the image library brings along.
    """
    face = cv2.FONT_HERSHEY_SIMPLEX
    (_, tall), _ = cv2.getTextSize("H", face, 1.0, 2)
    size = height * FINE / max(tall, 1)
    thick = max(1, round(2 * size))
    (long, tall), below = cv2.getTextSize(text, face, size, thick)
    x, y = (np.asarray(at, float) * FINE).astype(int)
    corners = [[x, y - tall], [x + long, y - tall], [x + long, y + below], [x, y + below]]
    box = np.array(corners, float) / FINE
    if box.min() < 1 or box.max() > sheet.side - 2 or len(sheet.truth["texts"]) >= TEXTS:
        return None
    cv2.putText(sheet.light, text, (int(x), int(y)), face, size, 230, thick, cv2.LINE_AA)
    sheet.truth["texts"].append({"text": text, "box": box.tolist()})
    return box


def write_near(
    sheet: Sheet,
    text: str,
    at: ArrayLike,
    height: float,
    toward: Points,
    reach: float,
    *,
    light: bool = True,
    crowd: float = 0.02,
) -> Points | None:
    """Write a text near a place where the sheet is free, sought first on one side."""
    rng = sheet.rng
    long, high = size_of(text, height)
    first = np.arctan2(toward[1], toward[0])
    best: tuple[float, Points] | None = None
    for step in (0.0, 0.7, -0.7, 1.4, -1.4, 2.2, -2.2, 3.1):
        a = first + step + rng.normal(0, 0.15)
        u = np.array([np.cos(a), np.sin(a)])
        far = reach + abs(u[0]) * 0.5 * long + abs(u[1]) * 0.5 * high
        middle = np.asarray(at, float) + far * u
        half = np.array([0.55 * long, 0.6 * high])
        crowding = sheet.busy(np.array([middle - half, middle + half]))
        if best is None or crowding < best[0] - 0.01:
            best = crowding, middle
        if crowding <= crowd:
            break
    if best is None or best[0] > 0.25:
        return None
    return write(sheet, text, best[1], height, light=light)
