"""What the pack does to each mount, for every case and every way in which the mounts may share it. Pack frame."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import product

import numpy as np

from layout.brackets.design import BracketDesign
from layout.checks import Check
from layout.frames import Array, Pose
from layout.loads.cases import AttachmentRule, LoadCase
from layout.loads.envelope import Envelope

SLOTS_SLIDE = "rigid body, slots slide"
"""A crash in which no mount holds the pack along its slot: mounts without slots carry all of that."""


@dataclass(frozen=True, eq=False)
class Share:
    """One case under one way of sharing. forces_n: by mount name, N, pack frame: what the pack does to that mount."""

    case: LoadCase
    way: str
    forces_n: dict[str, Array]

    @property
    def name(self) -> str:
        """Name of the case."""
        return self.case.name


def shares_of(envelope: Envelope, cases: tuple[LoadCase, ...], frame: Pose) -> tuple[Share, ...]:
    """Every way of every case that exists for all mounts."""
    found = []
    for case in cases:
        by_mount = {mount: dict(envelope.vectors(mount, case.name)) for mount in envelope.mounts}
        for way in envelope.ways:
            if all(way in forces for forces in by_mount.values()):
                forces = {mount: frame.inverse_vector(by_mount[mount][way]) for mount in envelope.mounts}
                found.append(Share(case, way, forces))
            else:
                found += _single(case, way, by_mount, frame)
    return tuple(found)


def _single(case: LoadCase, way: str, by_mount: dict[str, dict[str, tuple[float, float, float]]], frame: Pose) -> list[Share]:
    """A way that bounds single mounts only: the others take the rigid answer."""
    given = {m: f[way] for m, f in by_mount.items() if way in f}
    if not given:
        return []
    rest = {m: next(iter(f.values())) for m, f in by_mount.items() if m not in given and f}
    both = given | rest
    return (
        [Share(case, way, {m: frame.inverse_vector(both[m]) for m in by_mount if m in both})]
        if len(both) == len(by_mount)
        else []
    )


def attachment_shares(rules: tuple[AttachmentRule, ...], mounts: tuple[str, ...], mass_kg: float) -> tuple[Share, ...]:
    """Rules that load each attachment on its own: the force along every axis of the pack and both ways, on all mounts at once.

    Such a case has no balance with the pack's inertia: it asks what one attachment holds, not how the pack is shared.
    """
    found = []
    for rule in rules:
        for axis, name in enumerate("xyz"):
            for sign, word in ((1.0, "+"), (-1.0, "-")):
                force = np.zeros(3)
                force[axis] = sign * rule.force_n(mass_kg)
                case = LoadCase(f"{rule.name}, {word}{name}", (0.0, 0.0, 0.0), "crash", 0.0, rule.source, rule.note)
                found.append(Share(case, rule.name, dict.fromkeys(mounts, force)))
    return tuple(found)


@dataclass(frozen=True, eq=False)
class BracketLoads:
    """One case as a bracket feels it. forces_n: what the pack does to its mounts, (ways, mounts, 3), N, along the foot's
    a, n, out, mounts in the order of its plan.
    """

    case: LoadCase
    forces_n: Array


def bracket_loads(bracket: BracketDesign, shares: tuple[Share, ...]) -> tuple[BracketLoads, ...]:
    """All ways of each case for one bracket, in the order of the cases."""
    plan = bracket.plan
    axes = plan.foot_axes
    names = [m.name for m in plan.mounts]
    by_case: dict[str, list[Share]] = {}
    for share in shares:
        by_case.setdefault(share.name, []).append(share)
    return tuple(
        BracketLoads(ways[0].case, np.array([[way.forces_n[name] for name in names] for way in ways]) @ axes.T)
        for ways in by_case.values()
    )


def extremes(shares: tuple[Share, ...]) -> tuple[Share, ...]:
    """The shares that reach furthest in any of 26 directions at any mount: enough to choose sizes by, not to judge by.

    Checks are convex in the forces, so their greatest values lie at the corners of the set of forces; these are most of them.
    Cases in which joints must not slip have checks of their own: their furthest shares count beside those of the others.
    """
    still = tuple(share for share in shares if share.case.no_slip)
    moving = tuple(share for share in shares if not share.case.no_slip)
    return (*_furthest(moving), *_furthest(still))


def _furthest(shares: tuple[Share, ...]) -> tuple[Share, ...]:
    if not shares:
        return ()
    directions = np.array([d for d in product((-1.0, 0.0, 1.0), repeat=3) if any(d)])
    kept: set[int] = set()
    for mount in shares[0].forces_n:
        forces = np.array([share.forces_n[mount] for share in shares])
        kept |= {int(i) for i in np.argmax(forces @ directions.T, axis=0)}
    return tuple(shares[i] for i in sorted(kept))


def worst_of(checks: Iterable[Check]) -> list[Check]:
    """Of the checks with the same name, part and case (one per way of sharing) the one with the highest utilisation."""
    kept: dict[tuple[str, str, str], Check] = {}
    for check in checks:
        key = (check.name, check.part, check.case)
        if key not in kept or _severity(check) > _severity(kept[key]):
            kept[key] = check
    return list(kept.values())


def _severity(check: Check) -> tuple[float, float]:
    """Utilisation, and where there is none (or no capacity at all) the demand."""
    return (float("inf") if check.utilisation is None else check.utilisation), check.demand
