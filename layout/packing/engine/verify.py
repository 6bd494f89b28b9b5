"""The engine's own judge: plain loops over pairs, sharing nothing with the search but the types."""

from __future__ import annotations

from collections.abc import Sequence

from layout.packing.engine.model import Box, Item, Packing, Placement, Region


def verify(region: Region, items: Sequence[Item], packing: Packing) -> list[str]:
    """Every way in which the packing breaks the question, in words; an empty list when it holds."""
    faults = _counts(items, packing)
    for n, p in enumerate(packing.placements):
        if not (0 <= p.item < len(items) and 0 <= p.option < len(items[p.item].options)):
            return [*faults, f"placement {n} names an unknown item or option: {p}"]
    for n, p in enumerate(packing.placements):
        for what, box in (("body", body(items, p)), ("zone", zone(items, p))):
            faults += [f"{what} of placement {n} {why}" for why in _outside(region, box)]
    for n, p in enumerate(packing.placements):
        for m, q in enumerate(packing.placements):
            if m > n and overlap(body(items, p), body(items, q)):
                faults.append(f"bodies of placements {n} and {m} overlap")
            if m != n and overlap(zone(items, p), body(items, q)):
                faults.append(f"zone of placement {n} holds the body of placement {m}")
    return faults


def body(items: Sequence[Item], p: Placement) -> Box:
    """The space the body takes."""
    x, y, z = p.at
    a, b, c = items[p.item].options[p.option].size
    return (x, y, z, x + a, y + b, z + c)


def zone(items: Sequence[Item], p: Placement) -> Box | None:
    """The space that must stay clear, or None."""
    clear = items[p.item].options[p.option].zone
    if clear is None:
        return None
    x, y, z = p.at
    return (x + clear[0], y + clear[1], z + clear[2], x + clear[3], y + clear[4], z + clear[5])


def overlap(a: Box | None, b: Box | None) -> bool:
    """Whether two half-open boxes share a point."""
    if a is None or b is None:
        return False
    return all(a[k] < b[k + 3] and b[k] < a[k + 3] for k in range(3))


def _outside(region: Region, box: Box | None) -> list[str]:
    if box is None:
        return []
    faults = []
    if any(box[k] < 0 or box[k + 3] > region.size[k] for k in range(3)):
        faults.append(f"{box} leaves the region {region.size}")
    faults += [f"{box} meets the blocked box {wall}" for wall in region.blocked if overlap(box, wall)]
    return faults


def _counts(items: Sequence[Item], packing: Packing) -> list[str]:
    faults = []
    if packing.feasible:
        for n, item in enumerate(items):
            placed = sum(1 for p in packing.placements if p.item == n)
            if not item.least <= placed <= item.most:
                faults.append(f"{placed} of {item.name!r} placed, asked for {item.least} to {item.most}")
    value = sum(items[p.item].value for p in packing.placements if 0 <= p.item < len(items))
    if value != packing.value:
        faults.append(f"value stated as {packing.value}, the placements are worth {value}")
    if packing.feasible and packing.bound < packing.value:
        faults.append(f"bound {packing.bound} lies below the value {packing.value}")
    if packing.feasible and packing.proven and packing.cost is None and packing.bound != packing.value:
        faults.append(f"called proven with value {packing.value} and bound {packing.bound}")
    return faults
