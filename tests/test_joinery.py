"""Joints cut in the timber: mortises, notches, holes and counterbores, and what is told of them."""

from __future__ import annotations

import csv
import io
import math
from functools import cache
from itertools import pairwise
from typing import Any

import cadquery as cq
import numpy as np
import pytest

from helpers import fence_of
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import Dimension
from palewright.export.drawing.sets.brief import brief_of
from palewright.export.drawing.sets.machining_set import machining_groups
from palewright.export.models.product import Product
from palewright.export.models.step import write_step
from palewright.export.tables.order_tables import write_tables
from palewright.model.fence.fence_model import FenceModel
from palewright.model.fence.joints_cut import cuts_for
from palewright.model.geometry.frames import Frame
from palewright.model.geometry.half_spaces import Plane
from palewright.model.geometry.outlines import Outline
from palewright.model.geometry.post_shapes import Bevel, Post
from palewright.model.geometry.shapes import Bar, Plate, Rod, rectangle_section
from palewright.model.geometry.skin_meshes import mesh_of_skin
from palewright.model.geometry.skin_shapes import skin_of
from palewright.model.geometry.top_cuts import PyramidTop, RoundTop
from palewright.model.geometry.worked_shapes import Bore, Cut, Pocket, Worked, laid_open
from palewright.model.geometry.worked_skins import drawn_sides
from palewright.model.lists.machining import machined_marks
from palewright.model.order.fixings import cut_ends
from palewright.model.order.fresh_surfaces import fresh_surfaces
from palewright.model.parts.hardware import BOLTS, HOLES, clearance_hole
from palewright.model.parts.members import (
    ANCHOR,
    BOLT,
    KEPT_POST,
    LEDGE,
    POST,
    RAIL,
    STILE,
    TIMBER,
    Kind,
    Member,
    Piece,
)
from palewright.model.parts.touching import GOES_THROUGH, goes_through
from palewright.model.solids.bodies import solid_of

JOB: dict[str, Any] = {
    "run": [
        {
            "points": [[0, 0, 0], [6300, 0, 0], [8800, 3000, 350]],
            "starts": "wall",
            "gate": [{"at": 3600, "opening": 1100, "frame": "framed", "ledges": 3}],
        }
    ],
    "joinery": {"cut": True},
}
"""A wall plate, a framed gate, a corner that is not square, and a slope."""


def job() -> FenceModel:
    return fence_of(JOB)


def box(**sides: tuple[float, float]) -> Pocket:
    """The room between planes along the axes; an infinite end is open."""
    planes: list[Plane] = []
    for axis, (low, high) in sides.items():
        unit = [float(axis == name) for name in "xyz"]
        if math.isfinite(high):
            planes.append((unit[0], unit[1], unit[2], high))
        if math.isfinite(low):
            planes.append((-unit[0] + 0.0, -unit[1] + 0.0, -unit[2] + 0.0, -low))
    return Pocket(tuple(sorted(planes)))


POSTED = Post(100.0, 100.0, 1500.0)
DEEP = math.inf
MORTISE = box(y=(-10.0, 10.0), z=(700.0, 775.0))
ACROSS = Bore((0.0, -50.0, 400.0), (0.0, 1.0, 0.0), 11.0)
SEAT = Bore((0.0, -50.0, 400.0), (0.0, 1.0, 0.0), 26.0, 6.0)
LEANING = Bore((0.0, -50.0, 400.0), (math.sin(0.3), math.cos(0.3), 0.0), 11.0)
DRUM = math.pi * 5.5**2


@pytest.mark.parametrize(
    ("cuts", "taken"),
    [
        ((MORTISE,), 20.0 * 75.0 * 100.0),
        ((box(x=(-20.0, DEEP), y=(-10.0, 10.0), z=(700.0, 775.0)),), 20.0 * 75.0 * 70.0),
        ((box(y=(-DEEP, -12.0), z=(700.0, 775.0)),), 38.0 * 75.0 * 100.0),
        ((ACROSS,), DRUM * 100.0),
        ((ACROSS, SEAT), DRUM * 94.0 + math.pi * 13.0**2 * 6.0),
        ((Bore((0.0, -50.0, 400.0), (0.0, 1.0, 0.0), 11.0, 60.0),), DRUM * 60.0),
        ((LEANING,), DRUM * 100.0 / math.cos(0.3)),
        ((MORTISE, Bore((0.0, -50.0, 730.0), (0.0, 1.0, 0.0), 11.0)), 150000.0 + DRUM * 80.0),
        ((MORTISE, box(x=(-5.0, 5.0), z=(740.0, 760.0))), 150000.0 + 10.0 * 20.0 * 80.0),
        ((MORTISE, box(y=(-10.0, 10.0), z=(775.0, 800.0))), 20.0 * 100.0 * 100.0),
    ],
    ids=[
        "mortise",
        "blind",
        "trench",
        "hole",
        "counterbore",
        "screw",
        "leaning",
        "pinned",
        "crossing",
        "beside",
    ],
)
def test_a_cut_takes_what_its_closed_form_says(cuts: tuple[Cut, ...], taken: float) -> None:
    worked = Worked(POSTED, cuts)
    assert worked.removed == pytest.approx(taken, rel=1e-9)
    solid = solid_of(worked)
    assert solid.isValid()
    assert len(solid.Shells()) == 1
    assert solid.Volume() == pytest.approx(worked.volume, rel=1e-9)
    skin = skin_of(worked)
    assert skin is not None
    assert skin.closed
    assert mesh_volume(skin) == pytest.approx(worked.volume, abs=0.04 * taken)
    assert drawn_sides(worked)


def mesh_volume(skin: Any) -> float:
    """Volume in the mesh of a skin, each of whose edges two triangles share."""
    made = mesh_of_skin(skin)
    assert made is not None
    corners, triangles, _ = made
    ways = {
        tuple(row) for one, other in ((0, 1), (1, 2), (2, 0)) for row in triangles[:, [one, other]]
    }
    assert len(ways) == 3 * len(triangles)
    assert all((b, a) in ways for a, b in ways)
    a, b, c = (corners[triangles[:, n]] for n in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum()) / 6.0


def test_what_no_closed_form_is_known_for_is_near_enough() -> None:
    """A hole over a post's edge is the kernel's; its volume is that of a prism of 48 sides."""
    worked = Worked(POSTED, (Bore((48.0, -50.0, 400.0), (0.0, 1.0, 0.0), 11.0),))
    assert skin_of(worked) is None
    assert solid_of(worked).Volume() == pytest.approx(worked.volume, abs=5e-4 * worked.removed)


def test_off_by_default_and_what_differs_when_it_is_on() -> None:
    plain = fence_of({"run": JOB["run"]})
    assert not any(member.cuts for member in plain.members)
    for one, other in zip(plain.members, job().members, strict=True):
        assert (one.kind, one.shape, one.frame) == (other.kind, other.shape, other.frame)
    for group in job().by_mark.values():
        assert len({(m.kind, m.shape, m.cuts) for m in group}) == 1
    assert "fence-machining.csv" not in write_tables(plain, Product(plain).order, "fence")


def test_solids_are_valid_and_as_large_as_the_closed_form_says() -> None:
    fence = job()
    worked = {mark: group[0] for mark, group in fence.by_mark.items() if group[0].cuts}
    assert {member.kind.name for member in worked.values()} >= {
        "post",
        "rail",
        "wall plate",
        "gate stile",
    }
    for mark, member in worked.items():
        solid = solid_of(member.finished)
        assert solid.isValid(), mark
        assert solid.Volume() == pytest.approx(member.finished.volume, rel=1e-8), mark
        skin = skin_of(member.finished)
        if skin is not None:
            mesh_volume(skin)


def test_step_holds_the_cut_solids(tmp_path: Any) -> None:
    fence = job()
    path = tmp_path / "job.step"
    path.write_bytes(write_step(Product(fence)))
    solids = cq.importers.importStep(str(path)).solids().vals()
    assert all(solid.isValid() for solid in solids)
    whole = math.fsum(member.finished.volume for member in fence.members)
    assert math.fsum(s.Volume() for s in solids) == pytest.approx(whole, rel=1e-8)


def placed(member: Member) -> cq.Shape:
    frame = member.frame
    plane = cq.Plane(frame.origin, frame.x, frame.z)
    return solid(member.mark).located(plane.location)


@cache
def solid(mark: str) -> cq.Solid:
    return solid_of(job().by_mark[mark][0].finished)


def pairs(kind: Kind, other: Kind) -> list[tuple[Member, Member]]:
    """Members of two kinds that go through each other, each pair of marks once."""
    fence = job()
    found: dict[tuple[str, str], tuple[Member, Member]] = {}
    for host in fence.members:
        if host.kind == other and host.cuts:
            for goer in fence.members:
                if goer.kind == kind and list(cuts_for(as_piece(goer), as_piece(host))):
                    found.setdefault((goer.mark, host.mark), (goer, host))
    return list(found.values())


def as_piece(member: Member) -> Piece:
    return Piece(member.kind, member.shape, member.frame, member.group, member.role, member.leg)


def test_a_tenon_touches_its_mortise_and_overlaps_it_nowhere() -> None:
    """By the kernel: no room is shared; the tenon's cheeks and its top and underside lie on the
    mortise, but where that is open at an end of the stile, and its shoulders on the stile.
    """
    for ledge, stile in pairs(LEDGE, STILE):
        tenon, post = placed(ledge), placed(stile)
        assert tenon.intersect(post).Volume() < 1e-6
        (high, thick), stile_wide = (75.0, 38.0), 75.0
        cheeks = 2.0 * high * stile_wide + 2.0 * thick / 3.0 * stile_wide
        shoulders = 2.0 * high * thick / 3.0
        assert shared_faces(tenon, post) == pytest.approx(cheeks + shoulders, rel=0.12)
    assert len(pairs(LEDGE, STILE)) == 1


def shared_faces(one: cq.Shape, other: cq.Shape) -> float:
    """Area that two solids touch each other on, mm2."""
    area = 0.0
    for face in one.Faces():
        for against in other.Faces():
            if face.geomType() == against.geomType() == "PLANE":
                met = face.intersect(against)
                area += sum(part.Area() for part in met.Faces())
    return area


@pytest.mark.parametrize("host", [POST, RAIL], ids=lambda kind: kind.name)
def test_bolts_stand_in_holes_and_overlap_nothing(host: Kind) -> None:
    found = pairs(BOLT, host)
    assert found
    for bolt, timber in found:
        shared = placed(bolt).intersect(placed(timber)).Volume()
        assert shared < 0.1, (bolt.name, timber.name)  # places are whole ten-thousandths of a mm


def test_any_kind_that_goes_through_another_cuts_it() -> None:
    """Nothing asks for kinds: what `touching` lets stand in timber takes its room out of it."""
    host = Piece(POST, POSTED, Frame(), "A bay 01", "post", 0)
    rail = Bar(rectangle_section(75.0, 38.0), 2000.0)
    let_in = Piece(RAIL, rail, Frame.at(-1000.0, -60.0, 700.0), "A bay 01", "rail", 0)
    assert list(cuts_for(let_in, host)) == [box(y=(-DEEP, -22.0), z=(700.0, 775.0))]
    ended = Piece(RAIL, rail, Frame.at(10.0, -19.0, 700.0), "A bay 01", "rail", 0)
    assert list(cuts_for(ended, host)) == [box(x=(10.0, DEEP), y=(-19.0, 19.0), z=(700.0, 775.0))]
    flush = Piece(RAIL, rail, Frame.at(-1950.0, -19.0, 700.0), "A bay 01", "rail", 0)
    assert list(cuts_for(flush, host)) == [box(y=(-19.0, 19.0), z=(700.0, 775.0))]
    beside = Piece(RAIL, rail, Frame.at(-1000.0, -88.0, 700.0), "A bay 01", "rail", 0)
    assert list(cuts_for(beside, host)) == []
    rod = Piece(ANCHOR, Rod(10.0, 300.0), Frame((-100.0, 0.0, 500.0), (0.0, 0.0, -1.0)), "", "", 0)
    assert list(cuts_for(rod, host)) == [Bore((-50.0, 0.0, 500.0), (1.0, 0.0, 0.0), 11.0)]
    assert all(
        goes_through(goer, other) for goer, others in GOES_THROUGH.items() for other in others
    )
    assert not list(cuts_for(let_in, Piece(BOLT, POSTED, Frame(), "", "", 0)))
    kept = Piece(KEPT_POST, Post(100.0, 100.0, 1500.0, PyramidTop(40.0)), Frame(), "", "", 0)
    assert len(list(cuts_for(rod, kept))) == 1


def test_clearance_holes_are_those_of_the_fixing_rules() -> None:
    assert {size: clearance_hole(part.diameter) for size, part in BOLTS.items()} == HOLES


def machining_rows(data: dict[str, Any]) -> list[dict[str, str]]:
    fence = fence_of(data)
    text = write_tables(fence, Product(fence).order, "fence")["fence-machining.csv"]
    return list(csv.DictReader(io.StringIO(text.decode("utf-8-sig"))))


def test_the_machining_table_says_where_everything_is_cut() -> None:
    rows = machining_rows({"run": [{"points": [[0, 0], [5400, 0]]}], "joinery": {"cut": True}})
    posts = [row for row in rows if row["part"] == "post"]
    assert {(row["face"], row["cut"], row["diameter mm"], row["depth mm"]) for row in posts} == {
        ("front", "hole", "11", "through")
    }
    rails = [row for row in rows if row["part"] == "rail"]
    heads = ("cut", "diameter mm", "depth mm", "from edge mm")
    assert {tuple(row[head] for head in heads) for row in rails} == {
        ("hole", "11", "through", "37.5"), ("counterbore", "26", "5.4", "37.5"),
    }  # fmt: skip
    fence = fence_of({"run": [{"points": [[0, 0], [5400, 0]]}], "joinery": {"cut": True}})
    holes = sum(int(row["pieces"]) for row in rails if row["cut"] == "hole")
    assert holes == sum(member.kind == BOLT for member in fence.members)
    framed = [row for row in machining_rows(JOB) if row["part"] == "gate stile"]
    assert {(row["cut"], row["length mm"], row["width mm"]) for row in framed} == {
        ("mortise", "75", "12.7"), ("open mortise", "75", "12.7"),
    }  # fmt: skip


def test_every_cut_is_told_once_and_bounded_by_its_piece() -> None:
    for made in machined_marks(job()):
        if made.kind.material != TIMBER:
            continue
        member = job().by_mark[made.mark][0]
        assert len(made.cuts) == len(member.cuts), made.mark
        for cut in made.cuts:
            low, high = made.piece.extent(cut.face.along)
            assert -1e-3 <= cut.along <= high - low + 1e-3
            assert cut.face in made.piece.faces


def test_each_mark_is_drawn_with_chains_that_close() -> None:
    fence = job()
    ((_, views),) = machining_groups(brief_of(fence, Style(), None, metres=False))
    for made in machined_marks(fence):
        faces = {cut.face.name: cut.face for cut in made.cuts}
        mine = [v for v in views if v.title.startswith(f"{made.mark} {made.kind.name}, ")]
        assert len(mine) == len(faces), made.mark
        for view, face in zip(mine, faces.values(), strict=True):
            chain = [d for d in view.items if isinstance(d, Dimension) and d.degrees == 0.0]
            low, high = made.piece.extent(face.across if face.end else face.along)
            steps = [d.end[0] - d.start[0] for d in chain]
            assert math.fsum(steps) == pytest.approx(high - low, abs=1e-6)
            assert all(step > 0.0 for step in steps)
    plain = fence_of({"run": JOB["run"]})
    assert machining_groups(brief_of(plain, Style(), None, metres=False)) == []


def test_a_plate_of_straight_sides_is_worked_too() -> None:
    """A ledge with tenons, bored: its skin has no curves but the hole's."""
    loop = [(0, 12), (75, 12), (75, 0), (900, 0), (900, 12), (975, 12),
            (975, 26), (900, 26), (900, 38), (75, 38), (75, 26), (0, 26)]  # fmt: skip
    ledge = Plate(Outline.polygon([(float(x), float(z)) for x, z in loop]), 75.0)
    worked = Worked(ledge, (Bore((500.0, 37.5, 38.0), (0.0, 0.0, -1.0), 9.0),))
    skin = skin_of(worked)
    assert skin is not None
    assert worked.removed == pytest.approx(math.pi * 4.5**2 * 38.0, rel=1e-9)
    assert solid_of(worked).Volume() == pytest.approx(worked.volume, rel=1e-9)
    assert all(a != b for a, b in pairwise(sorted(edge.start for edge in skin.edges if edge.curve)))


@pytest.mark.parametrize(
    "post",
    [
        Post(100.0, 100.0, 1500.0, RoundTop(30.0)),
        Post(100.0, 100.0, 1500.0, PyramidTop(40.0), Bevel(10.0, 20.0, ((800.0, 1300.0),))),
    ],
    ids=["round top", "bevelled"],
)
def test_posts_with_other_tops_and_edges_are_worked(post: Post) -> None:
    hole = Bore((0.0, -50.0, 900.0), (0.0, 1.0, 0.0), 11.0)
    worked = Worked(post, (hole, Bore(hole.mouth, hole.axis, 26.0, 6.0)))
    assert worked.removed == pytest.approx(DRUM * 94.0 + math.pi * 13.0**2 * 6.0, rel=1e-9)
    skin = skin_of(worked)
    assert skin is not None
    assert mesh_volume(skin) == pytest.approx(worked.volume, rel=1e-3)
    solid = solid_of(worked)
    assert solid.isValid()
    assert solid.Volume() == pytest.approx(worked.volume, rel=1e-9)


def test_what_is_cut_is_treated_again() -> None:
    """A hole through a 100 post lays 11 pi x 100 open, a mortise its four sides."""
    assert laid_open(POSTED, (ACROSS,)) == pytest.approx(math.pi * 11.0 * 100.0, rel=1e-9)
    assert laid_open(POSTED, (MORTISE,)) == pytest.approx(2.0 * (20.0 + 75.0) * 100.0, rel=1e-9)
    fence = fence_of({"run": [{"points": [[0, 0], [5400, 0]]}], "joinery": {"cut": True}})
    plain = fence_of({"run": [{"points": [[0, 0], [5400, 0]]}]})
    ends, bare = cut_ends(fence), cut_ends(plain)
    assert (ends.area, ends.ends, bare.cuts) == (bare.area, bare.ends, 0)
    assert ends.cuts == sum(len(member.cuts) for member in fence.members)
    whole = math.fsum(one.whole for one in fresh_surfaces(fence))
    assert whole == pytest.approx(ends.area + ends.cut_area)
    assert f"{ends.cuts} holes and mortises" in ends.words
    assert bare.words == f"{bare.area:.2f} m2 of cut ends, two coats"


def test_the_table_alone_gives_what_is_taken_out() -> None:
    """A joiner who bores and chops what the table says takes out what the solids lack."""
    data: dict[str, Any] = {
        "run": [{"points": [[0, 0], [5400, 0], [5400, 3600]]}],
        "rails": {"form": "notched", "notch": 20},
        "joinery": {"cut": True},
    }
    fence = fence_of(data)
    found: dict[str, float] = dict.fromkeys({row["mark"] for row in machining_rows(data)}, 0.0)
    for mark, taken in found.items():
        member = fence.by_mark[mark][0]
        rows = [row for row in machining_rows(data) if row["mark"] == mark]
        if any(row["off square degrees"] for row in rows) or len({r["face"] for r in rows}) > 1:
            continue
        deep: dict[tuple[str, str], float] = {}
        for row in rows:
            if row["cut"] in ("notch", "counterbore"):
                deep[row["from foot or left end mm"], row["from edge mm"]] = float(row["depth mm"])
        for row in rows:
            if row["cut"] == "notch":
                sizes = (row["length mm"], row["width mm"], row["depth mm"])
                taken += math.prod(float(size) for size in sizes)
                continue
            area = math.pi * float(row["diameter mm"]) ** 2 / 4.0
            if row["cut"] == "counterbore":
                taken += area * float(row["depth mm"])
                continue
            thick = member.size[1]
            start = 20.0 if member.kind == POST else deep.get(
                (row["from foot or left end mm"], row["from edge mm"]), 0.0
            )  # fmt: skip
            taken += area * (thick - start)
        assert taken == pytest.approx(member.finished.removed, rel=5e-3), mark
        found[mark] = taken
    assert sum(taken > 0.0 for taken in found.values()) >= 4


@pytest.mark.parametrize("form", ["face", "notched"])
def test_moved_mirrored_and_reversed_fences_are_cut_alike(form: str) -> None:
    line = [[0, 0, 0], [5400, 0, 300], [7000, 3600, 300]]
    ways: list[dict[str, Any]] = [
        {"points": line},
        {"points": [[x + 123456.7, y - 98765.4, z] for x, y, z in line]},
        {"points": [[-x, y, z] for x, y, z in line], "front": "left"},
        {"points": line[::-1], "front": "left"},
    ]
    found = []
    for run in ways:
        fence = fence_of({"run": [run], "rails": {"form": form}, "joinery": {"cut": True}})
        cuts = sum(len(member.cuts) for member in fence.members)
        taken = math.fsum(member.finished.removed for member in fence.members if member.cuts)
        found.append((len(fence.by_mark), cuts, taken))
    for other in found[1:]:
        assert other == pytest.approx(found[0], rel=1e-9)
