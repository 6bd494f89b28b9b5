"""A picture of the pack in its bay, drawn without a screen. (VTK comes with the CAD kernel.)"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any, Final

import numpy as np
import vtkmodules.vtkRenderingOpenGL2  # noqa: F401  (registers the drawing classes)
from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray
from vtkmodules.vtkCommonCore import vtkLogger, vtkPoints
from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData
from vtkmodules.vtkFiltersCore import vtkFeatureEdges, vtkPolyDataNormals
from vtkmodules.vtkIOImage import vtkPNGReader, vtkPNGWriter
from vtkmodules.vtkRenderingCore import (
    vtkActor,
    vtkCamera,
    vtkLight,
    vtkPolyDataMapper,
    vtkRenderer,
    vtkRenderWindow,
    vtkWindowToImageFilter,
)

from layout.errors import ExportError
from layout.frames import Array, Pose
from layout.several.study import AnyStudy
from layout.space.bay import Bay
from outputs.view.meshes import Mesh
from outputs.view.scene import Scene, scene_of
from outputs.written import Written, sha256_of
from shapes.colours import Colour, colour_of

GROUND: Final[Colour] = (0.93, 0.94, 0.93)
INK: Final[Colour] = (0.18, 0.23, 0.26)
AROUND: Final[dict[str, tuple[Colour, float]]] = {
    "bay": ((0.40, 0.55, 0.66), 0.07),
    "keep-out": ((0.78, 0.36, 0.30), 0.25),
    "scan": ((0.55, 0.50, 0.45), 0.15),
}
SEEN_THROUGH: Final = {"lid": 0.22}
FROM: Final = (0.95, 0.80, 0.75)
"""Direction from the pack to the camera, vehicle axes."""
FEATURE_DEG = 30.0
HALF_ANGLE_DEG = 14.0
_to_vtk: Any = numpy_to_vtk
_to_vtk_ids: Any = numpy_to_vtkIdTypeArray


def write_picture(study: AnyStudy, bay: Bay, path: Path, size: tuple[int, int] = (1280, 800)) -> Written:
    """Draw the pack in its bay as a PNG (width, height in pixels), lid seen through, and read it back.

    The picture depends on the drawing driver, so its bytes may differ between machines.

    Raises:
        ExportError: nothing can be drawn here, or the file is empty or does not read back in the size asked for.
    """
    vtkLogger.SetStderrVerbosity(vtkLogger.VERBOSITY_ERROR)  # it warns where there is no screen, and needs none
    scene = scene_of(study, bay)
    renderer = vtkRenderer()
    renderer.SetBackground(*GROUND)
    _stage(renderer, scene)
    _aim(renderer, scene, size[0] / size[1])
    window = vtkRenderWindow()
    window.SetOffScreenRendering(1)
    window.SetMultiSamples(8)
    window.SetSize(*size)
    window.AddRenderer(renderer)
    window.Render()
    grab = vtkWindowToImageFilter()
    grab.SetInput(window)
    grab.ReadFrontBufferOff()
    grab.Update()
    writer = vtkPNGWriter()
    writer.SetFileName(str(path))
    writer.SetInputConnection(grab.GetOutputPort())
    writer.Write()
    window.Finalize()
    _read_back(path, size)
    return Written(path, sha256_of(path), True)


def _stage(renderer: vtkRenderer, scene: Scene) -> None:
    for number, mesh in enumerate(scene.meshes):
        bodies = [b for b in scene.bodies if b.mesh == number]
        if not bodies:
            continue
        data = _data(mesh, [b.pose for b in bodies])
        group = bodies[0].group
        _add(renderer, data, colour_of(group), SEEN_THROUGH.get(group, 1.0))
    for around in scene.around:
        colour, opacity = AROUND[around.group]
        _add(renderer, _data(around.mesh, [Pose()]), colour, opacity, lines=colour)


def _data(mesh: Mesh, poses: Iterable[Pose]) -> vtkPolyData:
    """One surface with a copy of the mesh at every pose."""
    places = list(poses)
    points = np.concatenate([p.point(mesh.points_mm) for p in places])
    count = len(mesh.points)
    faces = np.concatenate([mesh.triangles.astype(np.int64) + k * count for k in range(len(places))])
    data, corners, cells = vtkPolyData(), vtkPoints(), vtkCellArray()
    corners.SetData(_to_vtk(np.ascontiguousarray(points), deep=True))
    rows = np.column_stack([np.full(len(faces), 3, dtype=np.int64), faces]).ravel()
    cells.ImportLegacyFormat(_to_vtk_ids(rows, deep=True))
    data.SetPoints(corners)
    data.SetPolys(cells)
    return data


def _add(renderer: vtkRenderer, data: vtkPolyData, colour: Colour, opacity: float, lines: Colour = INK) -> None:
    normals = vtkPolyDataNormals()
    normals.SetInputData(data)
    normals.SetFeatureAngle(FEATURE_DEG)
    normals.ConsistencyOff()
    mapper = vtkPolyDataMapper()
    mapper.SetInputConnection(normals.GetOutputPort())
    mapper.SetResolveCoincidentTopologyToPolygonOffset()
    actor = vtkActor()
    actor.SetMapper(mapper)
    surface = actor.GetProperty()
    surface.SetColor(*colour)
    surface.SetOpacity(opacity)
    surface.SetAmbient(0.28)
    surface.SetDiffuse(0.75)
    renderer.AddActor(actor)
    renderer.AddActor(_edges(data, lines, 1.0 if opacity > 0.5 else 0.6))


def _edges(data: vtkPolyData, colour: Colour, opacity: float) -> vtkActor:
    edges = vtkFeatureEdges()
    edges.SetInputData(data)
    edges.SetFeatureAngle(FEATURE_DEG)
    edges.NonManifoldEdgesOff()
    edges.ColoringOff()
    mapper = vtkPolyDataMapper()
    mapper.SetInputConnection(edges.GetOutputPort())
    mapper.ScalarVisibilityOff()
    actor = vtkActor()
    actor.SetMapper(mapper)
    actor.GetProperty().SetColor(*colour)
    actor.GetProperty().SetOpacity(opacity)
    actor.GetProperty().LightingOff()
    return actor


def _aim(renderer: vtkRenderer, scene: Scene, aspect: float) -> None:
    """Camera at the nearest place in its direction from which pack and bay are seen whole, light from above it."""
    corners = [b.pose.point(scene.meshes[b.mesh].points_mm) for b in scene.bodies]
    corners += [a.mesh.points_mm for a in scene.around if a.group == "bay"]
    seen = np.concatenate(corners)
    back = np.array(FROM) / np.linalg.norm(FROM)
    right = np.cross((0.0, 0.0, 1.0), back)
    right = right / np.linalg.norm(right)
    up = np.cross(back, right)
    middle, far = _framed(seen, (right, up, back), aspect)
    camera: vtkCamera = renderer.GetActiveCamera()
    camera.SetFocalPoint(*middle)
    camera.SetPosition(*(middle + far * back))
    camera.SetViewUp(0.0, 0.0, 1.0)
    camera.SetViewAngle(2.0 * HALF_ANGLE_DEG)
    renderer.ResetCameraClippingRange()
    lamp = vtkLight()
    lamp.SetLightTypeToSceneLight()
    lamp.SetPosition(*(middle + far * back + np.array([0.0, 0.0, 0.5 * far])))
    lamp.SetFocalPoint(*middle)
    lamp.SetIntensity(0.8)
    renderer.AddLight(lamp)
    head = vtkLight()
    head.SetLightTypeToHeadlight()
    head.SetIntensity(0.45)
    renderer.AddLight(head)


def _framed(seen: Array, axes: tuple[Array, Array, Array], aspect: float) -> tuple[Array, float]:
    """Point to look at and distance from it, so that points (n, 3) just fill the picture and stand in its middle.

    axes: of the camera (right, up, back).
    """
    right, up, back = axes
    tall = float(np.tan(np.radians(HALF_ANGLE_DEG)))
    middle: Array = (seen.min(axis=0) + seen.max(axis=0)) / 2.0
    far = 0.0
    for _ in range(6):
        off = seen - middle
        reach = np.maximum(np.abs(off @ right) / (tall * aspect), np.abs(off @ up) / tall)
        far = float(np.max(1.06 * reach + off @ back))
        x, y = ((off @ axis) / (far - off @ back) for axis in (right, up))
        middle = middle + 0.5 * far * ((x.min() + x.max()) * right + (y.min() + y.max()) * up)
    return middle, far


def _read_back(path: Path, size: tuple[int, int]) -> None:
    if not path.is_file():
        raise ExportError(f"{path}: the picture could not be written")
    reader: Any = vtkPNGReader()
    reader.SetFileName(str(path))
    reader.Update()
    image = reader.GetOutput()
    width, height, _ = image.GetDimensions()
    low, high = image.GetScalarRange()
    if (width, height) != size or low == high:
        raise ExportError(f"{path}: the picture is empty or not {size[0]} by {size[1]} pixels: is there a driver to draw with?")
