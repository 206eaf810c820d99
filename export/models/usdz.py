"""USDZ for phones that show models in the room (Universal Scene Description, packed)."""

from __future__ import annotations

import os
import tempfile
import time
from pathlib import Path

import numpy as np

from palewright.model.basis.errors import OutputError
from palewright.model.basis.text import plain

from .finishes import Finish, finish_of
from .polygons import matrix_of
from .product import Product

MISSING = "a USDZ file needs usd-core: pip install 'palewright[usdz]'"


def write_usdz(built: Product) -> bytes:
    """Return a fence as a USDZ package: metres, Y up, one mesh for each mark and its uses.

    Raises
    ------
    OutputError
        When usd-core is not installed.
    """
    try:
        from pxr import Gf, Sdf, Usd, UsdGeom, UsdShade, UsdUtils, Vt
    except ImportError:
        raise OutputError(MISSING) from None
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "fence.usdc"
        stage = Usd.Stage.CreateNew(str(path))
        UsdGeom.SetStageUpAxis(stage, UsdGeom.Tokens.y)
        UsdGeom.SetStageMetersPerUnit(stage, 1.0)
        root = UsdGeom.Xform.Define(stage, "/fence")
        root.GetPrim().SetDisplayName(plain(built.fence.job.project.name) or "fence")
        stage.SetDefaultPrim(root.GetPrim())
        # mm with z up becomes metres with y up
        turn = Gf.Matrix4d().SetScale(0.001) * Gf.Matrix4d().SetRotate(
            Gf.Rotation(Gf.Vec3d(1, 0, 0), -90.0)
        )
        root.AddTransformOp().Set(turn)
        surfaces: dict[Finish, UsdShade.Material] = {}
        for mark, group in built.fence.by_mark.items():
            finish = finish_of(group[0].kind, built.fence.job.finishes)
            if finish not in surfaces:
                name = f"/fence/surfaces/{finish.name.replace(' ', '_')}"
                material = UsdShade.Material.Define(stage, name)
                shader = UsdShade.Shader.Define(stage, f"{name}/shader")
                shader.CreateIdAttr("UsdPreviewSurface")
                colour = shader.CreateInput("diffuseColor", Sdf.ValueTypeNames.Color3f)
                colour.Set(Gf.Vec3f(*finish.linear))
                for key, value in (("roughness", finish.roughness), ("metallic", finish.metallic)):
                    shader.CreateInput(key, Sdf.ValueTypeNames.Float).Set(value)
                material.CreateSurfaceOutput().ConnectToSource(shader.ConnectableAPI(), "surface")
                surfaces[finish] = material
            pattern = f"/marks/{mark}"
            stage.CreateClassPrim(pattern)
            mesh = UsdGeom.Mesh.Define(stage, f"{pattern}/mesh")
            part = built.meshes[mark]
            mesh.CreatePointsAttr(Vt.Vec3fArray.FromNumpy(part.vertices.astype(np.float32)))
            mesh.CreateFaceVertexCountsAttr(Vt.IntArray(len(part.triangles), 3))
            indices = part.triangles.astype(np.int32).ravel()
            mesh.CreateFaceVertexIndicesAttr(Vt.IntArray.FromNumpy(indices))
            mesh.CreateSubdivisionSchemeAttr(UsdGeom.Tokens.none)
            extent = np.stack([part.vertices.min(axis=0), part.vertices.max(axis=0)])
            mesh.CreateExtentAttr(Vt.Vec3fArray.FromNumpy(extent.astype(np.float32)))
            for member in group:
                place = f"/fence/{member.name.replace('-', '_')}"
                use = UsdGeom.Xform.Define(stage, place)
                use.AddTransformOp().Set(Gf.Matrix4d(matrix_of(member.frame).T.tolist()))
                prim = use.GetPrim()
                prim.GetReferences().AddInternalReference(pattern)
                prim.SetInstanceable(True)
                UsdShade.MaterialBindingAPI.Apply(prim).Bind(surfaces[finish])
        stage.GetRootLayer().Save()
        # the package keeps the file's local time: always the same one
        noon = time.mktime((2000, 1, 1, 12, 0, 0, 0, 1, -1))
        os.utime(path, (noon, noon))
        packed = Path(folder) / "fence.usdz"
        if not UsdUtils.CreateNewUsdzPackage(str(path), str(packed)):
            raise OutputError("the USDZ package could not be made")
        return packed.read_bytes()
