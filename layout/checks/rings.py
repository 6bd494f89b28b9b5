"""A ring welded round an opening: what it takes from the panel, and what its weld carries. Sizes in mm, forces in N.

Panel and ring as annular plates of one metal in the theory of thin plates (Timoshenko, Theory of Plates and Shells, ch. 3),
bent far off alike in all directions. The ring lies on one face and is held to it by the fillet round its outer edge alone:
there both have one radial displacement. How far the fillet also turns the ring with the panel is not known: both ends,
a hinge and no turn between them, are worked out and the greater stress of panel and ring counts.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from layout.checks.rule import Check, Rule, Source
from layout.frames import Array

AREA = Rule(
    "area that the ring replaces", "d * t", "(d_o - d) * t_r", "mm2",
    Source("ASME Boiler and Pressure Vessel Code, Section VIII Division 1, UG-37 (replacement of the area cut out)", "memory"),
    {
        "d": ("mm", "diameter of the opening"), "t": ("mm", "thickness of the panel"), "d_o": ("mm", "outside of the ring"),
        "t_r": ("mm", "thickness of the ring"),
    },
)  # fmt: skip

WITH_RING = Rule(
    "panel with a ring round its opening", "K * beta * q * b**2 / t**2 / (1 - d / b)", "f_o / gamma_M0", "MPa",
    Source("plate by series times the greatest stress of panel and ring as annular plates, on what is left of the width",
           "derived"),
    {
        "K": ("-", "greatest stress of panel or ring over that of the plain panel"),
        "beta": ("-", "stress factor by series"), "q": ("MPa", "pressure"), "b": ("mm", "shorter side of the panel"),
        "t": ("mm", "thickness of the panel"), "d": ("mm", "diameter of the opening"), "f_o": ("MPa", "proof strength"),
        "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip

_NAMES = ("C1", "C2", "A1", "A2", "C4", "A4", "c1", "c2", "a1", "a2", "N", "m")


@dataclass(frozen=True)
class RingEffect:
    """stress: greatest stress of panel and ring over that of the plain panel far off; weld_per_mm: force per mm of the fillet
    over the bending moment per mm far off, 1/mm.
    """

    stress: float
    weld_per_mm: float


@lru_cache(maxsize=256)
def ring_effect(panel_mm: float, ring_mm: float, inner_mm: float, outer_mm: float, poisson: float) -> RingEffect:
    """Thicknesses of panel and ring, radii of opening and ring."""
    both = [_solved(panel_mm, ring_mm, inner_mm, outer_mm, poisson, turns=turns) for turns in (False, True)]
    return RingEffect(max(s for s, _ in both), max(n for _, n in both))


def _solved(t: float, tr: float, a: float, b: float, nu: float, *, turns: bool) -> tuple[float, float]:
    """Greatest stress and fillet force under a unit moment far off (Young's modulus cancels and is 1).

    Slope C1 r + C2/r and displacement A1 r + A2/r of the panel within b, C r + C4/r and A4/r outside, small letters of the
    ring; N, m: radial force and moment per mm that the panel hands to the ring at b. Stress counts positive on the ring's side.
    """
    d, dr, e, er = (x / (1.0 - nu**2) for x in (t**3 / 12.0, tr**3 / 12.0, t, tr))
    far = 1.0 / (d * (1.0 + nu))
    rows: list[Array] = []
    sides: list[float] = []

    def equation(side: float, *terms: tuple[str, float]) -> None:
        row = np.zeros(len(_NAMES))
        for name, value in terms:
            row[_NAMES.index(name)] += value
        rows.append(row)
        sides.append(side)

    def radial(stiff: float, r: float, first: str, second: str) -> tuple[tuple[str, float], tuple[str, float]]:
        return (first, stiff * (1.0 + nu)), (second, -stiff * (1.0 - nu) / r**2)

    for stiff, first, second in ((d, "C1", "C2"), (e, "A1", "A2"), (dr, "c1", "c2"), (er, "a1", "a2")):
        equation(0.0, *radial(stiff, a, first, second))  # free edges
    equation(far * b, ("C1", b), ("C2", 1.0 / b), ("C4", -1.0 / b))
    equation(0.0, ("A1", b), ("A2", 1.0 / b), ("A4", -1.0 / b))
    equation(0.0, ("A4", -e * (1.0 - nu) / b**2), *_less(radial(e, b, "A1", "A2")), ("N", -1.0))
    equation(-1.0, ("C4", -d * (1.0 - nu) / b**2), *_less(radial(d, b, "C1", "C2")), ("N", -t / 2.0), ("m", -1.0))
    equation(0.0, *radial(er, b, "a1", "a2"), ("N", -1.0))
    equation(0.0, *radial(dr, b, "c1", "c2"), ("N", tr / 2.0), ("m", -1.0))
    panel = (("A1", b), ("A2", 1.0 / b), ("C1", t / 2.0 * b), ("C2", t / 2.0 / b))
    equation(0.0, *panel, ("a1", -b), ("a2", -1.0 / b), ("c1", tr / 2.0 * b), ("c2", tr / 2.0 / b))
    if turns:
        equation(0.0, ("C1", b), ("C2", 1.0 / b), ("c1", -b), ("c2", -1.0 / b))
    else:
        equation(0.0, ("m", 1.0))
    x = dict(zip(_NAMES, np.linalg.solve(np.array(rows), np.array(sides)), strict=True))

    def hoop(thick: float, r: float, slope: tuple[str, str], way: tuple[str, str]) -> list[float]:
        bent = thick**3 / 12.0 / (1.0 - nu**2) * ((1.0 + nu) * x[slope[0]] + (1.0 - nu) * x[slope[1]] / r**2)
        drawn = thick / (1.0 - nu**2) * ((1.0 + nu) * x[way[0]] + (1.0 - nu) * x[way[1]] / r**2)
        return [abs(drawn / thick + s * 6.0 * bent / thick**2) for s in (1.0, -1.0)]

    stresses = [
        v
        for r in (a, b)
        for v in (*hoop(t, r, ("C1", "C2"), ("A1", "A2")), *hoop(tr, r, ("c1", "c2"), ("a1", "a2")))
    ]
    more, drawn = d * (1.0 - nu) * x["C4"] / b**2, e * (1.0 - nu) * x["A4"] / b**2
    for way in (1.0, -1.0):  # hoop and radial, just outside the ring
        stresses += [abs(way * drawn / t + s * 6.0 * (1.0 + way * more) / t**2) for s in (1.0, -1.0)]
    return max(stresses) / (6.0 / t**2), abs(x["N"])


def _less(terms: tuple[tuple[str, float], ...]) -> list[tuple[str, float]]:
    return [(name, -value) for name, value in terms]


def area_check(part: str, opening_mm: float, panel_mm: float, outside_mm: float, ring_mm: float) -> Check:
    """Whether the ring's section makes up for what the opening takes from the panel's."""
    return AREA.check(part, "all cases", d=opening_mm, t=panel_mm, d_o=outside_mm, t_r=ring_mm)
