"""Everything about mass and balance of one conversion in one complete value: from the job and the pack's mass list."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from layout.balance.axles import AxleLoads, Balance, axle_loads, share_front
from layout.balance.electrical import Links, PackFigures, links, pack_figures
from layout.balance.items import Ahead, MassItem, MassProperties, ahead_of_axle, entry_item, total
from layout.balance.lifting import CentroidHeight, measured_height
from layout.balance.on_the_bench import with_weighed
from layout.balance.runs import HeatBalance, RunLength, heat_balance, run_items, run_length
from layout.balance.springs import Ride, ride
from layout.balance.states import StateRow, YawInertia, state_table, yaw_inertia
from layout.balance.weighed import Reconciled, families_of, item_sigma_kg, reconcile
from layout.balance.whatif import Worth, worth
from layout.job.model import Job
from layout.job.module import ModuleType


@dataclass(frozen=True)
class BalanceFigures:
    """The whole balance of a conversion.

    items: what came in, pack and other; removed: what left. sigma: standard deviation of the axle loads after,
    from the tolerances of the weighing and of every item (correlation between the axles not in it).
    """

    items: tuple[MassItem, ...]
    removed: tuple[MassItem, ...]
    pack: MassProperties
    ahead: Ahead
    balance: Balance
    sigma: AxleLoads
    states: tuple[StateRow, ...]
    yaw: YawInertia
    ride: Ride
    worth: tuple[Worth, ...]
    electrical: PackFigures
    links: Links | None
    runs: tuple[RunLength, ...]
    heat: tuple[HeatBalance, ...]
    weighed: Reconciled | None
    height: CentroidHeight | None


def removed_items(job: Job) -> tuple[MassItem, ...]:
    """What the job says left the vehicle."""
    return tuple(entry_item(e, "removed") for e in job.removed)


def added_items(job: Job) -> tuple[MassItem, ...]:
    """What the job says came in beside the pack: its `added` list, and cables and hoses with a mass per metre."""
    return (*(entry_item(e, "added") for e in job.added), *run_items(job.runs))


def balance_figures(
    job: Job,
    pack_items: Sequence[MassItem],
    modules: Sequence[ModuleType],
) -> BalanceFigures:
    """All figures. pack_items: all that the mounts carry; modules: types as placed and wired. The job's `weighed` list counts.

    Raises ValueError where no item of the pack has a known mass, or more is removed than the vehicle weighs.
    """
    vehicle = job.vehicle
    removed, added = removed_items(job), with_weighed((*pack_items, *added_items(job)), job.weighed)
    pack_items = added[: len(pack_items)]
    balance = axle_loads(vehicle, removed, added)
    electrical = pack_figures(job, len(modules), modules)
    states = state_table(vehicle, removed, added, job.load_states, job.suspension)
    weighed = None
    if job.as_weighed is not None:
        weighed = reconcile(vehicle, job.as_weighed, removed, added, job.load_states, families_of(added))
    return BalanceFigures(
        items=tuple(added),
        removed=removed,
        pack=total(pack_items),
        ahead=ahead_of_axle(pack_items),
        balance=balance,
        sigma=load_sigma(job, (*removed, *added)),
        states=states,
        yaw=yaw_inertia(vehicle, removed, added),
        ride=ride(vehicle, job.suspension, balance.before.loads, balance.after.loads),
        worth=worth(vehicle, added),
        electrical=electrical,
        links=None if job.wiring is None else links(electrical, job.pack.parallel, job.wiring),
        runs=tuple(run_length(r) for r in job.runs),
        heat=tuple(heat_balance(c) for c in job.cooling),
        weighed=weighed,
        height=_height(job, states),
    )


def _height(job: Job, states: Sequence[StateRow]) -> CentroidHeight | None:
    """Centroid height from the lifted weighing, where the job has one and both axles were weighed level."""
    scales = job.as_weighed
    if scales is None or scales.lifted is None:
        return None
    corners = scales.corners
    front = scales.front_axle_kg if corners is None else corners.front_kg
    rear = scales.rear_axle_kg if corners is None else corners.rear_kg
    if front is None or rear is None:
        return None
    row = next((r for r in states if r.name == scales.load_state), states[0])
    predicted = row.after.standing.centroid_mm[2]
    return measured_height(job.vehicle, scales.lifted, AxleLoads(front, rear), scales.tolerance_kg, predicted)


SCALE_SIGMA_KG = 1.0
"""Standard deviation of an axle load where the job gives no load_tolerance (our choice, no source)."""


def load_sigma(job: Job, items: Sequence[MassItem]) -> AxleLoads:
    """Standard deviation of each axle load after, items taken as independent."""
    scale = job.vehicle.load_tolerance_kg or SCALE_SIGMA_KG
    known = [(item_sigma_kg(i) or 0.0, i.centroid_mm[0]) for i in items]
    sigma = np.array([s for s, _ in known], dtype=float)
    front = share_front(job.vehicle, [x for _, x in known])
    return AxleLoads(
        math.sqrt(scale**2 + float(np.sum((sigma * front) ** 2))),
        math.sqrt(scale**2 + float(np.sum((sigma * (1.0 - front)) ** 2))),
    )
