"""The parts that get a sheet of their own: equal ones once, with how many are wanted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from layout.design import Block, FoldedPlate, Plate
from layout.design.flat import profile_of
from layout.design.profile import Hole
from layout.study.study import Study
from shapes.assembly import shape_key

Made = Plate | FoldedPlate | Block


@dataclass(frozen=True)
class Distinct:
    """One thing to make. numbers: every part number it stands for, one for each piece where the numbers differ."""

    part: Made
    numbers: tuple[str, ...]
    names: tuple[str, ...]
    quantity: int

    @property
    def name(self) -> str:
        """Its name; where it stands for several pieces, their names without counting numbers, each once."""
        return common_name(self.names)


def common_name(names: Sequence[str]) -> str:
    """One name for equal parts: "gusset" for "gusset 1" and "gusset 2", "left wall; right wall" for these two."""
    if len(names) == 1:
        return names[0]
    return "; ".join(dict.fromkeys(n.rstrip("0123456789 ") or n for n in names))


def number_ranges(numbers: Sequence[str]) -> str:
    """Part numbers in short: "B-G1 to B-G4, B-G7". Three and more that count on are drawn together."""
    runs: list[list[str]] = []
    for number in numbers:
        if runs and _next(runs[-1][-1]) == number:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(f"{r[0]} to {r[-1]}" if len(r) > 2 else ", ".join(r) for r in runs)


def _next(number: str) -> str:
    """The part number after one that ends in a count."""
    stem = number.rstrip("0123456789")
    return f"{stem}{int(number[len(stem) :]) + 1}" if stem != number else ""


def made_parts(study: Study) -> tuple[Made, ...]:
    """Everything the workshop makes: plates and sheets of box and brackets, liner sheets."""
    found: list[Made] = [*study.box.plates]
    for bracket in study.brackets:
        found += [bracket.angle, *bracket.gussets]
    return (*found, *study.box.blocks, *study.loose)


def own_name(hole: Hole, number: str) -> str:
    """A hole's name without its part number."""
    return hole.name.removeprefix(f"{number}-") or hole.name


def holes_of(part: Made) -> tuple[Hole, ...]:
    """Holes in the order of the flats."""
    if isinstance(part, Block):
        return ()
    if isinstance(part, Plate):
        return part.profile.holes
    return tuple(h for i in range(len(part.flanges) + 1) for h in profile_of(part, i).holes)


def distinct(study: Study) -> tuple[Distinct, ...]:
    """Equal parts once: the same form, metal and group, and the same thing through each hole under the same own name."""
    groups: dict[object, list[Made]] = {}
    for part in made_parts(study):
        holes = tuple((own_name(h, part.number), h.fastener) for h in holes_of(part))
        groups.setdefault((shape_key(part), holes), []).append(part)
    return tuple(
        Distinct(g[0], tuple(dict.fromkeys(p.number for p in g)), tuple(p.name for p in g), len(g)) for g in groups.values()
    )
