"""The whole job, as the file gives it: one frozen value."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from pydantic import Field, PrivateAttr

from layout.job.bay import Bay, MountPoint
from layout.job.box import Box, BracketStyle, Equipment
from layout.job.crash import Crash
from layout.job.entry import Entry
from layout.job.fixtures import ChargeInlet, Lifting
from layout.job.module import ModuleType, Pack
from layout.job.vehicle import AsWeighed, LoadState, MassEntry, Suspension, Vehicle, WeighedPart
from layout.job.wiring import Cooling, Run, Wiring


class JobInfo(Entry):
    """Title block of the job."""

    title: str = Field(min_length=1, max_length=80)
    drawing_number: str = Field(min_length=1, max_length=16, pattern=r"^[A-Za-z0-9._-]+$")
    drawn_by: str = Field(default="", max_length=20)
    checked_by: str = Field(default="", max_length=20)
    owner: str = Field(default="", max_length=60)
    date: str = Field(default="", pattern=r"^(\d{4}-\d{2}-\d{2})?$")
    revision: str = Field(default="", max_length=2)
    show_in: Literal["mm", "in"] = "mm"
    projection: Literal["first angle", "third angle"] = "first angle"


class Job(Entry):
    """A complete job: everything the design is made from. Positions are in vehicle axes (see layout.frames)."""

    job: JobInfo
    vehicle: Vehicle
    removed: tuple[MassEntry, ...] = ()
    added: tuple[MassEntry, ...] = ()
    bay: Bay
    mount_points: tuple[MountPoint, ...] = Field(alias="mount_point", min_length=1)
    modules: tuple[ModuleType, ...] = Field(alias="module", min_length=1, max_length=4)
    pack: Pack
    box: Box
    equipment: tuple[Equipment, ...] = ()
    lifting: Lifting | None = None
    charge_inlet: ChargeInlet | None = None
    bracket: BracketStyle
    crash: Crash
    load_states: tuple[LoadState, ...] = Field(default=(), alias="load_state")
    suspension: Suspension | None = None
    weighed: tuple[WeighedPart, ...] = ()
    as_weighed: AsWeighed | None = None
    wiring: Wiring | None = None
    runs: tuple[Run, ...] = Field(default=(), alias="run")
    cooling: tuple[Cooling, ...] = ()

    _folder: Path | None = PrivateAttr(default=None)

    @property
    def folder(self) -> Path | None:
        """Folder of the job file, where the files it names lie; None for a job that came as text."""
        return self._folder

    def in_folder(self, folder: Path | None) -> Job:
        """The same job with the files it names looked for in a folder."""
        job = self.model_copy()
        job._folder = folder
        return job
