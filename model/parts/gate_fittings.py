"""What gates hang, close and stop by: hinges, latches, keeps, bolts, closers and stops."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.geometry.frames import Frame
from palewright.model.geometry.outlines import Outline
from palewright.model.geometry.shapes import Plate, Rod, Shape, tidy
from palewright.model.layout.leaves import Leaf
from palewright.model.layout.run_layout import Opening
from palewright.model.resolved.job import RunJob

from .hardware import (
    BLOCK_AWAY,
    BLOCK_BURIED,
    BLOCK_DEPTH,
    BLOCK_LAP,
    BLOCK_WIDTH,
    CLOSER_AWAY,
    CLOSER_DEPTH,
    CLOSER_HEIGHT,
    CLOSER_WIDTH,
    DROP_BOLT_DIAMETER,
    DROP_BOLT_LENGTH,
    DROP_BOLT_LIFT,
    HANDLE_AWAY,
    KEEP_DEPTH,
    KEEP_HEIGHT,
    KEEP_METAL,
    LATCH_SIZES,
    PIN_DIAMETER,
    PIN_LENGTH,
    SOCKET_DIAMETER,
    SOCKET_LENGTH,
    STOP_HEIGHT,
    STOP_LEG,
    STOP_LIP,
    STOP_METAL,
    STRAP_HEIGHT,
    STRAP_METAL,
)
from .members import (
    CLOSER,
    DROP_BOLT,
    GATE_BOLT,
    GATE_LOCK,
    GATE_STOP,
    HANDLE,
    KEEP,
    LATCH,
    PIN,
    RING_LATCH,
    SOCKET,
    STRAP,
    THUMB_LATCH,
    Kind,
)

LATCH_KINDS = {
    "plain": LATCH,
    "ring": RING_LATCH,
    "thumb": THUMB_LATCH,
    "bolt": GATE_BOLT,
    "lock": GATE_LOCK,
}
"""Kinds of latches by the spec's word."""

IN_GROUND, CLOSING_STRAP = "stop in the ground", "self-closing hinge strap"
RISING_STRAP = "rising hinge strap"
ON_RECEIVER = "keep on the receiver"
"""What some pieces do, by which they are bought."""

Made = tuple[Kind, Shape, Frame, str]
"""A piece: its kind, shape, place in the leg over the gate's base, and what it does."""


def hinge_axis(run: RunJob, leaf: Leaf, *, out: bool) -> tuple[float, float]:
    """Return x and y in the leg of the upright axis that a leaf turns about, mm."""
    gap = run.gates.hinge_clearance
    x = leaf.x0 - gap / 2.0 if leaf.hinge_left else leaf.x1 + gap / 2.0
    y = leaf.front - STRAP_METAL if out else leaf.back + leaf.plan.ledge[1]
    return x, y + STRAP_METAL / 2.0


def hinge_ledges(leaf: Leaf) -> tuple[float, ...]:
    """Return the ledges that have hinges: the outer ones, and a middle one of a high leaf."""
    outer = leaf.ledges[0], leaf.ledges[-1]
    return leaf.ledges if leaf.height > THIRD_HINGE else tuple(sorted(set(outer)))


THIRD_HINGE = 2100.0
"""Leaves higher than this hang on three hinges, mm (a fencing trade's page)."""


def hinges(run: RunJob, leaf: Leaf, *, out: bool) -> Iterator[Made]:
    """Yield straps and pins. The pin stands on the side to which the leaf opens."""
    height = leaf.plan.ledge[0]
    pin_x, pin_y = hinge_axis(run, leaf, out=out)
    y = pin_y - STRAP_METAL / 2.0
    length = tidy(leaf.width / 3.0)
    strap = Plate(Outline.rectangle(0.0, 0.0, length, STRAP_HEIGHT), STRAP_METAL)
    pin = Rod(min(PIN_DIAMETER, run.gates.hinge_clearance), PIN_LENGTH)
    edge = leaf.x0 if leaf.hinge_left else leaf.x1
    role = CLOSING_STRAP if leaf.plan.closing == "hinges" else "hinge strap"
    role = RISING_STRAP if leaf.plan.lift > 0.0 else role
    for bottom in hinge_ledges(leaf):
        middle = bottom + height / 2.0
        x = edge if leaf.hinge_left else edge - length
        yield STRAP, strap, Frame.at(x, y, middle - STRAP_HEIGHT / 2.0), role
        spot = Frame.at(pin_x, pin_y, middle - PIN_LENGTH / 2.0)
        yield PIN, pin, spot, "hinge pin"


def fastening(run: RunJob, leaf: Leaf, opening: Opening) -> Iterator[Made]:
    """Yield the latch on the top ledge, its keep on the post or on the leaf that stands, and the
    drop bolt of that.
    """
    height, thickness = leaf.plan.ledge
    back = leaf.back + thickness
    middle = leaf.ledges[-1] + height / 2.0
    if not leaf.stands:
        yield from latch_on(run, leaf)
    if leaf.keeps:
        metal = min(KEEP_METAL, run.gates.latch_clearance)
        plate = Plate(Outline.rectangle(0.0, 0.0, metal, KEEP_HEIGHT), KEEP_DEPTH)
        x = opening.end - metal if leaf.hinge_left else opening.start
        spot = Frame.at(x, max(back, -run.face), middle - KEEP_HEIGHT / 2.0)
        yield KEEP, plate, spot, "latch keep"
    if leaf.stands:
        x = leaf.x0 + 2.0 * DROP_BOLT_DIAMETER
        if leaf.plan.stop:
            hole = Rod(SOCKET_DIAMETER, SOCKET_LENGTH)
            low = opening.leg.ground(x) - opening.base - SOCKET_LENGTH
            yield SOCKET, hole, Frame.at(x, back + DROP_BOLT_DIAMETER / 2.0, low), "ground socket"
        rod = Rod(DROP_BOLT_DIAMETER, min(DROP_BOLT_LENGTH, tidy(leaf.height)))
        lift = opening.ground - opening.base + DROP_BOLT_LIFT
        spot = Frame.at(x, back + DROP_BOLT_DIAMETER / 2.0, lift)
        yield DROP_BOLT, rod, spot, "drop bolt"
        metal = min(KEEP_METAL, run.gates.latch_clearance)
        plate = Plate(Outline.rectangle(0.0, 0.0, metal, KEEP_HEIGHT), KEEP_DEPTH)
        x = leaf.x1 if leaf.hinge_left else leaf.x0 - metal
        spot = Frame.at(x, back - KEEP_DEPTH / 2.0, middle - KEEP_HEIGHT / 2.0)
        yield KEEP, plate, spot, "latch keep"


def latch_on(run: RunJob, leaf: Leaf) -> Iterator[Made]:
    """Yield a latch on the leaf's back, flush with its free edge, and its handle on the front."""
    middle = leaf.ledges[-1] + leaf.plan.ledge[0] / 2.0
    kind, size = LATCH_KINDS[leaf.plan.latch], LATCH_SIZES[leaf.plan.latch]
    length, high, deep = size.body
    back = leaf.back + leaf.plan.ledge[1]
    x = leaf.x1 - length if leaf.hinge_left else leaf.x0
    body = Plate(Outline.rectangle(0.0, 0.0, length, high), deep)
    role = "latch" if kind == LATCH else kind.name
    yield kind, body, Frame.at(x, back, middle - high / 2.0), role
    if size.handle is not None:
        wide, high, deep = size.handle
        x = leaf.x1 - HANDLE_AWAY if leaf.hinge_left else leaf.x0 + HANDLE_AWAY
        plate = Plate(Outline.rectangle(-wide / 2.0, 0.0, wide / 2.0, high), deep)
        spot = Frame.at(x, leaf.front - deep, middle - high / 2.0)
        yield HANDLE, plate, spot, size.front


def closer(run: RunJob, leaf: Leaf) -> Iterator[Made]:
    """Yield what shuts a leaf by itself, on its back next to the hanging edge."""
    if leaf.plan.closing != "spring":
        return
    low, high = leaf.ledges[0] + leaf.plan.ledge[0], leaf.ledges[1]
    tall = tidy(min(CLOSER_HEIGHT, (high - low) / 2.0))
    back = leaf.back + (leaf.plan.ledge[1] if leaf.plan.framed else 0.0)
    box = Plate(Outline.rectangle(0.0, 0.0, CLOSER_WIDTH, tall), CLOSER_DEPTH)
    x = leaf.x0 + CLOSER_AWAY if leaf.hinge_left else leaf.x1 - CLOSER_AWAY - CLOSER_WIDTH
    yield CLOSER, box, Frame.at(x, back, (low + high - tall) / 2.0), "gate closer"


def gate_stop(run: RunJob, leaf: Leaf, opening: Opening) -> Iterator[Made]:
    """Yield what a leaf shuts against: on the side to which it does not open."""
    before = opening.spec.swing == "in"
    if leaf.stands or not leaf.plan.stop:
        return
    if leaf.plan.stop == "post":
        yield GATE_STOP, *_post_stop(run, leaf, opening, before=before), "stop on the post"
        return
    free = leaf.x1 - BLOCK_AWAY if leaf.hinge_left else leaf.x0 + BLOCK_AWAY
    ground = opening.leg.ground(free) - opening.base
    high = tidy(leaf.foot + BLOCK_LAP - ground + BLOCK_BURIED)
    half = BLOCK_WIDTH / 2.0
    block = Plate(Outline.rectangle(-half, 0.0, half, high), BLOCK_DEPTH)
    y = leaf.front - BLOCK_DEPTH if before else leaf.back + leaf.plan.ledge[1]
    yield GATE_STOP, block, Frame.at(free, y, ground - BLOCK_BURIED), IN_GROUND


def _post_stop(run: RunJob, leaf: Leaf, opening: Opening, *, before: bool) -> tuple[Plate, Frame]:
    """Return an angle on the shutting post, its outline that in plan.

    Its lip laps the leaf's front or back, its leg lies on the post's side.
    """
    metal = min(STOP_METAL, run.gates.latch_clearance / 2.0)
    face = leaf.front if before else leaf.back + leaf.plan.ledge[1]
    start = face - metal if before else face
    end = max(-run.face, face) + STOP_LEG - start
    post, way = (opening.end, -1.0) if leaf.hinge_left else (opening.start, 1.0)
    loop = [
        (0.0, 0.0),
        (STOP_LIP, 0.0),
        (STOP_LIP, metal),
        (metal, metal),
        (metal, end),
        (0.0, end),
    ]
    # in its own frame y goes up and z to the front
    outline = [(tidy(way * x), tidy(-y)) for x, y in loop]
    low = leaf.ledges[0] + (leaf.plan.ledge[0] - STOP_HEIGHT) / 2.0
    plate = Plate(Outline.polygon(outline[::-1] if way > 0.0 else outline), STOP_HEIGHT)
    return plate, Frame((post, start, low), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
