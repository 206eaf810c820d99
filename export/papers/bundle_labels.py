"""Labels for the bundles of each bay and gate: sheets of labels on A4, as PDF.

A label says what is in the bundle and where it goes, and says the same in a QR code.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from palewright.export.drawing.draft.figures import Figures, Units
from palewright.export.drawing.draft.lettering import cap_height
from palewright.export.drawing.draft.style import FONT_FILE
from palewright.export.drawing.views.table_views import fitted
from palewright.export.drawing.writers.pdf import FONT_NAME, POINTS
from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel
from palewright.model.lists.bay_marks import BayLine, bay_lines
from palewright.model.parts.members import IN_HOLE, KEPT_POST, KINDS

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

PAGE = (210.0, 297.0)
"""A4 (ISO 216), mm."""

COLUMNS, ROWS, LABEL, GUTTER = 2, 7, (99.1, 38.1), 2.5
"""Labels on a sheet, the size of one, and from column to column, mm (common practice, no source).
They stand in the middle of the sheet."""

CODE, QUIET, INSET = 28.0, 4.5, 3.5
"""Side of the code, paper kept free round it, and round the words, mm. ISO/IEC 18004 asks for four
modules free (from memory): the code has at least 25 modules."""

HEADING, WORDS, STEP = 2.9, 2.0, 3.4
"""Heights of lettering, and from line to line, mm."""

LINES = 6
"""Lines of parts on a label; a bundle with more has several labels."""

BUNDLED = tuple(kind for kind in KINDS if kind not in (*IN_HOLE, KEPT_POST))
"""Kinds of members that are carried to their bay."""


@dataclass(frozen=True)
class BundleLabel:
    """A label. heading : the bay or gate; lines : the job, the place, then the parts."""

    heading: str
    lines: tuple[str, ...]

    @property
    def text(self) -> str:
        """All that it says, line by line: what its code holds."""
        return "\n".join((self.heading, *self.lines))


def bundle_labels(fence: FenceModel) -> list[BundleLabel]:
    """Return the labels of all bays and gates, run by run from left to right.

    Each line of parts has the mark, how many, what, and the length: "PA1  12 pale 900".
    """
    return [label for line in bay_lines(fence) for label in _of_bay(fence, line)]


def _of_bay(fence: FenceModel, line: BayLine) -> Iterator[BundleLabel]:
    figures = Figures(Units.FEET if fence.job.sheets.units == "ft-in" else Units.MILLIMETRES)
    run = fence.layouts[line.run].run
    parts = [
        f"{member.mark}  {count} {member.kind.name} {figures.text(member.shape.size[2])}"
        for member, count in line.bundles(*BUNDLED)
    ]
    project = fence.job.project
    job = " ".join(word for word in (plain(project.reference), plain(project.name)) if word)
    place = f"posts {line.first} to {line.last}"
    if run.called != f"run {run.letter}":
        place += f", {plain(run.called)}"
    pieces = [parts[n : n + LINES] for n in range(0, len(parts), LINES)] or [[]]
    for number, piece in enumerate(pieces, 1):
        heading = line.name if len(pieces) == 1 else f"{line.name}  ({number} of {len(pieces)})"
        lines = [_short(text, WORDS) for text in (job, place, *piece) if text]
        yield BundleLabel(_short(heading, HEADING), tuple(lines))


def _short(text: str, height: float) -> str:
    """Return text that is no wider than the words of a label may be."""
    return fitted(text, LABEL[0] - CODE - QUIET - 2.0 * INSET, (height,))[0]


def labels_pdf(fence: FenceModel) -> bytes:
    """Return the labels as PDF on A4, to print at full size. Equal fences give equal bytes."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont
    from reportlab.pdfgen.canvas import Canvas

    pdfmetrics.registerFont(TTFont(FONT_NAME, str(FONT_FILE)))
    out = io.BytesIO()
    canvas = Canvas(
        out, pagesize=tuple(side * POINTS for side in PAGE), invariant=1, pageCompression=1
    )
    project = fence.job.project
    canvas.setTitle(f"Labels: {plain(project.name)}")
    canvas.setAuthor(plain(project.author))
    canvas.setCreator("palewright")
    for number, label in enumerate(bundle_labels(fence)):
        place = number % (COLUMNS * ROWS)
        if number and place == 0:
            canvas.showPage()
        _draw_label(canvas, label, corner(place))
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def corner(place: int) -> tuple[float, float]:
    """Return the lower left corner of a label on its sheet, mm; they run across, then down."""
    row, column = divmod(place, COLUMNS)
    left = (PAGE[0] - COLUMNS * LABEL[0] - (COLUMNS - 1) * GUTTER) / 2.0
    top = PAGE[1] - (PAGE[1] - ROWS * LABEL[1]) / 2.0
    return left + column * (LABEL[0] + GUTTER), top - (row + 1) * LABEL[1]


def _draw_label(canvas: Canvas, label: BundleLabel, at: tuple[float, float]) -> None:
    x, y = at
    top = y + LABEL[1] - INSET
    _write(canvas, label.heading, (x + INSET, top - HEADING), HEADING)
    for number, line in enumerate(label.lines):
        _write(canvas, line, (x + INSET, top - HEADING - STEP * (number + 1)), WORDS)
    side = LABEL[0] - CODE - QUIET, (LABEL[1] - CODE) / 2.0
    _draw_code(canvas, code_of(label.text), (x + side[0], y + side[1]))


def _write(canvas: Canvas, text: str, at: tuple[float, float], height: float) -> None:
    canvas.setFont(FONT_NAME, height / cap_height() * POINTS)
    canvas.drawString(at[0] * POINTS, at[1] * POINTS, text)


def code_of(text: str) -> list[list[bool]]:
    """Return the dark modules of the QR code of a text (ISO/IEC 18004, level M), row by row."""
    from reportlab.graphics.barcode.qr import QrCodeWidget

    code: Any = QrCodeWidget(text, barLevel="M").qr
    code.make()
    return [[bool(module) for module in row] for row in code.modules]


def _draw_code(canvas: Canvas, modules: list[list[bool]], at: tuple[float, float]) -> None:
    """Draw a code as one path, dark modules that touch in a row as one bar."""
    size = CODE / len(modules)
    path = canvas.beginPath()
    for row, dark in enumerate(modules):
        y = at[1] + CODE - (row + 1) * size
        start: int | None = None
        for column, module in enumerate([*dark, False]):
            if module and start is None:
                start = column
            elif not module and start is not None:
                wide = (column - start) * size
                left = at[0] + start * size
                path.rect(left * POINTS, y * POINTS, wide * POINTS, size * POINTS)
                start = None
    canvas.drawPath(path, stroke=0, fill=1)
