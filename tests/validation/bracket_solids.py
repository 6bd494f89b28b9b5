"""Solid models of the plain and the gusseted L for the referee tests (see solids.py). Sizes in mm, forces in N."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import numpy as np

_SPEC = importlib.util.spec_from_file_location("bracket_referee_solids", Path(__file__).with_name("solids.py"))
SOLIDS = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(SOLIDS)
E, NU = 210000.0, 0.3


def _line(marks, step):
    """Grid line through all marks, cells not longer than a step."""
    marks = sorted(set(marks))
    out = [marks[0]]
    for a, b in zip(marks, marks[1:], strict=False):
        n = max(int(np.ceil((b - a) / step - 1e-9)), 1)
        out.extend(a + (b - a) * (k + 1) / n for k in range(n))
    return np.array(out)


def gusseted(*, t, width, arm, edge, tg, clear, reach, height, nose, notch, washer, hole, force, step=4.0):
    """Half of a gusseted L (mirror plane through the hole). x along the foot from the upright's face, y along the bend, z up.

    The upright's back is clamped above the foot; the force (x, z) acts on a square washer with a square hole. Returns the
    model's displacement of the washer, the mesh and stress on all surfaces off the clamp.
    """
    end = arm + edge
    x = _line([-t, 0.0, min(notch, reach), arm - washer / 2, arm - hole / 2, arm + hole / 2, min(arm + washer / 2, end), reach, end], step)
    y = _line([0.0, hole / 2, washer / 2, clear / 2, clear / 2 + tg, width / 2], step)
    top = height + 3 * t
    z = np.concatenate([np.linspace(0, t, 3), t + _line([0.0, notch, height, top], 2 * step)[1:]])
    xc, yc, zc = (0.5 * (v[1:] + v[:-1]) for v in (x, y, z))
    X, Y, Z = np.meshgrid(xc, yc, zc, indexing="ij")
    foot = (Z < t) & ~((abs(X - arm) < hole / 2) & (Y < hole / 2))
    upright = X < 0
    web = (X > 0) & (X < reach) & (Y > clear / 2) & (Y < clear / 2 + tg) & (Z > t) & (Z < t + height)
    web &= ~((X < notch) & (Z < t + notch))
    filled = foot | upright | web

    def place(i, j, k):
        px, py, pz = x[i], y[j], z[k].astype(float)
        slope = nose + (height - nose) * (1 - np.clip(px, 0, reach) / reach)
        pz = np.where(pz > t, t + (pz - t) * np.where(px > 0, slope / height, 1.0), pz)
        return np.array([px, py, pz])

    mesh = SOLIDS.hexes(filled, place)
    held = mesh.facets_satisfying(lambda p: (abs(p[0] + t) < 1e-6) & (p[2] > t), boundaries_only=True)
    mirror = mesh.facets_satisfying(lambda p: abs(p[1]) < 1e-6, boundaries_only=True)
    under = mesh.facets_satisfying(
        lambda p: (abs(p[2] - t) < 1e-6) & (abs(p[0] - arm) < washer / 2) & (p[1] < washer / 2) & (p[1] < clear / 2), boundaries_only=True
    )
    return _answer(mesh, held, under, mirror, force, lambda p: p[0] > -t + 1e-3)


def plain(*, t, radius, width, arm, leg, washer, force, step=4.0):
    """Half of a plain L cut through the hole's middle plane; arm from the upright's inner face to the hole, leg from the
    middle of the foot's thickness up to the clamped end. Grid: s along the middle line, y, n through the thickness.
    """
    rm, over = radius + t / 2, washer / 2 + 8.0
    up, out = leg - rm, arm + t / 2 - rm
    arc = rm * np.pi / 2
    marks = [0.0, up, up + arc, up + arc + out - washer / 2, up + arc + out + washer / 2, up + arc + out + over]
    s, y, n = _line(marks, step), _line([0.0, washer / 2, width / 2], step), np.linspace(-t / 2, t / 2, 4)
    filled = np.ones((len(s) - 1, len(y) - 1, len(n) - 1), bool)

    def place(i, j, k):
        """n > 0 towards the inner side of the bend. Foot's middle plane at z = 0, upright's at x = 0."""
        a = np.clip((s[i] - up) / arc, 0.0, 1.0) * np.pi / 2
        straight_up, straight_out = np.clip(up - s[i], 0.0, None), np.clip(s[i] - up - arc, 0.0, None)
        r = rm - n[k]
        px = rm - r * np.cos(a) + straight_out
        pz = rm - r * np.sin(a) + straight_up
        return np.array([px, y[j], pz])

    mesh = SOLIDS.hexes(filled, place)
    held = mesh.facets_satisfying(lambda p: abs(p[2] - leg) < 1e-6, boundaries_only=True)
    mirror = mesh.facets_satisfying(lambda p: abs(p[1]) < 1e-6, boundaries_only=True)
    at = arm + t / 2
    under = mesh.facets_satisfying(
        lambda p: (abs(p[2] - t / 2) < 1e-6) & (abs(p[0] - at) < washer / 2) & (p[1] < washer / 2), boundaries_only=True
    )
    return _answer(mesh, held, under, mirror, force, lambda p: p[2] < leg - t)


def _answer(mesh, held, under, mirror, force, keep):
    """Solve for the whole force (x, z): half of it acts on this half. Stress on surfaces that `keep` keeps."""
    probe = SOLIDS.areas_of(mesh, under)
    traction = np.array([force[0], 0.0, force[1]]) / (2.0 * probe)
    u, basis, total, reaction = SOLIDS.solve(mesh, E, NU, held, [(under, traction)], mirror)
    faces = mesh.facets_satisfying(keep, boundaries_only=True)
    faces = np.setdiff1d(faces, np.union1d(mirror, held))
    stress, places, area = SOLIDS.surface_stress(u, mesh, basis, E, NU, faces)
    dofs = basis.get_dofs(under)
    moved = np.array([u[dofs.all(f"u^{c}")].mean() for c in (1, 2, 3)])
    return {
        "stress": stress, "at": places, "area": area, "moved": moved, "total": 2 * total, "reaction": 2 * reaction,
        "dofs": basis.N,
    }  # fmt: skip
