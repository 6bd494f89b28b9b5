"""Physical sense of the modules and of the pack they are to make."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from layout.errors import Problem
from layout.job.bay import Bay
from layout.job.module import ModuleType, Pack
from layout.job.sense.rule import Rule, mm, repeated

DENSITY_KG_PER_L: Final = (0.8, 3.5)
"""Band of plausible module densities.

Lithium-ion cells alone are near 2.2 to 2.9 kg/L and lead-acid blocks near 2.5 (data sheets, from memory); housings of steel or
plastic, air and coolant bring modules to about 1 to 3. What lies outside of 0.8 to 3.5 is a slip: pounds taken
for kilograms (2.2 times), inches for millimetres, one size for another. Our own choice.
"""
ENERGY_WH_PER_KG: Final = (10.0, 450.0)
"""Band of plausible energy by mass: lead-acid modules from about 20, the best lithium cells below about 400 (from memory)."""
_OUTSIDE_MM: Final = 60.0
"""How far terminals and fixing ears may stand out of a module's body (common practice, no source)."""

Modules = tuple[ModuleType, ...]


def density_kg_per_l(kind: ModuleType) -> float:
    """Mass over the volume of the body's box."""
    x, y, z = kind.size_mm
    return kind.mass_kg / (x * y * z * 1e-6)


def body_problems(modules: Modules) -> Iterator[Problem]:
    """Density, energy by mass, centroid, terminals and fixing holes."""
    yield from repeated(modules, "module")
    for index, kind in enumerate(modules, start=1):
        path = f"module[{index}]"
        density = density_kg_per_l(kind)
        if not DENSITY_KG_PER_L[0] <= density <= DENSITY_KG_PER_L[1]:
            low, high = DENSITY_KG_PER_L
            want = f"with this size makes {density:.3g} kg/L; battery modules have {low:g} to {high:g} kg/L"
            yield Problem(f"{path}.mass", f"{kind.mass_kg:.4g} kg", want, "Weigh and measure one module; check both units.")
        energy = kind.energy_kwh * 1000.0 / kind.mass_kg
        if not ENERGY_WH_PER_KG[0] <= energy <= ENERGY_WH_PER_KG[1]:
            low, high = ENERGY_WH_PER_KG
            want = f"with this mass makes {energy:.3g} Wh/kg; batteries have {low:g} to {high:g} Wh/kg"
            yield Problem(f"{path}.energy", f"{kind.energy_kwh:g} kWh", want, "Check the unit: a bare number is in kWh.")
        yield from _place_problems(kind, path)


def _place_problems(kind: ModuleType, path: str) -> Iterator[Problem]:
    half = tuple(size / 2.0 for size in kind.size_mm)
    if any(abs(offset) >= limit for offset, limit in zip(kind.centroid_offset_mm, half, strict=True)):
        want = "the centroid must lie inside the body; the offset counts from its middle"
        got = str(list(kind.centroid_offset_mm))
        yield Problem(f"{path}.centroid_offset", got, want, "Correct it, or leave it out if not known.")
    for number, place in enumerate(kind.terminals_mm or (), start=1):
        if any(abs(p) > limit + _OUTSIDE_MM for p, limit in zip(place, half, strict=True)):
            want = "a terminal lies on the body; places count from its middle"
            yield Problem(f"{path}.terminals[{number}]", str(list(place)), want, "Measure from the middle of the module.")
    for number, hole in enumerate(kind.fixing.pattern_mm if kind.fixing else (), start=1):
        if any(abs(p) > limit + _OUTSIDE_MM for p, limit in zip(hole, half[:2], strict=True)):
            want = "a fixing hole lies in or beside the base; places count from its middle"
            yield Problem(f"{path}.fixing.pattern[{number}]", str(list(hole)), want, "Measure from the middle of the base.")


def clamp_problems(modules: Modules) -> Iterator[Problem]:
    """Held in one way only, and by bars that lie on no terminals and beside one another."""
    from layout.box.clamp_room import why_not_clamped  # the box builds on the job: not at import time

    for index, kind in enumerate(modules, start=1):
        if kind.clamp is None:
            continue
        path = f"module[{index}].clamp"
        if kind.fixing is not None:
            want = "a module is held by its own holes or by a clamp, and module.fixing is given too"
            yield Problem(path, kind.clamp.rod, want, "Give one of them: fixing where its maker has holes for it.")
        elif why := why_not_clamped(kind):
            remedy = "Let it stand (module.up) so that its terminals look sideways, or give the holes in its base as fixing."
            remedy = remedy if "terminals" in why else "Use thinner rods, or give the holes in its base as fixing."
            yield Problem(path, kind.clamp.rod, f"cannot clamp this module: {why}", remedy)


def voltage_problems(modules: Modules) -> Iterator[Problem]:
    """Least, nominal and greatest voltage in that order."""
    for index, kind in enumerate(modules, start=1):
        low, middle, high = kind.min_voltage_v, kind.nominal_voltage_v, kind.max_voltage_v
        if not low <= middle <= high or low == high:
            got = f"{middle:g} V"
            want = f"must lie between min_voltage ({low:g} V) and max_voltage ({high:g} V), which must differ"
            yield Problem(f"module[{index}].nominal_voltage", got, want, "Copy all three from the data sheet.")


def count_problems(pack: Pack, modules: Modules) -> Iterator[Problem]:
    """Modules asked for against modules on the shelf, and against series times parallel."""
    shelf = sum(kind.available for kind in modules)
    string = pack.series * pack.parallel
    wiring = f"series {pack.series} x parallel {pack.parallel}"
    if isinstance(pack.count, int):
        if pack.count < 1:
            yield Problem("pack.count", str(pack.count), "must be at least 1", 'Write a whole number, or "max".')
        elif pack.count > shelf:
            want = f"asks for more modules than there are: available adds up to {shelf}"
            yield Problem("pack.count", str(pack.count), want, "Ask for fewer, or correct `available`.")
        elif pack.count != string:
            want = f"must equal {wiring} = {string}"
            yield Problem("pack.count", str(pack.count), want, "Change count, series or parallel so that they agree.")
    elif string > shelf:
        want = f"{wiring} = {string} is more than the {shelf} modules there are"
        yield Problem("pack.series", str(pack.series), want, "Lower series or parallel, or correct `available`.")


def string_voltages(pack: Pack, modules: Modules) -> tuple[float, float, float]:
    """Least, nominal and greatest voltage of the pack in V.

    With several types of module the least and greatest that any mix of them can have, and the mean nominal voltage.
    """
    low = min(kind.min_voltage_v for kind in modules)
    high = max(kind.max_voltage_v for kind in modules)
    middle = sum(kind.nominal_voltage_v for kind in modules) / len(modules)
    return (pack.series * low, pack.series * middle, pack.series * high)


def window_words(pack: Pack, modules: Modules) -> str:
    """Which of the pack's least, nominal and greatest voltage lie inside the window, in words."""
    low, high = pack.voltage_window_v
    said = [
        f"{name} {volts:.4g} V {'inside' if low <= volts <= high else 'below' if volts < low else 'above'}"
        for name, volts in zip(("least", "nominal", "greatest"), string_voltages(pack, modules), strict=True)
    ]
    return f"{pack.series} in series against the window {low:g} to {high:g} V: {', '.join(said)}"


def window_problems(pack: Pack, modules: Modules) -> Iterator[Problem]:
    """The window in order, and some voltage of the pack inside it."""
    low, high = pack.voltage_window_v
    if low >= high:
        got = f"[{low:g}, {high:g}]"
        yield Problem("pack.voltage_window", got, "the first must be below the second", "Write the lower first.")
        return
    least, nominal, greatest = string_voltages(pack, modules)
    if greatest < low or least > high:
        per_module = nominal / pack.series
        first, last = math.ceil(low / per_module), math.floor(high / per_module)
        fits = f"{first} to {last}" if last > first else str(first)
        want = f"no voltage of the pack lies in the window ({window_words(pack, modules)})"
        remedy = f"{fits} in series would bring the nominal voltage inside." if first <= last else "Use other modules."
        yield Problem("pack.series", str(pack.series), want, remedy)


def size_problems(modules: Modules, bay: Bay, pack: Pack) -> Iterator[Problem]:
    """A module that no turn can bring into the box that bounds the free space."""
    points = [point for space in bay.spaces for point in (*space.outline_mm, *(space.outline_above_mm or ()))]
    heights = [z for space in bay.spaces for z in space.z_mm]
    sides = ([p[0] for p in points], [p[1] for p in points], heights)
    room = sorted(max(max(side) - min(side) - 2.0 * bay.clearance_mm, 0.0) for side in sides)
    square = pack.turn_deg == (0.0,) and pack.rake_deg == (0.0,)
    for index, kind in enumerate(modules, start=1):
        size = sorted(kind.size_mm)
        if square and all(a <= b for a, b in zip(size, room, strict=True)):
            continue
        if not square and size[2] <= math.hypot(*room) and size[0] <= room[2]:
            continue
        got = " x ".join(f"{value:g}" for value in kind.size_mm) + " mm"
        want = "is larger than the bay, whichever way it is turned: the free space less its clearance bounds at "
        want += " x ".join(f"{value:g}" for value in room) + " mm"
        yield Problem(f"module[{index}].size", got, want, "Check the units of the module and of bay.space.")


def prefer_problems(pack: Pack) -> Iterator[Problem]:
    """A wish is named once."""
    for index, wish in enumerate(pack.prefer, start=1):
        if wish in pack.prefer[: index - 1]:
            yield Problem(f"pack.prefer[{index}]", f'"{wish}"', "is named before", "Name each wish once, the first one first.")


def count_of_boxes(pack: Pack) -> Iterator[Problem]:
    """Not more boxes than modules."""
    if isinstance(pack.count, int) and 0 < pack.count < pack.boxes:
        yield Problem("pack.boxes", str(pack.boxes), f"is more than the {pack.count} modules", "Ask for fewer boxes.")


def wide_hand(pack: Pack) -> Iterator[Problem]:
    """A hand is 50 to 200 mm wide."""
    if not 50.0 <= pack.hand_width_mm <= 200.0:
        yield Problem("pack.hand_width", mm(pack.hand_width_mm), "must be 50 mm to 200 mm", "Leave it out for 90 mm.")


RULES: Final = (
    Rule(("modules",), body_problems),
    Rule(("modules",), clamp_problems),
    Rule(("modules",), voltage_problems),
    Rule(("pack", "modules"), count_problems),
    Rule(("pack", "modules"), window_problems),
    Rule(("modules", "bay", "pack"), size_problems),
    Rule(("pack",), prefer_problems),
    Rule(("pack",), count_of_boxes),
    Rule(("pack",), wide_hand),
)
