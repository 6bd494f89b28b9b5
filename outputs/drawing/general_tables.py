"""Tables and words of the general arrangement."""

from __future__ import annotations

from layout.cautions import CAUTIONS
from layout.several.study import AnyStudy, whole_assembly
from outputs.drawing.compose import Panel
from outputs.drawing.figures import Figures, trimmed
from outputs.drawing.tables import Table, notes


def general_panels(study: AnyStudy, figures: Figures) -> tuple[Panel, ...]:
    """Mount points, masses, what was checked, cautions."""
    return (_mounts(study, figures), *_keep_outs(study, figures), _masses(study, figures), _what(study), cautions())


def cautions() -> Panel:
    """Danger to people, and who decides."""
    return notes("Cautions", CAUTIONS, 150.0)


def _mounts(study: AnyStudy, figures: Figures) -> Table:
    rows = []
    for k, m in enumerate(study.job.mount_points, start=1):
        x, y, z = (figures.length(v) for v in m.at_mm)
        sheet = f"{m.sheet.material}, {trimmed(m.sheet.thickness_mm)} mm" if m.sheet else "not stated: measure"
        rows.append((f"P{k}", m.name, x, y, z, m.thread, m.fixing, sheet))
    head = ("Point", "Mount point", "x", "y", "z", "Thread", "Fixing", "Vehicle's metal")
    return Table("Mount points, vehicle axes", head, tuple(rows), frozenset({2, 3, 4}), 150.0)


def _keep_outs(study: AnyStudy, figures: Figures) -> tuple[Table, ...]:
    listed = study.job.bay.keep_outs
    rows = tuple((f"K{k}", e.name, figures.length(e.margin_mm)) for k, e in enumerate(listed, start=1))
    return (Table("Keep-outs", ("No.", "Name", "Margin"), rows, frozenset({2}), 150.0),) if rows else ()


def _masses(study: AnyStudy, figures: Figures) -> Table:
    x, y, z = (figures.length(round(v, 1)) for v in study.pack.centroid_mm)
    change = study.balance.change_kg
    what = "Change of the vehicle's mass" + (", all boxes" if study.neighbours else "")
    rows = [
        ("Pack, all that the mounts carry", figures.mass(study.pack.mass_kg)),
        ("Its centroid: x, y, z", f"{x}, {y}, {z}"),
        ("Of it ahead of the axle", f"{figures.mass(study.ahead.kg)} ({study.ahead.share * 100.0:.0f} %)"),
        (what, ("-" if change < 0.0 else "") + figures.mass(abs(change))),
        ("Assemblies", ", ".join(a.name for a in whole_assembly(study).children)),
    ]
    return Table("Mass", ("What", "Figure"), tuple(rows), frozenset(), 150.0)


def _what(study: AnyStudy) -> Panel:
    made = [c for c in study.checks if c.utilisation is not None]
    held = sum(c.holds for c in made)
    unknown = len(study.checks) - len(made)
    lines = [
        "Vehicle axes (sense of ISO 8855): x forward, y to the left, z up; origin on the ground, on the centre plane, below "
        "the centre of the reference axle.",
        "Long-dashed double-dotted: bay and keep-outs as the job file gives them. Fasteners are shown by centre lines.",
        f"Strength checks: {len(made)} made, {held} hold, {len(made) - held} do not hold, {unknown} not made for lack of data. "
        "Margins and sources: calculation report.",
        "Compare the vehicle with the mount points' places before anything is cut.",
        *study.neighbours,
    ]
    return notes("Notes", lines, 150.0)
