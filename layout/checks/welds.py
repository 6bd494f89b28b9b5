"""Welds: fillets in steel by EN 1993-1-8:2005 (simplified and directional), in aluminium by EN 1999-1-1:2007 with the
heat-affected zone beside them. Forces per mm of weld in N/mm; throat and leg in mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from layout.checks.bolt_rules import GAMMA_M2
from layout.checks.groups import WeldLines, weld_forces
from layout.checks.rule import Check, Rule, Source, not_checked
from layout.errors import DesignError
from layout.tables import Material, material, weld_metal

GAMMA_MW = 1.25
"""Partial factor of welds in aluminium, EN 1999-1-1:2007 8.1.1 (from memory)."""

_EC3 = Source("EN 1993-1-8:2005 4.5.3.3 (design strengths seen in public tables)", "seen")
_EC3_DIRECTIONAL = Source("EN 1993-1-8:2005 4.5.3.2 (formula seen in public software manuals)", "seen")
_EC9 = Source("EN 1999-1-1:2007 8.6.3.3, strength of weld metal of Table 8.8", "memory")
_EC9_HAZ = Source("EN 1999-1-1:2007 8.6.3.4 (heat-affected zone)", "memory")

_Q = {
    "q_a": ("N/mm", "force along the weld"), "q_t": ("N/mm", "force across the weld, in the plane"),
    "q_n": ("N/mm", "force normal to the plane"), "a": ("mm", "throat"),
}  # fmt: skip
_STEEL = {
    "f_u": ("MPa", "ultimate strength of the weaker part"), "beta_w": ("-", "correlation factor"),
    "gamma_M2": ("-", "partial factor"),
}  # fmt: skip

SIMPLIFIED = Rule(
    "fillet weld, simplified", "sqrt(q_a**2 + q_t**2 + q_n**2)", "a * f_u / (sqrt(3) * beta_w * gamma_M2)", "N/mm", _EC3,
    {**_Q, **_STEEL},
)  # fmt: skip

_EQUIVALENT = "sqrt((abs(q_n) - abs(q_t))**2 / 2 + 3 * ((abs(q_n) + abs(q_t))**2 / 2 + q_a**2)) / a"
"""Equivalent stress in the throat at 45 degrees, for the side of the plate on which the two transverse forces add in shear."""

DIRECTIONAL = Rule(
    "fillet weld, directional", _EQUIVALENT, "f_u / (beta_w * gamma_M2)", "MPa", _EC3_DIRECTIONAL, {**_Q, **_STEEL}
)

NORMAL = Rule(
    "fillet weld, stress across the throat", "(abs(q_n) + abs(q_t)) / (sqrt(2) * a)", "0.9 * f_u / gamma_M2", "MPa",
    _EC3_DIRECTIONAL, {k: v for k, v in {**_Q, **_STEEL}.items() if k not in ("q_a", "beta_w")},
)  # fmt: skip

ALUMINIUM = Rule(
    "fillet weld in aluminium", _EQUIVALENT, "f_w / gamma_Mw", "MPa", _EC9,
    {**_Q, "f_w": ("MPa", "strength of the weld metal"), "gamma_Mw": ("-", "partial factor of welds")},
)  # fmt: skip

_BESIDE = "sqrt((q_n / w + 6 * m / t**2)**2 + 3 * (q_t**2 + q_a**2) / w**2)"
_BESIDE_SYMBOLS = {
    "q_a": _Q["q_a"], "q_t": _Q["q_t"], "q_n": _Q["q_n"],
    "w": ("mm", "thickness of the sheet, or the legs of its fillets together where these are less"),
    "m": ("N", "moment per mm about the weld's axis"), "t": ("mm", "thickness of the sheet"),
}  # fmt: skip

HAZ = Rule(
    "heat-affected zone beside the weld", _BESIDE, "f_uh / gamma_Mw", "MPa", _EC9_HAZ,
    {
        **_BESIDE_SYMBOLS, "f_uh": ("MPa", "ultimate strength in the heat-affected zone"),
        "gamma_Mw": ("-", "partial factor of welds"),
    },
)  # fmt: skip

SHEET = Rule(
    "sheet beside the weld", _BESIDE, "f_y / gamma_M0", "MPa",
    Source("EN 1993-1-1:2005 6.2.1(5): elastic stress in the sheet that the fillets feed", "memory"),
    {**_BESIDE_SYMBOLS, "f_y": ("MPa", "proof strength"), "gamma_M0": ("-", "partial factor")},
)  # fmt: skip

HAZ_SECTION = Rule(
    "section in the heat-affected zone", "sigma", "f_oh / gamma_M1", "MPa", Source("EN 1999-1-1:2007 6.1.6, 6.2", "memory"),
    {
        "sigma": ("MPa", "equivalent stress in the parent metal within the zone"),
        "f_oh": ("MPa", "proof strength in the heat-affected zone"), "gamma_M1": ("-", "partial factor"),
    },
)  # fmt: skip

EFFECTIVE_LENGTH = Rule(
    "effective length of weld", "max(6 * a, 30)", "l - 2 * a", "mm", Source("EN 1993-1-8:2005 4.5.1", "memory"),
    {"a": ("mm", "throat"), "l": ("mm", "length of the weld")},
)  # fmt: skip

ROOT_BENDING = "a fillet from one side is bent about its root: not permitted; weld both sides or brace the plate"
THIN_THROAT = "throat below 3 mm is outside EN 1993-1-8 4.1, as is metal below 4 mm: used as an extension of its scope"


def effective_length_mm(length_mm: float, throat_mm: float, returned: bool = False) -> float:
    """Length less two throats for the start and end craters, unless the weld is returned round the corners (4.5.1)."""
    return max(length_mm - (0.0 if returned else 2.0 * throat_mm), 0.0)


def simplified_strength_mpa(grade: str, thickness_mm: float) -> float:
    """fvw,d of EN 1993-1-8:2005 (4.4), for steel."""
    metal = _steel(grade)
    return metal.ultimate_mpa(thickness_mm) / (math.sqrt(3.0) * (metal.beta_w or 1.0) * GAMMA_M2)


def weld_checks(
    part: str,
    case: str,
    grades: tuple[str, str],
    thicknesses_mm: tuple[float, float],
    throat_mm: float,
    along_n_mm: float,
    across_n_mm: float,
    normal_n_mm: float,
    *,
    sides: int = 1,
    root_moment_n: float = 0.0,
    beside: int = 1,
    filler: str = "5356",
) -> list[Check]:
    """One place of a fillet weld between two parts, from its force per mm: steel to steel, or aluminium to aluminium; and
    the sheets that it feeds, each for the whole force.

    sides: fillets that share the force (1 or 2). root_moment_n: moment per mm about the weld's own axis (N*mm/mm); a fillet
    from one side under it gives a check that does not hold. beside: how many fillets like this one, each with such a force
    of its own, feed the same sheet. Raises DesignError for parts of unlike families or sides other than 1 or 2.
    """
    if sides not in (1, 2):
        raise DesignError(part, "a fillet has one or two sides", f"{sides}", "Give 1 or 2.")
    pair = _pair(grades, thicknesses_mm, filler)
    if pair is None:
        raise DesignError(part, "steel and aluminium cannot be welded together", f"{grades}", "Bolt them, or use one metal.")
    found, couple = _root(part, case, sides, root_moment_n, thicknesses_mm)
    forces = {"q_a": along_n_mm / sides, "q_t": across_n_mm / sides, "q_n": abs(normal_n_mm) / sides + couple}
    whole = {"q_a": beside * along_n_mm, "q_t": beside * across_n_mm, "q_n": beside * abs(normal_n_mm), "m": abs(root_moment_n)}
    legs = sides * beside * throat_mm * math.sqrt(2.0)
    for name, t, limits in pair.sheets:
        found.append(pair.sheet_rule.check(part, case, name, w=min(legs, t), t=t, **limits, **whole))
    if pair.weld_metal_mpa is not None:
        note = f"filler {filler}"
        return [*found, ALUMINIUM.check(part, case, note, a=throat_mm, f_w=pair.weld_metal_mpa, gamma_Mw=GAMMA_MW, **forces)]
    return found + _throat(part, case, pair, throat_mm, min(thicknesses_mm), forces)


def _throat(
    part: str, case: str, pair: _Pair, throat_mm: float, thinner_mm: float, forces: dict[str, float]
) -> list[Check]:
    """The throat of a fillet in steel by both methods."""
    note = THIN_THROAT if throat_mm < 3.0 or thinner_mm < 4.0 else ""
    values = {"a": throat_mm, "f_u": pair.ultimate_mpa, "gamma_M2": GAMMA_M2, **forces}
    across = {k: v for k, v in values.items() if k != "q_a"}
    return [
        SIMPLIFIED.check(part, case, note, beta_w=pair.beta_w, **values),
        DIRECTIONAL.check(part, case, note, beta_w=pair.beta_w, **values),
        NORMAL.check(part, case, note, **across),
    ]


@dataclass(frozen=True)
class _Pair:
    """What two welded parts bring to the rules: the weaker ultimate strength and greater correlation factor (steel), the
    strength of the weld metal (aluminium, else None), and each sheet once with its limits.
    """

    ultimate_mpa: float
    beta_w: float
    weld_metal_mpa: float | None
    sheet_rule: Rule
    sheets: tuple[tuple[str, float, dict[str, float]], ...]


@lru_cache(maxsize=1024)
def _pair(grades: tuple[str, str], thicknesses_mm: tuple[float, float], filler: str) -> _Pair | None:
    metals = (material(grades[0]), material(grades[1]))
    if metals[0].family != metals[1].family:
        return None
    aluminium = metals[0].family == "aluminium"
    sheets = []
    for metal, t in {(m.name, t): (m, t) for m, t in zip(metals, thicknesses_mm, strict=True)}.values():
        band = metal.strength(t)
        steel = {"f_y": band.proof_mpa, "gamma_M0": metal.gamma_m0}
        sheets.append((metal.name, t, {"f_uh": band.haz_ultimate_mpa, "gamma_Mw": GAMMA_MW} if aluminium else steel))
    return _Pair(
        min(m.ultimate_mpa(t) for m, t in zip(metals, thicknesses_mm, strict=True)), max(m.beta_w or 1.0 for m in metals),
        min(weld_metal(m.name, filler).fw_mpa for m in metals) if aluminium else None, HAZ if aluminium else SHEET,
        tuple(sheets),
    )  # fmt: skip


def weld_group_checks(
    part: str,
    case: str,
    lines: WeldLines,
    grades: tuple[str, str],
    thicknesses_mm: tuple[float, float],
    throat_mm: float,
    force_n: tuple[float, float, float],
    moment_nmm: tuple[float, float, float],
    *,
    beside: int = 1,
    filler: str = "5356",
) -> list[Check]:
    """A group of fillets under force and moment at its centroid: lengths, then strength at its most loaded ends.

    The lines' own lengths are taken as given (shorten them by effective_length_mm first where they are not returned).
    beside: 2 where the lines lie in pairs on both faces of one sheet.
    """
    lengths = [EFFECTIVE_LENGTH.check(part, case, a=throat_mm, l=float(min(lines.lengths_mm)) + 2.0 * throat_mm)]
    many = any(isinstance(v, np.ndarray) for v in (*force_n, *moment_nmm))
    force, moment = (np.stack(np.broadcast_arrays(*v), axis=-1) if many else v for v in (force_n, moment_nmm))
    q = weld_forces(lines, force, moment)
    q = q.reshape(*q.shape[:-3], -1, 3)
    if not np.isfinite(q).all():
        return [*lengths, not_checked("fillet weld", part, case, ROOT_BENDING, unit="N/mm", demand=math.inf)]
    places = [np.argmax(of(q), axis=-1) for of in (_equivalent, _membrane)]
    for at in places if many or places[0] != places[1] else places[:1]:
        along, across, normal = np.moveaxis(np.take_along_axis(q, at[..., None, None], axis=-2)[..., 0, :], -1, 0)
        flow = (along, across, normal) if many else (float(along), float(across), float(normal))
        lengths += weld_checks(part, case, grades, thicknesses_mm, throat_mm, *flow, beside=beside, filler=filler)
    return lengths


def _equivalent(q: Any) -> Any:
    """Equivalent force per mm over the throat, as in the directional rule."""
    n, t = np.abs(q[..., 2]), np.abs(q[..., 1])
    return np.sqrt((n - t) ** 2 / 2.0 + 3.0 * ((n + t) ** 2 / 2.0 + q[..., 0] ** 2))


def _membrane(q: Any) -> Any:
    """Equivalent force per mm in the sheet beside the weld."""
    return np.sqrt(q[..., 2] ** 2 + 3.0 * (q[..., 1] ** 2 + q[..., 0] ** 2))


def _steel(grade: str) -> Material:
    metal = material(grade)
    if metal.family != "steel":
        raise DesignError(metal.name, "this rule is for steel", metal.family, "Use the rule for aluminium.")
    return metal


def _root(
    part: str, case: str, sides: int, moment_n: float, thicknesses_mm: tuple[float, float]
) -> tuple[list[Check], float]:
    """Moment per mm about the weld's own axis: on one side a check that does not hold; on two a couple over the thickness."""
    if not moment_n:
        return [], 0.0
    if sides == 1:
        name = "fillet weld bent about its root"
        return [Check(name, part, case, abs(moment_n), 0.0, "N", _EC3_ROOT, note=ROOT_BENDING)], 0.0
    return [], abs(moment_n) / min(thicknesses_mm)


_EC3_ROOT = Source("EN 1993-1-8:2005 4.12 (eccentric single fillets): bending about the root to be avoided", "memory")
