"""DXF documents for the cutting shop.

Layers, outlines with true arcs, holes, marks, and a save that gives the same bytes twice.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

import ezdxf
from ezdxf import units
from ezdxf.document import Drawing

from layout.design.geometry import slot_loop
from layout.design.profile import Hole, Loop, Profile
from layout.errors import ExportError
from outputs.strokes import Stroke
from outputs.written import plain_ascii

CUT: Final = "CUT"
BEND_UP: Final = "BEND_UP"
BEND_DOWN: Final = "BEND_DOWN"
MARK: Final = "MARK"
SHEET: Final = "SHEET"
INFO: Final = "INFO"
LAYERS: Final[dict[str, tuple[int, str]]] = {
    CUT: (7, "cut through: closed outlines, circles"),
    BEND_UP: (5, "bend towards the viewer: middle of the bend, not cut"),
    BEND_DOWN: (1, "bend away from the viewer: middle of the bend, not cut"),
    MARK: (3, "mark the surface: part number in single strokes, crosses of holes to drill after bending, not cut"),
    SHEET: (8, "edge of the raw sheet, not cut"),
    INFO: (8, "text for people, not cut"),
}
"""Colour index and meaning of each layer."""

CROSS_MM: Final = 3.0
"""Half the length of the lines that mark the centre of a hole to be drilled after bending (our choice)."""


@contextmanager
def _fixed_dates() -> Iterator[None]:
    """Fixed dates and identities instead of the clock's, while documents are made or saved."""
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def new_document(layers: Iterable[str]) -> Drawing:
    """An empty R2010 document in millimetres with the named layers."""
    with _fixed_dates():
        document = ezdxf.new("R2010", units=units.MM)
    document.header["$MEASUREMENT"] = 1
    for name in layers:
        colour, meaning = LAYERS[name]
        document.layers.add(name, color=colour).description = meaning
    return document


def stamp(document: Drawing, facts: dict[str, str]) -> None:
    """Write facts (part number, material, thickness ...) into the file's own custom properties."""
    for key, value in facts.items():
        document.header.custom_vars.append(plain_ascii(key), plain_ascii(value))


def add_loop(space: Any, loop: Loop, layer: str) -> None:
    """A closed polyline, arcs as bulges."""
    space.add_lwpolyline([(x, y, bulge) for x, y, bulge in loop], format="xyb", close=True, dxfattribs={"layer": layer})


def add_profile(space: Any, profile: Profile, layer: str = CUT) -> None:
    """Outline, cut-outs and slots as closed polylines, round holes as circles; a cross for what is made after bending."""
    add_loop(space, profile.outline, layer)
    for cutout in profile.cutouts:
        add_loop(space, cutout, layer)
    for hole in profile.holes:
        if hole.after_bending:
            _add_crosses(space, hole)
        elif hole.slot_mm > 0.0:
            add_loop(space, slot_loop(hole), layer)
        else:
            space.add_circle(hole.centre_mm, hole.diameter_mm / 2.0, dxfattribs={"layer": layer})


def _add_crosses(space: Any, hole: Hole) -> None:
    """Two lines on MARK that cross at the centre of each of its ends."""
    for x, y in hole.ends_mm:
        space.add_line((x - CROSS_MM, y), (x + CROSS_MM, y), dxfattribs={"layer": MARK})
        space.add_line((x, y - CROSS_MM), (x, y + CROSS_MM), dxfattribs={"layer": MARK})


def add_strokes(space: Any, chains: list[Stroke], layer: str) -> None:
    """Open polylines, one per stroke."""
    for chain in chains:
        space.add_lwpolyline(chain, format="xy", dxfattribs={"layer": layer})


def save(document: Drawing, path: Path, extent_mm: tuple[float, float, float, float]) -> None:
    """Write a document whose bytes depend on its content alone. Raises ExportError where the file cannot be written.

    Dates and identities in the file are fixed ones, handles count from the start, and the list of record classes, which the
    library fills in the order of a set, is filled here in the order of the alphabet.
    """
    x0, y0, x1, y1 = extent_mm
    document.header["$EXTMIN"], document.header["$EXTMAX"] = (x0, y0, 0.0), (x1, y1, 0.0)
    document.modelspace().reset_extents((x0, y0, 0.0), (x1, y1, 0.0))
    document.modelspace().reset_limits((x0, y0), (x1, y1))
    for name in sorted(document.entitydb.dxf_types_in_use()):
        document.classes.add_class(name)
    try:
        with _fixed_dates():
            document.saveas(path)
    except OSError as error:
        msg = (
            f"{path}: the file could not be written ({error.strerror}). Check that the folder exists, is writable and has room."
        )
        raise ExportError(msg) from error
