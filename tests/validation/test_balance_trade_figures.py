"""Published figures for springs and conductors, and facts of the trade.

Sources:
- Springs: a public calculator's worked example: 50 N/mm, motion ratio 0.75, 350 kg sprung at the corner: 28.1 N/mm at the
  wheel, 1.43 Hz (text seen). Static deflection rule f = 15.76 / sqrt(deflection in mm) (vibration handbooks, from memory).
- Busbars: Copper Development Association publication 22, Copper for Busbars, section 10 (text seen): 50 mm rod 2360 A.
- k of the adiabatic equation: IEC 60364-5-54 / BS 7671 values as tabulated on a public page (seen): copper 143 and aluminium 94
  (90 to 250 C), 115 and 76 (70 to 160 C), 141 and 93 (60 to 200 C).
- Common practice, no source: petrol weighs about 6 lb per US gallon; with a 250 lb engine a 10 gallon tank makes 310 lb that
  leave. In come motor 120 lb, controller with its cold plate 15 lb, 55 lb per module, 20 lb for the box. A 32 kWh pack on a
  3.3 kW charger takes 9 to 10 hours from empty. Strings of six or seven modules of six cells each serve a controller with a
  window of 150 to 175 V.
- Cell voltages 3.0 / 3.7 / 4.2 V (lithium-ion with a carbon anode; from memory).
"""

import math

import numpy as np
import pytest

from layout.balance.axles import axle_loads
from layout.balance.bodies import box_body
from layout.balance.electrical import CONDUCTORS, adiabatic_k, round_rating_a, string_figures
from layout.balance.items import MassItem, ahead_of_axle, body_item, total
from layout.balance.springs import axle_ride
from layout.frames import Extent
from layout.job.module import ModuleType, Pack
from layout.job.vehicle import AxleSpring, MassEntry, Vehicle

POUND, INCH = 0.45359237, 25.4


def test_wheel_rate_and_ride_frequency_of_a_published_example():
    spring = AxleSpring(spring_rate="50 N/mm", motion_ratio=0.75, unsprung="80 kg")
    ride = axle_ride("front", spring, 2 * 350.0 + 80.0, 2 * 350.0 + 80.0)
    assert ride.wheel_rate_n_per_mm == pytest.approx(28.13, abs=0.01)
    assert ride.hz_before == pytest.approx(1.43, abs=0.005)


def test_frequency_follows_the_static_deflection_rule():
    spring = AxleSpring(wheel_rate="17.3 N/mm")
    ride = axle_ride("rear", spring, 412.0, 455.0)
    deflection = 455.0 * 9.80665 / (2.0 * 17.3)
    assert ride.hz_after == pytest.approx(15.76 / math.sqrt(deflection), rel=1e-3)


def test_busbar_rating_of_the_published_example():
    assert round_rating_a(CONDUCTORS["copper"], math.pi / 4 * 50.0**2, 40.0, 50.0) == pytest.approx(2360.0, rel=0.003)


@pytest.mark.parametrize(
    ("start_c", "end_c", "copper", "aluminium"), [(90, 250, 143, 94), (70, 160, 115, 76), (60, 200, 141, 93)]
)
def test_adiabatic_factors_of_the_tables(start_c, end_c, copper, aluminium):
    assert adiabatic_k(CONDUCTORS["copper"], start_c, end_c) == pytest.approx(copper, abs=0.6)
    assert adiabatic_k(CONDUCTORS["aluminium"], start_c, end_c) == pytest.approx(aluminium, abs=0.6)


def pounds(name: str, lb: float) -> MassItem:
    entry = MassEntry(name=name, mass=f"{lb:g} lb", at=[0, 0, 400])
    return MassItem(name, entry.mass_kg, entry.at_mm)


def trade_list(modules: int) -> list[MassItem]:
    return [
        pounds("motor", 120),
        pounds("controller with cold plate", 15),
        *(pounds(f"module {k + 1}", 55) for k in range(modules)),
        pounds("box", 20),
    ]


def test_full_tank_and_what_leaves():
    out = [pounds("engine", 250), pounds("fuel, 10 US gallons", 6 * 10)]
    assert total(out).mass_kg / POUND == pytest.approx(310.0)


@pytest.mark.parametrize(("modules", "comes_in_lb", "change_lb"), [(6, 485.0, 175.0), (7, 540.0, 230.0)])
def test_itemised_list_shows_the_number_of_modules(modules, comes_in_lb, change_lb):
    vehicle = Vehicle(
        reference_axle="rear",
        wheelbase="94.5 in",
        track="54 in",
        front_axle_load="1000 lb",
        rear_axle_load="1300 lb",
        front_axle_rating="2000 lb",
        rear_axle_rating="2500 lb",
        cg_height="22 in",
    )
    out = [pounds("engine", 250), pounds("fuel, 10 US gallons", 60)]
    balance = axle_loads(vehicle, out, trade_list(modules))
    assert balance.added_kg / POUND == pytest.approx(comes_in_lb)
    assert balance.change_kg / POUND == pytest.approx(change_lb)


def test_seven_module_figure_for_six_modules_is_one_module_wrong():
    """The account quotes 540 lb for six modules; the list of six sums to one module less."""
    assert 540.0 - total(trade_list(6)).mass_kg / POUND == pytest.approx(55.0)


def module(cells: int) -> ModuleType:
    return ModuleType(
        name=f"{cells}s",
        size=[300, 150, 110],
        mass=25,
        terminal_face="+x",
        available=20,
        nominal_voltage=3.7 * cells,
        max_voltage=4.2 * cells,
        min_voltage=3.0 * cells,
        energy=32.0 / 7.0,
    )


def test_charge_time_of_the_account():
    pack = Pack(count=7, series=7, voltage_window=[150, 175], charger_power=3.3, charge_efficiency=1.0)
    figures = string_figures([module(6)] * 7, pack)
    assert figures.energy_kwh == pytest.approx(32.0)
    assert figures.charge_hours is not None
    assert 9.0 <= figures.charge_hours <= 10.0
    lossy = string_figures([module(6)] * 7, pack.model_copy(update={"charge_efficiency": 0.9}))
    assert lossy.charge_hours == pytest.approx(figures.charge_hours / 0.9)


@pytest.mark.parametrize(
    ("count", "volts", "inside"),
    [(6, (108.0, 133.2, 151.2), (False, False, True)), (7, (126.0, 155.4, 176.4), (False, True, False))],
)
def test_which_voltage_lies_in_the_window(count, volts, inside):
    pack = Pack(count=count, series=count, voltage_window=[150, 175])
    found = string_figures([module(6)] * count, pack)
    assert (found.min_v, found.nominal_v, found.max_v) == pytest.approx(volts)
    assert (found.min_inside, found.nominal_inside, found.max_inside) == inside
    assert len(found.findings) == 2


def test_a_third_ahead_or_over_the_axle_against_an_engine_behind_it():
    """Nearly a third of the battery lies ahead of or over the axle in the account, the engine about 12 in behind it.

    A row of equal modules, each cut: with one third of its length ahead of the plane one third of its mass lies there, though
    the common centroid lies behind the axle, as the engine's did.
    """
    length = 7 * 150.0
    row = [
        body_item(
            f"module {k}",
            box_body(Extent((length / 3 - 150.0 * (k + 1), -150, 300), (length / 3 - 150.0 * k, 150, 410))),
            weighed_kg=25.0,
        )
        for k in range(7)
    ]
    assert ahead_of_axle(row).share == pytest.approx(1 / 3)
    assert total(row).centroid_mm[0] < 0.0
    by_centroid = np.mean([i.centroid_mm[0] > 0.0 for i in row])
    assert by_centroid != pytest.approx(1 / 3, abs=0.03)
    assert ahead_of_axle([MassItem("engine", 113.4, (-12 * INCH, 0.0, 500.0))]).kg == 0.0
