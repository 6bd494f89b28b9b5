"""Physical sense of a job that is well-formed: what no tape measure, scale or data sheet can have shown.

rule      what a rule is                         outlines  plan outlines and heights
bay       spaces, keep-outs                      modules   modules, pack, voltages
vehicle   axle loads, ratings, what left         parts     box, equipment, brackets, materials
keep_outs where keep-outs lie                    mounts    mount points
crash     factors and pulses                     cautions  what to point out though it is not refused
fixtures  feet of equipment                    boxes     several boxes, which thing belongs to which

Contradictions about mass and balance stand in layout.balance.problems.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from layout.errors import Problem
from layout.job.model import Job
from layout.job.sense import bay, boxes, crash, fixtures, modules, mounts, parts, vehicle
from layout.job.sense.cautions import cautions
from layout.job.sense.rule import Rule

__all__ = ["cautions", "sense_problems", "table_problems"]

RULES: Final[tuple[Rule, ...]] = (
    *vehicle.RULES,
    *bay.RULES,
    *mounts.RULES,
    *modules.RULES,
    *parts.RULES,
    *fixtures.RULES,
    *crash.RULES,
    *boxes.RULES,
)


def sense_problems(job: Job) -> list[Problem]:
    """Everything about a job that cannot be. Files are looked for in the job's folder, where it has one."""
    return table_problems({name: getattr(job, name) for name in Job.model_fields}, job.folder)


def table_problems(tables: Mapping[str, Any], folder: Path | None) -> list[Problem]:
    """The same for those tables (by attribute name of Job) that could be read; a rule runs where all it needs is there."""
    from layout.balance.problems import balance_table_problems  # balance builds on the job: not at import time

    known = {**tables, "folder": folder}
    found: list[Problem] = []
    for rule in RULES:
        if all(name in known for name in rule.needs):
            found += rule.find(*(known[name] for name in rule.needs))
    if not any(problem.path.startswith("vehicle.") for problem in found):  # moments need a plausible wheelbase
        found += balance_table_problems(tables)
    return found
