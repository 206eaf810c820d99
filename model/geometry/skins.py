"""Solids as their faces, edges and corners: flat and round faces, straight and curved edges.

That is a boundary representation, as ISO 10303-42 describes it. Meshes and STEP bodies are written
from it without the CAD kernel.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from .frames import Vector, cross, dot

MESH_TOLERANCE = 0.2
"""Largest distance between a curved face and its mesh, mm."""

MESH_ANGLE = 0.35
"""Largest angle between neighbouring facets of a curved face, radians (about 20 degrees)."""

JOINED = 6
"""Decimals of a mm to which corners are one."""


def chords(radius: float, angle: float) -> int:
    """Return how many chords stand for an arc in a mesh.

    radius : mm, of an ellipse the larger half axis; angle : radians.

    >>> chords(8.0, math.tau), chords(175.0, math.tau), chords(500.0, 0.01)
    (18, 66, 1)
    """
    sag = 2.0 * math.acos(max(-1.0, 1.0 - MESH_TOLERANCE / radius))
    return max(1, math.ceil(abs(angle) / min(MESH_ANGLE, sag) - 1e-9))


@dataclass(frozen=True)
class Sweep:
    """Part of an ellipse: centre + first cos t + second sin t, for t from `start` to `stop`.

    first, second : the half axes, mm, at right angles; equally long for a circle. start, stop :
    radians, start < stop; parts : chords that stand for it in a mesh.
    """

    centre: Vector
    first: Vector
    second: Vector
    start: float
    stop: float
    parts: int

    def point(self, t: float) -> Vector:
        """Return the point at t, mm."""
        cos, sin = math.cos(t), math.sin(t)
        return (
            self.centre[0] + self.first[0] * cos + self.second[0] * sin,
            self.centre[1] + self.first[1] * cos + self.second[1] * sin,
            self.centre[2] + self.first[2] * cos + self.second[2] * sin,
        )


@dataclass(frozen=True)
class HyperbolaArc:
    """Part of a hyperbola: centre + real / cos t + imaginary tan t, for t from `start` to `stop`.

    real, imaginary : the half axes, mm, at right angles. start, stop, parts : as of a sweep.
    """

    centre: Vector
    real: Vector
    imaginary: Vector
    start: float
    stop: float
    parts: int

    def point(self, t: float) -> Vector:
        """Return the point at t, mm."""
        far, aside = 1.0 / math.cos(t), math.tan(t)
        return (
            self.centre[0] + self.real[0] * far + self.imaginary[0] * aside,
            self.centre[1] + self.real[1] * far + self.imaginary[1] * aside,
            self.centre[2] + self.real[2] * far + self.imaginary[2] * aside,
        )


Curve = Sweep | HyperbolaArc


def between(curve: Curve) -> list[Vector]:
    """Return the points of a curve's mesh between its ends, mm."""
    step = (curve.stop - curve.start) / curve.parts
    return [curve.point(curve.start + step * number) for number in range(1, curve.parts)]


@dataclass(frozen=True)
class SkinEdge:
    """An edge between two corners, by their numbers. curve : None when straight."""

    start: int
    end: int
    curve: Curve | None = None


@dataclass(frozen=True)
class Flat:
    """The plane of a face. normal : unit vector, outwards."""

    normal: Vector


@dataclass(frozen=True)
class Cylinder:
    """The surface of a drum. axis : unit vector; outward : False where it is hollow."""

    centre: Vector
    axis: Vector
    radius: float
    outward: bool = True


@dataclass(frozen=True)
class Cone:
    """The surface of a cone, outwards. radius : at the centre, mm; axis : unit vector, the way that
    it grows wider; angle : between its side and its axis, radians.
    """

    centre: Vector
    axis: Vector
    radius: float
    angle: float


@dataclass(frozen=True)
class Ball:
    """The surface of a ball, outwards. axis : unit vector, of the circles that bound its faces."""

    centre: Vector
    axis: Vector
    radius: float


Surface = Flat | Cylinder | Cone | Ball

Loop = tuple[int, ...]
"""Edges on end: the number of an edge counted from 1, negative where it is gone backwards."""


@dataclass(frozen=True)
class SkinFace:
    """A face of a solid. loops : anticlockwise seen from outside, the outer one first."""

    surface: Surface
    loops: tuple[Loop, ...]


@dataclass(frozen=True)
class Skin:
    """The whole boundary of a solid. points : corners, mm."""

    points: tuple[Vector, ...]
    edges: tuple[SkinEdge, ...]
    faces: tuple[SkinFace, ...]

    def corners(self, loop: Loop) -> list[int]:
        """Return the corner that each edge of a loop sets out from."""
        return [
            self.edges[n - 1].start if n > 0 else self.edges[-n - 1].end  # backwards from its end
            for n in loop
        ]

    @property
    def closed(self) -> bool:
        """Whether each edge is gone once each way, and no flat face touches itself."""
        used = Counter(n for face in self.faces for loop in face.loops for n in loop)
        if any(used[n] != 1 or used[-n] != 1 for n in range(1, len(self.edges) + 1)):
            return False
        for face in self.faces:
            corners = [at for loop in face.loops for at in self.corners(loop)]
            if isinstance(face.surface, Flat) and len(set(corners)) != len(corners):
                return False
        return bool(self.faces)


@dataclass
class SkinMaker:
    """A skin while it grows: corners in one place are one, straight edges between them too."""

    points: list[Vector] = field(default_factory=list)
    edges: list[SkinEdge] = field(default_factory=list)
    faces: list[SkinFace] = field(default_factory=list)
    _places: dict[Vector, int] = field(default_factory=dict)
    _lines: dict[tuple[int, int], int] = field(default_factory=dict)

    def corner(self, point: Vector) -> int:
        """Return the number of the corner at a point."""
        x, y, z = point
        key = (round(x, JOINED) + 0.0, round(y, JOINED) + 0.0, round(z, JOINED) + 0.0)
        if key not in self._places:
            self._places[key] = len(self.points)
            self.points.append(point)
        return self._places[key]

    def line(self, start: int, end: int) -> Loop:
        """Return the straight edge between two corners, none where they are one."""
        if start == end:
            return ()
        if (end, start) in self._lines:
            return (-self._lines[end, start],)
        if (start, end) not in self._lines:
            self.edges.append(SkinEdge(start, end))
            self._lines[start, end] = len(self.edges)
        return (self._lines[start, end],)

    def curve(self, curve: Curve, start: int, end: int) -> Loop:
        """Return a new curved edge between two corners, a whole circle where they are one."""
        self.edges.append(SkinEdge(start, end, curve))
        return (len(self.edges),)

    def ring(self, points: Sequence[Vector]) -> Loop:
        """Return a loop of straight edges."""
        numbers = [self.corner(point) for point in points]
        ahead = [*numbers[1:], *numbers[:1]]
        return tuple(n for a, b in zip(numbers, ahead, strict=True) for n in self.line(a, b))

    def face(self, surface: Surface, *loops: Loop) -> None:
        """Add a face; one that is no wider than its edge is none."""
        if len(loops[0]) == 2 and loops[0][0] == -loops[0][1]:
            return
        self.faces.append(SkinFace(surface, loops))

    def polygon(self, points: Sequence[Vector]) -> None:
        """Add a flat face with straight edges, anticlockwise from outside, if it has an area."""
        loop = self.ring(points)
        area = _area(points)
        if len(loop) > 2 and area != (0.0, 0.0, 0.0):
            self.face(Flat(unit(area)), loop)

    def walls(self, low: Sequence[Vector], high: Sequence[Vector]) -> None:
        """Add the sides between two rings, anticlockwise seen from the side of the high one."""
        for n in range(len(low)):
            m = (n + 1) % len(low)
            self.polygon((low[n], low[m], high[m], high[n]))

    def skin(self) -> Skin | None:
        """Return the skin, or None where it is not closed."""
        made = Skin(tuple(self.points), tuple(self.edges), tuple(self.faces))
        return made if made.closed else None


def back(loop: Loop) -> Loop:
    """Return a loop gone the other way round.

    >>> back((1, -2, 3))
    (-3, 2, -1)
    """
    return tuple(-number for number in reversed(loop))


def unit(vector: Vector) -> Vector:
    """Return a vector's direction."""
    length = math.sqrt(dot(vector, vector))
    return vector[0] / length, vector[1] / length, vector[2] / length


def skin_of_polygons(faces: Iterable[Sequence[Vector]]) -> Skin | None:
    """Return the skin of a solid with flat faces without holes."""
    maker = SkinMaker()
    for face in faces:
        maker.polygon(face)
    return maker.skin()


def _area(points: Sequence[Vector]) -> Vector:
    """Return twice the area of a flat loop along its normal, mm2, by triangles from its first
    corner.
    """
    x0, y0, z0 = points[0]
    local = [(x - x0, y - y0, z - z0) for x, y, z in points[1:]]
    nx = ny = nz = 0.0
    for a, b in pairwise(local):
        x, y, z = cross(a, b)
        nx, ny, nz = nx + x, ny + y, nz + z
    return nx, ny, nz
