"""The shapes that members are made in: frozen, hashable, each in its own coordinates.

Every shape stands in a frame with x along the run (to the right, seen from the front), y to the
back and z up. A shape knows its volume in closed form, and the sizes a list shows. All lengths
are mm; `tidy` rounds them to a ten-thousandth so that equal pieces share one mark.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from .frames import Point, Vector
from .metal_caps import MetalCap
from .outlines import Outline, polygon_area, polygon_centroid
from .post_shapes import Post
from .prisms import SQUARE_CUT, EndCut, Prism
from .tenons import Tenon
from .turned_shapes import Turned


def tidy(value: float) -> float:
    """Return a length rounded to four decimals, without a negative zero."""
    return round(value, 4) + 0.0


def tidy_slope(value: float) -> float:
    """Return a slope rounded so that over a section it stays true to a ten-thousandth of a mm."""
    return round(value, 8) + 0.0


@dataclass(frozen=True)
class Bar:
    """A straight bar along x with a section and a plane cut at each end.

    section : (y, z) points, anticlockwise seen from +x, convex but for drip grooves; length : along
    the axis y = z = 0, which both cuts are measured from.
    """

    section: tuple[Point, ...]
    length: float
    left: EndCut = SQUARE_CUT
    right: EndCut = SQUARE_CUT

    def end_x(self, cut: EndCut, at: float, point: Point) -> float:
        """Return x of the cut at a section point; `at` is 0 or the length."""
        return at + cut.ky * point[0] + cut.kz * point[1]

    @property
    def volume(self) -> float:
        """Volume, mm3: section area times the length through the section's centroid."""
        centroid = polygon_centroid(self.section)
        length = self.end_x(self.right, self.length, centroid) - self.end_x(
            self.left, 0.0, centroid
        )
        return polygon_area(self.section) * length

    @property
    def overall(self) -> tuple[float, float]:
        """Smallest and largest x of the bar."""
        return (
            min(self.end_x(self.left, 0.0, point) for point in self.section),
            max(self.end_x(self.right, self.length, point) for point in self.section),
        )

    @property
    def size(self) -> tuple[float, float, float]:
        """Section height, section thickness and overall length."""
        ys = [y for y, _ in self.section]
        zs = [z for _, z in self.section]
        low, high = self.overall
        return max(zs) - min(zs), max(ys) - min(ys), high - low


@dataclass(frozen=True)
class Tenoned:
    """A bar from shoulder to shoulder, and its tenons. They stand within the bar's section."""

    bar: Bar
    left: Tenon | None = None
    right: Tenon | None = None

    @property
    def tenons(self) -> tuple[Tenon, ...]:
        """Those that there are, from the left."""
        return tuple(tenon for tenon in (self.left, self.right) if tenon is not None)

    @property
    def housed(self) -> Tenoned:
        """What is taken out of posts for it: tenons that fill their mortises."""
        left, right = (tenon and tenon.whole for tenon in (self.left, self.right))
        return Tenoned(self.bar, left, right)

    @property
    def volume(self) -> float:
        """Volume, mm3."""
        return self.bar.volume + math.fsum(tenon.volume for tenon in self.tenons)

    @property
    def overall(self) -> tuple[float, float]:
        """Smallest and largest x, mm."""
        low, high = self.bar.overall
        xs = [low, high]
        for tenon, right in ((self.left, False), (self.right, True)):
            if tenon is not None:
                ends = ((spot, z) for spot in tenon.plan for z in (tenon.low, tenon.high))
                xs += [self.point(spot, z, right=right)[0] for spot, z in ends]
        return min(xs), max(xs)

    @property
    def size(self) -> tuple[float, float, float]:
        """Section height, section thickness and overall length, tenons included."""
        low, high = self.overall
        return *self.bar.size[:2], high - low

    def point(self, spot: Point, z: float, *, right: bool) -> Vector:
        """Return a point of a tenon. spot : how far from the shoulder, and y, mm."""
        bar, (u, y) = self.bar, spot
        if right:
            return bar.end_x(bar.right, bar.length, (y, z)) + u, y, z
        return bar.end_x(bar.left, 0.0, (y, z)) - u, y, z


def bar_of(shape: object) -> Bar | None:
    """Return the bar that a straight piece is, from shoulder to shoulder; None for others."""
    if isinstance(shape, Tenoned):
        return shape.bar
    return shape if isinstance(shape, Bar) else None


@dataclass(frozen=True)
class Plate:
    """A flat piece: an outline in x and z, as thick as y goes from 0.

    bevel_left, bevel_right : dx/dy of its left and right side, planes that only take away and
    leave the full width on one face; 0 for square sides.
    """

    outline: Outline
    thickness: float
    bevel_left: float = 0.0
    bevel_right: float = 0.0

    def sides(self, y: float) -> tuple[float, float]:
        """Return x of the left and of the right side at y."""
        low, _, high, _ = self.outline.bounds
        left, right = self.bevel_left, self.bevel_right
        return (
            low + left * y - min(0.0, left * self.thickness),
            high + right * y - max(0.0, right * self.thickness),
        )

    @property
    def volume(self) -> float:
        """Volume, mm3: the whole plate less what the bevels take.

        Over a point at x the bevel with slope k takes the thickness for which its side lies
        within x: (x - c) / |k|, where c is the side's innermost x. So it takes the first moment of
        the outline's part beyond c about the line x = c, divided by |k|.
        """
        taken = 0.0
        if self.bevel_right:
            inner = min(self.sides(0.0)[1], self.sides(self.thickness)[1])
            taken += self.outline.moment_beyond(inner) / abs(self.bevel_right)
        if self.bevel_left:
            inner = max(self.sides(0.0)[0], self.sides(self.thickness)[0])
            taken += self.outline.mirrored().moment_beyond(-inner) / abs(self.bevel_left)
        return self.outline.area * self.thickness - taken

    def plan(self) -> tuple[Point, ...]:
        """Return its outline seen from above, (x, y), anticlockwise."""
        left0, right0 = self.sides(0.0)
        left1, right1 = self.sides(self.thickness)
        return (left0, 0.0), (right0, 0.0), (right1, self.thickness), (left1, self.thickness)

    @property
    def size(self) -> tuple[float, float, float]:
        """Width, thickness and length (the longer side of the outline)."""
        x0, z0, x1, z1 = self.outline.bounds
        short, long = sorted((x1 - x0, z1 - z0))
        return short, self.thickness, long


@dataclass(frozen=True)
class Cap:
    """A post cap: a slab with a four-way top, centred, underside at z = 0.

    rise : of the whole four-way top, to its point; seat : the smaller side of the flat that is left
    on top for a finial to stand on, 0 for none.
    """

    width: float
    depth: float
    thickness: float
    rise: float
    seat: float = 0.0

    @property
    def skirt(self) -> float:
        """How far it comes down the post: not at all."""
        return 0.0

    @property
    def share(self) -> float:
        """How large the seat is beside the cap, from 0 to 1."""
        return self.seat / min(self.width, self.depth)

    @property
    def height(self) -> float:
        """Height of the point or of the seat over the underside, mm."""
        return tidy(self.thickness + self.rise * (1.0 - self.share))

    @property
    def volume(self) -> float:
        """Volume, mm3: the slab, and the four-way top less its point."""
        top = self.rise * (1.0 - self.share**3) / 3.0
        return self.width * self.depth * (self.thickness + top)

    @property
    def size(self) -> tuple[float, float, float]:
        """Width, depth and height."""
        return self.width, self.depth, self.height


@dataclass(frozen=True)
class RoundHole:
    """A round hole. diameter : mm."""

    diameter: float


@dataclass(frozen=True)
class SquareHole:
    """A square or rectangular hole. width : mm along the run; depth : mm across it."""

    width: float
    depth: float


Hole = RoundHole | SquareHole


@dataclass(frozen=True)
class Footing:
    """Concrete round the foot of a post, centred on it, ground at z = 0.

    bed : concrete under the post; embedment : of the post below ground; post_width, post_depth :
    the post's section; weathering : height of the concrete over the ground where it meets the
    post, falling to ground level at the edge of the hole.
    """

    hole: Hole
    bed: float
    embedment: float
    post_width: float
    post_depth: float
    weathering: float

    @property
    def depth(self) -> float:
        """Depth of the hole."""
        return self.bed + self.embedment

    @property
    def cone_height(self) -> float:
        """Height over ground where the slope of a round top would come to a point."""
        assert isinstance(self.hole, RoundHole)
        radius = self.hole.diameter / 2.0
        corner = math.hypot(self.post_width, self.post_depth) / 2.0
        return self.weathering * radius / (radius - corner)

    @property
    def excavation(self) -> float:
        """Volume of the hole, mm3."""
        match self.hole:
            case RoundHole(diameter):
                return math.pi * diameter**2 / 4.0 * self.depth
            case SquareHole(width, depth):
                return width * depth * self.depth

    def height_at(self, away: float) -> float:
        """Return the height of the concrete over the hole's edge, `away` from its middle, mm.

        Measured straight across the run, in front of or behind the middle of the post.
        """
        match self.hole:
            case RoundHole(diameter):
                return max(0.0, self.cone_height * (1.0 - 2.0 * away / diameter))
            case SquareHole(_, depth):
                room = (depth - self.post_depth) / 2.0
                out = away - self.post_depth / 2.0
                return max(0.0, self.weathering * (1.0 - max(out, 0.0) / room))

    @property
    def volume(self) -> float:
        """Volume of concrete, mm3: hole less post, with the weathered top.

        The square top is a prismatoid (Simpson's rule is exact for it). The round top is a cone
        less the post's square, for which the mean distance of a rectangle's points from its
        centre is needed: for a quarter p by q with diagonal d the integral of the distance is
        p q d / 3 + (p^3 asinh(q/p) + q^3 asinh(p/q)) / 6 (integration in polar coordinates).
        """
        post = self.post_width * self.post_depth
        below = self.excavation - post * self.embedment
        if self.weathering == 0.0:
            return below
        match self.hole:
            case SquareHole(width, depth):
                middle = (width + self.post_width) * (depth + self.post_depth) / 4.0
                whole = self.weathering / 6.0 * (width * depth + 4.0 * middle + post)
                return below + whole - post * self.weathering
            case RoundHole(diameter):
                radius = diameter / 2.0
                apex = self.cone_height
                p, q = self.post_width / 2.0, self.post_depth / 2.0
                moment = p * q * math.hypot(p, q) / 3.0
                moment += (p**3 * math.asinh(q / p) + q**3 * math.asinh(p / q)) / 6.0
                cut = apex * (post - 4.0 * moment / radius)
                return below + math.pi * radius**2 * apex / 3.0 - cut

    @property
    def size(self) -> tuple[float, float, float]:
        """Hole size along and across the run, and depth."""
        match self.hole:
            case RoundHole(diameter):
                return diameter, diameter, self.depth
            case SquareHole(width, depth):
                return width, depth, self.depth


@dataclass(frozen=True)
class Bolt:
    """A cup-head bolt along y with its washer and nut; the top of the head is at y = 0.

    diameter, length : of the bolt, length under the head; grip : from the top of the head to the
    washer; head_diameter, head_height, washer_diameter, washer_height, nut_width (across flats),
    nut_height : mm.
    """

    diameter: float
    length: float
    grip: float
    head_diameter: float
    head_height: float
    washer_diameter: float
    washer_height: float
    nut_width: float
    nut_height: float

    @property
    def volume(self) -> float:
        """Volume, mm3, of the plain cylinders and the hexagon of the solid."""
        area = math.pi * self.diameter**2 / 4.0
        head = math.pi * self.head_diameter**2 / 4.0 * self.head_height
        washer = (math.pi * self.washer_diameter**2 / 4.0 - area) * self.washer_height
        nut = (math.sqrt(3.0) / 2.0 * self.nut_width**2 - area) * self.nut_height
        return head + area * self.length + washer + nut

    @property
    def size(self) -> tuple[float, float, float]:
        """Diameter (twice) and length."""
        return self.diameter, self.diameter, self.length


@dataclass(frozen=True)
class Rod:
    """A round rod along z, centred, foot at z = 0."""

    diameter: float
    length: float

    @property
    def volume(self) -> float:
        """Volume, mm3."""
        return math.pi * self.diameter**2 / 4.0 * self.length

    @property
    def size(self) -> tuple[float, float, float]:
        """Diameter (twice) and length."""
        return self.diameter, self.diameter, self.length


Shape = Bar | Plate | Post | Cap | MetalCap | Footing | Bolt | Rod | Turned | Prism | Tenoned


def rectangle_section(height: float, thickness: float) -> tuple[Point, ...]:
    """Return the (y, z) section of a rectangular bar, front face at y = 0, underside at z = 0."""
    return (0.0, 0.0), (thickness, 0.0), (thickness, height), (0.0, height)


def arris_section(height: float, depth: float) -> tuple[Point, ...]:
    """Return the (y, z) section of an arris rail: flat face to the front, edge to the back."""
    return (0.0, 0.0), (depth, height / 2.0), (0.0, height)
