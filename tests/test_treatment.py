"""Use classes by where timber stands, and finishes by kind of member."""

from __future__ import annotations

from typing import Any

import pytest

from helpers import fence_of
from palewright.export.models.finishes import finish_of
from palewright.export.models.product import Product
from palewright.export.page.choices import choices_data
from palewright.export.papers.offer_words import finish_words
from palewright.model.order.fence_figures import finished_parts, own_finish, painted_areas
from palewright.model.order.order_lines import order
from palewright.model.order.sawing import in_ground, section_of
from palewright.model.parts.members import BOARD, CAP, LEDGE, PALE, POST, RAIL, STILE
from palewright.model.spec.paper_keys import Finishes

GATED: dict[str, Any] = {
    "run": [{"points": [[0, 0], [7200, 0]], "gate": [{"at": 3600, "opening": 1100}]}]
}
SLOPED: dict[str, Any] = {
    "run": [{"points": [[0, 0, 0], [5400, 0, 500]]}],
    "slopes": {"follow": "step", "fill": "board"},
}


@pytest.mark.parametrize(
    ("keys", "buried"),
    [
        ({}, {"post"}),
        ({"pales": {"clearance": -30}}, {"post", "pale"}),
        ({"pales": {"clearance": 0}}, {"post", "pale"}),
    ],
)
def test_use_class_follows_from_where_timber_stands(keys: dict[str, Any], buried: set[str]) -> None:
    fence = fence_of(GATED | keys)
    sawn = [member for member in fence.members if member.kind.sawn]
    assert {m.kind.name for m in sawn if in_ground(fence, m)} == buried
    for member in sawn:
        number = 4 if in_ground(fence, member) else 3
        assert section_of(fence, member).use_class == f"use class {number}"
    assert not any(in_ground(fence, m) for m in sawn if m.leaf is not None)


@pytest.mark.parametrize(("clearance", "buried"), [(10, False), (0, True)])
def test_gravel_boards_on_the_ground_are_use_class_4(clearance: float, buried: bool) -> None:
    fence = fence_of(SLOPED | {"slopes": SLOPED["slopes"] | {"board_clearance": clearance}})
    boards = [member for member in fence.members if member.kind == BOARD]
    assert boards
    assert {in_ground(fence, board) for board in boards} == {buried}


def test_each_kind_may_have_a_finish_of_its_own() -> None:
    told = {"posts": "treated brown", "pales": "white paint", "frames": "brown stain"}
    fence = fence_of(GATED | {"finishes": told})
    finishes = fence.job.finishes
    assert {kind.name: finish_of(kind, finishes).name for kind in (POST, PALE, RAIL, LEDGE)} == {
        "post": "treated brown", "pale": "white paint", "rail": "plain",
        "gate ledge": "brown stain",
    }  # fmt: skip
    assert {own_finish(kind, finishes) for kind in (LEDGE, STILE)} == {"brown stain"}
    assert own_finish(CAP, finishes) is None
    assert finished_parts(fence)["brown stain"] == ("gate frames",)
    assert finish_words(fence) == (
        "Posts treated brown; pales white paint; gate frames brown stain; two coats."
    )
    items = {line.item for line in order(fence).lines}
    assert {"white paint", "brown stain"} <= items
    assert any("100 x 100 use class 4 treated brown" in item for item in items)
    assert set(painted_areas(fence)) == {"treated brown", "white paint", "plain", "brown stain"}


def test_finishes_as_they_were_say_what_they_said() -> None:
    fence = fence_of(GATED | {"finishes": {"pales": "white paint"}})
    assert finished_parts(fence) == {}
    assert finish_words(fence) == "White paint, two coats."
    (data,) = choices_data([("garden", Product(fence))], ordered=False)
    assert data["finished"] == {"pales": "white paint", "rails": "plain", "posts": "treated"}
    assert Finishes().frames is None
