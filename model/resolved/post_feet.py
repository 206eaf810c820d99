"""How posts stand: a value for each way, which says what is dug, how deep, and what holds."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar

from palewright.model.geometry.shapes import Footing, Hole, RoundHole, SquareHole, tidy
from palewright.model.spec.foot_keys import FootSpec, HoleFoot, ShoeFoot

from .footing_plan import FootingPlan


@dataclass(frozen=True)
class GroundBearing:
    """What a post presses on the ground with, under its loads. width : diameter or diagonal, square
    : width square to a side, deep : below the ground, all mm; what : it is; mend : what would help.
    """

    width: float
    square: float
    deep: float
    what: str
    mend: str


@dataclass(frozen=True)
class Cradle:
    """Two cheeks of steel that a post is bolted between. width, depth : of the post; metal : of the
    cheeks, high : over what they stand on; gap : from there to the post's foot, all mm; bolt : two
    through cheeks and post; sides : whether they are on the post's sides, else on front and back.
    """

    width: float
    depth: float
    metal: float
    high: float
    gap: float
    bolt: str
    sides: bool

    @property
    def bolts(self) -> tuple[float, float]:
        """Heights of the bolts over what the cheeks stand on, mm."""
        return self.gap + BOLT_UP, self.high - BOLT_DOWN

    @property
    def wide(self) -> float:
        """Width of a cheek, mm."""
        return self.depth if self.sides else self.width

    def parts(self, figure: Callable[[float], str], seat: float) -> tuple[tuple[str, float], ...]:
        """Return in words the cheeks and their bolts, with heights over the ground, mm; seat : of
        what they stand on.
        """
        size = " x ".join(figure(side) for side in (self.wide, self.high, self.metal))
        where = "on its sides" if self.sides else "in front of it and behind it"
        return (
            (f"2 bolts {self.bolt} through both cheeks and the post", seat + self.bolts[1]),
            (f"2 cheeks {size}, {where}", seat + (self.bolts[0] + self.bolts[1]) / 2.0),
        )

    def asked(self, moment: float, apart: float) -> str:
        """Return in words the force on each of two bolts, so far apart (mm), by a moment, Nmm."""
        return f"{moment / apart / 1000.0:.1f} kN on each of two bolts {apart:g} mm apart"

    @property
    def between(self) -> float:
        """From cheek to cheek, mm."""
        return self.width if self.sides else self.depth


BOLT_UP, BOLT_DOWN, BOLTS_APART = 60.0, 30.0, 50.0
"""From a post's foot up to its lower bolt in a shoe, from the top of the cheeks down to the upper
one, and least between both, mm (common practice, no source)."""


@dataclass(frozen=True)
class Foot:
    """How a post stands. This one is of what stands by itself: a plate on a wall, a post that is
    kept; other ways say otherwise what they differ in.

    made : whether a post is made that stands so; way : in words, short : in lists of posts, where
    it stands in no hole; how, care : it is set, with its caution, offered : it is described to a
    customer, where not in a hole alone; task : what the work on it is called.
    """

    made: ClassVar[bool] = False
    way: ClassVar[str] = "as it stands"
    short: ClassVar[str] = ""
    how: ClassVar[str] = ""
    care: ClassVar[str] = ""
    offered: ClassVar[str] = ""
    task: ClassVar[str] = "set post"

    @property
    def embedment(self) -> float:
        """Depth of the post's timber below the ground, mm; under 0 where it ends above it."""
        return 0.0

    @property
    def dug(self) -> FootingPlan | None:
        """The hole that is dug and what fills it, none where nothing is dug."""
        return None

    @property
    def deep(self) -> float:
        """How far what is dug or driven goes below the ground, mm."""
        return 0.0

    @property
    def taken(self) -> Hole | None:
        """What is broken of the ground in plan, None where nothing goes into it."""
        return None

    @property
    def room(self) -> Hole:
        """What it takes up in plan, whether in the ground or on it."""
        return self.taken or SquareHole(0.0, 0.0)

    @property
    def aside(self) -> float:
        """From the post's middle back to the middle of what is dug, mm."""
        return 0.0

    @property
    def shoe(self) -> Cradle | None:
        """The steel that holds the post, None where there is none."""
        return None

    @property
    def seat(self) -> float:
        """Height over the ground of what the cheeks of its steel stand on, mm."""
        return 0.0

    @property
    def clear(self) -> float:
        """How high over the ground nothing may be taken off the post's edges, mm."""
        return 0.0 if self.shoe is None else self.seat + self.shoe.high + BOLT_DOWN

    @property
    def bears(self) -> GroundBearing | None:
        """What presses on the ground, None where a post has none of its own to be checked."""
        return None

    @property
    def buried(self) -> bool:
        """Whether timber stands in the ground, which asks for a higher use class."""
        return self.embedment > 0.0

    @property
    def on_slab(self) -> bool:
        """Whether it stands on a slab or on paving that is there."""
        return False

    def said(self, figure: Callable[[float], str]) -> str:
        """Return in words how it stands, beside the hole and what fills it; figure : writes mm."""
        return ""

    def parts(self, figure: Callable[[float], str]) -> tuple[tuple[str, float], ...]:
        """Return in words the parts that it stands by, each with a height over the ground, mm."""
        return ()

    def asked(self, moment: float, apart: float) -> str:
        """Return in words what a moment at the ground (Nmm) asks of steel that is not checked;
        empty where none carries it. apart : between its two bolts, mm.
        """
        return ""

    def filled(self, drop: float = 0.0) -> Footing | None:
        """Return what fills the hole; drop : how far it ends below the ground at the post, mm."""
        return None


@dataclass(frozen=True)
class InHole(Foot):
    """A post in a hole that is filled with concrete or gravel. footings : the hole; width, depth :
    of the post, below : how deep it stands in the ground, mm.
    """

    footings: FootingPlan
    width: float
    depth: float
    below: float

    made: ClassVar[bool] = True
    way: ClassVar[str] = "in a hole"

    @property
    def embedment(self) -> float:
        """Depth of the post below the ground, mm."""
        return self.below

    @property
    def dug(self) -> FootingPlan:
        """The hole that is dug."""
        return self.footings

    @property
    def deep(self) -> float:
        """Depth of the hole, mm."""
        return self.below + self.footings.bed

    @property
    def taken(self) -> Hole:
        """The hole in plan."""
        return self.footings.hole

    @property
    def bears(self) -> GroundBearing:
        """The concrete presses on the ground, or in gravel the post alone, whose bed is no part."""
        if not self.footings.poured:
            mend = "a deeper post (posts.embedment), concrete (footings.fill) or shorter bays"
            diagonal = math.hypot(self.width, self.depth)
            return GroundBearing(diagonal, min(self.width, self.depth), self.below, "post", mend)
        return _concrete(self.footings, self.deep, "posts.embedment")

    def filled(self, drop: float = 0.0) -> Footing:
        """Return the concrete or the gravel round the post."""
        told = self.footings
        below = tidy(self.below - drop)
        return Footing(told.hole, told.bed, below, self.width, self.depth, told.weathering)


def _concrete(footings: FootingPlan, deep: float, key: str) -> GroundBearing:
    """Return what concrete that fills a hole bears by. key : of the spec, that makes it deeper."""
    hole = footings.hole
    mend = f"a deeper hole ({key}), a wider one (footings.size) or shorter bays"
    if isinstance(hole, RoundHole):
        return GroundBearing(hole.diameter, hole.diameter, deep, "hole", mend)
    diagonal = math.hypot(hole.width, hole.depth)
    return GroundBearing(diagonal, 2.0 * footings.half_hole, deep, "hole", mend)


@dataclass(frozen=True)
class OnShoe(Foot):
    """A post on a steel shoe that is bolted down on a slab. cradle : what holds it; plate : of the
    base, along the run and across it, thick; anchor : four of this size, hold deep in the slab,
    inset from the plate's edges; slab : how thick that is, edge : from the posts' middle to its
    nearest edge, all mm, None where that is not known.
    """

    cradle: Cradle
    plate: tuple[float, float]
    thick: float
    anchor: str
    hold: float
    inset: float
    slab: float | None
    edge: float | None

    made: ClassVar[bool] = True
    way: ClassVar[str] = "on a shoe"
    short: ClassVar[str] = "shoe"
    how: ClassVar[str] = (
        "Set the shoes out to the string, drill the slab through their plates, blow the holes out "
        "and set the anchors as their maker says; plates lie flat, packed where the slab falls. "
        "Stand each post between its cheeks on packing, plumb it, drill and bolt it, and take the "
        "packing out."
    )
    care: ClassVar[str] = (
        "Before drilling a slab, find what is cast in it: heating pipes, cables, reinforcement; "
        "goggles, mask and ear defenders. Keep anchors off its edges and joints; loose paving "
        "holds none."
    )
    offered: ClassVar[str] = "on steel shoes, bolted down on the slab or paving that is there"

    @property
    def embedment(self) -> float:
        """Under 0: the post ends above the slab, mm."""
        return -(self.thick + self.cradle.gap)

    @property
    def room(self) -> Hole:
        """Its base plate."""
        return SquareHole(*self.plate)

    @property
    def shoe(self) -> Cradle:
        """What holds the post."""
        return self.cradle

    @property
    def seat(self) -> float:
        """Height over the ground of what the cheeks stand on, mm."""
        return self.thick

    @property
    def on_slab(self) -> bool:
        """It does."""
        return True

    def asked(self, moment: float, apart: float) -> str:
        """Return the forces on each of two bolts, and on each of the two anchors of one side."""
        lever = self.plate[1] - 2.0 * self.inset
        pull = moment / lever / 2.0 / 1000.0
        return (
            f"{self.cradle.asked(moment, apart)} and a pull of {pull:.1f} kN on each of two "
            f"anchors {lever:g} mm from the others"
        )

    def said(self, figure: Callable[[float], str]) -> str:
        """Return in words what the shoe is."""
        return f"on a shoe, its cheeks {figure(self.cradle.high)} high"

    def parts(self, figure: Callable[[float], str]) -> tuple[tuple[str, float], ...]:
        """Return what the shoe is made of and what holds it."""
        plate = " x ".join(figure(side) for side in (*self.plate, self.thick))
        anchors = f"4 anchors {self.anchor}, {figure(self.hold)} into the slab"
        gap = f"foot {figure(self.cradle.gap)} over the plate, packed while it is bolted"
        return (
            *self.cradle.parts(figure, self.seat),
            *(((gap, -self.embedment + 1.0),) if self.cradle.gap else ()),
            (f"base plate {plate}; {anchors}", self.thick / 2.0),
        )

    @property
    def anchors(self) -> tuple[tuple[float, float], ...]:
        """Places of the anchors about the post's middle, mm."""
        x, y = (side / 2.0 - self.inset for side in self.plate)
        return (-x, -y), (x, -y), (x, y), (-x, y)


def foot_of(told: FootSpec, section: tuple[float, float], below: float, dug: FootingPlan) -> Foot:
    """Return how a post stands. section : of it, along the run and across it; below : how deep in a
    hole, mm; dug : the hole that it stands in where it does.
    """
    width, depth = section
    match told:
        case HoleFoot():
            return InHole(dug, width, depth, below)
        case ShoeFoot():
            cradle = Cradle(
                width, depth, told.metal, told.height, told.gap, told.bolt, told.cheeks == "sides"
            )
            plate = told.plate or (width + PLATE_MORE[0], depth + PLATE_MORE[1])
            return OnShoe(
                cradle, plate, told.thickness, told.anchor, told.hold, told.inset, told.slab,
                told.edge,
            )  # fmt: skip


PLATE_MORE = (60.0, 160.0)
"""How much larger a shoe's base plate is than its post, along the run and across it, mm (common
practice, no source)."""


BY_ITSELF = Foot()
"""Of plates on walls and posts that are kept."""
