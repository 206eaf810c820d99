"""Cutting stock in broken boards: patterns made as they are needed, on HiGHS.

Source: Gilmore and Gomory, A linear programming approach to the cutting-stock problem, Operations
Research 9 (1961). The bound is the Lagrangian one, which holds for any prices of the pieces.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import highspy
import numpy as np

from .cutting_problem import Column, CuttingProblem, Pattern
from .knapsack import Knapsack, Pairs

SLIGHT = 1e-7
"""Gains smaller than this share of a board's cost are rounding."""

PER_SOLVE, PER_STEP, PER_PATTERN = 1_000_000, 60_000, 30_000
"""What the linear programme takes for each solution, each step of the simplex method and each
pattern that is looked at, as cells of a knapsack."""

FULL = 3
"""Of so many stocks many patterns are added at a time."""

Prices = np.ndarray[Any, np.dtype[np.float64]]


class Effort:
    """Work that may still be done, counted in cells of knapsacks.

    Nobody's plan depends on the clock: on a crowded machine the same work takes longer.
    """

    def __init__(self, cells: int, whole: Effort | None = None) -> None:
        self.left = cells
        self.whole = whole

    def spend(self, cells: int) -> None:
        """Take so much from what is left, here and in the whole that this is a part of."""
        self.left -= cells
        if self.whole is not None:
            self.whole.spend(cells)

    @property
    def spent(self) -> bool:
        """Whether nothing is left."""
        return self.left <= 0

    def part(self, share: float) -> Effort:
        """Return an effort that may use a share of what is left."""
        return Effort(int(self.left * share), self)


@dataclass
class Relaxed:
    """The linear programme's answer: columns with their shares, the choices' shares, a bound."""

    shares: list[tuple[Column, float]]
    ways: list[list[float]]
    prices: Prices
    bound: float


def new_solver() -> Any:
    """Return a quiet solver on one thread, which a forked process can use too."""
    # the wrapper's own constructor prints a banner, its base does not
    highs = highspy.Highs.__bases__[0]()
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("threads", 1)
    highs.setOptionValue("parallel", "off")
    return highs


@lru_cache(maxsize=100_000)
def held(pattern: Pattern) -> tuple[int, ...]:
    """Return the pieces that a pattern holds."""
    return tuple(item for item, many in enumerate(pattern) if many)


def entries(pattern: Pattern, sign: float = 1.0) -> tuple[list[int], list[float]]:
    """Return a column's entries in the rows of the pieces."""
    rows = list(held(pattern))
    return rows, [sign * pattern[item] for item in rows]


class Master:
    """The linear programme, to which columns are added, and from which pieces can be taken."""

    def __init__(self, problem: CuttingProblem) -> None:
        self.highs = new_solver()
        # columns are added to a plan that stays sound: the primal method goes on from it
        self.highs.setOptionValue("simplex_strategy", 4)
        self.highs.setOptionValue("presolve", "off")
        self.problem = problem
        self.columns: dict[Column, int] = {}
        self.open: list[bool] = []
        self.left = list(problem.needs)
        self.counts = [stock.count for stock in problem.stocks]
        self.steps = 0  # of the last run
        self.limited = [at for at, stock in enumerate(problem.stocks) if stock.count is not None]
        inf = highspy.kHighsInf
        for need in problem.needs:
            self.highs.addRow(float(need), inf, 0, [], [])
        for _ in problem.ways:
            self.highs.addRow(1.0, 1.0, 0, [], [])
        for at in self.limited:
            self.highs.addRow(-inf, float(problem.stocks[at].count or 0), 0, [], [])
        self.way_at: list[list[int]] = []
        count = 0
        for group, choice in enumerate(problem.ways):
            self.way_at.append([])
            for way, extra in zip(choice, problem.extras[group], strict=True):
                rows, values = entries(way, -1.0)
                rows.append(len(problem.needs) + group)
                values.append(1.0)
                self.highs.addCol(float(extra), 0.0, inf, len(rows), rows, values)
                self.way_at[-1].append(count)
                count += 1
        # a piece that limited stock alone could take may have to wait for it
        wait = 1e3 * max(s.cost for s in problem.stocks) + 1e3
        for item in range(len(problem.needs)):
            self.highs.addCol(wait, 0.0, inf, 1, [item], [1.0])
        self.first = count + len(problem.needs)
        for column in problem.of_one_piece():
            self.add(column)

    def add(self, column: Column) -> bool:
        """Add a column; tell whether it was new."""
        if column in self.columns:
            return False
        at, pattern = column
        rows, values = entries(pattern)
        if at in self.limited:
            rows.append(len(self.problem.needs) + len(self.problem.ways) + self.limited.index(at))
            values.append(1.0)
        cost = self.problem.board_cost(at)
        self.highs.addCol(cost, 0.0, highspy.kHighsInf, len(rows), rows, values)
        self.columns[column] = self.first + len(self.columns)
        self.open.append(True)
        return True

    def set_left(self, left: Sequence[int], counts: Sequence[int | None]) -> None:
        """Ask for other numbers of pieces out of what is left of the stock; the problem has no
        ways. Patterns that hold more than is left are closed, open they would promise too much.
        """
        inf = highspy.kHighsInf
        for item, (now, then) in enumerate(zip(left, self.left, strict=True)):
            if now != then:
                self.highs.changeRowBounds(item, float(now), inf)
        for row, at in enumerate(self.limited, len(left)):
            self.highs.changeRowBounds(row, -inf, float(counts[at] or 0))
        self.left, self.counts = list(left), list(counts)
        patterns = np.array([pattern for _, pattern in self.columns])
        fit: list[bool] = np.all(patterns <= np.array(self.left), axis=1).tolist()
        for column, (fits, fitted) in enumerate(zip(fit, self.open, strict=True), self.first):
            if fits != fitted:
                self.highs.changeColBounds(column, 0.0, inf if fits else 0.0)
        self.open = fit
        for item in range(len(left)):
            for at in range(len(self.problem.rooms)):
                most = self.problem.most or left[item]
                count = min(self.problem.holds(at, item), left[item], most)
                if count:
                    pattern = tuple(count if i == item else 0 for i in range(len(left)))
                    self.add((at, pattern))

    def run(self) -> tuple[list[float], list[float]]:
        """Return the columns' values and the rows' prices."""
        self.highs.run()
        self.steps = max(0, self.highs.getInfo().simplex_iteration_count)
        solution = self.highs.getSolution()
        return list(solution.col_value), list(solution.row_dual)


def relax(master: Master, effort: Effort) -> Relaxed:
    """Solve the linear programme with the columns that it asks for, or till the effort is spent."""
    problem, left = master.problem, master.left
    whole_caps = problem.caps if problem.ways else left
    sack = (Pairs if problem.most else Knapsack)(problem.weights, max(problem.rooms), whole_caps)
    items = len(left)
    alone = [
        [item for item in range(items) if room < problem.weights[item] and problem.holds(at, item)]
        for at, room in enumerate(problem.rooms)
    ]
    bound = 0.0
    whole = False  # whether patterns may hold more of a piece than is needed, for speed
    while True:
        values, duals = master.run()
        effort.spend(PER_SOLVE + PER_STEP * master.steps + sack.cells)
        prices = np.maximum(np.array(duals[:items]), 0.0)
        limits = dict(zip(master.limited, duals[items + len(problem.ways) :], strict=True))
        best_sacks = sack.bounded(prices) if whole else sack.unbounded(prices)
        best = [
            max(best_sacks.value(room), *(prices[item] for item in alone[at]), 0.0)
            for at, room in enumerate(problem.rooms)
        ]
        bound = max(bound, _lagrange(master, prices, best))
        added = 0
        gains = [
            (best[at] / max(problem.board_cost(at) - limits.get(at, 0.0), SLIGHT), at)
            for at in range(len(problem.rooms))
        ]
        for place, (gain, at) in enumerate(sorted(gains, reverse=True)):
            if gain <= 1.0 + SLIGHT:
                break
            cost = problem.board_cost(at) - limits.get(at, 0.0)
            patterns = best_sacks.patterns(problem.rooms[at])
            # many more out of the few stocks that gain most, the best alone out of the others
            found = list(itertools.islice(patterns, None if place < FULL else 1))
            effort.spend(PER_PATTERN * len(found))
            for pattern in found:
                if float(np.dot(prices, pattern)) - cost > SLIGHT * max(cost, 1.0):
                    added += master.add((at, pattern))
        if effort.spent or (not added and whole):
            break
        if not added:
            whole = True
    shares = [
        (column, values[at])
        for column, at in master.columns.items()
        if at < len(values) and values[at] > 1e-9
    ]
    ways = [[values[at] for at in group] for group in master.way_at]
    return Relaxed(shares, ways, prices, bound)


def _lagrange(master: Master, prices: Prices, best: Sequence[float]) -> float:
    """Return a bound on the cost of any plan.

    With the pieces priced at p, a plan costs at least p.d plus, for each limited stock, its count
    times what a board of it may gain. Stock without limit may gain nothing, so all prices are
    first scaled down until it does not. `best` : most that pieces out of one board are worth.
    """
    problem = master.problem
    scale = 1.0
    for at, count in enumerate(master.counts):
        if count is None and best[at] > 0.0:
            scale = min(scale, problem.board_cost(at) / best[at])
    total = float(np.dot(prices, master.left)) * scale
    for choice, extras in zip(problem.ways, problem.extras, strict=True):
        total += min(
            float(np.dot(prices, way)) * scale + extra
            for way, extra in zip(choice, extras, strict=True)
        )
    for at, count in enumerate(master.counts):
        if count is not None:
            total += count * min(0.0, problem.board_cost(at) - best[at] * scale)
    return total
