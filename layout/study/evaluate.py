"""Job and arrangement -> Study: design, weigh, load, check."""

from __future__ import annotations

from pathlib import Path

from layout.arrangement import Arrangement, SearchResult
from layout.balance.figures import balance_figures
from layout.box.charge_inlet import loose_parts
from layout.brackets.design import BracketDesign
from layout.errors import DesignError
from layout.job.model import Job
from layout.job.module import ModuleType
from layout.space.bay import Bay
from layout.study.access import fit_of
from layout.study.cautions import study_cautions
from layout.study.masses import equipment_blocks
from layout.study.refining import final_sizes, missed_target
from layout.study.sizing import designed_pack
from layout.study.strength import Design, all_checks
from layout.study.study import SizingStep, Study
from layout.study.tool_access import tool_cautions, tool_ways


def evaluate(job: Job, bay: Bay, search: SearchResult, number: int, around: Bay | None = None) -> Study:
    """The complete study of arrangement `number` (from 1) of a search.

    around: the bay with what brackets must keep clear of, where that is more than what the box does.

    Raises:
        DesignError: no box or bracket can be made of it, or the mounts leave it a free motion.
    """
    arrangement = search.arrangements[number - 1]
    designed = designed_pack(job, around or bay, arrangement)
    box, brackets, items, loading = designed.box, designed.brackets, designed.items, designed.loading
    missed = missed_target(designed.sizing, job.crash.target_utilisation)
    figures = balance_figures(job, items, wired_types(arrangement))
    fit = fit_of(job, bay, search, number, box.shell, box.carriers)
    tools = tool_ways(job, around or bay, arrangement, box, brackets, fit.insertions[number - 1])
    notes = (*loading.notes, *order_notes(brackets), *missed, *tool_cautions(tools))
    return Study(
        job=job,
        fit=fit,
        arrangement=arrangement,
        box=box,
        brackets=brackets,
        equipment=equipment_blocks(job, arrangement),
        pack_items=items,
        figures=figures,
        mounts=designed.mounts,
        cases=loading.cases,
        pulses=loading.pulses,
        checks=all_checks(Design(job, arrangement, box, brackets, items), loading.shares),
        sizing=designed.sizing,
        cautions=study_cautions(job, arrangement, box, figures.balance, notes),
        loose=loose_parts(job),
        tools=tools,
    )


def order_notes(brackets: tuple[BracketDesign, ...]) -> tuple[str, ...]:
    """What must be bolted before what, where a bracket asks for it."""
    numbers = ", ".join(b.number for b in brackets if b.column is not None)
    if not numbers:
        return ()
    return (
        f"Order: bolt {numbers} to the vehicle first, the socket passing through the hole in the spreader; then set the box and"
        " turn in the bolts of the spreaders from the side.",
    )


def first_that_can_be_made(job: Job, bay: Bay, search: SearchResult) -> tuple[Study, tuple[str, ...]]:
    """The study of the best ranked arrangement whose modules and equipment all find hold, in a box and brackets of standard
    sizes that carry their loads; and why those before it were passed over.

    Where there is none, the one that leaves the fewest without hold, of these the one whose sizes are used least.

    Raises:
        DesignError: none of them can be designed; the error of the first.
    """
    reasons: list[str] = []
    first: DesignError | None = None
    best: tuple[tuple[int, float], Study, int] | None = None
    for number in range(1, len(search.arrangements) + 1):
        try:
            study = evaluate(job, bay, search, number)
        except DesignError as error:
            first = first or error
            reasons.append(f"arrangement {number}: {error}")
            continue
        loose = len(study.box.carriers.unheld) + len(study.box.carriers.unfixed)
        over = [s for s in final_sizes(study.sizing) if s.utilisation is not None and s.utilisation > 1.0]
        short = (loose, max((s.utilisation or 0.0 for s in over), default=1.0))
        if best is None or short < best[0]:
            best = (short, study, len(reasons))
        if short == (0, 1.0):
            return study, tuple(reasons)
        reasons.append(f"arrangement {number}: {_without_hold(study, over)}")
    if best is not None:
        return best[1], tuple(reasons[: best[2]])
    assert first is not None
    raise first


def _without_hold(study: Study, over: list[SizingStep]) -> str:
    """Which modules and pieces of equipment find no hold, and which sizes do not carry their loads, in words."""
    carriers = study.box.carriers
    said = [f"{len(carriers.unheld)} of its modules cannot be held by bars"] if carriers.unheld else []
    said += [f"{name} is not fixed: {why}" for name, why in carriers.unfixed]
    return "; ".join([*said, *(f"{s.what}: the strongest tried is used {s.utilisation:.2f} by {s.driver}" for s in over)])


def wired_types(arrangement: Arrangement) -> tuple[ModuleType, ...]:
    """Types of the modules in order of connection, string after string; in order of placing where nothing is wired."""
    by_id = {m.id: m.kind for m in arrangement.modules}
    if arrangement.wiring and arrangement.wiring.strings:
        return tuple(by_id[name] for string in arrangement.wiring.strings for name in string)
    return tuple(m.kind for m in arrangement.modules)


def job_folder(path: Path) -> Path:
    """Folder in which files named by a job lie."""
    return path.resolve().parent
