"""Several boxes evaluated completely: a Study of each, and what they are together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from layout.balance.axles import Balance
from layout.balance.electrical import PackFigures
from layout.balance.figures import BalanceFigures
from layout.balance.items import Ahead, MassItem, MassProperties
from layout.checks import Check
from layout.design import Assembly, FoldedPlate, Plate
from layout.design.sheet_rules import Finding
from layout.fe.figures import Fe, NoFe
from layout.job.model import Job
from layout.loads.mounts import Mount
from layout.loads.pulse_cases import PulseResponse
from layout.several.cables import cables_of
from layout.several.jobs import prefix_of
from layout.several.model import PackArrangement
from layout.several.ways import PackFit
from layout.study.assembly import pack_assembly
from layout.study.findings import RuleRow
from layout.study.study import CaseForces, SizingStep, Study, weakness


@dataclass(frozen=True)
class PackStudy:
    """Job, arrangement in several boxes, the study of each box (of the box's own job), and the balance of all of them.

    What it has in common with Study bears the same names. Names of parts carry their box's prefix.
    """

    job: Job
    fit: PackFit
    arrangement: PackArrangement
    studies: tuple[Study, ...]
    pack_items: tuple[MassItem, ...]
    figures: BalanceFigures
    cautions: tuple[str, ...]
    fe: Fe | NoFe | None = None

    @property
    def boxes(self) -> tuple[tuple[str, Study], ...]:
        """Each box's prefix and study."""
        return tuple((prefix_of(k), study) for k, study in enumerate(self.studies, start=1))

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
        """Mass, centroid and inertia of all that the mounts of all boxes carry."""
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
        """Voltages, energy, charge time of the whole pack."""
        return self.figures.electrical

    @property
    def mounts(self) -> tuple[Mount, ...]:
        """The mounts of all boxes."""
        return tuple(m for study in self.studies for m in study.mounts)

    @cached_property
    def cases(self) -> tuple[CaseForces, ...]:
        """Load cases with the mounts of all boxes; one per box where they do not accelerate alike (a pulse's answer)."""
        named: dict[str, list[tuple[str, CaseForces]]] = {}
        for prefix, study in self.boxes:
            for case in study.cases:
                named.setdefault(case.case.name, []).append((prefix, case))
        return tuple(case for members in named.values() for case in _joined(members, len(self.studies)))

    @property
    def pulses(self) -> tuple[PulseResponse, ...]:
        """Answers to the pulses, box after box."""
        return tuple(p for study in self.studies for p in study.pulses)

    @cached_property
    def checks(self) -> tuple[Check, ...]:
        """The checks of all boxes."""
        names = {case.case.name for case in self.cases}
        return tuple(_of_box(c, prefix, study, names) for prefix, study in self.boxes for c in study.checks)

    @property
    def sizing(self) -> tuple[SizingStep, ...]:
        """What was tried for each box."""
        return tuple(replace(s, what=f"{prefix} {s.what}") for prefix, study in self.boxes for s in study.sizing)

    @property
    def findings(self) -> tuple[tuple[Plate | FoldedPlate, tuple[Finding, ...]], ...]:
        """Sheet rules applied to every sheet part."""
        return tuple(row for study in self.studies for row in study.findings)

    @property
    def loose(self) -> tuple[FoldedPlate, ...]:
        """Parts that the job asks for and that are no part of the pack."""
        return tuple(part for study in self.studies for part in study.loose)

    @property
    def rules(self) -> tuple[RuleRow, ...]:
        """One row per sheet part and rule."""
        return tuple(row for study in self.studies for row in study.rules)

    @property
    def all_cautions(self) -> tuple[str, ...]:
        """Cautions; then what must be asked of the press, and the sheet rules that are broken."""
        return tuple(dict.fromkeys([*self.cautions, *(c for s in self.studies for c in s.all_cautions[len(s.cautions) :])]))

    @cached_property
    def ranked_checks(self) -> tuple[Check, ...]:
        """The weakest first; what could not be checked comes before all."""
        return tuple(sorted(self.checks, key=weakness, reverse=True))

    @property
    def all_hold(self) -> bool:
        """True where every check of every box was made and holds, and no rating is exceeded."""
        return all(c.holds for c in self.checks) and self.balance.ratings_held

    @property
    def neighbours(self) -> tuple[str, ...]:
        """Sentences for the sheet of all boxes: their sheets, the order in which they go in, the cables between them."""
        order = " before ".join(prefix_of(k) for k in self.fit.ways[self.fit.number - 1].order)
        cables = (f"{c.name.capitalize()} runs {c.words}." for c in cables_of(self.job, self.arrangement))
        return (f"{len(self.studies)} boxes, each with sheets of its own; they go in {order}.", *cables)

    @property
    def unheld(self) -> int:
        """Modules that no bars hold."""
        return sum(len(study.box.carriers.unheld) for study in self.studies)


def _joined(members: list[tuple[str, CaseForces]], boxes: int) -> Iterator[CaseForces]:
    """The cases of one name as one where all boxes accelerate alike, else one for each box, which it names."""
    first = members[0][1].case
    if len(members) == boxes and all(c.case.acceleration_g == first.acceleration_g for _, c in members):
        yield CaseForces(first, tuple(force for _, c in members for force in c.forces))
        return
    for prefix, one in members:
        yield CaseForces(replace(one.case, name=case_of_box(one.case.name, prefix)), one.forces, prefix)


def case_of_box(name: str, prefix: str) -> str:
    """What a case is called that is one box's alone."""
    return f"{name}, box {prefix}"


def _of_box(check: Check, prefix: str, study: Study, names: set[str]) -> Check:
    """A check with its box in the part's name, and in the case's where the case is the box's own."""
    own = study.job.job.drawing_number
    part = check.part if own in check.part else f"{prefix} {check.part}"
    case = check.case if check.case in names else _case(check.case, prefix, names)
    return replace(check, part=part, case=case)


def _case(name: str, prefix: str, names: set[str]) -> str:
    own = case_of_box(name, prefix)
    return own if own in names else name


AnyStudy = Study | PackStudy
"""What the outputs take: one box, or several."""


def boxes_of(study: AnyStudy) -> tuple[Study, ...]:
    """The study of each box: of a single one, itself."""
    return study.studies if isinstance(study, PackStudy) else (study,)


def labelled_boxes(study: AnyStudy) -> tuple[tuple[str, Study], ...]:
    """The same with what stands before a box's name: "" where there is only one, else "box B1: " and so on."""
    if isinstance(study, PackStudy):
        return tuple((f"box {prefix}: ", one) for prefix, one in study.boxes)
    return (("", study),)


def whole_assembly(study: AnyStudy) -> Assembly:
    """All that is built, in the pack's frame: of several boxes, a sub-assembly for each."""
    if isinstance(study, Study):
        return pack_assembly(study)
    return Assembly(study.job.job.drawing_number, children=tuple(pack_assembly(one) for one in study.studies))
