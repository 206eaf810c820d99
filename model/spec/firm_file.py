"""Reading a firm's own file, with the logo and the fonts that it names."""

from __future__ import annotations

import hashlib
import io
import struct
from dataclasses import dataclass, field
from pathlib import Path

from pydantic import ValidationError

from palewright.model.basis.errors import Problem, SpecError
from palewright.model.basis.source_files import (
    SourceFileError,
    read_source,
    text_of,
    toml_tables,
)
from palewright.model.basis.toml_lines import key_lines, value_at

from .firm_keys import FirmKeys
from .svg_logo import SvgDrawing, SvgError, read_svg

LARGEST_FIRM, LARGEST_PART = 100_000, 8_000_000
"""Bytes of the file, and of each file that it names."""

MOST_PIXELS = 25_000_000
"""Of a logo."""

NEEDED = "AZaz09.,:()"
"""Letters that a font must have to be one for text."""

SAID = {
    "missing": "must be given",
    "string_pattern_mismatch": "must be a colour as #22302a: # and six of 0-9 and a-f",
    "string_type": "must be text in quotes",
    "tuple_type": 'must be a list of texts, as ["one", "two"]',
    "string_too_long": "must have at most {max_length} letters",
    "string_too_short": "must not be empty",
    "too_long": "must have at most {max_length} entries",
    "greater_than_equal": "must be {ge:g} or more",
    "less_than_equal": "must be {le:g} or less",
    "int_type": "must be a whole number",
    "int_from_float": "must be a whole number",
    "int_parsing": "must be a whole number",
    "float_type": "must be a number",
    "float_parsing": "must be a number",
}
"""What is wrong, by pydantic's word for it."""


@dataclass(frozen=True)
class FirmPart:
    """A file that a firm's file names. digest : stands for the bytes where the value is shown."""

    name: str
    data: bytes = field(repr=False)
    digest: str


@dataclass(frozen=True)
class FirmLogo:
    """A logo. width, height : pixels, or units of an SVG; drawing : of an SVG, else None."""

    part: FirmPart
    width: float
    height: float
    drawing: SvgDrawing | None = field(default=None, repr=False)


@dataclass(frozen=True)
class Firm:
    """A firm: what it says of itself, its logo and fonts; file : name of
    that which it stands in.
    """

    told: FirmKeys
    file: str
    logo: FirmLogo | None = None
    font: FirmPart | None = None
    bold: FirmPart | None = None


def read_firm(path: Path) -> Firm:
    """Return what a firm's file holds, with its logo and fonts.

    Raises
    ------
    SpecError
        With every mistake in the file: its line, the key, what stands there and what is allowed.
    """
    try:
        text = text_of(read_source(path, LARGEST_FIRM))
        raw = toml_tables(text)
    except SourceFileError as error:
        raise error.of(str(path)) from None
    lines = key_lines(text)
    try:
        told = FirmKeys.model_validate(raw)
    except ValidationError as error:
        problems = []
        for detail in error.errors():
            where = tuple(detail["loc"])
            shown = None if detail["type"] == "missing" else _shown(value_at(raw, where))
            message = _said(detail["type"], detail.get("ctx", {}), detail["msg"])
            line = lines.get(where) or lines.get(where[:1])
            problems.append(Problem(where, message, shown, line))
        raise SpecError(str(path), tuple(problems)) from None
    problems = []
    parts: dict[str, FirmPart] = {}
    logo = None
    for key in ("logo", "font", "bold"):
        name = getattr(told, key)
        if not name:
            continue
        try:
            parts[key] = _part(path.parent / name, name)
            if key == "logo":
                logo = _logo(parts[key])
            else:
                _check_font(parts[key])
        except (SourceFileError, SvgError, ValueError) as error:
            problems.append(Problem((key,), f"{name}: {error}", line=lines.get((key,))))
    if problems:
        raise SpecError(str(path), tuple(problems))
    return Firm(told, path.name, logo, parts.get("font"), parts.get("bold"))


def _said(kind: str, context: dict[str, object], own: str) -> str:
    if kind == "extra_forbidden":
        return f"unknown key; allowed here: {', '.join(sorted(FirmKeys.model_fields))}"
    return SAID[kind].format(**context) if kind in SAID else own[:1].lower() + own[1:]


def _shown(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 60 else f"{text[:60]}..."


def _part(path: Path, name: str) -> FirmPart:
    data = read_source(path, LARGEST_PART)
    return FirmPart(name, data, hashlib.sha256(data).hexdigest())


def _logo(part: FirmPart) -> FirmLogo:
    """Return a logo. Raises ValueError or SvgError where it is none."""
    if part.name.lower().endswith(".svg"):
        drawing = read_svg(part.data)
        return FirmLogo(part, drawing.width, drawing.height, drawing)
    from PIL import Image

    try:
        with Image.open(io.BytesIO(part.data), formats=("PNG", "JPEG")) as image:
            wide, high = image.size
            if wide * high > MOST_PIXELS:
                raise ValueError(f"has {wide} x {high} pixels; at most {MOST_PIXELS} are allowed")
            image.load()
    except (OSError, SyntaxError, Image.DecompressionBombError):
        raise ValueError("is no picture that can be read; allowed: PNG, JPEG, SVG") from None
    return FirmLogo(part, float(wide), float(high))


def _check_font(part: FirmPart) -> None:
    """Raise ValueError where a file is no font that can be put into a PDF."""
    from fontTools.ttLib import TTFont, TTLibError

    try:
        with TTFont(io.BytesIO(part.data), lazy=True) as font:
            outlines = "glyf" in font and font["head"].glyphDataFormat == 0
            known = font.getBestCmap() or {}
            rights = font["OS/2"].fsType if "OS/2" in font else 0
    except (TTLibError, LookupError, AssertionError, OSError, ValueError, struct.error):
        raise ValueError("is no font that can be read; allowed: TrueType (.ttf)") from None
    if not outlines:
        raise ValueError("has no TrueType outlines; allowed: TrueType (.ttf)")
    missing = [letter for letter in NEEDED if ord(letter) not in known]
    if missing:
        raise ValueError(f"has no letters {' '.join(missing)}; allowed: a font for text")
    if rights & 0x000F == 2:  # OpenType OS/2, fsType: restricted licence embedding
        raise ValueError("does not allow to be put into files; allowed: a font that does")
