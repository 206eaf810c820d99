"""Line posts between fixed ones: fewest bays, then most equal, clear of zones, against solvers."""

from __future__ import annotations

import itertools
import random
import time
from collections.abc import Iterator

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linprog, lsq_linear, minimize

from palewright.model.layout.post_setting import (
    Between,
    NoWayError,
    equal_posts,
    fewest_bays,
    full_posts,
    joined,
)

ROUNDING = 1e-4


def _rooms(count: int) -> Iterator[Between]:
    dice = random.Random(20)
    for _ in range(count):
        length = dice.randint(2000, 9000)
        starts = [dice.uniform(-200.0, length) for _ in range(dice.randint(0, 4))]
        zones = joined((start, start + dice.uniform(50.0, 1400.0)) for start in starts)
        largest, least = dice.choice((1500.0, 1800.0, 2400.0)), dice.choice((100.0, 400.0))
        yield Between(0.0, float(length), largest, least, tuple(zones))


def _tried(room: Between) -> tuple[int, float] | None:
    """Every way to share posts among the clear parts, each a convex problem for a solver."""
    if room.end - room.start <= room.largest:
        return 1, (room.end - room.start) ** 2
    clear, x = [], room.start
    for low, high in room.closed:
        if low >= x:
            clear.append((x, min(low, room.end)))
        x = max(x, high)
    if x <= room.end:
        clear.append((x, room.end))
    for bays in range(2, 9):
        ways = itertools.combinations_with_replacement(clear, bays - 1)
        sums = [total for way in ways if (total := _evened(room, way)) is not None]
        if sums:
            return bays, min(sums)
    return None


def _evened(room: Between, way: tuple[tuple[float, float], ...]) -> float | None:
    """The least sum of squares of bays with a post in each part, None where none is allowed."""
    posts = len(way)
    low, high = np.array(way).T
    high = np.maximum(low, high)
    steps = np.zeros((posts + 1, posts))
    steps[range(posts), range(posts)] = 1.0
    steps[range(1, posts + 1), range(posts)] = -1.0
    ends = np.zeros(posts + 1)
    ends[0], ends[-1] = -room.start, room.end
    limits = np.vstack([steps, -steps])
    bounds = np.concatenate([room.largest - ends, ends - room.least]) + 1e-6
    spans = list(zip(low, high, strict=True))
    some = linprog(np.zeros(posts), A_ub=limits, b_ub=bounds, bounds=spans)
    if some.status != 0:
        return None
    free = lsq_linear(steps, -ends, bounds=(low - 1e-9, high + 1e-9), tol=1e-14)
    bays = steps @ free.x + ends
    if bays.max() <= room.largest + 1e-3 and bays.min() >= room.least - 1e-3:
        return float(bays @ bays)
    bound = minimize(
        lambda x: float(((steps @ x + ends) ** 2).sum()) / 1e6,
        some.x,
        jac=lambda x: 2.0 * steps.T @ (steps @ x + ends) / 1e6,
        bounds=spans,
        constraints=[{"type": "ineq", "fun": lambda x: bounds - limits @ x}],
        method="SLSQP",
        options={"maxiter": 500, "ftol": 1e-14},
    )
    return float(bound.fun) * 1e6


def _lengths(room: Between, posts: tuple[float, ...]) -> list[float]:
    return [b - a for a, b in itertools.pairwise([room.start, *posts, room.end])]


def _allowed(room: Between, posts: tuple[float, ...]) -> bool:
    bays = _lengths(room, posts)
    zones = [(low + ROUNDING, high - ROUNDING) for low, high in room.closed]
    inside = all(not low < x < high for x in posts for low, high in zones)
    short = len(bays) == 1 or min(bays) >= room.least - ROUNDING
    return inside and short and max(bays) <= room.largest + ROUNDING


@pytest.mark.slow
def test_posts_are_as_few_and_as_even_as_any_way_to_set_them() -> None:
    impossible = 0
    for room in _rooms(300):
        best = _tried(room)
        if best is None:
            impossible += 1
            with pytest.raises(NoWayError):
                equal_posts(room)
            continue
        posts = equal_posts(room)
        assert _allowed(room, posts), room
        total = sum(bay * bay for bay in _lengths(room, posts))
        assert len(posts) + 1 == best[0], room
        assert total == pytest.approx(best[1], rel=1e-5), room
    assert impossible > 5  # both answers are met


@given(st.integers(0, 299))
def test_full_bays_are_as_few_and_go_as_far_as_they_can(number: int) -> None:
    room = next(itertools.islice(_rooms(300), number, None))
    try:
        posts = full_posts(room)
    except NoWayError:
        return
    assert _allowed(room, posts)
    assert len(posts) + 1 == fewest_bays(room)
    for place, x in enumerate(posts):
        # no post could stand farther and leave as many bays for the rest
        last = posts[place - 1] if place else room.start
        far = min(last + room.largest, room.end - room.least)
        further = [edge for zone in room.closed for edge in zone if x + 1.0 < edge < far]
        if room.clear(far) and far > x + 1.0:
            further.append(far)
        for edge in further:
            rest = Between(edge, room.end, room.largest, room.least, room.closed)
            try:
                assert fewest_bays(rest) > len(posts) - place or not room.clear(edge)
            except NoWayError:
                continue


@given(st.integers(0, 299))
def test_seen_from_the_other_end_bays_are_as_even(number: int) -> None:
    room = next(itertools.islice(_rooms(300), number, None))
    try:
        posts = equal_posts(room)
    except NoWayError:
        with pytest.raises(NoWayError):
            equal_posts(room.mirrored())
        return
    back = equal_posts(room.mirrored())
    sums = [sum(bay * bay for bay in _lengths(room, places)) for places in (posts, back)]
    assert sums[0] == pytest.approx(sums[1], rel=1e-9)


def test_a_long_run_with_many_zones_takes_no_second() -> None:
    dice = random.Random(3)
    starts = [number * 4800.0 + dice.uniform(0.0, 3000.0) for number in range(40)]
    zones = tuple(joined((start, start + dice.uniform(100.0, 1700.0)) for start in starts))
    room = Between(0.0, 200_000.0, 1800.0, 300.0, zones)
    for way in (equal_posts, full_posts):
        began = time.process_time()
        posts = way(room)
        assert time.process_time() - began < 1.0
        assert _allowed(room, posts)


def test_without_zones_bays_are_equal() -> None:
    room = Between(0.0, 12_000.0, 1800.0, 300.0, ())
    assert _lengths(room, equal_posts(room)) == pytest.approx([12_000.0 / 7.0] * 7)
    assert _lengths(room, full_posts(room)) == pytest.approx([1800.0] * 6 + [1200.0])


def test_the_edge_of_a_zone_is_allowed() -> None:
    room = Between(0.0, 3000.0, 2000.0, 100.0, ((900.0, 2000.0),))
    assert equal_posts(room) == pytest.approx((2000.0,))
    with pytest.raises(NoWayError) as caught:
        equal_posts(Between(0.0, 3900.0, 2000.0, 100.0, ((1500.0, 3600.0),)))
    assert caught.value.reached == pytest.approx(1500.0)
