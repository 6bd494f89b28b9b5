"""Arrangements in several boxes as plain data: the keys of a single box's hold all boxes, and `boxes` holds each."""

from __future__ import annotations

from typing import Any

from layout.arrangement import SearchResult
from layout.frames import bounding
from layout.job.model import Job
from layout.several.jobs import prefix_of
from layout.several.model import PackArrangement
from layout.several.ways import PackFit
from layout.space.removal import removal_order
from outputs.results import (
    Data,
    access_data,
    equipment_data,
    extent_data,
    lift_data,
    making_data,
    module_data,
    modules_centroid,
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
        "arrangements": [_arrangement(job, k, one, fit) | making_data(search.makings[k]) for k, one in enumerate(packs)],
        **access_data(fit),
    }


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
        "wiring": _wiring(pack),
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
        data["lifts"] = [lift_data(s) for s in fit.lifts[index][number - 1]]
        data["under"] = [prefix_of(k) for k in fit.ways[index].under[number - 1]]
    return data


def _removal(index: int, number: int, fit: PackFit) -> list[Any]:
    return [f"{prefix_of(number)}-{name}" for name in removal_order(fit.lifts[index][number - 1])]


def _wiring(pack: PackArrangement) -> Data | None:
    """Strings, their length, and the cables from box to box; straight lengths, terminal to terminal."""
    if pack.wiring is None:
        return None
    cables = [
        {"name": f"cable {k}", "from": c.start, "to": c.end, "length_mm": c.length_mm}
        for k, c in enumerate(pack.cables, start=1)
    ]
    return {"strings": [list(s) for s in pack.wiring.strings], "length_mm": pack.wiring.length_mm, "cables": cables}
