"""Lay a sheet out: the smallest format and the largest scale at which views, tables and notes stand clear of each other."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache

from layout.errors import ExportError
from outputs.drawing.block import Block
from outputs.drawing.formats import FORMATS, OTHER_SCALES, SCALES, Format, Scale
from outputs.drawing.frame import TITLE_HEIGHT, TITLE_WIDTH
from outputs.drawing.ink import Box, Ink, Point, overlap
from outputs.drawing.tables import Table, cut_to

CLEAR = 6.0
"""Free room between views, tables and frame."""

Panel = Table | Block


@dataclass(frozen=True)
class Draft:
    """A sheet before it is laid out.

    name: stem of its file; what: for messages. views: for a scale, one or more ways to draw the views, each as one block.
    panels: tables and notes, in order. least_ratio: the smallest scale that is still good to read; most_ratio: the largest
    that makes sense. Title block fields as in `TitleData`. rough_mm: true width and height that the views take at the least,
    so that scales that cannot do are passed over without drawing.
    """

    name: str
    title: str
    supplement: str
    part_number: str
    document_type: str
    views: Callable[[Scale], Sequence[Block]]
    panels: tuple[Panel, ...]
    least_ratio: float
    most_ratio: float = 1.0
    material: str = ""
    finish: str = ""
    mass: str = ""
    rough_mm: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True)
class LaidOut:
    """A draft with its format, its scale and the ink of views and panels. zones: the rectangles of views and panels."""

    draft: Draft
    format: Format
    scale: Scale
    inks: tuple[Ink, ...]
    zones: tuple[Box, ...]


def lay_out(draft: Draft, formats: Sequence[Format] = FORMATS) -> LaidOut:
    """Place a draft. Raises ExportError, naming it, where no sheet up to A0 holds it at any scale."""
    drawn = cache(draft.views)
    preferred = [s for s in SCALES if s.ratio <= draft.most_ratio + 1e-9]
    good = [s for s in preferred if s.ratio >= draft.least_ratio - 1e-9]
    for scales in (good, preferred, [s for s in OTHER_SCALES if s.ratio <= draft.most_ratio]):
        for sheet in formats:
            for scale in scales:
                found = _placed(draft, drawn, sheet, scale)
                if found is not None:
                    return found
    biggest, smallest = formats[-1].name, min(SCALES[-1].ratio, OTHER_SCALES[-1].ratio)
    msg = (
        f"drawing {draft.name}: neither its views at a scale down to 1:{1 / smallest:.0f} nor its tables find room on a sheet "
        f"up to {biggest}. Split the part, or shorten the texts that stand in its tables."
    )
    raise ExportError(msg)


def _placed(draft: Draft, drawn: Callable[[Scale], Sequence[Block]], sheet: Format, scale: Scale) -> LaidOut | None:
    x0, y0, x1, y1 = sheet.frame
    if draft.rough_mm[0] * scale.ratio > x1 - x0 or draft.rough_mm[1] * scale.ratio > y1 - y0:
        return None
    for views in drawn(scale):
        for way in (_beside, _below, _tucked):
            found = way(views, draft.panels, sheet)
            if found is not None:
                inks, zones = found
                return LaidOut(draft, sheet, scale, inks, zones)
    return None


Placed = tuple[tuple[Ink, ...], tuple[Box, ...]]


def _beside(views: Block, panels: Sequence[Panel], sheet: Format) -> Placed | None:
    """Panels in columns at the right, the first above the title block; views in what is left."""
    x0, y0, x1, y1 = sheet.frame
    columns = [(y0 + TITLE_HEIGHT + CLEAR, y1 - CLEAR)] + [(y0 + CLEAR, y1 - CLEAR)] * 4
    flow = _flow(panels, columns)
    if flow is None:
        return None
    placed: list[Block] = []
    right = x1
    for k, column in enumerate(flow):
        wide = max([b.width for b, _ in column] + ([TITLE_WIDTH] if k == 0 else []), default=0.0)
        left = right - wide - (0.0 if k == 0 else CLEAR)
        for block, top in column:
            at = (left + (CLEAR if k == 0 and block.width + CLEAR < wide else 0.0) - block.box[0], top - block.box[3])
            placed.append(block.shifted(at))
        right = left
    return _with_views(views, (x0, y0, right, y1), placed)


def _below(views: Block, panels: Sequence[Panel], sheet: Format) -> Placed | None:
    """Panels in a strip left of the title block and above it; views above the strip."""
    x0, y0, x1, y1 = sheet.frame
    room = x1 - TITLE_WIDTH - CLEAR - x0 - CLEAR
    height = TITLE_HEIGHT
    while height < 0.65 * (y1 - y0):
        columns = [(y0 + CLEAR, y0 + height)] * 6
        above = [(y0 + TITLE_HEIGHT + CLEAR, y0 + height)] if height > TITLE_HEIGHT + 30.0 else []
        flow = _flow(panels, columns + above)
        if flow is not None and sum(_wide(c) for c in flow[:6] if c) <= room:
            placed: list[Block] = []
            left = x0 + CLEAR
            for k, column in enumerate(flow):
                left = x1 - TITLE_WIDTH if k == 6 else left
                for block, top in column:
                    at = (left - block.box[0], top - block.box[3])
                    placed.append(block.shifted(at))
                left += _wide(column)
            return _with_views(views, (x0, y0 + height + CLEAR, x1, y1), placed)
        height += 8.0
    return None


def _wide(column: Sequence[tuple[Block, float]]) -> float:
    return max((b.width for b, _ in column), default=0.0) + CLEAR


def _with_views(views: Block, room: Box, panels: Sequence[Block]) -> Placed | None:
    """Views in the middle of a room, with panels that are placed already."""
    x0, y0, x1, y1 = room
    if views.width + 2.0 * CLEAR > x1 - x0 or views.height + 2.0 * CLEAR > y1 - y0:
        return None
    at: Point = ((x0 + x1 - views.width) / 2.0 - views.box[0], (y0 + y1 - views.height) / 2.0 - views.box[1])
    return _drawn([views.shifted(at), *panels])


def _drawn(blocks: Sequence[Block]) -> Placed:
    return tuple(i for b in blocks for i in b.inks), tuple(t for b in blocks for t in b.taken)


def _tucked(views: Block, panels: Sequence[Panel], sheet: Format) -> Placed | None:
    """Views in the upper left corner; panels in columns from the right, each as high as title block and views leave free."""
    x0, y0, x1, y1 = sheet.frame
    if views.width + 2.0 * CLEAR > x1 - x0 or views.height + 2.0 * CLEAR > y1 - y0:
        return None
    at: Point = (x0 + CLEAR - views.box[0], y1 - CLEAR - views.box[3])
    placed = views.shifted(at)
    if any(overlap(b, (x1 - TITLE_WIDTH, y0, x1, y0 + TITLE_HEIGHT), CLEAR) for b in placed.taken):
        return None
    wide = max(p.width_mm if isinstance(p, Table) else p.width for p in panels)
    columns = _free_columns(placed, sheet, wide)
    tried = (columns[count - 1 :: -1] for count in range(1, len(columns) + 1))
    found = next(((c, f) for c in tried if (f := _flow(panels, [(low, high) for _, low, high in c])) is not None), None)
    if found is None:
        return None
    lefts, flow = [left for left, _, _ in found[0]], found[1]
    blocks = [placed]
    for left, column in zip(lefts, flow, strict=False):
        blocks += [block.shifted((left - block.box[0], top - block.box[3])) for block, top in column]
    return _drawn(blocks)


def _free_columns(views: Block, sheet: Format, wide: float) -> list[tuple[float, float, float]]:
    """Left, lower and upper end of columns from the right that title block and views leave free."""
    x0, y0, x1, y1 = sheet.frame
    out = []
    for k in range(4):
        left = x1 - wide - CLEAR - k * (wide + 2.0 * CLEAR)
        low = y0 + CLEAR + (TITLE_HEIGHT if left + wide + CLEAR > x1 - TITLE_WIDTH else 0.0)
        over = [b[1] for b in views.taken if b[0] - CLEAR < left + wide and b[2] + CLEAR > left]
        high = min([y1, *over]) - CLEAR
        if left > x0 and high - low > 30.0:
            out.append((left, low, high))
    return out


def _flow(panels: Sequence[Panel], columns: Sequence[tuple[float, float]]) -> list[list[tuple[Block, float]]] | None:
    """Panels from top to bottom in columns (lower and upper end each), with the height of each one's upper edge."""
    out: list[list[tuple[Block, float]]] = [[]]
    waiting: list[Panel] = list(panels)
    top = columns[0][1]
    while waiting:
        k = len(out) - 1
        block, rest = _taken(waiting[0], top - columns[k][0])
        if block is not None:
            out[k].append((block, top))
            top -= block.height + CLEAR
            waiting[:1] = [rest] if rest is not None else []
        if block is None or rest is not None:
            if k + 1 == len(columns):
                return None
            out.append([])
            top = columns[k + 1][1]
    return out


def _taken(panel: Panel, height: float) -> tuple[Block | None, Panel | None]:
    if isinstance(panel, Table):
        return cut_to(panel, height)
    return (panel, None) if panel.height <= height else (None, panel)
