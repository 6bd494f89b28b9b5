"""CalculiX as an outside program: found on the path, run in a folder of its own with one thread and a limit of time."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path

PROGRAM = "ccx"
PACKAGE = "calculix-ccx"
ABSENT = f"finite elements left out: CalculiX ({PROGRAM}) is not installed; on Debian and Ubuntu it is the package {PACKAGE}"
LAST_LINES = 12
LIMIT_S = 1800.0
THREADS = ("OMP_NUM_THREADS", "CCX_NPROC_EQUATION_SOLVER", "CCX_NPROC_RESULTS", "CCX_NPROC_STIFFNESS")


class SolverFailed(Exception):
    """CalculiX ended without results. `tail`: the last lines it printed."""

    def __init__(self, reason: str, tail: tuple[str, ...] = ()) -> None:
        super().__init__(reason)
        self.tail = tail


@dataclass(frozen=True)
class Solver:
    """The program, by its path."""

    path: str

    def version(self) -> str:
        """What the program calls itself, e.g. "2.20"; "unknown" where it does not say."""
        try:
            told = subprocess.run([self.path, "-v"], capture_output=True, text=True, timeout=20.0, check=False).stdout
        except (OSError, subprocess.TimeoutExpired):
            return "unknown"
        words = told.split()
        return words[-1] if words else "unknown"


def found_solver() -> Solver | None:
    """CalculiX where it is on the path."""
    path = shutil.which(PROGRAM)
    return Solver(path) if path else None


def solved(solver: Solver, deck: str, limit_s: float = LIMIT_S) -> str:
    """Run a deck; the text of its .dat file.

    Raises:
        SolverFailed: the program could not be started, ran over its time, or ended with an error.
    """
    with tempfile.TemporaryDirectory(prefix="boxwright-fe-") as name:
        folder = Path(name)
        (folder / "model.inp").write_text(deck, encoding="ascii")
        code, tail = _run(solver, folder, limit_s)
        results = folder / "model.dat"
        text = results.read_text(encoding="ascii", errors="replace") if results.exists() else ""
    if code != 0 or any("*ERROR" in line for line in tail) or "stresses" not in text:
        raise SolverFailed(f"CalculiX ended with status {code} and no usable results", tail)
    return text


def _run(solver: Solver, folder: Path, limit_s: float) -> tuple[int, tuple[str, ...]]:
    env = os.environ | dict.fromkeys(THREADS, "1")
    log = folder / "log.txt"
    with log.open("w", encoding="utf-8") as out:
        try:
            code = subprocess.run(
                [solver.path, "-i", "model"], cwd=folder, env=env, stdout=out, stderr=subprocess.STDOUT,
                stdin=subprocess.DEVNULL, timeout=limit_s, check=False,
            ).returncode  # fmt: skip
        except subprocess.TimeoutExpired as late:
            raise SolverFailed(f"CalculiX took more than {limit_s:g} s and was stopped", _tail(log)) from late
        except OSError as error:
            raise SolverFailed(f"CalculiX could not be started: {error.strerror or error}") from error
    return code, _tail(log)


def _tail(log: Path) -> tuple[str, ...]:
    lines = [line.rstrip() for line in log.read_text(encoding="utf-8", errors="replace").splitlines() if line.strip()]
    return tuple(lines[-LAST_LINES:])
