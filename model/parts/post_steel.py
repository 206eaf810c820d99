"""The steel that posts stand on and between: base plates, cheeks, their bolts and anchors."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from palewright.model.basis.units import format_length as mm
from palewright.model.geometry.frames import Frame
from palewright.model.geometry.outlines import Outline
from palewright.model.geometry.shapes import Bolt, Plate, Rod, Shape, tidy
from palewright.model.resolved.post_feet import Cradle, Foot, OnShoe

from .hardware import BOLTS, THREAD_OUT, bolt_length
from .members import CHEEK, FOOT_BOLT, SHOE_PLATE, SLAB_ANCHOR, Kind, Member

ANCHOR_OUT = 20.0
"""How far an anchor stands out of a base plate, for washer and nut, mm."""

BOLT_CLEAR = 25.0
"""From a bolt at a foot to one of a rail that crosses it, mm (common practice, no source)."""

SteelPart = tuple[Kind, Shape, Frame, str]
"""A piece of steel: its kind, its shape, where it stands about the post's middle on the ground, and
what it does."""

UPRIGHT_BACK = Frame((0.0, 0.0, 0.0), (0.0, 1.0, 0.0), (-1.0, 0.0, 0.0))
"""How a plate stands whose width runs across the fence."""

LYING = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, -1.0))
"""How a plate lies whose length is across the fence, its thickness below its origin."""

ALONG = Frame((0.0, 0.0, 0.0), (0.0, -1.0, 0.0), (1.0, 0.0, 0.0))
"""How a bolt lies that runs along the fence."""


def steel_of(foot: Foot, crossing: Iterable[float] = ()) -> Iterator[SteelPart]:
    """Yield the steel that a post stands on, with its bolts and anchors. crossing : heights over
    the ground of bolts of rails, mm, that its own keep under.
    """
    if isinstance(foot, OnShoe):
        yield from _base(foot)
    if foot.shoe is not None:
        yield from _cheeks(foot.shoe, foot.seat, tuple(crossing))


def _base(foot: OnShoe) -> Iterator[SteelPart]:
    """Yield a base plate on a slab and its anchors."""
    along, across = foot.plate
    outline = Outline.rectangle(-along / 2.0, -across / 2.0, along / 2.0, across / 2.0)
    place = Frame.at(0.0, 0.0, foot.thick) @ LYING
    yield SHOE_PLATE, Plate(outline, foot.thick), place, "base of a post shoe"
    rod = Rod(BOLTS[foot.anchor].diameter, tidy(foot.hold + foot.thick + ANCHOR_OUT))
    for x, y in foot.anchors:
        yield SLAB_ANCHOR, rod, Frame.at(x, y, -foot.hold), "shoe to slab"


def _cheeks(shoe: Cradle, seat: float, crossing: tuple[float, ...]) -> Iterator[SteelPart]:
    """Yield the cheeks that stand on a seat (mm over the ground), and their bolts."""
    half, wide = shoe.between / 2.0, shoe.wide
    plate = Plate(Outline.rectangle(0.0, 0.0, wide, shoe.high), shoe.metal)
    for way in (-1.0, 1.0):
        if shoe.sides:  # its thickness runs from its origin to the left, else to the back
            out = half + (shoe.metal if way > 0.0 else 0.0)
            frame = Frame.at(way * out, -wide / 2.0, seat) @ UPRIGHT_BACK
        else:
            out = half + (shoe.metal if way < 0.0 else 0.0)
            frame = Frame.at(-wide / 2.0, way * out, seat)
        yield CHEEK, plate, frame, "cheek of a post shoe"
    bolt = foot_bolt(shoe.bolt, shoe.between + 2.0 * shoe.metal)
    start = -(half + shoe.metal + bolt.head_height)
    for nominal in shoe.bolts:
        up = nominal
        for height in sorted(crossing, reverse=True):
            if abs(seat + up - height) < BOLT_CLEAR:
                up = height - seat - BOLT_CLEAR
        at = (
            Frame.at(start, 0.0, seat + up) @ ALONG
            if shoe.sides
            else Frame.at(0.0, start, seat + up)
        )
        yield FOOT_BOLT, bolt, at, "post to shoe"


def foot_bolt(size: str, held: float) -> Bolt:
    """Return a bolt with a hexagon head through what is `held` (mm) thick, head and all outside."""
    part = BOLTS[size]
    head = part.nut_height
    length = bolt_length(held + part.washer_height + part.nut_height + THREAD_OUT)
    return Bolt(
        part.diameter, length, head + held, part.nut_width, head, part.washer_diameter,
        part.washer_height, part.nut_width, part.nut_height,
    )  # fmt: skip


def steel_said(member: Member, foot: Foot) -> str:
    """Return what the order calls the steel at a post's foot; empty for what is none."""
    if member.kind == SHOE_PLATE and isinstance(foot, OnShoe):
        shoe = foot.cradle
        size = " x ".join(mm(side) for side in (*foot.plate, foot.thick))
        held = f"{mm(shoe.width)} x {mm(shoe.depth)}"
        return f"post shoe for a post {held}, plate {size}, cheeks {mm(shoe.high)} high"
    if member.kind == SLAB_ANCHOR and isinstance(foot, OnShoe):
        return f"slab anchor {foot.anchor}, {mm(foot.hold)} into the slab"
    return ""
