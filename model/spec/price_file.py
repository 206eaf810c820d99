"""Reading a price file: CSV with commas or semicolons, or TOML."""

from __future__ import annotations

import csv
import io
import re
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

from palewright.model.basis.errors import KeyPath, Problem, SpecError
from palewright.model.basis.source_files import (
    SourceFileError,
    read_source,
    text_of,
    toml_tables,
)
from palewright.model.basis.toml_lines import key_lines

from .price_list import PriceItem, PriceList, price_key

SETTINGS = ("currency", "places", "mark-up", "margin", "tax")
"""What a price file says besides prices."""

HEADS = ["item", "unit", "price"]

LARGEST_FILE, MOST_ITEMS = 1_000_000, 20_000
"""Bytes, and items with a price."""

LONGEST_QUOTED = 60
"""Letters of a wrong value that a message shows."""

LARGEST = Decimal(10) ** 9
"""Prices are under this."""

Entry = tuple[str, str, object, int]
"""Item or setting, unit, value as written, and line."""


def read_prices(path: Path) -> PriceList:
    """Return the prices in a file, CSV (item, unit, price) or TOML.

    Raises
    ------
    SpecError
        With every mistake in the file, on its line.
    """
    try:
        text = text_of(read_source(path, LARGEST_FILE))
    except SourceFileError as error:
        raise error.of(str(path)) from None
    if path.suffix.lower() == ".toml":
        return _from_toml(text, str(path))
    return _from_csv(text, str(path))


def _from_csv(text: str, file: str) -> PriceList:
    """Return the prices of a file with commas, or with semicolons or tabs as spreadsheets write it
    where a comma parts the decimals.
    """
    head = text.partition("\n")[0]
    parted = next((letter for letter in (";", "\t") if letter in head), ",")
    reader = csv.reader(io.StringIO(text), delimiter=parted)
    rows: list[tuple[int, list[str]]] = []
    try:
        for cells in reader:
            rows.append((reader.line_num, [cell.strip() for cell in cells]))
    except csv.Error as error:
        raise SpecError(file, (Problem((), f"is not CSV: {error}"),)) from None
    if not rows or [cell.lower() for cell in rows[0][1][:3]] != HEADS:
        message = (
            "must start with the heads item, unit, price, parted by commas, semicolons or tabs"
        )
        raise SpecError(file, (Problem((), message, line=1),))
    entries: list[Entry] = []
    for line, cells in rows[1:]:
        if not any(cells) or not cells[0]:
            continue
        item, unit, price = [*cells, "", ""][:3]
        if price or item in SETTINGS:
            entries.append((item, unit, price, line))
    return _prices(entries, file)


def _from_toml(text: str, file: str) -> PriceList:
    try:
        raw = toml_tables(text)
    except SourceFileError as error:
        raise error.of(file) from None
    lines = key_lines(text)
    entries: list[Entry] = []
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


def _prices(entries: list[Entry], file: str) -> PriceList:
    if len(entries) > MOST_ITEMS:
        raise SpecError(file, (Problem((), f"has more than {MOST_ITEMS} prices"),))
    problems: list[Problem] = []
    settings: dict[str, Any] = {"currency": "", "places": 2, "mark-up": 0, "margin": 0, "tax": 0}
    items: dict[str, PriceItem] = {}
    for item, unit, value, line in entries:
        at = line or None
        if item == "currency":
            if not isinstance(value, str) or not re.fullmatch(r"[A-Z]{3}", value):
                message = (
                    "is to be filled in: three capitals as ISO 4217 has them, such as GBP or USD"
                    if value == ""
                    else f"{_quoted(value)} is not three capitals as ISO 4217 has them, such as GBP"
                )
                problems.append(Problem((item,), message, line=at))
            settings[item] = value
            continue
        number = _number(value)
        wrong = _wrong(item, number)
        if number is None or wrong:
            problems.append(Problem((item,), f"{_quoted(value)} is not allowed: {wrong}", line=at))
        elif item in SETTINGS:
            settings[item] = number
            if item in ("mark-up", "margin") and settings["mark-up"] and settings["margin"]:
                message = (
                    "is given beside the other: a mark-up on the cost or a margin of the price"
                )
                problems.append(Problem((item,), message, line=at))
        elif price_key(item) in items:
            problems.append(Problem((item,), "has a price already", line=at))
        else:
            items[price_key(item)] = PriceItem(item, unit, number, line)
    if problems:
        raise SpecError(file, tuple(problems))
    return PriceList(
        str(settings["currency"]),
        int(settings["places"]),
        Decimal(settings["mark-up"]),
        Decimal(settings["margin"]),
        Decimal(settings["tax"]),
        tuple(items.values()),
        file,
    )


def _quoted(value: object) -> str:
    text = repr(value)
    return text if len(text) <= LONGEST_QUOTED else f"{text[:LONGEST_QUOTED]}..."


def _wrong(item: str, number: Decimal | None) -> str:
    """Return what is allowed where a number is not; empty where it is."""
    if item == "places" and (number is None or number not in range(5)):
        return "0 to 4"
    if item == "margin" and (number is None or number >= 100):
        return "a share of the price, from 0 to under 100 per cent"
    return "a number from 0 on, such as 12.50" if number is None else ""


def _number(value: object) -> Decimal | None:
    """Return a price or a share as written, None when it is none. Floats keep their figures.

    A comma parts decimals, unless three figures follow it: 1,250 may be meant either way.

    >>> _number("12,50"), _number("1.234,50"), _number("1,250"), _number(" 3.6 ")
    (Decimal('12.50'), Decimal('1234.50'), None, Decimal('3.6'))
    """
    if isinstance(value, bool) or not isinstance(value, (str, int, float)):
        return None
    text = str(value).strip()
    if "," in text:
        if not re.fullmatch(r"\d{1,3}(\.\d{3})*,\d{1,2}|\d+,(\d{1,2}|\d{4,})", text):
            return None
        text = text.replace(".", "").replace(",", ".")
    try:
        number = Decimal(text)
    except InvalidOperation:
        return None
    return number if number.is_finite() and 0 <= number < LARGEST else None
