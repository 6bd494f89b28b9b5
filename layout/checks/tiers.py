"""Rules for a box whose floor is at two heights: the riser between its floors, and the inner corners of its L-shaped walls."""

from __future__ import annotations

from layout.checks.rule import Rule, Source

RISER = Rule(
    "riser between two floors", "sqrt((w * l**2 / 8 * 6 / (t * h**2))**2 + 3 * (1.5 * w * l / 2 / (h * t))**2)",
    "f_o / gamma_M0", "MPa",
    Source("simple beam of the riser's plate alone, what both floors add to it left aside; greatest bending and shear added as "
           "if at one place, von Mises", "derived"),
    {
        "w": ("N/mm", "what half of each floor beside it brings"), "l": ("mm", "length between the walls"),
        "h": ("mm", "height between the floors"), "t": ("mm", "thickness"), "f_o": ("MPa", "proof strength beside welds"),
        "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip

CORNER_FACTOR = 6.5
"""Stress beside the inner corner over what the force would cause spread along the line that it cuts: 1.0 where the force is
spread over the plate and two brackets hold it; 6.4 in a solid model of a whole box, thrown along the wall, whose nearest end
screw stands 20 mm from the corner."""

L_CORNER = Rule(
    "L-shaped wall at its inner corner", "k * sqrt(3) * Q / (l * t)", "f_o / gamma_M0", "MPa",
    Source(
        "greatest von Mises stress from one thickness to 30 mm from a square inner corner, elastic: k from a solid model of a "
        "whole box with an end screw 20 mm from the corner; a plate loaded evenly gives a sixth of it", "derived",
    ),
    {
        "k": ("-", "stress at the corner over that spread along the cut"), "Q": ("N", "force of the modules across the cut"),
        "l": ("mm", "length of the cut from the corner to the far edge"), "t": ("mm", "thickness of the wall"),
        "f_o": ("MPa", "proof strength beside welds"), "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip
