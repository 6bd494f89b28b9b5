"""Strings that run through several boxes: one cable from each box to the next, and short interconnects in the boxes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from itertools import accumulate, pairwise, permutations, product

from layout.arrangement import Arrangement, Link, PlacedModule, Wiring
from layout.packing.series import link_lengths, shortest_path
from layout.several.jobs import prefix_of

Modules = tuple[PlacedModule, ...]


def named(parts: tuple[Arrangement, ...]) -> tuple[Modules, ...]:
    """The modules of each box with the box's prefix before their names."""
    return tuple(
        tuple(replace(m, id=f"{prefix_of(k)}-{m.id}") for m in part.modules) for k, part in enumerate(parts, start=1)
    )


def wire_through(boxes: tuple[Modules, ...], series: int, parallel: int) -> Wiring | None:
    """Series strings through all boxes; None where there are too few modules for series times parallel.

    The boxes follow one another on one path, in each the shortest one through its own modules, this way or the other way
    round: of all orders the one with the least length in all. Strings are stretches of that path, as in a single box. Lengths
    are straight, terminal to terminal: a cable between boxes is longer by its way through the walls.
    """
    modules = tuple(m for box in boxes for m in box)
    if len(modules) < series * parallel:
        return None
    lengths = link_lengths(modules)
    path = min(_paths(boxes), key=lambda p: float(lengths[p[:-1], p[1:]].sum()))[: series * parallel]
    strings = [path[k * series : (k + 1) * series] for k in range(parallel)]
    links = tuple(Link(modules[a].id, modules[b].id, float(lengths[a, b])) for s in strings for a, b in pairwise(s))
    return Wiring(tuple(tuple(modules[k].id for k in s) for s in strings), links)


def _paths(boxes: tuple[Modules, ...]) -> Iterator[list[int]]:
    """Paths through all modules, box after box in every order, each box's own path in both directions."""
    starts = [0, *accumulate(len(box) for box in boxes)]
    own = [[starts[k] + i for i in _own_path(box)] for k, box in enumerate(boxes)]
    for order in permutations(range(len(boxes))):
        for turned in product((False, True), repeat=len(boxes)):
            yield [i for k, back in zip(order, turned, strict=True) for i in (own[k][::-1] if back else own[k])]


@lru_cache(maxsize=64)
def _own_path(box: Modules) -> tuple[int, ...]:
    return tuple(shortest_path(link_lengths(box)))


def own_wiring(number: int, wiring: Wiring | None) -> Wiring | None:
    """What of the strings lies in one box, under its modules' own names: runs of them, and the links within these."""
    if wiring is None:
        return None
    prefix = f"{prefix_of(number)}-"
    runs = tuple(run for string in wiring.strings for run in _runs(string, prefix))
    links = tuple(
        Link(link.start.removeprefix(prefix), link.end.removeprefix(prefix), link.length_mm)
        for link in wiring.links
        if link.start.startswith(prefix) and link.end.startswith(prefix)
    )
    return Wiring(runs, links)


def _runs(string: tuple[str, ...], prefix: str) -> list[tuple[str, ...]]:
    """The stretches of a string whose modules are all of one box."""
    runs: list[list[str]] = []
    going_on = False
    for name in string:
        own = name.startswith(prefix)
        if own and going_on:
            runs[-1].append(name.removeprefix(prefix))
        elif own:
            runs.append([name.removeprefix(prefix)])
        going_on = own
    return [tuple(run) for run in runs]
