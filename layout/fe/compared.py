"""FE beside the hand figures: for every kind of part the greatest figure of both over all load cases, and which is greater."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from layout.box.walls import LOOKS, UPPER_FLOOR, along
from layout.checks import Check
from layout.fe.answer import Answer
from layout.fe.figures import Row
from layout.fe.joint_lines import joint_points
from layout.fe.model import SCREW_MM
from layout.frames import Array, Pose
from layout.loads.cases import LoadCase
from layout.study.held_loads import specific_forces
from layout.study.shares import Share
from layout.study.study import Study
from layout.tables import material

MOUNT_FIGURES = ("pull off the vehicle", "shear at the mount")
LEAST_OFF_MM = 3.0
"""Stresses nearer than this to a joint never count."""


def compared(study: Study, answer: Answer, shares: tuple[Share, ...]) -> tuple[Row, ...]:
    """All rows: mount forces, leg bolts, brackets, bars, panels."""
    cases = tuple(c.case for c in study.cases)
    specific = specific_forces(study.arrangement.frame, cases)
    return (
        *mount_rows(study, answer, shares),
        *_leg_rows(study, answer, cases, specific),
        *_stress_rows(study, answer, cases, specific),
    )


def mount_rows(study: Study, answer: Answer, shares: tuple[Share, ...]) -> Iterator[Row]:
    """Pull off the vehicle and shear at each mount; the hand figure is the worst of all ways of sharing."""
    cases = tuple(c.case for c in study.cases)
    specific = specific_forces(study.arrangement.frame, cases)
    known = {case.name for case in cases}
    shares = tuple(s for s in shares if s.name in known)
    forces = np.einsum("mcd,kd->kmc", answer.mount_per_g, specific)
    plans = {m.name: b.plan for b in study.brackets for m in b.plan.mounts}
    for i, mount in enumerate(answer.model.mounts):
        n = plans[mount.name].n
        hand = np.array([s.forces_n[mount.name] for s in shares])
        names = [s.name for s in shares]
        for what, size in zip(MOUNT_FIGURES, (_pull(n), _shear(n)), strict=True):
            own, by_hand = size(forces[:, i]), size(hand)
            k, j = int(np.argmax(own)), int(np.argmax(by_hand))
            yield Row(what, mount.name, float(own[k]), cases[k].name, float(by_hand[j]), names[j], "N")


def _pull(n: Array) -> Callable[[Array], Array]:
    return lambda f: np.maximum(f @ n, 0.0)


def _shear(n: Array) -> Callable[[Array], Array]:
    return lambda f: np.asarray(np.linalg.norm(f - np.outer(f @ n, n), axis=1))


def _leg_rows(study: Study, answer: Answer, cases: tuple[LoadCase, ...], specific: Array) -> Iterator[Row]:
    """Tension and shear of the leg bolt most loaded. Hand: the bolt checks, prying included; FE: the patch's whole force."""
    forces = np.einsum("mcd,kd->kmc", answer.leg_per_g, specific)
    for bracket in study.brackets:
        mine = [i for i, leg in enumerate(answer.model.legs) if leg.bracket == bracket.number]
        w = bracket.plan.w
        pull = np.maximum(-(forces[:, mine] @ w), 0.0)  # the bolt presses the leg against its bar
        across = np.linalg.norm(forces[:, mine] - (forces[:, mine] @ w)[..., None] * w, axis=-1)
        for what, own, name in (("tension of a leg bolt", pull, "bolt tension"), ("shear of a leg bolt", across, "bolt shear")):
            k, _ = np.unravel_index(int(np.argmax(own)), own.shape)
            hand = _greatest(c for c in study.checks if c.name == name and c.part.startswith(f"{bracket.number}-L"))
            yield Row(what, bracket.number, float(own.max()), cases[int(k)].name, *_demand(hand), "N")


def _demand(check: Check | None) -> tuple[float | None, str]:
    return (None, "") if check is None else (check.demand, check.case)


def _greatest(checks: Iterable[Check]) -> Check | None:
    return max((c for c in checks if c.utilisation is not None), key=lambda c: c.demand, default=None)


@dataclass(frozen=True)
class _Family:
    """Parts whose stresses are looked at together, and which hand checks speak of them. welded: strength beside a weld."""

    what: str
    part: str
    numbers: tuple[str, ...]
    speaks: Callable[[Check], bool]
    welded: bool = True


def _families(study: Study) -> Iterator[_Family]:
    box = study.box
    for bracket in study.brackets:
        numbers = (bracket.angle.number, *(g.number for g in bracket.gussets))
        yield _Family("bracket", bracket.number, numbers, _about(bracket.number))
        bars = tuple(p.number for p in box.plates if p.name.startswith("mounting bar") and _behind(p.pose, bracket.plan.w))
        yield _Family("mounting bars", f"bars of {bracket.number}", bars, _about(f"bar of {bracket.number}"))
    yield _Family("posts", "posts", tuple(p.number for p in box.plates if p.name == "post"), _about("post"))
    for panel, name in (("bottom", "floor"), (UPPER_FLOOR, UPPER_FLOOR)):
        if panel in box.panels:
            speaks = _either(_exactly(name, f"{name} between ribs"), _about(f"{name} at"), _about(f"{name} beside"))
            yield _Family("floor", name, (box.panels[panel],), speaks)
    for axis, name in enumerate(("left and right walls", "fore and aft walls")):
        mine = [w for w in LOOKS if w in box.panels and along(w) == axis]
        beside = [_about(f"{w} wall beside") for w in mine]
        yield _Family("walls", name, tuple(box.panels[w] for w in mine), _either(_exactly(name, "walls"), *beside))
    ribs = tuple(p.number for p in box.plates if p.name.startswith("floor rib"))
    yield _Family("ribs", "floor ribs", ribs, _about("floor rib"))
    flange = tuple(p.number for p in box.plates if p.name == "lid flange")
    yield _Family("lid flange", "lid flange", flange, _about("lid flange"))
    for name, welded in (("floor bar", True), ("cross bar", False)):
        bars = tuple(bar.number for bar in box.carriers.bars if bar.welded is welded)
        yield _Family(f"{name}s", f"{name}s under modules", bars, _about(name), welded)


def _about(start: str) -> Callable[[Check], bool]:
    return lambda c: c.part == start or c.part.startswith((f"{start} ", f"{start}-"))


def _exactly(*names: str) -> Callable[[Check], bool]:
    return lambda c: c.part in names


def _either(*speak: Callable[[Check], bool]) -> Callable[[Check], bool]:
    return lambda c: any(one(c) for one in speak)


def _behind(pose: Pose, w: Array) -> bool:
    return bool(np.allclose(pose.axes[2], w))


def _stress_rows(study: Study, answer: Answer, cases: tuple[LoadCase, ...], specific: Array) -> Iterator[Row]:
    """Greatest von Mises stress over strength of each family away from singular points, beside the hand checks in MPa."""
    clear = away_from_singular(answer)
    in_mpa = [c for c in study.checks if c.unit == "MPa" and c.utilisation is not None and "weld" not in c.part]
    for family in _families(study):
        worst = _worst_stress(answer, family, specific, clear)
        if worst is None:
            continue
        use, stress, k, place = worst
        hand = max((c for c in in_mpa if family.speaks(c)), key=lambda c: c.utilisation or 0.0, default=None)
        by_hand = (None, "") if hand is None else (hand.utilisation, hand.case)
        note = f"FE at {place}" + ("" if hand is None else f"; hand: {hand.name}")
        yield Row(f"stress in {family.what}", family.part, use, cases[k].name, *by_hand, "-", stress, note)


def _worst_stress(answer: Answer, family: _Family, specific: Array, clear: Array) -> tuple[float, float, int, str] | None:
    """Use of strength, stress in MPa, index of the case, and where in the pack's frame."""
    mesh, best = answer.model.mesh, None
    for index, body in enumerate(mesh.bodies):
        if body.number not in family.numbers:
            continue
        elements = mesh.elements_of(index)
        if not clear[elements].any():
            continue  # all of it lies beside joints: nothing can be read
        limit = strength_mpa(body.material, body.thickness_mm, family.welded)
        for k, force in enumerate(specific):
            stress = np.where(clear[elements], answer.mises_mpa(force, elements), 0.0)
            most = float(stress.max(initial=0.0))
            if best is None or most / limit > best[0]:
                at = answer.places_mm[elements][np.unravel_index(int(np.argmax(stress)), stress.shape)]
                best = (most / limit, most, k, f"({', '.join(f'{v:.0f}' for v in at)})")
    return best


def strength_mpa(grade: str, thickness_mm: float, welded: bool) -> float:
    """Proof strength, beside welds that of the heat-affected zone, over its partial factor: as the hand checks take it."""
    metal = material(grade)
    band = metal.strength(thickness_mm)
    return (band.haz_proof_mpa if welded else band.proof_mpa) / metal.gamma_m0


def away_from_singular(answer: Answer) -> Array:
    """Which points (elements, 8) count: none nearer to a joint than the thickness of the thinner part joined there, half the
    own thickness or 3 mm; none under or within half a thickness of a washer, screw or module bolt.

    So a stress is read as the structural stress is: on the surface, membrane and bending through the layer, at one thickness
    from the weld's line, where the notch of the weld is over (the outer of the two reference points at 0.4 t and 1.0 t of
    IIW-2259-15, Hobbacher, structural hot spot stress; from memory). Nearer to it any figure grows with a finer mesh.
    """
    mesh = answer.model.mesh
    thickness = np.array([b.thickness_mm for b in mesh.bodies])[mesh.of_body]
    places = answer.places_mm
    least = np.maximum(0.5 * thickness, LEAST_OFF_MM)[:, None]
    clear = np.ones(places.shape[:2], dtype=bool)
    beside = np.zeros_like(clear)
    tied = np.array([tie.node for tie in answer.model.ties], dtype=np.int64)
    for thinner, points in joint_points(mesh, tied):
        away = cKDTree(points).query(places)[0]
        clear &= away >= np.maximum(least, thinner)
        beside |= away < max(thinner, LEAST_OFF_MM)
    for centre, reach in _patches(answer):
        clear &= np.linalg.norm(places - centre, axis=-1) >= (reach + 0.5 * thickness)[:, None]
    behind = beside.reshape(-1, 2, 4).any(axis=1)  # the far face behind a joint is no farther along the sheet
    return np.asarray(clear & ~np.concatenate([behind, behind], axis=1))


def _patches(answer: Answer) -> Iterator[tuple[Array, float]]:
    """Middle and reach of every washer, screw and module bolt."""
    model = answer.model
    for bolt in (*model.mounts, *model.legs):
        yield bolt.at_mm, float(np.linalg.norm(model.mesh.nodes_mm[bolt.nodes] - bolt.at_mm, axis=1).max())
    for place in model.screws_mm:
        yield place, SCREW_MM
    for one in model.carried:
        if one.places_mm is not None:
            yield from ((place, SCREW_MM) for place in one.places_mm)
