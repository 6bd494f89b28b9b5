"""Job and arrangement -> Study: design, weigh, load, check."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from layout.arrangement import Arrangement, SearchResult
from layout.balance.axles import axle_loads
from layout.balance.electrical import pack_figures
from layout.balance.items import ahead_of_axle, total
from layout.box import Shell, shell_of
from layout.box.design import BoxDesign
from layout.box.welded import design_box
from layout.brackets.angle import design_bracket
from layout.brackets.design import BracketDesign
from layout.brackets.plan import plan_options
from layout.errors import DesignError
from layout.job.model import Job
from layout.job.module import ModuleType
from layout.loads.cases import cases_of
from layout.space.bay import Bay
from layout.study.access import access_of
from layout.study.cautions import study_cautions
from layout.study.clearance import bracket_conflicts
from layout.study.forces import case_forces, mounts_of
from layout.study.masses import added_items, equipment_blocks, pack_items, removed_items
from layout.study.strength import all_checks
from layout.study.study import Fit, Study


@dataclass(frozen=True)
class Designed:
    """Box and brackets of one arrangement."""

    box: BoxDesign
    brackets: tuple[BracketDesign, ...]


def evaluate(job: Job, bay: Bay, search: SearchResult, number: int) -> Study:
    """The complete study of arrangement `number` (from 1) of a search.

    Raises:
        DesignError: no box or bracket can be made of it, or the mounts leave it a free motion.
    """
    arrangement = search.arrangements[number - 1]
    designed = design(job, bay, arrangement)
    box, brackets = designed.box, designed.brackets
    items = pack_items(job, arrangement, box, brackets)
    added, removed = added_items(job), removed_items(job)
    pack = total(items)
    balance = axle_loads(job.vehicle, removed, (*items, *added))
    mounts = mounts_of(brackets, arrangement.frame)
    cases = case_forces(job, mounts, pack, cases_of(job))
    insertions, orders = access_of(job, bay, search, box.shell)
    return Study(
        job=job,
        fit=Fit(search, number, insertions, orders),
        arrangement=arrangement,
        box=box,
        brackets=brackets,
        equipment=equipment_blocks(job, arrangement),
        pack_items=items,
        added_items=added,
        removed_items=removed,
        pack=pack,
        ahead=ahead_of_axle(items),
        balance=balance,
        electrical=pack_figures(job, len(arrangement.modules), wired_types(arrangement)),
        mounts=mounts,
        cases=cases,
        checks=all_checks(job, arrangement, box, brackets, cases, items),
        cautions=study_cautions(job, arrangement, box, balance),
    )


def design(job: Job, bay: Bay, arrangement: Arrangement) -> Designed:
    """Box and brackets; of the ways to reach the mount points, the shortest whose brackets run into nothing.

    Raises:
        DesignError: a mount that no bracket reaches, or brackets that meet something whichever way they go.
    """
    shell: Shell = shell_of(job)
    trouble: DesignError | None = None
    for plans in plan_options(job, arrangement.frame, arrangement.inside, shell):
        try:
            brackets = tuple(design_bracket(job, plan, arrangement.inside, shell) for plan in plans)
            conflicts = bracket_conflicts(bay, arrangement, shell, brackets)
        except DesignError as error:
            trouble = trouble or error
            continue
        if not conflicts:
            return Designed(design_box(job, arrangement.inside, shell, plans), brackets)
        first = conflicts[0]
        trouble = trouble or DesignError(
            first.what,
            f"brackets keep clear of what is in the bay; here: {first.with_what}",
            f"{first.got_mm:.1f} mm",
            "Choose another arrangement, or another kind of bracket at this mount.",
        )
    assert trouble is not None
    raise trouble


def first_that_can_be_made(job: Job, bay: Bay, search: SearchResult) -> tuple[Study, tuple[str, ...]]:
    """The study of the best ranked arrangement that can be designed, and why those before it could not.

    Raises:
        DesignError: none of them can; the error of the first.
    """
    reasons: list[str] = []
    first: DesignError | None = None
    for number in range(1, len(search.arrangements) + 1):
        try:
            return evaluate(job, bay, search, number), tuple(reasons)
        except DesignError as error:
            first = first or error
            reasons.append(f"arrangement {number}: {error}")
    assert first is not None
    raise first


def wired_types(arrangement: Arrangement) -> tuple[ModuleType, ...]:
    """Types of the modules in order of connection, string after string; in order of placing where nothing is wired."""
    by_id = {m.id: m.kind for m in arrangement.modules}
    if arrangement.wiring and arrangement.wiring.strings:
        return tuple(by_id[name] for string in arrangement.wiring.strings for name in string)
    return tuple(m.kind for m in arrangement.modules)


def job_folder(path: Path) -> Path:
    """Folder in which files named by a job lie."""
    return path.resolve().parent
