"""Gate leaves: pales on ledges with a brace, and where hinges and latch sit.

A leaf hangs in the plane of the fence: its pales line up with the fence's, its ledges with the
rails. The brace rises from the bottom of the hanging side, so that it is pressed, not pulled.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from .geometry import Frame, Outline
from .hardware import (
    DROP_BOLT_DIAMETER,
    DROP_BOLT_LENGTH,
    DROP_BOLT_LIFT,
    KEEP_DEPTH,
    KEEP_HEIGHT,
    KEEP_METAL,
    LATCH_DEPTH,
    LATCH_HEIGHT,
    LATCH_LENGTH,
    PIN_DIAMETER,
    PIN_LENGTH,
    STRAP_HEIGHT,
    STRAP_METAL,
)
from .heads import pale_outline
from .layout import Opening, RunLayout
from .members import BRACE, DROP_BOLT, KEEP, LATCH, LEDGE, PALE, PIN, STRAP, Kind, Piece
from .resolve import RunJob
from .shapes import Bar, EndCut, Plate, Rod, Shape, rectangle_section, tidy, tidy_slope
from .spacing import Spacing, space_pales

MIDDLE_LEDGE = 1500.0
"""A leaf taller than this between its outer ledges gets a middle one, mm (common practice)."""

BRACE_INSET = 20.0
"""From the leaf's edges to the brace's ends along the ledges, mm."""


@dataclass(frozen=True)
class Leaf:
    """A gate leaf.

    x0, x1 : its edges along the leg; hinge_left : whether it hangs on the left, seen from the
    front; foot, height : of its pales over the gate's base; ledges : height of each ledge's
    underside over it, lowest first; spacing : of its pales; keeps : whether its free side shuts
    against a post; stands : whether it is held by a drop bolt.
    """

    x0: float
    x1: float
    hinge_left: bool
    foot: float
    height: float
    ledges: tuple[float, ...]
    spacing: Spacing
    keeps: bool
    stands: bool

    @property
    def width(self) -> float:
        """Width of the leaf, mm."""
        return self.x1 - self.x0


@dataclass(frozen=True)
class Brace:
    """A brace tight between two ledges.

    degrees : of its axis over the horizontal; along : length of its cuts on the ledges, mm;
    run : level distance from one end of a side to the other, mm; rise : between the ledges, mm.
    """

    degrees: float
    along: float
    run: float
    rise: float


def leaves(run: RunJob, opening: Opening) -> tuple[Leaf, ...]:
    """Return the leaves of a gate, from left to right."""
    gates, spec = run.gates, opening.spec
    # with a level top line the ground may lie below the base
    foot = max(run.pales.clearance, gates.ground_clearance) + opening.ground - opening.base
    hinge, latch = gates.hinge_clearance, gates.latch_clearance
    start, end = opening.start, opening.end
    spans: tuple[tuple[float, float, bool, bool, bool], ...]
    if spec.leaves == 2:
        middle = (start + end) / 2.0
        spans = (
            (start + hinge, middle - latch / 2.0, True, False, False),
            (middle + latch / 2.0, end - hinge, False, False, True),
        )
    elif spec.hinge == "left":
        spans = ((start + hinge, end - latch, True, True, False),)
    else:
        spans = ((start + latch, end - hinge, False, True, False),)
    return tuple(
        Leaf(
            x0,
            x1,
            left,
            foot,
            run.height - foot,
            _ledge_heights(run, foot),
            space_pales(x1 - x0, run.pales.width, run.pales.gap, largest=run.gap_max),
            keeps,
            stands,
        )
        for x0, x1, left, keeps, stands in spans
    )


def _ledge_heights(run: RunJob, foot: float) -> tuple[float, ...]:
    height = run.ledge[0]
    low, high = run.tops[0] - height, run.tops[-1] - height
    low = max(low, foot) if foot >= 0.0 else foot + low
    if len(run.tops) == 1:
        low = foot + (run.shoulder - run.tops[-1])
    if high - low - height > MIDDLE_LEDGE:
        return low, (low + high) / 2.0, high
    return low, high


def brace_of(width: float, rise: float, size: float) -> Brace | None:
    """Return the brace of a leaf, or None when it does not fit.

    Parameters
    ----------
    width, rise : float, mm
        Of the leaf, and between the ledges.
    size : float, mm
        Width of the brace.

    Notes
    -----
    A brace of width b, level run r between the ends of one side and rise H is cut to a length
    s = b sqrt(H^2 + r^2) / H along the ledges, and r + s is the room R. Put together,
    (H^2 - b^2) s^2 + 2 b^2 R s - b^2 (H^2 + R^2) = 0.
    """
    room = width - 2.0 * BRACE_INSET
    if rise <= size or room <= size:
        return None
    a = rise**2 - size**2
    b = 2.0 * size**2 * room
    c = -(size**2) * (rise**2 + room**2)
    along = (-b + math.sqrt(b * b - 4.0 * a * c)) / (2.0 * a)
    run = room - along
    if run < 0.0:
        return None
    return Brace(math.degrees(math.atan2(rise, run)), along, run, rise)


def leaf_pale_outline(run: RunJob, leaf: Leaf) -> Outline:
    """Return the outline of the pales of a leaf; the fence's own where the feet are level."""
    return pale_outline(run.head, run.pales.width, tidy(leaf.height))


def gate_members(layout: RunLayout, opening: Opening, group: str, first: int) -> Iterator[Piece]:
    """Yield the pieces of a gate. group : its name; first : number of its first leaf."""
    run = layout.run
    leg = layout.legs[opening.leg]
    out = opening.spec.swing == "out"
    for number, leaf in enumerate(leaves(run, opening), first):
        for kind, shape, local, role in (
            *_timber(run, leaf),
            *_hinges(run, leaf, opening, out=out),
            *_fastening(run, leaf, opening),
        ):
            frame = leg.frame @ Frame.at(0.0, 0.0, opening.base) @ local
            hung = None if kind in (PIN, KEEP) else number
            yield Piece(kind, shape, frame, group, role, opening.leg, hung)


Made = tuple[Kind, Shape, Frame, str]


def _timber(run: RunJob, leaf: Leaf) -> Iterator[Made]:
    height, thickness = run.ledge
    back = -run.pale_back
    plate = Plate(leaf_pale_outline(run, leaf), run.pales.thickness)
    half = run.pales.width / 2.0
    for edge in leaf.spacing.edges(run.pales.width):
        spot = Frame.at(leaf.x0 + edge + half, -run.pale_front, leaf.foot)
        yield PALE, plate, spot, "gate pale"
    ledge = Bar(rectangle_section(height, thickness), tidy(leaf.width))
    for bottom in leaf.ledges:
        yield LEDGE, ledge, Frame.at(leaf.x0, back, bottom), "gate ledge"
    for low, high in zip(leaf.ledges, leaf.ledges[1:], strict=False):
        foot = low + height
        brace = brace_of(leaf.width, high - foot, run.gates.brace)
        if brace is None:
            continue
        yield BRACE, *_brace_bar(run, leaf, brace, foot, back), "gate brace"


def _brace_bar(
    run: RunJob, leaf: Leaf, brace: Brace, foot: float, back: float
) -> tuple[Bar, Frame]:
    """Return the brace as a bar with level cuts, and its place."""
    thickness = run.ledge[1]
    length = math.hypot(brace.run, brace.rise)
    slope = brace.run / brace.rise  # along the bar for each mm across it, on a level cut
    rising = leaf.hinge_left
    cut = EndCut(0.0, tidy_slope(-slope if rising else slope))
    bar = Bar(rectangle_section(run.gates.brace, thickness), tidy(length), cut, cut)
    if rising:  # the lower side starts at the right end of the cut on the lower ledge
        start = Frame.tilted(leaf.x0 + BRACE_INSET + brace.along, back, foot, brace.degrees)
    else:
        top = foot + brace.rise
        start = Frame.tilted(leaf.x0 + BRACE_INSET, back, top, -brace.degrees)
    return bar, start


def hinge_axis(run: RunJob, leaf: Leaf, *, out: bool) -> tuple[float, float]:
    """Return x and y in the leg of the upright axis that a leaf turns about, mm."""
    gap = run.gates.hinge_clearance
    x = leaf.x0 - gap / 2.0 if leaf.hinge_left else leaf.x1 + gap / 2.0
    y = -run.pale_front - STRAP_METAL if out else -run.pale_back + run.ledge[1]
    return x, y + STRAP_METAL / 2.0


def _hinges(run: RunJob, leaf: Leaf, opening: Opening, *, out: bool) -> Iterator[Made]:
    """Yield straps and pins. The pin stands on the side to which the leaf opens."""
    height = run.ledge[0]
    pin_x, pin_y = hinge_axis(run, leaf, out=out)
    y = pin_y - STRAP_METAL / 2.0
    length = tidy(leaf.width / 3.0)
    strap = Plate(Outline.rectangle(0.0, 0.0, length, STRAP_HEIGHT), STRAP_METAL)
    pin = Rod(min(PIN_DIAMETER, run.gates.hinge_clearance), PIN_LENGTH)
    edge = leaf.x0 if leaf.hinge_left else leaf.x1
    spots = {leaf.ledges[0], leaf.ledges[-1]}
    for bottom in sorted(spots):
        middle = bottom + height / 2.0
        x = edge if leaf.hinge_left else edge - length
        yield STRAP, strap, Frame.at(x, y, middle - STRAP_HEIGHT / 2.0), "hinge strap"
        spot = Frame.at(pin_x, pin_y, middle - PIN_LENGTH / 2.0)
        yield PIN, pin, spot, "hinge pin"


def _fastening(run: RunJob, leaf: Leaf, opening: Opening) -> Iterator[Made]:
    """Yield the latch on the top ledge, its keep on the post and the drop bolt."""
    height, thickness = run.ledge
    back = -run.pale_back + thickness
    middle = leaf.ledges[-1] + height / 2.0
    if not leaf.stands:
        x = leaf.x1 - LATCH_LENGTH if leaf.hinge_left else leaf.x0
        body = Plate(Outline.rectangle(0.0, 0.0, LATCH_LENGTH, LATCH_HEIGHT), LATCH_DEPTH)
        yield LATCH, body, Frame.at(x, back, middle - LATCH_HEIGHT / 2.0), "latch"
    if leaf.keeps:
        metal = min(KEEP_METAL, run.gates.latch_clearance)
        plate = Plate(Outline.rectangle(0.0, 0.0, metal, KEEP_HEIGHT), KEEP_DEPTH)
        x = opening.end - metal if leaf.hinge_left else opening.start
        spot = Frame.at(x, max(back, -run.face), middle - KEEP_HEIGHT / 2.0)
        yield KEEP, plate, spot, "latch keep"
    if leaf.stands:
        rod = Rod(DROP_BOLT_DIAMETER, min(DROP_BOLT_LENGTH, tidy(leaf.height)))
        x = leaf.x0 + 2.0 * DROP_BOLT_DIAMETER
        lift = opening.ground - opening.base + DROP_BOLT_LIFT
        spot = Frame.at(x, back + DROP_BOLT_DIAMETER / 2.0, lift)
        yield DROP_BOLT, rod, spot, "drop bolt"
