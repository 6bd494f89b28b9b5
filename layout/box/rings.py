"""Rings welded round openings on the outer face of their panels. Pack frame."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from layout.box.openings import centre_mm, level_panel, outside_mm, purpose
from layout.box.shell import GASKET_MM, Shell
from layout.box.walls import UPPER_FLOOR, wall_of
from layout.design import Hole, Plate, Profile, Weld
from layout.errors import DesignError
from layout.frames import Axes, Extent, Pose, vec3
from layout.job.box import Opening
from layout.job.model import Job
from layout.tables import bolt

CHORDS = 72
"""Of the circle that stands for the weld's path: its length is right to 0.04 per cent."""


@dataclass(frozen=True)
class Ring:
    """A ring as made: the opening, the plate and its weld; panel_mm: thickness of the panel."""

    opening: Opening
    plate: Plate
    weld: Weld

    panel_mm: float

    @property
    def outside_mm(self) -> float:
        """Outer diameter."""
        return outside_mm(self.opening, self.panel_mm)


def rings_of(job: Job, inside: Extent, shell: Shell, panels: Mapping[str, str]) -> tuple[Ring, ...]:
    """Rings of the job's openings. panels: part numbers by panel.

    Raises:
        DesignError: a ring on the lid that stands out further than the heads of the lid's bolts.
    """
    prefix, found = job.job.drawing_number, list[Ring]()
    for one in (o for o in job.box.openings if o.ring_mm is not None):
        assert one.ring_mm is not None
        _check_lid(one, shell)
        number, pose = f"{prefix}-D{len(found) + 1}", _pose(one, inside, shell)
        radius = outside_mm(one, shell.sheet_mm) / 2.0
        outline = ((radius, 0.0, 1.0), (-radius, 0.0, 1.0))
        hole = Hole(f"{number}-H1", (0.0, 0.0), one.diameter_mm, purpose(one))
        group = "lid" if one.panel == "top" else "ring"
        plate = Plate(number, "ring round an opening", job.box.material, one.ring_mm, Profile(outline, (hole,)), pose, group)
        turns = [2.0 * math.pi * k / CHORDS for k in range(CHORDS + 1)]
        path = tuple(vec3(pose.point((radius * math.cos(v), radius * math.sin(v), 0.0))) for v in turns)
        throat = math.floor(7.0 * min(shell.sheet_mm, one.ring_mm) + 1e-9) / 10.0
        weld = Weld(f"{prefix}-DW{len(found) + 1}", "fillet", throat, path, (number, panels[one.panel]), "all round")
        found.append(Ring(one, plate, weld, shell.sheet_mm))
    return tuple(found)


def _check_lid(opening: Opening, shell: Shell) -> None:
    size = bolt(shell.lid_bolt)
    most = size.hex_height_mm + size.washer_thickness_mm
    if opening.panel == "top" and (opening.ring_mm or 0.0) > most:
        raise DesignError(
            f"ring of opening {opening.name!r}", "on the lid it stands out no further than the bolts' heads",
            f"{opening.ring_mm:g} mm, heads {most:g} mm",
            "Use a thinner ring (job file: box.opening.ring) or larger lid bolts.",
        )  # fmt: skip


def _pose(opening: Opening, inside: Extent, shell: Shell) -> Pose:
    """Own frame of a ring: its middle on the panel's outer face, own z outward."""
    x, y, z = centre_mm(opening, inside)
    if opening.panel == "top":
        return Pose((x, y, inside.max_mm[2] + 2.0 * shell.sheet_mm + GASKET_MM))
    if opening.panel in ("bottom", UPPER_FLOOR):
        under: Axes = ((1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, -1.0))
        return Pose((x, y, level_panel(opening.panel, inside).min_mm[2] - shell.sheet_mm), under)
    wall = wall_of(opening.panel, inside)
    at = np.array(wall.point((x, y, z)[wall.along], shell.sheet_mm, z))
    return Pose(vec3(at), (vec3(wall.h), (0.0, 0.0, 1.0), vec3(wall.w)))
