"""Flat patterns as DXF: layers, true arcs, marks, the same bytes twice, and a read-back that notices differences."""

import math

import ezdxf
import numpy as np
import pytest

from layout.design.flat import develop
from layout.design.moments import profile_moments
from layout.design.parts import Flange, FoldedPlate, Plate
from layout.design.profile import Bend, Hole, Profile, rectangle
from layout.errors import DesignError, ExportError
from layout.frames import Pose
from outputs.dxf import FlatMeta, mark_strokes, write_flat
from outputs.dxf_document import BEND_DOWN, BEND_UP, CUT, MARK
from outputs.dxf_reading import compare_flat, read_flat
from outputs.strokes import strokes, text_width_mm


def bracket(angle=90.0):
    holes = (Hole("BR-H1", (20.0, 25.0), 11.0), Hole("BR-H2", (60.0, 25.0), 11.0, slot_mm=8.0, slot_angle_deg=30.0))
    wall = Flange(Profile(rectangle(80.0, 60.0), (Hole("BR-H3", (40.0, 40.0), 9.0),)), 0, Bend(0, angle, 5.0, 0.4))
    lip = Flange(Profile(rectangle(80.0, 30.0)), 1, Bend(2, -90.0, 5.0, 0.4))
    root = Profile(rectangle(80.0, 50.0), holes, (rectangle(10.0, 10.0, (35.0, 35.0), 2.0),))
    return FoldedPlate("BR-1", "bräcket", "S275", 4.0, root, (wall, lip), Pose(), "bracket")


@pytest.fixture
def written(tmp_path):
    return write_flat(tmp_path / "BR-1.dxf", bracket(), FlatMeta("Pack 17", "2031-02-03", 4))


def test_layers_hold_what_they_should(written):
    document = ezdxf.readfile(written.path)
    kinds = {}
    for entity in document.modelspace():
        kinds.setdefault(entity.dxf.layer, []).append(entity.dxftype())
    assert sorted(kinds[CUT]) == ["CIRCLE", "CIRCLE", "LWPOLYLINE", "LWPOLYLINE", "LWPOLYLINE"]
    assert kinds[BEND_UP] == ["LINE"]
    assert kinds[BEND_DOWN] == ["LINE"]
    assert set(kinds[MARK]) == {"LWPOLYLINE"}
    assert document.units == 4
    assert document.header["$MEASUREMENT"] == 1
    assert document.dxfversion == "AC1024"


def test_outlines_are_closed_and_slots_have_true_arcs(written):
    flat = read_flat(written.path)
    assert flat.open_cuts == 0
    assert sum(abs(b) == pytest.approx(1.0) for loop in flat.loops for _, _, b in loop) == 2
    assert flat.cut_area_mm2 == pytest.approx(profile_moments(develop(bracket()).profile).area_mm2, rel=1e-9)


def test_facts_travel_in_the_file(written):
    facts = read_flat(written.path).facts
    assert (facts["PART"], facts["MATERIAL"], facts["THICKNESS MM"], facts["QUANTITY"]) == ("BR-1", "S275", "4", "4")
    assert facts["NAME"] == "braecket"
    assert facts["BEND 1"].startswith("up 90 deg, inside radius 5 mm, K 0.4, allowance 10.367 mm")
    assert facts["BEND 2"].startswith("down 90 deg")


def test_tapped_holes_are_named(tmp_path):
    holes = (Hole("BX-M1-H1", (20.0, 25.0), 6.8, "M8 thread"), Hole("BX-M1-H2", (60.0, 25.0), 9.0, "M8"))
    plate = Plate("BX-M1", "bar", "5083-H111", 15.0, Profile(rectangle(80.0, 50.0), holes), Pose())
    facts = read_flat(write_flat(tmp_path / "m.dxf", plate).path).facts
    assert facts["TAP 1"] == "M8 thread in the 6.8 mm hole at 20.000, 25.000 (BX-M1-H1)"
    assert "TAP 2" not in facts


def test_the_same_part_gives_the_same_bytes(written, tmp_path):
    again = write_flat(tmp_path / "again.dxf", bracket(), FlatMeta("Pack 17", "2031-02-03", 4))
    assert again.sha256 == written.sha256


def test_a_plate_that_cannot_be_cut_is_not_written(tmp_path):
    plate = Plate("P-1", "p", "S235", 3.0, Profile(rectangle(100.0, 50.0), (Hole("h", (99.0, 25.0), 9.0),)), Pose())
    with pytest.raises(DesignError, match="P-1"):
        write_flat(tmp_path / "p.dxf", plate)
    assert list(tmp_path.iterdir()) == []


def test_a_plain_plate_needs_no_bends(tmp_path):
    plate = Plate("P-1", "p", "S235", 3.0, Profile(rectangle(100.0, 50.0, corner_mm=5.0)), Pose())
    flat = read_flat(write_flat(tmp_path / "p.dxf", plate).path)
    assert flat.bends == ()
    assert len(flat.loops[0]) == 8


@pytest.mark.parametrize(
    "other",
    [
        bracket(angle=88.0),
        bracket(angle=-90.0),
        FoldedPlate(**{**bracket().__dict__, "root": Profile(rectangle(80.0, 50.0), bracket().root.holes[:1])}),
        FoldedPlate(
            **{
                **bracket().__dict__,
                "root": Profile(
                    rectangle(80.0, 50.0), (Hole("x", (20.0, 25.00001), 11.0), bracket().root.holes[1]), bracket().root.cutouts
                ),
            }
        ),
    ],
)
def test_a_file_that_disagrees_is_refused(written, other):
    with pytest.raises(ExportError):
        compare_flat(written.path, develop(other))


def test_open_outline_wrong_units_and_strange_records_are_refused(tmp_path, written):
    document = ezdxf.readfile(written.path)
    document.modelspace().add_lwpolyline([(0, 0), (1, 1)], dxfattribs={"layer": CUT})
    document.saveas(tmp_path / "open.dxf")
    with pytest.raises(ExportError, match="not closed"):
        compare_flat(tmp_path / "open.dxf", develop(bracket()))
    document.modelspace().add_spline([(0, 0, 0), (1, 1, 0), (2, 0, 0)], dxfattribs={"layer": CUT})
    document.saveas(tmp_path / "spline.dxf")
    with pytest.raises(ExportError, match="SPLINE"):
        read_flat(tmp_path / "spline.dxf")
    document = ezdxf.readfile(written.path)
    document.units = 1
    document.saveas(tmp_path / "inch.dxf")
    with pytest.raises(ExportError, match="millimetres"):
        read_flat(tmp_path / "inch.dxf")
    (tmp_path / "rubbish.dxf").write_text("nothing")
    with pytest.raises(ExportError, match="does not read back"):
        read_flat(tmp_path / "rubbish.dxf")


def test_unwritable_place(tmp_path):
    with pytest.raises(ExportError, match="could not be written"):
        write_flat(tmp_path / "missing" / "a.dxf", bracket())


def test_the_mark_lies_on_metal_clear_of_holes_and_bends():
    flat = develop(bracket())
    points = np.array([p for chain in mark_strokes(flat, "BR-1") for p in chain])
    assert len(points) > 10
    for hole in flat.profile.holes:
        assert np.hypot(*(points - hole.centre_mm).T).min() > hole.diameter_mm / 2.0 + 1.9
    for line in flat.bend_lines:
        assert np.abs(points[:, 1] - line.start_mm[1]).min() > line.allowance_mm / 2.0


def test_a_part_too_small_for_its_mark_has_none():
    tiny = Plate("LONG-NUMBER-0001", "t", "S235", 2.0, Profile(rectangle(12.0, 12.0)), Pose())
    assert mark_strokes(develop_plate(tiny), tiny.number) == []


def develop_plate(plate):
    from outputs.dxf import flat_of

    return flat_of(plate)


def test_a_narrow_part_is_marked_upright():
    strip = Plate("BX-12", "t", "S235", 2.0, Profile(rectangle(10.0, 120.0)), Pose())
    points = np.array([p for chain in mark_strokes(develop_plate(strip), strip.number) for p in chain])
    assert np.ptp(points[:, 1]) > np.ptp(points[:, 0])
    assert points[:, 0].min() >= 2.0 - 1e-6
    assert points[:, 0].max() <= 8.0 + 1e-6


def test_strokes_fill_their_cells():
    every = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-.,:/_%()=#?*'+"
    for letter in every:
        points = [p for chain in strokes(letter, 6.0) for p in chain]
        assert points, letter
        assert all(0.0 <= x <= 4.0 and 0.0 <= y <= 6.0 for x, y in points), letter
    assert len({tuple(strokes(c, 6.0)) for c in every}) == len(every)
    assert strokes("ä", 6.0) == strokes("?", 6.0)
    assert text_width_mm("AA", 6.0) == pytest.approx(9.6)
    assert math.isclose(max(x for c in strokes("AA", 6.0) for x, _ in c), 9.6)
