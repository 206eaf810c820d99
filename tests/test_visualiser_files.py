"""GLB, OBJ and USDZ as a visualiser opens them: textures in metres along the grain, normals,
finishes to choose from; read by trimesh, VTK and pxr.
"""

from __future__ import annotations

import io
import json
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from vtkmodules.util.numpy_support import vtk_to_numpy
from vtkmodules.vtkIOGeometry import vtkOBJReader

from helpers import fence_of
from palewright.export.models.finishes import TIMBER_FINISHES, finish_of
from palewright.export.models.glb import write_glb, write_merged_glb
from palewright.export.models.grain_axes import grain_axis
from palewright.export.models.obj import write_obj
from palewright.export.models.own_edges import Bodies, with_own_edges
from palewright.export.models.product import Product
from palewright.export.models.stl import write_stl
from palewright.export.models.unwrapping import laid_open, opened
from palewright.export.models.usdz import write_usdz
from palewright.model.geometry.shapes import Bar
from palewright.model.parts.members import TIMBER
from readers import bounds_of

ODD: dict[str, dict[str, Any]] = {
    "a bank with corners": {
        "project": {"name": "Chapel Bank"},
        "run": [{"points": [[0, 0, 0], [4200, 0, 600], [6100, 2600, 1100], [6100, 6000, 900]]}],
        "pales": {"head": {"shape": "round"}},
    },
    "feet and inches": {
        "project": {"name": "Corner lot"},
        "run": [{"points": [[0, 0], ["20 ft", 0], ["20 ft", "14 ft"]]}],
        "pales": {"length": "3 ft", "width": "3 1/2 in", "thickness": "3/4 in", "gap": "2 in"},
        "posts": {"section": ["3 1/2 in", "3 1/2 in"], "bay": "8 ft", "top": "flat"},
        "footings": {"hole": "square"},
    },
    "gates with braces and caps": {
        "project": {"name": "Yard & lane"},
        "run": [
            {
                "points": [[0, 0], [7200, 0]],
                "gate": [
                    {"at": "2 m", "frame": "framed", "braces": 2},
                    {"at": "5 m", "opening": 2400, "leaves": 2},
                ],
            }
        ],
        "posts": {"top": {"shape": "cap"}, "finial": {"shape": "acorn"}},
    },
}


@cache
def odd(name: str) -> Product:
    return Product(fence_of(ODD[name]))


jobs = pytest.mark.parametrize("name", ODD)


def document_of(data: bytes) -> Any:
    """Return the JSON of a GLB."""
    return json.loads(data[20 : 20 + int.from_bytes(data[12:16], "little")])


def lengths(corners: np.ndarray) -> np.ndarray:
    """Return the lengths of the sides of triangles (m, 3, 2 or 3)."""
    return np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2)


def holds(points: np.ndarray, normals: np.ndarray, places: np.ndarray, faces: np.ndarray) -> None:
    """Want textures in metres that are not mirrored, and unit normals outwards. points : m."""
    corners, flat = points[faces], places[faces]
    assert lengths(flat) == pytest.approx(lengths(corners), abs=5e-6)
    (ux, uy), (vx, vy) = (flat[:, 1] - flat[:, 0]).T, (flat[:, 2] - flat[:, 0]).T
    assert np.all(ux * vy - uy * vx > -1e-9)
    assert np.linalg.norm(normals, axis=1) == pytest.approx(1.0, abs=2e-6)
    out = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    turned = np.einsum("tj,tcj->tc", out, normals[faces])
    # at the tip of an acorn it is not as steep as its sides
    assert np.all(turned > 0.5 * np.linalg.norm(out, axis=1)[:, None])
    whole = trimesh.Trimesh(points, faces)
    assert whole.is_watertight and whole.volume > 0.0


@jobs
def test_textures_of_a_glb_are_metres_along_the_grain(name: str) -> None:
    built = odd(name)
    scene = trimesh.load(io.BytesIO(write_glb(built)), file_type="glb", process=False)
    assert document_of(write_glb(built))["nodes"][-1]["name"] == built.fence.job.project.name
    braces = 0
    for mark, group in built.fence.by_mark.items():
        mesh = scene.geometry[mark]
        places = np.array(mesh.visual.uv)  # trimesh turns v upwards
        holds(mesh.vertices, mesh.vertex_normals, places, mesh.faces)
        if group[0].kind.material != TIMBER:
            continue
        if group[0].kind.name == "finial":  # round all over
            continue
        # a pale stands, a rail or brace lies: x, or y that is up
        grain = 1 if group[0].kind.name in ("pale", "post") else 0
        front = mesh.vertex_normals[:, 2] > 0.999
        along = np.ptp(places[front, 0])
        assert along == pytest.approx(np.ptp(mesh.vertices[front, grain]), abs=1e-5)
        assert np.ptp(places[front, 1]) == pytest.approx(
            np.ptp(mesh.vertices[front, 1 - grain]), abs=1e-5
        )
        if group[0].kind.name in ("pale", "post", "rail", "gate brace", "gate ledge"):
            assert along == pytest.approx(group[0].shape.size[2] / 1000.0, abs=1e-5)
        braces += group[0].kind.name == "gate brace"
        if isinstance(group[0].shape, Bar):
            assert grain_axis(group[0].kind) == 0
    assert bool(braces) is ("braces" in name)


def test_a_texture_runs_on_round_a_piece() -> None:
    """The four sides of a post follow each other: a strip as wide as the post is round."""
    built = odd("feet and inches")
    mark, (post, *_) = next(
        (m, g) for m, g in built.fence.by_mark.items() if g[0].kind.name == "post"
    )
    part = laid_open(built.meshes[mark], 2)
    sides = np.abs(part.normals[:, 2]) < 0.5
    found = sorted({round(float(v), 5) for v in part.places[sides, 1]})
    side = post.shape.size[0] / 1000.0
    assert found == pytest.approx([side * number for number in range(5)], abs=1e-5)


@jobs
@pytest.mark.parametrize("metres", [False, True])
def test_obj_by_vtk(name: str, metres: bool, tmp_path: Path) -> None:
    built = odd(name)
    for file, data in write_obj(built, "fence", metres=metres).items():
        (tmp_path / file).write_bytes(data)
    said = (tmp_path / "fence.obj").read_text().splitlines()[1]
    assert said == "# lengths in " + (
        "metres; x east, y up, z south" if metres else "mm; x east, y north, z up"
    )
    reader = vtkOBJReader()
    reader.SetFileName(str(tmp_path / "fence.obj"))
    reader.Update()
    read = reader.GetOutput()
    points = vtk_to_numpy(read.GetPoints().GetData()).astype(float)
    normals = vtk_to_numpy(read.GetPointData().GetNormals())
    # it keeps an array for each material, -1 where a point has another
    finishes = {finish_of(m.kind, built.fence.job.finishes).name for m in built.fence.members}
    arrays = [read.GetPointData().GetArray(label.replace(" ", "_")) for label in finishes]
    places = np.max([vtk_to_numpy(array) for array in arrays], axis=0).astype(float)
    faces = vtk_to_numpy(read.GetPolys().GetConnectivityArray()).reshape(-1, 3)
    low, high = bounds_of(built)
    wanted = np.array([low, high])
    if metres:
        wanted = np.array([[low[0], low[2], -high[1]], [high[0], high[2], -low[1]]]) / 1000.0
    assert [points.min(axis=0), points.max(axis=0)] == pytest.approx(wanted, rel=2e-6, abs=1e-5)
    corners = points[faces] / (1.0 if metres else 1000.0)
    assert lengths(places[faces]) == pytest.approx(lengths(corners), abs=2e-5)
    out = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    wide = np.linalg.norm(out, axis=1) > 1e-8  # over a hundredth of a square mm
    turned = np.einsum("tj,tcj->tc", out, normals[faces])[wide]
    assert np.all(turned > 0.5 * np.linalg.norm(out, axis=1)[wide, None])
    assert np.linalg.norm(normals, axis=1) == pytest.approx(1.0, abs=5e-6)
    # of two pieces of a mark each has its own place
    firsts = {m.mark: m for m in built.fence.members}
    assert len(np.unique(places[:, 0].round(3))) > 3 * len(firsts)


@jobs
def test_usdz_by_pxr(name: str, tmp_path: Path) -> None:
    from pxr import Usd, UsdGeom, UsdValidation

    built = odd(name)
    (tmp_path / "fence.usdz").write_bytes(write_usdz(built))
    stage = Usd.Stage.Open(str(tmp_path / "fence.usdz"))
    root = stage.GetDefaultPrim()
    assert root.GetDisplayName() == built.fence.job.project.name
    assert root.GetName() == "".join(c if c.isalnum() else "_" for c in root.GetDisplayName())
    rules = UsdValidation.ValidationRegistry().GetOrLoadAllValidators()
    found = UsdValidation.ValidationContext(rules).Validate(stage)
    assert [error.GetMessage() for error in found] == []
    seen = set()
    for prim in stage.Traverse():
        if not prim.IsInstance() or (mark := prim.GetName().split("_")[0]) in seen:
            continue
        seen.add(mark)
        mesh = UsdGeom.Mesh(prim.GetPrototype().GetChild("mesh"))
        faces = np.array(mesh.GetFaceVertexIndicesAttr().Get())
        points = np.array(mesh.GetPointsAttr().Get(), dtype=float)[faces] / 1000.0
        texture = UsdGeom.PrimvarsAPI(mesh).GetPrimvar("st")
        assert texture.GetInterpolation() == mesh.GetNormalsInterpolation() == "faceVarying"
        places = np.array(texture.ComputeFlattened(), dtype=float)
        normals = np.array(mesh.GetNormalsAttr().Get(), dtype=float)
        holds(points, normals, places, np.arange(len(faces)).reshape(-1, 3))
    assert seen == set(built.fence.by_mark)


def test_every_finish_of_timber_can_be_chosen() -> None:
    """KHR_materials_variants: the spec's own first, then all timber in each of the catalogue's."""
    built = odd("gates with braces and caps")
    document = document_of(write_glb(built))
    named = [v["name"] for v in document["extensions"]["KHR_materials_variants"]["variants"]]
    assert named == ["as specified", *TIMBER_FINISHES]
    assert document["extensionsUsed"] == ["KHR_materials_variants"]
    assert "extensionsRequired" not in document
    materials = [material["name"] for material in document["materials"]]
    for mesh in document["meshes"]:
        kind = built.fence.by_mark[mesh["name"]][0].kind
        own = finish_of(kind, built.fence.job.finishes).name
        (primitive,) = mesh["primitives"]
        assert materials[primitive["material"]] == own
        if kind.material != TIMBER:
            assert "extensions" not in primitive
            continue
        mappings = primitive["extensions"]["KHR_materials_variants"]["mappings"]
        shown = {n: materials[m["material"]] for m in mappings for n in m["variants"]}
        assert [shown[n] for n in range(len(named))] == [own, *TIMBER_FINISHES]


@jobs
def test_a_merged_glb_is_a_mesh_for_each_finish(name: str) -> None:
    built = odd(name)
    data = write_merged_glb(built)
    assert data == write_merged_glb(built)
    members = built.fence.members
    document = document_of(data)
    used = [finish_of(m.kind, built.fence.job.finishes).name for m in members]
    assert [mesh["name"] for mesh in document["meshes"]] == list(dict.fromkeys(used))
    assert document["nodes"][-1]["name"] == built.fence.job.project.name
    scene = trimesh.load(io.BytesIO(data), file_type="glb", process=False)
    low, high = bounds_of(built) / 1000.0
    wanted = np.array([[low[0], low[2], -high[1]], [high[0], high[2], -low[1]]])
    assert scene.bounds == pytest.approx(wanted, abs=1e-5)
    volume = sum(m.shape.volume for m in members if m.kind.name == "rail") / 1e9
    timber = finish_of(next(m.kind for m in members if m.kind.name == "rail"),
                       built.fence.job.finishes).name  # fmt: skip
    volume += sum(
        m.shape.volume / 1e9
        for m in members
        if m.kind.name != "rail" and finish_of(m.kind, built.fence.job.finishes).name == timber
    )
    assert scene.geometry[timber].volume == pytest.approx(volume, rel=0.002)
    for mesh in scene.geometry.values():
        corners = mesh.vertices[mesh.faces]
        flat = np.array(mesh.visual.uv)[mesh.faces]
        assert lengths(flat) == pytest.approx(lengths(corners), abs=1e-5)


@jobs
def test_stl_is_closed_when_points_are_joined(name: str) -> None:
    mesh = trimesh.load(io.BytesIO(write_stl(odd(name))), file_type="stl")
    assert mesh.is_watertight and mesh.is_winding_consistent
    # a thousandth apart is one, too
    mesh.merge_vertices(digits_vertex=3)
    assert mesh.is_watertight


def test_three_bodies_on_one_edge_keep_it_apart() -> None:
    """Three wedges round a common edge, and a fourth a thousandth off: each edge of two faces."""
    points, triangles = [], []
    for number in range(4):
        turns = np.radians([90.0 * number, 90.0 * number + 60.0])
        ring = [(0.0, 0.0), *zip(np.cos(turns) * 100.0, np.sin(turns) * 100.0)]
        off = 0.001 * (number == 3)
        points += [(x + off, y, z) for z in (0.0, 50.0) for x, y in ring]
        at = 6 * number
        triangles += [
            [at + n for n in t]
            for t in (
                (0, 2, 1), (3, 4, 5), (0, 1, 4), (0, 4, 3), (1, 2, 5), (1, 5, 4), (2, 0, 3),
                (2, 3, 5),
            )
        ]  # fmt: skip
    bodies = Bodies(
        np.array(points, dtype=np.float32), np.array(triangles), np.repeat(np.arange(4), 6)
    )
    assert not trimesh.Trimesh(bodies.points, bodies.triangles).is_watertight
    apart = with_own_edges(bodies)
    mesh = trimesh.Trimesh(apart.points, apart.triangles)
    assert mesh.is_watertight and mesh.is_winding_consistent
    before = trimesh.Trimesh(bodies.points, bodies.triangles)
    assert mesh.volume == pytest.approx(before.volume, rel=1e-5)
    assert np.abs(mesh.bounds - before.bounds).max() < 0.01


def test_textures_of_round_parts_are_unrolled() -> None:
    """A bolt's shank laid open is as wide as it is round."""
    built = odd("a bank with corners")
    mark = next(m for m, g in built.fence.by_mark.items() if g[0].kind.name == "bolt")
    part, shape = opened(built)[mark], built.fence.by_mark[mark][0].shape
    radius = np.hypot(part.points[:, 0], part.points[:, 2])
    shank = np.isclose(radius, shape.diameter / 2.0) & (np.abs(part.normals[:, 1]) < 0.1)
    longest = shank & (part.points[:, 1] < shape.grip + 0.1)
    corners = part.triangles[longest[part.triangles].all(axis=1)]
    round_it = np.ptp(part.places[corners.ravel(), 1]) * 1000.0
    assert round_it == pytest.approx(np.pi * shape.diameter, rel=0.02)
