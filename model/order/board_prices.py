"""What boards are called in orders and price files, and what they cost."""

from __future__ import annotations

from decimal import Decimal

from palewright.model.basis.imperial import FOOT, imperial
from palewright.model.spec.price_list import PriceList

from .sawing import CostOf, Section, by_length


def timber_item(section: Section, length: float | None = None) -> str:
    """Return what a section of timber is called in orders and price files, with or without a
    length in mm.

    >>> timber_item(Section(75.0, 38.0), 3600.0)
    'timber 75 x 38 use class 3, 3.6 m'
    """
    text = f"timber {section.name}"
    return text if length is None else f"{text}, {length / 1000.0:g} m"


def board_price(prices: PriceList, section: Section, length: float) -> Decimal | None:
    """Return the price of a board, None when it has none; length : mm.

    A length without a price of its own has that of its section by the metre or by the foot.
    """
    item = timber_item(section, length)
    own = prices.price(item, "each")
    own = prices.price(imperial(item), "each") if own is None else own
    metre = prices.price(timber_item(section), "m")
    foot = prices.price(imperial(timber_item(section)), "ft")
    if own is None and metre is not None:
        return prices.money(metre * Decimal(f"{length / 1000.0:g}"))
    if own is None and foot is not None:
        return prices.money(foot * Decimal(f"{length / 1000.0 / FOOT:.6g}"))
    return own


def board_costs(prices: PriceList | None) -> CostOf:
    """Return what decides which boards are bought: prices in smallest coins, or else length.

    A board's cost is never 0, which is what timber from the yard costs.
    """
    if prices is None:
        return by_length

    def cost(section: Section, length: float) -> int | None:
        price = board_price(prices, section, length)
        return None if price is None else max(1, int(price.scaleb(prices.places)))

    return cost
