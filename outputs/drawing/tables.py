"""Tables and notes as blocks; a table that is too high for its place continues in another, with its head again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

from outputs.drawing.block import Block
from outputs.drawing.ink import Ink, Line, Pen, Text, moved, rectangle
from outputs.drawing.letters import MIDDLE, SMALL, width, wrapped

PAD = 1.2
LINE = 3.9
"""From one line of small letters to the next."""
TITLE_HEIGHT = 6.0


@dataclass(frozen=True, slots=True)
class Picture:
    """A cell that is drawn: ink around its own middle, and the room it takes."""

    inks: tuple[Ink, ...]
    width_mm: float
    height_mm: float


Cell = str | Picture


@dataclass(frozen=True)
class Table:
    """Head and rows. right: columns that stand at the right of their cell. width_mm: the most it may take.

    Measuring letters takes time and a sheet is laid out in many trials: widths, heights and what was cut once are kept.
    """

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    right: frozenset[int] = field(default_factory=frozenset)
    width_mm: float = 180.0

    @cached_property
    def columns_mm(self) -> list[float]:
        """Widths: what the cells need on one line; where that is too much, the widest ones give way and are wrapped."""
        wanted = [max(_cell_width(row[i]) for row in (self.head, *self.rows)) + 2.0 * PAD for i in range(len(self.head))]
        while sum(wanted) > self.width_mm + 1e-9:
            widest = max(wanted)
            second = max((w for w in wanted if w < widest - 1e-9), default=widest / 2.0)
            many = sum(w >= widest - 1e-9 for w in wanted)
            cut = max(second, widest - (sum(wanted) - self.width_mm) / many)
            wanted = [cut if w >= widest - 1e-9 else w for w in wanted]
        least = width(self.title, MIDDLE) + 2.0 * PAD
        if sum(wanted) < least:
            wanted[-1] += least - sum(wanted)
        return wanted

    @cached_property
    def lines(self) -> list[list[list[str] | Picture]]:
        """The cells of head and rows, broken into the lines that their columns have room for."""
        return [_row_lines(row, self.columns_mm) for row in (self.head, *self.rows)]

    @cached_property
    def heights_mm(self) -> list[float]:
        """Heights of head and rows."""
        return [_row_height(r) for r in self.lines]

    @cached_property
    def _cuts(self) -> dict[int, tuple[Block, Table | None]]:
        return {}

    def first(self, count: int) -> tuple[Block, Table | None]:
        """So many rows, drawn, and a table of the others."""
        if count not in self._cuts:
            block = _drawn(self, self.columns_mm, self.lines[: count + 1], self.heights_mm[: count + 1])
            title = self.title if self.title.endswith("(continued)") else f"{self.title} (continued)"
            rest = Table(title, self.head, self.rows[count:], self.right, self.width_mm) if count < len(self.rows) else None
            self._cuts[count] = (block, rest)
        return self._cuts[count]


def _cell_width(cell: Cell) -> float:
    return cell.width_mm if isinstance(cell, Picture) else width(cell, SMALL)


def _row_lines(row: Sequence[Cell], columns: Sequence[float]) -> list[list[str] | Picture]:
    return [c if isinstance(c, Picture) else wrapped(c, w - 2.0 * PAD + 1e-6, SMALL) for c, w in zip(row, columns, strict=True)]


def _row_height(lines: Sequence[list[str] | Picture]) -> float:
    return max(c.height_mm + PAD if isinstance(c, Picture) else len(c) * LINE + 0.9 for c in lines)


def cut_to(table: Table, height_mm: float) -> tuple[Block | None, Table | None]:
    """As much of a table as a height has room for, with what is left over. None first where not even one row has room."""
    used, count = TITLE_HEIGHT + table.heights_mm[0], 0
    for h in table.heights_mm[1:]:
        if used + h > height_mm + 1e-9:
            break
        used += h
        count += 1
    if table.rows and count == 0:
        return None, table
    return table.first(count)


def _drawn(table: Table, columns: list[float], rows: list[list[list[str] | Picture]], heights: list[float]) -> Block:
    """The table with its lower left corner at the origin."""
    total, top = sum(columns), sum(heights)
    inks: list[Ink] = [Text((0.0, top + 1.6), table.title, MIDDLE)]
    y = top
    for row, height in zip(rows, heights, strict=True):
        x = 0.0
        for i, (cell, w) in enumerate(zip(row, columns, strict=True)):
            inks += _cell(cell, x, y, w, height, right=i in table.right)
            x += w
        y -= height
        if y > 1e-6:
            inks.append(Line(((0.0, y), (total, y)), Pen.THIN))
    x = 0.0
    for w in columns[:-1]:
        x += w
        inks.append(Line(((x, 0.0), (x, top)), Pen.THIN))
    inks.append(rectangle((0.0, 0.0, total, top), Pen.THIN))
    return Block(tuple(inks), (0.0, 0.0, total, top + TITLE_HEIGHT))


def _cell(cell: list[str] | Picture, x: float, y: float, w: float, height: float, *, right: bool) -> list[Ink]:
    if isinstance(cell, Picture):
        return [moved(ink, 1.0, (x + w / 2.0, y - height / 2.0)) for ink in cell.inks]
    out: list[Ink] = []
    for k, line in enumerate(cell):
        if line:
            foot = y - (k + 1) * LINE + 0.5
            out.append(Text((x + w - PAD, foot), line, SMALL, "right") if right else Text((x + PAD, foot), line, SMALL))
    return out


def notes(title: str, lines: Sequence[str], width_mm: float = 180.0) -> Block:
    """Numbered sentences below a title, its lower left corner at the origin."""
    indent = 6.0
    rows = [(k + 1, wrapped(text, width_mm - indent, SMALL)) for k, text in enumerate(lines)]
    height = sum(len(r) * LINE + 0.6 for _, r in rows)
    inks: list[Ink] = [Text((0.0, height + 1.6), title, MIDDLE)]
    y = height
    for number, row in rows:
        inks.append(Text((0.0, y - LINE + 0.5), f"{number}", SMALL))
        for line in row:
            y -= LINE
            inks.append(Text((indent, y + 0.5), line, SMALL))
        y -= 0.6
    used = max((width(line, SMALL) + indent for _, r in rows for line in r), default=0.0)
    return Block(tuple(inks), (0.0, 0.0, max(used, width(title, MIDDLE)), height + TITLE_HEIGHT))
