"""The mesh of a bracket of any kind."""

from __future__ import annotations

from layout.brackets.design import BracketDesign
from layout.fe.angle import BracketMesh, bracket_mesh, is_even
from layout.fe.bent import bent_mesh
from layout.fe.standoffs import standoff_mesh


def meshed_bracket(bracket: BracketDesign, mass_of: dict[str, float], step_mm: float) -> BracketMesh:
    """All bodies of a bracket. mass_of: kg by part number; step_mm: greatest size of an element."""
    if bracket.column is not None:
        return standoff_mesh(bracket, mass_of, step_mm)
    return (bracket_mesh if is_even(bracket) else bent_mesh)(bracket, mass_of, step_mm)
