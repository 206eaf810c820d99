"""The drawing read back: dimensions, blocks, layers, header, text."""

from __future__ import annotations

import io
import math
from itertools import pairwise

import ezdxf
import numpy as np
import pytest
import shapely
import shapely.affinity
from ezdxf.document import Drawing

from helpers import fence_of
from palewright.export.built import Built
from palewright.export.drawing.dimensions import chain, text_width
from palewright.export.drawing.dxf import write_dxf
from palewright.export.drawing.elevation import elevation, members_of_leg, stations_of_leg
from palewright.export.drawing.project import project, visible
from palewright.export.drawing.sheet import drawing_views
from palewright.export.drawing.style import LAYERS, Style, scale_for
from palewright.export.drawing.view import Dimension, Insert, Line
from palewright.model.fence import Fence
from palewright.model.members import PALE
from palewright.model.pales import pale_row
from palewright.model.shapes import Plate

STYLE = Style()


def drawing(fence: Fence) -> tuple[bytes, Drawing]:
    data = write_dxf(fence, drawing_views(fence, STYLE), STYLE)
    return data, ezdxf.read(io.StringIO(data.decode()))


@pytest.fixture(scope="module")
def read(built: Built) -> tuple[bytes, Drawing]:
    return drawing(built.fence)


def test_header_layers_and_audit(read: tuple[bytes, Drawing]) -> None:
    _, doc = read
    assert not doc.audit().has_errors
    assert doc.dxfversion == "AC1032"
    assert doc.header["$INSUNITS"] == 4  # millimetres, DXF reference
    assert doc.header["$MEASUREMENT"] == 1
    for layer in LAYERS:
        entry = doc.layers.get(layer.name)
        assert entry.dxf.lineweight == layer.weight
        assert entry.dxf.linetype == layer.linetype
        assert len(layer.name) == 10  # ISO 13567-2: agent 2, element 6, presentation 2
    used = {entity.dxf.layer for entity in doc.modelspace()}
    assert used <= {layer.name for layer in LAYERS}
    for name in {entity.dxf.dimstyle for entity in doc.modelspace().query("DIMENSION")}:
        assert doc.dimstyles.get(name).dxf.dimlfac == 1.0


def test_the_same_fence_gives_the_same_bytes(built: Built, read: tuple[bytes, Drawing]) -> None:
    assert drawing(built.fence)[0] == read[0]


def test_pales_are_block_references(built: Built, read: tuple[bytes, Drawing]) -> None:
    _, doc = read
    inserts = doc.modelspace().query("INSERT")
    fronts = [insert for insert in inserts if not insert.dxf.name.endswith("-PLAN")]
    plans = [insert for insert in inserts if insert.dxf.name.endswith("-PLAN")]
    pales = [member for member in built.fence.members if member.kind == PALE]
    assert len(fronts) == len(plans) == len(pales)
    for insert in fronts[:3]:
        (outline,) = doc.blocks.get(insert.dxf.name).query("LWPOLYLINE")
        shape = built.fence.by_mark[insert.dxf.name][0].shape
        assert isinstance(shape, Plate)
        points = np.array(outline.get_points("xyb"))
        assert points == pytest.approx(np.array(shape.outline.vertices))
    for insert in plans:
        x, y, _ = insert.dxf.insert
        assert any(
            math.dist((x, y), member.frame.origin[:2]) < 1e-6
            for member in built.fence.by_mark[insert.dxf.name.removesuffix("-PLAN")]
        )


def measured(doc: Drawing) -> list[float]:
    values = []
    for entity in doc.modelspace().query("DIMENSION"):
        a, b = entity.dxf.defpoint2, entity.dxf.defpoint3
        turn = math.radians(entity.dxf.angle)
        length = abs((b.x - a.x) * math.cos(turn) + (b.y - a.y) * math.sin(turn))
        assert entity.get_measurement() == pytest.approx(length, abs=1e-9)
        assert entity.dxf.get("text", "<>") in ("", "<>")  # never typed over
        values.append(length)
    return values


def test_dimensions_are_the_models_own_figures(built: Built, read: tuple[bytes, Drawing]) -> None:
    values = measured(read[1])

    def has(value: float) -> bool:
        return any(abs(value - other) < 1e-6 for other in values)

    for layout in built.fence.layouts:
        run = layout.run
        for leg in layout.legs:
            assert has(leg.length)
        for stretch in layout.stretches:
            assert all(has(bay) for bay in stretch.bays)
        for opening in layout.openings:
            assert has(opening.spec.opening)
        rows = [pale_row(layout, stretch) for stretch in layout.stretches]
        assert has(rows[0].spacing.gap)
        rise = run.head.rise(run.pales.width)
        for value in (run.pales.clearance, run.pales.length, run.pales.width, rise):
            assert has(value)
        for low, high in pairwise([0.0, *run.tops]):
            assert has(high - low)


def test_chains_close(built: Built) -> None:
    """On every dimension line of an elevation, neighbours join and the sum is the whole."""
    for number, layout in enumerate(built.fence.layouts):
        for leg in range(len(layout.legs)):
            view = elevation(built.fence, number, leg, 50, STYLE, heights=True)
            level = [item for item in view.items if isinstance(item, Dimension)]
            lines: dict[tuple[float, float], list[Dimension]] = {}
            for item in level:
                axis = 1 if item.degrees == 0.0 else 0
                lines.setdefault((item.degrees, item.base[axis]), []).append(item)
            # the nearest dimension line below the concrete
            bays = lines[max(key for key in lines if key[0] == 0.0 and key[1] < 0.0)]
            for one, other in pairwise(bays):
                assert one.end == other.start
            total = math.fsum(item.end[0] - item.start[0] for item in bays)
            assert total == pytest.approx(layout.legs[leg].length, abs=1e-6)


def text_boxes(doc: Drawing) -> list[tuple[str, shapely.Polygon]]:
    """Every text of the drawing, those of dimensions included, as a box of its size."""
    from ezdxf.tools.text import fast_plain_mtext

    boxes = []
    for entity in doc.modelspace():
        parts = list(entity.virtual_entities()) if entity.dxftype() == "DIMENSION" else [entity]
        for part in parts:
            if part.dxftype() == "TEXT":
                _, p1, p2 = part.get_placement()
                at, turn = (p2 or p1), part.dxf.rotation
                text, height = part.dxf.text, part.dxf.height
                left = {0: 0.0, 1: -0.5, 2: -1.0}[part.dxf.halign]
                low = 0.0
            elif part.dxftype() == "MTEXT":
                text, height = fast_plain_mtext(part.text), part.dxf.char_height
                at, turn, left, low = part.dxf.insert, part.get_rotation(), -0.5, -0.5
            else:
                continue
            width = text_width(text, height)
            box = shapely.box(left * width, low * height, (left + 1) * width, (low + 1) * height)
            box = shapely.affinity.rotate(box, turn, origin=(0, 0))
            boxes.append((text, shapely.affinity.translate(box, at[0], at[1])))
    return boxes


def test_no_text_stands_on_other_text(read: tuple[bytes, Drawing]) -> None:
    boxes = text_boxes(read[1])
    assert len(boxes) > 30
    tree = shapely.STRtree([box for _, box in boxes])
    for one, (text, box) in enumerate(boxes):
        for other in tree.query(box, predicate="intersects"):
            if other > one:
                assert box.intersection(boxes[other][1]).area < 1e-6, (text, boxes[other][0])


def test_a_chain_moves_figures_that_have_no_room() -> None:
    made = chain([(0, 0), (30, 0), (2000, 0), (2030, 0), (4000, 0)], (0, -500), 0.0, 50, STYLE)
    assert [item.text_at is None for item in made] == [False, True, False, True]
    first, lifted = made[0].text_at, made[2].text_at
    assert first is not None
    assert first[0] < 0  # before the chain
    assert lifted is not None
    assert lifted[1] > -500 + 2 * STYLE.text * 50  # a line higher


def test_scales_are_those_of_the_standard() -> None:
    # ISO 5455 (from memory): 1:1, 1:2, 1:5 and their tenfolds
    assert [scale_for(size, 100.0) for size in (100, 101, 450, 900, 1900, 4900, 9900)] == [
        1, 2, 5, 10, 20, 50, 100,
    ]  # fmt: skip


def test_nothing_is_drawn_through_a_pale(built: Built) -> None:
    fence = built.fence
    for number, layout in enumerate(fence.layouts):
        for leg in range(len(layout.legs)):
            view = elevation(fence, number, leg, 50, STYLE, heights=False)
            blocks = {block.name: block.lines[0] for block in view.blocks}
            covers = []
            for item in view.items:
                if isinstance(item, Insert):
                    points = [
                        (x + item.at[0], y + item.at[1]) for x, y, _ in blocks[item.block].vertices
                    ]
                    covers.append(shapely.Polygon(points).buffer(-0.5))
            whole = shapely.union_all(covers)
            for item in view.items:
                if isinstance(item, Line) and item.layer.name in ("W-RAILS-E-", "W-POSTS-E-"):
                    line = shapely.LineString([(x, y) for x, y, _ in item.vertices])
                    assert line.intersection(whole).length < 1e-6


def test_what_is_seen_is_the_solids_outline(cottage: Built) -> None:
    """The kernel's own projection of every solid of a leg covers the same part of the paper."""
    fence = cottage.fence
    leg = fence.layouts[0].legs[0]
    members = [m for m in members_of_leg(fence, 0, 0) if m.kind.name != "footing"]
    for member in members[:: max(1, len(members) // 40)]:
        drawn = project(member, leg.frame)
        cover = shapely.union_all([shapely.Polygon(loop) for loop in drawn.loops])
        part = cottage.meshes[member.mark]
        spots = [leg.frame.local(member.frame.point(tuple(v))) for v in part.vertices.tolist()]
        faces = [shapely.Polygon([(spots[i][0], spots[i][2]) for i in t]) for t in part.triangles]
        shadow = shapely.union_all([face.buffer(0) for face in faces])
        if member.kind.name == "bolt":
            continue  # only its head is drawn
        assert cover.symmetric_difference(shadow).area < 0.02 * shadow.area, member.name
        assert cover.hausdorff_distance(shadow) < 0.5


def test_hidden_lines_are_left_out_behind_nearer_pieces() -> None:
    fence = fence_of({"run": [{"points": [[0, 0], [3000, 0]]}], "pales": {"head": "square"}})
    leg = fence.layouts[0].legs[0]
    drawn = [project(m, leg.frame) for m in members_of_leg(fence, 0, 0) if m.kind.name != "footing"]
    lines = {member.name: found for member, found in visible(drawn)}
    rail = next(m for m in fence.members if m.kind.name == "rail")
    row = pale_row(fence.layouts[0], fence.layouts[0].stretches[0])
    # of a rail both long edges are seen in each gap, and nothing behind the pales
    gaps = (row.spacing.count - 1) * row.spacing.gap
    assert lines[rail.name].length == pytest.approx(2 * gaps, rel=1e-6)


def test_stations_run_from_left_to_right(built: Built) -> None:
    for layout in built.fence.layouts:
        for number, leg in enumerate(layout.legs):
            xs = [x for x, _ in stations_of_leg(layout, number)]
            assert xs == sorted(xs)
            assert xs[0] == pytest.approx(0.0)
            assert xs[-1] == pytest.approx(leg.length)
