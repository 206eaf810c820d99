"""Writing views as DXF: true dimensions, blocks by mark, layers with weights, mm."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

from palewright.export.tree import plain
from palewright.model.errors import OutputError
from palewright.model.fence import Fence

from .style import FONT, Style
from .view import Arc, Block, Dimension, Insert, Line, Text, View

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts.layout import Modelspace

TEXT_STYLE = "PALEWRIGHT"
VERSION = "R2018"

LINETYPES = {
    "DASHED": ("dashed", [15.0, 12.0, -3.0]),
    "CENTER": ("long dash, dot", [30.5, 24.0, -3.0, 0.5, -3.0]),
}
"""Patterns of ISO 128 for a line 0.25 mm wide would be a quarter of these (dash 12 d, gap 3 d,
long dash 24 d, from memory); the entities' own scale sets the size on paper."""

PATTERN_WIDTH = 0.25
"""Line width the patterns are scaled to, mm."""


def write_dxf(fence: Fence, views: tuple[View, ...], style: Style) -> bytes:
    """Return views as a DXF drawing in model space at full size, mm.

    The same views give the same bytes: no clock, no random ids.

    Raises
    ------
    OutputError
        When the drawing does not pass the writer's own audit.
    """
    import ezdxf
    from ezdxf import units

    fixed = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        doc = ezdxf.new(VERSION, setup=False, units=units.MM)
        doc.header["$MEASUREMENT"] = 1
        doc.header["$LUNITS"] = 2
        doc.header["$LWDISPLAY"] = 1
        doc.header["$PROJECTNAME"] = plain(fence.job.project.name)[:200]
        _tables(doc, style, {view.scale for view in views})
        model = doc.modelspace()
        model.units = units.InsertUnits.Millimeters
        for view in views:
            for block in view.blocks:
                _block(doc, block)
            _view(model, view, style)
        audit = doc.audit()
        if audit.has_errors:
            raise OutputError(f"the drawing failed its audit: {audit.errors[0].message}")
        # the writer takes these from a set, whose order changes from process to process
        doc.classes.add_required_classes(doc.dxfversion)
        doc.classes.classes = dict(sorted(doc.classes.classes.items()))
        out = io.StringIO()
        doc.write(out)
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = fixed
    return out.getvalue().encode("utf-8", errors="surrogateescape")


def dimension_style(scale: int) -> str:
    """Return the name of the dimension style for views at 1:scale."""
    return f"PALEWRIGHT-{scale}"


def _tables(doc: Drawing, style: Style, scales: set[int]) -> None:
    for name, (text, pattern) in LINETYPES.items():
        doc.linetypes.add(name, pattern, description=text)
    for layer in style.layers:
        made = doc.layers.add(
            layer.name, color=layer.colour, linetype=layer.linetype, lineweight=layer.weight
        )
        made.description = layer.note
    doc.styles.add(TEXT_STYLE, font=FONT)
    for scale in sorted(scales):
        doc.dimstyles.new(
            dimension_style(scale),
            dxfattribs={
                "dimscale": scale,
                "dimlfac": 1.0,
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
                "dimdec": 1,
                "dimzin": 8,
                "dimdsep": ord("."),
                "dimtmove": 2,
                "dimtix": 1,
                "dimlwd": -1,
                "dimlwe": -1,
            },
        )


def _block(doc: Drawing, block: Block) -> None:
    if block.name in doc.blocks:
        return
    from ezdxf.units import InsertUnits

    made = doc.blocks.new(block.name)
    made.units = InsertUnits.Millimeters
    for line in block.lines:
        made.add_lwpolyline(
            line.vertices, format="xyb", close=line.closed, dxfattribs={"layer": line.layer.name}
        )


def _view(model: Modelspace, view: View, style: Style) -> None:
    dx, dy = view.at
    scale = view.scale
    ltscale = PATTERN_WIDTH * scale
    for item in view.items:
        match item:
            case Line(vertices, layer, closed):
                attributes: dict[str, Any] = {"layer": layer.name}
                if layer.linetype != "CONTINUOUS":
                    attributes["ltscale"] = ltscale
                points = [(x + dx, y + dy, bulge) for x, y, bulge in vertices]
                model.add_lwpolyline(points, format="xyb", close=closed, dxfattribs=attributes)
            case Insert(block, (x, y), layer, degrees):
                model.add_blockref(
                    block, (x + dx, y + dy), dxfattribs={"layer": layer.name, "rotation": degrees}
                )
            case Arc((x, y), radius, start, end, layer):
                model.add_arc(
                    (x + dx, y + dy),
                    radius,
                    start,
                    end,
                    dxfattribs={"layer": layer.name, "ltscale": ltscale},
                )
            case Text():
                _text(model, item.text, (item.at[0] + dx, item.at[1] + dy), item, scale)
            case Dimension():
                _dimension(model, item, (dx, dy), scale)
    x, y = view.titled_at
    title = Text(f"{view.title}   1:{scale}", (x, y), style.subtitle)
    _text(model, title.text, (x + dx, y + dy), title, scale)


def _text(model: Modelspace, text: str, at: tuple[float, float], item: Text, scale: int) -> None:
    from ezdxf.enums import TextEntityAlignment as Align

    from .style import TEXT

    made = model.add_text(
        plain(text),
        height=item.height * scale,
        rotation=item.degrees,
        dxfattribs={"layer": TEXT.name, "style": TEXT_STYLE},
    )
    align = {"left": Align.LEFT, "centre": Align.CENTER, "right": Align.RIGHT}[item.align]
    made.set_placement(at, align=align)


def _dimension(model: Modelspace, item: Dimension, shift: tuple[float, float], scale: int) -> None:
    from .style import DIMENSIONS

    def moved(point: tuple[float, float]) -> tuple[float, float]:
        return point[0] + shift[0], point[1] + shift[1]

    made = model.add_linear_dim(
        base=moved(item.base),
        p1=moved(item.start),
        p2=moved(item.end),
        angle=item.degrees,
        dimstyle=dimension_style(scale),
        dxfattribs={"layer": DIMENSIONS.name},
    )
    if item.text_at is not None:
        made.set_location(moved(item.text_at))
    made.render()
