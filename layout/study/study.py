"""One arrangement, evaluated completely. A Study exists whole or not at all."""

from __future__ import annotations

from dataclasses import dataclass

from layout.arrangement import Arrangement, Insertion, SearchResult
from layout.balance.axles import Balance
from layout.balance.electrical import PackFigures
from layout.balance.items import Ahead, MassItem, MassProperties
from layout.box.design import BoxDesign
from layout.brackets.design import BracketDesign
from layout.checks import Check
from layout.design import Block
from layout.job.model import Job
from layout.loads.cases import LoadCase
from layout.loads.mounts import Mount, Reaction
from layout.loads.pulse_cases import PulseResponse


@dataclass(frozen=True)
class CaseForces:
    """One load case with what the pack does to each mount: the balance of the rigid pack, N, vehicle axes."""

    case: LoadCase
    forces: tuple[Reaction, ...]


@dataclass(frozen=True)
class SizingStep:
    """One size that was tried: what, its value in mm, the weakest check it gives, and whether it was taken."""

    what: str
    value_mm: float
    utilisation: float
    driver: str
    pack_kg: float
    taken: bool


@dataclass(frozen=True)
class Fit:
    """What the search and the judges of access say, for the arrangement that was taken. number: counts from 1."""

    search: SearchResult
    number: int
    insertions: tuple[Insertion, ...]
    removal_orders: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Study:
    """Job, arrangement and all that follows from them. Masses and centroids in vehicle axes, designs in the pack's frame."""

    job: Job
    fit: Fit
    arrangement: Arrangement
    box: BoxDesign
    brackets: tuple[BracketDesign, ...]
    equipment: tuple[Block, ...]
    pack_items: tuple[MassItem, ...]
    added_items: tuple[MassItem, ...]
    removed_items: tuple[MassItem, ...]
    pack: MassProperties
    ahead: Ahead
    balance: Balance
    electrical: PackFigures
    mounts: tuple[Mount, ...]
    cases: tuple[CaseForces, ...]
    pulses: tuple[PulseResponse, ...]
    checks: tuple[Check, ...]
    sizing: tuple[SizingStep, ...]
    cautions: tuple[str, ...]

    @property
    def ranked_checks(self) -> tuple[Check, ...]:
        """The weakest first; what could not be checked comes before all."""
        return tuple(sorted(self.checks, key=_weakness, reverse=True))

    @property
    def all_hold(self) -> bool:
        """True where every check was made and holds, and no rating is exceeded."""
        return all(c.holds for c in self.checks) and self.balance.ratings_held


def _weakness(check: Check) -> float:
    utilisation = check.utilisation
    return float("inf") if utilisation is None else utilisation
