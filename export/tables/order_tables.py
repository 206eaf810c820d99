"""The order as tables: cutting list, boards to saw, concrete, fixings, what to buy, prices."""

from __future__ import annotations

from collections.abc import Callable

from palewright.model.basis.imperial import imperial
from palewright.model.basis.units import feet_and_inches
from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.lists.takeoff import part_lines
from palewright.model.order.order_lines import Order, OrderLine, pieces_text
from palewright.model.order.prices import Quote
from palewright.model.order.sawing import TimberLine

from .as_built_tables import as_built_tables
from .list_tables import TABLES, Row, csv_bytes, in_units
from .machining_tables import machining_tables
from .panel_tables import panel_tables


def cutting_table(fence: FenceModel, order: Order) -> list[Row]:
    """Return what is sawn, by mark: sizes in mm, end cuts, and the section it comes from."""
    sections = {
        mark: line.section for line in order.timber for _, marks in line.marks for mark in marks
    }
    rows: list[Row] = [
        ("mark", "part", "count", "width mm", "thickness mm", "length mm", "section", "end cuts",
         "weight each kg", "use"),
    ]  # fmt: skip
    for part in part_lines(fence):
        section = sections.get(part.mark)
        if section is not None:
            rows.append(
                (
                    part.mark,
                    part.kind.name,
                    part.count,
                    mm(part.first),
                    mm(part.second),
                    mm(part.length),
                    section.name,
                    part.note,
                    f"{order.weights.each[part.mark]:.1f}",
                    part.uses,
                )
            )
    return in_units(rows, feet=fence.job.feet)


def boards_table(order: Order) -> list[Row]:
    """Return which boards are sawn into what, mm; the boards of a section are numbered on."""
    rows: list[Row] = [
        ("section", "board", "count", "length mm", "pieces mm", "marks", "offcut mm", "from"),
    ]
    for line in order.timber:
        first = 1
        for board in line.plan.boards:
            last = first + board.count - 1
            rows.append(
                (
                    line.section.name,
                    f"{first}" if first == last else f"{first} to {last}",
                    board.count,
                    mm(board.stock.length),
                    pieces_text(board.pieces),
                    marks_text(line, board.pieces),
                    mm(board.offcut),
                    board.stock.name,
                )
            )
            first = last + 1
    return in_units(rows, feet=order.feet)


def marks_text(line: TimberLine, pieces: tuple[float, ...]) -> str:
    """Return the marks that the different pieces of a board become: "RA1, RA3 or RA4"."""
    return ", ".join(line.marks_of(piece) for piece in dict.fromkeys(pieces))


def plans_table(order: Order) -> list[Row]:
    """Return of each section what is bought, its waste, and how sure the plan is."""
    rows: list[Row] = [
        ("section", "boards", "bought m", "pieces m", "waste %", "weight kg", "plan"),
    ]
    for line in order.timber:
        plan = line.plan
        rows.append(
            (
                line.section.name,
                sum(count for _, count in plan.bought),
                f"{plan.length / 1000.0:.{4 if order.feet else 2}f}",
                f"{plan.pieces / 1000.0:.{4 if order.feet else 2}f}",
                f"{100.0 * plan.waste:.1f}",
                f"{line.weight:.0f}",
                plan_text(line),
            )
        )
    return in_units(rows, feet=order.feet)


def plan_text(line: TimberLine) -> str:
    """Return how good a cutting plan is known to be."""
    if line.plan.optimal:
        return "optimal"
    return f"within {100.0 * line.plan.gap:.2f} % of the bound"


def concrete_table(order: Order) -> list[Row]:
    """Return the concrete by mark of footing, and what is bought for it."""
    mix = order.concrete
    rows: list[Row] = [
        ("what", "count", "each", "all", "unit"),
    ]
    for line in mix.footings:
        net = f"{line.volume:.4f}"
        rows.append((f"{line.mark}, net", line.count, net, f"{line.volume * line.count:.4f}", "m3"))
        if mix.supply == "bags":
            bags = f"{line.bags * line.count:.1f}"
            rows.append(
                (f"{line.mark}, dry ready-mix", line.count, f"{line.bags:.1f}", bags, "bag")
            )
    rows += [
        ("all footings, net", "", "", f"{mix.net:.4f}", "m3"),
        ("with the extra for ragged holes", "", "", f"{mix.volume:.4f}", "m3"),
    ]
    if mix.supply == "bags":
        rows.append(("dry ready-mix, whole bags", "", "", mix.ready_bags, "bag"))
    if mix.supply == "site mix":
        rows += [
            ("cement, mixed on site", "", "", f"{mix.cement:.0f}", "kg"),
            ("cement, whole bags", "", "", mix.cement_bags, "bag"),
        ]
        for name, loose, kg, bulk in mix.parts:
            rows += [
                (f"{name}, loose", "", "", f"{loose:.2f}", "m3"),
                (name, "", "", f"{kg:.0f}", "kg"),
                (f"{name}, whole bags", "", "", bulk, "bulk bag"),
            ]
        rows.append(("water, about", "", "", f"{mix.water:.0f}", "litre"))
    rows += [
        ("dug out, in the ground", "", "", f"{mix.excavation:.3f}", "m3"),
        ("spoil to clear, loose", "", "", f"{mix.spoil:.3f}", "m3"),
    ]
    return in_units(rows, feet=order.feet)


def fixings_table(order: Order) -> list[Row]:
    """Return bolts, nails, screws and ironmongery."""
    rows: list[Row] = [("item", "count", "quantity", "unit", "note")]
    for line in order.fixings:
        rows.append((line.item, line.count, f"{line.quantity:g}", line.unit, line.note))
    return in_units(rows, feet=order.feet)


def order_table(order: Order) -> list[Row]:
    """Return everything to buy and to do."""
    rows: list[Row] = [("group", "item", "quantity", "unit", "note")]
    rows += [(x.group, x.item, str(x.quantity), x.unit, x.note) for x in order.lines]
    return rows


def merchant_lines(order: Order) -> list[OrderLine]:
    """Return what a merchant delivers: without work and what lies in the yard."""
    return [line for line in order.lines if line.merchant and not line.owned]


def merchant_table(order: Order) -> list[Row]:
    """Return what a merchant delivers."""
    rows: list[Row] = [("group", "item", "quantity", "unit", "note")]
    rows += [(x.group, x.item, str(x.quantity), x.unit, _packs(x.note))
             for x in merchant_lines(order)]  # fmt: skip
    return rows


def _packs(note: str) -> str:
    """Return what of a note is for a merchant: how it is sold, not what is used of it."""
    return note if note.startswith(("packs of", "longer than")) else ""


def quote_table(quote: Quote) -> list[Row]:
    """Return the priced order with its sums."""
    places = quote.prices.places
    unit = quote.prices.currency
    rows: list[Row] = [("group", "item", "quantity", "unit", f"price {unit}", f"total {unit}")]
    for priced in quote.lines:
        line = priced.line
        price = "" if priced.price is None else f"{priced.price}"
        total = "no price" if priced.total is None else f"{priced.total}"
        rows.append((line.group, line.item, str(line.quantity), line.unit, price, total))
    for name, amount in (
        ("sum", quote.net),
        (quote.prices.gain_text, quote.gain),
        (f"tax {quote.prices.tax:f} %", quote.tax),
        ("total", quote.total),
    ):
        rows.append(("", name, "", "", "", f"{amount:.{places}f}"))
    return rows


ORDER_TABLES: dict[str, Callable[[FenceModel, Order], list[Row]]] = {
    "cutting": cutting_table,
    "boards": lambda fence, order: boards_table(order),
    "plans": lambda fence, order: plans_table(order),
    "concrete": lambda fence, order: concrete_table(order),
    "fixings": lambda fence, order: fixings_table(order),
    "order": lambda fence, order: order_table(order),
}
"""The tables of an order by name."""


def write_tables(fence: FenceModel, order: Order, stem: str) -> dict[str, bytes]:
    """Return every table, of the fence and of its order, as a CSV file, by file name."""
    tables = {name: table(fence) for name, table in TABLES.items()}
    tables |= {name: table(fence, order) for name, table in ORDER_TABLES.items()}
    tables |= panel_tables(fence) | as_built_tables(fence)
    tables |= machining_tables(fence)
    return {f"{stem}-{name}.csv": csv_bytes(rows) for name, rows in tables.items()}


def board_lines(order: Order, width: int = 78) -> list[str]:
    """Return the boards as lines of text to saw from, each piece as wide as it is long.

    Boards of a section are drawn to one scale; what is left over has dots.
    """
    lines = []
    figure = feet_and_inches if order.feet else mm
    for line in order.timber:
        boards = line.plan.boards
        if not boards:
            continue
        longest = max(board.stock.length for board in boards)
        name = imperial(line.section.name) if order.feet else line.section.name
        lines.append(f"{name}: {plan_text(line)}")
        for board in boards:
            room = width - 12
            scale = room / longest
            text = f"{board.count:4d} x {figure(board.stock.length):>{5 + 2 * order.feet}} "
            for piece in board.pieces:
                said = figure(piece)
                text += "|" + said.center(max(int(piece * scale) - 1, len(said)), "-")
            text += "|" + "." * int(board.offcut * scale)
            lines.append(text)
        lines.append("")
    return lines
