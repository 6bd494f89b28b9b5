"""What the program says for each row of tests/data/loads/*.json: method name -> function of the row's inputs."""

from __future__ import annotations

import numpy as np
from scipy.optimize import minimize_scalar

from layout.loads.body import G0_M_S2
from layout.loads.mounts import Mount, isotropic, solve_mounts
from layout.loads.pulses import half_sine, haversine, rectangle, triangle
from layout.loads.shock import spectrum
from layout.loads.tray import TRAYS, tray_share

SHAPES = {"half_sine": half_sine, "triangle": triangle, "haversine": haversine}


def bolt_group(inputs):
    """A bolt group is a body on equal mounts, pushed at an arm: the arm is the distance of its centroid from the bolts'."""
    points = inputs.get("points") or [[x, y] for x in inputs["columns"] for y in inputs["rows"]]
    force = np.array([*inputs["force"], 0.0])
    arm = inputs.get("arm_mm", inputs.get("moment", 0.0) / force[1])
    mounts = [Mount(f"bolt {i}", (x, y, 0.0), isotropic(1e5)) for i, (x, y) in enumerate(points)]
    mass = float(np.linalg.norm(force)) / G0_M_S2
    acceleration = np.array([0.0, 0.0, -1.0]) - force / (mass * G0_M_S2)
    found = solve_mounts(mounts, mass, (arm, 0.0, 0.0), tuple(acceleration))
    sizes = [float(np.linalg.norm(r.force_n)) / 1000.0 for r in found]
    return {"resultants_kN": sizes, "max_kN": max(sizes)}


def supports(inputs):
    mounts = [Mount(f"leg {i}", (x, y, 0.0), isotropic(1e4)) for i, (x, y) in enumerate(inputs["supports"])]
    x, y = inputs["centroid"]
    found = solve_mounts(mounts, inputs["weight_N"] / G0_M_S2, (x, y, 0.0), (0.0, 0.0, 0.0))
    return {"down_N": [-r.force_n[2] for r in found]}


def beam_share(inputs):
    """Two rows of mounts under a tray that bends along x alone: each row is a continuous beam with half the load."""
    count = inputs["supports"]
    along = np.linspace(-300.0, 300.0, count)
    plan = np.array([(x, y) for x in along for y in (-200.0, 200.0)])
    beam = next(t for t in TRAYS if t.name == "continuous beam along x")
    share = tray_share(plan, np.array([-300.0, -200.0]), np.array([300.0, 200.0]), beam)[:, 0]
    return {"reaction_over_wl": (share.reshape(count, 2).sum(axis=1) * (count - 1)).tolist()}


def amplification(pulse, duration_over_period):
    return float(max(spectrum(pulse, np.array([duration_over_period / pulse.duration_s]), 0.0))[0])


def greatest(inputs):
    pulse = SHAPES[inputs["pulse"]](1.0, 1.0)
    found = minimize_scalar(lambda r: -amplification(pulse, r), bounds=(0.6, 1.3), method="bounded", options={"xatol": 1e-4})
    return {"factor": -float(found.fun), "td_over_T": float(found.x)}


def short_pulse(inputs):
    """A short half sine of the given impulse; force on the mass is the same as acceleration of the base."""
    period, stiffness = inputs["period_s"], inputs["stiffness_kip_in"]
    mass = stiffness * (period / (2.0 * np.pi)) ** 2
    duration = 0.01
    peak = inputs["impulse_kip_s"] / mass * np.pi / (2.0 * duration)
    scale = peak / 100.0
    answer = float(spectrum(half_sine(100.0, duration), np.array([1.0 / period]), 0.0)[1][0]) * scale
    deflection = mass * answer / stiffness
    return {"deflection_in": deflection, "moment_kip_ft": stiffness * deflection * inputs["height_ft"]}


EVALUATORS = {
    "bolt group as mounts": bolt_group,
    "three vertical supports": supports,
    "four equal legs": supports,
    "continuous beam share": beam_share,
    "greatest amplification": greatest,
    "half-sine amplification": lambda i: {"factor": amplification(half_sine(1.0, 1.0), i["td_over_T"])},
    "rectangle amplification": lambda i: {"factor": amplification(rectangle(1.0, 1.0), i["td_s"] / i["period_s"])},
    "short pulse": short_pulse,
    "velocity change": lambda i: {"dv_m_s": SHAPES[i["shape"]](i["peak_g"], i["duration_ms"] / 1000.0).velocity_change_m_s},
}
