"""Shaped top lines against closed form and scipy, and the pales cut for them."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize

from helpers import fence_of
from palewright.export.models.product import Product
from palewright.model.checks.building_checks import check
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.shapes import Plate
from palewright.model.layout.top_line import catenary, circle
from palewright.model.lists.takeoff import part_lines
from palewright.model.parts.members import PALE, Member
from palewright.model.solids.bodies import solid_of


@given(st.floats(200, 4000), st.floats(0.01, 0.99), st.floats(-1, 1))
def test_a_circular_arc_has_one_centre(half: float, ratio: float, share: float) -> None:
    """Every point of it is as far from the centre as the ends are: R = (c^2/4 + s^2) / 2s."""
    rise = half * ratio
    radius = (half**2 + rise**2) / (2 * rise)
    height = circle(half, rise, share * half)
    assert math.hypot(share * half, height - (rise - radius)) == pytest.approx(radius, rel=1e-9)
    assert circle(half, rise, 0.0) == pytest.approx(rise)
    assert circle(half, rise, half) == circle(half, rise, 2 * half) == 0.0


@given(st.floats(200, 4000), st.floats(0.01, 2.5), st.floats(-1, 1))
def test_a_catenary_agrees_with_scipys_solution(half: float, ratio: float, share: float) -> None:
    """y = a cosh(x / a), with the parameter found by scipy.optimize.brentq."""
    rise = half * ratio
    a = half / optimize.brentq(lambda s: (math.cosh(s) - 1) / s - ratio, 1e-9, 20.0, xtol=1e-15)
    hang = a * (math.cosh(half / a) - math.cosh(share * half / a))
    assert catenary(half, rise, share * half) == pytest.approx(hang, rel=1e-6, abs=1e-6)
    assert catenary(half, rise, 0.0) == pytest.approx(rise)
    assert catenary(half, rise, half) == 0.0


def shaped(shape: str, **more: Any) -> FenceModel:
    return fence_of(
        {
            "run": [{"points": [[0, 0], [5400, 0]]}],
            "posts": {"bay": 1800, "above_rail": 0},
            "rails": {"tops": [225, 600]},
            "pales": {"head": more.pop("head", "pointed"), "spaced": more.pop("spaced", "stretch")},
            "top_line": {"shape": shape, "rise": 120, **more},
        }
    )


def pales(fence: FenceModel) -> list[Member]:
    return sorted((m for m in fence.members if m.kind == PALE), key=lambda m: m.frame.origin[0])


@pytest.mark.parametrize("curve", ["circle", "catenary"])
@pytest.mark.parametrize(("shape", "sign"), [("dip", -1.0), ("arch", 1.0)])
def test_each_pale_is_as_long_as_the_curve_says(curve: str, shape: str, sign: float) -> None:
    fence = shaped(shape, curve=curve)
    height = circle if curve == "circle" else catenary
    for pale in pales(fence):
        x = pale.frame.origin[0]
        away = (x - 900.0) % 1800.0
        away = min(away, 1800.0 - away) if 0.0 < x < 5400.0 else 900.0
        assert pale.shape.size[2] == pytest.approx(
            900.0 + sign * height(900.0, 120.0, away), abs=1e-4
        )
        assert pale.frame.origin[2] == pytest.approx(50.0)


def test_symmetrical_pairs_share_a_mark() -> None:
    for spaced, over in (("stretch", "stretch"), ("stretch", "bay"), ("bay", "bay")):
        row = pales(shaped("dip", spaced=spaced, over=over))
        for one, other in zip(row, row[::-1], strict=True):
            assert one.mark == other.mark
        assert len({m.mark for m in row}) <= (len(row) + 1) // 2
    # bay by bay the inner bays are alike too
    inner = [m for m in row if 1800 < m.frame.origin[0] < 3600]
    for one, other in zip(inner, inner[::-1], strict=True):
        assert one.mark == other.mark


def test_whole_waves_fill_a_stretch() -> None:
    fence = shaped("wave", length=1700)
    for pale in pales(fence):
        x = min(max(pale.frame.origin[0], 0.0), 5400.0)
        trough = 120.0 * math.sin(math.pi * x / 1800.0) ** 2
        assert pale.shape.size[2] == pytest.approx(900.0 - trough, abs=1e-4)


def test_heads_are_set_to_the_pale_or_cut_along_the_curve() -> None:
    square = shaped("dip")
    for pale in pales(square):
        assert isinstance(pale.shape, Plate)
        tops = sorted(v[1] for v in pale.shape.outline.vertices)[-2:]
        assert tops[0] == pytest.approx(tops[1] - 50.0)  # the plain pointed head
    cut = shaped("dip", heads="curve")
    for pale in pales(cut):
        shape = pale.shape
        assert isinstance(shape, Plate)
        for edge in shape.outline.edges[2:-1]:  # the top, from right to left
            for share in (0.0, 0.5, 1.0):
                x = edge.start[0] + (edge.end[0] - edge.start[0]) * share
                z = edge.start[1] if share == 0.0 else edge.end[1]
                if share == 0.5:
                    x, z = edge.middle
                site = pale.frame.point((x, 0.0, z))
                at = site[0]
                bay = min(max(int(pale.frame.origin[0] // 1800), 0), 2)
                away = at - (bay * 1800.0 + 900.0)
                wanted = 950.0 - circle(900.0, 120.0, away)
                assert site[2] == pytest.approx(wanted, abs=2e-4)


def test_the_cutting_list_gives_both_sides_of_a_pale_cut_along_the_curve() -> None:
    fence = shaped("dip", heads="curve")
    lines = {line.mark: line for line in part_lines(fence)}
    for pale in pales(fence):
        assert isinstance(pale.shape, Plate)
        left, right = (
            max(z for x, z, _ in pale.shape.outline.vertices if x == side) for side in (-50, 50)
        )
        note = lines[pale.mark].note
        if abs(left - right) > 0.1:
            assert f"left side {left:.1f}".rstrip("0").rstrip(".") in note
            assert f"right side {right:.1f}".rstrip("0").rstrip(".") in note
        else:
            assert note == ""


def test_a_mirrored_pale_is_the_same_board_turned_round() -> None:
    fence = shaped("arch", heads="curve", over="stretch")
    row = pales(fence)
    for one, other in zip(row, row[::-1], strict=True):
        assert one.mark == other.mark
    turned = [m for m in row if m.frame.x[0] < 0.0]
    assert 0 < len(turned) < len(row)
    plane = -fence.layouts[0].run.pale_front
    for pale in row:  # all stand in one plane all the same
        ys = [pale.frame.point((0.0, y, 0.0))[1] for y in (0.0, 20.0)]
        assert sorted(ys) == pytest.approx([plane, plane + 20.0])
    built = Product(fence)
    for mark in {m.mark for m in row}:
        assert built.solids[mark].isValid()


def test_tops_that_cannot_be_are_found() -> None:
    codes = {f.code for f in check(shaped("dip", over="bay", rise=950))}
    assert "TOP-LINE-HIGH" in codes
    low = {f.code for f in check(shaped("dip", rise=330, curve="catenary"))}
    assert "RAIL-OVER-DIP" in low


@pytest.mark.parametrize("head", ["square", "round"])
@pytest.mark.parametrize(("rise", "fails"), [(200, True), (60, False)])
def test_a_cut_that_leaves_its_board_is_refused(head: str, rise: float, fails: bool) -> None:
    """A wave of 400 that rises by 200 runs out of a pale of 150; what passes is sound timber."""
    spec = {
        "run": [{"points": [[0, 0], [5400, 0]]}],
        "pales": {"width": 150, "gap": 20, "gap_max": 60, "length": 900, "head": head},
        "top_line": {"shape": "wave", "rise": rise, "length": 400, "heads": "curve"},
    }
    fence = fence_of(spec)
    codes = {finding.code for finding in check(fence) if finding.severity.value == "stop"}
    assert ("TOP-LINE-STEEP" in codes) is fails
    if not fails:
        for group in fence.by_mark.values():
            assert solid_of(group[0].shape).isValid()
