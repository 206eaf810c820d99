"""Gate leaves: pales on ledges with a brace, and where hinges and latch sit.

A leaf hangs in the plane of the fence: its pales line up with the fence's, its ledges with the
rails. The brace rises from the bottom of the hanging side, so that it is pressed, not pulled.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from palewright.model.geometry.frames import Frame
from palewright.model.geometry.heads import pale_outline
from palewright.model.geometry.outlines import Outline
from palewright.model.geometry.shapes import (
    Bar,
    EndCut,
    Plate,
    Rod,
    Shape,
    rectangle_section,
    tidy,
    tidy_slope,
)
from palewright.model.layout.leaves import (
    BRACE_INSET,
    Brace,
    Leaf,
    brace_of,
    leaf_pale_length,
    leaf_pales,
)
from palewright.model.layout.run_layout import Opening
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.pale_plan import PaleKind

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
from .members import (
    BRACE,
    DROP_BOLT,
    KEEP,
    LATCH,
    LEDGE,
    PALE,
    PIN,
    STRAP,
    Kind,
    Piece,
)


def leaf_pale_outline(run: RunJob, leaf: Leaf, kind: PaleKind) -> Outline:
    """Return the outline of a pale of a leaf; the fence's own where the feet are level."""
    return pale_outline(kind.head, kind.width, tidy(leaf_pale_length(run, leaf, kind)))


def gate_members(run: RunJob, opening: Opening, group: str, first: int) -> Iterator[Piece]:
    """Yield the pieces of a gate. group : its name; first : number of its first leaf."""
    leg = opening.leg
    out = opening.spec.swing == "out"
    for number, leaf in enumerate(opening.leaves, first):
        for kind, shape, local, role in (
            *_timber(run, leaf),
            *_hinges(run, leaf, out=out),
            *_fastening(run, leaf, opening),
        ):
            frame = leg.frame @ Frame.at(0.0, 0.0, opening.base) @ local
            fixed = kind == PIN or (kind == KEEP and leaf.keeps)
            hung = None if fixed else number
            yield Piece(kind, shape, frame, group, role, opening.leg_number, hung)


Made = tuple[Kind, Shape, Frame, str]


def _timber(run: RunJob, leaf: Leaf) -> Iterator[Made]:
    height, thickness = run.gates.ledge
    back = -run.pale_back
    plates = {
        kind: Plate(leaf_pale_outline(run, leaf, kind), run.pales.thickness)
        for kind in run.pales.sorts
    }
    for place in leaf_pales(run, leaf):
        spot = Frame.at(place.middle, -run.pale_front, leaf.foot)
        yield PALE, plates[place.kind], spot, "gate pale"
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
    thickness = run.gates.ledge[1]
    length = math.hypot(brace.run, brace.rise)
    slope = brace.run / brace.rise  # along the bar for each mm across it, on a level cut
    rising = leaf.hinge_left
    cut = EndCut(0.0, tidy_slope(-slope if rising else slope))
    bar = Bar(rectangle_section(run.gates.brace, thickness), tidy(length), cut, cut)
    if rising:  # the lower side starts at the right end of the cut on the lower ledge
        start = Frame.tilted(leaf.x0 + BRACE_INSET + brace.along, back, foot, brace.degrees)
    else:
        top = foot + brace.rise
        end = leaf.x1 - BRACE_INSET - brace.run - brace.along
        start = Frame.tilted(end, back, top, -brace.degrees)
    return bar, start


def hinge_axis(run: RunJob, leaf: Leaf, *, out: bool) -> tuple[float, float]:
    """Return x and y in the leg of the upright axis that a leaf turns about, mm."""
    gap = run.gates.hinge_clearance
    x = leaf.x0 - gap / 2.0 if leaf.hinge_left else leaf.x1 + gap / 2.0
    y = -run.pale_front - STRAP_METAL if out else -run.pale_back + run.gates.ledge[1]
    return x, y + STRAP_METAL / 2.0


def _hinges(run: RunJob, leaf: Leaf, *, out: bool) -> Iterator[Made]:
    """Yield straps and pins. The pin stands on the side to which the leaf opens."""
    height = run.gates.ledge[0]
    pin_x, pin_y = hinge_axis(run, leaf, out=out)
    y = pin_y - STRAP_METAL / 2.0
    length = tidy(leaf.width / 3.0)
    strap = Plate(Outline.rectangle(0.0, 0.0, length, STRAP_HEIGHT), STRAP_METAL)
    pin = Rod(min(PIN_DIAMETER, run.gates.hinge_clearance), PIN_LENGTH)
    edge = leaf.x0 if leaf.hinge_left else leaf.x1
    ledges = {leaf.ledges[0], leaf.ledges[-1]}
    for bottom in sorted(ledges):
        middle = bottom + height / 2.0
        x = edge if leaf.hinge_left else edge - length
        yield STRAP, strap, Frame.at(x, y, middle - STRAP_HEIGHT / 2.0), "hinge strap"
        spot = Frame.at(pin_x, pin_y, middle - PIN_LENGTH / 2.0)
        yield PIN, pin, spot, "hinge pin"


def _fastening(run: RunJob, leaf: Leaf, opening: Opening) -> Iterator[Made]:
    """Yield the latch on the top ledge, its keep on the post or on the leaf that stands, and the
    drop bolt of that.
    """
    height, thickness = run.gates.ledge
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
        metal = min(KEEP_METAL, run.gates.latch_clearance)
        plate = Plate(Outline.rectangle(0.0, 0.0, metal, KEEP_HEIGHT), KEEP_DEPTH)
        x = leaf.x1 if leaf.hinge_left else leaf.x0 - metal
        spot = Frame.at(x, back - KEEP_DEPTH / 2.0, middle - KEEP_HEIGHT / 2.0)
        yield KEEP, plate, spot, "latch keep"
