"""What a reader must be told beside the figures: the usual cautions, and those that follow from this job."""

from __future__ import annotations

from layout.arrangement import Arrangement
from layout.balance.axles import Balance
from layout.box.design import BoxDesign
from layout.cautions import CAUTIONS
from layout.frames import Extent
from layout.job.model import Job
from layout.job.sense import cautions as job_cautions
from layout.loads.cases import case_cautions, zone_caution
from layout.stepped import two_floors
from layout.study.openings import opening_cautions

TWO_FLOORS = (
    "The floor lies at two heights: the trays by which a soft box shares its load among the mounts are level plates, and say "
    "nothing of the riser. Where the bound by statics is not among the ways of sharing, look at them with finite elements."
)
"""Said of a box with two floors."""


def study_cautions(
    job: Job, arrangement: Arrangement, box: BoxDesign, balance: Balance, notes: tuple[str, ...]
) -> tuple[str, ...]:
    """Cautions in order: from the job, from the loads, from the balance, then the usual ones."""
    found = [*job_cautions(job), *case_cautions(job), *balance.findings, *notes]
    found += [f"No removable cover for {name}: {why}. Reach it with the lid off, or move it." for name, why in box.uncovered]
    found += opening_cautions(job, box, arrangement)
    if two_floors(arrangement.inside):
        found.append(TWO_FLOORS)
    zone = zone_caution(job, outermost(arrangement, box))
    if zone:
        found.append(zone)
    return (*found, *CAUTIONS)


def outermost(arrangement: Arrangement, box: BoxDesign) -> Extent:
    """The box with flange, bolt heads and hung equipment, as an axis-parallel box in vehicle axes."""
    extents = [e for _, e in box.shell.pieces(box.inside)] + [e.extent for e in arrangement.equipment if e.outside]
    corners = [e.seen_from(arrangement.frame) for e in extents]
    low = tuple(min(c.min_mm[i] for c in corners) for i in range(3))
    high = tuple(max(c.max_mm[i] for c in corners) for i in range(3))
    return Extent((low[0], low[1], low[2]), (high[0], high[1], high[2]))
