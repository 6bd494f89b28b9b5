"""Nested sheets: nothing lost, nothing overlapping, gaps and edges kept, too large parts said."""

from collections import Counter

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.design.flat import Flat
from layout.design.geometry import loop_extent_mm, polygon
from layout.design.moments import profile_moments
from layout.design.profile import Hole, Profile, rectangle
from outputs.dxf_reading import read_flat
from outputs.nesting import NestItem, Stock, nest, write_sheets

STOCK = Stock(1000.0, 500.0, gap_mm=6.0, edge_mm=10.0)


def item(number, w, h, quantity=1, material="S235", t=2.0):
    """A plate whose lower left corner is not the origin, with a slot."""
    slot = Hole("h", (w / 2 - 7.0, h / 2 + 3.0), min(w, h) / 4, slot_mm=min(w, h) / 8, slot_angle_deg=20.0)
    return NestItem(number, material, Flat(Profile(rectangle(w, h, (-7.0, 3.0)), (slot,)), (), t), quantity)


@settings(max_examples=15, deadline=None)
@given(
    st.lists(st.tuples(st.floats(20.0, 480.0), st.floats(20.0, 400.0), st.integers(1, 3)), min_size=1, max_size=8),
    st.booleans(),
)
def test_pieces_are_complete_apart_and_inside(sizes, turn):
    stock = Stock(1000.0, 500.0, 6.0, 10.0, turn)
    items = [item(f"P{i}", w, h, n) for i, (w, h, n) in enumerate(sizes)]
    result = nest(items, stock)
    assert result.too_large == ()
    count = Counter(p.number for s in result.sheets for p in s.pieces)
    assert count == {i.number: i.quantity for i in items}
    for sheet in result.sheets:
        shapes = [polygon(p.flat.profile) for p in sheet.pieces]
        table = shapely.box(10.0, 10.0, 990.0, 490.0).buffer(1e-6)
        assert all(table.covers(s) for s in shapes)
        for i, a in enumerate(shapes):
            assert all(a.distance(b) >= 6.0 - 1e-6 for b in shapes[i + 1 :])
        assert 0.0 < sheet.utilisation <= 1.0
        assert sheet.used_length_mm <= 990.0 + 10.0 + 1e-6
        assert turn or not any(p.turned for p in sheet.pieces)


def test_turned_pieces_keep_their_area_and_holes():
    plain = item("A", 400.0, 975.0)
    result = nest([plain], STOCK)
    (piece,) = result.sheets[0].pieces
    assert piece.turned
    assert loop_extent_mm(piece.flat.profile.outline) == pytest.approx((10.0, 10.0, 985.0, 410.0))
    assert profile_moments(piece.flat.profile).area_mm2 == pytest.approx(profile_moments(plain.flat.profile).area_mm2)


def test_too_large_parts_are_said_and_the_rest_is_nested():
    result = nest([item("BIG", 1200.0, 100.0), item("OK", 300.0, 100.0)], STOCK)
    assert [(t.number, t.size_mm) for t in result.too_large] == [("BIG", (1200.0, 100.0))]
    assert [p.number for s in result.sheets for p in s.pieces] == ["OK"]
    kept = nest([item("TALL", 100.0, 600.0)], Stock(1000.0, 500.0, 6.0, 10.0, turn=False))
    assert [t.number for t in kept.too_large] == ["TALL"]


def test_a_part_as_large_as_the_room_fits_just():
    assert nest([item("A", 980.0, 480.0)], STOCK).too_large == ()
    assert len(nest([item("A", 980.1, 480.0)], STOCK).too_large) == 1


def test_metals_and_thicknesses_are_kept_apart():
    result = nest([item("A", 100.0, 50.0), item("B", 100.0, 50.0, material="5754"), item("C", 100.0, 50.0, t=3.0)], STOCK)
    assert [(s.material, s.thickness_mm) for s in result.sheets] == [("5754", 2.0), ("S235", 2.0), ("S235", 3.0)]


def test_sheets_are_written_read_back_and_the_same_twice(tmp_path):
    items = [item("A", 300.0, 120.0, 5), item("B", 200.0, 240.0, 3)]
    first = write_sheets(tmp_path, nest(items, STOCK), "job", "2031-02-03")
    hashes = [w.sha256 for w in first]
    assert [w.path.name for w in first] == [f"sheet-S235-2mm-{i + 1}.dxf" for i in range(len(first))]
    facts = read_flat(first[0].path).facts
    assert facts["MATERIAL"] == "S235"
    assert float(facts["UTILISATION"]) > 0.3
    assert hashes == [w.sha256 for w in write_sheets(tmp_path, nest(items, STOCK), "job", "2031-02-03")]


def test_nothing_to_nest_gives_no_sheet():
    assert nest([], STOCK).sheets == ()
