"""Rails by how they are held to their posts: where they stand, what holds them, what is refused."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from scipy.optimize import linprog
from scipy.spatial import ConvexHull, HalfspaceIntersection

from helpers import fence_of
from palewright.export.drawing.views.projection import project
from palewright.export.tables.machining_tables import machining_table
from palewright.model.basis.errors import SpecError
from palewright.model.checks.building_checks import check
from palewright.model.checks.clash_checks import clashes
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.convex import ConvexPart, convex_parts
from palewright.model.geometry.frames import Frame
from palewright.model.geometry.shapes import Tenoned
from palewright.model.geometry.skin_meshes import mesh_of_skin
from palewright.model.geometry.skin_shapes import skin_of
from palewright.model.order.fixings import fixing_lines
from palewright.model.parts.members import BOLT, BRACKET, POST, RAIL, Member
from palewright.model.parts.tenoned_rails import rail_tenon
from palewright.model.solids.bodies import solid_of
from palewright.model.strength.post_strength import checked_post
from palewright.model.strength.rail_strength import checked_rail
from palewright.model.strength.run_wind import run_winds
from palewright.model.strength.tenon_strength import FACTOR
from palewright.reading import job_of

BEND = {"points": [[0, 0], [5400, 0], [5400, 3600], [8000, 6200]]}
STRAIGHT = {"points": [[0, 0], [5400, 0]]}
GATED = {
    "points": [[0, 0], [7200, 0], [7200, 4000]],
    "levels": [[0, 0], [7200, 500], [11200, 300]],
    "gate": [{"at": 2700.0}],
}


def with_rails(run: dict[str, Any] = BEND, **rails: Any) -> dict[str, Any]:
    return {"run": [run], "rails": rails}


def of(fence: FenceModel, kind: object) -> list[Member]:
    return [member for member in fence.members if member.kind == kind]


def refused(data: dict[str, Any]) -> str:
    with pytest.raises(SpecError) as error:
        job_of(data, {}, "spec.toml", Path())
    return str(error.value)


@pytest.mark.parametrize(("set_in", "setback"), [("flush", 0.0), ("centred", 31.0)])
def test_rails_between_posts_end_on_their_sides_behind_a_bracket(
    set_in: str, setback: float
) -> None:
    fence = fence_of(
        with_rails(GATED, form="between", set_in=set_in) | {"slopes": {"follow": "rake"}}
    )
    run = fence.layouts[0].run
    assert run.rails.faces(run.face) == (50.0 - setback - 38.0, 50.0 - setback)
    assert list(clashes(fence)) == []
    rails, brackets = of(fence, RAIL), of(fence, BRACKET)
    bays = sum(len(stretch.settings) for stretch in fence.layouts[0].stretches)
    assert len(rails) == 2 * bays
    assert len(brackets) == 2 * len(rails)
    assert not of(fence, BOLT)
    for stretch in fence.layouts[0].stretches:
        for bay, rail in enumerate(stretch.bay_rails):
            length = stretch.xs[bay + 1] - stretch.xs[bay]
            sides = [post.plan.width / 2.0 for post in stretch.posts[bay : bay + 2]]
            if abs(rail.left) + abs(rail.right) == 0.0:
                assert rail.x1 - rail.x0 == pytest.approx(length - sum(sides), abs=20.0)
    lines = {line.item: line for line in fixing_lines(fence)}
    assert lines["rail bracket"].count == len(brackets)


def test_pales_on_rails_set_in_stand_between_the_posts() -> None:
    fence = fence_of(with_rails(form="between", set_in="centred"))
    run = fence.layouts[0].run
    assert run.between_posts
    assert run.pale_front == pytest.approx(50.0 - 31.0 + 20.0)
    flush = fence_of(with_rails(form="between"))
    assert not flush.layouts[0].run.between_posts
    assert flush.layouts[0].run.pale_back == 50.0


def test_brackets_fit_corners_of_any_turn() -> None:
    """One leg on the rail's back, the other along the post's side, whichever way that goes."""
    fence = fence_of(with_rails(form="between"))
    angles = {round(math.degrees(math.atan2(*_leg(m)[::-1])), 1) for m in of(fence, BRACKET)}
    assert 90.0 in angles
    assert len(angles) > 1  # at the corner of 45 degrees the post stands askew
    assert list(clashes(fence)) == []


def _leg(bracket: Member) -> tuple[float, float]:
    """Return where the end of a bracket's leg on the post is from its corner."""
    x, y, _ = max(bracket.shape.outline.vertices, key=lambda v: v[1])
    return abs(x), y


@pytest.mark.parametrize("notch", [38.0, 25.0])
def test_notched_rails_lie_in_the_posts_faces(notch: float) -> None:
    """Their room in the posts is the notch: as deep as told, over the whole width of the post."""
    told = {} if notch == 38.0 else {"notch": notch}
    fence = fence_of(with_rails(form="notched", **told))
    run = fence.layouts[0].run
    assert run.rails.faces(run.face) == (50.0 - notch, 50.0 - notch + 38.0)
    assert run.pale_back == 50.0 + 38.0 - notch
    assert list(clashes(fence)) == []
    rail = of(fence, RAIL)[0]
    assert -rail.frame.origin[1] == pytest.approx(50.0 - notch + 38.0)
    bolts = {bolt.shape.grip for bolt in of(fence, BOLT)}  # type: ignore[union-attr]
    assert min(bolts) == pytest.approx(100.0 + 38.0 - notch)


def test_a_rail_that_is_not_let_in_still_clashes_with_a_post() -> None:
    fence = fence_of(with_rails())
    deeper = [
        replace(m, frame=m.frame @ Frame.at(0.0, 20.0, 0.0)) if m.kind == RAIL else m
        for m in fence.members
    ]
    found = clashes(replace(fence, members=tuple(deeper)))
    assert any({one.kind, other.kind} == {RAIL, POST} for one, other, _ in found)


def test_a_notched_post_is_checked_with_what_is_left_of_it() -> None:
    def used(**rails: Any) -> float:
        fence = fence_of(with_rails(**rails) | {"wind": {"velocity": 22.0}})
        named = "bending of the post at its lowest bolt"
        return max(
            check.utilisation
            for wind in run_winds(fence)
            for number, post in enumerate(wind.layout.posts)
            if post.footing is not None
            for _, checks in checked_post(wind, number)
            for check in checks
            if check.name == named
        )

    assert used(form="notched", notch=30.0) / used() == pytest.approx((100.0 / 70.0) ** 2, rel=0.02)


TENONED = {"form": "mortised", "tenon": [50, 22]}


def a_tenoned_rail(**rails: Any) -> Tenoned:
    """Return a rail between line posts; at end posts a tenon has the mortise for itself."""
    shapes = [m.shape for m in of(fence_of(with_rails(STRAIGHT, **rails)), RAIL)]
    shape = min(shapes, key=lambda rail: rail.volume)
    assert isinstance(shape, Tenoned)
    return shape


@pytest.mark.parametrize(
    ("meet", "volume"), [("butt", 50 * 22 * 50), ("lap", 50 * 11 * 100), ("scarf", 50 * 11 * 100)]
)
def test_tenons_fill_the_mortise_between_them(meet: str, volume: float) -> None:
    """Of a mortise through a post 100 wide two tenons fill all, however they meet."""
    rail = a_tenoned_rail(**TENONED, tenons_meet=meet)
    assert [tenon.volume for tenon in rail.tenons] == pytest.approx([volume, volume])
    assert rail.volume == pytest.approx(rail.bar.volume + 2.0 * volume)
    long = 50.0 if meet == "butt" else 100.0
    assert rail.size[2] == pytest.approx(rail.bar.size[2] + 2.0 * long)
    fence = fence_of(with_rails(GATED, **TENONED, tenons_meet=meet))
    assert list(clashes(fence)) == []


@pytest.mark.parametrize("meet", ["butt", "lap", "scarf"])
@pytest.mark.parametrize("tenon", [[50, 22], [75, 22], [75, 38]])
def test_solids_of_tenoned_rails_are_closed_and_as_large(meet: str, tenon: list[float]) -> None:
    """With shoulders all round, at front and back alone, and with none."""
    told = {"form": "mortised", "tenon": tenon, "tenons_meet": meet}
    fence = fence_of(with_rails(GATED, **told) | {"slopes": {"follow": "rake"}})
    shapes = {m.shape for m in of(fence, RAIL)}
    for shape in shapes:
        assert isinstance(shape, Tenoned)
        skin = skin_of(shape)
        assert skin is not None
        made = mesh_of_skin(skin)
        assert made is not None
        mesh = trimesh.Trimesh(made[0], made[1], process=False)
        assert mesh.is_watertight
        assert mesh.volume == pytest.approx(shape.volume, rel=1e-6)
        assert sum(part_volume(part) for part in convex_parts(shape)) == pytest.approx(
            shape.volume, rel=1e-5
        )
    solid = solid_of(shapes.pop())
    assert solid.isValid()


def part_volume(part: ConvexPart) -> float:
    """Volume of the room within planes, by the corners at which they meet."""
    inner = linprog([0, 0, 0, -1], np.column_stack([part.normals, np.ones(len(part.normals))]),
                    part.offsets, bounds=(None, None)).x[:3]  # fmt: skip
    planes = np.column_stack([part.normals, -part.offsets])
    return float(ConvexHull(HalfspaceIntersection(planes, inner).intersections).volume)


@pytest.mark.parametrize("meet", ["butt", "lap", "scarf"])
def test_mortises_cut_in_posts_are_as_large_as_the_tenons(meet: str) -> None:
    """A line post loses what two rails at each height leave in it: the whole mortise."""
    fence = fence_of(
        with_rails({"points": [[0, 0], [4000, 0]]}, **TENONED, tenons_meet=meet)
        | {"joinery": {"cut": True}}
    )
    taken = sorted(m.shape.volume - m.finished.volume for m in of(fence, POST))
    whole = 2.0 * 50.0 * 22.0 * 100.0
    end = whole / 2.0 if meet == "butt" else whole
    assert taken == pytest.approx([end, end, whole, whole], rel=1e-6)
    for worked in {m.finished for m in of(fence, POST)}:
        assert skin_of(worked) is not None
    faces = {(row[0], row[3]) for row in machining_table(fence)[1:]}
    assert len(faces) == len({mark for mark, _ in faces})  # a post is bored from one side


def test_mortises_within_posts_are_not_drawn_on_their_fronts() -> None:
    """Seen from the front a post with mortises from side to side has one loop."""
    fence = fence_of(
        with_rails({"points": [[0, 0], [4000, 0]]}, **TENONED) | {"joinery": {"cut": True}}
    )
    front, side = (Frame((0.0, 0.0, 0.0), x, y) for x, y in (
        ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0)), ((0.0, 1.0, 0.0), (-1.0, 0.0, 0.0)),
    ))  # fmt: skip
    post = next(m for m in of(fence, POST) if len(m.cuts) > 1)
    flat = replace(post, cuts=())
    assert len(project(post, front).loops) == len(project(flat, front).loops)
    mouths, floors = 2, 2
    assert len(project(post, side).loops) == len(project(flat, side).loops) + mouths + floors


@pytest.mark.parametrize("turn", [-150.0, 135.0])
def test_no_notches_where_a_corner_is_so_sharp_that_they_meet(turn: float) -> None:
    a = math.radians(turn)
    points = [[0, 0], [4000, 0], [4000 + 4000 * math.cos(a), 4000 * math.sin(a)]]
    with pytest.raises(SpecError, match="leave loose pieces of the corner post; 120 at most"):
        job_of(with_rails({"points": points}, form="notched"), {}, "spec", Path())


def test_notches_cut_in_posts_are_as_large_as_told() -> None:
    fence = fence_of(
        with_rails({"points": [[0, 0], [4000, 0]]}, form="notched", notch=25.0)
        | {"joinery": {"cut": True}}
    )
    holes = 2.0 * math.pi * 11.0**2 / 4.0 * 75.0
    for post in of(fence, POST):
        taken = post.shape.volume - post.finished.volume
        assert taken >= 2.0 * 75.0 * 100.0 * 25.0
        assert taken == pytest.approx(2.0 * 75.0 * 100.0 * 25.0 + holes, rel=0.1)


def test_tenons_in_a_corner_post_are_mitred() -> None:
    """The room of both tenons in the post is on either side of the mitre, and both reach it where
    they are long enough.
    """
    fence = fence_of(with_rails(BEND, **TENONED, tenons_meet="lap"))
    first, second = fence.layouts[0].stretches[:2]
    run = fence.layouts[0].run
    tenons = (
        rail_tenon(run, first, len(first.settings) - 1, right=True),
        rail_tenon(run, second, 0, right=False),
    )
    for tenon in tenons:
        assert tenon is not None
        assert 25.0 < tenon.length < 100.0
    assert list(clashes(fence)) == []
    assert "TENON-SHORT" not in {finding.kind.code for finding in check(fence)}


def test_a_tenon_cut_short_inside_a_corner_is_found() -> None:
    """Rails flush with the posts: inside a corner the tenons meet 12 to 34 mm from the shoulder."""
    inside = {"points": [[0, 0], [5400, 0], [5400, 3600]], "front": "left"}
    told = {"form": "mortised", "set_in": "flush", "section": [75, 34], "tenon": [50, 22]}
    found = {finding.kind.code for finding in check(fence_of(with_rails(inside, **told)))}
    assert "TENON-SHORT" in found
    outside = check(fence_of(with_rails(inside | {"front": "right"}, **told)))
    assert "TENON-SHORT" not in {finding.kind.code for finding in outside}


@pytest.mark.parametrize(("thick", "factor"), [(75.0, 0.638), (50.0, 0.486)])
def test_a_tenon_is_checked_as_a_notched_beam(thick: float, factor: float) -> None:
    """The factor of a beam 100 deep, 50 from its support to the notch (facts from 6.62)."""
    given = {"h": 100.0, "hef": thick, "x": 50.0}
    assert FACTOR.value(given) == pytest.approx(factor, abs=1e-3)


def test_tenons_and_mortises_count_in_the_wind() -> None:
    def checks(**rails: Any) -> dict[str, float]:
        fence = fence_of(with_rails(STRAIGHT, **rails) | {"wind": {"velocity": 22.0}})
        found: dict[str, float] = {}
        for wind in run_winds(fence):
            for order, beams in enumerate(wind.beams):
                for beam in beams:
                    for one in checked_rail(wind, order, beam, fence.job.fixings)[1]:
                        found[one.name] = max(one.utilisation, found.get(one.name, 0.0))
            for number, post in enumerate(wind.layout.posts):
                for _, ones in checked_post(wind, number) if post.footing else ():
                    for one in ones:
                        found[one.name] = max(one.utilisation, found.get(one.name, 0.0))
        return found

    thin, whole = checks(**TENONED), checks(form="mortised")
    assert thin["shear of the rail's tenon"] > whole["shear of the rail's tenon"] > 0.0
    mortise = "bending of the post at its lowest mortise"
    less = (1.0 - 0.22**3) / (1.0 - 0.38**3)
    assert whole[mortise] / thin[mortise] == pytest.approx(less, rel=0.01)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (with_rails(form="between", set_in="centred", section=[75, 60]), "20 mm of the posts'"),
        (with_rails(form="between", section=[75, 90]), "thinner rails, thicker posts"),
        (with_rails(set_in="centred"), 'form is "face"'),
        (with_rails(form="mortised", tenon=[80, 22]), "larger than the rails, 75 x 38 mm"),
        (with_rails(form="mortised", section=[75, 55]), "at most 50 mm"),
        (with_rails(form="mortised", set_in="flush"), "in front of the tenons"),
        (with_rails(form="mortised", tenon_length=60.0), "do not go into posts 100 mm wide"),
        (with_rails(form="mortised", corners="butt"), "are mitred in a corner post"),
        (with_rails(BEND | {"ends": "wall"}, form="mortised"), "takes no mortise"),
        (with_rails(tenon=[50, 22]), 'form is "mortised"'),
        (with_rails(form="notched", section=[75, 55]), "takes over half of a post"),
        (with_rails(form="notched", notch=45.0), "deeper than the rails are thick"),
        (with_rails(notch=20.0), 'form is "notched"'),
        (with_rails(form="between") | {"pales": {"on": "back"}}, "their brackets"),
    ],
)  # fmt: skip
def test_what_cannot_be_made_is_refused(data: dict[str, Any], words: str) -> None:
    assert words in refused(data)
