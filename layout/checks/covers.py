"""Removable covers: pitch of their screws by the gasket, the cover as a plate, the panel with the opening, the rim round it.

Sizes in mm, forces in N, stresses in MPa. The cover carries no bending of its panel: its gasket lies between.
"""

from __future__ import annotations

from layout.checks.plate_series import patch_moment
from layout.checks.plates import Panel
from layout.checks.rule import Check, Rule, Source

GASKET_MPA = (0.035, 0.065)
"""Least and greatest pressure of a soft closed-cell EPDM at a quarter of its thickness (ASTM D1056 type 2C2, from memory)."""
GASKET_UNEVEN = 0.1
"""Share of the gasket's thickness by which its compression may differ between screw and middle (our choice)."""
HOLE_FACTOR = 2.0
"""Stress concentration at a round hole in a thin plate bent both ways alike (chart of plates in bending, seen); one way alone
gives (5 + 3 nu)/(3 + nu) = 1.8 (Goodier 1936, from memory)."""

GASKET_PITCH = Rule(
    "pitch of cover screws by the gasket", "p", "(480 * E * t**3 * dh / (13 * q_1 + 2 * q_2))**0.25", "mm",
    Source("strip clamped at the screws under the gasket's pressure, q p^4/(32 E t^3) <= dh, q = (13 q_1 + 2 q_2)/15: rule of "
           "gasket makers (seen in part; derived)", "derived"),
    {
        "p": ("mm", "greatest pitch between screws"), "E": ("MPa", "modulus of the cover"), "t": ("mm", "its thickness"),
        "dh": ("mm", "difference of the gasket's compression"), "q_1": ("MPa", "gasket pressure between screws"),
        "q_2": ("MPa", "gasket pressure at the screws"),
    },
)  # fmt: skip

COVER_PLATE = Rule(
    "cover under its equipment", "6 * m / t**2 + beta * q * b**2 / t**2", "f_o / gamma_M0", "MPa",
    Source("Navier's series for each foot (Timoshenko art. 29), greatest moments added; own mass by series (art. 30)", "seen"),
    {
        "m": ("N", "moment per mm under the feet, all added"), "t": ("mm", "thickness"), "beta": ("-", "stress factor"),
        "q": ("MPa", "pressure of its own mass"), "b": ("mm", "shorter side"), "f_o": ("MPa", "proof strength"),
        "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip

PANEL_WITH_OPENING = Rule(
    "panel with a rimmed opening", "K * (6 * mu * F / t**2 + beta * q * b**2 / t**2)", "f_o / gamma_M0", "MPa",
    Source("plate without the opening (series) times stress concentration of a round hole in a plate bent both ways", "seen"),
    {
        "K": ("-", "stress concentration"), "mu": ("-", "moment per mm over the force, by series"),
        "F": ("N", "force of cover, rim and what the cover carries"), "t": ("mm", "thickness of the panel"),
        "beta": ("-", "stress factor by series"), "q": ("MPa", "pressure of its own mass"), "b": ("mm", "shorter side"),
        "f_o": ("MPa", "proof strength beside welds"), "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip

RIM = Rule(
    "rim in place of the sheet cut out", "w * t**3 / 12", "2 * b_r * h_r**3 / 12", "mm4",
    Source("second moment of both sides of the rim, about their own middle, against that of the sheet cut out", "derived"),
    {
        "w": ("mm", "greater side of the opening"), "t": ("mm", "thickness of the panel"), "b_r": ("mm", "width of the rim"),
        "h_r": ("mm", "thickness of the rim"),
    },
)  # fmt: skip


def moment_under_feet_n(
    panel: Panel, patch_mm: float, places_mm: tuple[tuple[float, float], ...], forces_n: tuple[float, ...]
) -> float:
    """Bending moment per mm that no place of a simply supported plate passes: that under each foot, by its size, added.

    places_mm: feet from the panel's corner. Raises DesignError for a foot that does not lie on the panel.
    """
    return sum(
        patch_moment(panel.a_mm, panel.b_mm, (patch_mm, patch_mm), at, panel.metal.poisson) * abs(force)
        for at, force in zip(places_mm, forces_n, strict=True)
    )


def cover_plate_check(part: str, case: str, panel: Panel, moment_n: float, pressure_mpa: float) -> Check:
    """A cover, simply supported on its screws, under the feet of what it carries and its own mass."""
    beta, _ = panel.factors()
    return COVER_PLATE.check(
        part, case, m=moment_n, t=panel.thickness_mm, beta=beta, q=abs(pressure_mpa), b=min(panel.a_mm, panel.b_mm),
        f_o=panel.proof_mpa, gamma_M0=panel.metal.gamma_m0,
    )  # fmt: skip


def opening_checks(
    part: str, case: str, panel: Panel, rim_mm: tuple[float, float], opening_mm: tuple[float, float],
    at_mm: tuple[float, float], force_n: float, pressure_mpa: float,
) -> list[Check]:  # fmt: skip
    """A panel with an opening that a rim (width, thickness) stiffens; at_mm: middle of the opening from the panel's corner.

    force_n: square to the panel, of all that the rim carries. The rim must replace the sheet that is cut out.
    """
    beta, _ = panel.factors()
    outer = [
        min(size + 2.0 * rim_mm[0] + panel.thickness_mm, 2.0 * at, 2.0 * (side - at))
        for size, at, side in zip(opening_mm, at_mm, (panel.a_mm, panel.b_mm), strict=True)
    ]
    mu = patch_moment(panel.a_mm, panel.b_mm, (outer[0], outer[1]), at_mm, panel.metal.poisson)
    whole = PANEL_WITH_OPENING.check(
        part, case, "edges simply supported", K=HOLE_FACTOR, mu=mu, F=abs(force_n), t=panel.thickness_mm, beta=beta,
        q=abs(pressure_mpa), b=min(panel.a_mm, panel.b_mm), f_o=panel.proof_mpa, gamma_M0=panel.metal.gamma_m0,
    )  # fmt: skip
    rim = RIM.check(part, case, w=max(opening_mm), t=panel.thickness_mm, b_r=rim_mm[0], h_r=rim_mm[1])
    return [whole, rim]


def gasket_pitch_check(part: str, e_mpa: float, cover_mm: float, gasket_mm: float, pitch_mm: float) -> Check:
    """Whether the gasket stays pressed between two screws."""
    return GASKET_PITCH.check(
        part, "in service", "gasket taken as wide as the cover's edge: on the safe side", p=pitch_mm, E=e_mpa, t=cover_mm,
        dh=GASKET_UNEVEN * gasket_mm, q_1=GASKET_MPA[0], q_2=GASKET_MPA[1],
    )  # fmt: skip
