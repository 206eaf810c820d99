"""A cutting problem in whole numbers, as its solver takes it, and the plans that solve it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from .stock import TENTHS, Stock

Pattern = tuple[int, ...]
Column = tuple[int, Pattern]
"""Number of the stock, and how many of each piece are cut from one."""


@dataclass(frozen=True)
class CuttingProblem:
    """A cutting problem in whole numbers.

    weights : of each piece, its kerf included; needs : how many; stocks, rooms : what there is
    and what pieces may take of it; ways, extras : of each choice, how
    many of each piece its ways take and what they cost besides; most : pieces
    out of one board, 2 or None; kerf : that is in the weights.
    """

    weights: tuple[int, ...]
    needs: tuple[int, ...]
    stocks: tuple[Stock, ...]
    rooms: tuple[int, ...]
    ways: tuple[tuple[Pattern, ...], ...] = ()
    extras: tuple[tuple[int, ...], ...] = ()
    most: int | None = None
    kerf: int = 0

    def holds(self, at: int, item: int) -> int:
        """Return how many of a piece a board gives, if of nothing else.

        A piece that leaves no room for trimming both ends is taken with ends as sold, alone.
        """
        trimmed = self.rooms[at] // self.weights[item]
        as_sold = self.weights[item] - self.kerf <= self.stocks[at].length * TENTHS + 1e-3
        return trimmed or int(as_sold)

    @property
    def caps(self) -> list[int]:
        """Most of each piece that a plan can ask for."""
        caps = list(self.needs)
        for choice in self.ways:
            for item in range(len(caps)):
                caps[item] += max(way[item] for way in choice)
        return caps

    @property
    def step(self) -> int:
        """The greatest number that divides every cost."""
        extras = (cost for choice in self.extras for cost in choice)
        return math.gcd(*(stock.cost for stock in self.stocks), *extras) or 1

    def least_over(self, bound: float) -> int:
        """Return the least cost that is not under a bound, which carries rounding errors."""
        return math.ceil((bound - 1e-6 * max(1.0, abs(bound))) / self.step) * self.step

    def board_cost(self, at: int) -> float:
        """Return the cost of one board, of packs its share."""
        return self.stocks[at].cost / self.stocks[at].pack

    def cost(self, packs: Sequence[int], chosen: Sequence[int]) -> int:
        """Return what so many packs of each stock and the ways taken cost."""
        boards = sum(n * stock.cost for stock, n in zip(self.stocks, packs, strict=True))
        return boards + sum(e[way] for e, way in zip(self.extras, chosen, strict=True))

    def needs_with(self, chosen: Sequence[int]) -> list[int]:
        """Return all pieces that are needed when so the ways are chosen."""
        needs = list(self.needs)
        for choice, taken in zip(self.ways, chosen, strict=True):
            needs = [a + b for a, b in zip(needs, choice[taken], strict=True)]
        return needs

    def of_one_piece(self) -> Iterator[Column]:
        """Yield, for each piece and stock, as many of the piece as fit: a start that cuts all."""
        caps = self.caps
        for item in range(len(self.weights)):
            for at in range(len(self.rooms)):
                count = min(self.holds(at, item), caps[item], self.most or caps[item])
                if count:
                    pattern = [0] * len(self.weights)
                    pattern[item] = count
                    yield at, tuple(pattern)

    def plan(self, boards: dict[Column, int], chosen: list[int]) -> Solution:
        """Return the plan that so many boards of each pattern are."""
        used = [0] * len(self.stocks)
        for (at, _), count in boards.items():
            used[at] += count
        packs = [-(-n // stock.pack) for n, stock in zip(used, self.stocks, strict=True)]
        bought = [n * stock.pack for n, stock in zip(packs, self.stocks, strict=True)]
        patterns = [(at, pattern, count) for (at, pattern), count in boards.items()]
        return Solution(patterns, bought, self.cost(packs, chosen), 0, chosen)


@dataclass
class Solution:
    """patterns : (stock, pieces, boards); bought : boards of each stock, whole packs."""

    patterns: list[tuple[int, Pattern, int]]
    bought: list[int]
    cost: int
    bound: int
    chosen: list[int] = field(default_factory=list)

    @property
    def boards(self) -> dict[Column, int]:
        """How many boards are sawn to each pattern."""
        return {(at, pattern): count for at, pattern, count in self.patterns}
