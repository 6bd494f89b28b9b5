"""The box of an arrangement in the construction that the job asks for."""

from __future__ import annotations

from layout.arrangement import Arrangement
from layout.box.bar_joining import WIDTHS_MM
from layout.box.design import BoxDesign
from layout.box.folded import design_folded_box
from layout.box.posts import POST_WIDTHS_MM
from layout.box.shell import Shell
from layout.box.welded import design_box
from layout.brackets.plan import BracketPlan
from layout.errors import DesignError
from layout.frames import Extent
from layout.job.model import Job


def constructed_box(
    job: Job,
    inside: Extent,
    shell: Shell,
    plans: tuple[BracketPlan, ...],
    arrangement: Arrangement | None = None,
    widths_mm: tuple[float, float] = (WIDTHS_MM[0], POST_WIDTHS_MM[0]),
) -> BoxDesign:
    """A welded or folded box; arguments as of layout.box.welded.design_box.

    Raises:
        DesignError: a construction that is not known, or a box that cannot be made.
    """
    if job.box.construction == "folded":
        return design_folded_box(job, inside, shell, plans, arrangement, widths_mm)
    if job.box.construction == "welded":
        return design_box(job, inside, shell, plans, arrangement, widths_mm)
    got = f"construction = {job.box.construction!r}"
    raise DesignError("box", "this construction is not known", got, 'Use construction = "welded" or "folded".')
