"""Hand lettering: letters and figures as pen strokes, each written a little differently."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["letter_strokes", "text_width"]

FloatArray = NDArray[np.float64]

# Each glyph is a list of strokes; each stroke a run of digit pairs (x, y) on a
# grid with the baseline at y = 2, small letters up to 6 and capitals up to 9.
# A stroke that starts with ~ is rounded, the others keep their corners.
GLYPHS = {
    "0": "~39171432545739", "1": "173932", "2": "~183958563512 1262",
    "3": "~18395847364655533213", "4": "391464 4742", "5": "591916 ~163756544213",
    "6": "~49271413324354452614", "7": "195932", "8": "~39181736545332131436575839",
    "9": "~58391716355658 5842", "A": "023962 1454", "B": "1912 ~194958574616 ~164655534212",
    "C": "~583917143253", "D": "1912 ~193957543212", "E": "59191252 1646", "F": "591912 1646",
    "G": "~583917143253 535535", "H": "1912 5952 1656", "I": "3932", "J": "~5954423213",
    "K": "1912 591552", "L": "191252", "M": "0209356962", "N": "12195259",
    "O": "~39171432545739", "P": "1912 ~194958564515", "Q": "~39171432545739 3461",
    "R": "1912 ~194958564515 3552", "S": "~583918173654533213", "T": "0969 3932",
    "U": "~1914325459", "V": "093269", "W": "0912365269", "X": "1952 5912", "Y": "0936 693632",
    "Z": "19591252", "a": "~553615133253 5652", "b": "1912 ~153655533213", "c": "~553615133253",
    "d": "~553615133253 5952", "e": "1454 ~54553615133252", "f": "~58392722 1646",
    "g": "~553615133253 ~56513010", "h": "1912 ~14365552", "i": "3632 3938",
    "j": "~363120 3938", "k": "1912 561452", "l": "3932", "m": "0602 ~05263532 ~35566562",
    "n": "1612 ~14365552", "o": "~36151332535536", "p": "1610 ~153655533213",
    "q": "~553615133253 5650", "r": "1612 ~143656", "s": "~55361544533213",
    "t": "~38334253 1656", "u": "~16133253 5652", "v": "163256", "w": "0612355266",
    "x": "1652 5612", "y": "1632 5610", "z": "16561252", ".": "~2232332322", ",": "2311",
    "-": "1545", "=": "1656 1454", "'": "3937", '"': "2927 4947", ":": "2526 2322",
    "/": "1159", "+": "1555 3733", "(": "~49262341", ")": "~29464321", "°": "~3928374839",
    "?": "~1839574534 3322", "!": "3934 3322", "<": "571553", ">": "175513", "%": "1259 1928 5342",
}  # fmt: skip

_GRID = 7.0  # a capital's height on the grid
_NARROWING = 0.85  # width of the grid's step against its height
_GAP = 2.1  # room between letters, in steps of the grid


def _extent(letter: str) -> tuple[float, float]:
    """Left and right end of a letter on the grid."""
    across = [
        int(x) for code in GLYPHS.get(letter, "").split() for x in code.removeprefix("~")[::2]
    ]
    return (min(across), max(across)) if across else (0.0, 2.2)


def text_width(text: str, height: float) -> float:
    """Width in mm of `text` written with capitals of `height` mm."""
    steps = sum(right - left + _GAP for left, right in map(_extent, text))
    return height / _GRID * _NARROWING * max(0.0, steps - _GAP)


def _rounded(points: FloatArray) -> FloatArray:
    """Catmull-Rom curve through `points`, eight steps between neighbours."""
    padded = np.vstack([2 * points[0] - points[1], points, 2 * points[-1] - points[-2]])
    if np.allclose(points[0], points[-1]):
        padded[0], padded[-1] = points[-2], points[1]
    t = np.linspace(0, 1, 8, endpoint=False)[:, None]
    pieces = []
    for p0, p1, p2, p3 in zip(padded, padded[1:], padded[2:], padded[3:], strict=False):
        pieces.append(
            0.5
            * (
                2 * p1
                + (p2 - p0) * t
                + (2 * p0 - 5 * p1 + 4 * p2 - p3) * t**2
                + (3 * p1 - p0 - 3 * p2 + p3) * t**3
            )
        )
    return np.vstack([*pieces, points[-1:]])


def letter_strokes(
    text: str,
    start: FloatArray,
    height: float,
    rng: np.random.Generator,
    *,
    angle: float = 0.0,
    slant: float = 0.12,
    untidy: float = 0.35,
) -> list[FloatArray]:
    """Strokes of a line of hand lettering.

    Parameters
    ----------
    text : str
        What to write; letters without a glyph are left out.
    start : ndarray, shape (2,)
        Left end of the baseline in mm on the page (x right, y down).
    height : float
        Height of a capital in mm.
    rng : numpy.random.Generator
        Where the unevenness comes from.
    angle : float
        Direction of the baseline in degrees, counter-clockwise as seen.
    slant : float
        Lean of the letters, as run over rise.
    untidy : float
        How far points stray, in steps of the glyphs' own 7-step grid.

    Returns
    -------
    list of ndarray, shape (n, 2)
        One polyline in mm for each stroke.
    """
    turn = np.deg2rad(angle)
    along = np.array([np.cos(turn), -np.sin(turn)])
    up = np.array([-np.sin(turn), -np.cos(turn)])
    unit = height / _GRID
    strokes: list[FloatArray] = []
    cursor = 0.0
    for letter in text:
        size = unit * rng.uniform(0.92, 1.08)
        lift = rng.normal(0, 0.25) * unit
        left, right = _extent(letter)
        for code in GLYPHS.get(letter, "").split():
            digits = code.removeprefix("~")
            pairs = zip(digits[::2], digits[1::2], strict=True)
            grid = np.array([(int(x), int(y) - 2) for x, y in pairs], float)
            grid += rng.normal(0, untidy, grid.shape) * 0.6
            if code[0] == "~":
                grid = _rounded(grid)
            x = cursor + (grid[:, 0] - left) * size * _NARROWING + slant * grid[:, 1] * size
            y = grid[:, 1] * size + lift
            strokes.append(start + x[:, None] * along + y[:, None] * up)
        cursor += (right - left + _GAP * rng.uniform(0.8, 1.2)) * unit * _NARROWING
    return strokes
