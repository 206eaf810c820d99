"""Cutting stock in whole boards over patterns that are known, on HiGHS."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import highspy

from .cutting_problem import Column, CuttingProblem, Solution
from .relaxed_plan import Effort, entries, new_solver

CLOSE = 2e-4
"""A plan of so small a gap is not searched on; in a garden that is less than one board."""

MOST_NODES = 300
"""So many nodes at most are searched in whole numbers: a count, as a clock would not give the same
plan twice."""

STEP_IN_WHOLE, NODE_FOR_COLUMN = 120_000, 20_000
"""What a step of the simplex method takes here with all around it, and about what a node takes for
each pattern, as cells of a knapsack."""

MOST_PATTERNS = 2_000
"""So many patterns at most are written out to prove a plan the cheapest."""


def every_pattern(problem: CuttingProblem) -> list[Column] | None:
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
    # and those that a board gives with ends as sold
    patterns.update(dict.fromkeys(problem.of_one_piece()))
    return list(patterns)


def whole_plan(
    problem: CuttingProblem, columns: Sequence[Column], bound: int, effort: Effort
) -> tuple[Solution | None, float]:
    """Solve in whole numbers over known patterns; return a plan, if any is found, and its bound.

    It starts from nothing: HiGHS 1.16 takes a plan that it is given for the answer.
    """
    many = [column for column in columns if any(column[1])]
    highs = _programme(problem, many, bound)
    nodes = max(1, min(MOST_NODES, effort.left // (NODE_FOR_COLUMN * max(1, len(many)))))
    highs.setOptionValue("mip_max_nodes", nodes)
    highs.run()
    info = highs.getInfo()
    effort.spend(STEP_IN_WHOLE * max(0, info.simplex_iteration_count))
    if info.primal_solution_status != 2:
        return None, info.mip_dual_bound
    values = list(highs.getSolution().col_value)
    return _plan_of(problem, many, values), info.mip_dual_bound


def _programme(problem: CuttingProblem, many: Sequence[Column], bound: int) -> Any:
    """Return the programme in whole numbers: boards of each pattern, packs of each stock, ways."""
    highs = new_solver()
    # searches within the search take most of the time and find little in patterns so alike
    highs.setOptionValue("mip_heuristic_run_rins", False)
    highs.setOptionValue("mip_heuristic_run_rens", False)
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
        rows, values = entries(pattern)
        highs.addCol(0.0, 0.0, inf, len(rows) + 1, [*rows, items + groups + at], [*values, -1.0])
    for at, stock in enumerate(problem.stocks):
        top = inf if stock.count is None else float(stock.count // stock.pack)
        row = [items + groups + at]
        highs.addCol(float(stock.cost), 0.0, top, 1, row, [float(stock.pack)])
    for group, choice in enumerate(problem.ways):
        for way, extra in zip(choice, problem.extras[group], strict=True):
            rows, values = entries(way, -1.0)
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
    chosen = largest_ways([[next(way_values) for _ in ways] for ways in problem.ways])
    needs = problem.needs_with(chosen)
    boards: dict[Column, int] = {}
    for (stock_at, pattern), value in zip(many, values, strict=False):
        for _ in range(round(value)):
            cut = tuple(min(a, b) for a, b in zip(pattern, needs, strict=True))
            if any(cut):
                boards[stock_at, cut] = boards.get((stock_at, cut), 0) + 1
                needs = [b - a for a, b in zip(cut, needs, strict=True)]
    return None if any(needs) else problem.plan(boards, chosen)


def largest_ways(shares: list[list[float]]) -> list[int]:
    """Return the way of each choice that has the largest share."""
    return [max(range(len(ways)), key=ways.__getitem__) for ways in shares]
