"""How high a fence stands over the ground, which planning rules ask for."""

from __future__ import annotations

from .leaves import leaves
from .post_sizes import full_height
from .run_layout import RunLayout


def highest_point(layout: RunLayout) -> float:
    """Return the greatest height of pales, posts, caps and gates over the ground below, mm.

    Pales are measured over the lowest ground under their width.
    """
    return max(height for height, _, _ in heights(layout))


def heights(layout: RunLayout) -> list[tuple[float, int, float]]:
    """Return heights over the ground with the leg and the x they are measured at, mm."""
    run = layout.run
    half = run.pales.width / 2.0
    found = []
    for stretch, pales in zip(layout.stretches, layout.pales, strict=True):
        leg = layout.legs[stretch.leg]
        for pale in pales:
            ground = leg.lowest(pale.x - half, pale.x + half)
            found.append((pale.top - ground, stretch.leg, pale.x))
        for number, x in zip(stretch.posts, stretch.xs, strict=True):
            found.append((full_height(layout, layout.posts[number]), stretch.leg, x))
    for opening in layout.openings:
        leg = layout.legs[opening.leg]
        ground = leg.lowest(opening.start, opening.end)
        for leaf in leaves(run, opening):
            top = opening.base + leaf.foot + leaf.height
            found.append((top - ground, opening.leg, leaf.x0))
        for number, x in zip(opening.posts, (opening.start, opening.end), strict=True):
            found.append((full_height(layout, layout.posts[number]), opening.leg, x))
    return found
