"""The box of an arrangement with bars under the modules as wide as they must be."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from layout.arrangement import Arrangement
from layout.box.bar_joining import WIDTHS_MM
from layout.box.construct import constructed_box
from layout.box.design import BoxDesign
from layout.box.posts import POST_WIDTHS_MM
from layout.box.ribs import RIB_PITCHES_MM
from layout.box.shell import Shell
from layout.box.soft import density_kg_m3
from layout.brackets.plan import BracketPlan
from layout.checks import Check
from layout.checks.road import with_road_margin
from layout.design.mass import body_mass
from layout.errors import DesignError
from layout.job.model import Job
from layout.loads.cases import LoadCase, cases_of
from layout.study.held_modules import Held, bar_checks_of
from layout.study.held_posts import post_checks
from layout.study.panels import panel_checks_of
from layout.study.study import SizingStep


def held_box(
    job: Job, arrangement: Arrangement, shell: Shell, plans: tuple[BracketPlan, ...]
) -> tuple[BoxDesign, tuple[SizingStep, ...]]:
    """The narrowest stock of bars, then of posts, that holds as many modules as any and meets the job's target; then, where
    the floor carries modules, its ribs as far apart as the target allows.

    pack_kg of a step: mass of bars, posts and ribs alone.
    """
    frame = _Sizing(job, arrangement, shell, plans, cases_of(job))
    pairs = [(w, POST_WIDTHS_MM[0]) for w in WIDTHS_MM]
    bar, steps, box = frame.chosen("bars under the modules, least width", pairs, bar_checks_of)
    if box.carriers.posts:
        posts = [(bar[0], w) for w in POST_WIDTHS_MM]
        bar, more, box = frame.chosen("posts, least width", posts, post_checks)
        steps = (*steps, *more)
    if box.rib_height_mm > 0.0:
        box, more = frame.ribs(bar)
        steps = (*steps, *more)
    return box, steps


_Trial = tuple[int, float, BoxDesign, SizingStep]
"""Modules that are lost, greatest utilisation, box, step."""


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
        tried: list[_Trial] = []
        for pair in widths:
            box = constructed_box(self.job, self.arrangement.inside, self.shell, self.plans, self.arrangement, pair)
            if tried and len(box.carriers.unheld) > tried[0][0]:
                break
            tried.append(self._trial(what, pair[1] if what.startswith("posts") else pair[0], box, checks_of))
            if tried[-1][1] <= self.job.crash.target_utilisation:
                break
        best, steps = self._best(tried)
        return widths[best], steps, tried[best][2]

    def ribs(self, widths: tuple[float, float]) -> tuple[BoxDesign, tuple[SizingStep, ...]]:
        """Ribs of the floor as far apart as the target allows."""
        tried: list[_Trial] = []
        trouble: DesignError | None = None
        for pitch in RIB_PITCHES_MM:
            shell = replace(self.shell, rib_pitch_mm=pitch)
            try:
                box = constructed_box(self.job, self.arrangement.inside, shell, self.plans, self.arrangement, widths)
            except DesignError as met:  # a rib under an opening of the floor
                trouble = met
                continue
            tried.append(self._trial("floor ribs, greatest distance", pitch, box, _floor_checks))
            if tried[-1][1] <= self.job.crash.target_utilisation:
                break
        if trouble and not tried:
            raise trouble
        best, steps = self._best(tried)
        return tried[best][2], steps

    def _trial(self, what: str, value_mm: float, box: BoxDesign, checks_of: Callable[[Held], list[Check]]) -> _Trial:
        in_service = {case.name for case in self.cases if case.no_slip}
        found = checks_of(Held(box, self.arrangement, self.cases))
        counted = [
            *(c for c in found if c.case not in in_service), *with_road_margin(c for c in found if c.case in in_service)
        ]  # fmt: skip
        worst = max(counted, key=lambda c: c.utilisation or 0.0, default=None)
        use = (worst.utilisation or 0.0) if worst else 0.0
        driver = f"{worst.name}, {worst.part}, {worst.case}" if worst else "nothing"
        return len(box.carriers.unheld), use, box, SizingStep(what, value_mm, use, driver, _own_kg(box), False)

    def _best(self, tried: list[_Trial]) -> tuple[int, tuple[SizingStep, ...]]:
        """The first that comes nearest to the target, or meets it."""
        best = min(range(len(tried)), key=lambda i: max(tried[i][1], self.job.crash.target_utilisation))
        return best, tuple(replace(s, taken=i == best) for i, (*_, s) in enumerate(tried))


def _floor_checks(held: Held) -> list[Check]:
    """Floor and ribs in every case that presses the pack down."""
    found = [c for case in held.cases for c in panel_checks_of(held.box, held.arrangement, case)]
    return [c for c in found if c.part.startswith("floor")]


def _own_kg(box: BoxDesign) -> float:
    names = {bar.number for bar in box.carriers.bars} | {post.number for post in box.carriers.posts}
    mine = (p for p in box.plates if p.number in names or p.name.startswith("floor rib"))
    return sum(body_mass(p, density_kg_m3).mass_kg for p in mine)
