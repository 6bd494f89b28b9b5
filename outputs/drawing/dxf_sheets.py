"""A sheet as a DXF file.

Model space holds the whole sheet with its views at true size, so that a length measured in a CAD program is the part's own:
frame, tables and letters stand there enlarged by the scale's denominator. The layout "Sheet" shows it at the stated scale on
paper of the right size, for plotting. Dimensions are DIMENSION records that measure the same points. Flat patterns for the
cutting machine are files of their own, without any of this.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

from ezdxf.document import Drawing

from outputs.drawing.block import bounds, flattened, ink_box
from outputs.drawing.ink import Arc, Box, Dim, Fill, Line, Pen, Point, Text
from outputs.drawing.letters import clean
from outputs.drawing.sheet import Sheet
from outputs.dxf_document import new_document, save

STYLE: Final = "SHEET"
COLOURS: Final = {Pen.HIDDEN: 8, Pen.CENTRE: 1, Pen.PHANTOM: 6, Pen.BEND: 5, Pen.DIMENSION: 3, Pen.WELD: 30, Pen.TEXT: 2}
_ANCHORS: Final = {"left": 0, "centre": 1, "right": 2}


def factor_of(sheet: Sheet) -> float:
    """Millimetres of model space for one of paper."""
    return 1.0 / sheet.scale.ratio


def write_dxf(sheet: Sheet, path: Path) -> None:
    """Write one sheet. Raises ExportError where the file cannot be written."""
    document = new_document(())
    factor = factor_of(sheet)
    _set_up(document, sheet, factor)
    space = document.modelspace()
    for ink in sheet.inks:
        if isinstance(ink, Dim):
            _dimension(document, space, ink, factor)
        else:
            _add(space, ink, factor)
    paper = (0.0, 0.0, sheet.format.width_mm, sheet.format.height_mm)
    _layout(document, sheet, factor)
    save(document, path, _scaled_box(paper, factor))


def drawn_extent(sheet: Sheet) -> Box:
    """Rectangle that lines, arcs and fills take in model space."""
    box = bounds(ink_box(i) for i in flattened(sheet.inks) if not isinstance(i, Text))
    return _scaled_box(box, factor_of(sheet))


def _scaled_box(box: Box, factor: float) -> Box:
    return (box[0] * factor, box[1] * factor, box[2] * factor, box[3] * factor)


def _set_up(document: Drawing, sheet: Sheet, factor: float) -> None:
    """Layers with width and line type, letters, and dashes as long as on paper."""
    document.header["$LTSCALE"] = factor
    document.header["$PSLTSCALE"] = 0
    document.header["$LUNITS"] = 2
    document.styles.add(STYLE, font="arial.ttf")
    for pen in Pen:
        width = sheet.format.pen_width(pen)
        if pen.dashes:
            lengths = [d * width * (1.0 if k % 2 == 0 else -1.0) for k, d in enumerate(pen.dashes)]
            document.linetypes.add(pen.layer, [sum(abs(v) for v in lengths), *lengths], description=pen.layer.lower())
        layer = document.layers.add(pen.layer, color=COLOURS.get(pen, 7), lineweight=round(width * 100.0))
        if pen.dashes:
            layer.dxf.linetype = pen.layer


def _put(p: Point, factor: float) -> Point:
    return (p[0] * factor, p[1] * factor)


def _add(space: Any, ink: Line | Arc | Fill | Text, factor: float) -> None:
    if isinstance(ink, Text):
        _add_text(space, ink, factor)
        return
    at = {"layer": ink.pen.layer}
    if isinstance(ink, Line):
        points = [_put(p, factor) for p in ink.points]
        if len(points) == 2:
            space.add_line(*points, dxfattribs=at)
        else:
            closed = len(points) > 3 and points[0] == points[-1]
            space.add_lwpolyline(points[:-1] if closed else points, close=closed, dxfattribs=at)
    elif isinstance(ink, Fill):
        corners = [_put(p, factor) for p in ink.points]
        space.add_solid([*corners[:2], corners[3], corners[2]] if len(corners) == 4 else corners, dxfattribs=at)
    elif ink.sweep_deg >= 360.0 - 1e-9:
        space.add_circle(_put(ink.centre, factor), ink.radius * factor, dxfattribs=at)
    else:
        end = ink.start_deg + ink.sweep_deg
        space.add_arc(_put(ink.centre, factor), ink.radius * factor, ink.start_deg, end, dxfattribs=at)


def _add_text(space: Any, ink: Text, factor: float) -> None:
    at = _put(ink.at, factor)
    attributes = {"layer": Pen.TEXT.layer, "style": STYLE, "height": ink.height_mm * factor, "rotation": ink.angle_deg}
    text = space.add_text(clean(ink.text), dxfattribs=attributes)
    text.dxf.insert = at
    if ink.anchor != "left":
        text.dxf.halign = _ANCHORS[ink.anchor]
        text.dxf.align_point = at


def _dimension(document: Drawing, space: Any, dim: Dim, factor: float) -> None:
    """A DIMENSION record whose picture is the very one of the sheet."""
    block = document.blocks.new_anonymous_block(type_char="D")
    for ink in dim.drawn:
        _add(block, ink, factor)
    space.new_entity(
        "DIMENSION",
        {
            "layer": Pen.DIMENSION.layer,
            "dimstyle": "Standard",
            "dimtype": 32,
            "geometry": block.name,
            "defpoint": (*_put(dim.base, factor), 0.0),
            "defpoint2": (*_put(dim.start, factor), 0.0),
            "defpoint3": (*_put(dim.end, factor), 0.0),
            "angle": dim.angle_deg,
            "text": dim.text,
            "actual_measurement": abs(dim.value_mm),
        },
    )


def _layout(document: Drawing, sheet: Sheet, factor: float) -> None:
    """The layout that plots the sheet at its scale."""
    width, height = sheet.format.width_mm, sheet.format.height_mm
    layout = document.layouts.get("Layout1")
    document.layouts.rename("Layout1", "Sheet")
    layout.page_setup(size=(width, height), margins=(0, 0, 0, 0), units="mm")
    middle = (width / 2.0, height / 2.0)
    layout.add_viewport(
        center=middle, size=(width, height), view_center_point=_put(middle, factor), view_height=height * factor, status=2
    )
