"""An order priced by the user's own prices.

A line is rounded to the currency's smallest coin, half up, and totals are sums of rounded lines.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from palewright.model.basis.imperial import imperial
from palewright.model.fence.fence_model import FenceModel
from palewright.model.spec.price_list import LABOUR, PriceItem, PriceList, price_key

from .board_prices import board_price, timber_item
from .order_lines import Group, Order, OrderLine

NEAR = 0.6
"""How much of two names must be the same for one to be taken for the other misspelt."""


@dataclass(frozen=True)
class PricedLine:
    """A line with its price. price : of one; total : rounded; None where the file has none."""

    line: OrderLine
    price: Decimal | None
    total: Decimal | None


@dataclass(frozen=True)
class Quote:
    """A priced order. groups : sum of each group; net : of all; gain : mark-up or margin; tax :
    amounts; unpriced : lines without a price, which no sum holds; unused : prices that no line of
    the order takes, each in a sentence.
    """

    prices: PriceList
    lines: tuple[PricedLine, ...]
    groups: tuple[tuple[str, Decimal], ...]
    net: Decimal
    gain: Decimal
    tax: Decimal
    unused: tuple[str, ...]

    @property
    def before_tax(self) -> Decimal:
        """Sum with mark-up or margin."""
        return self.net + self.gain

    @property
    def total(self) -> Decimal:
        """Sum with mark-up or margin, and tax."""
        return self.before_tax + self.tax

    @property
    def unpriced(self) -> tuple[OrderLine, ...]:
        """Lines that have no price."""
        return tuple(priced.line for priced in self.lines if priced.total is None)


def with_prices(fence: FenceModel, prices: PriceList | None) -> FenceModel:
    """Return the same fence bought by other prices; None leaves those of its spec."""
    if prices is None:
        return fence
    return replace(fence, job=replace(fence.job, prices=prices))


def quote(order: Order, prices: PriceList) -> Quote:
    """Return the order with its prices. Offcuts from the yard cost nothing."""
    lines = []
    for line in order.lines:
        price = line_price(prices, line)
        total = None if price is None else prices.money(price * line.quantity)
        lines.append(PricedLine(line, price, total))
    groups = tuple(
        (group, sum((p.total or Decimal(0) for p in lines if p.line.group == group), Decimal(0)))
        for group in Group
        if group != Group.EXTRAS or any(p.line.group == group for p in lines)
    )
    net = sum((amount for _, amount in groups), Decimal(0))
    gain = prices.gain(net)
    tax = prices.money((net + gain) * prices.tax / 100)
    unused = tuple(_unused(order, prices, [p.line for p in lines if p.total is None]))
    return Quote(prices, tuple(lines), groups, net, gain, tax, unused)


def line_price(prices: PriceList, line: OrderLine) -> Decimal | None:
    """Return the price of one of what a line orders, None when it has none.

    A task without a price of its own costs its hours at the price of an hour of labour.
    """
    if line.owned:
        return Decimal(0)
    if line.section is not None and line.length is not None:
        return board_price(prices, line.section, line.length)
    for name in (line.item, *line.also):
        own = prices.price(name, line.unit)
        if own is not None:
            return own
    rate = prices.price(LABOUR, "h")
    return None if line.hours is None or rate is None else line.hours * rate


def _unused(order: Order, prices: PriceList, unpriced: list[OrderLine]) -> Iterator[str]:
    """Yield a sentence on each price that no line of the order takes, with the nearest name."""
    units = {price_key(name): x.unit for x in order.lines for name in (x.item, *x.also)}
    units[LABOUR] = "h"
    names = [timber_item(line.section) for line in order.timber]
    feet = tuple(price_key(imperial(name)) for name in names)
    units |= dict.fromkeys(feet, "ft")
    metres = tuple(price_key(name) for name in names)
    units |= dict.fromkeys(metres, "m")
    boards = (*metres, *feet)
    wanted = {price_key(name): x.item for x in unpriced for name in (x.item, *x.also)}
    for x in unpriced:
        if x.section is not None:
            name = timber_item(x.section)
            name = imperial(name) if order.feet else name
            wanted[price_key(name)] = name
    for item in prices.items:
        key = price_key(item.name)
        if any(key.startswith(f"{board}, ") for board in boards):
            continue  # a length that this order does not need
        place = f"{prices.file}:{item.line}" if item.line else prices.file
        if key not in units:
            yield f"{place}: {item.name!r} is nothing of this order{_near(item, wanted)}"
        elif units[key] != item.unit:
            unit = units[key]
            yield f"{place}: {item.name!r} has a price by {item.unit!r}; the order counts {unit!r}"


def _near(item: PriceItem, wanted: dict[str, str]) -> str:
    """Return the line without a price that a price may be meant for."""
    close = difflib.get_close_matches(price_key(item.name), wanted, 1, NEAR)
    return f"; without a price is {wanted[close[0]]!r}" if close else ""


def blank_prices(order: Order) -> list[tuple[str, str, str]]:
    """Return the rows of a price file for an order, its prices to be filled in.

    Timber stands by the metre, or by the foot; a length can be given a price of its own. The
    currency is left to be filled in as well: neither feet nor metres tell it.
    """
    rows = [("item", "unit", "price"), ("currency", "", ""), ("places", "", "2"),
            ("mark-up", "%", "0"), ("tax", "%", "0")]  # fmt: skip
    for line in order.timber:
        name = timber_item(line.section)
        rows.append((imperial(name), "ft", "") if order.feet else (name, "m", ""))
    rows += [(line.item, line.unit, "") for line in order.lines if line.section is None]
    if any(line.hours is not None for line in order.lines):
        rows.append((LABOUR, "h", ""))
    return rows
