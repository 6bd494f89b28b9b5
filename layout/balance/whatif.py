"""What if: a part moved, another module type, what each part's place is worth, where the pack must lie for a wanted split."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from layout.balance.axles import AxleLoads, loads_of
from layout.balance.items import MassItem
from layout.balance.names import named
from layout.errors import JobError, Problem
from layout.frames import Vec3
from layout.job.model import Job
from layout.job.vehicle import Vehicle


@dataclass(frozen=True)
class Worth:
    """What moving one part by a metre, or adding one kilogram to it, does.

    front_kg_per_m: to the front axle per metre forward (the rear axle changes by the opposite). left_kg_per_m: to
    the left wheels together per metre to the left. braking_kg_per_m: to the load transfer at the vehicle's stated
    braking per metre upward. front_kg_per_kg, rear_kg_per_kg: to the axles per kilogram more of this part.
    """

    name: str
    front_kg_per_m: float
    left_kg_per_m: float
    braking_kg_per_m: float
    front_kg_per_kg: float
    rear_kg_per_kg: float


@dataclass(frozen=True)
class PackPlace:
    """Where the pack's centroid must lie along the vehicle. x_mm: for the wanted split; least and greatest x within the
    axle ratings (None where no place holds both)."""

    x_mm: float
    within_ratings_mm: tuple[float, float] | None


def move(items: Sequence[MassItem], name: str, by_mm: Vec3) -> tuple[MassItem, ...]:
    """The mass list with what that name stands for (see `named`) moved by a vector."""
    chosen = set(named(items, name))
    return tuple(item.shifted(by_mm) if k in chosen else item for k, item in enumerate(items))


def swap(job: Job, type_name: str) -> Job:
    """The job with one module type alone, to be fitted anew. Raises JobError where the job does not know the type or has
    too few of it."""
    chosen = [m for m in job.modules if m.name == type_name]
    if not chosen:
        names = ", ".join(m.name for m in job.modules)
        raise JobError([Problem("swap", type_name, f"a module type of this job: {names}", "Add a [[module]] table for it.")])
    count = job.pack.count
    if isinstance(count, int) and chosen[0].available < count:
        remedy = f"Set pack.count to {chosen[0].available} or fewer, or get more of them."
        raise JobError([Problem("swap", type_name, f"at least {count} of them; {chosen[0].available} are available", remedy)])
    return job.model_copy(update={"modules": (chosen[0],)})


def worth(vehicle: Vehicle, items: Sequence[MassItem]) -> tuple[Worth, ...]:
    """Gradient of the wheel loads for each item of known mass. Exact: axle loads are linear in place and in mass."""
    track = sum(vehicle.tracks_mm) / 2.0
    rows = []
    for item in items:
        if item.mass_kg is None:
            continue
        unit = loads_of(vehicle, [MassItem(item.name, 1.0, item.centroid_mm)])
        per_m = 1000.0 * item.mass_kg
        rows.append(
            Worth(
                item.name,
                per_m / vehicle.wheelbase_mm,
                per_m / track,
                per_m * vehicle.braking_g / vehicle.wheelbase_mm,
                unit.front_kg,
                unit.rear_kg,
            )
        )
    return tuple(rows)


def pack_place(vehicle: Vehicle, rest: AxleLoads, pack_kg: float, front_share: float) -> PackPlace:
    """Place along x of a pack's centroid for a wanted front share of the whole.

    rest: axle loads of everything but the pack. From front_share (rest + pack) = rest_front + pack (x - x_rear) / L.
    Raises ValueError for a share outside 0 to 1 or a pack without mass.
    """
    if not 0.0 <= front_share <= 1.0 or pack_kg <= 0.0:
        msg = f"front share {front_share:g} and pack {pack_kg:g} kg: the share must lie from 0 to 1 and the pack must have mass"
        raise ValueError(msg)
    length, rear_x = vehicle.wheelbase_mm, vehicle.rear_axle_x_mm
    whole = rest.total_kg + pack_kg
    x = rear_x + length * (front_share * whole - rest.front_kg) / pack_kg
    most = rear_x + length * (vehicle.front_axle_rating_kg - rest.front_kg) / pack_kg
    least = rear_x + length * (1.0 - (vehicle.rear_axle_rating_kg - rest.rear_kg) / pack_kg)
    gross = vehicle.gross_rating_kg
    holds = least <= most and (gross is None or whole <= gross)
    return PackPlace(x, (least, most) if holds else None)
