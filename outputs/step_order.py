"""Put a STEP file's records into an order that depends on content alone, so that the same design gives the same bytes.

The kernel numbers the places in an assembly with a counter that runs on from file to file, and writes the colour records, last
in the file, in the order of memory addresses. Both are put right here on the text; nothing else is touched.
"""

from __future__ import annotations

import re
from typing import Final

_PLACE: Final = " = NEXT_ASSEMBLY_USAGE_OCCURRENCE('"
_COLOURS: Final = " = MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION("
_END: Final = "ENDSEC;\nEND-ISO-10303-21;"
_WRAP: Final = "\n  "
_RECORD: Final = re.compile(r"#(\d+) = ((?:[^';]|'[^']*')*);")
_REFERENCE: Final = re.compile(r"#(\d+)")


def ordered(text: str) -> str:
    """The file's text with places numbered from 1 and colour records in the order of the solids they colour."""
    start, end = text.find(_COLOURS), text.rfind(_END)
    if start < 0:
        return _numbered(text)
    start = text.rfind("\n", 0, start) + 1
    records = _RECORD.findall(text[start:end].replace(_WRAP, ""))
    return _numbered(text[:start]) + _coloured({int(n): body for n, body in records}) + text[end:]


def _numbered(text: str) -> str:
    """Place records, each on a line of its own, numbered in the order in which they stand."""
    head, *rest = text.split(_PLACE)
    out = [head]
    for number, piece in enumerate(rest, start=1):
        end = piece.index(");\n")
        record = piece[:end].replace(_WRAP, "")
        out.append(f"{number}{record.lstrip('0123456789')}{piece[end:]}")
    return _PLACE.join(out)


def _coloured(records: dict[int, str]) -> str:
    """Colour records, each representation followed by what it leads to, numbered anew from the same first number."""
    references = {n: [int(r) for r in _REFERENCE.findall(body)] for n, body in records.items()}
    led_to = {r for refs in references.values() for r in refs}
    roots = (n for n in records if n not in led_to)
    order: dict[int, int] = {}
    first = min(records)
    for root in sorted(roots, key=lambda n: [r for r in references[n] if r not in records]):
        stack = [root]
        while stack:
            n = stack.pop()
            if n not in order:
                order[n] = first + len(order)
                stack += [r for r in reversed(references[n]) if r in records]

    def renamed(match: re.Match[str]) -> str:
        n = int(match[1])
        return f"#{order.get(n, n)}"

    return "".join(f"#{order[n]} = {_REFERENCE.sub(renamed, records[n])};\n" for n in order)
