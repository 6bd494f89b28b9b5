"""Parts put on a scale by themselves: what was weighed beats what was computed, and both are kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from layout.balance.items import MassItem, tensor
from layout.balance.names import named
from layout.errors import JobError, Problem
from layout.job.vehicle import WeighedPart

SOFT = ("computed", "estimated")
"""Sources that give way when several things were weighed together."""


def with_weighed(items: Sequence[MassItem], parts: Sequence[WeighedPart]) -> tuple[MassItem, ...]:
    """The mass list with weighed masses in place of computed ones (computed_kg keeps those; inertia scales along).

    A name that stands for several items (see `named`) was weighed as one: what was weighed or catalogued singly stays, and
    the computed and estimated ones share the rest in proportion. Later entries see what earlier ones changed.

    Raises JobError for a name that is not in the list, a sum that leaves nothing for the rest, or a mass unknown in it.
    """
    listed = list(items)
    for index, part in enumerate(parts, start=1):
        path = f"weighed[{index}]"
        places = named(listed, part.name, f"{path}.name")
        for k, item in zip(places, _weighed([listed[k] for k in places], part, path), strict=True):
            listed[k] = item
    return tuple(listed)


def _weighed(group: Sequence[MassItem], part: WeighedPart, path: str) -> list[MassItem]:
    if len(group) == 1:
        return [_as_weighed(group[0], part.mass_kg, part.tolerance_kg)]
    unknown = [i.name for i in group if i.mass_kg is None]
    if unknown:
        remedy = f"Weigh {unknown[0]!r} by itself first."
        raise JobError([Problem(f"{path}.name", part.name, "items whose masses are all known", remedy)])
    soft = [i.source in SOFT for i in group]
    if not any(soft):
        soft = [True] * len(group)
    fixed = sum(i.mass_kg or 0.0 for i, s in zip(group, soft, strict=True) if not s)
    rest = sum(i.mass_kg or 0.0 for i, s in zip(group, soft, strict=True) if s)
    if part.mass_kg <= fixed:
        want = f"more than the {fixed:.1f} kg of it that were weighed or catalogued singly"
        remedy = "Weigh again, or mend the single masses: they contradict each other."
        raise JobError([Problem(f"{path}.mass", f"{part.mass_kg:.1f} kg", want, remedy)])
    factor = (part.mass_kg - fixed) / rest
    found = []
    for item, gives_way in zip(group, soft, strict=True):
        mass = item.mass_kg or 0.0
        tolerance = None if part.tolerance_kg is None else part.tolerance_kg * mass / rest
        found.append(_as_weighed(item, mass * factor, tolerance) if gives_way else item)
    return found


def _as_weighed(item: MassItem, mass_kg: float, tolerance_kg: float | None) -> MassItem:
    computed = item.computed_kg
    if computed is None and item.source in SOFT:
        computed = item.mass_kg
    inertia = item.inertia_kgmm2
    if item.mass_kg:
        inertia = tensor(np.array(inertia) * (mass_kg / item.mass_kg))
    return replace(
        item, mass_kg=mass_kg, inertia_kgmm2=inertia, source="weighed", computed_kg=computed, tolerance_kg=tolerance_kg
    )
