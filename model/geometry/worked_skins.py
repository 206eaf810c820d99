"""Skins of pieces with pockets and round holes, without the CAD kernel.

The faces of the stock lose what the pockets take, and each side of a pocket is a face as far as it
lies in the stock and in no other pocket. Round holes whose ends lie each within one face make a
circle in it, and a drum between; others leave the solid to the kernel (None).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING

from .convex import convex_parts
from .facets import faces_of, smooth_faces
from .frames import Point, Vector, cross, dot
from .half_spaces import Plane, across
from .post_shapes import Post
from .prisms import Prism, prism_facets
from .shapes import Bar, Cap, Plate, Shape
from .skin_meshes import mesh_of_skin
from .skins import Cylinder, Flat, Loop, Skin, SkinMaker, Sweep, back, chords, unit
from .worked_shapes import Bore, Pocket, Worked, planes_of

if TYPE_CHECKING:
    from shapely import Geometry

SAME = 1e-4
"""Planes and points nearer to each other than this are one, mm."""

WIDE = 2e4
"""Half the side of a plane before it is cut down, mm."""

CLEAR = 0.01
"""Least distance from a round hole's edge to the edge of the face that it is in, mm."""


@dataclass(frozen=True)
class FlatSide:
    """A flat side of a solid, seen in its own plane. plane : it lies on, outwards; area : of the
    side, by two axes of the plane, mm.
    """

    plane: Plane
    area: Geometry

    @property
    def axes(self) -> tuple[Vector, Vector]:
        """Two axes of its plane, anticlockwise seen from outside."""
        return across(self.plane[:3])

    def spot(self, point: Vector) -> Point:
        """Return where a point of space is seen in its plane."""
        first, second = self.axes
        return dot(first, point), dot(second, point)

    def point(self, spot: Sequence[float]) -> Vector:
        """Return the point of its plane in space, mm."""
        first, second = self.axes
        x, y, z = (
            spot[0] * a + spot[1] * b + self.plane[3] * n
            for a, b, n in zip(first, second, self.plane[:3], strict=True)
        )
        return x, y, z


@lru_cache(maxsize=2048)
def flat_sides(worked: Worked) -> tuple[FlatSide, ...]:
    """Return the flat sides of a piece with its pockets, before it is bored; none where its stock
    has curved sides.
    """
    pockets = [cut for cut in worked.cuts if isinstance(cut, Pocket)]
    sides = []
    for side in _stock_sides(worked.stock):
        area = side.area
        for pocket in pockets:
            area = area.difference(_section(side, pocket.planes))
        sides.append(FlatSide(side.plane, area))
    if not sides:
        return ()
    stocks = [planes_of(part) for part in convex_parts(worked.stock)]
    for number, pocket in enumerate(pockets):
        for place, (x, y, z, d) in enumerate(pocket.planes):
            blank = FlatSide((-x, -y, -z, -d), None)
            rest = (*pocket.planes[:place], *pocket.planes[place + 1 :])
            area = _within_stock(blank, rest, stocks)
            for other, against in enumerate(pockets):
                if other != number and not area.is_empty:
                    area = _without(FlatSide(blank.plane, area), against, first=other < number)
            sides.append(FlatSide(blank.plane, area))
    return tuple(FlatSide(s.plane, s.area) for s in sides if s.area.area > SAME)


def _stock_sides(stock: Shape) -> Iterator[FlatSide]:
    """Yield the sides of a stock, each loop's plane and what it encloses."""
    import shapely

    if isinstance(stock, Plate):
        outline = stock.outline
        if stock.bevel_left or stock.bevel_right or any(b for _, _, b in outline.vertices):
            return
        loop = [(x, z) for x, z, _ in outline.vertices]
        near = [(x, 0.0, z) for x, z in loop]
        far = [(x, stock.thickness, z) for x, z in loop]
        count = len(loop)
        loops = [near, far[::-1]]
        for n in range(count):
            m = (n + 1) % count
            loops.append([near[m], near[n], far[n], far[m]])
    elif isinstance(stock, (Bar, Post, Cap)) and not smooth_faces(stock):
        loops = [list(face) for face in faces_of(stock)]
    elif isinstance(stock, Prism) and not any(b for _, _, b in stock.section.vertices):
        loops = [list(face) for _, face in prism_facets(stock, SAME)]
    else:
        return
    for points in loops:
        normal = _normal(points)
        if normal is None:
            continue
        plane = (*normal, dot(normal, points[0]))
        blank = FlatSide(plane, None)
        yield FlatSide(plane, shapely.Polygon([blank.spot(point) for point in points]))


def _normal(points: Sequence[Vector]) -> Vector | None:
    total = (0.0, 0.0, 0.0)
    base = points[0]
    local = [(x - base[0], y - base[1], z - base[2]) for x, y, z in points]
    for a, b in zip(local, [*local[1:], local[0]], strict=True):
        part = cross(a, b)
        total = (total[0] + part[0], total[1] + part[1], total[2] + part[2])
    size = math.sqrt(dot(total, total))
    if size < SAME:
        return None
    return total[0] / size, total[1] / size, total[2] / size


def _section(side: FlatSide, planes: Sequence[Plane]) -> Geometry:
    """Return what lies within planes on the plane of a side."""
    import shapely

    loop: list[Point] = [(-WIDE, -WIDE), (WIDE, -WIDE), (WIDE, WIDE), (-WIDE, WIDE)]
    first, second = side.axes
    for plane in planes:
        normal = plane[:3]
        a, b = dot(normal, first), dot(normal, second)
        room = plane[3] - dot(normal, side.plane[:3]) * side.plane[3]
        size = math.hypot(a, b)
        if size < 1e-7:
            if room < -SAME:
                return shapely.Polygon()
            continue
        loop = _halved(loop, (a / size, b / size), room / size)
        if len(loop) < 3:
            return shapely.Polygon()
    return shapely.Polygon(loop)


def _halved(loop: list[Point], normal: Point, limit: float) -> list[Point]:
    """Return what of a convex loop lies on the inner side of a line."""
    kept: list[Point] = []
    out = [normal[0] * x + normal[1] * y - limit for x, y in loop]
    for n, (x, y) in enumerate(loop):
        here, before = out[n], out[n - 1]
        if (here > 0.0) != (before > 0.0):
            share = before / (before - here)
            px, py = loop[n - 1]
            kept.append((px + (x - px) * share, py + (y - py) * share))
        if here <= 0.0:
            kept.append((x, y))
    return kept


def _within_stock(
    blank: FlatSide, rest: Sequence[Plane], stocks: Sequence[Sequence[Plane]]
) -> Geometry:
    """Return the side of a pocket as far as it lies in its stock."""
    import shapely

    parts = [_section(blank, (*rest, *stock)) for stock in stocks]
    return parts[0] if len(parts) == 1 else shapely.union_all(parts)


def _without(side: FlatSide, against: Pocket, *, first: bool) -> Geometry:
    """Return the side of a pocket less another pocket. first : whether that comes before it, so
    that a side which both have is the other's.
    """
    for plane in against.planes:
        lean = dot(plane[:3], side.plane[:3])
        if abs(lean) > 1.0 - 1e-9 and abs(plane[3] * lean - side.plane[3]) < SAME:
            rest = [other for other in against.planes if other != plane]
            if lean > 0.0 or first:  # it is open to the other pocket, or the other's
                return side.area.difference(_section(side, rest))
            return side.area
    return side.area.difference(_section(side, against.planes))


def _faces(one: FlatSide, other: FlatSide) -> bool:
    """Return whether a side looks onto another across a room that is taken out, square to it."""
    x, y, z, d = one.plane
    if dot((x, y, z), other.plane[:3]) > -1.0 + 1e-9 or -other.plane[3] <= d + SAME:
        return False
    outline = other.area.envelope.exterior.coords[:-1]
    spots = [one.spot(other.point(spot)) for spot in outline]
    import shapely

    return bool(shapely.MultiPoint(spots).convex_hull.intersection(one.area).area > SAME)


@lru_cache(maxsize=2048)
def drawn_sides(worked: Worked) -> tuple[tuple[Vector, ...], ...]:
    """Return loops on the flat sides of a piece with cuts, anticlockwise seen from outside: the
    sides' own, and of each hole in them, not those within mortises; none where its stock has curved
    sides.
    """
    import shapely
    from shapely.geometry.polygon import orient

    loops = []
    bores = [cut for cut in worked.cuts if isinstance(cut, Bore)]
    sides = flat_sides(worked)
    for side in sides:
        if any(_faces(side, other) for other in sides):
            continue  # within a mortise
        areas = [side.area]
        for bore in bores:
            lean = dot(side.plane[:3], bore.axis)
            if abs(lean) < 0.1:
                continue
            along = (side.plane[3] - dot(side.plane[:3], bore.mouth)) / lean
            if bore.depth is None or along < bore.depth - SAME:
                disc = shapely.Point(side.spot(bore.at(along))).buffer(bore.diameter / 2.0)
                areas.append(disc.intersection(side.area))
        for area in areas:
            for part in shapely.get_parts(area):
                if part.geom_type == "Polygon" and part.area > SAME:
                    whole = orient(part)
                    rings = (whole.exterior, *(hole.reverse() for hole in whole.interiors))
                    loops += [tuple(side.point(at) for at in r.coords[:-1]) for r in rings]
    return tuple(loops)


def worked_skin(worked: Worked, stock: Skin | None) -> Skin | None:
    """Return the skin of a piece with cuts, or None where only the CAD kernel can make it.

    stock : the skin of its stock.
    """
    import shapely

    parts = [
        FlatSide(side.plane, part)
        for side in flat_sides(worked)
        for part in shapely.get_parts(side.area)
        if part.geom_type == "Polygon" and part.area > SAME
    ]
    if not parts:
        return _bored_skin(worked, stock)
    maker = SkinMaker()
    inner = _holes(worked, maker, parts)
    if inner is None:
        return None
    for number, side in enumerate(parts):
        whole = shapely.geometry.polygon.orient(side.area)
        loops = [
            maker.ring([side.point(spot) for spot in ring.coords[:-1]])
            for ring in (whole.exterior, *whole.interiors)
        ]
        maker.face(Flat(side.plane[:3]), *loops, *inner.get(number, ()))
    return maker.skin()


def _bored_skin(worked: Worked, stock: Skin | None) -> Skin | None:
    """Return the skin of a stock with round sides that is bored through its flat ones alone."""
    made = mesh_of_skin(stock) if stock is not None else None
    if stock is None or made is None or any(isinstance(cut, Pocket) for cut in worked.cuts):
        return None
    corners, triangles, owners = made
    sides: list[FlatSide] = []
    numbers: list[int] = []
    for number, face in enumerate(stock.faces):
        loops = corners[triangles[owners == number]].tolist()
        groups = [loops] if isinstance(face.surface, Flat) else [[loop] for loop in loops]
        for group in groups:
            side = _side_of(group)
            if side is not None:
                sides.append(side)
                numbers.append(number)
    maker = SkinMaker([*stock.points], [*stock.edges], [])
    inner = _holes(worked, maker, sides)
    if inner is None:
        return None
    bored: dict[int, list[Loop]] = {}
    for place, loops in inner.items():
        if not isinstance(stock.faces[numbers[place]].surface, Flat):
            return None
        bored.setdefault(numbers[place], []).extend(loops)
    for number, face in enumerate(stock.faces):
        maker.face(face.surface, *face.loops, *bored.get(number, ()))
    return maker.skin()


def _side_of(triangles: Sequence[Sequence[Vector]]) -> FlatSide | None:
    """Return the flat side that triangles make together, None for one without an area."""
    import shapely

    normal = _normal(triangles[0])
    if normal is None:
        return None
    blank = FlatSide((*normal, dot(normal, triangles[0][0])), None)
    areas = [shapely.Polygon([blank.spot(point) for point in loop]) for loop in triangles]
    return FlatSide(blank.plane, areas[0] if len(areas) == 1 else shapely.union_all(areas))


def _holes(
    worked: Worked, maker: SkinMaker, sides: Sequence[FlatSide]
) -> dict[int, list[Loop]] | None:
    """Add the drums of all holes; return the loops that they leave in the sides, by number, or None
    where a hole is over an edge or meets another.
    """
    inner: dict[int, list[Loop]] = {}
    groups = _by_axis([cut for cut in worked.cuts if isinstance(cut, Bore)])
    if _meet(groups):
        return None
    for group in groups:
        boring = Boring(tuple(group), tuple(sides))
        stretches = boring.stretches()
        if stretches is None:
            return None
        for stretch in stretches:
            _bored(maker, boring, stretch, inner)
    return inner


def _by_axis(bores: Sequence[Bore]) -> list[list[Bore]]:
    """Return bores with those together that have one axis."""
    groups: list[list[Bore]] = []
    for bore in bores:
        same = next((group for group in groups if group[0].coaxial(bore)), None)
        if same is None:
            groups.append([bore])
        else:
            same.append(bore)
    return groups


def _meet(groups: Sequence[Sequence[Bore]]) -> bool:
    """Tell whether holes on different axes may run into each other."""
    most = [max(bore.diameter for bore in group) / 2.0 for group in groups]
    return any(
        groups[a][0].apart(groups[b][0]) < most[a] + most[b] + CLEAR
        for a in range(len(groups))
        for b in range(a)
    )


@dataclass(frozen=True)
class Bored:
    """Holes on one axis where they go through timber. entry, leave : numbers of the sides that they
    begin and end in; marks : where a drum ends, along the axis; radii : of the drums between them,
    0 where there is none, mm.
    """

    entry: int
    leave: int
    marks: tuple[float, ...]
    radii: tuple[float, ...]


@dataclass(frozen=True)
class Boring:
    """Holes on one axis, and the flat sides that they may meet."""

    group: tuple[Bore, ...]
    sides: tuple[FlatSide, ...]

    @property
    def lead(self) -> Bore:
        """The hole whose mouth and axis are those of all."""
        return self.group[0]

    @cached_property
    def spans(self) -> tuple[tuple[float, float, float], ...]:
        """From where to where each goes along the axis, and its radius, mm."""
        return tuple(self._span(bore) for bore in self.group)

    def _span(self, bore: Bore) -> tuple[float, float, float]:
        radius = bore.diameter / 2.0
        if bore.depth is None:
            return -math.inf, math.inf, radius
        x, y, z = (a - b for a, b in zip(bore.mouth, self.lead.mouth, strict=True))
        start = dot((x, y, z), self.lead.axis)
        if dot(bore.axis, self.lead.axis) > 0.0:
            return -math.inf, start + bore.depth, radius
        return start - bore.depth, math.inf, radius

    def radius(self, along: float) -> float:
        """Return the radius of the widest drum at or next to a place on the axis, mm."""
        wide = (r for low, high, r in self.spans if low - SAME < along < high + SAME)
        return max(wide, default=0.0)

    def along(self, side: FlatSide) -> float:
        """Return where the axis meets the plane of a side, mm from the first mouth."""
        normal = side.plane[:3]
        away = side.plane[3] - dot(normal, self.lead.mouth)
        return away / dot(normal, self.lead.axis)

    def stretches(self) -> list[Bored] | None:
        """Return where timber is bored, or None where a drum does not lie clear within the sides
        that its axis meets.
        """
        met = []
        for number, side in enumerate(self.sides):
            lean = dot(side.plane[:3], self.lead.axis)
            if abs(lean) < 1e-7:
                if self._grazes(side):
                    return None
                continue
            along = self.along(side)
            radius = self.radius(along)
            inside = self._seat(side, along, radius)
            if inside is None:
                return None
            if inside:
                met.append((along, number))
        met.sort()
        if len(met) % 2:
            return None
        return self._between(list(zip(met[::2], met[1::2], strict=True)))

    def _grazes(self, side: FlatSide) -> bool:
        """Tell whether a drum may cut into a side along its axis."""
        import shapely

        most = max(bore.diameter for bore in self.group) / 2.0 + CLEAR
        away = abs(side.plane[3] - dot(side.plane[:3], self.lead.mouth))
        if away >= most:
            return False
        line = shapely.LineString([side.spot(self.lead.at(t)) for t in (-WIDE, WIDE)])
        return bool(line.buffer(math.sqrt(most**2 - away**2)).intersects(side.area))

    def _seat(self, side: FlatSide, along: float, radius: float) -> bool | None:
        """Tell whether the axis meets a side; None where a drum does so over the side's edge."""
        import shapely

        lean = abs(dot(side.plane[:3], self.lead.axis))
        middle = shapely.Point(side.spot(self.lead.at(along)))
        if radius and side.area.contains(middle.buffer(radius / lean + CLEAR)):
            return True
        axis = self.lead.axis
        base = dot(axis, self.lead.mouth)
        for low, high, wide in self.spans:
            disc = middle.buffer(wide / lean + CLEAR)
            ends: list[Plane] = []
            if high < math.inf:
                ends.append((*axis, base + high))
            if low > -math.inf:
                ends.append((-axis[0], -axis[1], -axis[2], -base - low))
            if ends:
                disc = disc.intersection(_section(side, ends))
            if side.area.intersects(disc):
                return None
        return bool(side.area.contains(middle))  # where no drum comes to

    def _between(
        self, pairs: list[tuple[tuple[float, int], tuple[float, int]]]
    ) -> list[Bored] | None:
        """Return the stretches between sides; None where a step may reach a slanting side."""
        made = []
        for (start, entry), (stop, leave) in pairs:
            ends = {t for low, high, _ in self.spans for t in (low, high) if start < t < stop}
            marks = tuple(sorted({start, stop, *ends}))
            radii = []
            for low, high in pairwise(marks):
                middle = (low + high) / 2.0
                radii.append(max((r for a, b, r in self.spans if a < middle < b), default=0.0))
            slopes = [self._slope(self.sides[n]) for n in (entry, leave)]
            swing = max(radii) * max(slopes)
            if len(set(radii)) > 1 and min(b - a for a, b in pairwise(marks)) <= swing + SAME:
                return None
            made.append(Bored(entry, leave, marks, tuple(radii)))
        return made

    def _slope(self, side: FlatSide) -> float:
        """Return the tangent of the angle between a side and the square to the axis."""
        lean = abs(dot(side.plane[:3], self.lead.axis))
        return math.sqrt(max(0.0, 1.0 - lean * lean)) / lean

    def directions(self, stretch: Bored) -> tuple[Vector, Vector, bool]:
        """Return two unit vectors across the axis, the first the way that its slanting side
        leans, and whether both sides are square to it.
        """
        axis = self.lead.axis
        for number in (stretch.entry, stretch.leave):
            if self._slope(self.sides[number]) > 1e-7:
                normal = self.sides[number].plane[:3]
                lean = dot(normal, axis)
                x, y, z = (n - lean * a for n, a in zip(normal, axis, strict=True))
                first = unit((x, y, z))
                return first, cross(axis, first), False
        return *across(axis), True


def _bored(maker: SkinMaker, boring: Boring, stretch: Bored, inner: dict[int, list[Loop]]) -> None:
    """Add the drums of a stretch, and the steps between them; put loops into the sides."""
    rings = _Rings(maker, boring, stretch)
    last = len(stretch.radii) - 1
    highs: list[Ring] = []
    lows: list[Ring] = []
    for n, radius in enumerate(stretch.radii):
        if not radius:
            lows.append(())
            highs.append(())
            continue
        lows.append(rings.ring(radius, stretch.marks[n], stretch.entry if n == 0 else None))
        highs.append(rings.ring(radius, stretch.marks[n + 1], stretch.leave if n == last else None))
        rings.drum(radius, lows[-1], highs[-1])
    if lows[0]:
        inner.setdefault(stretch.entry, []).append(_whole(lows[0]))
    if highs[-1]:
        inner.setdefault(stretch.leave, []).append(back(_whole(highs[-1])))
    for n in range(last):
        rings.step(highs[n], lows[n + 1], wider=stretch.radii[n] > stretch.radii[n + 1])


Ring = tuple[Loop, ...]
"""A circle whole or in two halves, or none."""


def _whole(ring: Ring) -> Loop:
    return tuple(number for part in ring for number in part)


@dataclass(frozen=True)
class _Rings:
    """A maker of the faces of holes on one axis."""

    maker: SkinMaker
    boring: Boring
    bored: Bored

    def ring(self, radius: float, along: float, number: int | None) -> Ring:
        """Return a circle, anticlockwise seen from where the axis goes; in two halves where the
        hole ends in a slanting side, and there an ellipse. number : of the side that it lies in,
        None for one square to the axis.
        """
        axis = self.boring.lead.axis
        first, second, square = self.boring.directions(self.bored)
        halves = []
        for way in (first, second):
            rise = 0.0
            if number is not None and not square:
                normal = self.boring.sides[number].plane[:3]
                rise = -dot(normal, way) / dot(normal, axis)
            x, y, z = (radius * (w + rise * a) for w, a in zip(way, axis, strict=True))
            halves.append((x, y, z))
        turns = (0.0, math.tau) if square else (0.0, math.pi, math.tau)
        loops = []
        for turn in pairwise(turns):
            parts = chords(radius, turn[1] - turn[0])
            sweep = Sweep(self.boring.lead.at(along), halves[0], halves[1], *turn, parts)
            start, end = (self.maker.corner(sweep.point(t)) for t in turn)
            loops.append(self.maker.curve(sweep, start, end))
        return tuple(loops)

    def drum(self, radius: float, low: Ring, high: Ring) -> None:
        """Add the round side between two rings, hollow: in one face, cut open along a seam, or in
        two.
        """
        edges, lead = self.maker.edges, self.boring.lead
        surface = Cylinder(lead.mouth, lead.axis, radius, outward=False)
        rises = [
            self.maker.line(edges[a[0] - 1].start, edges[b[0] - 1].start)
            for a, b in zip(low, high, strict=True)
        ]
        for part, (under, over) in enumerate(zip(low, high, strict=True)):
            start, end = rises[part], rises[part - 1]
            self.maker.face(surface, (*start, *over, *back(end), *back(under)))

    def step(self, before: Ring, after: Ring, *, wider: bool) -> None:
        """Add the flat ring, or the flat end, where one drum ends and the next begins. wider :
        whether the first is the wider one.
        """
        axis = self.boring.lead.axis
        normal = (-axis[0], -axis[1], -axis[2]) if wider else axis
        there, again = back(_whole(before)), _whole(after)
        loops = [loop for loop in ((there, again) if wider else (again, there)) if loop]
        self.maker.face(Flat(normal), *loops)
