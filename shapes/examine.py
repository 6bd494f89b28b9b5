"""Does what was built go together: no two bodies in one place, every bolt through its holes, no folded part through itself."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from OCP.Bnd import Bnd_OBB
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
from OCP.gp import gp_Dir, gp_Pnt, gp_Vec
from OCP.TopoDS import TopoDS_Shape

from layout.design.flat import BendFrame, bend_frames, flat_poses, profile_of
from layout.design.geometry import loop_extent_mm
from layout.design.hardware import sizes_of
from layout.design.parts import Assembly, FoldedPlate, Hardware, Part
from layout.design.profile import Profile
from layout.errors import DesignError
from layout.frames import Extent, Pose
from shapes.assembly import Leaf, Tree
from shapes.build import bend_loop, face_of, located, plate_solid
from shapes.measure import common_volume_mm3, extent, is_valid
from shapes.openings import FoundHole, holes_of

TOUCH_MM = 0.01
"""Bodies that reach into one another by less than this touch."""
TAP_MM = 0.15
"""How much smaller than D1 a tapping drill may be (drills go in tenths)."""


@dataclass(frozen=True, slots=True)
class Overlap:
    """Two bodies that claim the same space, and how much of it."""

    first: str
    second: str
    volume_mm3: float


@dataclass(frozen=True, slots=True)
class BoltHole:
    """A hole that a bolt's shank passes: on which part, its diameter and depth, and how far its axis lies off the bolt's.

    clearance_mm: half the difference of hole and nominal diameter, negative for a hole that is tapped. threaded: the hole is a
    tapping drill's, between the bore of the nut's thread (D1, ISO 724) and the nominal diameter.
    """

    part: str
    diameter_mm: float
    depth_mm: float
    offset_mm: float
    clearance_mm: float
    threaded: bool = False

    @property
    def clear(self) -> bool:
        """Whether the shank passes without touching or, in a tapped hole, runs true (to a hundredth)."""
        return self.offset_mm <= (TOUCH_MM if self.threaded else self.clearance_mm + 1e-6)


@dataclass(frozen=True)
class Examination:
    """What was found wrong with an assembly as built; all empty where nothing was.

    invalid: products whose solid the kernel finds faulty. overlaps: bodies in one place. out_of_line: holes that their
    bolt's shank does not pass. without_hole: bolts that pass fewer parts than they join (parts outside the assembly not
    counted).
    """

    invalid: tuple[str, ...]
    overlaps: tuple[Overlap, ...]
    out_of_line: tuple[tuple[str, BoltHole], ...]
    without_hole: tuple[str, ...]

    @property
    def nothing_found(self) -> bool:
        """Whether every list is empty."""
        return not (self.invalid or self.overlaps or self.out_of_line or self.without_hole)


def examine(assembly: Assembly, tree: Tree) -> Examination:
    """Every examination of this file at once. tree must be built from the assembly."""
    passed = bolt_holes(assembly, tree)
    bolts = {bolt.number: bolt for bolt in _fasteners(assembly)}
    inside = {leaf.name for leaf, _ in tree.all_leaves()}
    return Examination(
        tuple(p.number for p in tree.products() if not is_valid(p.solid)),
        overlaps(assembly, tree),
        tuple((number, hole) for number, holes in passed.items() for hole in holes if not hole.clear),
        tuple(n for n, holes in passed.items() if not {h.part for h in holes} >= set(bolts[n].joins) & inside),
    )


def overlaps(assembly: Assembly, tree: Tree, least_mm3: float = 1.0) -> tuple[Overlap, ...]:
    """Pairs of bodies that share more than `least_mm3`, by the kernel's own intersection of the finished solids.

    tree must be built from the assembly. What a shank cuts into the wall of its own tapped hole, as thread, is taken off.
    Bodies of one fastener (bolt, washers, nut) are not held against one another: the thread is not drawn. Boxes, axis-
    parallel and oriented (one for each flat and bend of a folded part), sort out pairs that cannot meet; equal pairs in equal
    relative positions are intersected once.
    """
    leaves = [(leaf, pose, located(leaf.product.solid, pose)) for leaf, pose in tree.all_leaves()]
    own = {id(p): extent(p.solid) for p in tree.products()}
    folded = {part.number: _pieces(part) for part in _parts(assembly) if isinstance(part, FoldedPlate)}
    boxes = [
        [_oriented(e, pose.then(p)) for e, p in folded.get(leaf.name, ((own[id(leaf.product)], Pose()),))]
        for leaf, pose, _ in leaves
    ]
    threads = _thread_volumes(assembly, tree)
    known: dict[tuple[object, ...], float] = {}
    found = []
    for i, j in _meeting([own[id(leaf.product)].seen_from(pose) for leaf, pose, _ in leaves]):
        (a, pose_a, shape_a), (b, pose_b, shape_b) = leaves[i], leaves[j]
        if _same_fastener(a, b) or all(x.IsOut(y) for x in boxes[i] for y in boxes[j]):
            continue
        key = (id(a.product), id(b.product), _relative(pose_a, pose_b))
        if key not in known:
            known[key] = common_volume_mm3(shape_a, shape_b)
        shared = known[key] - threads.get((a.name, b.name), threads.get((b.name, a.name), 0.0))
        if not shared <= least_mm3:
            found.append(Overlap(a.name, b.name, shared))
    return tuple(found)


def _parts(assembly: Assembly) -> Iterator[Part]:
    yield from assembly.parts
    for child in assembly.children:
        yield from _parts(child)


def _pieces(part: FoldedPlate) -> list[tuple[Extent, Pose]]:
    """Boxes that together hold a folded part: of each flat and of each bend, with their frames in the part's own."""
    found: list[tuple[Extent, Pose]] = []
    for i, pose in enumerate(flat_poses(part)):
        x0, y0, x1, y1 = loop_extent_mm(profile_of(part, i).outline)
        found.append((Extent((x0, y0, 0.0), (x1, y1, part.thickness_mm)), pose))
    return found + [(extent(_bend_solid(frame)), frame.pose) for frame in bend_frames(part)]


def _thread_volumes(assembly: Assembly, tree: Tree) -> dict[tuple[str, str], float]:
    """Most that the shank of a bolt (first name) may share with a part (second) by its thread.

    The ring over the hole's depth.
    """
    sizes = {bolt.number: sizes_of(bolt.size).diameter_mm for bolt in _fasteners(assembly)}
    return {
        (number, hole.part): math.pi / 4.0 * (sizes[number] ** 2 - hole.diameter_mm**2) * hole.depth_mm
        for number, holes in bolt_holes(assembly, tree).items()
        for hole in holes
        if hole.threaded and hole.clear
    }


def _meeting(extents: list[Extent]) -> Iterator[tuple[int, int]]:
    """Pairs whose axis-parallel boxes reach into one another by more than a touch."""
    low, high = np.array([e.min_mm for e in extents]), np.array([e.max_mm for e in extents])
    for i in range(len(extents)):
        meets = np.all((low[i + 1 :] < high[i] - TOUCH_MM) & (high[i + 1 :] > low[i] + TOUCH_MM), axis=1)
        yield from ((i, i + 1 + int(j)) for j in np.flatnonzero(meets))


def _oriented(own: Extent, pose: Pose) -> Bnd_OBB:
    """The box that a body fills in its own frame, placed; drawn in by half a touch so that bodies face to face do not count."""
    half = [max(v / 2.0 - TOUCH_MM / 2.0, 0.0) for v in own.size_mm]
    x, y, z = (gp_Dir(*axis) for axis in pose.axes)
    return Bnd_OBB(gp_Pnt(*(float(v) for v in pose.point(own.centre_mm))), x, y, z, *half)


def _same_fastener(a: Leaf, b: Leaf) -> bool:
    hardware = a.product.group == b.product.group == "hardware"
    return hardware and (a.name.split(" washer ")[0].split(" nut ")[0] == b.name.split(" washer ")[0].split(" nut ")[0])


def _relative(a: Pose, b: Pose) -> tuple[float, ...]:
    origin = a.inverse_point(b.origin_mm)
    axes = a.inverse_vector(b.axes)
    return tuple(round(float(v), 6) + 0.0 for v in (*origin, *axes.ravel()))


def bolt_holes(assembly: Assembly, tree: Tree) -> dict[str, tuple[BoltHole, ...]]:
    """For every fastener, the holes that its shank passes, found as cylinders on the finished solids.

    A hole counts where it runs the bolt's way, its middle lies between head and tip, and the bolt's axis lies within its rim.
    tree must be built from the assembly, so that both are in one frame.
    """
    found: dict[int, list[FoundHole]] = {}
    places: list[tuple[str, FoundHole]] = []
    for leaf, pose in tree.all_leaves():
        if leaf.product.group == "hardware":
            continue
        if id(leaf.product) not in found:
            found[id(leaf.product)] = holes_of(leaf.product.solid)
        places += [(leaf.name, hole.seen_from(pose)) for hole in found[id(leaf.product)]]
    return {bolt.number: tuple(_passed(bolt, places)) for bolt in _fasteners(assembly)}


def _fasteners(assembly: Assembly) -> Iterator[Hardware]:
    yield from assembly.hardware
    for child in assembly.children:
        yield from _fasteners(child)


def _passed(bolt: Hardware, places: list[tuple[str, FoundHole]]) -> Iterator[BoltHole]:
    size = sizes_of(bolt.size)
    d, bore = size.diameter_mm, size.inner_minor_diameter_mm
    for name, hole in places:
        depth = float((np.array(hole.middle_mm) - np.array(bolt.head_mm)) @ np.array(bolt.axis))
        if not -hole.depth_mm / 2.0 < depth < bolt.length_mm + hole.depth_mm / 2.0:
            continue
        offset = hole.offset_mm(bolt.head_mm, bolt.axis)
        if offset is not None and offset < hole.diameter_mm / 2.0:
            tapped = bore - TAP_MM <= hole.diameter_mm < d - 1e-6 and hole.to_other_mm == (0.0, 0.0, 0.0)
            yield BoltHole(name, hole.diameter_mm, hole.depth_mm, offset, (hole.diameter_mm - d) / 2.0, tapped)


def folds_through_itself(part: FoldedPlate, least_mm3: float = 1.0) -> tuple[Overlap, ...]:
    """Flats and bends of one part that claim the same space once folded."""
    t = part.thickness_mm
    bodies = [(f"flat {i}", plate_solid(profile_of(part, i), t), pose) for i, pose in enumerate(flat_poses(part))]
    bodies += [(f"bend {i}", _bend_solid(frame), frame.pose) for i, frame in enumerate(bend_frames(part), start=1)]
    boxes = [_oriented(extent(solid), pose) for _, solid, pose in bodies]
    pieces = [(name, located(solid, pose)) for name, solid, pose in bodies]
    found = []
    for i, (first, a) in enumerate(pieces):
        for j in range(i + 1, len(pieces)):
            shared = 0.0 if boxes[i].IsOut(boxes[j]) else common_volume_mm3(a, pieces[j][1])
            if not shared <= least_mm3:
                found.append(Overlap(first, pieces[j][0], shared))
    return tuple(found)


def require_fold(part: FoldedPlate) -> None:
    """Raise DesignError where a folded part would run through itself."""
    found = folds_through_itself(part)
    if found:
        figure = "; ".join(f"{o.first} and {o.second} share {o.volume_mm3:.0f} mm3" for o in found)
        remedy = "Shorten a flange or widen the corner relief."
        raise DesignError(part.number, "it cannot be folded: it runs through itself", figure, remedy)


def _bend_solid(frame: BendFrame) -> TopoDS_Shape:
    """The metal of one bend, in the frame of `frame.pose`."""
    turn = Pose(axes=((0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0)))
    solid = BRepPrimAPI_MakePrism(face_of(Profile(bend_loop(frame))), gp_Vec(0.0, 0.0, frame.length_mm)).Shape()
    return located(solid, turn)
