"""Slips of reading and writing: what else a written dimension may have been."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise
from typing import Literal, NamedTuple

__all__ = ["Reading", "Reason", "readings"]

Reason = Literal[
    "decimal point",
    "digit",
    "digits swapped",
    "unit",
    "feet and inches",
    "run and rise",
    "from plumb",
    "other value",
]

#: How likely each slip is beside the others; for ranking only.
_DECIMAL, _ALIKE, _DIGIT, _SWAP, _UNIT, _EXCHANGED = 1.0, 0.5, 0.1, 0.5, 0.7, 0.7
#: Digits that are taken for each other in handwriting.
_LOOK_ALIKE = {"0": "689", "1": "7", "2": "7", "3": "8", "4": "9", "5": "6", "6": "05", "7": "12",
               "8": "30", "9": "40"}  # fmt: skip
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?|[.,]\d+")
_FEET_INCHES = re.compile(
    r"^\s*(\d+)\s*('|′|’|ft\.?|feet)\s*(-?)\s*(\d+)\s*(\"|″|”|''|in\.?|inch|inches)?\s*$"
)
_UNITS = ("m", "cm", "mm", "ft", "in")
_SIGNS = {"'": "ft", "′": "ft", "’": "ft", '"': "in", "″": "in", "”": "in", "''": "in",
          "feet": "ft", "inch": "in", "inches": "in", "ft.": "ft", "in.": "in"}  # fmt: skip


class Reading(NamedTuple):
    """Another text that may have been meant, why, and how likely (0 to 1)."""

    text: str
    reason: Reason
    likely: float


def readings(text: str, kind: str, unit: str) -> list[Reading]:
    """List what else a dimension's text may have been.

    Parameters
    ----------
    text : str
        As written, such as ``12 m``.
    kind : str
        Kind of the dimension.
    unit : str
        Length unit of bare numbers.

    Returns
    -------
    list of Reading
        Without the text itself; several may read alike.

    Examples
    --------
    >>> [r.text for r in readings("12", "angle", "m") if r.reason == "digits swapped"]
    ['21']
    """
    found = list(_of_numbers(text))
    if kind in ("length", "horizontal", "vertical", "x", "y", "bays", "equal"):
        found += _of_units(text, unit)
        match = _FEET_INCHES.match(text)
        if match:
            feet, foot, dash, inches, inch = match.groups(default="")
            found.append(
                Reading(f"{inches}{foot}{dash}{feet}{inch}", "feet and inches", _EXCHANGED)
            )
    if kind == "slope":
        parts = re.split(r"(\s*(?::|/|in|to)\s*)", text.strip(), maxsplit=1)
        if len(parts) == 3:
            found.append(Reading(parts[2] + parts[1] + parts[0], "run and rise", _EXCHANGED))
    if kind == "angle":
        found += _from_plumb(text)
    return [reading for reading in found if reading.text != text]


def _of_numbers(text: str) -> Iterator[Reading]:
    for match in _NUMBER.finditer(text):
        before, number, after = (
            text[: match.start()],
            match[0].replace(",", "."),
            text[match.end() :],
        )
        for reading in _of_number(number):
            yield Reading(before + reading.text + after, reading.reason, reading.likely)


def _of_number(number: str) -> Iterator[Reading]:
    digits = number.replace(".", "")
    for at in range(-1, len(digits) + 2):
        moved = _with_point(digits, at)
        if float(moved) != float(number):
            near = abs(at - (number.find(".") if "." in number else len(digits)))
            yield Reading(moved, "decimal point", _DECIMAL / near if near else _DECIMAL)
    for at, digit in enumerate(number):
        if digit == ".":
            continue
        for other in "0123456789":
            changed = number[:at] + other + number[at + 1 :]
            if other != digit and float(changed) > 0:
                likely = _ALIKE if other in _LOOK_ALIKE[digit] else _DIGIT
                yield Reading(changed, "digit", likely)
    places = [at for at, digit in enumerate(number) if digit != "."]
    for first, second in pairwise(places):
        if number[first] != number[second]:
            swapped = list(number)
            swapped[first], swapped[second] = number[second], number[first]
            yield Reading("".join(swapped), "digits swapped", _SWAP)


def _with_point(digits: str, at: int) -> str:
    """Put the decimal point after `at` digits, adding noughts where it lies outside."""
    if at <= 0:
        return f"0.{'0' * -at}{digits}"
    padded = digits.ljust(at, "0")
    whole, part = padded[:at].lstrip("0") or "0", padded[at:].rstrip("0")
    return f"{whole}.{part}" if part else whole


def _of_units(text: str, unit: str) -> Iterator[Reading]:
    match = re.match(r"^(.*?\d)\s*([^\d\s=@]*)\s*$", text.strip())
    if match is None or _FEET_INCHES.match(text):
        return
    written = _SIGNS.get(match[2], match[2] or unit)
    for other in _UNITS:
        if other != written:
            yield Reading(f"{match[1]} {other}", "unit", _UNIT)


def _from_plumb(text: str) -> Iterator[Reading]:
    match = re.match(r"^\s*(\d+(?:\.\d+)?)\s*(°|deg)?\s*$", text)
    if match and 0 < float(match[1]) < 90:
        yield Reading(f"{90 - float(match[1]):g}{match[2] or ''}", "from plumb", _EXCHANGED)
