"""The DXF read back: header, layers, viewports, dimensions, blocks, and a second reader."""

from __future__ import annotations

import io
import math
from pathlib import Path

import ezdxf
import numpy as np
import pyogrio
import pytest
from ezdxf.document import Drawing

from helpers import EXAMPLES, ROOT, example_fence, fence_of
from palewright.export.drawing.draft.paper import bounds
from palewright.export.drawing.draft.style import CUT_GRAVEL, CUT_WALL, LAYERS, PATTERNS, Style
from palewright.export.drawing.sets.drawing_files import template_files
from palewright.export.drawing.sets.sheet_sets import Purpose, sheet_set
from palewright.export.drawing.sheets.sheet import Sheet
from palewright.export.drawing.writers.dxf import write_dxf
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.shapes import Plate
from palewright.model.parts.members import PALE

STYLE = Style()
VERSIONS = {"R2018": "AC1032", "R2010": "AC1024", "R12": "AC1009"}  # DXF reference, $ACADVER


def drawing(
    fence: FenceModel, purpose: Purpose, version: str = "R2018"
) -> tuple[bytes, Drawing, tuple[Sheet, ...]]:
    sheets, drawn = sheet_set(fence, purpose, STYLE)
    data = write_dxf(sheets, "test", drawn, version)
    encoding = "utf-8" if version != "R12" else "cp1252"
    return data, ezdxf.read(io.StringIO(data.decode(encoding))), sheets


Read = tuple[FenceModel, bytes, Drawing, tuple[Sheet, ...]]


@pytest.fixture(scope="module", params=EXAMPLES, ids=lambda path: path.stem)
def read(request: pytest.FixtureRequest) -> Read:
    fence = example_fence(request.param)
    return fence, *drawing(fence, Purpose.BUILD)


def test_header_layers_and_audit(read: Read) -> None:
    _, _, doc, _ = read
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
    for layout in doc.layouts.names_in_taborder():
        used |= {entity.dxf.layer for entity in doc.layout(layout)}
    assert used - {"0", "VIEWPORTS"} <= {layer.name for layer in LAYERS}
    for name in {entity.dxf.dimstyle for entity in doc.modelspace().query("DIMENSION")}:
        assert doc.dimstyles.get(name).dxf.dimlfac == 1.0
    hatches = doc.modelspace().query("HATCH")
    drawn = {hatch.dxf.pattern_name for hatch in hatches}
    assert drawn <= {p.name for p in PATTERNS}
    assert drawn >= {p.name for p in PATTERNS} - {CUT_WALL.name, CUT_GRAVEL.name}


def test_the_same_fence_gives_the_same_bytes(read: Read) -> None:
    fence, data, _, _ = read
    assert drawing(fence, Purpose.BUILD)[0] == data


def test_viewports_show_each_view_at_its_scale(read: Read) -> None:
    _, _, doc, sheets = read
    names = doc.layouts.names_in_taborder()[1:]
    assert len(names) == len(sheets)
    for name, sheet in zip(names, sheets, strict=True):
        layout = doc.layout(name)
        width, height = layout.dxf.paper_width, layout.dxf.paper_height
        assert (width, height) == pytest.approx((sheet.size.width, sheet.size.height))
        viewports = [v for v in layout.query("VIEWPORT") if v.dxf.id != 1]
        views = [p for p in sheet.placed if p.view.in_model]
        assert len(viewports) == len(views)
        for viewport, placed in zip(viewports, views, strict=True):
            assert viewport.dxf.view_height / viewport.dxf.height == pytest.approx(
                placed.view.scale
            )
        assert doc.layers.get("W-VIEWPOU-").dxf.plot == 0


def test_pales_are_block_references(read: Read) -> None:
    fence, _, doc, _ = read
    inserts = doc.modelspace().query("INSERT")
    plans = [insert for insert in inserts if insert.dxf.name.endswith("-PLAN")]
    fronts = [
        insert for insert in inserts if not insert.dxf.name.endswith("-PLAN") and not insert.attribs
    ]
    pales = [member for member in fence.members if member.kind == PALE]
    assert len(plans) == len(pales)
    # the elevations show every pale once, a typical bay some of them again
    assert len(fronts) >= len(pales)
    for insert in fronts[:3]:
        (outline,) = doc.blocks.get(insert.dxf.name).query("LWPOLYLINE")
        shape = fence.by_mark[insert.dxf.name][0].shape
        assert isinstance(shape, Plate)
        points = np.array(outline.get_points("xyb"))
        assert points == pytest.approx(np.array(shape.outline.vertices))
    for insert in plans:  # the plan keeps the site's coordinates
        x, y, _ = insert.dxf.insert
        mark = insert.dxf.name.removesuffix("-PLAN")
        assert any(math.dist((x, y), m.frame.origin[:2]) < 1e-6 for m in fence.by_mark[mark])


def measured(doc: Drawing) -> list[float]:
    values = []
    for entity in doc.modelspace().query("DIMENSION"):
        a, b = entity.dxf.defpoint2, entity.dxf.defpoint3
        turn = math.radians(entity.dxf.angle)
        length = abs((b.x - a.x) * math.cos(turn) + (b.y - a.y) * math.sin(turn))
        assert entity.get_measurement() == pytest.approx(length, abs=1e-9)
        text = entity.dxf.get("text", "<>")
        if text not in ("", "<>", "Ø<>", "□<>"):
            # typed over alone where a chain would not add up as written
            assert text == f"{int(text)}"
            assert abs(int(text) - length) < 1.0
        values.append(length)
    return values


def test_dimensions_are_the_models_own_figures(read: Read) -> None:
    fence, _, doc, _ = read
    values = measured(doc)

    def has(value: float) -> bool:
        return any(abs(value - other) < 1e-6 for other in values)

    for layout in fence.layouts:
        run = layout.run
        straight = (leg for leg in layout.legs if not (leg.bent_start or leg.bent_end))
        assert all(has(leg.length) for leg in straight)
        for stretch in layout.stretches:
            assert all(has(bay) for bay in stretch.bays)
        assert all(has(opening.spec.opening) for opening in layout.openings)
        longest = max(layout.stretches, key=lambda s: s.xs[-1] - s.xs[0])
        if layout is fence.layouts[0]:
            assert any(has(part.gap) for _, part in longest.row.parts)
        rise = run.pales.kinds[0].rise
        for value in (
            run.pales.clearance,
            run.pales.longest,
            run.pales.widest,
            rise,
            *run.rails.tops,
        ):
            assert has(value)


def test_a_second_reader_finds_the_same(read: Read, tmp_path: Path) -> None:
    """GDAL's own DXF reader: as many entities, and the plan where the site is."""
    fence, data, doc, _ = read
    path = tmp_path / "fence.dxf"
    path.write_bytes(data)
    meta, _, geometry, fields = pyogrio.raw.read(path, columns=["Layer", "SubClasses"])
    layers = fields[list(meta["fields"]).index("Layer")]
    import shapely

    shapes = shapely.from_wkb(geometry)
    axis = shapes[layers == "W-FLINE-E-"]
    lines = [entity for entity in doc.modelspace() if entity.dxf.layer == "W-FLINE-E-"]
    assert len(axis) == len(lines)
    west, south, east, north = shapely.total_bounds(shapes[layers == "W-POSTS-E-"])
    xs = [x for layout in fence.layouts for p in layout.posts for x, _ in p.corners]
    ys = [y for layout in fence.layouts for p in layout.posts for _, y in p.corners]
    assert east >= max(xs) - 1e-6 and west <= min(xs) + 1e-6
    assert north == pytest.approx(max(ys), abs=1e-6)
    assert south < min(ys)  # the other views stand below the plan


@pytest.mark.parametrize("version", ["R2010", "R12"])
def test_older_versions(version: str) -> None:
    fence = example_fence(ROOT / "examples" / "cottage.toml")
    data, doc, sheets = drawing(fence, Purpose.BUILD, version)
    assert doc.dxfversion == VERSIONS[version]
    assert not doc.audit().has_errors
    dimensions = len(doc.modelspace().query("DIMENSION"))
    if version == "R12":
        assert dimensions == 0
        assert b"LWPOLYLINE" not in data
        texts = {text.dxf.text for text in doc.modelspace().query("TEXT")}
        assert "10800" in texts
        assert len(doc.modelspace().query("INSERT")) > 200
    else:
        assert dimensions > 40
        assert len(doc.layouts.names()) == len(sheets) + 1


def test_metres_on_planning_drawings() -> None:
    fence = example_fence(ROOT / "examples" / "cottage.toml")
    _, doc, _ = drawing(fence, Purpose.PLANNING)
    (name,) = {entity.dxf.dimstyle for entity in doc.modelspace().query("DIMENSION")} - {
        "PALEWRIGHT-50"
    }
    assert doc.dimstyles.get(name).dxf.dimlfac == 0.001
    texts = [
        part.text
        for entity in doc.modelspace().query("DIMENSION")
        for part in entity.virtual_entities()
        if part.dxftype() == "MTEXT"
    ]
    assert any("10.80" in text for text in texts)


def test_feet_and_inches_are_written_as_such() -> None:
    spec = {
        "run": [{"points": [[0, 0], ["30 ft", 0]]}],
        "sheets": {"size": "ARCH B", "units": "ft-in"},
    }
    _, doc, _ = drawing(fence_of(spec), Purpose.BUILD)
    texts = [entity.dxf.text for entity in doc.modelspace().query("DIMENSION")]
    assert "30'-0\"" in texts


def test_names_cannot_break_the_drawing() -> None:
    name = "a\n0\nSECTION; <b>\\P{\\H3;x}</b> %%u é 🌳 " + "x" * 100
    spec = {
        "project": {"name": name, "author": name[:60], "reference": "=1+1 <>/\\:"},
        "run": [{"name": name[:80], "points": [[0, 0], [3000, 0]]}],
    }
    for version in VERSIONS:
        _, doc, _ = drawing(fence_of(spec), Purpose.BUILD, version)
        assert not doc.audit().has_errors


def test_a_cutting_outline_is_one_closed_line() -> None:
    fence = example_fence(ROOT / "examples" / "terrace.toml")
    files = template_files(fence, "t", "A4", 0.0)
    doc = ezdxf.read(io.StringIO(files["t-head-A.dxf"].decode()))
    (outline,) = doc.modelspace()
    assert outline.dxftype() == "LWPOLYLINE"
    assert outline.closed
    assert any(bulge for _, _, bulge in outline.get_points("xyb"))  # the arc is kept
    assert list(files) == ["t-head-A.pdf", "t-head-A.dxf"]  # both runs have the same pales
    moved = template_files(fence, "t", "A4", 1.5)["t-head-A.dxf"]
    (outline,) = ezdxf.read(io.StringIO(moved.decode())).modelspace()
    xs = [x for x, _ in outline.get_points("xy")]
    assert max(xs) - min(xs) == pytest.approx(70 + 3, abs=0.01)


def test_views_in_model_space_stand_apart(read: Read) -> None:
    import shapely

    from palewright.export.drawing.writers.dxf import model_origins

    _, _, _, sheets = read
    spots = model_origins(sheets)
    boxes = []
    for number, sheet in enumerate(sheets):
        for place, placed in enumerate(sheet.placed):
            if placed.view.in_model:
                view, (x, y) = placed.view, spots[number, place]
                sides = [v * view.scale for v in bounds(placed.recorded)]
                boxes.append(shapely.box(sides[0] + x, sides[1] + y, sides[2] + x, sides[3] + y))
    for number, box in enumerate(boxes):
        assert not any(box.intersects(other) for other in boxes[number + 1 :])
