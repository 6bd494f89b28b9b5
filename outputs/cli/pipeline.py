"""From the job file to search result and study, with progress on standard error."""

from __future__ import annotations

import signal
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from layout.arrangement import SearchResult
from layout.box import Shell, shell_of
from layout.errors import JobError, Problem
from layout.job import Job, read_job
from layout.packing.search import HURRIED_S, arrange
from layout.space.bay import Bay, bay_of

if TYPE_CHECKING:  # slow to import: only where it is used
    from layout.fe.figures import Fe
    from layout.several.study import AnyStudy, PackStudy
    from layout.several.ways import PackFit
    from layout.study.study import Fit


@dataclass(frozen=True)
class Options:
    """What every working command takes. arrangement: counts from 1; None: the best that can be made.

    began: when the command began, on time.monotonic's clock; starting up counts as time of a short search, up to half of it.
    """

    job: Path
    seconds: float
    seed: int
    arrangement: int | None
    as_json: bool
    began: float | None = None

    @property
    def left(self) -> float:
        """Seconds left for the search; starting up is taken off short ones only."""
        if self.began is None or self.seconds > HURRIED_S:
            return self.seconds
        spent = time.monotonic() - self.began
        return max(self.seconds - spent, self.seconds / 2.0)


@dataclass(frozen=True)
class Searched:
    """A job with its bay and what the search found. stopped: by Ctrl-C, before its time was up."""

    job: Job
    bay: Bay
    shell: Shell
    search: SearchResult
    stopped: bool = False


def say(text: str) -> None:
    """One line of progress on standard error."""
    sys.stderr.write(text + "\n")
    sys.stderr.flush()


def searched(options: Options) -> Searched:
    """Read the job and search.

    Raises:
        JobError: the job file is wrong.
        NothingFits: what was asked does not fit.
    """
    return searched_job(read_job(options.job), options)


def searched_job(job: Job, options: Options) -> Searched:
    """Search for arrangements of a job that was read. Raises as `searched`; Ctrl-C ends with the best so far."""
    bay = bay_of(job, options.job.resolve().parent)
    say(f"searching: {job.job.title} (at most {options.seconds:g} s; Ctrl-C takes the best so far)")
    told: list[tuple[int, int | None]] = []

    def progress(count: int, bound: int | None) -> None:
        if not told or told[-1] != (count, bound):
            told.append((count, bound))
            say(f"  {count} modules placed" + (f", at most {bound} possible" if bound is not None else ""))

    with interruptible() as stop:
        search = searcher(job)(job, bay, seconds=options.left, seed=options.seed, progress=progress, stop=stop)
        stopped = stop()
    if stopped:
        note = "stopped before its time was up: a longer search may find more, or better"
        search = replace(search, note="; ".join(n for n in (search.note, note) if n))
    return Searched(job, bay, shell_of(job), search, stopped)


def searcher(job: Job) -> Callable[..., SearchResult]:
    """What looks for arrangements: in one box or in several."""
    if job.pack.boxes == 1:
        return arrange
    from layout.several.search import arrange_several

    return arrange_several


def looked_at(found: Searched, seconds: float, arrangement: int | None) -> Fit | PackFit | None:
    """Ways in and access for what was found; None where the search was a short one, or stopped (this takes a few seconds).

    Raises:
        JobError: there is no arrangement of that number.
    """
    if seconds <= HURRIED_S or found.stopped:
        return None
    from layout.study.access import fit_of

    say(f"  looking for the way in of {len(found.search.arrangements)} arrangement(s)")
    number = numbered(found.search, arrangement or 1)
    if found.job.pack.boxes > 1:
        from layout.several.ways import fit_of_several

        return fit_of_several(found.job, found.bay, found.search, number)
    return fit_of(found.job, found.bay, found.search, number, found.shell)


def numbered(search: SearchResult, arrangement: int) -> int:
    """The number of an arrangement, from 1. Raises JobError where the list has none of that number."""
    count = len(search.arrangements)
    if not 1 <= arrangement <= count:
        raise JobError([
            Problem("--arrangement", str(arrangement), f"this job has arrangements 1 to {count}", "Choose one of them.")
        ])  # fmt: skip
    return arrangement


@contextmanager
def interruptible() -> Iterator[Callable[[], bool]]:
    """While inside, the first Ctrl-C only sets what the given function answers; a second one interrupts."""
    asked: list[int] = []

    def note(number: int, frame: object) -> None:
        del frame
        if asked:
            raise KeyboardInterrupt
        asked.append(number)
        say("  stopping: the best so far is taken")

    try:
        before = signal.signal(signal.SIGINT, note)
    except ValueError:  # not the main thread: nobody presses Ctrl-C here
        yield lambda: False
        return
    try:
        yield lambda: bool(asked)
    finally:
        signal.signal(signal.SIGINT, before)


def studied(options: Options) -> AnyStudy:
    """Search, then design, weigh, load and check the chosen arrangement.

    Raises:
        JobError, NothingFits, DesignError: as the parts do; JobError too for an arrangement number that does not exist.
    """
    return chosen(searched(options), options)


def chosen(found: Searched, options: Options) -> AnyStudy:
    """The study of the arrangement that was asked for, or of the best that can be made. Raises as `studied`."""
    from layout.study.evaluate import evaluate, first_that_can_be_made

    if found.job.pack.boxes > 1:
        return _chosen_pack(found, options)
    if options.arrangement is None:
        study, skipped = first_that_can_be_made(found.job, found.bay, found.search)
        for reason in skipped:
            say(f"  passed over: {reason}")
        return study
    return evaluate(found.job, found.bay, found.search, numbered(found.search, options.arrangement))


def _chosen_pack(found: Searched, options: Options) -> PackStudy:
    """The same for several boxes."""
    from layout.several.evaluate import evaluate_several, first_pack_that_can_be_made

    if options.arrangement is not None:
        return evaluate_several(found.job, found.bay, found.search, numbered(found.search, options.arrangement))
    study, skipped = first_pack_that_can_be_made(found.job, found.bay, found.search)
    for reason in skipped:
        say(f"  passed over: {reason}")
    return study


def with_fe(study: AnyStudy) -> AnyStudy:
    """The study with a finite element run, or with the reason why there is none (told on standard error too)."""
    from layout.fe.figures import NoFe
    from layout.fe.report import finite_elements
    from layout.several.study import PackStudy

    if isinstance(study, PackStudy):
        fe: Fe | NoFe = NoFe("finite elements are run for a single box only")
    else:
        fe = finite_elements(study, say)
    if isinstance(fe, NoFe):
        say(f"  {fe.reason}")
    return replace(study, fe=fe)
