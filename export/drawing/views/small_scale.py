"""A front at a scale at which single pales would run into one another: its outlines alone."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Item, Line
from palewright.model.geometry.frames import Point
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.run_layout import Opening, Stretch

from .front import Front, Stations
from .members_shown import Window

LEAST_PITCH = 0.25
"""Pales whose middles are closer on paper than this are not drawn singly, mm."""

SMOOTH = 0.05
"""How far a drawn outline may be from the true one, mm on paper."""

NOTE = (
    "pales and rails in outline at this scale; a bay is drawn among the details, "
    "all bays are in the table"
)


def too_small(front: Front, draft: Draft) -> bool:
    """Tell whether the pales of a front would run into one another on paper."""
    rows = [s.row for leg in front.legs for s in front.layout.stretches_of[leg]]
    pitches = [row.plan.widest + row.gap for row in rows]
    return bool(pitches) and max(pitches) / draft.n < LEAST_PITCH


def outlines(
    front: Front, stations: Stations, window: Window, draft: Draft, *, buried: bool
) -> Iterator[Item]:
    """Yield the outline of each bay, post, hole and leaf that is shown.

    buried : whether holes are dashed; else they are left out.
    """
    for leg in front.legs:
        start, rise = front.starts[leg], front.rise(leg)
        if start + front.layout.legs[leg].length < window.left or start > window.right:
            continue
        for stretch in front.layout.stretches_of[leg]:
            yield from _bays(stretch, (start, rise), window, draft)
        for opening in front.layout.openings_of[leg]:
            if window.holds(start + (opening.start + opening.end) / 2.0):
                yield from _leaves(opening, (start, rise))
    for x, post in stations:
        yield from _post(front, x, post, buried=buried)


def _bays(stretch: Stretch, at: Point, window: Window, draft: Draft) -> Iterator[Item]:
    import shapely

    for _, group in groupby(stretch.pales, key=lambda pale: pale.bay):
        pales = [pale for pale in group if window.holds(at[0] + pale.x)]
        if not pales:
            continue
        first, last = pales[0], pales[-1]
        ends = [(first.sides[0], first), *((pale.x, pale) for pale in pales), (last.sides[1], last)]
        tops = [(at[0] + x, at[1] + pale.top) for x, pale in ends]
        feet = [(at[0] + x, at[1] + pale.foot) for x, pale in reversed(ends)]
        smooth = shapely.simplify(
            shapely.LinearRing([*tops, *feet]), draft.full(SMOOTH), preserve_topology=True
        )
        loop = tuple((float(x), float(z)) for x, z in smooth.coords[:-1])
        yield Line.through(loop, layers.PALES, closed=True)


def _leaves(opening: Opening, at: Point) -> Iterator[Item]:
    for leaf in opening.leaves:
        loop = tuple((at[0] + x, at[1] + opening.base + z) for x, z in leaf.outline())
        yield Line.through(loop, layers.PALES, closed=True)


def _post(front: Front, x: float, post: PlacedPost, *, buried: bool) -> Iterator[Item]:
    ground = post.frame.origin[2] - front.datum
    half, top = post.plan.width / 2.0, ground + post.full_height
    loop = ((x - half, ground), (x + half, ground), (x + half, top), (x - half, top))
    yield Line.through(loop, layers.POSTS, closed=True)
    if buried and post.footing is not None:
        half, low = post.footing.size[0] / 2.0, ground - post.footing.depth
        hole = ((x - half, ground), (x - half, low), (x + half, low), (x + half, ground))
        yield Line.through(hole, layers.HIDDEN)
