"""The straight parts of a run and how each ends: what the wind on a place of them depends on."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from palewright.model.basis.units import format_length as mm
from palewright.model.layout.run_layout import RunLayout
from palewright.model.site.site_line import turns_by

from .wind_pressure import OPEN_FENCE, solid_coefficient, zone_at

RETURN_TURN = 30.0
"""From this turn on (degrees) the next leg is a return corner; below it the fence goes on
(common practice, no source)."""


@dataclass(frozen=True)
class PartEnd:
    """An end of a straight part. x : along the run, mm; back : how far the fence goes on round
    the corner, mm: none at a free end, without bound at a wall.
    """

    x: float
    back: float


@dataclass(frozen=True)
class StraightPart:
    """Fence without a corner or a gap in it. start, end : distances along the run, mm; ends :
    that the wind gets round or that return, none in a ring without corners.
    """

    start: float
    end: float
    ends: tuple[PartEnd, ...]


@dataclass(frozen=True)
class StraightParts:
    """The straight parts of a run, in order. ring : length of a closed run, mm, else none."""

    parts: tuple[StraightPart, ...]
    ring: float

    def at(self, span: tuple[float, float]) -> Iterator[tuple[StraightPart, float, float]]:
        """Yield the parts that a span touches, and from where to where in them."""
        for part in self.parts:
            for shift in (0.0, self.ring, -self.ring) if self.ring else (0.0,):
                low, high = span[0] + shift, span[1] + shift
                if part.start - NEAR <= high and low <= part.end + NEAR:
                    yield part, max(low, part.start), min(high, part.end)


NEAR = 1e-6
"""Places nearer to each other than this are one, mm."""


@dataclass(frozen=True)
class Coefficient:
    """A pressure coefficient on the whole area at a place. zone : "A" to "D"; words : how it was
    chosen.
    """

    value: float
    zone: str
    words: str


def straight_parts(layout: RunLayout, *, gates_open: bool) -> StraightParts:
    """Return the straight parts of a run.

    gates_open : whether the openings of gates part it, so that fence ends freely beside them.
    """
    run, legs = layout.run, layout.legs
    length = run.line.length
    ring = length if run.line.closed else 0.0
    breaks: list[tuple[float, float, str]] = []  # from, to, what parts the fence there
    for leg in legs[0 if run.line.closed else 1 :]:
        if turns_by(leg.turn_start, RETURN_TURN):
            breaks.append((leg.before, leg.before, "corner"))
    for opening in layout.openings if gates_open else ():
        before = opening.leg.before
        breaks.append((before + opening.start, before + opening.end, "gate"))
    breaks.sort()
    if run.line.closed:
        if not breaks:
            return StraightParts((StraightPart(0.0, length, ()),), ring)
        # the last part goes on over the start of the ring
        around = [*breaks, (breaks[0][0] + length, breaks[0][1] + length, breaks[0][2])]
    else:
        walls = (run.walled[at] and run.piers[at] is None for at in (0, 1))
        first, last = ("wall" if wall else "free" for wall in walls)
        around = [(0.0, 0.0, first), *breaks, (length, length, last)]
    spans = [(a[1], b[0], a[2], b[2]) for a, b in pairwise(around) if b[0] - a[1] > NEAR]
    lengths = [end - start for start, end, _, _ in spans]
    count = len(spans)
    parts = []
    for number, (start, end, left, right) in enumerate(spans):
        before = lengths[number - 1] if number or run.line.closed else 0.0
        after = lengths[(number + 1) % count] if number + 1 < count or run.line.closed else 0.0
        ends = PartEnd(start, _back(left, before)), PartEnd(end, _back(right, after))
        parts.append(StraightPart(start, end, ends))
    return StraightParts(tuple(parts), ring)


def _back(kind: str, beyond: float) -> float:
    return {"wall": math.inf, "corner": beyond}.get(kind, 0.0)


def coefficient_at(
    parts: StraightParts, span: tuple[float, float], height: float, solidity: float
) -> Coefficient:
    """Return the largest net pressure coefficient in a span of a run.

    Parameters
    ----------
    parts : StraightParts
        Of the run.
    span : (2,) float, mm
        From where to where along the run; both alike for a post.
    height : float, mm
        Of the fence.
    solidity : float
        Share of its area that members cover.

    Source
    ------
    EN 1991-1-4, 7.4.1, Table 7.9 and Figure 7.19.
    """
    if solidity <= 0.8:
        more = "" if solidity <= MORE_THAN_CAUGHT else "; 7.11 may give more"
        return Coefficient(OPEN_FENCE, "", f"cp,net of a fifth open{more}")
    chosen = [Coefficient(solid_coefficient(solidity, math.inf, 10.0, height, 1.0), "D", RING)]
    for part, low, high in parts.at(span):
        ratio = (part.end - part.start) / height
        for end in part.ends:
            away = low - end.x if end.x <= part.start else end.x - high
            value = solid_coefficient(solidity, away, ratio, height, min(end.back / height, 1.0))
            zone = zone_at(away, height)
            what = "a free end" if end.back == 0.0 else "a corner or wall"
            words = f"cp,net, zone {zone}, {mm(away, 0)} mm from {what}"
            chosen.append(Coefficient(value, zone, words))
    return max(reversed(chosen), key=lambda one: one.value)


RING = "cp,net, zone D, of a ring without corners"

MORE_THAN_CAUGHT = 0.75
"""Up to this solidity 1.2 on the whole area is at least a force coefficient of 1.6 on the members
(published worked examples of fences of rails and pales; EN 1991-1-4, 7.11, was not read)."""
