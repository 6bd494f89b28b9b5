"""Flat patterns read by programs that share no code with the writer (ezdxf).

trimesh's own DXF reader: closed outlines, areas and extents (it turns arcs into chords, so to a thousandth). A scanner of bare
group codes, after the DXF reference (Autodesk, "DXF Reference", group codes 0, 2, 5, 8, 9, 70; from memory): units, closed
flags, layers, no splines, no handle twice.
"""

import math
from collections import Counter
from itertools import pairwise

import pytest
import shapely
import trimesh

from layout.design.flat import develop
from layout.design.geometry import loop_extent_mm
from layout.design.moments import profile_moments
from layout.design.parts import Flange, FoldedPlate
from layout.design.profile import Bend, Hole, Profile, rectangle
from layout.frames import Pose
from outputs.dxf import write_flat

QUARTER = math.tan(math.pi / 8)


def bracket():
    holes = (Hole("H1", (25.0, 30.0), 11.0), Hole("H2", (70.0, 30.0), 11.0, "", 14.0, 25.0))
    outline = (
        (0.0, 0.0, 0.0),
        (100.0, 0.0, 0.0),
        (100.0, 50.0, QUARTER),
        (85.0, 65.0, 0.0),
        (15.0, 65.0, QUARTER),
        (0.0, 50.0, 0.0),
    )
    wall = Flange(Profile(outline, (Hole("H3", (50.0, 40.0), 20.0),)), 0, Bend(0, 90.0, 5.0, 0.42))
    lip = Flange(Profile(rectangle(100.0, 40.0)), 0, Bend(2, -45.0, 5.0, 0.42))
    return FoldedPlate("BR-1", "bracket", "S275", 4.0, Profile(rectangle(100.0, 70.0), holes), (wall, lip), Pose())


@pytest.fixture(scope="module")
def path(tmp_path_factory):
    return write_flat(tmp_path_factory.mktemp("dxf") / "BR-1.dxf", bracket()).path


def group_codes(path):
    lines = path.read_text("utf-8").splitlines()
    return [(int(code), value.strip()) for code, value in zip(lines[::2], lines[1::2], strict=True)]


def entities(path):
    """Records of the ENTITIES section as lists of (code, value)."""
    pairs, inside, out = group_codes(path), False, []
    for (code, value), (_, following) in pairwise([*pairs, (0, "")]):
        if code == 0 and value == "SECTION":
            inside = following == "ENTITIES"
        elif code == 0 and value == "ENDSEC":
            inside = False
        elif inside and code == 0:
            out.append([(0, value)])
        elif inside and out:
            out[-1].append((code, value))
    return out


def test_trimesh_sees_the_same_face(path):
    want = profile_moments(develop(bracket()).profile).area_mm2
    with path.open("rb") as file:
        drawing = trimesh.load_path(file, file_type="dxf")
    on = ("CUT", None)  # the reader drops the layer of polylines with arcs; only cuts have arcs
    cut = [shapely.LineString(e.discrete(drawing.vertices)) for e in drawing.entities if e.layer in on]
    faces = shapely.get_parts(shapely.polygonize([shapely.set_precision(line, 1e-5) for line in cut]))
    assert len(faces) == 4  # the plate itself, two round holes, one slot: every outline closes
    plate = max(faces, key=lambda f: f.area)
    assert len(plate.interiors) == 3
    assert plate.area == pytest.approx(want, rel=2e-3)
    assert plate.bounds == pytest.approx(loop_extent_mm(develop(bracket()).profile.outline), abs=1e-3)


def test_units_and_records_by_bare_group_codes(path):
    pairs = group_codes(path)
    header = {value: pairs[i + 1] for i, (code, value) in enumerate(pairs) if code == 9}
    assert header["$INSUNITS"] == (70, "4")
    assert header["$MEASUREMENT"] == (70, "1")
    assert header["$ACADVER"] == (1, "AC1024")
    found = entities(path)
    kinds = Counter((dict(r)[0], dict(r)[8]) for r in found)
    assert kinds["LWPOLYLINE", "CUT"] == 2
    assert kinds["CIRCLE", "CUT"] == 2
    assert kinds["LINE", "BEND_UP"] == 1
    assert kinds["LINE", "BEND_DOWN"] == 1
    assert not any(kind in ("SPLINE", "ELLIPSE", "TEXT", "MTEXT", "INSERT") for kind, _ in kinds)
    assert all(int(dict(r)[70]) & 1 for r in found if dict(r)[0] == "LWPOLYLINE" and dict(r)[8] == "CUT")


def test_no_handle_is_used_twice(path):
    handles = [value for record in entities(path) for code, value in record if code == 5]
    assert handles
    assert len(set(handles)) == len(handles)
