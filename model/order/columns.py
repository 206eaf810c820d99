"""Column generation for cutting stock: patterns made as they are needed, on HiGHS."""

from __future__ import annotations

import math
import random
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import highspy
import numpy as np

from .cutting_problem import Column, CuttingProblem, Pattern
from .knapsack import Knapsack, Pairs

SLIGHT = 1e-7
"""Gains smaller than this share of a board's cost are rounding."""

CLOSE = 2e-4
"""A plan of so small a gap is not searched on; in a garden that is less than one board."""

MOST_NODES = 300
"""So many nodes at most are searched in whole numbers: a count, as a clock would not give the same
plan twice."""

MOST_PATTERNS = 20_000
"""So many patterns at most are written out to prove a plan the cheapest."""

MOST_MIXED = 800
"""Over more patterns the whole problem is not searched in whole numbers, but parts of it are."""

ROUNDING = 12
"""Of so many broken shares one is taken for whole before the rest is solved again."""

MENDINGS, MENDED_PIECES = 16, 22
"""How often, and with how many pieces, a part of a plan is sawn anew."""


@dataclass
class Solution:
    """patterns : (stock, pieces, boards); bought : boards of each stock, whole packs."""

    patterns: list[tuple[int, Pattern, int]]
    bought: list[int]
    cost: int
    bound: int
    chosen: list[int] = field(default_factory=list)


def solve(problem: CuttingProblem, seconds: float) -> Solution:
    """Return the best plan found in the time, with a bound; see cutting.cut."""
    end = time.monotonic() + seconds
    if not any(problem.caps):
        return Solution([], [0] * len(problem.stocks), 0, 0, [0] * len(problem.ways))
    columns: dict[Column, None] = dict.fromkeys(_single(problem))
    relaxed = _relax(problem, columns, end)
    bound = _whole(relaxed.bound, problem.step)
    best = _dive(problem, columns, relaxed, end)
    pieces = sum(problem.needs)
    if pieces > MENDED_PIECES:
        best = _mended(problem, best, relaxed.prices, bound, end)
    if best.cost > bound * (1.0 + CLOSE):
        every = _every_pattern(problem)
        known = every if every is not None else columns
        if len(known) <= MOST_MIXED:
            mixed, proven = _mixed(problem, known, bound, end)
            if mixed is not None and mixed.cost < best.cost:
                best = mixed
            if every is not None:
                bound = max(bound, _whole(proven, problem.step))
    best.bound = min(bound, best.cost)
    return best


def _whole(value: float, step: int) -> int:
    """Return the least cost that is not under a bound, which carries rounding errors."""
    return math.ceil((value - 1e-6 * max(1.0, abs(value))) / step) * step


def _single(problem: CuttingProblem) -> Iterator[Column]:
    """Yield, for each piece and stock, as many of the piece as fit: a start that cuts all."""
    caps = problem.caps
    for item, weight in enumerate(problem.weights):
        for at, room in enumerate(problem.rooms):
            count = min(room // weight, caps[item], problem.most or caps[item])
            if count:
                pattern = [0] * len(problem.weights)
                pattern[item] = count
                yield at, tuple(pattern)


@dataclass
class Relaxed:
    """The linear programme's answer: columns with their shares, the choices' shares, a bound."""

    shares: list[tuple[Column, float]]
    ways: list[list[float]]
    prices: np.ndarray[Any, np.dtype[np.float64]]
    bound: float


def _solver() -> Any:
    """Return a quiet solver on one thread, which a forked process can use too."""
    # the wrapper's own constructor prints a banner, its base does not
    highs = highspy.Highs.__bases__[0]()
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("threads", 1)
    highs.setOptionValue("parallel", "off")
    return highs


def _entries(pattern: Pattern, sign: float = 1.0) -> tuple[list[int], list[float]]:
    """Return a column's entries in the rows of the pieces."""
    rows = [item for item, many in enumerate(pattern) if many]
    return rows, [sign * pattern[item] for item in rows]


class _Master:
    """The linear programme, to which columns are added."""

    def __init__(self, problem: CuttingProblem) -> None:
        self.highs = _solver()
        self.problem = problem
        self.columns: list[Column] = []
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
                rows, values = _entries(way, -1.0)
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

    def add(self, column: Column) -> None:
        at, pattern = column
        rows, values = _entries(pattern)
        if at in self.limited:
            rows.append(len(self.problem.needs) + len(self.problem.ways) + self.limited.index(at))
            values.append(1.0)
        cost = self.problem.board_cost(at)
        self.highs.addCol(cost, 0.0, highspy.kHighsInf, len(rows), rows, values)
        self.columns.append(column)

    def run(self) -> tuple[list[float], list[float]]:
        """Return the columns' values and the rows' prices."""
        self.highs.run()
        solution = self.highs.getSolution()
        return list(solution.col_value), list(solution.row_dual)


def _relax(problem: CuttingProblem, columns: dict[Column, None], end: float) -> Relaxed:
    """Solve the linear programme; columns that it makes are put among the others."""
    master = _Master(problem)
    for column in columns:
        master.add(column)
    caps = problem.caps
    sack = Pairs if problem.most else Knapsack
    knapsack = sack(problem.weights, max(problem.rooms), caps)
    items = len(problem.needs)
    bound = 0.0
    whole = False  # whether patterns may hold more of a piece than is needed, for speed
    while True:
        values, duals = master.run()
        prices = np.maximum(np.array(duals[:items]), 0.0)
        limits = dict(zip(master.limited, duals[items + len(problem.ways) :], strict=True))
        best_sacks = knapsack.bounded(prices) if whole else knapsack.unbounded(prices)
        best = [best_sacks.value(room) for room in problem.rooms]
        bound = max(bound, _lagrange(problem, prices, best))
        added = 0
        for at, room in enumerate(problem.rooms):
            cost = problem.board_cost(at) - limits.get(at, 0.0)
            if best[at] <= cost * (1.0 + SLIGHT) + SLIGHT:
                continue
            for pattern in best_sacks.patterns(room):
                gain = float(np.dot(prices, pattern)) - cost
                if gain > SLIGHT * max(cost, 1.0) and (at, pattern) not in columns:
                    columns[at, pattern] = None
                    master.add((at, pattern))
                    added += 1
        late = time.monotonic() > end
        if late or (not added and whole):
            break
        if not added:
            whole = True
    shares = [
        (column, value)
        for column, value in zip(master.columns, values[master.first :], strict=False)
        if value > 1e-9
    ]
    ways = [[values[at] for at in group] for group in master.way_at]
    return Relaxed(shares, ways, prices, bound)


def _lagrange(
    problem: CuttingProblem, prices: np.ndarray[Any, np.dtype[np.float64]], best: Sequence[float]
) -> float:
    """Return a bound on the cost of any plan.

    With the pieces priced at p, a plan costs at least p.d plus, for each limited stock, its count
    times what a board of it may gain. Stock without limit may gain nothing, so all prices are
    first scaled down until it does not. `best` : most that pieces out of one board are worth.
    """
    scale = 1.0
    for at, stock in enumerate(problem.stocks):
        if stock.count is None and best[at] > 0.0:
            scale = min(scale, problem.board_cost(at) / best[at])
    total = float(np.dot(prices, problem.needs)) * scale
    for choice, extras in zip(problem.ways, problem.extras, strict=True):
        total += min(
            float(np.dot(prices, way)) * scale + extra
            for way, extra in zip(choice, extras, strict=True)
        )
    for at, stock in enumerate(problem.stocks):
        if stock.count is not None:
            total += stock.count * min(0.0, problem.board_cost(at) - best[at] * scale)
    return total


def _dive(
    problem: CuttingProblem, columns: dict[Column, None], relaxed: Relaxed, end: float
) -> Solution:
    """Return a plan: take the whole parts of the programme's answer, solve what is left again."""
    chosen, left = _taken(problem, relaxed.ways)
    plan: dict[Column, int] = {}
    stocks = list(problem.stocks)
    shares = relaxed.shares if not problem.ways else None
    while any(left):
        if shares is None:
            part = CuttingProblem(
                problem.weights, tuple(left), tuple(stocks), problem.rooms, most=problem.most
            )
            if time.monotonic() > end:
                shares = [(column, 1.0) for column in _greedy(part)]
            else:
                kept = {c: None for c in columns if _fits(c[1], left)}
                kept.update(dict.fromkeys(_single(part)))
                shares = _relax(part, kept, end).shares
                columns.update(kept)
        whole = [(column, int(share + 1e-6)) for column, share in shares]
        if not any(count for _, count in whole):
            largest = sorted(shares, key=lambda one: (-one[1], one[0]))
            whole = [(column, 1) for column, _ in largest[: 1 + len(largest) // ROUNDING]]
        before = sum(left)
        for (at, pattern), count in whole:
            limit = stocks[at].count
            for _ in range(count if limit is None else min(count, limit)):
                cut = tuple(min(many, rest) for many, rest in zip(pattern, left, strict=True))
                if not any(cut):
                    break
                plan[at, cut] = plan.get((at, cut), 0) + 1
                left = [rest - many for rest, many in zip(left, cut, strict=True)]
                if limit is not None:
                    limit -= 1
            if limit is not None:
                stocks[at] = replace(stocks[at], count=limit)
        assert sum(left) < before
        shares = None
    return _solution(problem, plan, chosen)


def _mended(
    problem: CuttingProblem,
    best: Solution,
    prices: np.ndarray[Any, np.dtype[np.float64]],
    bound: int,
    end: float,
) -> Solution:
    """Return a plan made better by sawing some of its boards anew: a bad one with some others."""
    rng = random.Random(1)
    for _ in range(MENDINGS):
        if best.cost <= bound * (1.0 + CLOSE) or time.monotonic() > end:
            break
        boards = [(at, pattern) for at, pattern, count in best.patterns for _ in range(count)]
        loss = [problem.board_cost(at) - float(np.dot(prices, p)) for at, p in boards]
        rng.shuffle(order := list(range(len(boards))))
        worst = max(order, key=lambda number: loss[number])
        taken, pieces = [], 0
        for number in [worst, *order]:
            size = sum(boards[number][1])
            if number not in taken and pieces + size <= MENDED_PIECES:
                taken.append(number)
                pieces += size
        needs = tuple(sum(boards[n][1][i] for n in taken) for i in range(len(problem.needs)))
        kept: dict[Column, int] = {}
        used = [0] * len(problem.stocks)
        for number, (at, pattern) in enumerate(boards):
            if number not in taken:
                kept[at, pattern] = kept.get((at, pattern), 0) + 1
                used[at] += 1
        stocks = tuple(
            replace(stock, count=None if stock.count is None else stock.count - many)
            for stock, many in zip(problem.stocks, used, strict=True)
        )
        items = [item for item, many in enumerate(needs) if many]
        part = CuttingProblem(
            tuple(problem.weights[item] for item in items),
            tuple(needs[item] for item in items),
            stocks,
            problem.rooms,
            most=problem.most,
        )
        columns: dict[Column, None] = dict.fromkeys(_single(part))
        relaxed = _relax(part, columns, end)
        mixed, _ = _mixed(part, columns, 0, end)
        for one in (mixed, _dive(part, columns, relaxed, end)):
            if one is None:
                continue
            plan = dict(kept)
            for at, pattern, count in one.patterns:
                whole = [0] * len(needs)
                for item, many in zip(items, pattern, strict=True):
                    whole[item] = many
                plan[at, tuple(whole)] = plan.get((at, tuple(whole)), 0) + count
            tried = _solution(problem, plan, best.chosen)
            if tried.cost < best.cost:
                best = tried
    return best


def _taken(problem: CuttingProblem, shares: list[list[float]]) -> tuple[list[int], list[int]]:
    """Return the way of each choice with the largest share, and all pieces needed with them."""
    chosen = [max(range(len(ways)), key=ways.__getitem__) for ways in shares]
    needs = list(problem.needs)
    for choice, taken in zip(problem.ways, chosen, strict=True):
        needs = [a + b for a, b in zip(needs, choice[taken], strict=True)]
    return chosen, needs


def _fits(pattern: Pattern, left: Sequence[int]) -> bool:
    return all(many <= rest for many, rest in zip(pattern, left, strict=True))


def _greedy(part: CuttingProblem) -> list[Column]:
    """Return boards that cut what is left, each filled with the longest pieces first."""
    left = list(part.needs)
    counts = [stock.count for stock in part.stocks]
    order = sorted(range(len(part.rooms)), key=lambda at: (part.board_cost(at), part.rooms[at]))
    boards = []
    while any(left):
        longest = max(w for w, many in zip(part.weights, left, strict=True) if many)
        at = next(at for at in order if part.rooms[at] >= longest and counts[at] != 0)
        free, pattern = part.rooms[at], [0] * len(left)
        for item in sorted(range(len(left)), key=lambda i: -part.weights[i]):
            more = left[item] if part.most is None else part.most - sum(pattern)
            pattern[item] = min(left[item], more, free // part.weights[item])
            free -= pattern[item] * part.weights[item]
            left[item] -= pattern[item]
        limit = counts[at]
        if limit is not None:
            counts[at] = limit - 1
        boards.append((at, tuple(pattern)))
    return boards


def _solution(problem: CuttingProblem, plan: dict[Column, int], chosen: list[int]) -> Solution:
    used = [0] * len(problem.stocks)
    for (at, _), count in plan.items():
        used[at] += count
    packs = [-(-n // stock.pack) for n, stock in zip(used, problem.stocks, strict=True)]
    bought = [n * stock.pack for n, stock in zip(packs, problem.stocks, strict=True)]
    patterns = [(at, pattern, count) for (at, pattern), count in plan.items()]
    return Solution(patterns, bought, problem.cost(packs, chosen), 0, chosen)


def _every_pattern(problem: CuttingProblem) -> dict[Column, None] | None:
    """Return every pattern to which no piece can be added, or None when there are too many."""
    caps = problem.caps
    patterns: dict[Column, None] = {}
    steps = 0

    def fill(at: int, item: int, free: int, pattern: list[int]) -> bool:
        nonlocal steps
        steps += 1
        if steps > 10 * MOST_PATTERNS or len(patterns) > MOST_PATTERNS:
            return False
        if item == len(problem.weights):
            full = problem.most is not None and sum(pattern) >= problem.most
            if full or not any(
                free >= weight and pattern[i] < caps[i] for i, weight in enumerate(problem.weights)
            ):
                patterns[at, tuple(pattern)] = None
            return True
        room_for = caps[item] if problem.most is None else problem.most - sum(pattern[:item])
        for many in range(min(caps[item], room_for, free // problem.weights[item]), -1, -1):
            pattern[item] = many
            if not fill(at, item + 1, free - many * problem.weights[item], pattern):
                return False
        return True

    for at, room in enumerate(problem.rooms):
        if not fill(at, 0, room, [0] * len(problem.weights)):
            return None
    return patterns


def _mixed(
    problem: CuttingProblem, columns: dict[Column, None], bound: int, end: float
) -> tuple[Solution | None, float]:
    """Solve in whole numbers over known patterns; return a plan, if any is found, and its bound.

    It starts from nothing: HiGHS 1.16 takes a plan that it is given for the answer.
    """
    left = end - time.monotonic()
    if left < 0.05:
        return None, 0.0
    many = [column for column in columns if any(column[1])]
    highs = _whole_numbers(problem, many, bound, left)
    highs.run()
    info = highs.getInfo()
    if info.primal_solution_status != 2:
        return None, info.mip_dual_bound
    values = list(highs.getSolution().col_value)
    return _plan_of(problem, many, values), info.mip_dual_bound


def _whole_numbers(
    problem: CuttingProblem, many: Sequence[Column], bound: int, seconds: float
) -> Any:
    """Return the programme in whole numbers: boards of each pattern, packs of each stock, ways."""
    highs = _solver()
    highs.setOptionValue("time_limit", seconds)
    highs.setOptionValue("mip_max_nodes", MOST_NODES)
    highs.setOptionValue("mip_rel_gap", 0.0)
    highs.setOptionValue("mip_abs_gap", 0.5 * problem.step)
    highs.setOptionValue("objective_target", bound * (1.0 + CLOSE) + 0.25)
    highs.setOptionValue("random_seed", 1)
    inf = highspy.kHighsInf
    for need in problem.needs:
        highs.addRow(float(need), inf, 0, [], [])
    for _ in problem.ways:
        highs.addRow(1.0, 1.0, 0, [], [])
    items, groups = len(problem.needs), len(problem.ways)
    # boards of each stock: no more than bought in packs, no more than there are
    for _ in problem.stocks:
        highs.addRow(0.0, inf, 0, [], [])
    for at, pattern in many:
        rows, values = _entries(pattern)
        highs.addCol(0.0, 0.0, inf, len(rows) + 1, [*rows, items + groups + at], [*values, -1.0])
    for at, stock in enumerate(problem.stocks):
        top = inf if stock.count is None else float(stock.count // stock.pack)
        row = [items + groups + at]
        highs.addCol(float(stock.cost), 0.0, top, 1, row, [float(stock.pack)])
    for group, choice in enumerate(problem.ways):
        for way, extra in zip(choice, problem.extras[group], strict=True):
            rows, values = _entries(way, -1.0)
            highs.addCol(
                float(extra), 0.0, 1.0, len(rows) + 1, [*rows, items + group], [*values, 1.0]
            )
    for column in range(highs.getNumCol()):
        highs.changeColIntegrality(column, highspy.HighsVarType.kInteger)
    return highs


def _plan_of(
    problem: CuttingProblem, many: Sequence[Column], values: Sequence[float]
) -> Solution | None:
    """Return the plan that a programme's values are, None where it leaves pieces out."""
    way_values = iter(values[len(many) + len(problem.stocks) :])
    chosen, needs = _taken(problem, [[next(way_values) for _ in ways] for ways in problem.ways])
    plan: dict[Column, int] = {}
    for (stock_at, pattern), value in zip(many, values, strict=False):
        for _ in range(round(value)):
            cut = tuple(min(a, b) for a, b in zip(pattern, needs, strict=True))
            if any(cut):
                plan[stock_at, cut] = plan.get((stock_at, cut), 0) + 1
                needs = [b - a for a, b in zip(cut, needs, strict=True)]
    return None if any(needs) else _solution(problem, plan, chosen)
