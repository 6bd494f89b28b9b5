"""What the examination of the built solids found, as plain data and in sentences."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from layout.design import Assembly, Block, Hardware, Part
from layout.design.hardware import HEX_AREA, sizes_of
from shapes.examine import Examination, Overlap

Data = dict[str, Any]


@dataclass(frozen=True)
class Solids:
    """What was found, and the screws (counted) whose tips stand in threads that are not drawn: in bars' ends, in modules."""

    found: Examination
    blind_threads: int
    in_feet: int = 0
    """Heads (counted) that lie on feet of equipment, which is drawn as one full body."""


def sorted_out(found: Examination, assembly: Assembly) -> Solids:
    """Takes the screws off the list of overlaps that end, without a nut, in a part they join, and fill no more of it than
    their shank does beyond the grip; and those whose heads lie on the feet of equipment that they join, head and grip in it."""
    bolts = {b.number: b for b in _fasteners(assembly)}
    bodies = {p.number: p.name for p in _parts(assembly) if isinstance(p, Block) and p.group == "equipment"}
    feet = {o: screw for o in found.overlaps if (screw := _on_foot(o, bolts, bodies))}
    rest = tuple(o for o in found.overlaps if o not in feet and not _blind(o, bolts))
    blind = {n for o in found.overlaps if o not in rest and o not in feet for n in (o.first, o.second) if n in bolts}
    without = tuple(n for n in found.without_hole if n not in blind)
    return Solids(replace(found, overlaps=rest, without_hole=without), len(blind), len(set(feet.values())))


def _blind(overlap: Overlap, bolts: dict[str, Hardware]) -> bool:
    for name, part in ((overlap.first, overlap.second), (overlap.second, overlap.first)):
        bolt = bolts.get(name)
        if bolt is None or bolt.nuts:
            continue
        joined = any(part == j or part.endswith(f"-{j}") for j in bolt.joins)
        most = math.pi / 4.0 * float(bolt.size[1:]) ** 2 * (bolt.length_mm - bolt.grip_mm) + 1.0
        if joined and overlap.volume_mm3 <= most:
            return True
    return False


def _on_foot(overlap: Overlap, bolts: dict[str, Hardware], bodies: dict[str, str]) -> str:
    """Number of the screw whose head, washer or shank above its foot lies in the body of what it holds; "" for all else."""
    for name, part in ((overlap.first, overlap.second), (overlap.second, overlap.first)):
        screw = bolts.get(name.split(" washer ")[0])
        if screw is None or bodies.get(part) not in screw.joins:
            continue
        size = sizes_of(screw.size)
        most = HEX_AREA * size.hex_af_mm**2 * size.hex_height_mm + math.pi / 4.0 * size.diameter_mm**2 * screw.grip_mm + 1.0
        if overlap.volume_mm3 <= most:
            return screw.number
    return ""


def _parts(assembly: Assembly) -> Iterator[Part]:
    yield from assembly.parts
    for child in assembly.children:
        yield from _parts(child)


def _fasteners(assembly: Assembly) -> Iterator[Hardware]:
    yield from assembly.hardware
    for child in assembly.children:
        yield from _fasteners(child)


def solid_data(solids: Solids) -> Data:
    """`solids`: faulty solids, bodies in one place, bolts whose holes are out of line or missing."""
    found = solids.found
    return {
        "nothing_found": found.nothing_found,
        "invalid": list(found.invalid),
        "overlaps": [{"first": o.first, "second": o.second, "volume_mm3": o.volume_mm3} for o in found.overlaps],
        "out_of_line": [{"bolt": bolt, "part": h.part, "offset_mm": h.offset_mm} for bolt, h in found.out_of_line],
        "without_hole": list(found.without_hole),
        "blind_threads": solids.blind_threads,
        "heads_on_feet": solids.in_feet,
    }


def solid_lines(solids: Solids) -> list[str]:
    """The same in sentences for the report."""
    found = solids.found
    lines = [f"{o.first} and {o.second} claim the same space, {o.volume_mm3:.0f} mm³." for o in found.overlaps]
    lines += [f"Bolt {bolt} runs {h.offset_mm:.2f} mm off its hole in {h.part}." for bolt, h in found.out_of_line]
    lines += [f"Bolt {bolt} does not pass a hole in every part that it joins." for bolt in found.without_hole]
    lines += [f"The kernel finds fault with the solid of {number}." for number in found.invalid]
    said = "The finished solids were held against one another, and every bolt against its holes"
    blind = f" ({solids.blind_threads} screws end in threads that are not drawn: in bars' ends and modules)"
    said += blind if solids.blind_threads else ""
    said += f" ({solids.in_feet} screws stand on feet of equipment, drawn as one body)" if solids.in_feet else ""
    return [f"{said}: nothing was found."] if not lines else [f"{said}; found:", *lines]
