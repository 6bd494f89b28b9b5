"""What a box's own job, and its sheets, say of the other boxes: keep-outs where they stand, and how it is connected to them."""

from __future__ import annotations

from layout.frames import Extent, Pose
from layout.job.bay import BoxShape, KeepOut, PrismShape
from layout.job.model import Job
from layout.several.apart import others
from layout.several.cables import cables_of
from layout.several.jobs import prefix_of
from layout.several.model import PackArrangement


def with_neighbours(job: Job, pack: PackArrangement, number: int) -> Job:
    """The job of one box, the other boxes among the keep-outs of its bay (a pack that is raked is left as it is)."""
    own = pack.job_of(job, number)
    found = [
        keep_out
        for k in others(pack, number)
        for name, piece in pack.pieces(job, k)
        if (keep_out := _keep_out(f"box {prefix_of(k)}: {name}", piece, pack.frame, job.bay.clearance_mm)) is not None
    ]
    bay = own.bay.model_copy(update={"keep_outs": (*own.bay.keep_outs, *found)})
    return own.model_copy(update={"bay": bay})


def _keep_out(name: str, piece: Extent, frame: Pose, margin_mm: float) -> KeepOut | None:
    if abs(frame.matrix[2][2]) < 1.0 - 1e-9:
        return None
    if frame == Pose():
        return KeepOut(name=name, box=BoxShape(min_mm=piece.min_mm, max_mm=piece.max_mm), margin_mm=margin_mm)
    (x0, y0, z0), (x1, y1, z1) = piece.min_mm, piece.max_mm
    corners = frame.point([(x0, y0, z0), (x1, y0, z0), (x1, y1, z0), (x0, y1, z0)])
    outline = tuple((float(p[0]), float(p[1])) for p in corners)
    heights = (float(corners[0][2]), float(corners[0][2]) + z1 - z0)
    return KeepOut(name=name, prism=PrismShape(outline_mm=outline, z_mm=heights), margin_mm=margin_mm)


def words_of(job: Job, pack: PackArrangement, number: int) -> tuple[str, ...]:
    """Sentences for the sheets of one box: that there are others, and the cables to them."""
    said = [f"Box {prefix_of(number)} of {len(pack.parts)}: the others have sheets of their own."]
    said += [f"{c.name.capitalize()} runs {c.words}." for c in cables_of(job, pack) if number in c.boxes]
    return tuple(said)
