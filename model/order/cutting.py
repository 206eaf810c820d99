"""The cheapest way to cut pieces from stock."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from .stock import TENTHS, Board, CutPlan, NoStockError, Saw, Stock, Way, room, tenths

if TYPE_CHECKING:
    from .cutting_problem import CuttingProblem


def cut(
    demand: Mapping[float, int],
    stocks: Sequence[Stock],
    saw: Saw,
    *,
    choices: Sequence[Sequence[Way]] = (),
    ends: bool = False,
    work: int | None = None,
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
    work : int
        How long a better plan is looked for (`columns.work_for`); by the number of pieces when
        left out.

    Raises
    ------
    NoStockError
        When a piece is longer than every stock.
    ValueError
        When a piece is no longer than nothing: what the checks stop is not sawn.

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
    if lengths and lengths[-1] <= 0:
        raise ValueError(f"a piece of {lengths[-1] / TENTHS:g} mm cannot be cut")
    problem = _problem(lengths, demand, stocks, saw, choices, most=2 if ends else None)
    solved = solve(problem, work)
    boards = [
        _board(stocks[at], lengths, pattern, count, saw) for at, pattern, count in solved.patterns
    ]
    boards.sort(key=lambda b: (-b.stock.length, b.stock.name, -b.count, [-p for p in b.pieces]))
    bought = tuple((stock, many) for stock, many in zip(stocks, solved.bought, strict=True) if many)
    return CutPlan(tuple(boards), bought, solved.cost, solved.bound, tuple(solved.chosen))


def _problem(
    lengths: Sequence[int],
    demand: Mapping[float, int],
    stocks: Sequence[Stock],
    saw: Saw,
    choices: Sequence[Sequence[Way]],
    *,
    most: int | None,
) -> CuttingProblem:
    """Return a problem in whole numbers. lengths : of pieces, longest first, in tenths."""
    from .cutting_problem import CuttingProblem

    number = {length: at for at, length in enumerate(lengths)}
    kerf = round(saw.kerf * TENTHS)
    rooms = tuple(room(stock, saw) for stock in stocks)
    longest = max(lengths, default=0)
    if longest > max((stock.length * TENTHS + 1e-3 for stock in stocks), default=0):
        raise NoStockError(longest / TENTHS)
    return CuttingProblem(
        tuple(length + kerf for length in lengths),
        _counted(demand, number),
        tuple(stocks),
        rooms,
        tuple(tuple(_counted(way.pieces, number) for way in choice) for choice in choices),
        tuple(tuple(way.cost for way in choice) for choice in choices),
        most,
        kerf,
    )


def _board(
    stock: Stock, lengths: Sequence[int], pattern: Sequence[int], count: int, saw: Saw
) -> Board:
    """Return boards that are sawn by a pattern: how many of each length."""
    pieces = tuple(lengths[item] / TENTHS for item, many in enumerate(pattern) for _ in range(many))
    kerf = round(saw.kerf * TENTHS)
    used = sum(tenths(piece) for piece in pieces) + kerf * max(0, len(pieces) - 1)
    offcut = stock.length - 2.0 * saw.trim - used / TENTHS
    # the cut that parts an offcut from the last piece takes its kerf too
    return Board(stock, pieces, count, max(0.0, round(offcut - saw.kerf, 1)))


def _counted(pieces: Mapping[float, int], number: Mapping[int, int]) -> tuple[int, ...]:
    """Return how many there are of each length; what is wanted 0 times need not be known."""
    counts = [0] * len(number)
    for length, count in pieces.items():
        if count:
            counts[number[tenths(length)]] += count
    return tuple(counts)
