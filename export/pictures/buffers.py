"""What is seen from where, by the graphics library: the triangle in each pixel, and depths."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True)
class SceneEye:
    """A camera. at, forward, up, right : (3,), the last three unit vectors; wide, tall : half of
    what is seen, as tangents, or in mm where parallel; near, far : mm along forward; lift, aside :
    how far the middle of the picture is above forward, and to its right, as tangents; shear : how
    far what is higher is moved to the right, in parts of its height over forward.
    """

    at: NDArray[np.float64]
    forward: NDArray[np.float64]
    right: NDArray[np.float64]
    up: NDArray[np.float64]
    wide: float
    tall: float
    near: float
    far: float
    parallel: bool = False
    lift: float = 0.0
    aside: float = 0.0
    shear: float = 0.0

    @staticmethod
    def looking(
        at: NDArray[np.float64], forward: NDArray[np.float64], wide: float, tall: float
    ) -> SceneEye:
        """Return a camera that looks along forward, its picture upright."""
        forward = forward / np.linalg.norm(forward)
        side = np.cross(forward, (0.0, 0.0, 1.0))
        if np.linalg.norm(side) < 1e-6:
            side = np.array((1.0, 0.0, 0.0))
        right = side / np.linalg.norm(side)
        return SceneEye(at, forward, right, np.cross(right, forward), wide, tall, 1.0, 2.0)


def window_of(
    points: NDArray[np.float64], triangles: NDArray[np.int64], casting: int
) -> tuple[Any, Any, Any]:
    """Return an off-screen window, its renderer with triangles coloured by their numbers, and the
    actor of those from `casting` on, which may be hidden.
    """
    import vtkmodules.vtkRenderingOpenGL2  # noqa: F401  (registers the drawing back end)
    from vtkmodules.vtkRenderingCore import vtkRenderer, vtkRenderWindow

    renderer = vtkRenderer()
    renderer.SetBackground(0.0, 0.0, 0.0)
    actors = [
        _numbered(points, triangles[part], part.start)
        for part in (slice(0, casting), slice(casting, len(triangles)))
    ]
    for actor in actors:
        renderer.AddActor(actor)
    window = vtkRenderWindow()
    window.SetOffScreenRendering(1)
    window.SetMultiSamples(0)
    window.AddRenderer(renderer)
    return window, renderer, actors[1]


def _numbered(points: NDArray[np.float64], triangles: NDArray[np.int64], first: int) -> Any:
    """Return an actor of triangles, each in the colour of its number, unlit."""
    from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray
    from vtkmodules.vtkCommonCore import vtkPoints
    from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    at = vtkPoints()
    at.SetData(numpy_to_vtk(np.ascontiguousarray(points, dtype=np.float32), deep=1))
    count = len(triangles)
    cells = vtkCellArray()
    cells.SetData(
        numpy_to_vtkIdTypeArray(np.arange(0, 3 * count + 1, 3, dtype=np.int64), deep=1),
        numpy_to_vtkIdTypeArray(np.ascontiguousarray(triangles.ravel()), deep=1),
    )
    data = vtkPolyData()
    data.SetPoints(at)
    data.SetPolys(cells)
    numbers = np.arange(first + 1, first + count + 1)
    colours = np.stack([numbers & 255, numbers >> 8 & 255, numbers >> 16 & 255], axis=1)
    data.GetCellData().SetScalars(numpy_to_vtk(colours.astype(np.uint8), deep=1))
    mapper = vtkPolyDataMapper()
    mapper.SetInputData(data)
    actor = vtkActor()
    actor.SetMapper(mapper)
    actor.GetProperty().LightingOff()
    return actor


def triangles_seen(window: Any, renderer: Any, eye: SceneEye, size: tuple[int, int]) -> Any:
    """Return the number of the triangle in each pixel (height, width), from 1; 0 is nothing.

    Rows are from the bottom up.
    """
    colours = _drawn(window, renderer, eye, size, depth=False)
    return np.ascontiguousarray(colours).view("<u4")[..., 0] & np.uint32(0xFFFFFF)


def depths(window: Any, renderer: Any, eye: SceneEye, size: tuple[int, int]) -> NDArray[np.float32]:
    """Return how far along forward the first triangle is (height, width), mm.

    Infinite where there is none. eye is parallel.
    """
    part = _drawn(window, renderer, eye, size, depth=True)[..., 0]
    far = np.float32(eye.far - eye.near)
    return np.where(part < 1.0, np.float32(eye.near) + part * far, np.float32(np.inf))


def _sheared(eye: SceneEye) -> Any:
    """Return the matrix that moves what is higher to the right, for an eye in its place."""
    from vtkmodules.vtkCommonMath import vtkMatrix4x4

    moved = np.eye(4)
    moved[:3, :3] += eye.shear * np.outer(eye.right, eye.up)
    moved[:3, 3] = -eye.shear * eye.right * float(eye.up @ eye.at)
    matrix = vtkMatrix4x4()
    matrix.DeepCopy(moved.ravel().tolist())
    return matrix


def _drawn(window: Any, renderer: Any, eye: SceneEye, size: tuple[int, int], *, depth: bool) -> Any:
    from vtkmodules.util.numpy_support import vtk_to_numpy
    from vtkmodules.vtkRenderingCore import vtkWindowToImageFilter

    for actor in renderer.GetActors():
        actor.SetUserMatrix(_sheared(eye) if eye.shear else None)
    camera = renderer.GetActiveCamera()
    camera.SetParallelProjection(eye.parallel)
    camera.SetPosition(*eye.at)
    camera.SetFocalPoint(*(eye.at + eye.forward * (eye.near + eye.far) / 2.0))
    camera.SetViewUp(*eye.up)
    if eye.parallel:
        camera.SetWindowCenter(0.0, 0.0)
        camera.SetParallelScale(eye.tall)
    else:
        camera.SetWindowCenter(eye.aside / eye.wide, eye.lift / eye.tall)
        camera.SetViewAngle(2.0 * np.degrees(np.arctan(eye.tall)))
    camera.SetClippingRange(eye.near, eye.far)
    window.SetSize(*size)
    window.Render()
    grab = vtkWindowToImageFilter()
    grab.SetInput(window)
    if depth:
        grab.SetInputBufferTypeToZBuffer()
    else:
        grab.SetInputBufferTypeToRGBA()
    grab.ReadFrontBufferOff()
    grab.ShouldRerenderOff()
    grab.Update()
    flat = vtk_to_numpy(grab.GetOutput().GetPointData().GetScalars())
    return flat.reshape(size[1], size[0], -1)
