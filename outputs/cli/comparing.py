"""The command `compare`: two packages side by side, in words and as data."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from outputs.compare import GROUPS, Change, compare, load_package

HEADINGS = {"checks": "checks (worst of each over all cases)", "holes": "holes (in the axes of the flat pattern)"}


@dataclass(frozen=True)
class Comparison:
    """What differs between two folders."""

    before: Path
    after: Path
    changes: tuple[Change, ...]

    @property
    def same(self) -> bool:
        """True where nothing differs."""
        return not self.changes

    @property
    def counts(self) -> dict[str, int]:
        """Number of changes by group."""
        return {g: sum(c.group == g for c in self.changes) for g in GROUPS}

    def lines(self) -> list[str]:
        """In words, group after group; the first line says it all."""
        if self.same:
            return [f"{self.after} holds the same arrangement, parts, holes, masses, loads and checks as {self.before}"]
        told = ", ".join(f"{g} {n}" for g, n in self.counts.items() if n)
        out = [f"{len(self.changes)} change(s) from {self.before} to {self.after}: {told}"]
        for group in GROUPS:
            found = [c for c in self.changes if c.group == group]
            if found:
                out += ["", HEADINGS.get(group, group), *(f"  {c}" for c in found)]
        return out

    def data(self) -> dict[str, Any]:
        """As plain data."""
        return {
            "before": str(self.before),
            "after": str(self.after),
            "same": self.same,
            "counts": self.counts,
            "changes": [asdict(c) for c in self.changes],
            "problems": [],
        }


def compared(before: Path, after: Path) -> Comparison:
    """Read both folders and compare. Raises JobError where one is no package."""
    return Comparison(before, after, tuple(compare(load_package(before), load_package(after))))
