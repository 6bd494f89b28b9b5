"""Physical sense of the box, what is hung on it, and the metals they and the vehicle are of."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from layout import tables
from layout.design.allowance import BendRow
from layout.errors import Problem
from layout.job.bay import Bay, MountPoint
from layout.job.box import Box, BracketStyle, Equipment, TestBend
from layout.job.module import ModuleType
from layout.job.sense.outlines import distance_mm, sound
from layout.job.sense.rule import Rule, mm, repeated

_SHEET_MM: Final = (0.5, 25.0)
"""Sheet and plate that such boxes and brackets are made of (common practice, no source)."""
_DENSEST_KG_PER_L: Final = 8.9
"""Copper; no equipment is denser."""


def box_problems(box: Box) -> Iterator[Problem]:
    """Lid on top, sheet of a usable thickness, openings with names of their own."""
    if box.lid != "+z":
        yield Problem("box.lid", f'"{box.lid}"', "boxes are built with the lid on top", 'Write "+z".')
    yield from _sheet(box.sheet_mm, "box.sheet")
    yield from repeated(box.openings, "box.opening")
    yield from _ways(box)
    yield from _rings(box)
    if box.lid_edges == "down" and box.outline == "stepped":
        yield Problem("box.lid_edges", '"down"', "edges are turned down on rectangular lids", 'Write "flat".')
    if box.liner_mm > 50.0:
        yield Problem("box.liner", mm(box.liner_mm), "a liner is at most 50 mm thick", "A bare number is in mm.")


def pad_problems(box: Box, modules: tuple[ModuleType, ...]) -> Iterator[Problem]:
    """A pad that modules as far apart as their gap asks for press."""
    if box.gap_pad is None:
        return
    gap = max(kind.gap_mm for kind in modules)
    fills = box.gap_pad.thickness_mm + (box.divider.thickness_mm if box.divider else 0.0)
    if fills <= gap:
        want = f"with {mm(fills)} in all it would be loose between modules that keep {mm(gap)} from one another (module.gap)"
        yield Problem("box.gap_pad.thickness", mm(box.gap_pad.thickness_mm), want, "Use a thicker pad or a smaller gap.")


def fold_problems(box: Box) -> Iterator[Problem]:
    """Test bends that say one thing each and lead to a neutral line within the sheet; keys that the construction has no use
    for."""
    for index, bend in enumerate(box.press.test_bends, start=1):
        yield from _test_bend(box, bend, f"box.press.test_bend[{index}]")
    if box.construction == "folded" and box.locating != "none":
        yield Problem("box.locating", f'"{box.locating}"', "tabs are for the plates of a welded box", 'Write "none".')
    if box.construction == "folded" and box.outline != "rectangular":
        want = "folded boxes have a rectangular plan and a level floor"
        yield Problem("box.outline", f'"{box.outline}"', want, 'Write "rectangular".')
    radius = box.press.radius_mm
    if radius is not None and not 0.2 * box.sheet_mm <= radius <= 10.0 * box.sheet_mm:
        want = f"an inside radius lies between 0.2 and 10 times the sheet ({mm(box.sheet_mm)})"
        yield Problem("box.press.radius", mm(radius), want, "Check the unit: a bare number is in mm.")


def _test_bend(box: Box, bend: TestBend, path: str) -> Iterator[Problem]:
    given = [v for v in (bend.allowance_mm, bend.deduction_mm, bend.k_factor) if v is not None]
    if len(given) != 1:
        want = "a test bend gives exactly one of allowance, deduction and k_factor"
        yield Problem(path, f"{len(given)} of them", want, "Keep the one that was measured.")
        return
    if not 0.0 < bend.angle_deg < 180.0:
        yield Problem(f"{path}.angle", f"{bend.angle_deg:g} deg", "a bend turns by more than 0 and less than 180 deg",
                      "Give the angle by which the flange was turned.")  # fmt: skip
        return
    row = BendRow(
        box.material, box.sheet_mm, bend.radius_mm, bend.angle_deg, bend.allowance_mm, bend.deduction_mm, bend.k_factor
    )
    k = row.neutral_share
    if not 0.0 < k <= 0.5:
        want = f"must lead to a K-factor above 0 and at most 0.5; it leads to {k:.3g}"
        yield Problem(path, f"{given[0]:g}", want, "Check that allowance and deduction are not mixed up, and the radius.")


_LOOKS: Final = {"fore": "+x", "aft": "-x", "left": "+y", "right": "-y", "top": "+z", "bottom": "-z", "upper floor": "-z"}
_FLOORS: Final = ("bottom", "upper floor")


def _rings(box: Box) -> Iterator[Problem]:
    """Rings as thick as the sheet at least, so that they lie within a diameter of the opening's middle, where they help."""
    for index, opening in enumerate(box.openings, start=1):
        if opening.ring_mm is not None and not box.sheet_mm <= opening.ring_mm <= 2.5 * box.sheet_mm:
            want = f"a ring is 1 to 2.5 times as thick as the sheet ({mm(box.sheet_mm)})"
            yield Problem(f"box.opening[{index}].ring", mm(opening.ring_mm), want, "Use a ring of the box's own sheet.")


def _ways(box: Box) -> Iterator[Problem]:
    """Vents lead away from the cabin; drains lie in a floor; an upper floor is there only where the outline may be stepped."""
    for index, opening in enumerate(box.openings, start=1):
        path = f"box.opening[{index}]"
        if opening.kind == "drain" and opening.panel not in _FLOORS:
            want = "a drain lies in the bottom (or in the upper floor of a box with two)"
            yield Problem(f"{path}.panel", f'"{opening.panel}"', want, 'Write panel = "bottom".')
        if opening.panel == "upper floor" and box.outline != "stepped":
            want = "a box whose outline is not stepped has one floor"
            yield Problem(f"{path}.panel", '"upper floor"', want, 'Write panel = "bottom", or box.outline = "stepped".')
        if opening.kind != "vent":
            if opening.direction is not None:
                want = "is for vents: which way they are led"
                yield Problem(f"{path}.direction", f'"{opening.direction}"', want, 'Remove it, or write kind = "vent".')
            continue
        way = opening.direction or _LOOKS[opening.panel]
        if box.cabin is not None and way == box.cabin:
            where = f"{path}.direction" if opening.direction else f"{path}.panel"
            got = f'"{opening.direction or opening.panel}"'
            want = f"leads gas towards the cabin, which lies {box.cabin} of the box"
            yield Problem(where, got, want, "Put it in another panel, or lead it elsewhere: direction = ...")


def bracket_problems(bracket: BracketStyle) -> Iterator[Problem]:
    """Plate of a usable thickness."""
    if bracket.sheet_mm is not None:
        yield from _sheet(bracket.sheet_mm, "bracket.sheet")


def _sheet(thickness_mm: float, path: str) -> Iterator[Problem]:
    low, high = _SHEET_MM
    if not low <= thickness_mm <= high:
        want = f"sheet and plate are {low:g} mm to {high:g} mm thick"
        yield Problem(path, mm(thickness_mm), want, "Check the unit: a bare number is in mm.")


def equipment_problems(equipment: tuple[Equipment, ...]) -> Iterator[Problem]:
    """A place for what stands in the bay, and no more mass than copper of that size."""
    yield from repeated(equipment, "equipment")
    for index, item in enumerate(equipment, start=1):
        if item.where == "bay" and item.at_mm is None:
            want = "needs `at` where it stands in the bay"
            yield Problem(f"equipment[{index}].at", "nothing", want, "Give the middle of the body: at = [x, y, z].")
        x, y, z = item.size_mm
        density = item.mass_kg / (x * y * z * 1e-6)
        if density > _DENSEST_KG_PER_L:
            want = f"with this size makes {density:.3g} kg/L, denser than copper"
            yield Problem(f"equipment[{index}].mass", f"{item.mass_kg:.4g} kg", want, "Check both units.")


def stands_problems(equipment: tuple[Equipment, ...], bay: Bay) -> Iterator[Problem]:
    """What stands in the bay has its middle in the free space."""
    if not all(sound(space) for space in bay.spaces):
        return
    for index, item in enumerate(equipment, start=1):
        if item.where == "bay" and item.at_mm is not None:
            gap = min(distance_mm(item.at_mm, space) for space in bay.spaces)
            if gap > 0.0:
                want = f"the middle of what stands in the bay must lie in the free space; it is {mm(gap)} outside of it"
                remedy = "Measure again, or extend a bay.space to where it stands."
                yield Problem(f"equipment[{index}].at", str(list(item.at_mm)), want, remedy)


def material_problems(box: Box, bracket: BracketStyle, mounts: tuple[MountPoint, ...]) -> Iterator[Problem]:
    """Every metal is one that the tables know."""
    from layout.box.soft import INSULATING_SHEET  # the box builds on the job: not at import time

    named = [("box.material", box.material), ("bracket.material", bracket.material)]
    for index, mount in enumerate(mounts, start=1):
        if mount.sheet is not None:
            named.append((f"mount_point[{index}].sheet.material", mount.sheet.material))
    if box.divider and box.divider.material != INSULATING_SHEET:
        named.append(("box.divider.material", box.divider.material))
    for path, name in named:
        try:
            tables.material(name)
        except tables.UnknownName as unknown:
            known = f"must be one of the metals in the tables: {', '.join(tables.material_names())}"
            known += f', or "{INSULATING_SHEET}"' if path == "box.divider.material" else ""
            remedy = f'Did you mean "{unknown.near[0]}"?' if unknown.near else "Write the grade as the tables do."
            yield Problem(path, f'"{name}"', known, remedy)


RULES: Final = (
    Rule(("box",), box_problems),
    Rule(("box",), fold_problems),
    Rule(("bracket",), bracket_problems),
    Rule(("equipment",), equipment_problems),
    Rule(("equipment", "bay"), stands_problems),
    Rule(("box", "bracket", "mount_points"), material_problems),
    Rule(("box", "modules"), pad_problems),
)
