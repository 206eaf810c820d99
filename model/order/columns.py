"""The cheapest plan to cut pieces from stock that so much work finds, and a bound."""

from __future__ import annotations

import itertools
import random
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from .cutting_problem import Column, CuttingProblem, Solution
from .diving import by_rule, careful_dives, fixed_ways, quick_dive
from .relaxed_plan import Effort, Master, Prices, Relaxed, relax
from .whole_packs import master_with, other_packs
from .whole_plan import CLOSE, every_pattern, largest_ways, whole_plan

MOST_WORK, LEAST_WORK, WORK_FOR_PIECE = 12_000_000_000, 1_800_000_000, 2_000_000
"""What a plan may take, in cells of knapsacks: some twenty seconds for thousands of pieces, a few
for a garden. A count, as a clock would not give the same plan twice."""

RELAXED, DIVE = 0.6, 0.4
"""Shares of the work left that the linear programme and then the quick dive may take at most."""

MOST_MIXED = 800
"""Over more patterns the whole problem is not searched in whole numbers, but parts of it are."""

MENDINGS, MENDED_PIECES = 64, (10, 10, 14)
"""How often, and with how many pieces by turns, a part of a plan is sawn anew."""


def work_for(pieces: int) -> int:
    """Return the work that sawing so many pieces is worth."""
    return min(MOST_WORK, LEAST_WORK + WORK_FOR_PIECE * pieces)


def solve(problem: CuttingProblem, work: int | None = None) -> Solution:
    """Return the best plan found with so much work (by the number of pieces when left out), never
    dearer than boards filled with the longest pieces first, with a bound; see cutting.cut.
    """
    if not any(problem.caps):
        return Solution([], [0] * len(problem.stocks), 0, 0, [0] * len(problem.ways))
    effort = Effort(work_for(sum(problem.needs)) if work is None else work)
    master = Master(problem)
    relaxed = relax(master, effort.part(RELAXED))
    bound = problem.least_over(relaxed.bound)
    best, columns = _dived(problem, relaxed, dict.fromkeys(master.columns), effort)
    if _far(best, bound) and sum(problem.needs) > max(MENDED_PIECES):
        best = _mended(problem, best, relaxed.prices, bound, effort)
    if _far(best, bound):
        every = every_pattern(problem)
        known = list(columns) if every is None else every
        if len(known) <= MOST_MIXED:
            mixed, proven = whole_plan(problem, known, bound, effort)
            if mixed is not None and mixed.cost < best.cost:
                best = mixed
            if every is not None:
                bound = max(bound, problem.least_over(proven))
    if _far(best, bound) and not any(stock.pack > 1 for stock in problem.stocks):
        fixed = fixed_ways(problem, best.chosen)
        dived = careful_dives(master_with(fixed, columns), fixed, best.cost, bound, effort)
        if dived is not None:
            best = problem.plan(dived.boards, best.chosen)
    best.bound = min(bound, best.cost)
    return best


def _dived(
    problem: CuttingProblem, relaxed: Relaxed, columns: dict[Column, None], effort: Effort
) -> tuple[Solution, dict[Column, None]]:
    """Return the best plan of a quick dive, of simple rules and of other packs than theirs, and
    all columns known by then.
    """
    chosen = largest_ways(relaxed.ways)
    fixed = fixed_ways(problem, chosen)
    diver = master_with(fixed, columns)
    tries = [
        quick_dive(diver, fixed, effort.part(DIVE)),
        *(by_rule(fixed, at) for at in range(len(fixed.stocks))),
    ]
    best = min((plan for plan in tries if plan is not None), key=lambda plan: plan.cost)
    columns = dict.fromkeys(diver.columns)
    if any(stock.pack > 1 for stock in fixed.stocks):
        best = other_packs(fixed, best, columns, effort.part(0.8))
    return problem.plan(best.boards, chosen), columns


def _far(best: Solution, bound: int) -> bool:
    """Tell whether a plan is so much dearer than the bound that it is searched on."""
    return best.cost > bound * (1.0 + CLOSE)


def _mended(
    problem: CuttingProblem, best: Solution, prices: Prices, bound: int, effort: Effort
) -> Solution:
    """Return a plan made better by sawing some of its boards anew: a bad one with some others."""
    rng = random.Random(1)
    for most in itertools.islice(itertools.cycle(MENDED_PIECES), MENDINGS):
        if not _far(best, bound) or effort.spent:
            break
        boards = [(at, pattern) for at, pattern, count in best.patterns for _ in range(count)]
        loss = [problem.board_cost(at) - float(np.dot(prices, p)) for at, p in boards]
        rng.shuffle(order := list(range(len(boards))))
        worst = max(order, key=lambda number: loss[number])
        taken, pieces = [], 0
        for number in [worst, *order]:
            size = sum(boards[number][1])
            if number not in taken and pieces + size <= most:
                taken.append(number)
                pieces += size
        again = [boards[number] for number in taken]
        kept = Counter(one for number, one in enumerate(boards) if number not in taken)
        for plan in _sawn_anew(problem, again, kept, effort):
            tried = problem.plan(plan, best.chosen)
            if tried.cost < best.cost:
                best = tried
    return best


def _sawn_anew(
    problem: CuttingProblem, again: Sequence[Column], kept: Counter[Column], effort: Effort
) -> Iterator[dict[Column, int]]:
    """Yield plans in which some boards are kept and the pieces of others sawn anew."""
    needs = tuple(sum(column) for column in zip(*(pattern for _, pattern in again), strict=True))
    used = Counter(at for (at, _), count in kept.items() for _ in range(count))
    stocks = tuple(
        replace(stock, count=None if stock.count is None else stock.count - used[at])
        for at, stock in enumerate(problem.stocks)
    )
    items = [item for item, many in enumerate(needs) if many]
    part = CuttingProblem(
        tuple(problem.weights[item] for item in items),
        tuple(needs[item] for item in items),
        stocks,
        problem.rooms,
        most=problem.most,
        kerf=problem.kerf,
    )
    master = Master(part)
    relax(master, effort)
    mixed, _ = whole_plan(part, list(master.columns), 0, effort)
    for one in (mixed, quick_dive(master, part, effort)):
        if one is None:
            continue
        plan = dict(kept)
        for at, pattern, count in one.patterns:
            whole = [0] * len(needs)
            for item, many in zip(items, pattern, strict=True):
                whole[item] = many
            plan[at, tuple(whole)] = plan.get((at, tuple(whole)), 0) + count
        yield plan
