"""What rules measure: each a function from a fence and a run to places and values."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.heights import highest_point
from palewright.model.layout.run_layout import gate_place, place_of
from palewright.model.layout.set_pales import clearances

Measured = list[tuple[str, float]]

CLIMBABLE = 300.0
"""A rail nearer than this to the pales' tops helps nobody up, mm (common practice)."""


def _height(fence: FenceModel, run: int) -> Measured:
    layout = fence.layouts[run]
    return [(layout.run.called, highest_point(layout))]


def _least_height(fence: FenceModel, run: int) -> Measured:
    """Lowest top of a pale over the ground beside it."""
    layout = fence.layouts[run]
    half = layout.run.pales.width / 2.0
    measured = []
    for stretch in layout.stretches:
        leg = stretch.leg
        if stretch.pales:
            least = min(
                p.top - max(leg.ground(p.x - half), leg.ground(p.x + half)) for p in stretch.pales
            )
            measured.append((place_of(stretch), least))
    for opening in layout.openings:
        for leaf in opening.leaves:
            where = gate_place(layout, opening)
            measured.append((where, opening.base + leaf.foot + leaf.height - opening.ground))
    return measured


def _gap(fence: FenceModel, run: int) -> Measured:
    """Clear gaps between pales, in leaves, and beside leaves."""
    layout = fence.layouts[run]
    measured = []
    for stretch in layout.stretches:
        row = stretch.row
        if row.count > 1:
            measured.append((place_of(stretch), row.gap))
    for opening in layout.openings:
        where = gate_place(layout, opening)
        gates = layout.run.gates
        beside = max(gates.hinge_clearance, gates.latch_clearance)
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
            measured.append((where, clearances(layout.run, stretch.leg, stretch.pales)[1]))
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
