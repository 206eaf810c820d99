"""Kick boards: where they stand, what they are made of, and what is told of them."""

from __future__ import annotations

from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from test_pale_ways import flipped, problems, rebuilt_off, turned_about
from test_rebuild import NEAR

from helpers import fence_of
from palewright.export.drawing.draft.figures import Figures
from palewright.export.drawing.sets.materials_used import materials_used
from palewright.export.papers.offer_words import offered
from palewright.model.basis.findings import Severity
from palewright.model.checks.building_checks import check
from palewright.model.checks.clash_checks import clashes
from palewright.model.fence.fence_model import FenceModel
from palewright.model.order.fixings import fixing_lines
from palewright.model.order.order_lines import order
from palewright.model.parts.kick_boards import kick_fixings
from palewright.model.parts.members import KICK_BOARD, PALE
from palewright.model.strength.shown import outlines, shown_by_stretch

Data = dict[str, Any]

LEVEL = [[0, 0], [7200, 0], [7200, 4200], [9600, 4200]]
SLOPE = [[0, 0, 0], [7200, 0, 600], [7200, 4200, 300], [9600, 4200, 300]]

WAYS: dict[str, Data] = {
    "face": {},
    "between": {"kick_board": {"stands": "between"}},
    "rake": {"points": SLOPE},
    "rake between": {"points": SLOPE, "kick_board": {"stands": "between"}, "pales": {"on": "back"}},
    "arris": {"points": SLOPE, "rails": {"form": "arris", "section": [84, 42]}},
}


def spec(way: str) -> Data:
    data = {"kick_board": {}, **deepcopy(WAYS[way])}
    points = data.pop("points", LEVEL)
    return {"run": [{"points": points, "gate": [{"at": 3600, "opening": 1100}]}], **data}


@cache
def kicked(way: str) -> FenceModel:
    return fence_of(spec(way))


def boards(fence: FenceModel) -> list[Any]:
    return [member for member in fence.members if member.kind == KICK_BOARD]


@pytest.mark.parametrize("way", WAYS)
def test_nothing_stands_in_the_way_of_a_kick_board(way: str) -> None:
    fence = kicked(way)
    assert boards(fence)
    assert not [finding.code for finding in check(fence) if finding.severity is Severity.STOP]
    assert not list(clashes(fence))


@pytest.mark.parametrize("way", WAYS)
def test_it_is_parallel_to_the_ground_and_under_every_pale(way: str) -> None:
    fence = kicked(way)
    (layout,) = fence.layouts
    plan = layout.run.kick_board
    assert plan is not None
    assert plan.clearance == 30.0  # 5 over the concrete that slopes up to the posts
    assert layout.run.pales.clearance == plan.top + 10.0
    for member in boards(fence):
        leg = layout.legs[member.leg]
        for x in (0.0, member.shape.length):
            px, py, pz = leg.frame.local(member.frame.point((x, 0.0, 0.0)))
            assert -py == pytest.approx(plan.front(layout.run.face))
            assert pz - leg.ground(px) == pytest.approx(plan.clearance, abs=8.0)
    bottoms = [m.frame.origin[2] for m in fence.members if m.kind == PALE and m.leaf is not None]
    openings = layout.openings
    assert min(bottoms) - openings[0].base - layout.legs[0].start[2] == pytest.approx(60.0)


@pytest.mark.parametrize("way", ["face", "between"])
def test_its_length_is_that_of_the_bays(way: str) -> None:
    """On the face from end to end of each stretch, between from post to post; volumes by hand."""
    fence = kicked(way)
    whole = sum(member.shape.volume for member in boards(fence)) / (150.0 * 22.0)
    (layout,) = fence.layouts
    posts = [s.posts for s in layout.stretches]
    if way == "between":
        clear = sum(
            x1 - x0
            for s in layout.stretches
            for x0, x1 in zip(
                [p.extent(s.leg)[1] for p in s.posts], [p.extent(s.leg)[0] for p in s.posts[1:]],
                strict=False,
            )
        )  # fmt: skip
        assert whole == pytest.approx(clear)
    else:
        # 13.8 m of line, half posts at both ends, without the opening; the mitre outside a corner
        # adds as much to both legs at the board's middle as the one inside takes
        assert whole == pytest.approx(13_800.0 + 100.0 - 1100.0)
    assert posts


def test_lists_order_wind_and_words_know_it() -> None:
    fence = kicked("face")
    made = order(fence)
    lines = {line.item: line for line in made.lines}
    assert lines["fix kick board"].quantity == len(boards(fence))
    assert any("150 x 22" in item for item in lines)
    told = dict(offered(fence, made))
    assert told["Kick boards"] == (
        "150 \u00d7 22 mm, on the front of the posts, 30 mm over the ground."
    )
    (used, *_) = materials_used(fence, 0, fence.layouts[0], Figures())
    assert "timber kick boards 150 x 22 mm under them" in used
    bays = sum(len(stretch.settings) for stretch in fence.layouts[0].stretches)
    assert kick_fixings(fence.layouts[0]) == 4 * bays
    assert any(line.count >= 4 * bays for line in fixing_lines(fence) if "nail" in line.item)
    stretch = fence.layouts[0].stretches[0]
    shown = shown_by_stretch(outlines(fence)[0, 0, False], stretch)
    assert (shown.foot, shown.top) == pytest.approx((30.0, 1090.0))


@pytest.mark.parametrize(
    ("tables", "said"),
    [
        ({"kick_board": {"section": [22, 150]}}, "would lie flat"),
        ({"kick_board": {"clearance": 5}}, "30 mm or more"),
        ({"kick_board": {"stands": "between"}, "pales": {"clearance": 100, "on": "back"}},
         "in the pales' way: 180 mm or more"),
        ({"kick_board": {}, "rails": {"tops": [200, 800]}}, "lowest rail's underside"),
        ({"kick_board": {}, "slopes": {"fill": "board"}}, "there already"),
    ],
)  # fmt: skip
def test_what_a_kick_board_does_not_go_with_is_refused(tables: Data, said: str) -> None:
    messages = problems(**tables)
    assert len(messages) == 1
    assert said in messages[0]


def test_stepped_bays_are_refused() -> None:
    run = [{"points": [[0, 0, 0], [3600, 0, 300]]}]
    (message,) = problems(run=run, kick_board={}, slopes={"follow": "step"})
    assert 'slopes.fill = "board"' in message


@pytest.mark.parametrize("change", [flipped, turned_about])
@pytest.mark.parametrize("way", ["face", "rake between"])
def test_mirrored_and_reversed_fences_have_the_same_kick_boards(way: str, change: Any) -> None:
    sizes = [
        sorted(round(member.shape.volume, 1) for member in boards(fence))
        for fence in (kicked(way), fence_of(change(spec(way))))
    ]
    assert sizes[0] == pytest.approx(sizes[1], abs=1.0)


@pytest.mark.slow
@pytest.mark.parametrize("way", ["rake", "between"])
def test_kick_boards_are_built_again_from_the_sheets(way: str, tmp_path: Path) -> None:
    off = rebuilt_off(kicked(way), tmp_path / "kicked.dxf")
    assert max(off.values()) < NEAR, off
