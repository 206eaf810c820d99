"""Ways to turn a corner at any angle, and ends at walls."""

from __future__ import annotations

import math
from itertools import combinations, product
from typing import Any

import cadquery as cq
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from helpers import fence_of
from palewright.export.models.product import Product
from palewright.model.basis.findings import Severity
from palewright.model.checks.building_checks import check
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.heads import Ogee, Pointed, Round, pale_outline
from palewright.model.geometry.outlines import Outline
from palewright.model.geometry.shapes import Plate
from palewright.model.parts.members import (
    ANCHOR,
    BOLT,
    BRACKET,
    FOOTING,
    PALE,
    POST,
    RAIL,
    WALL_PLATE,
    Member,
)
from palewright.model.parts.posts import anchor_heights
from palewright.model.solids.bodies import solid_of
from palewright.reading import parse_job

ANGLES = (35, 60, 90, 120, 140)


def corner(turn: float, **tables: Any) -> FenceModel:
    """Two legs of 4 m that turn by so many degrees, to the left (outside) when positive."""
    end = [4000 + 4000 * math.cos(math.radians(turn)), 4000 * math.sin(math.radians(turn))]
    return fence_of({"run": [{"points": [[0, 0], [4000, 0], end]}], **tables})


def near_corner(fence: FenceModel, reach: float = 900.0) -> list[Member]:
    found = []
    for member in fence.members:
        x0, _, _ = member.frame.origin
        if math.dist(member.frame.origin[:2], (4000, 0)) < reach or (
            member.kind == RAIL and x0 > 0
        ):
            found.append(member)
    return found


def overlaps(fence: FenceModel) -> list[tuple[str, str, float]]:
    """Members at the corner whose solids share more than 1 mm3; bolts go through what they hold."""
    built = Product(fence)
    placed = []
    for member in near_corner(fence):
        if member.kind in (BOLT, ANCHOR):
            continue
        place = cq.Location(cq.Plane(member.frame.origin, member.frame.x, member.frame.z))
        placed.append((member, built.solids[member.mark].moved(place)))
    found = []
    for (one, a), (other, b) in combinations(placed, 2):
        volume = a.intersect(b).Volume()
        if volume > 1.0:
            found.append((one.name, other.name, volume))
    return found


@pytest.mark.slow
@pytest.mark.parametrize(("posts", "pales"), list(product(["one", "pair"], ["meet", "mitre"])))
@pytest.mark.parametrize("turn", [sign * angle for angle in (60, 90, 120) for sign in (1, -1)])
def test_nothing_stands_in_anything_else_at_a_corner(turn: float, posts: str, pales: str) -> None:
    fence = corner(turn, corners={"posts": posts, "pales": pales})
    assert not [f for f in check(fence) if f.severity is Severity.STOP]
    assert overlaps(fence) == []


@pytest.mark.parametrize("turn", [sign * angle for angle in ANGLES for sign in (1, -1)])
def test_a_mitred_pair_of_pales_meets_over_its_whole_thickness(turn: float) -> None:
    fence = corner(turn, corners={"pales": "mitre"})
    pales = [m for m in fence.members if m.kind == PALE]
    mitred = [m for m in pales if isinstance(m.shape, Plate)
              and (m.shape.bevel_left or m.shape.bevel_right)]  # fmt: skip
    assert len(mitred) == 2
    edges = []
    for member in mitred:
        shape = member.shape
        assert isinstance(shape, Plate)
        side = 1 if shape.bevel_right else 0
        angle = math.degrees(math.atan(abs(shape.bevel_right or shape.bevel_left)))
        assert angle == pytest.approx(abs(turn) / 2.0)
        spots = [(shape.sides(y)[side], y, 0.0) for y in (0.0, shape.thickness)]
        edges.append([member.frame.point(spot)[:2] for spot in spots])
        assert max(b - a for a, b in [shape.sides(0.0), shape.sides(shape.thickness)]) == 100.0
    for one, other in zip(*edges, strict=True):  # front edges meet, back edges meet
        assert one == pytest.approx(other, abs=1e-3)


def test_a_mitre_that_would_take_most_of_a_pale_is_left_out() -> None:
    sharp = corner(150, corners={"pales": "mitre"}, pales={"width": 60, "thickness": 25})
    shapes = [m.shape for m in sharp.members if m.kind == PALE]
    assert not any(isinstance(s, Plate) and (s.bevel_left or s.bevel_right) for s in shapes)


@given(
    st.sampled_from([Pointed(40.0), Round(), Ogee(100.0)]),
    st.floats(-2.5, 2.5), st.floats(-2.5, 2.5), st.floats(10, 30),
)  # fmt: skip
@settings(max_examples=40, deadline=None)
def test_bevelled_plates_have_the_volume_of_their_solids(
    head: Any, left: float, right: float, thickness: float
) -> None:
    """The first moment beyond the bevel's inner line (Green's theorem) against the kernel."""
    if max(abs(left), abs(right)) * thickness > 45.0:
        return
    plate = Plate(pale_outline(head, 100.0, 600.0), thickness, left, right)
    solid = solid_of(plate)
    assert solid.isValid()
    assert solid.Volume() == pytest.approx(plate.volume, rel=1e-7)
    assert shapely.Polygon(plate.plan()).area * 500 <= plate.volume


def test_the_moment_of_a_half_disc_is_two_thirds_of_r_cubed() -> None:
    """Area pi r^2 / 2 times the centroid's distance 4 r / 3 pi (any table of centroids)."""
    disc = Outline(((-5.0, 0.0, 1.0), (5.0, 0.0, 1.0)))
    assert disc.moment_beyond(0.0) == pytest.approx(2.0 / 3.0 * 5.0**3)
    assert Outline.rectangle(0, 0, 4, 3).moment_beyond(1.0) == pytest.approx(3 * 9 / 2)


@pytest.mark.parametrize("turn", [sign * angle for angle in ANGLES for sign in (1, -1)])
def test_a_pair_of_posts_stands_clear_on_either_side(turn: float) -> None:
    fence = corner(turn, corners={"posts": "pair"})
    layout = fence.layouts[0]
    pair = [post for post in layout.posts if post.kind == "corner"]
    assert len(pair) == 2
    shapes = [shapely.Polygon(post.corners) for post in pair]
    assert shapes[0].distance(shapes[1]) > 0.0
    back = [math.dist(post.frame.origin[:2], (4000, 0)) for post in pair]
    assert back[0] == pytest.approx(back[1])
    # rails and pales go on to the corner and meet there
    rails = [m for m in fence.members if m.kind == RAIL]
    assert len(rails) >= 4
    plates = [m for m in fence.members if m.kind == BRACKET and m.role == "rail to rail"]
    assert len(plates) == 2
    own = corner(turn, corners={"posts": "pair", "setback": 700})
    ends = [s.xs for s in own.layouts[0].stretches]
    assert ends[0][-1] == pytest.approx(3300)
    assert ends[1][0] == pytest.approx(700)


def test_slight_turns_keep_one_post() -> None:
    fence = corner(20, corners={"posts": "pair", "pales": "mitre"})
    assert sum(post.kind == "corner" for post in fence.layouts[0].posts) == 1


def test_a_closed_ring_of_pairs_has_two_posts_a_corner() -> None:
    fence = fence_of(
        {
            "run": [{"points": [[0, 0], [6000, 0], [6000, 5000], [0, 5000]], "closed": True}],
            "corners": {"posts": "pair", "pales": "mitre"},
        }
    )
    kinds = [post.kind for post in fence.layouts[0].posts]
    assert kinds.count("corner") == 8
    assert not [f for f in check(fence) if f.severity is Severity.STOP]


# walls


@pytest.mark.parametrize("front", ["left", "right"])
def test_a_run_starts_at_a_wall_with_a_plate_on_it(front: str) -> None:
    fence = fence_of({"run": [{"points": [[0, 0], [5400, 0]], "starts": "wall", "front": front}]})
    plates = [m for m in fence.members if m.kind == WALL_PLATE]
    (plate,) = plates
    assert plate.station == "A01"
    assert plate.shape.size[:2] == (50.0, 100.0)
    x = [plate.frame.point((dx, 0.0, 0.0))[0] for dx in (-25.0, 25.0)]
    assert sorted(x) == pytest.approx([0.0, 50.0])  # its back on the wall's face
    assert not [m for m in fence.members if m.kind in (POST, FOOTING) and m.station == "A01"]
    first = min(m.frame.origin[0] for m in fence.members if m.kind == PALE)
    assert first == pytest.approx(5.0 + 50.0)  # a pale's half width past the gap
    anchors = [m for m in fence.members if m.kind == ANCHOR]
    assert len(anchors) == 3
    for anchor in anchors:
        ends = sorted(anchor.frame.point((0.0, 0.0, z))[0] for z in (0.0, anchor.shape.size[2]))
        assert ends == pytest.approx([-90.0, 62.0])  # into the wall, and out of the plate
        bolts = [m for m in fence.members if m.kind == BOLT and m.frame.origin[0] < 50]
        assert bolts
        for bolt in bolts:
            assert abs(bolt.frame.origin[2] - anchor.frame.origin[2]) >= 40.0


def test_anchors_are_no_farther_apart_than_asked() -> None:
    for length in (100.0, 300.0, 777.0, 2000.0):
        heights = anchor_heights(length, 450.0)
        assert all(0.0 < z < length for z in heights)
        assert all(b - a <= 450.0 + 1e-9 for a, b in zip(heights, heights[1:]))


def test_walls_at_both_ends_and_none_on_a_ring() -> None:
    fence = fence_of({"run": [{"points": [[0, 0], [1700, 0]], "starts": "wall", "ends": "wall"}]})
    assert {post.kind for post in fence.layouts[0].posts} == {"wall"}
    assert not [m for m in fence.members if m.kind == FOOTING]
    with pytest.raises(Exception, match="a closed run has no end at a wall"):
        parse_job("[[run]]\npoints = [[0,0],[5000,0],[0,5000]]\nclosed = true\nstarts = 'wall'\n")
