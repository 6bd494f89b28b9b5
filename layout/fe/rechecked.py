"""The hand checks once more under the mount forces that FE gives, as a further way of sharing each case."""

from __future__ import annotations

from layout.checks import Check
from layout.fe.answer import Answer
from layout.fe.figures import SMALL_USE, UNSAFE, Rechecked
from layout.study.held_loads import specific_forces
from layout.study.shares import Share
from layout.study.strength import Design, all_checks
from layout.study.study import Study

WAY = "finite elements"


def fe_shares(study: Study, answer: Answer) -> tuple[Share, ...]:
    """What the pack does to its mounts in every case by FE, pack frame."""
    cases = tuple(c.case for c in study.cases)
    found = []
    for case, force in zip(cases, specific_forces(study.arrangement.frame, cases), strict=True):
        on_mounts = answer.mounts_n(force)
        named = {m.name: f for m, f in zip(answer.model.mounts, on_mounts, strict=True)}
        found.append(Share(case, WAY, named))
    return tuple(found)


def rechecked(study: Study, answer: Answer) -> tuple[Rechecked, ...]:
    """Checks of mounts, brackets and mounting bars that FE's forces use more than 5 per cent further than the hand forces do.

    One per kind and part, each at its worst case under both; those that hold by hand but not under FE's forces first.
    """
    design = Design(study.job, study.arrangement, study.box, study.brackets, study.pack_items)
    numbers = tuple(b.number for b in study.brackets)
    by_fe = _worst(all_checks(design, fe_shares(study, answer)), numbers)
    by_hand = _worst(study.checks, numbers)
    found = []
    for key, check in by_fe.items():
        use, hand = check.utilisation or 0.0, by_hand[key].utilisation if key in by_hand else None
        if hand is not None and use > max(UNSAFE * hand, SMALL_USE):
            found.append(Rechecked(check.name, check.part, check.case, use, hand))
    return tuple(sorted(found, key=lambda r: (not r.turns, -r.fe_use)))


def _worst(checks: tuple[Check, ...], numbers: tuple[str, ...]) -> dict[tuple[str, str], Check]:
    """Of each kind and part the check with the highest utilisation; leg bolts of a bracket are one part."""
    kept: dict[tuple[str, str], Check] = {}
    for check in checks:
        part = check.part.removeprefix("bar of ")
        if check.utilisation is None or not part.startswith(numbers):
            continue
        key = (check.name, _together(check.part, numbers))
        if key not in kept or check.utilisation > (kept[key].utilisation or 0.0):
            kept[key] = check
    return kept


def _together(part: str, numbers: tuple[str, ...]) -> str:
    """Leg bolts of one bracket are looked at together, and places along a foot as one."""
    for number in numbers:
        if part.startswith(f"{number}-L"):
            return f"leg bolts of {number}" + (" in bar" if part.endswith(" in bar") else "")
    words = part.split(" at ")
    return " at ".join(words[:-1]) if words[-1].endswith(" mm") else part
