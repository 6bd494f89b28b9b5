"""What openings do to their panels, where vents lead, and whether the floor drains."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from layout.arrangement import Arrangement
from layout.box.design import BoxDesign
from layout.box.opening_room import opening_place
from layout.box.openings import level_panel
from layout.box.soft import density_kg_m3
from layout.box.walls import UPPER_FLOOR, WALLS
from layout.checks import Check
from layout.checks.covers import HOLE_FACTOR
from layout.checks.plates import Panel
from layout.checks.rule import Rule, Source
from layout.frames import Array
from layout.job.box import Opening
from layout.job.model import Job
from layout.loads.cases import LoadCase
from layout.stepped import floors_of, plan_area_mm2, two_floors

PANEL_WITH_HOLE = Rule(
    "panel with an opening", "K * beta * q * b**2 / t**2 / (1 - d / b)", "f_o / gamma_M0", "MPa",
    Source("plate by series times the stress concentration of a hole in a plate bent both ways, on what is left of its width",
           "seen"),
    {
        "K": ("-", "stress concentration"), "beta": ("-", "stress factor by series"), "q": ("MPa", "pressure"),
        "b": ("mm", "shorter side of the panel"), "t": ("mm", "thickness"), "d": ("mm", "diameter of the opening"),
        "f_o": ("MPa", "proof strength"), "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip
REMEDY = "where it does not hold: weld a ring of the panel's sheet round it, as wide as a third of its diameter"
_AXES = {"top": (0, 1, 2), "bottom": (0, 1, 2), "fore": (1, 2, 0), "aft": (1, 2, 0), "left": (0, 2, 1), "right": (0, 2, 1)}
"""Both axes in a panel and the one square to it."""
_AXES[UPPER_FLOOR] = _AXES["bottom"]
LOOKS = {**WALLS, "top": "+z", "bottom": "-z", UPPER_FLOOR: "-z"}


def opening_checks_of(
    job: Job, box: BoxDesign, arrangement: Arrangement, cases: tuple[LoadCase, ...], specific: Array
) -> list[Check]:
    """The largest opening of each panel in every case, under the panel's own mass (floor: with what lies on it).

    The panel counts as one plate from wall to wall: ribs, bars and uprights give no credit.
    """
    found = []
    for panel, opening in _largest(job).items():
        first, second, normal = _AXES[panel]
        floor = None if normal != 2 or panel == "top" else level_panel(panel, box.inside)
        size = (floor or box.inside).size_mm
        plate = Panel(box.material, box.shell.sheet_mm, size[first], size[second])
        beta, _ = plate.factors()
        carried = sum(e.kind.mass_kg for e in arrangement.equipment if not e.outside) if floor else 0.0
        per_mm2 = density_kg_m3(box.material) * box.shell.sheet_mm * 1e-9 + carried / plan_area_mm2(floor or box.inside)
        for c, case in enumerate(cases):
            found.append(
                PANEL_WITH_HOLE.check(
                    f"{panel} panel at {opening.name}", case.name, REMEDY, K=HOLE_FACTOR, beta=beta,
                    q=per_mm2 * abs(float(specific[c, normal])), b=min(size[first], size[second]), t=box.shell.sheet_mm,
                    d=opening.diameter_mm, f_o=plate.proof_mpa, gamma_M0=plate.metal.gamma_m0,
                )
            )  # fmt: skip
    return found


def _largest(job: Job) -> dict[str, Opening]:
    found: dict[str, Opening] = {}
    for one in job.box.openings:
        if one.panel not in found or one.diameter_mm > found[one.panel].diameter_mm:
            found[one.panel] = one
    return found


def opening_cautions(job: Job, box: BoxDesign, arrangement: Arrangement) -> Iterator[str]:
    """Vents that look to the cabin once the pack is turned, and pockets of the floor that no drain empties."""
    cabin = job.box.cabin
    for vent in (o for o in job.box.openings if o.kind == "vent"):
        if vent.direction is None and cabin is not None:
            out = arrangement.frame.vector(_vector(LOOKS[vent.panel]))
            if float(out @ _vector(cabin)) > 0.5:
                yield f"Vent {vent.name!r} looks to the cabin ({cabin}) as the pack lies: lead it elsewhere by a hose."
    pockets = undrained(job, box)
    if pockets:
        yield f"The floor holds water {', '.join(pockets)}: add a drain there (job file: box.opening, kind drain)."


def _vector(direction: str) -> Array:
    axis = np.zeros(3)
    axis["xyz".index(direction[1])] = 1.0 if direction[0] == "+" else -1.0
    return axis


def undrained(job: Job, box: BoxDesign) -> list[str]:
    """Pockets of the floors between bars welded on them that have no drain, where the job asks for drains at all.

    An upper floor drains over the edge of the riser: the pocket along it needs no hole.
    """
    drains = [o for o in job.box.openings if o.kind == "drain" and o.panel in ("bottom", UPPER_FLOOR)]
    if not drains or not any(b.welded for b in box.carriers.bars):
        return []
    step, found = two_floors(box.inside), []
    for panel, floor in zip(("bottom", UPPER_FLOOR), floors_of(box.inside), strict=False):
        places = [opening_place(o, box.inside) for o in drains if o.panel == panel]
        bars = [b for b in box.carriers.bars if b.welded and abs(b.extent.min_mm[2] - floor.min_mm[2]) < 1e-6]
        across = bars[0].across if bars else 0 if step is None else 1 - step.run
        low, high = floor.min_mm[across], floor.max_mm[across]
        edges = sorted((b.at_mm - b.width_mm / 2.0, b.at_mm + b.width_mm / 2.0) for b in bars if b.across == across)
        walls = [(low, low), *edges, (high, high)]
        pockets = [(a[1], b[0]) for a, b in pairwise(walls) if b[0] - a[1] > 1.0]
        edge = step.line_mm(across) if step and panel == UPPER_FLOOR else math.inf
        lost = [p for p in pockets if edge not in p and not any(p[0] <= d[across] <= p[1] for d in places)]
        on = f" of the {panel}" if panel == UPPER_FLOOR else ""
        found += [f"between {'xy'[across]} = {a:.0f} and {b:.0f} mm{on}" for a, b in lost]
    return found
