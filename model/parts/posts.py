"""Posts, their caps and their footings as pieces."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from palewright.model.geometry.frames import Frame
from palewright.model.geometry.metal_caps import MetalCap
from palewright.model.geometry.post_shapes import Bevel, Post
from palewright.model.geometry.shapes import Rod, Shape, tidy
from palewright.model.layout.placed_posts import FOOTED, PlacedPost
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.words import PostRole

from .hardware import ANCHOR_HEAD, BOLTS
from .members import (
    ANCHOR,
    CAP,
    COACH_SCREW,
    CONCRETE_POST,
    FINIAL,
    FOOTING,
    KEPT_POST,
    METAL_CAP,
    PACKING,
    POST,
    POST_PLATE,
    WALL_PLATE,
    Kind,
    Piece,
)
from .post_steel import steel_of

ROLES = {kind: f"{kind} post" for kind in FOOTED}

ANCHOR_INSET = 60.0
"""From the ends of a wall plate to its outer anchors, mm (common practice, no source)."""

ANCHOR_CLEAR = 50.0
"""From an anchor to a bolt that crosses it, mm."""


def post_members(run: RunJob, post: PlacedPost, group: str, leg: int) -> Iterator[Piece]:
    """Yield a post, its footing and its cap. leg : number of the leg that it is counted with."""
    if post.kept:
        standing = Post(post.plan.width, post.plan.depth, tidy(post.top), post.plan.top)
        yield Piece(
            KEPT_POST, standing, post.frame, group, "kept as it stands", leg, station=post.label
        )
        return
    if post.kind == PostRole.WALL:
        yield from _wall_plate(run, post, group, leg)
        return
    plan = post.plan
    bevel = _bevel(run, post)
    shape = Post(plan.width, plan.depth, tidy(plan.embedment + post.top), plan.top, bevel)
    parts: list[tuple[Kind, Shape, float]] = [
        (CONCRETE_POST if plan.cast else POST, shape, -plan.embedment)
    ]
    dug = plan.foot.dug
    if dug is not None and post.footing is not None:
        parts.append((FOOTING if dug.poured else PACKING, post.footing, -post.drop))
    if plan.cap is not None:
        kind = METAL_CAP if isinstance(plan.cap, MetalCap) else CAP
        parts.append((kind, plan.cap, post.top))
    if plan.finial is not None:
        parts.append((FINIAL, plan.finial, post.full_height - plan.finial.height))
    for kind, part, z in parts:
        frame = post.frame @ Frame.at(0.0, 0.0, z)
        role = f"concrete {ROLES[post.kind]}" if kind == CONCRETE_POST else ROLES[post.kind]
        yield Piece(kind, part, frame, group, role, leg, station=post.label)
    half = run.rails.section[0] / 2.0
    crossing = [
        top - half + base
        for top in (run.rails.tops if run.rails.bolted else ())
        for base in (post.rise, post.rise - post.step)
    ]
    for kind, steel, place, role in steel_of(plan.foot, crossing):
        yield Piece(kind, steel, post.frame @ place, group, role, leg, station=post.label)


def _bevel(run: RunJob, post: PlacedPost) -> Bevel | None:
    """Return the bevels of a post's long edges, clear of the rails of the bays on either side."""
    plan = post.plan
    if plan.bevel is None:
        return None
    rails = run.rail_bands(plan.width, (post.rise, post.rise - post.step))
    spans = plan.bevel.between(post.top - plan.top.rise, rails)
    if not spans:
        return None
    foot = plan.embedment
    lifted = tuple((tidy(low + foot), tidy(high + foot)) for low, high in spans)
    return Bevel(plan.bevel.size, plan.bevel.stop, lifted)


def _wall_plate(run: RunJob, post: PlacedPost, group: str, leg: int) -> Iterator[Piece]:
    """Yield the plate on a wall and its anchors, which go through it into the wall."""
    plan = post.plan
    foot = max(run.pales.clearance, post.floor, 0.0)
    length = tidy(post.top - foot)
    place = post.frame @ Frame.at(0.0, 0.0, foot)
    kind, role = (POST_PLATE, f"plate on post {post.host}") if post.host else (
        WALL_PLATE, f"plate on the {post.held_by}"
    )  # fmt: skip
    yield Piece(
        kind, Post(plan.width, plan.depth, length), place, group, role, leg, station=post.label
    )
    diameter = BOLTS[run.walls.anchor].diameter
    held = post.hold if post.host else run.walls.hold
    rod = Rod(diameter, tidy(plan.width + held + ANCHOR_HEAD))
    # from the free side into what it stands on
    out = float(post.fence_on)
    x = out * (plan.width / 2.0 + ANCHOR_HEAD)
    half = run.rails.section[0] / 2.0
    tops = (*run.rails.tops[:-1], run.rails.tops[-1] - post.lowered)
    bolts = [top - half + post.rise - foot for top in tops]
    bolts += [height - foot for height in post.taken]
    kind, role = COACH_SCREW if post.host else ANCHOR, f"plate to {post.held_by}"
    heights = (screw_heights if post.host else anchor_heights)(length, run.walls.spacing, bolts)
    for z in heights:
        spot = Frame((x, 0.0, z), (0.0, 0.0, out), (0.0, 1.0, 0.0))
        yield Piece(kind, rod, place @ spot, group, role, leg, station=post.label)


def screw_heights(length: float, spacing: float, bolts: Iterable[float] = ()) -> list[float]:
    """Return the heights of coach screws over the foot of a plate, mm: as of anchors, each moved to
    the nearest place that is clear of all bolts; what has none is left out.

    >>> screw_heights(1020.0, 450.0, [500.0, 540.0])
    [60.0, 450.0, 960.0]
    """
    taken = list(bolts)
    heights: list[float] = []
    for wanted in anchor_heights(length, spacing):
        steps = sorted(range(-60, 61), key=abs)
        tries = (wanted + 5.0 * step for step in steps)
        clear = (
            z
            for z in tries
            if ANCHOR_INSET / 2.0 <= z <= length - ANCHOR_INSET / 2.0
            and all(abs(z - other) >= ANCHOR_CLEAR for other in (*taken, *heights))
        )
        found = next(clear, None)
        if found is not None:
            heights.append(found)
    return sorted(heights)


def anchor_heights(length: float, spacing: float, bolts: Iterable[float] = ()) -> list[float]:
    """Return the heights of the anchors over the foot of a plate, mm.

    length : of the plate; spacing : largest distance between anchors, but for what they move to
    keep clear of `bolts`, which cross the plate at those heights.

    >>> anchor_heights(1020.0, 450.0), anchor_heights(1020.0, 450.0, [500.0])
    ([60.0, 510.0, 960.0], [60.0, 550.0, 960.0])
    """
    room = length - 2.0 * ANCHOR_INSET
    if room <= 0.0:
        return [length / 2.0]
    count = max(1, math.ceil(room / spacing - 1e-9))
    heights = []
    for number in range(count + 1):
        z = ANCHOR_INSET + room * number / count
        for bolt in bolts:
            if abs(z - bolt) < ANCHOR_CLEAR:
                z = bolt + (ANCHOR_CLEAR if z >= bolt else -ANCHOR_CLEAR)
        heights.append(z)
    return heights
