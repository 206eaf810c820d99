"""Whole boards out of broken ones: boards are taken one after the other, the rest solved again.

Source: Sadykov, Vanderbeck, Pessoa, Tahiri and Uchoa, Primal heuristics for branch and price: the
assets of diving methods, INFORMS Journal on Computing 31 (2019): a dive with limited discrepancy.
"""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Sequence
from dataclasses import dataclass, replace

from .cutting_problem import Column, CuttingProblem, Solution
from .relaxed_plan import Effort, Master, relax

ROUNDING = 12
"""In a quick dive one of so many broken shares is taken for whole before the rest is solved."""

MOST_BARRED, DEEPEST = 2, 3
"""A careful dive is tried again with up to two of its first three choices barred."""


def fixed_ways(problem: CuttingProblem, chosen: Sequence[int]) -> CuttingProblem:
    """Return a problem with its ways chosen: plain pieces."""
    return replace(problem, needs=tuple(problem.needs_with(chosen)), ways=(), extras=())


@dataclass(frozen=True)
class _Point:
    """A plan in the making: boards taken, pieces and stock left, cost of the boards, columns that
    are barred from being taken next, choices made so far.
    """

    boards: tuple[tuple[Column, int], ...]
    left: tuple[int, ...]
    counts: tuple[int | None, ...]
    cost: float
    barred: frozenset[Column] = frozenset()
    depth: int = 0

    def with_boards(self, problem: CuttingProblem, whole: Sequence[tuple[Column, int]]) -> _Point:
        """Return the point with so many boards of patterns taken, each cut down to what is left."""
        boards, left, counts = dict(self.boards), list(self.left), list(self.counts)
        cost = self.cost
        for (at, pattern), many in whole:
            limit = counts[at]
            for _ in range(many if limit is None else min(many, limit)):
                cut = tuple(min(n, rest) for n, rest in zip(pattern, left, strict=True))
                if not any(cut):
                    break
                boards[at, cut] = boards.get((at, cut), 0) + 1
                left = [rest - n for rest, n in zip(left, cut, strict=True)]
                cost += problem.board_cost(at)
                if limit is not None:
                    limit -= 1
            counts[at] = limit
        return replace(
            self, boards=tuple(boards.items()), left=tuple(left), counts=tuple(counts), cost=cost
        )


def quick_dive(master: Master, problem: CuttingProblem, effort: Effort) -> Solution | None:
    """Return a plan, many boards taken at a time; when the effort is spent, the rest by rule. None
    where the stock does not do for all pieces.

    master : of the problem with its ways fixed; problem : the same.
    """
    stocks = problem.stocks
    point = _Point((), problem.needs, tuple(stock.count for stock in stocks), 0.0)
    while any(point.left):
        if effort.spent:
            rest = _longest_first(problem, point.left, point.counts, _cheapest_first(problem))
            if rest is None:
                return None
            point = point.with_boards(problem, [(column, 1) for column in rest])
            break
        master.set_left(point.left, point.counts)
        shares = relax(master, effort).shares
        whole = [(column, int(share + 1e-6)) for column, share in shares if share >= 1.0 - 1e-6]
        if not whole:
            largest = sorted(shares, key=lambda one: (-one[1], one[0]))
            whole = [(column, 1) for column, _ in largest[: 1 + len(largest) // ROUNDING]]
        before = point.left
        point = point.with_boards(problem, whole)
        if point.left == before:
            return None
    return problem.plan(dict(point.boards), [])


def careful_dives(
    master: Master, problem: CuttingProblem, cost: int, bound: int, effort: Effort
) -> Solution | None:
    """Return a plan that costs less, None if none is found: one board is taken at a time, and
    dives that cannot be better are left. See quick_dive.
    """
    best = None
    start = _Point((), problem.needs, tuple(stock.count for stock in problem.stocks), 0.0)
    waiting = deque([start])
    while waiting and cost > bound and not effort.spent:
        point = waiting.popleft()
        while any(point.left) and not effort.spent:
            master.set_left(point.left, point.counts)
            relaxed = relax(master, effort)
            if problem.least_over(point.cost + relaxed.bound) >= cost:
                break
            whole = [(c, int(share + 1e-6)) for c, share in relaxed.shares if share >= 1.0 - 1e-6]
            taken = point.with_boards(problem, whole)
            broken = sorted(
                (
                    (column, share - int(share + 1e-6))
                    for column, share in relaxed.shares
                    if share - int(share + 1e-6) > 1e-6 and column not in point.barred
                ),
                key=lambda one: (-one[1], one[0]),
            )
            if any(taken.left) and broken:
                first = broken[0][0]
                if taken.depth < DEEPEST and len(taken.barred) < MOST_BARRED:
                    waiting.append(replace(taken, barred=taken.barred | {first}))
                taken = replace(taken.with_boards(problem, [(first, 1)]), depth=taken.depth + 1)
            elif taken.left == point.left:
                break
            point = taken
        if not any(point.left):
            tried = problem.plan(dict(point.boards), [])
            if tried.cost < cost:
                best, cost = tried, tried.cost
    return best


def by_rule(problem: CuttingProblem, preferred: int) -> Solution | None:
    """Return the plan of a careful person without a programme: boards of one stock as long as it
    will do, each filled with the longest pieces first.
    """
    order = sorted(_cheapest_first(problem), key=lambda at: at != preferred)
    counts = [stock.count for stock in problem.stocks]
    boards = _longest_first(problem, problem.needs, counts, order)
    return None if boards is None else problem.plan(Counter(boards), [])


def _cheapest_first(problem: CuttingProblem) -> list[int]:
    return sorted(
        range(len(problem.rooms)), key=lambda at: (problem.board_cost(at), problem.rooms[at])
    )


def _longest_first(
    problem: CuttingProblem,
    needs: Sequence[int],
    there: Sequence[int | None],
    order: Sequence[int],
) -> list[Column] | None:
    """Return boards that cut what is needed out of what is there, the first of an order that the
    longest piece fits; None where there is none.
    """
    left, counts, boards = list(needs), list(there), []
    weights = problem.weights
    falling = sorted((i for i, many in enumerate(left) if many), key=lambda i: -weights[i])
    while falling:
        longest = falling[0]
        at = next((at for at in order if problem.holds(at, longest) and counts[at] != 0), None)
        if at is None:
            return None
        free, more = problem.rooms[at], problem.most or sum(left)
        if free < weights[longest]:
            free, more = weights[longest], 1  # with ends as sold
        pattern = [0] * len(left)
        for item in falling:
            if free < weights[falling[-1]] or not more:
                break
            pattern[item] = min(left[item], more, free // weights[item])
            free -= pattern[item] * weights[item]
            more -= pattern[item]
            left[item] -= pattern[item]
        falling = [item for item in falling if left[item]]
        limit = counts[at]
        if limit is not None:
            counts[at] = limit - 1
        boards.append((at, tuple(pattern)))
    return boards
