"""USDZ for phones that show models in the room (Universal Scene Description, packed)."""

from __future__ import annotations

import os
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np

from palewright.model.basis.errors import OutputError
from palewright.model.basis.text import plain
from palewright.model.geometry.frames import Frame

from .finishes import Finish, finish_of
from .product import Mesh, Product
from .transforms import matrix_of
from .unwrapping import LaidOpen, moved, opened

MISSING = "a USDZ file needs usd-core: pipx inject palewright usd-core, or pip install usd-core"


def write_usdz(built: Product) -> bytes:
    """Return a fence as a USDZ package: metres, Y up, one mesh for each mark and its uses.

    The root has the project's name. Textures lie in metres along the grain (primvars:st), from mark
    to mark at other places.

    Raises
    ------
    OutputError
        When usd-core is not installed.
    """
    try:
        from pxr import Usd, UsdUtils
    except ImportError:
        raise OutputError(MISSING) from None
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "fence.usdc"
        stage = Usd.Stage.CreateNew(str(path))
        root = _root(stage, plain(built.fence.job.project.name) or "fence")
        parts = opened(built)
        surfaces: dict[Finish, Any] = {}
        for mark, group in built.fence.by_mark.items():
            finish = finish_of(group[0].kind, built.fence.job.finishes)
            if finish not in surfaces:
                surfaces[finish] = _surface(stage, root, finish)
            pattern = _pattern(stage, mark, built.meshes[mark], parts[mark])
            for member in group:
                _use(
                    stage,
                    f"{root}/{member.name.replace('-', '_')}",
                    member.frame,
                    pattern,
                    surfaces[finish],
                )
        stage.GetRootLayer().Save()
        # the package keeps the file's local time: always the same one
        noon = time.mktime((2000, 1, 1, 12, 0, 0, 0, 1, -1))
        os.utime(path, (noon, noon))
        packed = Path(folder) / "fence.usdz"
        if not UsdUtils.CreateNewUsdzPackage(str(path), str(packed)):
            raise OutputError("the USDZ package could not be made")
        return packed.read_bytes()


def _root(stage: Any, name: str) -> str:
    """Define the root, which turns mm with z up into metres with y up; return its path."""
    from pxr import Gf, Tf, UsdGeom

    UsdGeom.SetStageUpAxis(stage, UsdGeom.Tokens.y)
    UsdGeom.SetStageMetersPerUnit(stage, 1.0)
    # names of parts are ASCII on phones; what is shown is the display name
    path = f"/{Tf.MakeValidIdentifier(name)}"
    root = UsdGeom.Xform.Define(stage, path)
    root.GetPrim().SetDisplayName(name)
    stage.SetDefaultPrim(root.GetPrim())
    turn = Gf.Matrix4d().SetScale(0.001) * Gf.Matrix4d().SetRotate(
        Gf.Rotation(Gf.Vec3d(1, 0, 0), -90.0)
    )
    root.AddTransformOp().Set(turn)
    return path


def _surface(stage: Any, root: str, finish: Finish) -> Any:
    """Define a material and return it."""
    from pxr import Gf, Sdf, UsdShade

    name = f"{root}/surfaces/{finish.name.replace(' ', '_')}"
    material = UsdShade.Material.Define(stage, name)
    shader = UsdShade.Shader.Define(stage, f"{name}/shader")
    shader.CreateIdAttr("UsdPreviewSurface")
    colour = shader.CreateInput("diffuseColor", Sdf.ValueTypeNames.Color3f)
    colour.Set(Gf.Vec3f(*finish.linear))
    for key, value in (("roughness", finish.roughness), ("metallic", finish.metallic)):
        shader.CreateInput(key, Sdf.ValueTypeNames.Float).Set(value)
    material.CreateSurfaceOutput().ConnectToSource(shader.ConnectableAPI(), "surface")
    return material


def _pattern(stage: Any, mark: str, part: Mesh, laid: LaidOpen) -> str:
    """Define the mesh of a mark, which its members refer to; return its path."""
    from pxr import Sdf, UsdGeom, Vt

    pattern = f"/marks/{mark}"
    stage.CreateClassPrim(pattern)
    mesh = UsdGeom.Mesh.Define(stage, f"{pattern}/mesh")
    mesh.CreatePointsAttr(Vt.Vec3fArray.FromNumpy(part.vertices.astype(np.float32)))
    mesh.CreateFaceVertexCountsAttr(Vt.IntArray(len(part.triangles), 3))
    indices = part.triangles.astype(np.int32).ravel()
    mesh.CreateFaceVertexIndicesAttr(Vt.IntArray.FromNumpy(indices))
    corners = laid.triangles.ravel()
    mesh.CreateNormalsAttr(Vt.Vec3fArray.FromNumpy(laid.normals[corners].astype(np.float32)))
    mesh.SetNormalsInterpolation(UsdGeom.Tokens.faceVarying)
    places = (laid.places + moved(mark)).astype(np.float32)
    texture = UsdGeom.PrimvarsAPI(mesh).CreatePrimvar(
        "st", Sdf.ValueTypeNames.TexCoord2fArray, UsdGeom.Tokens.faceVarying
    )
    texture.Set(Vt.Vec2fArray.FromNumpy(places))
    texture.SetIndices(Vt.IntArray.FromNumpy(corners.astype(np.int32)))
    mesh.CreateSubdivisionSchemeAttr(UsdGeom.Tokens.none)
    extent = np.stack([part.vertices.min(axis=0), part.vertices.max(axis=0)])
    mesh.CreateExtentAttr(Vt.Vec3fArray.FromNumpy(extent.astype(np.float32)))
    return pattern


def _use(stage: Any, place: str, frame: Frame, pattern: str, surface: Any) -> None:
    """Define a member as a use of its mark's mesh."""
    from pxr import Gf, UsdGeom, UsdShade

    use = UsdGeom.Xform.Define(stage, place)
    use.AddTransformOp().Set(Gf.Matrix4d(matrix_of(frame).T.tolist()))
    prim = use.GetPrim()
    prim.GetReferences().AddInternalReference(pattern)
    prim.SetInstanceable(True)
    UsdShade.MaterialBindingAPI.Apply(prim).Bind(surface)
