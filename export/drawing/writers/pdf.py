"""Sheets as PDF: vector, true scale, text as text in an embedded font."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

from palewright.export.drawing.draft.lettering import cap_height
from palewright.export.drawing.draft.paper import Area, Image, Label, Mark, Stroke
from palewright.export.drawing.draft.style import FONT_FILE
from palewright.export.drawing.sheets.sheet import Sheet

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

POINTS = 72.0 / 25.4
"""Points in a millimetre: 72 to the inch (ISO 32000-1, 8.3.2.3)."""

FONT_NAME = "LiberationSans"


def write_pdf(sheets: tuple[Sheet, ...], title: str, author: str) -> bytes:
    """Return the sheets as one PDF, a page each. The same sheets give the same bytes."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont
    from reportlab.pdfgen.canvas import Canvas

    pdfmetrics.registerFont(TTFont(FONT_NAME, str(FONT_FILE)))
    out = io.BytesIO()
    canvas = Canvas(out, invariant=1, pageCompression=1)
    canvas.setTitle(title)
    canvas.setAuthor(author)
    canvas.setCreator("palewright")
    for sheet in sheets:
        canvas.setPageSize((sheet.size.width * POINTS, sheet.size.height * POINTS))
        canvas.setLineCap(1)
        canvas.setLineJoin(1)
        for mark in sheet.marks:
            _draw(canvas, mark)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _draw(canvas: Canvas, mark: Mark) -> None:
    match mark:
        case Stroke(points, width, _, dashes, closed):
            canvas.setLineWidth(width * POINTS)
            canvas.setDash([dash * POINTS for dash in dashes] or [])
            path = canvas.beginPath()
            _trace(path, points, closed)
            canvas.drawPath(path, stroke=1, fill=0)
        case Area(points, grey):
            canvas.setFillGray(grey)
            path = canvas.beginPath()
            _trace(path, points, True)
            canvas.drawPath(path, stroke=0, fill=1)
        case Label(text, (x, y), height, degrees, _):
            canvas.saveState()
            canvas.translate(x * POINTS, y * POINTS)
            canvas.rotate(degrees)
            canvas.setFillGray(0.0)
            canvas.setFont(FONT_NAME, height / cap_height() * POINTS)
            canvas.drawString(0, 0, text)
            canvas.restoreState()
        case Image(data, (x, y), width, height):
            from reportlab.lib.utils import ImageReader

            picture = ImageReader(io.BytesIO(data))
            canvas.drawImage(picture, x * POINTS, y * POINTS, width * POINTS, height * POINTS)


def _trace(path: object, points: tuple[tuple[float, float], ...], closed: bool) -> None:
    (x, y), *rest = points
    path.moveTo(x * POINTS, y * POINTS)  # type: ignore[attr-defined]
    for x, y in rest:
        path.lineTo(x * POINTS, y * POINTS)  # type: ignore[attr-defined]
    if closed:
        path.close()  # type: ignore[attr-defined]
