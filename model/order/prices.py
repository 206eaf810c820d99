"""Prices: the user's own price file, and an order priced by it.

Money is decimal throughout. A line is rounded to the currency's smallest coin, half up, and totals
are sums of rounded lines.
"""

from __future__ import annotations

import csv
import io
import re
import tomllib
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from pathlib import Path
from typing import Any

from palewright.model.basis.errors import KeyPath, Problem, SpecError
from palewright.model.basis.toml_lines import key_lines

from .order_lines import Group, Order, OrderLine, timber_item
from .sawing import Section

SETTINGS = ("currency", "places", "margin", "tax")
"""What a price file says besides prices."""

LARGEST = Decimal(10) ** 9
"""Prices are under this."""


@dataclass(frozen=True)
class Prices:
    """A price file. currency : as ISO 4217 has it; places : decimals of its smallest coin;
    margin, tax : per cent, on the sum and on the sum with margin; items : unit and price by name.
    """

    currency: str
    places: int
    margin: Decimal
    tax: Decimal
    items: dict[str, tuple[str, Decimal]]

    def price(self, item: str, unit: str) -> Decimal | None:
        """Return the price of one of an item, None when the file has none by that unit."""
        known = self.items.get(_key(item))
        return known[1] if known is not None and known[0] == unit else None

    def board_price(self, section: Section, length: float) -> Decimal | None:
        """Return the price of a board, None when it has none; length : mm.

        A length without a price of its own has that of its section by the metre.
        """
        own = self.price(timber_item(section, length), "each")
        metre = self.price(timber_item(section), "m")
        if own is not None or metre is None:
            return own
        return self.money(metre * Decimal(f"{length / 1000.0:g}"))

    def line_price(self, line: OrderLine) -> Decimal | None:
        """Return the price of one of what a line orders, None when it has none."""
        if line.owned:
            return Decimal(0)
        if line.section is not None and line.length is not None:
            return self.board_price(line.section, line.length)
        return self.price(line.item, line.unit)

    def money(self, value: Decimal) -> Decimal:
        """Return an amount in whole smallest coins, half up."""
        return value.quantize(Decimal(1).scaleb(-self.places), ROUND_HALF_UP)

    def board_cost(self, section: Section, length: float) -> int | None:
        """Return what a board costs in smallest coins, None when it has no price.

        It is never 0, which is what timber from the yard costs.
        """
        price = self.board_price(section, length)
        return None if price is None else max(1, int(price.scaleb(self.places)))


@dataclass(frozen=True)
class PricedLine:
    """A line with its price. price : of one; total : rounded; None where the file has none."""

    line: OrderLine
    price: Decimal | None
    total: Decimal | None


@dataclass(frozen=True)
class Quote:
    """A priced order. groups : sum of each group; net : of all; margin, tax : amounts;
    unpriced : lines without a price, which no sum holds.
    """

    prices: Prices
    lines: tuple[PricedLine, ...]
    groups: tuple[tuple[str, Decimal], ...]
    net: Decimal
    margin: Decimal
    tax: Decimal

    @property
    def before_tax(self) -> Decimal:
        """Sum with margin."""
        return self.net + self.margin

    @property
    def total(self) -> Decimal:
        """Sum with margin and tax."""
        return self.before_tax + self.tax

    @property
    def unpriced(self) -> tuple[OrderLine, ...]:
        """Lines that have no price."""
        return tuple(priced.line for priced in self.lines if priced.total is None)


def quote(order: Order, prices: Prices) -> Quote:
    """Return the order with its prices. Offcuts from the yard cost nothing."""
    lines = []
    for line in order.lines:
        price = prices.line_price(line)
        total = None if price is None else prices.money(price * line.quantity)
        lines.append(PricedLine(line, price, total))
    groups = tuple(
        (group, sum((p.total or Decimal(0) for p in lines if p.line.group == group), Decimal(0)))
        for group in Group
    )
    net = sum((amount for _, amount in groups), Decimal(0))
    margin = prices.money(net * prices.margin / 100)
    tax = prices.money((net + margin) * prices.tax / 100)
    return Quote(prices, tuple(lines), groups, net, margin, tax)


def blank_prices(order: Order) -> list[tuple[str, str, str]]:
    """Return the rows of a price file for an order, its prices to be filled in.

    Timber stands by the metre; a length can be given a price of its own.
    """
    rows = [("item", "unit", "price"), ("currency", "", "GBP"), ("places", "", "2"),
            ("margin", "%", "0"), ("tax", "%", "0")]  # fmt: skip
    rows += [(timber_item(line.section), "m", "") for line in order.timber]
    rows += [(line.item, line.unit, "") for line in order.lines if line.group != Group.TIMBER]
    return rows


def read_prices(path: Path) -> Prices:
    """Return the prices in a file, CSV (item, unit, price) or TOML.

    Raises
    ------
    SpecError
        With every mistake in the file, on its line.
    """
    try:
        text = path.read_text("utf-8-sig")
    except OSError as error:
        raise SpecError(str(path), (Problem((), f"cannot be read: {error.strerror}"),)) from None
    except UnicodeDecodeError:
        raise SpecError(str(path), (Problem((), "is not UTF-8 text"),)) from None
    if path.suffix.lower() == ".toml":
        return _from_toml(text, str(path))
    return _from_csv(text, str(path))


def _key(item: str) -> str:
    return " ".join(item.lower().split())


def _from_csv(text: str, file: str) -> Prices:
    reader = csv.reader(io.StringIO(text))
    rows: list[tuple[int, list[str]]] = []
    try:
        for cells in reader:
            rows.append((reader.line_num, [cell.strip() for cell in cells]))
    except csv.Error as error:
        raise SpecError(file, (Problem((), f"is not CSV: {error}"),)) from None
    if not rows or [cell.lower() for cell in rows[0][1][:3]] != ["item", "unit", "price"]:
        message = "must start with the heads item, unit, price"
        raise SpecError(file, (Problem((), message, line=1),))
    entries: list[tuple[str, str, object, int]] = []
    for line, cells in rows[1:]:
        if not any(cells) or not cells[0]:
            continue
        item, unit, price = [*cells, "", ""][:3]
        if price or item in SETTINGS:
            entries.append((item, unit, price, line))
    return _prices(entries, file)


def _from_toml(text: str, file: str) -> Prices:
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        line = re.search(r"at line (\d+)", str(error))
        at = int(line[1]) if line else None
        raise SpecError(file, (Problem((), f"is not TOML: {error}", line=at),)) from None
    lines = key_lines(text)
    entries: list[tuple[str, str, object, int]] = []
    problems: list[Problem] = []
    for key, value in raw.items():
        if key in SETTINGS:
            entries.append((key, "", value, lines.get((key,), 0)))
        elif key == "price" and isinstance(value, dict):
            for item, told in value.items():
                path: KeyPath = ("price", item)
                if isinstance(told, dict) and set(told) == {"unit", "price"}:
                    entries.append((item, str(told["unit"]), told["price"], lines.get(path, 0)))
                else:
                    message = 'must be { unit = "each", price = "1.25" }'
                    problems.append(Problem(path, message, line=lines.get(path)))
        else:
            allowed = ", ".join((*SETTINGS, "price"))
            message = f"is not known; allowed: {allowed}"
            problems.append(Problem((key,), message, line=lines.get((key,))))
    if problems:
        raise SpecError(file, tuple(problems))
    return _prices(entries, file)


def _prices(entries: list[tuple[str, str, object, int]], file: str) -> Prices:
    problems: list[Problem] = []
    settings: dict[str, Any] = {"currency": "", "places": 2, "margin": 0, "tax": 0}
    items: dict[str, tuple[str, Decimal]] = {}
    for item, unit, value, line in entries:
        at = line or None
        if item == "currency":
            if not isinstance(value, str) or not re.fullmatch(r"[A-Z]{3}", value):
                message = f"{value!r} is not three capitals as ISO 4217 has them, such as GBP"
                problems.append(Problem((item,), message, line=at))
            settings[item] = value
            continue
        number = _number(value)
        if number is None or (item == "places" and number not in range(5)):
            allowed = "0 to 4" if item == "places" else "a number from 0 on, such as 12.50"
            problems.append(Problem((item,), f"{value!r} is not allowed: {allowed}", line=at))
        elif item in SETTINGS:
            settings[item] = number
        elif _key(item) in items:
            problems.append(Problem((item,), "has a price already", line=at))
        else:
            items[_key(item)] = (unit, number)
    if problems:
        raise SpecError(file, tuple(problems))
    places = int(settings["places"])
    percent = {key: Decimal(settings[key]) for key in ("margin", "tax")}
    return Prices(str(settings["currency"]), places, percent["margin"], percent["tax"], items)


def _number(value: object) -> Decimal | None:
    """Return a price or a share as written, None when it is none. Floats keep their figures."""
    if isinstance(value, bool) or not isinstance(value, (str, int, float)):
        return None
    try:
        number = Decimal(str(value).strip())
    except InvalidOperation:
        return None
    return number if number.is_finite() and 0 <= number < LARGEST else None
