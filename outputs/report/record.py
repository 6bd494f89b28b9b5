"""What the report prints, as plain data: every figure comes from the Study, none is typed into the template."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from layout import units
from layout.balance.items import MassItem
from layout.checks import Check
from layout.several.cables import cables_of
from layout.several.study import AnyStudy, PackStudy, labelled_boxes
from layout.space.removal import removal_words
from layout.stepped import outline_words
from layout.study.study import CaseForces, Study
from outputs.mounting import bracket_rows, tool_rows
from outputs.report.fe_record import fe_record
from outputs.report.formula import figure, mathematics, symbol
from outputs.report.inside_rows import inside_rows
from outputs.report.sheet_rules import sheet_rules

Data = dict[str, Any]

ASSUMPTIONS = (
    "Pack and vehicle frame are rigid; the pack stands on elastic mounts whose stiffness follows from the brackets' geometry. "
    "Every way of sharing the load that is listed with the cases is checked and the worst kept.",
    "Crash factors are static loads with gravity added as a vector; pulses become static loads by the response of the pack's "
    "modes, each frequency taken over 0.7 to 1.4 of its value, never below the pulse's own peak.",
    "Strengths are the minimum values of the standards named in the tables, reduced beside welds in aluminium.",
    "Bolts below M12 are outside the scope of EN 1993-1-8:2005; its formulas are used as an extension.",
    "The rest of the vehicle's structure is not modelled: only the sheet at each mount point, where it is known.",
    "Fatigue, corrosion, fire, water and the electrical system are not checked here.",
)


WORDS = {"seen": "text seen", "secondary": "seen in a summary", "memory": "from memory", "derived": "derived from mechanics"}


def record(study: AnyStudy, solids: Sequence[str] = ()) -> Data:
    """The whole content of the report. solids: what the examination of the solids found, in sentences."""
    return {
        "job": study.job.job.model_dump(),
        "cover": _cover(study),
        "inputs": _inputs(study),
        "arrangement": _boxes(study) if isinstance(study, PackStudy) else _arrangement(study),
        "brackets": bracket_rows(study),
        "tools": tool_rows(study),
        "mass": _mass(study),
        "cases": [_case(c) for c in study.cases],
        "pulses": [_pulse(p, label) for label, one in labelled_boxes(study) for p in one.pulses],
        "rules": _rules(study),
        "unchecked": _unchecked(study),
        "sheet_rules": sheet_rules(study) | {"solids": list(solids)},
        "fe": None if study.fe is None else fe_record(study.fe),
        "sizing": [_sizing(s) for s in study.sizing],
        "assumptions": list(ASSUMPTIONS),
        "sources": _sources(study),
        "cautions": list(study.all_cautions),
    }


def two(value: float | None) -> str:
    """A utilisation as printed."""
    return "not checked" if value is None else "beyond any" if value == float("inf") else f"{value:.2f}"


def plain(value: float | None) -> str:
    """A figure of a table: four significant digits, never with an exponent below a million."""
    if value is None:
        return ""
    if value in (float("inf"), float("-inf")) or value != value:
        return "-"
    digits = max(0, 3 - int(f"{abs(value):e}".split("e")[1])) if value else 0
    return f"{value:.{min(digits, 4)}f}"


def governing(checks: tuple[Check, ...]) -> list[Check]:
    """Of each check of each part the case that governs, weakest first."""
    best: dict[tuple[str, str], Check] = {}
    for check in checks:
        key = (check.name, check.part)
        if key not in best or _use(check) > _use(best[key]):
            best[key] = check
    return sorted(best.values(), key=_use, reverse=True)


def _use(check: Check) -> float:
    return float("inf") if check.utilisation is None else check.utilisation


def _cover(study: AnyStudy) -> Data:
    made = [c for c in study.checks if c.utilisation is not None]
    ranked = [c for c in governing(study.checks) if c.utilisation is not None]
    vehicle = study.job.vehicle

    def show(mass_kg: float) -> str:
        return units.show(mass_kg, "mass", study.job.job.show_in)

    return {
        "made": len(made),
        "held": sum(c.holds for c in made),
        "not_held": sum(not c.holds for c in made),
        "not_checked": len(_unchecked(study)),
        "ratings": "within the ratings of both axles" if study.balance.ratings_held else "NOT within the ratings: see balance",
        "against": sorted({str(c.case.source) for c in study.cases}),
        "weakest": [
            {"use": two(c.utilisation), "name": c.name, "part": c.part, "case": c.case, "source": str(c.source)}
            for c in ranked[:5]
        ],
        "figures": [
            ["modules placed", f"{len(study.arrangement.modules)} of at most {study.fit.search.upper_bound}"],
            ["mass of the pack", show(study.pack.mass_kg)],
            ["change of the vehicle", show(study.balance.change_kg)],
            ["pack ahead of the axle", f"{show(study.ahead.kg)}, {100 * study.ahead.share:.0f} %"],
            ["front axle after", f"{show(study.balance.after.loads.front_kg)}, rated {show(vehicle.front_axle_rating_kg)}"],
            ["rear axle after", f"{show(study.balance.after.loads.rear_kg)}, rated {show(vehicle.rear_axle_rating_kg)}"],
        ],
    }


def _inputs(study: AnyStudy) -> list[list[str]]:
    job, v = study.job, study.job.vehicle

    def show(value: float, kind: str = "mass") -> str:
        return units.show(value, kind, job.job.show_in)

    rows = [
        ["reference axle", v.reference_axle, "job file"],
        ["wheelbase, track", f"{show(v.wheelbase_mm, 'length')}, {show(v.track_mm, 'length')}", "job file"],
        ["axle loads before", f"front {show(v.front_axle_load_kg)}, rear {show(v.rear_axle_load_kg)}", "weighed, job file"],
        ["axle ratings", f"front {show(v.front_axle_rating_kg)}, rear {show(v.rear_axle_rating_kg)}", "job file"],
    ]
    for m in job.modules:
        size = " x ".join(f"{s:g}" for s in m.size_mm)
        rows.append(
            [f"module {m.name}", f"{size} mm, {m.mass_kg:g} kg, {m.nominal_voltage_v:g} V, {m.energy_kwh:g} kWh", "job file"]
        )
    for p in job.mount_points:
        sheet = f"{p.sheet.material}, {p.sheet.thickness_mm:g} mm" if p.sheet else "metal NOT KNOWN"
        place = ", ".join(f"{c:g}" for c in p.at_mm)
        rows.append([f"mount {p.name}", f"({place}) mm, {p.thread}, {p.fixing}, {sheet}", "job file"])
    rows.append(["box", f"{job.box.material}, {job.box.sheet_mm:g} mm, {job.box.construction}", "job file"])
    rows.append(["brackets", f"{job.bracket.material}, bolts {job.bracket.bolt_class}", "job file"])
    for label, one in labelled_boxes(study):
        rows += [[label + what, *rest] for what, *rest in (*inside_rows(one), *_equipment(one))]
    return rows


def _equipment(study: Study) -> list[list[str]]:
    """Equipment with its feet, what holds it, its cover; lifting points."""
    carriers, rows = study.box.carriers, []
    held = {f.name: f"screwed to uprights of the {f.wall} wall" for f in carriers.fixtures}
    held |= {f.name: "screwed to tapped pads welded on the lid" for f in study.box.lid_mounts.fixtures}
    held |= {c.name: f"carried by its cover in the {c.wall} wall" for c in study.box.covers if c.feet_mm}
    for e in study.job.equipment:
        feet = f"{len(e.fixing.pattern_mm)} feet, {e.fixing.bolt}" if e.fixing else "feet NOT KNOWN"
        size = " x ".join(f"{s:g}" for s in e.size_mm)
        how = held.get(e.name, "not fixed")
        rows.append([f"equipment {e.name}", f"{size} mm, {e.mass_kg:g} kg, {e.where}, {feet}: {how}", "job file"])
    for c in study.box.covers:
        w, h = c.size_mm
        rows.append([f"cover of {c.name}", f"{w:.0f} x {h:.0f} mm clear in the {c.wall} wall", "designed"])
    if carriers.lifting:
        walls = " and ".join(sorted({p.wall for p in carriers.lifting}))
        what = f"{len(carriers.lifting)} for eyes {carriers.lifting[0].size}, {walls} walls"
        rows.append(["lifting points", what, "designed"])
    return rows


def _arrangement(study: Study) -> Data:
    frame = study.arrangement.frame
    outer = study.box.shell.outermost(study.box.inside).seen_from(frame)
    path = study.fit.insertions[study.fit.number - 1]
    search = study.fit.search
    return {
        "modules": [
            [m.id, m.kind.name, m.up, m.terminals, ", ".join(f"{c:.1f}" for c in frame.point(m.pose.origin_mm))]
            for m in study.arrangement.modules
        ],
        "box": " x ".join(f"{s:.0f}" for s in outer.size_mm),
        "outline": outline_words(study.arrangement.inside),
        "search_note": search.note,
        "from": ", ".join(f"{c:.0f}" for c in outer.min_mm),
        "to": ", ".join(f"{c:.0f}" for c in outer.max_mm),
        "proof": search.verdict,
        "insertion": path.note or ("possible" if path.possible else "not possible"),
        "insertion_possible": path.possible,
        "removal": removal_words(study.fit.lifts[study.fit.number - 1]) or "not found",
        "best_at": ", ".join(study.arrangement.best_at),
    }


def _boxes(study: PackStudy) -> Data:
    """The arrangement of several boxes: what holds for all, and each box as a single one is told."""
    pack, ways = study.arrangement, study.fit.ways[study.fit.number - 1]
    return {
        "proof": study.fit.search.verdict,
        "search_note": study.fit.search.note,
        "best_at": ", ".join(pack.best_at),
        "cut": pack.cut,
        "cables": [f"{c.name.capitalize()} between boxes runs {c.words}." for c in cables_of(study.job, pack)],
        "insertion": ways.words,
        "insertion_possible": ways.possible,
        "boxes": [_one_box(prefix, one) for prefix, one in study.boxes],
    }


def _one_box(prefix: str, box: Study) -> Data:
    told = _arrangement(box)
    modules = [[f"{prefix}-{name}", *rest] for name, *rest in told["modules"]]
    mounts = ", ".join(m.name for m in box.mounts)
    return {**told, "name": prefix, "modules": modules, "mass": f"{box.pack.mass_kg:.1f} kg", "mounts": mounts}


def _line(item: MassItem, system: units.System, sign: float = 1.0, prefix: str = "") -> list[str]:
    mass = "unknown" if item.mass_kg is None else both(sign * item.mass_kg, system)
    return [prefix + item.name, mass, *(f"{c:.0f}" for c in item.centroid_mm), item.source]


def both(value_kg: float, system: units.System, decimals: int = 2) -> str:
    """A mass in the job's unit, the other in brackets, without unit names (they stand in the head)."""
    other: units.System = "in" if system == "mm" else "mm"
    return f"{units.number(value_kg, 'mass', system, decimals)} ({units.number(value_kg, 'mass', other, decimals)})"


def _mass(study: AnyStudy) -> Data:
    b = study.balance
    items = [*study.pack_items, *study.added_items]
    small = [i for i in items if i.mass_kg is not None and i.mass_kg < 0.1]
    system: units.System = study.job.job.show_in
    rows = [_line(i, system) for i in items if i not in small]
    together = sum(i.mass_kg or 0.0 for i in small)
    rows.append([f"{len(small)} items below 0.1 kg each", both(together, system), "", "", "", "see lists"])
    rows += [_line(i, system, -1.0, "removed: ") for i in study.removed_items]
    states = [
        [
            r.name, both(r.after.standing.loads.front_kg, system, 1), both(r.after.margins.front_kg, system, 1),
            both(r.after.standing.loads.rear_kg, system, 1), both(r.after.margins.rear_kg, system, 1),
            f"{r.after.stability:.2f}",
        ]
        for r in study.figures.states
    ]  # fmt: skip
    return {
        "rows": rows,
        "unit": "kg (lb)" if system == "mm" else "lb (kg)",
        "totals": [
            ["pack", both(study.pack.mass_kg, system), *(f"{c:.0f}" for c in study.pack.centroid_mm)],
            ["added", both(b.added_kg, system), "", "", ""],
            ["removed", both(b.removed_kg, system), "", "", ""],
            ["change of the vehicle", both(b.change_kg, system), "", "", ""],
        ],
        "axles": [
            [name, both(loads.front_kg, system, 1), both(loads.rear_kg, system, 1), both(loads.total_kg, system, 1)]
            for name, loads in (("before", b.before.loads), ("after", b.after.loads))
        ]
        + [["below rating", both(b.margins.front_kg, system, 1), both(b.margins.rear_kg, system, 1), ""]],
        "states": states,
        "ahead": f"{units.show(study.ahead.kg, 'mass', system)}, {100 * study.ahead.share:.1f} % of the pack,"
        " found by cutting every body at x = 0",
        "findings": list(b.findings),
    }


def _case(c: CaseForces) -> Data:
    return {
        "name": c.case.name,
        "group": c.case.group,
        "acceleration": ", ".join(f"{a:g}" for a in (round(v, 4) for v in c.case.acceleration_g)),
        "source": str(c.case.source),
        "note": c.case.note,
        "forces": [[r.name, *(f"{f:.0f}" for f in r.force_n)] for r in c.forces],
        "sum": [f"{sum(r.force_n[i] for r in c.forces):.0f}" for i in range(3)],
    }


def _pulse(p: Any, label: str) -> Data:
    return {
        "name": f"{label}{p.named.direction}: {p.named.pulse.name}",
        "peak": f"{p.named.pulse.peak_g:.2f}",
        "equivalent": f"{p.equivalent_g:.2f}",
        "rebound": f"{p.rebound_equivalent_g:.2f}",
        "main": f"{p.main_hz:.1f}",
        "modes": ", ".join(f"{f:.0f}" for f in p.mode_hz),
        "damping": f"{p.damping:g}",
        "source": str(p.named.source),
        "cautions": list(p.cautions),
    }


def _rules(study: AnyStudy) -> list[Data]:
    """One entry per rule: its formula and symbols once, then every part with the case that governs it."""
    rules: dict[tuple[str, str], list[Check]] = {}
    for check in governing(study.checks):
        if check.utilisation is not None:
            rules.setdefault((check.name, check.capacity_formula), []).append(check)
    return [_rule(name, checks) for (name, _), checks in rules.items()]


def _rule(name: str, checks: list[Check]) -> Data:
    worst = checks[0]
    values = {q.symbol: q.value for q in worst.inputs}
    return {
        "name": name,
        "source": str(worst.source),
        "unit": worst.unit,
        "demand": mathematics(worst.demand_formula) if worst.demand_formula else "",
        "capacity": mathematics(worst.capacity_formula) if worst.capacity_formula else "",
        "demand_inserted": mathematics(worst.demand_formula, values) if worst.demand_formula else "",
        "capacity_inserted": mathematics(worst.capacity_formula, values) if worst.capacity_formula else "",
        "demand_value": figure(worst.demand),
        "capacity_value": figure(worst.capacity or 0.0),
        "symbols": [[symbol(q.symbol), figure(q.value), q.unit, q.meaning] for q in worst.inputs],
        "worst": f"{worst.part}, {worst.case}",
        "rows": [[c.part, c.case, plain(c.demand), plain(c.capacity), two(c.utilisation), c.holds] for c in checks],
        "notes": sorted({c.note for c in checks if c.note}),
    }


def _unchecked(study: AnyStudy) -> list[list[str]]:
    found = {(c.part, c.name, c.note) for c in study.checks if c.utilisation is None}
    return [list(row) for row in sorted(found)]


def _sizing(s: Any) -> list[str]:
    size = f"{s.value_mm:g}" if s.what.startswith("rows") else f"{s.value_mm:g} mm"
    driver = f"{s.driver} ({s.with_sizes})" if s.with_sizes else s.driver
    if s.utilisation is None:
        return [s.what, size, "-", driver, "", "cannot be made"]
    return [s.what, size, two(s.utilisation), driver, f"{s.pack_kg:.1f} kg", "taken" if s.taken else ""]


def _sources(study: AnyStudy) -> list[list[str]]:
    used = {(c.source.text, WORDS[c.source.seen]) for c in study.checks if c.utilisation is not None}
    used |= {(c.case.source.text, WORDS[c.case.source.seen]) for c in study.cases}
    return [list(row) for row in sorted(used)]
