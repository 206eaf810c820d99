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
from palewright.model.geometry.prisms import EndCut
from palewright.model.geometry.shapes import Bar, Plate, rectangle_section, tidy, tidy_slope
from palewright.model.layout.leaf_frames import SetBrace, middle_uprights, set_braces, stiles
from palewright.model.layout.leaves import Brace, Leaf
from palewright.model.layout.run_layout import Opening
from palewright.model.layout.slides import slid_way
from palewright.model.resolved.job import RunJob

from .gate_fittings import Made, closer, fastening, gate_stop, hinges, latch_on
from .members import BRACE, GATE_STOP, KEEP, LEDGE, PALE, PIN, SOCKET, STILE, UPRIGHT, Piece
from .slide_fittings import slide_fittings

UP = (0.0, 0.0, 1.0)


STANDING_FITTINGS = (PIN, GATE_STOP, SOCKET)
"""What stands when a leaf swings, besides a keep on a post."""


def gate_members(run: RunJob, opening: Opening, group: str, first: int) -> Iterator[Piece]:
    """Yield the pieces of a gate. group : its name; first : number of its first leaf."""
    leg = opening.leg
    out = opening.spec.swing == "out"
    base = leg.frame @ Frame.at(0.0, 0.0, opening.base)
    for number, leaf in enumerate(opening.leaves, first):
        way = slid_way(opening, leaf)
        if way is not None:
            for hung_too, made in (
                *((True, one) for one in (*_timber(run, leaf), *latch_on(run, leaf))),
                *slide_fittings(run, opening, leaf, way),
            ):
                kind, shape, local, role = made
                hung = number if hung_too else None
                yield Piece(kind, shape, base @ local, group, role, opening.leg_number, hung)
            continue
        for kind, shape, local, role in (
            *_timber(run, leaf),
            *hinges(run, leaf, out=out),
            *fastening(run, leaf, opening),
            *closer(run, leaf),
            *gate_stop(run, leaf, opening),
        ):
            frame = base @ local
            fixed = kind in STANDING_FITTINGS or (kind == KEEP and leaf.keeps)
            hung = None if fixed else number
            yield Piece(kind, shape, frame, group, role, opening.leg_number, hung)


def _timber(run: RunJob, leaf: Leaf) -> Iterator[Made]:
    height, thickness = leaf.plan.ledge
    back = leaf.back
    for pale, length in zip(leaf.pales, leaf.lengths, strict=True):
        outline = pale_outline(pale.kind.head, pale.kind.width, tidy(length))
        plate = Plate(outline, run.pales.thickness)
        spot = Frame.at(pale.middle, leaf.front, leaf.foot)
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
