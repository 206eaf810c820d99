"""What a change of a spec changed in the fence: counts, lengths and money, before and after."""

from __future__ import annotations

from decimal import Decimal

from palewright.export.models.product import Product
from palewright.export.tables.list_tables import Row
from palewright.model.basis.imperial import AMOUNTS, FOOT
from palewright.model.lists.takeoff import (
    concrete,
    fence_height,
    fence_length,
    gate_count,
    pale_count,
    post_count,
)
from palewright.model.order.prices import quote

from .alternatives import Alternative

PRICE = "price"
ZERO = Decimal(0)

Figured = dict[str, tuple[Decimal, str]]
"""What a change is told by: name to figure and unit."""


def change_text(old: Figured | None, new: Figured) -> str:
    """Return what is other in a fence's figures than before, or all where nothing was before.

    As "pales 117 to 120, price 980.00 to 992.40 GBP, + 12.40"; money where there are prices.
    """
    if old is None:
        return ", ".join(f"{name} {_shown(value)}{unit}" for name, (value, unit) in new.items())
    told = []
    for name in dict.fromkeys([*old, *new]):
        was, now = old.get(name), new.get(name)
        if was == now:
            continue
        if was is None or now is None:
            told.append(f"{name} {'new' if was is None else 'gone'}")
            continue
        text = f"{name} {_shown(was[0])} to {_shown(now[0])}{now[1]}"
        if name == PRICE:
            more = now[0] - was[0]
            text += f", {'-' if more < 0 else '+'} {_shown(abs(more))}"
        told.append(text)
    return ", ".join(told) or "nothing that is counted changed"


def fence_figures(built: Product) -> Figured:
    """Return what a change is told by: name to figure and unit."""
    fence = built.fence
    feet = fence.job.feet
    foot, (yard, unit) = (FOOT, AMOUNTS["m3"]) if feet else (1.0, (1.0, "m3"))
    figures = {
        "pales": (Decimal(pale_count(fence)), ""),
        "posts": (Decimal(post_count(fence)), ""),
        "gates": (Decimal(gate_count(fence)), ""),
        "length": (_rounded(fence_length(fence) / 1000.0 / foot), " ft" if feet else " m"),
        "height": (_rounded(fence_height(fence) / 1000.0 / foot), " ft" if feet else " m"),
        "concrete": (_rounded(concrete(fence).volume / 1e9 / yard), f" {unit}"),
    }
    known = fence.job.prices
    if known is not None:
        offered = quote(built.order, known)
        figures[PRICE] = (offered.total, f" {known.currency}".rstrip())
    return figures


def _rounded(value: float) -> Decimal:
    return Decimal(f"{value:.2f}")


def _shown(value: Decimal) -> str:
    return f"{value:,}"


def order_changes(before: Alternative, after: Alternative) -> list[Row]:
    """Return the lines of two orders that differ, with what is more or less; the heading alone
    when none does.

    A line is the same one by its item and its unit. With prices the money of each is there too.
    """
    old, new = (_by_item(one) for one in (before, after))
    money = before.quote is not None and after.quote is not None
    head = ("item", "unit", before.name, after.name, "difference")
    rows: list[Row] = [(*head, "money") if money else head]
    for key in dict.fromkeys([*old, *new]):
        (was, cost), (now, costs) = (lines.get(key, (ZERO, ZERO)) for lines in (old, new))
        if was == now and (not money or cost == costs):
            continue
        row = (*key, f"{was:f}", f"{now:f}", _signed(now - was))
        rows.append((*row, _signed(costs - cost)) if money else row)
    if len(rows) > 1 and before.quote is not None and after.quote is not None:
        more = after.quote.total - before.quote.total
        sums = (f"{before.quote.total:f}", f"{after.quote.total:f}", "", _signed(more))
        rows.append(("with tax", after.quote.prices.currency, *sums))
    return rows


def _by_item(one: Alternative) -> dict[tuple[str, str], tuple[Decimal, Decimal]]:
    """Return how much of each item is ordered, and what it costs."""
    lines: dict[tuple[str, str], tuple[Decimal, Decimal]] = {}
    priced = [(line, ZERO) for line in one.order.lines]
    if one.quote is not None:
        priced = [(line.line, line.total or ZERO) for line in one.quote.lines]
    for line, cost in priced:
        count, costs = lines.get((line.item, line.unit), (ZERO, ZERO))
        lines[line.item, line.unit] = (count + line.quantity, costs + cost)
    return lines


def _signed(value: Decimal) -> str:
    return f"{value:+f}" if value else "0"
