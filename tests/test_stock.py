"""Cutting plans: kerf, trim, packs, offcuts, choices; against brute force and by properties."""

from __future__ import annotations

import itertools
import multiprocessing
import random
import time
from collections import Counter
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from palewright.model.order.columns import solve
from palewright.model.order.cutting import cut
from palewright.model.order.cutting_problem import CuttingProblem
from palewright.model.order.stock import CutPlan, NoStockError, Saw, Stock, Way, room, tenths


def pieces(plan: CutPlan, saw: Saw) -> Counter[float]:
    """Return the pieces of a plan, after checking that each board holds them with kerf and trim."""
    found: Counter[float] = Counter()
    for board in plan.boards:
        used = sum(board.pieces) + saw.kerf * (len(board.pieces) - 1) + 2.0 * saw.trim
        assert used <= board.stock.length + 1e-6
        assert board.offcut == pytest.approx(max(0.0, board.stock.length - used - saw.kerf))
        for piece in board.pieces:
            found[piece] += board.count
    return found


@pytest.mark.parametrize(
    ("demand", "length", "kerf", "boards"),
    [
        # worked out by hand; a kerf of 3 breaks 1200 + 900 + 900 out of 3000
        ({1200.0: 2, 900.0: 4}, 3000.0, 0.0, 2),
        ({1200.0: 2, 900.0: 4}, 3000.0, 3.0, 3),
        ({1200.0: 8}, 4800.0, 0.0, 2),
        ({1200.0: 8}, 4800.0, 3.0, 3),
        ({1200.0: 9}, 3600.0, 3.0, 5),
        ({2400.0: 3, 1800.0: 4, 1200.0: 5, 600.0: 6}, 3000.0, 3.0, 10),
        ({2395.0: 4, 1595.0: 6, 1195.0: 8}, 4800.0, 4.0, 6),
    ],
)
def test_the_kerf_counts(demand: dict[float, int], length: float, kerf: float, boards: int) -> None:
    plan = cut(demand, [Stock(length, 1)], Saw(kerf))
    assert plan.cost == boards
    assert plan.optimal
    assert pieces(plan, Saw(kerf)) == Counter(demand)


def test_trim_is_taken_off_both_ends() -> None:
    """Out of 3000 with 10 off each end and a cut of 3: two of 1488.5, no two of 1488.6."""
    assert cut({1488.5: 2}, [Stock(3000.0, 1)], Saw(3.0, 10.0)).cost == 1
    assert cut({1488.6: 2}, [Stock(3000.0, 1)], Saw(3.0, 10.0)).cost == 2


@pytest.mark.parametrize("length", [2980.1, 2995.0, 3000.0])
def test_a_piece_that_leaves_no_room_for_trimming_has_ends_as_sold(length: float) -> None:
    """It is taken alone, out of the length that fits it best, and no longer one is bought."""
    stocks = [Stock(3000.0, 3000), Stock(3600.0, 3600)]
    plan = cut({length: 2, 500.0: 1}, stocks, Saw(3.0, 10.0))
    assert plan.cost == plan.bound == 6600
    assert {board.pieces for board in plan.boards} == {(length,), (length, 500.0)}
    with pytest.raises(NoStockError, match=r"3600\.1"):
        cut({3600.1: 1}, stocks, Saw(3.0, 10.0))


def test_offcuts_are_used_before_anything_is_bought() -> None:
    stocks = [Stock(3000.0, 3000), Stock(1300.0, 0, count=2, name="yard")]
    plan = cut({1200.0: 4}, stocks, Saw(3.0))
    assert plan.cost == 3000
    assert dict(plan.bought) == {stocks[0]: 1, stocks[1]: 2}


def test_packs_are_bought_whole() -> None:
    packed = [Stock(2400.0, 900, pack=3), Stock(3000.0, 800)]
    plan = cut({530.0: 4}, packed, Saw(5.0))
    assert plan.cost == 800
    plan = cut({2400.0: 4}, packed[:1], Saw(5.0))
    assert plan.cost == 1800
    assert dict(plan.bought) == {packed[0]: 6}
    assert plan.optimal


def test_posts_keep_an_end_as_sold() -> None:
    plan = cut({900.0: 6}, [Stock(3000.0, 1)], Saw(3.0), ends=True)
    assert plan.cost == 3  # three fit, but the middle one would have two sawn ends
    assert {len(board.pieces) for board in plan.boards} == {2}
    assert plan.optimal


def test_choices_are_part_of_the_optimum() -> None:
    """Brute force over all combinations of ways gives the same least cost."""
    stocks = [Stock(3600.0, 36), Stock(4800.0, 48)]
    ways = [Way({3600.0: 2, 1800.0: 1}), Way({1800.0: 5}, 1), Way({3500.0: 1, 1150.0: 4})]
    plan = cut({1150.0: 2}, stocks, Saw(3.0), choices=[ways] * 3)
    best = min(
        cut(
            sum((Counter(way.pieces) for way in taken), Counter({1150.0: 2})), stocks, Saw(3.0)
        ).cost
        + sum(way.cost for way in taken)
        for taken in itertools.product(ways, repeat=3)
    )
    assert plan.cost == best
    assert plan.optimal
    wanted = sum((Counter(ways[way].pieces) for way in plan.chosen), Counter({1150.0: 2}))
    assert pieces(plan, Saw(3.0)) == wanted


def brute(lengths: tuple[int, ...], stocks: tuple[tuple[int, int], ...], kerf: int) -> int:
    """Return the least cost by trying every way to fill boards one after the other."""

    @cache
    def least(left: tuple[int, ...]) -> int:
        if not left:
            return 0
        best = 10**9
        others = left[1:]  # the longest piece is on some board
        for length, cost in stocks:
            for size in range(len(others) + 1):
                for more in set(itertools.combinations(range(len(others)), size)):
                    total = left[0] + sum(others[i] + kerf for i in more)
                    if total <= length:
                        rest = tuple(p for i, p in enumerate(others) if i not in more)
                        best = min(best, cost + least(rest))
        return best

    return least(tuple(sorted(lengths, reverse=True)))


@given(
    st.lists(st.integers(3, 24), min_size=1, max_size=6),
    st.lists(st.tuples(st.integers(24, 48), st.integers(5, 40)), min_size=1, max_size=3),
    st.integers(0, 4),
)
def test_small_plans_are_as_cheap_as_brute_force(
    units: list[int], stocks: list[tuple[int, int]], kerf: int
) -> None:
    lengths = tuple(100 * unit for unit in units)
    sold = tuple((100 * unit, cost) for unit, cost in stocks)
    plan = cut(
        Counter(float(length) for length in lengths),
        [Stock(float(length), cost) for length, cost in sold],
        Saw(float(kerf)),
    )
    assert plan.cost == brute(lengths, sold, kerf)
    assert plan.optimal
    assert pieces(plan, Saw(float(kerf))) == Counter(float(length) for length in lengths)


def first_fit(demand: dict[float, int], stock: Stock, saw: Saw) -> int:
    """Return how many boards first-fit decreasing takes: what a careful person does by hand."""
    kerf = tenths(saw.kerf)
    boards: list[int] = []
    for length in sorted(demand, reverse=True):
        need = tenths(length) + kerf
        for _ in range(demand[length]):
            for at, free in enumerate(boards):
                if free >= need:
                    boards[at] -= need
                    break
            else:
                boards.append(room(stock, saw) - need)
    return len(boards)


def test_first_fit_falls_into_its_trap() -> None:
    """Out of 10: 4 4 3 3 3 3 take two boards at best and three by first fit (textbook example)."""
    demand, stock = {400.0: 2, 300.0: 4}, Stock(1000.0, 1)
    assert first_fit(demand, stock, Saw(0.0)) == 3
    assert cut(demand, [stock], Saw(0.0)).cost == 2


def test_plans_save_against_first_fit() -> None:
    """Random orders: never more boards than a careful person, and fewer on the whole."""
    rng = random.Random(4)
    stock, saw = Stock(4800.0, 1), Saw(3.0)
    planned = by_hand = 0
    for _ in range(12):
        demand = {float(rng.randint(600, 2300)): rng.randint(2, 9) for _ in range(12)}
        plan = cut(demand, [stock], saw)
        hand = first_fit(demand, stock, saw)
        assert plan.bound <= plan.cost <= hand
        planned += plan.cost
        by_hand += hand
    assert planned < 0.98 * by_hand


@pytest.mark.slow
def test_five_thousand_pieces_of_three_hundred_lengths() -> None:
    rng = random.Random(1)
    lengths = [round(rng.uniform(300.0, 3500.0), 1) for _ in range(300)]
    demand = Counter(rng.choice(lengths) for _ in range(5000)) | Counter(lengths)
    stocks = [Stock(float(mm), mm) for mm in range(1800, 4801, 300)]
    start = time.process_time()
    plan = cut(demand, stocks, Saw(3.0))
    taken = time.process_time() - start
    assert plan.gap <= 0.0002
    assert taken < 30.0
    assert pieces(plan, Saw(3.0)) == demand


def test_the_same_plan_every_time() -> None:
    demand = {float(700 + 13 * n): 1 + n % 4 for n in range(30)}
    stocks = [Stock(float(mm), mm) for mm in range(1800, 4801, 300)]
    assert cut(demand, stocks, Saw(3.0)) == cut(demand, stocks, Saw(3.0))


@pytest.mark.parametrize("seed", range(6))
def test_packs_cost_no_more_than_with_rules_of_thumb(seed: int) -> None:
    """Packs are paid for whole: the plan is never dearer than boards filled by hand, of any one
    length, whatever the packs."""
    rng = random.Random(seed)
    demand = {float(rng.randint(600, 2300)): rng.randint(1, 9) for _ in range(8)}
    stocks = [Stock(float(mm), mm, None, rng.choice((1, 5, 10))) for mm in range(2400, 4801, 600)]
    saw = Saw(3.0)
    plan = cut(demand, stocks, saw)
    assert pieces(plan, saw) == Counter(demand)
    for stock in stocks:
        packs = -(-first_fit(demand, stock, saw) // stock.pack)
        assert plan.cost <= packs * stock.pack * stock.length + 1e-9


def test_work_that_runs_out_leaves_a_sound_plan() -> None:
    """Work is counted, not timed; with next to none the plan is that of a careful person."""
    rng = random.Random(7)
    demand = {float(rng.randint(600, 2300)): rng.randint(2, 9) for _ in range(40)}
    numbers = sorted((tenths(length) for length in demand), reverse=True)
    stock, saw = Stock(4800.0, 1), Saw(3.0)
    problem = CuttingProblem(
        tuple(number + 30 for number in numbers),
        tuple(demand[number / 10.0] for number in numbers),
        (stock,),
        (room(stock, saw),),
    )
    short = solve(problem, work=1)
    full = solve(problem)
    assert short.bound <= full.cost <= short.cost <= first_fit(demand, stock, saw)
    made = [sum(p[i] * count for _, p, count in short.patterns) for i in range(len(numbers))]
    assert made == list(problem.needs)


def test_a_forked_process_can_plan_after_its_parent() -> None:
    """Threads of the solver would be missing in the child, which then waited for them for ever."""
    demand = {float(700 + 13 * n): 1 + n % 4 for n in range(30)}
    stocks = [Stock(float(mm), mm) for mm in range(1800, 4801, 300)]
    plan = cut(demand, stocks, Saw(3.0))
    with multiprocessing.get_context("fork").Pool(1) as pool:
        again = pool.apply_async(cut, (demand, stocks, Saw(3.0))).get(timeout=60)
    assert again == plan
