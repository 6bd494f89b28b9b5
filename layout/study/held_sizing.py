"""The box of an arrangement with bars under the modules as wide as they must be."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from layout.arrangement import Arrangement
from layout.box.bar_joining import WIDTHS_MM
from layout.box.construct import constructed_box
from layout.box.design import BoxDesign
from layout.box.posts import POST_WIDTHS_MM
from layout.box.shell import Shell
from layout.box.soft import density_kg_m3
from layout.brackets.plan import BracketPlan
from layout.checks import Check
from layout.design.mass import body_mass
from layout.job.model import Job
from layout.loads.cases import LoadCase, cases_of
from layout.study.held_modules import Held, bar_checks_of
from layout.study.held_posts import post_checks
from layout.study.study import SizingStep


def held_box(
    job: Job, arrangement: Arrangement, shell: Shell, plans: tuple[BracketPlan, ...]
) -> tuple[BoxDesign, tuple[SizingStep, ...]]:
    """The narrowest stock of bars, then of posts, that holds as many modules as any and meets the job's target.

    pack_kg of a step: mass of bars and posts alone.
    """
    frame = _Sizing(job, arrangement, shell, plans, cases_of(job))
    pairs = [(w, POST_WIDTHS_MM[0]) for w in WIDTHS_MM]
    bar, bar_steps, box = frame.chosen("bars under the modules, least width", pairs, bar_checks_of)
    if not box.carriers.posts:
        return box, bar_steps
    _, post_steps, box = frame.chosen("posts, least width", [(bar[0], w) for w in POST_WIDTHS_MM], post_checks)
    return box, (*bar_steps, *post_steps)


@dataclass(frozen=True)
class _Sizing:
    job: Job
    arrangement: Arrangement
    shell: Shell
    plans: tuple[BracketPlan, ...]
    cases: tuple[LoadCase, ...]

    def chosen(
        self, what: str, widths: list[tuple[float, float]], checks_of: Callable[[Held], list[Check]]
    ) -> tuple[tuple[float, float], tuple[SizingStep, ...], BoxDesign]:
        """Tries widths in turn until the target is met or modules are lost; the best of those tried."""
        target = self.job.crash.target_utilisation
        tried: list[tuple[int, float, BoxDesign, SizingStep]] = []
        for pair in widths:
            box = constructed_box(self.job, self.arrangement.inside, self.shell, self.plans, self.arrangement, pair)
            lost = len(box.carriers.unheld)
            if tried and lost > tried[0][0]:
                break
            worst = max(checks_of(Held(box, self.arrangement, self.cases)), key=lambda c: c.utilisation or 0.0, default=None)
            use = (worst.utilisation or 0.0) if worst else 0.0
            driver = f"{worst.name}, {worst.part}, {worst.case}" if worst else "nothing"
            value = pair[1] if what.startswith("posts") else pair[0]
            tried.append((lost, use, box, SizingStep(what, value, use, driver, _bars_kg(box), False)))
            if use <= target:
                break
        best = min(range(len(tried)), key=lambda i: max(tried[i][1], target))
        steps = tuple(replace(s, taken=i == best) for i, (*_, s) in enumerate(tried))
        return widths[best], steps, tried[best][2]


def _bars_kg(box: BoxDesign) -> float:
    names = {bar.number for bar in box.carriers.bars} | {post.number for post in box.carriers.posts}
    return sum(body_mass(p, density_kg_m3).mass_kg for p in box.plates if p.number in names)
