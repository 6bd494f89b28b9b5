"""Box and brackets of an arrangement, with the bracket sheet chosen so that it holds: the thinnest that meets the target."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from layout.arrangement import Arrangement
from layout.balance.figures import added_items
from layout.balance.items import MassItem, MassProperties, total
from layout.balance.on_the_bench import with_weighed
from layout.box import Shell, shell_of
from layout.box.design import BoxDesign
from layout.box.walls import along
from layout.brackets.design import BracketDesign, Sizes
from layout.brackets.plan import BAR_WIDTHS_MM, BracketPlan, plan_options, with_bars
from layout.checks import Check
from layout.errors import DesignError
from layout.frames import Extent, bounding
from layout.job.model import Job
from layout.loads.mounts import Mount
from layout.space.bay import Bay
from layout.study.clearance import bracket_conflicts, clear_bracket
from layout.study.forces import Loading, loading_of, mounts_of, slot_directions
from layout.study.held_sizing import held_box
from layout.study.making import SHEETS_MM
from layout.study.masses import box_items, bracket_items
from layout.study.refining import Chosen, Range, Tried, refined
from layout.study.strength import Design, all_checks, bars_checks, weakest_of_brackets
from layout.study.study import SizingStep
from layout.study.unreached import unreached

MOST_TRIED = 6
"""Other ways to reach the mounts that are looked at where the shortest does not come down to the target."""

WORTH_IT = 0.95
"""Another way is sized where its first trial is used less than this share of the shortest way's use."""


@dataclass(frozen=True)
class DesignedPack:
    """Box and brackets with what follows from them before any check."""

    box: BoxDesign
    brackets: tuple[BracketDesign, ...]
    items: tuple[MassItem, ...]
    pack: MassProperties
    mounts: tuple[Mount, ...]
    loading: Loading
    sizing: tuple[SizingStep, ...]


def designed_pack(job: Job, bay: Bay, arrangement: Arrangement) -> DesignedPack:
    """Of the ways to reach the mount points, the shortest whose brackets run into nothing; bars and sheet sized.

    Where its brackets, bolts or the vehicle's metal under them do not come down to the target, other ways are looked at
    (brackets on side walls alone, on end walls alone, then mixed), and the one that is used least is taken.

    Raises:
        DesignError: a mount that no bracket reaches, or brackets that meet something whichever way they go.
    """
    shell = shell_of(job)
    found = _Found(job, bay, arrangement, shell)
    first, taken = found.first()
    use = found.use(first)
    if use <= job.crash.target_utilisation:
        return first
    trial = Sizes(first.brackets[0].thickness_mm)
    rated = [(found.use(one), plans) for plans, one in found.tried(trial, taken)]
    least, plans = min(rated, key=lambda r: r[0], default=(use, None))
    if plans is None or least >= WORTH_IT * use:
        return first
    try:
        other = _sized(job, bay, arrangement, shell, plans)
    except DesignError:
        return first
    loose = len(other.box.carriers.unheld) > len(first.box.carriers.unheld)
    return first if loose or found.use(other) >= use else other


@dataclass(frozen=True)
class _Found:
    """The ways to reach the mounts of one arrangement."""

    job: Job
    bay: Bay
    arrangement: Arrangement
    shell: Shell

    def first(self) -> tuple[DesignedPack, tuple[BracketPlan, ...]]:
        """The shortest way that can be made, sized, and its plans. Raises DesignError where there is none."""
        no_room: DesignError | None = None
        no_box: DesignError | None = None
        for plans in _ways(self.job, self.arrangement, self.shell):
            if isinstance(plans, DesignError):
                no_room = no_room or plans
                continue
            try:
                self.brackets(plans, Sizes(self._sheet_mm))
            except DesignError as error:
                no_room = no_room or error
                continue
            try:
                return _sized(self.job, self.bay, self.arrangement, self.shell, plans), plans
            except DesignError as error:
                no_box = no_box or error
        trouble = no_box or unreached(self.job, self.bay, self.arrangement, self.shell, self._sheet_mm) or no_room
        assert trouble is not None
        raise trouble

    @property
    def _sheet_mm(self) -> float:
        return self.job.bracket.sheet_mm or SHEETS_MM[0]

    def brackets(self, plans: tuple[BracketPlan, ...], sizes: Sizes) -> tuple[BracketDesign, ...]:
        """Brackets of a way. Raises DesignError where they cannot be made."""
        return _brackets(self.job, self.bay, self.arrangement, self.shell, plans, sizes)

    def tried(self, sizes: Sizes, taken: tuple[BracketPlan, ...]) -> Iterator[tuple[tuple[BracketPlan, ...], DesignedPack]]:
        """Up to MOST_TRIED other ways, those of one kind of wall first, with brackets of one size."""
        ways = [w for w in _ways(self.job, self.arrangement, self.shell) if not isinstance(w, DesignError)]
        count = 0
        for plans in sorted((w for w in ways if w != taken), key=_kinds_of_wall):
            if count >= MOST_TRIED:
                return
            try:
                brackets = self.brackets(plans, sizes)
                box = held_box(self.job, self.arrangement, self.shell, plans)[0]
            except DesignError:
                continue
            count += 1
            fixed = box_items(self.job, self.arrangement, box)
            yield plans, _weighed(self.job, self.arrangement, box, brackets, fixed)

    def use(self, one: DesignedPack) -> float:
        """Greatest utilisation of brackets, their bolts and bars, and the vehicle's metal under them."""
        numbers = tuple(bracket.number for bracket in one.brackets)
        design = Design(self.job, self.arrangement, one.box, one.brackets, one.items)
        checks = all_checks(design, one.loading.shares)
        return max((c.utilisation or 0.0 for c in checks if any(n in c.part for n in numbers)), default=0.0)


def _kinds_of_wall(plans: tuple[BracketPlan, ...]) -> int:
    """1 where all brackets stand on side walls, or all on end walls; 2 where they are mixed."""
    return len({along(plan.wall) for plan in plans})


def _ways(job: Job, arrangement: Arrangement, shell: Shell) -> Iterator[tuple[BracketPlan, ...] | DesignError]:
    """All ways to reach the mounts: first the usual ones, then far feet that may be cut back; an error in place of none."""
    for far in (False, True):
        try:
            yield from plan_options(job, arrangement.frame, arrangement.inside, shell, far=far)
        except DesignError as error:
            yield error


def _sized(job: Job, bay: Bay, arrangement: Arrangement, shell: Shell, plans: tuple[BracketPlan, ...]) -> DesignedPack:
    """Bars first, wide enough for the bolts they carry; then the thinnest bracket sheet."""
    steps: list[SizingStep] = []
    options: list[tuple[float, DesignedPack]] = []
    widths: list[float] = []
    trouble: DesignError | None = None
    for width in BAR_WIDTHS_MM:
        try:
            one = _with_sheet(job, bay, arrangement, shell, with_bars(plans, width, arrangement.inside, shell))
        except DesignError as error:
            trouble = trouble or error
            continue
        checks = bars_checks(job, arrangement, one.box, one.brackets, one.loading.shares)
        step, use = _step("mounting bar width", width, _weakest(checks), one.pack)
        if options and len(one.box.carriers.unheld) > len(options[0][1].box.carriers.unheld):
            break  # wider bars leave no room for what holds the modules
        steps.append(step)
        options.append((use, one))
        widths.append(width)
        if use <= job.crash.target_utilisation:
            break
    if not options:
        assert trouble is not None
        raise trouble
    best = _chosen([u for u, _ in options], job.crash.target_utilisation)
    marked = tuple(replace(s, taken=i == best) for i, s in enumerate(steps))
    use, pack = options[best]
    room = _Room(job, bay, arrangement, shell, plans, widths[best], use)
    better, more = _refined(room, pack)
    return replace(better, sizing=(*marked, *pack.sizing, *more))


@dataclass(frozen=True)
class _Room:
    """Where brackets are refined: plans with the bar width that was chosen, and how far the bars were used then."""

    job: Job
    bay: Bay
    arrangement: Arrangement
    shell: Shell
    plans: tuple[BracketPlan, ...]
    bar_mm: float
    bars_use: float


def _refined(room: _Room, pack: DesignedPack) -> tuple[DesignedPack, tuple[SizingStep, ...]]:
    """Leg bolts, gussets and fillets as well: see layout.study.refining."""
    job = room.job
    boxes: dict[tuple[str, int], tuple[tuple[BracketPlan, ...], BoxDesign, tuple[MassItem, ...]] | DesignError] = {}

    def attempt(chosen: Chosen) -> Tried[DesignedPack]:
        bolts = (chosen.leg_bolt, chosen.leg_rows)
        if bolts not in boxes:
            try:
                boxes[bolts] = _box_for(room, *bolts, len(pack.box.carriers.unheld))
            except DesignError as error:
                boxes[bolts] = error
        made = boxes[bolts]
        if isinstance(made, DesignError):
            raise made
        plans, box, fixed = made
        brackets = _brackets(job, room.bay, room.arrangement, room.shell, plans, chosen.sizes)
        one = _weighed(job, room.arrangement, box, brackets, fixed)
        if bolts != (start.leg_bolt, start.leg_rows):
            _keep_bars(room, one, begun.use)
        return _as_tried(job, chosen, one)

    first = pack.brackets[0]
    start = Chosen(first.plan.leg_bolt, Sizes(first.thickness_mm), first.plan.leg_rows)
    begun = _as_tried(job, start, pack)
    sheets = (job.bracket.sheet_mm,) if job.bracket.sheet_mm else SHEETS_MM
    found, steps = refined(begun, Range(sheets, job.crash.target_utilisation), attempt)
    return found.pack, steps


def _box_for(
    room: _Room, leg_bolt: str, leg_rows: int, unheld: int
) -> tuple[tuple[BracketPlan, ...], BoxDesign, tuple[MassItem, ...]]:
    """Plans and box for other leg bolts. unheld: how many modules may be left without hold."""
    plans = with_bars(room.plans, room.bar_mm, room.arrangement.inside, room.shell, leg_bolt, leg_rows)
    box = held_box(room.job, room.arrangement, room.shell, plans)[0]
    if len(box.carriers.unheld) > unheld:
        name = box.carriers.unheld[0][0]
        raise DesignError("leg bolts", "they leave room for what holds the modules", f"{name} lost", "Use fewer leg bolts.")
    return plans, box, box_items(room.job, room.arrangement, box)


def _as_tried(job: Job, chosen: Chosen, one: DesignedPack) -> Tried[DesignedPack]:
    return Tried(chosen, one, weakest_of_brackets(job, one.box, one.brackets, one.loading.shares), one.pack.mass_kg)


def _weakest(checks: list[Check]) -> Check | None:
    return max((c for c in checks if c.utilisation is not None), key=lambda c: c.utilisation or 0.0, default=None)


def _keep_bars(room: _Room, one: DesignedPack, use_before: float) -> None:
    """Refuse leg bolts whose holes weaken the bars beyond the target, what they were used before, and what the brackets were.

    use_before: of the weakest check of brackets and leg bolts; a tenth less than that is worth weaker bars.
    """
    checks = bars_checks(room.job, room.arrangement, one.box, one.brackets, one.loading.shares)
    use = max((c.utilisation or 0.0 for c in checks), default=0.0)
    if use > max(room.job.crash.target_utilisation, room.bars_use, 0.9 * use_before) + 1e-6:
        raise DesignError("mounting bars", "other leg bolts leave the bars enough metal", f"{use:.2f}", "Use wider bars.")


def _with_sheet(job: Job, bay: Bay, arrangement: Arrangement, shell: Shell, plans: tuple[BracketPlan, ...]) -> DesignedPack:
    box, bars = held_box(job, arrangement, shell, plans)
    fixed = box_items(job, arrangement, box)
    steps: list[SizingStep] = []
    uses: list[float] = []
    tried: list[DesignedPack] = []
    trouble: DesignError | None = None
    for sheet in (job.bracket.sheet_mm,) if job.bracket.sheet_mm else SHEETS_MM:
        try:
            brackets = _brackets(job, bay, arrangement, shell, plans, Sizes(sheet))
        except DesignError as error:
            trouble = trouble or error
            continue
        one = _weighed(job, arrangement, box, brackets, fixed)
        worst = weakest_of_brackets(job, box, brackets, one.loading.shares, sheet_alone=True)
        step, use = _step("bracket sheet", sheet, worst, one.pack)
        steps.append(step)
        uses.append(use)
        tried.append(one)
        if use <= job.crash.target_utilisation:
            break
    if not tried:
        assert trouble is not None
        raise trouble
    best = _chosen(uses, job.crash.target_utilisation)
    taken = tuple(replace(s, taken=i == best) for i, s in enumerate(steps))
    rest_kg = tried[best].pack.mass_kg - next((s.pack_kg for s in reversed(bars) if s.taken), 0.0)
    return replace(tried[best], sizing=(*(replace(s, pack_kg=rest_kg + s.pack_kg) for s in bars), *taken))


def _step(what: str, value_mm: float, worst: Check | None, pack: MassProperties) -> tuple[SizingStep, float]:
    use = worst.utilisation or 0.0 if worst else 0.0
    driver = f"{worst.name}, {worst.part}, {worst.case}" if worst else "no check"
    return SizingStep(what, value_mm, use, driver, pack.mass_kg, False), use


def _chosen(uses: list[float], target: float) -> int:
    """The last one tried where it meets the target, else the one with the lowest utilisation."""
    return len(uses) - 1 if uses[-1] <= target else min(range(len(uses)), key=lambda i: uses[i])


def _brackets(
    job: Job, bay: Bay, arrangement: Arrangement, shell: Shell, plans: tuple[BracketPlan, ...], sizes: Sizes
) -> tuple[BracketDesign, ...]:
    brackets = tuple(clear_bracket(job, bay, arrangement, shell, plan, sizes) for plan in plans)
    conflicts = bracket_conflicts(bay, arrangement, shell, brackets)
    if conflicts:
        first = conflicts[0]
        raise DesignError(
            first.what,
            f"brackets keep clear of what is in the bay; here: {first.with_what}",
            f"{first.got_mm:.1f} mm",
            "Choose another arrangement, or another kind of bracket at this mount.",
        )
    return brackets


def _weighed(
    job: Job, arrangement: Arrangement, box: BoxDesign, brackets: tuple[BracketDesign, ...], fixed: tuple[MassItem, ...]
) -> DesignedPack:
    items = (*fixed, *(item for bracket in brackets for item in bracket_items(bracket, arrangement.frame)))
    items = with_weighed((*items, *added_items(job)), job.weighed)[: len(items)]
    pack = total(items)
    mounts = mounts_of(brackets, arrangement.frame)
    slots = slot_directions(brackets, arrangement.frame)
    loading = loading_of(job, mounts, pack, modules_extent(arrangement), arrangement.frame, slots)
    return DesignedPack(box, brackets, items, pack, mounts, loading, ())


def modules_extent(arrangement: Arrangement) -> Extent:
    """Around the modules, vehicle axes."""
    return bounding([m.own_extent.seen_from(arrangement.frame.then(m.pose)) for m in arrangement.modules])
