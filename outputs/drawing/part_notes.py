"""What a part sheet says in words and tables: holes, cut-outs, bends, tolerances, edges."""

from __future__ import annotations

import re
from collections.abc import Mapping

from layout.box.finish import NONE_STATED
from layout.box.soft import is_soft
from layout.design import Block, FoldedPlate, Plate
from layout.design.bent_places import from_other_leg_mm
from layout.design.bevels import wedges
from layout.design.flat import BendLine, Flat
from layout.design.geometry import loop_extent_mm
from layout.design.profile import Hole, Loop
from layout.errors import DesignError
from layout.tables import UnknownName, bolt, tolerance_mm
from outputs.drawing.distinct import own_name
from outputs.drawing.figures import Figures, trimmed
from outputs.drawing.flat_view import along_axis
from outputs.drawing.ink import Point
from outputs.drawing.tables import Table


def fixing_of(hole: Hole) -> str:
    """What a hole is for: a tapped thread where it is drilled smaller than the thread, else clearance for it; and when."""
    return f"{_fixing(hole)}, after bending" if hole.after_bending else _fixing(hole)


def _fixing(hole: Hole) -> str:
    size = re.match(r"M\d+(\.\d+)?", hole.fastener)
    if not size:
        return hole.fastener or "-"
    try:
        nominal = bolt(size.group()).diameter_mm
    except UnknownName:
        return hole.fastener
    if hole.diameter_mm < nominal - 0.05:
        return f"{size.group()} tapped through"
    return f"clearance {hole.fastener}"


def hole_table(
    holes: tuple[Hole, ...], number: str, datum: Point, figures: Figures, bent_mm: Mapping[str, float] | None = None
) -> Table:
    """Every hole once: name, place from the datum, size, what for; bent_mm: its place on the bent part, where it has one."""
    rows = []
    slots = any(h.slot_mm > 0.0 for h in holes)
    for h in holes:
        x, y = h.centre_mm[0] - datum[0], h.centre_mm[1] - datum[1]
        row = [own_name(h, number), figures.length(x), figures.length(y), figures.length(h.diameter_mm)]
        if slots:
            angle = h.slot_angle_deg % 180.0
            overall = figures.length(h.diameter_mm + h.slot_mm)
            row.append(f"{overall} long at {trimmed(angle)}°" if h.slot_mm > 0.0 else "-")
        bent = (figures.length(bent_mm[h.name]),) if bent_mm else ()
        rows.append((*row, *bent, fixing_of(h)))
    head = ("Hole", "X", "Y", "⌀", *(("Slot",) if slots else ()), *(("Bent",) if bent_mm else ()), "For")
    right = {1, 2, 3, *({len(head) - 2} if bent_mm else ())}
    return Table(f"Holes ({len(holes)}), from the datum", head, tuple(rows), frozenset(right), 176.0)


def tapped_table(part: Plate, datum: Point, figures: Figures) -> Table:
    """Tapped holes in the edges: where on the face's view they enter, how far above its back, thread and depths."""
    rows = []
    for h in part.tapped:
        x, y, z = h.at_mm
        name = h.name.removeprefix(f"{part.number}-")
        say = figures.length
        depths = (say(h.thread_mm), f"⌀{say(h.drill_mm)}", say(h.depth_mm))
        rows.append((name, say(x - datum[0]), say(y - datum[1]), say(z), h.size, *depths))
    head = ("Hole", "X", "Y", "Over back", "Thread", "Deep", "Drill", "Deep")
    title = f"Tapped in the ends ({len(rows)}), square to the end face"
    return Table(title, head, tuple(rows), frozenset({1, 2, 3, 5, 6, 7}), 176.0)


def cutout_table(cutouts: tuple[Loop, ...], datum: Point, figures: Figures) -> Table:
    """Openings that are not round: their extents from the datum and their corners."""
    rows = []
    for k, loop in enumerate(cutouts, start=1):
        x0, y0, x1, y1 = (v - datum[i % 2] for i, v in enumerate(loop_extent_mm(loop)))
        say = figures.length
        rows.append((f"C{k}", say(x0), say(x1), say(y0), say(y1), f"{say(x1 - x0)} x {say(y1 - y0)}", _form(loop, figures)))
    head = ("Opening", "X from", "X to", "Y from", "Y to", "Size", "Form")
    return Table(f"Openings ({len(cutouts)})", head, tuple(rows), frozenset({1, 2, 3, 4}), 176.0)


def _form(loop: Loop, figures: Figures) -> str:
    """A rectangle, a rectangle with rounded corners, or else whatever the cutting file holds."""
    x0, y0, x1, y1 = loop_extent_mm(loop)
    straight = [v for v in loop if v[2] == 0.0]
    on_edge = all(min(abs(v[0] - x0), abs(v[0] - x1), abs(v[1] - y0), abs(v[1] - y1)) < 1e-6 for v in loop)
    if len(loop) == 4 and len(straight) == 4 and on_edge:
        return "square corners"
    if len(loop) == 8 and len(straight) == 4 and on_edge:
        radius = min(abs(a[0] - b[0]) for a, b in zip(loop, loop[1:] + loop[:1], strict=True) if a[2] != 0.0)
        return f"corners R{figures.length(radius)}"
    return "see flat pattern (DXF)"


def bend_table(flat: Flat, datum: Point, figures: Figures) -> Table:
    """Every bend: where its line lies, direction as the flat is drawn, angle, radius, K-factor, allowance, length."""
    rows = tuple(
        (
            str(k), _line_at(b, datum, figures),
            b.direction, f"{trimmed(b.angle_deg)}°", figures.length(b.inside_radius_mm), f"{b.k_factor:.3g}",
            figures.length(b.allowance_mm), figures.length(b.length_mm),
        )
        for k, b in enumerate(flat.bend_lines, start=1)
    )  # fmt: skip
    head = ("Bend", "Line at", "Turn", "By", "Inside R", "K", "Allowance", "Length")
    return Table(
        f"Bends ({len(rows)}); up is towards the viewer of the flat pattern", head, rows, frozenset({3, 4, 5, 6, 7}), 176.0
    )


def _line_at(bend: BendLine, datum: Point, figures: Figures) -> str:
    """Place of the middle of a bend from the datum: one figure where it runs along x or y, else both its ends."""
    axis = along_axis(bend.start_mm, bend.end_mm)
    if axis is not None:
        return f"{'YX'[axis]} {figures.length(bend.start_mm[1 - axis] - datum[1 - axis])}"
    ends = (", ".join(figures.length(p[k] - datum[k]) for k in (0, 1)) for p in (bend.start_mm, bend.end_mm))
    return " to ".join(f"X, Y {end}" for end in ends)


def general_tolerance(longest_mm: float) -> str:
    """ISO 2768-1 m with its figure for the longest dimension of the sheet."""
    return f"General tolerances ISO 2768-1 m ({_plus_minus('ISO 2768-1', 'm', longest_mm)})."


def _plus_minus(standard: str, grade: str, length_mm: float, thickness_mm: float | None = None) -> str:
    try:
        value = tolerance_mm(standard, grade, length_mm, thickness_mm)
    except DesignError:
        return f"at {trimmed(length_mm, 0)} mm no limit is listed here: take it from the standard"
    return f"±{trimmed(value)} mm at {trimmed(length_mm, 1)} mm"


def flat_notes(part: Plate | FoldedPlate, flat: Flat, quantity: int, numbers: tuple[str, ...], finish: str) -> list[str]:
    """Sentences for a part cut from sheet. finish: in words."""
    x0, y0, x1, y1 = loop_extent_mm(flat.profile.outline)
    longest = max(x1 - x0, y1 - y0)
    metal = not is_soft(part.material)
    notes = [f"Make {quantity}." + (f" Part numbers: {', '.join(numbers)}." if len(numbers) > 1 else "")]
    notes.append(f"{part.material}, {trimmed(part.thickness_mm)} mm thick.")
    notes.append(general_tolerance(longest))
    if metal:
        cut = _plus_minus("ISO 9013", "1", longest, part.thickness_mm)
        notes.append(f"Thermally cut edges: ISO 9013, tolerance class 1 ({cut}).")
        bare = "none is stated in the job; leave bare, clean and dry" if finish == NONE_STATED else finish
        notes.append(f"Deburr; break sharp edges 0.2 to 0.5 mm. Finish: {bare}.")
    else:
        notes.append("Cut clean; no finish.")
    if isinstance(part, FoldedPlate):
        notes.append(
            "Bend angles ±1° (common practice). Flat pattern and allowance hold for the K-factor of the bend table: "
            "test-bend first."
        )
        notes += bending_notes(part)
        notes.append("Outside sizes of the formed part are measured on the solid.")
    if isinstance(part, Plate) and part.bevels:
        off = wedges(part)
        where = " and ".join(
            f"from X {trimmed(w.start_mm[0] - x0)}, Y {trimmed(w.start_mm[1] - y0)}"
            f" to X {trimmed(w.end_mm[0] - x0)}, Y {trimmed(w.end_mm[1] - y0)}"
            for w in off
        )
        leg = trimmed(off[0].leg_mm)
        notes.append(f"Chamfer {leg} mm x 45° on the far side along the edges {where} (from the lower left).")
    notes.append(f"Contours for cutting: flats/{numbers[0]}.dxf, which shows the same side.")
    return notes


def bending_notes(part: FoldedPlate) -> list[str]:
    """Order of bends where flanges hang on flanges; holes that are cut or drilled after bending."""
    notes = []
    outer = sorted(i for i, f in enumerate(part.flanges, start=1) if f.parent > 0)
    if outer:
        first = ", ".join(str(i) for i in outer)
        rest = ", ".join(str(i) for i in range(1, len(part.flanges) + 1) if i not in outer)
        notes.append(f"Order of bends: {first} while the sheet is flat, then {rest}, in this order.")
    late = sorted(own.name.removeprefix(f"{part.number}-") for own in _holes(part) if own.after_bending)
    if late:
        notes.append(
            f"Drill after bending, too near to the bend for a die of the usual width: {', '.join(late)}. The cutting file "
            "holds a cross for each instead of a hole."
        )
    if from_other_leg_mm(part):
        notes.append('"Bent": from the outer face of the other leg, measured on the bent part. It counts before X and Y.')
    return notes


def _holes(part: FoldedPlate) -> list[Hole]:
    return [*part.root.holes, *(h for f in part.flanges for h in f.profile.holes)]


def block_notes(part: Block, quantity: int, numbers: tuple[str, ...]) -> list[str]:
    """Sentences for a plain sheet of soft goods."""
    return [
        f"Make {quantity}." + (f" Part numbers: {', '.join(numbers)}." if len(numbers) > 1 else ""),
        f"{part.material or 'Material as bought'}; rectangular, square corners.",
        general_tolerance(max(part.extent.size_mm)),
    ]
