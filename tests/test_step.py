"""The STEP file read as text, and by an independent route (gmsh)."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path
from typing import Any

import gmsh
import numpy as np
import pytest
from steputils import p21

from helpers import THOROUGH, fence_of
from palewright.export.models.finishes import finish_of
from palewright.export.models.product import Product
from palewright.export.models.step import write_step
from palewright.export.models.tree import tree_of
from readers import solids_read_back

LABELLED = 350
"""Up to how many members a reader's names are read."""


@pytest.fixture(scope="module")
def step(built: Product) -> bytes:
    return write_step(built)


def test_text(built: Product, step: bytes) -> None:
    text = step.decode("ascii")
    assert "AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF" in text
    assert "MILLI" in text
    marks = set(built.fence.by_mark)
    tree = tree_of(built.fence)
    groups = 1 + len(tree.branches) + sum(len(run.branches) for run in tree.branches)
    products = re.findall(r"PRODUCT\('([^']*)'", text)
    assert len(products) == len(marks) + groups
    assert marks <= set(products)
    # one solid for each mark, however often it stands in the fence
    assert text.count("MANIFOLD_SOLID_BREP(") == len(marks)
    occurrences = re.findall(r"NEXT_ASSEMBLY_USAGE_OCCURRENCE\('(\d+)','([^']*)'", text)
    names = Counter(name for _, name in occurrences)
    assert all(names[member.name] == 1 for member in built.fence.members)
    assert [int(number) for number, _ in occurrences] == list(range(1, len(occurrences) + 1))
    colours = {
        tuple(round(float(v), 3) for v in match)
        for match in re.findall(r"COLOUR_RGB\('[^']*',([\d.]+),([\d.]+),([\d.]+)\)", text)
    }
    wanted = {
        finish_of(group[0].kind, built.fence.job.finishes).rgb
        for group in built.fence.by_mark.values()
    }
    assert colours == wanted


def test_every_entity_is_there_once_and_every_reference_leads_to_one(step: bytes) -> None:
    data = re.sub(r"'[^']*'", "", step.decode("ascii").split("DATA;")[1])
    numbers = [int(found) for found in re.findall(r"^#(\d+) ?=", data, re.MULTILINE)]
    assert len(set(numbers)) == len(numbers)
    assert {int(found) for found in re.findall(r"#(\d+)", data)} == set(numbers)


def test_a_reader_without_a_cad_kernel_finds_every_member_where_it_stands(
    built: Product, step: bytes
) -> None:
    """By steputils, a reader of ISO 10303-21 alone: from each occurrence over its placement."""
    data = p21.loads(step.decode("ascii")).data[0]
    entities = {
        ref: {e.name: e.params for e in getattr(item, "entities", None) or (item.entity,)}
        for ref, item in data.instances.items()
    }

    def of(ref: str, name: str) -> tuple[Any, ...]:
        return entities[ref][name]

    def numbers(ref: str) -> np.ndarray:
        (params,) = entities[ref].values()
        return np.array(params[1], dtype=float)

    def product(definition: str) -> str:
        formation = of(definition, "PRODUCT_DEFINITION")[2]
        return of(of(formation, "PRODUCT_DEFINITION_FORMATION")[2], "PRODUCT")[0]

    found = {}
    for entity in entities.values():
        if "CONTEXT_DEPENDENT_SHAPE_REPRESENTATION" not in entity:
            continue
        relation, shown = entity["CONTEXT_DEPENDENT_SHAPE_REPRESENTATION"]
        use = of(of(shown, "PRODUCT_DEFINITION_SHAPE")[2], "NEXT_ASSEMBLY_USAGE_OCCURRENCE")
        _, _, part, whole = of(relation, "REPRESENTATION_RELATIONSHIP")
        (turn,) = of(relation, "REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION")
        _, _, at_rest, placed = of(turn, "ITEM_DEFINED_TRANSFORMATION")
        assert at_rest in [ref for shape in entities[part].values() for ref in shape[1]]
        assert placed in of(whole, "SHAPE_REPRESENTATION")[1]
        spots = [
            [numbers(ref) for ref in of(axes, "AXIS2_PLACEMENT_3D")[1:]]
            for axes in (at_rest, placed)
        ]
        assert [list(values) for values in spots[0]] == [[0, 0, 0], [0, 0, 1], [1, 0, 0]]
        found[use[1]] = (product(use[3]), product(use[4]), spots[1])
    members = built.fence.members
    groups = {layout.run.letter for layout in built.fence.layouts} | {m.group for m in members}
    assert len(found) == len(members) + len(groups)
    for member in members:
        whole, part, (origin, z, x) = found[member.name]
        assert (whole, part) == (member.group, member.mark)
        assert origin == pytest.approx(member.frame.origin, abs=1e-6)
        assert z == pytest.approx(member.frame.z, abs=1e-12)
        assert x == pytest.approx(member.frame.x, abs=1e-12)


def test_a_member_more_takes_few_bytes() -> None:
    fences = [fence_of({"run": [{"points": [[0, 0], [mm, 0]]}]}) for mm in (20_000, 200_000)]
    short, long = (len(write_step(Product(fence))) for fence in fences)
    more = len(fences[1].members) - len(fences[0].members)
    assert more > 1000
    assert (long - short) / more < 620.0


def test_the_kernels_reader_finds_names_and_colours(
    built: Product, step: bytes, tmp_path: Path
) -> None:
    found = {name: one.rgb for name, one in solids_read_back(step, tmp_path).items()}
    assert found == {
        mark: finish_of(group[0].kind, built.fence.job.finishes).rgb
        for mark, group in built.fence.by_mark.items()
    }


def test_the_same_fence_gives_the_same_bytes(built: Product, step: bytes) -> None:
    assert write_step(built) == step


@pytest.mark.slow
def test_an_independent_reader_finds_every_member(
    built: Product, step: bytes, tmp_path: Path
) -> None:
    if len(built.fence.members) > LABELLED and not THOROUGH:
        pytest.skip("takes the reader time with the square of its names; read when thorough")
    path = tmp_path / "fence.step"
    path.write_bytes(step)
    gmsh.initialize(interruptible=False)
    try:
        gmsh.option.setNumber("General.Terminal", 0)
        gmsh.option.setString("Geometry.OCCTargetUnit", "MM")
        gmsh.model.occ.importShapes(str(path))
        gmsh.model.occ.synchronize()
        found = {}
        for dimension, tag in gmsh.model.getEntities(3):
            name = gmsh.model.getEntityName(dimension, tag)
            found[name] = (
                gmsh.model.occ.getMass(dimension, tag),
                gmsh.model.occ.getCenterOfMass(dimension, tag),
            )
    finally:
        gmsh.finalize()
    assert len(found) == len(built.fence.members)
    # the reader's names are paths: run, bay, occurrence (the member) and product (the mark)
    paths = {name.split("/")[-2]: (name.split("/"), value) for name, value in found.items()}
    for member in built.fence.members:
        path_of, (volume, centre) = paths[member.name]
        assert path_of[-1] == member.mark
        assert member.group in path_of
        assert volume == pytest.approx(member.shape.volume, rel=1e-6)
        solid_centre = built.solids[member.mark].Center().toTuple()
        assert centre == pytest.approx(member.frame.point(solid_centre), abs=1e-3)


def test_names_beyond_ascii_are_written_as_the_format_asks() -> None:
    data = {
        "project": {"name": "Vicar's gärden; 'é' 🌳"},
        "run": [{"points": [[0, 0], [2000, 0]], "name": "Süd\\Ost"}],
    }
    text = write_step(Product(fence_of(data))).decode("ascii")
    assert "Vicar''s g\\X2\\00E4\\X0\\rden" in text
    assert "\\X2\\D83CDF33\\X0\\" in text
    assert "S\\X2\\00FC\\X0\\d/Ost" in text
