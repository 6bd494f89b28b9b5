"""Every way the load may be shared that a check has to survive: rigid body, equal mounts, one mount slack, soft tray.

The rigid answer alone errs on the unsafe side for middle mounts when there are more than four, or when the tray is
soft against its mounts. Each way of sharing balances force and moments of the case by itself, except the bounds by
statics, which each mount reaches in another way of sharing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from layout.frames import Array, Extent, Vec3, vec3
from layout.job import Job
from layout.loads.cases import LoadCase, accelerations
from layout.loads.mounts import Mount, mount_forces
from layout.loads.slack import Way, clearance_ways, or_nan, slack_ways
from layout.loads.soft_tray import bound_ways, tray_ways
from layout.loads.trouble import LoadsError


class Weighed(Protocol):
    """A mass and where its centroid is, vehicle axes."""

    @property
    def mass_kg(self) -> float: ...  # noqa: D102

    @property
    def centroid_mm(self) -> Vec3: ...  # noqa: D102


RIGID = "rigid body on its mounts"
EQUAL = "rigid body, mounts equally stiff"
NO_SLACK = (
    "the job leaves out the cases of one mount slack or one bolt not bearing: bolts in clearance holes do not all bear at "
    "once, and finite elements of whole packs put up to 1.4 times the rigid answer's shear on a mount"
)


@dataclass(frozen=True)
class Envelope:
    """Forces of the pack on its mounts in every case and every way of sharing.

    ways, cases, mounts: names along the axes of forces_n (W, C, N, 3), N, vehicle axes; nan where a way does not exist
    for a case (a mount pulled off, or a mechanism: see notes).
    """

    ways: tuple[str, ...]
    cases: tuple[str, ...]
    mounts: tuple[str, ...]
    forces_n: Array
    notes: tuple[str, ...] = ()

    def vectors(self, mount: str, case: str) -> tuple[tuple[str, Vec3], ...]:
        """Every force to check for one mount and case, with the name of its way of sharing."""
        rows = self.forces_n[:, self.cases.index(case), self.mounts.index(mount), :]
        return tuple((way, vec3(row)) for way, row in zip(self.ways, rows, strict=True) if not np.isnan(row).any())

    def worst(self, mount: str, case: str) -> tuple[str, Vec3]:
        """The greatest force by length (a check looks at all of them: the longest need not be the worst for it)."""
        return max(self.vectors(mount, case), key=lambda named: float(np.linalg.norm(named[1])))

    def rigid(self, case: str) -> tuple[tuple[str, Vec3], ...]:
        """Mount and force of the rigid answer, which sums to the load of the case."""
        return tuple(zip(self.mounts, map(vec3, self.forces_n[0, self.cases.index(case)]), strict=True))


def envelope_forces(
    mounts: Sequence[Mount],
    mass_kg: float,
    centroid_mm: Vec3,
    cases: Sequence[LoadCase],
    *,
    soft_tray: bool = False,
    one_slack: bool | None = None,
    extent: Extent | None = None,
    statics_bound: bool | None = None,
) -> Envelope:
    """Forces to check, per way of sharing, case and mount.

    soft_tray: the box is not stiff against its mounts. one_slack: also with each mount slack in turn; None: with more
    than four mounts or a soft tray. With three mounts or more, in cases in which joints may slip, also with each bolt in turn
    not yet bearing in its hole: finite elements of whole packs put up to 1.4 times the rigid answer's shear on a mount; only
    one_slack = False leaves that out.
    extent: of what weighs in the pack (modules), vehicle axes, the loaded area of the tray; where not given, the rectangle
    round the mounts. statics_bound: with many mounts or a soft tray also what statics allows each mount at most, which
    holds for any tray; left out only where it is False. With up to four mounts and a stiff tray: the rigid answer, and that
    of equal mounts where they differ.

    Raises:
        Mechanism, LoadsError: as solve_mounts, for the mounts as given.
    """
    many = soft_tray or len(mounts) > 4
    acceleration = accelerations(tuple(cases))
    case_names = tuple(c.name for c in cases)
    _refuse_twice(case_names)
    names = tuple(m.name for m in mounts)
    rigid = mount_forces(mounts, mass_kg, centroid_mm, acceleration)
    ways: list[Way] = [(RIGID, rigid)]
    notes: list[str] = []
    if (equal := _equal(mounts)) is not None:
        ways.append((EQUAL, or_nan(equal, mass_kg, centroid_mm, acceleration, EQUAL, case_names, notes)))
    if many if one_slack is None else one_slack:
        ways += slack_ways(mounts, mass_kg, centroid_mm, acceleration, case_names, notes)
    if one_slack is False:
        notes.append(NO_SLACK)
    elif len(mounts) > 2:
        slips = np.array([not case.no_slip for case in cases])
        loose = clearance_ways(mounts, mass_kg, centroid_mm, acceleration, case_names, notes)
        ways += [(way, np.where(slips[:, None, None], forces, np.nan)) for way, forces in loose]
    if many:
        ways += tray_ways(mounts, rigid, extent, notes)
        ways += bound_ways(mounts, rigid, centroid_mm, extent, statics_bound, notes)
    forces = np.array([f for _, f in ways])
    return Envelope(tuple(n for n, _ in ways), case_names, names, forces, tuple(notes))


def _refuse_twice(names: tuple[str, ...]) -> None:
    if len(set(names)) < len(names):
        twice = next(n for n in names if names.count(n) > 1)
        raise LoadsError("load cases", "names must differ", f"{twice} is there twice", "Name the cases apart")


def job_envelope(
    job: Job, mounts: Sequence[Mount], pack: Weighed, cases: Sequence[LoadCase], extent: Extent | None = None
) -> Envelope:
    """`envelope_forces` with the choices of the job's crash table (soft_tray, one_slack, statics_bound)."""
    crash = job.crash
    return envelope_forces(
        mounts,
        pack.mass_kg,
        pack.centroid_mm,
        cases,
        soft_tray=crash.soft_tray,
        one_slack=crash.one_slack,
        extent=extent,
        statics_bound=crash.statics_bound,
    )


def _equal(mounts: Sequence[Mount]) -> list[Mount] | None:
    """The same mounts, all with the mean stiffness; None where they differ in kind, or do not differ at all."""
    k = np.array([m.stiffness for m in mounts], dtype=float)
    values = np.linalg.eigvalsh(k)
    if len(mounts) < 3 or (values[:, 0] < 1e-3 * values[:, 2]).any() or np.allclose(k, k[0], rtol=1e-9):
        return None
    mean = k.mean(axis=0)
    return [replace(m, stiffness=(vec3(mean[0]), vec3(mean[1]), vec3(mean[2]))) for m in mounts]
