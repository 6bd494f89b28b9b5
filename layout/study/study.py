"""One arrangement, evaluated completely. A Study exists whole or not at all."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from layout.arrangement import Arrangement, Insertion, SearchResult
from layout.balance.axles import Balance
from layout.balance.electrical import PackFigures
from layout.balance.figures import BalanceFigures
from layout.balance.items import Ahead, MassItem, MassProperties
from layout.box.design import BoxDesign
from layout.brackets.design import BracketDesign
from layout.checks import Check
from layout.design import Block, FoldedPlate, Plate
from layout.design.sheet_rules import Finding
from layout.fe.figures import Fe, NoFe
from layout.job.model import Job
from layout.loads.cases import LoadCase
from layout.loads.mounts import Mount, Reaction
from layout.loads.pulse_cases import PulseResponse
from layout.space.access import Access
from layout.space.removal import Lift
from layout.study.findings import RuleRow, rule_rows, sheet_findings
from layout.study.tool_access import ToolWay


@dataclass(frozen=True)
class CaseForces:
    """One load case with what the pack does to each mount: the balance of the rigid pack, N, vehicle axes.

    box: where the case is that of one box among several alone, which; its forces then sum to that box's load.
    """

    case: LoadCase
    forces: tuple[Reaction, ...]
    box: str = ""


@dataclass(frozen=True)
class SizingStep:
    """One size that was tried: what, its value in mm (rows: their number), the weakest check then, and whether it was taken.

    utilisation: None where it cannot be made; driver then says why. with_sizes: all sizes of the brackets of that trial, in
    words, where it is one of them that changed.
    """

    what: str
    value_mm: float
    utilisation: float | None
    driver: str
    pack_kg: float
    taken: bool
    with_sizes: str = ""


@dataclass(frozen=True)
class Fit:
    """What the search and the judges of access say, for the arrangement that was taken. number: counts from 1.

    insertions, lifts: one per arrangement of the search. access: to covers and terminals in the arrangement
    taken. space_notes: volume and parts of the bay's free space.
    """

    search: SearchResult
    number: int
    insertions: tuple[Insertion, ...]
    lifts: tuple[tuple[Lift, ...], ...]
    access: tuple[Access, ...] = ()
    space_notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Study:
    """Job, arrangement and all that follows from them. Masses and centroids in vehicle axes, designs in the pack's frame.

    fe: the finite element run where one was asked for, or why there is none.
    """

    job: Job
    fit: Fit
    arrangement: Arrangement
    box: BoxDesign
    brackets: tuple[BracketDesign, ...]
    equipment: tuple[Block, ...]
    pack_items: tuple[MassItem, ...]
    figures: BalanceFigures
    mounts: tuple[Mount, ...]
    cases: tuple[CaseForces, ...]
    pulses: tuple[PulseResponse, ...]
    checks: tuple[Check, ...]
    sizing: tuple[SizingStep, ...]
    cautions: tuple[str, ...]
    fe: Fe | NoFe | None = None
    loose: tuple[FoldedPlate, ...] = ()
    """Parts that the job asks for and that are no part of the pack: not weighed, not placed."""
    tools: tuple[ToolWay, ...] = ()
    """With which tool every bolt is tightened, in the order of assembly, and what is in the way."""
    neighbours: tuple[str, ...] = ()
    """Of one box among several, for its sheets: what there is beside it, and how it is connected. The balance is then that of
    the vehicle with all boxes."""

    @property
    def added_items(self) -> tuple[MassItem, ...]:
        """What came in beside the pack."""
        return self.figures.items[len(self.pack_items) :]

    @property
    def removed_items(self) -> tuple[MassItem, ...]:
        """What left the vehicle."""
        return self.figures.removed

    @property
    def pack(self) -> MassProperties:
        """Mass, centroid and inertia of all that the mounts carry."""
        return self.figures.pack

    @property
    def ahead(self) -> Ahead:
        """What of the pack lies ahead of the axle."""
        return self.figures.ahead

    @property
    def balance(self) -> Balance:
        """Axle loads before and after."""
        return self.figures.balance

    @property
    def electrical(self) -> PackFigures:
        """Voltages, energy, charge time."""
        return self.figures.electrical

    @cached_property
    def findings(self) -> tuple[tuple[Plate | FoldedPlate, tuple[Finding, ...]], ...]:
        """Sheet rules applied to every sheet part."""
        return sheet_findings(self.job, self.box, self.brackets, self.loose)

    @cached_property
    def rules(self) -> tuple[RuleRow, ...]:
        """One row per sheet part and rule."""
        return rule_rows(self.findings)

    @property
    def all_cautions(self) -> tuple[str, ...]:
        """Cautions; then what must be asked of the press, and the sheet rules that are broken."""
        folded = self.box.folded
        notes = (*self.box.notes, *(folded.notes if folded else ()))
        return (*self.cautions, *notes, *(row.words for row in self.rules if row.broken))

    @property
    def ranked_checks(self) -> tuple[Check, ...]:
        """The weakest first; what could not be checked comes before all."""
        return tuple(sorted(self.checks, key=weakness, reverse=True))

    @property
    def all_hold(self) -> bool:
        """True where every check was made and holds, and no rating is exceeded."""
        return all(c.holds for c in self.checks) and self.balance.ratings_held


def weakness(check: Check) -> float:
    """Utilisation to sort by; what could not be checked counts as the weakest."""
    utilisation = check.utilisation
    return float("inf") if utilisation is None else utilisation
