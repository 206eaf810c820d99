"""How high a fence stands over the ground, which planning rules ask for."""

from __future__ import annotations

from .placed_posts import PlacedPost
from .run_layout import RunLayout, stations_of_leg
from .side_ground import Side, ground_beside

POST_SIDES = ((1200.0, 75.0), (1850.0, 90.0))
"""Thinnest side of a post up to each height over the ground, mm (common practice, no source)."""

THICKER = 100.0
"""Thinnest side of a higher one, mm."""


def least_post_side(high: float) -> float:
    """Return the thinnest side of a post that stands so high over the ground, mm.

    >>> least_post_side(1100.0), least_post_side(1850.0), least_post_side(2000.0)
    (75.0, 90.0, 100.0)
    """
    return next((side for height, side in POST_SIDES if high <= height + 0.5), THICKER)


def highest_point(layout: RunLayout, side: Side = "line") -> float:
    """Return the greatest height of pales, what lies on them, posts, caps and gates over the ground
    below, mm.

    Pales are measured over the lowest ground under their width. side : whose ground.
    """
    return max(height for height, _, _ in heights(layout, side))


def highest_place(layout: RunLayout, side: Side = "line") -> tuple[float, str]:
    """Return the greatest height over the ground of a side, mm, and the label of the post nearest
    to it; of places as high the first along the run.
    """
    height, leg, x = max(
        heights(layout, side), key=lambda place: (round(place[0], 1), -place[1], -place[2])
    )
    stations = stations_of_leg(layout, leg)
    _, post = min(stations, key=lambda station: (abs(station[0] - x), station[1].label))
    return height, post.label


def heights(layout: RunLayout, side: Side = "line") -> list[tuple[float, int, float]]:
    """Return heights over the ground with the leg and the x they are measured at, mm.

    side : whose ground; that of the line where that side has no other.
    """

    def low(leg: int, x0: float, x1: float) -> float:
        return min(z for _, z in ground_beside(layout, leg, (x0, x1), side))

    def of_post(post: PlacedPost, leg: int, x: float) -> float:
        beside = low(leg, x, x)
        own = layout.legs[leg].ground(x)
        return post.full_height if beside == own else post.full_height + own - beside

    measured = []
    for stretch in layout.stretches:
        leg = stretch.leg_number
        for pale in stretch.pales:
            top = pale.top + layout.run.pales.crown * stretch.settings[pale.bay].secant
            measured.append((top - low(leg, *pale.sides), leg, pale.x))
        for post, x in zip(stretch.posts, stretch.xs, strict=True):
            measured.append((of_post(post, leg, x), leg, x))
    for opening in layout.openings:
        leg = opening.leg_number
        for leaf in opening.leaves:
            for place, length in zip(leaf.pales, leaf.lengths, strict=True):
                top = opening.base + leaf.foot + length
                ends = place.edge, place.edge + place.kind.width
                measured.append((top - low(leg, *ends), leg, place.middle))
        for post, x in zip(opening.posts, (opening.start, opening.end), strict=True):
            measured.append((of_post(post, leg, x), leg, x))
    return measured
