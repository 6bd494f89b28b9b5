"""Soft goods of the box: names and densities. Figures are estimates (common practice, no source); weigh what you buy."""

from __future__ import annotations

import re

from layout.tables import material

INSULATING_SHEET = "insulating sheet"
SOFT_KG_M3 = {"EPDM gasket": 600.0, "insulating liner": 1400.0, INSULATING_SHEET: 1400.0, "soft strip": 1200.0}
"""Closed-cell EPDM as compressed; flame-retardant sheet between polypropylene (950) and glass-polyester (1800); solid rubber
of 60 Shore A."""
_STATED = re.compile(r"gap pad of (\d+(?:\.\d+)?) kg/m3")


def pad_material(density: float) -> str:
    """Name of the material of pads whose density the job states, kg/m3."""
    return f"gap pad of {density:g} kg/m3"


def is_soft(name: str) -> bool:
    """Whether a material is a soft good, cut with a knife: no rules of metal sheet apply to it, no finish."""
    return name in SOFT_KG_M3 or _STATED.fullmatch(name) is not None


def density_kg_m3(name: str) -> float:
    """Density of a metal of the tables or of a soft good. Raises KeyError (with near names) for anything else."""
    stated = _STATED.fullmatch(name)
    if stated:
        return float(stated[1])
    return SOFT_KG_M3[name] if name in SOFT_KG_M3 else material(name).density_kg_m3


def is_estimate(name: str) -> bool:
    """True where the density is an estimate."""
    return name in SOFT_KG_M3
