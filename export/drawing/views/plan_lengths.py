"""Lengths on plans: each leg from corner to corner with its gates, and the chords of curves."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Dimension, Item
from palewright.model.geometry.frames import Point
from palewright.model.layout.run_layout import RunLayout
from palewright.model.site.site_line import Leg

from .dimensions import chain
from .front import Front, fronts_of
from .placing import Placer, around
from .plan_labels import placed_or_led
from .plan_symbols import upright

NEARER = 1.2
"""What a step farther out weighs against lines that meet."""

LEAST_DRAWN = 3.0
"""Legs shorter than this on paper have no dimension, mm: the table has their posts."""

STEPS_OUT = 6
"""How many distances from the fence a dimension is tried at, on either side."""


@dataclass(frozen=True)
class Side:
    """One side of a leg. face : y that dimensions start from; way : -1 on the front, 1 on the
    back; swing : how far leaves swing out there, and what else keeps dimensions off, mm.
    """

    face: float
    way: float
    swing: float


def lengths(layout: RunLayout, placer: Placer, *, gates: bool) -> Iterator[Item]:
    """Yield the dimension of each leg from corner to corner, and of the middles of its gates.

    On the front where there is room, else on the back, else farther out.
    """
    for whole in fronts_of(layout, most_turn=0.0):
        if len(whole.legs) > 1:
            yield from _curve_length(layout, whole, placer)
    for number, leg in enumerate(layout.legs):
        if not (leg.bent_start or leg.bent_end or too_short(leg, placer.draft)):
            yield from leg_length(layout, number, placer, gates=gates)


def leg_length(
    layout: RunLayout, number: int, placer: Placer, *, gates: bool
) -> Iterator[Dimension]:
    """Yield the dimension of a leg from corner to corner, and of its openings and gaps."""
    choices = _choices(layout, number, layout.legs[number], placer.draft, gates=gates)
    best, least = choices[0], math.inf
    for place, one in enumerate(choices):
        # a near line that meets another's end is better than one far off
        farther = NEARER * (place // 2)
        if farther >= least:
            break
        cost = placer.clashes(one) + farther
        if cost < least:
            best, least = one, cost
    for item in best:
        placer.take(item)
        yield item


def too_short(leg: Leg, draft: Draft) -> bool:
    """Tell whether a leg is so short on paper that its dimension would be all strokes."""
    return leg.length / draft.n < LEAST_DRAWN


SLIDING_ROOM = 300.0
"""Behind the posts' line, what a leaf that slides takes up, mm."""


def _choices(
    layout: RunLayout, number: int, leg: Leg, draft: Draft, *, gates: bool
) -> list[list[Dimension]]:
    """Return the places that a leg's dimensions may stand in: front and back, near first."""
    style = draft.style
    stops = [0.0, leg.length]
    inward = outward = 0.0
    for opening in layout.openings:
        if opening.leg_number == number:
            stops.append((opening.start + opening.end) / 2.0)
            widest = max(leaf.width for leaf in opening.leaves)
            if opening.spec.slide is not None:
                inward = style.offset * draft.n + SLIDING_ROOM
            elif opening.spec.swing == "out":  # past the arc of the leaves
                outward = widest + style.offset * draft.n
            else:
                inward = widest + style.offset * draft.n
    for gap in layout.run.breaks:
        if leg.before <= gap.start < leg.before + leg.length:
            stops += (gap.start - leg.before, gap.end - leg.before)
    stops.sort()
    shown = stops if gates else [0.0, leg.length]
    front = Side(-layout.run.fence_front, -1.0, outward)
    back = Side(layout.run.face, 1.0, inward)
    choices = []
    for step in range(STEPS_OUT):
        more = (style.first_tier + 1.7 * style.tier * step) * draft.n
        choices += [_tiers(leg, shown, side, more, draft) for side in (front, back)]
    return choices


def _tiers(leg: Leg, stops: list[float], side: Side, more: float, draft: Draft) -> list[Dimension]:
    """Return the dimension of a leg, and before it a line with its gates if it has any."""
    tier = side.face + side.way * max(more, side.swing)
    with_gates: list[Dimension] = []
    if len(stops) > 2:
        one = _along(leg, (stops[0], stops[1]), side.face, tier, draft)
        measured = [leg.frame.point((x, side.face, 0.0))[:2] for x in stops]
        with_gates = chain(measured, one.base, one.degrees, draft)
        tier += side.way * draft.style.tier * draft.n
    return [*with_gates, _along(leg, (0.0, leg.length), side.face, tier, draft)]


def _along(leg: Leg, span: Point, face: float, tier: float, draft: Draft) -> Dimension:
    frame = leg.frame
    degrees = upright(math.degrees(math.atan2(frame.x[1], frame.x[0])))
    start, end, base = (
        frame.point((x, y, 0.0))[:2] for x, y in ((span[0], face), (span[1], face), (0.0, tier))
    )
    return chain((start, end), base, degrees, draft)[0]


def _curve_length(layout: RunLayout, front: Front, placer: Placer) -> Iterator[Item]:
    """Say how many chords a curve has and how long they are, beside its middle."""
    draft = placer.draft
    chords = Counter(round(layout.legs[number].length, 1) for number in front.legs)
    words = " + ".join(f"{count} x {draft.figure(length)}" for length, count in chords.items())
    leg = layout.legs[front.legs[len(front.legs) // 2]]
    spot = leg.frame.point((leg.length / 2.0, 0.0, 0.0))[:2]
    front_way = (-leg.frame.y[0], -leg.frame.y[1])
    choices = [
        around(f"chords {words}", spot, way, away, draft)
        for away in (4.0, 7.0, 11.0, 16.0)
        for way in (front_way, leg.frame.y[:2])
    ]
    yield from placed_or_led(choices, spot, placer)
