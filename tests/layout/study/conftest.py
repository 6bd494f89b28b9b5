"""The shared job's modules laid out by hand so that bars hold all of them."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from layout.arrangement import Arrangement, PlacedModule
from layout.box.carrier_room import carrier_mm
from layout.frames import Extent, Pose, module_axes
from layout.job import Job


@pytest.fixture(scope="session")
def laid_out() -> Callable[[Job], Arrangement]:
    """Gives the arrangement for a job with these modules."""
    return _laid_out


def _laid_out(job: Job) -> Arrangement:
    """Three modules on the floor, three above them, two across on top; the room for bars left under each."""
    inside, kind = Extent((-75.0, -238.0, 349.0), (361.0, 227.0, 796.0)), job.modules[0]
    step = 112.0 + carrier_mm(job, kind)
    base = inside.min_mm[2] + job.box.liner_mm + carrier_mm(job, kind) + 54.0
    places = [((163.0, -160.5 + 155.0 * column, base + layer * step), "-x") for layer in range(2) for column in range(3)]
    places += [((283.5 - 155.0 * i, 29.0, base + 2 * step), "-y") for i in range(2)]
    modules = []
    for i, (middle, terminals) in enumerate(places):
        axes = module_axes("+z", kind.terminal_face, terminals)
        assert axes is not None
        modules.append(PlacedModule(f"M{i + 1}", kind, Pose(middle, axes), "+z", terminals))
    return Arrangement(Pose(), tuple(modules), inside)
