"""What makes a sheet illegible: text on text, and text that a dimension crosses."""

from __future__ import annotations

import shapely

from palewright.export.drawing.draft.paper import Label, Stroke, shifted
from palewright.export.drawing.draft.style import DIMENSIONS
from palewright.export.drawing.sheets.sheet import Sheet


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


def crossed(sheet: Sheet) -> list[str]:
    """Return the texts that a line of a dimension crosses: their letters, a hair inside."""
    lines = [
        shapely.LineString(mark.points)
        for mark in sheet.marks
        if isinstance(mark, Stroke) and mark.layer == DIMENSIONS
    ]
    if not lines:
        return []
    tree = shapely.STRtree(lines)
    return [
        label.text
        for label, _, _ in labels_of(sheet)
        if len(
            tree.query(shapely.Polygon(label.box(descent=0.0)).buffer(-0.1), predicate="intersects")
        )
    ]
