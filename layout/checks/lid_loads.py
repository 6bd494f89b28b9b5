"""A lid that carries equipment on welded pads: the sheet under them, and the fillets round them. Sizes in mm, forces in N."""

from __future__ import annotations

from layout.checks.plate_series import patch_moment
from layout.checks.plates import Panel, membrane_note
from layout.checks.rule import Check, Rule, Source
from layout.checks.welds import weld_checks

UNDER_PADS = Rule(
    "lid under what stands on it", "6 * (mu * F + V * h / (2 * s)) / t**2 + beta * q * b**2 / t**2", "f_o / gamma_M0", "MPa",
    Source(
        "Navier's series for a patch on a simply supported plate, all pads at the worst of their places at once; the moment of "
        "a pad's shear over twice its side; the plate's own load by series", "derived",
    ),
    {
        "mu": ("-", "moment per mm over the force, by series"), "F": ("N", "sizes of the forces of all pads, added"),
        "V": ("N", "shear at the top of the pad sheared most"), "h": ("mm", "from there to the middle of the sheet"),
        "s": ("mm", "side of a pad"), "t": ("mm", "thickness of the lid"), "beta": ("-", "stress factor by series"),
        "q": ("MPa", "pressure of the lid's own mass"), "b": ("mm", "shorter side"),
        "f_o": ("MPa", "proof strength beside welds"),
        "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip


def under_pads_check(
    part: str, case: str, panel: Panel, pads: tuple[tuple[float, float], ...], side_mm: float, height_mm: float,
    forces_n: tuple[float, float], pressure_mpa: float,
) -> Check:  # fmt: skip
    """pads: middles from the lid's corner; height: of a pad; forces_n: square to the lid, sizes of all pads added, and the
    greatest shear of one.
    """
    t = panel.thickness_mm
    patch = (side_mm + t, side_mm + t)
    mu = max(patch_moment(panel.a_mm, panel.b_mm, patch, at, panel.metal.poisson) for at in pads)
    beta, _ = panel.factors()
    proof = panel.metal.strength(t).haz_proof_mpa
    return UNDER_PADS.check(
        part, case, membrane_note(panel, pressure_mpa), mu=mu, F=forces_n[0], V=forces_n[1], h=height_mm + t / 2.0, s=side_mm,
        t=t, beta=beta, q=abs(pressure_mpa), b=min(panel.a_mm, panel.b_mm), f_o=proof, gamma_M0=panel.metal.gamma_m0,
    )  # fmt: skip


def pad_weld_checks(
    part: str, case: str, grades: tuple[str, str], sheets_mm: tuple[float, float], throat_mm: float, side_mm: float,
    height_mm: float, forces_n: tuple[float, float],
) -> list[Check]:  # fmt: skip
    """The fillet all round a square pad. forces_n: square to the lid, and shear at the pad's top, whose moment over the pad's
    height the weld carries as a line of unit throat: I = 2 s^3/3, W = 4 s^2/3.
    """
    pull, shear = abs(forces_n[0]), abs(forces_n[1])
    normal = pull / (4.0 * side_mm) + shear * height_mm / (4.0 * side_mm**2 / 3.0)
    return weld_checks(part, case, grades, sheets_mm, throat_mm, shear / (4.0 * side_mm), 0.0, normal)
