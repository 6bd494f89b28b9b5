import itertools
import math

import pytest

from layout import tables
from layout.errors import BoxwrightError, DesignError
from layout.tables import reading


@pytest.mark.parametrize("table", tables.table_names())
def test_every_row_names_its_source_and_whether_it_was_seen(table):
    found = tables.rows(table)
    assert found
    for row in found:
        assert len(row["source"]) >= 8
        assert row["seen"] in ("seen", "secondary", "memory", "derived")
        assert all(value is not None for value in row.values())


def test_a_row_without_source_is_refused(monkeypatch, tmp_path):
    (tmp_path / "odd.csv").write_text("name,source,seen\na,,seen\n")
    monkeypatch.setattr(reading, "files", lambda _: tmp_path)
    with pytest.raises(ValueError, match="without source"):
        reading.rows.__wrapped__("odd")


def test_bolt_sizes_rise_in_every_column():
    sizes = [tables.bolt(s) for s in tables.bolt_sizes()]
    columns = [f for f in tables.BoltSize.__dataclass_fields__ if f not in ("size", "source")]
    for column in columns:
        values = [getattr(s, column) for s in sizes]
        assert all(b >= a for a, b in itertools.pairwise(values)), column
    assert [s.size for s in sizes] == ["M4", "M5", "M6", "M8", "M10", "M12", "M14", "M16"]


def test_bolt_sizes_agree_with_themselves():
    for name in tables.bolt_sizes():
        b = tables.bolt(name)
        assert b.diameter_mm == float(name[1:])
        assert b.stress_area_mm2 == pytest.approx(math.pi / 4 * (b.diameter_mm - 0.9382 * b.pitch_mm) ** 2, rel=0.006)
        assert b.minor_area_mm2 < b.stress_area_mm2 < b.gross_area_mm2
        assert b.minor_diameter_mm < b.inner_minor_diameter_mm < b.pitch_diameter_mm < b.diameter_mm
        assert b.diameter_mm < b.hole_fine_mm < b.hole_medium_mm < b.hole_coarse_mm
        assert b.hole_medium_mm < b.hex_af_mm <= b.washer_outer_mm
        assert b.socket_outside_mm > b.hex_across_corners_mm
        assert b.nut_height_min_mm < b.nut_height_mm
        assert b.hole_mm("fine") == b.hole_fine_mm


def test_bolt_classes_are_what_their_names_say():
    for name in tables.bolt_class_names():
        g = tables.bolt_class(name)
        first, second = (int(v) for v in name.split("."))
        assert g.fub_mpa == 100 * first
        assert g.fyb_mpa == pytest.approx(10 * first * second)
        assert g.proof_mpa < g.fyb_mpa < g.fub_mpa <= g.rm_min_mpa
        assert g.in_scope is (name != "12.9")


def test_materials_have_minimum_values_in_order():
    assert len(tables.material_names()) == 10
    for name in tables.material_names():
        m = tables.material(name)
        assert m.family in ("steel", "aluminium")
        assert (m.beta_w is None) is (m.family == "aluminium")
        for band in m.strengths:
            assert band.over_mm < band.up_to_mm
            assert band.proof_mpa < band.ultimate_mpa
            assert band.haz_proof_mpa <= band.proof_mpa
            assert band.haz_ultimate_mpa <= band.ultimate_mpa
        for a, b in itertools.pairwise(m.strengths):
            assert a.up_to_mm == b.over_mm
        radii = [m.min_bend_radius_mm(t) for t in (1.0, 2.0, 3.0) if t <= m.radii[-1].up_to_mm]
        assert radii == sorted(radii)
        assert m.haz_proof_mpa == min(b.haz_proof_mpa for b in m.strengths)
        assert m.g_mpa == pytest.approx(m.e_mpa / 2.6)


def test_strength_depends_on_thickness_and_ends_where_the_table_ends():
    s355 = tables.material("S355")
    assert (s355.ultimate_mpa(2.5), s355.ultimate_mpa(3.0), s355.proof_mpa(20.0)) == (510.0, 470.0, 345.0)
    assert tables.material("6082-T6").proof_mpa(8.0) == 255.0
    with pytest.raises(DesignError, match="no strength is listed"):
        tables.material("6082-T6").proof_mpa(80.0)
    with pytest.raises(DesignError, match="no bend radius is listed"):
        tables.material("DC01").min_bend_radius_mm(5.0)
    for odd in (0.0, -1.0, math.nan):
        with pytest.raises(DesignError):
            s355.proof_mpa(odd)


def test_names_and_aliases():
    assert tables.material("s275jr").name == "S275"
    assert tables.material(" 1.4301 ").group == "stainless steel"
    assert tables.bolt("m10").size == "M10"


@pytest.mark.parametrize(
    ("ask", "wrong", "hint"),
    [
        (tables.material, "5083H111", "5083-H111"),
        (tables.bolt, "M11", "M1"),
        (tables.bolt_class, "8.9", "8.8"),
        (tables.rivet_nut, "M16", "M6 steel"),
        (tables.torque_coefficient, "dry stel", "dry steel"),
        (tables.bolt_lengths_mm, "M30", "M10"),
        (tables.sheet_thicknesses, "steal", "steel"),
        (lambda n: tables.weld_metal("S355", n), "5356", "with 5356"),
        (lambda n: tables.tolerance_mm(n, "m", 10.0), "ISO 2786-1", "ISO 2768-1"),
        (lambda n: tables.tolerance_mm("ISO 2768-1", n, 10.0), "x", "f, m, v"),
        (lambda n: tables.haz_extent_mm(3.0, n), "TIGG", "TIG"),
        (lambda n: tables.bolt("M8").hole_mm(n), "tight", "medium"),
        (lambda n: tables.bolt_lengths_mm("M8", n), "hex bold", "hex bolt"),
    ],
)
def test_unknown_names_say_what_comes_near(ask, wrong, hint):
    with pytest.raises(KeyError) as caught:
        ask(wrong)
    assert isinstance(caught.value, BoxwrightError)
    assert hint in str(caught.value)
    assert not str(caught.value).startswith('"')


def test_bolt_lengths_are_of_the_series_and_threads_fit():
    for size in tables.bolt_sizes():
        for kind in ("hex bolt", "hex screw", "cap screw"):
            lengths = tables.bolt_lengths_mm(size, kind)
            assert lengths == tuple(sorted(lengths))
            assert all(0.0 < tables.thread_length_mm(size, kind, v) <= v for v in lengths)
    assert 25.0 in tables.bolt_lengths_mm("M8", "hex screw")
    assert tables.thread_length_mm("M10", "hex bolt", 80.0) == 26.0
    assert tables.thread_length_mm("M10", "hex screw", 80.0) == 80.0


def test_sheets_and_bend_radii():
    for family in ("steel", "aluminium"):
        stock = tables.sheet_thicknesses(family)
        assert stock == tuple(sorted(stock))
        assert 3.0 in stock
    for name in tables.material_names():
        for t in (1.5, 2.0, 2.5, 3.0):
            assert tables.bend_radius_mm(name, t) >= tables.material(name).min_bend_radius_mm(t)
    assert tables.bend_radius_mm("1.4301", 3.5) == pytest.approx((3.75 + 4.48) / 2)


def test_tolerances():
    assert tables.tolerance_mm("ISO 2768-1", "m", 30.0) == 0.2
    assert tables.tolerance_mm("ISO 2768-1", "m", 30.1) == 0.3
    assert tables.tolerance_mm("ISO 13920", "A", 500.0) == 2.0
    assert tables.tolerance_mm("ISO 9013", "1", 500.0, 3.0) == 0.35
    assert tables.tolerance_mm("ISO 9013", "1", 500.0, 4.0) == 0.4
    with pytest.raises(DesignError, match="does not reach"):
        tables.tolerance_mm("ISO 2768-1", "m", 9000.0)
    with pytest.raises(DesignError, match="does not reach"):
        tables.tolerance_mm("ISO 9013", "1", 500.0)


def test_tolerances_widen_with_length():
    for standard in ("ISO 2768-1", "ISO 13920", "ISO 13920 flatness"):
        listed = [r for r in tables.rows("tolerances") if r["standard"] == standard]
        for _, group in itertools.groupby(listed, key=lambda r: r["class"]):
            values = [float(r["plus_minus_mm"]) for r in group]
            assert values == sorted(values)


def test_heat_affected_zone_and_weld_metal():
    assert tables.haz_extent_mm(3.0) == 20.0
    assert tables.haz_extent_mm(3.0, "TIG") == 30.0
    assert tables.weld_metal("5083-H111").fw_mpa == 240.0
    with pytest.raises(DesignError, match="not listed for this thickness"):
        tables.haz_extent_mm(40.0)
