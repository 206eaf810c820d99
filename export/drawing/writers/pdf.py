"""Sheets as PDF: vector, true scale, text as text in an embedded font, in layers."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from palewright.export.drawing.draft.lettering import cap_height
from palewright.export.drawing.draft.paper import Area, Image, Label, Mark, Stroke
from palewright.export.drawing.draft.style import BLACK, FONT_FILE, LAYERS, Layer
from palewright.export.drawing.sheets.sheet import Sheet

from .pdf_layers import PdfLayers, write_metadata

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

POINTS = 72.0 / 25.4
"""Points in a millimetre: 72 to the inch (ISO 32000-1, 8.3.2.3)."""

FONT_NAME = "LiberationSans"

Pen = tuple[float, tuple[float, ...], tuple[float, float, float]]
"""Width and dashes of lines, mm, and their ink."""


def write_pdf(sheets: tuple[Sheet, ...], title: str, author: str) -> bytes:
    """Return the sheets as one PDF, a page each. The same sheets give the same bytes."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont
    from reportlab.pdfgen.canvas import Canvas

    pdfmetrics.registerFont(TTFont(FONT_NAME, str(FONT_FILE)))
    out = io.BytesIO()
    canvas = Canvas(out, invariant=1, pageCompression=1, lang="en", pdfVersion=(1, 5))
    layers = PdfLayers(canvas, _layers_of(sheets))
    write_metadata(canvas, title, author)
    canvas.setViewerPreference("DisplayDocTitle", "true")
    canvas.showOutline()
    canvas.setTitle(title)
    canvas.setAuthor(author)
    canvas.setCreator("palewright")
    for number, sheet in enumerate(sheets, 1):
        canvas.bookmarkPage(f"sheet{number}")
        canvas.addOutlineEntry(f"{number:02d} {sheet.title}", f"sheet{number}")
        canvas.setPageSize((sheet.size.width * POINTS, sheet.size.height * POINTS))
        canvas.setLineCap(1)
        canvas.setLineJoin(1)
        set_to: Pen | None = None
        for mark in sheet.marks:
            layers.enter(mark.layer if isinstance(mark, (Stroke, Label)) else None)
            set_to = _draw(canvas, mark, set_to)
        layers.leave()
        canvas.showPage()
        layers.on_page()
    layers.close()
    with as_bytes():
        canvas.save()
    return out.getvalue()


def draw_marks(canvas: Canvas, marks: Iterable[Mark]) -> None:
    """Draw marks where the canvas' origin is, on a page of another's."""
    canvas.setLineCap(1)
    canvas.setLineJoin(1)
    set_to: Pen | None = None
    for mark in marks:
        set_to = _draw(canvas, mark, set_to)


def _layers_of(sheets: tuple[Sheet, ...]) -> list[Layer]:
    """Return the layers that sheets have marks on, in their usual order."""
    used = {
        mark.layer for sheet in sheets for mark in sheet.marks if isinstance(mark, (Stroke, Label))
    }
    known = [layer for layer in LAYERS if layer in used]
    return [*known, *sorted(used.difference(known), key=lambda layer: layer.name)]


@contextmanager
def as_bytes() -> Iterator[None]:
    """Write pages as compressed bytes, not as letters (ASCII 85) that are a quarter longer."""
    from reportlab import rl_config

    before = rl_config.useA85
    rl_config.useA85 = 0
    try:
        yield
    finally:
        rl_config.useA85 = before


def _draw(canvas: Canvas, mark: Mark, set_to: Pen | None) -> Pen | None:
    """Draw a mark. set_to : width, dashes and ink of the last line, which need not be set again;
    returns those that are set now.
    """
    match mark:
        case Stroke(points, width, layer, dashes, closed):
            if layer.ink != (set_to[2] if set_to else BLACK):
                canvas.setStrokeColorRGB(*layer.ink)
            if set_to is None or set_to[:2] != (width, dashes):
                canvas.setLineWidth(width * POINTS)
                canvas.setDash([dash * POINTS for dash in dashes] or [])
            if len(points) == 2 and not closed:
                (x0, y0), (x1, y1) = points
                canvas.line(x0 * POINTS, y0 * POINTS, x1 * POINTS, y1 * POINTS)
            else:
                path = canvas.beginPath()
                _trace(path, points, closed)
                canvas.drawPath(path, stroke=1, fill=0)
            return width, dashes, layer.ink
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
    return set_to


def _trace(path: object, points: tuple[tuple[float, float], ...], closed: bool) -> None:
    (x, y), *rest = points
    path.moveTo(x * POINTS, y * POINTS)  # type: ignore[attr-defined]
    for x, y in rest:
        path.lineTo(x * POINTS, y * POINTS)  # type: ignore[attr-defined]
    if closed:
        path.close()  # type: ignore[attr-defined]
