"""GLB, STL, OBJ and 3MF read back by independent readers."""

from __future__ import annotations

import io
import json
import struct
import time
import zipfile
from collections import Counter
from pathlib import Path

import lib3mf
import numpy as np
import pytest
import trimesh
from trimesh.exchange.obj import load_obj

from helpers import fence_of
from palewright.export.models.finishes import TIMBER_FINISHES, finish_of
from palewright.export.models.glb import write_glb
from palewright.export.models.obj import write_obj
from palewright.export.models.product import Product
from palewright.export.models.stl import write_stl
from palewright.export.models.threemf import write_3mf
from palewright.export.models.transforms import matrix_of
from palewright.export.models.usdz import write_usdz
from readers import bounds_of, strictly_read_3mf

SINGLE = 2e-6
"""Relative precision that is left in single-precision floats (2^-23, and some sums)."""


def placed_meshes(built: Product) -> list[tuple[str, trimesh.Trimesh]]:
    """Return name and closed mesh of every member, in site coordinates, mm."""
    made = []
    for member in built.fence.members:
        part = built.meshes[member.mark]
        mesh = trimesh.Trimesh(part.vertices, part.triangles, process=False)
        mesh.apply_transform(matrix_of(member.frame))
        made.append((member.name, mesh))
    return made


def test_every_mesh_is_closed(built: Product) -> None:
    for mark, group in built.fence.by_mark.items():
        part = built.meshes[mark]
        mesh = trimesh.Trimesh(part.vertices, part.triangles, process=False)
        assert mesh.is_watertight
        assert mesh.is_winding_consistent
        assert mesh.volume == pytest.approx(group[0].shape.volume, rel=0.03)


def test_glb(built: Product) -> None:
    data = write_glb(built)
    assert data == write_glb(built)
    magic, version, length = struct.unpack("<4sII", data[:12])
    assert (magic, version, length) == (b"glTF", 2, len(data))
    (size,) = struct.unpack("<I", data[12:16])
    document = json.loads(data[20 : 20 + size])
    assert [mesh["name"] for mesh in document["meshes"]] == list(built.fence.by_mark)
    assert all(len(mesh["primitives"]) == 1 for mesh in document["meshes"])
    uses = Counter(node["mesh"] for node in document["nodes"] if "mesh" in node)
    assert sum(uses.values()) == len(built.fence.members)
    scene = trimesh.load(io.BytesIO(data), file_type="glb")
    # metres, Y up: east, up, south
    bounds = bounds_of(built) / 1000.0
    low, high = bounds
    wanted = [[low[0], low[2], -high[1]], [high[0], high[2], -low[1]]]
    assert scene.bounds == pytest.approx(np.array(wanted), abs=1e-5)
    turn = np.array([[1, 0, 0, 0], [0, 0, 1, 0], [0, -1, 0, 0], [0, 0, 0, 1]], float)
    scale = np.diag([0.001, 0.001, 0.001, 1.0])
    for member in built.fence.members[::7]:
        matrix, mark = scene.graph[member.name]
        assert mark == member.mark
        vertices = built.meshes[member.mark].vertices
        site = trimesh.transform_points(vertices, matrix_of(member.frame))
        there = trimesh.transform_points(scene.geometry[mark].vertices, matrix)
        expected = trimesh.transform_points(site, turn @ scale)
        assert there.min(axis=0) == pytest.approx(expected.min(axis=0), abs=2e-5)
        assert there.max(axis=0) == pytest.approx(expected.max(axis=0), abs=2e-5)


def test_glb_colours_are_linear() -> None:
    from palewright.export.models.finishes import Finish

    # the sRGB transfer function, IEC 61966-2-1: 0.5 is 0.2140, 0.04 is 0.04 / 12.92
    finish = Finish("x", 0.5, 0.04, 1.0)
    assert finish.linear == pytest.approx((0.21404, 0.04 / 12.92, 1.0), abs=1e-5)
    assert finish.hex == "#800AFF"


def test_stl(built: Product) -> None:
    data = write_stl(built)
    assert data == write_stl(built)
    mesh = trimesh.load(io.BytesIO(data), file_type="stl")
    assert mesh.bounds == pytest.approx(bounds_of(built), rel=SINGLE, abs=0.01)
    volume = sum(part.volume for _, part in placed_meshes(built))
    assert mesh.volume == pytest.approx(volume, rel=1e-4)
    assert mesh.is_watertight and mesh.is_winding_consistent
    count = sum(len(built.meshes[member.mark].triangles) for member in built.fence.members)
    # what is more are halves of triangles along edges of two pieces
    assert count <= len(mesh.faces) < 1.05 * count


def test_obj(built: Product) -> None:
    files = write_obj(built, "fence")
    assert set(files) == {"fence.obj", "fence.mtl"}
    text = files["fence.obj"].decode()
    names = [line[2:] for line in text.splitlines() if line.startswith("o ")]
    assert names == [member.name for member in built.fence.members]
    used = {line[7:] for line in text.splitlines() if line.startswith("usemtl ")}
    made = {line[7:] for line in files["fence.mtl"].decode().splitlines() if "newmtl" in line}
    finishes = {finish_of(m.kind, built.fence.job.finishes).name for m in built.fence.members}
    assert used == {name.replace(" ", "_") for name in finishes}
    assert made == {name.replace(" ", "_") for name in finishes | {*TIMBER_FINISHES}}
    read = load_obj(io.StringIO(text), split_objects=True)["geometry"]
    assert len(read) == len(built.fence.members)
    for name, mesh in placed_meshes(built)[::11]:
        again = trimesh.Trimesh(read[name]["vertices"], read[name]["faces"])
        assert again.is_watertight
        assert again.volume == pytest.approx(mesh.volume, rel=1e-5)


def test_3mf(built: Product, tmp_path: Path) -> None:
    data = write_3mf(built)
    assert data == write_3mf(built)
    path = tmp_path / "fence.3mf"
    path.write_bytes(data)
    model = strictly_read_3mf(path)
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    meshes = model.GetMeshObjects()
    found = {}
    while meshes.MoveNext():
        mesh = meshes.GetCurrentMeshObject()
        assert mesh.IsManifoldAndOriented()
        found[mesh.GetName()] = mesh.GetTriangleCount()
    assert found == {mark: len(part.triangles) for mark, part in built.meshes.items()}
    scene = trimesh.load(path)
    assert len(scene.graph.nodes_geometry) == len(built.fence.members)
    assert scene.bounds == pytest.approx(bounds_of(built), abs=1e-3)
    with zipfile.ZipFile(path) as package:
        assert {info.date_time[0] for info in package.infolist()} == {1980}


def test_finishes_of_the_spec_are_those_of_the_models() -> None:
    data = {
        "run": [{"points": [[0, 0], [3600, 0]]}],
        "finishes": {"pales": "blue paint", "rails": "white paint", "posts": "weathered"},
    }
    built = Product(fence_of(data))
    blue = TIMBER_FINISHES["blue paint"]
    text = write_3mf(built)
    with zipfile.ZipFile(io.BytesIO(text)) as package:
        model = package.read("3D/3dmodel.model").decode()
    for name in ("blue paint", "white paint", "weathered"):
        assert f'name="{name}" displaycolor="{TIMBER_FINISHES[name].hex}FF"' in model
    data = write_glb(built)
    length = int.from_bytes(data[12:16], "little")
    document = json.loads(data[20 : 20 + length])
    materials = {m["name"]: m["pbrMetallicRoughness"] for m in document["materials"]}
    colour = materials["blue paint"]["baseColorFactor"][:3]
    assert colour == pytest.approx(list(blue.linear), abs=1e-4)


def test_usdz_is_what_phones_take(cottage: Product, tmp_path: Path) -> None:
    """Read back and checked by the library's own validators, those for phones among them."""
    from pxr import Usd, UsdGeom, UsdValidation

    path = tmp_path / "fence.usdz"
    data = write_usdz(cottage)
    path.write_bytes(data)
    stage = Usd.Stage.Open(str(path))
    rules = UsdValidation.ValidationRegistry().GetOrLoadAllValidators()
    assert len(rules) > 10
    found = UsdValidation.ValidationContext(rules).Validate(stage)
    assert [error.GetMessage() for error in found] == []
    assert UsdGeom.GetStageMetersPerUnit(stage) == 1.0
    assert UsdGeom.GetStageUpAxis(stage) == "Y"
    uses = [prim for prim in stage.Traverse() if prim.IsInstance()]
    assert len(uses) == len(cottage.fence.members)
    assert len(stage.GetPrototypes()) == len(cottage.fence.by_mark)
    cache = UsdGeom.BBoxCache(Usd.TimeCode.Default(), [UsdGeom.Tokens.default_])
    low, high = (
        cache.ComputeWorldBound(stage.GetDefaultPrim()).ComputeAlignedRange().GetMin(),
        (cache.ComputeWorldBound(stage.GetDefaultPrim()).ComputeAlignedRange().GetMax()),
    )
    wanted = bounds_of(cottage) / 1000.0
    assert list(low) == pytest.approx([wanted[0][0], wanted[0][2], -wanted[1][1]], abs=1e-5)
    assert list(high) == pytest.approx([wanted[1][0], wanted[1][2], -wanted[0][1]], abs=1e-5)
    assert len(data) < 300_000
    time.sleep(2.1)  # the package's clock counts in steps of two seconds
    assert write_usdz(cottage) == data


def test_instances_stand_where_members_do(cottage: Product) -> None:
    """The extension's arrays, read by hand: one node a mark, 28 bytes an instance."""
    from palewright.export.models.glb import write_glb

    data = write_glb(cottage, instanced=True)
    length = int.from_bytes(data[12:16], "little")
    document = json.loads(data[20 : 20 + length])
    body = data[28 + length :]
    assert document["extensionsRequired"] == ["EXT_mesh_gpu_instancing"]
    assert document["extensionsUsed"] == ["EXT_mesh_gpu_instancing", "KHR_materials_variants"]
    assert document["nodes"][-1]["name"] == cottage.fence.job.project.name

    def rows(number: int, width: int) -> np.ndarray:
        accessor = document["accessors"][number]
        view = document["bufferViews"][accessor["bufferView"]]
        raw = body[view["byteOffset"] : view["byteOffset"] + view["byteLength"]]
        assert view["byteLength"] == accessor["count"] * width * 4
        return np.frombuffer(raw, "<f4").reshape(-1, width)

    seen = 0
    for node in document["nodes"][:-1]:
        attributes = node["extensions"]["EXT_mesh_gpu_instancing"]["attributes"]
        group = cottage.fence.by_mark[node["name"]]
        places = rows(attributes["TRANSLATION"], 3)
        wanted = [(m.frame.origin[0], m.frame.origin[2], -m.frame.origin[1]) for m in group]
        assert places == pytest.approx(np.array(wanted) / 1000.0, abs=1e-5)
        turns = rows(attributes["ROTATION"], 4)
        assert np.linalg.norm(turns, axis=1) == pytest.approx(1.0, abs=1e-5)
        seen += len(places)
    assert seen == len(cottage.fence.members)
