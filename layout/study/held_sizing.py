"""The box of an arrangement with bars under the modules as wide as they must be."""

from __future__ import annotations

from layout.arrangement import Arrangement
from layout.box.carrier_plan import WIDTHS_MM
from layout.box.design import BoxDesign
from layout.box.shell import Shell
from layout.box.soft import density_kg_m3
from layout.box.welded import design_box
from layout.brackets.plan import BracketPlan
from layout.design.mass import body_mass
from layout.job.model import Job
from layout.loads.cases import cases_of
from layout.study.held_modules import Held, bar_checks_of
from layout.study.study import SizingStep


def held_box(
    job: Job, arrangement: Arrangement, shell: Shell, plans: tuple[BracketPlan, ...]
) -> tuple[BoxDesign, tuple[SizingStep, ...]]:
    """The narrowest stock of bar that holds as many modules as any and meets the job's target; else the best one tried.

    pack_kg of a step: mass of the bars alone.
    """
    cases = cases_of(job)
    tried: list[tuple[int, float, BoxDesign, SizingStep]] = []
    for width in WIDTHS_MM:
        box = design_box(job, arrangement.inside, shell, plans, arrangement, width)
        checks = bar_checks_of(Held(box, arrangement, cases))
        worst = max(checks, key=lambda c: c.utilisation or 0.0, default=None)
        use = (worst.utilisation or 0.0) if worst else 0.0
        driver = f"{worst.name}, {worst.part}, {worst.case}" if worst else "no bar"
        lost = len(box.carriers.unheld)
        if tried and lost > tried[0][0]:
            break
        tried.append((lost, use, box, SizingStep("bars under the modules, least width", width, use, driver, _bars_kg(box), False)))
        if use <= job.crash.target_utilisation:
            break
    best = min(range(len(tried)), key=lambda i: (tried[i][0], max(tried[i][1], job.crash.target_utilisation)))
    steps = tuple(
        SizingStep(s.what, s.value_mm, s.utilisation, s.driver, s.pack_kg, i == best) for i, (*_, s) in enumerate(tried)
    )
    return tried[best][2], steps


def _bars_kg(box: BoxDesign) -> float:
    names = {bar.number for bar in box.carriers.bars}
    return sum(body_mass(p, density_kg_m3).mass_kg for p in box.plates if p.number in names)
