"""Sheet rules applied to every part of a study that is cut or bent, and what breaks them in words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from layout.box.design import BoxDesign
from layout.box.folding import shop_of
from layout.box.soft import is_soft
from layout.brackets.design import BracketDesign
from layout.design import FoldedPlate, Plate
from layout.design.sheet_rules import Finding, Shop, check_sheet
from layout.job.model import Job

BARS: Final = ("mounting bar", "post", "floor bar", "cross bar", "floor rib", "hold-down bar", "tapped pad", "spacer")
"""Parts sawn and drilled from flat bar: the rules of cutting by laser say nothing of them."""


@dataclass(frozen=True)
class RuleRow:
    """One rule on one part: at how many places it was applied, the place nearest to its limit, and how many break it."""

    part: str
    name: str
    places: int
    broken: int
    worst: Finding

    @property
    def words(self) -> str:
        """The broken rule as a sentence."""
        one = self.worst
        where = one.at if self.broken == 1 else f"{self.broken} places, the worst {one.at}"
        figure = f"{one.figure:.1f} {one.unit}, {one.sense} {one.limit:.1f} {one.unit}"
        return f"{self.part} {self.name}: {one.rule}, {where}: {figure}. {one.remedy}"


def ruled_parts(
    box: BoxDesign, brackets: tuple[BracketDesign, ...], loose: tuple[Plate | FoldedPlate, ...] = ()
) -> tuple[Plate | FoldedPlate, ...]:
    """Parts cut from metal sheet; bars of stock and soft goods are none."""
    parts: list[Plate | FoldedPlate] = list(box.plates)
    for bracket in brackets:
        parts += [bracket.angle, *bracket.gussets]
    return tuple(p for p in (*parts, *loose) if not is_soft(p.material) and not p.name.startswith(BARS))


def sheet_findings(
    job: Job, box: BoxDesign, brackets: tuple[BracketDesign, ...], loose: tuple[Plate | FoldedPlate, ...] = ()
) -> tuple[tuple[Plate | FoldedPlate, tuple[Finding, ...]], ...]:
    """Every sheet part with every rule applied to it. The stated press counts for the box; brackets are held to the general
    rules and to the largest flat and bend.

    Raises:
        DesignError: a part whose outline or fold is impossible.
    """
    shop = shop_of(job)
    general = Shop(press_length_mm=shop.press_length_mm, sheet_mm=shop.sheet_mm)
    return tuple(
        (
            part,
            (
                *check_sheet(part, general if part.group == "bracket" or part in loose else shop),
                *(f for f in box.tab_findings if f.part == part.number),
            ),
        )
        for part in ruled_parts(box, brackets, loose)
    )


def rule_rows(found: Iterable[tuple[Plate | FoldedPlate, tuple[Finding, ...]]]) -> tuple[RuleRow, ...]:
    """One row per part and rule, in the order of the parts."""
    rows: list[RuleRow] = []
    for part, findings in found:
        by_rule: dict[str, list[Finding]] = {}
        for finding in findings:
            by_rule.setdefault(finding.rule, []).append(finding)
        for mine in by_rule.values():
            broken = sum(not f.ok for f in mine)
            rows.append(RuleRow(part.number, part.name, len(mine), broken, min(mine, key=_room)))
    return tuple(rows)


def _room(finding: Finding) -> float:
    """How far a figure is on the good side of its limit, as a share of it."""
    return (finding.figure - finding.limit) / max(finding.limit, 1e-9) * (1.0 if finding.sense == "at least" else -1.0)
