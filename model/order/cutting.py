"""The cheapest way to cut pieces from stock."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from .stock import TENTHS, Board, CutPlan, NoStockError, Saw, Stock, Way, room, tenths


def cut(
    demand: Mapping[float, int],
    stocks: Sequence[Stock],
    saw: Saw,
    *,
    choices: Sequence[Sequence[Way]] = (),
    ends: bool = False,
    seconds: float = 15.0,
) -> CutPlan:
    """Return the cheapest plan that cuts all pieces, and a bound on what any plan costs.

    Parameters
    ----------
    demand : mapping
        Length in mm to the number of pieces.
    stocks : sequence of Stock
        What there is to cut from. Stock without cost (offcuts) is used before others.
    saw : Saw
        Kerf and trim.
    choices : sequence of sequences of Way
        Parts for which one of several ways is taken, besides the demand.
    ends : bool
        Whether each piece keeps an end of the length it is cut from, so that a length gives two at
        most: posts go into the ground with the end that was treated whole.
    seconds : float
        Time after which the best plan so far is returned, with its gap.

    Raises
    ------
    NoStockError
        When a piece is longer than every stock.

    Source
    ------
    Gilmore and Gomory, A linear programming approach to the cutting-stock problem, Operations
    Research 9 (1961): patterns are columns, made as they are needed by a knapsack on the prices
    of the pieces. The bound is the Lagrangian one, which holds for any prices.
    """
    from .columns import solve

    lengths = sorted(
        {tenths(length) for length, count in demand.items() if count}
        | {tenths(length) for choice in choices for way in choice for length in way.pieces},
        reverse=True,
    )
    number = {length: at for at, length in enumerate(lengths)}
    kerf = round(saw.kerf * TENTHS)
    rooms = [room(stock, saw) for stock in stocks]
    most = max(rooms, default=0)
    longest = max(lengths, default=0)
    if lengths and longest + kerf > most:
        raise NoStockError(longest / TENTHS)
    needs = [0] * len(lengths)
    for length, count in demand.items():
        needs[number[tenths(length)]] += count
    ways = [
        [(_counted(way.pieces, number, len(lengths)), way.cost) for way in choice]
        for choice in choices
    ]
    weights = [length + kerf for length in lengths]
    found = solve(weights, needs, stocks, rooms, ways, 2 if ends else None, seconds)
    boards = []
    for at, pattern, count in found.patterns:
        stock = stocks[at]
        pieces = tuple(
            lengths[item] / TENTHS for item, many in enumerate(pattern) for _ in range(many)
        )
        used = sum(tenths(piece) for piece in pieces) + kerf * max(0, len(pieces) - 1)
        offcut = stock.length - 2.0 * saw.trim - used / TENTHS
        # the cut that parts an offcut from the last piece takes its kerf too
        boards.append(Board(stock, pieces, count, max(0.0, round(offcut - saw.kerf, 1))))
    boards.sort(key=lambda b: (-b.stock.length, b.stock.name, -b.count, [-p for p in b.pieces]))
    bought = tuple((stock, many) for stock, many in zip(stocks, found.bought, strict=True) if many)
    return CutPlan(tuple(boards), bought, found.cost, found.bound, tuple(found.chosen))


def _counted(pieces: Mapping[float, int], number: Mapping[int, int], size: int) -> list[int]:
    counts = [0] * size
    for length, count in pieces.items():
        counts[number[tenths(length)]] += count
    return counts
