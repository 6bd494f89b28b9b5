"""Parts of one material and thickness laid on raw sheets, and a DXF of every sheet.

Rectangles around the parts are packed by several published heuristics (rectpack: maximal rectangles, guillotine, skyline); the
layout with the fewest sheets, then the shortest used length on the last one, is kept.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import groupby
from pathlib import Path
from typing import Final

import rectpack

from layout.design.flat import Flat
from layout.design.geometry import loop_extent_mm, turned
from layout.design.moments import profile_moments
from layout.design.parts import FoldedPlate, Plate
from layout.design.profile import Hole, Profile
from layout.errors import ExportError
from outputs.dxf import flat_of, mark_strokes
from outputs.dxf_document import CUT, INFO, MARK, SHEET, add_loop, add_profile, add_strokes, new_document, save, stamp
from outputs.dxf_reading import compare_cuts, read_flat
from outputs.strokes import strokes
from outputs.written import Written, file_stem, sha256_of

_UNITS_PER_MM: Final = 100
_HEURISTICS: Final = (
    rectpack.MaxRectsBssf,
    rectpack.MaxRectsBl,
    rectpack.MaxRectsBaf,
    rectpack.MaxRectsBlsf,
    rectpack.SkylineMwf,
    rectpack.SkylineBlWm,
    rectpack.GuillotineBssfSas,
    rectpack.GuillotineBafSlas,
)
_ORDERS: Final = (rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_SSIDE, rectpack.SORT_PERI)


@dataclass(frozen=True, slots=True)
class Stock:
    """Raw sheet and how parts lie on it: length along x, width along y, distance between parts and from parts to the edge.

    turn: whether a part may be turned by a quarter; False where the rolling direction (along x) must be kept. Typical sheet
    sizes of 2000 x 1000, 2500 x 1250 and 3000 x 1500 mm: common practice, no source.
    """

    length_mm: float = 2500.0
    width_mm: float = 1250.0
    gap_mm: float = 8.0
    edge_mm: float = 10.0
    turn: bool = True


@dataclass(frozen=True, slots=True)
class NestItem:
    """A flat to be cut so many times."""

    number: str
    material: str
    flat: Flat
    quantity: int = 1


@dataclass(frozen=True, slots=True)
class Placed:
    """One piece on a sheet: its profile where it lies, and its own index among equal pieces."""

    number: str
    flat: Flat
    turned: bool


@dataclass(frozen=True, slots=True)
class NestedSheet:
    """One raw sheet with what is cut from it.

    utilisation: net area of the parts over the whole sheet; strip: over the length used (to the end of the last part), full
    width.
    """

    material: str
    thickness_mm: float
    stock: Stock
    pieces: tuple[Placed, ...]
    used_length_mm: float

    @property
    def net_area_mm2(self) -> float:
        """Area of the parts, holes taken off."""
        return sum(profile_moments(p.flat.profile).area_mm2 for p in self.pieces)

    @property
    def utilisation(self) -> float:
        """Share of the sheet that becomes parts."""
        return self.net_area_mm2 / (self.stock.length_mm * self.stock.width_mm)

    @property
    def strip_utilisation(self) -> float:
        """Share of the used strip that becomes parts; the rest of the sheet can go back on the shelf."""
        return self.net_area_mm2 / (self.used_length_mm * self.stock.width_mm)


@dataclass(frozen=True, slots=True)
class TooLarge:
    """A part that no sheet of the stock can hold, and the size it needs."""

    number: str
    material: str
    thickness_mm: float
    size_mm: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Nesting:
    """All sheets of a job, and the parts that fit on none."""

    sheets: tuple[NestedSheet, ...]
    too_large: tuple[TooLarge, ...]


def items_of(parts: Iterable[Plate | FoldedPlate]) -> tuple[NestItem, ...]:
    """Every sheet part once per piece. Raises DesignError where a fold cannot be developed."""
    return tuple(NestItem(p.number, p.material, flat_of(p)) for p in parts)


def nest(items: Iterable[NestItem], stock: Stock | None = None) -> Nesting:
    """Lay all items on as few sheets as the heuristics find, per material and thickness."""
    stock = stock or Stock()
    by_metal = sorted(items, key=lambda i: (i.material, i.flat.thickness_mm, i.number))
    sheets: list[NestedSheet] = []
    too_large: list[TooLarge] = []
    for (material, thickness), group in groupby(by_metal, key=lambda i: (i.material, i.flat.thickness_mm)):
        fitting: list[NestItem] = []
        for item in group:
            width, height = _size(item.flat)
            if _fits(width, height, stock):
                fitting += [replace(item, quantity=1)] * item.quantity
            else:
                too_large.append(TooLarge(item.number, material, thickness, (width, height)))
        sheets += _nest_metal(material, thickness, fitting, stock)
    return Nesting(tuple(sheets), tuple(too_large))


def _size(flat: Flat) -> tuple[float, float]:
    x0, y0, x1, y1 = loop_extent_mm(flat.profile.outline)
    return (x1 - x0, y1 - y0)


def _room(stock: Stock) -> tuple[int, int]:
    """Inner size of the sheet in packing units; every rectangle carries one gap to its right and top, and so does the room."""
    inner = 2.0 * stock.edge_mm - stock.gap_mm
    return (math.floor((stock.length_mm - inner) * _UNITS_PER_MM), math.floor((stock.width_mm - inner) * _UNITS_PER_MM))


def _cell(size: tuple[float, float], stock: Stock) -> tuple[int, int]:
    w, h = (math.ceil((s + stock.gap_mm) * _UNITS_PER_MM - 1e-6) for s in size)
    return (w, h)


def _fits(width: float, height: float, stock: Stock) -> bool:
    (w, h), (length, across) = _cell((width, height), stock), _room(stock)
    return (w <= length and h <= across) or (stock.turn and h <= length and w <= across)


@dataclass(frozen=True, slots=True)
class _Spot:
    item: int
    sheet: int
    x: int
    y: int
    width: int
    height: int


def _nest_metal(material: str, thickness: float, items: list[NestItem], stock: Stock) -> list[NestedSheet]:
    if not items:
        return []
    cells = [_cell(_size(i.flat), stock) for i in items]
    layouts = (_packed(cells, stock, heuristic, order) for heuristic in _HEURISTICS for order in _ORDERS)
    best = min((spots for spots in layouts if len(spots) == len(items)), key=_cost)
    sheets = []
    for index in range(1 + max(s.sheet for s in best)):
        spots = sorted((s for s in best if s.sheet == index), key=lambda s: (s.x, s.y))
        pieces = tuple(_laid(items[s.item], s, cells[s.item], stock) for s in spots)
        used = max(s.x + s.width for s in spots) / _UNITS_PER_MM - stock.gap_mm + stock.edge_mm
        sheets.append(NestedSheet(material, thickness, stock, pieces, used))
    return sheets


def _packed(cells: list[tuple[int, int]], stock: Stock, heuristic: object, order: object) -> list[_Spot]:
    packer = rectpack.newPacker(pack_algo=heuristic, sort_algo=order, rotation=stock.turn)
    for index, (w, h) in enumerate(cells):
        packer.add_rect(w, h, index)
    packer.add_bin(*_room(stock), count=len(cells))
    packer.pack()
    return [_Spot(rid, sheet, x, y, w, h) for sheet, x, y, w, h, rid in packer.rect_list()]


def _cost(spots: list[_Spot]) -> tuple[int, int, int]:
    """Sheets, then the length used on the last one, then the lengths used on all."""
    ends: dict[int, int] = {}
    for s in spots:
        ends[s.sheet] = max(ends.get(s.sheet, 0), s.x + s.width)
    return (len(ends), min(ends.values()), sum(ends.values()))


def _laid(item: NestItem, spot: _Spot, cell: tuple[int, int], stock: Stock) -> Placed:
    """The item's flat moved (and turned by a quarter where width and height changed places) to its spot."""
    quarter = (spot.width, spot.height) != cell
    along = (0.0, 1.0) if quarter else (1.0, 0.0)
    x0, y0, _, _ = loop_extent_mm(turned(item.flat.profile.outline, along, (0.0, 0.0)))
    shift = (stock.edge_mm + spot.x / _UNITS_PER_MM - x0, stock.edge_mm + spot.y / _UNITS_PER_MM - y0)
    return Placed(item.number, _moved(item.flat, along, shift), quarter)


def _moved(flat: Flat, along: tuple[float, float], shift: tuple[float, float]) -> Flat:
    def point(p: tuple[float, float]) -> tuple[float, float]:
        x, y, _ = turned(((*p, 0.0),), along, shift)[0]
        return (x, y)

    def hole(h: Hole) -> Hole:
        angle = h.slot_angle_deg + math.degrees(math.atan2(along[1], along[0]))
        return replace(h, centre_mm=point(h.centre_mm), slot_angle_deg=angle)

    profile = Profile(
        turned(flat.profile.outline, along, shift),
        tuple(hole(h) for h in flat.profile.holes),
        tuple(turned(c, along, shift) for c in flat.profile.cutouts),
    )
    lines = tuple(replace(b, start_mm=point(b.start_mm), end_mm=point(b.end_mm)) for b in flat.bend_lines)
    return Flat(profile, lines, flat.thickness_mm)


def write_sheets(folder: Path, nesting: Nesting, job: str = "", date: str = "") -> tuple[Written, ...]:
    """One DXF per sheet, read back and compared. Raises ExportError."""
    written = []
    names: dict[str, int] = {}
    for sheet in nesting.sheets:
        stem = file_stem(f"sheet-{sheet.material}-{sheet.thickness_mm:g}mm")
        names[stem] = names.get(stem, 0) + 1
        written.append(write_sheet(folder / f"{stem}-{names[stem]}.dxf", sheet, job, date))
    return tuple(written)


def write_sheet(path: Path, sheet: NestedSheet, job: str = "", date: str = "") -> Written:
    """One nested sheet: its edge on SHEET, parts on CUT, part numbers on MARK, a line of facts below the sheet on INFO."""
    stock = sheet.stock
    document = new_document((CUT, MARK, SHEET, INFO))
    facts = {
        "MATERIAL": sheet.material,
        "THICKNESS MM": f"{sheet.thickness_mm:g}",
        "SHEET MM": f"{stock.length_mm:g} x {stock.width_mm:g}",
        "PIECES": str(len(sheet.pieces)),
        "UTILISATION": f"{sheet.utilisation:.3f}",
        "STRIP UTILISATION": f"{sheet.strip_utilisation:.3f}",
        "USED LENGTH MM": f"{sheet.used_length_mm:.0f}",
        "PARTS": ", ".join(f"{n} x{c}" for n, c in _counts(sheet)),
    }
    stamp(document, facts | {"JOB": job, "DATE": date})
    space = document.modelspace()
    edge = ((0.0, 0.0, 0.0), (stock.length_mm, 0.0, 0.0), (stock.length_mm, stock.width_mm, 0.0), (0.0, stock.width_mm, 0.0))
    add_loop(space, edge, SHEET)
    for piece in sheet.pieces:
        add_profile(space, piece.flat.profile)
        add_strokes(space, mark_strokes(piece.flat, piece.number), MARK)
    line = f"{sheet.material} {sheet.thickness_mm:g} MM  {len(sheet.pieces)} PARTS  {100.0 * sheet.utilisation:.1f}% OF SHEET"
    add_strokes(space, strokes(line, 20.0, (0.0, -40.0)), INFO)
    save(document, path, (0.0, -40.0, stock.length_mm, stock.width_mm))
    got = read_flat(path)
    if got.open_cuts:
        msg = f"{path}: {got.open_cuts} cuts are not closed"
        raise ExportError(msg)
    compare_cuts(path, [p.flat.profile for p in sheet.pieces], got)
    return Written(path, sha256_of(path), True)


def _counts(sheet: NestedSheet) -> list[tuple[str, int]]:
    numbers = [p.number for p in sheet.pieces]
    return [(n, numbers.count(n)) for n in dict.fromkeys(numbers)]
