"""What to write instead of a text that is no length."""

from __future__ import annotations

import difflib
import re
import unicodedata

from .typed_letters import FRACTION, PLAIN
from .units import ALLOWED, parse_length

UNITS = ("mm", "cm", "m", "in", "ft")

MEANT = {
    "metre": "m", "metres": "m", "meter": "m", "meters": "m", "mtr": "m", "mtrs": "m", "mt": "m",
    "mts": "m", "ms": "m", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm",
    "millimeters": "mm", "mms": "mm", "mil": "mm", "mill": "mm", "centimetre": "cm",
    "centimetres": "cm", "centimeter": "cm", "centimeters": "cm", "cms": "cm", "ins": "in",
    "inchs": "in", "zoll": "in", "fts": "ft", "foots": "ft", "feets": "ft", "f": "ft",
}  # fmt: skip
"""Ways to write units that are not read, and what is."""


def plain_length(text: str) -> str | None:
    """Return a length that `text` may mean, as this program reads it, or None.

    >>> plain_length("4,5 m"), plain_length("5'6"), plain_length("2½ in"), plain_length("9 mtr")
    ('4.5 m', '5 ft 6 in', '2 1/2 in', '9 m')
    >>> plain_length("a yard") is None
    True
    """
    marked = " ".join(_without_vulgar_fractions(text).translate(PLAIN).split())
    body = marked.strip(" \"'")
    if not body[-1:].isalpha() and marked[-1:] in ('"', "'"):  # in 9 m" it is a quote, in 4" inches
        body += marked[-1]
    feet = re.fullmatch(r"(\d+)\s*(?:'|ft|feet|foot)\s*-?\s*([\d ./]+?)\s*(?:\"|in|''|ins)?", body)
    if feet:
        body = f"{feet[1]} ft {feet[2]} in"
    body = re.sub(r"(?<=\d),(?=\d)", ".", body)
    body = re.sub(r"(?<=\d)\"$", " in", re.sub(r"(?<=\d)'$", " ft", body))
    body = re.sub(r"[A-Za-z]+\.?", lambda found: _unit(found[0]), body)
    body = re.sub(r"(?<=\d)-(?=\d+/)", " ", body)
    body = re.sub(r"(?<=[\d.])(?=[A-Za-z])", " ", body)
    try:
        parse_length(body)
    except ValueError:
        return None
    return body


def length_advice(text: str) -> str:
    """Return what is wrong with a text that is no length, and what to write.

    >>> length_advice("9 mtr")
    'not a length; write "9 m"'
    """
    thousand = re.fullmatch(r"\s*(\d{1,3}),(\d{3})\s*([A-Za-z]*)\s*", text)
    if thousand:
        whole, unit = thousand[1] + thousand[2], _unit(thousand[3]) or "mm"
        part = f"{float(f'{thousand[1]}.{thousand[2]}'):g} {_unit(thousand[3]) or 'm'}"
        return f'a comma, of thousands or of decimals? write "{whole} {unit}" or "{part}"'
    meant = plain_length(text)
    if meant is not None and re.search("[a-z]", meant):
        return f'not a length; write "{meant}"'
    wrong = [word for word in re.findall("[A-Za-z]+", text) if _unit(word) not in UNITS]
    if wrong and re.match(r"\s*[-+]?[\d.]", text):
        return f"'{wrong[0]}' is not a unit of length; allowed: {', '.join(UNITS)}"
    return f"not a length; allowed: {ALLOWED}"


def unit_missing(text: str) -> str:
    """Return what to write for a number in quotes, which does not say what it counts."""
    number = text.strip()
    return (
        f'{number} mm or {number} m? in quotes a length has its unit: "{number} mm" or "{number} m"'
    )


def _unit(word: str) -> str:
    """Return the unit that a word may stand for; the word itself when none is near."""
    low = word.lower().rstrip(".")
    if low in UNITS or low in ("inch", "inches", "foot", "feet"):
        return low
    if low in MEANT:
        return MEANT[low]
    near = difflib.get_close_matches(low, [*MEANT, "inches", "inch", "feet"], 1, 0.8)
    return MEANT.get(near[0], near[0]) if near else word


def _without_vulgar_fractions(text: str) -> str:
    """Return text with ½ as 1/2, a blank between it and a number before.

    >>> _without_vulgar_fractions("2½")
    '2 1/2'
    """
    out = ""
    for letter in text:
        plain = unicodedata.normalize("NFKC", letter)
        if FRACTION in plain and len(plain) > 1:
            out = out.rstrip() + (" " if out[-1:].strip()[-1:].isdigit() else "") + plain
        else:
            out += letter
    return out.replace(FRACTION, "/")
