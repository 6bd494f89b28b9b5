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
from layout.box.rings import Ring
from layout.box.soft import density_kg_m3
from layout.box.walls import UPPER_FLOOR, WALLS
from layout.checks import Check
from layout.checks.covers import HOLE_FACTOR
from layout.checks.plates import Panel
from layout.checks.rings import WITH_RING, area_check, ring_effect
from layout.checks.rule import Rule, Source
from layout.checks.welds import weld_checks
from layout.design.mass import body_mass
from layout.frames import Array
from layout.job.box import Opening
from layout.job.model import Job
from layout.loads.cases import LoadCase
from layout.stepped import floors_of, plan_area_mm2, two_floors
from layout.tables import material

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
REMEDY = "where it does not hold: have a ring welded round it (job file: box.opening.ring)"
_AXES = {"top": (0, 1, 2), "bottom": (0, 1, 2), "fore": (1, 2, 0), "aft": (1, 2, 0), "left": (0, 2, 1), "right": (0, 2, 1)}
"""Both axes in a panel and the one square to it."""
_AXES[UPPER_FLOOR] = _AXES["bottom"]
LOOKS = {**WALLS, "top": "+z", "bottom": "-z", UPPER_FLOOR: "-z"}


def opening_checks_of(
    job: Job, box: BoxDesign, arrangement: Arrangement, cases: tuple[LoadCase, ...], specific: Array
) -> list[Check]:
    """The largest opening of each panel, and each with a ring, in every case.

    Load: the panel's own mass; on the floor with what lies on it.

    The panel counts as one plate from wall to wall: ribs, bars and uprights give no credit.
    """
    found = []
    for panel, opening in _worst(job):
        first, second, normal = _AXES[panel]
        floor = None if normal != 2 or panel == "top" else level_panel(panel, box.inside)
        size = (floor or box.inside).size_mm
        plate = Panel(box.material, box.shell.sheet_mm, size[first], size[second])
        beta, _ = plate.factors()
        carried = sum(e.kind.mass_kg for e in arrangement.equipment if not e.outside) if floor else 0.0
        per_mm2 = density_kg_m3(box.material) * box.shell.sheet_mm * 1e-9 + carried / plan_area_mm2(floor or box.inside)
        rings = [r for r in box.rings if r.opening.panel == panel]
        per_mm2 += sum(body_mass(r.plate, density_kg_m3).mass_kg for r in rings) / (size[first] * size[second])
        ring = next((r for r in rings if r.opening == opening), None)
        part, short = f"{panel} panel at {opening.name}", min(size[first], size[second])
        if ring is not None:
            found.append(
                area_check(part, opening.diameter_mm, box.shell.sheet_mm, ring.outside_mm, ring.plate.thickness_mm)
            )  # fmt: skip
        for c, case in enumerate(cases):
            values = {
                "beta": beta, "q": per_mm2 * abs(float(specific[c, normal])), "b": short, "t": box.shell.sheet_mm,
                "d": opening.diameter_mm, "f_o": plate.proof_mpa, "gamma_M0": plate.metal.gamma_m0,
            }  # fmt: skip
            if ring is None:
                found.append(PANEL_WITH_HOLE.check(part, case.name, REMEDY, K=HOLE_FACTOR, **values))
            else:
                found += _with_ring(part, case.name, box, ring, values)
    return found


def _with_ring(part: str, case: str, box: BoxDesign, ring: Ring, values: dict[str, float]) -> list[Check]:
    """Panel and ring, and the fillet round the ring."""
    t, thick = box.shell.sheet_mm, ring.plate.thickness_mm
    effect = ring_effect(t, thick, values["d"] / 2.0, ring.outside_mm / 2.0, material(box.material).poisson)
    note = "the ring is held by the fillet round its outer edge alone; two that lie on one panel are each taken by themselves"
    whole = WITH_RING.check(part, case, note, K=effect.stress, **values)
    moment = values["beta"] * values["q"] * values["b"] ** 2 / 6.0 / (1.0 - values["d"] / values["b"])
    grades, sheets = (box.material, ring.plate.material), (t, thick)
    weld = weld_checks(
        f"ring at {ring.opening.name}", case, grades, sheets, ring.weld.throat_mm, 0.0, effect.weld_per_mm * moment, 0.0
    )
    return [whole, *weld]


def _worst(job: Job) -> list[tuple[str, Opening]]:
    """The largest opening of each panel without a ring, and every one with a ring."""
    found: dict[str, Opening] = {}
    for one in (o for o in job.box.openings if o.ring_mm is None):
        if one.panel not in found or one.diameter_mm > found[one.panel].diameter_mm:
            found[one.panel] = one
    return [*found.items(), *((o.panel, o) for o in job.box.openings if o.ring_mm is not None)]


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
