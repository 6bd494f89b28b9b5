"""Physical sense of how equipment is fixed: feet on the face they are said to be on, two screws or more apart."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from layout import tables
from layout.errors import Problem
from layout.job.box import Equipment, EquipmentFixing
from layout.job.fixtures import ChargeInlet
from layout.job.sense.rule import Rule, mm

FACE_AXES: Final = {"x": (1, 2), "y": (0, 2), "z": (0, 1)}
LEAST_APART_MM: Final = 25.0
"""Between two feet: spacers of 24 mm and 1 mm between them."""


def fixing_problems(equipment: tuple[Equipment, ...]) -> Iterator[Problem]:
    """Feet lie within their face, apart from each other, on the face that looks to the box; only on or in the box."""
    for index, item in enumerate(equipment, start=1):
        if item.fixing is None:
            continue
        path = f"equipment[{index}].fixing"
        if item.where == "bay":
            want = "is for what is in the box or hangs on it; this stands in the bay by itself"
            yield Problem(path, "given", want, "Remove it, or say where on the box it goes: where = ...")
        if item.where not in ("bay", "in box") and item.fixing.face != "-z":
            want = 'what hangs on a face of the box stands off it along its own +z: its feet are on "-z"'
            yield Problem(f"{path}.face", f'"{item.fixing.face}"', want, 'Turn its own axes so that the feet are on "-z".')
        yield from _pattern(item, item.fixing, path)
        x, y, z = (abs(o) - s / 2.0 for o, s in zip(item.centroid_offset_mm, item.size_mm, strict=True))
        if max(x, y, z) > 0.0:
            got, want = str(list(item.centroid_offset_mm)), "the centre of mass must lie within the body"
            yield Problem(f"equipment[{index}].centroid_offset", got, want, "It counts from the middle of the body.")


def _pattern(item: Equipment, fixing: EquipmentFixing, path: str) -> Iterator[Problem]:
    first, second = FACE_AXES[fixing.face[1]]
    half = (item.size_mm[first] / 2.0, item.size_mm[second] / 2.0)
    for k, point in enumerate(fixing.pattern_mm, start=1):
        if any(abs(p) >= h for p, h in zip(point, half, strict=True)):
            want = f"must lie on the face {fixing.face}, within {mm(half[0])} and {mm(half[1])} of its middle"
            yield Problem(f"{path}.pattern[{k}]", str(list(point)), want, "Feet beyond the body: give size with its feet.")
        for other in fixing.pattern_mm[: k - 1]:
            apart = max(abs(a - b) for a, b in zip(point, other, strict=True))
            if apart < LEAST_APART_MM:
                want = f"lies {mm(apart)} from another foot; they must be at least {mm(LEAST_APART_MM)} apart"
                yield Problem(f"{path}.pattern[{k}]", str(list(point)), want, "Use fewer of the feet.")
    axis = "xyz".index(fixing.face[1])
    if fixing.foot_mm >= item.size_mm[axis]:
        want = f"a foot is thinner than the body, {mm(item.size_mm[axis])} along {fixing.face[1]}"
        yield Problem(f"{path}.foot", mm(fixing.foot_mm), want, "Give the thickness under the screw's head.")


def inlet_problems(inlet: ChargeInlet | None) -> Iterator[Problem]:
    """A known metal, an opening within its pitch circle, sheet of a usable thickness."""
    if inlet is None:
        return
    if inlet.opening_mm >= inlet.pitch_circle_mm:
        want = f"must be less than the pitch circle of its screws, {mm(inlet.pitch_circle_mm)}"
        yield Problem("charge_inlet.opening", mm(inlet.opening_mm), want, "Both are diameters, from the inlet's data sheet.")
    if not 0.5 <= inlet.sheet_mm <= 12.0:
        want = "sheet of such a flange is 0.5 mm to 12 mm thick"
        yield Problem("charge_inlet.sheet", mm(inlet.sheet_mm), want, "Check the unit: a bare number is in mm.")
    try:
        tables.material(inlet.material)
    except tables.UnknownName as unknown:
        want = f"must be one of the metals in the tables: {', '.join(tables.material_names())}"
        remedy = f'Did you mean "{unknown.near[0]}"?' if unknown.near else "Write the grade as the tables do."
        yield Problem("charge_inlet.material", f'"{inlet.material}"', want, remedy)


RULES: Final = (Rule(("equipment",), fixing_problems), Rule(("charge_inlet",), inlet_problems))
