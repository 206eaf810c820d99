"""Skins of plates: outlines of lines and arcs, as thick as they are, with bevelled sides.

A bevel cuts the front or the back away over a strip along its side. There y of the cut face grows
evenly with x, so that an arc of the outline becomes part of an ellipse on it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from .frames import Point, Vector
from .outlines import Edge
from .shapes import Plate
from .skins import Cylinder, Flat, Loop, Skin, SkinMaker, Surface, Sweep, back, chords, unit

NEAR = 1e-6
"""A corner nearer to a line than this, mm, is on it."""


@dataclass(frozen=True)
class _Round:
    """The circle that an arc is part of. sign : 1 when it swells outwards, -1 when inwards."""

    centre: Point
    radius: float
    sign: float


@dataclass(frozen=True)
class _Piece:
    """Part of an outline. start, end : (x, z), mm; begin, stop : radians along the circle, which
    is counted from x towards z, or away from it where the arc swells inwards.
    """

    start: Point
    end: Point
    circle: _Round | None = None
    begin: float = 0.0
    stop: float = 0.0

    def at(self, t: float) -> Point:
        """Return the point of its circle at an angle."""
        assert self.circle is not None
        (x, z), r = self.circle.centre, self.circle.radius
        return x + r * math.cos(t), z + self.circle.sign * r * math.sin(t)

    @property
    def middle(self) -> float:
        """X half-way along."""
        if self.circle is None:
            return (self.start[0] + self.end[0]) / 2.0
        return self.at((self.begin + self.stop) / 2.0)[0]


@dataclass(frozen=True)
class _Height:
    """y of a face over x: base + slope x."""

    base: float
    slope: float = 0.0

    def point(self, spot: Point) -> Vector:
        return spot[0], self.base + self.slope * spot[0], spot[1]


@dataclass(frozen=True)
class _Part:
    """The part of a plate from x = low to x = high, between its front and its back."""

    low: float
    high: float
    front: _Height
    rear: _Height


def plate_skin(plate: Plate) -> Skin | None:
    """Return the skin of a plate, or None where its bevels meet."""
    parts = _parts(plate)
    if any(one.high < one.low - NEAR for one in parts):
        return None
    lines = [one.high for one in parts[:-1]]
    pieces = [_piece(edge) for edge in plate.outline.edges]
    if lines:
        pieces = [part for piece in _snapped(pieces, lines) for part in _cut(piece, lines)]
    maker = SkinMaker()
    faces: dict[_Piece, tuple[Loop, Loop]] = {}
    for piece in pieces:
        part = next(one for one in parts if piece.middle <= one.high or one is parts[-1])
        faces[piece] = _wall(maker, piece, part)
    for rear in (False, True):
        for part, loops in _faces(pieces, parts, rear):
            height = part.rear if rear else part.front
            for loop in loops:
                _flat(maker, loop, faces, height, rear)
    return maker.skin()


def _parts(plate: Plate) -> list[_Part]:
    """Return the strips of the bevels and what is between them, from left to right."""
    front, rear = _Height(0.0), _Height(plate.thickness)
    starts, ends = plate.sides(0.0), plate.sides(plate.thickness)
    left, right = max(starts[0], ends[0]), min(starts[1], ends[1])
    parts = [_Part(left if plate.bevel_left else -math.inf, math.inf, front, rear)]
    if slope := plate.bevel_left:
        cut = _Height(-starts[0] / slope, 1.0 / slope)
        # it takes the back away where it goes to the right on its way back
        strip = (front, cut) if slope > 0.0 else (cut, rear)
        parts = [_Part(-math.inf, left, *strip), *parts]
    if slope := plate.bevel_right:
        cut = _Height(-starts[1] / slope, 1.0 / slope)
        strip = (cut, rear) if slope > 0.0 else (front, cut)
        parts[-1] = _Part(parts[-1].low, right, front, rear)
        parts.append(_Part(right, math.inf, *strip))
    return parts


def _faces(
    pieces: list[_Piece], parts: list[_Part], rear: bool
) -> Iterable[tuple[_Part, list[list[_Piece]]]]:
    """Yield front or back faces and the outlines of each: strips that are not cut away belong to
    the face beside them.
    """
    whole: list[_Part] = []
    for part in parts:
        height = part.rear if rear else part.front
        if whole and height == (whole[-1].rear if rear else whole[-1].front):
            whole[-1] = _Part(whole[-1].low, part.high, part.front, part.rear)
        else:
            whole.append(part)
    for part in whole:
        loops = [pieces]
        for line, sign in ((part.low, -1.0), (part.high, 1.0)):
            if math.isfinite(line):
                loops = [one for loop in loops for one in _kept(loop, line, sign)]
        yield part, loops


def _piece(edge: Edge) -> _Piece:
    if abs(edge.bulge) * edge.chord / 2.0 < NEAR:  # how far it swells
        return _Piece(edge.start, edge.end)
    sign = math.copysign(1.0, edge.bulge)
    (x, z), radius = edge.centre, edge.radius
    begin = math.atan2(sign * (edge.start[1] - z), edge.start[0] - x)
    circle = _Round((x, z), radius, sign)
    return _Piece(edge.start, edge.end, circle, begin, begin + abs(edge.angle))


def _snapped(pieces: list[_Piece], lines: list[float]) -> Iterable[_Piece]:
    """Yield the pieces with corners that are nearly on a line moved onto it."""

    def moved(spot: Point) -> Point:
        return next(((x, spot[1]) for x in lines if abs(x - spot[0]) < NEAR), spot)

    for piece in pieces:
        start, end = moved(piece.start), moved(piece.end)
        yield _Piece(start, end, piece.circle, piece.begin, piece.stop)


def _cut(piece: _Piece, lines: list[float]) -> Iterable[_Piece]:
    """Yield a piece cut where it crosses upright lines; an arc also where it is farthest out, as
    a bevel may run out to nothing there.
    """
    cuts: list[tuple[float, Point]] = []
    (x0, z0), (x1, z1) = piece.start, piece.end
    if piece.circle is None:
        for x in lines:
            if min(x0, x1) + NEAR < x < max(x0, x1) - NEAR:
                share = (x - x0) / (x1 - x0)
                cuts.append((share, (x, z0 + share * (z1 - z0))))
    else:
        (cx, _), radius = piece.circle.centre, piece.circle.radius
        for x in (*lines, cx - radius, cx + radius):
            if abs(x - cx) > radius:
                continue
            turn = math.acos((x - cx) / radius)
            for lap in (-1.0, 0.0, 1.0, 2.0):
                for t in {turn, -turn}:
                    spot = (x, piece.at(t)[1])
                    inside = piece.begin < t + lap * math.tau < piece.stop
                    if (
                        inside
                        and min(math.dist(spot, piece.start), math.dist(spot, piece.end)) > NEAR
                    ):
                        cuts.append((t + lap * math.tau, spot))
    before, begin = piece.start, piece.begin
    for t, spot in sorted(cuts):
        yield _Piece(before, spot, piece.circle, begin, t)
        before, begin = spot, t
    yield _Piece(before, piece.end, piece.circle, begin, piece.stop)


def _kept(loop: list[_Piece], line: float, sign: float) -> list[list[_Piece]]:
    """Return the outlines of what lies left of an upright line (sign 1) or right of it (-1).

    loop : an outline, anticlockwise, that no piece of crosses the line.
    """
    inside = [sign * (line - piece.middle) > NEAR / 2.0 for piece in loop]
    if all(inside):
        return [loop]
    starts = [
        inside[n] and (not inside[n - 1] or loop[n].start[0] == line) for n in range(len(loop))
    ]
    if not any(starts):
        return []
    first = starts.index(True)
    chains: list[list[_Piece]] = []
    for n in (*range(first, len(loop)), *range(first)):
        if starts[n]:
            chains.append([])
        if inside[n]:
            chains[-1].append(loop[n])
    # the way on from the end of a chain is up along a line on its right, to the next start
    ups = sorted((sign * chain[0].start[1], n) for n, chain in enumerate(chains))
    outs = sorted((sign * chain[-1].end[1], n) for n, chain in enumerate(chains))
    after = {a: (b, z1) for (_, a), (z1, b) in zip(outs, ups, strict=True)}
    stops = sorted({sign * p.start[1] for p in loop if p.start[0] == line})
    loops = []
    while after:
        start = at = next(iter(after))
        ring: list[_Piece] = []
        while at in after:
            ring += chains[at]
            there, high = after.pop(at)
            low = sign * chains[at][-1].end[1]
            steps = [low, *(z for z in stops if low < z < high), high]
            ring += [
                _Piece((line, sign * a), (line, sign * b)) for a, b in pairwise(steps) if a != b
            ]
            at = there
        assert at == start
        loops.append(ring)
    return loops


def _wall(maker: SkinMaker, piece: _Piece, part: _Part) -> tuple[Loop, Loop]:
    """Add the side under a piece of the outline; return its front and its back edge, both from
    its start to its end.
    """
    spots = (piece.start, piece.end)
    near = [maker.corner(part.front.point(spot)) for spot in spots]
    far = [maker.corner(part.rear.point(spot)) for spot in spots]
    if near[0] == near[1] and far[0] == far[1]:
        return (), ()
    surface: Surface
    if piece.circle is None:
        front, rear = maker.line(*near), maker.line(*far)
        (x0, z0), (x1, z1) = spots
        surface = Flat(unit((z1 - z0, 0.0, x0 - x1)))
    else:
        front = maker.curve(_sweep(piece, part, part.front), near[0], near[1])
        rear = maker.curve(_sweep(piece, part, part.rear), far[0], far[1])
        x, z = piece.circle.centre
        surface = Cylinder((x, 0.0, z), (0.0, 1.0, 0.0), piece.circle.radius, piece.circle.sign > 0)
    ends = [maker.line(a, b) for a, b in zip(near, far, strict=True)]
    maker.face(surface, (*back(front), *ends[0], *rear, *back(ends[1])))
    return front, rear


def _sweep(piece: _Piece, part: _Part, height: _Height) -> Sweep:
    """Return an arc of the outline as it lies on a face."""
    assert piece.circle is not None
    circle = piece.circle
    steep = max(abs(part.front.slope), abs(part.rear.slope))
    parts = chords(circle.radius * math.hypot(1.0, steep), piece.stop - piece.begin)
    return Sweep(
        height.point(circle.centre),
        (circle.radius, height.slope * circle.radius, 0.0),
        (0.0, 0.0, circle.sign * circle.radius),
        piece.begin,
        piece.stop,
        parts,
    )


def _flat(
    maker: SkinMaker,
    loop: Sequence[_Piece],
    edges: dict[_Piece, tuple[Loop, Loop]],
    height: _Height,
    rear: bool,
) -> None:
    """Add a front or a back face with a bevel's slope or none."""
    found: list[int] = []
    for piece in loop:
        if piece in edges:
            found += edges[piece][rear]
        else:
            ends = (maker.corner(height.point(spot)) for spot in (piece.start, piece.end))
            found += maker.line(*ends)
    normal = unit((height.slope, -1.0, 0.0))
    if rear:
        x, y, z = normal
        maker.face(Flat((-x, -y, -z)), back(tuple(found)))
    else:
        maker.face(Flat(normal), tuple(found))
