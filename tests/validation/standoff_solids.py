"""Solid models of a standoff and of a saddle, the hand checks of the same brackets, and a table of both.

    python tests/validation/standoff_solids.py        prints the comparison (about a minute)

Sizes in mm, forces in N along (a, n, out) as in layout.checks.
"""

from __future__ import annotations

import importlib.util
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np

from layout.checks.box_column import BoxColumn, box_column_checks, box_column_stiffness
from layout.checks.gussets import GussetedL
from layout.checks.saddles import HELD, SaddleLegs, saddle_checks

_SPEC = importlib.util.spec_from_file_location("bracket_models", Path(__file__).with_name("bracket_solids.py"))
MODELS = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(MODELS)
SOLIDS, E, NU = MODELS.SOLIDS, MODELS.E, MODELS.NU

STANDOFF = {
    "t": 8.0, "clear": 28.0, "height": 64.0, "g": 6.0, "recess": 6.0, "length": 70.0, "ledge": 9.0, "washer": 20.0,
    "hole": 11.0, "column": 39.0, "row": 40.0, "rim": 16.0,
}  # fmt: skip
STANDOFF_CASES = {"as drawn": {}, "long": {"length": 140.0}, "thick ends": {"t": 12.0}, "short": {"length": 40.0}}
SADDLE = {**MODELS.GUSSETED, "t": 8.0, "width": 84.0, "arm": 60.0, "edge": 46.0, "reach": 102.0, "height": 70.0, "clear": 28.0}
LEGS = {"leg": 8.0, "depth": 30.0, "span": 62.0, "length": 70.0}
SADDLE_CASES = {"as drawn": {}, "gussets wide apart": {"clear": 46.0}, "thin": {"t": 6.0, "leg": 6.0, "edge": 45.0}}


def standoff(force, *, t, clear, height, g, recess, length, ledge, washer, hole, column, row, rim, step=9.0):
    """Half of a standoff (mirror plane through both bolts' columns). x along the column from the bars' face, y across, z up.

    Clamped under the washers of the leg bolts, on the spreader's back (the bar, on which it rests, is left out: softer).
    The force acts on the foot's inner face under a square washer round a square hole.
    """
    line, h, tall = MODELS._line, hole / 2, height / 2
    end, wide, high = 2 * t + length, clear / 2 + g + ledge, tall + ledge
    x = np.concatenate([np.linspace(0, t, 3), line([t, t + length], step)[1:], np.linspace(t + length, end, 3)[1:]])
    y = line([0, h, washer / 2, clear / 2, clear / 2 + g, wide, column - 8, column + 8, column + rim], step)
    inner = tall - recess - g
    z = [h, washer / 2, row / 2 - 8, row / 2 + 8, inner, inner + g, tall, high, row / 2 + rim]
    z = line([*(-v for v in z), 0.0, *z], step)
    xs, ys, zs = np.meshgrid(*(0.5 * (v[1:] + v[:-1]) for v in (x, y, z)), indexing="ij")
    reach = max(high, row / 2 + rim)
    socket = (ys < clear / 2) & (abs(zs) < clear / 2)
    spreader = (xs < t) & (abs(zs) < reach) & ~socket
    web = (xs > t) & (xs < t + length) & (ys > clear / 2) & (ys < clear / 2 + g) & (abs(zs) < tall)
    cover = (xs > t) & (xs < t + length) & (ys < clear / 2) & (abs(zs) > inner) & (abs(zs) < inner + g)
    foot = (xs > t + length) & (ys < wide) & (abs(zs) < high) & ~((ys < h) & (abs(zs) < h))
    mesh = SOLIDS.hexes(spreader | web | cover | foot, lambda i, j, k: np.array([x[i], y[j], z[k]]))
    held = mesh.facets_satisfying(
        lambda p: (p[0] < 1e-6) & (abs(p[1] - column) < 8) & (abs(abs(p[2]) - row / 2) < 8), boundaries_only=True
    )
    under = mesh.facets_satisfying(
        lambda p: (abs(p[0] - t - length) < 1e-6) & (p[1] < washer / 2) & (abs(p[2]) < washer / 2), boundaries_only=True
    )
    across, along, up = force
    basis = SOLIDS.basis_of(mesh)
    mirror = mesh.facets_satisfying(lambda p: abs(p[1]) < 1e-6, boundaries_only=True)
    spread = 2.0 * SOLIDS.area(basis, under)
    pull = (-along / spread, across / spread, up / spread)  # n looks to the box: -x
    (u,), (reaction,) = SOLIDS.solve(basis, E, NU, held, under, [pull], mirror, across != 0.0)
    faces = mesh.facets_satisfying(lambda p: p[0] > t + 1e-3, boundaries_only=True)
    stress, _, area = SOLIDS.surface_stress(u, basis, E, NU, np.setdiff1d(faces, mirror))
    dofs = basis.get_dofs(under)
    moved = np.array([u[dofs.all(f"u^{c}")].mean() for c in (1, 2, 3)])
    return {
        "p995": SOLIDS.percentile(stress, area, 0.995),
        "peak": float(stress.max()),
        "moved": moved,
        "reaction": 2.0 * reaction,
    }


def compare_standoff(sizes, force):
    """Hand stress, solid's answer, and displacement along the force by hand and solid."""
    fe = standoff(force, **sizes)
    s = sizes
    shape = BoxColumn("S275", s["t"], s["clear"], s["height"], s["g"], s["recess"], s["length"], 3.5, s["washer"], s["hole"])
    hand = MODELS.worst_stress(box_column_checks("P", "c", shape, force))
    give = np.linalg.solve(box_column_stiffness(shape), force)
    size = float(np.linalg.norm(force))
    own = np.array([fe["moved"][1], -fe["moved"][0], fe["moved"][2]])
    return {"hand": hand, "fe": fe, "hand_mm": float(give @ force) / size, "fe_mm": float(own @ np.array(force)) / size}


def saddle(
    forces, *, t, width, arm, edge, tg, clear, reach, height, nose, notch, washer, hole, leg, depth, span, length, step=6.0
):
    """Half of a saddle: the gusseted L of bracket_solids with two legs under its foot, beside the rail. Axes as there."""
    end, half = arm + edge, span / 2
    marks = [arm - half - leg, arm - half, arm - washer / 2, arm - hole / 2, arm + hole / 2, arm + washer / 2, arm + half,
             arm + half + leg]  # fmt: skip
    x = MODELS._line([-t, 0.0, min(notch, reach), *marks, reach, end], step)
    y = MODELS._line([0.0, hole / 2, washer / 2, clear / 2, clear / 2 + tg, length / 2, width / 2], step)
    up = t + MODELS._line([0.0, notch, height, height + 3 * t], 2 * step)[1:]
    z = np.concatenate([MODELS._line([-depth, 0.0], step)[:-1], np.linspace(0, t, 3), up])
    xs, ys, zs = np.meshgrid(*(0.5 * (v[1:] + v[:-1]) for v in (x, y, z)), indexing="ij")
    foot = (zs < t) & (zs > 0) & ~((abs(xs - arm) < hole / 2) & (ys < hole / 2))
    web = (xs > 0) & (xs < reach) & (ys > clear / 2) & (ys < clear / 2 + tg) & (zs > t) & (zs < t + height)
    web &= ~((xs < notch) & (zs < t + notch))
    legs = (zs < 0) & (abs(xs - arm) > half) & (abs(xs - arm) < half + leg) & (ys < length / 2)

    def place(i, j, k):
        px, pz = x[i], z[k].astype(float)
        slope = nose + (height - nose) * (1 - np.clip(px, 0, reach) / reach)
        return np.array([px, y[j], np.where(pz > t, t + (pz - t) * np.where(px > 0, slope / height, 1.0), pz)])

    mesh = SOLIDS.hexes(foot | ((xs < 0) & (zs > 0)) | web | legs, place)
    held = mesh.facets_satisfying(lambda p: (abs(p[0] + t) < 1e-6) & (p[2] > t), boundaries_only=True)
    under = mesh.facets_satisfying(
        lambda p: (abs(p[2] - t) < 1e-6) & (abs(p[0] - arm) < washer / 2) & (p[1] < min(washer, clear) / 2),
        boundaries_only=True,
    )
    return MODELS._answer(mesh, held, under, forces, lambda p: p[0] > -t + 1e-3, sideways=False)


def compare_saddle(sizes, forces):
    """Hand stress and the solid's answer for forces (along the foot, normal to it)."""
    foot = {k: v for k, v in sizes.items() if k not in LEGS}
    legs = SaddleLegs(sizes["leg"], sizes["depth"], sizes["span"], sizes["length"])
    shape: GussetedL = replace(MODELS.hand_gusseted(foot), restraint=HELD)
    found = saddle(forces, **sizes)
    return [
        {"hand": MODELS.worst_stress(saddle_checks("P", "c", shape, legs, (0.0, fz, fx))), "fe": fe}
        for (fx, fz), fe in zip(forces, found, strict=True)
    ]


def main():
    """Print the comparison."""
    say = sys.stdout.write
    say("bracket                        force (a, n, out) N      hand MPa  FE 99.5 %  FE peak  hand/FE   hand mm     FE mm\n")
    for name, change in STANDOFF_CASES.items():
        for force in ((1000.0, 0.0, 0.0), (0.0, 1000.0, 0.0), (0.0, 0.0, 1000.0), (0.0, 1000.0, 1000.0)):
            r = compare_standoff({**STANDOFF, **change}, force)
            fe = r["fe"]
            say(f"{'standoff, ' + name:<30} {force!s:<24} {r['hand']:>8.1f} {fe['p995']:>10.1f} {fe['peak']:>8.1f} "
                f"{r['hand'] / fe['p995']:>8.2f} {r['hand_mm']:>9.5f} {r['fe_mm']:>9.5f}\n")  # fmt: skip
    forces = [(0.0, 2000.0), (2000.0, 0.0), (1500.0, 1500.0), (1500.0, -1500.0)]
    for name, change in SADDLE_CASES.items():
        for (fx, fz), r in zip(forces, compare_saddle({**SADDLE, **LEGS, **change}, forces), strict=True):
            fe = r["fe"]
            say(f"{'saddle, ' + name:<30} {(0.0, fz, fx)!s:<24} {r['hand']:>8.1f} {fe['p995']:>10.1f} {fe['peak']:>8.1f} "
                f"{r['hand'] / fe['p995']:>8.2f}\n")  # fmt: skip


if __name__ == "__main__":
    main()
