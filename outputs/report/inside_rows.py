"""What holds the modules and lies between them, and what is welded round openings: rows of the report's inputs."""

from __future__ import annotations

from layout.box.clamp_room import Clamping
from layout.job.module import ModuleType
from layout.study.study import Study


def inside_rows(study: Study) -> list[list[str]]:
    """One row per kind of module; dividers, pads and rings where there are any."""
    box = study.box
    by_id = {m.id: m.kind.name for m in study.arrangement.modules}
    clamps = {by_id[h.id]: h.clamped for h in box.carriers.held if h.clamped}
    rows = [[f"hold of module {kind.name}", _hold(kind, clamps.get(kind.name)), "designed"] for kind in study.job.modules]
    names = [p.name for p in box.between.plates]
    for name in ("divider", "gap pad"):
        if name in names:
            one = next(p for p in box.between.plates if p.name == name)
            what = f"{names.count(name)} of {one.material}, {one.thickness_mm:g} mm; given no credit for holding anything"
            rows.append([f"{name}s between modules", what, "designed"])
    for ring in box.rings:
        what = f"outside {ring.outside_mm:g} mm, {ring.plate.thickness_mm:g} mm thick, welded round its outer edge"
        rows.append([f"ring round {ring.opening.name}", what, "designed"])
    return rows


def _hold(kind: ModuleType, clamp: Clamping | None) -> str:
    if clamp is not None:
        return (
            f"clamped: frame {clamp.frame_mm:g} mm of {clamp.frame_material} round its foot, two bars "
            f"{clamp.bar_width_mm:g} x {clamp.bar_mm:g} mm of {clamp.bar_material} over it, four rods {clamp.rod}"
        )
    if kind.fixing is not None:
        return f"bolted through its own pattern, {len(kind.fixing.pattern_mm)} x {kind.fixing.bolt}"
    return "NOT HELD: its type names neither fixing nor clamp"
