"""Lists for the workshop as CSV: what to cut, what to buy, what it weighs, what to weld, how tight."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterable, Sequence
from pathlib import Path

from layout.box.finish import NOT_FINISHED, finish_of
from layout.box.soft import density_kg_m3
from layout.design import Block, FoldedPlate, Hardware, Plate, Weld
from layout.design.geometry import cut_length_mm, loop_extent_mm
from layout.design.mass import body_mass
from layout.errors import ExportError
from layout.several.study import AnyStudy, boxes_of
from layout.study.tightening import tightening
from outputs.dxf import flat_of
from outputs.flats import sheet_parts
from outputs.written import Written, sha256_of

Row = Sequence[object]
STANDARD = {"hex screw": "ISO 4017", "hex bolt": "ISO 4014", "cap screw": "ISO 4762", "threaded rod": "DIN 976-1"}


def write_lists(study: AnyStudy, folder: Path) -> list[Written]:
    """Cut list, hardware list, masses, welds, torques, sheet rules. Raises ExportError where one does not read back."""
    folder.mkdir()
    tables = {
        "cut-list": cut_list(study),
        "hardware": hardware_list(study),
        "masses": mass_list(study),
        "welds": weld_list(study),
        "torques": torque_list(study),
        "sheet-rules": rule_list(study),
    }
    return [_write(folder / f"{name}.csv", rows) for name, rows in tables.items()]


def fasteners(study: AnyStudy) -> tuple[Hardware, ...]:
    """Every bolt of box and brackets."""
    found: list[Hardware] = []
    for one in boxes_of(study):
        found += [*one.box.hardware, *(bolt for bracket in one.brackets for bolt in bracket.hardware)]
    return tuple(found)


def welds(study: AnyStudy) -> tuple[Weld, ...]:
    """Every weld of box and brackets."""
    found: list[Weld] = []
    for one in boxes_of(study):
        found += [*one.box.welds, *(weld for bracket in one.brackets for weld in bracket.welds)]
    return tuple(found)


def cut_list(study: AnyStudy) -> list[Row]:
    """One row per part number: metal, flat size, cut length, holes, bends, mass of one, finish."""
    head = (
        "part", "name", "quantity", "material", "thickness_mm", "flat_length_mm", "flat_width_mm", "cut_length_mm", "holes",
        "bends", "mass_kg", "finish",
    )  # fmt: skip
    parts = sheet_parts(study)
    count = Counter(p.number for p in parts)
    rows: list[Row] = [head]
    for part in {p.number: p for p in parts}.values():
        rows.append((*_cut_row(part, count[part.number]), finish_of(study.job, part)))
    for block in (b for one in boxes_of(study) for b in one.box.blocks):
        rows.append((*_block_row(block), NOT_FINISHED))
    return rows


def _cut_row(part: Plate | FoldedPlate, quantity: int) -> Row:
    flat = flat_of(part)
    x0, y0, x1, y1 = loop_extent_mm(flat.profile.outline)
    long, short = max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)
    return (
        part.number, part.name, quantity, part.material, f"{part.thickness_mm:g}", f"{long:.2f}", f"{short:.2f}",
        f"{cut_length_mm(flat.profile):.0f}", len(flat.profile.holes), len(flat.bend_lines),
        f"{body_mass(part, density_kg_m3).mass_kg:.3f}",
    )  # fmt: skip


def _block_row(block: Block) -> Row:
    sizes = sorted(block.extent.size_mm)
    return (
        block.number, block.name, 1, block.material, f"{sizes[0]:g}", f"{sizes[2]:.2f}", f"{sizes[1]:.2f}", "", 0, 0,
        f"{body_mass(block, density_kg_m3).mass_kg:.3f}",
    )  # fmt: skip


def hardware_list(study: AnyStudy) -> list[Row]:
    """Bolts by standard, size, length and class, with their washers and nuts."""
    bolts = Counter((b.kind, b.size, b.length_mm, b.bolt_class) for b in fasteners(study))
    washers: Counter[str] = Counter()
    nuts: Counter[str] = Counter()
    for bolt in fasteners(study):
        washers[bolt.size] += bolt.washers
        nuts[bolt.size] += bolt.nuts
    rows: list[Row] = [("item", "standard", "size", "length_mm", "class", "quantity")]
    rows += [(kind, STANDARD[kind], size, f"{length:g}", grade, n) for (kind, size, length, grade), n in sorted(bolts.items())]
    rows += [("plain washer", "ISO 7089", size, "", "200 HV", n) for size, n in sorted(washers.items()) if n]
    rows += [("hex nut", "ISO 4032", size, "", "8", n) for size, n in sorted(nuts.items()) if n]
    eyes = Counter(point.size for one in boxes_of(study) for point in one.box.carriers.lifting)
    rows += [("lifting eye bolt, for lifting only", "DIN 580", size, "", "C15E", n) for size, n in sorted(eyes.items())]
    return rows


def mass_list(study: AnyStudy) -> list[Row]:
    """Every item with mass, centroid in vehicle axes and where its mass comes from, then the totals."""
    rows: list[Row] = [("item", "mass_kg", "x_mm", "y_mm", "z_mm", "source", "group")]
    for item in (*study.pack_items, *study.added_items):
        mass = "unknown" if item.mass_kg is None else f"{item.mass_kg:.3f}"
        rows.append((item.name, mass, *(f"{c:.1f}" for c in item.centroid_mm), item.source, item.group))
    for item in study.removed_items:
        mass = "unknown" if item.mass_kg is None else f"{-item.mass_kg:.3f}"
        rows.append((item.name, mass, *(f"{c:.1f}" for c in item.centroid_mm), item.source, "removed"))
    rows.append(("pack", f"{study.pack.mass_kg:.3f}", *(f"{c:.1f}" for c in study.pack.centroid_mm), "sum", "pack"))
    rows.append(("change of the vehicle", f"{study.balance.change_kg:.3f}", "", "", "", "sum", ""))
    return rows


def weld_list(study: AnyStudy) -> list[Row]:
    """Every seam: kind, throat, length, what it joins."""
    rows: list[Row] = [("weld", "kind", "throat_mm", "length_mm", "part", "to_part", "note")]
    rows += [(w.number, w.kind, f"{w.throat_mm:g}", f"{w.length_mm:.1f}", *w.joins, w.note) for w in welds(study)]
    return rows


def rule_list(study: AnyStudy) -> list[Row]:
    """Every sheet rule at every place of every part cut from metal sheet: figure, limit, whether it is kept, source."""
    rows: list[Row] = [("part", "name", "rule", "at", "figure", "sense", "limit", "unit", "kept", "remedy", "source")]
    for part, findings in study.findings:
        rows += [
            (
                part.number, part.name, f.rule, f.at, f"{f.figure:.3f}", f.sense, f"{f.limit:.3f}", f.unit,
                "yes" if f.ok else "no", "" if f.ok else f.remedy, f.source,
            )
            for f in findings
        ]  # fmt: skip
    return rows


def torque_list(study: AnyStudy) -> list[Row]:
    """Tightening torque per size and class, with what it rests on."""
    rows: list[Row] = [("size", "class", "quantity", "torque_nm", "preload_n", "k", "surface", "scatter")]
    count = Counter((b.size, b.bolt_class) for b in fasteners(study))
    for (size, grade), n in sorted(count.items()):
        p = tightening(size, grade)
        rows.append((size, grade, n, f"{p.torque_nm:.1f}", f"{p.nominal_n:.0f}", f"{p.k:g}", p.surface, f"{p.scatter:g}"))
    return rows


def _write(path: Path, rows: Iterable[Row]) -> Written:
    wanted = [[str(cell) for cell in row] for row in rows]
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(wanted)
    path.write_text(text.getvalue(), encoding="utf-8")
    with path.open(encoding="utf-8", newline="") as stream:
        if list(csv.reader(stream)) != wanted:
            raise ExportError(f"{path.name} did not read back as it was written")
    return Written(path, sha256_of(path), True)
