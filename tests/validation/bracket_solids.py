"""Solid models of the plain and the gusseted L, the hand checks of the same brackets, and a table of both.

    python tests/validation/bracket_solids.py        prints the comparison (one or two minutes)

Sizes in mm, forces (along the foot, normal to the foot) in N; or one force along the bend.
"""

from __future__ import annotations

import importlib.util
import sys
from itertools import pairwise
from pathlib import Path

import numpy as np

from layout.checks.bracket_stiffness import gusseted_l_stiffness, plain_l_stiffness
from layout.checks.brackets import PlainL, plain_l_checks
from layout.checks.gussets import GussetedL, gusseted_l_checks

_SPEC = importlib.util.spec_from_file_location("bracket_referee_solids", Path(__file__).with_name("solids.py"))
SOLIDS = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(SOLIDS)
E, NU = 210000.0, 0.3

GUSSETED = {
    "t": 6.0, "width": 80.0, "arm": 40.0, "edge": 17.0, "tg": 5.0, "clear": 46.0, "reach": 44.0, "height": 60.0, "nose": 12.0,
    "notch": 9.0, "washer": 20.0, "hole": 11.0,
}  # fmt: skip
PLAIN = {"t": 6.0, "radius": 6.0, "width": 60.0, "arm": 40.0, "leg": 50.0, "washer": 20.0}
GUSSETED_CASES = {
    "short foot": {}, "long foot": {"arm": 80.0, "reach": 85.0}, "hole 20 beyond the gussets": {"arm": 80.0, "reach": 60.0},
    "4 mm sheet": {"t": 4.0, "tg": 4.0, "arm": 60.0, "reach": 64.0, "height": 90.0},
    "hole 10 beyond the gussets": {"reach": 30.0}, "8 mm foot, low gussets": {"t": 8.0, "tg": 4.0, "height": 40.0},
    "slender": {"arm": 100.0, "reach": 105.0, "height": 50.0, "nose": 5.0},
    "near the edge": {"edge": 12.0}, "M12 in 8 mm": {
        "t": 8.0, "hole": 13.5, "washer": 24.0, "clear": 56.0, "width": 96.0, "edge": 21.0, "arm": 50.0, "reach": 55.0,
    },
    "wide apart": {"clear": 80.0, "width": 120.0, "arm": 60.0, "reach": 62.0},
}  # fmt: skip
PLAIN_CASES = {
    "6 mm": {}, "4 mm": {"t": 4.0, "radius": 4.0}, "tight bend": {"radius": 3.0}, "wide": {"width": 100.0, "arm": 60.0},
    "narrow": {"width": 30.0, "arm": 80.0, "leg": 80.0}, "8 mm": {"t": 8.0, "radius": 10.0, "arm": 50.0},
    "wide bend": {"radius": 12.0},
}  # fmt: skip


def _line(marks, step):
    """Grid line through all marks, cells not longer than a step."""
    marks = sorted(set(marks))
    out = [marks[0]]
    for a, b in pairwise(marks):
        n = max(int(np.ceil((b - a) / step - 1e-9)), 1)
        out.extend(a + (b - a) * (k + 1) / n for k in range(n))
    return np.array(out)


def gusseted(forces, *, t, width, arm, edge, tg, clear, reach, height, nose, notch, washer, hole, step=5.0, sideways=False):
    """Half of a gusseted L (mirror plane through the hole). x along the foot from the upright's face, y along the bend, z up.

    The upright's back is clamped above the foot; the force acts on the face under a square washer round a square hole.
    """
    end = arm + edge
    at_bolt = [arm - washer / 2, arm - hole / 2, arm + hole / 2, min(arm + washer / 2, end)]
    x = _line([-t, 0.0, min(notch, reach), *at_bolt, reach, end], step)
    y = _line([0.0, hole / 2, washer / 2, clear / 2, clear / 2 + tg, width / 2], step)
    z = np.concatenate([np.linspace(0, t, 3), t + _line([0.0, notch, height, height + 3 * t], 2 * step)[1:]])
    xs, ys, zs = np.meshgrid(*(0.5 * (v[1:] + v[:-1]) for v in (x, y, z)), indexing="ij")
    foot = (zs < t) & ~((abs(xs - arm) < hole / 2) & (ys < hole / 2))
    web = (xs > 0) & (xs < reach) & (ys > clear / 2) & (ys < clear / 2 + tg) & (zs > t) & (zs < t + height)
    web &= ~((xs < notch) & (zs < t + notch))

    def place(i, j, k):
        px, pz = x[i], z[k].astype(float)
        slope = nose + (height - nose) * (1 - np.clip(px, 0, reach) / reach)
        return np.array([px, y[j], np.where(pz > t, t + (pz - t) * np.where(px > 0, slope / height, 1.0), pz)])

    mesh = SOLIDS.hexes(foot | (xs < 0) | web, place)
    held = mesh.facets_satisfying(lambda p: (abs(p[0] + t) < 1e-6) & (p[2] > t), boundaries_only=True)
    half, side = washer / 2, min(washer / 2, clear / 2)
    under = mesh.facets_satisfying(
        lambda p: (abs(p[2] - t) < 1e-6) & (abs(p[0] - arm) < half) & (p[1] < side), boundaries_only=True
    )
    return _answer(mesh, held, under, forces, lambda p: p[0] > -t + 1e-3, sideways)


def plain(forces, *, t, radius, width, arm, leg, washer, step=5.0, sideways=False):
    """Half of a plain L; arm from the upright's inner face to the hole, leg from the middle of the foot's thickness to the
    clamped end. Grid: s along the middle line, y, n through the thickness. Origin where the middle planes would meet.
    """
    rm = radius + t / 2
    up, out, arc = leg - rm, arm + t / 2 - rm, rm * np.pi / 2
    s = _line([0.0, up, up + arc, up + arc + out - washer / 2, up + arc + out + washer / 2, up + arc + out + washer], step)
    y, n = _line([0.0, washer / 2, width / 2], step), np.linspace(-t / 2, t / 2, 4)

    def place(i, j, k):
        a = np.clip((s[i] - up) / arc, 0.0, 1.0) * np.pi / 2
        above, beyond = np.clip(up - s[i], 0.0, None), np.clip(s[i] - up - arc, 0.0, None)
        r = rm - n[k]
        return np.array([rm - r * np.cos(a) + beyond, y[j], rm - r * np.sin(a) + above])

    mesh = SOLIDS.hexes(np.ones((len(s) - 1, len(y) - 1, len(n) - 1), bool), place)
    held = mesh.facets_satisfying(lambda p: abs(p[2] - leg) < 1e-6, boundaries_only=True)
    at, half = arm + t / 2, washer / 2
    under = mesh.facets_satisfying(
        lambda p: (abs(p[2] - t / 2) < 1e-6) & (abs(p[0] - at) < half) & (p[1] < half), boundaries_only=True
    )
    return _answer(mesh, held, under, forces, lambda p: p[2] < leg - t, sideways)


def _answer(mesh, held, under, forces, keep, sideways):
    """For each whole force (x, z), half of which acts on this half: stress on the kept surfaces, and how the washer moves.

    sideways: forces are (y, 0) instead.
    """
    basis = SOLIDS.basis_of(mesh)
    mirror = mesh.facets_satisfying(lambda p: abs(p[1]) < 1e-6, boundaries_only=True)
    spread = 2.0 * SOLIDS.area(basis, under)
    pulls = [(0.0, f[0] / spread, 0.0) if sideways else (f[0] / spread, 0.0, f[1] / spread) for f in forces]
    moved, reactions = SOLIDS.solve(basis, E, NU, held, under, pulls, mirror, sideways)
    faces = np.setdiff1d(mesh.facets_satisfying(keep, boundaries_only=True), np.union1d(mirror, held))
    dofs, found = basis.get_dofs(under), []
    for u, reaction in zip(moved, reactions, strict=True):
        stress, places, area = SOLIDS.surface_stress(u, basis, E, NU, faces)
        found.append({
            "p995": SOLIDS.percentile(stress, area, 0.995), "peak": float(stress.max()), "stress": stress, "at": places,
            "area": area, "moved": np.array([u[dofs.all(f"u^{c}")].mean() for c in (1, 2, 3)]), "reaction": 2.0 * reaction,
        })  # fmt: skip
    return found


def hand_gusseted(sizes):
    """The product's bracket of the same sizes."""
    s = sizes
    return GussetedL(
        "S275", s["t"], s["width"], s["arm"], s["edge"], 2, s["tg"], s["clear"], s["reach"], s["height"], s["nose"], 3.5,
        s["notch"], s["washer"], s["hole"],
    )  # fmt: skip


def hand_plain(sizes):
    """The product's bracket of the same sizes."""
    return PlainL("S275", sizes["t"], sizes["radius"], sizes["width"], sizes["arm"], sizes["leg"], 0.0, sizes["washer"])


def worst_stress(checks):
    """Greatest stress among the checks of plates (welds apart)."""
    return max(c.demand for c in checks if c.unit == "MPa" and "weld" not in c.name)


def compare(kind, sizes, forces):
    """For each force: hand stress, solid's 99.5 percentile and peak, hand and solid displacement along the force."""
    if kind == "gusseted":
        bracket, found = hand_gusseted(sizes), gusseted(forces, **sizes)
        stiff = gusseted_l_stiffness(bracket, 0.6 * sizes["height"])
    else:
        bracket, found = hand_plain(sizes), plain(forces, **sizes)
        stiff = plain_l_stiffness(bracket)
    rows = []
    for (fx, fz), fe in zip(forces, found, strict=True):
        run = gusseted_l_checks if kind == "gusseted" else plain_l_checks
        give = np.linalg.solve(stiff, [0.0, fz, fx])
        size = np.hypot(fx, fz)
        rows.append({
            "hand": worst_stress(run("bracket", "case", bracket, (0.0, fz, fx))), "fe": fe,
            "hand_mm": float(give @ [0.0, fz, fx]) / size, "fe_mm": float(fe["moved"] @ [fx, 0.0, fz]) / size,
        })  # fmt: skip
    return rows


def compare_sideways(kind, sizes, force):
    """Hand stress and solid's answer for one force along the bend."""
    if kind == "gusseted":
        found = gusseted([(force, 0.0)], sideways=True, **sizes)
        checks = gusseted_l_checks("bracket", "case", hand_gusseted(sizes), (force, 0.0, 0.0))
    else:
        found = plain([(force, 0.0)], sideways=True, **sizes)
        checks = plain_l_checks("bracket", "case", hand_plain(sizes), (force, 0.0, 0.0))
    return {"hand": worst_stress(checks), "fe": found[0]}


def main():
    """Print the comparison."""
    say = sys.stdout.write
    say("bracket                                   force N        hand MPa   FE 99.5 %   FE peak  hand/FE  hand mm    FE mm\n")
    for kind, base, cases, forces in (
        ("plain", PLAIN, PLAIN_CASES, [(0.0, 1000.0), (1000.0, 0.0), (1000.0, 1000.0), (1000.0, -1000.0)]),
        ("gusseted", GUSSETED, GUSSETED_CASES, [(0.0, 2000.0), (2000.0, 0.0), (1500.0, 1500.0), (1500.0, -1500.0)]),
    ):
        for name, change in cases.items():
            rows = compare(kind, {**base, **change}, forces)
            for (fx, fz), r in zip(forces, rows, strict=True):
                fe = r["fe"]
                say(
                    f"{kind + ' L, ' + name:<38} {fx:>6.0f} {fz:>6.0f} {r['hand']:>12.1f} {fe['p995']:>11.1f} "
                    f"{fe['peak']:>9.1f} {r['hand'] / fe['p995']:>8.2f} {r['hand_mm']:>8.4f} {r['fe_mm']:>8.4f}\n"
                )
            side = compare_sideways(kind, {**base, **change}, forces[0][1])
            fe = side["fe"]
            say(
                f"{kind + ' L, ' + name:<38}   along bend {side['hand']:>14.1f} {fe['p995']:>11.1f} {fe['peak']:>9.1f} "
                f"{side['hand'] / fe['p995']:>8.2f}\n"
            )


if __name__ == "__main__":
    main()
