"""What the wind on a run depends on, worked out once for all its posts and rails."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.run_layout import RunLayout

from .leaf_weight import leaf_weight
from .rail_loads import RailBeam, rail_beams
from .shown import Shown, outlines, shown_by_leaf, shown_by_stretch
from .straight_parts import StraightParts, straight_parts
from .wind_on_fence import Basis, basis_of


@dataclass(frozen=True)
class RunWind:
    """A run with what the wind on it depends on.

    number : of the run; shown : by stretch, None where there are no pales; leaves : what each
    leaf shows, by gate and leaf; weights : of the leaves, kg; shut, opened : straight parts with
    gates shut and open; beams : rails of each stretch.
    """

    number: int
    layout: RunLayout
    basis: Basis
    shown: tuple[Shown | None, ...]
    leaves: dict[tuple[int, int], Shown]
    weights: dict[tuple[int, int], float]
    shut: StraightParts
    opened: StraightParts
    beams: tuple[tuple[RailBeam, ...], ...]


def run_winds(fence: FenceModel) -> Iterator[RunWind]:
    """Yield the runs of a fence that show something to the wind; none without [wind]."""
    wind = fence.job.wind
    if wind is None:
        return
    polygons = outlines(fence)
    for number, layout in enumerate(fence.layouts):
        run = layout.run
        leaves = {}
        weights = {}
        for opening in layout.openings:
            hung = polygons.get((number, opening.leg_number, True), [])
            for order, leaf in enumerate(opening.leaves):
                leaves[opening.number, order] = shown_by_leaf(hung, opening, leaf)
                weights[opening.number, order] = leaf_weight(run, fence.job.timber.density, leaf)
        shown = tuple(
            shown_by_stretch(polygons.get((number, stretch.leg_number, False), []), stretch)
            if stretch.pales
            else None
            for stretch in layout.stretches
        )
        if leaves or any(shown):
            yield RunWind(
                number,
                layout,
                basis_of(fence, run, wind),
                shown,
                leaves,
                weights,
                straight_parts(layout, gates_open=False),
                straight_parts(layout, gates_open=True),
                tuple(tuple(rail_beams(run, stretch)) for stretch in layout.stretches),
            )
