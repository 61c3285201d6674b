"""Numbers as they are written beside a figure."""

from __future__ import annotations

import math

from ui.strings import say

__all__ = ["force_text", "is_zero", "number", "range_text", "slope_text"]

#: A force this small against the largest is no force.
ZERO = 1e-9


def number(value: float, digits: int = 4) -> str:
    """Write a value with so many significant digits, without an exponent or idle zeros.

    Examples
    --------
    >>> number(14.142136), number(-0.5), number(12000.0), number(1e-13)
    ('14.14', '−0.5', '12000', '0')
    """
    if abs(value) < 1e-12:
        return "0"
    decimals = min(12, max(0, digits - 1 - math.floor(math.log10(abs(value)))))
    text = f"{abs(value):.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return f"−{text}" if value < 0 and text != "0" else text


def is_zero(force: float, largest: float) -> bool:
    """Whether a force is none, against the largest at hand."""
    return abs(force) <= ZERO * max(largest, 1e-300)


def force_text(force: float, largest: float) -> str:
    """Write a member's force as size and sense: ``14.14 (C)``, ``10 (T)``, ``0``."""
    if is_zero(force, largest):
        return "0"
    return f"{number(abs(force))} ({'T' if force > 0 else 'C'})"


def range_text(low: float, high: float) -> str:
    """Write the range of a member's force by size, with the senses where they differ.

    Examples
    --------
    >>> range_text(-15.7, -14.3), range_text(-0.5, 1.25)
    ('14.3 to 15.7', '0.5 (C) to 1.25 (T)')
    """
    if low < 0 < high:
        return f"{number(-low, 3)} (C) to {number(high, 3)} (T)"
    least, most = sorted((abs(low), abs(high)))
    return f"{number(least, 3)} to {number(most, 3)}"


def slope_text(run: float, rise: float) -> str:
    """Write run and rise as the drawing of a slope would, in small whole numbers where they fit."""
    if rise < 1e-9 * max(run, rise):
        return say("slope_level")
    if run < 1e-9 * max(run, rise):
        return say("slope_plumb")
    for least in range(1, 13):
        other = max(run, rise) / min(run, rise) * least
        if abs(other - round(other)) < 1e-6:
            pair = (least, round(other))
            return "{} : {}".format(*(pair if run <= rise else pair[::-1]))
    if run <= rise:
        return f"1 : {number(rise / run, 3)}"
    return f"{number(run / rise, 3)} : 1"
