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


Terms = tuple[tuple[str, float], ...]
"""Names of unknowns with their factors."""


@dataclass(frozen=True)
class _Joint:
    """Thicknesses t, tr of panel and ring; radii a, b of opening and ring; Poisson's ratio. Young's modulus cancels: 1."""

    t: float
    tr: float
    a: float
    b: float
    nu: float

    def bent(self, thick: float) -> float:
        """Bending stiffness."""
        return thick**3 / 12.0 / (1.0 - self.nu**2)

    def drawn(self, thick: float) -> float:
        """Stiffness in the plane."""
        return thick / (1.0 - self.nu**2)

    def radial(self, stiff: float, r: float, first: str, second: str) -> Terms:
        """Radial moment or force of a field first r + second / r."""
        return (first, stiff * (1.0 + self.nu)), (second, -stiff * (1.0 - self.nu) / r**2)


def _solved(t: float, tr: float, a: float, b: float, nu: float, *, turns: bool) -> tuple[float, float]:
    """Greatest stress and fillet force under a unit moment far off."""
    joint = _Joint(t, tr, a, b, nu)
    rows = np.zeros((len(_NAMES), len(_NAMES)))
    sides = np.zeros(len(_NAMES))
    for k, (side, terms) in enumerate(_equations(joint, turns=turns)):
        sides[k] = side
        for name, value in terms:
            rows[k, _NAMES.index(name)] += value
    x = dict(zip(_NAMES, (float(v) for v in np.linalg.solve(rows, sides)), strict=True))
    return max(_stresses(joint, x)) / (6.0 / t**2), abs(x["N"])


def _equations(joint: _Joint, *, turns: bool) -> list[tuple[float, Terms]]:
    """Slope C1 r + C2/r and displacement A1 r + A2/r of the panel within b, C r + C4/r and A4/r outside, small letters of the
    ring; N, m: radial force and moment per mm that the panel hands to the ring at b, in the plane between them.
    """
    t, tr, a, b, nu = joint.t, joint.tr, joint.a, joint.b, joint.nu
    d, dr, e, er = joint.bent(t), joint.bent(tr), joint.drawn(t), joint.drawn(tr)
    fields = ((d, "C1", "C2"), (e, "A1", "A2"), (dr, "c1", "c2"), (er, "a1", "a2"))
    found: list[tuple[float, Terms]] = [(0.0, joint.radial(stiff, a, *names)) for stiff, *names in fields]  # free edges
    slope, way = (("C1", b), ("C2", 1.0 / b)), (("A1", b), ("A2", 1.0 / b))
    outside, inside = ("C4", -d * (1.0 - nu) / b**2), _less(joint.radial(d, b, "C1", "C2"))
    found += [
        (b / (d * (1.0 + nu)), (*slope, ("C4", -1.0 / b))),
        (0.0, (*way, ("A4", -1.0 / b))),
        (0.0, (("A4", -e * (1.0 - nu) / b**2), *_less(joint.radial(e, b, "A1", "A2")), ("N", -1.0))),
        (-1.0, (outside, *inside, ("N", -t / 2.0), ("m", -1.0))),
        (0.0, (*joint.radial(er, b, "a1", "a2"), ("N", -1.0))),
        (0.0, (*joint.radial(dr, b, "c1", "c2"), ("N", tr / 2.0), ("m", -1.0))),
    ]
    face = (*way, ("C1", t / 2.0 * b), ("C2", t / 2.0 / b))
    ring = (("a1", -b), ("a2", -1.0 / b), ("c1", tr / 2.0 * b), ("c2", tr / 2.0 / b))
    found.append((0.0, (*face, *ring)))
    found.append((0.0, (*slope, ("c1", -b), ("c2", -1.0 / b)) if turns else (("m", 1.0),)))
    return found


def _stresses(joint: _Joint, x: dict[str, float]) -> list[float]:
    """Sizes on both faces: hoop at the edges of panel and ring, hoop and radial in the panel just outside the ring."""
    nu, found = joint.nu, []
    layers = ((joint.t, ("C1", "C2"), ("A1", "A2")), (joint.tr, ("c1", "c2"), ("a1", "a2")))
    for r in (joint.a, joint.b):
        for thick, (c1, c2), (a1, a2) in layers:
            bent = joint.bent(thick) * ((1.0 + nu) * x[c1] + (1.0 - nu) * x[c2] / r**2)
            drawn = joint.drawn(thick) * ((1.0 + nu) * x[a1] + (1.0 - nu) * x[a2] / r**2)
            found += [abs(drawn / thick + s * 6.0 * bent / thick**2) for s in (1.0, -1.0)]
    more = joint.bent(joint.t) * (1.0 - nu) * x["C4"] / joint.b**2
    force = joint.drawn(joint.t) * (1.0 - nu) * x["A4"] / joint.b**2
    for way in (1.0, -1.0):
        found += [abs(way * force / joint.t + s * 6.0 * (1.0 + way * more) / joint.t**2) for s in (1.0, -1.0)]
    return found


def _less(terms: Terms) -> Terms:
    return tuple((name, -value) for name, value in terms)


def area_check(part: str, opening_mm: float, panel_mm: float, outside_mm: float, ring_mm: float) -> Check:
    """Whether the ring's section makes up for what the opening takes from the panel's."""
    return AREA.check(part, "all cases", d=opening_mm, t=panel_mm, d_o=outside_mm, t_r=ring_mm)
