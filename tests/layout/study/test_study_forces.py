"""Sums that must close: forces, moments, masses, axle loads."""

from __future__ import annotations

import numpy as np
import pytest

from layout.balance.items import total
from layout.frames import Array
from layout.study.study import Study

G0 = 9.80665


def expected(study: Study, acceleration_g: tuple[float, float, float]) -> Array:
    return study.pack.mass_kg * G0 * (np.array((0.0, 0.0, -1.0)) - np.array(acceleration_g))


def test_mount_forces_sum_to_mass_times_acceleration(front_study: Study) -> None:
    assert len(front_study.cases) >= 7
    for case in front_study.cases:
        want = expected(front_study, case.case.acceleration_g)
        got = np.sum([r.force_n for r in case.forces], axis=0)
        assert np.linalg.norm(got - want) <= 1e-9 * np.linalg.norm(want), case.case.name


def test_mount_moments_balance_about_the_centroid(front_study: Study) -> None:
    places = {m.name: np.array(m.at_mm) for m in front_study.mounts}
    centre = np.array(front_study.pack.centroid_mm)
    for case in front_study.cases:
        moment = np.sum([np.cross(places[r.name] - centre, r.force_n) for r in case.forces], axis=0)
        scale = np.linalg.norm(expected(front_study, case.case.acceleration_g)) * 500.0
        assert np.linalg.norm(moment) <= 1e-9 * scale, case.case.name


def test_forces_come_in_the_order_of_the_job(front_study: Study) -> None:
    names = [m.name for m in front_study.job.mount_points]
    for case in front_study.cases:
        assert [r.name for r in case.forces] == names


def test_mass_list_adds_up_to_every_total(front_study: Study) -> None:
    pack = sum(i.mass_kg or 0.0 for i in front_study.pack_items)
    added = sum(i.mass_kg or 0.0 for i in front_study.added_items)
    removed = sum(i.mass_kg or 0.0 for i in front_study.removed_items)
    assert pack == pytest.approx(front_study.pack.mass_kg, rel=1e-12)
    assert pack + added == pytest.approx(front_study.balance.added_kg, rel=1e-12)
    assert removed == pytest.approx(front_study.balance.removed_kg, rel=1e-12)
    assert front_study.balance.change_kg == pytest.approx(pack + added - removed, rel=1e-12)


def test_axle_loads_add_up_to_the_vehicle(front_study: Study) -> None:
    before, after = front_study.balance.before.loads, front_study.balance.after.loads
    assert after.total_kg == pytest.approx(before.total_kg + front_study.balance.change_kg, rel=1e-12)


def test_rear_axle_load_by_hand(front_study: Study) -> None:
    """Moments about the front axle, written out: the sign of every item is seen here."""
    vehicle = front_study.job.vehicle
    moment = vehicle.rear_axle_load_kg * vehicle.wheelbase_mm
    items = [(i, 1.0) for i in (*front_study.pack_items, *front_study.added_items)]
    items += [(i, -1.0) for i in front_study.removed_items]
    for item, sign in items:
        moment += sign * (item.mass_kg or 0.0) * -item.centroid_mm[0]
    assert front_study.balance.after.loads.rear_kg == pytest.approx(moment / vehicle.wheelbase_mm, rel=1e-9)


def test_ahead_of_the_axle_against_counting_points(front_study: Study) -> None:
    """The modules' share by cutting equals the share of their length: all lie along x."""
    modules = front_study.arrangement.modules
    share = [min(max(m.extent.max_mm[0], 0.0), 392.0) / 392.0 for m in modules]
    want = sum(s * m.kind.mass_kg for s, m in zip(share, modules, strict=True))
    from layout.balance.items import ahead_of_axle, module_item

    got = ahead_of_axle([module_item(m, front_study.arrangement.frame) for m in modules])
    assert got.kg == pytest.approx(want, rel=1e-9)


def test_pack_centroid_lies_inside_the_pack(front_study: Study) -> None:
    again = total(front_study.pack_items)
    assert again.centroid_mm == pytest.approx(front_study.pack.centroid_mm)
    inside = front_study.arrangement.inside
    assert all(a < c < b for a, c, b in zip(inside.min_mm, again.centroid_mm, inside.max_mm, strict=True))


def test_unknown_sheets_are_flagged_and_never_pass(front_study: Study) -> None:
    unknown = [c for c in front_study.checks if c.utilisation is None]
    places = {c.part.split(" at ")[1] for c in unknown if " at " in c.part}
    assert places == {"rail RH front", "rail LH rear", "rail RH rear"}
    assert not front_study.all_hold
    assert all(not c.holds for c in unknown)


def test_every_check_can_be_recomputed_from_its_own_text(front_study: Study) -> None:
    """What is printed is what was computed: evaluate each formula again from the symbols stored with it."""
    import math

    names = {"sqrt": math.sqrt, "min": min, "max": max, "abs": abs, "pi": math.pi, "g_0": G0}
    seen = 0
    for check in front_study.checks:
        if not check.capacity_formula:
            continue
        values = {q.symbol: q.value for q in check.inputs} | names
        seen += 1
        assert eval(check.demand_formula, {"__builtins__": {}}, values) == pytest.approx(check.demand, rel=1e-12, abs=1e-12)
        assert eval(check.capacity_formula, {"__builtins__": {}}, values) == pytest.approx(check.capacity, rel=1e-12)
    assert seen > 500
