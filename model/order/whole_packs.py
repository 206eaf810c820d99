"""Stock that is sold in packs: other numbers of packs are tried, each sawn up as it lies there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from .cutting_problem import Column, CuttingProblem, Solution
from .diving import quick_dive
from .relaxed_plan import Effort, Master

Packs = tuple[int, ...]


def other_packs(
    problem: CuttingProblem, best: Solution, columns: dict[Column, None], effort: Effort
) -> Solution:
    """Return the best plan of all whose packs differ from it by one pack, again and again.

    A pack is paid for whole, so that what lies in it is free: the linear programme, which pays
    each board its share, does not see that. problem : with its ways fixed; columns : the patterns
    that are known, to which those that are made are added.
    """
    tried: set[Packs] = set()
    found = True
    while found:
        found = False
        for packs in _neighbours(problem, best):
            if effort.spent:
                return best
            if packs in tried or _price(problem, packs) >= best.cost:
                continue
            tried.add(packs)
            plan = _with_packs(problem, packs, columns, effort)
            if plan is not None and plan.cost < best.cost:
                best, found = plan, True
                break
    return best


def _neighbours(problem: CuttingProblem, best: Solution) -> Iterator[Packs]:
    """Yield numbers of packs of each stock: with one less, one swapped for another, one more."""
    now = [n // stock.pack for n, stock in zip(best.bought, problem.stocks, strict=True)]
    packed = [at for at, stock in enumerate(problem.stocks) if stock.pack > 1]
    for less in [*(at for at in packed if now[at]), None]:
        for more in [None, *packed]:
            if less != more:
                packs = list(now)
                if less is not None:
                    packs[less] -= 1
                if more is not None:
                    packs[more] += 1
                yield tuple(packs)


def _price(problem: CuttingProblem, packs: Packs) -> int:
    return sum(n * s.cost for n, s in zip(packs, problem.stocks, strict=True) if s.pack > 1)


def _with_packs(
    problem: CuttingProblem, packs: Packs, columns: dict[Column, None], effort: Effort
) -> Solution | None:
    """Return the plan that saws so many packs and buys the rest of what is sold singly, or None
    where that does not do.
    """
    there = tuple(
        replace(stock, count=n * stock.pack, cost=0, pack=1) if stock.pack > 1 else stock
        for n, stock in zip(packs, problem.stocks, strict=True)
    )
    sawn = replace(problem, stocks=there)
    master = master_with(sawn, columns)
    plan = quick_dive(master, sawn, effort)
    columns.update(dict.fromkeys(master.columns))
    return None if plan is None else problem.plan(plan.boards, [])


def master_with(problem: CuttingProblem, columns: Iterable[Column]) -> Master:
    """Return a linear programme with columns of another."""
    master = Master(problem)
    for column in columns:
        master.add(column)
    return master
