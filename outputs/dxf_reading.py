"""Read a flat pattern back from its DXF file and compare it with the profile it was written from."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import ezdxf
from ezdxf import units

from layout.design.flat import Flat
from layout.design.geometry import loop_extent_mm, slot_loop
from layout.design.moments import loop_moments
from layout.design.profile import Loop, Profile
from layout.errors import ExportError
from outputs.dxf_document import BEND_DOWN, BEND_UP, CUT, LAYERS, MARK

PLACE_MM = 1e-6
AREA_SHARE = 1e-9
_ALLOWED = {"LWPOLYLINE", "CIRCLE", "LINE"}


@dataclass(frozen=True)
class ReadFlat:
    """What a file holds.

    Closed outlines and circles (x, y, diameter) to be cut; bend lines by layer; number of open cut lines; centres of the
    crosses that mark holes to be made after bending.
    """

    loops: tuple[Loop, ...]
    circles: tuple[tuple[float, float, float], ...]
    bends: tuple[tuple[str, tuple[float, float], tuple[float, float]], ...]
    open_cuts: int
    facts: dict[str, str]
    crosses: tuple[tuple[float, float], ...] = ()

    @property
    def cut_area_mm2(self) -> float:
        """Area of the largest outline less all other openings: what remains when everything is cut."""
        areas = sorted((abs(loop_moments(loop).area_mm2) for loop in self.loops), reverse=True)
        return areas[0] - sum(areas[1:]) - sum(math.pi * d * d / 4.0 for _, _, d in self.circles)


def read_flat(path: Path) -> ReadFlat:
    """Read and audit a file.

    Raises ExportError for a file with faults, of other units, or with records a cutter may not know.
    """
    try:
        document = ezdxf.readfile(path)
    except (OSError, ezdxf.DXFError) as error:
        msg = f"{path}: the file does not read back as DXF ({error})"
        raise ExportError(msg) from error
    auditor = document.audit()
    if auditor.errors or auditor.fixes:
        msg = f"{path}: the audit found {len(auditor.errors)} errors and mended {len(auditor.fixes)}"
        raise ExportError(msg)
    if document.units != units.MM or document.header["$MEASUREMENT"] != 1:
        msg = f"{path}: the file does not say millimetres"
        raise ExportError(msg)
    loops: list[Loop] = []
    circles, bends, lines, open_cuts = [], [], [], 0
    for entity in document.modelspace():
        layer = entity.dxf.layer
        if entity.dxftype() not in _ALLOWED or layer not in LAYERS:
            msg = f"{path}: unexpected {entity.dxftype()} on layer {layer}"
            raise ExportError(msg)
        if entity.dxftype() == "LINE" and layer in (BEND_UP, BEND_DOWN):
            bends.append((layer, (entity.dxf.start.x, entity.dxf.start.y), (entity.dxf.end.x, entity.dxf.end.y)))
        elif entity.dxftype() == "LINE" and layer == MARK:
            lines.append(((entity.dxf.start.x, entity.dxf.start.y), (entity.dxf.end.x, entity.dxf.end.y)))
        elif layer == CUT and entity.dxftype() == "LWPOLYLINE" and entity.closed:
            loops.append(tuple((float(x), float(y), float(b)) for x, y, b in entity.get_points("xyb")))
        elif layer == CUT and entity.dxftype() == "CIRCLE":
            circles.append((entity.dxf.center.x, entity.dxf.center.y, 2.0 * entity.dxf.radius))
        elif layer == CUT:
            open_cuts += 1
    facts = dict(document.header.custom_vars.properties)
    return ReadFlat(tuple(loops), tuple(circles), tuple(bends), open_cuts, facts, _crosses(path, lines))


def _crosses(path: Path, lines: list[tuple[tuple[float, float], tuple[float, float]]]) -> tuple[tuple[float, float], ...]:
    """Where the lines of each pair cross, in the middle of both. Raises ExportError for lines that make no cross."""
    middles = [((ax + bx) / 2.0, (ay + by) / 2.0) for (ax, ay), (bx, by) in lines]
    for a, b in zip(middles[::2], middles[1::2], strict=False):
        if math.dist(a, b) > PLACE_MM:
            msg = f"{path}: lines on layer {MARK} at {a} and {b} make no cross"
            raise ExportError(msg)
    if len(lines) % 2:
        msg = f"{path}: {len(lines)} lines on layer {MARK} make no crosses"
        raise ExportError(msg)
    return tuple(middles[::2])


def expected_loops(profile: Profile) -> list[Loop]:
    """Closed outlines that a profile leads to: outline, cut-outs, slots."""
    slots = (h for h in profile.holes if h.slot_mm > 0.0 and not h.after_bending)
    return [profile.outline, *profile.cutouts, *(slot_loop(h) for h in slots)]


def compare_flat(path: Path, flat: Flat) -> None:
    """Raise ExportError unless the file holds just this flat: extents, areas, holes with places and diameters, bend lines."""
    got = read_flat(path)
    if got.open_cuts:
        msg = f"{path}: {got.open_cuts} cuts are not closed"
        raise ExportError(msg)
    compare_cuts(path, [flat.profile], got)
    want = sorted((BEND_UP if b.direction == "up" else BEND_DOWN, *b.start_mm, *b.end_mm) for b in flat.bend_lines)
    _same_rows(path, "bend lines", want, sorted((layer, *a, *b) for layer, a, b in got.bends))


def compare_cuts(path: Path, profiles: list[Profile], got: ReadFlat) -> None:
    """Raise ExportError unless the cuts in the file are just those of the profiles."""
    holes = [h for p in profiles for h in p.holes if h.slot_mm <= 0.0 and not h.after_bending]
    _same_rows(path, "round holes", sorted((*h.centre_mm, h.diameter_mm) for h in holes), sorted(got.circles))
    late = [end for p in profiles for h in p.holes if h.after_bending for end in h.ends_mm]
    _same_rows(path, "crosses of holes made after bending", sorted(late), sorted(got.crosses))
    loops = [loop for p in profiles for loop in expected_loops(p)]
    _same_rows(path, "closed outlines", sorted(map(_signature, loops)), sorted(map(_signature, got.loops)))


def _signature(loop: Loop) -> tuple[float, ...]:
    """Extents and area of a loop: together with their number they tell one set of outlines from another."""
    return (*(round(v, 9) for v in loop_extent_mm(loop)), loop_moments(loop).area_mm2)


def _same_rows(path: Path, what: str, want: Sequence[tuple[object, ...]], got: Sequence[tuple[object, ...]]) -> None:
    if len(want) != len(got):
        msg = f"{path}: {len(want)} {what} were written, {len(got)} read back"
        raise ExportError(msg)
    for a, b in zip(want, got, strict=True):
        if not all(_close(x, y) for x, y in zip(a, b, strict=True)):
            msg = f"{path}: {what}: wrote {a}, read back {b}"
            raise ExportError(msg)


def _close(a: object, b: object) -> bool:
    if isinstance(a, float | int) and isinstance(b, float | int):
        return math.isclose(a, b, rel_tol=AREA_SHARE, abs_tol=PLACE_MM)
    return a == b
