"""Readers that have nothing to do with us, and what they should find."""

from __future__ import annotations

import json
import subprocess
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
    return reports
