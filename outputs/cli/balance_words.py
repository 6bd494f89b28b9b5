"""Mass and balance as text for the terminal, in the job's own units with the other in brackets."""

from __future__ import annotations

from layout import units
from layout.balance.figures import BalanceFigures
from layout.balance.springs import AxleRide
from layout.balance.states import StateRow
from layout.balance.weighed import Reconciled
from layout.balance.whatif import Worth
from layout.job.model import Job


def kg(job: Job, value: float, digits: int = 1) -> str:
    """A mass in the job's units, the other in brackets."""
    return units.show(value, "mass", job.job.show_in, digits)


def state_lines(job: Job, figures: BalanceFigures) -> list[str]:
    """One row per load state: axles, margins, corners, stability, braking."""
    system = job.job.show_in
    mass, length = units.shown_as("mass", system).unit, units.shown_as("length", system).unit
    heads = (f"front {mass}", "margin", f"rear {mass}", "margin", f"x {length}", "y", "z", "T/2h", f"braking: front {mass}")
    widths = (9, 8, 9, 8, 7, 6, 6, 6, 18)
    lines = ["", "Load states after the conversion (unladen first)"]
    lines.append(f"{'load state':26} " + " ".join(f"{h:>{w}}" for h, w in zip(heads, widths, strict=True)))
    for row in figures.states:
        lines.append(f"{row.name[:26]:26} " + " ".join(f"{c:>{w}}" for c, w in zip(_state(row, system), widths, strict=True)))
        lines += [f"    ! {finding}" for finding in row.after.findings]
    row = figures.states[0]
    c = row.after.corners
    corners = (("front", c.front_left_kg, c.front_right_kg), ("rear", c.rear_left_kg, c.rear_right_kg))
    told = "; ".join(f"{axle} {kg(job, left)} left, {kg(job, right)} right" for axle, left, right in corners)
    lines.append(f"corners unladen: {told} ({c.assumption})")
    before = row.before.standing
    lines.append(
        f"before: front {kg(job, before.loads.front_kg)}, rear {kg(job, before.loads.rear_kg)}; centroid height"
        f" {units.show(before.centroid_mm[2], 'length', system)}, stability figure {row.before.stability:.2f}"
    )
    yaw = figures.yaw
    lines.append(f"yaw inertia changes by {yaw.change_kgm2:+.1f} kg*m2")
    lines.append(
        f"standard deviation of the axle loads after: front {figures.sigma.front_kg:.1f}, rear {figures.sigma.rear_kg:.1f} kg"
    )
    return lines


def _state(row: StateRow, system: units.System) -> tuple[str, ...]:
    """Cells of one load state."""
    a = row.after
    masses = (a.standing.loads.front_kg, a.margins.front_kg, a.standing.loads.rear_kg, a.margins.rear_kg)
    places = (units.number(v, "length", system, 0 if system == "mm" else 1) for v in a.standing.centroid_mm)
    braking = f"{units.number(a.braking.front_kg, 'mass', system)} at {a.braking_g:g} g"
    return (*(units.number(m, "mass", system) for m in masses), *places, f"{a.stability:.2f}", braking)


def ride_lines(figures: BalanceFigures) -> list[str]:
    """Springs: how far the body drops, and what brings it back."""
    rides = [r for r in (figures.ride.front, figures.ride.rear) if r]
    if not rides:
        return []
    lines = ["", "Springs"]
    lines += [_ride(r) for r in rides]
    if figures.ride.pitch_deg is not None:
        lines.append(f"pitch {figures.ride.pitch_deg:+.2f} deg (nose down positive)")
    return lines


def _ride(r: AxleRide) -> str:
    note = "" if r.sprung_known else "; unsprung mass not given, whole axle load taken as sprung"
    return (
        f"{r.axle} axle: drops {r.drop_mm:+.1f} mm; {r.hz_before:.2f} -> {r.hz_after:.2f} Hz; spring that brings it back"
        f" {r.restoring_spring_rate_n_per_mm:.1f} N/mm, or raise the seats by {r.seat_lift_mm:.1f} mm at the wheel{note}"
    )


def electrical_lines(figures: BalanceFigures) -> list[str]:
    """Voltages against the window, energy, charge time, conductors, runs, heat."""
    e = figures.electrical
    inside = [n for n, ok in (("minimum", e.min_inside), ("nominal", e.nominal_inside), ("maximum", e.max_inside)) if ok]
    hours = f"; {e.charge_hours:.1f} h from empty at efficiency {e.charge_efficiency:g}" if e.charge_hours else ""
    low, high = e.window_v
    lines = ["", "Pack as a battery", f"{e.min_v:.1f} / {e.nominal_v:.1f} / {e.max_v:.1f} V minimum / nominal / maximum"]
    lines.append(f"window {low:g} to {high:g} V: inside it lies {', '.join(inside) or 'none of them'}")
    lines.append(f"{e.energy_kwh:.1f} kWh{hours}")
    lines += [f"    ! {f}" for f in e.findings]
    for r in figures.runs:
        lines.append(
            f"run {r.name}: cut {r.cut_mm:.0f} mm (straight {r.straight_mm:.0f}, slack {r.slack_mm:.0f}, {r.bends} bends)"
        )
    for h in figures.heat:
        lines.append(
            f"heat {h.name}: {h.heat_w:.0f} W, plate settles at {h.plate_c:.0f} C, margin {h.margin_k:+.0f} K ({h.note})"
        )
    return lines


def worth_lines(worth: tuple[Worth, ...], most: int = 8) -> list[str]:
    """What moving the heaviest parts does."""
    ranked = sorted(worth, key=lambda w: -abs(w.front_kg_per_m))[:most]
    lines = ["", f"What moving a part does: {'kg on the front axle per metre forward':>20}"]
    return lines + [f"    {w.name[:52]:52} {w.front_kg_per_m:8.2f}" for w in ranked]


def weighed_lines(found: Reconciled) -> list[str]:
    """Scale readings against the list."""
    lines = ["", "As weighed", f"{'reading':24} {'scale':>9} {'list':>9} {'left':>8}"]
    lines += [f"{r.name[:24]:24} {r.reading_kg:9.1f} {r.predicted_kg:9.1f} {r.left_kg:+8.2f}" for r in found.readings]
    return [*lines, found.verdict]


def balance_lines(job: Job, figures: BalanceFigures) -> list[str]:
    """Everything beside the mass list."""
    lines = [*state_lines(job, figures), *ride_lines(figures), *electrical_lines(figures), *worth_lines(figures.worth)]
    if figures.weighed:
        lines += weighed_lines(figures.weighed)
    if figures.height:
        h = figures.height
        lines += ["", f"centroid height by lifting {h.height_mm:.0f} mm +- {h.sigma_mm:.0f}, predicted {h.predicted_mm:.0f} mm"]
        lines += [f"    ! {f}" for f in h.findings]
    return lines
