"""Checks of what holds equipment on the walls: its screws, their threads or nuts, the metal under them, the maker's feet.

The uprights behind are checked with those of the modules' bars (held_posts), which asks `fixture_pulls` for this equipment.
"""

from __future__ import annotations

import numpy as np

from layout.box.design import BoxDesign
from layout.box.fixture import Fixture
from layout.box.fixture_parts import BOLT_CLASS, engagement_mm
from layout.box.posts import POST_EDGE_MM
from layout.box.walls import wall_of
from layout.checks import Check, not_checked
from layout.checks.bolts import Ply, bolt_checks, ply_checks, utilisations
from layout.checks.fixing_point import FOOT
from layout.checks.groups import BoltGroup, bolt_shears, bolt_tensions
from layout.checks.joints import road_joint_checks
from layout.checks.packing import packed_checks
from layout.checks.threads import thread_checks
from layout.frames import Array
from layout.loads.cases import LoadCase
from layout.study.tightening import tightening
from layout.tables import bolt

MAKERS = "what its feet bear is the maker's to state (job file: equipment.fixing.load)"


def group_of(fixture: Fixture) -> BoltGroup:
    """The screws in the plane of the feet; the piece tilts about the edges of its face."""
    axes = fixture.axes
    extent = fixture.piece.extent
    ends = np.array([extent.min_mm, extent.max_mm]) @ axes[:2].T
    (u0, v0), (u1, v1) = ends.min(axis=0), ends.max(axis=0)
    points = tuple((float(u), float(v)) for u, v in np.array(fixture.points_mm) @ axes[:2].T)
    return BoltGroup(points, (float(u0), float(u1), float(v0), float(v1)))


def fixture_load(fixture: Fixture, specific: Array) -> tuple[Array, Array]:
    """Force and moment about the screws' centroid in the plane of the feet, N and N*mm, axes u, v, w; specific: m/s2,
    (cases, 3), pack frame, gravity in it.
    """
    axes, group = fixture.axes, group_of(fixture)
    force = fixture.piece.kind.mass_kg * specific @ axes.T
    centre = np.array(fixture.centroid_mm) @ axes.T
    base = float(np.array(fixture.points_mm[0]) @ axes[2])
    arm = np.array([*(centre[:2] - np.array(group.centroid_mm)), centre[2] - base])
    return force, np.cross(np.broadcast_to(arm, force.shape), force)


def screw_forces(fixture: Fixture, specific: Array) -> tuple[Array, Array]:
    """Tension and shear of each screw, (cases, screws), N. Friction gives no credit."""
    group = group_of(fixture)
    force, moment = fixture_load(fixture, specific)
    return bolt_tensions(group, force, moment), np.linalg.norm(bolt_shears(group, force, moment), axis=-1)


def fixture_pulls(fixture: Fixture, specific: Array) -> tuple[Array, Array]:
    """What each screw does to its upright, one case: size of the force square to the wall, and along and up in it (screws, 2).

    Square to the wall: the greatest of the tension by both rules of `bolt_tensions` and the size of what the elastic plane
    through all screws gives, pressure included.
    """
    group = group_of(fixture)
    force, moment = fixture_load(fixture, specific.reshape(1, 3))
    central = np.abs(force[:, None, 2] / len(group.points_mm) + moment[:, :2] @ group.central)
    square = np.maximum(central, bolt_tensions(group, force, moment))[0]
    return square, np.abs(bolt_shears(group, force, moment)[0])


def fixture_checks(box: BoxDesign, cases: tuple[LoadCase, ...], specific: Array) -> list[Check]:
    """Every fixture in every case, its screw used most; what is not fixed is listed as not checked."""
    found = [
        not_checked("equipment fixing", name, "all cases", f"it is not fixed: {why}") for name, why in box.carriers.unfixed
    ]
    for one in box.carriers.fixtures:
        tensions, shears = screw_forces(one, specific)
        used = utilisations(one.fixing.bolt, BOLT_CLASS, tensions, shears)
        for c, case in enumerate(cases):
            k = int(used[c].argmax())
            found += _screw_checks(box, one, case.name, float(tensions[c, k]), float(shears[c, k]))
            if case.no_slip:
                set_to = tightening(one.fixing.bolt, BOLT_CLASS)
                most = float(tensions[c].max()), float(shears[c].max())
                found += road_joint_checks(f"screw of {one.name}", case.name, set_to, *most)
        found += feet_checks(one, cases, tensions, shears)
    return found


def _screw_checks(box: BoxDesign, one: Fixture, case: str, tension_n: float, shear_n: float) -> list[Check]:
    size, part = bolt(one.fixing.bolt), f"screw of {one.name}"
    found = bolt_checks(part, case, size.size, BOLT_CLASS, tension_n, shear_n, hole_mm=size.hole_medium_mm)
    if one.pad_mm > 0.0:
        found += packed_checks(part, case, size.size, BOLT_CLASS, tension_n, shear_n, one.pad_mm)
    if one.hung:
        deep = engagement_mm(one, box.shell.bar_mm)
        grip = min(deep, 2.5 * size.diameter_mm)
        upright = Ply(box.material, grip, size.diameter_mm, POST_EDGE_MM, POST_EDGE_MM, welded=True)
        found += ply_checks(f"{part} in its upright", case, size.size, BOLT_CLASS, upright, shear_n)
        return found + thread_checks(
            f"{part} in its upright", case, size.size, BOLT_CLASS, box.material, deep, tension_n, welded=True,
            metal_mm=box.shell.bar_mm,
        )  # fmt: skip
    edge = _wall_edge(box, one)
    wall = Ply(box.material, box.shell.sheet_mm, size.hole_medium_mm, edge, edge, welded=True)
    upright = Ply(box.material, box.shell.bar_mm, size.hole_medium_mm, POST_EDGE_MM, POST_EDGE_MM, welded=True)
    found += ply_checks(f"{part} wall", case, size.size, BOLT_CLASS, wall, shear_n)
    return found + ply_checks(f"{part} upright", case, size.size, BOLT_CLASS, upright, 0.0, 0.0, tension_n)


def _wall_edge(box: BoxDesign, one: Fixture) -> float:
    """Least distance of a screw from the edges of its wall."""
    wall = wall_of(one.wall, box.inside)
    gaps = [(u - wall.low_mm, wall.high_mm - u, z - wall.bottom_mm, wall.top_mm - z) for u, z in one.places()]
    return min(min(gap) for gap in gaps)


def feet_checks(one: Fixture, cases: tuple[LoadCase, ...], tensions: Array, shears: Array) -> list[Check]:
    """What the screws ask of the piece's own feet, against what its maker allows where the job says it."""
    sizes = np.hypot(tensions, shears)
    part = f"foot of {one.name}"
    if one.fixing.load_n is None:
        return [not_checked("equipment's own foot", part, "all cases", MAKERS, demand=float(sizes.max()))]
    found = []
    for c, case in enumerate(cases):
        k = int(sizes[c].argmax())
        found.append(
            FOOT.check(part, case.name, F_t=float(tensions[c, k]), F_v=float(shears[c, k]), F_max=one.fixing.load_n)
        )
    return found
