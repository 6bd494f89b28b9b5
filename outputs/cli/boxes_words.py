"""What the search found for several boxes, as text for the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from layout import units
from layout.arrangement import SearchResult
from layout.box.shell import shell_of
from layout.frames import bounding
from layout.job.model import Job
from layout.several.cables import cables_of
from layout.several.jobs import prefix_of
from layout.several.model import PackArrangement
from layout.space.removal import removal_words
from outputs.cli.fit_words import access_lines, making_lines, stands, table

if TYPE_CHECKING:  # slow to import
    from layout.several.ways import PackFit


def pack_fit_lines(job: Job, search: SearchResult, fit: PackFit | None = None) -> list[str]:
    """The count, a table of the arrangements, then each with its boxes, their ways in and out where these were looked at."""
    lines = [f"modules: {search.verdict}; {search.seconds:.1f} s", *(fit.space_notes if fit else ())]
    lines += [search.note] if search.note else []
    lines += ["", *table(search.arrangements, shell_of(job), job.job.show_in), "box outside: bounds of all boxes together"]
    packs = [one for one in search.arrangements if isinstance(one, PackArrangement)]
    for k, one in enumerate(packs):
        lines += ["", f"{k + 1:3d}  best at: {', '.join(one.best_at) or '-'}", f"     the bay cut at {one.cut}"]
        lines += [f"     box {line}" for number in range(1, len(one.parts) + 1) for line in _box(job, one, number, k, fit)]
        lines += [f"     {line}" for line in cable_lines(job, one)]
        if k < len(search.makings):
            lines += [f"     {line.replace(job.job.drawing_number + '-', '')}" for line in making_lines(search.makings[k])]
        if fit:
            lines.append(f"     way in: {fit.ways[k].words}")
    if fit:
        return [*lines, "", *access_lines(fit)]
    return [*lines, "", "way in and access not looked at: the search was short"]


def cable_lines(job: Job, pack: PackArrangement) -> list[str]:
    """The cables between boxes."""
    return [f"{c.name} between boxes: {c.words}" for c in cables_of(job, pack)]


def _box(job: Job, pack: PackArrangement, number: int, index: int, fit: PackFit | None) -> list[str]:
    part, prefix, system = pack.parts[number - 1], prefix_of(number), job.job.show_in
    outer = bounding([piece.seen_from(pack.frame) for _, piece in pack.pieces(job, number)])
    size = " x ".join(units.number(s, "length", system, 0 if system == "mm" else 1) for s in outer.size_mm)
    mounts = ", ".join(m.name for m in job.mount_points if m.name in pack.mounts[number - 1])
    lines = [f"{prefix}: {stands(part)}; {size} {units.shown_as('length', system).unit} outside; on {mounts}"]
    if fit:
        own = f"{pack.job_of(job, number).job.drawing_number}-"
        lines.append(f"{prefix} out through the lid: {removal_words(fit.lifts[index][number - 1]).replace(own, '')}")
        over = fit.ways[index].under[number - 1]
        lines += [f"{prefix} lies under {' and '.join(map(prefix_of, over))}: take that out first"] if over else []
    return lines
