"""Posts as they are shaped: tops, bevels, metal caps; round posts."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from helpers import fence_of
from palewright.model.basis.errors import SpecError
from palewright.model.checks.clash_checks import clashes
from palewright.model.checks.rule_findings import report
from palewright.model.geometry.convex import convex_parts, outer_points
from palewright.model.geometry.metal_caps import MetalCap
from palewright.model.geometry.post_shapes import Bevel, Post
from palewright.model.geometry.shapes import Bar, Shape
from palewright.model.geometry.skin_meshes import mesh_of_skin
from palewright.model.geometry.skin_shapes import skin_of
from palewright.model.geometry.top_cuts import (
    ChamferedTop,
    FlatTop,
    PyramidTop,
    RoundTop,
    WeatheredTop,
)
from palewright.model.lists.takeoff import post_count
from palewright.model.order.concrete_mix import DENSITY
from palewright.model.order.fixings import cut_ends, fixing_lines
from palewright.model.order.order_lines import order
from palewright.model.order.sawing import sawn
from palewright.model.parts.members import CONCRETE_POST, METAL_CAP, RAIL
from palewright.model.spec.post_keys import PostKind
from palewright.model.strength.assess import assess
from palewright.model.strength.post_strength import BEVELLED_INERTIA
from palewright.reading import job_of

BEVEL = Bevel(12.0, 20.0, ((700.0, 1100.0), (1200.0, 1500.0)))
SHARP = Bevel(15.0, 0.0, ((700.0, 1500.0),))

SHAPES: list[Shape] = [
    Post(100.0, 90.0, 1700.0, ChamferedTop(15.0)),
    Post(100.0, 90.0, 1700.0, RoundTop(25.0)),
    Post(100.0, 90.0, 1700.0, RoundTop(50.0)),
    *(Post(100.0, 90.0, 1700.0, top, BEVEL)
      for top in (FlatTop(), WeatheredTop(25.0), PyramidTop(30.0), ChamferedTop(20.0),
                  RoundTop(30.0))),
    Post(100.0, 100.0, 1700.0, RoundTop(30.0), SHARP),
    MetalCap(104.0, 94.0, 25.0, 12.0, 1.0),
    MetalCap(104.0, 94.0, 25.0, 0.0, 2.0),
]  # fmt: skip


@pytest.mark.parametrize("shape", SHAPES)
def test_volume_skin_and_solid_agree(shape: Shape) -> None:
    """The closed form, the mesh's own sum, and the kernel's solid."""
    from palewright.model.solids.bodies import solid_of

    solid = solid_of(shape)
    assert solid.isValid()
    assert solid.Volume() == pytest.approx(shape.volume, rel=1e-9)
    skin = skin_of(shape)
    assert skin is not None
    mesh = mesh_of_skin(skin)
    assert mesh is not None
    corners, triangles, _ = mesh
    a, b, c = (corners[triangles[:, n]] for n in range(3))
    assert np.einsum("ij,ij->", a, np.cross(b, c)) / 6.0 == pytest.approx(shape.volume, rel=1e-3)
    points = outer_points(shape)
    inside = [
        part.normals @ points.T <= part.offsets[:, None] + 1e-6 for part in convex_parts(shape)
    ]
    assert np.array([one.all(axis=0) for one in inside]).any(axis=0).all()


def posts(**told: Any) -> dict[str, Any]:
    run = {"points": [[0, 0], [5400, 0], [5400, 3000]], "gate": [{"at": 2700.0}]}
    return {"run": [run], "posts": told}


def test_bevels_keep_clear_of_ground_rails_and_top() -> None:
    """On a slope in steps as well, where the rails of the bays are at different heights."""
    run = {"points": [[0, 0, 0], [5400, 0, 500]]}
    told = {"bevel": {"size": 10.0}, "top": "pyramid", "above_rail": 200.0}
    fence = fence_of({"run": [run], "posts": told, "slopes": {"follow": "step"}})
    count = 0
    for post in fence.layouts[0].posts:
        shape = fence.of_post[0, post.label][0].shape
        assert isinstance(shape, Post)
        assert shape.bevel is not None
        ground = post.plan.embedment
        for low, high in shape.bevel.spans:
            count += 1
            assert low >= ground + 150.0
            assert high <= shape.shoulder - 75.0 + 1e-6
            for base in (post.rise, post.rise - post.step):
                for top in fence.layouts[0].run.rails.tops:
                    rail = ground + base + top - 75.0, ground + base + top
                    assert high <= rail[0] - 25.0 + 1e-3 or low >= rail[1] + 25.0 - 1e-3
    assert count > len(fence.layouts[0].posts)
    assert list(clashes(fence)) == []


def test_rails_that_slant_are_kept_clear_of_on_both_sides_of_a_post() -> None:
    """At 1 in 3 a rail is 33 mm higher at one side of a post of 100 mm than at the other."""
    spec = {"run": [{"points": [[0, 0, 0], [5400, 0, 1800]]}], "posts": {"bevel": {"size": 10.0}}}
    fence = fence_of(spec)
    post = fence.layouts[0].posts[1]
    shape = fence.of_post[0, post.label][0].shape
    assert isinstance(shape, Post)
    assert shape.bevel is not None
    rail = next(m for m in fence.members if m.kind == RAIL and m.role.startswith("rail 1"))
    assert isinstance(rail.shape, Bar)
    level, slope = rail.frame.origin[2], rail.frame.x[2] / rail.frame.x[0]
    for side in (-50.0, 50.0):
        under = level + slope * (post.frame.origin[0] + side - rail.frame.origin[0])
        over = under + 75.0 * math.hypot(1.0, slope) - post.frame.origin[2]
        assert shape.bevel.spans[0][0] - post.plan.embedment >= over + 25.0 - 1e-3


def test_gate_posts_keep_their_edges() -> None:
    fence = fence_of(posts(bevel={}, top="round", end={"bevel": {"size": 0.0}}))
    plans = {post.kind.value: post.plan for post in fence.layouts[0].posts}
    assert {kind for kind, plan in plans.items() if plan.bevel} == {"line", "corner"}
    assert list(clashes(fence)) == []


def test_metal_caps_are_bought_by_the_post_and_screwed() -> None:
    fence = fence_of(posts(top="metal-cap", gate={"top": "flat"}))
    caps = [member for member in fence.members if member.kind == METAL_CAP]
    lines = {line.item: line.count for line in fixing_lines(fence)}
    assert lines["metal post cap, for a post 100 x 100"] == len(caps) == 6
    plain = {line.item: line.count for line in fixing_lines(fence_of(posts(top="flat")))}
    with_caps, without = (
        sum(n for item, n in told.items() if item.startswith("ironmongery screw"))
        for told in (lines, plain)
    )
    assert 12 <= with_caps - without <= 13  # two each, and a few more are bought
    assert list(clashes(fence)) == []


def test_concrete_posts_are_bought_and_not_sawn() -> None:
    """Ordered each with what they weigh; no end grain, no finish, and no word of their strength."""
    told = {"material": "concrete", "gate": {"material": "timber"}}
    fence = fence_of({**posts(**told), "wind": {"velocity": 20.0, "terrain": "III"}})
    cast = [member for member in fence.members if member.kind == CONCRETE_POST]
    assert len(cast) == 6
    assert post_count(fence) == 8
    bought = order(fence)
    lines = {line.item: line.quantity for line in bought.lines}
    assert lines["concrete post 100 x 100 x 1492, top falls 25 mm to the back"] == 6
    assert lines["set post"] == 8
    assert not any(mark.startswith("CP") for pieces in sawn(fence).values() for mark in pieces)
    weight = bought.weights.each[cast[0].mark]
    assert weight == pytest.approx(cast[0].shape.volume / 1e9 * DENSITY)
    assert bought.weights.cast == pytest.approx(6 * weight)
    timber = fence_of(posts())
    assert cut_ends(timber).area - cut_ends(fence).area == pytest.approx(6 * 0.01)
    seen = {str(use.placed.kind) for use in assess(fence).posts}
    assert seen == {"gate"}
    assert any("concrete posts in the wind" in line for line in report(fence)[1])
    assert list(clashes(fence)) == []


@pytest.mark.parametrize("form", ["arris", "between"])
def test_rails_are_bolted_to_concrete_posts(form: str) -> None:
    spec = {"run": [{"points": [[0, 0], [3600, 0]]}], "posts": {"material": "concrete"}}
    with pytest.raises(SpecError, match="rails are bolted to concrete posts"):
        job_of({**spec, "rails": {"form": form}}, {}, "spec", Path())


@pytest.mark.parametrize(
    "boards", [{"kick_board": {"stands": "face"}}, {"slopes": {"follow": "step", "fill": "board"}}]
)
def test_no_boards_are_nailed_to_concrete_posts(boards: dict[str, Any]) -> None:
    spec = {"run": [{"points": [[0, 0], [3600, 0]]}], "posts": {"material": "concrete"}}
    with pytest.raises(SpecError, match="boards at the foot are nailed to timber posts"):
        job_of({**spec, **boards}, {}, "spec", Path())


KINDS_SAY: dict[str, Any] = {
    "section": [150.0, 140.0], "embedment": 900.0, "above_rail": 120.0, "top": {"shape": "flat"},
    "finial": {"shape": "ball"}, "hole": 450.0, "bevel": {"size": 0.0}, "material": "timber",
    "foot": {"shape": "hole"},
}  # fmt: skip


def test_all_that_kinds_of_posts_say_holds_for_those_of_gates() -> None:
    """Whether for all gates or for one; each key that a kind of posts has."""
    assert set(KINDS_SAY) == set(PostKind.model_fields)
    usual = fence_of(posts()).job.runs[0].posts.gate
    for key, value in KINDS_SAY.items():
        below = {"top": "flat"} if key == "finial" else {}
        of_all = posts(gate={key: value}, **below)
        of_one = posts(**below)
        of_one["run"][0]["gate"][0]["post"] = {key: value}
        plans = [fence_of(data).job.runs[0].posts.gates[0] for data in (of_all, of_one)]
        assert plans[0] == plans[1], key
        if key not in ("material", "foot", "bevel"):  # which say here what goes without saying
            assert plans[0] != usual, key


def test_wind_is_held_against_the_bevelled_section() -> None:
    """An octagon's modulus, by the second moment of its polygon: Steiner's shoelace sum."""
    c, w = 15.0, 100.0
    loop = [(c, 0), (w - c, 0), (w, c), (w, w - c), (w - c, w), (c, w), (0, w - c), (0, c)]
    spots = [(x - w / 2.0, y - w / 2.0) for x, y in loop]
    second = sum(
        (x0 * y1 - x1 * y0) * (y0 * y0 + y0 * y1 + y1 * y1) / 12.0
        for (x0, y0), (x1, y1) in zip(spots, [*spots[1:], spots[0]])
    )
    formula = BEVELLED_INERTIA.value({"b": w, "d": w, "c": c})
    assert formula == pytest.approx(second)


@pytest.mark.parametrize(
    ("told", "message"),
    [
        ({"top": {"shape": "chamfered", "size": 50}}, "posts.top: chamfers of 50 mm leave nothing"),
        ({"top": {"shape": "round", "rise": 51}}, "a round top rises 50 mm at most"),
        ({"top": "metal-cap", "above_rail": 20}, "the cap's sides come 25 mm down"),
        ({"top": "metal-cap", "finial": "ball"}, "no finial stands on a metal cap"),
        ({"bevel": {"size": 26}}, "posts.bevel.size: 26 mm is more than a quarter of 100 mm"),
        ({"bevel": {"from_ground": 900}}, "posts.bevel: rails leave no 80 mm of the post free"),
        ({"top": "metal-cap", "bevel": {"from_top": 10}}, "posts.bevel.from_top: the cap's sides"),
        ({"gate": {"bevel": {}}}, "posts.gate.bevel: posts of gates keep their edges"),
        ({"material": "concrete"}, "posts.gate.material: gates hang on timber posts"),
        ({"end": {"material": "concrete"}, "top": "cap"}, "no cap or finial stands on them"),
        (
            {"end": {"material": "concrete"}, "bevel": {}},
            "concrete posts are cast as they",
        ),
    ],
)
def test_what_cannot_be_made_is_refused(told: dict[str, Any], message: str) -> None:
    with pytest.raises(SpecError) as caught:
        job_of(posts(**told), {}, "spec", Path())
    assert len(str(caught.value).splitlines()) == 1
    assert message in str(caught.value)
