"""Small jobs for the packing tests."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from layout.box.shell import shell_of
from layout.frames import turned_about_z
from layout.job.model import Job
from layout.space.bay import Bay, bay_of

SLAB = {
    "name": "slab",
    "size": [300, 120, 100],
    "mass": 9.0,
    "up": ["+z"],
    "terminal_face": "+x",
    "gap": 4,
    "available": 20,
    "nominal_voltage": 22.0,
    "max_voltage": 25.0,
    "min_voltage": 18.0,
    "energy": 2.0,
}


def job_with(bay: dict[str, Any], modules: list[dict[str, Any]], pack: dict[str, Any], **more: Any) -> Job:
    """A job with the given bay, modules and pack; everything else plain."""
    return Job.model_validate(
        {
            "job": {"title": "test", "drawing_number": "T-1"},
            "vehicle": {
                "reference_axle": "front",
                "wheelbase": 2400,
                "track": 1300,
                "front_axle_load": 450,
                "rear_axle_load": 400,
                "front_axle_rating": 700,
                "rear_axle_rating": 800,
                "cg_height": 540,
            },
            "bay": {"clearance": 5, "insert_from": ["+z"], **bay},
            "mount_point": more.pop("mount_point"),
            "module": modules,
            "pack": {"series": 1, "voltage_window": [10, 2000], **pack},
            "box": {"construction": "welded", "material": "5083-H111", "sheet": 3, "liner": 2},
            "bracket": {"material": "S275", "bolt_class": "8.8"},
            "crash": {"factors": {"forward": 20, "rearward": 10, "left": 15, "right": 15, "up": 10, "down": 10}},
            **more,
        }
    )


def box_bay(room: tuple[float, float, float], low: tuple[float, float, float] = (-100.0, -200.0, 300.0), **more: Any) -> Any:
    """A rectangular bay that leaves exactly a room of the given size for modules, and a ledge for a mount point."""
    probe = job_with({"space": _prism((0, 0, 0), (1, 1, 1))}, [SLAB], {"count": 1}, mount_point=[_mount(0, 0, 0)])
    shell, clear = shell_of(probe), 5.0
    out = max(shell.side_mm, shell.slab_out_mm) + shell.liner_mm + clear
    below, above = shell.below_mm + shell.liner_mm + clear, shell.flange_above_mm + clear
    high = (low[0] + room[0] + 2 * out, low[1] + room[1] + 2 * out, low[2] + room[2] + below + above)
    ledge = _prism((high[0], low[1], low[2]), (high[0] + 400.0, high[1], low[2] + 60.0))
    bay = {"space": [*_prism(low, high), *ledge], **more}
    return bay, [_mount(high[0] + 250.0, (low[1] + high[1]) / 2, low[2])]


def _prism(low: tuple[float, float, float], high: tuple[float, float, float]) -> list[dict[str, Any]]:
    plan = [[low[0], low[1]], [high[0], low[1]], [high[0], high[1]], [low[0], high[1]]]
    return [{"outline": plan, "z": [low[2], high[2]]}]


def _mount(x: float, y: float, z: float) -> dict[str, Any]:
    return {"name": "rail", "at": [x, y, z], "normal": "+z", "thread": "M10"}


class Maker:
    """Makes jobs and bays for tests."""

    slab = SLAB

    def job(self, room: tuple[float, float, float], modules: list[dict[str, Any]], pack: dict[str, Any], **more: Any) -> Job:
        """A job whose bay leaves exactly that room for modules."""
        bay, mounts = box_bay(room, **more.pop("bay", {}))
        return job_with(bay, modules, pack, mount_point=mounts, **more)

    def l_job(
        self, room: tuple[float, float, float], step: tuple[float, float], corner: tuple[int, int],
        modules: list[dict[str, Any]], pack: dict[str, Any], **more: Any,
    ) -> Job:  # fmt: skip
        """A job whose bay leaves a room with a corner of its plan left out, `step` long, at the ends of x and y (0, 1)."""
        bay, mounts = box_bay(room)
        plain, ledge = bay["space"][0], bay["space"][1]
        (x0, y0), _, (x1, y1), _ = plain["outline"]
        inner_x = x1 - step[0] if corner[0] else x0 + step[0]
        inner_y = y1 - step[1] if corner[1] else y0 + step[1]
        z = (plain["z"][0], plain["z"][1])
        one = _prism((x0 if corner[0] else inner_x, y0, z[0]), (inner_x if corner[0] else x1, y1, z[1]))
        two = _prism((x0, y0 if corner[1] else inner_y, z[0]), (x1, inner_y if corner[1] else y1, z[1]))
        job = job_with({"space": [*one, *two, ledge]}, modules, pack, mount_point=mounts, **more)
        return job.model_copy(update={"box": job.box.model_copy(update={"outline": "stepped"})})

    def tier_job(
        self, room: tuple[float, float, float], step: tuple[float, float], run: int, high: int,
        modules: list[dict[str, Any]], pack: dict[str, Any], **more: Any,
    ) -> Job:  # fmt: skip
        """A job whose bay leaves a room with a floor step[1] higher over step[0] at one end (0, 1) across run."""
        bay, mounts = box_bay(room)
        plain, ledge = bay["space"][0], bay["space"][1]
        (x0, y0), _, (x1, y1), _ = plain["outline"]
        low, top = [x0, y0, plain["z"][0]], (x1, y1, plain["z"][1])
        deep, across = list(top), 1 - run
        upper = (x0, y0, low[2] + step[1])
        if high:
            deep[across] -= step[0]
        else:
            low[across] += step[0]
        spaces = [*_prism(upper, top), *_prism((low[0], low[1], low[2]), (deep[0], deep[1], deep[2])), ledge]
        job = job_with({"space": spaces}, modules, pack, mount_point=mounts, **more)
        return job.model_copy(update={"box": job.box.model_copy(update={"outline": "stepped"})})

    def turned(self, job: Job, degrees: float, turns: list[float]) -> Job:
        """The same job in a bay turned about the vehicle's z, the pack allowed to turn."""

        def turn(x: float, y: float) -> tuple[float, float]:
            out = turned_about_z(degrees).point([x, y, 0.0])
            return (float(out[0]), float(out[1]))

        spaces = tuple(s.model_copy(update={"outline_mm": tuple(turn(*p) for p in s.outline_mm)}) for s in job.bay.spaces)
        mounts = tuple(m.model_copy(update={"at_mm": (*turn(*m.at_mm[:2]), m.at_mm[2])}) for m in job.mount_points)
        bay = job.bay.model_copy(update={"spaces": spaces})
        pack = job.pack.model_copy(update={"turn_deg": tuple(turns)})
        return job.model_copy(update={"bay": bay, "mount_points": mounts, "pack": pack})

    def bay(self, job: Job) -> Bay:
        """The job's bay."""
        return bay_of(job, Path())


@pytest.fixture(scope="session")
def make() -> Maker:
    return Maker()
