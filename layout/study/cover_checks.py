"""Checks of the removable covers in the walls, of what they carry, and of the walls they weaken. Pack frame."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from layout.box.cover import COVER_BOLT, RIM_MM, Cover, grown, rim_width_mm
from layout.box.cover_parts import cover_engagement_mm, cover_screw_places
from layout.box.design import BoxDesign
from layout.box.fixture import Fixture
from layout.box.fixture_parts import BOLT_CLASS
from layout.box.shell import GASKET_MM
from layout.box.soft import density_kg_m3
from layout.box.walls import LOOKS, PANELS, along, wall_of
from layout.checks import Check
from layout.checks.bolts import Ply, bolt_checks, ply_checks
from layout.checks.covers import cover_plate_check, gasket_pitch_check, moment_under_feet_n, opening_checks
from layout.checks.groups import BoltGroup, bolt_shears, bolt_tensions
from layout.checks.held import UNEVEN
from layout.checks.packing import packed_checks
from layout.checks.plates import Panel
from layout.checks.threads import thread_checks
from layout.design.mass import body_mass
from layout.frames import DIRECTIONS, Array
from layout.loads.cases import LoadCase
from layout.study.fixture_checks import feet_checks, fixture_pulls, screw_forces
from layout.tables import bolt, material


def cover_checks(box: BoxDesign, cases: tuple[LoadCase, ...], specific: Array) -> list[Check]:
    """Every cover in every case."""
    found: list[Check] = []
    for cover in box.covers:
        places = cover_screw_places(cover)
        pitch = max(math.dist(a, b) for a, b in pairwise((*places, places[0])))
        e_mpa = material(box.material).e_mpa
        found.append(gasket_pitch_check(f"cover of {cover.name}", e_mpa, box.shell.sheet_mm, GASKET_MM, pitch))
        for c, case in enumerate(cases):
            found += _screws(box, cover, case.name, specific[c])
            found += _wall(box, cover, case.name, specific[c])
            found += _plate(box, cover, case.name, specific[c])
        carried = carried_piece(cover)
        if carried is not None:
            found += _feet(box, carried, cases, specific)
    return found


def carried_piece(cover: Cover) -> Fixture | None:
    """What the cover carries, as a fixture on it: outside the wall, its feet towards it."""
    fixing = cover.piece.kind.fixing
    if fixing is None or not cover.feet_mm:
        return None
    return Fixture(cover.number, cover.piece, fixing, cover.wall, hung=False, points_mm=cover.feet_mm, pad_mm=cover.pad_mm)


def _axes(cover: Cover) -> Array:
    """Rows: level along the wall, up, outward."""
    out = np.array(DIRECTIONS[LOOKS[cover.wall]])
    up = np.array((0.0, 0.0, 1.0))
    return np.array([np.cross(up, out), up, out])


def _carried_kg(box: BoxDesign, cover: Cover, ending: tuple[str, ...]) -> float:
    mine = [p for p in box.plates if p.number.startswith(cover.number) and p.number[len(cover.number)] in ending]
    own = sum(body_mass(p, density_kg_m3).mass_kg for p in mine)
    screws = [h for h in box.hardware if h.number.startswith((f"{cover.number}B", f"{cover.number}F"))]
    return own + sum(body_mass(h).mass_kg for h in screws)


def cover_load(box: BoxDesign, cover: Cover, specific: Array) -> tuple[Array, Array]:
    """Force and moment about the middle of the screws, on their plane, of cover, gasket and what the cover carries."""
    axes = _axes(cover)
    own = _carried_kg(box, cover, ("C", "G", "S"))
    u0, u1, z0, z1 = cover.opening_mm
    middle = np.array(wall_of(cover.wall, box.inside).point((u0 + u1) / 2.0, box.shell.sheet_mm + RIM_MM, (z0 + z1) / 2.0))
    force, moment = own * specific, np.zeros(3)
    carried = carried_piece(cover)
    if carried is not None:
        pull = carried.piece.kind.mass_kg * specific
        moment = np.cross(np.array(carried.centroid_mm) - middle, pull)
        force = force + pull
    return axes @ force, axes @ moment


def _screws(box: BoxDesign, cover: Cover, case: str, specific: Array) -> list[Check]:
    """The cover's screw used most: uneven sharing over a thin cover by half as much again; the gasket counts as packing."""
    force, moment = cover_load(box, cover, specific)
    u0, u1, z0, z1 = cover.opening_mm
    sign = float(_axes(cover)[0][along(cover.wall)])
    points = tuple((sign * (u - (u0 + u1) / 2.0), z - (z0 + z1) / 2.0) for u, z in cover_screw_places(cover))
    half = ((u1 - u0) / 2.0 + rim_width_mm(), (z1 - z0) / 2.0 + rim_width_mm())
    group = BoltGroup(points, (-half[0], half[0], -half[1], half[1]))
    tension = UNEVEN * float(bolt_tensions(group, force, moment).max())
    shear = UNEVEN * float(np.linalg.norm(bolt_shears(group, force, moment), axis=-1).max())
    size, part, sheet = bolt(COVER_BOLT), f"screw of the cover of {cover.name}", box.shell.sheet_mm
    edge = rim_width_mm() - 12.0
    found = bolt_checks(part, case, COVER_BOLT, BOLT_CLASS, tension, shear, hole_mm=size.hole_medium_mm)
    found += packed_checks(part, case, COVER_BOLT, BOLT_CLASS, tension, shear, GASKET_MM)
    ply = Ply(box.material, sheet, size.hole_medium_mm, edge, edge)
    found += ply_checks(f"{part} in it", case, COVER_BOLT, BOLT_CLASS, ply, shear, 0.0, tension, washer_mm=size.washer_outer_mm)
    return found + thread_checks(
        f"{part} in its rim", case, COVER_BOLT, BOLT_CLASS, box.material, cover_engagement_mm(box.shell), tension, welded=True,
        metal_mm=RIM_MM,
    )  # fmt: skip


def _plate(box: BoxDesign, cover: Cover, case: str, specific: Array) -> list[Check]:
    """The cover between its screws under its own mass and the feet of what it carries."""
    u0, u1, z0, z1 = grown(cover.opening_mm, 12.0)
    sheet = box.shell.sheet_mm
    panel = Panel(box.material, sheet, u1 - u0, z1 - z0, "simply supported", welded=False)
    pressure = density_kg_m3(box.material) * sheet * 1e-9 * abs(float(_axes(cover)[2] @ specific))
    carried, moment = carried_piece(cover), 0.0
    if carried is not None:
        square, _ = fixture_pulls(carried, specific)
        places = tuple((u - u0, z - z0) for u, z in carried.places())
        washer = bolt(carried.fixing.bolt).washer_outer_mm
        moment = moment_under_feet_n(panel, washer + sheet, places, tuple(float(f) for f in square))
    return [cover_plate_check(f"cover of {cover.name}", case, panel, moment, pressure)]


def _wall(box: BoxDesign, cover: Cover, case: str, specific: Array) -> list[Check]:
    """The wall with the opening, under cover, rim and what the cover carries; moments as pairs of forces at the rim's sides."""
    force, moment = cover_load(box, cover, specific)
    rim = _carried_kg(box, cover, ("R",))
    width, height = (s + rim_width_mm() for s in cover.size_mm)
    square = abs(float(force[2])) + rim * abs(float(_axes(cover)[2] @ specific))
    square += 2.0 * (abs(float(moment[0])) / height + abs(float(moment[1])) / width)
    wall, sheet = wall_of(cover.wall, box.inside), box.shell.sheet_mm
    u0, u1, z0, z1 = cover.opening_mm
    at = ((u0 + u1) / 2.0 - wall.low_mm, (z0 + z1) / 2.0 - wall.bottom_mm)
    pressure = density_kg_m3(box.material) * sheet * 1e-9 * abs(float(_axes(cover)[2] @ specific))
    panel = Panel(box.material, sheet, wall.length_mm, wall.top_mm - wall.bottom_mm, "envelope")
    part = f"{cover.wall} wall with the cover of {cover.name}"
    return opening_checks(part, case, panel, (rim_width_mm(), RIM_MM), cover.size_mm, at, square, pressure)


def _feet(box: BoxDesign, carried: Fixture, cases: tuple[LoadCase, ...], specific: Array) -> list[Check]:
    """Screws between the cover and what it carries, through their spacers, and the maker's feet."""
    size, sheet = bolt(carried.fixing.bolt), box.shell.sheet_mm
    tensions, shears = screw_forces(carried, specific)
    found: list[Check] = []
    part = f"screw of {carried.name}"
    for c, case in enumerate(cases):
        tension, shear = float(tensions[c].max()), float(shears[c].max())
        found += bolt_checks(part, case.name, size.size, BOLT_CLASS, tension, shear, hole_mm=size.hole_medium_mm)
        found += packed_checks(part, case.name, size.size, BOLT_CLASS, tension, shear, carried.pad_mm)
        ply = Ply(box.material, sheet, size.hole_medium_mm, 12.0, 12.0)
        found += ply_checks(
            f"{part} in its cover", case.name, size.size, BOLT_CLASS, ply, shear, 0.0, tension, washer_mm=size.washer_outer_mm
        )
    return found + feet_checks(carried, cases, tensions, shears)


def cut_from_walls(box: BoxDesign) -> tuple[float, float, float]:
    """Greatest length that openings take from one wall along x, along y, and from its height, mm: covers and holes, all added
    as if they lay in one line.
    """
    cut = [0.0, 0.0, 0.0]
    for wall in (w for w in LOOKS if w in box.panels):
        sizes = [c.size_mm for c in box.covers if PANELS[c.wall] == wall]
        sizes += [(d, d) for d in box.opening_diameters_mm(wall)]
        cut[along(wall)] = max(cut[along(wall)], sum(w for w, _ in sizes))
        cut[2] = max(cut[2], sum(h for _, h in sizes))
    return cut[0], cut[1], cut[2]
