"""Readers that have nothing to do with us, and what they should find."""

from __future__ import annotations

import json
import subprocess
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import lib3mf
import numpy as np
import trimesh

from palewright.export.models.product import Product
from palewright.export.models.transforms import matrix_of


def bounds_of(built: Product) -> np.ndarray:
    """Return the box of all members, (2, 3), mm, from the meshes of their marks."""
    spots = np.concatenate([
        trimesh.transform_points(built.meshes[member.mark].vertices, matrix_of(member.frame))
        for member in built.fence.members
    ])  # fmt: skip
    return np.array([spots.min(axis=0), spots.max(axis=0)])


def strictly_read_3mf(path: Path) -> Any:
    """Return lib3mf's model of a file that its strict reader takes without a warning."""
    model = lib3mf.Wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(path))
    assert reader.GetWarningCount() == 0
    return model


def validated(node_folder: Path, files: list[Path]) -> list[dict[str, Any]]:
    """Return what the glTF validator of the Khronos Group (npm gltf-validator) says of files."""
    code = """const fs = require("fs"), validator = require("gltf-validator");
Promise.all(process.argv.slice(1).map((file) =>
  validator.validateBytes(new Uint8Array(fs.readFileSync(file)))))
  .then((found) => console.log(JSON.stringify(found)));"""
    done = subprocess.run(
        ["node", "-e", code, *map(str, files)],
        cwd=node_folder, capture_output=True, text=True, check=True,
    )  # fmt: skip
    reports: list[dict[str, Any]] = json.loads(done.stdout)
    assert len(reports) == len(files)
    for file, report in zip(files, reports, strict=True):
        issues = report["issues"]
        assert (issues["numErrors"], issues["numWarnings"]) == (0, 0), (file, issues["messages"])
        # places of textures that are not there yet, and an extension that it does not know
        told = {message["code"] for message in issues["messages"]}
        assert told <= {"UNUSED_OBJECT", "UNSUPPORTED_EXTENSION"}, (file, told)
    return reports


@dataclass(frozen=True)
class SolidFound:
    """A solid as the kernel's reader finds it in a STEP file. rgb : sRGB, 0 to 1."""

    volume: float
    rgb: tuple[float, ...]


def solids_read_back(step: bytes, tmp_path: Path) -> dict[str, SolidFound]:
    """Return the solids of a STEP file by name, each looked at by the kernel."""
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
    from OCP.STEPCAFControl import STEPCAFControl_Reader
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDF import TDF_LabelSequence
    from OCP.TDocStd import TDocStd_Document
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer
    from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool, XCAFDoc_ShapeTool

    path = tmp_path / "fence.step"
    path.write_bytes(step)
    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    reader = STEPCAFControl_Reader()
    reader.SetColorMode(True)
    reader.SetNameMode(True)
    assert reader.ReadFile(str(path)) == IFSelect_ReturnStatus.IFSelect_RetDone
    assert reader.Transfer(document)
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())
    labels = TDF_LabelSequence()
    tool.GetShapes(labels)
    found = {}
    for number in range(1, labels.Length() + 1):
        label = labels.Value(number)
        if not XCAFDoc_ShapeTool.IsSimpleShape_s(label):
            continue
        named, colour = TDataStd_Name(), Quantity_Color()
        assert label.FindAttribute(TDataStd_Name.GetID_s(), named)
        name = named.Get().ToExtString()
        shape = XCAFDoc_ShapeTool.GetShape_s(label)
        assert BRepCheck_Analyzer(shape).IsValid(), name
        counts = []
        for kind in (TopAbs_ShapeEnum.TopAbs_SOLID, TopAbs_ShapeEnum.TopAbs_SHELL):
            explorer = TopExp_Explorer(shape, kind)
            parts = []
            while explorer.More():
                parts.append(explorer.Current())
                explorer.Next()
            counts.append(len(parts))
        assert counts == [1, 1], name
        assert parts[0].Closed(), name
        assert colours.GetColor(shape, XCAFDoc_ColorType.XCAFDoc_ColorSurf, colour), name
        properties = GProp_GProps()
        BRepGProp.VolumeProperties_s(shape, properties)
        rgb = colour.Values(Quantity_TypeOfColor.Quantity_TOC_sRGB)
        found[name] = SolidFound(properties.Mass(), tuple(round(value, 3) for value in rgb))
    return found
