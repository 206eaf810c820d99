"""One sheet as a flat DXF drawing: all that is printed, in model space, in mm on paper.

For programs that know no sheets, and for R12, which has none: dimensions and hatches are the lines
and the text that they are on paper, on their own layers.
"""

from __future__ import annotations

from palewright.export.drawing.draft.paper import Area, Image, Label, Stroke
from palewright.export.drawing.draft.style import RULE, Style
from palewright.export.drawing.sheets.sheet import Sheet
from palewright.model.basis.text import in_dxf

from .dxf import TEXT_STYLE, Pen, fixed_meta_data, new_document, written


def write_flat_dxf(sheet: Sheet, title: str, style: Style, version: str = "R2018") -> bytes:
    """Return a sheet as a DXF drawing, its lower left corner at (0, 0).

    version : "R2018", "R2010" or "R12". Pictures are left out, as in all DXF files.
    """
    with fixed_meta_data():
        doc = new_document(version, title, style, set())
        space = doc.modelspace()
        corner = (sheet.size.width, sheet.size.height)
        space.reset_extents((0.0, 0.0, 0.0), (*corner, 0.0))
        space.reset_limits((0.0, 0.0), corner)
        # the library takes an origin for none
        doc.header["$EXTMIN"], doc.header["$EXTMAX"] = (0.0, 0.0, 0.0), (*corner, 0.0)
        pen = Pen.on(space)
        for mark in sheet.marks:
            match mark:
                case Stroke(points, _, layer, dashes, closed):
                    corners = tuple((x, y, 0.0) for x, y in points)
                    pen.polyline(
                        corners, layer.name, closed=closed, ltscale=1.0 if dashes else None
                    )
                case Label(text, at, height, degrees, layer):
                    words = in_dxf(text)
                    how = (layer.name, TEXT_STYLE)
                    pen.plain.text(words, at, height, how, (degrees, "left"))
                case Area(points, _):
                    pen.fill(points, RULE.name)
                case Image():
                    pass
        return written(doc)
