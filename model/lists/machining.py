"""What the joiner cuts in each mark: holes, counterbores, mortises and notches, by face and place.

A piece lies on the bench: places count along it from its foot or its left end, as it stands in the
fence seen from the front, and across it from an edge of the face: of an upright piece the left one
as the face is looked at, of a lying one the lower one on the front and the back, and the front one
on its top and its underside. On the ends they count from the front edge of an upright piece, and
from the lower and the front edge of a lying one.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.convex import convex_parts, outer_points
from palewright.model.geometry.frames import Point, Vector, cross, dot
from palewright.model.geometry.half_spaces import loop_area, room
from palewright.model.geometry.shapes import Plate
from palewright.model.geometry.worked_shapes import Bore, Pocket, planes_of
from palewright.model.parts.members import KINDS, Kind, Member

UPRIGHT_FROM = 0.7
"""A piece whose length rises by more than this share of itself is an upright one."""

OPEN = 1.0
"""A pocket is open to a face where it takes more than this of it, mm2."""

NEAR = 0.05
"""Places nearer to each other than this are one, mm."""

SLANT = 0.05
"""Smaller angles off square are none, degrees."""


@dataclass(frozen=True)
class Face:
    """A face of a piece. name : "front" and so on; normal : outwards; along, across : unit vectors
    in it that places are counted along, from its end and from its edge; end : whether it is an end
    of the piece. All in the coordinates of the piece's shape.
    """

    name: str
    normal: Vector
    along: Vector
    across: Vector
    end: bool = False


@dataclass(frozen=True)
class LaidPiece:
    """A piece as it lies on the bench. along : unit vector from its foot or left end; front : the
    normal of its front; upright : whether it stands in the fence.
    """

    member: Member
    along: Vector
    front: Vector
    upright: bool

    @cached_property
    def faces(self) -> tuple[Face, ...]:
        """Its faces, those of its sides first."""
        front, side, along = self.front, cross(self.front, self.along), self.along
        back, other = _minus(front), _minus(side)
        if self.upright:
            return (
                Face("front", front, along, other),
                Face("left", side, along, front),
                Face("back", back, along, side),
                Face("right", other, along, back),
                Face("foot", _minus(along), back, other, end=True),
                Face("top", along, back, other, end=True),
            )
        return (
            Face("front", front, along, side),
            Face("top", side, along, back),
            Face("back", back, along, side),
            Face("underside", other, along, back),
            Face("left end", _minus(along), side, back, end=True),
            Face("right end", along, side, back, end=True),
        )

    def extent(self, way: Vector) -> tuple[float, float]:
        """Return from where to where the stock reaches along a direction, mm."""
        reach = outer_points(self.member.shape) @ way
        return float(reach.min()), float(reach.max())

    def facing(self, way: Vector) -> Face:
        """Return the face that looks a way."""
        return max(self.faces, key=lambda face: dot(face.normal, way))


@dataclass(frozen=True)
class MachinedCut:
    """One cut in a piece.

    face : that it is made from; what : "hole", "counterbore", "seat" (of a washer, on a face that
    slants), "mortise", "open mortise" or "notch"; along, across : of its middle when it is round,
    else of its edge nearest to where places count from, mm; size : its diameter, or its length and
    width along and across the piece, mm, where it slants the length at that edge; depth : where it
    is deepest, mm, None for one that goes through; slant : off square, degrees; mouth : the loops
    of what is not round in its face, along and across, mm.
    """

    face: Face
    what: str
    along: float
    across: float
    size: tuple[float, ...]
    depth: float | None
    slant: float
    mouth: tuple[tuple[Point, ...], ...] = ()

    @property
    def round(self) -> bool:
        """Whether it is bored."""
        return len(self.size) == 1


def laid_piece(member: Member) -> LaidPiece:
    """Return how a piece lies on the bench."""
    x, y, z = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)
    points = outer_points(member.shape)
    wide, _, high = (points.max(axis=0) - points.min(axis=0)).tolist()
    along = z if high > wide else x
    front = _minus(y)
    if isinstance(member.shape, Plate) and abs(member.frame.y[2]) > UPRIGHT_FROM:
        front = z if member.frame.y[2] > 0.0 else _minus(z)
    rise = member.frame.direction(along)[2]
    if rise < -UPRIGHT_FROM:
        along = _minus(along)
    return LaidPiece(member, along, front, abs(rise) > UPRIGHT_FROM)


@dataclass(frozen=True)
class MachinedMark:
    """The cuts in all pieces of a mark, by face and from where places count."""

    mark: str
    kind: Kind
    count: int
    piece: LaidPiece
    cuts: tuple[MachinedCut, ...]


def machined_marks(fence: FenceModel) -> tuple[MachinedMark, ...]:
    """Return the marks of timber that has cuts, kinds in the order of lists."""
    made = []
    for mark, group in fence.by_mark.items():
        if group[0].cuts:
            piece = laid_piece(group[0])
            cuts = machined_cuts(piece)
            made.append(MachinedMark(mark, group[0].kind, len(group), piece, cuts))
    return tuple(sorted(made, key=lambda one: KINDS.index(one.kind)))


def machined_cuts(piece: LaidPiece) -> tuple[MachinedCut, ...]:
    """Return what is cut in a piece, face by face, along it."""
    found: list[MachinedCut] = []
    bores = [cut for cut in piece.member.cuts if isinstance(cut, Bore)]
    for cut in piece.member.cuts:
        found += [_bored(piece, cut, bores)] if isinstance(cut, Bore) else _pocketed(piece, cut)
    names = [face.name for face in piece.faces]
    return tuple(
        sorted(
            dict.fromkeys(found),
            key=lambda cut: (
                names.index(cut.face.name), round(cut.along, 3), round(cut.across, 3), cut.size,
            ),
        )
    )  # fmt: skip


def _bored(piece: LaidPiece, bore: Bore, bores: list[Bore]) -> MachinedCut:
    face = piece.facing(_minus(bore.axis))
    slimmer = any(other.diameter < bore.diameter and other.coaxial(bore) for other in bores)
    slant = math.degrees(math.acos(min(1.0, -dot(face.normal, bore.axis))))
    what, depth = "hole", bore.depth
    if depth is not None and slant > SLANT:
        depth += bore.diameter / 2.0 * math.tan(math.radians(slant))
    if slimmer and depth is not None:
        what = "seat" if slant > SLANT else "counterbore"
    return MachinedCut(
        face,
        what,
        _from(piece, face.along, bore.mouth),
        _from(piece, face.across, bore.mouth),
        (bore.diameter,),
        depth,
        slant if slant > SLANT else 0.0,
    )


def _from(piece: LaidPiece, way: Vector, point: Vector) -> float:
    """Return how far a point is from where a piece begins along a direction, mm."""
    return round(dot(way, point) - piece.extent(way)[0], 4) + 0.0


def _pocketed(piece: LaidPiece, pocket: Pocket) -> Iterator[MachinedCut]:
    """Yield a pocket as it is cut from one of the faces that it is open to."""
    deep: list[Vector] = []
    mouths: dict[str, list[tuple[Vector, ...]]] = {}
    for part in convex_parts(piece.member.shape):
        stock = planes_of(part)
        for owner, loop in room((*stock, *pocket.planes)):
            deep += loop
            if owner < len(stock) and loop_area(loop) > OPEN:
                mouths.setdefault(piece.facing(stock[owner][:3]).name, []).append(loop)
    if not mouths:
        return
    opened = {name: math.fsum(map(loop_area, loops)) for name, loops in mouths.items()}
    face = _cut_from(piece, opened)
    mouth = tuple(
        tuple((_from(piece, face.along, p), _from(piece, face.across, p)) for p in loop)
        for loop in mouths[face.name]
    )
    spots = [spot for loop in mouth for spot in loop]
    edge = min(across for _, across in spots)
    near = [along for along, across in spots if across < edge + NEAR]
    if max(near) - min(near) < NEAR:  # it comes to the edge with a corner alone
        near = [along for along, _ in spots]
    wide = max(across for _, across in spots) - edge
    through = _opposite(piece, face).name in opened
    reach = [dot(face.normal, point) for point in deep]
    yield MachinedCut(
        face,
        _pocket_name(len(opened), through=through),
        min(near),
        edge,
        (round(max(near) - min(near), 4), round(wide, 4)),
        None if through else round(max(reach) - min(reach), 4),
        _slant(piece, pocket),
        mouth,
    )


def _pocket_name(faces: int, *, through: bool) -> str:
    """Return what a pocket is called that is open to so many faces."""
    if through:
        return "mortise" if faces == 2 else "open mortise"
    return "mortise" if faces == 1 else "notch"


def _cut_from(piece: LaidPiece, opened: dict[str, float]) -> Face:
    """Return the face that a pocket is cut from: of those that it has a flat end opposite to, the
    one that it takes most of; its sides before its ends.
    """

    def rank(face: Face) -> tuple[bool, bool, float]:
        largest = round(opened[face.name], 1)  # else the first: a mortise is open to two alike
        return not face.end, _opposite(piece, face).name not in opened, largest

    return max((face for face in piece.faces if face.name in opened), key=rank)


def _opposite(piece: LaidPiece, face: Face) -> Face:
    return piece.facing(_minus(face.normal))


def _slant(piece: LaidPiece, pocket: Pocket) -> float:
    """Return how far the sides of a pocket are off square to the piece at the most, degrees."""
    most = 0.0
    for plane in pocket.planes:
        lean = max(abs(dot(plane[:3], face.normal)) for face in piece.faces)
        most = max(most, math.degrees(math.acos(min(1.0, lean))))
    return most if most > SLANT else 0.0


def _minus(way: Vector) -> Vector:
    return -way[0] + 0.0, -way[1] + 0.0, -way[2] + 0.0
