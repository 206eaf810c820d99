"""Lengths as people write them, to millimetres and back."""

from __future__ import annotations

import math
import re
from fractions import Fraction

INCH = 25.4
"""Millimetres in one inch, exact by definition (international yard and pound agreement, 1959)."""

_UNITS = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": INCH,
    "inch": INCH,
    "inches": INCH,
    '"': INCH,
    "ft": 12 * INCH,
    "foot": 12 * INCH,
    "feet": 12 * INCH,
    "'": 12 * INCH,
}

_NUMBER = r"\d+\s+\d+/\d+|\d+/\d+|(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?"
_TERM = re.compile(rf"\s*({_NUMBER})\s*(mm|cm|m|inches|inch|in|feet|foot|ft|\"|')?\s*", re.ASCII)

ALLOWED = "a number of millimetres, or text such as '1.8 m', '450 mm', '4 in' or '5 ft 6 in'"
"""What a length may look like, for messages."""


def parse_length(text: str) -> float:
    """Return the length that `text` says, in mm.

    Parameters
    ----------
    text : str
        A number with a unit (mm, cm, m, in, ft, ' or "), or feet followed by inches. Whole
        numbers may carry a fraction, as in "3 1/2 in". Without a unit the number is millimetres.

    Returns
    -------
    float, mm

    Raises
    ------
    ValueError
        When the text is not a length.

    Examples
    --------
    >>> parse_length("1.8 m"), parse_length("5 ft 6 in"), parse_length("-3 1/2 in")
    (1800.0, 1676.4, -88.9)
    """
    body = text.strip()
    sign = 1.0
    if body[:1] in ("-", "+"):
        sign, body = (-1.0 if body[0] == "-" else 1.0), body[1:]
    terms = []
    at = 0
    while at < len(body):
        match = _TERM.match(body, at)
        if match is None:
            raise ValueError(f"{text!r} is not a length")
        terms.append((_number(match[1], text), match[2]))
        at = match.end()
    if len(terms) == 1:
        value, unit = terms[0]
        result = value * (_UNITS[unit] if unit else 1.0)
    elif len(terms) == 2 and _feet_then_inches(terms):
        result = terms[0][0] * 12 * INCH + terms[1][0] * INCH
    else:
        raise ValueError(f"{text!r} is not a length")
    if not math.isfinite(result):
        raise ValueError(f"{text!r} is not a finite length")
    return sign * round(result, 9)


def is_bare_number(text: str) -> bool:
    """Tell whether a length as text has no unit.

    >>> is_bare_number("1.05"), is_bare_number("1.05 m")
    (True, False)
    """
    return text.strip()[-1:].isdecimal() and "'" not in text and "ft" not in text


SIXTEENTHS = 16
"""Feet and inches are rounded to sixteenths of an inch."""


def in_feet_and_inches(value: float) -> tuple[int, int, Fraction]:
    """Return the whole feet, the whole inches and the part of an inch of a length (mm), no sign.

    >>> in_feet_and_inches(-1689.1)
    (5, 6, Fraction(1, 2))
    """
    feet, rest = divmod(round(abs(value) / INCH * SIXTEENTHS), 12 * SIXTEENTHS)
    inches, part = divmod(rest, SIXTEENTHS)
    return feet, inches, Fraction(part, SIXTEENTHS)


def feet_and_inches(value: float) -> str:
    r"""Return a length (mm) in feet and inches, to a sixteenth of an inch.

    >>> feet_and_inches(4594.225), feet_and_inches(22.225)
    ('15\'-0 7/8"', '7/8"')
    """
    feet, inches, part = in_feet_and_inches(value)
    sign = "-" if value < 0 and (feet or inches or part) else ""
    # after feet even no inches are written before a fraction: 4'-0 1/8"
    small = f"{inches} {part}" if part and (inches or feet) else str(part or inches)
    return f"{sign}{feet}'-{small}\"" if feet else f'{sign}{small}"'


def format_length(value: float, decimals: int = 1) -> str:
    """Return `value` (mm) as the drawings print it: no unit, no trailing zeros.

    >>> format_length(1800.0), format_length(58.333), format_length(-0.01)
    ('1800', '58.3', '0')
    """
    text = f"{value:.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _feet_then_inches(terms: list[tuple[float, str | None]]) -> bool:
    feet, inches = terms[0][1], terms[1][1]
    return feet in ("ft", "foot", "feet", "'") and inches in ("in", "inch", "inches", '"')


def _number(text: str, whole: str) -> float:
    total = Fraction(0)
    try:
        if "/" not in text:
            return float(text)
        for part in text.split():
            total += Fraction(part)
    except (ValueError, ZeroDivisionError):
        raise ValueError(f"{whole!r} is not a length") from None
    return float(total)
