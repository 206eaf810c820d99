"""How a firm's papers look: page, fonts, colours, paragraphs, logo, and who the firm is."""

from __future__ import annotations

import io
import struct
from dataclasses import dataclass, field
from html import escape
from typing import Any

from reportlab.lib.colors import Color, HexColor
from reportlab.lib.enums import TA_LEFT, TA_RIGHT
from reportlab.lib.pagesizes import A4, letter
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFError, TTFont, TTFontFace
from reportlab.platypus import Paragraph

from palewright.export.drawing.draft.style import FONT_FILE
from palewright.export.drawing.writers.pdf import FONT_NAME
from palewright.model.basis.errors import OutputError
from palewright.model.basis.text import printable
from palewright.model.spec.firm_file import Firm, FirmLogo, FirmPart
from palewright.model.spec.firm_keys import ACCENT, INK, FirmKeys

SIDE, TOP, FOOT = 22.0 * mm, 28.0 * mm, 20.0 * mm
"""Margins of a page, points."""

LABEL, GUTTER = 34.0 * mm, 6.0 * mm
"""The narrow column of the grid, and the space beside it, points."""

GREY, FAINT = HexColor("#6b706d"), HexColor("#d9dbd7")
"""Colours of what is said beside, and of thin rules."""

LOGO_WIDE, LOGO_HIGH = 54.0 * mm, 18.0 * mm
"""Most that a logo takes, points."""


@dataclass(frozen=True)
class Look:
    """How the papers of a job look. page : width and height, points; text, heading : names of
    fonts; ink, accent : colours; size : of text, points; apart : whether what the firm
    stands for begins a page.
    """

    page: tuple[float, float]
    text: str
    heading: str
    ink: Color
    accent: Color
    size: float = 9.5
    apart: bool = False
    known: dict[str, frozenset[int]] = field(default_factory=dict)

    @property
    def width(self) -> float:
        """Between the margins, points."""
        return float(self.page[0] - 2.0 * SIDE)

    def para(self, words: str, size: float = 0.0, **told: Any) -> Paragraph:
        """Return a paragraph. size : points, that of text when 0; told : colour, heading (whether
        in the font of headings), right, before, after, leading, bullet.
        """
        size = size or self.size
        font = self.heading if told.get("heading") else self.text
        style = ParagraphStyle(
            "text",
            fontName=font,
            fontSize=size,
            leading=told.get("leading", 1.42) * size,
            textColor=told.get("colour", self.ink),
            spaceBefore=told.get("before", 0.0),
            spaceAfter=told.get("after", 0.0),
            alignment=TA_RIGHT if told.get("right") else TA_LEFT,
            splitLongWords=1,
            leftIndent=1.2 * size if "bullet" in told else 0.0,
            bulletFontName=FONT_NAME,
            bulletFontSize=size,
            bulletColor=self.accent,
        )
        return Paragraph(self.marked(words, font), style, told.get("bullet"))

    def marked(self, words: str, font: str) -> str:
        """Return words as a paragraph takes them: what a font has no letter for is set in the
        drawings' font.
        """
        known = self.known.get(font)
        words = printable(words).strip()
        if known is None or all(ord(letter) in known for letter in words):
            return escape(words)
        return "".join(
            escape(c) if ord(c) in known else f'<font name="{FONT_NAME}">{escape(c)}</font>'
            for c in words
        )


def look_of(firm: Firm | None, *, feet: bool, size: float = 9.5) -> Look:
    """Return how a firm's papers look, its fonts registered. feet : US Letter instead of A4."""
    pdfmetrics.registerFont(TTFont(FONT_NAME, str(FONT_FILE)))
    told = firm.told if firm is not None else None
    text = heading = FONT_NAME
    known: dict[str, frozenset[int]] = {}
    if firm is not None and firm.font is not None:
        text = heading = _registered(firm.font, known)
    if firm is not None and firm.bold is not None:
        heading = _registered(firm.bold, known)
    return Look(
        letter if feet else A4,
        text,
        heading,
        HexColor(told.colour if told else INK),
        HexColor(told.accent if told else ACCENT),
        size,
        known=known,
    )


def _registered(part: FirmPart, known: dict[str, frozenset[int]]) -> str:
    """Register a font and return its name, which its bytes alone decide. Raises OutputError where
    it cannot be put into a PDF.
    """
    name = f"Firm{part.digest[:12]}"
    try:
        font = TTFont(name, io.BytesIO(part.data))
    except (TTFError, struct.error, ValueError, LookupError, TypeError, AttributeError):
        raise OutputError(f"{part.name}: is no font that can be put into a PDF") from None
    pdfmetrics.registerFont(font)
    face: TTFontFace = font.face
    known[name] = frozenset(face.charToGlyph)
    return name


def contact_lines(told: FirmKeys) -> list[str]:
    """Return how a firm is reached, line by line."""
    return [line for line in (told.address, told.telephone, told.email, told.website) if line]


def tax_line(told: FirmKeys) -> str:
    """Return a firm's tax number with what it is called; empty where it gives none."""
    if not told.tax_number:
        return ""
    kind = told.tax_name[:1].upper() + told.tax_name[1:]
    return f"{kind} number {told.tax_number}"


def logo_size(logo: FirmLogo, wide: float, high: float) -> tuple[float, float]:
    """Return the width and height of a logo that is as large as fits, points."""
    scale = min(wide / logo.width, high / logo.height)
    return logo.width * scale, logo.height * scale


def draw_logo(
    canvas: Any, logo: FirmLogo, at: tuple[float, float], within: tuple[float, float],
    *, right: bool = False,
) -> None:  # fmt: skip
    """Draw a logo. at : its upper left corner, or the right one; within : most that it takes,
    points.
    """
    wide, high = logo_size(logo, *within)
    x, y = at[0] - (wide if right else 0.0), at[1]
    if logo.drawing is None:
        picture = ImageReader(io.BytesIO(logo.part.data))
        canvas.drawImage(picture, x, y - high, wide, high, mask="auto")
        return
    canvas.saveState()
    canvas.translate(x, y)
    canvas.scale(wide / logo.width, -high / logo.height)
    for shape in logo.drawing.shapes:
        path = canvas.beginPath()
        for step, values in shape.steps:
            match step:
                case "move":
                    path.moveTo(*values)
                case "line":
                    path.lineTo(*values)
                case "curve":
                    path.curveTo(*values)
                case _:
                    path.close()
        if shape.fill is not None:
            canvas.setFillColorRGB(*shape.fill)
        if shape.stroke is not None:
            canvas.setStrokeColorRGB(*shape.stroke)
            canvas.setLineWidth(shape.width)
        canvas.drawPath(
            path,
            stroke=int(shape.stroke is not None),
            fill=int(shape.fill is not None),
            fillMode=0 if shape.even else 1,
        )
    canvas.restoreState()
