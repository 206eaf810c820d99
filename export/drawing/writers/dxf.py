"""Sheets as DXF: views in model space at full size, sheets in paper space with scaled viewports.

Dimensions are true DIMENSION entities, pales are blocks named by mark, layers carry widths and
line types, lengths are millimetres.
"""

from __future__ import annotations

import io
import logging
import re
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from palewright.export.drawing.draft.figures import Figures, Units
from palewright.export.drawing.draft.paper import Label, Stroke, bounds, on_paper
from palewright.export.drawing.draft.style import (
    DIMENSIONS,
    FONT,
    LINETYPES,
    RULE,
    TEMPLATE,
    TEXT,
    VIEWPORT,
    Layer,
    Pattern,
    Style,
)
from palewright.export.drawing.draft.view import (
    ArcLine,
    Block,
    Dimension,
    Fill,
    Hatch,
    Insert,
    Item,
    Line,
    MarkData,
    Picture,
    Text,
    View,
)
from palewright.export.drawing.sheets.recorded import Placed
from palewright.export.drawing.sheets.sheet import Sheet
from palewright.model.basis.errors import OutputError
from palewright.model.basis.text import in_dxf
from palewright.model.geometry.frames import Point, cos_sin

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts import BaseLayout

    from .dxf_text import EntityWriter

TEXT_STYLE = "PALEWRIGHT"
APART = 60.0
"""Between views in model space, mm on paper."""


def write_dxf(
    sheets: tuple[Sheet, ...],
    title: str,
    style: Style,
    version: str = "R2018",
) -> bytes:
    """Return sheets as a DXF drawing. The same sheets give the same bytes.

    Parameters
    ----------
    sheets : tuple of Sheet
        What to draw.
    title : str
        Name of the project.
    style : Style
        Sizes on paper, and how lengths are written.
    version : str
        "R2018", "R2010" or "R12". R12 has no hatches, widths or several sheets: it gets the model
        space alone, with dimensions as lines and text.

    Raises
    ------
    OutputError
        When the drawing does not pass the library's audit.
    """
    with fixed_meta_data():
        doc = new_document(version, title, style, {p.view.scale for s in sheets for p in s.placed})
        model = doc.modelspace()
        origins = model_origins(sheets)
        _for_readers_without_styles(doc, sheets, origins, style)
        for number, sheet in enumerate(sheets):
            for place, placed in enumerate(sheet.placed):
                for block in placed.view.blocks:
                    _block(doc, block)
                _mark_blocks(doc, placed.view)
                if placed.view.in_model:
                    _view(model, placed.view, origins[number, place], style)
        if version != "R12":
            for number, sheet in enumerate(sheets):
                own = {place: spot for (of, place), spot in origins.items() if of == number}
                _layout(doc, number + 1, sheet, own, style)
            doc.layouts.delete("Layout1")
        return written(doc)


def write_outline_dxf(vertices: tuple[tuple[float, float, float], ...], version: str) -> bytes:
    """Return one closed polyline on one layer, for a laser or a router, mm."""
    with fixed_meta_data():
        style = Style()
        doc = new_document(version, "", style, set())
        Pen.on(doc.modelspace()).polyline(vertices, TEMPLATE.name, closed=True)
        return written(doc)


@contextmanager
def fixed_meta_data() -> Iterator[None]:
    """Keep clock and random ids out of the file, for which the library has one setting; and keep
    from the terminal that R12 has no units.
    """
    import ezdxf

    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    log = logging.getLogger("ezdxf")
    log.addFilter(_is_no_news)
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before
        log.removeFilter(_is_no_news)


def _is_no_news(record: logging.LogRecord) -> bool:
    return "$INSUNITS" not in record.getMessage()


def written(doc: Drawing) -> bytes:
    """Return a drawing's bytes once it passes its audit; the same drawing gives the same ones."""
    audit = doc.audit()
    for wrong in (*audit.errors, *audit.fixes):
        raise OutputError(f"the drawing failed its audit: {wrong.message}")
    # the writer takes these from a set, whose order changes from process to process
    doc.classes.add_required_classes(doc.dxfversion)
    doc.classes.classes = dict(sorted(doc.classes.classes.items()))
    out = io.StringIO()
    doc.write(out)
    encoding = "utf-8" if doc.dxfversion >= "AC1021" else "cp1252"
    return out.getvalue().encode(encoding, errors="dxfreplace" if encoding != "utf-8" else "strict")


def new_document(version: str, title: str, style: Style, scales: set[float]) -> Drawing:
    """Return an empty drawing in mm with the layers, line types and text style of `style`."""
    import ezdxf
    from ezdxf import units

    doc = ezdxf.new(version, setup=False, units=units.MM)
    doc.header["$MEASUREMENT"] = 1
    doc.header["$LUNITS"] = 2
    if version != "R12":
        doc.header["$INSUNITS"] = units.MM
        doc.header["$LWDISPLAY"] = 1
        doc.header["$PROJECTNAME"] = in_dxf(title)[:200]
    for name, (text, pattern) in LINETYPES.items():
        total = sum(abs(part) for part in pattern)
        doc.linetypes.add(name, [total, *pattern], description=text)
    for layer in style.layers:
        attributes: dict[str, Any] = {"color": layer.colour, "linetype": layer.linetype}
        if version != "R12":
            attributes["lineweight"] = layer.weight
        drawn = doc.layers.add(layer.name, **attributes)
        if version != "R12":
            drawn.description = layer.note
    if version != "R12":
        doc.layers.get(VIEWPORT.name).dxf.plot = 0
    doc.styles.add(TEXT_STYLE, font=FONT)
    for scale in sorted(scales):
        doc.dimstyles.new(dimension_style(scale), dxfattribs=_dimension_values(scale, style))
    return doc


def _for_readers_without_styles(
    doc: Drawing, sheets: tuple[Sheet, ...], origins: dict[tuple[int, int], Point], style: Style
) -> None:
    """Set the header as the commonest scale asks, and the extent of the model space: some programs
    take sizes of dimensions and lettering from there, not from each dimension's own style.
    """
    low_x, low_y, high_x, high_y = [], [], [], []
    used: Counter[float] = Counter()
    for (number, place), (x, y) in origins.items():
        view, recorded = sheets[number].placed[place].view, sheets[number].placed[place].recorded
        left, low, right, high = (side * view.scale for side in bounds(recorded))
        low_x.append(x + left)
        low_y.append(y + low)
        high_x.append(x + right)
        high_y.append(y + high)
        used[view.scale] += sum(isinstance(item, Dimension) for item in view.items)
    if not origins:
        return
    doc.modelspace().reset_extents((min(low_x), min(low_y), 0.0), (max(high_x), max(high_y), 0.0))
    scale = max(used, key=lambda n: (used[n], -n))
    doc.header["$DIMSTYLE"] = dimension_style(scale)
    doc.header["$LTSCALE"] = 1.0
    values = _dimension_values(scale, style)
    for name in ("dimscale", "dimtxt", "dimtsz", "dimasz", "dimgap", "dimexe", "dimexo", "dimtad",
                 "dimtih", "dimtoh"):  # fmt: skip
        doc.header[f"${name.upper()}"] = values[name]


def dimension_style(scale: float) -> str:
    """Return the name of the dimension style for views at 1:scale."""
    return f"PALEWRIGHT-{scale:g}"


def _dimension_values(scale: float, style: Style) -> dict[str, Any]:
    metres = style.figures.units is Units.METRES
    return {
        "dimscale": scale,
        "dimlfac": 0.001 if metres else 1.0,
        "dimtxt": style.text,
        "dimtxsty": TEXT_STYLE,
        "dimtsz": style.tick / 2.0,
        "dimasz": style.tick,
        "dimtad": 1,
        "dimgap": style.gap,
        "dimexe": style.overrun,
        "dimexo": style.offset,
        "dimtih": 0,
        "dimtoh": 0,
        "dimdec": 2 if metres else 0 if style.figures.whole else 1,
        "dimzin": 0 if metres else 8,
        "dimdsep": ord("."),
        "dimtmove": 2,
        "dimtix": 1,
    }


def model_origins(sheets: tuple[Sheet, ...]) -> dict[tuple[int, int], Point]:
    """Return where each view's origin stands in model space, by number of sheet and place on it.

    The plan keeps the site's own coordinates; the others stand in a row below it.
    """
    origins: dict[tuple[int, int], Point] = {}
    west, y = 0.0, 0.0
    views = [
        ((number, place), placed)
        for number, sheet in enumerate(sheets)
        for place, placed in enumerate(sheet.placed)
        if placed.view.in_model
    ]
    for key, placed in sorted(views, key=lambda one: not one[1].view.sited):
        view = placed.view
        left, low, _, high = (side * view.scale for side in bounds(placed.recorded))
        gap = APART * view.scale
        if not origins:
            origins[key] = (0.0, 0.0)
            west, y = left, low - gap
            continue
        origins[key] = (west - left, y - high)
        y -= high - low + gap
    return origins


def _layout(
    doc: Drawing,
    number: int,
    sheet: Sheet,
    origins: dict[int, Point],
    style: Style,
) -> None:
    """Add a sheet. spots : where views stand in model space, by their place on the sheet."""
    name = f"{number:02d} {sheet.title}"
    layout = doc.layouts.new(name)
    layout.page_setup(size=(sheet.size.width, sheet.size.height), margins=(0, 0, 0, 0), units="mm")
    for place, placed in enumerate(sheet.placed):
        if not placed.view.in_model:
            _view(layout, placed.view, placed.at, style)
            continue
        _viewport(layout, placed, origins[place])


def _viewport(layout: Any, placed: Placed, spot: Point) -> None:
    view = placed.view
    left, low, right, high = bounds(placed.recorded)
    left, low, right, high = left - 1.0, low - 1.0, right + 1.0, high + 1.0
    middle = (left + right) / 2.0, (low + high) / 2.0
    layout.add_viewport(
        center=(placed.at[0] + middle[0], placed.at[1] + middle[1]),
        size=(right - left, high - low),
        view_center_point=(spot[0] + middle[0] * view.scale, spot[1] + middle[1] * view.scale),
        view_height=(high - low) * view.scale,
        status=2,
        dxfattribs={"layer": VIEWPORT.name},
    )


MARK_TAGS = ("MARK", "KIND", "SIZE", "LENGTH", "COUNT", "PLACE")
"""Attributes of marks, as a data extraction lists them."""

NO_LABEL = "MARKS"
"""The block of marks that have no room to be shown where they are."""


def mark_block(item: Text) -> str:
    """Return the name of the block that shows marks: a block's name has no commas (DXF reference).

    >>> mark_block(Text("PA1 x 9, PA3", (0.0, 0.0), 2.5))
    'MARKS-PA1-x-9-PA3'
    """
    words = re.sub(r"[^A-Za-z0-9]+", "-", item.text).strip("-")
    return f"{NO_LABEL}-{words}" if words else NO_LABEL


def mark_values(data: MarkData) -> tuple[str, ...]:
    """Return the values of the attributes of a mark."""
    text = (data.mark, data.kind, data.size, data.length, str(data.count), data.place)
    return tuple(map(in_dxf, text))


def _mark_blocks(doc: Drawing, view: View) -> None:
    """Make the blocks of the marks of a view: their text, and the attributes that they have."""
    from ezdxf.units import InsertUnits

    for item in view.items:
        if not isinstance(item, Text) or not item.data:
            continue
        for name in (mark_block(item), NO_LABEL):
            if name in doc.blocks:
                continue
            drawn = doc.blocks.new(name)
            pen = Pen.on(drawn)
            if not pen.plain.old:
                drawn.units = InsertUnits.Millimeters
            if name != NO_LABEL:
                at_zero = replace(item, at=(0.0, 0.0), data=())
                pen.text(at_zero, (0.0, 0.0), 1.0)
            for tag in MARK_TAGS:
                drawn.add_attdef(
                    tag, (0.0, 0.0), height=item.height,
                    dxfattribs={"flags": 1, "style": TEXT_STYLE, "layer": TEXT.name},
                )  # fmt: skip


def _block(doc: Drawing, block: Block) -> None:
    from ezdxf.units import InsertUnits

    if block.name in doc.blocks:
        return
    drawn = doc.blocks.new(block.name)
    pen = Pen.on(drawn)
    if not pen.plain.old:
        drawn.units = InsertUnits.Millimeters
    for line in block.lines:
        pen.polyline(line.vertices, line.layer.name, closed=line.closed)


@dataclass(frozen=True)
class Pen:
    """What draws in a space: the library, and our own writer for what there is most of."""

    space: BaseLayout
    plain: EntityWriter

    @staticmethod
    def on(space: BaseLayout) -> Pen:
        """Return the pen of a space."""
        from .dxf_text import EntityWriter

        return Pen(space, EntityWriter(space))

    def polyline(
        self,
        vertices: tuple[tuple[float, float, float], ...],
        layer: str,
        *,
        closed: bool,
        ltscale: float | None = None,
    ) -> None:
        """Draw an open or closed polyline; with two points a line."""
        if len(vertices) == 2 and not any(bulge for _, _, bulge in vertices):
            (x0, y0, _), (x1, y1, _) = vertices
            self.plain.line((x0, y0), (x1, y1), layer, ltscale)
        elif self.plain.old:
            attributes = {"layer": layer}
            self.space.add_polyline2d(vertices, format="xyb", close=closed, dxfattribs=attributes)
        else:
            self.plain.polyline(vertices, layer, closed=closed, ltscale=ltscale)

    def text(self, item: Text, at: Point, scale: float) -> None:
        """Draw a line of text."""
        spot = (item.at[0] + at[0], item.at[1] + at[1])
        layer = (item.layer or TEXT).name
        turned = (item.degrees, item.align)
        self.plain.text(in_dxf(item.text), spot, item.height * scale, (layer, TEXT_STYLE), turned)

    def marks(self, item: Text, at: Point, scale: float) -> None:
        """Draw marks as a block, with what each stands for in attributes; a use for each mark."""
        spot = (item.at[0] + at[0], item.at[1] + at[1])
        layer = (item.layer or TEXT).name
        for number, data in enumerate(item.data):
            block = mark_block(item) if number == 0 else NO_LABEL
            values = zip(MARK_TAGS, mark_values(data), strict=True)
            size = (scale, item.height * scale)
            self.plain.data(block, spot, size, (layer, TEXT_STYLE), values)

    def fill(self, loop: tuple[Point, ...], layer: str) -> None:
        """Fill a convex area of three or four corners."""
        corners = list(loop)
        if len(corners) == 4:  # a solid takes its last corners crosswise
            corners[2], corners[3] = corners[3], corners[2]
        if len(corners) <= 4:
            self.space.add_solid(corners, dxfattribs={"layer": layer})


def _view(space: BaseLayout, view: View, at: Point, style: Style) -> None:
    pen = Pen.on(space)
    for item in view.items:
        _item(pen, item, view.scale, at, style)
    if view.heading:
        pen.text(Text(view.heading, view.titled_at, style.subtitle), at, view.scale)


def _item(pen: Pen, item: Item, scale: float, at: Point, style: Style) -> None:
    dx, dy = at
    old = pen.plain.old
    match item:
        case Line(vertices, layer, closed):
            dashed = layer.linetype != "CONTINUOUS" and not old
            points = tuple((x + dx, y + dy, bulge) for x, y, bulge in vertices)
            pen.polyline(points, layer.name, closed=closed, ltscale=scale if dashed else None)
        case Insert(block, (x, y), layer, degrees):
            pen.plain.use(block.name, (x + dx, y + dy), layer.name, degrees)
        case ArcLine((x, y), radius, start, end, layer):
            attributes = {"layer": layer.name} if old else {"layer": layer.name, "ltscale": scale}
            pen.space.add_arc((x + dx, y + dy), radius, start, end, dxfattribs=attributes)
        case Text(data=data) if data:
            pen.marks(item, at, scale)
        case Text():
            pen.text(item, at, scale)
        case Dimension() if old:
            _exploded(pen, item, DIMENSIONS, at, scale, style)
        case Dimension():
            _dimension(pen.space, item, at, scale, style.figures)
        case Hatch() if old:
            _exploded(pen, item, item.pattern.layer, at, scale, style)
        case Hatch():
            _hatch(pen.space, item, at, scale)
        case Fill(loop, _):
            pen.fill(tuple((x + dx, y + dy) for x, y in loop), RULE.name)
        case Picture():
            pass  # pictures are for the printed sheets


def _dimension(
    space: BaseLayout, item: Dimension, at: Point, scale: float, figures: Figures
) -> None:
    def moved(point: Point) -> Point:
        return point[0] + at[0], point[1] + at[1]

    cos, sin = cos_sin(item.degrees)
    (x0, y0), (x1, y1) = item.start, item.end
    length = abs((x1 - x0) * cos + (y1 - y0) * sin)
    text, override = item.sign + (item.figure or "<>"), {}
    if figures.units is Units.FEET and not item.figure:
        text = item.sign + figures.text(length)
    elif item.figure and item.figure == figures.fine(length):
        # it still follows what it measures
        text, override = f"{item.sign}<>", {"dimdec": 1}
    if item.masks:
        override["dimtfill"] = 1  # the figure on the colour of the background
    drawn = space.add_linear_dim(
        base=moved(item.base),
        p1=moved(item.start),
        p2=moved(item.end),
        angle=item.degrees,
        text=text,
        dimstyle=dimension_style(scale),
        override=override,
        dxfattribs={"layer": DIMENSIONS.name},
    )
    if item.text_at is not None:
        drawn.set_location(moved(item.text_at))
    drawn.render()


def _exploded(
    pen: Pen,
    item: Dimension | Hatch,
    layer: Layer,
    at: Point,
    scale: float,
    style: Style,
) -> None:
    """Draw an item that old versions do not know as the lines and text it has on paper."""
    for mark in on_paper(View("", scale, (item,)), style):
        if isinstance(mark, Stroke):
            points = tuple((x * scale + at[0], y * scale + at[1], 0.0) for x, y in mark.points)
            pen.polyline(points, layer.name, closed=mark.closed)
        elif isinstance(mark, Label):
            x, y = mark.at
            text = Text(mark.text, (x * scale, y * scale), mark.height, "left", mark.degrees, layer)
            pen.text(text, at, scale)


def _hatch(space: BaseLayout, item: Hatch, at: Point, scale: float) -> None:
    hatch = space.add_hatch(dxfattribs={"layer": item.pattern.layer.name})
    hatch.set_pattern_fill(
        item.pattern.name, scale=scale, definition=_definition(item.pattern), style=0
    )
    hatch.paths.add_polyline_path([(x + at[0], y + at[1]) for x, y in item.loop], is_closed=True)


def _definition(pattern: Pattern) -> list[Any]:
    """Return a pattern as the library takes it: angle, base, offset and dashes of each family."""
    lines = []
    for degrees, spacing, dashes in pattern.families:
        cos, sin = cos_sin(degrees)
        slip = 0.381966 * sum(dashes)
        offset = (-spacing * sin + slip * cos, spacing * cos + slip * sin)
        parts = [dash if place % 2 == 0 else -dash for place, dash in enumerate(dashes)]
        lines.append([degrees, (0.0, 0.0), offset, parts])
    return lines
