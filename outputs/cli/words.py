"""Results as text for the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from layout import units
from layout.balance.items import MassItem
from layout.cautions import CAUTIONS
from layout.checks import Check
from layout.errors import Problem
from outputs.cli.fe_words import fe_lines

if TYPE_CHECKING:  # slow to import
    from layout.several.study import AnyStudy


def five_figures(study: AnyStudy) -> list[str]:
    """What a user wants first: modules, mass, mass ahead of the axle, axle loads, the weakest item."""
    search, balance = study.fit.search, study.balance
    worst = next((c for c in study.ranked_checks if c.utilisation is not None), None)
    unknown = len({(c.part, c.name) for c in study.checks if c.utilisation is None})
    after, rating = balance.after.loads, study.job.vehicle

    def show(mass_kg: float) -> str:
        return units.show(mass_kg, "mass", study.job.job.show_in)

    lines = [
        f"modules        {search.verdict}",
        f"pack mass      {show(study.pack.mass_kg)}; change of the vehicle {show(balance.change_kg)}",
        f"ahead of axle  {show(study.ahead.kg)} of the pack ({100.0 * study.ahead.share:.0f} %)",
        f"axle loads     front {show(after.front_kg)} of {show(rating.front_axle_rating_kg)},"
        f" rear {show(after.rear_kg)} of {show(rating.rear_axle_rating_kg)}"
        f" ({'within' if balance.ratings_held else 'NOT within'} the ratings)",
        "weakest item   " + (check_line(worst) if worst else "nothing could be checked"),
    ]
    if unknown:
        lines.append(f"not checked    {unknown} item(s) for want of data: see loads.not_checked; they do not count as held")
    return lines


def check_line(check: Check) -> str:
    """One check in one line."""
    use = check.utilisation
    shown = "not checked" if use is None else f"{use:6.2f}"
    return f"{shown}  {check.name}: {check.part}, {check.case}"


def mass_lines(study: AnyStudy) -> list[str]:
    """Mass list by item, then the totals and the axles: in the job's units, mass in the other unit in brackets."""
    system: units.System = study.job.job.show_in
    mass, length = units.shown_as("mass", system).unit, units.shown_as("length", system).unit
    lines = [f"{'item':52} {mass + ' (' + _other(system) + ')':>18} {'x ' + length:>9} {'y':>9} {'z':>9}  from"]
    small = [i for i in study.pack_items if is_fastener(i.name)]
    for item in (*study.pack_items, *study.added_items):
        if not is_fastener(item.name):
            lines.append(_item(item, system))
    lines.append(f"{f'{len(small)} bolts with washers and nuts':52} {_both(sum(i.mass_kg or 0.0 for i in small), system):>18}")
    lines += [_item(item, system, -1.0, "removed: ") for item in study.removed_items]
    b, show = study.balance, study.job.job.show_in
    lines.append(f"{'pack':52} {_both(study.pack.mass_kg, system):>18} {_place(study.pack.centroid_mm, system)}")
    lines.append(
        f"added {units.show(b.added_kg, 'mass', show)}, removed {units.show(b.removed_kg, 'mass', show)},"
        f" change {units.show(b.change_kg, 'mass', show)}"
    )
    for name, front, rear in (
        ("before", b.before.loads.front_kg, b.before.loads.rear_kg),
        ("after", b.after.loads.front_kg, b.after.loads.rear_kg),
        ("below rating", b.margins.front_kg, b.margins.rear_kg),
    ):
        lines.append(f"axles {name:13} front {units.show(front, 'mass', show):>22}   rear {units.show(rear, 'mass', show):>22}")
    return lines


def is_fastener(name: str) -> bool:
    """Whether a mass item is a bolt with what belongs to it."""
    return any(f" {kind} " in name for kind in ("hex screw", "hex bolt", "cap screw"))


def _other(system: units.System) -> str:
    return units.shown_as("mass", "in" if system == "mm" else "mm").unit


def _both(value: float, system: units.System) -> str:
    other: units.System = "in" if system == "mm" else "mm"
    return f"{units.number(value, 'mass', system, 2)} ({units.number(value, 'mass', other, 2)})"


def _place(point: tuple[float, float, float], system: units.System) -> str:
    return " ".join(f"{units.number(c, 'length', system, 0 if system == 'mm' else 1):>9}" for c in point)


def _item(item: MassItem, system: units.System, sign: float = 1.0, prefix: str = "") -> str:
    mass = "unknown" if item.mass_kg is None else _both(sign * item.mass_kg, system)
    return f"{(prefix + item.name)[:52]:52} {mass:>18} {_place(item.centroid_mm, system)}  {item.source}"


def load_lines(study: AnyStudy, most: int = 12) -> list[str]:
    """Forces of the cases and the weakest checks."""
    lines = ["force of the pack on each mount, N (x forward, y left, z up)"]
    for case in study.cases:
        lines.append(f"{case.case.name}: vehicle frame at {case.case.acceleration_g} g; {case.case.source}")
        lines += [f"    {r.name:28} {r.force_n[0]:z9.0f} {r.force_n[1]:z9.0f} {r.force_n[2]:z9.0f}" for r in case.forces]
    lines.append("weakest items (demand over capacity; above 1 does not hold)")
    lines += ["  " + check_line(c) for c in weakest(study, most)]
    return lines if study.fe is None else [*lines, *fe_lines(study.fe)]


def weakest(study: AnyStudy, most: int) -> list[Check]:
    """The weakest check of each kind and part, weakest first."""
    seen: set[tuple[str, str]] = set()
    out: list[Check] = []
    for check in study.ranked_checks:
        if (check.name, check.part) in seen:
            continue
        seen.add((check.name, check.part))
        out.append(check)
    return out[:most]


def problem_lines(file: str, problems: list[Problem]) -> list[str]:
    """One paragraph per problem."""
    lines = []
    for p in problems:
        where = f"{file}:{p.line}" if p.line else file
        lines.append(f"{where}: {p.path} = {p.got}\n    wanted: {p.want}\n    do: {p.remedy}")
    return lines


def caution_lines(cautions: tuple[str, ...] = CAUTIONS) -> list[str]:
    """Cautions under a heading."""
    return ["", "Cautions", *(f"  - {c}" for c in cautions)]
