"""What the pack does to each mount, for every case and every way in which the mounts may share it. Pack frame."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

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
    forces = envelope.forces_n @ frame.matrix  # (ways, cases, mounts, 3)
    known = np.asarray(~np.isnan(envelope.forces_n).any(axis=-1))
    row = [envelope.cases.index(case.name) for case in cases]
    # a way that bounds single mounts only: the others take the first answer that there is, the rigid one
    first = known.argmax(axis=0)
    filled = np.where(known[..., None], forces, np.take_along_axis(forces, first[None, ..., None], axis=0))
    whole = np.asarray(known.any(axis=-1) & known.any(axis=0).all(axis=-1))
    return tuple(
        Share(case, way, dict(zip(envelope.mounts, filled[w, c], strict=True)))
        for case, c in zip(cases, row, strict=True)
        for w, way in enumerate(envelope.ways)
        if whole[w, c]
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
class Kind:
    """Cases that ask for the same checks: alike in whether joints must not slip and whether each mount is loaded alone.

    rows: (cases, ways) of the shares; where a case has fewer ways than others its first one is repeated.
    """

    cases: tuple[LoadCase, ...]
    rows: Array


@dataclass(frozen=True, eq=False)
class ShareTable:
    """All shares as one array. forces_n: (shares, mounts, 3), N, pack frame; names: of the mounts."""

    names: tuple[str, ...]
    forces_n: Array
    kinds: tuple[Kind, ...]


@dataclass(frozen=True, eq=False)
class Loads:
    """All cases of one kind as a bracket feels them. forces_n: what the pack does to its mounts, (cases, ways, mounts, 3), N,
    along the foot's a, n, out, mounts in the order of its plan.
    """

    cases: tuple[LoadCase, ...]
    forces_n: Array

    @property
    def kind(self) -> LoadCase:
        """One of the cases, which says what kind they are."""
        return self.cases[0]


def share_table(shares: tuple[Share, ...]) -> ShareTable:
    """The shares as arrays, cases in their order."""
    names = tuple(shares[0].forces_n) if shares else ()
    forces = np.array([[share.forces_n[name] for name in names] for share in shares]).reshape(len(shares), len(names), 3)
    by_case: dict[str, list[int]] = {}
    for i, share in enumerate(shares):
        by_case.setdefault(share.name, []).append(i)
    kinds: dict[tuple[bool, bool], list[list[int]]] = {}
    for rows in by_case.values():
        case = shares[rows[0]].case
        kinds.setdefault((case.no_slip, case.on_single_mounts), []).append(rows)
    return ShareTable(names, forces, tuple(_kind(shares, cases) for cases in kinds.values()))


def _kind(shares: tuple[Share, ...], cases: list[list[int]]) -> Kind:
    most = max(len(rows) for rows in cases)
    padded = np.array([rows + rows[:1] * (most - len(rows)) for rows in cases])
    return Kind(tuple(shares[rows[0]].case for rows in cases), padded)


def bracket_loads(bracket: BracketDesign, table: ShareTable) -> tuple[Loads, ...]:
    """All ways of all cases for one bracket, kind by kind."""
    plan = bracket.plan
    mine = table.forces_n[:, [table.names.index(m.name) for m in plan.mounts]] @ plan.foot_axes.T
    return tuple(Loads(kind.cases, mine[kind.rows]) for kind in table.kinds)


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
