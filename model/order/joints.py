"""Where rails are jointed, chosen together with how they are cut from stock."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from palewright.model.fence.fence_model import FenceModel, build_fence, fence_of
from palewright.model.layout.lay_out import jointed
from palewright.model.layout.rail_pieces import rail_rows
from palewright.model.layout.run_layout import RunLayout, Stretch
from palewright.model.resolved.job import Job
from palewright.model.spec.buying import Timber

from .cutting import cut
from .sawing import Section, by_length, saw_of, stocks_of
from .stock import Way

Rows = tuple[tuple[int, ...], ...]


def make_fence(job: Job) -> FenceModel:
    """Return the fence that a job describes, its rails jointed for least timber where asked."""
    fence = build_fence(job)
    if all(run.rails.joints == "fewest" for run in job.runs):
        return fence
    return fence_of(job, with_joints(fence.layouts, job.timber))


def with_joints(layouts: Sequence[RunLayout], told: Timber) -> tuple[RunLayout, ...]:
    """Return the layouts with face rails jointed so that least timber is bought for them.

    Each stretch may be jointed as any length that is sold would have it; the cutting plan of all
    rails of a section takes one way for each. Of plans that take
    the same timber, that with the fewest rails is taken.
    """
    by_section: dict[Section, list[tuple[int, int, list[Rows]]]] = {}
    for number, layout in enumerate(layouts):
        rails = layout.run.rails
        if not rails.over_posts or rails.joints != "least timber":
            continue
        section = Section(max(rails.section), min(rails.section))
        for at, stretch in enumerate(layout.stretches):
            ways = _ways(layout, stretch, section, told)
            if any(length <= 0.0 for rows in ways for length in _way(layout, at, rows).pieces):
                continue  # the checks stop it
            by_section.setdefault(section, []).append((number, at, ways))
    jointed_layouts = list(layouts)
    for section, parts in by_section.items():
        choices = [[_way(layouts[number], at, rows) for rows in ways] for number, at, ways in parts]
        demand = Counter(length for choice in choices for way in choice for length in way.pieces)
        stocks, _ = stocks_of(section, demand, told, _in_thousandths)
        saw = saw_of(section, told)
        chosen = cut({}, stocks, saw, choices=choices).chosen
        for (number, at, ways), taken in zip(parts, chosen, strict=True):
            stretches = list(jointed_layouts[number].stretches)
            stretches[at] = jointed(jointed_layouts[number].run, stretches[at], ways[taken])
            jointed_layouts[number] = replace(jointed_layouts[number], stretches=tuple(stretches))
    return tuple(jointed_layouts)


def _in_thousandths(section: Section, length: float) -> int:
    """Return what a board costs: a thousand times its mm, so that of plans that take the same
    timber the one with the fewest rails is the cheapest.
    """
    return 1000 * by_length(section, length)


def _ways(layout: RunLayout, stretch: Stretch, section: Section, told: Timber) -> list[Rows]:
    """Return the ways to joint a stretch, that with the fewest joints first."""
    longest = layout.run.rails.stock_length
    stocks, _ = stocks_of(section, {}, told, by_length)
    lengths = sorted({stock.length for stock in stocks if stock.length < longest}, reverse=True)
    ways = [rail_rows(layout.run, stretch, length) for length in (longest, *lengths)]
    return list(dict.fromkeys(ways))


def _way(layout: RunLayout, at: int, rows: Rows) -> Way:
    """Return the stock lengths of a stretch's rails when it is jointed so; a rail costs a mm."""
    height, thickness = layout.run.rails.section
    pieces = jointed(layout.run, layout.stretches[at], rows).rails
    lengths = Counter(round(piece.stock(height, thickness), 4) for piece in pieces)
    return Way(lengths, len(pieces))
