"""Checks of sizes that are too small for the height: posts, rails, pales, and how many rails.

The limits are common practice without a source; where wind is given it is worked out besides.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from palewright.model.basis import finding_register as register
from palewright.model.basis.findings import Finding
from palewright.model.basis.units import format_length as mm
from palewright.model.layout.heights import least_post_side
from palewright.model.layout.run_layout import RunLayout, footed_posts
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.rail_plan import LOW_FENCE

THINNEST_PALE, PALE_SPANS = 14.0, 60.0
"""Thinnest pale, mm, and how many thicknesses it may span between rails."""

THINNEST_RAIL, RAIL_SPANS = 32.0, 75.0
"""Thinnest side of a rail, mm, and how many thicknesses a bay may have."""

FREE_HEAD = 300.0
"""How far pales may stand over the top rail, mm."""


def slender_findings(layout: RunLayout) -> Iterator[Finding]:
    """Yield posts, rails and pales that are too thin, and rails that are too few."""
    run = layout.run
    where = run.called
    for kind, posts in footed_posts(layout):
        high = max(post.top for post in posts)
        thin = min(min(post.plan.width, post.plan.depth) for post in posts)
        least = least_post_side(high)
        if thin < least - 0.05:
            yield register.POST_THIN.at(
                f"{where}, {kind} posts", f"{mm(thin)} mm, {mm(high)} mm high", f"{mm(least)} mm"
            )
    if layout.stretches:
        yield from _rails(layout, where)
        yield from _pales(run, where)


def _rails(layout: RunLayout, where: str) -> Iterator[Finding]:
    run = layout.run
    thin = min(run.rails.section)
    bay = max(x1 - x0 for s in layout.stretches for x0, x1 in pairwise(s.xs))
    least = max(THINNEST_RAIL, bay / RAIL_SPANS)
    if thin < least - 0.05:
        yield register.RAIL_THIN.at(
            where, f"{mm(thin)} mm in a bay of {mm(bay)} mm", f"{mm(least)} mm or more"
        )
    count, wanted = len(run.rails.tops), 2 if run.height <= LOW_FENCE + 0.5 else 3
    if count < wanted:
        yield register.RAILS_FEW.at(
            where, f"{count} for {mm(run.height)} mm of height", f"{wanted} or more"
        )


def _pales(run: RunJob, where: str) -> Iterator[Finding]:
    thick = run.pales.thickness
    span = max((b - a for a, b in pairwise(run.rails.tops)), default=0.0)
    least = max(THINNEST_PALE, span / PALE_SPANS)
    if thick < least - 0.05:
        apart = f", rails {mm(span)} mm apart" if span else ""
        yield register.PALE_THIN.at(where, f"{mm(thick)} mm{apart}", f"{mm(least)} mm or more")
    free = run.height - run.rails.tops[-1]
    if free > FREE_HEAD:
        yield register.PALE_HIGH_HEAD.at(where, f"{mm(free)} mm", f"{mm(FREE_HEAD)} mm or less")
