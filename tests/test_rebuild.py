"""A stranger's rebuild: each member of all examples built again from the sheets alone.

The build set is written as DXF and PDF; what is printed in them is read back, and every member is
built from it by a second calculation (`rebuilt`), which has nothing of the project. Each has to
lie within 1 mm of a member of the model of the same mark, and none may be missing.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache, partial

import numpy as np
import pypdfium2
import pytest
from hard_jobs import HARD, random_job
from numpy.typing import NDArray
from printed import PrintedSet, PrintedTable, read_printed
from rebuilt import Builder, Rebuilt, lathe, rod
from scipy.optimize import linear_sum_assignment
from scipy.spatial import cKDTree

from helpers import EXAMPLES, example_fence, fence_of
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.sets.sheet_sets import Purpose, sheet_set
from palewright.export.drawing.writers.dxf import write_dxf
from palewright.export.drawing.writers.pdf import write_pdf
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.shapes import Bolt, Shape
from palewright.model.geometry.skin_meshes import mesh_of_skin
from palewright.model.geometry.skin_shapes import skin_of
from palewright.model.geometry.turned_shapes import Turned
from palewright.model.parts.members import Member

Array = NDArray[np.float64]

NEAR = 1.0
"""A member built again is nowhere farther from the model's than this, mm."""


@cache
def surface_of(shape: Shape) -> Array:
    """Return the triangles of a shape in its own coordinates; of a bolt those of its shank's
    nominal size, as what is sold under it has the head and nut that it has; of what is turned
    finer ones than its mesh has.
    """
    if isinstance(shape, Bolt):
        return rod(np.zeros(3), np.array([0.0, shape.length, 0.0]), shape.diameter / 2.0)
    if isinstance(shape, Turned):
        return lathe([(0.0, 0.0), *shape.profile(24)])
    skin = skin_of(shape)
    assert skin is not None
    mesh = mesh_of_skin(skin)
    assert mesh is not None
    vertices, triangles, _ = mesh
    return np.asarray(vertices[triangles])


def in_model(member: Member, origin: tuple[float, float, float]) -> Array:
    """Return the triangles of a member where it stands on the site."""
    frame = member.frame
    axes = np.array([frame.x, frame.y, frame.z])
    return surface_of(member.shape) @ axes + np.array(frame.origin) + np.array(origin)


def farthest(one: Array, other: Array) -> float:
    """Return how far any corner of either surface is from the other surface, mm."""
    return max(corners_off(one, other), corners_off(other, one))


def corners_off(one: Array, other: Array) -> float:
    """Return how far the corners of a surface are at most from another surface, mm.

    Only of corners that are not near a corner of the other the distance is worked out; it is from
    the nearest corner where no triangle is near.
    """
    points, corners = (np.unique(part.reshape(-1, 3).round(3), axis=0) for part in (one, other))
    away, _ = cKDTree(corners).query(points)
    far = np.flatnonzero(away > NEAR / 2.0)
    low, high = other.min(axis=1) - 2.0 * NEAR, other.max(axis=1) + 2.0 * NEAR
    asked = points[far, None]
    which, near = np.nonzero(((asked >= low) & (asked <= high)).all(axis=-1))
    np.minimum.at(away, far[which], distances(points[far[which]], other[near]))
    return float(away.max())


def distances(points: Array, triangles: Array) -> Array:
    """Return the distance of each point from the triangle beside it, mm (Ericson, Real-Time
    Collision Detection, 5.1.5: the nearest point lies in the triangle or on one of its edges).
    """
    corners = [triangles[:, number] for number in range(3)]
    edges = list(zip(corners, [*corners[1:], corners[0]], strict=True))
    square = np.full(len(points), np.inf)
    for start, end in edges:
        along = end - start
        share = ((points - start) * along).sum(-1) / np.maximum((along**2).sum(-1), 1e-12)
        off = points - start - np.clip(share, 0.0, 1.0)[:, None] * along
        square = np.minimum(square, (off**2).sum(-1))
    normal = np.cross(corners[1] - corners[0], corners[2] - corners[0])
    size = np.maximum((normal**2).sum(-1), 1e-12)
    over = ((points - corners[0]) * normal).sum(-1)
    foot = points - (over / size)[:, None] * normal
    inside = np.ones(len(points), dtype=bool)
    for start, end in edges:
        inside &= (np.cross(end - start, foot - start) * normal).sum(-1) >= 0.0
    return np.sqrt(np.where(inside, np.minimum(square, over**2 / size), square))


FINIALS = {
    "footings": {"fill": "gravel"},
    "posts": {
        "finial": "ball", "top": "cap", "gate": {"finial": {"shape": "acorn", "diameter": 100.0}},
        "end": {"finial": "none"}, "corner": {"top": "flat"},
    },
    "run": [{"points": [[0, 0], [3000, 0], [3000, 1800]], "gate": [{"at": 1500.0}]}],
}  # fmt: skip

SHAPED = {
    "posts": {
        "bevel": {"size": 15.0}, "top": "chamfered", "above_rail": 170.0,
        "gate": {"top": "metal-cap"},
        "end": {"top": "pyramid", "material": "concrete", "bevel": {"size": 0.0}},
        "corner": {"top": "round", "bevel": {"stop": 0.0}},
    },
    "run": [{"points": [[0, 0, 0], [3000, 0, 300], [3000, 1800, 0]], "gate": [{"at": 1500.0}]}],
}  # fmt: skip

GATES = {
    "run": [{
        "points": [[0, 0], [7020, 0]],
        "gate": [
            {"at": 1700, "height": 1200, "top_line": "arch", "frame": "framed", "braces": 2,
             "stop": "post", "latch": "ring", "closing": "spring", "opening": 1300,
             "post": {"section": [150, 150], "embedment": 800}},
            {"at": 5010.2, "opening": 2200, "leaves": 2, "frame": "framed", "swing": "out",
             "stile": 60, "stop": "ground", "latch": "bolt"},
        ],
    }],
}  # fmt: skip

PANELS = {
    "panels": {"made": True, "uprights": 50},
    "run": [{
        "points": [[0, 0, 0], [5421.3, 0, 433], [6900, 2600, 460]],
        "gate": [{"at": 2703.2}],
    }],
}  # fmt: skip

SLIDING = {
    "sheets": {"leave_out": ["assembly", "isometric"]},
    "run": [{
        "points": [[0, 0], [9000, 0]],
        "gate": [{"at": 4500, "opening": 2000, "height": 1200, "slide": {"on": "track"}}],
    }, {
        "points": [[0, 9000], [7000, 9000]],
        "gate": [{"at": 2200, "opening": 1600, "height": 1100,
                  "slide": {"on": "cantilever", "to": "right"}}],
    }],
}  # fmt: skip

JOINS: dict[str, object] = {
    "run": [
        {"name": "Front", "points": [[0, 0, 200], [6000, 0, 0]],
         "starts": {"at": "pier", "size": [440, 440]}},
        {"points": [[2600, 4000, 0], [2200, 0, 0]], "starts": "hedge",
         "ends": {"at": "run", "run": "Front"}},
        {"points": [[6000, 0], [8400, 0]], "starts": {"at": "run", "run": "Front"},
         "rails": {"tops": [300, 1200]}, "pales": {"length": 1400},
         "ramp": [{"at": "start", "height": 950}]},
    ],
}  # fmt: skip

HELD: dict[str, object] = {
    "slopes": {"follow": "rake"},
    "run": [
        {"points": [[0, 0, 0], [3600, 0, 300], [3600, 3000, 300], [5600, 5000, 0]],
         "rails": {"form": "between", "set_in": "centred"}},
        {"points": [[9000, 0, 0], [13000, 0, 250], [13000, 2400, 250]],
         "rails": {"form": "notched", "notch": 25}},
    ],
}  # fmt: skip

FENCES: dict[str, Callable[[], FenceModel]] = {
    **{path.stem: partial(example_fence, path) for path in EXAMPLES},
    "street": partial(fence_of, HARD["street"]),
    "inside corners": partial(fence_of, random_job(209)),
    "finials": partial(fence_of, FINIALS),
    "gates": partial(fence_of, GATES),
    "feet": partial(fence_of, HARD["feet"]),
    "sliding": partial(fence_of, SLIDING),
    "shaped": partial(fence_of, SHAPED),
    "joins": partial(fence_of, JOINS),
    "rails held": partial(fence_of, HELD),
    "panels": partial(fence_of, PANELS),
}
"""All examples; and jobs with a plate on a wall, with corners that rails have brackets in, with
finials on caps and on posts that stand in gravel, with framed gates and their fittings, with
shaped posts, with gates that slide, with runs that end at posts of others, with rails on brackets
between posts and in notches, with posts that stand in other ways, and with panels of uprights.
"""


@pytest.fixture(scope="module", params=FENCES)
def drawn(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[FenceModel, PrintedSet, bytes]:
    """A fence, what is printed on its build set, and its PDF."""
    fence = FENCES[request.param]()
    sheets, style = sheet_set(fence, Purpose.BUILD, Style())
    path = tmp_path_factory.mktemp("drawn") / "build.dxf"
    path.write_bytes(write_dxf(sheets, "build", style))
    return fence, read_printed(path), write_pdf(sheets, "build", "")


def test_every_member_is_built_again_from_the_sheets(
    drawn: tuple[FenceModel, PrintedSet, bytes],
) -> None:
    fence, printed, _ = drawn
    made = by_mark(printed)
    assert {mark: len(group) for mark, group in made.items()} == {
        mark: len(group) for mark, group in fence.by_mark.items()
    }
    off = {
        mark: worst
        for mark, group in fence.by_mark.items()
        if (worst := farthest_of(group, made[mark], fence.job.origin)) > NEAR
    }
    assert off == {}


def by_mark(printed: PrintedSet) -> dict[str, list[Rebuilt]]:
    """Return what is built again, by its marks."""
    made: dict[str, list[Rebuilt]] = defaultdict(list)
    for member in Builder(printed).members():
        made[member.mark].append(member)
    return made


READ = {
    "Lines through": ("from east", "to north"),
    "In front of": ("rails' backs", "rails' fronts", "pales' backs",
                    "pales' fronts"),
    "Setting out": ("east", "north", "faces"),
    "Levels": ("hole bottom", "concrete", "post top"),
    "Members by mark": ("width", "thickness", "length"),
    "Rails along": ("from", "to", "underside left", "underside right"),
    "Pales along": ("left edge", "right edge", "first foot", "last foot"),
    "Gate leaves": ("from", "feet", "left edge", "right edge", "foot from", "foot to", "head from",
                    "head to"),
    "Gate fittings": ("from", "to", "before the line", "and", "low", "high"),
    "Bolts along": ("over its underside",),
}  # fmt: skip
"""The figures that a fence on level ground is built from, by their tables."""


@pytest.mark.parametrize("title", READ)
def test_the_rebuild_depends_on_each_figure(title: str, cottage: PrintedSet) -> None:
    """A figure of any column that is 2 too high moves what is built by over 1 mm."""
    right = by_mark(cottage)
    for head in READ[title]:
        tables = tuple(
            raised(table, head) if table.title.startswith(title) else table
            for table in cottage.tables
        )
        wrong = by_mark(replace(cottage, tables=tables))
        assert max(
            farthest(one.triangles, other.triangles)
            for mark, made in right.items()
            for one, other in zip(made, wrong[mark], strict=True)
        ) > NEAR, head  # fmt: skip


@pytest.fixture(scope="module")
def cottage(tmp_path_factory: pytest.TempPathFactory) -> PrintedSet:
    """What is printed on the build set of the cottage."""
    sheets, style = sheet_set(FENCES["cottage"](), Purpose.BUILD, Style())
    path = tmp_path_factory.mktemp("cottage") / "build.dxf"
    path.write_bytes(write_dxf(sheets, "build", style))
    return read_printed(path)


def raised(table: PrintedTable, head: str) -> PrintedTable:
    """Return a table with the figures of a column 2 higher."""
    column = table.head.index(head)
    rows = tuple(
        (*row[:column], re.sub(r"^-?[\d.]+", lambda f: f"{float(f.group()) + 2.0:g}", row[column]),
         *row[column + 1 :])
        for row in table.rows
    )  # fmt: skip
    return replace(table, rows=rows)


def farthest_of(
    group: Sequence[Member], made: Sequence[Rebuilt], origin: tuple[float, float, float]
) -> float:
    """Return how far members are at most from those built again, each with the one that is
    nearest to it.
    """
    solids = [in_model(member, origin) for member in group]
    places = [np.array([middle(solid) for solid in part])
              for part in (solids, [member.triangles for member in made])]  # fmt: skip
    apart = np.linalg.norm(places[0][:, None] - places[1][None], axis=-1)
    ours, theirs = linear_sum_assignment(apart)
    return max(
        farthest(solids[one], made[other].triangles)
        for one, other in zip(ours, theirs, strict=True)
    )


def middle(triangles: Array) -> Array:
    """Return the middle of what triangles take up."""
    points = triangles.reshape(-1, 3)
    return np.asarray((points.min(axis=0) + points.max(axis=0)) / 2.0)


def test_the_pdf_has_all_that_the_rebuild_reads(
    drawn: tuple[FenceModel, PrintedSet, bytes],
) -> None:
    _, printed, pdf = drawn
    document = pypdfium2.PdfDocument(pdf)
    pages = [set(page.get_textpage().get_text_range().split()) for page in document]
    missing = [
        (table.title, cell)
        for table in printed.tables
        for row in (table.head, *table.rows)
        for cell in row
        if not set(cell.split()) <= pages[table.sheet]
    ]
    missing += [
        (view.title, word)
        for view in printed.views
        for word in (*view.level, *view.upright)
        if not set(word.split()) <= pages[view.sheet]
    ]
    assert missing == []


def test_a_rebuild_notices_what_is_off() -> None:
    one = rod(np.zeros(3), np.array([0.0, 0.0, 100.0]), 6.0)
    other = rod(np.array([0.0, 0.0, 1.2]), np.array([0.0, 0.0, 100.0]), 6.0)
    assert farthest(one, one) < 0.001
    assert farthest(one, other) == pytest.approx(1.2, abs=0.001)
    assert farthest(one, one + np.array([0.8, 0.8, 0.0])) == pytest.approx(0.8 * 2**0.5, abs=0.1)
