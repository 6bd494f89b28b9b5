"""Rules for bolts and the plies they hold, as text. EN 1993-1-8:2005 (the edition before the 2024 one), clauses from memory;
the resistances were recomputed from published section tables where the source is marked as seen.
"""

from __future__ import annotations

from layout.checks.rule import Rule, Source

GAMMA_M2 = 1.25
"""Partial factor of bolts, bearing and welds, EN 1993-1-8:2005 Table 2.1 (recommended value)."""
GAMMA_M3 = 1.25
"""Partial factor of slip at the ultimate limit state."""
GAMMA_M3_SERVICE = 1.10
"""Partial factor of slip in service."""

EC3 = "EN 1993-1-8:2005"
TABLE_3_4 = Source(f"{EC3} Table 3.4", "seen")
TABLE_3_4_MEMORY = Source(f"{EC3} Table 3.4", "memory")

F_T = ("N", "tension in the bolt")
F_V = ("N", "shear in the bolt")
F_UB = ("MPa", "nominal ultimate strength of the bolt")
A_S = ("mm2", "tensile stress area")
G_M2 = ("-", "partial factor")
F_U = ("MPa", "ultimate strength of the ply")
D = ("mm", "bolt diameter")
D_0 = ("mm", "hole diameter")
T = ("mm", "thickness of the ply")
E_1 = ("mm", "edge distance along the force")
E_2 = ("mm", "edge distance across the force")

TENSION = Rule(
    "bolt tension", "F_t", "k_2 * f_ub * A_s / gamma_M2", "N", TABLE_3_4,
    {"F_t": F_T, "k_2": ("-", "0.9; 0.63 for a countersunk head"), "f_ub": F_UB, "A_s": A_S, "gamma_M2": G_M2},
)  # fmt: skip

SHEAR = Rule(
    "bolt shear", "F_v", "alpha_v * f_ub * A * beta / gamma_M2", "N", TABLE_3_4,
    {
        "F_v": ("N", "shear in one plane of the bolt"), "alpha_v": ("-", "shear factor of the property class"), "f_ub": F_UB,
        "A": ("mm2", "stress area where the thread lies in the plane, else shank area"),
        "beta": ("-", "0.85 for M12 and M14 in holes with 2 mm clearance (3.6.1(5)), else 1"), "gamma_M2": G_M2,
    },
)  # fmt: skip

COMBINED = Rule(
    "bolt shear with tension", "F_v / F_vRd + F_t / (1.4 * F_tRd)", "1.0", "-", TABLE_3_4_MEMORY,
    {
        "F_v": F_V, "F_vRd": ("N", "shear resistance"), "F_t": F_T, "F_tRd": ("N", "tension resistance"),
    },
)  # fmt: skip

_BEARING_SYMBOLS = {
    "F_1": ("N", "force on the ply along the direction of e_1"),
    "e_1": E_1, "e_2": E_2,
    "p_1": ("mm", "pitch along the force (inf: no neighbour)"), "p_2": ("mm", "pitch across the force (inf: no neighbour)"),
    "d": D, "d_0": D_0, "t": T, "f_u": F_U, "f_ub": F_UB,
    "c_h": ("-", "1; 0.8 for an oversize hole; 0.6 for a slot across the force"), "gamma_M2": G_M2,
}  # fmt: skip

BEARING_CAPACITY = (
    "c_h * min(2.8 * e_2 / d_0 - 1.7, 1.4 * p_2 / d_0 - 1.7, 2.5)"
    " * min(e_1 / (3 * d_0), p_1 / (3 * d_0) - 0.25, f_ub / f_u, 1) * f_u * d * t / gamma_M2"
)
"""The factor with e_1 is at once the check against tearing out of the edge in this edition."""

BEARING = Rule("bearing and tear-out", "F_1", BEARING_CAPACITY, "N", TABLE_3_4, _BEARING_SYMBOLS)

BEARING_ALUMINIUM = Rule(
    "bearing and tear-out", "F_1", BEARING_CAPACITY, "N", Source("EN 1999-1-1:2007 Table 8.5 (same form)", "memory"),
    _BEARING_SYMBOLS,
)  # fmt: skip

BEARING_SKEW = Rule(
    "bearing, both directions", "(F_1 / F_b1)**2 + (F_2 / F_b2)**2", "1.0", "-",
    Source("Steel Buildings in Europe, Part 5, 3.4 (components checked apart and combined by squares)", "seen"),
    {
        "F_1": ("N", "force along e_1"), "F_b1": ("N", "bearing resistance along e_1"),
        "F_2": ("N", "force along e_2"), "F_b2": ("N", "bearing resistance along e_2"),
    },
)  # fmt: skip

BEARING_SINGLE_LAP = Rule(
    "bearing, one bolt in a single lap", "F_v", "1.5 * f_u * d * t / gamma_M2", "N", Source(f"{EC3} 3.6.1(10)", "memory"),
    {"F_v": F_V, "f_u": F_U, "d": D, "t": T, "gamma_M2": G_M2},
)  # fmt: skip

BEARING_THIN = Rule(
    "bearing in thin sheet", "F_v", "2.5 * min(e_1 / (3 * d), 1) * k_t * f_u * d * t / gamma_M2", "N",
    Source("EN 1993-1-3:2006 Table 8.4 (0.75 to 3 mm, M6 and above; formula seen in a public reproduction)", "seen"),
    {
        "F_v": F_V, "e_1": E_1, "d": D, "k_t": ("-", "(0.8 t + 1.5) / 2.5 up to 1.25 mm, else 1"), "f_u": F_U, "t": T,
        "gamma_M2": G_M2,
    },
)  # fmt: skip

EDGE_DISTANCE = Rule(
    "edge distance", "1.2 * d_0", "e", "mm", Source(f"{EC3} Table 3.3 (least edge distance)", "memory"),
    {"d_0": D_0, "e": ("mm", "least edge distance of the hole")},
)  # fmt: skip

SLOT_EDGE = Rule(
    "edge distance of a slot", "1.5 * d_0", "e", "mm", Source(f"{EC3} Table 3.3 (e_3, e_4 of slotted holes)", "memory"),
    {"d_0": D_0, "e": ("mm", "from the slot's axis or the middle of its end to the nearest edge")},
)  # fmt: skip

PITCH = Rule(
    "bolt pitch", "k_p * d_0", "p", "mm", Source(f"{EC3} Table 3.3 (least pitch: 2.2 d_0 along, 2.4 d_0 across)", "memory"),
    {"k_p": ("-", "2.2 along the force, 2.4 across"), "d_0": D_0, "p": ("mm", "pitch to the next hole")},
)  # fmt: skip

PUNCHING = Rule(
    "punching", "F_t", "0.6 * pi * d_m * t * f_u / gamma_M2", "N", TABLE_3_4_MEMORY,
    {"F_t": F_T, "d_m": ("mm", "mean of across flats and across corners of head or nut"), "t": T, "f_u": F_U, "gamma_M2": G_M2},
)  # fmt: skip

PULL_THROUGH = Rule(
    "pull-through of thin sheet", "F_t", "c_r * d_w * t * f_u / gamma_M2", "N",
    Source("EN 1993-1-3:2006 Table 8.2 (screws with washers; taken for bolts too)", "memory"),
    {
        "F_t": F_T, "c_r": ("-", "1 for a single load, 0.5 for repeated loads"), "d_w": ("mm", "diameter of washer or head"),
        "t": T, "f_u": F_U, "gamma_M2": G_M2,
    },
)  # fmt: skip

PROOF = Rule(
    "bolt proof load", "max(F_imax + C * F_t, F_t)", "S_p * A_s", "N",
    Source("Shigley's Mechanical Engineering Design, 9th ed., ch. 8 (proof load, preload, share of load)", "seen"),
    {
        "F_imax": ("N", "greatest preload"), "C": ("-", "bolt's share of the external tension"), "F_t": F_T,
        "S_p": ("MPa", "proof stress of the property class"), "A_s": A_S,
    },
)  # fmt: skip

SEPARATION = Rule(
    "joint separation", "(1 - C) * F_t", "F_imin", "N",
    Source("Shigley's Mechanical Engineering Design, 9th ed., ch. 8 (load that opens the joint)", "seen"),
    {"C": ("-", "bolt's share of the external tension"), "F_t": F_T, "F_imin": ("N", "least preload after settling")},
)  # fmt: skip

SLIP = Rule(
    "slip", "F_v", "k_s * n * mu * max(F_imin - 0.8 * F_t, 0) / gamma_M3", "N", Source(f"{EC3} 3.9.1, 3.9.2", "seen"),
    {
        "F_v": F_V, "k_s": ("-", "1 normal holes, 0.85 oversize, along a slot 0.76 short, 0.63 long"),
        "n": ("-", "number of friction planes"),
        "mu": ("-", "slip factor"), "F_imin": ("N", "least preload after settling"), "F_t": F_T,
        "gamma_M3": ("-", "partial factor"),
    },
)  # fmt: skip
