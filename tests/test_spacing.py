from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from palewright.model.layout.spacing import equal_bays, space_pales, standard_bays
from palewright.model.layout.stagger import stagger

LENGTH = st.floats(50, 200_000)


@given(LENGTH, st.floats(20, 200), st.floats(5, 150), st.floats(1, 2), st.sampled_from([0, 0.5, 1]))
def test_pales_are_whole_equal_and_close_the_stretch(
    length: float, width: float, wanted: float, over: float, share: float
) -> None:
    largest = wanted * over
    found = space_pales(length, width, wanted, largest=largest, at_start=share, at_end=share)
    if found.count == 0:
        assert length < width
        return
    edges = found.edges(width)
    assert edges[0] >= -1e-6
    used = edges[-1] + width + (found.gap * share if found.count > 1 or share else found.gap)
    assert used == pytest.approx(length, rel=1e-9, abs=1e-6)
    assert found.gap >= 0
    # no other count comes nearer to the wanted gap without passing the largest
    for count in range(max(1, found.count - 3), found.count + 4):
        parts = count - 1 + 2 * share
        if parts <= 0:
            continue
        gap = (length - count * width) / parts
        if found.gap <= largest and 0 <= gap <= largest:
            assert abs(gap - wanted) >= abs(found.gap - wanted) - 1e-6
        if found.gap > largest * (1 + 1e-9) and gap >= 0 and count > 1:
            assert gap > largest


@given(LENGTH, st.floats(100, 5000))
def test_bays_fill_the_length_and_keep_to_the_largest(length: float, bay: float) -> None:
    equal = equal_bays(length, bay)
    assert sum(equal) == pytest.approx(length, abs=1e-6)
    assert max(equal) <= bay * (1 + 1e-9)
    assert len(set(equal)) == 1
    standard = standard_bays(length, bay)
    assert sum(standard) == pytest.approx(length, abs=1e-6)
    assert set(standard[:-1]) <= {bay}
    assert 0 < standard[-1] <= bay * (1 + 1e-9)


def test_a_length_of_whole_bays_gets_no_splinter() -> None:
    assert equal_bays(5400.000000001, 1800.0) == pytest.approx((1800,) * 3)
    assert standard_bays(5400.000000001, 1800.0) == (1800.0,) * 3


@given(st.integers(1, 40), st.floats(500, 3000), st.floats(500, 8000), st.integers(1, 4))
def test_joints_fall_on_posts_and_are_staggered_where_stock_allows(
    bays: int, bay: float, stock: float, rows: int
) -> None:
    edges = [bay * number for number in range(bays + 1)]
    chosen = stagger(edges, stock, rows)
    for row in chosen:
        assert row[0] == 0
        assert row[-1] == bays
        assert all(b > a for a, b in zip(row, row[1:]))
        for a, b in zip(row, row[1:]):
            assert edges[b] - edges[a] <= stock + 1e-6 or b - a == 1
    for low, high in zip(chosen, chosen[1:]):
        if stock >= 2 * bay:
            assert not set(low[1:-1]) & set(high[1:-1])
