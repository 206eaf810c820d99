"""How high a fence stands over the ground, which planning rules ask for."""

from __future__ import annotations

from .run_layout import RunLayout

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


def highest_point(layout: RunLayout) -> float:
    """Return the greatest height of pales, posts, caps and gates over the ground below, mm.

    Pales are measured over the lowest ground under their width.
    """
    return max(height for height, _, _ in heights(layout))


def heights(layout: RunLayout) -> list[tuple[float, int, float]]:
    """Return heights over the ground with the leg and the x they are measured at, mm."""
    half = layout.run.pales.width / 2.0
    measured = []
    for stretch in layout.stretches:
        for pale in stretch.pales:
            ground = stretch.leg.lowest(pale.x - half, pale.x + half)
            measured.append((pale.top - ground, stretch.leg_number, pale.x))
        for post, x in zip(stretch.posts, stretch.xs, strict=True):
            measured.append((post.full_height, stretch.leg_number, x))
    for opening in layout.openings:
        for leaf in opening.leaves:
            top = opening.base + leaf.foot + leaf.height
            for edge in leaf.spacing.edges(2.0 * half):
                x = leaf.x0 + edge
                ground = opening.leg.lowest(x, x + 2.0 * half)
                measured.append((top - ground, opening.leg_number, x + half))
        for post, x in zip(opening.posts, (opening.start, opening.end), strict=True):
            measured.append((post.full_height, opening.leg_number, x))
    return measured
