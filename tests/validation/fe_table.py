"""Prints the finite element comparison table: hand figure, FE, ratio, for the shared job and the demo; then how much each mount
of each bracket gives, by hand and by FE.

    python tests/validation/fe_table.py [JOB.toml ...]          a few minutes; needs CalculiX (Debian package calculix-ccx)
"""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

import numpy as np

from layout.errors import BoxwrightError
from layout.fe.figures import NoFe
from layout.fe.report import finite_elements
from layout.fe.solver import ABSENT, found_solver
from layout.job.examples import demo_path
from outputs.cli.fe_words import fe_lines
from outputs.cli.pipeline import Options, say, studied

HERE = Path(__file__).resolve().parent
_SPEC = importlib.util.spec_from_file_location("fe_table_brackets", HERE / "fe_brackets.py")
BRACKETS = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(BRACKETS)


def stiffness_lines(study):
    """Stiffness of every mount on its bracket, leg bolts held, kN/mm: along the bend, along its normal, out of the wall."""
    lines = ["  stiffness at each mount, leg bolts held, kN/mm         along bend         normal    out of wall"]
    lines.append(f"  {'bracket, mount':46}" + "   FE   hand" * 3)
    for bracket in study.brackets:
        gives, by_hand = BRACKETS.compliance(bracket), BRACKETS.hand_compliance(bracket)
        for i, mount in enumerate(bracket.plan.mounts):
            pairs = zip(np.diag(gives[i, i]), by_hand[i], strict=True)
            cells = "".join(f"{1e-3 / fe:6.0f}{1e-3 / hand:7.0f}" for fe, hand in pairs)
            lines.append(f"  {bracket.number + ', ' + mount.name:46}{cells}")
    return lines


def main(jobs):
    """Print all tables. Exit status 1 where CalculiX is absent or fails, or a job makes no design."""
    if found_solver() is None:
        sys.stdout.write(ABSENT + "\n")
        return 1
    failed = False
    for job in jobs:
        try:
            study = studied(Options(job, 20.0, 0, None, True))
        except BoxwrightError as error:
            sys.stdout.write(f"{job.name}: no study: {error}\n\n")
            failed = True
            continue
        fe = finite_elements(study, say)
        failed |= isinstance(fe, NoFe)
        lines = [f"{study.job.job.title} ({study.job.job.drawing_number})", *fe_lines(fe)]
        lines += [] if isinstance(fe, NoFe) else ["", *stiffness_lines(study), ""]
        sys.stdout.write("\n".join(lines) + "\n")
        sys.stdout.flush()
    return int(failed)


if __name__ == "__main__":
    named = [Path(word) for word in sys.argv[1:]]
    sys.exit(main(named or [HERE.parent / "jobs" / "larkmoor-front-bay.toml", demo_path()]))
