"""Modules that are clamped: the frame round the foot, the bars over the top, the rods beside it.

Friction gets no credit: the frame stops the module on all sides, and what lifts or tips it goes into the bars over it.
Axes: a along the bars, o square to them in the base, w out of the base.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layout.checks.rule import Check, Rule, Source
from layout.frames import Array, Vec3
from layout.tables import material

_BEAM = Source("elastic stresses added, von Mises with the peak shear of a rectangle: EN 1993-1-1:2005 6.2.1(5)", "memory")

WEB = Rule(
    "frame web bent by the module in it", "sqrt((M * 6 * b / ((b**3 - d_0**3) * t) + N / ((b - d_0) * t))**2"
    " + 3 * (1.5 * V / ((b - d_0) * t))**2)", "f_o / gamma_M0", "MPa", _BEAM,
    {
        "M": ("N*mm", "greatest moment in the frame's plane"), "N": ("N", "force along the web"), "V": ("N", "shear"),
        "b": ("mm", "width of the web"), "d_0": ("mm", "hole in it, 0 for none"), "t": ("mm", "thickness of the frame"),
        "f_o": ("MPa", "proof strength"), "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip

HOLD_DOWN = Rule(
    "hold-down bar", "P * L / 4 / (b * t**2 / 6)", "f_o / gamma_M0", "MPa",
    Source("simple beam from rod to rod, all force in its middle", "derived"),
    {
        "P": ("N", "force of the module on one bar"), "L": ("mm", "from rod to rod"), "b": ("mm", "width of the bar"),
        "t": ("mm", "thickness of the bar"), "f_o": ("MPa", "proof strength"), "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip

ON_MODULE = Rule(
    "force of the clamp on the module", "max(P, S)", "F_max", "N",
    Source("what the maker allows (job file: module.clamp.load)", "seen"),
    {
        "P": ("N", "of the bars on its top, both together"), "S": ("N", "of the frame on one side of its foot"),
        "F_max": ("N", "greatest that the maker allows"),
    },
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class ClampedBody:
    """Sizes that matter, mm. side_a, side_o: of the module along a and o; row: from its middle to the rods along a; inset: to
    the bars along o; web, side_web: widths of the frame's webs with rods and without; frame: its thickness; centroid: of the
    module from the middle of its base (a, o, w).
    """

    side_a_mm: float
    side_o_mm: float
    row_mm: float
    inset_mm: float
    web_mm: float
    side_web_mm: float
    frame_mm: float
    centroid_mm: Vec3


@dataclass(frozen=True, eq=False)
class ClampForces:
    """What a module does to its clamp in every case, N and N*mm, each (cases,).

    bar: force on one bar over it, the greater of both; upper, lower: tension of the rod pulled most, above the frame and
    below it; web_moment, side_moment: greatest moments in the frame's webs with rods and without; along, across: force on
    one web with rods (along the bars) and on one without.
    """

    bar: Array
    upper: Array
    lower: Array
    web_moment: Array
    side_moment: Array
    along: Array
    across: Array


def clamp_forces(body: ClampedBody, force_n: Array) -> ClampForces:
    """From the forces on the module at its centre of mass, (cases, 3) along a, o, w.

    Lift: half to each bar, a quarter to each rod. A force along o at the height of the centre of mass tips the module about
    the bar under it on the leading side and is held by the bar over it on the trailing side, 2 insets away; one along a tips it
    about its leading edge, and both bars hold it at the trailing edge. Pressure on the base gives no relief. The frame is
    pushed at its upper edge: it tilts about its outer edge, and its rods hold it down. A web with rods is a beam on two of
    them, its ends overhanging; one without is a simple beam from row to row of rods. A force that acts off the middle
    makes the pressure along a web uneven: the greatest counts over its whole length.
    """
    force = np.asarray(force_n, dtype=float)
    a, o = np.abs(force[..., 0]), np.abs(force[..., 1])
    lift = np.maximum(force[..., 2], 0.0)
    e_a, e_o, h = (abs(v) for v in body.centroid_mm)
    tip_o, tip_a = o * h + lift * e_o, a * h + lift * e_a
    half = body.side_a_mm / 2.0
    near = (half + body.row_mm) / (2.0 * body.row_mm)
    bar = lift / 2.0 + tip_o / (2.0 * body.inset_mm) + tip_a / body.side_a_mm / 2.0
    upper = lift / 4.0 + tip_o / (4.0 * body.inset_mm) + tip_a / body.side_a_mm / 2.0 * near
    roll_a = a * body.frame_mm / body.web_mm
    overhang = body.side_o_mm / 2.0 - body.inset_mm
    roll_o = o * body.frame_mm / (2.0 * (overhang + body.side_web_mm))
    q = a / body.side_o_mm * (1.0 + 6.0 * e_o / body.side_o_mm)
    web = np.maximum(q * overhang**2 / 2.0, np.abs(q * (2.0 * body.inset_mm) ** 2 / 8.0 - q * overhang**2 / 2.0))
    side = o * (1.0 + 6.0 * e_a / body.side_a_mm) * 2.0 * body.row_mm / 8.0
    return ClampForces(bar, upper, upper + roll_a + roll_o, web, side, a, o)


def web_checks(part: str, case: str, body: ClampedBody, grade: str, hole_mm: float, loads: tuple[float, float, float, float]
               ) -> list[Check]:  # fmt: skip
    """Both kinds of web. loads: moment of a web with rods, of one without; force along the bars, across them.

    Either takes along its length half of what pushes on the others.
    """
    metal, t = material(grade), body.frame_mm
    web, side, along, across = loads
    shared = {"t": t, "f_o": metal.strength(t).proof_mpa, "gamma_M0": metal.gamma_m0}
    return [
        WEB.check(f"{part}, web with rods", case, M=web, N=across / 2.0, V=along / 2.0, b=body.web_mm, d_0=hole_mm, **shared),
        WEB.check(
            f"{part}, web without rods", case, M=side, N=along / 2.0, V=across / 2.0, b=body.side_web_mm, d_0=0.0, **shared
        ),
    ]
