"""Rails: their pieces between joints, their cuts at corners, and what fixes them to the posts."""

from __future__ import annotations

import math
from collections.abc import Iterator

from palewright.model.geometry.frames import Frame, Point
from palewright.model.geometry.outlines import Outline
from palewright.model.geometry.prisms import EndCut
from palewright.model.geometry.shapes import (
    Bar,
    Bolt,
    Plate,
    rectangle_section,
    tidy,
    tidy_slope,
)
from palewright.model.layout.bases import BayBase
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.rail_pieces import (
    LEAST_BEARING,
    RailPiece,
)
from palewright.model.layout.run_layout import RunLayout, Stretch
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.words import PostRole
from palewright.model.site.site_line import Leg

from .hardware import (
    BOLTS,
    BRACKET_HEIGHT,
    BRACKET_LEG,
    BRACKET_METAL,
    LEAST_LEG,
    THREAD_OUT,
    bolt_length,
)
from .members import BOLT, BRACKET, RAIL, Piece

FROM_END, FROM_EDGE = 4.0, 3.0
"""Least diameters from a bolt to the rail's end and to the post's edge (EN 1995-1-1, Table 8.4)."""

BOLTS_CROSS = 30.0
"""From this turn on (degrees) the bolts of two legs cross in the post and are set off."""


def rails_over_posts(layout: RunLayout, stretch: Stretch, groups: list[str]) -> Iterator[Piece]:
    """Yield rails that go on over posts, and what fixes them."""
    for piece in stretch.rails:
        yield rail_of_piece(layout, stretch, piece, groups)
        for bay in range(piece.bays[0], piece.bays[1] + 2):
            yield from rail_fixing(layout, stretch, piece, bay, groups)
        yield from _pair_bracket(layout, stretch, piece, groups)


def rail_of_piece(
    layout: RunLayout, stretch: Stretch, piece: RailPiece, groups: list[str]
) -> Piece:
    """Return a rectangular rail in its place."""
    run = layout.run
    height, thickness = run.rails.section
    _, front = run.rails.faces(run.face)
    # the bar is measured along its lower front edge; its own y = 0 is the front
    front0 = piece.x0 - piece.left.ky * thickness
    front1 = piece.x1 - piece.right.ky * thickness
    section = rectangle_section(height, thickness)
    bar = tilted_bar(section, front1 - front0, piece.left.ky, piece.right.ky, piece.setting)
    place = tilted(front0, -front, piece.bottom(front0, height), piece.setting)
    role = f"rail {piece.row + 1} of {len(run.rails.tops)}"
    group, leg = groups[piece.bays[0]], stretch.leg
    return Piece(RAIL, bar, leg.frame @ place, group, role, stretch.leg_number)


def tilted_bar(
    section: tuple[Point, ...], run: float, left: float, right: float, setting: BayBase
) -> Bar:
    """Return a bar along a base, with upright cuts at its ends.

    Parameters
    ----------
    section : (n, 2) float, mm
        (y, z) of the bar, square to it.
    run : float, mm
        Plan length along y = z = 0.
    left, right : float
        dx/dy of its cuts in plan.
    setting : Setting
        What slopes. An upright plane x = k y leaves the slope's angle a as x = (k / cos a) y +
        (tan a) z in the bar's own coordinates.
    """
    secant, kz = setting.secant, tidy_slope(setting.slope)
    cuts = (EndCut(tidy_slope(k * secant), kz) for k in (left, right))
    return Bar(section, tidy(run * secant), *cuts)


def tilted(x: float, y: float, z: float, setting: BayBase) -> Frame:
    """Return a place in a leg's frame with its x axis along the base."""
    secant = setting.secant
    cos, sin = 1.0 / secant, setting.slope / secant
    return Frame((x, y, z), (cos, 0.0, sin), (0.0, 1.0, 0.0))


def rail_fixing(
    layout: RunLayout, stretch: Stretch, piece: RailPiece, place: int, groups: list[str]
) -> Iterator[Piece]:
    """Yield what holds a rail to the post at one of its bays' ends."""
    run = layout.run
    leg = stretch.leg
    post = stretch.posts[place]
    limit = stretch.first if place == 0 else stretch.last
    in_corner = limit.kind == PostRole.CORNER and not limit.pair
    at_corner = place in (0, len(stretch.xs) - 1) and in_corner
    group = groups[min(place, len(groups) - 1)]
    height = run.rails.section[0]
    half = height / 2.0 * piece.setting.secant
    x = bolt_place(run, piece, post, leg, at_corner=at_corner)
    if x is not None:
        z = piece.bottom(x, height) + half
        if at_corner and abs(limit.turn) >= BOLTS_CROSS:
            z += _clear_of_crossing(layout, stretch, place, z, half)
        _, front = run.rails.faces(run.face)
        bolt = bolt_through(run.rails.bolt, front + _chord_end(post.in_leg(leg), x))
        spot = Frame.at(x, -front, z)
        yield Piece(BOLT, bolt, leg.frame @ spot, group, "rail to post", stretch.leg_number)
    elif at_corner:
        x = piece.x1 if place else piece.x0
        yield _angle_bracket(run, stretch, piece, place, group, piece.bottom(x, height) + half)


def bolt_place(
    run: RunJob, piece: RailPiece, post: PlacedPost, leg: Leg, *, at_corner: bool = False
) -> float | None:
    """Return x of the bolt that holds a rail to a post, None where there is no room for one.

    It stands in the middle of what bears. Where the rail ends on the post it goes as far from the
    rail's end as a wide post has room for (EN 1995-1-1, Table 8.4: 4 d, and 3 d to the post's
    edge).
    """
    low, high = post.extent(leg)
    starts, ends = piece.x0 > low + 1e-6, piece.x1 < high - 1e-6
    low, high = max(low, piece.x0), min(high, piece.x1)
    bearing = high - low
    if bearing < LEAST_BEARING and (at_corner or bearing <= 0.0):
        return None
    middle = (low + high) / 2.0
    if starts == ends:
        return middle
    diameter = BOLTS[run.rails.bolt].diameter
    away = max(bearing / 2.0, min(FROM_END * diameter, bearing - FROM_EDGE * diameter))
    return low + away if starts else high - away


def _clear_of_crossing(
    layout: RunLayout, stretch: Stretch, place: int, z: float, half: float
) -> float:
    """Return how far off the rail's middle a bolt sits, so that it clears the other leg's bolts.

    The leg that ends at the corner sets its bolts a quarter of the rail higher. The one that
    starts there goes as far from them as its rail allows: with rails at one height, a quarter
    lower.
    """
    if place:
        return half / 2.0
    leg = stretch.leg
    before = next(
        other
        for other in layout.stretches
        if other.numbers[-1] == stretch.numbers[0] and other.last.kind == PostRole.CORNER
    )
    ends = before.leg
    setting = before.settings[-1]
    level = ends.start[2] + setting.base(before.xs[-1]) - leg.start[2]
    height = layout.run.rails.section[0] * setting.secant
    theirs = [level + top - height / 2.0 + height / 4.0 for top in layout.run.rails.tops]
    choices = (-half / 2.0, half / 2.0, 0.0)
    return max(choices, key=lambda lift: round(min(abs(z + lift - other) for other in theirs), 3))


def rails_apart(layout: RunLayout, stretch: Stretch, piece: RailPiece) -> float | None:
    """Return how far in height a rail is from that of the other leg which it meets in a corner
    without a post, mm; None for a rail that ends at no such corner.
    """
    limit = stretch.last
    if limit.kind != PostRole.CORNER or not limit.pair:
        return None
    if piece.bays[1] != len(stretch.settings) - 1:
        return None
    height = layout.run.rails.section[0]
    level = stretch.leg.start[2] + piece.bottom(piece.x1, height)
    after = (stretch.numbers[-1] + 1) % len(layout.posts)
    for other in layout.stretches:
        if other.numbers[0] == after and other.first.kind == PostRole.CORNER:
            for rail in other.rails:
                if rail.row == piece.row and rail.bays[0] == 0:
                    return abs(other.leg.start[2] + rail.bottom(rail.x0, height) - level)
    return None


def _pair_bracket(
    layout: RunLayout, stretch: Stretch, piece: RailPiece, groups: list[str]
) -> Iterator[Piece]:
    """Yield the bracket that joins the rails of both legs where no post stands in the corner.

    It sits behind the rails, in the angle of their backs, as far as the posts leave room; there is
    none where they do not meet.
    """
    run = layout.run
    limit = stretch.last
    apart = rails_apart(layout, stretch, piece)
    if apart is None or apart > run.rails.section[0] - BRACKET_HEIGHT:
        return
    leg = stretch.leg
    height = run.rails.section[0]
    room = piece.x1 - stretch.posts[-1].extent(leg)[1]
    if room < LEAST_LEG:
        return  # the posts stand so near that both rails end on them
    plate = angle_plate(math.radians(180.0 - limit.turn), min(BRACKET_LEG, room))
    half = height / 2.0 * piece.setting.secant
    z = piece.bottom(piece.x1, height) + half + BRACKET_HEIGHT / 2.0
    back, _ = run.rails.faces(run.face)
    frame = leg.frame @ Frame((piece.x1, -back, z), (1.0, 0.0, 0.0), (0.0, 0.0, -1.0))
    yield Piece(BRACKET, plate, frame, groups[-1], "rail to rail", stretch.leg_number)


def bolt_through(size: str, grip: float) -> Bolt:
    """Return the bolt that clamps `grip` (mm), its head let in flush.

    size : "M8", "M10" or "M12". The length is what the timber, the washer, the nut and the
    standing thread need, rounded up to a length that is sold.
    """
    part = BOLTS[size]
    needed = grip - part.head_height + part.washer_height + part.nut_height + THREAD_OUT
    return Bolt(
        part.diameter,
        bolt_length(needed),
        tidy(grip),
        part.head_diameter,
        part.head_height,
        part.washer_diameter,
        part.washer_height,
        part.nut_width,
        part.nut_height,
    )


def _angle_bracket(
    run: RunJob, stretch: Stretch, piece: RailPiece, place: int, group: str, middle: float
) -> Piece:
    """Return the bracket behind a rail that ends at an inside corner: to the side of its post, or
    to the front of the other leg's rail which it butts against.
    """
    leg = stretch.leg
    limit = stretch.last if place else stretch.first
    turn = math.radians(abs(limit.turn))
    x, cut, hand = (piece.x1, piece.right.ky, -1.0) if place else (piece.x0, piece.left.ky, 1.0)
    mitred = math.isclose(cut * hand, -math.tan(turn / 2.0), abs_tol=1e-9)
    inner = math.radians(45.0) + turn / 2.0 if mitred else math.atan2(1.0, cut * hand)
    outline = angle_plate(inner).outline
    if not place:
        outline = outline.mirrored()
    plate = Plate(outline, BRACKET_HEIGHT)
    z = middle + BRACKET_HEIGHT / 2.0
    back, _ = run.rails.faces(run.face)
    frame = leg.frame @ Frame((x, -back, z), (1.0, 0.0, 0.0), (0.0, 0.0, -1.0))
    role = "rail to corner post" if mitred else "rail to rail"
    return Piece(BRACKET, plate, frame, group, role, stretch.leg_number)


def angle_plate(inner: float, length: float = BRACKET_LEG) -> Plate:
    """Return a bracket of two legs with an angle between them, radians; the metal lies in it.

    One leg runs back along -x, its side y = 0 on the first rail; over half a turn the metal wraps
    round the outside.
    """
    m, a = BRACKET_METAL, length
    lx, ly = -math.cos(inner), math.sin(inner)
    k = m / math.tan(inner / 2.0)
    loop = [
        (0.0, 0.0),
        (a * lx, a * ly),
        (a * lx - m * ly, a * ly + m * lx),
        (-k, m),
        (-a, m),
        (-a, 0.0),
    ]
    # a plate lies in x and z; standing it on its y axis turns z into the leg's y
    return Plate(Outline.polygon((tidy(x), tidy(y)) for x, y in loop), BRACKET_HEIGHT)


def _chord_end(corners: tuple[Point, ...], x: float) -> float:
    """Return the largest y at which the line at x leaves a convex polygon."""
    ys = []
    for (x0, y0), (x1, y1) in zip(corners, (*corners[1:], corners[0]), strict=True):
        if min(x0, x1) <= x <= max(x0, x1) and x0 != x1:
            ys.append(y0 + (y1 - y0) * (x - x0) / (x1 - x0))
    return max(ys)
