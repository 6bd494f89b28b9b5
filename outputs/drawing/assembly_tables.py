"""Tables of an assembly: parts and fasteners with item numbers, where the parts lie, how tight, what is welded."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from layout.box.clamps import clamp_notes
from layout.box.finish import NONE_STATED, NOT_FINISHED, finish_of
from layout.box.soft import density_kg_m3, is_soft
from layout.design import Assembly, Block, Hardware, Part
from layout.design.mass import body_mass
from layout.frames import Extent, Pose
from layout.job import Job
from layout.study.hulls import body_of
from layout.study.study import Study
from layout.tables import UnknownName, material
from outputs.drawing.callouts import elementary
from outputs.drawing.compose import Panel
from outputs.drawing.distinct import common_name, number_ranges
from outputs.drawing.figures import Figures, trimmed
from outputs.drawing.tables import Cell, Picture, Table, notes
from outputs.lists import STANDARD, torque_list
from shapes.assembly import shape_key

WIDTH = 150.0
SHORT = 24
"""Letters of a finish that a column has room for."""


@dataclass(frozen=True)
class Item:
    """One line of a parts list. parts: the bodies that it stands for, bolts: the fasteners; one of both is empty."""

    number: int
    numbers: str
    name: str
    quantity: int
    material: str
    mass_kg: float
    parts: tuple[Part, ...]
    bolts: tuple[Hardware, ...] = ()
    finish: str = NOT_FINISHED


def items_of(assembly: Assembly, job: Job) -> tuple[Item, ...]:
    """Equal parts as one item, then fasteners: each kind of bolt with what belongs to it."""
    groups: dict[object, list[Part]] = {}
    for part in assembly.parts:
        groups.setdefault(shape_key(part), []).append(part)
    sets: dict[tuple[object, ...], list[Hardware]] = {}
    for bolt in assembly.hardware:
        sets.setdefault((bolt.kind, bolt.size, bolt.length_mm, bolt.bolt_class, bolt.washers, bolt.nuts), []).append(bolt)
    items = [_part_item(k, group, finish_of(job, group[0])) for k, group in enumerate(groups.values(), start=1)]
    items += [_bolt_item(k, sets[key]) for k, key in enumerate(sorted(sets, key=str), start=len(items) + 1)]
    return tuple(items)


def _part_item(number: int, group: Sequence[Part], finish: str) -> Item:
    numbers = list(dict.fromkeys(p.number for p in group))
    thickness = min(group[0].extent.size_mm) if isinstance(group[0], Block) else group[0].thickness_mm
    metal = f"{group[0].material or 'as bought'}, {trimmed(thickness)} mm"
    mass = body_mass(group[0], density_kg_m3).mass_kg
    name = common_name([p.name for p in group])
    return Item(number, number_ranges(numbers), name, len(group), metal, mass, tuple(group), finish=finish)


def _bolt_item(number: int, bolts: Sequence[Hardware]) -> Item:
    """A bolt with its washers and nuts; the mass is that of the whole set."""
    bolt = bolts[0]
    with_it = [f"{bolt.washers} washer{'s' if bolt.washers > 1 else ''} ISO 7089"] if bolt.washers else []
    with_it += [f"{bolt.nuts} nut{'s' if bolt.nuts > 1 else ''} ISO 4032"] if bolt.nuts else []
    name = f"{bolt.kind} {bolt.size} x {trimmed(bolt.length_mm)}" + (f", each with {' and '.join(with_it)}" if with_it else "")
    standard = STANDARD.get(bolt.kind, bolt.kind)
    return Item(number, standard, name, len(bolts), f"class {bolt.bolt_class}", body_mass(bolt).mass_kg, (), tuple(bolts))


def assembly_panels(
    study: Study, assembly: Assembly, items: Sequence[Item], space: Extent, figures: Figures
) -> tuple[Panel, ...]:
    """Parts list, places of the parts, tightening, notes."""
    long = long_finishes(items)
    panels: list[Panel] = [_parts_list(items, long, figures), _places(items, space, figures)]
    if assembly.hardware:
        panels.append(_torques(study, assembly))
    datum = ", ".join(figures.length(v) for v in space.min_mm)
    lines = [
        "Axes as in the general arrangement, those of the pack. Places count from the corner of least x, y and z of all parts "
        f"(pack x, y, z = {datum}).",
        "Overall sizes are without fasteners.",
    ]
    if assembly.welds:
        lines += ["Welded: tolerances ISO 13920-BF. Welds on the next sheet."]
    if assembly.hardware:
        lines += ["Torques hold for dry threads as listed; hold the head, turn the nut where there is one."]
    if assembly.hardware and any(h.kind == "threaded rod" for h in assembly.hardware):
        lines += clamp_notes(study.box.carriers.held)
    lines += [f"{mark}: {text}." for text, mark in long.items()]
    if not any_stated(items):
        lines.append(f"Finish: {NONE_STATED} in the job.")
    panels.append(notes("Notes", lines, WIDTH))
    return tuple(panels)


def long_finishes(items: Sequence[Item]) -> dict[str, str]:
    """Finishes too long for a column, each with the mark that stands for it there; a note says what it means."""
    long = dict.fromkeys(i.finish for i in items if len(i.finish) > SHORT)
    return {text: f"finish {k}" for k, text in enumerate(long, start=1)}


def _parts_list(items: Sequence[Item], long: dict[str, str], figures: Figures) -> Table:
    rows = tuple(
        (
            str(i.number), i.numbers, i.name, str(i.quantity), i.material, long.get(i.finish, i.finish),
            figures.mass(i.mass_kg),
        )
        for i in items
    )  # fmt: skip
    head = ("Item", "Part number or standard", "Name", "Qty", "Material", "Finish", "Mass of one")
    if any_stated(items):
        return Table("Parts list", head, rows, frozenset({0, 3, 6}), WIDTH)
    return Table("Parts list", (*head[:5], head[6]), tuple((*r[:5], r[6]) for r in rows), frozenset({0, 3, 5}), WIDTH)


def any_stated(items: Sequence[Item]) -> bool:
    """Whether the job states a finish for one of them; where it does not, a note says so and no column is spent on it."""
    return any(i.finish not in (NONE_STATED, NOT_FINISHED) for i in items)


def _places(items: Sequence[Item], space: Extent, figures: Figures) -> Table:
    rows = []
    low = np.array(space.min_mm)
    for item in items:
        for part in item.parts:
            points = np.concatenate([p.triangles_mm.reshape(-1, 3) for p in body_of(part, Pose()).pieces]) - low
            a, b = points.min(axis=0), points.max(axis=0)
            ends = [figures.length(float(v)) for pair in zip(a, b, strict=True) for v in pair]
            rows.append((str(item.number), part.number, *ends))
    head = ("Item", "Part", "x from", "to", "y from", "to", "z from", "to")
    return Table("Where the parts lie", head, tuple(rows), frozenset({0, 2, 3, 4, 5, 6, 7}), WIDTH)


def _torques(study: Study, assembly: Assembly) -> Table:
    head, *rows = ([str(c) for c in row] for row in torque_list(study))
    used = {(b.size, b.bolt_class) for b in assembly.hardware}
    at = [head.index(n) for n in ("size", "class", "torque_nm", "surface")]
    kept = tuple(tuple(row[i] for i in at) for row in rows if (row[at[0]], row[at[1]]) in used)
    return Table("Tightening", ("Size", "Class", "Torque, N·m", "Surface"), kept, frozenset({2}), WIDTH)


def weld_panels(assembly: Assembly, figures: Figures) -> tuple[Panel, ...]:
    """Every weld, and how to weld."""
    rows: list[tuple[Cell, ...]] = []
    for w in assembly.welds:
        inks = tuple(elementary(w.kind, -1.5, -1.5 if w.kind != "double fillet" else 0.0))
        symbol = Picture(inks, 5.0, 6.0 if w.kind == "double fillet" else 3.2)
        joins = " to ".join(w.joins)
        rows.append(
            (
                w.number.rsplit("-", 1)[-1],
                symbol,
                w.kind,
                figures.length(w.throat_mm),
                figures.length(w.length_mm),
                joins,
                w.note,
            )
        )
    if not any(r[6] for r in rows):
        rows = [r[:6] for r in rows]
    head = ("Weld", "", "Kind", "a", "Length", "Joins", "Note")[: len(rows[0])]
    total = sum(w.length_mm * (2.0 if w.kind == "double fillet" else 1.0) for w in assembly.welds)
    prefix = assembly.welds[0].number.rsplit("-", 1)[0]
    corner = any(w.kind == "corner" for w in assembly.welds)
    lines = [
        f"Full number of a weld: {prefix}- and the number shown. a: throat; length: along the seam, full length, not broken.",
        f"Length of all runs, both sides counted: {trimmed(total, 0)} mm.",
        *_how(assembly),
        "General tolerances of the weldment: ISO 13920-BF.",
        *(["Corner: outside of two sheets that meet edge to face, filled to the stated throat."] if corner else []),
        "Weld empty parts only: no modules, cells or wiring near. Clean before and after; no spatter left inside.",
    ]
    return (Table("Welds", head, tuple(rows), frozenset({3, 4}), WIDTH), notes("Notes", lines, WIDTH))


def _how(assembly: Assembly) -> list[str]:
    """Processes and quality levels by what is welded (ISO 4063, ISO 5817, ISO 10042: from memory)."""
    metals = {p.material for p in assembly.parts if p.material and not is_soft(p.material)}
    families = set()
    for name in metals:
        try:
            families.add(material(name).family)
        except UnknownName:
            continue
    lines = []
    if "aluminium" in families:
        lines.append("Aluminium: process 131 or 141 (ISO 4063), quality ISO 10042 level C or better.")
    if "steel" in families:
        lines.append("Steel: process 135 or 141 (ISO 4063), quality ISO 5817 level C or better.")
    return lines
