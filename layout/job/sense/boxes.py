"""Physical sense of a pack in several boxes: which box each thing belongs to, and what is not done for several yet."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from layout.errors import Problem
from layout.job.bay import MountPoint
from layout.job.box import Box, Equipment
from layout.job.module import Pack
from layout.job.sense.rule import Rule
from layout.job.vehicle import WeighedPart

LEAST_MOUNTS: Final = 3
"""Mount points that a box needs at least: on fewer it can turn (see sense/mounts.py)."""


def named_boxes(pack: Pack, mounts: tuple[MountPoint, ...], box: Box, equipment: tuple[Equipment, ...]) -> Iterator[Problem]:
    """No box is named that the pack does not have."""
    entries = [(f"mount_point[{k}]", m.box) for k, m in enumerate(mounts, start=1)]
    entries += [(f"box.opening[{k}]", o.box) for k, o in enumerate(box.openings, start=1)]
    entries += [(f"equipment[{k}]", e.box) for k, e in enumerate(equipment, start=1)]
    for path, number in entries:
        if number is not None and number > pack.boxes:
            has = "one box" if pack.boxes == 1 else f"{pack.boxes} boxes"
            remedy = "Name one of them, or ask for more boxes."
            yield Problem(f"{path}.box", str(number), f"the pack has {has} (pack.boxes)", remedy)


def mounts_per_box(pack: Pack, mounts: tuple[MountPoint, ...]) -> Iterator[Problem]:
    """Enough mount points for every box to have its own."""
    if pack.boxes == 1:
        return
    needed = LEAST_MOUNTS * pack.boxes
    if len(mounts) < needed:
        want = f"{pack.boxes} boxes need {LEAST_MOUNTS} mount points each, {needed} in all; there are {len(mounts)}"
        yield Problem("mount_point", f"{len(mounts)} mount points", want, "Add mount points, or ask for fewer boxes.")
        return
    spare = sum(m.box is None for m in mounts)
    lacks = {n: max(LEAST_MOUNTS - sum(m.box == n for m in mounts), 0) for n in range(1, pack.boxes + 1)}
    if sum(lacks.values()) > spare:
        short = [n for n, lack in lacks.items() if lack]
        said = ", ".join(f"box {n} has {LEAST_MOUNTS - lacks[n]}" for n in short)
        want = f"every box needs {LEAST_MOUNTS} mount points: {said}, and {spare} name no box"
        yield Problem("mount_point", f"{len(mounts)} mount points", want, "Name other boxes, or leave `box` out.")


def not_done(pack: Pack, box: Box, weighed: tuple[WeighedPart, ...]) -> Iterator[Problem]:
    """What is done for one box only."""
    if pack.boxes == 1:
        return
    said = f"is not done with pack.boxes = {pack.boxes}"
    if box.outline != "rectangular":
        yield Problem("box.outline", f'"{box.outline}"', said, 'Write "rectangular", or boxes = 1.')
    for key, value in (("turn", pack.turn_deg), ("rake", pack.rake_deg)):
        if value == "free":
            yield Problem(f"pack.{key}", '"free"', said, f"Name the angles to try ({key} = [0]), or write boxes = 1.")
    if weighed:
        yield Problem("weighed", f"{len(weighed)} parts", said, "Leave the weighed parts out, or write boxes = 1.")


RULES: Final = (
    Rule(("pack", "mount_points", "box", "equipment"), named_boxes),
    Rule(("pack", "mount_points"), mounts_per_box),
    Rule(("pack", "box", "weighed"), not_done),
)
