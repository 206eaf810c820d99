"""What rules measure: each a function from a fence and a run to places and values."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.heights import highest_point
from palewright.model.layout.pale_rows import opening_of
from palewright.model.layout.run_layout import gate_place, place_of
from palewright.model.layout.set_pales import clearances
from palewright.model.layout.side_ground import ground_beside, side_words, sides_apart

Measured = list[tuple[str, float]]

CLIMBABLE = 300.0
"""A rail nearer than this to the pales' tops helps nobody up, mm (common practice)."""


def _height(fence: FenceModel, run: int) -> Measured:
    """Greatest height over the ground, from either side where they are not alike."""
    layout = fence.layouts[run]
    return [
        (f"{layout.run.called}{side_words(side)}", highest_point(layout, side))
        for side in sides_apart(layout.run)
    ]


def _least_height(fence: FenceModel, run: int) -> Measured:
    """Lowest top of a pale over the ground beside it, from either side."""
    layout = fence.layouts[run]
    measured = []

    def ground(leg: int, xs: tuple[float, ...]) -> float:
        return max(z for x in xs for _, z in ground_beside(layout, leg, (x, x), side))

    for side in sides_apart(layout.run):
        words = side_words(side)
        for stretch in layout.stretches:
            if stretch.pales:
                least = min(p.top - ground(stretch.leg_number, p.sides) for p in stretch.pales)
                measured.append((f"{place_of(stretch)}{words}", least))
        for opening in layout.openings:
            high = opening.ground
            if words:
                ends = (opening.start, opening.end)
                high = max(z for _, z in ground_beside(layout, opening.leg_number, ends, side))
            for leaf in opening.leaves:
                where = f"{gate_place(layout, opening)}{words}"
                least = min(leaf.lengths, default=leaf.height)
                measured.append((where, opening.base + leaf.foot + least - high))
    return measured


def _gap(fence: FenceModel, run: int) -> Measured:
    """Clear gaps between pales, in leaves, and beside leaves."""
    layout = fence.layouts[run]
    measured = []
    for stretch in layout.stretches:
        row = stretch.row
        if row.count > 1:
            measured.append((place_of(stretch), opening_of(layout.run, row)))
    for opening in layout.openings:
        where = gate_place(layout, opening)
        gates = layout.run.gates
        slide = opening.leaves[0].plan.slide
        beside = max(gates.hinge_clearance, gates.latch_clearance) if slide is None else slide.clear
        for leaf in opening.leaves:
            measured.append((where, max(leaf.spacing.gap, beside)))
    return measured


def _ground_gap(fence: FenceModel, run: int) -> Measured:
    """Largest clearance under pales and leaves."""
    layout = fence.layouts[run]
    measured = []
    for stretch in layout.stretches:
        if stretch.pales:
            where = place_of(stretch)
            measured.append((where, clearances(stretch.leg, stretch.pales)[1]))
    for opening in layout.openings:
        leg = opening.leg
        where = gate_place(layout, opening)
        for leaf in opening.leaves:
            low = leg.lowest(leaf.x0, leaf.x1)
            measured.append((where, opening.base + leaf.foot - low))
    return measured


def _footholds(fence: FenceModel, run: int) -> Measured:
    """Level rails that a foot finds below the tops."""
    job = fence.layouts[run].run
    count = sum(1 for top in job.rails.tops if top < job.height - CLIMBABLE)
    return [(job.called, float(count))]


def rails_apart(fence: FenceModel, run: int) -> float:
    """Return the least distance between the tops of neighbouring rails, mm; inf for one."""
    tops = fence.layouts[run].run.rails.tops
    return min((b - a for a, b in pairwise(tops)), default=float("inf"))


MEASURES: dict[str, Callable[[FenceModel, int], Measured]] = {
    "height": _height,
    "least height": _least_height,
    "gap": _gap,
    "ground gap": _ground_gap,
    "footholds": _footholds,
}
"""What a rule can be about: mm, but for `footholds`, a count."""
