"""Does the free space hang together? Its connected parts, largest first.

Found on a grid of the margins alone (no clearance): a part is a set of surely free cells that meet at faces.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layout.frames import Array, Extent, Pose, vec3
from layout.space.cells import Lines
from layout.space.grid import Flags, surely_free
from layout.space.lines import grid_lines
from layout.space.mesh_grid import COARSE_MM
from layout.space.model import Bay

FIRST_STEPS = 4
"""Points looked at per side of the bay, where any free one will do."""
STEPS = 32
SCAN_STEPS = 60
"""The longest side of the bay is cut in no fewer cells than this (the last: with a scan)."""
SMALL_SHARE = 0.001
"""Parts smaller than this share of the whole are crumbs of the grid and not counted."""


@dataclass(frozen=True, eq=False)
class Parts:
    """Connected parts of the free space: labels (0: not free; 1: the largest part, and so on down) and their volumes."""

    lines: Lines
    labels: NDArray[np.int32]
    volumes_mm3: tuple[float, ...]

    def at(self, points: Array) -> NDArray[np.int32]:
        """Labels of points (m, 3), vehicle axes; 0 outside."""
        index = [np.searchsorted(line, points[:, k], side="right") - 1 for k, line in enumerate(self.lines.axes)]
        inside = np.ones(len(points), dtype=bool)
        for k, n in enumerate(self.lines.shape):
            inside &= (index[k] >= 0) & (index[k] < n)
        found = np.zeros(len(points), dtype=np.int32)
        found[inside] = self.labels[index[0][inside], index[1][inside], index[2][inside]]
        return found


def any_free(bay: Bay) -> bool:
    """Whether anything of the bay is free, margins taken off: at one of a few points first, then as parts_of looks for it."""
    if bay.scan is None:
        from layout.space.judge import is_clear

        t = (np.arange(FIRST_STEPS) + 0.5) / FIRST_STEPS
        share = np.stack(np.meshgrid(t, t, t, indexing="ij"), axis=-1).reshape(-1, 3)
        middles = np.array(bay.extent.min_mm) + share * np.array(bay.extent.size_mm)
        if any(is_clear(bay, Extent(vec3(m - 0.5), vec3(m + 0.5)), Pose(), 0.0) for m in middles):
            return True
    return bool(parts_of(bay).volumes_mm3)


@lru_cache(maxsize=4)
def parts_of(bay: Bay) -> Parts:
    """The connected parts of a bay's free space."""
    step = max(bay.extent.size_mm) / (SCAN_STEPS if bay.scan else STEPS)
    lines = grid_lines(bay, Pose(), 0.0, step, 0.0)
    free = surely_free(bay, Pose(), lines, 0.0, COARSE_MM)
    return labelled(free, lines)


def main_part_only(bay: Bay, frame: Pose, lines: Lines, free: Flags) -> Flags:
    """Free cells (grid in a frame) that hang together with the largest part of the free space; all where nothing is known."""
    parts = parts_of(bay)
    from scipy import ndimage

    labels, number = ndimage.label(free)
    if len(parts.volumes_mm3) < 2 or number == 0:
        return free
    cells = np.argwhere(free)
    middles = np.column_stack([(line[cells[:, k]] + line[cells[:, k] + 1]) / 2.0 for k, line in enumerate(lines.axes)])
    main = parts.at(frame.point(middles)) == 1
    keep = np.zeros(number + 1, dtype=bool)
    keep[np.unique(labels[free][main])] = True
    keep[0] = False
    return np.asarray(keep[labels])


def cut_off(bay: Bay, points: Array) -> bool:
    """Whether a body, known by points within it, lies in a lesser part of the free space, beyond the scanned surface."""
    labels = parts_of(bay).at(points)
    return bool(np.any(labels > 1) and not np.any(labels == 1))


def labelled(free: Flags, lines: Lines) -> Parts:
    """Connected parts of free cells, largest first, crumbs left out."""
    from scipy import ndimage

    labels, number = ndimage.label(free)
    sizes = [np.diff(line) for line in lines.axes]
    volume = sizes[0][:, None, None] * sizes[1][None, :, None] * sizes[2][None, None, :]
    each = np.bincount(labels.ravel(), weights=volume.ravel(), minlength=number + 1)[1:]
    order = [k for k in np.argsort(-each, kind="stable") if each[k] > SMALL_SHARE * each.sum()]
    renumber = np.zeros(number + 1, dtype=np.int32)
    for new, old in enumerate(order, start=1):
        renumber[old + 1] = new
    return Parts(lines, renumber[labels], tuple(float(each[k]) for k in order))


def free_space_notes(bay: Bay) -> list[str]:
    """What a user should know of the free space: its volume, and that it falls into parts, if it does."""
    litres = [v / 1e6 for v in parts_of(bay).volumes_mm3]
    notes = [f"free space about {sum(litres):.0f} L, margins taken off"]
    if len(litres) > 1:
        sizes = ", ".join(f"{v:.3g} L" for v in litres)
        where = "what lies beyond a scanned surface is not used" if bay.scan else "a box lies in one of them"
        notes.append(f"the free space falls into {len(litres)} parts that do not touch ({sizes}): {where}")
    return notes
