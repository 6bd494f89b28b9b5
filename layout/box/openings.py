"""Openings of the job as holes of the panel they are in."""

from __future__ import annotations

import numpy as np
import shapely

from layout.box.walls import UPPER_FLOOR, panel_field
from layout.design import Hole, Loop
from layout.errors import DesignError
from layout.frames import Extent, Pose, Vec3
from layout.job.box import Opening
from layout.job.model import Job
from layout.stepped import floors_of

_AXES = {"fore": (1, 2), "aft": (1, 2), "left": (0, 2), "right": (0, 2), "top": (0, 1), "bottom": (0, 1), UPPER_FLOOR: (0, 1)}


def panel_middle(panel: str, inside: Extent) -> tuple[float, float]:
    """Middle of a panel in its own two pack axes; of one with a corner left out, that of what bounds it.

    Raises DesignError for the upper floor of a box that has none.
    """
    if panel in ("top", "bottom", UPPER_FLOOR):
        middle = level_panel(panel, inside).centre_mm
        return middle[0], middle[1]
    low, high, bottom, top = panel_field(panel, inside)
    return (low + high) / 2.0, (bottom + top) / 2.0


def level_panel(panel: str, inside: Extent) -> Extent:
    """What lies above a floor, or below the lid. Raises DesignError for the upper floor of a box that has none."""
    if panel == "top":
        return inside
    floors = floors_of(inside)
    if panel == UPPER_FLOOR and len(floors) == 1:
        raise DesignError(
            f"an opening in the {UPPER_FLOOR}", "the box has a floor at two heights", "its floor is level",
            'Choose another arrangement, or another panel (job file: box.opening).',
        )  # fmt: skip
    return floors[-1] if panel == UPPER_FLOOR else floors[0]


def opening_holes(job: Job, panel: str, number: str, pose: Pose, inside: Extent, outline: Loop) -> tuple[Hole, ...]:
    """Holes of one panel, in its own plane. outline: of the panel there, with square corners.

    Raises:
        DesignError: an opening, or the ring round it, nearer than 10 mm to the panel's edge,
            or two openings that cut into one another.
    """
    holes: list[Hole] = []
    reach: dict[str, float] = {}
    for opening in job.box.openings:
        if opening.panel != panel:
            continue
        hole = Hole(f"{number}-O{len(holes) + 1}", _centre(opening, pose, inside), opening.diameter_mm, purpose(opening))
        _check_edges(job, opening, hole, outline)
        for other in holes:
            apart = float(np.hypot(*np.subtract(other.centre_mm, hole.centre_mm)))
            if apart < reach[other.name] + reach_mm(opening, job.box.sheet_mm) + 5.0:
                raise DesignError(
                    f"opening {opening.name!r}",
                    "openings keep 5 mm of sheet between them",
                    f"{apart:.1f} mm from the middle of {other.fastener!r}",
                    "Move one of them.",
                )
        holes.append(hole)
        reach[hole.name] = reach_mm(opening, job.box.sheet_mm)
    return tuple(holes)


def purpose(opening: Opening) -> str:
    """What stands for the opening in tables of holes: its name, and for a vent which way it is led where that is stated."""
    if opening.kind == "vent" and opening.direction:
        return f"{opening.name}, led to {opening.direction}"
    return opening.name


def centre_mm(opening: Opening, inside: Extent) -> Vec3:
    """Middle of an opening along both axes of its panel; along the third that of the inside."""
    point = list(inside.centre_mm)
    for axis, middle, value in zip(_AXES[opening.panel], panel_middle(opening.panel, inside), opening.at_mm, strict=True):
        point[axis] = middle + value
    return point[0], point[1], point[2]


def outside_mm(opening: Opening, panel_mm: float) -> float:
    """Outer diameter of an opening's ring: its section makes up for what the opening takes from the panel's."""
    assert opening.ring_mm is not None
    return opening.diameter_mm * (1.0 + panel_mm / opening.ring_mm)


def reach_mm(opening: Opening, panel_mm: float) -> float:
    """Radius of an opening with what is welded round it."""
    if opening.ring_mm is None:
        return opening.diameter_mm / 2.0
    return outside_mm(opening, panel_mm) / 2.0 + panel_mm


def _centre(opening: Opening, pose: Pose, inside: Extent) -> tuple[float, float]:
    x, y, _ = pose.inverse_point(centre_mm(opening, inside))
    return (float(x), float(y))


def _check_edges(job: Job, opening: Opening, hole: Hole, outline: Loop) -> None:
    r = reach_mm(opening, job.box.sheet_mm)
    panel = shapely.Polygon([(x, y) for x, y, _ in outline])
    middle = shapely.Point(hole.centre_mm)
    nearest = float(panel.exterior.distance(middle)) * (1.0 if panel.contains(middle) else -1.0) - r
    size_mm = tuple(max(v[k] for v in outline) - min(v[k] for v in outline) for k in (0, 1))
    cut = ", a corner left out" if len(outline) > 4 else ""
    if nearest < 10.0:
        raise DesignError(
            f"opening {opening.name!r} in the {opening.panel} panel",
            f"at least 10 mm of sheet between opening{' with its ring' if opening.ring_mm else ''} and edge of the panel",
            f"{nearest:.1f} mm left: panel {size_mm[0]:.0f} x {size_mm[1]:.0f} mm{cut}, hole {hole.diameter_mm:g} mm",
            f"Move it nearer to the middle or make it smaller (job file: box.opening, {job.box.sheet_mm:g} mm sheet).",
        )
