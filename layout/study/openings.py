"""What openings do to their panels, where vents lead, and whether the floor drains."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from layout.arrangement import Arrangement
from layout.box.design import BoxDesign
from layout.box.opening_room import opening_place
from layout.box.soft import density_kg_m3
from layout.box.walls import WALLS
from layout.checks import Check
from layout.checks.covers import HOLE_FACTOR
from layout.checks.plates import Panel
from layout.checks.rule import Rule, Source
from layout.frames import Array
from layout.job.box import Opening
from layout.job.model import Job
from layout.loads.cases import LoadCase
from layout.stepped import plan_area_mm2

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
LOOKS = {**WALLS, "top": "+z", "bottom": "-z"}


def opening_checks_of(
    job: Job, box: BoxDesign, arrangement: Arrangement, cases: tuple[LoadCase, ...], specific: Array
) -> list[Check]:
    """The largest opening of each panel in every case, under the panel's own mass (floor: with what lies on it).

    The panel counts as one plate from wall to wall: ribs, bars and uprights give no credit.
    """
    found = []
    for panel, opening in _largest(job).items():
        first, second, normal = _AXES[panel]
        size = box.inside.size_mm
        plate = Panel(box.material, box.shell.sheet_mm, size[first], size[second])
        beta, _ = plate.factors()
        carried = 0.0
        if panel == "bottom":
            carried = sum(e.kind.mass_kg for e in arrangement.equipment if not e.outside)
        per_mm2 = density_kg_m3(box.material) * box.shell.sheet_mm * 1e-9 + carried / plan_area_mm2(box.inside)
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
    """Pockets of the floor between bars welded on it that have no drain, where the job asks for drains at all."""
    drains = [opening_place(o, box.inside) for o in job.box.openings if o.kind == "drain" and o.panel == "bottom"]
    bars = [b for b in box.carriers.bars if b.welded]
    if not drains or not bars:
        return []
    across = bars[0].across
    low, high = box.inside.min_mm[across], box.inside.max_mm[across]
    edges = sorted((b.at_mm - b.width_mm / 2.0, b.at_mm + b.width_mm / 2.0) for b in bars if b.across == across)
    walls = [(low, low), *edges, (high, high)]
    pockets = [(a[1], b[0]) for a, b in pairwise(walls) if b[0] - a[1] > 1.0]
    lost = [p for p in pockets if not any(p[0] <= d[across] <= p[1] for d in drains)]
    return [f"between {'xy'[across]} = {a:.0f} and {b:.0f} mm" for a, b in lost]
