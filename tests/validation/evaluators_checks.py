"""What the program says for each row of tests/data/checks/*.json: method name -> function of the row's inputs."""

from __future__ import annotations

import math

import numpy as np

from layout.checks import beams, bolt_rules, buckling, plate_series, prying, threads, welds
from layout.checks.bolts import shear_resistance_n, tension_resistance_n
from layout.checks.groups import BoltGroup, WeldLines, bolt_shears, weld_forces
from layout.tables import bolt, bolt_class


def _group(inputs):
    points = inputs.get("points") or [[u, v] for u in inputs["columns"] for v in inputs["rows"]]
    edge = [max(abs(p[k]) for p in points) + 50.0 for k in (0, 1)]
    return BoltGroup(tuple((float(u), float(v)) for u, v in points), (-edge[0], edge[0], -edge[1], edge[1]))


def bolt_group(inputs):
    group = _group(inputs)
    force = [*inputs["force"], 0.0]
    moment = inputs.get("moment", inputs["force"][1] * inputs.get("arm_mm", 0.0))
    shears = np.linalg.norm(bolt_shears(group, force, [0.0, 0.0, moment]), axis=-1) / 1000.0
    return {
        "r_mm": math.sqrt(group.polar_mm2 / len(group.points_mm)), "sum_r2_mm2": group.polar_mm2,
        "resultants_kN": shears.tolist(), "max_kN": float(shears.max()),
    }


def fin_plate(inputs):
    group = _group(inputs)
    per_newton = np.linalg.norm(bolt_shears(group, [0.0, -1.0, 0.0], [0.0, 0.0, -inputs["z_mm"]]), axis=-1).max()
    return {"V_Rd_kN": inputs["bolt_kN"] / float(per_newton)}


def bolt_loads(inputs):
    size, grade = bolt(inputs["size"]), bolt_class(inputs["class"])
    return {"proof_N": grade.proof_mpa * size.stress_area_mm2, "ultimate_N": grade.rm_min_mpa * size.stress_area_mm2}


def countersunk(inputs):
    size, grade = inputs["size"], inputs["class"]
    return {
        "FtRd_kN": tension_resistance_n(size, grade, countersunk=True) / 1000.0,
        "FvRd_kN": shear_resistance_n(size, grade, hole_mm=inputs["hole_mm"]) / 1000.0,
    }


def bolt_formulas(inputs):
    area = math.pi / 4.0 * (inputs["d_mm"] - 0.9382 * inputs["P_mm"]) ** 2
    shared = {"f_ub": inputs["fub"], "gamma_M2": bolt_rules.GAMMA_M2}
    tension = bolt_rules.TENSION.check("", "", F_t=0.0, k_2=inputs["k2"], A_s=area, **shared).capacity
    shear = bolt_rules.SHEAR.check("", "", F_v=0.0, alpha_v=0.6, A=area, beta=1.0, **shared).capacity
    return {"FtRd_kN": tension / 1000.0, "FvRd_kN": shear / 1000.0}


def slip(inputs):
    preload = 0.7 * inputs["fub"] * inputs["As_mm2"]
    values = {"F_v": 0.0, "k_s": 1.0, "n": 1.0, "F_imin": preload, "F_t": 0.0, "gamma_M3": inputs["gM3"]}
    return {"FsRd_kN": [bolt_rules.SLIP.check("", "", mu=mu, **values).capacity / 1000.0 for mu in inputs["mu"]]}


def _bearing(i, e1, e2, p1, p2, t):
    return bolt_rules.BEARING.check(
        "", "", F_1=0.0, e_1=e1, e_2=e2, p_1=p1, p_2=p2, d=i["d"], d_0=i["d0"], t=t, f_u=i["fu"], f_ub=i["fub"], c_h=1.0,
        gamma_M2=bolt_rules.GAMMA_M2,
    ).capacity / 1000.0  # fmt: skip


def bearing_per_mm(i):
    return {"Fb_per_mm_kN": _bearing(i, i["e1"], i["e2"], i["p1"], i["p2"], 1.0)}


def bearing_both(i):
    return {
        "Fb_ver_kN": _bearing(i, i["e1"], i["e2"], i["p1"], i["p2"], i["t"]),
        "Fb_hor_kN": _bearing(i, i["e2"], i["e1"], i["p2"], i["p1"], i["t"]),
    }


def preload_factors(i):
    """Loads at which the proof and separation rules are just used up, over the load of the example."""
    proof = {"F_imax": i["Fi"], "C": i["C"], "S_p": i["Sp_As"], "A_s": 1.0}
    used = bolt_rules.PROOF.check("", "", F_t=i["P"], **proof)
    apart = bolt_rules.SEPARATION.check("", "", C=i["C"], F_t=i["P"], F_imin=i["Fi"])
    rise = used.demand - i["Fi"]
    return {"np": 1.0 / used.utilisation, "nL": (used.capacity - i["Fi"]) / rise, "n0": 1.0 / apart.utilisation}


def separation(i):
    load = (i["Fi"] - i["clamp_left"]) / bolt_rules.SEPARATION.check("", "", C=i["C"], F_t=1.0, F_imin=i["Fi"]).demand
    bolt_force = bolt_rules.PROOF.check("", "", F_imax=i["Fi"], C=i["C"], F_t=load, S_p=1.0, A_s=1.0).demand
    return {"P": load, "bolt": bolt_force}


def tee(i):
    """The three modes apart: each with what the others need made plentiful."""
    shared = {"F": 0.0, "t": i["t"], "f_y": i["f_y"], "gamma_M0": 1.0, "m": i["m"], "n": i["n"]}
    modes = [(i["l_1"], 1e9, 1e12), (1e9, i["l_2"], i["B_kN"] * 1e3), (1e9, 1e9, i["B_kN"] * 1e3)]
    first, second, third = (prying.FLANGE.check("", "", l_1=a, l_2=b, B=c, **shared).capacity / 1e3 for a, b, c in modes)
    both = (2.0 * i["l_2"] * i["t"] ** 2 * i["f_y"] / 4.0 + i["n"] * i["B_kN"] * 1e3) / (i["m"] + i["n"]) / 1e3
    return {"F1_kN": first, "F2_kN": second if both < i["B_kN"] else both, "F3_kN": third}


def tee_length(i):
    return {"circular_mm": prying.Flange("S355", 20.0, i["m"], 1e4, 1e5).lengths_mm[0]}


def prying_force(i):
    return {"Q_over_T": prying.prying_factor(i["b"], i["a"]) - 1.0}


def engagement(i):
    area = threads.STRIP_INNER.check(
        "", "", F_t=0.0, C_3=1.0, r_s=1.0, f_u=1.0, d_a=i["d"], m_eff=1.0, P=i["P"], x=i["d"] - i["d2_max"], gamma_M2=1.0
    ).capacity
    return {"engagement_mm": i["F_N"] / (i["tau"] * area)}


def engagement_d(i):
    length = threads.needed_engagement_mm(i["size"], i["class"], i["metal"], 10.0)
    return {"engagement_d": length / bolt(i["size"]).diameter_mm}


def _simplified(i, q=1.0):
    return welds.SIMPLIFIED.check(
        "", "", q_a=q, q_t=0.0, q_n=0.0, a=i.get("throat", 1.0), f_u=i["fu"], beta_w=i["beta_w"], gamma_M2=1.25
    )


def fillet_per_mm(i):
    """Transverse by the directional rule: force per mm in the plane of one leg at which it is used up."""
    across = welds.DIRECTIONAL.check(
        "", "", q_a=0.0, q_t=1.0, q_n=0.0, a=i["throat"], f_u=i["fu"], beta_w=i["beta_w"], gamma_M2=1.25
    )
    return {"L_kN_mm": _simplified(i).capacity / 1e3, "T_kN_mm": 1.0 / across.utilisation / 1e3}


def fillet_strength(i):
    return {"fvw_d": _simplified(i).capacity}


def fillet_bracket(i):
    per_mm = _simplified(i).capacity
    return {"per_mm_N": per_mm, "total_kN": per_mm * i["count"] * welds.effective_length_mm(i["length"], i["throat"]) / 1e3}


def throat_area(i):
    """Force at which parallel fillets along it reach tau on the throat."""
    lines = WeldLines(tuple((10.0 * k, 0.0, 10.0 * k, float(i["length"])) for k in range(i["count"])))
    flow = float(np.abs(weld_forces(lines, [0.0, 1.0, 0.0], [0.0, 0.0, 0.0])).max())
    return {"F_kN": i["tau"] * i["throat"] / flow / 1e3}


def _ring(radius):
    turn = np.linspace(0.0, 2.0 * math.pi, 721)
    x, y = radius * np.cos(turn), radius * np.sin(turn)
    rows = tuple((float(a), float(b), float(c), float(d)) for a, b, c, d in zip(x, y, x[1:], y[1:], strict=False))
    return WeldLines(rows)


def weld_ring(i):
    """Two rings of weld about one centre under a torque: force at which the throat's shear reaches tau."""
    lines = _ring(i["r_mm"])
    flow = np.abs(weld_forces(lines, [0.0, 0.0, 0.0], [0.0, 0.0, i["arm_mm"]])).max() / i["welds"]
    return {"Ju_cm3": lines.polar_mm3 / 1e3, "F_kN": i["tau"] * 0.707 * i["h"] / float(flow) / 1e3}


def c_weld(i):
    b, d = float(i["b"]), float(i["d"])
    lines = WeldLines(((0.0, 0.0, 0.0, d), (0.0, 0.0, b, 0.0), (0.0, d, b, d)))
    return {"xbar": float(lines.centroid_mm[0]), "Ju_mm3": lines.polar_mm3}


def plate_supported(i):
    f = plate_series.simply_supported(i["a_over_b"], 1.0)
    return {"beta": f.centre, "alpha": f.alpha}


def plate_clamped(i):
    f = plate_series.clamped(i["a_over_b"], 1.0)
    return {"beta1": f.edge, "beta2": f.centre, "alpha": f.alpha}


def plate_patch(i):
    """beta of sigma = beta W/t^2 at the middle of a central patch, short side 1."""
    r = i["a_over_b"]
    return {"beta": 6.0 * plate_series.patch_moment(r, 1.0, (i["a1_over_b"], i["b1_over_b"]), (r / 2.0, 0.5))}


def plate_twist(i):
    return {"Mxy_over_qb2": plate_series.simply_supported(i["a_over_b"], 1.0).corner / (6.0 * math.sqrt(3.0))}


def beam_coefficient(i):
    two, three = beams.continuous_equal_spans(2), beams.continuous_equal_spans(3)
    table = {
        "SS UDL w": beams.simple_udl(1.0, 1.0, 1.0).deflection_mm,
        "SS mid P w": beams.simple_points([(0.5, 1.0)], 1.0, 1.0).deflection_mm,
        "CC UDL w": beams.clamped_udl(1.0, 1.0, 1.0).deflection_mm,
        "CC UDL M": beams.clamped_udl(1.0, 1.0, 1.0).moment_nmm,
        "2-span UDL centre R": two.reactions[1], "2-span UDL end R": two.reactions[0], "2-span UDL M": two.support_moment,
        "3-span UDL end R": three.reactions[0], "3-span UDL M": three.support_moment,
    }  # fmt: skip
    return {"coef": table[i["case"]]}


def buckling_stress(i):
    return {"coef": buckling.euler_stress_mpa(i["E"], i["nu"], 1.0, 1.0)}


def shear_factor(i):
    return {"k": buckling.shear_factor(i["a_over_b"], 1.0)}


EVALUATORS = {
    "bolt group in plane": bolt_group, "fin plate": fin_plate, "bolt loads": bolt_loads, "countersunk bolt": countersunk,
    "bolt formulas": bolt_formulas, "slip": slip, "bearing per mm": bearing_per_mm, "bearing both ways": bearing_both,
    "preload factors": preload_factors, "separation": separation, "tee flange": tee, "tee flange length": tee_length,
    "prying force": prying_force, "thread engagement": engagement, "engagement in diameters": engagement_d,
    "fillet per mm": fillet_per_mm, "fillet strength": fillet_strength, "fillet bracket": fillet_bracket,
    "throat area": throat_area, "weld ring in torsion": weld_ring, "C weld": c_weld,
    "plate simply supported": plate_supported, "plate clamped": plate_clamped, "plate twist": plate_twist,
    "plate patch": plate_patch,
    "beam coefficient": beam_coefficient, "plate buckling stress": buckling_stress, "shear buckling factor": shear_factor,
}  # fmt: skip
