"""The most valuable pieces out of one length: dynamic programming over every length at once."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

Values = np.ndarray[Any, np.dtype[np.float64]]


class Knapsack:
    """Pieces with weights, of which no more than `caps` are wanted."""

    def __init__(self, weights: Sequence[int], room: int, caps: Sequence[int]) -> None:
        # all weights share a step; lengths between its multiples are of no use
        self.step = math.gcd(*weights)
        self.weights = [weight // self.step for weight in weights]
        self.size = room // self.step
        self.caps = [
            min(cap, self.size // weight) for cap, weight in zip(caps, self.weights, strict=True)
        ]

    @property
    def cells(self) -> int:
        """What an answer costs: lengths times pieces."""
        return self.size * len(self.weights)

    def unbounded(self, prices: Values) -> Unbounded:
        """Return the best of any number of pieces, for every room."""
        best = np.zeros(self.size + 1)
        for item, weight in enumerate(self.weights):
            step, value = weight, float(prices[item])
            while value > 0.0 and self.caps[item] and step <= self.size:
                np.maximum(best[step:], best[:-step] + value, out=best[step:])
                step, value = 2 * step, 2.0 * value
        return Unbounded(self, best, prices)

    def bounded(self, prices: Values) -> Bounded:
        """Return the best of no more pieces than are wanted, for every room."""
        best = np.zeros(self.size + 1)
        taken: list[tuple[int, int, Any]] = []
        for item, weight in enumerate(self.weights):
            price, left, many = float(prices[item]), self.caps[item], 1
            while left > 0 and price > 0.0:
                many = min(many, left)
                step = weight * many
                tried = best[:-step] + price * many
                better = tried > best[step:] + 1e-12
                np.copyto(best[step:], tried, where=better)
                taken.append((item, many, better))
                left -= many
                many *= 2
        return Bounded(self, best, taken)


class Pairs:
    """One or two pieces out of each length, whatever is left."""

    def __init__(self, weights: Sequence[int], room: int, caps: Sequence[int]) -> None:
        self.weights = np.array(weights)
        self.caps = np.array(caps)
        self.sums = self.weights[:, None] + self.weights[None, :]
        # a piece with itself only where two are wanted
        self.barred = np.diag(self.caps < 2) | (self.caps < 1)[:, None] | (self.caps < 1)[None, :]

    @property
    def cells(self) -> int:
        """What an answer costs."""
        return 4 * int(self.sums.size)

    def unbounded(self, prices: Values) -> BestPairs:
        """Return the best pairs for every room."""
        return BestPairs(self, prices)

    bounded = unbounded


class BestPairs:
    """Answers for every room."""

    def __init__(self, sack: Pairs, prices: Values) -> None:
        self.sack, self.prices = sack, prices

    def _worth(self, room: int) -> tuple[Values, Values]:
        """Return what single pieces and pairs are worth, nothing where they have no room."""
        sack, prices = self.sack, self.prices
        alone = np.where((sack.weights <= room) & (sack.caps > 0), prices, 0.0)
        pairs = np.where((sack.sums <= room) & ~sack.barred, prices[:, None] + prices[None, :], 0.0)
        return alone, pairs

    def value(self, room: int) -> float:
        """Return the most that pieces in a room are worth."""
        alone, pairs = self._worth(room)
        return float(max(alone.max(), pairs.max()))

    def patterns(self, room: int) -> Iterator[tuple[int, ...]]:
        """Yield the best pattern for each piece: with another, or alone."""
        alone, pairs = self._worth(room)
        for item, partner in enumerate(pairs.argmax(axis=1)):
            pattern = [0] * len(alone)
            if pairs[item, partner] > 0.0:
                pattern[int(partner)] += 1
                pattern[item] += 1
            elif alone[item] > 0.0:
                pattern[item] += 1
            yield tuple(pattern)


class Unbounded:
    """Answers for every room. A pattern may hold more of a piece than is wanted: it is cut down."""

    def __init__(self, sack: Knapsack, best: Values, prices: Values) -> None:
        self.sack, self.best, self.prices = sack, best, prices
        # the piece to take first in every room, -1 where none is worth taking
        self.first = np.full(sack.size + 1, -1, dtype=np.int32)
        most = np.zeros(sack.size + 1)
        for item, weight in enumerate(sack.weights):
            if prices[item] > 0.0 and sack.caps[item]:
                worth = best[:-weight] + prices[item]
                better = worth > most[weight:]
                np.copyto(most[weight:], worth, where=better)
                np.copyto(self.first[weight:], item, where=better)

    def value(self, room: int) -> float:
        """Return the most that pieces in a room are worth."""
        return float(self.best[room // self.sack.step])

    def patterns(self, room: int) -> Iterator[tuple[int, ...]]:
        """Yield the best pattern, and the best that hold each piece at least once."""
        size = room // self.sack.step
        yield self._pattern(size, None)
        for item, weight in enumerate(self.sack.weights):
            if weight <= size and self.sack.caps[item] and self.prices[item] > 0.0:
                yield self._pattern(size - weight, item)

    def _pattern(self, size: int, first: int | None) -> tuple[int, ...]:
        pattern = [0] * len(self.sack.weights)
        if first is not None:
            pattern[first] = 1
        while (item := int(self.first[size])) >= 0:
            if pattern[item] < self.sack.caps[item]:
                pattern[item] += 1
            size -= self.sack.weights[item]
        return tuple(pattern)


class Bounded:
    """Answers for every room, with no more of a piece than is wanted."""

    def __init__(self, sack: Knapsack, best: Values, taken: list[tuple[int, int, Any]]) -> None:
        self.sack, self.best, self.taken = sack, best, taken

    def value(self, room: int) -> float:
        """Return the most that pieces in a room are worth."""
        return float(self.best[room // self.sack.step])

    def patterns(self, room: int) -> Iterator[tuple[int, ...]]:
        """Yield the best pattern, and good ones that hold each piece at least once."""
        size = room // self.sack.step
        yield tuple(self._pattern(size))
        for item, weight in enumerate(self.sack.weights):
            if weight <= size and self.best[size - weight] < self.best[size]:
                pattern = self._pattern(size - weight)
                if pattern[item] < self.sack.caps[item]:
                    pattern[item] += 1
                    yield tuple(pattern)

    def _pattern(self, size: int) -> list[int]:
        pattern = [0] * len(self.sack.weights)
        for item, many, better in reversed(self.taken):
            step = self.sack.weights[item] * many
            if size >= step and better[size - step]:
                pattern[item] += many
                size -= step
        return pattern
