"""A piece with what the joiner takes out of it: a stock shape, and its cuts.

Cuts are given in the stock's own coordinates, mm, and say only what bounds them within the stock:
a mortise that goes through has four planes, a blind one five, a notch over an edge three. So equal
joints are equal values, however long the piece is that goes through.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

from .convex import ConvexPart, convex_parts
from .frames import Vector, cross, dot
from .half_spaces import Plane, across, loop_area, room, volume_within
from .shapes import Shape

SIDES = 48
"""Flat sides that stand for a bore where no closed form is known: it grazes an edge."""

PARALLEL = 1e-9
"""Smaller sines of an angle are none."""


@dataclass(frozen=True)
class Pocket:
    """The room within planes, taken out of a stock: a mortise, a notch, a housing.

    planes : nx, ny, nz, d of each that bounds it in the stock, in order.
    """

    planes: tuple[Plane, ...]

    def moved(self, by: Vector) -> Pocket:
        """Return the pocket moved, mm."""
        return Pocket(tuple((x, y, z, d + dot((x, y, z), by)) for x, y, z, d in self.planes))


@dataclass(frozen=True)
class Bore:
    """A round hole. mouth : where its axis enters the stock, mm; axis : unit vector, inwards;
    diameter : mm; depth : from the mouth to its flat end, mm, None for one that goes through.
    """

    mouth: Vector
    axis: Vector
    diameter: float
    depth: float | None = None

    def moved(self, by: Vector) -> Bore:
        """Return the bore moved, mm."""
        x, y, z = (a + b for a, b in zip(self.mouth, by, strict=True))
        return Bore((x, y, z), self.axis, self.diameter, self.depth)

    def at(self, along: float) -> Vector:
        """Return the point of its axis so far from its mouth, mm."""
        x, y, z = (m + along * a for m, a in zip(self.mouth, self.axis, strict=True))
        return x, y, z

    def coaxial(self, other: Bore) -> bool:
        """Tell whether another bore has the same axis, whichever way it is bored."""
        return self.apart(other) < 1e-3 and _sine(self.axis, other.axis) < 1e-7

    def apart(self, other: Bore) -> float:
        """Return the least distance of two axes, mm."""
        away = _minus(other.mouth, self.mouth)
        normal = cross(self.axis, other.axis)
        size = math.sqrt(dot(normal, normal))
        if size > 1e-7:
            return abs(dot(away, normal)) / size
        aside = cross(away, self.axis)
        return math.sqrt(dot(aside, aside))


Cut = Pocket | Bore


@dataclass(frozen=True)
class Worked:
    """A stock shape less its cuts."""

    stock: Shape
    cuts: tuple[Cut, ...]

    @cached_property
    def removed(self) -> float:
        """Volume of what is taken out, mm3, where cuts run into each other once."""
        parts = [planes_of(part) for part in convex_parts(self.stock)]
        return math.fsum(_taken(part, self.cuts) for part in parts)

    @property
    def volume(self) -> float:
        """Volume, mm3: the stock's less what is taken out."""
        return self.stock.volume - self.removed

    @property
    def size(self) -> tuple[float, float, float]:
        """The sizes of its stock."""
        return self.stock.size


Finished = Shape | Worked
"""What a member is as a solid."""


@lru_cache(maxsize=4096)
def _planes(part: ConvexPart) -> tuple[Plane, ...]:
    rows = zip(part.normals.tolist(), part.offsets.tolist(), strict=True)
    return tuple((x, y, z, d) for (x, y, z), d in rows)


def planes_of(part: ConvexPart) -> tuple[Plane, ...]:
    """Return the planes that a convex part lies within, each once."""
    return tuple(dict.fromkeys(_planes(part)))


def bore_planes(bore: Bore, sides: int) -> Iterator[Plane]:
    """Yield planes of a prism with the area of a bore, and its end."""
    first, second = across(bore.axis)
    turn = math.tau / sides
    radius = bore.diameter / 2.0 * math.sqrt(turn / 2.0 / math.tan(turn / 2.0))
    for n in range(sides):
        cos, sin = math.cos(turn * n), math.sin(turn * n)
        normal = tuple(cos * a + sin * b for a, b in zip(first, second, strict=True))
        x, y, z = normal
        yield x, y, z, dot((x, y, z), bore.mouth) + radius
    if bore.depth is not None:
        yield (*bore.axis, dot(bore.axis, bore.mouth) + bore.depth)


def laid_open(stock: Shape, cuts: Sequence[Cut]) -> float:
    """Return the surface that cuts lay open in a stock, mm2, each for itself: the sides of holes,
    and the sides and flat ends of pockets.
    """
    area = 0.0
    for part in convex_parts(stock):
        planes = planes_of(part)
        for cut in cuts:
            if isinstance(cut, Bore):
                area += 4.0 * _common(planes, (cut,)) / cut.diameter
                continue
            faces = room((*planes, *cut.planes))
            area += math.fsum(loop_area(loop) for owner, loop in faces if owner >= len(planes))
    return area


def _taken(stock: tuple[Plane, ...], cuts: Sequence[Cut]) -> float:
    """Return the volume that cuts take out of a convex stock, by inclusion and exclusion."""

    def shared(chosen: tuple[Cut, ...], start: int) -> float:
        total = 0.0
        for number in range(start, len(cuts)):
            some = (*chosen, cuts[number])
            volume = _common(stock, some)
            if volume > 0.0:
                total += volume - shared(some, number + 1)
        return total

    return shared((), 0)


def _common(stock: tuple[Plane, ...], cuts: Sequence[Cut]) -> float:
    """Return the volume that cuts have in common within a convex stock, mm3."""
    planes = [*stock, *(p for cut in cuts if isinstance(cut, Pocket) for p in cut.planes)]
    bores = [cut for cut in cuts if isinstance(cut, Bore)]
    if not bores:
        return volume_within(room(planes))
    for n, one in enumerate(bores):
        for other in bores[:n]:
            if one.apart(other) >= (one.diameter + other.diameter) / 2.0:
                return 0.0
    if all(bores[0].coaxial(other) for other in bores[1:]):
        slim = min(bores, key=lambda bore: bore.diameter)
        planes += [_end(bore) for bore in bores if bore.depth is not None]
        exact = _drum(slim, planes)
        if exact is not None:
            return exact
        bores = [slim]
    for bore in bores:
        planes += bore_planes(bore, SIDES)
    return volume_within(room(planes))


def _end(bore: Bore) -> Plane:
    assert bore.depth is not None
    return (*bore.axis, dot(bore.axis, bore.mouth) + bore.depth)


def _drum(bore: Bore, planes: Sequence[Plane]) -> float | None:
    """Return the volume of a bore within planes, or None where there is no closed form.

    Between two planes across it, each of which bounds the whole disc, a cylinder has its area
    times the length of its axis between them, however they lean.
    """
    met = along_bore(bore, planes)
    if met is None:
        return None
    start, stop, _, _, swing = met
    if stop - start <= -swing:
        return 0.0
    area = math.pi * bore.diameter**2 / 4.0
    return area * (stop - start) if stop - start >= swing else None


def along_bore(
    bore: Bore, planes: Sequence[Plane]
) -> tuple[float, float, float, float, float] | None:
    """Return where a drum without ends lies within planes.

    Returns
    -------
    start, stop : along its axis from its mouth, mm; stop is not after start where it lies outside
    swing_start, swing_stop, swing : how far the drum's side is off either at the most, and how far
        the two come nearer to each other than on the axis, mm
    None where a plane cuts the drum lengthwise, or two planes bound one of its ends
    """
    radius = bore.diameter / 2.0
    ends: dict[bool, list[tuple[float, Vector]]] = {True: [], False: []}
    for x, y, z, d in planes:
        normal = (x, y, z)
        lean = dot(normal, bore.axis)
        left = d - dot(normal, bore.mouth)
        if abs(lean) < PARALLEL:
            if left <= -radius:
                return 0.0, 0.0, 0.0, 0.0, 0.0
            if left < radius - 1e-9:
                return None
            continue
        aside = tuple(-(n - lean * a) / lean for n, a in zip(normal, bore.axis, strict=True))
        ends[lean > 0.0].append((left / lean, (aside[0], aside[1], aside[2])))
    if not ends[True] or not ends[False]:
        return None
    stop, start = min(ends[True]), max(ends[False])
    for way, (first, slope) in ((1.0, stop), (-1.0, start)):
        for at, other in ends[way > 0.0]:
            if way * (at - first) < radius * _size(_minus(other, slope)) - 1e-9:
                return None
    near, far, both = start[1], stop[1], _minus(stop[1], start[1])
    return start[0], stop[0], radius * _size(near), radius * _size(far), radius * _size(both)


def _minus(a: Vector, b: Vector) -> Vector:
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]


def _size(vector: Vector) -> float:
    return math.sqrt(dot(vector, vector))


def _sine(a: Vector, b: Vector) -> float:
    return _size(cross(a, b))
