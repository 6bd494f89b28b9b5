"""Figures on the sheets against measures taken elsewhere: on the kernel's solids, on the paper, on the standard's pictures."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from layout.design import FoldedPlate, Plate
from layout.design.geometry import polygon
from layout.frames import Extent
from layout.study.study import Study

pytestmark = pytest.mark.cad


@pytest.fixture(scope="module")
def sheets(front_study: Study) -> Any:
    from outputs.drawing.sheets import sheets_of

    return sheets_of(front_study, lambda _: None)


def test_every_dimension_states_the_distance_of_its_points_on_paper(sheets: Any) -> None:
    from outputs.drawing.ink import Dim

    count = 0
    for sheet in sheets:
        for dim in (i for i in sheet.inks if isinstance(i, Dim)):
            axis = 0 if dim.angle_deg == 0.0 else 1
            measured = abs(dim.end[axis] - dim.start[axis]) / sheet.scale.ratio
            assert measured == pytest.approx(abs(dim.value_mm), abs=1e-3), (sheet.name, dim.text)
            assert float(dim.text) == pytest.approx(dim.value_mm, abs=0.00501)
            count += 1
    assert count > 60


def bounding_box(solid: Any) -> list[float]:
    """Edge lengths of the kernel's own exact bounding box."""
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(solid, box, True, False)
    x0, y0, z0, x1, y1, z1 = box.Get()
    return [x1 - x0, y1 - y0, z1 - z0]


def test_overall_sizes_are_those_of_the_solid(front_study: Study, sheets: Any) -> None:
    """Reference: bounding box by the CAD kernel of the solid that goes into the STEP file."""
    from outputs.drawing.distinct import distinct
    from outputs.drawing.ink import Dim
    from shapes.build import solid_of

    by_name = {s.name: s for s in sheets}
    for item in distinct(front_study):
        stated = [i.value_mm for i in by_name[item.part.number].inks if isinstance(i, Dim)]
        for size in bounding_box(solid_of(item.part)):
            assert any(v == pytest.approx(size, abs=2e-3) for v in stated), (item.part.number, size)


def test_hole_table_is_where_the_solid_has_its_holes(front_study: Study, sheets: Any) -> None:
    """Reference: axes of cylindrical faces of the solid; the table's figures are read as text from the sheet."""
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.GeomAbs import GeomAbs_Cylinder

    from outputs.drawing.distinct import distinct
    from outputs.drawing.figures import Figures
    from outputs.drawing.part_notes import hole_table
    from shapes.build import faces_of, solid_of

    checked = 0
    for item in distinct(front_study):
        part = item.part
        if not isinstance(part, Plate) or not part.profile.holes or any(h.slot_mm for h in part.profile.holes):
            continue
        found = []
        for face in faces_of(solid_of(part)):
            surface = BRepAdaptor_Surface(face)
            full = abs(surface.LastUParameter() - surface.FirstUParameter()) > 2.0 * math.pi - 1e-6
            if surface.GetType() == GeomAbs_Cylinder and full:
                at = surface.Cylinder().Axis().Location()
                found.append((at.X(), at.Y(), 2.0 * surface.Cylinder().Radius()))
        low = polygon(part.profile).bounds[:2]
        table = hole_table(part.profile.holes, part.number, (low[0], low[1]), Figures())
        stated = sorted((float(r[1]) + low[0], float(r[2]) + low[1], float(r[3])) for r in table.rows if isinstance(r[1], str))
        assert len(stated) == len(found)
        np.testing.assert_allclose(stated, sorted(found, key=lambda f: tuple(round(v, 2) for v in f)), atol=0.0051)
        checked += len(found)
    assert checked > 30


def test_places_on_the_bent_part_are_those_of_its_solid(front_study: Study) -> None:
    """Holes of an angle: from the outer face of the other leg, against cylinders and extents of the kernel's own solid."""
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.GeomAbs import GeomAbs_Cylinder

    from layout.design.bent_places import from_other_leg_mm
    from layout.frames import Pose
    from shapes.build import faces_of, solid_of
    from shapes.measure import extent

    part = replace(front_study.brackets[0].angle, pose=Pose())
    solid = solid_of(part)
    low, high = extent(solid).min_mm, extent(solid).max_mm
    found = []
    for face in faces_of(solid):
        surface = BRepAdaptor_Surface(face)
        if surface.GetType() == GeomAbs_Cylinder and surface.LastUParameter() - surface.FirstUParameter() > 6.0:
            axis = surface.Cylinder().Axis()
            at, along = axis.Location(), abs(axis.Direction().Z())
            up = part.flanges[0].bend.angle_deg > 0.0
            found.append(at.Y() - low[1] if along > 0.9 else (at.Z() - low[2] if up else high[2] - at.Z()))
    stated = sorted(from_other_leg_mm(part).values())
    assert len(stated) == len(found) > 4
    np.testing.assert_allclose(stated, sorted(found), atol=1e-5)


def test_flat_pattern_width_of_the_bracket_by_hand(front_study: Study, sheets: Any) -> None:
    """Closed form: sum of the flats and the allowance pi/2 (Ri + K t) of one right-angled bend."""
    from outputs.drawing.ink import Dim

    part = front_study.brackets[0].angle
    assert isinstance(part, FoldedPlate)
    bend = part.flanges[0].bend
    flats = max(v[1] for v in part.root.outline) + max(v[1] for v in part.flanges[0].profile.outline)
    developed = flats + math.pi / 2.0 * (bend.inside_radius_mm + bend.k_factor * part.thickness_mm)
    sheet = next(s for s in sheets if s.name == part.number)
    assert any(i.value_mm == pytest.approx(developed, abs=1e-6) for i in sheet.inks if isinstance(i, Dim))


@pytest.mark.parametrize(("angle", "side", "plan"), [("first angle", "right", "below"), ("third angle", "left", "above")])
def test_views_stand_by_the_rule(angle: Any, side: str, plan: str) -> None:
    """ISO 5456-2: first angle puts the view from the left at the right, the one from above below; third angle the reverse."""
    from outputs.drawing.block import Block
    from outputs.drawing.projection import VEHICLE_SIDE
    from outputs.drawing.three_views import stood_apart, three_spots

    extent = Extent((-100.0, -50.0, 300.0), (200.0, 80.0, 420.0))
    spots = three_spots(VEHICLE_SIDE, extent, 0.2, angle, ("main", "left", "above"))
    blocks = [Block((), s.box) for s in spots.all]
    main, left, above = stood_apart(blocks, angle).parts
    assert (left[0] > main[2]) == (side == "right")
    assert (left[2] < main[0]) == (side == "left")
    assert left[1] == pytest.approx(main[1])
    assert (above[3] < main[1]) == (plan == "below")
    assert (above[1] > main[3]) == (plan == "above")
    assert above[0] == pytest.approx(main[0])
    # what the person at the left sees: the front of the vehicle, which points left in the main view
    front, rear = np.array((200.0, 0.0, 350.0)), np.array((-100.0, 0.0, 350.0))
    assert spots.main.put(front)[0] < spots.main.put(rear)[0]
    assert spots.side.axes.towards == (1.0, 0.0, 0.0)
    assert spots.plan.axes.towards == (0.0, 0.0, 1.0)


def test_hidden_lines_of_a_pierced_block() -> None:
    """By hand: a block 40 x 30 x 20 with a hole of 10 through its top. From the front four outer edges are visible and two
    edges of the hole are hidden, 10 apart; from above the hole is one full circle."""
    from layout.design.profile import Hole, Profile, rectangle
    from outputs.drawing.hidden_lines import view_of
    from outputs.drawing.ink import Arc, Line, Pen
    from outputs.drawing.projection import FACE, ViewAxes
    from shapes.build import plate_solid

    solid = plate_solid(Profile(rectangle(40.0, 30.0), (Hole("H", (15.0, 12.0), 10.0),)), 20.0)
    above = view_of([solid], FACE)
    circles = [i for i in above if isinstance(i, Arc)]
    assert [(c.centre, c.radius, c.sweep_deg) for c in circles] == [((15.0, 12.0), 5.0, 360.0)]
    front = view_of([solid], ViewAxes((1.0, 0.0, 0.0), (0.0, 0.0, 1.0)))
    visible = [i for i in front if i.pen is Pen.VISIBLE]
    hidden = sorted(i.points[0][0] for i in front if i.pen is Pen.HIDDEN and isinstance(i, Line))
    assert len(visible) == 4
    assert hidden == pytest.approx([10.0, 20.0])


def test_symbol_of_projection_shows_the_cone_by_the_same_rule() -> None:
    """The circles are the cone seen from its small end; ISO 5456-2 places them like any view from the left."""
    from outputs.drawing.frame import symbol
    from outputs.drawing.ink import Arc, Line, Pen

    for angle, right in (("first angle", True), ("third angle", False)):
        inks = symbol(0.0, 0.0, angle)  # type: ignore[arg-type]
        cone = next(i for i in inks if isinstance(i, Line) and i.pen is Pen.VISIBLE)
        circles = [i for i in inks if isinstance(i, Arc)]
        xs = [p[0] for p in cone.points]
        assert (circles[0].centre[0] > max(xs)) == right
        small = [p for p in cone.points if p[0] == min(xs)]
        big = [p for p in cone.points if p[0] == max(xs)]
        assert max(p[1] for p in small) < max(p[1] for p in big)
        assert {c.radius for c in circles} == {max(p[1] for p in small), max(p[1] for p in big)}
