"""The renderer's own process: a scene on standard input, a PNG on standard output.

Run by `picture`; the scene is an npz archive of points (n, 3), mm, triangles, faces, the plane of
the ground under each point, and a finish (red, green, blue, metallic, roughness) for each group;
points of the ground where it is not level, its triangles where they are known, then with its sides
and the plain it stands on; the camera and the size in pixels.
"""

from __future__ import annotations

import io
import os
import sys
import tempfile
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

SKY_TOP, SKY_LOW = (0.56, 0.71, 0.88), (0.90, 0.94, 0.97)
GRASS, SHADE = (0.56, 0.66, 0.42), (0.42, 0.51, 0.32)
EARTH, BEYOND = (0.60, 0.51, 0.39), (0.74, 0.76, 0.69)
"""Colours of cut earth, and of the plain where nothing was measured."""

HORIZON = 60.0
"""How far the ground reaches, in sizes of the fence."""
EDGE = (0.25, 0.20, 0.14)
FEATURE_ANGLE = 25.0
SUN_AZIMUTH, SUN_HEIGHT = -38.0, 36.0
"""Where the sun stands, degrees: round from the eye (to the left), and over the horizon."""


def main() -> None:
    """Read the scene, draw it, write the picture."""
    scene = np.load(io.BytesIO(sys.stdin.buffer.read()))
    # the renderer may write warnings to standard output: keep it clear for the picture
    picture = os.dup(1)
    os.dup2(2, 1)
    data = _draw(scene)
    with os.fdopen(picture, "wb") as out:
        out.write(data)


def _draw(scene: Any) -> bytes:
    import vtkmodules.vtkRenderingOpenGL2  # noqa: F401  (registers the drawing back end)
    from vtkmodules.vtkRenderingCore import vtkRenderer

    camera = [float(v) for v in scene["camera"]]
    eye, target, ground, radius = camera[0:3], camera[3:6], camera[6], camera[7]
    renderer = vtkRenderer()
    renderer.GradientBackgroundOn()
    renderer.SetBackground(*SKY_LOW)
    renderer.SetBackground2(*SKY_TOP)
    rough = scene.get("ground")
    if rough is None:
        renderer.AddActor(_ground(target, ground, radius))
    else:
        renderer.AddActor(_terrain(rough, scene.get("ground_triangles"), GRASS))
    if "plain" in scene:
        renderer.AddActor(_terrain(scene["sides"], scene["side_triangles"], EARTH))
        renderer.AddActor(_terrain(scene["plain"], scene["plain_triangles"], BEYOND))
    view = renderer.GetActiveCamera()
    view.SetPosition(*eye)
    view.SetFocalPoint(*target)
    view.SetViewUp(0, 0, 1)
    view.SetViewAngle(camera[8])
    offset = np.array(eye) - np.array(target)
    sun = _sun(offset, radius)
    renderer.RemoveAllLights()
    renderer.AddLight(_light(target, sun))
    number = 0
    while f"points{number}" in scene:
        points, triangles = scene[f"points{number}"], scene[f"triangles{number}"]
        for actor in _actors(points, triangles, scene[f"finish{number}"]):
            renderer.AddActor(actor)
        renderer.AddActor(_shadow(points, triangles, sun, scene[f"planes{number}"]))
        number += 1
    away = float(np.linalg.norm(offset))
    # as near as the fence allows, or edges would show through what stands before them
    view.SetClippingRange(max(0.05 * away, away - 1.6 * radius), away + 2.0 * HORIZON * radius)
    width, height = (int(v) for v in scene["size"])
    return _picture_of(renderer, width, height)


def _sun(offset: NDArray[np.float64], radius: float) -> NDArray[np.float64]:
    """Return the way to the sun from the target. offset : from there to the eye, mm."""
    turn = np.radians(SUN_AZIMUTH)
    sun = np.array(
        [
            offset[0] * np.cos(turn) - offset[1] * np.sin(turn),
            offset[0] * np.sin(turn) + offset[1] * np.cos(turn),
            0.0,
        ]
    )
    sun *= 2.0 * radius / np.linalg.norm(sun)
    sun[2] = 2.0 * radius * np.tan(np.radians(SUN_HEIGHT))
    return sun


def _light(target: list[float], sun: NDArray[np.float64]) -> Any:
    from vtkmodules.vtkRenderingCore import vtkLight

    light = vtkLight()
    light.SetPosition(*(np.array(target) + sun))
    light.SetFocalPoint(*target)
    light.SetIntensity(0.8)
    light.SetPositional(False)
    return light


def _picture_of(renderer: Any, width: int, height: int) -> bytes:
    """Render at twice the size and average: software renderers may not know multisampling."""
    from vtkmodules.vtkIOImage import vtkPNGWriter
    from vtkmodules.vtkRenderingCore import vtkRenderWindow, vtkWindowToImageFilter

    window = vtkRenderWindow()
    window.SetOffScreenRendering(1)
    window.SetMultiSamples(0)
    window.SetSize(2 * width, 2 * height)
    window.AddRenderer(renderer)
    window.Render()
    grab = vtkWindowToImageFilter()
    grab.SetInput(window)
    grab.ReadFrontBufferOff()
    grab.Update()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "big.png"
        writer = vtkPNGWriter()
        writer.SetFileName(str(path))
        writer.SetInputConnection(grab.GetOutputPort())
        writer.Write()
        return _halved(path, width, height)


def _halved(path: Path, width: int, height: int) -> bytes:
    from PIL import Image

    with Image.open(path) as image:
        small = image.convert("RGB").resize((width, height), Image.Resampling.LANCZOS)
    out = io.BytesIO()
    small.save(out, "PNG", optimize=True)
    return out.getvalue()


def _polydata(points: NDArray[np.float64], triangles: NDArray[np.int64]) -> Any:
    from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray
    from vtkmodules.vtkCommonCore import vtkPoints
    from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData

    at = vtkPoints()
    at.SetData(numpy_to_vtk(np.ascontiguousarray(points, dtype=np.float32), deep=1))
    cells = np.column_stack([np.full(len(triangles), 3), triangles]).astype(np.int64)
    loops = vtkCellArray()
    loops.SetCells(len(triangles), numpy_to_vtkIdTypeArray(cells.ravel(), deep=1))
    data = vtkPolyData()
    data.SetPoints(at)
    data.SetPolys(loops)
    return data


def _actors(
    points: NDArray[np.float64], triangles: NDArray[np.int64], finish: NDArray[np.float64]
) -> list[Any]:
    from vtkmodules.vtkFiltersCore import vtkFeatureEdges, vtkPolyDataNormals
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    data = _polydata(points, triangles)
    normals = vtkPolyDataNormals()
    normals.SetInputData(data)
    normals.SetFeatureAngle(FEATURE_ANGLE)
    normals.SplittingOn()
    faces = vtkPolyDataMapper()
    faces.SetInputConnection(normals.GetOutputPort())
    faces.SetResolveCoincidentTopologyToPolygonOffset()
    skin = vtkActor()
    skin.SetMapper(faces)
    look = skin.GetProperty()
    look.SetColor(*finish[:3])
    look.SetAmbient(0.5)
    look.SetDiffuse(0.75)
    look.SetSpecular(0.25 * float(finish[3]))
    edges = vtkFeatureEdges()
    edges.SetInputData(data)
    edges.BoundaryEdgesOff()
    edges.NonManifoldEdgesOff()
    edges.ManifoldEdgesOff()
    edges.FeatureEdgesOn()
    edges.SetFeatureAngle(FEATURE_ANGLE)
    edges.ColoringOff()
    lines = vtkPolyDataMapper()
    lines.SetInputConnection(edges.GetOutputPort())
    drawn = vtkActor()
    drawn.SetMapper(lines)
    drawn.GetProperty().SetColor(*(0.45 * finish[:3] + 0.2 * np.array(EDGE)))
    drawn.GetProperty().SetLineWidth(1.2)
    drawn.GetProperty().LightingOff()
    return [skin, drawn]


def _shadow(
    points: NDArray[np.float64],
    triangles: NDArray[np.int64],
    sun: NDArray[np.float64],
    planes: NDArray[np.float64],
) -> Any:
    """Return the shadow that triangles throw on the ground: each laid flat along the sun's rays.

    planes : (n, 4), of the ground under each point: a x + b y + c z = d.
    """
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    normals, away = planes[:, :3], planes[:, 3]
    above = np.maximum(np.einsum("ij,ij->i", points, normals) - away, 0.0)
    flat = points - (above / (normals @ sun))[:, None] * sun
    flat[:, 2] += 1.0
    mapper = vtkPolyDataMapper()
    mapper.SetInputData(_polydata(flat, triangles))
    actor = vtkActor()
    actor.SetMapper(mapper)
    actor.GetProperty().SetColor(*SHADE)
    actor.GetProperty().LightingOff()
    return actor


def _terrain(
    points: NDArray[np.float64],
    triangles: NDArray[np.int64] | None,
    colour: tuple[float, float, float],
) -> Any:
    """Return the ground through points, lit so that its slopes show; triangles : None for
    Delaunay's.
    """
    from vtkmodules.vtkCommonCore import vtkPoints
    from vtkmodules.vtkCommonDataModel import vtkPolyData
    from vtkmodules.vtkFiltersCore import vtkDelaunay2D, vtkPolyDataNormals
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    low = points - [0.0, 0.0, 3.0]
    smooth = vtkPolyDataNormals()
    smooth.ConsistencyOn()
    if triangles is None:
        at = vtkPoints()
        for x, y, z in low:
            at.InsertNextPoint(x, y, z)
        cloud = vtkPolyData()
        cloud.SetPoints(at)
        surface = vtkDelaunay2D()
        surface.SetInputData(cloud)
        smooth.SetInputConnection(surface.GetOutputPort())
        smooth.SplittingOff()
    else:
        smooth.SetInputData(_polydata(low, triangles))
        smooth.SetFeatureAngle(FEATURE_ANGLE)  # a breakline stays an edge
    mapper = vtkPolyDataMapper()
    mapper.SetInputConnection(smooth.GetOutputPort())
    actor = vtkActor()
    actor.SetMapper(mapper)
    look = actor.GetProperty()
    look.SetColor(*colour)
    look.SetAmbient(0.66)
    look.SetDiffuse(0.7)
    look.SetSpecular(0.0)
    return actor


def _ground(target: list[float], level: float, radius: float) -> Any:
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    half = HORIZON * radius
    x, y = target[0], target[1]
    z = level - 3.0
    grid = np.array(
        [[x + a * half, y + b * half, z] for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    )
    cells = [[0, 1, 2], [0, 2, 3]]
    mapper = vtkPolyDataMapper()
    mapper.SetInputData(_polydata(grid, np.array(cells)))
    actor = vtkActor()
    actor.SetMapper(mapper)
    actor.GetProperty().SetColor(*GRASS)
    actor.GetProperty().LightingOff()
    return actor


if __name__ == "__main__":
    main()
