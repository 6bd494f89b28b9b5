"""Soft goods of the box: names and densities. Figures are estimates (common practice, no source); weigh what you buy."""

from __future__ import annotations

from layout.tables import material

SOFT_KG_M3 = {"EPDM gasket": 600.0, "insulating liner": 1400.0, "soft strip": 1200.0}
"""Closed-cell EPDM as compressed; flame-retardant sheet between polypropylene (950) and glass-polyester (1800); solid rubber
of 60 Shore A."""


def density_kg_m3(name: str) -> float:
    """Density of a metal of the tables or of a soft good. Raises KeyError (with near names) for anything else."""
    return SOFT_KG_M3[name] if name in SOFT_KG_M3 else material(name).density_kg_m3


def is_estimate(name: str) -> bool:
    """True where the density is an estimate."""
    return name in SOFT_KG_M3
