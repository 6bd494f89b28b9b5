"""What an arrangement in several boxes is worth, from what each box of it is (figures of layout.packing.scores)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from layout.arrangement import Arrangement
from layout.frames import bounding
from layout.packing.scores import NOT_HELD, scores_of
from layout.several.model import PackArrangement
from layout.several.wiring import named, own_wiring, wire_through

SUMS = ("ahead_of_axle_kg", "sheet_area_m2", "box_volume_l", "packed_mass_kg")


def packed(
    parts: tuple[Arrangement, ...], mounts: tuple[frozenset[str], ...], cut: str, series: int, parallel: int
) -> PackArrangement:
    """The arrangements of all boxes as one: wired through, scored."""
    modules = named(parts)
    wiring = wire_through(modules, series, parallel)
    own = tuple(replace(part, wiring=own_wiring(k, wiring), best_at=()) for k, part in enumerate(parts, start=1))
    one = PackArrangement(
        frame=parts[0].frame,
        modules=tuple(m for box in modules for m in box),
        inside=bounding([part.inside for part in parts]),
        equipment=tuple(e for part in parts for e in part.equipment),
        wiring=wiring,
        parts=own,
        mounts=mounts,
        cut=cut,
    )
    return replace(one, scores=_scores(one))


def _scores(one: PackArrangement) -> dict[str, float]:
    """Sums over the boxes; centroids of all modules and placed equipment; on average over all modules, those in the way."""
    each = [scores_of(part) for part in one.parts]
    whole = scores_of(one)
    counts = np.array([len(part.modules) for part in one.parts])
    in_the_way = float(counts @ np.array([s["modules_in_the_way"] for s in each]) / counts.sum())
    sums = {name: sum(s[name] for s in each) for name in SUMS}
    not_held = sum(part.scores.get(NOT_HELD, 0.0) for part in one.parts)
    return {**whole, **sums, "modules_in_the_way": in_the_way, NOT_HELD: not_held}
