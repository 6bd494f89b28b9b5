"""The finite element run of a study as one value: mesh, mount forces by case, figures beside the hand figures."""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from layout.errors import DesignError
from layout.fe.answer import Answer
from layout.fe.compared import MOUNT_FIGURES, compared, mount_rows
from layout.fe.deck import deck
from layout.fe.figures import CaseAnswer, Fe, NoFe, Row
from layout.fe.model import BRACKET_STEP_MM, STEP_MM, Model, model_of
from layout.fe.reading import read_dat
from layout.fe.rechecked import rechecked
from layout.fe.solver import ABSENT, LIMIT_S, Solver, SolverFailed, found_solver, solved
from layout.frames import Array, vec3
from layout.job.model import Job
from layout.study.forces import loading_of
from layout.study.held_loads import G0_M_S2, specific_forces
from layout.study.shares import Share
from layout.study.sizing import modules_extent
from layout.study.study import Study

BALANCE = 1e-6
"""Greatest relative difference of the reactions' sum from m (g - a) that an answer may have."""


MOST_SAG_MM = 20.0
"""Under one g along any axis; a part that moves further is not held."""


def _silent(text: str) -> None:
    del text


def finite_elements(
    study: Study,
    say: Callable[[str], None] = _silent,
    step_mm: float = STEP_MM,
    bracket_step_mm: float = BRACKET_STEP_MM,
    limit_s: float = LIMIT_S,
) -> Fe | NoFe:
    """Mesh, solve and compare; NoFe where CalculiX is absent, fails or the design cannot be meshed. Never raises for these.

    say: told of progress. step_mm, bracket_step_mm: greatest sizes of elements in tray and brackets. limit_s: for the solver.
    """
    solver = found_solver()
    if solver is None:
        return NoFe(ABSENT)
    start = time.monotonic()
    try:
        model = model_of(study, step_mm, bracket_step_mm)
        bricks, nodes = len(model.mesh.elements), len(model.mesh.nodes_mm)
        say(f"finite elements: {bricks} bricks, {nodes} nodes; CalculiX solves (a minute or a few, at most {limit_s:g} s)")
        answer = answered(solver, model, limit_s)
    except SolverFailed as failed:
        return NoFe(str(failed), failed.tail)
    except DesignError as odd:
        return NoFe(f"finite elements left out: {odd}")
    seconds = time.monotonic() - start
    say(f"  solved after {seconds:.0f} s")
    return finished(study, answer, solver.version(), seconds)


def answered(solver: Solver, model: Model, limit_s: float = LIMIT_S) -> Answer:
    """Run the solver on a model. Raises SolverFailed where it fails, its reactions miss the load or a part is loose."""
    text = solved(solver, deck(model), limit_s)
    answer = Answer(model, read_dat(text, len(model.mesh.nodes_mm), len(model.mesh.elements)))
    sag = G0_M_S2 * float(np.abs(answer.steps.displacement_mm).max())
    if not sag <= MOST_SAG_MM:
        raise SolverFailed(
            f"a part moves {sag:.0f} mm under the weight of the pack: it hangs loose in the model, nothing is used"
        )
    imbalance = _imbalance(answer)
    if not imbalance <= BALANCE:
        raise SolverFailed(f"CalculiX's reactions miss the load by {imbalance:.1e} of it (at most {BALANCE:g}): not used")
    return answer


def finished(study: Study, answer: Answer, version: str, seconds: float) -> Fe:
    """Figures of an answer beside the hand figures of its study."""
    rows = compared(study, answer, _shares(study, study.job))
    mesh = answer.model.mesh
    return Fe(
        version, len(mesh.nodes_mm), len(mesh.elements), seconds, answer.model.mass_kg, _imbalance(answer),
        _cases(study, answer), rows, rechecked(study, answer), _remedies(study, answer, rows),
    )  # fmt: skip


def _shares(study: Study, job: Job) -> tuple[Share, ...]:
    return loading_of(job, study.mounts, study.pack, modules_extent(study.arrangement), study.arrangement.frame).shares


def _remedies(study: Study, answer: Answer, rows: tuple[Row, ...]) -> tuple[str, ...]:
    """Where hand forces at mounts lie on the unsafe side: what the job file can say so that they do not, tried out."""
    low = [(r.what, r.part) for r in rows if r.unsafe and r.what in MOUNT_FIGURES]
    if not low or study.job.crash.one_slack is not False:
        return ()
    crash = study.job.crash.model_copy(update={"one_slack": True})
    again = mount_rows(study, answer, _shares(study, study.job.model_copy(update={"crash": crash})))
    left = sum(r.unsafe for r in again if (r.what, r.part) in low)
    return (
        f"with one_slack = true under [crash] in the job file the hand forces cover FE in {len(low) - left} of these "
        f"{len(low)} figures at mounts (tried on this design): each case is then also shared with each mount in turn slack",
    )


def _imbalance(answer: Answer) -> float:
    """Of the three unit loads: |sum of mount forces - mass| over mass."""
    missing = answer.mount_per_g.sum(axis=0) - answer.model.mass_kg * np.eye(3)
    return float(np.linalg.norm(missing, axis=0).max() / answer.model.mass_kg)


def _cases(study: Study, answer: Answer) -> tuple[CaseAnswer, ...]:
    cases = tuple(c.case for c in study.cases)
    frame = study.arrangement.frame
    order = {m.name: i for i, m in enumerate(study.job.mount_points)}
    found = []
    for case, force in zip(cases, specific_forces(frame, cases), strict=True):
        on_mounts = frame.vector(answer.mounts_n(force))
        named = [(m.name, vec3(f)) for m, f in zip(answer.model.mounts, on_mounts, strict=True)]
        size, at = _most_moved(answer, force)
        found.append(CaseAnswer(case.name, tuple(sorted(named, key=lambda n: order[n[0]])), size, vec3(frame.point(at))))
    return tuple(found)


def _most_moved(answer: Answer, specific: Array) -> tuple[float, Array]:
    sizes = np.linalg.norm(answer.moved_mm(specific), axis=1)
    node = int(np.argmax(sizes))
    return float(sizes[node]), answer.model.mesh.nodes_mm[node]
