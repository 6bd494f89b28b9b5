"""The finish of a part: what the job states for the box, or for the brackets."""

from __future__ import annotations

from layout.box.soft import is_soft
from layout.design import Block, Part
from layout.job import Job

NONE_STATED = "none stated"
NOT_FINISHED = "-"
"""For liners, gaskets and what is bought."""


def finish_of(job: Job, part: Part) -> str:
    """Words for a part's finish: the job's own, "none stated" where it has none, a dash for what gets none."""
    if isinstance(part, Block) or is_soft(part.material):
        return NOT_FINISHED
    stated = job.bracket.finish if part.group == "bracket" else job.box.finish
    return " ".join(stated.split()) or NONE_STATED
