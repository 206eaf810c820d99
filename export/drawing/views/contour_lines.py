"""Contours of the ground on plans: thin, every fifth thick with its level written in it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.figures import Units
from palewright.export.drawing.draft.lettering import text_width
from palewright.export.drawing.draft.view import Item, Line, Text
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Point, Vector
from palewright.model.site.contours import Contour, contours, suited_step

from .placing import Placer

ROUND = 14.0
"""How far round a fence contours are shown, mm on paper."""

LETTERS = 1.8
"""Height of levels in contours, mm on paper."""

TRIES = 24
"""Places along a contour where its level may stand."""

STRAIGHT = 0.97
"""How straight a contour is where its level stands: from end to end by along it."""

SHORTEST = 3.0
"""A piece of contour shorter than this is not drawn by itself, mm on paper."""


def fence_contours(fence: FenceModel, placer: Placer) -> tuple[list[Item], str]:
    """Return the contours round a fence, and what they are in words; nothing without a surface.

    To be drawn when all else has its place: contours stop at words.
    """
    job, draft = fence.job, placer.draft
    if job.ground is None:
        return [], ""
    xs, ys = zip(*(v[:2] for lay in fence.layouts for v in lay.run.line.vertices), strict=True)
    past = draft.full(ROUND)
    low, high = (min(xs) - past, min(ys) - past), (max(xs) + past, max(ys) + past)
    near = job.ground.within(low, high)
    if not near.triangles:
        return [], ""
    feet = draft.figures.units is Units.FEET
    step = suited_step(near, feet=feet) if job.contours is None else job.contours
    found = contours(near, step, job.origin[2])
    items = list(contour_items(found, (low, high), job.origin, placer))
    if not items:
        return [], ""
    metres = draft.figures.in_metres(job.origin)
    return items, f"contours every {f'{step / 1000.0:g} m' if metres else draft.figure(step)}"


def contour_items(
    found: tuple[Contour, ...], box: tuple[Point, Point], origin: Vector, placer: Placer
) -> Iterator[Item]:
    """Yield contours within a box, mm, broken where words stand. origin : of the site."""
    import shapely

    draft = placer.draft
    n, (low, high) = draft.n, box
    pieces: list[tuple[Contour, list[tuple[Point, ...]]]] = []
    for contour in found:
        points = (*contour.points, *(contour.points[:1] if contour.closed else ()))
        line = shapely.clip_by_rect(shapely.LineString(points), *low, *high)
        parts = [
            tuple((float(x), float(y)) for x, y in part.coords)
            for part in shapely.get_parts(shapely.line_merge(line))
            if part.geom_type == "LineString" and part.length > SHORTEST * n
        ]
        pieces.append((contour, parts))
    for contour, parts in pieces:
        words = draft.figures.site(contour.level, origin)
        for part in parts if contour.index else ():
            text = placer.place(list(_levels_in(part, words, draft)))
            if text is not None:
                yield text
    for contour, parts in pieces:
        layer = layers.INDEX_CONTOUR if contour.index else layers.CONTOUR
        for part in parts:
            for piece in placer.clear_of_words(part):
                yield Line.through(piece, layer)


def _levels_in(points: tuple[Point, ...], words: str, draft: Draft) -> Iterator[Text]:
    """Yield a contour's level at places along it, from its middle outwards, to be read upright."""
    import shapely

    line = shapely.LineString(points)
    half = text_width(words, LETTERS) * draft.n / 2.0
    for number in range(TRIES):
        share = 0.5 + (-1) ** number * ((number + 1) // 2) / TRIES
        at = share * line.length
        if at - half < 0.0 or at + half > line.length:
            continue
        a, b, middle = (line.interpolate(place) for place in (at - half, at + half, at))
        if math.dist((a.x, a.y), (b.x, b.y)) < STRAIGHT * 2.0 * half:
            continue
        turn = math.degrees(math.atan2(b.y - a.y, b.x - a.x))
        turn = (turn + 90.0) % 180.0 - 90.0
        drop = LETTERS / 2.0 * draft.n
        way = math.radians(turn)
        spot = middle.x + drop * math.sin(way), middle.y - drop * math.cos(way)
        yield Text(words, spot, LETTERS, "centre", turn)
