"""Values as people write them.

Conversion factors: the foot is 0.3048 m and the pound 0.45359237 kg exactly
(international yard and pound agreement, 1959); standard gravity is 9.80665 m/s2
(3rd CGPM, 1901).
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model import units
from model.errors import InputError

FOOT = 0.3048
POUND_FORCE = 0.45359237 * 9.80665


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("12'-6\"", 12.5 * FOOT),
        ("12' 6 1/2\"", (12 + 6.5 / 12) * FOOT),
        ("12 ft 6 in", 12.5 * FOOT),
        ("12ft-6in", 12.5 * FOOT),
        ("12′-6″", 12.5 * FOOT),
        ("12'", 12 * FOOT),
        ('6"', 0.5 * FOOT),
        ("7 1/2 in", 7.5 / 12 * FOOT),
        ("3/4 in", 0.75 / 12 * FOOT),
        ("½ m", 0.5),
        ("2.4m", 2.4),
        ("2,4 m", 2.4),
        ("2400 mm", 2.4),
        ("-2'-6\"", -2.5 * FOOT),
        ("3", 3.0),
        (3, 3.0),
    ],
)
def test_lengths_as_written(text: float | str, metres: float) -> None:
    assert units.length(text, "m") == pytest.approx(metres, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kilonewtons"),
    [
        ("3 kN", 3.0),
        ("5 N", 0.005),
        ("500 lb", 0.5 * POUND_FORCE),
        ("1.2 kip", 1.2 * POUND_FORCE),
        ("10 k", 10 * POUND_FORCE),
        ("2 t", 2 * 9.80665),
        ("250 kgf", 0.25 * 9.80665),
    ],
)
def test_forces_as_written(text: str, kilonewtons: float) -> None:
    assert units.force(text, "kN") == pytest.approx(kilonewtons, rel=1e-12)


def test_angles_and_slopes() -> None:
    assert units.angle("30°") == 30.0
    assert units.angle("0.5 rad") == pytest.approx(math.degrees(0.5))
    assert units.slope("4:3") == (4.0, 3.0)
    assert units.slope("1 in 2") == (1.0, 2.0)


@pytest.mark.parametrize(
    ("read", "text", "says"),
    [
        (units.length, "3 kN", "is not a length"),
        (units.force, "3 m", "is not a force"),
        (units.length, "1,000 m", "is not a number with a unit"),
        (units.length, "three", "is not a number with a unit"),
        (units.length, "3 furl", "is not known"),
        (units.length, "1/0 in", "divides by zero"),
        (units.length, float("nan"), "not a finite number"),
        (units.length, float("inf"), "not a finite number"),
        (units.length, "1e999 m", "not a finite number"),
        (units.slope, "0:0", "no direction"),
        (units.slope, "steep", "is not a slope"),
    ],
)
def test_what_cannot_be_read_is_named(read, text, says) -> None:  # type: ignore[no-untyped-def]
    args = (text,) if read is units.slope else (text, "m" if read is units.length else "kN")
    with pytest.raises(InputError, match=says) as error:
        read(*args, entry="Member AB")
    assert str(error.value).startswith("Member AB")


@given(
    st.floats(-1e6, 1e6, allow_nan=False),
    st.sampled_from(["m", "mm", "cm", "ft", "in", "yd"]),
    st.sampled_from(["m", "mm", "ft", "inch"]),
)
def test_a_length_survives_the_way_there_and_back(value: float, written: str, unit: str) -> None:
    there = units.length(f"{value!r} {written}", unit)
    assert units.convert(there, unit, written) == pytest.approx(value, rel=1e-12, abs=1e-12)
