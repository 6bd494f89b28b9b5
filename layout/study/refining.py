"""Sizes of the brackets beyond bar and sheet: leg bolts and their number, gussets, fillets; strengthened where a check asks,
then lightened.

From the bars and the sheet chosen before, the size that the weakest check depends on goes up by one standard step until the
job's target is met or no step helps. Where the target is still missed, the strongest brackets are tried with every size and
number of leg bolts. Where it is met, each size goes down again, one step at a time, as long as the target is met with less
mass. Nothing is taken that is weaker than before where the target is missed. Every step counts with its own masses and its
own sharing of the loads. Of choices that are used alike the lighter one is taken.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Generic, Literal, TypeVar

from layout.brackets.design import Sizes
from layout.brackets.pattern import LEG_BOLTS, LEG_ROWS
from layout.checks import Check
from layout.errors import DesignError
from layout.study.study import SizingStep

GUSSETS_MM = (5.0, 6.0, 8.0, 10.0)
"""Sheet of gussets (webs of standoffs): standard thicknesses that a fillet of 3.5 mm does not burn through."""
NO_GUSSETS_MM = 0.0
THROATS_MM = (3.5, 4.0, 5.0)
THROAT_SHARE = 0.7
"""Greatest throat over the thinner sheet: its leg is then as long as that sheet is thick (common practice, no source)."""
MOST_STEPS = 32
LEAST_GAIN = 0.99
"""A step that does not lower the utilisation by a hundredth is not worth its mass."""

P = TypeVar("P")
Lever = Literal[
    "leg bolts", "rows of leg bolts", "gusset sheet", "gusset fillet throat", "bracket sheet",
    "rows of leg bolts, all else largest",
]  # fmt: skip


@dataclass(frozen=True)
class Chosen:
    """Sizes of all brackets of a pack. leg_rows: rows of two leg bolts on each bar."""

    leg_bolt: str
    sizes: Sizes
    leg_rows: int = 2


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
    return _Search(first, allowed, attempt).run()


class _Search(Generic[P]):
    """A search for the lightest choice that meets the target. steps: what was tried, at most MOST_STEPS."""

    def __init__(self, first: Tried[P], allowed: Range, attempt: Callable[[Chosen], Tried[P]]) -> None:
        self.best, self.allowed, self.attempt = first, allowed, attempt
        self.steps: list[SizingStep] = []
        self.known: set[Chosen] = {first.chosen}

    def run(self) -> tuple[Tried[P], tuple[SizingStep, ...]]:
        """Stronger until the target is met or nothing helps, then lighter where it is met."""
        climbed = self._climb()
        if self.best.use > self.allowed.target:
            climbed = self._strongest() or climbed
        if self.best.use <= self.allowed.target:
            self._lighten(climbed)
        return self.best, tuple(self.steps)

    def _climb(self) -> bool:
        """One step at a time along the size that the weakest check depends on; whether a step was taken."""
        spent, climbed = set[Lever](), False
        while self.best.use > self.allowed.target and len(self.steps) < MOST_STEPS:
            lever = _lever(self.best.worst, spent)
            if lever is None:
                break
            found = self._tried(lever, _moved(self.best.chosen, lever, 1, self.allowed))
            if found is not None and self._note(lever, found, taken=found.use < LEAST_GAIN * self.best.use):
                climbed = True
                spent = set()
            else:
                spent.add(lever)
        return climbed

    def _strongest(self) -> bool:
        """The thickest brackets with each size and number of leg bolts, few and small ones first; whether one was taken.

        Steps that help only together are found so: the first that meets the target, else the one used least.
        """
        least: tuple[Tried[P], int] | None = None
        sheet = self._thickest()
        for rows in LEG_ROWS:
            for bolts in LEG_BOLTS:
                found = self._tried("rows of leg bolts, all else largest", _strongest(bolts, rows, sheet))
                if found is None:
                    continue
                self._note("rows of leg bolts, all else largest", found, taken=False)
                if least is None or (found.use, found.mass_kg) < (least[0].use, least[0].mass_kg):
                    least = found, len(self.steps) - 1
                if found.use <= self.allowed.target:
                    break
            if least is not None and least[0].use <= self.allowed.target:
                break
        if least is None or least[0].use >= LEAST_GAIN * self.best.use:
            return False
        self.best = least[0]
        self.steps[least[1]] = replace(self.steps[least[1]], taken=True)
        return True

    def _thickest(self) -> float:
        """The thickest sheet of which brackets with the leg bolts of the best choice can be made."""
        now = self.best.chosen
        for sheet in sorted((s for s in self.allowed.sheets_mm if s > now.sizes.sheet_mm), reverse=True):
            chosen = _strongest(now.leg_bolt, now.leg_rows, sheet)
            found = self._tried("bracket sheet", chosen)
            if found is not None:
                self.known.discard(chosen)  # looked at again in its turn
                return sheet
        return now.sizes.sheet_mm

    def _lighten(self, climbed: bool) -> None:
        """Each size down a step at a time while the target is met and mass is saved."""
        levers: tuple[Lever, ...] = (
            ("rows of leg bolts", "leg bolts", "bracket sheet", "gusset sheet", "gusset fillet throat")
            if climbed
            else ("gusset sheet",)
        )  # unchanged, thinner sheet with these gussets and bolts was tried before
        for lever in levers:
            while len(self.steps) < MOST_STEPS:
                found = self._tried(lever, _moved(self.best.chosen, lever, -1, self.allowed))
                if found is None:
                    break
                if not self._note(lever, found, taken=found.use <= self.allowed.target and found.mass_kg < self.best.mass_kg):
                    break

    def _note(self, lever: Lever, found: Tried[P], *, taken: bool) -> bool:
        self.steps.append(_step(lever, found, taken))
        if taken:
            self.best = found
        return taken

    def _tried(self, lever: Lever, chosen: Chosen | None) -> Tried[P] | None:
        """What comes of a choice; None where there is none, it was tried before, or it cannot be made (then said so)."""
        if chosen is None or chosen in self.known or len(self.steps) >= MOST_STEPS:
            return None
        self.known.add(chosen)
        try:
            return self.attempt(chosen)
        except DesignError as error:
            why = f"{error.part}: {error.rule} ({error.figure})"
            self.steps.append(SizingStep(lever, _value(lever, chosen), None, why, 0.0, False, _words(chosen)))
            return None


def _strongest(leg_bolt: str, rows: int, sheet: float) -> Chosen:
    gusset = GUSSETS_MM[-1]
    throat = max(t for t in THROATS_MM if t <= THROAT_SHARE * min(sheet, gusset) + 1e-9 or t == THROATS_MM[0])
    return Chosen(leg_bolt, Sizes(sheet, gusset, throat), rows)


def _lever(worst: Check | None, spent: set[Lever]) -> Lever | None:
    """The size that a check depends on most, of those not given up; other sizes follow where it is."""
    if worst is None:
        return None
    order: tuple[Lever, ...] = ("bracket sheet", "gusset sheet", "leg bolts", "rows of leg bolts", "gusset fillet throat")
    if "-L" in worst.part:  # under the pull of one leg bolt
        order = ("bracket sheet", "rows of leg bolts", "gusset sheet", "leg bolts", "gusset fillet throat")
    on_bolts = ("bolt", "thread", "slip", "separation", "bearing")
    if any(word in worst.name for word in on_bolts) and "-L" in worst.part:
        order = ("leg bolts", "rows of leg bolts", "bracket sheet")
    elif worst.name == "angle between mount and bar":
        order = ("bracket sheet",)
    elif "weld" in worst.name:
        order = ("gusset fillet throat", "gusset sheet", "bracket sheet")
    elif worst.name in ("free edge in compression", "plate buckling", "gusseted section", "box column of a standoff"):
        order = ("gusset sheet", "bracket sheet")
    return next((lever for lever in order if lever not in spent), None)


def _moved(chosen: Chosen, lever: Lever, way: int, allowed: Range) -> Chosen | None:
    sizes = chosen.sizes
    if lever == "leg bolts":
        at = LEG_BOLTS.index(chosen.leg_bolt) + way
        return replace(chosen, leg_bolt=LEG_BOLTS[at]) if 0 <= at < len(LEG_BOLTS) else None
    if lever == "rows of leg bolts":
        at = LEG_ROWS.index(chosen.leg_rows) + way
        return replace(chosen, leg_rows=LEG_ROWS[at]) if 0 <= at < len(LEG_ROWS) else None
    if lever == "bracket sheet":
        value = _next(sizes.sheet_mm, allowed.sheets_mm, way)
        moved = None if value is None else replace(sizes, sheet_mm=value)
    elif lever == "gusset sheet":
        value = _next(sizes.gusset_mm, (NO_GUSSETS_MM, *GUSSETS_MM), way)
        moved = None if value is None else replace(sizes, gusset_mm=value)
    else:
        value = _next(sizes.throat_mm, THROATS_MM, way)
        moved = None if value is None else replace(sizes, throat_mm=value)
    if moved is None:
        return None
    most = THROAT_SHARE * min(moved.sheet_mm, moved.gusset_mm or math.inf) + 1e-9
    if moved.throat_mm > most and way < 0:  # a thinner sheet takes its fillets down with it
        moved = replace(moved, throat_mm=max((t for t in THROATS_MM if t <= most), default=moved.throat_mm))
    return replace(chosen, sizes=moved) if moved.throat_mm <= most else None


def _next(value: float, listed: tuple[float, ...], way: int) -> float | None:
    """The next listed size above (way 1) or below (way -1)."""
    beyond = [v for v in listed if (v - value) * way > 1e-9]
    return min(beyond, key=lambda v: abs(v - value), default=None)


def missed_target(steps: tuple[SizingStep, ...], target: float) -> tuple[str, ...]:
    """What a reader must know where no choice of sizes that was tried meets the job's target."""
    return tuple(
        f"Sizing: no standard {step.what if _kind(step) in OTHER_SIZES else 'size of the brackets'} that was tried brings the"
        f" weakest check down to the target of {target:g}; the best found is used {step.utilisation:.2f}: {step.driver}."
        f"{THICKER if step.what in BARS else ''}"
        for step in final_sizes(steps)
        if step.utilisation is not None and step.utilisation > target
    )


def final_sizes(steps: tuple[SizingStep, ...]) -> tuple[SizingStep, ...]:
    """The last sizes taken: of brackets those of the last step, of other parts each its own."""
    taken = [step for step in steps if step.taken and step.utilisation is not None]
    others = {_kind(step): step for step in taken if _kind(step) in OTHER_SIZES}
    return (*others.values(), *[step for step in taken if _kind(step) not in OTHER_SIZES][-1:])


def _kind(step: SizingStep) -> str:
    return step.what.split(",")[0]


BARS = ("mounting bar width",)
THICKER = " Thicker bars help (job file: box.bar)."
"""What is said where no width of BARS is enough."""
OTHER_SIZES = ("mounting bar width", "bars under the modules", "posts", "floor ribs")
"""Sizes that are chosen one by one; those of brackets depend on one another."""


def _value(lever: Lever, chosen: Chosen) -> float:
    """Size along one lever, mm; of rows their number."""
    sizes = chosen.sizes
    if lever.startswith("rows"):
        return float(chosen.leg_rows)
    values = {
        "leg bolts": float(chosen.leg_bolt[1:]), "bracket sheet": sizes.sheet_mm, "gusset sheet": sizes.gusset_mm,
        "gusset fillet throat": sizes.throat_mm,
    }  # fmt: skip
    return values[lever]


def _words(chosen: Chosen) -> str:
    sizes = chosen.sizes
    gussets = f"gussets {sizes.gusset_mm:g}, throat {sizes.throat_mm:g} mm" if sizes.gusset_mm else "no gussets"
    return f"{2 * chosen.leg_rows} {chosen.leg_bolt} on a bar, sheet {sizes.sheet_mm:g}, {gussets}"


def _step(lever: Lever, tried: Tried[P], taken: bool) -> SizingStep:
    worst = tried.worst
    driver = f"{worst.name}, {worst.part}, {worst.case}" if worst else "no check"
    return SizingStep(lever, _value(lever, tried.chosen), tried.use, driver, tried.mass_kg, taken, _words(tried.chosen))
