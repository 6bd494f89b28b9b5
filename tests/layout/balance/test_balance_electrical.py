import math

import pytest

from layout.balance.electrical import (
    CONDUCTORS,
    STANDARD_SECTIONS_MM2,
    adiabatic_k,
    links,
    pack_figures,
    round_rating_a,
    string_figures,
)
from layout.job.wiring import Wiring


def test_series_string_against_the_window(job):
    found = pack_figures(job, 8)
    assert (found.min_v, found.nominal_v, found.max_v) == pytest.approx((144.0, 177.6, 201.6))
    assert (found.min_inside, found.nominal_inside, found.max_inside) == (True, True, True)
    assert found.energy_kwh == pytest.approx(16.0)
    assert found.charge_hours == pytest.approx(16.0 / (3.0 * 0.9))
    assert found.charge_efficiency == 0.9
    assert found.findings == ()


def test_voltages_outside_are_named_with_the_figure(job):
    narrow = job.model_copy(update={"pack": job.pack.model_copy(update={"voltage_window_v": (150.0, 175.0)})})
    found = pack_figures(narrow, 8)
    assert (found.min_inside, found.nominal_inside, found.max_inside) == (False, False, False)
    assert found.findings == (
        "minimum voltage 144.0 V lies 6.0 V below the window",
        "nominal voltage 177.6 V lies 2.6 V above the window",
        "maximum voltage 201.6 V lies 26.6 V above the window",
    )


def test_parallel_strings_add_energy_not_voltage(job):
    pack = job.pack.model_copy(update={"parallel": 2, "charger_power_kw": None})
    found = pack_figures(job.model_copy(update={"pack": pack}), 16)
    assert found.nominal_v == pytest.approx(177.6)
    assert found.energy_kwh == pytest.approx(32.0)
    assert found.capacity_ah == pytest.approx(2.0 * 2000.0 / 22.2)
    assert found.charge_hours is None


def test_counts_that_make_no_whole_string_are_said(job):
    assert "2 are missing" in pack_figures(job, 6).findings[-1]
    assert "3 of 11 modules are in no string" in pack_figures(job, 11).findings[-1]


def test_the_smallest_module_limits_a_mixed_string(job):
    slab, brick = job.modules
    found = string_figures([slab, brick], job.pack.model_copy(update={"series": 2}))
    assert found.limited_by == "slab"
    assert found.capacity_ah == pytest.approx(2000.0 / 22.2)
    assert found.energy_kwh == pytest.approx(2.0 / 22.2 * 33.3)
    two = job.model_copy(update={"pack": job.pack.model_copy(update={"series": 2, "parallel": 2})})
    unlike = pack_figures(two, 4, [slab, slab, brick, brick])
    assert "must not be joined" in unlike.findings[-1]
    with pytest.raises(ValueError, match="no module in series"):
        string_figures([], job.pack)


def test_currents_and_sections(job):
    figures = pack_figures(job, 8)
    wiring = Wiring(continuous_power=20, peak_power=60, peak_time="30 s", section_mm2=10)
    found = links(figures, 1, wiring)
    assert found.continuous_a == pytest.approx(20_000 / 177.6)
    assert found.worst_a == pytest.approx(20_000 / 144.0)
    assert found.peak_a == pytest.approx(60_000 / 144.0)
    copper = CONDUCTORS["copper"]
    assert found.section_mm2 in STANDARD_SECTIONS_MM2
    below = [s for s in STANDARD_SECTIONS_MM2 if s < found.section_mm2][-1]
    assert round_rating_a(copper, found.section_mm2, 40.0, 40.0) >= found.worst_a

    def hold(section: float) -> bool:
        extra = math.sqrt(found.peak_a**2 - found.worst_a**2)
        warmed = section * adiabatic_k(copper, 80.0, 120.0) >= extra * math.sqrt(30.0)
        return warmed and round_rating_a(copper, section, 40.0, 40.0) >= found.worst_a

    assert hold(found.section_mm2)
    assert not hold(below)
    assert any("10 mm2 where" in f for f in found.findings)
    assert any("simple" in f for f in found.findings)
    assert links(figures, 2, wiring).worst_a == pytest.approx(found.worst_a / 2.0)


def test_no_section_is_said_and_aluminium_needs_more(job):
    figures = pack_figures(job, 8)
    huge = links(figures, 1, Wiring(continuous_power=400))
    assert huge.section_mm2 is None
    assert "no standard section" in huge.findings[1]
    copper = links(figures, 1, Wiring(continuous_power=30)).section_mm2
    aluminium = links(figures, 1, Wiring(continuous_power=30, conductor="aluminium")).section_mm2
    assert copper is not None
    assert aluminium is not None
    assert aluminium > copper
    with pytest.raises(ValueError, match="belong together"):
        Wiring(continuous_power=20, peak_power=60)


def test_rating_falls_with_ambient_and_rises_with_allowed_rise():
    copper = CONDUCTORS["copper"]
    assert round_rating_a(copper, 50.0, 60.0, 40.0) < round_rating_a(copper, 50.0, 40.0, 40.0)
    assert round_rating_a(copper, 50.0, 40.0, 60.0) > round_rating_a(copper, 50.0, 40.0, 40.0)
