"""Figures that lie on lines of a view: those lines stop at them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.paper import Label, Stroke, on_paper
from palewright.export.drawing.draft.view import Dimension, Item, View


def masked_figures(items: Sequence[Item], draft: Draft) -> list[Item]:
    """Return items with each dimension masking the lines of others that run through its figure."""
    import shapely

    def marks(one: Item) -> list[Label | Stroke]:
        drawn = on_paper(View("", draft.n, (one,)), draft.style)
        return [mark for mark in drawn if isinstance(mark, Label | Stroke)]

    lines = [
        shapely.LineString([*mark.points, mark.points[0]] if mark.closed else mark.points)
        for one in items
        if not isinstance(one, Dimension)
        for mark in marks(one)
        if isinstance(mark, Stroke) and len(mark.points) > 1
    ]
    tree = shapely.STRtree(lines)
    result: list[Item] = []
    for one in items:
        if isinstance(one, Dimension):
            boxes = [shapely.Polygon(m.box()) for m in marks(one) if isinstance(m, Label)]
            if any(len(tree.query(box, predicate="intersects")) for box in boxes):
                one = replace(one, masks=True)
        result.append(one)
    return result
