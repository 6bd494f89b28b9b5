"""How many modules any box in the bay can hold at most: the engine's bound on the outer space."""

from __future__ import annotations

from math import floor

from layout.packing.bodies import Body
from layout.packing.clock import Clock, solvers_in_time
from layout.packing.count import volume_most
from layout.packing.engine import Box, Item, Option, Region
from layout.packing.engine.dual_feasible import dual_feasible_bound
from layout.packing.places import SLACK, blocked_by_step, down_to, lengths_of, shapes_of, unit_for, up_to, zone_axis
from layout.packing.sites import Site
from layout.stepped import Stepped


def most_at_all(outer: list[Site], bodies: tuple[Body, ...], reached: int, most: int, seed: int, clock: Clock) -> int:
    """Upper bound on the modules that any box in the bay can hold, `reached` or more, at most `most`.

    outer: sites between them holding every inside that would fit. In each the bodies are packed with what the rounding to
    whole units, differing gaps, clear zones beyond the gap and equipment's walls ask left out where it cannot be kept
    exactly, so that nothing that fits is lost.
    """
    quick = [min(volume_most(s, bodies), most) for s in outer]
    quick = [min(v, quick_most(s, bodies)) if v > reached else v for v, s in zip(quick, outer, strict=True)]
    highest = reached
    for by_weight, k in sorted(((v, k) for k, v in enumerate(quick)), reverse=True):
        if by_weight <= highest:
            break
        if not solvers_in_time(clock):
            return by_weight
        left = clock.left()
        bound = _bound_in(outer[k], bodies, highest, most, seed, min(left, max(left / 4.0, 1.0)), clock)
        highest = max(highest, min(bound, by_weight))
        if highest >= most:
            break
    return highest


def quick_most(site: Site, bodies: tuple[Body, ...]) -> int:
    """Modules that a site holds at most, by weights alone (see engine/dual_feasible.py)."""
    region, items = relaxed(site, bodies, unit_for(lengths_of(bodies)))
    if any(v < 1 for v in region.size):
        return 0
    return dual_feasible_bound(items, region.size) - sum(b.least for b in bodies if not b.is_module)


def _bound_in(site: Site, bodies: tuple[Body, ...], reached: int, most: int, seed: int, seconds: float, clock: Clock) -> int:
    unit = unit_for(lengths_of(bodies))
    region, items = relaxed(site, bodies, unit)
    if any(v < 1 for v in region.size):
        return 0
    from layout.packing.engine.most import pack_most  # slow to import

    equipment = sum(b.least for b in bodies if not b.is_module)
    packing = pack_most(region, items, seconds=seconds, seed=seed, stop=lambda: clock.left() <= 0.0)
    if not packing.feasible and packing.proven:
        return reached
    return min(packing.bound - equipment, most)


def relaxed(site: Site, bodies: tuple[Body, ...], unit: float) -> tuple[Region, list[Item]]:
    """The room and the bodies for a bound: the bodies' lengths rounded down to whole units, each with its own gap.

    The room may then be rounded down as well: bodies of whole lengths can be pushed to whole positions (away from a step,
    whose distances from the far sides are rounded down likewise).

    The gap lies on the high side of a body, in a room as much longer as the greatest gap; between two bodies the first
    one's own gap is kept, which is never more than what is asked. A clear zone is shortened by the gap (its far end may
    leave the room by as much) and drawn in across by it.
    """
    widest = max(b.gap_mm for b in bodies)
    size = [down_to(v + widest, unit) for v in site.room.size_mm]
    items = []
    for body in bodies:
        options = tuple(_option(body, j, widest, unit) for j in shapes_of(body))
        unique = tuple({(o.size, o.zone): o for o in options}.values())
        items.append(Item(body.name, unique, body.most, body.least))
    blocked: tuple[Box, ...] = ()
    if isinstance(site.room, Stepped) and min(size) > 0:
        low, high = blocked_by_step(site.room, size, widest, unit)
        if all(b > a for a, b in zip(low, high, strict=True)):
            blocked = ((low[0], low[1], low[2], high[0], high[1], high[2]),)
    return Region((size[0], size[1], size[2]), blocked), items


def _option(body: Body, number: int, widest: float, unit: float) -> Option:
    stand = body.stands[number]
    size = tuple(max(floor((v + body.gap_mm) / unit + SLACK), 1) for v in stand.size_mm)
    axis, end = zone_axis(stand)
    depth = down_to(stand.zone_mm - widest, unit) if end else 0
    if depth <= 0:
        return Option((size[0], size[1], size[2]))
    low = [up_to(widest, unit)] * 3
    high = [down_to(v, unit) for v in stand.size_mm]
    low[axis], high[axis] = (size[axis], size[axis] + depth) if end > 0 else (-depth, 0)
    if any(b <= a for a, b in zip(low, high, strict=True)):
        return Option((size[0], size[1], size[2]))
    return Option((size[0], size[1], size[2]), (low[0], low[1], low[2], high[0], high[1], high[2]))
