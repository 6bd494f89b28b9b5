"""Finite element models (CalculiX) of a box with one upright bar pushed inwards, beside the hand checks of its sheets.

    python tests/validation/upright_models.py        prints the comparison (a few minutes)

Floor, four walls, lid and one bar welded along both edges to a wall, held at the middles of the walls beside; the force acts at
a screw. Stresses are structural: at the surface, at one thickness from the joint. Sizes in mm, forces in N.
"""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

import numpy as np

from layout.checks.beams import simple_points
from layout.checks.upright_sheets import Beside, Upright, beside_checks, end_checks
from layout.design import Plate, Profile, Weld, rectangle
from layout.fe.bricks import joined
from layout.fe.joints import welded_pairs
from layout.fe.model import Bolted, Model
from layout.fe.plates import grid_of, plate_body
from layout.frames import Pose
from layout.tables import material

_SPEC = importlib.util.spec_from_file_location("upright_fe_models", Path(__file__).with_name("fe_models.py"))
MODELS = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(MODELS)

GRADE = "5083-H111"
BASE = {
    "sheet": 3.0, "thick": 15.0, "width": 60.0, "height": 450.0, "screw": 290.0, "long": 436.0, "wide": 465.0, "clear": 67.0,
}  # fmt: skip
CASES = {
    "as drawn": {}, "thin sheet": {"sheet": 2.0}, "thick sheet": {"sheet": 4.0}, "screw low": {"screw": 150.0},
    "screw high": {"screw": 400.0}, "thick bar": {"thick": 20.0}, "wide bar": {"width": 100.0},
    "narrow bar, thin sheet": {"width": 40.0, "sheet": 2.0}, "at the corner": {"clear": 20.0},
    "amid the wall": {"clear": 180.0}, "low box": {"height": 250.0, "screw": 150.0}, "very wide bar": {"width": 160.0},
}  # fmt: skip
FORCE_N = 1000.0


def _plates(s):
    """Floor, walls aft (with the bar), fore, right and left, lid and bar; the floor's underside at z = 0."""
    t, x, y, h = s["sheet"], s["long"], s["wide"], s["height"]
    along_y, along_x = ((0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0)), ((1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, -1.0, 0.0))
    outer = ((0.0, -1.0, 0.0), (0.0, 0.0, 1.0), (-1.0, 0.0, 0.0))
    made = [
        ("floor", t, (x + 2 * t, y + 2 * t), Pose((-t, -t, 0.0))),
        ("aft", t, (y, h - t), Pose((-t, 0.0, t), along_y)),
        ("fore", t, (y, h - t), Pose((x, 0.0, t), along_y)),
        ("right", t, (x + 2 * t, h - t), Pose((-t, 0.0, t), along_x)),
        ("left", t, (x + 2 * t, h - t), Pose((-t, y + t, t), along_x)),
        ("lid", 2 * t, (x + 2 * t + 30, y + 2 * t + 30), Pose((-t - 15, -t - 15, h))),
        ("bar", s["thick"], (s["width"], h), Pose((-t, s["clear"] + s["width"], 0.0), outer)),
    ]
    return tuple(Plate(name, name, GRADE, thick, Profile(rectangle(*size)), pose) for name, thick, size, pose in made)


def _lines(s):
    """Lines of the mesh beside the bar, the floor and the screw."""
    t, low, high = s["sheet"], s["clear"], s["clear"] + s["width"]
    found = [(0, v * t) for v in (0.8, 1.2, 2.5, 6.0)] + [(2, t + v * t) for v in (1.2, 3.0, 8.0)]
    found += [(1, end + way * v) for end, way in ((low, -1.0), (high, 1.0)) for v in (-18.0, -6.0, 0.0, 6.0, 18.0)]
    found += [(1, (low + high) / 2.0 + v) for v in (-7.0, 0.0, 7.0)]
    return (*found, *((2, s["screw"] + v) for v in (-7.0, 0.0, 7.0)))


def _seams(s):
    t, h = s["sheet"], s["height"]
    x, y = (-t, s["long"] + t), (-t, s["wide"] + t)
    walls = {"aft": ((x[0], y[0]), (x[0], y[1])), "fore": ((x[1], y[0]), (x[1], y[1])), "right": ((x[0], y[0]), (x[1], y[0])),
             "left": ((x[0], y[1]), (x[1], y[1]))}  # fmt: skip
    for z, other in ((t, "floor"), (h, "lid")):
        yield from ((other, wall, tuple((*end, z) for end in ends)) for wall, ends in walls.items())
    for a, end in (("aft", x[0]), ("fore", x[1])):
        yield from ((a, b, ((end, v, t), (end, v, h))) for b, v in (("right", y[0]), ("left", y[1])))
    yield from (("bar", "aft", ((-t, v, 0.0), (-t, v, h))) for v in (s["clear"], s["clear"] + s["width"]))


def solved_model(change, step=70.0):
    """Answer for FORCE_N pushing the bar inwards, and its sizes."""
    s = {**BASE, **change}
    plates = _plates(s)
    grid = grid_of(plates, _lines(s), step)
    bodies = tuple(plate_body(p, grid, 1e-9) for p in plates)
    pairs = [welded_pairs(bodies, Weld("W", "fillet", s["sheet"], path, (a, b))) for a, b, path in _seams(s)]
    mesh = joined(bodies, np.concatenate(pairs))
    middle = np.array([-s["sheet"], s["clear"] + s["width"] / 2.0, s["screw"]])
    own = np.zeros(len(mesh.nodes_mm), dtype=bool)
    own[mesh.nodes_of(mesh.body("bar"))] = True
    near = lambda p: own & (np.abs(p - middle) < (0.01, 7.5, 7.5)).all(axis=1)  # noqa: E731
    load = MODELS.tip_load(mesh, near, FORCE_N, middle)
    sides = np.zeros(len(mesh.nodes_mm), dtype=bool)
    sides[np.concatenate([mesh.nodes_of(mesh.body(n)) for n in ("right", "left")])] = True
    held = (np.abs(mesh.nodes_mm[:, 0] - s["long"] / 2) < s["long"] / 5) & (
        np.abs(mesh.nodes_mm[:, 2] - s["height"] / 2) < s["height"] / 3
    )
    nodes = np.flatnonzero(held & sides).astype(np.int64)
    model = Model(mesh, (), (Bolted("held", "right", np.zeros(3), nodes),), (), np.zeros((0, 3)), (load,))
    return MODELS.answer(model), s


def _at_one_thickness(answer, body, off, keep, t):
    """Greatest surface stress of a body at one thickness from a joint. off, keep: distances and choice of places."""
    mesh = answer.model.mesh
    elements = mesh.elements_of(mesh.body(body))
    places = answer.places_mm[elements]
    stress, away = answer.mises_mpa(np.array([1.0, 0.0, 0.0]), elements), np.round(off(places), 2)
    chosen = keep(places) & (away > 0.0) & (away < 10.0 * t)
    rows = np.unique(away[chosen])
    return float(np.interp(t, rows, [stress[chosen & (away == row)].max() for row in rows]))


def compare(change, step=70.0):
    """Hand and FE stress in floor and wall, MPa, and FE's greatest deflection of the bar beside what the hand check takes."""
    answer, s = solved_model(change, step)
    t, low, high = s["sheet"], s["clear"], s["clear"] + s["width"]
    fe_floor = _at_one_thickness(
        answer, "floor", lambda p: p[..., 0], lambda p: (p[..., 1] > low - 30.0) & (p[..., 1] < high + 30.0), t
    )
    between = lambda p: (p[..., 2] > min(100.0, s["height"] / 3)) & (p[..., 2] < s["height"] - 60.0)  # noqa: E731
    fe_wall = max(
        _at_one_thickness(answer, "aft", lambda p: low - p[..., 1], between, t),
        _at_one_thickness(answer, "aft", lambda p: p[..., 1] - high, between, t),
    )
    bar = Upright(s["width"], s["thick"], s["height"], GRADE, t)
    stiff = material(GRADE).e_mpa * s["width"] * s["thick"] ** 3 / 12.0
    alone = simple_points([(s["screw"], FORCE_N)], s["height"], stiff)
    floor = end_checks("bar", "c", bar, FORCE_N * (1.0 - s["screw"] / s["height"]))[0]
    wall = beside_checks("bar", "c", bar, Beside("aft wall", (low, s["wide"] - high)), alone.deflection_mm)[0]
    return {"floor": (floor.demand, fe_floor), "wall": (wall.demand, fe_wall)}


def main():
    """Print the comparison."""
    say = sys.stdout.write
    head = "".join(f"{part + ': hand':>12}{'FE':>7}{'hand/FE':>9}" for part in ("floor", "wall"))
    say(f"{'one bar, 1 kN at its screw':<26}{head}   MPa\n")
    for name, change in CASES.items():
        found = compare(change)
        cells = "".join(f"{hand:12.1f}{fe:7.1f}{hand / fe:9.2f}" for hand, fe in found.values())
        say(f"{name:<26}{cells}\n")


if __name__ == "__main__":
    main()
