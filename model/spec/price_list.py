"""Prices: what the user's own price file says.

Money is decimal throughout.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from functools import cached_property

LABOUR = "labour"
"""The item whose price by the hour is that of every task that has hours and no price."""


@dataclass(frozen=True)
class PriceItem:
    """A price. name : of what is priced, as it is written; unit : by which; line : of the file, 0
    when not known.
    """

    name: str
    unit: str
    price: Decimal
    line: int = 0


@dataclass(frozen=True)
class PriceList:
    """A price file. currency : as ISO 4217 has it; places : decimals of its smallest coin;
    mark_up : per cent on the cost, or margin : per cent of the price before tax, one of them 0;
    tax : per cent on that price; items : each with its price; file : names the file in messages.
    """

    currency: str
    places: int
    mark_up: Decimal
    margin: Decimal
    tax: Decimal
    items: tuple[PriceItem, ...]
    file: str = "prices"

    @cached_property
    def by_name(self) -> Mapping[str, PriceItem]:
        """The items by their names as `price_key` writes them."""
        return {price_key(item.name): item for item in self.items}

    def price(self, item: str, unit: str) -> Decimal | None:
        """Return the price of one of an item, None when the file has none by that unit."""
        known = self.by_name.get(price_key(item))
        return known.price if known is not None and known.unit == unit else None

    def money(self, value: Decimal) -> Decimal:
        """Return an amount in whole smallest coins, half up."""
        return value.quantize(Decimal(1).scaleb(-self.places), ROUND_HALF_UP)

    def gain(self, net: Decimal) -> Decimal:
        """Return what is added to the cost: a share of the cost, or so much that it is a share of
        the price.

        >>> prices = PriceList("GBP", 2, Decimal(0), Decimal(20), Decimal(0), ())
        >>> prices.gain(Decimal(100))
        Decimal('25.00')
        """
        if self.margin:
            return self.money(net * self.margin / (100 - self.margin))
        return self.money(net * self.mark_up / 100)

    @property
    def gain_text(self) -> str:
        """What is added to the cost, in words: "mark-up 12.5 % on cost"."""
        if self.margin:
            return f"margin {self.margin:f} % of the price"
        return f"mark-up {self.mark_up:f} % on cost"


def price_key(item: str) -> str:
    """Return an item's name without regard to capitals and spaces.

    >>> price_key("Bolt  M10 x 150")
    'bolt m10 x 150'
    """
    return " ".join(item.lower().split())
