"""Finite elements of the product (CalculiX) against closed forms and published tables.
Left out where CalculiX is not installed.

Sources: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., tables 8 (simply supported) and 35 (clamped),
figures from memory and recomputed here from their series where one exists; beam with shear by Timoshenko; patch test by Irons.
"""

from __future__ import annotations

import importlib.util
from pathlib import Path

import numpy as np
import pytest

from layout.fe.bricks import LATTICE
from layout.fe.solver import found_solver, solved

pytestmark = pytest.mark.skipif(found_solver() is None, reason="CalculiX (ccx) is not installed")
_SPEC = importlib.util.spec_from_file_location("fe_models", Path(__file__).with_name("fe_models.py"))
MODELS = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(MODELS)
E, NU = 210000.0, 0.3


def test_cantilever_bends_and_shears_as_timoshenko_says():
    length, width, t, force = 300.0, 30.0, 6.0, 100.0
    mesh = MODELS.flat(length, width, t, 15.0)
    load = MODELS.tip_load(mesh, lambda p: p[:, 0] > length - 1e-6, force, (length, width / 2, t / 2))
    found = MODELS.answer(MODELS.model(mesh, lambda p: p[:, 0] < 1e-6, (load,)))
    inertia, area, g = width * t**3 / 12.0, width * t, E / 2.0 / (1.0 + NU)
    want = force * length**3 / (3.0 * E * inertia) + 1.2 * force * length / (g * area)
    tip = MODELS.at(mesh, (length, width / 2, t / 2))
    assert found.moved_mm(np.array([0.0, 0.0, -1.0]))[tip, 2] == pytest.approx(
        -want, rel=0.02
    )  # the clamped end holds the plate flat there
    side = force * length**3 / (3.0 * E * t * width**3 / 12.0) + 1.2 * force * length / (g * area)
    assert found.moved_mm(np.array([0.0, 1.0, 0.0]))[tip, 1] == pytest.approx(side, rel=0.01)
    stress = found.mises_mpa(np.array([0.0, 0.0, -1.0]), mesh.elements_of(0))
    x = found.places_mm[..., 0]
    middle = (x > 0.3 * length) & (x < 0.7 * length)
    bent = 6.0 * force * (length - x) / (width * t**2)
    np.testing.assert_allclose(stress[middle], bent[middle], rtol=0.02)
    np.testing.assert_allclose(found.mount_per_g[0], force * np.eye(3), atol=1e-5 * force)


def navier(ratio, terms=199):
    """Deflection over q a^4/D and moment over q a^2 of a simply supported plate, a the shorter side: Navier's series."""
    deflection = moment = 0.0
    b = ratio
    for m in range(1, terms, 2):
        for n in range(1, terms, 2):
            part = 16.0 / (np.pi**6 * m * n) / (m**2 + n**2 / b**2) ** 2 * (-1) ** ((m + n) // 2 - 1)
            deflection += part
            moment += part * np.pi**2 * (m**2 + NU * n**2 / b**2)
    return deflection, moment


@pytest.mark.parametrize(("ratio", "w", "m"), [(1.0, 0.00406, 0.0479), (1.5, 0.00772, 0.0812)])
def test_supported_plate_under_its_weight(ratio, w, m):
    a, t, q = 400.0, 4.0, 0.001
    assert navier(ratio) == pytest.approx((w, m), rel=0.004)
    mesh = MODELS.flat(ratio * a, a, t, 40.0, mass_kg=q * ratio * a * a)
    made = MODELS.model(mesh, lambda p: _edge(p, ratio * a, a) & (abs(p[:, 2] - t / 2) < 1e-6))
    corner, other = (MODELS.at(mesh, (x, 0.0, t / 2)) + 1 for x in (0.0, ratio * a))

    def change(text):
        assert text.count("V1,1,3") == 1
        return text.replace("V1,1,3", f"V1,3,3\n{corner},1,2\n{other},2,2")

    found = MODELS.answer(made, change)
    down = np.array([0.0, 0.0, -1.0])
    middle = MODELS.at(mesh, (ratio * a / 2, a / 2, t / 2))
    stiff = E * t**3 / 12.0 / (1.0 - NU**2)
    assert -found.moved_mm(down)[middle, 2] == pytest.approx(w * q * a**4 / stiff, rel=0.01)
    across = np.einsum("d,depc->epc", down, found.face_stress)[..., 1]
    near = np.linalg.norm(found.places_mm[..., :2] - (ratio * a / 2, a / 2), axis=-1) < 16.0
    assert np.abs(across[near]).max() == pytest.approx(6.0 * m * q * a**2 / t**2, rel=0.02)
    assert found.steps.total_n["V1"][2, 2] != 0.0


def _edge(points, length, width):
    x, y = points[:, 0], points[:, 1]
    return (x < 1e-6) | (x > length - 1e-6) | (y < 1e-6) | (y > width - 1e-6)


def test_clamped_plate_and_how_it_converges():
    a, t, q = 400.0, 4.0, 0.001
    errors = []
    for step in (50.0, 25.0, 400.0 / 25):
        mesh = MODELS.flat(a, a, t, step, mass_kg=q * a * a)
        found = MODELS.answer(MODELS.model(mesh, lambda p: _edge(p, a, a)))
        middle = MODELS.at(mesh, (a / 2, a / 2, t / 2))
        got = -found.moved_mm(np.array([0.0, 0.0, -1.0]))[middle, 2]
        errors.append(1.0 - got / (0.001265 * q * a**4 / (E * t**3 / 12.0 / (1.0 - NU**2))))
        np.testing.assert_allclose(found.mount_per_g[0], q * a * a * np.eye(3), atol=1e-6 * q * a * a)
    assert 0.0 < errors[2] < errors[1] < errors[0] < 0.07, "serendipity plates are too stiff, the less so the finer"
    assert errors[2] < 0.02
    edge = np.einsum("d,depc->epc", np.array([0.0, 0.0, -1.0]), found.face_stress)[..., 0]
    x, y = found.places_mm[..., 0], found.places_mm[..., 1]
    beside = (x < 12.0) & (abs(y - a / 2) < 12.0)
    got = np.abs(edge[beside]).max()  # at the first points, 5 mm from the edge: the moment falls from 0.0513 q a2 inward
    assert 0.042 < got * t**2 / 6.0 / (q * a**2) < 0.0513


def test_patch_of_distorted_bricks_reproduces_constant_strain():
    mesh = MODELS.flat(60.0, 40.0, 5.0, 20.0)
    nodes = mesh.nodes_mm.copy()
    inner = (nodes[:, 0] > 1.0) & (nodes[:, 0] < 59.0) & (nodes[:, 1] > 1.0) & (nodes[:, 1] < 39.0)
    corners = np.unique(mesh.elements[:, :8])
    shift = np.zeros_like(nodes)
    for n in corners:
        if inner[n]:
            shift[n, :2] = np.random.default_rng(int(nodes[n, 0])).uniform(-4.0, 4.0, 2)
    nodes += shift
    for element in mesh.elements:  # straight edges: middles between their corners
        for k in range(8, 20):
            ends = [c for c in range(8) if np.abs(LATTICE[c] - LATTICE[k]).sum() == 1]
            nodes[element[k]] = nodes[element[ends]].mean(axis=0)
    object.__setattr__(mesh, "nodes_mm", nodes)
    strain = np.array([[1.0e-3, 2.0e-4, 0.0], [2.0e-4, -5.0e-4, 3.0e-4], [0.0, 3.0e-4, 4.0e-4]])
    outer = np.flatnonzero(~inner | (np.abs(nodes[:, 2] - 2.5) > 2.4))
    made = MODELS.model(mesh, lambda p: np.isin(np.arange(len(p)), outer))
    moved = nodes @ strain.T
    fixed = "\n".join(f"{n + 1},{c + 1},{c + 1},{moved[n, c]:.12e}" for n in outer for c in range(3))
    found = MODELS.answer(made, lambda text: text.replace("V1,1,3", fixed))
    g, lam = E / 2.0 / (1.0 + NU), E * NU / (1.0 + NU) / (1.0 - 2.0 * NU)
    s = 2.0 * g * strain + lam * np.trace(strain) * np.eye(3)
    want = [s[0, 0], s[1, 1], s[2, 2], s[0, 1], s[0, 2], s[1, 2]]
    np.testing.assert_allclose(
        found.steps.stress_mpa[0], np.broadcast_to(want, found.steps.stress_mpa[0].shape), rtol=1e-6, atol=1e-7
    )
    np.testing.assert_allclose(found.steps.displacement_mm[0], moved, atol=1e-8)


def test_bricks_answer_as_calculix_own_shells_do():
    """One layer of our bricks is what CalculiX makes of its eight-node shell: the same deflection of a cantilever."""
    length, width, t, force = 200.0, 60.0, 3.0, 50.0
    mesh = MODELS.flat(length, width, t, 20.0)
    load = MODELS.tip_load(mesh, lambda p: p[:, 0] > length - 1e-6, force, (length, width / 2, t / 2))
    ours = MODELS.answer(MODELS.model(mesh, lambda p: p[:, 0] < 1e-6, (load,)))
    tip = MODELS.at(mesh, (length, width / 2, t / 2))
    got = -ours.moved_mm(np.array([0.0, 0.0, -1.0]))[tip, 2]
    assert got == pytest.approx(_shell_tip_mm(mesh, t, force), rel=1e-3)


def _shell_tip_mm(mesh, t, force):
    """The same plate by S8R on the lower faces of our bricks, the force on its end line by Simpson's weights."""
    order = [0, 1, 2, 3, 8, 9, 10, 11]
    faces = mesh.elements[:, order]
    used = np.unique(faces)
    points = mesh.nodes_mm
    end = [n for n in used if points[n, 0] > points[:, 0].max() - 1e-6]
    end.sort(key=lambda n: points[n, 1])
    weights = np.array([1.0 if i in (0, len(end) - 1) else 4.0 if i % 2 else 2.0 for i in range(len(end))])
    lines = ["*NODE,NSET=NALL", *(f"{n + 1},{points[n, 0]:.9g},{points[n, 1]:.9g},0." for n in used)]
    lines += ["*ELEMENT,TYPE=S8R,ELSET=EALL"]
    lines += [f"{e + 1}," + ",".join(str(n + 1) for n in row) for e, row in enumerate(faces)]
    lines += ["*MATERIAL,NAME=M", "*ELASTIC", f"{E},{NU}", "*SHELL SECTION,ELSET=EALL,MATERIAL=M", f"{t}", "*BOUNDARY"]
    lines += [f"{n + 1},1,6" for n in used if points[n, 0] < 1e-6]
    lines += ["*STEP", "*STATIC", "*CLOAD"]
    lines += [f"{n + 1},3,{-force * w / weights.sum():.9g}" for n, w in zip(end, weights, strict=True)]
    lines += ["*NODE PRINT,NSET=NALL", "U", "*EL PRINT,ELSET=EALL", "S", "*END STEP"]
    text = solved(found_solver(), "\n".join(lines) + "\n", 120.0)
    table = text[text.index("displacements") :].split("\n\n")[1]
    rows = np.array([line.split() for line in table.splitlines()], dtype=float)
    middle = next(n for n in end if abs(points[n, 1] - points[:, 1].max() / 2) < 1e-6)
    return -rows[rows[:, 0] == middle + 1][0, 3]
