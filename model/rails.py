"""Rails: their pieces between joints, their cuts at corners, and what fixes them to the posts."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

from .geometry import Frame, Outline, Point
from .hardware import (
    ARRIS_BRACKET_LENGTH,
    ARRIS_BRACKET_METAL,
    BOLTS,
    BRACKET_HEIGHT,
    BRACKET_LEG,
    BRACKET_METAL,
    THREAD_OUT,
    bolt_length,
)
from .layout import Limit, RunLayout, Stretch
from .members import BOLT, BRACKET, RAIL, Piece
from .setting import Setting
from .shapes import (
    SQUARE_CUT,
    Bar,
    Bolt,
    EndCut,
    Plate,
    arris_section,
    rectangle_section,
    tidy,
    tidy_slope,
)

LEAST_BEARING = 30.0
"""A rail end with less of a post behind it (mm) gets a bracket instead of a bolt."""

BUTT_TURNS, BUTT_INSIDE = (60.0, 120.0), 90.0
"""Corners between these turns (degrees) can be butted; others are mitred. Inside a corner sharper
than a right angle the post stands in the way of a rail that would run on over it."""

STRAIGHT = 0.5
"""A base that bends or steps by less than this over a bay (mm) is one straight line to a rail."""

BOLTS_CROSS = 30.0
"""From this turn on (degrees) the bolts of two legs cross in the post and are set off."""


@dataclass(frozen=True)
class RailPiece:
    """A rail on the face of the posts, between two joints.

    top : height of its top edge over the base; x0, x1 : where its ends cut the posts' face plane;
    left, right : its cuts in plan; bays : number of the first and of the last bay it covers;
    setting : of these bays, which share one straight base.
    """

    row: int
    top: float
    x0: float
    x1: float
    left: EndCut
    right: EndCut
    bays: tuple[int, int]
    setting: Setting

    def bottom(self, x: float, height: float) -> float:
        """Return the level of its underside at x, over the leg's start, for its height, mm."""
        return self.setting.base(x) + self.top - height * self.setting.secant

    def stock(self, height: float, thickness: float) -> float:
        """Return the length of stock the rail is cut from, for its section, mm.

        The longest side along the rail, and what upright cuts of a raked rail add to it.
        """
        plan = self.x1 - self.x0 + sum(_added(self.left, self.right, thickness))
        return plan * self.setting.secant + height * abs(self.setting.slope)


def rail_pieces(layout: RunLayout, stretch: Stretch) -> list[RailPiece]:
    """Return the face rails of a stretch, with joints on posts and staggered row by row."""
    edges, left, right = _edges(layout, stretch)
    settings = stretch.settings
    rows = stretch.rows or rail_rows(layout, stretch, layout.run.rails.stock_length)
    pieces = []
    for row, (top, splits) in enumerate(zip(layout.run.tops, rows, strict=True)):
        for first, last in itertools.pairwise(splits):
            pieces.append(
                RailPiece(
                    row,
                    top,
                    edges[first],
                    edges[last],
                    left if first == 0 else SQUARE_CUT,
                    right if last == len(edges) - 1 else SQUARE_CUT,
                    (first, last - 1),
                    settings[first],
                )
            )
    return pieces


def rail_rows(layout: RunLayout, stretch: Stretch, longest: float) -> tuple[tuple[int, ...], ...]:
    """Return the joints of each row of face rails of a stretch; longest : stock to be had, mm."""
    height, thickness = layout.run.rails.section
    edges, left, right = _edges(layout, stretch)
    settings = stretch.settings
    steepest = max(abs(setting.slope) for setting in settings)
    extra = _added(left, right, thickness)
    along = [0.0]  # the edges measured along the rails
    for setting, (a, b) in zip(settings, itertools.pairwise(edges), strict=True):
        along.append(along[-1] + (b - a) * setting.secant)
    rows = stagger(
        along,
        longest - height * steepest,
        len(layout.run.tops),
        (extra[0] * settings[0].secant, extra[1] * settings[-1].secant),
        frozenset(breaks(settings)),
    )
    return tuple(tuple(row) for row in rows)


def breaks(settings: tuple[Setting, ...]) -> list[int]:
    """Return the numbers of the posts at which the base has a step or a bend."""
    return [
        number
        for number, (a, b) in enumerate(itertools.pairwise(settings), 1)
        if abs(a.z1 - b.z0) > STRAIGHT or abs(a.slope - b.slope) * (b.x1 - b.x0) > STRAIGHT
    ]


def _added(left: EndCut, right: EndCut, thickness: float) -> tuple[float, float]:
    """Return what end cuts add to the longest side of a rail, measured on its back."""
    return max(0.0, left.ky * thickness), max(0.0, -right.ky * thickness)


def rail_spans(layout: RunLayout, stretch: Stretch) -> list[float]:
    """Return what rails span in each bay, mm: from end or joint to end or joint.

    In the angle of a sharp inside corner there may be none, and the span is 0 or less.
    """
    if layout.run.rails.form == "face":
        edges, _, _ = _edges(layout, stretch)
        return [b - a for a, b in itertools.pairwise(edges)]
    return [x1 - x0 for x0, x1, _, _ in _between_posts(layout, stretch)]


def _edges(layout: RunLayout, stretch: Stretch) -> tuple[list[float], EndCut, EndCut]:
    """Return where face rails may end or be jointed, and the cuts of the outer ends."""
    start, left = _end(layout, stretch, at_start=True)
    stop, right = _end(layout, stretch, at_start=False)
    return [start, *stretch.xs[1:-1], stop], left, right


def stagger(
    edges: list[float],
    stock: float,
    rows: int,
    extra: tuple[float, float] = (0.0, 0.0),
    broken: frozenset[int] = frozenset(),
) -> list[list[int]]:
    """Choose the joints of each row of rails.

    Parameters
    ----------
    edges : list of float, mm
        Where rails may end, in order.
    stock : float, mm
        Longest rail to be had. A single bay longer than that stays one piece.
    rows : int
        Rows of rails, lowest first; neighbouring rows share as few joints as they can.
    extra : (2,) float, mm
        Length that end cuts add to the first and the last piece.
    broken : frozenset of int
        Edges where every row is jointed.

    Returns
    -------
    list of list of int
        For each row the numbers of the edges where its pieces start and end.

    Examples
    --------
    >>> stagger([0, 1800, 3600, 5400, 7200], 3600, 2)
    [[0, 2, 4], [0, 1, 3, 4]]
    """
    last = len(edges) - 1

    def fits(first: int, end: int) -> bool:
        length = edges[end] - edges[first]
        length += (extra[0] if first == 0 else 0.0) + (extra[1] if end == last else 0.0)
        if any(first < number < end for number in broken):
            return False
        return end - first == 1 or length <= stock + 1e-6

    def fill(splits: list[int]) -> list[int]:
        while splits[-1] < last:
            first = splits[-1]
            end = first + 1
            while end < last and fits(first, end + 1):
                end += 1
            splits.append(end)
        return splits

    chosen = [fill([0])]
    for _ in range(1, rows):
        before = set(chosen[-1][1:-1])
        tries = [fill([0])]
        tries += [fill([0, end]) for end in range(chosen[0][1] - 1, 0, -1)]
        shared = before - broken
        chosen.append(min(tries, key=lambda row: (len(shared & set(row[1:-1])), len(row))))
    return chosen


def rail_members(layout: RunLayout, stretch: Stretch, groups: list[str]) -> Iterator[Piece]:
    """Yield the rails of a stretch and what fixes them. groups : name of each bay."""
    if layout.run.rails.form == "face":
        yield from _face_rails(layout, stretch, groups)
    else:
        yield from _arris_rails(layout, stretch, groups)


def _face_rails(layout: RunLayout, stretch: Stretch, groups: list[str]) -> Iterator[Piece]:
    run = layout.run
    leg = layout.legs[stretch.leg]
    height, thickness = run.rails.section
    pieces = rail_pieces(layout, stretch)
    for piece in pieces:
        # the bar is measured along its lower front edge; its own y = 0 is the front
        front0 = piece.x0 - piece.left.ky * thickness
        front1 = piece.x1 - piece.right.ky * thickness
        section = rectangle_section(height, thickness)
        bar = tilted_bar(section, front1 - front0, piece.left.ky, piece.right.ky, piece.setting)
        place = _tilted(front0, -run.face - thickness, piece.bottom(front0, height), piece.setting)
        role = f"rail {piece.row + 1} of {len(run.tops)}"
        yield Piece(RAIL, bar, leg.frame @ place, groups[piece.bays[0]], role, stretch.leg)
        for bay in range(piece.bays[0], piece.bays[1] + 2):
            yield from _fixing(layout, stretch, piece, bay, groups)
        yield from _pair_bracket(layout, stretch, piece, groups)


def tilted_bar(
    section: tuple[Point, ...], run: float, left: float, right: float, setting: Setting
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


def _tilted(x: float, y: float, z: float, setting: Setting) -> Frame:
    """Return a place in a leg's frame with its x axis along the base."""
    secant = setting.secant
    cos, sin = 1.0 / secant, setting.slope / secant
    return Frame((x, y, z), (cos, 0.0, sin), (0.0, 1.0, 0.0))


def _fixing(
    layout: RunLayout, stretch: Stretch, piece: RailPiece, place: int, groups: list[str]
) -> Iterator[Piece]:
    """Yield what holds a rail to the post at one of its bays' ends."""
    run = layout.run
    leg = layout.legs[stretch.leg]
    post = layout.posts[stretch.posts[place]]
    limit = stretch.first if place == 0 else stretch.last
    at_corner = place in (0, len(stretch.xs) - 1) and limit.kind == "corner" and not limit.pair
    group = groups[min(place, len(groups) - 1)]
    height, thickness = run.rails.section
    half = height / 2.0 * piece.setting.secant
    low, high = post.extent(leg)
    low, high = max(low, piece.x0), min(high, piece.x1)
    bearing = high - low
    if bearing >= LEAST_BEARING or (bearing > 0.0 and not at_corner):
        x = (low + high) / 2.0
        z = piece.bottom(x, height) + half
        if at_corner and abs(limit.turn) >= BOLTS_CROSS:
            z += _clear_of_crossing(layout, stretch, place, z, half)
        grip = thickness + _chord_end(post.in_leg(leg), x) + run.face
        bolt = bolt_through(run.rails.bolt, grip)
        spot = Frame.at(x, -run.face - thickness, z)
        yield Piece(BOLT, bolt, leg.frame @ spot, group, "rail to post", stretch.leg)
    elif at_corner:
        x = piece.x1 if place else piece.x0
        yield _angle_bracket(layout, stretch, piece, place, group, piece.bottom(x, height) + half)


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
    leg = layout.legs[stretch.leg]
    before = next(
        other
        for other in layout.stretches
        if other.posts[-1] == stretch.posts[0] and other.last.kind == "corner"
    )
    ends = layout.legs[before.leg]
    setting = before.settings[-1]
    level = ends.start[2] + setting.base(before.xs[-1]) - leg.start[2]
    height = layout.run.rails.section[0] * setting.secant
    theirs = [level + top - height / 2.0 + height / 4.0 for top in layout.run.tops]
    choices = (-half / 2.0, half / 2.0, 0.0)
    return max(choices, key=lambda lift: round(min(abs(z + lift - other) for other in theirs), 3))


def _pair_bracket(
    layout: RunLayout, stretch: Stretch, piece: RailPiece, groups: list[str]
) -> Iterator[Piece]:
    """Yield the bracket that joins the rails of both legs where no post stands in the corner.

    It sits behind the rails, in the angle of their backs.
    """
    run = layout.run
    limit = stretch.last
    if piece.bays[1] != len(stretch.settings) - 1 or limit.kind != "corner" or not limit.pair:
        return
    leg = layout.legs[stretch.leg]
    height = run.rails.section[0]
    plate = _angle_plate(math.radians(180.0 - limit.turn))
    half = height / 2.0 * piece.setting.secant
    z = piece.bottom(piece.x1, height) + half + BRACKET_HEIGHT / 2.0
    frame = leg.frame @ Frame((piece.x1, -run.face, z), (1.0, 0.0, 0.0), (0.0, 0.0, -1.0))
    yield Piece(BRACKET, plate, frame, groups[-1], "rail to rail", stretch.leg)


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
    layout: RunLayout, stretch: Stretch, piece: RailPiece, place: int, group: str, middle: float
) -> Piece:
    """Return the bracket between a rail's back and the side of an inside corner's post."""
    run = layout.run
    leg = layout.legs[stretch.leg]
    limit = stretch.last if place else stretch.first
    turn = abs(limit.turn)
    outline = _angle_plate(math.radians(45.0 + turn / 2.0)).outline
    x = piece.x1 if place else piece.x0
    if not place:
        outline = outline.mirrored()
    plate = Plate(outline, BRACKET_HEIGHT)
    z = middle + BRACKET_HEIGHT / 2.0
    frame = leg.frame @ Frame((x, -run.face, z), (1.0, 0.0, 0.0), (0.0, 0.0, -1.0))
    return Piece(BRACKET, plate, frame, group, "rail to corner post", stretch.leg)


def _angle_plate(inner: float) -> Plate:
    """Return a bracket of two legs with an angle between them, radians; the metal lies in it.

    One leg runs back along -x, its side y = 0 on the first rail; over half a turn the metal wraps
    round the outside.
    """
    m, a = BRACKET_METAL, BRACKET_LEG
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


def _end(layout: RunLayout, stretch: Stretch, *, at_start: bool) -> tuple[float, EndCut]:
    """Return where a face rail ends on the posts' face plane, and its cut there."""
    run = layout.run
    limit = stretch.first if at_start else stretch.last
    if limit.kind != "corner" or abs(limit.turn) < 1e-6:
        return limit.x, SQUARE_CUT
    sharpest = BUTT_TURNS[1] if limit.turn > 0 else BUTT_INSIDE
    if (
        run.rails.corners == "butt"
        and not limit.pair
        and BUTT_TURNS[0] <= abs(limit.turn) <= sharpest + 1e-9
    ):
        if at_start or limit.turn > 0:
            return _butted(run.face, run.rails.section[1], limit, at_start=at_start)
        # at an inside corner the first leg's rail runs on over the post
        post = layout.posts[stretch.posts[-1]]
        return post.extent(layout.legs[stretch.leg])[1], SQUARE_CUT
    # the cut lies in the plane of the mitre: x moves by tan(turn / 2) for each mm to the front
    slope = (-1.0 if at_start else 1.0) * math.tan(math.radians(limit.turn) / 2.0)
    return limit.x + slope * run.face, EndCut(-slope)


def _butted(face: float, thickness: float, limit: Limit, *, at_start: bool) -> tuple[float, EndCut]:
    """Return the end of a butted rail, where the first leg's rail covers the second's end.

    The second leg's rail stops on the first's: on its back outside a corner, on its front
    inside. The first leg's rail (outside a corner) ends flush with the second's front.
    """
    turn = math.radians(limit.turn)
    slope = math.cos(turn) / math.sin(turn)
    front = face + thickness
    if at_start:
        plane = face if limit.turn > 0 else front
        return limit.x - plane / math.sin(turn) + slope * face, EndCut(-slope)
    return limit.x + front / math.sin(turn) - slope * face, EndCut(slope)


def _between_posts(
    layout: RunLayout, stretch: Stretch
) -> Iterator[tuple[float, float, float, float]]:
    """Yield start, end and the slopes of both end cuts of an arris rail in each bay."""
    leg, face, depth = layout.legs[stretch.leg], layout.run.face, layout.run.rails.section[1]
    for first, last in itertools.pairwise(stretch.posts):
        one, other = layout.posts[first].in_leg(leg), layout.posts[last].in_leg(leg)
        x0, left = _post_side(one, -face, depth, to_right=True)
        x1, right = _post_side(other, -face, depth, to_right=False)
        yield x0, x1, left, right


def _arris_rails(layout: RunLayout, stretch: Stretch, groups: list[str]) -> Iterator[Piece]:
    run = layout.run
    leg = layout.legs[stretch.leg]
    height, depth = run.rails.section
    section = arris_section(height, depth)
    reach = depth + 4.0 * ARRIS_BRACKET_METAL
    for bay, (x0, x1, left, right) in enumerate(_between_posts(layout, stretch)):
        setting = stretch.settings[bay]
        secant = setting.secant
        bar = tilted_bar(section, x1 - x0, left, right, setting)
        one, other = (layout.posts[stretch.posts[bay + end]].in_leg(leg) for end in (0, 1))
        # the sleeves' ends are square to the rail: clear of the posts at their nearest edge
        lean = (height + 4.0 * ARRIS_BRACKET_METAL) * abs(setting.slope) / secant
        clear0 = max(x0, _furthest(one, -run.face, reach, to_right=True)) + lean
        clear1 = min(x1, _furthest(other, -run.face, reach, to_right=False)) - lean
        room = (clear1 - clear0) * secant
        length = min(ARRIS_BRACKET_LENGTH, max(1.0, math.floor(room / 2.0)))
        sleeve = _sleeve(height, depth, length)
        for row, top in enumerate(run.tops):

            def place(x: float, top: float = top, setting: Setting = setting) -> Frame:
                bottom = setting.base(x) + top - height * setting.secant
                return leg.frame @ _tilted(x, -run.face, bottom, setting)

            role = f"rail {row + 1} of {len(run.tops)}"
            yield Piece(RAIL, bar, place(x0), groups[bay], role, stretch.leg)
            for x in (clear0, clear1 - length / secant):
                # the plate's thickness runs along the rail
                spot = place(x) @ Frame((0.0, 0.0, 0.0), (0.0, -1.0, 0.0), (1.0, 0.0, 0.0))
                yield Piece(BRACKET, sleeve, spot, groups[bay], "rail to post", stretch.leg)


def _sleeve(height: float, depth: float, length: float) -> Plate:
    """Return the sheet-metal sleeve round the two back faces of an arris rail."""
    metal, half = ARRIS_BRACKET_METAL, height / 2.0
    slant = math.hypot(half, depth)
    ny, nz = half / slant * metal, depth / slant * metal
    tip = depth + metal * slant / half
    loop = [(0.0, 0.0), (ny, -nz), (tip, half), (ny, height + nz), (0.0, height), (depth, half)]
    outline = Outline.polygon((tidy(-y), tidy(z)) for y, z in reversed(loop))
    return Plate(outline, length)


def _post_side(
    corners: tuple[Point, ...], y: float, depth: float, *, to_right: bool
) -> tuple[float, float]:
    """Return x at y and the slope dx/dy of the cut that lets a rail meet a post.

    Where the rail meets one flat side, the cut lies on it; else it is square at the furthest
    point of the post.
    """
    spots = [_side(corners, y + depth * share, to_right=to_right) for share in (0.0, 0.5, 1.0)]
    if None not in spots:
        a, b, c = (spot for spot in spots if spot is not None)
        if abs((a + c) / 2.0 - b) < 1e-9:
            return a, (c - a) / depth
    return _furthest(corners, y, depth, to_right=to_right), 0.0


def _furthest(corners: tuple[Point, ...], y: float, depth: float, *, to_right: bool) -> float:
    """Return how far a post reaches to one side within a strip of y."""
    xs = [x for x, cy in corners if y <= cy <= y + depth]
    for edge in (y, y + depth):
        side = _side(corners, edge, to_right=to_right)
        if side is not None:
            xs.append(side)
    return max(xs) if to_right else min(xs)


def _side(corners: tuple[Point, ...], y: float, *, to_right: bool) -> float | None:
    xs: list[float] = []
    for (x0, y0), (x1, y1) in zip(corners, (*corners[1:], corners[0]), strict=True):
        low, high = sorted((y0, y1))
        if high - low < 1e-9:
            if abs(y - low) < 1e-9:
                xs.extend((x0, x1))
        elif low - 1e-9 <= y <= high + 1e-9:
            xs.append(x0 + (x1 - x0) * (y - y0) / (y1 - y0))
    if not xs:
        return None
    return max(xs) if to_right else min(xs)


def _chord_end(corners: tuple[Point, ...], x: float) -> float:
    """Return the largest y at which the line at x leaves a convex polygon."""
    ys = []
    for (x0, y0), (x1, y1) in zip(corners, (*corners[1:], corners[0]), strict=True):
        if min(x0, x1) <= x <= max(x0, x1) and x0 != x1:
            ys.append(y0 + (y1 - y0) * (x - x0) / (x1 - x0))
    return max(ys)
