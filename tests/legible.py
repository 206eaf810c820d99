"""What makes a sheet illegible: text on text, and text that a line crosses; how full it is."""

from __future__ import annotations

import shapely

from palewright.export.drawing.draft.paper import Area, Label, Stroke, bounds, shifted
from palewright.export.drawing.sheets.free_paper import BETWEEN, free_area
from palewright.export.drawing.sheets.sheet import Sheet
from palewright.export.drawing.sheets.sheet_frame import frame_box, title_box

TINT = 0.75
"""Grey from which on black text on an area is read: 0 black to 1 white."""


def labels_of(sheet: Sheet) -> list[tuple[Label, shapely.Polygon, int]]:
    """Every text of a sheet with its box, and the number of its view."""
    found = []
    for number, placed in enumerate(sheet.placed):
        for mark in shifted(placed.recorded, *placed.at):
            if isinstance(mark, Label) and mark.text.strip():
                found.append((mark, shapely.Polygon(mark.box(descent=0.22)), number))
    return found


def overlapping(sheet: Sheet) -> list[tuple[str, str]]:
    """Return the texts that lie on one another."""
    labels = labels_of(sheet)
    tree = shapely.STRtree([box for _, box, _ in labels])
    return [
        (label.text, labels[other][0].text)
        for one, (label, box, _) in enumerate(labels)
        for other in tree.query(box, predicate="intersects")
        if other > one and box.intersection(labels[other][1]).area >= 1e-6
    ]


def crossed(sheet: Sheet) -> list[tuple[str, str]]:
    """Return the texts that anything drawn crosses, and the layer of what does: their letters, a
    hair inside. Any line counts, of the sheet's frame and of tables too, and filled areas but for
    a tint, on which text is read.
    """
    drawn: list[shapely.Geometry] = []
    layers: list[str] = []
    for mark in sheet.marks:
        if isinstance(mark, Stroke) and len(mark.points) > 1:
            ends = (*mark.points, mark.points[0]) if mark.closed else mark.points
            drawn.append(shapely.LineString(ends))
            layers.append(mark.layer.name)
        elif isinstance(mark, Area) and mark.grey < TINT:
            drawn.append(shapely.Polygon(mark.points))
            layers.append("filled")
    tree = shapely.STRtree(drawn)
    found = {
        (label.text, layers[hit])
        for label, _, _ in labels_of(sheet)
        for hit in tree.query(
            shapely.Polygon(label.box(descent=0.0)).buffer(-0.1), predicate="intersects"
        )
    }
    return sorted(found)


def used_share(sheet: Sheet) -> float:
    """Return the share of a sheet's free paper that its views' boxes cover, with half of what is
    kept free between views; frame and title block are not free.
    """
    frame, title = frame_box(sheet.size), title_box(sheet.size)
    outside = shapely.box(title.left, title.low, title.right, title.high)
    free = shapely.box(frame.left, frame.low, frame.right, frame.high).difference(outside)
    boxes = [
        shapely.box(*bounds(shifted(placed.recorded, *placed.at))).buffer(BETWEEN / 2.0)
        for placed in sheet.placed
        if placed.view.kind != "frame"
    ]
    assert abs(free.area - free_area(sheet.size)) < 1.0
    return float(shapely.union_all(boxes).intersection(free).area / free.area)
