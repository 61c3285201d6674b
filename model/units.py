"""Lengths, forces, angles and slopes as people write them."""

from __future__ import annotations

import math
import re
from functools import cache
from typing import Any

from model.errors import InputError

__all__ = ["angle", "convert", "force", "length", "measure", "slope"]

_FRACTIONS = {
    "½": " 1/2",
    "¼": " 1/4",
    "¾": " 3/4",
    "⅛": " 1/8",
    "⅜": " 3/8",
    "⅝": " 5/8",
    "⅞": " 7/8",
}
_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_MIXED = re.compile(rf"^(?:({_NUMBER})[\s-]+)?(\d+)\s*/\s*(\d+)$")
_FEET_INCHES = re.compile(
    r"^(?P<sign>-?)(?P<feet>[\d.]+)\s*(?:'|ft\.?|feet|foot)"
    r"(?:[\s-]*(?P<inches>[\d./\s-]*\d)\s*(?:\"|''|in\.?|inch|inches)?)?$"
)
_SLOPE = re.compile(rf"^\s*({_NUMBER})\s*(?::|in|/|to)\s*({_NUMBER})\s*$")
#: Words of the trade that the units library does not know, or reads as something else.
_SPELLINGS = {
    '"': "inch",
    "''": "inch",
    "'": "foot",
    "in.": "inch",
    "ft.": "foot",
    "lb": "pound_force",
    "lbs": "pound_force",
    "lbf": "pound_force",
    "kip": "kip",
    "kips": "kip",
    "k": "kip",
    "kn": "kN",
    "mn": "MN",
    "t": "metric_ton * standard_gravity",
    "kg": "kilogram * standard_gravity",
    "kgf": "kilogram * standard_gravity",
}


@cache
def _registry() -> Any:
    # Imported on first use: the units library takes a third of a second to load.
    import pint

    return pint.UnitRegistry(cache_folder=None)


def length(text: float | str, unit: str, *, entry: str = "length") -> float:
    """Read a length as a person writes it.

    Parameters
    ----------
    text : float or str
        A number in `unit`, or text such as ``2.4m``, ``12'-6"``, ``7 1/2 in``.
    unit : str
        Unit of the answer and of bare numbers, such as ``m`` or ``ft``.
    entry : str
        What the value belongs to, for the error's sentence.

    Returns
    -------
    float
        The length in `unit`.

    Raises
    ------
    InputError
        If the text is not a length.

    Examples
    --------
    >>> length("12'-6\\"", "ft")
    12.5
    >>> round(length("7 1/2 in", "mm"), 6)
    190.5
    """
    return measure(text, unit, "[length]", entry)


def force(text: float | str, unit: str, *, entry: str = "force") -> float:
    """Read a force as a person writes it: ``3 kN``, ``500 lb``, ``1.2 kip``.

    Parameters, errors and result are those of `length`, for forces; masses
    (``t``, ``kg``) are taken as their weight at standard gravity.
    """
    return measure(text, unit, "[force]", entry)


def angle(text: float | str, *, entry: str = "angle") -> float:
    """Read an angle in degrees: ``30``, ``30°``, ``30 deg``, ``0.5 rad``."""
    if isinstance(text, str):
        text = text.replace("°", " deg")
    return measure(text, "deg", "", entry)


def slope(text: str, *, entry: str = "slope") -> tuple[float, float]:
    """Read a slope as run and rise: ``4:3``, ``4 to 3``.

    Returns
    -------
    tuple of float
        Run (horizontal) and rise (vertical), in the order written.
    """
    match = _SLOPE.match(str(text))
    if match is None:
        raise InputError(f"{entry}: '{text}' is not a slope; write it as run:rise, such as 4:3.")
    run, rise = float(match[1]), float(match[2])
    if run == 0 and rise == 0:
        raise InputError(f"{entry}: a slope of 0:0 has no direction; write run:rise, such as 4:3.")
    return run, rise


def convert(value: float, unit: str, to: str) -> float:
    """Convert a value between two units of the same kind."""
    return float(_registry().Quantity(value, _pint_name(unit)).to(_pint_name(to)).magnitude)


def measure(text: float | str, unit: str, dimension: str, entry: str) -> float:
    """Read a value with an optional unit and give it in `unit`.

    `dimension` is the dimensionality the value must have, in the notation of
    the units library (``[length]``, ``[force]``, or empty for angles).
    """
    if isinstance(text, bool) or not isinstance(text, int | float | str):
        raise InputError(f"{entry}: '{text}' is not a value; give a number with its unit.")
    if not isinstance(text, str):
        return _finite(float(text), entry)
    cleaned = _clean(text)
    feet = _FEET_INCHES.match(cleaned)
    if feet is not None and dimension == "[length]":
        return _feet_inches(feet, unit, entry)
    number, name = _split(cleaned, text, unit, entry)
    value = _finite(number, entry)
    if not name:
        return value
    return _finite(_in_unit(value, name, unit, dimension, entry), entry)


def _clean(text: str) -> str:
    for mark, fraction in _FRACTIONS.items():
        text = text.replace(mark, fraction)
    for primes, plain in (("′", "'"), ("’", "'"), ("″", '"'), ("”", '"'), ("−", "-"), ("–", "-")):
        text = text.replace(primes, plain)
    # A comma with one or two digits behind it is a decimal comma; '1,000' stays ambiguous.
    return re.sub(r"(?<=\d),(?=\d{1,2}(?!\d))", ".", text).strip()


def _split(cleaned: str, text: str, unit: str, entry: str) -> tuple[float, str]:
    match = re.match(rf"^((?:{_NUMBER}[\s-]+)?\d+\s*/\s*\d+|{_NUMBER})\s*(.*)$", cleaned)
    if match is None or (match[2] and match[2][0] in ",/0123456789"):
        raise InputError(
            f"{entry}: '{text}' is not a number with a unit; write such as 2.4 {unit}."
        )
    return _fraction(match[1], entry), match[2].strip()


def _fraction(text: str, entry: str) -> float:
    match = _MIXED.match(text.strip())
    if match is None:
        return float(text)
    if int(match[3]) == 0:
        raise InputError(f"{entry}: '{text}' divides by zero; correct the fraction.")
    whole = float(match[1] or 0.0)
    part = int(match[2]) / int(match[3])
    return whole - part if whole < 0 else whole + part


def _feet_inches(match: re.Match[str], unit: str, entry: str) -> float:
    try:
        inches = _fraction(match["inches"].strip(" -"), entry) if match["inches"] else 0.0
        feet = float(match["feet"])
    except ValueError as error:
        raise InputError(f"{entry}: '{match[0]}' is not feet and inches; write 12'-6\".") from error
    total = convert(12 * feet + inches, "inch", unit)
    return _finite(-total if match["sign"] else total, entry)


def _pint_name(name: str) -> str:
    lowered = name.strip().lower()
    return _SPELLINGS.get(lowered, name.strip())


def _in_unit(value: float, name: str, unit: str, dimension: str, entry: str) -> float:
    registry = _registry()
    kind = {"[length]": "length", "[force]": "force", "": "angle"}.get(dimension, "value")
    try:
        quantity = registry.Quantity(value, registry.parse_expression(_pint_name(name)).units)
        quantity *= registry.parse_expression(_pint_name(name)).magnitude
        if dimension and not quantity.check(dimension):
            raise InputError(
                f"{entry}: '{value:g} {name}' is not a {kind}; give a {kind}, such as 3 {unit}."
            )
        return float(quantity.to(_pint_name(unit)).magnitude)
    except InputError:
        raise
    except Exception as error:  # the units library raises many kinds, all meaning the same here
        raise InputError(
            f"{entry}: the unit '{name}' is not known for a {kind}; use one such as {unit}."
        ) from error


def _finite(value: float, entry: str) -> float:
    if not math.isfinite(value):
        raise InputError(f"{entry}: the value is not a finite number; correct it.")
    return value
