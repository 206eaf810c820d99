"""Full-size templates of pale heads, to stick on a board and cut a pattern from.

Each sheet has a bar of 100 mm to check the print against. A head larger than the paper is cut
into tiles that overlap, with marks to join them by.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import Item, Line, Text, View
from palewright.export.drawing.sheets.recorded import Placed
from palewright.export.drawing.sheets.sheet import Sheet
from palewright.export.drawing.sheets.sheet_frame import Box, Size
from palewright.model.basis.errors import OutputError
from palewright.model.geometry.frames import Point
from palewright.model.geometry.outlines import Outline
from palewright.model.layout.pale_heads import PaleHead

if TYPE_CHECKING:
    from shapely import Geometry

BELOW_HEAD = 1.2
"""How much of the straight sides is drawn below the head, in widths of the pale."""

CHECK_BAR = 100.0
"""Length of the bar to check the print against, mm."""

MARGIN, FOOT, OVERLAP = 12.0, 42.0, 10.0
"""Paper kept free at the edges and at the foot of a tile, and what neighbours share, mm."""


@dataclass(frozen=True)
class Template:
    """The part of a pale that is cut to a pattern.

    outline : x = 0 in the middle of the pale, y = 0 at the springing line; name : what it is of.
    """

    name: str
    outline: Outline


def head_template(of: PaleHead) -> Template:
    """Return a head of pales with a piece of the straight sides."""
    spring, half = of.length - of.rise, of.width / 2.0
    below = min(BELOW_HEAD * of.width, spring)
    head = tuple((x, y - spring, bulge) for x, y, bulge in of.outline.vertices[2:])
    loop = ((-half, -below, 0.0), (half, -below, 0.0), *head)
    name = f"pale head{of.number}, {of.called}, {of.width:g} mm wide"
    return Template(name, Outline(loop))


def template_sheets(template: Template, size: Size, style: Style) -> tuple[Sheet, ...]:
    """Return the template at full size on one sheet, or on as many tiles as it needs."""
    x0, y0, x1, y1 = template.outline.bounds
    box = Box(MARGIN, FOOT, size.width - MARGIN, size.height - MARGIN)
    across = _steps(x1 - x0, box.width)
    up = _steps(y1 - y0, box.height)
    count = len(across) * len(up)
    sheets = []
    for row, low in enumerate(up):
        for column, left in enumerate(across):
            number = row * len(across) + column + 1
            part = Box(x0 + left, y0 + low, x0 + left + box.width, y0 + low + box.height)
            single = count == 1
            items = _tile(template, part, whole=single)
            shift = (
                (box.left - part.left, box.low - part.low)
                if not single
                else ((size.width - x0 - x1) / 2.0, box.low - y0)
            )
            view = View("", 1.0, tuple(items), kind="template")
            note = View(
                "", 1.0, tuple(_foot(template, number, count, style)), in_model=False, kind="foot"
            )
            placed = (
                Placed.of(view, shift, style),
                Placed.of(note, (MARGIN, MARGIN), style),
            )
            sheets.append(Sheet(size, f"Template {number} of {count}", placed))
    return tuple(sheets)


def _steps(length: float, room: float) -> list[float]:
    starts = [0.0]
    while starts[-1] + room < length - 1e-9:
        starts.append(starts[-1] + room - OVERLAP)
    return starts


def _tile(template: Template, part: Box, *, whole: bool) -> list[Item]:
    items: list[Item] = []
    if whole:
        items.append(Line(template.outline.vertices, layers.TEMPLATE, closed=True))
    else:
        import shapely

        ring = shapely.LinearRing(template.outline.flatten(0.01))
        shown = shapely.box(part.left, part.low, part.right, part.high)
        for piece in _lines(ring.intersection(shown)):
            items.append(Line.through(piece, layers.TEMPLATE))
        for x in (part.left, part.right):
            for y in (part.low, part.high):
                items.append(Line.through(((x - 4.0, y), (x + 4.0, y)), layers.RULE))
                items.append(Line.through(((x, y - 4.0), (x, y + 4.0)), layers.RULE))
    x0, y0, x1, y1 = template.outline.bounds
    middle = ((0.0, max(y0, part.low)), (0.0, min(y1, part.high)))
    if part.left < 0.0 < part.right:
        items.append(Line.through(middle, layers.AXIS))
    if part.low < 0.0 < part.high:
        spring = ((max(x0, part.left), 0.0), (min(x1, part.right), 0.0))
        items.append(Line.through(spring, layers.HIDDEN))
    return items


def _lines(lines: Geometry) -> list[tuple[Point, ...]]:
    import shapely

    merged: Any = shapely.line_merge(lines) if lines.geom_type != "LineString" else lines
    return [
        tuple((float(x), float(y)) for x, y in part.coords)
        for part in shapely.get_parts(merged)
        if part.geom_type == "LineString"
    ]


def _foot(template: Template, number: int, count: int, style: Style) -> list[Item]:
    """Return the check bar and the words at the foot of a tile."""
    items: list[Item] = [
        Line.through(((0.0, 0.0), (CHECK_BAR, 0.0)), layers.RULE),
        Line.through(((0.0, -2.0), (0.0, 2.0)), layers.RULE),
        Line.through(((CHECK_BAR, -2.0), (CHECK_BAR, 2.0)), layers.RULE),
    ]
    words = [
        f"{template.name}; full size, tile {number} of {count}",
        "Print at 100 %. This bar measures exactly 100 mm; if not, do not cut to this print.",
    ]
    for place, text in enumerate(reversed(words)):
        items.append(Text(text, (0.0, 4.5 + 5.0 * place), style.text, layer=layers.SHEET_TEXT))
    return items


def offset_outline(outline: Outline, offset: float) -> Outline:
    """Return an outline moved outwards by `offset` mm (inwards when negative).

    A laser loses half its kerf, a router half its tool. Arcs are kept as chords within 0.01 mm
    once moved; without an offset the outline keeps its arcs.

    Raises
    ------
    OutputError
        When nothing is left of the outline.
    """
    if offset == 0.0:
        return outline
    import shapely

    shape = shapely.Polygon(outline.flatten(0.005)).buffer(
        offset, quad_segs=32, join_style="mitre", mitre_limit=3.0
    )
    if shape.is_empty or shape.geom_type != "Polygon":
        raise OutputError(f"an offset of {offset:g} mm leaves nothing to cut")
    ring = shapely.simplify(shape, 0.002).exterior
    points = [(float(x), float(y)) for x, y in ring.coords[:-1]]
    if not ring.is_ccw:
        points.reverse()
    return Outline.polygon(points)
