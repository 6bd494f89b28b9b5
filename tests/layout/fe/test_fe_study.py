"""A whole study by finite elements: what it weighs, what its mounts carry, and that the command goes on without the solver."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from layout.fe.answer import Answer
from layout.fe.compared import MOUNT_FIGURES, away_from_singular
from layout.fe.deck import deck
from layout.fe.figures import Fe
from layout.fe.model import Model, model_of
from layout.fe.report import answered, finished
from layout.fe.solver import PACKAGE, found_solver
from layout.study.study import Study
from outputs.cli.commands import run

HAS_CCX = pytest.mark.skipif(found_solver() is None, reason="CalculiX (ccx) is not installed")
COARSE = (120.0, 50.0)


@pytest.fixture(scope="module")
def model(front_study: Study) -> Model:
    return model_of(front_study, *COARSE)


@pytest.fixture(scope="module")
def answer(model: Model) -> Answer:
    solver = found_solver()
    assert solver is not None
    return answered(solver, model)


@pytest.fixture(scope="module")
def fe(front_study: Study, answer: Answer) -> Fe:
    return finished(front_study, answer, "2.20", 0.0)


def test_the_model_weighs_what_the_mass_list_says(front_study: Study, model: Model) -> None:
    assert model.mass_kg == pytest.approx(front_study.pack.mass_kg, rel=1e-9)
    names = {b.number for b in model.mesh.bodies} | {c.name for c in model.carried}
    for plate in front_study.box.plates:
        assert plate.number in names
    assert all(m.id in names for m in front_study.arrangement.modules)


def test_carried_masses_hang_where_they_are(front_study: Study, model: Model) -> None:
    """Force and moment of each on its nodes: those of its mass at its centroid."""
    for one in model.carried:
        points = model.mesh.nodes_mm[one.nodes]
        np.testing.assert_allclose(one.per_g.sum(axis=0), one.mass_kg * np.eye(3), atol=1e-9)
        for k in range(3):
            moment = np.cross(points, one.per_g[:, :, k]).sum(axis=0)
            want = np.cross(one.centroid_mm, one.mass_kg * np.eye(3)[k])
            np.testing.assert_allclose(moment, want, atol=2.0 * one.mass_kg)  # where the bar's face was moved onto a line


def test_no_body_is_loose(model: Model) -> None:
    """Every body shares nodes or ties with others, so that the mounts hold all of it."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    elements = model.mesh.elements
    links = [np.column_stack([np.repeat(elements[:, :1], 19, axis=1).ravel(), elements[:, 1:].ravel()])]
    links += [np.array([(t.node, int(n)) for n in t.nodes]) for t in model.ties]
    pairs = np.concatenate(links)
    count = len(model.mesh.nodes_mm)
    graph = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(count, count))
    assert connected_components(graph, directed=False)[0] == 1
    assert deck(model).count("*STEP") == 3


@HAS_CCX
@pytest.mark.slow
def test_mounts_carry_the_pack(front_study: Study, fe: Fe) -> None:
    assert fe.imbalance < 1e-6
    assert fe.mass_kg == pytest.approx(front_study.pack.mass_kg, rel=1e-9)
    for case, found in zip(front_study.cases, fe.cases, strict=True):
        load = np.array(case.case.force_n(front_study.pack.mass_kg))
        total = np.sum([f for _, f in found.forces_n], axis=0)
        np.testing.assert_allclose(total, load, atol=1e-6 * np.linalg.norm(load))
        assert [name for name, _ in found.forces_n] == [r.name for r in case.forces]
        assert 0.0 < found.deflection_mm < 20.0


@HAS_CCX
@pytest.mark.slow
def test_every_bracket_is_in_balance(front_study: Study, answer: Answer) -> None:
    """What its leg bolts bring and what it weighs, its bolts included, is what it hands on to its mounts."""
    model = answer.model
    own_kg = np.zeros((len(front_study.brackets), 3, 3))
    for i, bracket in enumerate(front_study.brackets):
        bodies = [k for k, b in enumerate(model.mesh.bodies) if b.group == "bracket" and b.number.startswith(bracket.number)]
        nodes = np.unique(np.concatenate([model.mesh.nodes_of(k) for k in bodies]))
        hung = sum(one.per_g[np.isin(one.nodes, nodes)].sum(axis=0) for one in model.carried)
        own_kg[i] = sum(model.mesh.bodies[k].mass_kg for k in bodies) * np.eye(3) + hung
        legs = answer.leg_per_g[[k for k, leg in enumerate(model.legs) if leg.bracket == bracket.number]].sum(axis=0)
        mounts = answer.mount_per_g[[k for k, m in enumerate(model.mounts) if m.bracket == bracket.number]].sum(axis=0)
        np.testing.assert_allclose(legs + own_kg[i], mounts, atol=2e-4 * model.mass_kg)
    assert np.trace(own_kg.sum(axis=0)) > 30.0


@HAS_CCX
@pytest.mark.slow
def test_vertical_shares_are_near_those_of_the_rigid_body(front_study: Study, fe: Fe) -> None:
    """Standing still, each mount's weight by FE lies within a fifth of the mean of what the rigid body gives it."""
    rigid = {r.name: r.force_n[2] for c in front_study.cases if c.case.group == "gravity" for r in c.forces}
    found = next(c for c in fe.cases if c.name == "gravity alone")
    mean = abs(sum(rigid.values())) / len(rigid)
    for name, force in found.forces_n:
        assert force[2] == pytest.approx(rigid[name], abs=0.2 * mean)


@HAS_CCX
@pytest.mark.slow
def test_every_row_has_its_figures(fe: Fe) -> None:
    assert {r.what for r in fe.rows} >= {
        "pull off the vehicle",
        "shear at the mount",
        "tension of a leg bolt",
        "stress in floor",
    }
    for row in fe.rows:
        assert np.isfinite(row.fe)
        assert row.fe >= 0.0
        assert row.unsafe is False or row.fe > (row.hand or 0.0)


@HAS_CCX
@pytest.mark.slow
def test_a_remedy_is_offered_where_mount_forces_are_too_low(front_study: Study, fe: Fe) -> None:
    low = [r for r in fe.unsafe if r.what in MOUNT_FIGURES]
    assert front_study.job.crash.one_slack is None
    assert not fe.remedies or low  # offered only where the job left the case of a slack mount out
    assert all("one_slack = true" in text for text in fe.remedies)


@HAS_CCX
@pytest.mark.slow
def test_checks_under_fe_forces_are_those_used_further(front_study: Study, fe: Fe) -> None:
    assert fe.rechecked
    turned = [r.turns for r in fe.rechecked]
    assert turned == sorted(turned, reverse=True)
    for r in fe.rechecked:
        assert r.fe_use > 1.05 * r.hand_use
        assert any(c.name == r.name and c.part == r.part for c in front_study.checks)


def test_stresses_at_joints_do_not_count(model: Model) -> None:
    """Points beside welds are left out, most others kept."""
    answer = Answer(model, None)  # type: ignore[arg-type]
    clear = away_from_singular(answer)
    kept = float(clear.mean())
    assert 0.5 < kept < 0.98


@pytest.mark.parametrize("extra", [[], ["--json"]])
def test_loads_goes_on_without_the_solver(
    extra: list[str], front_study: Study, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    monkeypatch.setattr("outputs.cli.pipeline.studied", lambda options: front_study)
    monkeypatch.setenv("PATH", str(tmp_path))
    plain = run(["loads", "job.toml", *extra])
    capsys.readouterr()
    status = run(["loads", "job.toml", "--fe", *extra])
    shown = capsys.readouterr()
    assert status == plain
    assert PACKAGE in shown.err
    assert PACKAGE in shown.out
    if extra:
        assert json.loads(shown.out)["loads"]["fe"]["done"] is False
