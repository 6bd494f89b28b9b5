"""What an arrangement is worth: the figures a converter chooses by."""

from __future__ import annotations

import numpy as np

from layout.arrangement import Arrangement, PlacedModule
from layout.frames import Extent
from layout.packing.costs import mass_ahead
from layout.stepped import surface_mm2

NAMES: dict[str, str] = {
    "ahead_of_axle": "mass ahead of the axle",
    "low": "lowest centre of mass",
    "centred": "side balance",
    "small_box": "smallest box",
    "short_links": "shortest interconnects",
    "serviceable": "ease of service",
}
"""Wishes and what they are called in `best_at`."""

FIGURES: dict[str, tuple[str, float, float]] = {
    # wish: its figure in Arrangement.scores, +1 where more is better (-1 less), and what counts as no difference
    # (for the mass ahead of the axle: one in a hundred of the packed mass instead)
    "ahead_of_axle": ("ahead_of_axle_kg", 1.0, 1.0),
    "low": ("centroid_height_mm", -1.0, 2.0),
    "centred": ("centroid_offset_mm", -1.0, 2.0),
    "small_box": ("sheet_area_m2", -1.0, 0.01),
    "short_links": ("links_mm", -1.0, 20.0),
    "serviceable": ("modules_in_the_way", -1.0, 0.05),
}

NOT_HELD = "modules_not_held"
"""Figure of an arrangement whose making was looked at: modules that cannot be held or put in and equipment that cannot be
fixed (all where no box can be made)."""


def scores_of(arrangement: Arrangement) -> dict[str, float]:
    """Figures by name.

    ahead_of_axle_kg: modules and placed equipment, bodies cut at the axle; centroid_height_mm and centroid_offset_mm (to
    either side) of the same, vehicle axes; sheet_area_m2: all faces of the box's inside; box_volume_l: of the inside;
    links_mm: sum of the interconnects; modules_in_the_way: how many others, on average, must come out before one can be
    lifted through the lid; packed_mass_kg: of modules and placed equipment.
    """
    frame = arrangement.frame
    bodies = [m.extent for m in arrangement.modules] + [e.extent for e in arrangement.equipment]
    masses = [m.kind.mass_kg for m in arrangement.modules] + [e.kind.mass_kg for e in arrangement.equipment]
    centres = [m.centroid_mm for m in arrangement.modules] + [e.pose.origin_mm for e in arrangement.equipment]
    centroid = np.array(masses) @ frame.point(centres) / sum(masses)
    return {
        "ahead_of_axle_kg": mass_ahead(bodies, masses, frame),
        "centroid_x_mm": float(centroid[0]),
        "centroid_height_mm": float(centroid[2]),
        "centroid_offset_mm": abs(float(centroid[1])),
        "sheet_area_m2": surface_mm2(arrangement.inside) / 1e6,
        "box_volume_l": arrangement.inside.volume_mm3 / 1e6,
        "links_mm": arrangement.wiring.length_mm if arrangement.wiring else 0.0,
        "modules_in_the_way": modules_in_the_way(arrangement.modules),
        "packed_mass_kg": sum(masses),
    }


def modules_in_the_way(modules: tuple[PlacedModule, ...]) -> float:
    """Modules that lie above each one in plan, those above them included, on average over all modules."""
    extents = [m.extent for m in modules]
    above = [[j for j, other in enumerate(extents) if _covers(other, e)] for e in extents]
    total = 0
    for k in range(len(extents)):
        seen: set[int] = set()
        fresh = [k]
        while fresh:
            fresh = [j for i in fresh for j in above[i] if j not in seen]
            seen.update(fresh)
        total += len(seen - {k})
    return total / len(extents) if extents else 0.0


def _covers(upper: Extent, lower: Extent) -> bool:
    """Whether a box lies over another one, so that it must go first."""
    if upper.min_mm[2] < lower.max_mm[2] - 1e-6:
        return False
    return all(upper.min_mm[a] < lower.max_mm[a] - 1e-6 and lower.min_mm[a] < upper.max_mm[a] - 1e-6 for a in (0, 1))


def no_worse(a: dict[str, float], b: dict[str, float]) -> bool:
    """Whether figures a are at least as good as b in every wish, and no more modules are left without hold."""
    return a.get(NOT_HELD, 0.0) <= b.get(NOT_HELD, 0.0) and all(
        sign * (a[name] - b[name]) >= -1e-6 for name, sign, _ in FIGURES.values()
    )


def as_good(a: dict[str, float], b: dict[str, float]) -> bool:
    """Whether figures a are as good as b in every wish but for what counts as no difference, and no more is left unheld."""
    return a.get(NOT_HELD, 0.0) <= b.get(NOT_HELD, 0.0) and all(
        sign * (a[name] - b[name]) >= -same for name, sign, same in FIGURES.values()
    )


def best_first(order: tuple[str, ...], arrangements: list[Arrangement]) -> list[Arrangement]:
    """Those that can be made first, then sorted by the wishes in order.

    Figures within what counts as no difference of the best are as good as the best.
    """
    wishes = [*order, *(w for w in FIGURES if w not in order)]

    if not arrangements:
        return []
    best = {w: max(FIGURES[w][1] * a.scores[FIGURES[w][0]] for a in arrangements) for w in wishes}

    def key(a: Arrangement) -> tuple[float, ...]:
        out = [a.scores.get(NOT_HELD, 0.0)]
        for wish in wishes:
            name, sign, same = FIGURES[wish]
            same = 0.01 * a.scores["packed_mass_kg"] if wish == "ahead_of_axle" else same
            out.append(float((best[wish] - sign * a.scores[name]) // same))
        return (*out, *(best[w] - FIGURES[w][1] * a.scores[FIGURES[w][0]] for w in wishes))

    return sorted(arrangements, key=key)


def worth_listing(arrangements: list[Arrangement]) -> list[Arrangement]:
    """Without those to which another is as good in every wish and better by more than no difference in one."""
    kept = [
        one
        for one in arrangements
        if not any(as_good(other.scores, one.scores) and not as_good(one.scores, other.scores) for other in arrangements)
    ]
    return kept or arrangements  # differences that count as none may add up round a circle


def undominated(arrangements: list[Arrangement]) -> list[Arrangement]:
    """Without those that another one equals or beats in every wish."""
    kept: list[Arrangement] = []
    for one in arrangements:
        if any(no_worse(other.scores, one.scores) for other in kept):
            continue
        kept = [other for other in kept if not no_worse(one.scores, other.scores)]
        kept.append(one)
    return kept


def shared_places(a: Arrangement, b: Arrangement) -> float:
    """Share of modules that stand in the same way at the same place (within 15 mm) in both."""
    rest = list(b.modules)
    same = 0
    for m in a.modules:
        for other in rest:
            near = np.abs(np.subtract(m.extent.centre_mm, other.extent.centre_mm)).max() < 15.0
            if near and m.kind.name == other.kind.name and (m.up, m.terminals) == (other.up, other.terminals):
                rest.remove(other)
                same += 1
                break
    return same / max(len(a.modules), 1)


def words(wish: str, scores: dict[str, float]) -> str:
    """What an arrangement is best at, with the figure."""
    name = FIGURES[wish][0]
    value = scores[name]
    unit = {
        "ahead_of_axle": f"{value:.1f} kg",
        "low": f"{value:.0f} mm",
        "centred": f"{value:.0f} mm off centre",
        "small_box": f"{value:.2f} m2 of sheet",
        "short_links": f"{value:.0f} mm",
        "serviceable": f"{value:.1f} in the way",
    }[wish]
    return f"{NAMES[wish]} ({unit})"
