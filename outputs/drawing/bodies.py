"""Bodies of a view, and which of them stand wholly behind others: these need no hidden-line removal.

A flat of a plate hides what lies behind its far face and within its outline. A body is left out where flats that it lies
behind together cover all of it; whatever it hides is then hidden by them too, so that the lines that are left are the same.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib
from OCP.TopoDS import TopoDS_Shape

from layout.design import Assembly, Part, Plate
from layout.design.profile import Profile
from layout.frames import Array, Extent, Pose
from outputs.drawing.hidden_lines import view_of
from outputs.drawing.ink import Ink
from outputs.drawing.projection import ViewAxes
from outputs.drawing.sight import Slab, slabs_of
from shapes.assembly import tree_of
from shapes.build import located, plate_solid

CLOSE_MM = 0.02
"""Gaps between flats no wider than twice this are taken for closed."""
FLUSH_MM = 0.01
"""By how much a body may stand out of the covered region: its edges then lie on lines that are drawn in any case."""
SLANTED = 0.05
"""Least cosine between a flat's normal and the line of sight for it to count as hiding something."""
TOUCH_MM = 1e-6
EDGE_ON = 1e-9


@dataclass(frozen=True, eq=False)
class Scene:
    """Solids with the corners of their boxes, shape (n, 8, 3), and the flats of which they are made; all in one frame.

    plain: for those that are plates with openings, by their place in the list, what stands for them where they are seen from
    the edge.
    """

    solids: tuple[TopoDS_Shape, ...]
    corners_mm: Array
    slabs: tuple[Slab, ...]
    plain: dict[int, Plain]

    def view(self, axes: ViewAxes) -> tuple[Ink, ...]:
        """Visible lines and arcs, mm of the model."""
        shown = []
        for k in np.flatnonzero(np.logical_not(behind(self, axes))):
            plain = self.plain.get(int(k))
            edge_on = plain is not None and abs(float(plain.normal @ np.array(axes.towards))) < EDGE_ON
            shown.append(plain.solid if plain is not None and edge_on else self.solids[k])
        return view_of(shown, axes, hidden=False)


@dataclass(frozen=True, eq=False)
class Plain:
    """A plate without its openings, and its normal. From the side, along the sheet, it looks the same as with them."""

    solid: TopoDS_Shape
    normal: Array


def scene_of(assembly: Assembly, frame: Pose | None = None, wanted: Callable[[str], bool] = lambda _: True) -> Scene:
    """Every body of an assembly whose group is wanted. frame: where the assembly lies in the frame of the view."""
    outer = frame or Pose()
    solids: list[TopoDS_Shape] = []
    corners: list[Array] = []
    boxes, plain = dict[int, Array](), dict[int, Plain]()
    parts = {part.number: part for part in _parts(assembly) if wanted(part.group)}
    bare: dict[int, TopoDS_Shape] = {}
    for leaf, pose in tree_of(assembly).all_leaves():
        if not wanted(leaf.product.group):
            continue
        at, part = outer.then(pose), parts.get(leaf.name)
        if isinstance(part, Plate) and (part.profile.holes or part.profile.cutouts):
            solid = bare.setdefault(id(leaf.product), plate_solid(Profile(part.profile.outline), part.thickness_mm))
            plain[len(solids)] = Plain(located(solid, at), at.vector((0.0, 0.0, 1.0)))
        box = boxes.setdefault(id(leaf.product), _box_corners(leaf.product.solid))
        solids.append(located(leaf.product.solid, at))
        corners.append(at.point(box))
    slabs = tuple(s.within(outer) for part in parts.values() for s in slabs_of(part))
    return Scene(tuple(solids), np.array(corners).reshape(-1, 8, 3), slabs, plain)


def _parts(assembly: Assembly) -> Iterable[Part]:
    yield from assembly.parts
    for child in assembly.children:
        yield from _parts(child)


def _box_corners(solid: TopoDS_Shape) -> Array:
    box = Bnd_Box()
    BRepBndLib.Add_s(solid, box, False)
    x0, y0, z0, x1, y1, z1 = box.Get()
    return Extent((x0, y0, z0), (x1, y1, z1)).corners()


def behind(scene: Scene, axes: ViewAxes) -> Array:
    """For each solid whether flats that it lies behind cover all of it, shape (n,)."""
    covers = [c for c in (_Cover.of(s, axes) for s in scene.slabs) if c is not None]
    points = axes.flat(scene.corners_mm)
    out = np.zeros(len(scene.solids), dtype=bool)
    for k, (corners, flat) in enumerate(zip(scene.corners_mm, points, strict=True)):
        hull = shapely.convex_hull(shapely.multipoints(flat))
        before = [c.region for c in covers if c.hides(corners)]
        out[k] = _covered(hull, [r for r in before if shapely.intersects(r, hull)])
    return out


def _covered(hull: shapely.Geometry, regions: Sequence[shapely.Geometry]) -> bool:
    if not regions:
        return False
    whole = shapely.union_all([shapely.buffer(r, CLOSE_MM, join_style="mitre") for r in regions])
    return bool(shapely.contains(shapely.buffer(whole, FLUSH_MM - CLOSE_MM, join_style="mitre"), hull))


@dataclass(frozen=True, eq=False)
class _Cover:
    """A flat as it hides: the plane of its far face with the normal to the viewer, and its outline in the view."""

    normal: Array
    height_mm: float
    region: shapely.Geometry

    @classmethod
    def of(cls, slab: Slab, axes: ViewAxes) -> _Cover | None:
        normal = slab.pose.vector((0.0, 0.0, 1.0))
        facing = float(normal @ np.array(axes.towards))
        if abs(facing) < SLANTED:
            return None
        far = 0.0 if facing > 0.0 else slab.thickness_mm
        normal = normal * np.sign(facing)
        region = shapely.transform(
            slab.face, lambda xy: axes.flat(slab.pose.point(np.column_stack([xy, np.full(len(xy), far)])))
        )
        return cls(normal, float(normal @ slab.pose.point((0.0, 0.0, far))), region)

    def hides(self, points: Array) -> bool:
        """Whether all points lie behind the far face."""
        return bool(np.all(points @ self.normal <= self.height_mm + TOUCH_MM))
