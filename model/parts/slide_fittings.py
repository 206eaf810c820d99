"""What a leaf that slides runs on, is guided by and stops at."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from palewright.model.geometry.frames import Frame, Point
from palewright.model.geometry.outlines import Outline, polygon_area
from palewright.model.geometry.post_shapes import Post
from palewright.model.geometry.shapes import Plate, Rod, tidy
from palewright.model.geometry.top_cuts import FlatTop
from palewright.model.layout.leaves import Leaf
from palewright.model.layout.run_layout import Opening
from palewright.model.layout.slides import SlidWay
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.words import PostRole

from . import hardware as sizes
from .gate_fittings import ON_RECEIVER, Made
from .members import (
    BEAM,
    CARRIAGE,
    CHANNEL,
    END_STOP,
    FOOTING,
    GATE_BASE,
    GUIDE_PLATE,
    GUIDE_POST,
    KEEP,
    PACKING,
    RECEIVER,
    ROLLER,
    TRACK,
    WHEEL,
    Kind,
)

Slid = tuple[bool, Made]
"""A piece, and whether it goes with the leaf."""


def slide_fittings(run: RunJob, opening: Opening, leaf: Leaf, way: SlidWay) -> Iterator[Slid]:
    """Yield what a leaf slides on, its guide, its receivers and its stops."""
    if way.plan.cantilever:
        yield from _beam(leaf, way)
    else:
        yield from _on_track(leaf, way)
    yield from _guide(run, opening, leaf, way)
    yield from _receivers(run, opening, leaf, way)


def _on_track(leaf: Leaf, way: SlidWay) -> Iterator[Slid]:
    """Yield the track on its strip, with a stop at either end, and the wheels under the leaf."""
    (low, high), y, ground = way.whole, way.middle, way.ground
    half = sizes.STRIP_WIDTH / 2.0
    deep = ground - sizes.STRIP_DEPTH
    strip = (low, high), (y - half, y + half), (deep, ground)
    yield False, (GATE_BASE, *block(*strip), "strip under a track")
    half, top = sizes.TRACK_WIDTH / 2.0, ground + sizes.TRACK_HIGH
    yield False, (TRACK, *block((low, high), (y - half, y + half), (ground, top)), "track")
    half = sizes.END_STOP_WIDTH / 2.0
    # where the forks of the outer wheels come to
    inset = sizes.WHEEL_INSET - sizes.HOUSING_LENGTH / 2.0 - 5.0
    for x in (low + inset - sizes.END_STOP_LENGTH, high - inset):
        stop = (
            (x, x + sizes.END_STOP_LENGTH),
            (y - half, y + half),
            (top, top + sizes.END_STOP_HIGH),
        )
        yield False, (END_STOP, *block(*stop), "end stop on the track")
    wheel = Rod(sizes.WHEEL_SIZE, sizes.WHEEL_WIDTH)
    axle = top + sizes.WHEEL_SIZE / 2.0
    within = sizes.WHEEL_WIDTH / 2.0 + sizes.HOUSING_GAP
    out = within + sizes.HOUSING_METAL
    roof, foot = leaf.ledges[0], axle - 10.0
    under = roof - 6.0
    fork = [(-out, foot), (-within, foot), (-within, under), (within, under), (within, foot),
            (out, foot), (out, roof), (-out, roof)]  # fmt: skip
    for x in (leaf.x0 + sizes.WHEEL_INSET, leaf.x1 - sizes.WHEEL_INSET):
        yield True, (WHEEL, wheel, across(x, y - sizes.WHEEL_WIDTH / 2.0, axle), "wheel on a track")
        ends = x - sizes.HOUSING_LENGTH / 2.0, x + sizes.HOUSING_LENGTH / 2.0
        yield True, (CARRIAGE, *along(fork, y, ends), "fork under the ledge")


def _beam(leaf: Leaf, way: SlidWay) -> Iterator[Slid]:
    """Yield the beam under a cantilever leaf, closed at its ends, and carriages on a footing."""
    y, ground, roof = way.middle, way.ground, leaf.ledges[0]
    low, half, metal = roof - sizes.BEAM_SIZE, sizes.BEAM_SIZE / 2.0, sizes.BEAM_METAL
    within, slot = half - metal, sizes.BEAM_SLOT / 2.0
    profile = [
        (-half, low), (-slot, low), (-slot, low + metal), (-within, low + metal),
        (-within, roof - metal), (within, roof - metal), (within, low + metal), (slot, low + metal),
        (slot, low), (half, low), (half, roof), (-half, roof),
    ]  # fmt: skip
    yield True, (BEAM, *along(profile, y, (leaf.x0, leaf.x1)), "beam over the carriages")
    for x in (leaf.x0 - sizes.END_CAP, leaf.x1):
        cap = (x, x + sizes.END_CAP), (y - half, y + half), (low, roof)
        yield True, (END_STOP, *block(*cap), "end stop of the beam")
    axle = (low + roof) / 2.0
    thick, length = sizes.CARRIAGE_METAL / 2.0, sizes.CARRIAGE_LENGTH / 2.0
    wheel = Rod(sizes.CARRIAGE_WHEEL, sizes.CARRIAGE_WIDE)
    for middle in way.carriages:
        body = (middle - length, middle + length), (y - thick, y + thick), (ground, axle)
        yield False, (CARRIAGE, *block(*body), "carriage on the footing")
        for away in (-0.5, 0.5):
            x = middle + away * sizes.CARRIAGE_WHEELS_APART
            place = across(x, y - sizes.CARRIAGE_WIDE / 2.0, axle)
            yield False, (WHEEL, wheel, place, "wheel of a carriage")
    past, half = sizes.PAD_PAST, sizes.PAD_WIDTH / 2.0
    ends = min(way.carriages) - past, max(way.carriages) + past
    pad = ends, (y - half, y + half), (ground - sizes.PAD_DEPTH, ground)
    yield False, (GATE_BASE, *block(*pad), "footing of the carriages")


def _guide(run: RunJob, opening: Opening, leaf: Leaf, way: SlidWay) -> Iterator[Slid]:
    """Yield the channel on the leaf's back, and the guide post with the rollers that run in it."""
    back = leaf.back + leaf.plan.ledge[1]
    out, metal = sizes.CHANNEL_SIZE / 2.0, sizes.CHANNEL_METAL
    within, y = out - metal, back + out
    top = leaf.ledges[-1] + leaf.plan.ledge[0] / 2.0 + out
    low = top - sizes.CHANNEL_SIZE
    profile = [(-out, low), (-within, low), (-within, top - metal), (within, top - metal),
               (within, low), (out, low), (out, top), (-out, top)]  # fmt: skip
    free = sizes.FREE_END
    ends = (leaf.x0, leaf.x1 - free) if way.plan.to_left else (leaf.x0 + free, leaf.x1)
    yield True, (CHANNEL, *along(profile, y, ends), "channel over the rollers")
    under = low - sizes.GUIDE_CLEAR
    seat = under - sizes.GUIDE_PLATE_METAL
    plan = run.post_plan(PostRole.GATE, opening.number)
    face = back + sizes.CHANNEL_SIZE + sizes.GUIDE_POST_CLEAR
    x, half = way.guide, sizes.GUIDE_PLATE_LENGTH / 2.0
    plate = (x - half, x + half), (back + 2.0, face + plan.depth), (seat, under)
    yield False, (GUIDE_PLATE, *block(*plate), "plate of the guide rollers")
    roller = Rod(sizes.GUIDE_ROLLER, tidy(top - metal - sizes.GUIDE_CLEAR - under))
    for away in (-0.5, 0.5):
        spot = Frame.at(x + away * sizes.ROLLERS_APART, y, under)
        yield False, (ROLLER, roller, spot, "guide roller")
    ground, drop = _ground_at(run, opening, x)
    post = Post(plan.width, plan.depth, tidy(seat - ground + plan.embedment), FlatTop())
    middle = face + plan.depth / 2.0
    spot = Frame.at(x, middle, ground - plan.embedment)
    yield False, (GUIDE_POST, post, spot, "guide post")
    dug, hole = plan.foot.dug, plan.foot.filled(drop)
    if dug is not None and hole is not None:
        kind: Kind = FOOTING if dug.poured else PACKING
        yield False, (kind, hole, Frame.at(x, middle, ground - drop), "guide post")


def _ground_at(run: RunJob, opening: Opening, x: float) -> tuple[float, float]:
    """Return the ground at x over the gate's base, and how far it falls to a hole's edge, mm."""
    leg, dug = opening.leg, run.post_plan(PostRole.GATE, opening.number).foot.dug
    half = dug.half_hole if dug is not None else 0.0
    ground = leg.ground(x)
    fall = max(0.0, ground - leg.lowest(x - half, x + half))
    return tidy(ground - opening.base), 10.0 * math.ceil(fall / 10.0 - 1e-6)


def _receivers(run: RunJob, opening: Opening, leaf: Leaf, way: SlidWay) -> Iterator[Slid]:
    """Yield what takes in the leaf's free edge, on the back of its shutting post, and its keep."""
    post = opening.posts[1 if way.plan.to_left else 0]
    edge, out = (leaf.x1, 1.0) if way.plan.to_left else (leaf.x0, -1.0)
    seat, rear = tidy(post.plan.depth - run.face), leaf.back + leaf.plan.ledge[1]
    metal, lap = sizes.RECEIVER_METAL, sizes.RECEIVER_LAP
    near, far = leaf.front - sizes.RECEIVER_CLEAR, rear + sizes.RECEIVER_CLEAR
    web = run.gates.latch_clearance
    foot = web + sizes.RECEIVER_FOOT
    loop = [
        (web, seat), (foot, seat), (foot, seat + metal), (web + metal, seat + metal),
        (web + metal, far + metal), (-lap, far + metal), (-lap, far), (web, far), (web, near),
        (-lap, near), (-lap, near - metal), (web, near - metal),
    ]  # fmt: skip
    corners = [(tidy(out * x), tidy(-(y - seat))) for x, y in loop]
    shape = Plate(_outline(corners), sizes.RECEIVER_HEIGHT)
    for low in _receiver_heights(leaf):
        spot = Frame((edge, seat, low), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
        yield False, (RECEIVER, shape, spot, "receiver of the free edge")
    middle = leaf.ledges[-1] + leaf.plan.ledge[0] / 2.0
    ends = sorted((edge + out * web, edge + out * (web + sizes.SLIDING_KEEP)))
    # it stands on the upper receiver, clear of the nuts on the post
    low = _receiver_heights(leaf)[-1] + sizes.RECEIVER_HEIGHT
    high = middle + sizes.KEEP_HEIGHT / 2.0
    keep = (ends[0], ends[1]), (leaf.front, rear + sizes.LATCH_DEPTH), (low, high)
    yield False, (KEEP, *block(*keep), ON_RECEIVER)


def _receiver_heights(leaf: Leaf) -> list[float]:
    """Return the undersides of receivers over the base: over the lowest ledge and under the top."""
    tall, away = sizes.RECEIVER_HEIGHT, sizes.RECEIVER_LAP
    low = leaf.ledges[0] + leaf.plan.ledge[0] + away
    high = leaf.ledges[-1] - away - tall
    return [low, high] if high - low > tall + away else [tidy((low + high) / 2.0)]


def block(xs: Point, ys: Point, zs: Point) -> tuple[Plate, Frame]:
    """Return a block from where to where along, across and up, mm."""
    outline = Outline.rectangle(0.0, 0.0, tidy(xs[1] - xs[0]), tidy(zs[1] - zs[0]))
    return Plate(outline, tidy(ys[1] - ys[0])), Frame.at(xs[0], ys[0], zs[0])


def along(profile: Sequence[Point], y: float, ends: Point) -> tuple[Plate, Frame]:
    """Return what has a profile of (across, up) about y, from end to end along a leg, mm."""
    low = min(z for _, z in profile)
    loop = [(tidy(-across_it), tidy(z - low)) for across_it, z in profile]
    shape = Plate(_outline(loop), tidy(ends[1] - ends[0]))
    return shape, Frame((ends[0], y, low), (0.0, -1.0, 0.0), (1.0, 0.0, 0.0))


def across(x: float, y: float, z: float) -> Frame:
    """Return the frame of a rod that lies across a leg, from y on to the back."""
    return Frame((x, y, z), (1.0, 0.0, 0.0), (0.0, 0.0, -1.0))


def _outline(loop: list[Point]) -> Outline:
    """Return a polygon anticlockwise."""
    return Outline.polygon(loop if polygon_area(loop) > 0.0 else loop[::-1])
