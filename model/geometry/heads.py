"""Pale heads: what a spec says of each, its outline, and what can be cut from which width.

A head is drawn over the *springing line*, where the straight sides end: x from 0 to the width, y
from 0 up to the rise. Each kind of head is two classes that stand together here: the table that a
spec may write (`...Head`), and the value with its sizes worked out, which knows its outline. A new
kind is these two and an entry in `HeadSpec`; nothing else has to know it.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import Annotated, Literal, Protocol, get_args

from pydantic import BeforeValidator, Field

from palewright.model.basis.errors import PalewrightError
from palewright.model.basis.lengths import NotNegative, Positive, Table, shape_named

from .frames import Point
from .outlines import Outline

Vertices = tuple[tuple[float, float, float], ...]

AT_SPRINGING = "centre on the springing line"


class HeadError(PalewrightError):
    """A head that cannot be cut from the given pale; the text says why."""


@dataclass(frozen=True)
class Marking:
    """What a joiner marks out of a head.

    ups : heights of its corners and turning points over the springing line, mm; across : where
    its corners are, from the middle of the pale, mm (of a symmetrical head the left half says
    all, of a plain one nothing); centres : where the centres of its arcs are, in words.
    """

    ups: tuple[float, ...]
    across: tuple[float, ...] = ()
    centres: str = AT_SPRINGING


class Head(Protocol):
    """A head with its sizes worked out: a frozen value."""

    def rise(self, width: float) -> float:
        """Height of the head over the springing line, mm."""

    def top(self, width: float) -> Vertices:
        """Return (x, y, bulge) from the right side over the top to the left side, mm.

        Raises HeadError when the head cannot be cut from a pale of that width.
        """

    def marking(self, width: float) -> Marking:
        """Return what to mark out on a pale of that width."""


class HeadTable(Protocol):
    """What a spec says of a head."""

    def head(self, width: float) -> Head:
        """Return the head for a pale of a width (mm), what was left out worked out."""


class SquareHead(Table):
    """Square-cut head."""

    shape: Literal["square"]

    def head(self, width: float) -> Square:
        """Return the head for a pale of a width, mm."""
        return Square()


@dataclass(frozen=True)
class Square:
    """A square-cut head."""

    def rise(self, width: float) -> float:
        """Height of the head over the springing line, mm."""
        return 0.0

    def top(self, width: float) -> Vertices:
        """Return the outline from right to left, mm."""
        return (width, 0.0, 0.0), (0.0, 0.0, 0.0)

    def marking(self, width: float) -> Marking:
        """Return what to mark out."""
        return Marking(())


class ClippedHead(Table):
    """Head with both corners cut off."""

    shape: Literal["clipped"]
    across: Positive = Field(30.0, description="along the top, each side")
    down: Positive = Field(30.0, description="down the side")

    def head(self, width: float) -> Clipped:
        """Return the head for a pale of a width, mm."""
        return Clipped(self.across, self.down)


@dataclass(frozen=True)
class Clipped:
    """Both corners cut off straight. across, down : mm, measured along the top and the side."""

    across: float
    down: float

    def rise(self, width: float) -> float:
        """Height of the head over the springing line, mm."""
        return self.down

    def top(self, width: float) -> Vertices:
        """Return the outline from right to left, mm."""
        across, down, half = self.across, self.down, width / 2.0
        _check(across > 0 and down > 0, "both sides of the clip must be more than 0")
        _check(
            across < half,
            f"clips of {across:g} mm leave no flat on a pale {width:g} mm wide "
            f"(each must be less than {half:g} mm across)",
        )
        corners = ((width - across, down, 0.0), (across, down, 0.0))
        return (width, 0.0, 0.0), *corners, (0.0, 0.0, 0.0)

    def marking(self, width: float) -> Marking:
        """Return what to mark out."""
        half = width / 2.0
        return Marking((0.0, self.down), (-half, -half + self.across))


class PointedHead(Table):
    """Head with two straight cuts meeting in the middle."""

    shape: Literal["pointed"]
    rise: Positive | None = Field(None, description="half the width when left out")
    tip: NotNegative = Field(0.0, description="width of a blunt tip")

    def head(self, width: float) -> Pointed:
        """Return the head for a pale of a width, mm."""
        return Pointed(self.rise or width / 2.0, self.tip)


@dataclass(frozen=True)
class Pointed:
    """Two straight cuts meeting in the middle. height : mm; blunt : mm, width of a flat tip."""

    height: float
    blunt: float = 0.0

    def rise(self, width: float) -> float:
        """Height of the head over the springing line, mm."""
        return self.height

    def top(self, width: float) -> Vertices:
        """Return the outline from right to left, mm."""
        height, blunt, half = self.height, self.blunt, width / 2.0
        _check(height > 0, "the height must be more than 0")
        _check(
            0 <= blunt < width,
            f"a tip {blunt:g} mm wide does not fit a pale {width:g} mm wide",
        )
        if blunt == 0:
            return (width, 0.0, 0.0), (half, height, 0.0), (0.0, 0.0, 0.0)
        right, left = half + blunt / 2.0, half - blunt / 2.0
        return (width, 0.0, 0.0), (right, height, 0.0), (left, height, 0.0), (0.0, 0.0, 0.0)

    def marking(self, width: float) -> Marking:
        """Return what to mark out."""
        tip = (-self.blunt / 2.0, self.blunt / 2.0) if self.blunt > 0.0 else ()
        return Marking((0.0, self.height), tip)


class RoundHead(Table):
    """Half-round head."""

    shape: Literal["round"]

    def head(self, width: float) -> Round:
        """Return the head for a pale of a width, mm."""
        return Round()


@dataclass(frozen=True)
class Round:
    """A half circle over the whole width."""

    def rise(self, width: float) -> float:
        """Height of the head over the springing line, mm."""
        return width / 2.0

    def top(self, width: float) -> Vertices:
        """Return the outline from right to left, mm."""
        return (width, 0.0, 1.0), (0.0, 0.0, 0.0)

    def marking(self, width: float) -> Marking:
        """Return what to mark out."""
        return Marking((0.0, width / 2.0))


class SegmentalHead(Table):
    """Head with a flat arc."""

    shape: Literal["segmental"]
    rise: Positive | None = Field(None, description="a fifth of the width when left out")

    def head(self, width: float) -> Segmental:
        """Return the head for a pale of a width, mm."""
        return Segmental(self.rise or width / 5.0)


@dataclass(frozen=True)
class Segmental:
    """A flat arc over the whole width. height : mm, less than half the width."""

    height: float

    def rise(self, width: float) -> float:
        """Height of the head over the springing line, mm."""
        return self.height

    def top(self, width: float) -> Vertices:
        """Return the outline from right to left, mm."""
        half = width / 2.0
        _check(
            0 < self.height < half,
            f"a segmental head rises more than 0 and less than half the width ({half:g} mm); "
            "for exactly half use 'round'",
        )
        return (width, 0.0, self.height / half), (0.0, 0.0, 0.0)

    def marking(self, width: float) -> Marking:
        """Return what to mark out."""
        return Marking((0.0, self.height), centres="centre on the middle line")


class PointedArchHead(Table):
    """Head with two arcs meeting in a point."""

    shape: Literal["pointed-arch"]
    rise: Positive | None = Field(None, description="three quarters of the width when left out")

    def head(self, width: float) -> PointedArch:
        """Return the head for a pale of a width, mm."""
        return PointedArch(self.rise or width * 0.75)


@dataclass(frozen=True)
class PointedArch:
    """Two arcs that leave the sides without a kink and meet in a point. height : mm."""

    height: float

    def rise(self, width: float) -> float:
        """Height of the head over the springing line, mm."""
        return self.height

    def top(self, width: float) -> Vertices:
        """Return the outline from right to left, mm.

        With rise h over half-width b the arcs are centred on the springing line, so that
        r = (h^2 + b^2) / (2 b), from the right triangle of centre, springing and tip.
        """
        height, half = self.height, width / 2.0
        _check(
            height > half,
            f"a pointed arch rises more than half the width ({half:g} mm); "
            "for exactly half use 'round'",
        )
        radius = (height**2 + half**2) / (2.0 * half)
        bulge = math.tan(math.atan2(height, radius - half) / 4.0)
        return (width, 0.0, bulge), (half, height, bulge), (0.0, 0.0, 0.0)

    def marking(self, width: float) -> Marking:
        """Return what to mark out."""
        return Marking((0.0, self.height), centres="centres on the springing line")


class OgeeHead(Table):
    """Head with two S-curves meeting in a point."""

    shape: Literal["ogee"]
    rise: Positive | None = Field(None, description="the width when left out")

    def head(self, width: float) -> Ogee:
        """Return the head for a pale of a width, mm."""
        return Ogee(self.rise or width)


@dataclass(frozen=True)
class Ogee:
    """Two S-curves, hollow above and full below, meeting in a point. height : mm."""

    height: float

    def rise(self, width: float) -> float:
        """Height of the head over the springing line, mm."""
        return self.height

    def top(self, width: float) -> Vertices:
        """Return the outline from right to left, mm.

        Of two equal radii: the upper centre lies level with the tip and the centres are 2 r
        apart, so that with rise h over half-width b r = (h^2 + b^2) / (4 b); the curve turns over
        at half height and half of the half-width.
        """
        height, half = self.height, width / 2.0
        _check(
            height >= half,
            f"an ogee rises at least half the width ({half:g} mm), or its lower curve "
            "would dip before it turns",
        )
        radius = (height**2 + half**2) / (4.0 * half)
        turn = math.atan2(height / 2.0, radius - half / 2.0)
        bulge = math.tan(turn / 4.0)
        return (
            (width, 0.0, bulge),
            (width * 0.75, height / 2.0, -bulge),
            (half, height, -bulge),
            (width * 0.25, height / 2.0, bulge),
            (0.0, 0.0, 0.0),
        )

    def marking(self, width: float) -> Marking:
        """Return what to mark out."""
        half = width / 2.0
        return Marking(
            (0.0, self.height / 2.0, self.height),
            (-half, -half / 2.0, 0.0),
            "centres level with springing line and tip",
        )


class FreeHead(Table):
    """Head through given points."""

    shape: Literal["free"]
    points: tuple[tuple[NotNegative, NotNegative], ...] = Field(
        min_length=2,
        max_length=500,
        description="[across, up] from the left side (0) to the right side (the width)",
    )

    def head(self, width: float) -> Free:
        """Return the head for a pale of a width, mm."""
        return Free(self.points)


@dataclass(frozen=True)
class Free:
    """A head through given points. points : mm, from the left side (x = 0) to the right side."""

    points: tuple[Point, ...]

    def rise(self, width: float) -> float:
        """Height of the head over the springing line, mm."""
        return max(y for _, y in self.points)

    def top(self, width: float) -> Vertices:
        """Return the outline from right to left, mm."""
        points = self.points
        _check(len(points) >= 2, "a free head needs two points or more")
        _check(
            points[0][0] == 0.0 and abs(points[-1][0] - width) < 1e-9,
            f"the points run from x = 0 to x = the width of the pale ({width:g} mm)",
        )
        _check(
            all(0.0 <= x <= width and y >= 0.0 for x, y in points),
            f"every point lies within the pale: x from 0 to {width:g} mm, y not below 0",
        )
        loop = [(0.0, -1.0), *points, (width, -1.0)]
        _check(not _crosses_itself(loop), "the outline touches or crosses itself")
        tail = [] if points[-1][1] == 0.0 else [(width, 0.0)]
        lead = [] if points[0][1] == 0.0 else [(0.0, 0.0)]
        return tuple((x, y, 0.0) for x, y in [*tail, *reversed(points), *lead])

    def marking(self, width: float) -> Marking:
        """Return what to mark out."""
        ups = sorted({0.0, *(y for _, y in self.points)})
        return Marking(tuple(ups), tuple(sorted({x - width / 2.0 for x, _ in self.points})))


HeadSpec = Annotated[
    Annotated[
        SquareHead
        | ClippedHead
        | PointedHead
        | RoundHead
        | SegmentalHead
        | PointedArchHead
        | OgeeHead
        | FreeHead,
        Field(discriminator="shape"),
    ],
    BeforeValidator(shape_named),
]
"""Every head that a spec may write, as a table or by the name of its shape alone."""


def named_heads() -> dict[str, HeadTable]:
    """Return the heads that a spec may write by the name of their shape alone, by that name in
    words.

    >>> list(named_heads())[:3]
    ['square', 'clipped', 'pointed']
    """
    union, *_ = get_args(HeadSpec)
    named: dict[str, HeadTable] = {}
    for table in get_args(union):
        fields = dict(table.model_fields)
        (shape,) = get_args(fields.pop("shape").annotation)
        if not any(field.is_required() for field in fields.values()):
            named[shape.replace("-", " ")] = table(shape=shape)
    return named


def pale_outline(head: Head, width: float, length: float) -> Outline:
    """Return the whole outline of a pale, centred on x = 0, foot at y = 0.

    Parameters
    ----------
    head : Head
        What to cut.
    width, length : float
        Of the pale, mm; the length includes the head.

    Raises
    ------
    HeadError
        When the head cannot be cut from that width, or is taller than the pale is long.

    Examples
    --------
    >>> pale_outline(Clipped(30, 30), 100, 1000).area
    99100.0
    """
    top = head.top(width)
    rise = head.rise(width)
    _check(
        rise < length,
        f"the head is {rise:g} mm high and the pale only {length:g} mm long",
    )
    spring = length - rise
    half = width / 2.0
    foot = ((-half, 0.0, 0.0), (half, 0.0, 0.0))
    loop = (*foot, *((x - half, y + spring, bulge) for x, y, bulge in top))
    return Outline(loop)


def _crosses_itself(path: list[Point]) -> bool:
    import shapely  # only free outlines need it

    repeated = any(a == b for a, b in itertools.pairwise(path))
    return repeated or not shapely.LinearRing(path).is_simple


def _check(holds: bool, message: str) -> None:
    if not holds:
        raise HeadError(message)
