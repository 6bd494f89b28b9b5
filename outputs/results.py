"""A Study as plain data: the keys of results.json and of --json."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from layout.arrangement import Arrangement, SearchResult
from layout.box.design import BoxDesign
from layout.box.shell import Shell
from layout.checks import Check
from layout.errors import Problem
from layout.frames import vec3
from layout.several.study import AnyStudy, PackStudy
from layout.several.ways import PackFit
from layout.space.removal import Lift, removal_order
from layout.stepped import outline_words
from layout.study.making import Making
from layout.study.study import Fit, Study
from outputs.fe_data import fe_data
from outputs.mounting import bracket_data, tool_data
from outputs.parts_data import hardware_data, parts_data

FORMAT = 1

Data = dict[str, Any]


def fit_data(search: SearchResult, shell: Shell, fit: Fit | None = None) -> Data:
    """`fit`: what was asked, placed and proved, and every arrangement. Extents in vehicle axes."""
    return {
        "required": search.required,
        "placed": search.placed,
        "upper_bound": search.upper_bound,
        "proven": search.proven,
        "space": search.space,
        "seconds": round(search.seconds, 3),
        "note": search.note,
        "rectangular": _rectangular(search),
        "taken": fit.number if fit else None,
        "arrangements": [
            {**_arrangement(i, a, shell, fit), **(making_data(search.makings[i]) if i < len(search.makings) else {})}
            for i, a in enumerate(search.arrangements)
        ],
        **access_data(fit),
    }


def access_data(fit: Fit | PackFit | None) -> Data:
    """`access` and `space_notes`, where they were looked at."""
    return {
        "access": [asdict(one) for one in fit.access] if fit else None,
        "space_notes": list(fit.space_notes) if fit else None,
    }


def _rectangular(search: SearchResult) -> Data | None:
    """What rectangular boxes hold, where stepped ones were looked for."""
    return None if search.rectangular is None else dict(zip(("placed", "upper_bound"), search.rectangular, strict=True))


def _arrangement(index: int, arrangement: Arrangement, shell: Shell, fit: Fit | None) -> Data:
    frame = arrangement.frame
    outer = shell.outermost(arrangement.inside).seen_from(frame)
    pieces = [(name, piece.seen_from(frame)) for name, piece in shell.pieces(arrangement.inside)]
    low, high = list(outer.min_mm), list(outer.max_mm)
    for equipment in arrangement.equipment:
        if equipment.outside:
            seen = equipment.extent.seen_from(frame)
            low = [min(a, b) for a, b in zip(low, seen.min_mm, strict=True)]
            high = [max(a, b) for a, b in zip(high, seen.max_mm, strict=True)]
    data: Data = {
        "rank": index + 1,
        "modules": [module_data(m, arrangement) for m in arrangement.modules],
        "box": {
            "min_mm": low,
            "max_mm": high,
            "outline": outline_words(arrangement.inside) or "rectangular",
            "pieces": [{"name": name, **extent_data(piece)} for name, piece in pieces],
        },
        "pack_centroid_mm": modules_centroid(arrangement),
        "best_at": list(arrangement.best_at),
        "scores": arrangement.scores,
        "equipment": equipment_data(arrangement),
    }
    if arrangement.wiring:
        data["wiring"] = {"strings": [list(s) for s in arrangement.wiring.strings], "length_mm": arrangement.wiring.length_mm}
    if fit:
        path = fit.insertions[index]
        data["insertion"] = {"possible": path.possible, "path_mm": [list(p) for p in path.path_mm], "note": path.note}
        data["removal_order"] = removal_order(fit.lifts[index])
        data["lifts"] = [lift_data(s) for s in fit.lifts[index]]
    return data


def equipment_data(arrangement: Arrangement) -> list[Data]:
    """Equipment placed with the pack, in vehicle axes."""
    frame = arrangement.frame
    return [
        {"name": e.kind.name, **extent_data(e.extent.seen_from(frame)), "face": e.face, "outside": e.outside}
        for e in arrangement.equipment
    ]


def lift_data(lift: Lift) -> Data:
    """What comes out through the lid together."""
    return {
        "modules": list(lift.modules), "bars": list(lift.bars), "equipment": lift.equipment, "undo": lift.undo,
        "blocked": lift.blocked,
    }  # fmt: skip


def making_data(making: Making) -> Data:
    """`making`: what stands in the way of making an arrangement; all empty where nothing does."""
    not_held = [{"module": name, "why": why} for name, why in making.carriers.unheld]
    return {"making": {"trouble": making.trouble, "not_held": not_held, "blocked": list(making.stuck)}}


def extent_data(extent: Any) -> Data:
    """A box by its least and greatest corner."""
    return {"min_mm": list(extent.min_mm), "max_mm": list(extent.max_mm)}


def module_data(module: Any, arrangement: Arrangement) -> Data:
    """One module in vehicle axes."""
    pose = arrangement.frame.then(module.pose)
    return {
        "id": module.id,
        "type": module.kind.name,
        **extent_data(module.own_extent.seen_from(pose)),
        "up": module.up,
        "terminals": module.terminals,
        "pose": {"origin_mm": list(pose.origin_mm), "axes": [list(a) for a in pose.axes]},
    }


def modules_centroid(arrangement: Arrangement) -> list[float]:
    """Centroid of the modules alone (the whole pack's stands under mass.pack_centroid_mm)."""
    mass = sum(m.kind.mass_kg for m in arrangement.modules)
    sums = [sum(m.kind.mass_kg * m.centroid_mm[i] for m in arrangement.modules) / mass for i in range(3)]
    return list(vec3(arrangement.frame.point(sums)))


def mass_data(study: AnyStudy) -> Data:
    """`mass`: every item that is in the vehicle and came with the conversion, and the totals."""
    return {
        "items": [
            {
                "name": item.name,
                "mass_kg": item.mass_kg,
                "centroid_mm": list(item.centroid_mm),
                "source": item.source,
                "group": item.group,
            }
            for item in (*study.pack_items, *study.added_items)
        ],
        "removed": [{"name": i.name, "mass_kg": i.mass_kg, "centroid_mm": list(i.centroid_mm)} for i in study.removed_items],
        "pack_kg": study.pack.mass_kg,
        "added_kg": study.balance.added_kg,
        "removed_kg": study.balance.removed_kg,
        "change_kg": study.balance.change_kg,
        "pack_centroid_mm": list(study.pack.centroid_mm),
        "pack_ahead_of_axle_kg": study.ahead.kg,
        "pack_ahead_of_axle_share": study.ahead.share,
        "notes": list(study.ahead.notes),
    }


def axle_data(study: AnyStudy) -> Data:
    """`axles`: loads before and after, margins, centroids of the whole vehicle."""
    balance = study.balance
    return {
        "before": {"front_kg": balance.before.loads.front_kg, "rear_kg": balance.before.loads.rear_kg},
        "after": {"front_kg": balance.after.loads.front_kg, "rear_kg": balance.after.loads.rear_kg},
        "margins": {"front_kg": balance.margins.front_kg, "rear_kg": balance.margins.rear_kg},
        "ratings_held": balance.ratings_held,
        "centroid_before_mm": list(balance.before.centroid_mm),
        "centroid_after_mm": list(balance.after.centroid_mm),
        "lateral_known": balance.after.lateral_known,
        "findings": list(balance.findings),
    }


def electrical_data(study: AnyStudy) -> Data:
    """`electrical`: voltages against the window, energy, charge time."""
    e = study.electrical
    return {
        "nominal_v": e.nominal_v,
        "max_v": e.max_v,
        "min_v": e.min_v,
        "window_v": list(e.window_v),
        "min_inside": e.min_inside,
        "nominal_inside": e.nominal_inside,
        "max_inside": e.max_inside,
        "energy_kwh": e.energy_kwh,
        "charge_hours": e.charge_hours,
        "charge_efficiency": e.charge_efficiency,
        "findings": list(e.findings),
    }


def load_data(study: AnyStudy) -> Data:
    """`loads`: cases with mount forces, checks (weakest first), the worst of them, and `fe` where it was asked for."""
    checks = study.ranked_checks
    worst = next((c for c in checks if c.utilisation is not None), None)
    return {
        "cases": [
            {
                "name": c.case.name,
                "group": c.case.group,
                "acceleration_g": list(c.case.acceleration_g),
                "equivalent_static_g": c.case.equivalent_static_g,
                "source": str(c.case.source),
                "note": c.case.note,
                "mounts": [{"name": r.name, "force_n": list(r.force_n)} for r in c.forces],
                **({"box": c.box} if c.box else {}),
            }
            for c in study.cases
        ],
        "checks": [_check(c) for c in checks],
        "worst": None
        if worst is None
        else {"name": f"{worst.name}, {worst.part}, {worst.case}", "utilisation": worst.utilisation},
        "sizing": [asdict(step) for step in study.sizing],
        "not_checked": sorted({f"{c.part}: {c.name}: {c.note}" for c in checks if c.utilisation is None}),
        "all_hold": all(c.holds for c in checks),
        **({} if study.fe is None else {"fe": fe_data(study.fe)}),
    }


def _title(check: Check) -> str:
    return f"{check.name}, {check.part}, {check.case}"


def _check(check: Check) -> Data:
    return {
        "name": check.name,
        "part": check.part,
        "case": check.case,
        "demand": check.demand,
        "capacity": check.capacity,
        "unit": check.unit,
        "utilisation": check.utilisation,
        "verdict": "not checked" if check.utilisation is None else "holds" if check.holds else "does not hold",
        "source": str(check.source),
        "demand_formula": check.demand_formula,
        "capacity_formula": check.capacity_formula,
        "inputs": [{"symbol": q.symbol, "value": q.value, "unit": q.unit, "meaning": q.meaning} for q in check.inputs],
        "note": check.note,
    }


def rule_data(study: AnyStudy) -> Data:
    """`rules`: every sheet rule at every place of every part cut from sheet, and how the box is folded."""
    return {
        "sheet": [
            {
                "part": f.part, "rule": f.rule, "at": f.at, "figure": f.figure, "sense": f.sense, "limit": f.limit,
                "unit": f.unit, "kept": f.ok, "source": str(f.source), "remedy": "" if f.ok else f.remedy,
            }
            for _, findings in study.findings
            for f in findings
        ],
        "not_kept": [row.words for row in study.rules if row.broken],
        "folded": {p: _folded(s.box) for p, s in study.boxes} if isinstance(study, PackStudy) else _folded(study.box),
    }  # fmt: skip


def _folded(box: BoxDesign) -> Data | None:
    """How a box is folded; None for a welded one."""
    folded = box.folded
    return None if folded is None else {
        "form": folded.form, "why": list(folded.why), "corner": folded.corner, "k_factor": folded.k_factor,
        "k_source": str(folded.k_source), "notes": list(folded.notes),
    }  # fmt: skip


def problem_data(problems: list[Problem]) -> list[Data]:
    """`problems`: one entry per thing wrong with the job file."""
    return [{"path": p.path, "got": p.got, "want": p.want, "remedy": p.remedy, "line": p.line} for p in problems]


def study_data(study: Study) -> Data:
    """Everything about a study except files."""
    return common_data(study, fit_data(study.fit.search, study.box.shell, study.fit))


def common_data(study: AnyStudy, fit: Data) -> Data:
    """The keys that every study has."""
    return {
        "format": FORMAT,
        "job": study.job.job.model_dump(),
        "fit": fit,
        "mass": mass_data(study),
        "axles": axle_data(study),
        "electrical": electrical_data(study),
        "loads": load_data(study),
        "parts": parts_data(study),
        "hardware": hardware_data(study),
        "rules": rule_data(study),
        "brackets": bracket_data(study),
        "tools": tool_data(study),
        "problems": [],
        "cautions": list(study.all_cautions),
    }
