"""Checks of rails and of the lengths of timber that pieces are sawn from."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis import finding_register as register
from palewright.model.basis.findings import Finding
from palewright.model.basis.infill_kinds import CAPPING_END_GRAIN
from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.rail_pieces import LEAST_BEARING
from palewright.model.layout.run_layout import RunLayout, Stretch, place_of
from palewright.model.order.sawing import Section, by_length, sawn, stocks_of
from palewright.model.order.stock import Source
from palewright.model.parts.hardware import BRACKET_HEIGHT
from palewright.model.parts.rails import rails_apart
from palewright.model.parts.tenoned_rails import rail_tenon
from palewright.model.resolved.job import RunJob

LEAST_TENON = 25.0
"""How far a tenon goes into a post at the least, mm (common practice, no source)."""

FREE_END = 400.0
"""How far a rail may stand out past its last post with nothing to hold its end, mm (common
practice)."""


def rail_findings(layout: RunLayout, stretch: Stretch) -> Iterator[Finding]:
    """Yield rails too short to bear, rails longer than any to be had, and ends that hang free."""
    run = layout.run
    for piece in stretch.rails:
        apart = rails_apart(layout, stretch, piece)
        free = piece.x1 - stretch.xs[-1]
        if apart is not None and apart > run.rails.section[0] - BRACKET_HEIGHT and free > FREE_END:
            yield register.RAIL_END_FREE.at(
                place_of(stretch, piece.bays[1]),
                f"{mm(free)} mm past the last post, {mm(apart)} mm apart in height",
                f"{mm(FREE_END)} mm past it",
            )
            break
    for bay, span in enumerate(stretch.rail_spans):
        if span < LEAST_BEARING:
            yield register.RAIL_NO_ROOM.at(
                place_of(stretch, bay), f"{mm(span)} mm of rail", f"{mm(LEAST_BEARING)} mm or more"
            )
    yield from _short_tenons(run, stretch)
    longest = _longest_rail(run, stretch)
    stock = run.rails.stock_length
    if longest > stock * (1.0 + 1e-9):
        yield register.RAIL_LONG.at(
            place_of(stretch), f"{mm(longest)} mm", f"{mm(stock)} mm or less"
        )


def _short_tenons(run: RunJob, stretch: Stretch) -> Iterator[Finding]:
    """Yield corner posts in which a tenon is cut short by that of the other leg."""
    if run.rails.tenon is None:
        return
    for bay, right in ((0, False), (len(stretch.settings) - 1, True)):
        tenon = rail_tenon(run, stretch, bay, right=right)
        long = tenon.mean_length / stretch.settings[bay].secant if tenon is not None else 0.0
        if long < LEAST_TENON:
            post = stretch.posts[-1 if right else 0]
            yield register.TENON_SHORT.at(
                f"post {post.label}",
                f"{mm(long)} mm on an average",
                f"{mm(LEAST_TENON)} mm or more",
            )


def _longest_rail(run: RunJob, stretch: Stretch) -> float:
    """Return how long a piece the longest rail is sawn from, mm."""
    height, thickness = run.rails.section
    if run.rails.over_posts:
        return max(piece.stock(height, thickness) for piece in stretch.rails)
    more = 2.0 * run.rails.tenon.length if run.rails.tenon is not None else 0.0
    return max(
        (span + more) * setting.secant + height * abs(setting.slope)
        for span, setting in zip(stretch.rail_spans, stretch.settings, strict=True)
    )


def capping_findings(run: RunJob) -> Iterator[Finding]:
    """Yield a capping rail that has nothing but end grain to be fixed to."""
    plan = run.capping
    if plan is not None and not plan.on_posts and not run.carries:
        yield CAPPING_END_GRAIN.at(
            run.called,
            f"top rail {mm(run.height - run.rails.tops[-1])} mm under the tops",
            "flush with them",
        )


def timber_findings(fence: FenceModel) -> Iterator[Finding]:
    """Yield pieces that no length of timber listed is long enough for, and rails laid out from a
    length that is not sold.
    """
    for layout in fence.layouts:
        yield from _unsold(fence, layout)
    for section, pieces in sawn(fence).items():
        longest = max(length for length, _ in pieces.values())
        stocks, special = stocks_of(section, {longest: 1}, fence.job.timber, by_length)
        if special:
            sold = max(stock.length for stock in stocks if stock.source is Source.SOLD)
            marks = ", ".join(mark for mark, (length, _) in pieces.items() if length == longest)
            yield register.TIMBER_LONG.at(
                f"{section.name}, {marks}", f"{mm(longest)} mm", f"{mm(sold)} mm or less"
            )


def _unsold(fence: FenceModel, layout: RunLayout) -> Iterator[Finding]:
    """Yield the stock length of a run's rails where no board of that length is sold."""
    rails = layout.run.rails
    if not rails.over_posts or rails.panels is not None or not layout.stretches:
        return
    section = Section(max(rails.section), min(rails.section))
    sold, _ = stocks_of(section, {}, fence.job.timber, by_length)
    lengths = sorted(stock.length for stock in sold if stock.source is Source.SOLD)
    if not any(abs(length - rails.stock_length) < 0.05 for length in lengths):
        yield register.RAIL_STOCK.at(
            layout.run.called,
            f"{mm(rails.stock_length)} mm",
            f"{', '.join(mm(length) for length in lengths)} mm",
        )
