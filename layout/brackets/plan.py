"""Which wall each mount point is reached from, and where on that wall the bracket is bolted.

Everything in the pack's frame. A bracket is an angle: a foot on the vehicle's metal, a leg on a mounting bar of the box.
Its axes: n, the mount's normal; w, the outward normal of the wall; a = n x w, along the bend.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise, product

import numpy as np

from layout.box.shell import Shell
from layout.box.walls import LOOKS, WALLS, Wall, along, wall_of, walls_of
from layout.errors import DesignError
from layout.frames import DIRECTIONS, Array, Extent, Pose, Vec3, vec3
from layout.job.bay import MountPoint
from layout.job.model import Job
from layout.stepped import Stepped

__all__ = ["WALLS", "BracketPlan", "PackMount", "along", "mounts_in_pack", "plan_options", "wall_face_mm", "with_bars"]

BAR_WIDTHS_MM = (100.0, 120.0, 140.0, 160.0)
"""Widths of flat bar that are tried for the mounting bars."""
COLUMN_MM = 32.0
"""Half the distance between the two columns of leg bolts on a bar: the gussets of a mount stand between them."""
BOLT_EDGE_MM = 16.0
"""Least distance of a leg bolt from the long edge of its bar: more than 1.5 d0 of M8."""
ROW_PITCH_MM = 40.0
END_MM = 40.0
"""Least way from a mount to the bracket's end along the bend: socket, gusset, weld and edge."""
CORNER_MM = 46.0
"""From the vehicle's metal to the middle of a bar that the leg runs to square off it: foot, bend, socket, column."""
REACH_MM = 260.0
"""Greatest distance from the bar's face to a mount that an angle bracket is offered for."""


MOST_OPTIONS = 24


@dataclass(frozen=True)
class PackMount:
    """A mount point in the pack's frame. normal: unit vector from the vehicle's metal into the free space."""

    entry: MountPoint
    at_mm: Vec3
    normal: Vec3

    @property
    def name(self) -> str:
        """Name as in the job file."""
        return self.entry.name


@dataclass(frozen=True)
class BracketPlan:
    """One bracket to be: its mounts, its wall, and the bars on that wall.

    bars_u_mm: positions of the bars along the wall (x on left and right walls, y on fore and aft walls). rows_mm: distances
    of the bolt rows from the mount plane along n (mount normal vertical), or heights z of the rows (normal horizontal).
    bolts_u_mm: middle of each bar's four leg bolts along the wall, as near to a mount as the bar allows.
    """

    number: str
    wall: str
    mounts: tuple[PackMount, ...]
    bars_u_mm: tuple[float, ...]
    bar_face_mm: float
    bar_width_mm: float
    bolts_u_mm: tuple[float, ...]

    @property
    def bolt_edge_mm(self) -> float:
        """Least distance of a leg bolt from the long edge of its bar."""
        offs = (abs(a - b) for a, b in zip(self.bars_u_mm, self.bolts_u_mm, strict=True))
        return self.bar_width_mm / 2.0 - COLUMN_MM - max(offs)

    @cached_property
    def w(self) -> Array:
        """Outward normal of the wall."""
        return np.array(DIRECTIONS[LOOKS[self.wall]])

    @cached_property
    def n(self) -> Array:
        """Normal of the mounts."""
        return np.array(self.mounts[0].normal)

    @cached_property
    def a(self) -> Array:
        """Direction along the bend: n x w."""
        return np.cross(self.n, self.w)

    @property
    def upright(self) -> bool:
        """True where the mount normal is vertical, so that the bend runs along the wall."""
        return abs(self.n[2]) > 0.5

    def stand_mm(self, mount: PackMount) -> float:
        """Distance of a mount from the bar's outer face, along w."""
        return float(np.dot(mount.at_mm, self.w)) - self.bar_face_mm


def mounts_in_pack(job: Job, frame: Pose) -> tuple[PackMount, ...]:
    """The job's mount points in the pack's frame."""
    return tuple(
        PackMount(m, vec3(frame.inverse_point(m.at_mm)), vec3(np.round(frame.inverse_vector(DIRECTIONS[m.normal]), 12)))
        for m in job.mount_points
    )


def plan_options(job: Job, frame: Pose, inside: Extent, shell: Shell) -> Iterator[tuple[BracketPlan, ...]]:
    """Ways to reach every mount point, the shortest first.

    Raises:
        DesignError: a mount point that no angle bracket reaches; names the mount, the figure and the remedy.
    """
    mounts = mounts_in_pack(job, frame)
    choices = [_walls_for(mount, inside, shell) for mount in mounts]
    combinations = sorted(product(*choices), key=lambda c: (sum(cost for cost, _ in c), [wall for _, wall in c]))
    for combination in combinations[:MOST_OPTIONS]:
        yield _plans(job, mounts, [wall for _, wall in combination], inside, shell)


def _plans(job: Job, mounts: tuple[PackMount, ...], walls: list[str], inside: Extent, shell: Shell) -> tuple[BracketPlan, ...]:
    """Brackets for mounts whose walls are chosen: one each, or one rail for several in line."""
    groups: dict[tuple[str, Vec3, float, float], list[PackMount]] = {}
    for mount, wall in zip(mounts, walls, strict=True):
        level = round(float(np.dot(mount.at_mm, mount.normal)), 3)
        stand = round(float(np.dot(mount.at_mm, DIRECTIONS[LOOKS[wall]])), 3)
        groups.setdefault((wall, mount.normal, level, stand), []).append(mount)
    plans: list[BracketPlan] = []
    for (wall, *_), members in sorted(groups.items(), key=lambda item: item[1][0].name):
        for run in _runs(members, wall_of(wall, inside), shell):
            number = f"{job.job.drawing_number}-R{len(plans) + 1}"
            plans.append(_plan(number, wall_of(wall, inside), tuple(run), shell))
    return tuple(plans)


def wall_face_mm(wall: str, inside: Extent, shell: Shell) -> float:
    """Coordinate of the wall's outer face along its outward normal."""
    return wall_of(wall, inside).outer_mm(shell.sheet_mm)


def _walls_for(mount: PackMount, inside: Extent, shell: Shell) -> list[tuple[float, str]]:
    """Walls from which a bracket reaches this mount, each with its cost: the way there in mm."""
    normal = np.array(mount.normal)
    if np.max(np.abs(normal)) < 1.0 - 1e-9:
        raise DesignError(
            f"bracket at mount {mount.name!r}",
            "an angle bracket needs the mount's normal square to a wall of the box",
            f"normal in the pack's axes {tuple(round(float(v), 3) for v in normal)}",
            "Do not turn or rake the pack, or give this mount another normal.",
        )
    found: list[tuple[float, str]] = []
    nearest = -np.inf
    for wall in walls_of(inside):
        if abs(float(normal @ wall.w)) > 0.5 or _too_short(wall, inside, shell, BAR_WIDTHS_MM[0]):
            continue
        stand = float(np.dot(mount.at_mm, wall.w)) - wall.outer_mm(shell.sheet_mm) - shell.bar_mm
        nearest = max(nearest, stand)
        if not shell.mount_room_mm - 1e-6 <= stand <= REACH_MM:
            continue
        found.append((stand + 2.0 * _miss(mount, wall, shell), wall.name))
    if not found:
        raise DesignError(
            f"bracket at mount {mount.name!r}",
            f"an angle bracket reaches {shell.mount_room_mm:g} to {REACH_MM:g} mm outside a mounting bar",
            f"this mount lies {nearest:.0f} mm outside the nearest bar face",
            "Choose another arrangement, move the box by other preferences, or give another mount point.",
        )
    return found


def _too_short(wall: Wall, inside: Extent, shell: Shell, bar_mm: float) -> bool:
    """Whether a wall of a stepped box is too short for a bar, clear of what stands in the elbow of the step."""
    low, high = wall.usable_mm(shell.side_mm)
    return isinstance(inside, Stepped) and high - low < bar_mm - 1e-6


def _usable(wall: Wall, shell: Shell, bar_mm: float = BAR_WIDTHS_MM[0]) -> tuple[float, float]:
    low, high = wall.usable_mm(shell.side_mm)
    half = bar_mm / 2.0
    return (low + half, high - half) if high - low >= bar_mm else ((low + high) / 2.0, (low + high) / 2.0)


def _miss(mount: PackMount, wall: Wall, shell: Shell) -> float:
    """How far along the wall the mount lies beyond the range in which a bar can stand."""
    low, high = _usable(wall, shell)
    u = mount.at_mm[wall.along]
    return max(low - u, u - high, 0.0)


def _runs(members: list[PackMount], wall: Wall, shell: Shell) -> list[list[PackMount]]:
    """One bracket per mount, or one rail for all mounts of a line where one of them lies beyond the wall's end."""
    ordered = sorted(members, key=lambda m: m.at_mm[wall.along])
    upright = abs(members[0].normal[2]) > 0.5
    if len(members) > 1 and upright and any(_miss(m, wall, shell) > 0.0 for m in members):
        return [ordered]
    return [[m] for m in ordered]


def _plan(
    number: str, wall: Wall, run: tuple[PackMount, ...], shell: Shell, bar_mm: float = BAR_WIDTHS_MM[0]
) -> BracketPlan:
    low, high = _usable(wall, shell, bar_mm)
    face = wall.outer_mm(shell.sheet_mm) + shell.bar_mm
    axis = wall.along
    places = [min(max(m.at_mm[axis] + CORNER_MM * m.normal[axis], low), high) for m in run]
    bars: list[float] = []
    for place in sorted(places):
        if not bars or place - bars[-1] >= bar_mm + 10.0:
            bars.append(place)
    if len(run) > 1 and len(bars) == 1:
        bars = [low, high] if high - low >= bar_mm + 10.0 else bars
    play = bar_mm / 2.0 - COLUMN_MM - BOLT_EDGE_MM
    wished = [min((m.at_mm[axis] + CORNER_MM * m.normal[axis] for m in run), key=lambda u: abs(u - bar)) for bar in bars]
    bolts = [min(max(u, bar - play), bar + play) for u, bar in zip(wished, bars, strict=True)]
    return BracketPlan(number, wall.name, run, tuple(bars), face, bar_mm, tuple(bolts))


def with_bars(plans: tuple[BracketPlan, ...], bar_mm: float, inside: Extent, shell: Shell) -> tuple[BracketPlan, ...]:
    """The same plans with mounting bars of another width.

    Raises:
        DesignError: bars of neighbouring brackets on one wall would run into one another.
    """
    for plan in plans:
        wall = wall_of(plan.wall, inside)
        if _too_short(wall, inside, shell, bar_mm):
            raise DesignError(
                f"mounting bar of {plan.number} on the {plan.wall} wall",
                f"a bar of {bar_mm:g} mm stands between the wall's corners, clear of the step",
                f"{np.subtract(*wall.usable_mm(shell.side_mm)[::-1]):.0f} mm of wall",
                "Choose another arrangement, or another mount point.",
            )
    found = tuple(_plan(p.number, wall_of(p.wall, inside), p.mounts, shell, bar_mm) for p in plans)
    for name in LOOKS:
        places = sorted(u for p in found if p.wall == name for u in p.bars_u_mm)
        for a, b in pairwise(places):
            if b - a < bar_mm + 10.0:
                raise DesignError(
                    f"mounting bars on the {name} wall",
                    f"bars of {bar_mm:g} mm keep 10 mm between them",
                    f"{b - a:.0f} mm between their middles",
                    "Choose another arrangement, or mount points further apart.",
                )
    return found
