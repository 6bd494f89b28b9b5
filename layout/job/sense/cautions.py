"""What to point out about a job though it is not refused."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from layout.job.model import Job
from layout.job.sense.keep_outs import misses
from layout.job.sense.modules import density_kg_per_l, string_voltages, window_words

CLASS_B_V: Final = 60.0
"""Direct voltage above which a circuit counts as voltage class B: ISO 6469-3:2021 clause 4 (from memory). ISO 6469-4:2015
5.2.2 gives 60 V DC as what class B circuits must have fallen to after a crash (seen in an extract)."""
_USUAL_DENSITY: Final = (1.0, 3.0)


def cautions(job: Job) -> list[str]:
    """Sentences for the user, most serious first; none of them stops the work."""
    return [*_voltage(job), *_mounts(job), *_modules(job), *_bay(job), *_crash(job), *_vents(job)]


def _voltage(job: Job) -> Iterator[str]:
    greatest = string_voltages(job.pack, job.modules)[2]
    if greatest > CLASS_B_V:
        yield (
            f"Up to {greatest:.4g} V: above {CLASS_B_V:g} V DC a circuit is of voltage class B (ISO 6469-3, from memory). "
            "It can kill; only trained people work on it, isolated and checked dead."
        )
    low, high = job.pack.voltage_window_v
    if any(not low <= volts <= high for volts in string_voltages(job.pack, job.modules)):
        yield f"The pack leaves the controller's voltage window: {window_words(job.pack, job.modules)}."


def _mounts(job: Job) -> Iterator[str]:
    unknown = [f'"{mount.name}"' for mount in job.mount_points if mount.sheet is None]
    if unknown:
        yield f"The vehicle's sheet is not given at {', '.join(unknown)}: it cannot be checked, and nothing is passed there."
    rivet_nuts = [f'"{mount.name}"' for mount in job.mount_points if mount.fixing == "rivet nut"]
    if rivet_nuts:
        yield f"Rivet nuts at {', '.join(rivet_nuts)}: they get no credit in crash cases."


def _modules(job: Job) -> Iterator[str]:
    for kind in job.modules:
        density = density_kg_per_l(kind)
        if not _USUAL_DENSITY[0] <= density <= _USUAL_DENSITY[1]:
            yield f'Module "{kind.name}" has {density:.2f} kg/L, which is unusual: weigh and measure one again.'
    if len(job.modules) > 1:
        yield "Modules of different types in one pack: voltages and currents of mixed strings are not judged here."
    voltages = {kind.nominal_voltage_v for kind in job.modules}
    if len(voltages) > 1 and job.pack.parallel > 1:
        yield "Strings in parallel must have the same voltage; with modules of different voltage that depends on the order."


def _bay(job: Job) -> Iterator[str]:
    if any(space.z_mm[0] < 0.0 for space in job.bay.spaces):
        yield "The free space reaches below z = 0, which is the ground."
    for keep_out in job.bay.keep_outs:
        if misses(keep_out, job.bay):
            yield f'Keep-out "{keep_out.name}" lies wholly outside of the free space: check its numbers.'
    reach = job.vehicle.track_mm / 2.0 + 400.0
    if any(abs(y) > reach for space in job.bay.spaces for _, y in space.outline_mm):
        yield "The free space reaches further out than the wheels: y counts from the centre plane."


def _crash(job: Job) -> Iterator[str]:
    if not job.crash.road_loads:
        yield "Road loads (bump, braking, cornering) are switched off: fatigue and loosening in use are not looked at."
    factors = job.crash.factors
    if factors is not None:
        none = [side for side in ("forward", "rearward", "left", "right", "up", "down") if getattr(factors, side) == 0.0]
        if none and job.crash.rule_set is None:
            yield f"No crash load {', '.join(none)}: the pack is not checked in that direction."


def _vents(job: Job) -> Iterator[str]:
    vents = [opening for opening in job.box.openings if opening.kind == "vent"]
    if vents and job.box.cabin is None:
        names = ", ".join(f'"{vent.name}"' for vent in vents)
        yield f"Which way the cabin lies is not stated (box.cabin): whether {names} leads gas away from it is not judged."
