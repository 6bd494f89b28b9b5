"""Slotted holes, box columns and saddles: figures by hand, arrays as single checks, forces that are not numbers."""

from __future__ import annotations

import math

import numpy as np
import pytest

from layout.checks.bolts import Ply, ply_checks
from layout.checks.box_column import BoxColumn, box_column_checks, box_column_stiffness
from layout.checks.gussets import GussetedL
from layout.checks.joints import preload, slip_check
from layout.checks.saddles import HELD, SaddleLegs, channel_section, saddle_checks
from layout.errors import DesignError

COLUMN = BoxColumn("S275", 8.0, 28.0, 64.0, 6.0, 6.0, 70.0, 3.5, 20.0, 11.0)
FOOT = GussetedL("S275", 8.0, 84.0, 60.0, 46.0, 2, 5.0, 28.0, 102.0, 70.0, 12.0, 3.5, 9.0, 20.0, 11.0, HELD)
LEGS = SaddleLegs(8.0, 30.0, 62.0, 70.0)
FORCES = [(900.0, 1500.0, -700.0), (0.0, -2000.0, 300.0), (0.0, 0.0, 2500.0), (1200.0, 0.0, 0.0), (-400.0, 2500.0, 800.0)]


def by_name(checks):
    return {c.name: c for c in checks}


def bearing(kind):
    ply = Ply("S275", 8.0, 11.0, 20.0, 30.0, hole_kind=kind)
    found = [c for c in ply_checks("P", "c", "M10", "8.8", ply, 1000.0, 1000.0) if c.name == "bearing and tear-out"]
    return tuple(c.capacity for c in found)


def test_bearing_across_a_slot_is_six_tenths():
    """EN 1993-1-8 Table 3.4: bolts in slotted holes, axis across the force: 0.6 of the resistance in round holes."""
    along, across = bearing("normal")
    assert bearing("slot across") == pytest.approx((0.6 * along, across))
    assert bearing("slot along") == pytest.approx((along, 0.6 * across))
    assert bearing("slot askew") == pytest.approx((0.6 * along, 0.6 * across))


def test_edge_of_a_slot_is_one_and_a_half_holes():
    """EN 1993-1-8 Table 3.3: e_3 and e_4 of slotted holes at least 1.5 d_0 (1.2 d_0 for round ones)."""
    for kind, least in (("normal", 13.2), ("slot along", 16.5)):
        found = ply_checks("P", "c", "M10", "8.8", Ply("S275", 8.0, 11.0, 15.0, 40.0, hole_kind=kind), 1.0)
        (edge,) = [c for c in found if c.name.startswith("edge distance")]
        assert edge.demand == pytest.approx(least)
        assert edge.holds == (least < 15.0)


def test_a_head_over_a_slot_punches_through_sooner():
    plain, slotted = (
        by_name(ply_checks("P", "c", "M10", "8.8", Ply("S275", 8.0, 11.0, 20.0, 20.0, hole_kind=k), 0.0, 0.0, 1000.0))[
            "punching"
        ]
        for k in ("normal", "slot along")
    )
    assert slotted.capacity == pytest.approx(0.6 * plain.capacity)
    assert 1.0 - 4.0 * math.degrees(math.asin(11.0 / 20.0)) / 360.0 >= 0.6  # what a 20 mm washer keeps over an 11 mm slot


def test_slip_along_a_long_slot():
    set_to = preload("M10", "8.8", proof_share=0.65)
    plain, slot = (slip_check("J", "c", set_to, 0.0, 1000.0, hole_factor=k, state="ultimate") for k in (1.0, 0.63))
    assert slot.capacity == pytest.approx(0.63 * plain.capacity)
    assert plain.capacity == pytest.approx(0.2 * set_to.low_n / 1.25)


def test_box_column_by_hand():
    first, second = COLUMN.inertias_mm4
    assert first == pytest.approx(6.0 * 64.0**3 / 6.0 + 2.0 * (28.0 * 6.0**3 / 12.0 + 28.0 * 6.0 * 23.0**2))
    assert second == pytest.approx(2.0 * (64.0 * 6.0**3 / 12.0 + 64.0 * 6.0 * 17.0**2) + 6.0 * 28.0**3 / 6.0)
    bent = by_name(box_column_checks("S", "c", COLUMN, (0.0, 0.0, 1000.0)))["box column of a standoff"]
    shear = 1.5 * 1000.0 / (2.0 * 6.0 * 64.0)
    assert bent.demand == pytest.approx(math.hypot(2.9 * 1000.0 * 78.0 * 32.0 / first, math.sqrt(3.0) * shear))


def test_saddle_channel_by_hand():
    shape = channel_section(FOOT, LEGS)
    area = (78.0 - 11.0) * 8.0 + 16.0 * 30.0
    assert shape.area_mm2 == pytest.approx(area)
    found = by_name(saddle_checks("S", "c", FOOT, LEGS, (0.0, 1000.0, 0.0)))["saddle's channel between gussets"]
    assert found.demand == pytest.approx(0.75 * 1000.0 * (2.0 * 28.0 - 20.0) / 8.0 / shape.least_mm3)


@pytest.mark.parametrize("force", FORCES)
def test_arrays_agree_with_single_checks(force):
    forces = tuple(np.array([f, 2.0 * f]) for f in force)
    for many, one in (
        (box_column_checks("S", "", COLUMN, forces), box_column_checks("S", "", COLUMN, force)),
        (saddle_checks("S", "", FOOT, LEGS, forces), saddle_checks("S", "", FOOT, LEGS, force)),
    ):
        names = {(c.name, c.part.split(" at ")[0]) for c in one}
        assert names == {(c.name, c.part) for c in many}
        for name, part in names:
            single = max(c.utilisation for c in one if (c.name, c.part.split(" at ")[0]) == (name, part))
            arrays = max(np.max(np.atleast_1d(c.utilisation)[0]) for c in many if (c.name, c.part) == (name, part))
            assert arrays == pytest.approx(single, rel=1e-9)


def test_a_force_that_is_not_a_number_never_passes():
    for force in ((math.nan, 0.0, 0.0), (0.0, math.inf, 0.0), (0.0, 0.0, math.nan)):
        assert not all(c.holds for c in box_column_checks("S", "c", COLUMN, force))
        assert not all(c.holds for c in saddle_checks("S", "c", FOOT, LEGS, force))


def test_twice_the_length_is_softer_by_more_than_half():
    short, long = (
        np.diag(box_column_stiffness(BoxColumn("S275", 8.0, 28.0, 64.0, 6.0, 6.0, n, 3.5, 20.0, 11.0))) for n in (60.0, 120.0)
    )
    assert (long < short).all()
    assert (long[[0, 2]] < short[[0, 2]] / 2.0).all()


def test_sizes_that_make_no_column_or_saddle_are_refused():
    with pytest.raises(DesignError, match="box column"):
        BoxColumn("S275", 8.0, 28.0, 20.0, 6.0, 6.0, 70.0, 3.5, 20.0, 11.0)
    with pytest.raises(DesignError, match="saddle"):
        SaddleLegs(8.0, 0.0, 62.0, 70.0)
