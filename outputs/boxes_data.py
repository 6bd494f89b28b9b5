"""Arrangements in several boxes as plain data: the keys of a single box's hold all boxes, and `boxes` holds each."""

from __future__ import annotations

from typing import Any

from layout.arrangement import SearchResult
from layout.frames import bounding
from layout.job.model import Job
from layout.several.cables import cables_of
from layout.several.jobs import prefix_of
from layout.several.model import PackArrangement
from layout.several.study import AnyStudy, PackStudy
from layout.several.ways import PackFit
from layout.space.removal import removal_order
from layout.study.study import Study
from outputs.results import (
    Data,
    access_data,
    common_data,
    equipment_data,
    extent_data,
    fit_data,
    lift_data,
    making_data,
    module_data,
    modules_centroid,
    study_data,
)


def pack_fit_data(job: Job, search: SearchResult, fit: PackFit | None = None) -> Data:
    """`fit` of a pack in several boxes. `box` bounds them all; `insertion` is possible where every box goes in."""
    packs = [one for one in search.arrangements if isinstance(one, PackArrangement)]
    return {
        "required": search.required,
        "placed": search.placed,
        "upper_bound": search.upper_bound,
        "proven": search.proven,
        "space": search.space,
        "seconds": round(search.seconds, 3),
        "note": search.note,
        "rectangular": None,
        "boxes": job.pack.boxes,
        "taken": fit.number if fit else None,
        "arrangements": [
            _arrangement(job, k, one, fit) | (making_data(search.makings[k]) if k < len(search.makings) else {})
            for k, one in enumerate(packs)
        ],
        **access_data(fit),
    }


def any_fit_data(study: AnyStudy) -> Data:
    """`fit` of a study of one box or of several."""
    if isinstance(study, PackStudy):
        return pack_fit_data(study.job, study.fit.search, study.fit)
    return fit_data(study.fit.search, study.box.shell, study.fit)


def any_study_data(study: AnyStudy) -> Data:
    """Everything about a study except files. Several boxes: under the keys of one what holds for all, and `boxes`."""
    if not isinstance(study, PackStudy):
        return study_data(study)
    data = common_data(study, any_fit_data(study))
    return {**data, "boxes": [_box_data(prefix, one, study) for prefix, one in study.boxes]}


def _box_data(prefix: str, box: Study, study: PackStudy) -> Data:
    """One box: what its own mounts carry, and its weakest item."""
    made = (c for c in study.ranked_checks if c.utilisation is not None)
    worst = next((c for c in made if _is_of(c.part, prefix, box)), None)
    said = None if worst is None else {"name": f"{worst.name}, {worst.part}, {worst.case}", "utilisation": worst.utilisation}
    return {
        "name": prefix,
        "drawing_number": box.job.job.drawing_number,
        "modules": [f"{prefix}-{m.id}" for m in box.arrangement.modules],
        "mounts": [m.name for m in box.mounts],
        "mass_kg": box.pack.mass_kg,
        "centroid_mm": list(box.pack.centroid_mm),
        "ahead_of_axle_kg": box.ahead.kg,
        "worst": said,
        "all_hold": all(c.holds for c in box.checks),
    }


def _is_of(part: str, prefix: str, box: Study) -> bool:
    return part.startswith(f"{prefix} ") or box.job.job.drawing_number in part


def _arrangement(job: Job, index: int, pack: PackArrangement, fit: PackFit | None) -> Data:
    boxes = [_box(job, index, pack, number, fit) for number in range(1, len(pack.parts) + 1)]
    every = [piece.seen_from(pack.frame) for k in range(1, len(boxes) + 1) for _, piece in pack.pieces(job, k)]
    data: Data = {
        "rank": index + 1,
        "modules": [module_data(m, pack) for m in pack.modules],
        "box": {**extent_data(bounding(every)), "outline": f"{len(boxes)} boxes"},
        "boxes": boxes,
        "cut": pack.cut,
        "pack_centroid_mm": modules_centroid(pack),
        "best_at": list(pack.best_at),
        "scores": pack.scores,
        "equipment": [e for one in boxes for e in one["equipment"]],
        "wiring": _wiring(job, pack),
    }
    if fit:
        ways = fit.ways[index]
        path = ways.insertions[ways.order[0] - 1].path_mm
        data["insertion"] = {"possible": ways.possible, "path_mm": [list(p) for p in path], "note": ways.words}
        data["insertion_order"] = [prefix_of(k) for k in ways.order]
        data["removal_order"] = [name for k in reversed(ways.order) for name in _removal(index, k, fit)]
    return data


def _box(job: Job, index: int, pack: PackArrangement, number: int, fit: PackFit | None) -> Data:
    part, prefix = pack.parts[number - 1], prefix_of(number)
    pieces = [(name, piece.seen_from(pack.frame)) for name, piece in pack.pieces(job, number)]
    data: Data = {
        "name": prefix,
        **extent_data(bounding([piece for _, piece in pieces])),
        "pieces": [{"name": name, **extent_data(piece)} for name, piece in pieces],
        "modules": [f"{prefix}-{m.id}" for m in part.modules],
        "mounts": [m.name for m in job.mount_points if m.name in pack.mounts[number - 1]],
        "equipment": [{"box": prefix, **e} for e in equipment_data(part)],
    }
    if fit:
        way = fit.ways[index].insertions[number - 1]
        data["insertion"] = {"possible": way.possible, "path_mm": [list(p) for p in way.path_mm], "note": way.note}
        data["removal_order"] = _removal(index, number, fit)
        lifts = [lift_data(s) for s in fit.lifts[index][number - 1]]
        data["lifts"] = [s | {"modules": [f"{prefix}-{m}" for m in s["modules"]]} for s in lifts]
        data["under"] = [prefix_of(k) for k in fit.ways[index].under[number - 1]]
    return data


def _removal(index: int, number: int, fit: PackFit) -> list[Any]:
    return [f"{prefix_of(number)}-{name}" for name in removal_order(fit.lifts[index][number - 1])]


def _wiring(job: Job, pack: PackArrangement) -> Data | None:
    """Strings, their length, and the cables from box to box (length_mm straight, way_mm by the openings)."""
    if pack.wiring is None:
        return None
    cables = [
        {
            "name": c.name, "from": c.start, "to": c.end, "length_mm": c.straight_mm, "way_mm": c.way_mm,
            "through": list(c.through),
        }
        for c in cables_of(job, pack)
    ]  # fmt: skip
    return {"strings": [list(s) for s in pack.wiring.strings], "length_mm": pack.wiring.length_mm, "cables": cables}
