"""Sheet rules: each broken on purpose, and the whole set kept by a well-made pan."""

import math

import pytest

from layout.design.allowance import BendRow, neutral_line
from layout.design.flat import bend_allowance_mm, bend_deduction_mm, din6935_k_factor
from layout.design.parts import Flange, FoldedPlate, Plate
from layout.design.profile import Bend, Hole, Profile, rectangle
from layout.design.sheet_rules import Shop, check_sheet, die_opening_mm, least_depth_mm
from layout.errors import DesignError
from layout.frames import Pose

T = 2.0


def pan(notch=2.5, depth=40.0, radius=2.5, hole_y=12.0, hole_d=6.6):
    w, d, n = 300.0, 200.0, notch
    if n:
        xy = [
            (n, 0),
            (w - n, 0),
            (w - n, n),
            (w, n),
            (w, d - n),
            (w - n, d - n),
            (w - n, d),
            (n, d),
            (n, d - n),
            (0, d - n),
            (0, n),
            (n, n),
        ]
        edges = (0, 3, 6, 9)
    else:
        xy, edges = [(0, 0), (w, 0), (w, d), (0, d)], (0, 1, 2, 3)
    outline = tuple((float(x), float(y), 0.0) for x, y in xy)
    flanges = []
    for e in edges:
        length = math.dist(xy[e], xy[(e + 1) % len(xy)])
        holes = (Hole(f"h{e}", (length / 2, hole_y), hole_d),)
        flanges.append(Flange(Profile(rectangle(length, depth), holes), 0, Bend(e, 90.0, radius, 0.42)))
    return FoldedPlate("PAN", "pan", "S235", T, Profile(outline), tuple(flanges), Pose())


def broken(part, shop=None):
    return {f.rule for f in check_sheet(part, shop) if not f.ok}


def test_a_well_made_pan_keeps_every_rule():
    assert broken(pan()) == set()
    assert {f.rule for f in check_sheet(pan())} >= {
        "least flange",
        "hole to bend",
        "bend relief",
        "least inside radius",
        "opening to edge",
    }


@pytest.mark.parametrize(
    ("part", "rule"),
    [
        (pan(notch=0.0), "bend relief"),
        (pan(notch=1.0), "bend relief"),
        (pan(radius=1.0), "least inside radius"),
        (pan(hole_y=5.0), "hole to bend"),
        (pan(depth=6.0, hole_y=1.0, hole_d=1.5), "least flange"),
        (pan(hole_y=35.5), "opening to edge"),
    ],
)
def test_one_broken_rule_is_found(part, rule):
    assert rule in broken(part)


def test_every_finding_has_source_and_remedy():
    shop = Shop(press_length_mm=250.0, sheet_mm=(90.0, 80.0))
    for finding in check_sheet(pan(notch=0.0), shop):
        assert str(finding.source)
        assert finding.remedy.endswith(".")
        assert finding.part == "PAN"


def test_relief_figure_is_the_free_width():
    figures = {f.figure for f in check_sheet(pan(notch=1.0)) if f.rule == "bend relief"}
    assert all(0.0 <= f < T for f in figures)


def test_a_flange_narrower_than_its_plate_needs_a_relief():
    root = ((0.0, 0.0, 0.0), (40.0, 0.0, 0.0), (80.0, 0.0, 0.0), (120.0, 0.0, 0.0), (120.0, 80.0, 0.0), (0.0, 80.0, 0.0))
    part = FoldedPlate(
        "T", "t", "S235", T, Profile(root), (Flange(Profile(rectangle(40.0, 30.0)), 0, Bend(1, 90.0, 2.5, 0.4)),), Pose()
    )
    assert "bend relief" in broken(part)
    slit = (
        (0.0, 0.0, 0.0),
        (37.9, 0.0, 0.0),
        (37.9, 3.0, 0.0),
        (40.0, 3.0, 0.0),
        (40.0, 0.0, 0.0),
        (80.0, 0.0, 0.0),
        (80.0, 3.0, 0.0),
        (82.1, 3.0, 0.0),
        (82.1, 0.0, 0.0),
        (120.0, 0.0, 0.0),
        (120.0, 80.0, 0.0),
        (0.0, 80.0, 0.0),
    )
    part = FoldedPlate(
        "T", "t", "S235", T, Profile(slit), (Flange(Profile(rectangle(40.0, 30.0)), 0, Bend(4, 90.0, 2.5, 0.4)),), Pose()
    )
    assert "bend relief" not in broken(part)


def test_plates_get_the_cutting_rules_only():
    plate = Plate(
        "P",
        "p",
        "S235",
        5.0,
        Profile(rectangle(100.0, 60.0), (Hole("a", (20.0, 30.0), 4.0), Hole("b", (26.0, 30.0), 5.5))),
        Pose(),
    )
    assert broken(plate) == {"least opening", "web between openings"}
    assert broken(plate, Shop(sheet_mm=(90.0, 80.0))) >= {"flat size"}
    assert "flat size" not in broken(plate, Shop(sheet_mm=(60.0, 100.0)))


def test_narrow_cut_outs_are_found():
    slit = rectangle(40.0, 3.0, (20.0, 25.0))
    plate = Plate("P", "p", "S235", 5.0, Profile(rectangle(100.0, 60.0), (), (slit,)), Pose())
    (finding,) = [f for f in check_sheet(plate) if not f.ok]
    assert (finding.rule, finding.at, finding.figure) == ("least opening", "cut-out 1", pytest.approx(3.0))


def test_the_shop_overrides_die_leg_and_length():
    assert die_opening_mm(2.0) == 16.0
    assert die_opening_mm(9.0) == 90.0
    assert die_opening_mm(12.0) == 120.0
    assert die_opening_mm(15.0) == 180.0
    assert die_opening_mm(2.0, Shop(die_opening_mm=12.0)) == 12.0
    assert "least flange" in broken(pan(), Shop(least_leg_mm=60.0))
    assert "bend length" in broken(pan(), Shop(press_length_mm=250.0))


def test_depth_of_a_tapered_flange_is_its_shortest():
    taper = ((0.0, 0.0, 0.0), (100.0, 0.0, 0.0), (100.0, 10.0, 0.0), (0.0, 50.0, 0.0))
    assert least_depth_mm(Profile(taper), 100.0) == pytest.approx(10.0 + 40.0 * 0.05)


def test_impossible_geometry_is_an_error_not_a_finding():
    with pytest.raises(DesignError):
        check_sheet(Plate("P", "p", "S235", 5.0, Profile(rectangle(100.0, 60.0), (Hole("a", (0.0, 30.0), 9.0),)), Pose()))


def test_the_shops_own_table_comes_first():
    rows = (
        BendRow("S235", 2.0, 2.0, 90.0, allowance_mm=bend_allowance_mm(90.0, 2.0, 2.0, 0.41)),
        BendRow("S235", 2.0, 2.0, 45.0, deduction_mm=bend_deduction_mm(45.0, 2.0, 2.0, 0.45)),
    )
    assert neutral_line("S235", 2.0, 2.0, 90.0, rows).k_factor == pytest.approx(0.41)
    assert neutral_line("S235", 2.0, 2.0, 45.0, rows).k_factor == pytest.approx(0.45)
    assert neutral_line("S235", 2.0, 2.0, 67.5, rows).k_factor == pytest.approx(0.43)
    assert neutral_line("S235", 2.0, 2.0, 120.0, rows).k_factor == pytest.approx(0.41)
    other = neutral_line("5754", 2.0, 2.0, 90.0, rows)
    assert other.k_factor == pytest.approx(din6935_k_factor(2.0, 2.0))
    assert "DIN 6935" in str(other.source)


def test_allowance_taken_for_deduction_is_caught():
    row = BendRow("S235", 2.0, 2.0, 90.0, allowance_mm=8.0)
    with pytest.raises(DesignError, match="K-factor"):
        neutral_line("S235", 2.0, 2.0, 90.0, (row,))
    with pytest.raises(ValueError, match="neither"):
        _ = BendRow("S235", 2.0, 2.0, 90.0).neutral_share
