"""Cutting stock in one dimension: which lengths to buy, and what to saw from each.

All lengths are whole tenths of a millimetre inside, so that sums are exact.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated

from pydantic import Field

from palewright.model.basis.errors import PalewrightError

TENTHS = 10
"""Units of length in a millimetre."""


class Source(StrEnum):
    """Where a length comes from: a merchant's list, an order of its own, or the user's yard."""

    SOLD = "sold"
    TO_ORDER = "to order"
    YARD = "yard"


@dataclass(frozen=True)
class Stock:
    """A length that can be sawn up.

    length : mm; cost : of one, in any unit that is a whole number (pence, mm, boards);
    count : how many there are, None for any number; pack : how many are sold together;
    name : what lists call it, empty for what is sold; source : where it comes from; number : of
    an offcut in the yard.
    """

    length: float
    cost: int
    count: int | None = None
    pack: int = 1
    name: str = ""
    source: Annotated[Source, Field(exclude=True)] = Source.SOLD
    number: Annotated[int, Field(exclude=True)] = 0


@dataclass(frozen=True)
class Saw:
    """kerf : width of a cut, mm; trim : cut off each end of a length before use, its own saw cut
    included, mm.
    """

    kerf: float = 3.0
    trim: float = 0.0


@dataclass(frozen=True)
class Board:
    """Boards that are sawn alike. pieces : lengths, longest first, mm; offcut : what is left
    over, mm; count : how many boards.
    """

    stock: Stock
    pieces: tuple[float, ...]
    count: int
    offcut: float


@dataclass(frozen=True)
class CutPlan:
    """How pieces are cut from stock.

    boards : how many of each pattern; bought : boards to buy of each stock, whole packs; cost :
    of all; bound : no plan costs less; chosen : which way was taken of each choice.
    """

    boards: tuple[Board, ...]
    bought: tuple[tuple[Stock, int], ...]
    cost: int
    bound: int
    chosen: tuple[int, ...] = ()

    @property
    def optimal(self) -> bool:
        """Whether the plan is proven to be the cheapest."""
        return self.cost <= self.bound

    @property
    def gap(self) -> float:
        """How far the plan may be from the cheapest, as a share of its cost."""
        return 0.0 if self.cost <= 0 else max(0, self.cost - self.bound) / self.cost

    @property
    def pieces(self) -> float:
        """Length of all pieces, mm."""
        return math.fsum(math.fsum(board.pieces) * board.count for board in self.boards)

    @property
    def length(self) -> float:
        """Length of all stock that is bought or used, mm."""
        return math.fsum(stock.length * count for stock, count in self.bought)

    @property
    def waste(self) -> float:
        """Share of the stock that does not become pieces."""
        return 0.0 if self.length == 0.0 else 1.0 - self.pieces / self.length


class NoStockError(PalewrightError):
    """No stock is long enough for a piece. length : of the piece, mm."""

    def __init__(self, length: float) -> None:
        super().__init__(f"no length is long enough for a piece of {length:.1f} mm")
        self.length = length


def tenths(length: float) -> int:
    """Return a piece's length in tenths of a millimetre, as lists show it.

    >>> tenths(1800.0), tenths(1800.04), tenths(870.06)
    (18000, 18000, 8701)
    """
    return round(length * TENTHS)


def room(stock: Stock, saw: Saw) -> int:
    """Return how much pieces, each with one kerf, may take of a stock, in tenths.

    n pieces need n - 1 cuts between them: sum(l) + (n - 1) k <= L - 2 t, which is
    sum(l + k) <= L - 2 t + k.
    """
    return math.floor((stock.length - 2.0 * saw.trim + saw.kerf) * TENTHS + 1e-3)


@dataclass(frozen=True)
class Way:
    """A way to make a part of the fence. pieces : length in mm to how many; cost : of making it
    so, besides its timber, in the unit of the stock's cost.
    """

    pieces: Mapping[float, int]
    cost: int = 0
