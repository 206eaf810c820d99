"""Checks of a fence: what is wrong or doubtful, in plain words, without building anything.

Findings are advice. Their limits are trade rules of thumb unless a source is named, and they do
not stand in for local codes, the planning authority or a qualified designer.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from palewright.model.basis import finding_register as register
from palewright.model.basis.findings import Finding, Severity
from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.shapes import RoundHole
from palewright.model.layout.footings import footing_of
from palewright.model.layout.leaves import BRACE_INSET, Leaf, brace_of
from palewright.model.layout.rail_pieces import LEAST_BEARING
from palewright.model.layout.run_layout import (
    Opening,
    RunLayout,
    Stretch,
    footed_posts,
    gate_place,
    place_of,
)
from palewright.model.layout.set_pales import SetPale, clearances
from palewright.model.layout.top_line import curve_ends as top_span
from palewright.model.order.sawing import by_length, sawn, stocks_of
from palewright.model.order.stock import Source
from palewright.model.parts.pales import LEAST
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.words import Follow, RailForm, WedgeFill
from palewright.model.spec.spec_tables import Limits

from .rule_findings import rule_findings
from .site_checks import site_findings
from .wind_findings import strength_findings

BRACE_ANGLES = (35.0, 60.0)
"""Between these angles over the level a brace works well, degrees (common practice)."""

LEAST_SHARE = 0.25
"""Least share of a post that is in the ground (common practice)."""

LONGEST_TAIL = 500.0
"""How far a pale may hang below the lowest rail, mm (common practice)."""

LEAST_ROOM = 250.0
"""Least room between posts for a spade, mm (common practice)."""

BUILDING = (
    "how it is built: geometry, rooms to work, gates, rails, holes, weather (common practice and "
    "limits of the spec)"
)

CAUTIONS = (
    "Before digging, ask for the plans of buried pipes and cables and trace them on the ground; "
    "treat every service as live.",
    "Wet cement burns skin and eyes: gloves, long sleeves, goggles; rinse at once.",
    "Treated timber: gloves and a dust mask; never burn offcuts; brush preservative on every cut "
    "and keep the uncut end of each post in the ground.",
    "Brace posts until the concrete is hard; get help with long posts and filled barrows.",
    "Wind is checked only where the spec gives it, and as advice. On exposed sites, next to the "
    "public, or where the fence guards a drop, water or children, have a qualified person design "
    "it.",
    "A gate must not open over a public road or footway; gates that children use need a latch "
    "and gaps to suit the local rules.",
    "Agree the boundary and the height with the neighbours and the planning authority first.",
)
"""Cautions for every job; they defer to local codes and licensed practice."""


def check(fence: FenceModel) -> tuple[Finding, ...]:
    """Return what is wrong or doubtful, stops first, then in the order of the fence."""
    limits = fence.job.limits
    found: list[Finding] = []
    for layout in fence.layouts:
        found.extend(_heights(layout, limits))
        found.extend(_embedments(layout))
        found.extend(_curves(layout))
        for stretch in layout.stretches:
            found.extend(_bays(layout, stretch, limits))
            found.extend(_pales(layout, stretch))
            found.extend(_ground(layout, stretch, stretch.pales, limits))
            found.extend(_top_line(layout, stretch, stretch.pales))
            found.extend(_rails(layout, stretch))
        for opening in layout.openings:
            found.extend(_gate(layout, opening, limits))
    found.extend(_holes(fence))
    found.extend(_lengths(fence))
    found.extend(site_findings(fence))
    found.extend(rule_findings(fence))
    found.extend(strength_findings(fence))
    rank = list(Severity)
    return tuple(sorted(found, key=lambda finding: rank.index(finding.severity)))


def _heights(layout: RunLayout, limits: Limits) -> Iterator[Finding]:
    run = layout.run
    where = f"run {run.letter}"
    clearance = run.pales.clearance
    if clearance < 0.0:
        yield register.PALE_IN_GROUND.at(where, f"{mm(clearance)} mm", "0 mm or more")
    elif clearance < limits.ground:
        yield register.PALE_NEAR_GROUND.at(
            where, f"{mm(clearance)} mm", f"{mm(limits.ground)} mm or more"
        )
    concrete = _concrete_at_pales(run)
    if 0.0 <= clearance < concrete:
        yield register.PALE_IN_CONCRETE.at(
            where, f"{mm(clearance)} mm", f"{mm(concrete)} mm or more"
        )
    top, low = run.rails.tops[-1], run.rails.tops[0] - run.rails.section[0]
    if top > run.height:
        yield register.RAIL_OVER_PALES.at(where, f"{mm(top)} mm", f"{mm(run.height)} mm or less")
    elif top > run.shoulder:
        yield register.RAIL_BEHIND_HEADS.at(
            where, f"{mm(top)} mm", f"{mm(run.shoulder)} mm or less"
        )
    if low < clearance:
        yield register.RAIL_UNDER_PALES.at(where, f"{mm(low)} mm", f"{mm(clearance)} mm or more")


def _concrete_at_pales(run: RunJob) -> float:
    """Return how high a line post's concrete stands where the pales' backs are, mm."""
    away = run.pale_back - run.face + run.posts.line.depth / 2.0
    return footing_of(run, run.posts.line).height_at(away)


def _embedments(layout: RunLayout) -> Iterator[Finding]:
    for kind, posts in footed_posts(layout):
        depth = posts[0].plan.embedment
        share = depth / (depth + max(post.top for post in posts))
        if share < LEAST_SHARE:
            yield register.POST_SHALLOW.at(
                f"run {layout.run.letter}, {kind} posts",
                f"{share:.0%}",
                f"{LEAST_SHARE:.0%} or more",
            )


def _bays(layout: RunLayout, stretch: Stretch, limits: Limits) -> Iterator[Finding]:
    leg = stretch.leg
    for bay, length in enumerate(stretch.bays):
        first, last = (stretch.posts[bay + end] for end in (0, 1))
        room = last.extent(leg)[0] - first.extent(leg)[1]
        where = place_of(stretch, bay)
        if room <= 0.0:
            yield register.POSTS_OVERLAP.at(where, f"{mm(room)} mm between them", "more than 0 mm")
        elif room < LEAST_ROOM:
            yield register.BAY_SHORT.at(where, f"{mm(room)} mm", f"{mm(LEAST_ROOM)} mm or more")
        if length > limits.bay * (1.0 + 1e-9):
            yield register.BAY_LONG.at(where, f"{mm(length)} mm", f"{mm(limits.bay)} mm or less")


def _pales(layout: RunLayout, stretch: Stretch) -> Iterator[Finding]:
    run = layout.run
    row = stretch.row
    where = place_of(stretch)
    if row.count == 0:
        yield register.PALE_NO_ROOM.at(
            where, f"{mm(row.x1 - row.x0)} mm", f"{mm(run.pales.width)} mm or more"
        )
    elif row.gap > run.pales.gap_max * (1.0 + 1e-9):
        yield register.GAP_WIDE.at(
            where, f"{mm(row.gap)} mm", f"{mm(run.pales.gap_max)} mm or less"
        )


def _curves(layout: RunLayout) -> Iterator[Finding]:
    worst = max(layout.legs, key=lambda leg: leg.offset)
    if worst.offset > 0.0:
        run = layout.run
        yield register.CHORD_OFFSET.at(
            f"run {run.letter}",
            f"{mm(worst.offset)} mm",
            f"{mm(run.posts.curve_offset)} mm" if run.posts.curve_offset else "no limit set",
        )


def _ground(
    layout: RunLayout, stretch: Stretch, pales: tuple[SetPale, ...], limits: Limits
) -> Iterator[Finding]:
    """Find what slopes bring about: steep rakes, wedges, short pales, rails near the ground."""
    run, leg = layout.run, stretch.leg
    for bay, setting in enumerate(stretch.settings):
        where = place_of(stretch, bay)
        if abs(setting.slope) > limits.rake * (1.0 + 1e-9):
            yield register.RAKE_STEEP.at(
                where,
                f"1 in {1.0 / abs(setting.slope):.1f}",
                f"1 in {1.0 / limits.rake:.1f} or flatter",
            )
        under = run.rails.tops[0] - run.rails.section[0] * setting.secant
        ground = leg.ground_between(setting.x0, setting.x1)
        room = min(setting.base(x) + under - z for x, z in ground)
        if room <= 0.0:
            yield register.RAIL_IN_GROUND.at(where, f"{mm(room)} mm", "more than 0 mm")
    if not pales:
        return
    most = clearances(layout.run, stretch.leg, stretch.pales)[1]
    filled = all(s.follow == Follow.STEP and s.fill == WedgeFill.BOARD for s in stretch.settings)
    if most > limits.open_foot and not filled:
        yield register.FOOT_OPEN.at(
            place_of(stretch), f"{mm(most)} mm", f"{mm(limits.open_foot)} mm or less"
        )
    lowest = min(pales, key=lambda pale: pale.length)
    curved = run.top_line.heads == "curve"
    rise = LEAST + run.top_line.rise if curved else run.head_rise
    if lowest.length <= rise:
        yield register.PALE_SHORT.at(
            place_of(stretch, lowest.bay), f"{mm(lowest.length)} mm", f"more than {mm(rise)} mm"
        )
    tails = [pale for pale in pales if _tail(layout, stretch, pale) > LONGEST_TAIL]
    if tails:
        longest = max(_tail(layout, stretch, pale) for pale in tails)
        yield register.PALE_LONG_TAIL.at(
            place_of(stretch),
            f"{mm(longest)} mm",
            f"{mm(LONGEST_TAIL)} mm or less",
            text=f"{len(tails)} {register.PALE_LONG_TAIL.means}",
        )


def _tail(layout: RunLayout, stretch: Stretch, pale: SetPale) -> float:
    """Return how far a pale hangs below the lowest rail, mm."""
    run, setting = layout.run, stretch.settings[pale.bay]
    under = run.rails.tops[0] - run.rails.section[0] * setting.secant
    return setting.base(pale.x) + under - pale.foot


def _top_line(layout: RunLayout, stretch: Stretch, pales: tuple[SetPale, ...]) -> Iterator[Finding]:
    """Find shaped top lines that cannot be, or that leave the top rail in the open."""
    run, line = layout.run, layout.run.top_line
    if line.shape == "straight" or not pales:
        return
    if line.shape != "wave" and line.curve == "circle":
        for bay in range(len(stretch.settings)):
            start, end = top_span(stretch, bay, line.over)
            if line.rise > (end - start) / 2.0:
                yield register.TOP_LINE_HIGH.at(
                    place_of(stretch, bay),
                    f"{mm(line.rise)} mm",
                    f"{mm((end - start) / 2)} mm or less",
                )
    rise = run.head_rise if line.heads == "pale" else 0.0
    least = min(
        pale.top - rise - stretch.settings[pale.bay].base(pale.x) - run.rails.tops[-1]
        for pale in pales
    )
    if least < 0.0:
        yield register.RAIL_OVER_DIP.at(place_of(stretch), f"{mm(-least)} mm over", "0 mm")


def _rails(layout: RunLayout, stretch: Stretch) -> Iterator[Finding]:
    run = layout.run
    stock = run.rails.stock_length
    spans = stretch.rail_spans
    for bay, span in enumerate(spans):
        if span < LEAST_BEARING:
            yield register.RAIL_NO_ROOM.at(
                place_of(stretch, bay), f"{mm(span)} mm of rail", f"{mm(LEAST_BEARING)} mm or more"
            )
    height, thickness = run.rails.section
    if run.rails.form == RailForm.FACE:
        longest = max(piece.stock(height, thickness) for piece in stretch.rails)
    else:
        longest = max(
            span * setting.secant + height * abs(setting.slope)
            for span, setting in zip(spans, stretch.settings, strict=True)
        )
    if longest > stock * (1.0 + 1e-9):
        yield register.RAIL_LONG.at(
            place_of(stretch), f"{mm(longest)} mm", f"{mm(stock)} mm or less"
        )


def _lengths(fence: FenceModel) -> Iterator[Finding]:
    """Find pieces that no length of timber listed is long enough for."""
    told = fence.job.timber
    for section, pieces in sawn(fence).items():
        longest = max(length for length, _ in pieces.values())
        demand = {longest: 1}
        stocks, special = stocks_of(section, demand, told, by_length)
        if special:
            sold = max(stock.length for stock in stocks if stock.source is Source.SOLD)
            marks = ", ".join(mark for mark, (length, _) in pieces.items() if length == longest)
            yield register.TIMBER_LONG.at(
                f"{section.name}, {marks}", f"{mm(longest)} mm", f"{mm(sold)} mm or less"
            )


def _gate(layout: RunLayout, opening: Opening, limits: Limits) -> Iterator[Finding]:
    run = layout.run
    where = gate_place(layout, opening)
    for leaf in opening.leaves:
        yield from _leaf(run, leaf, where, limits, opening.ground - opening.base)


def _leaf(run: RunJob, leaf: Leaf, where: str, limits: Limits, ground: float) -> Iterator[Finding]:
    width = leaf.width
    if leaf.spacing.count == 0:
        yield register.LEAF_NARROW.at(where, f"{mm(width)} mm", f"{mm(run.pales.width)} mm or more")
        return
    if leaf.spacing.gap > run.pales.gap_max * (1.0 + 1e-9):
        yield register.LEAF_GAP_WIDE.at(
            where, f"{mm(leaf.spacing.gap)} mm", f"{mm(run.pales.gap_max)} mm or less"
        )
    if width > limits.leaf:
        yield register.LEAF_WIDE.at(where, f"{mm(width)} mm", f"{mm(limits.leaf)} mm or less")
    if leaf.foot - ground < limits.ground:
        yield register.LEAF_NEAR_GROUND.at(
            where, f"{mm(leaf.foot - ground)} mm", f"{mm(limits.ground)} mm or more"
        )
    thickness = run.pales.thickness + run.gates.ledge[1]
    past = math.hypot(width, thickness) - width
    if past > run.gates.latch_clearance:
        yield register.LEAF_BINDS.at(
            where, f"{mm(past)} mm past its edge", f"{mm(run.gates.latch_clearance)} mm or less"
        )
    for low, high in pairwise(leaf.ledges):
        rise = high - low - run.gates.ledge[0]
        brace = brace_of(width, rise, run.gates.brace)
        if brace is None:
            yield register.BRACE_NO_ROOM.at(
                where,
                f"{mm(width - 2 * BRACE_INSET)} x {mm(rise)} mm for a brace of "
                f"{mm(run.gates.brace)} mm",
                "a diagonal between the ledges",
            )
        elif not BRACE_ANGLES[0] <= brace.degrees <= BRACE_ANGLES[1]:
            yield register.BRACE_ANGLE.at(
                where,
                f"{brace.degrees:.0f} degrees",
                f"{BRACE_ANGLES[0]:g} to {BRACE_ANGLES[1]:g} degrees",
            )


def _holes(fence: FenceModel) -> Iterator[Finding]:
    """Find neighbouring holes that run into each other, measured along the line of their posts."""
    for layout in fence.layouts:
        posts = sorted(layout.posts, key=lambda post: post.chainage)
        pairs = list(pairwise(posts))
        if layout.run.line.closed:
            pairs.append((posts[-1], posts[0]))
        hole = layout.run.footings.hole
        size = hole.diameter if isinstance(hole, RoundHole) else max(hole.width, hole.depth)
        for first, last in pairs:
            apart = math.dist(first.frame.origin[:2], last.frame.origin[:2])
            if apart < size:
                yield register.HOLES_MEET.at(
                    f"{first.label} and {last.label}",
                    f"{mm(apart)} mm apart",
                    f"{mm(size)} mm or more",
                )
