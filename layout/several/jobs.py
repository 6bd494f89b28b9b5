"""What of a job belongs to one of its boxes: the same job with that box's mount points, openings, equipment and count."""

from __future__ import annotations

from collections.abc import Mapping

from layout.job.model import Job


def prefix_of(number: int) -> str:
    """What stands before the names of a box's parts and modules; number counts from 1."""
    return f"B{number}"


def job_of_box(
    job: Job, number: int, mounts: frozenset[str], count: int | None = None, shelf: Mapping[str, int] | None = None
) -> Job:
    """The job of one box. mounts: names of its mount points; count: of its modules (None: as many as fit); shelf: how many
    of each type there are for it, by name (None: all).

    What the pack has once goes to box 1 (the charge inlet), and what is weighed of the whole vehicle to no box. The series
    number stays that of the pack, so that the voltage is.
    """
    title = f"{job.job.title}, box {number}"
    info = job.job.model_copy(update={"title": title, "drawing_number": f"{job.job.drawing_number}-{prefix_of(number)}"})
    openings = tuple(o for o in job.box.openings if o.box == number)
    pack = job.pack.model_copy(update={"count": "max" if count is None else count, "boxes": 1})
    changed: dict[str, object] = {
        "job": info,
        "pack": pack,
        "mount_points": tuple(m for m in job.mount_points if m.name in mounts),
        "box": job.box.model_copy(update={"openings": openings}),
        "equipment": tuple(e for e in job.equipment if e.box == number),
        "charge_inlet": job.charge_inlet if number == 1 else None,
        "as_weighed": None,
    }
    if shelf is not None:
        kinds = [m.model_copy(update={"available": shelf[m.name]}) for m in job.modules if shelf.get(m.name)]
        changed["modules"] = tuple(kinds)
    return job.model_copy(update=changed)
