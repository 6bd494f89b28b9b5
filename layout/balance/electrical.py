"""Figures of the pack as a battery: voltages against the window, energy, charge time, current, link cross-section."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from layout.job.model import Job
from layout.job.module import ModuleType, Pack
from layout.job.wiring import Wiring

STANDARD_SECTIONS_MM2 = (1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 70.0, 95.0, 120.0, 150.0, 185.0, 240.0, 300.0)
"""Nominal cross-sections of conductors, IEC 60228 (from memory)."""


@dataclass(frozen=True)
class PackFigures:
    """The pack's electrical figures. charge_hours: None without a charger. *_inside: that voltage against the window.

    energy_kwh: what the string can give; with modules of unlike capacity the smallest one limits it (limited_by names it).
    """

    nominal_v: float
    max_v: float
    min_v: float
    window_v: tuple[float, float]
    min_inside: bool
    nominal_inside: bool
    max_inside: bool
    energy_kwh: float
    capacity_ah: float
    charge_hours: float | None
    charge_efficiency: float
    limited_by: str
    findings: tuple[str, ...]


def string_figures(string: Sequence[ModuleType], pack: Pack) -> PackFigures:
    """Figures of `parallel` equal strings. string: the modules in series, in order.

    charge hours = energy / (charger power * efficiency), constant power from empty to full: the taper at the end is not in it.
    Raises ValueError for an empty string.
    """
    if not string:
        msg = "no module in series: there is no voltage"
        raise ValueError(msg)
    nominal = sum(m.nominal_voltage_v for m in string)
    highest = sum(m.max_voltage_v for m in string)
    lowest = sum(m.min_voltage_v for m in string)
    capacities = [1000.0 * m.energy_kwh / m.nominal_voltage_v for m in string]
    smallest = min(capacities)
    alike = max(capacities) - smallest <= 1e-9 * smallest
    energy = pack.parallel * (sum(m.energy_kwh for m in string) if alike else smallest * nominal / 1000.0)
    low, high = pack.voltage_window_v
    hours = None if pack.charger_power_kw is None else energy / (pack.charger_power_kw * pack.charge_efficiency)
    return PackFigures(
        nominal_v=nominal,
        max_v=highest,
        min_v=lowest,
        window_v=(low, high),
        min_inside=low <= lowest <= high,
        nominal_inside=low <= nominal <= high,
        max_inside=low <= highest <= high,
        energy_kwh=energy,
        capacity_ah=smallest * pack.parallel,
        charge_hours=hours,
        charge_efficiency=pack.charge_efficiency,
        limited_by="" if alike else string[capacities.index(smallest)].name,
        findings=_window_findings((lowest, nominal, highest), (low, high)),
    )


def pack_figures(job: Job, count: int, kinds: Sequence[ModuleType] | None = None) -> PackFigures:
    """Figures of the pack as built: `series` times `parallel` of the placed modules. count: how many were placed.

    kinds: their types in the order they are wired, string after string; without it all are of the job's first type.
    Findings say where the count does not make whole strings, and where strings in parallel differ in voltage.
    """
    pack = job.pack
    wired = list(kinds) if kinds is not None else [job.modules[0]] * count
    series, needed = pack.series, pack.series * pack.parallel
    findings = []
    if count < needed:
        findings.append(f"{count} modules do not make {pack.parallel} x {series}: {needed - count} are missing")
        wired += [wired[-1] if wired else job.modules[0]] * (needed - len(wired))
    elif count > needed:
        findings.append(f"{count - needed} of {count} modules are in no string: series times parallel is {needed}")
    strings = [wired[k * series : (k + 1) * series] for k in range(pack.parallel)]
    figures = string_figures(strings[0], pack)
    volts = [sum(m.nominal_voltage_v for m in s) for s in strings]
    if max(volts) - min(volts) > 1e-9 * max(volts):
        findings.append(f"strings in parallel of {min(volts):.1f} V and {max(volts):.1f} V nominal: they must not be joined")
    return replace(figures, findings=(*figures.findings, *findings))


def _window_findings(volts: tuple[float, float, float], window: tuple[float, float]) -> tuple[str, ...]:
    found = []
    for name, value in zip(("minimum", "nominal", "maximum"), volts, strict=True):
        if value < window[0]:
            found.append(f"{name} voltage {value:.1f} V lies {window[0] - value:.1f} V below the window")
        if value > window[1]:
            found.append(f"{name} voltage {value:.1f} V lies {value - window[1]:.1f} V above the window")
    return tuple(found)


@dataclass(frozen=True)
class Conductor:
    """Material of a link. resistivity_ohm_mm at 20 C; alpha_per_k at 20 C; heat_j_per_k_mm3; beta_c of the adiabatic formula.

    Sources: IEC 60949 / IEC 60364-5-54 Annex A constants (from memory; the k factors they give were seen in a table).
    """

    name: str
    resistivity_ohm_mm: float
    alpha_per_k: float
    heat_j_per_k_mm3: float
    beta_c: float


CONDUCTORS = {
    "copper": Conductor("copper", 17.241e-6, 3.93e-3, 3.45e-3, 234.5),
    "aluminium": Conductor("aluminium", 28.264e-6, 4.03e-3, 2.5e-3, 228.0),
}


def adiabatic_k(conductor: Conductor, start_c: float, end_c: float) -> float:
    """k in A s^0.5 / mm2: heat kept in the conductor, k = sqrt(Q (beta + 20) / rho_20 ln((beta + end) / (beta + start)))."""
    gain = math.log((conductor.beta_c + end_c) / (conductor.beta_c + start_c))
    return math.sqrt(conductor.heat_j_per_k_mm3 * (conductor.beta_c + 20.0) / conductor.resistivity_ohm_mm * gain)


def round_rating_a(conductor: Conductor, section_mm2: float, ambient_c: float, rise_k: float) -> float:
    """Continuous direct current of a bare round conductor in still air, for a rise over an ambient.

    Copper Development Association publication 22, Copper for Busbars (1996), formula seen: I = 8.63 A^0.5 p^0.36 for
    50 K over 40 C. For another rise and ambient the heat given off goes with rise^1.25 (natural convection of small
    bodies; radiation goes faster) and the resistance with temperature: a simple balance, not a type test.
    """
    perimeter = 2.0 * math.sqrt(math.pi * section_mm2)
    base = 8.63 * math.sqrt(section_mm2) * perimeter**0.36
    copper = CONDUCTORS["copper"]
    hot = conductor.resistivity_ohm_mm * (1.0 + conductor.alpha_per_k * (ambient_c + rise_k - 20.0))
    reference = copper.resistivity_ohm_mm * (1.0 + copper.alpha_per_k * (90.0 - 20.0))
    return base * math.sqrt((rise_k / 50.0) ** 1.25 * reference / hot)


@dataclass(frozen=True)
class Links:
    """Currents and the conductors between the modules.

    continuous_a at nominal voltage, worst_a at the least voltage (sag under load not in it), peak_a the same at peak power.
    section_mm2: the least standard one for the worst continuous current and the peak; rating_a of the chosen or that section.
    """

    continuous_a: float
    worst_a: float
    peak_a: float | None
    section_mm2: float | None
    chosen_mm2: float | None
    rating_a: float | None
    ohm_per_m: float | None
    findings: tuple[str, ...]


def links(figures: PackFigures, parallel: int, wiring: Wiring) -> Links:
    """Current per string and the cross-section of its links: simple, flagged so; insulation and bundling reduce it further.

    Continuous: round_rating_a at the least voltage. Peak: on top of that temperature, heat kept in the conductor for the peak's
    time may add no more than the same rise again.
    """
    conductor = CONDUCTORS[wiring.conductor]
    power = 1000.0 * wiring.continuous_power_kw / parallel
    peak = None if wiring.peak_power_kw is None else 1000.0 * wiring.peak_power_kw / parallel / figures.min_v
    worst = power / figures.min_v
    needed = _least_section(conductor, wiring, worst, peak)
    used = wiring.section_mm2 if wiring.section_mm2 is not None else needed
    rating = None if used is None else round_rating_a(conductor, used, wiring.ambient_c, wiring.rise_k)
    warm = wiring.ambient_c + wiring.rise_k
    rho = conductor.resistivity_ohm_mm * (1.0 + conductor.alpha_per_k * (warm - 20.0))
    findings = ["simple heat balance of a bare round conductor in still air: insulation, bundling and terminals not in it"]
    if needed is None:
        findings.append(f"no standard section up to {STANDARD_SECTIONS_MM2[-1]:.0f} mm2 carries {worst:.0f} A")
    if wiring.section_mm2 is not None and needed is not None and wiring.section_mm2 < needed:
        findings.append(f"links of {wiring.section_mm2:g} mm2 where {needed:g} mm2 come out of this balance")
    return Links(
        power / figures.nominal_v,
        worst,
        peak,
        needed,
        wiring.section_mm2,
        rating,
        None if used is None else 1000.0 * rho / used,
        tuple(findings),
    )


def _least_section(conductor: Conductor, wiring: Wiring, worst_a: float, peak_a: float | None) -> float | None:
    warm = wiring.ambient_c + wiring.rise_k
    for section in STANDARD_SECTIONS_MM2:
        holds = round_rating_a(conductor, section, wiring.ambient_c, wiring.rise_k) >= worst_a
        if holds and peak_a is not None and wiring.peak_time_s is not None:
            k = adiabatic_k(conductor, warm, warm + wiring.rise_k)
            extra = math.sqrt(max(0.0, peak_a**2 - worst_a**2))
            holds = section * k / math.sqrt(wiring.peak_time_s) >= extra
        if holds:
            return section
    return None
