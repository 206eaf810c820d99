"""Gate leaves: pales on ledges with a brace, and where hinges and latch sit.

A leaf hangs in the plane of the fence: its pales line up with the fence's, its ledges with the
rails. The brace rises from the bottom of the hanging side, so that it is pressed, not pulled.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from palewright.model.geometry.frames import Frame, Point
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
from palewright.model.layout.leaf_frames import SetBrace, middle_uprights, set_braces, stiles
from palewright.model.layout.leaves import Brace, Leaf
from palewright.model.layout.run_layout import Opening
from palewright.model.resolved.job import RunJob

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
    STILE,
    STRAP,
    UPRIGHT,
    Kind,
    Piece,
)

UP = (0.0, 0.0, 1.0)


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
    height, thickness = leaf.plan.ledge
    back = -run.pale_back
    half = run.pales.width / 2.0
    edges = leaf.spacing.edges(run.pales.width)
    for edge, length in zip(edges, leaf.lengths, strict=True):
        outline = pale_outline(leaf.plan.head, run.pales.width, tidy(length))
        plate = Plate(outline, run.pales.thickness)
        spot = Frame.at(leaf.x0 + edge + half, -run.pale_front, leaf.foot)
        yield PALE, plate, spot, "gate pale"
    if leaf.plan.framed:
        tenoned = tenoned_ledge(leaf)
        for bottom in leaf.ledges:  # its outline lies in plan, from its back to the front
            place = (leaf.x0, back + thickness, bottom)
            yield LEDGE, tenoned, Frame(place, (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)), "gate ledge"
    else:
        ledge = Bar(rectangle_section(height, thickness), tidy(leaf.width))
        for bottom in leaf.ledges:
            yield LEDGE, ledge, Frame.at(leaf.x0, back, bottom), "gate ledge"
    for kind, uprights in ((STILE, stiles(leaf)), (UPRIGHT, middle_uprights(leaf))):
        for one in uprights:
            section = rectangle_section(tidy(one.x1 - one.x0), thickness)
            bar = Bar(section, tidy(one.high - one.low))
            yield kind, bar, Frame((one.x1, back, one.low), UP, (0.0, 1.0, 0.0)), kind.name
    for room in set_braces(leaf):
        if room.brace is not None:
            yield BRACE, *_brace_bar(leaf, room, room.brace, back), "gate brace"


def tenoned_ledge(leaf: Leaf) -> Plate:
    """Return a ledge with tenons a third of its thickness through both stiles, its outline that in
    plan.
    """
    (height, thick), stile, length = leaf.plan.ledge, leaf.plan.stile, tidy(leaf.width)
    third = tidy(thick / 3.0)
    low, high = third, tidy(thick - third)
    near, far = stile, tidy(length - stile)
    loop = (
        (0.0, low), (near, low), (near, 0.0), (far, 0.0), (far, low), (length, low),
        (length, high), (far, high), (far, thick), (near, thick), (near, high), (0.0, high),
    )  # fmt: skip
    return Plate(Outline.polygon(loop), height)


def between_shoulders(ledge: Plate) -> tuple[Point, ...]:
    """Return what is seen of a tenoned ledge in a frame, in plan: its outline without tenons."""
    _, low, _, high = ledge.outline.bounds
    xs = [x for x, z, _ in ledge.outline.vertices if z in (low, high)]
    return (min(xs), low), (max(xs), low), (max(xs), high), (min(xs), high)


def _brace_bar(leaf: Leaf, spot: SetBrace, brace: Brace, back: float) -> tuple[Bar, Frame]:
    """Return the brace as a bar with level cuts, and its place."""
    thickness = leaf.plan.ledge[1]
    length = math.hypot(brace.run, brace.rise)
    slope = brace.run / brace.rise  # along the bar for each mm across it, on a level cut
    rising = spot.to_right
    cut = EndCut(0.0, tidy_slope(-slope if rising else slope))
    bar = Bar(rectangle_section(leaf.plan.brace, thickness), tidy(length), cut, cut)
    if rising:  # the lower side starts at the right end of the cut on the lower ledge
        start = Frame.tilted(spot.x0 + brace.along, back, spot.low, brace.degrees)
    else:
        top = spot.low + brace.rise
        end = spot.x1 - brace.run - brace.along
        start = Frame.tilted(end, back, top, -brace.degrees)
    return bar, start


def hinge_axis(run: RunJob, leaf: Leaf, *, out: bool) -> tuple[float, float]:
    """Return x and y in the leg of the upright axis that a leaf turns about, mm."""
    gap = run.gates.hinge_clearance
    x = leaf.x0 - gap / 2.0 if leaf.hinge_left else leaf.x1 + gap / 2.0
    y = -run.pale_front - STRAP_METAL if out else -run.pale_back + leaf.plan.ledge[1]
    return x, y + STRAP_METAL / 2.0


def _hinges(run: RunJob, leaf: Leaf, *, out: bool) -> Iterator[Made]:
    """Yield straps and pins. The pin stands on the side to which the leaf opens."""
    height = leaf.plan.ledge[0]
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
    height, thickness = leaf.plan.ledge
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
