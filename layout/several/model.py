"""An arrangement of modules in several boxes."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate

from layout.arrangement import Arrangement, Link
from layout.box.carriers import Carriers
from layout.box.shell import Shell, shell_of
from layout.frames import Extent
from layout.job.model import Job
from layout.several.jobs import job_of_box


@dataclass(frozen=True)
class PackArrangement(Arrangement):
    """Modules in several boxes of one frame, seen as one arrangement: all modules and equipment, one wiring.

    inside: bounds of the boxes' insides. parts: the arrangement of each box, in the order of their numbers; the modules'
    names there lack the box's prefix. mounts: names of each box's mount points. cut: where the bay is cut, in words. bars: what
    holds each box's modules, as planned by the search.
    """

    parts: tuple[Arrangement, ...] = ()
    mounts: tuple[frozenset[str], ...] = ()
    cut: str = ""
    bars: tuple[Carriers, ...] = ()

    def job_of(self, job: Job, number: int) -> Job:
        """The job of one of its boxes (number from 1), with as many modules as lie in it."""
        return job_of_box(job, number, self.mounts[number - 1], len(self.parts[number - 1].modules))

    def shells(self, job: Job) -> tuple[Shell, ...]:
        """What each box adds around its inside."""
        return tuple(shell_of(self.job_of(job, k + 1)) for k in range(len(self.parts)))

    def pieces(self, job: Job, number: int) -> tuple[tuple[str, Extent], ...]:
        """Box body, lid flange and what hangs on a box, pack frame; number from 1."""
        part, shell = self.parts[number - 1], shell_of(self.job_of(job, number))
        hung = ((e.kind.name, e.extent) for e in part.equipment if e.outside)
        return (*shell.pieces(part.inside), *hung)

    def box_of(self, module: str) -> int:
        """Number of the box that holds a module."""
        at = next(k for k, m in enumerate(self.modules) if m.id == module)
        ends = accumulate(len(part.modules) for part in self.parts)
        return next(number for number, end in enumerate(ends, start=1) if at < end)

    @property
    def cables(self) -> tuple[Link, ...]:
        """The links that run from one box to another."""
        links = self.wiring.links if self.wiring else ()
        return tuple(link for link in links if self.box_of(link.start) != self.box_of(link.end))
