"""Results as text for the terminal."""

from __future__ import annotations

from layout.arrangement import SearchResult
from layout.box.shell import Shell
from layout.cautions import CAUTIONS
from layout.checks import Check
from layout.errors import Problem
from layout.study.study import Study


def five_figures(study: Study) -> list[str]:
    """What a user wants first: modules, mass, mass ahead of the axle, axle loads, the weakest item."""
    search, balance = study.fit.search, study.balance
    worst = next((c for c in study.ranked_checks if c.utilisation is not None), None)
    unknown = len({(c.part, c.name) for c in study.checks if c.utilisation is None})
    after, rating = balance.after.loads, study.job.vehicle
    lines = [
        f"modules        {len(study.arrangement.modules)} placed, at most {search.upper_bound} possible"
        f" ({'proved' if search.proven else 'not proved'} on {search.space})",
        f"pack mass      {study.pack.mass_kg:.1f} kg; change of the vehicle {balance.change_kg:+.1f} kg",
        f"ahead of axle  {study.ahead.kg:.1f} kg of the pack ({100.0 * study.ahead.share:.0f} %)",
        f"axle loads     front {after.front_kg:.0f} of {rating.front_axle_rating_kg:.0f} kg,"
        f" rear {after.rear_kg:.0f} of {rating.rear_axle_rating_kg:.0f} kg"
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


def fit_lines(search: SearchResult, shell: Shell) -> list[str]:
    """Ranked arrangements."""
    lines = [
        f"{search.placed} modules placed, at most {search.upper_bound} possible: "
        f"{'proved' if search.proven else 'not proved'} on {search.space}; {search.seconds:.1f} s",
    ]
    if search.note:
        lines.append(search.note)
    for i, a in enumerate(search.arrangements):
        outer = shell.outermost(a.inside).seen_from(a.frame).size_mm
        size = " x ".join(f"{s:.0f}" for s in outer)
        lines.append(f"{i + 1:3d}  box {size} mm outside; best at: {', '.join(a.best_at) or '-'}")
        lines.append("     " + ", ".join(f"{k} {v:.4g}" for k, v in a.scores.items()))
    return lines


def mass_lines(study: Study) -> list[str]:
    """Mass list by item, then the totals and the axles."""
    lines = [f"{'item':58} {'kg':>8} {'x':>8} {'y':>8} {'z':>8}  from"]
    for item in (*study.pack_items, *study.added_items):
        if item.name.split()[0].rsplit("-", 1)[-1][:2] in ("LB", "MB"):
            continue
        mass = "unknown" if item.mass_kg is None else f"{item.mass_kg:8.2f}"
        x, y, z = item.centroid_mm
        lines.append(f"{item.name[:58]:58} {mass:>8} {x:8.0f} {y:8.0f} {z:8.0f}  {item.source}")
    bolts = [i for i in study.pack_items if i.name.split()[0].rsplit("-", 1)[-1][:2] in ("LB", "MB")]
    lines.append(f"{f'{len(bolts)} bolts with washers and nuts':58} {sum(i.mass_kg or 0.0 for i in bolts):8.2f}")
    for item in study.removed_items:
        x, y, z = item.centroid_mm
        lines.append(
            f"{'removed: ' + item.name[:49]:58} {-(item.mass_kg or 0.0):8.2f} {x:8.0f} {y:8.0f} {z:8.0f}  {item.source}"
        )
    b = study.balance
    x, y, z = study.pack.centroid_mm
    lines += [
        f"{'pack':58} {study.pack.mass_kg:8.2f} {x:8.0f} {y:8.0f} {z:8.0f}",
        f"added {b.added_kg:.2f} kg, removed {b.removed_kg:.2f} kg, change {b.change_kg:+.2f} kg",
        f"axles before   front {b.before.loads.front_kg:8.1f} kg   rear {b.before.loads.rear_kg:8.1f} kg",
        f"axles after    front {b.after.loads.front_kg:8.1f} kg   rear {b.after.loads.rear_kg:8.1f} kg",
        f"below rating   front {b.margins.front_kg:8.1f} kg   rear {b.margins.rear_kg:8.1f} kg",
    ]
    return lines


def load_lines(study: Study, most: int = 12) -> list[str]:
    """Forces of the cases and the weakest checks."""
    lines = ["force of the pack on each mount, N (x forward, y left, z up)"]
    for case in study.cases:
        lines.append(f"{case.case.name}: vehicle frame at {case.case.acceleration_g} g; {case.case.source}")
        lines += [f"    {r.name:28} {r.force_n[0]:9.0f} {r.force_n[1]:9.0f} {r.force_n[2]:9.0f}" for r in case.forces]
    lines.append("weakest items (demand over capacity; above 1 does not hold)")
    lines += ["  " + check_line(c) for c in weakest(study, most)]
    return lines


def weakest(study: Study, most: int) -> list[Check]:
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
