"""Details of post tops: the cut of the post, its cap, its finial."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Item, Line, Text, View
from palewright.model.geometry.frames import Point
from palewright.model.geometry.metal_caps import MetalCap
from palewright.model.geometry.post_shapes import Post
from palewright.model.geometry.shapes import Cap
from palewright.model.geometry.top_cuts import Bulged
from palewright.model.geometry.turned_shapes import Turned

from .dimensions import level_chain, upright_chain
from .members_shown import break_line
from .titles import titled

ROUND_PARTS = 16
"""Chords that stand for the round side of a finial."""


@dataclass(frozen=True)
class PostTopPieces:
    """A post with what stands on it."""

    post: Post
    cap: Cap | MetalCap | None
    finial: Turned | None

    @property
    def seat(self) -> float:
        """Height over the post on which a finial stands, mm."""
        return self.cap.height if self.cap is not None else 0.0


def post_top_detail(pieces: PostTopPieces, name: str, draft: Draft) -> View:
    """Return the top of a post from the front and from the side, with its section, its cap and its
    finial.
    """
    n, style = draft.n, draft.style
    post = pieces.post
    tall = 1.6 * max(post.width, post.depth)
    w, d = post.width / 2.0, post.depth / 2.0
    apart = w + d + (style.first_tier * 2.0 + 14.0) * n
    rise = post.top.rise
    items: list[Item] = []
    edges: list[Item] = []
    for turned, half, x in ((False, w, 0.0), (True, d, apart)):
        head = _above(pieces, post.top.outline(half, tall, side=turned), half, tall)
        loop = ((half, 0.0, 0.0), *head, (-half, 0.0, 0.0))
        items.append(Line(tuple((px + x, py, bulge) for px, py, bulge in loop), layers.POSTS))
        for start, end, seen in post.top.edges(half, tall, side=turned):
            ends = tuple((px + x, py) for px, py in (start, end))
            edges.append(Line.through(ends, layers.POSTS if seen else layers.HIDDEN))
        items.append(break_line(((x - half, 0.0), (x + half, 0.0)), draft))
        low = -draft.full(style.first_tier)
        items += level_chain([(x - half, 0.0), (x + half, 0.0)], low, draft)
    items += edges
    if rise:
        edge = apart + d
        heights = [(edge, tall - rise), (edge, tall)]
        right = edge + draft.full(style.first_tier)
        items += upright_chain(heights, right, draft, aside=True)
    if isinstance(pieces.cap, Cap):
        items += _cap(pieces, pieces.cap, tall, apart, draft)
    if isinstance(pieces.cap, MetalCap):
        items += _metal_cap(pieces.cap, tall, apart, draft)
    if pieces.finial is not None:
        items += _finial(pieces, pieces.finial, tall, apart, draft)
    y = -(style.first_tier + style.tier + style.subtitle) * n
    items.append(Text("front", (0.0, y + 4.0 * n), style.text, "centre"))
    items.append(Text("side", (apart, y + 4.0 * n), style.text, "centre"))
    return titled(f"Top of {name}", items, draft, left=-w, notes=list(_top_words(pieces, draft)))


def _above(pieces: PostTopPieces, head: Bulged, half: float, tall: float) -> Bulged:
    """Return the outline of a post's top as far as it is seen: up to the sides of a metal cap."""
    if not isinstance(pieces.cap, MetalCap):
        return head
    low = tall - pieces.cap.skirt
    return (half, low, 0.0), (-half, low, 0.0)


def _top_words(pieces: PostTopPieces, draft: Draft) -> Iterator[str]:
    """Yield how the top of a post is made, and what stands on it."""
    cap = pieces.cap
    if isinstance(cap, MetalCap):
        kind = "a four-way top" if cap.rise else "a flat top"
        yield f"metal cap with {kind}, sheet {draft.figure(cap.metal)} thick"
    elif cap is not None:
        yield ("cap with a four-way top" if cap.rise else "flat cap") + (
            ", a flat left for the finial" if cap.rise and cap.seat else ""
        )
    else:
        yield pieces.post.top.words
        yield from pieces.post.top.notes(pieces.post.width, draft.figure)
    if pieces.finial is not None:
        yield "finial turned, from its foot up:"
        yield ", ".join(_zone_words(pieces.finial, draft))


def _zone_words(finial: Turned, draft: Draft) -> Iterator[str]:
    """Yield what a turner needs of each zone; a ball begins and ends where its neighbours do."""
    for zone in finial.zones:
        low, high = draft.figure(2.0 * zone.low), draft.figure(zone.height)
        if zone.ball:
            yield f"ball Ø{draft.figure(2.0 * zone.radius)}"
        elif zone.low == zone.high:
            yield f"Ø{low} x {high}"
        else:
            yield f"cone Ø{low} to a point {high} up"


def _cap(
    pieces: PostTopPieces, cap: Cap, tall: float, apart: float, draft: Draft
) -> Iterator[Item]:
    """Yield a post's cap from the front and from the side, with its sizes."""
    first_tier = draft.full(draft.style.first_tier)
    shoulder, tip = tall + cap.thickness, tall + cap.height
    for wide, x in ((cap.width, 0.0), (cap.depth, apart)):
        yield Line.through(cap_outline(cap, wide, x, tall), layers.POSTS, closed=True)
        if cap.rise:
            sides = (x - wide / 2.0, shoulder), (x + wide / 2.0, shoulder)
            yield Line.through(sides, layers.POSTS)
    edge = apart + cap.depth / 2.0
    heights = [(edge, tall), (edge, shoulder), *([(edge, tip)] if cap.rise else [])]
    yield from upright_chain(heights, edge + first_tier, draft, aside=True)
    top = tip + (pieces.finial.height if pieces.finial else 0.0)
    if edge - apart > pieces.post.depth / 2.0:
        over = [(apart + pieces.post.depth / 2.0, top), (edge, top)]
        yield from level_chain(over, top + first_tier, draft)
    if cap.seat and cap.rise:
        half = cap.depth * cap.share / 2.0
        seat = [(apart - half, tip), (apart + half, tip)]
        yield from level_chain(seat, top + first_tier + draft.full(draft.style.tier), draft)


def _metal_cap(cap: MetalCap, tall: float, apart: float, draft: Draft) -> Iterator[Item]:
    """Yield a metal cap from the front and from the side, with its sizes."""
    first_tier = draft.full(draft.style.first_tier)
    for wide, x in ((cap.width, 0.0), (cap.depth, apart)):
        yield Line.through(metal_cap_outline(cap, wide, x, tall), layers.METAL, closed=True)
    edge = apart + cap.depth / 2.0
    heights = [(edge, tall - cap.skirt), (edge, tall), (edge, tall + cap.height)]
    yield from upright_chain(heights, edge + first_tier, draft, aside=True)
    top = tall + cap.height
    ends = [(-cap.width / 2.0, top), (cap.width / 2.0, top)]
    yield from level_chain(ends, top + first_tier, draft)
    ends = [(edge - cap.depth, top), (edge, top)]
    yield from level_chain(ends, top + first_tier, draft)


def metal_cap_outline(cap: MetalCap, wide: float, x: float, z: float) -> tuple[Point, ...]:
    """Return a metal cap from its side. wide : there; x : of its middle, z : of the post's top."""
    half, low = wide / 2.0, z - cap.skirt
    tip = ((x, z + cap.height),) if cap.rise else ()
    high = z + cap.metal
    return (x - half, low), (x + half, low), (x + half, high), *tip, (x - half, high)


def _finial(
    pieces: PostTopPieces, finial: Turned, tall: float, apart: float, draft: Draft
) -> Iterator[Item]:
    """Yield a finial from the front and from the side, with its height, disc and ball."""
    first_tier, tier = draft.full(draft.style.first_tier), draft.full(draft.style.tier)
    foot = tall + pieces.seat
    for x in (0.0, apart):
        yield from finial_lines(finial, (x, foot))
    disc = finial.zones[0]
    half = max(finial.diameter, pieces.cap.width if pieces.cap else pieces.post.width) / 2.0
    heights = [(-disc.low, foot), (-disc.low, foot + disc.height), (0.0, foot + finial.height)]
    yield from upright_chain(heights, -half - first_tier, draft)
    top = foot + finial.height
    for level, radius in enumerate((finial.diameter / 2.0, disc.low)):
        ends = [(-radius, top), (radius, top)]
        yield from level_chain(ends, top + first_tier + level * tier, draft)


def finial_lines(finial: Turned, foot: Point) -> Iterator[Line]:
    """Yield a finial seen from its side: each of its zones. foot : the middle of its foot."""
    x0, z0 = foot
    for level, zone in finial.stacked():
        right = [(r, level + z) for r, z in zone.rings(ROUND_PARTS)]
        loop = (*right, *((-r, z) for r, z in reversed(right)))
        moved = tuple(dict.fromkeys((x0 + x, z0 + z) for x, z in loop))
        yield Line.through(moved, layers.POSTS, closed=True)


def cap_outline(cap: Cap, wide: float, x: float, z: float) -> tuple[Point, ...]:
    """Return a cap from its side. wide : there; x : of its middle, z : of its underside, mm."""
    half, shoulder = wide / 2.0, z + cap.thickness
    seat = half * cap.share
    tip = [(x + seat, z + cap.height), (x - seat, z + cap.height)] if cap.rise else []
    flat = tuple(dict.fromkeys(tip))
    return (x - half, z), (x + half, z), (x + half, shoulder), *flat, (x - half, shoulder)
