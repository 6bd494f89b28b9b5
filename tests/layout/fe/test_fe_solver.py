"""CalculiX as an outside program that is absent, fails, hangs or writes nonsense: said clearly, never raised to the user."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from layout.fe import report, solver
from layout.fe.figures import Fe, NoFe, Rechecked, Row
from layout.fe.reading import read_dat
from layout.fe.solver import PACKAGE, Solver, SolverFailed, solved
from layout.study.study import Study
from outputs.cli.fe_words import fe_lines
from outputs.fe_data import fe_data

Program = Callable[[str], Solver]


@pytest.fixture
def program(tmp_path: Path) -> Program:
    def made(body: str) -> Solver:
        path = tmp_path / "ccx"
        path.write_text(f"#!/bin/sh\n{body}\n", encoding="ascii")
        path.chmod(0o755)
        return Solver(str(path))

    return made


def test_absent_it_is_named_with_its_package(front_study: Study, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "/nowhere")
    found = report.finite_elements(front_study)
    assert isinstance(found, NoFe)
    assert PACKAGE in found.reason
    assert PACKAGE in "\n".join(fe_lines(found))
    assert fe_data(found)["done"] is False


def test_failure_keeps_its_last_lines(program: Program) -> None:
    lines = "\n".join(f"echo line {i}" for i in range(30))
    with pytest.raises(SolverFailed) as failed:
        solved(program(f"{lines}\necho '*ERROR in reading'\nexit 201"), "deck")
    assert failed.value.tail[-1] == "*ERROR in reading"
    assert "line 29" in failed.value.tail
    assert "line 3" not in failed.value.tail


def test_success_without_results_is_a_failure(program: Program) -> None:
    with pytest.raises(SolverFailed, match="no usable results"):
        solved(program("echo done"), "deck")


def test_hanging_it_is_stopped(program: Program) -> None:
    with pytest.raises(SolverFailed, match="was stopped"):
        solved(program("echo started; exec sleep 30"), "deck", limit_s=0.5)


def test_one_that_cannot_start() -> None:
    with pytest.raises(SolverFailed, match="could not be started"):
        solved(Solver("/nowhere/ccx"), "deck")


def test_failure_leaves_the_study_usable(front_study: Study, program: Program, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(report, "found_solver", lambda: program("echo '*ERROR: no memory'; exit 1"))
    told: list[str] = []
    found = report.finite_elements(front_study, told.append, 120.0, 60.0)
    assert isinstance(found, NoFe)
    assert found.tail == ("*ERROR: no memory",)
    assert "bricks" in told[0]
    data = fe_data(found)
    assert data["solver_said"] == ["*ERROR: no memory"]
    json.dumps(data)
    assert replace(front_study, fe=found).all_hold == front_study.all_hold


HEAD = " displacements (vx,vy,vz) for set NALL and time  0.1000000E+01\n\n"
MOVED = "         1  1.0E+00  0.0E+00 -2.0E+00\n         2  0.0E+00  0.0E+00  0.0E+00\n\n"
FORCE = " total force (fx,fy,fz) for set V1 and time  0.1000000E+01\n\n        1.0E+00  2.0E+00  3.0E+00\n\n"
STRESS = " stresses (elem, integ.pnt.,sxx,syy,szz,sxy,sxz,syz) for set EALL and time  0.1000000E+01\n\n" + "".join(
    f"         1   {i + 1}  {i}.0E+00  0.0E+00  0.0E+00  0.0E+00  0.0E+00  5.0E+00\n" for i in range(8)
)


def test_a_dat_file_is_taken_apart() -> None:
    found = read_dat(HEAD + MOVED + FORCE + STRESS, 2, 1)
    assert found.displacement_mm[0, 0].tolist() == [1.0, 0.0, -2.0]
    assert found.total_n["V1"][0].tolist() == [1.0, 2.0, 3.0]
    assert found.stress_mpa[0, 0, 7].tolist() == [7.0, 0.0, 0.0, 0.0, 0.0, 5.0]


@pytest.mark.parametrize(
    "text",
    [
        HEAD + MOVED + FORCE,
        HEAD + MOVED.replace("         2  0.0E+00  0.0E+00  0.0E+00\n", "") + FORCE + STRESS,
        HEAD + MOVED + FORCE + STRESS[:-14],
        HEAD + MOVED.replace("-2.0E+00", "NaN") + FORCE + STRESS,
        HEAD + MOVED.replace("-2.0E+00", "********") + FORCE + STRESS,
        "",
    ],
)
def test_a_dat_file_cut_short_or_full_of_nonsense_is_refused(text: str) -> None:
    with pytest.raises(SolverFailed):
        read_dat(text, 2, 1)


def test_unsafe_rows_are_said_plainly() -> None:
    low = Row("shear at the mount", "left", 150.0, "forward", 100.0, "forward", "N")
    fine = Row("pull off the vehicle", "left", 90.0, "up", 100.0, "up", "N")
    broken = Row("stress in floor", "floor", 1.2, "down", None, "", "-", 140.0)
    small = Row("stress in walls", "walls", 0.04, "down", 0.01, "down", "-", 4.0)
    case = report.CaseAnswer("down", (("left", (0.0, 0.0, -1.0)),), 2.0, (1.0, 2.0, 3.0))
    turned = Rechecked("bolt shear", "BR1 at left", "forward", 1.2, 0.8)
    further = Rechecked("plate buckling", "BR1 at left", "forward", 0.5, 0.4)
    fe = Fe("2.20", 10, 2, 1.0, 5.0, 1e-8, (case,), (low, fine, broken, small), (turned, further))
    assert fe.unsafe == (low,)
    text = "\n".join(fe_lines(fe))
    assert "HAND FIGURE ON THE UNSAFE SIDE of FE in 1 of 4 comparisons" in text
    assert "FE stress ABOVE strength: stress in floor, floor: 1.20" in text
    assert "2 used further, 1 that hold by hand NO LONGER HOLD" in text
    assert "NO LONGER HOLDS bolt shear, BR1 at left: 1.20, by hand 0.80 (forward)" in text
    assert "FE 150 N, hand 100 N, 1.50 times" in text
    assert fe_data(fe)["unsafe"][0]["ratio"] == 1.5
    assert solver.PROGRAM == "ccx"
