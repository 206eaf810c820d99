"""A large fence, read back from every kind of file by a reader that has nothing to do with us."""

from __future__ import annotations

import io
from collections import Counter
from pathlib import Path

import gmsh
import numpy as np
import pyogrio
import pypdfium2
import pytest
import trimesh

from helpers import fence_of
from palewright.export.drawing.draft.paper import Area, Label, Stroke
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.sets.sheet_sets import Purpose, sheet_set
from palewright.export.drawing.writers.dxf import write_dxf
from palewright.export.drawing.writers.pdf import write_pdf
from palewright.export.models.glb import write_glb, write_merged_glb
from palewright.export.models.product import Product
from palewright.export.models.step import write_step
from palewright.export.models.threemf import write_3mf
from palewright.export.models.transforms import matrix_of
from readers import bounds_of, strictly_read_3mf, validated

pytestmark = [pytest.mark.slow, pytest.mark.xdist_group("scale")]


@pytest.fixture(scope="module")
def estate() -> Product:
    """Round three sides of a field of 200 m by 170 m, with gates and a rise of 3 m."""
    gates = [{"at": "62 m", "opening": 3600, "leaves": 2}, {"at": "290 m"}]
    ground = [[0, 0], ["200 m", "3 m"], ["370 m", "2 m"], ["570 m", 0]]
    line = [[0, 0], ["200 m", 0], ["200 m", "170 m"], [0, "170 m"]]
    fence = fence_of({"run": [{"points": line, "gate": gates, "levels": ground}]})
    assert max(z for _, z in fence.layouts[0].legs[0].profile) > 2900.0
    assert sum(member.kind.name == "pale" for member in fence.members) > 3000
    return Product(fence)


def test_step_by_gmsh(estate: Product, tmp_path: Path) -> None:
    path = tmp_path / "estate.step"
    path.write_bytes(write_step(estate))
    gmsh.initialize(interruptible=False)
    try:
        gmsh.option.setNumber("General.Terminal", 0)
        gmsh.option.setString("Geometry.OCCTargetUnit", "MM")
        gmsh.option.setNumber("Geometry.OCCImportLabels", 0)  # it looks through all for each one
        solids = gmsh.model.occ.importShapes(str(path))
        masses = [gmsh.model.occ.getMass(*solid) for solid in solids]
        boxes = np.array([gmsh.model.occ.getBoundingBox(*solid) for solid in solids])
    finally:
        gmsh.finalize()
    members = estate.fence.members
    assert len(solids) == len(members)
    volumes = sorted(member.shape.volume for member in members)
    assert sorted(masses) == pytest.approx(volumes, rel=1e-6)
    low, high = bounds_of(estate)
    assert boxes[:, :3].min(axis=0) == pytest.approx(low, abs=0.1)
    assert boxes[:, 3:].max(axis=0) == pytest.approx(high, abs=0.1)


def test_glb_by_trimesh(estate: Product) -> None:
    scene = trimesh.load(io.BytesIO(write_glb(estate)), file_type="glb")
    nodes = {name: scene.graph[name] for name in scene.graph.nodes_geometry}
    assert {name: mark for name, (_, mark) in nodes.items()} == {
        member.name: member.mark for member in estate.fence.members
    }
    to_metres = np.array([[1, 0, 0, 0], [0, 0, 1, 0], [0, -1, 0, 0], [0, 0, 0, 1]], dtype=float)
    for member in estate.fence.members[::7]:
        ours = to_metres @ matrix_of(member.frame)
        ours[:3, 3] /= 1000.0
        theirs = nodes[member.name][0] @ to_metres
        assert theirs == pytest.approx(ours, abs=2e-6), member.name


def test_glb_by_the_khronos_validator(estate: Product, node_folder: Path, tmp_path: Path) -> None:
    paths = []
    for instanced in (False, True):
        paths.append(tmp_path / f"{instanced}.glb")
        paths[-1].write_bytes(write_glb(estate, instanced=instanced))
    paths.append(tmp_path / "merged.glb")
    paths[-1].write_bytes(write_merged_glb(estate))
    validated(node_folder, paths)


def test_3mf_by_lib3mf(estate: Product, tmp_path: Path) -> None:
    path = tmp_path / "estate.3mf"
    path.write_bytes(write_3mf(estate))
    low, high = bounds_of(estate)
    box = strictly_read_3mf(path).GetOutbox()
    assert list(box.MinCoordinate) == pytest.approx(low, abs=0.1)
    assert list(box.MaxCoordinate) == pytest.approx(high, abs=0.1)


def test_sheets_by_gdal_and_pdfium(estate: Product, tmp_path: Path) -> None:
    style = Style()
    sheets, drawn = sheet_set(estate.fence, Purpose.BUILD, style)
    path = tmp_path / "estate.dxf"
    path.write_bytes(write_dxf(sheets, "estate", drawn))
    pyogrio.set_gdal_config_options({"DXF_INLINE_BLOCKS": False})
    try:
        meta, _, _, fields = pyogrio.raw.read(
            path, layer="entities", columns=["BlockName"], where="BlockName IS NOT NULL"
        )
    finally:
        pyogrio.set_gdal_config_options({"DXF_INLINE_BLOCKS": None})
    found = Counter(name for name in fields[list(meta["fields"]).index("BlockName")])
    pales = Counter(m.mark for m in estate.fence.members if m.kind.name == "pale")
    assert sum(pales.values()) > 3000
    for mark, count in pales.items():
        assert found[mark] + found[f"{mark}-TURNED"] >= count, mark  # details show some again
    document = pypdfium2.PdfDocument(write_pdf(sheets, "estate", ""))
    assert len(document) == len(sheets)
    for page, sheet in zip(document, sheets):
        assert page.get_size() == pytest.approx(
            (sheet.size.width * 72.0 / 25.4, sheet.size.height * 72.0 / 25.4), abs=0.01
        )
        kinds = Counter(thing.type for thing in page.get_objects())
        marks = sheet.marks
        drawn = sum(isinstance(mark, Stroke | Area) for mark in marks)
        texts = sum(isinstance(mark, Label) and bool(mark.text.strip()) for mark in marks)
        assert kinds[pypdfium2.raw.FPDF_PAGEOBJ_PATH] == drawn
        assert kinds[pypdfium2.raw.FPDF_PAGEOBJ_TEXT] == texts
