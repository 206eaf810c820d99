"""The whole order: every line that is bought or done, under one name each."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from typing import Annotated

from pydantic import Field

from palewright.model.basis.errors import Problem, SpecError
from palewright.model.basis.imperial import bought, imperial, imperial_amount, imperial_one
from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.post_shapes import Post
from palewright.model.parts.members import (
    CAPPING,
    CONCRETE_POST,
    GUIDE_POST,
    IN_HOLE,
    KICK_BOARD,
    PALE,
    RAIL,
    SHOE_PLATE,
    Kind,
)
from palewright.model.parts.pales import kind_of_pale
from palewright.model.spec.quantity import quantity_of

from .board_prices import board_costs, timber_item
from .concrete_mix import Mix, mix
from .fence_figures import BARE, fence_figures, leaf_count, painted_areas
from .fixings import CutEnds, FixingLine, cut_ends, fixing_lines
from .gravel import rammed
from .sawing import Section, TimberLine, bought_shaped, timber_lines, waste
from .stock import Source, Stock
from .weights import Weights, weights


class Group(StrEnum):
    """What lines are grouped under, in the order lists show them."""

    TIMBER = "timber"
    CONCRETE = "concrete"
    GRAVEL = "gravel"
    FIXINGS = "fixings"
    FINISHES = "finishes"
    WORK = "work"
    EXTRAS = "extras"


OPTIONAL = (Group.GRAVEL, Group.FINISHES, Group.EXTRAS)
"""Groups that an order may be without."""


@dataclass(frozen=True)
class OrderLine:
    """One thing to buy or to do.

    group : its kind; item : its name, by which a price file prices it; unit : of the quantity;
    note : what to know of it; owned : it lies in the yard and costs nothing; hours : that one
    takes, None where nobody gave any; also : other names that a price file may have it under;
    section, length : of a board, mm, none of other things; merchant : whether it is bought from
    one, as all is but work and some of the user's own lines.
    """

    group: Group
    item: str
    unit: str
    quantity: Decimal
    note: str = ""
    owned: bool = False
    hours: Decimal | None = None
    also: Annotated[tuple[str, ...], Field(exclude=True)] = ()
    section: Annotated[Section | None, Field(exclude=True)] = None
    length: Annotated[float | None, Field(exclude=True)] = None
    merchant: Annotated[bool, Field(exclude=True)] = True


@dataclass(frozen=True)
class Order:
    """Everything that is bought, and the plans and counts behind it. feet : whether its lines are
    in feet, pounds and yards.
    """

    lines: tuple[OrderLine, ...]
    timber: tuple[TimberLine, ...]
    concrete: Mix
    fixings: tuple[FixingLine, ...]
    ends: CutEnds
    weights: Weights
    feet: bool = False

    @property
    def waste(self) -> float:
        """Share of the timber bought, by volume, that does not become members."""
        return waste(self.timber)


def order(fence: FenceModel) -> Order:
    """Return the order of a fence, its timber cut at the least cost by its prices, if it has any,
    or else with the least waste.
    """
    timber = timber_lines(fence, board_costs(fence.job.prices))
    concrete, fixings, ends = mix(fence), fixing_lines(fence), cut_ends(fence)
    lines = [
        *_timber(timber),
        *_shaped(fence),
        *_cast_posts(fence),
        *_concrete(fence, concrete),
        *_gravel(fence),
        *_fixings(fixings, ends),
        *_finishes(fence),
        *_work(fence, concrete),
        *_extras(fence),
    ]
    feet = fence.job.feet
    if feet:
        lines = [_imperial(line) for line in lines]
    return Order(tuple(lines), timber, concrete, fixings, ends, weights(fence), feet)


def _imperial(line: OrderLine) -> OrderLine:
    """Return a line as it is bought in feet, pounds, yards and gallons; no less of anything. What a
    user calls a line of their own stays, with its unit.
    """
    if line.group == Group.EXTRAS:
        return line
    _, unit = imperial_amount(1.0, line.unit)
    quantity = line.quantity
    if unit != line.unit:
        quantity = Decimal(bought(float(quantity), line.unit))
    item = imperial(line.item)
    hours = line.hours
    if hours is not None and unit != line.unit:
        hours = Decimal(f"{float(hours) * imperial_one(line.unit):.6g}")
    return replace(
        line, item=item, unit=unit, quantity=quantity, note=imperial(line.note), hours=hours,
        also=(*line.also, line.item) if item != line.item else line.also,
    )  # fmt: skip


def _timber(lines: tuple[TimberLine, ...]) -> list[OrderLine]:
    boards = []
    for line in lines:
        for stock, count in line.plan.bought:
            name = timber_item(line.section, stock.length)
            owned = stock.source is Source.YARD
            boards.append(
                OrderLine(
                    Group.TIMBER,
                    f"offcut of {name}" if owned else name,
                    "each",
                    Decimal(count),
                    _board_note(stock),
                    owned,
                    section=line.section,
                    length=stock.length,
                )
            )
    return boards


def _board_note(stock: Stock) -> str:
    """Return what to know of boards of a stock."""
    if stock.pack > 1:
        return f"packs of {stock.pack}"
    match stock.source:
        case Source.YARD:
            return f"from the yard: offcut {stock.number}"
        case Source.TO_ORDER:
            return "longer than any length listed: to order"
        case Source.SOLD:
            return ""


def _concrete(fence: FenceModel, told: Mix) -> list[OrderLine]:
    spec = fence.job.concrete
    if not told.footings:
        return []
    if spec.supply == "delivered":
        return [
            OrderLine(
                Group.CONCRETE,
                "concrete, delivered",
                "m3",
                _places(told.volume, 2, feet=fence.job.feet),
            )
        ]
    if spec.supply == "bags":
        item = f"ready-mixed concrete, {spec.ready_bag:g} kg bag"
        count = told.ready_bags
        note = f"{told.ready:.1f} bags are used, {max(0.0, count - told.ready):.1f} left over"
        return [OrderLine(Group.CONCRETE, item, "each", Decimal(count), note)]
    bag, bulk = f"cement, {spec.cement_bag:g} kg bag", f", {spec.bulk_bag:g} kg bulk bag"
    parts = [(bag, told.cement_bags, told.cement, spec.cement_bag, "")]
    parts += [
        (name + bulk, bags, kg, spec.bulk_bag, f", {loose:.2f} m3")
        for name, loose, kg, bags in told.parts
    ]
    return [
        OrderLine(
            Group.CONCRETE,
            item,
            "each",
            Decimal(count),
            f"{kg:.0f} kg{loose} are used, {max(0.0, count * each - kg):.0f} kg left over",
        )
        for item, count, kg, each, loose in parts
    ]


def _gravel(fence: FenceModel) -> list[OrderLine]:
    """Return the gravel that is rammed round posts, by the bulk bag."""
    told, each = rammed(fence), fence.job.concrete.bulk_bag
    if not told.bags:
        return []
    note = (
        f"{told.weight:.0f} kg, {told.loose:.2f} m3 are used, {told.bags * each - told.weight:.0f} "
        "kg left over"
    )
    item = f"gravel, {each:g} kg bulk bag"
    return [OrderLine(Group.GRAVEL, item, "each", Decimal(told.bags), note)]


def _places(value: float, places: int, *, feet: bool = False) -> Decimal:
    """Return an amount with so many places; with more where it is turned into another unit."""
    return Decimal(f"{value:.{places + 6 * feet}f}")


def _fixings(lines: tuple[FixingLine, ...], ends: CutEnds) -> list[OrderLine]:
    bought = [
        OrderLine(Group.FIXINGS, line.item, line.unit, Decimal(f"{line.quantity:g}"), line.note)
        for line in lines
    ]
    if ends.litres:
        name, litres = "end-grain preservative", Decimal(ends.litres)
        bought.append(OrderLine(Group.FIXINGS, name, "litre", litres, ends.words))
    return bought


def _shaped(fence: FenceModel) -> list[OrderLine]:
    """Return pales that are bought with their heads made."""
    counts: Counter[str] = Counter()
    for member in fence.members:
        if bought_shaped(fence, member):
            run = fence.layouts[member.run].run
            pale = kind_of_pale(fence.layouts[member.run], member)
            size = f"{mm(pale.width)} x {mm(run.pales.thickness)} x {mm(pale.length)}"
            counts[f"pale {size}, {pale.head_shape}, ready shaped"] += 1
    return [OrderLine(Group.TIMBER, name, "each", Decimal(count)) for name, count in counts.items()]


def _millimetres(length: float) -> str:
    return f"{mm(length)} mm"


def _cast_posts(fence: FenceModel) -> list[OrderLine]:
    """Return posts of concrete, which are bought as they are."""
    counts: Counter[str] = Counter()
    for member in fence.members:
        if member.kind == CONCRETE_POST and isinstance(member.shape, Post):
            top = member.shape.top.cut(_millimetres) or member.shape.top.words
            size = " x ".join(mm(side) for side in member.shape.size)
            counts[f"concrete post {size}, top {top}"] += 1
    note = "with holes at the rails by the posts' table, or drilled; longer ones stand deeper"
    return [
        OrderLine(Group.CONCRETE, name, "each", Decimal(count), note)
        for name, count in counts.items()
    ]


def _finishes(fence: FenceModel) -> list[OrderLine]:
    """Return what is bought of each finish, in whole litres."""
    told = fence.job.painting
    coats = f"{told.coats} coat{'s' if told.coats > 1 else ''}"
    return [
        OrderLine(
            Group.FINISHES,
            name,
            "litre",
            Decimal(math.ceil(area * told.coats / told.coverage - 1e-9)),
            f"{area:.1f} m2, {coats}, {told.coverage:g} m2 a litre",
        )
        for name, area in painted_areas(fence).items()
        if name not in BARE
    ]


def _work(fence: FenceModel, told: Mix) -> list[OrderLine]:
    """Return what is done, for rates by operation or hours."""
    kinds: Counter[str] = Counter(member.kind.name for member in fence.members)
    heads: Counter[str] = Counter()
    for member in fence.members:
        if member.kind == PALE and not bought_shaped(fence, member):
            own = kind_of_pale(fence.layouts[member.run], member)
            if own.rise > 0.0:
                heads[own.head_shape] += 1
    painted = math.fsum(area for name, area in painted_areas(fence).items() if name not in BARE)
    hours, feet = fence.job.work, fence.job.feet
    coated = painted * fence.job.painting.coats
    holes = sum(kinds[kind.name] for kind in IN_HOLE)
    panels, by_piece = Decimal(len(fence.panels)), (hours.fix_rail, hours.fix_pale)
    # where hours of rails and pales are given, and none of panels, they are made piece by piece
    made = hours.make_panel is not None or by_piece == (None, None)
    in_panels: Counter[Kind] = Counter(p.kind for one in fence.panels for p in one.pieces if made)
    stood = Counter(
        post.plan.foot.task for layout in fence.layouts for post in layout.posts if post.made
    )
    stood["set post"] += kinds[GUIDE_POST.name]
    tasks = [
        ("dig hole", "each", Decimal(holes), hours.dig_hole, ()),
        ("set post", "each", Decimal(stood["set post"]), hours.set_post, ()),
        ("bolt down post shoe", "each", Decimal(kinds[SHOE_PLATE.name]), hours.fix_shoe, ()),
        ("place concrete", "m3", _places(told.volume, 2, feet=feet), hours.place_concrete, ()),
        ("ram gravel", "m3", _places(rammed(fence).loose, 2, feet=feet), hours.ram_gravel, ()),
        ("clear spoil", "m3", _places(told.spoil, 2, feet=feet), hours.clear_spoil, ()),
        ("fix rail", "each", Decimal(kinds[RAIL.name] - in_panels[RAIL]), hours.fix_rail, ()),
        ("fix capping rail", "each", Decimal(kinds[CAPPING.name]), hours.fix_rail, ("fix rail",)),
        ("fix kick board", "each", Decimal(kinds[KICK_BOARD.name]), hours.fix_rail, ("fix rail",)),
        *(
            (f"shape {head} head", "each", Decimal(n), hours.shape_head, ("shape pale head",))
            for head, n in sorted(heads.items())
        ),
        ("fix pale", "each", Decimal(kinds[PALE.name] - in_panels[PALE]), hours.fix_pale, ()),
        ("make panel", "each", panels if made else Decimal(0), hours.make_panel, ()),
        ("hang panel", "each", panels, hours.hang_panel, ()),
        ("make and hang gate leaf", "each", Decimal(leaf_count(fence)), hours.make_leaf, ()),
        ("apply finish", "m2", _places(coated, 1, feet=feet), hours.apply_finish, ()),
    ]  # fmt: skip
    return [
        OrderLine(Group.WORK, item, unit, count, hours=_hours(each), also=also, merchant=False)
        for item, unit, count, each, also in tasks
        if count
    ]


def _hours(told: float | None) -> Decimal | None:
    return None if told is None else Decimal(f"{told:g}")


def _extras(fence: FenceModel) -> list[OrderLine]:
    """Return the user's own lines.

    Raises
    ------
    SpecError
        When a formula gives no quantity for this fence.
    """
    told = fence.job.extras
    known = fence_figures(fence) if told else {}
    lines = []
    for number, extra in enumerate(told):
        try:
            quantity = quantity_of(extra.quantity, known)
        except ValueError as error:
            path = ("extra", number, "quantity")
            raise SpecError("spec", (Problem(path, str(error)),)) from None
        count = _places(quantity, 2).normalize()
        line = OrderLine(Group.EXTRAS, extra.item, extra.unit, Decimal(f"{count:f}"), extra.note)
        lines.append(replace(line, hours=_hours(extra.hours), merchant=extra.merchant))
    return lines


def pieces_text(lengths: tuple[float, ...]) -> str:
    """Return pieces as a sawyer reads them: "2 x 1800 + 870".

    >>> pieces_text((1800.0, 1800.0, 870.0))
    '2 x 1800 + 870'
    """
    counts: Counter[float] = Counter(lengths)
    return " + ".join(
        f"{count} x {mm(length)}" if count > 1 else mm(length) for length, count in counts.items()
    )
