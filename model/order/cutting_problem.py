"""A cutting problem in whole numbers, as its solver takes it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from .stock import Stock

Pattern = tuple[int, ...]
Column = tuple[int, Pattern]
"""Number of the stock, and how many of each piece are cut from one."""


@dataclass(frozen=True)
class CuttingProblem:
    """A cutting problem in whole numbers.

    weights : of each piece, its kerf included; needs : how many; stocks, rooms : what there is
    and what pieces may take of it; ways, extras : of each choice, how
    many of each piece its ways take and what they cost besides; most : pieces
    out of one board, 2 or None.
    """

    weights: tuple[int, ...]
    needs: tuple[int, ...]
    stocks: tuple[Stock, ...]
    rooms: tuple[int, ...]
    ways: tuple[tuple[Pattern, ...], ...] = ()
    extras: tuple[tuple[int, ...], ...] = ()
    most: int | None = None

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

    def board_cost(self, at: int) -> float:
        """Return the cost of one board, of packs its share."""
        return self.stocks[at].cost / self.stocks[at].pack

    def cost(self, packs: Sequence[int], chosen: Sequence[int]) -> int:
        """Return what so many packs of each stock and the ways taken cost."""
        boards = sum(n * stock.cost for stock, n in zip(self.stocks, packs, strict=True))
        return boards + sum(e[way] for e, way in zip(self.extras, chosen, strict=True))
