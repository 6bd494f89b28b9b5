"""Sizes of the brackets beyond bar and sheet: leg bolts, gussets, fillets; strengthened where a check asks, then lightened.

From the bars and the sheet chosen before, the size that the weakest check depends on goes up by one standard step until the
job's target is met or no step helps; then sheet and gussets go down again, one step at a time, as long as the target is met
with less mass. Nothing is taken that is weaker than before where the target is missed. Every step counts with its own masses
and its own sharing of the loads.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Generic, Literal, TypeVar

from layout.brackets.design import Sizes
from layout.brackets.pattern import LEG_BOLTS
from layout.checks import Check
from layout.errors import DesignError
from layout.study.study import SizingStep

GUSSETS_MM = (5.0, 6.0, 8.0, 10.0)
"""Sheet of gussets (webs of standoffs): standard thicknesses that a fillet of 3.5 mm does not burn through."""
THROATS_MM = (3.5, 4.0, 5.0)
THROAT_SHARE = 0.7
"""Greatest throat over the thinner sheet: its leg is then as long as that sheet is thick (common practice, no source)."""
MOST_STEPS = 10
LEAST_GAIN = 0.99
"""A step that does not lower the utilisation by a hundredth is not worth its mass."""

P = TypeVar("P")
Lever = Literal["leg bolts", "gusset sheet", "gusset fillet throat", "bracket sheet"]


@dataclass(frozen=True)
class Chosen:
    """Sizes of all brackets of a pack."""

    leg_bolt: str
    sizes: Sizes


@dataclass(frozen=True)
class Tried(Generic[P]):
    """A choice with what came of it: the design, its weakest check, its mass."""

    chosen: Chosen
    pack: P
    worst: Check | None
    mass_kg: float

    @property
    def use(self) -> float:
        """Utilisation of the weakest check."""
        return (self.worst.utilisation or 0.0) if self.worst else 0.0


@dataclass(frozen=True)
class Range:
    """What may be chosen: sheets_mm of leg and foot, one only where the job names it."""

    sheets_mm: tuple[float, ...]
    target: float


def refined(
    first: Tried[P], allowed: Range, attempt: Callable[[Chosen], Tried[P]]
) -> tuple[Tried[P], tuple[SizingStep, ...]]:
    """The best choice found from `first`, and every step that was tried. attempt: designs one choice (or DesignError)."""
    steps: list[SizingStep] = []
    best, spent = first, set[Lever]()
    while best.use > allowed.target and len(steps) < MOST_STEPS:
        lever = _lever(best.worst, spent)
        if lever is None:
            break
        found = _tried(best, lever, 1, allowed, attempt)
        taken = found is not None and found.use < LEAST_GAIN * best.use
        if found is not None:
            steps.append(_step(lever, found, taken))
        if found is None or not taken:
            spent.add(lever)
        else:
            best = found
    return _lightened(best, allowed, attempt, steps) if best.use <= allowed.target else (best, tuple(steps))


def _lightened(
    best: Tried[P], allowed: Range, attempt: Callable[[Chosen], Tried[P]], steps: list[SizingStep]
) -> tuple[Tried[P], tuple[SizingStep, ...]]:
    """Sheet, then gussets, down a step at a time while the target is met and mass is saved."""
    levers: tuple[Lever, ...] = ("bracket sheet", "gusset sheet")
    if all(not step.taken for step in steps):
        levers = ("gusset sheet",)  # thinner sheet with these gussets and bolts was tried before
    for lever in levers:
        while len(steps) < MOST_STEPS:
            found = _tried(best, lever, -1, allowed, attempt)
            if found is None:
                break
            taken = found.use <= allowed.target and found.mass_kg < best.mass_kg
            steps.append(_step(lever, found, taken))
            if not taken:
                break
            best = found
    return best, tuple(steps)


def _lever(worst: Check | None, spent: set[Lever]) -> Lever | None:
    """The size that a check depends on most, of those not given up; other sizes follow where it is."""
    if worst is None:
        return None
    order: tuple[Lever, ...] = ("bracket sheet", "gusset sheet", "leg bolts", "gusset fillet throat")
    on_bolts = ("bolt", "thread", "slip", "separation", "bearing")
    if any(word in worst.name for word in on_bolts) and "-L" in worst.part:
        order = ("leg bolts", "bracket sheet")
    elif worst.name == "angle between mount and bar":
        order = ("bracket sheet",)
    elif "weld" in worst.name:
        order = ("gusset fillet throat", "gusset sheet", "bracket sheet")
    elif worst.name in ("free edge in compression", "plate buckling", "gusseted section", "box column of a standoff"):
        order = ("gusset sheet", "bracket sheet")
    return next((lever for lever in order if lever not in spent), None)


def _tried(
    best: Tried[P], lever: Lever, way: int, allowed: Range, attempt: Callable[[Chosen], Tried[P]]
) -> Tried[P] | None:
    """The neighbour of a choice along one size; None where there is none, or it cannot be made."""
    chosen = _moved(best.chosen, lever, way, allowed)
    if chosen is None:
        return None
    try:
        return attempt(chosen)
    except DesignError:
        return None


def _moved(chosen: Chosen, lever: Lever, way: int, allowed: Range) -> Chosen | None:
    sizes = chosen.sizes
    if lever == "leg bolts":
        at = LEG_BOLTS.index(chosen.leg_bolt) + way
        return replace(chosen, leg_bolt=LEG_BOLTS[at]) if 0 <= at < len(LEG_BOLTS) else None
    if lever == "bracket sheet":
        value = _next(sizes.sheet_mm, allowed.sheets_mm, way)
        moved = None if value is None else replace(sizes, sheet_mm=value)
    elif lever == "gusset sheet":
        value = _next(sizes.gusset_mm, GUSSETS_MM, way)
        moved = None if value is None else replace(sizes, gusset_mm=value)
    else:
        value = _next(sizes.throat_mm, THROATS_MM, way)
        moved = None if value is None else replace(sizes, throat_mm=value)
    if moved is None or moved.throat_mm > THROAT_SHARE * min(moved.sheet_mm, moved.gusset_mm) + 1e-9:
        return None
    return replace(chosen, sizes=moved)


def _next(value: float, listed: tuple[float, ...], way: int) -> float | None:
    """The next listed size above (way 1) or below (way -1)."""
    beyond = [v for v in listed if (v - value) * way > 1e-9]
    return min(beyond, key=lambda v: abs(v - value), default=None)


def _step(lever: Lever, tried: Tried[P], taken: bool) -> SizingStep:
    sizes = tried.chosen.sizes
    values = {
        "leg bolts": float(tried.chosen.leg_bolt[1:]), "bracket sheet": sizes.sheet_mm, "gusset sheet": sizes.gusset_mm,
        "gusset fillet throat": sizes.throat_mm,
    }  # fmt: skip
    worst = tried.worst
    driver = f"{worst.name}, {worst.part}, {worst.case}" if worst else "no check"
    return SizingStep(lever, values[lever], tried.use, driver, tried.mass_kg, taken)
