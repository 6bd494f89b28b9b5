"""In which order the modules come out through the open lid: straight up, one at a time, nothing else moved."""

from __future__ import annotations

import numpy as np

from layout.arrangement import Arrangement, PlacedModule
from layout.box.shell import Shell
from layout.frames import Extent, vec3
from layout.space.judge import TOLERANCE_MM
from layout.stepped import parts_of


def lifted(module: PlacedModule, top_mm: float) -> Extent:
    """The room a module sweeps when it is lifted out, pack frame; drawn in at the sides by the judge's tolerance."""
    body = module.extent
    (x0, y0, z0), (x1, y1, z1) = body.min_mm, body.max_mm
    t = TOLERANCE_MM
    return Extent((x0 + t, y0 + t, z0 + t), (x1 - t, y1 - t, max(z1, top_mm)))


def meets(one: Extent, other: Extent) -> bool:
    """Whether two boxes of one frame overlap."""
    return bool(np.all(np.subtract(one.max_mm, other.min_mm) > 0.0) and np.all(np.subtract(other.max_mm, one.min_mm) > 0.0))


def in_the_way(arrangement: Arrangement, shell: Shell) -> dict[str, list[str]]:
    """For each module the others that lie above it, so that it cannot be lifted while they are in."""
    top = arrangement.inside.max_mm[2] + shell.flange_above_mm
    return {
        m.id: [o.id for o in arrangement.modules if o is not m and meets(lifted(m, top), o.extent)] for m in arrangement.modules
    }


def removal_order(arrangement: Arrangement, shell: Shell) -> list[str]:
    """Modules in the order in which they can be lifted out through the lid; those that cannot come last, as "blocked: id".

    The lid opens over the whole of the room within the walls; a module that stands out over the room's edge is blocked.
    Highest first among those that are free, so that a layer is emptied before the next one.
    """
    waiting = {m.id: m for m in arrangement.modules}
    over = in_the_way(arrangement, shell)
    room = shell.room(arrangement.inside)
    stuck = {i for i, m in waiting.items() if not _under_the_lid(m, room)}
    order: list[str] = []
    while True:
        free = [i for i in waiting if i not in stuck and not any(o in waiting for o in over[i])]
        if not free:
            return [*order, *(f"blocked: {i}" for i in waiting)]
        nearest = max(free, key=lambda i: (waiting[i].extent.max_mm[2], i))
        order.append(nearest)
        del waiting[nearest]


def _under_the_lid(module: PlacedModule, room: Extent) -> bool:
    body = module.extent
    for part in parts_of(room):
        low = vec3(np.subtract(body.min_mm, part.min_mm))
        high = vec3(np.subtract(part.max_mm, body.max_mm))
        if min(low[0], low[1], high[0], high[1]) >= -TOLERANCE_MM:
            return True
    return False
