"""Sheet sizes, frame and title block.

Sizes after ISO 216 and ISO 5457; the frame 20 mm from the filing edge and 10 mm from the others,
0.7 mm wide, with centring marks (ISO 5457, from memory). Data fields after ISO 7200. Sheets for
feet and inches are those of ASME Y14.1 and the architects' sizes (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.figures import Units
from palewright.export.drawing.draft.scales import scale_named
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import Fill, Item, Line, Text, View
from palewright.export.drawing.views.table_views import fitted

from .grid_references import grid_references

MM = 25.4


@dataclass(frozen=True)
class Size:
    """A sheet. width, height : mm, as it is drawn on."""

    name: str
    width: float
    height: float


SIZES = {
    size.name: size
    for size in (
        Size("A4", 210.0, 297.0),
        Size("A3", 420.0, 297.0),
        Size("A2", 594.0, 420.0),
        Size("A1", 841.0, 594.0),
        Size("ANSI A", 8.5 * MM, 11.0 * MM),
        Size("ANSI B", 17.0 * MM, 11.0 * MM),
        Size("ANSI C", 22.0 * MM, 17.0 * MM),
        Size("ANSI D", 34.0 * MM, 22.0 * MM),
        Size("ARCH A", 9.0 * MM, 12.0 * MM),
        Size("ARCH B", 18.0 * MM, 12.0 * MM),
        Size("ARCH C", 24.0 * MM, 18.0 * MM),
        Size("ARCH D", 36.0 * MM, 24.0 * MM),
    )
}

LEFT, EDGE = 20.0, 10.0
"""Width of the filing margin and of the others, mm."""

BLOCK_WIDTH, BLOCK_ROW = 180.0, 10.0
"""Width of the title block, and height of one of its four rows, mm."""

METRES_LONG = (0.1, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0)
FEET_LONG = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0)
"""Lengths of scale bars, m and feet: of the first that is 60 mm or more on paper."""

FOOT = 304.8
"""mm."""

MOST_EVEN = 8
"""Letters that two cells in the place of one have room for besides their words."""

CENTRING = 5.0
"""How far the centring marks reach into the frame, mm."""


@dataclass(frozen=True)
class Fields:
    """What the title block says; names after ISO 7200. address, applicant : of a planning
    drawing, empty where they were not given.
    """

    owner: str
    title: str
    sheet_title: str
    number: str
    revision: str
    date: str
    sheet: int
    sheets: int
    creator: str
    approver: str
    document_type: str
    scale: str
    units: str
    address: str = ""
    applicant: str = ""


@dataclass(frozen=True)
class Box:
    """A rectangle on paper, mm."""

    left: float
    low: float
    right: float
    high: float

    @property
    def width(self) -> float:
        """Width, mm."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Height, mm."""
        return self.high - self.low


def frame_box(size: Size) -> Box:
    """Return the frame of a sheet."""
    return Box(LEFT, EDGE, size.width - EDGE, size.height - EDGE)


def title_box(size: Size) -> Box:
    """Return where the title block stands: at the lower right of the frame."""
    frame = frame_box(size)
    width = min(BLOCK_WIDTH, frame.width)
    return Box(frame.right - width, frame.low, frame.right, frame.low + 4 * BLOCK_ROW)


def sheet_frame(size: Size, fields: Fields, style: Style) -> View:
    """Return frame, centring marks and title block of a sheet, in paper space."""
    frame = frame_box(size)
    items: list[Item] = [_box(frame, layers.FRAME)]
    middle_x, middle_y = size.width / 2.0, size.height / 2.0
    sides = (frame.left, frame.low, frame.right, frame.high)
    items += grid_references(sides, (middle_x, middle_y))
    over_block = middle_x > title_box(size).left  # there it would strike text out
    for mark in (
        ((middle_x, 0.0), (middle_x, frame.low + (0.0 if over_block else CENTRING))),
        ((middle_x, size.height), (middle_x, frame.high - CENTRING)),
        ((0.0, middle_y), (frame.left + CENTRING, middle_y)),
        ((size.width, middle_y), (frame.right - CENTRING, middle_y)),
    ):
        items.append(Line.through(mark, layers.FRAME))
    block = title_box(size)
    items.append(_box(block, layers.FRAME))
    rows = (
        (
            ("Created by", fields.creator, 0.25),
            ("Approved by", fields.approver, 0.25),
            ("Document type", fields.document_type, 0.30),
            ("Date of issue", fields.date, 0.20),
        ),
        (
            *_shared(("Legal owner", fields.owner), ("Applicant", fields.applicant), 0.50),
            ("Identification number", fields.number, 0.35),
            ("Rev.", fields.revision, 0.15),
        ),
        (
            *_shared(("Title", fields.title), ("Site address", fields.address), 0.60),
            ("Scale", fields.scale, 0.25),
            ("Size", size.name, 0.15),
        ),
        (
            ("Sheet title", fields.sheet_title, 0.60),
            ("Dimensions in", fields.units, 0.25),
            ("Sheet", f"{fields.sheet} of {fields.sheets}", 0.15),
        ),
    )
    for number, row in enumerate(rows):
        high = block.high - BLOCK_ROW * number
        if number:
            items.append(Line.through(((block.left, high), (block.right, high)), layers.RULE))
        x = block.left
        for caption, value, share in row:
            width = share * block.width
            if x > block.left:
                items.append(Line.through(((x, high), (x, high - BLOCK_ROW)), layers.RULE))
            spot = (x + 1.2, high - 1.0 - style.text)
            items.append(Text(caption, spot, style.text, layer=layers.SHEET_TEXT))
            if value:
                text, height = fitted(value, width - 2.4, (style.subtitle, style.text))
                spot = (x + 1.2, high - BLOCK_ROW + 1.6)
                items.append(Text(text, spot, height, layer=layers.SHEET_TEXT))
            x += width
    return View("", 1.0, tuple(items), in_model=False, kind="frame")


def _shared(
    own: tuple[str, str], other: tuple[str, str], share: float
) -> tuple[tuple[str, str, float], ...]:
    """Return a cell, or two in its place if the other says something; share : of the row."""
    if not other[1]:
        return ((*own, share),)
    first, second = (len(words) + MOST_EVEN for _, words in (own, other))
    left = share * first / (first + second)
    return (*own, left), (*other, share - left)


def scale_bar(n: float, style: Style) -> View:
    """Return a scale bar of ten parts for 1:n, from 0 to 10 m or as much as is fit to read; in
    feet where the figures are.
    """
    feet = style.figures.units is Units.FEET
    one, lengths = (FOOT, FEET_LONG) if feet else (1000.0, METRES_LONG)
    length = next((long for long in lengths if long * one / n >= 60.0), lengths[-1])
    unit = " ft" if feet else " m"
    ratio = scale_named(n, style.figures.units).text
    part = length * one / 10.0 / n
    items: list[Item] = []
    for number in range(10):
        x0, x1 = part * number, part * (number + 1)
        loop = ((x0, 0.0), (x1, 0.0), (x1, 1.5), (x0, 1.5))
        items.append(Line.through(loop, layers.RULE, closed=True))
        if number % 2 == 0:
            items.append(Fill(loop))
    for share in (0.0, 0.5, 1.0):
        text = f"{length * share:g}" + (unit if share == 1.0 else "")
        items.append(
            Text(text, (part * 10 * share, 2.5), style.text, "centre", layer=layers.SHEET_TEXT)
        )
    items.append(Text(ratio, (part * 10 + 9.0, 0.0), style.text, layer=layers.SHEET_TEXT))
    return View("", 1.0, tuple(items), in_model=False, kind="scale bar")


def _box(box: Box, layer: layers.Layer) -> Line:
    corners = (
        (box.left, box.low),
        (box.right, box.low),
        (box.right, box.high),
        (box.left, box.high),
    )
    return Line.through(corners, layer, closed=True)
