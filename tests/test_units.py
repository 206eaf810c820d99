from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from palewright.model.basis.units import INCH, format_length, parse_length


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("450", 450.0),
        ("450 mm", 450.0),
        ("450mm", 450.0),
        ("1.8 m", 1800.0),
        ("1.8e3 mm", 1800.0),
        ("12 cm", 120.0),
        ("4 in", 101.6),
        ('4"', 101.6),
        ("1/2 in", 12.7),
        ("3 1/2 in", 88.9),
        ("5 ft 6 in", 1676.4),
        ("5'6\"", 1676.4),
        ("5' 6 1/2\"", 1689.1),
        ("6 feet", 1828.8),
        ("-1.5 m", -1500.0),
        (".5 m", 500.0),
    ],
)
def test_lengths_people_write(text: str, mm: float) -> None:
    assert parse_length(text) == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "m",
        "1.8 km",
        "two",
        "1 m 20 mm",
        "5 in 6 ft",
        "1/0 in",
        "1,8 m",
        "nan",
        "1e999 m",
        "--5",
    ],
)
def test_what_is_no_length_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="length"):
        parse_length(text)


@given(st.integers(0, 5000), st.integers(0, 11), st.integers(0, 15))
def test_feet_inches_and_sixteenths_are_exact(feet: int, inches: int, parts: int) -> None:
    exact = (12 * feet + inches + Fraction(parts, 16)) * Fraction("25.4")
    assert parse_length(f"{feet} ft {inches} {parts}/16 in") == pytest.approx(float(exact))
    assert INCH == 25.4


@given(st.floats(-1e7, 1e7))
def test_formatting_keeps_the_value_to_its_decimals(value: float) -> None:
    assert parse_length(format_length(value, 3)) == pytest.approx(value, abs=5.0001e-4)
