"""Joints cut in the timber: what a piece that goes through another takes out of it.

Which kinds go through which stands in `parts/touching.py`; nothing here asks what kind a piece is.
A bolt or rod of metal gets its clearance hole, what is let in of a bolt its counterbore, and
timber a mortise, notch or slot that fits it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from palewright.model.geometry.convex import convex_parts, outer_points
from palewright.model.geometry.frames import Frame, Vector, dot
from palewright.model.geometry.half_spaces import Plane, Sided, loop_area, room, volume_within
from palewright.model.geometry.shapes import Bolt, Rod, Tenoned, tidy
from palewright.model.geometry.worked_shapes import (
    Bore,
    Cut,
    Pocket,
    along_bore,
    bore_planes,
    planes_of,
)
from palewright.model.parts.hardware import clearance_hole, counterbore, pilot_hole
from palewright.model.parts.members import METAL, POSTS, STANDING, TIMBER, Piece
from palewright.model.parts.touching import BITES, goes_through

TOUCH = 1e-3
"""What lies no deeper than this in another piece only touches it, mm."""

LEAST = 0.02
"""Thinner cuts are none, mm."""

DRUM_SIDES = 24
"""Flat sides that stand for a bore while it is looked for."""

_OUTLINE = 0.01
"""Overlap of outlines under which pieces only touch, mm."""


@dataclass(frozen=True)
class _Drum:
    """Part of a round piece, about an axis through a point. low, high : along it, mm."""

    centre: Vector
    axis: Vector
    diameter: float
    low: float
    high: float


def with_cuts(pieces_by_run: Sequence[Sequence[Piece]]) -> list[list[Piece]]:
    """Return pieces with the cuts that other pieces need in them."""
    pieces = [piece for run in pieces_by_run for piece in run]
    cuts: dict[int, set[Cut]] = {}
    for goer, host in sorted(_pairs(pieces)):
        found = list(cuts_for(pieces[goer], pieces[host]))
        if found:
            cuts.setdefault(host, set()).update(found)
    worked = [
        replace(piece, cuts=_in_order(cuts[number])) if number in cuts else piece
        for number, piece in enumerate(pieces)
    ]
    result, start = [], 0
    for run in pieces_by_run:
        result.append(worked[start : start + len(run)])
        start += len(run)
    return result


def _in_order(cuts: Iterable[Cut]) -> tuple[Cut, ...]:
    """Return cuts in an order that does not depend on which piece made which, pockets that are one
    behind the other joined.
    """
    found = list(cuts)
    pockets = [frozenset(cut.planes) for cut in found if isinstance(cut, Pocket)]
    while (joined := _joined_pockets(pockets)) is not None:
        pockets = joined
    whole = [Pocket(tuple(sorted(planes))) for planes in set(pockets)]
    bores = [cut for cut in found if isinstance(cut, Bore)]
    return (*sorted(bores, key=repr), *sorted(whole, key=repr))


def _joined_pockets(pockets: list[frozenset[Plane]]) -> list[frozenset[Plane]] | None:
    """Return pockets with two of them as one that end at one plane from either side and are alike
    else; None where no two do.
    """
    for n, one in enumerate(pockets):
        for m in range(n):
            ends, others = one - pockets[m], pockets[m] - one
            if len(ends) == len(others) == 1:
                (end,), (other,) = ends, others
                if all(abs(a + b) < 2.0 * TOUCH for a, b in zip(end, other, strict=True)):
                    rest = [p for at, p in enumerate(pockets) if at not in (n, m)]
                    return [*rest, one & pockets[m]]
    return None


def _tidy_way(way: Vector) -> Vector:
    """Return a unit vector rounded so that points far along it stay where they are."""
    x, y, z = (round(value, 12) + 0.0 for value in way)
    return x, y, z


def _pairs(pieces: Sequence[Piece]) -> Iterator[tuple[int, int]]:
    """Yield pieces that go through others, and those, by their numbers, as far as the outlines in
    plan and the heights tell.
    """
    import shapely

    kinds = {piece.kind for piece in pieces}
    through = {kind: {other for other in kinds if goes_through(kind, other)} for kind in kinds}
    meant = {kind for kind, others in through.items() if others} | set().union(*through.values())
    numbers = [n for n, piece in enumerate(pieces) if piece.kind in meant]
    if not numbers:
        return
    plans, lows, highs = [], [], []
    for number in numbers:
        frame = pieces[number].frame
        points = outer_points(pieces[number].shape) @ np.array([frame.x, frame.y, frame.z])
        points = points + np.array(frame.origin)
        plans.append(shapely.MultiPoint(points[:, :2]).convex_hull)
        lows.append(points[:, 2].min())
        highs.append(points[:, 2].max())
    shrunk = shapely.buffer(np.array(plans), -_OUTLINE, quad_segs=1, join_style="mitre")
    ones, others = shapely.STRtree(shrunk).query(shrunk, predicate="intersects")
    low, high = np.array(lows), np.array(highs)
    over = np.minimum(high[ones], high[others]) - np.maximum(low[ones], low[others])
    for a, b in zip(ones[over > _OUTLINE], others[over > _OUTLINE], strict=True):
        goer, host = numbers[int(a)], numbers[int(b)]
        if pieces[host].kind in through[pieces[goer].kind]:
            yield goer, host


def cuts_for(goer: Piece, host: Piece) -> Iterator[Cut]:
    """Yield what a piece that goes through another needs taken out of it, in the coordinates of
    that; nothing where it only touches it, or is not to be cut.
    """
    if host.kind.material not in (TIMBER, STANDING) and host.kind not in POSTS:
        return  # what is poured is poured round it
    place = Frame(
        host.frame.local(goer.frame.origin),
        _turned(host.frame, goer.frame.x),
        _turned(host.frame, goer.frame.y),
    )
    stocks = [planes_of(part) for part in convex_parts(host.shape)]
    if isinstance(goer.shape, (Bolt, Rod)):
        for drum in _drums(goer, host):
            yield from _bore(drum, place, stocks)
        return
    shape = goer.shape.housed if isinstance(goer.shape, Tenoned) else goer.shape
    for part in convex_parts(shape):
        planes = planes_of(part.placed(place))
        active: set[Plane] = set()
        for stock in stocks:
            active.update(_bounding(stock, planes))
        tidied = {(*_tidy_way(plane[:3]), tidy(plane[3])) for plane in active}
        if tidied:
            yield Pocket(tuple(sorted((x, y, z, d) for x, y, z, d in tidied)))


def _turned(frame: Frame, way: Vector) -> Vector:
    """Return a direction of the site in a frame."""
    return dot(way, frame.x), dot(way, frame.y), dot(way, frame.z)


def _thickness(faces: Sequence[Sided]) -> float:
    """Return how thick a room is, mm, or less."""
    return volume_within(faces) / max(loop_area(loop) for _, loop in faces) if faces else 0.0


def _bounding(stock: Sequence[Plane], planes: Sequence[Plane]) -> Iterator[Plane]:
    """Yield the planes of a piece that bound what it takes out of a convex stock."""
    faces = room((*stock, *planes), TOUCH)
    if _thickness(faces) > LEAST:
        for owner in {owner for owner, loop in faces if loop_area(loop) > TOUCH}:
            if owner >= len(stock):
                yield planes[owner - len(stock)]


def _drums(piece: Piece, host: Piece) -> Iterator[_Drum]:
    """Yield what is bored for a bolt or a rod in another piece, in its own coordinates: the head
    and the washer with all that is beyond them, if they are let in, and the shank.
    """
    shape = piece.shape
    origin, up = (0.0, 0.0, 0.0), (0.0, 0.0, 1.0)
    if isinstance(shape, Rod):
        wide = shape.diameter
        if piece.kind.material == METAL:
            bites = host.kind in BITES.get(piece.kind, ())
            wide = (pilot_hole if bites else clearance_hole)(shape.diameter)
        yield _Drum(origin, up, wide, 0.0, shape.length)
    elif isinstance(shape, Bolt):
        end = shape.head_height + shape.length
        back = (0.0, 1.0, 0.0)
        yield _Drum(origin, back, clearance_hole(shape.diameter), 0.0, end)
        yield _Drum(origin, back, counterbore(shape.head_diameter), 0.0, shape.head_height)
        yield _Drum(origin, back, counterbore(shape.washer_diameter), shape.grip, end)


def _bore(drum: _Drum, place: Frame, stocks: Sequence[Sequence[Plane]]) -> Iterator[Bore]:
    """Yield the hole that a drum needs in a stock, from the side that it is bored from."""
    bored = Bore(place.point(drum.centre), place.direction(drum.axis), drum.diameter)
    met = [found for stock in stocks if (found := _met(bored, drum, stock)) is not None]
    if not met:
        return
    starts, stops = any(start for start, _ in met), any(stop for _, stop in met)
    if starts and stops:
        return
    x, y, z = bored.axis
    if starts:  # bored from the other side
        bored = Bore(bored.mouth, (-x, -y, -z), drum.diameter)
    mouth = _mouth(bored, stocks)
    depth = None
    if starts or stops:
        away = tuple(m - c for m, c in zip(mouth, bored.mouth, strict=True))
        end = -drum.low if starts else drum.high
        depth = tidy(end - dot((away[0], away[1], away[2]), bored.axis))
    x, y, z = (tidy(value) for value in mouth)
    yield Bore((x, y, z), _tidy_way(bored.axis), drum.diameter, depth)


def _met(bored: Bore, drum: _Drum, stock: Sequence[Plane]) -> tuple[bool, bool] | None:
    """Return whether a drum begins and whether it ends within a convex stock, None where it does
    not lie in it.
    """
    met = along_bore(bored, stock)
    if met is not None:
        start, stop, near, far, _ = met
        if min(stop + far, drum.high) - max(start - near, drum.low) < LEAST:
            return None
        within = drum.low < start - near + TOUCH, drum.high > stop + far - TOUCH
        beyond = drum.low > start + near + TOUCH, drum.high < stop - far - TOUCH
        if all(a or b for a, b in zip(within, beyond, strict=True)):
            return beyond
    reach = dot(bored.axis, bored.mouth)
    x, y, z = bored.axis
    ends = (-x, -y, -z, -reach - drum.low), (x, y, z, reach + drum.high)
    active = set(_bounding(stock, [*bore_planes(bored, DRUM_SIDES), *ends]))
    return (ends[0] in active, ends[1] in active) if active else None


def _mouth(bore: Bore, stocks: Sequence[Sequence[Plane]]) -> Vector:
    """Return where the axis of a bore enters a stock; for one that only grazes it, its middle."""
    starts = []
    for stock in stocks:
        low, high = -math.inf, math.inf
        for x, y, z, d in stock:
            lean = dot((x, y, z), bore.axis)
            left = d - dot((x, y, z), bore.mouth)
            if abs(lean) < 1e-9:
                low = low if left >= 0.0 else math.inf
            elif lean < 0.0:
                low = max(low, left / lean)
            else:
                high = min(high, left / lean)
        if low < high:
            starts.append(low)
    return bore.at(min(starts, default=0.0))
