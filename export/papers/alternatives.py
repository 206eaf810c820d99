"""Alternatives side by side: what each takes and costs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from palewright.export.tables.list_tables import Row
from palewright.model.basis.imperial import imperial_amount
from palewright.model.basis.text import plain
from palewright.model.basis.units import feet_and_inches
from palewright.model.fence.fence_model import FenceModel
from palewright.model.lists.takeoff import (
    fence_height,
    fence_length,
    gate_count,
    pale_count,
    post_count,
)
from palewright.model.order.gravel import rammed
from palewright.model.order.order_lines import Order
from palewright.model.order.prices import Quote


@dataclass(frozen=True)
class Alternative:
    """One spec's fence with its order, and its price where there are prices."""

    name: str
    fence: FenceModel
    order: Order
    quote: Quote | None = None


def option_name(alternative: Alternative) -> str:
    """Return what an alternative is called: as its spec says, or by its file's name."""
    return option_of(alternative.fence, alternative.name)


def option_of(fence: FenceModel, name: str) -> str:
    """Return what a fence is called among alternatives. name : of its file."""
    return plain(fence.job.project.option) or plain(name)


def facts(alternative: Alternative) -> list[tuple[str, str]]:
    """Return what alternatives are compared by, name and value with its unit."""
    fence, order, quote = alternative.fence, alternative.order, alternative.quote
    bought = math.fsum(
        line.plan.length * line.section.large * line.section.small for line in order.timber
    )
    feet = fence.job.feet
    rows = [
        ("length of fence", _length(fence_length(fence), feet=feet)),
        ("highest point over ground", _length(fence_height(fence), feet=feet)),
        ("posts", str(post_count(fence))),
        ("pales", str(pale_count(fence))),
        ("gates", str(gate_count(fence))),
        ("timber bought", _amount(bought / 1e9, "m3", 3, feet=feet)),
        ("waste of timber", f"{100.0 * order.waste:.1f} %"),
        *_fills(alternative),
        ("weight without concrete", _amount(order.weights.load, "kg", 0, feet=feet)),
    ]
    if quote is not None:
        unit = quote.prices.currency
        rows += [
            ("before tax", money_text(quote.before_tax, unit)),
            ("with tax", money_text(quote.total, unit)),
        ]
        if quote.unpriced:
            rows.append(("lines without a price", str(len(quote.unpriced))))
    return rows


def _fills(alternative: Alternative) -> list[tuple[str, str]]:
    """Return what holes are filled with: concrete, gravel (loose), both, or nothing."""
    loose, feet = rammed(alternative.fence).loose, alternative.fence.job.feet
    volumes = (("concrete", alternative.order.concrete.volume), ("gravel", loose))
    return [(name, _amount(each, "m3", 2, feet=feet)) for name, each in volumes if each]


def _amount(value: float, unit: str, places: int, *, feet: bool) -> str:
    value, unit = imperial_amount(value, unit) if feet else (value, unit)
    return f"{value:.{places}f} {unit}"


def _length(value: float, *, feet: bool) -> str:
    return feet_and_inches(value) if feet else f"{value / 1000.0:.2f} m"


def money_text(amount: Decimal, unit: str) -> str:
    """Return an amount of money: "1,234.50 GBP"."""
    return f"{amount:,} {unit}".strip()


def compare_table(alternatives: Sequence[Alternative]) -> list[Row]:
    """Return the alternatives as columns."""
    rows: list[Row] = [("", *(option_name(one) for one in alternatives))]
    columns = [dict(facts(one)) for one in alternatives]
    names = dict.fromkeys(name for column in columns for name in column)
    rows += [(name, *(column.get(name, "") for column in columns)) for name in names]
    return rows
