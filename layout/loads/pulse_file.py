"""A crash pulse from a CSV file: two columns whose heading names the unit. No unit is guessed."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Final

from layout.loads.body import G0_M_S2
from layout.loads.trouble import PulseError

TIMES: Final = {"time_s": 1.0, "time_ms": 1e-3}
ACCELERATIONS: Final = {"acceleration_g": 1.0, "acceleration_m_s2": 1.0 / G0_M_S2}
MOST_ROWS: Final = 2_000_000


def read_pulse_file(path: Path) -> list[tuple[float, float]]:
    """Points (time s, acceleration g) of a CSV file with the columns time_s or time_ms, acceleration_g or acceleration_m_s2.

    Columns are parted by comma, semicolon or tab; numbers have a decimal point. Other columns are left aside; lines
    that are empty or start with # are skipped.

    Raises:
        PulseError: the file cannot be read, a column is missing or there twice, or a value is no number (line named).
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as trouble:
        raise PulseError(f"pulse file {path.name}", "it must be a readable text file", str(trouble), "Check it") from trouble
    lines = [(n, line) for n, line in enumerate(text.splitlines(), start=1) if line.strip() and not line.startswith("#")]
    if not lines:
        raise PulseError(f"pulse file {path.name}", "it must hold points", "the file is empty", "Save the record again")
    if len(lines) > MOST_ROWS:
        raise PulseError(f"pulse file {path.name}", f"at most {MOST_ROWS} rows", f"{len(lines)}", "Cut the record")
    separator = next((s for s in (";", "\t") if s in lines[0][1]), ",")
    head = [cell.strip().lower() for cell in next(csv.reader([lines[0][1]], delimiter=separator))]
    time, time_factor = _column(path, head, TIMES)
    acceleration, g_factor = _column(path, head, ACCELERATIONS)
    points = []
    for number, line in lines[1:]:
        cells = next(csv.reader([line], delimiter=separator))
        points.append((_number(path, number, cells, time) * time_factor, _number(path, number, cells, acceleration) * g_factor))
    return points


def _column(path: Path, head: list[str], known: dict[str, float]) -> tuple[int, float]:
    found = [(i, known[name]) for i, name in enumerate(head) if name in known]
    if len(found) != 1:
        rule = f"its first line must name exactly one column {' or '.join(known)}"
        raise PulseError(f"pulse file {path.name}", rule, f"{', '.join(head)}", "Name the column with its unit")
    return found[0]


def _number(path: Path, line: int, cells: list[str], column: int) -> float:
    text = cells[column].strip() if column < len(cells) else ""
    try:
        return float(text)
    except ValueError:
        remedy = "Write numbers with a decimal point; leave no gap"
        raise PulseError(f"pulse file {path.name}", "every value must be a number", f"line {line}: {text!r}", remedy) from None
