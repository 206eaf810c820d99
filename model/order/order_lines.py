"""The whole order: every line that is bought or done, under one name each."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Annotated

from pydantic import Field

from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.parts.members import FOOTING, LEDGE, PALE, POST, RAIL

from .concrete_mix import Mix, mix
from .fixings import CutEnds, FixingLine, cut_ends, fixing_lines
from .sawing import (
    CostOf,
    Section,
    TimberLine,
    by_length,
    timber_lines,
    waste,
)
from .stock import Source, Stock
from .weights import Weights, weights


class Group(StrEnum):
    """What lines are grouped under, in the order lists show them."""

    TIMBER = "timber"
    CONCRETE = "concrete"
    FIXINGS = "fixings"
    WORK = "work"


@dataclass(frozen=True)
class OrderLine:
    """One thing to buy or to do.

    group : its kind; item : its name, by which a price file prices it; unit : of the quantity;
    note : what to know of it; owned : it lies in the yard and costs nothing; section, length : of
    a board, mm, none of other things.
    """

    group: Group
    item: str
    unit: str
    quantity: Decimal
    note: str = ""
    owned: bool = False
    section: Annotated[Section | None, Field(exclude=True)] = None
    length: Annotated[float | None, Field(exclude=True)] = None


@dataclass(frozen=True)
class Order:
    """Everything that is bought, and the plans and counts behind it."""

    lines: tuple[OrderLine, ...]
    timber: tuple[TimberLine, ...]
    concrete: Mix
    fixings: tuple[FixingLine, ...]
    ends: CutEnds
    weights: Weights

    @property
    def waste(self) -> float:
        """Share of the timber bought, by volume, that does not become members."""
        return waste(self.timber)


def timber_item(section: Section, length: float | None = None) -> str:
    """Return what a section of timber is called in orders and price files, with or without a
    length in mm.

    >>> timber_item(Section(75.0, 38.0), 3600.0)
    'timber 75 x 38 use class 3, 3.6 m'
    """
    text = f"timber {section.name}"
    return text if length is None else f"{text}, {length / 1000.0:g} m"


def order(fence: FenceModel, cost: CostOf = by_length) -> Order:
    """Return the order of a fence. cost : of a board: timber is cut at the least cost."""
    timber = timber_lines(fence, cost)
    concrete, fixings, ends = mix(fence), fixing_lines(fence), cut_ends(fence)
    lines = [
        *_timber(timber),
        *_concrete(fence, concrete),
        *_fixings(fixings, ends),
        *_work(fence, concrete),
    ]
    return Order(tuple(lines), timber, concrete, fixings, ends, weights(fence))


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
                    line.section,
                    stock.length,
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
        return [OrderLine(Group.CONCRETE, "concrete, delivered", "m3", _places(told.volume, 2))]
    if spec.supply == "bags":
        item = f"ready-mixed concrete, {spec.ready_bag:g} kg bag"
        note = "whole bags for every hole"
        return [OrderLine(Group.CONCRETE, item, "each", Decimal(told.ready_bags), note)]
    bag, bulk = f"cement, {spec.cement_bag:g} kg bag", f", {spec.bulk_bag:g} kg bulk bag"
    parts = [(bag, told.cement_bags, f"{told.cement:.0f} kg")]
    parts += [
        (name + bulk, bags, f"{kg:.0f} kg, {loose:.2f} m3") for name, loose, kg, bags in told.parts
    ]
    return [
        OrderLine(Group.CONCRETE, item, "each", Decimal(count), note) for item, count, note in parts
    ]


def _places(value: float, places: int) -> Decimal:
    return Decimal(f"{value:.{places}f}")


def _fixings(lines: tuple[FixingLine, ...], ends: CutEnds) -> list[OrderLine]:
    bought = [
        OrderLine(Group.FIXINGS, line.item, line.unit, Decimal(f"{line.quantity:g}"), line.note)
        for line in lines
    ]
    if ends.litres:
        note = f"{ends.area:.2f} m2 of cut ends, two coats"
        bought.append(
            OrderLine(Group.FIXINGS, "end-grain preservative", "litre", Decimal(ends.litres), note)
        )
    return bought


def _work(fence: FenceModel, told: Mix) -> list[OrderLine]:
    """Return what is done, for labour rates by operation."""
    kinds: Counter[str] = Counter(member.kind.name for member in fence.members)
    leaves = len({(m.run, m.leaf) for m in fence.members if m.kind == LEDGE})
    shaped = sum(
        1
        for member in fence.members
        if member.kind == PALE and fence.layouts[member.run].run.head_rise > 0.0
    )
    counts = [
        ("dig hole", "each", Decimal(kinds[FOOTING.name])),
        ("set post", "each", Decimal(kinds[POST.name])),
        ("place concrete", "m3", _places(told.volume, 2)),
        ("clear spoil", "m3", _places(told.spoil, 2)),
        ("fix rail", "each", Decimal(kinds[RAIL.name])),
        ("shape pale head", "each", Decimal(shaped)),
        ("fix pale", "each", Decimal(kinds[PALE.name])),
        ("make and hang gate leaf", "each", Decimal(leaves)),
    ]
    return [OrderLine(Group.WORK, item, unit, count) for item, unit, count in counts if count]


def pieces_text(lengths: tuple[float, ...]) -> str:
    """Return pieces as a sawyer reads them: "2 x 1800 + 870".

    >>> pieces_text((1800.0, 1800.0, 870.0))
    '2 x 1800 + 870'
    """
    counts: Counter[float] = Counter(lengths)
    return " + ".join(
        f"{count} x {mm(length)}" if count > 1 else mm(length) for length, count in counts.items()
    )
