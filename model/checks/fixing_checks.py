"""Checks of bolts, nails and screws: room for them in the timber, and whether they hold."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis import finding_register as register
from palewright.model.basis.findings import Finding
from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.rail_pieces import RailPiece
from palewright.model.layout.run_layout import RunLayout, Stretch
from palewright.model.order.fixings import NAILS, SCREWS, driven_size
from palewright.model.parts.hardware import BOLTS
from palewright.model.parts.rails import bolt_place
from palewright.model.resolved.job import RunJob

ACROSS, NEAR_END, FULL_END = 7.0, 4.0, 7.0
"""Bolt diameters: of a timber's width (four to the loaded edge, three to the other), to an end that
carries next to nothing, and to one that carries all across the grain (EN 1995-1-1, Table 8.4)."""

SAWN = 1.0
"""How much thinner sawn timber may come than it is called, mm (EN 1313-1, from memory)."""

IN_POINT, IN_PALE, FROM_END = 6.0, 7.0, 10.0
"""Nail diameters: of its point in the rail, of a pale that is not drilled, and from a nail to the
pale's end (EN 1995-1-1, 8.3.2, 8.3.1.2 and Table 8.2)."""


def fixing_findings(fence: FenceModel, layout: RunLayout) -> Iterator[Finding]:
    """Yield what is wrong with bolts, nails and screws of a run."""
    run = layout.run
    if not layout.stretches:
        return
    if run.rails.bolted:
        yield from _bolts(layout)
    yield from _nails(fence, run)


def _bolts(layout: RunLayout) -> Iterator[Finding]:
    run = layout.run
    diameter = BOLTS[run.rails.bolt].diameter
    sides = [("rails", run.rails.section[0])]
    sides += [("posts", post.plan.width) for post in layout.posts if post.made]
    word, thin = min(sides, key=lambda side: side[1])
    if thin < ACROSS * diameter - 0.05:
        yield register.BOLT_THICK.at(
            f"{run.called}, {run.rails.bolt}",
            f"{word} of {mm(thin)} mm",
            f"{mm(ACROSS * diameter)} mm or more",
        )
    near = [
        (end, post.label)
        for stretch in layout.stretches
        for piece in stretch.rails
        for post, end in _end_distances(run, stretch, piece)
        if end < NEAR_END * diameter - 0.05
    ]
    if near:
        end, label = min(near)
        places = len({label for _, label in near})
        yield register.BOLT_NEAR_END.at(
            f"{run.called}, post {label}" + (f" and {places - 1} more" if places > 1 else ""),
            f"{mm(end)} mm from the rail's end",
            f"{mm(NEAR_END * diameter)} mm or more, {mm(FULL_END * diameter)} mm under full load",
        )


def _end_distances(
    run: RunJob, stretch: Stretch, piece: RailPiece
) -> Iterator[tuple[PlacedPost, float]]:
    """Yield the posts that a rail is bolted to, and how far the bolt is from the rail's end."""
    for post in stretch.posts[piece.bays[0] : piece.bays[1] + 2]:
        place = bolt_place(run, piece, post, stretch.leg)
        if place is not None:
            along = min(place - piece.x0, piece.x1 - place) * piece.setting.secant
            yield post, along


def _nails(fence: FenceModel, run: RunJob) -> Iterator[Finding]:
    told = fence.job.fixings
    where = run.called
    for through in sorted({layer.through for layer in run.layers}):
        yield from _driven(fence, run, through)
    foot = run.rails.tops[0] - run.rails.section[0] / 2.0 - run.pales.clearance
    thick, behind = run.pales.thickness, run.rails.section[1]
    _, diameter = driven_size(thick, behind, NAILS if told.pales == "nails" else SCREWS)
    if foot < FROM_END * diameter - 0.05:
        yield register.NAIL_NEAR_END.at(
            where, f"{mm(foot)} mm from the foot", f"{mm(FROM_END * diameter)} mm or more"
        )


def _driven(fence: FenceModel, run: RunJob, thick: float) -> Iterator[Finding]:
    """Yield what is wrong with the nails or screws of a layer. thick : what they pass, mm."""
    told, where, behind = fence.job.fixings, run.called, run.rails.section[1]
    length, diameter = driven_size(thick, behind, NAILS if told.pales == "nails" else SCREWS)
    shown = f"{told.pales[:-1]} {diameter:g} x {mm(length)}"
    if length >= thick + behind - 0.05:
        yield register.NAIL_THROUGH.at(
            where, f"{shown} in {mm(thick + behind)} mm", f"more than {mm(length)} mm"
        )
    elif length - thick < IN_POINT * diameter - 0.05:
        yield register.NAIL_SHALLOW.at(
            where, f"{shown}, {mm(length - thick)} mm in", f"{mm(IN_POINT * diameter)} mm or more"
        )
    thick = run.pales.thickness
    if told.pales == "nails" and thick < IN_PALE * diameter - SAWN:
        yield register.NAIL_SPLITS.at(
            where, f"{mm(thick)} mm with {shown}", f"{mm(IN_PALE * diameter)} mm or more"
        )
