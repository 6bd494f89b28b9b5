"""Job and arrangement in several boxes -> PackStudy: each box designed and checked with the others in their places."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import permutations

from layout.arrangement import SearchResult
from layout.balance.figures import balance_figures
from layout.balance.items import MassItem
from layout.errors import DesignError
from layout.job.model import Job
from layout.several.apart import APART_MM, boxes_as_obstacles, brackets_as_obstacles, design_bay, with_obstacles
from layout.several.cables import cable_cautions
from layout.several.jobs import prefix_of
from layout.several.model import PackArrangement
from layout.several.neighbours import with_neighbours, words_of
from layout.several.study import PackStudy
from layout.several.ways import PackFit, WaysIn, fit_of_several, ways_in
from layout.space.bay import Bay
from layout.space.obstacle import Obstacle
from layout.study.evaluate import evaluate, wired_types
from layout.study.study import Study

Studies = dict[int, Study]


def evaluate_several(job: Job, bay: Bay, search: SearchResult, number: int, fit: PackFit | None = None) -> PackStudy:
    """The complete study of arrangement `number` (from 1) of a search in several boxes. fit: where it was looked at already.

    The boxes are designed in the order in which they go in; the brackets of each keep clear of those designed before it.
    Where that fails, other orders are tried.

    Raises:
        DesignError: no box or bracket of one of them can be made, or its mounts leave it a free motion.
    """
    pack = search.arrangements[number - 1]
    assert isinstance(pack, PackArrangement)
    looked = fit or fit_of_several(job, bay, search, number)
    studies = _designed(job, bay, pack, looked.ways[number - 1].order)
    more = {k: brackets_as_obstacles(pack.frame, s.brackets) for k, s in studies.items()}
    ways = ways_in(job, bay, pack, more)
    lifts = tuple(studies[k].fit.lifts[0] for k in sorted(studies))
    looked = replace(
        looked,
        ways=tuple(ways if k == number - 1 else w for k, w in enumerate(looked.ways)),
        lifts=tuple(lifts if k == number - 1 else w for k, w in enumerate(looked.lifts)),
    )
    ordered = tuple(studies[k] for k in sorted(studies))
    items = tuple(item for k, study in enumerate(ordered, start=1) for item in _items(prefix_of(k), study))
    figures = balance_figures(job, items, wired_types(pack))
    cautions = (*cable_cautions(job, pack), *_cautions(ordered, figures.balance.findings, ways))
    told = tuple(
        replace(s, figures=replace(s.figures, balance=figures.balance), neighbours=words_of(job, pack, k))
        for k, s in enumerate(ordered, start=1)
    )
    return PackStudy(job, looked, pack, told, items, figures, cautions)


def _designed(job: Job, bay: Bay, pack: PackArrangement, first: tuple[int, ...]) -> Studies:
    """Every box's study, in the first order of design that works. Raises DesignError, the first one met, where none does."""
    trouble: DesignError | None = None
    for order in dict.fromkeys([first, *permutations(first)]):
        try:
            return _in_order(job, bay, pack, order)
        except DesignError as error:
            trouble = trouble or error
    assert trouble is not None
    raise trouble


def _in_order(job: Job, bay: Bay, pack: PackArrangement, order: tuple[int, ...]) -> Studies:
    done: Studies = {}
    for number in order:
        part, own = pack.parts[number - 1], with_neighbours(job, pack, number)
        before = boxes_as_obstacles(job, pack, done)
        standing = _brackets(pack, done, 0.0)
        around = with_obstacles(design_bay(job, bay, pack, number), _brackets(pack, done, APART_MM))
        count = len(part.modules)
        alone = SearchResult(count, (part,), count, True, 0.0, "a cut of the bay")
        done[number] = evaluate(own, with_obstacles(bay, (*before, *standing)), alone, 1, around)
    return done


def _brackets(pack: PackArrangement, done: Studies, margin_mm: float) -> tuple[Obstacle, ...]:
    return tuple(o for study in done.values() for o in brackets_as_obstacles(pack.frame, study.brackets, margin_mm))


def _items(prefix: str, study: Study) -> Iterator[MassItem]:
    """The box's mass list, modules with the box's prefix (other names carry it in their number)."""
    modules = {m.id for m in study.arrangement.modules}
    for item in study.pack_items:
        own = item.name.split(" ")[0] in modules
        yield replace(item, name=f"{prefix}-{item.name}") if own else item


def _cautions(studies: tuple[Study, ...], balance: tuple[str, ...], ways: WaysIn) -> tuple[str, ...]:
    """What the balance of the whole pack says, then what all boxes have in common, then each box's own."""
    each = [[c for c in s.cautions if c not in s.figures.balance.findings] for s in studies]
    common = [c for c in each[0] if all(c in other for other in each[1:])]
    own = [f"Box {prefix_of(k)}: {c}" for k, some in enumerate(each, start=1) for c in some if c not in common]
    order = " before ".join(prefix_of(k) for k in ways.order)
    said = (
        f"The boxes go in one after the other: {order}. Each way in was judged with the boxes before it, and their brackets, "
        "in place."
    )
    over = [
        f"Box {prefix_of(k)} lies under {' and '.join(map(prefix_of, above))}: its lid opens only with that one out."
        for k, above in enumerate(ways.under, start=1)
        if above
    ]
    return (*balance, said, *over, *own, *common)


def first_pack_that_can_be_made(job: Job, bay: Bay, search: SearchResult) -> tuple[PackStudy, tuple[str, ...]]:
    """The study of the best ranked arrangement in which all modules can be held, and why those before it were passed over.

    Where there is none, the one that leaves the fewest without hold.

    Raises:
        DesignError: none of them can be designed; the error of the first.
    """
    reasons: list[str] = []
    first: DesignError | None = None
    best: tuple[PackStudy, int] | None = None
    fit = fit_of_several(job, bay, search, 1)
    for number in range(1, len(search.arrangements) + 1):
        try:
            study = evaluate_several(job, bay, search, number, replace(fit, number=number))
        except DesignError as error:
            first = first or error
            reasons.append(f"arrangement {number}: {error}")
            continue
        if best is None or study.unheld < best[0].unheld:
            best = (study, len(reasons))
        if study.unheld == 0:
            break
        reasons.append(f"arrangement {number}: {study.unheld} of its modules cannot be held by bars")
    if best is not None:
        return best[0], tuple(reasons[: best[1]])
    assert first is not None
    raise first
