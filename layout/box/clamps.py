"""Frames, hold-down bars, soft strips and threaded rods of the modules that are clamped, as parts. Pack frame."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from layout.arrangement import PlacedModule
from layout.box.carriers import CarrierBar, HeldModule
from layout.box.clamp_room import PLAY_MM, ROD_CLASS, Clamping, stack_mm
from layout.box.soft import density_kg_m3
from layout.design import Hardware, Hole, Loop, Plate, Profile, rectangle
from layout.design.mass import body_mass
from layout.design.parts import Ring
from layout.frames import Pose, Vec3, vec3
from layout.tables import bolt

PAD = "soft strip"
CORNER_MM = 2.0
"""Radius of the relief in each inner corner of the frame, so that the module's own corner goes in."""
_THREE_QUARTERS = math.tan(math.radians(270.0 / 4.0))


@dataclass(frozen=True)
class ClampParts:
    """What clamps one module, and its rods in the order of its bolts."""

    plates: tuple[Plate, ...]
    rods: tuple[Hardware, ...]


def clamp_parts(prefix: str, held: HeldModule, module: PlacedModule, bars: tuple[CarrierBar, ...], sheet_mm: float,
                floor_holes: tuple[str, ...], first_rod: int) -> ClampParts:  # fmt: skip
    """Parts of one clamped module. sheet_mm: of the floor under bars that are welded to it; floor_holes: their names by bolt,
    "" where the rod passes no floor.
    """
    assert held.clamped is not None
    stood = held.clamped.stood(module.pose)
    frame = _frame(prefix, held.clamped, module)
    over = _bars(prefix, held.clamped, module)
    rods = []
    for k, one in enumerate(held.bolts):
        bar = bars[held.bars[k]]
        number = f"{prefix}-MT{first_rod + k}"
        place = stood.inverse_point(one.at_mm)
        top = over[0] if place[held.clamped.other] < 0.0 else over[1]
        rod = _rod(number, held.clamped, module, one.at_mm, bar.thickness_mm + (sheet_mm if bar.welded else 0.0))
        hole = f"{bar.number}-H{1 + bar.bolts.index(one)}"
        names = (_hole_at(top, one.at_mm), _hole_at(frame, one.at_mm), hole, *(n for n in (floor_holes[k],) if n))
        rods.append(replace(rod, joins=(top.number, frame.number, bar.number), holes=names))
    return ClampParts((frame, *over, *_pads(prefix, held.clamped, module)), tuple(rods))


def _joined(rod: Hardware, joins: tuple[str, ...], holes: tuple[str, ...]) -> Hardware:
    return replace(rod, joins=joins, holes=holes)


def _hole_at(plate: Plate, at_mm: Vec3) -> str:
    """The name of a plate's hole on an axis."""
    x, y, _ = plate.pose.inverse_point(at_mm)
    return min(plate.profile.holes, key=lambda h: math.hypot(h.centre_mm[0] - x, h.centre_mm[1] - y)).name


def _frame(prefix: str, clamping: Clamping, module: PlacedModule) -> Plate:
    """The plate round the module's foot, its underside in the plane of the module's base."""
    number, foot = f"{prefix}-MF{module.id[1:]}", clamping.foot
    x, y, _ = foot.size_mm
    inner = [v + 2.0 * PLAY_MM for v in clamping.size_mm[:2]]
    cut = _relieved((x - inner[0]) / 2.0, (y - inner[1]) / 2.0, inner[0], inner[1])
    drill = bolt(clamping.rod).hole_medium_mm
    holes = tuple(
        Hole(f"{number}-H{i + 1}", (x / 2.0 + a, y / 2.0 + b), drill, clamping.rod)
        for i, (a, b) in enumerate(clamping.points_mm)
    )
    profile = Profile(rectangle(x, y), holes, (cut,))
    pose = clamping.stood(module.pose).then(Pose(foot.min_mm))
    return Plate(
        number, "module frame", clamping.frame_material, clamping.frame_mm, profile, pose, group="clamp"
    )  # fmt: skip


def _relieved(x: float, y: float, width: float, height: float) -> Loop:
    """A rectangle whose corners are drilled out: three quarters of a circle about each."""
    r, bulge = CORNER_MM, _THREE_QUARTERS
    x1, y1 = x + width, y + height
    return (
        (x + r, y, 0.0), (x1 - r, y, bulge), (x1, y + r, 0.0), (x1, y1 - r, bulge),
        (x1 - r, y1, 0.0), (x + r, y1, bulge), (x, y1 - r, 0.0), (x, y + r, bulge),
    )  # fmt: skip


def _bars(prefix: str, clamping: Clamping, module: PlacedModule) -> tuple[Plate, Plate]:
    """The two bars over the module: own x along them, own z away from the module."""
    made = []
    for i, body in enumerate(clamping.bars):
        number = f"{prefix}-MH{module.id[1:]}{'AB'[i]}"
        length, width = body.size_mm[clamping.along], body.size_mm[clamping.other]
        drill, end = bolt(clamping.rod).hole_medium_mm, clamping.web_mm / 2.0
        holes = tuple(
            Hole(f"{number}-H{k + 1}", (u, width / 2.0), drill, clamping.rod) for k, u in enumerate((end, length - end))
        )
        pose = clamping.stood(module.pose).then(_lengthwise(clamping, body.min_mm, width))
        name = "hold-down bar"
        profile = Profile(rectangle(length, width), holes)
        made.append(Plate(number, name, clamping.bar_material, clamping.bar_mm, profile, pose, group="clamp"))
    return made[0], made[1]


def _lengthwise(clamping: Clamping, low: Vec3, width: float) -> Pose:
    """Own x along the bars, from the lesser corner of a strip."""
    if clamping.along == 0:
        return Pose(low)
    return Pose((low[0] + width, low[1], low[2]), ((0.0, 1.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 0.0, 1.0)))


def _pads(prefix: str, clamping: Clamping, module: PlacedModule) -> tuple[Plate, ...]:
    """A soft strip between each bar and the module."""
    made = []
    for i, body in enumerate(clamping.bars):
        width, length = body.size_mm[clamping.other], clamping.size_mm[clamping.along]
        low = list(body.min_mm)
        low[clamping.along], low[2] = -length / 2.0, clamping.size_mm[2] / 2.0
        pose = clamping.stood(module.pose).then(_lengthwise(clamping, (low[0], low[1], low[2]), width))
        number, name = f"{prefix}-MS{module.id[1:]}{'AB'[i]}", PAD
        made.append(Plate(number, name, PAD, clamping.pad_mm, Profile(rectangle(length, width)), pose, group="pad"))
    return tuple(made)


def _rod(number: str, clamping: Clamping, module: PlacedModule, at_mm: Vec3, below_mm: float) -> Hardware:
    """A rod through hold-down bar, frame and what lies below: nut and washer above, on the frame, and below."""
    row = bolt(clamping.rod)
    w = np.array(clamping.stood(module.pose).axes[2])
    height, tip = clamping.size_mm[2], stack_mm(clamping.rod)
    base = clamping.over_mm + height  # from the upper end to the base
    length = float(math.ceil(base + below_mm + tip - 1e-9))
    nut, washer = row.nut_height_mm, row.washer_thickness_mm
    top = tip - nut - washer  # two threads stand out
    on_frame = base - clamping.frame_mm - washer - nut
    under = base + below_mm
    rings = (
        Ring("nut", top), Ring("washer", top + nut), Ring("nut", on_frame), Ring("washer", on_frame + nut),
        Ring("washer", under), Ring("nut", under + washer),
    )  # fmt: skip
    head = np.array(at_mm) + base * w
    return Hardware(
        number, "threaded rod", clamping.rod, ROD_CLASS, length, under + washer, vec3(head), vec3(-w), washers=3, nuts=3,
        rings=rings, group="carrier",
    )  # fmt: skip


def clamp_notes(held: tuple[HeldModule, ...]) -> tuple[str, ...]:
    """How clamped modules are put together, where there are any."""
    pads = sorted({h.clamped.pad_mm for h in held if h.clamped})
    if not pads:
        return ()
    strips = " or ".join(f"{p:g} mm" for p in pads)
    return (
        "Clamped modules: first tighten the rods' nuts on and below each module frame to the torque listed; set the module in; "
        f"turn the nuts over the hold-down bars only until the soft strips are {strips} thick; lock them with thread locker.",
    )


def clamp_mass_kg(clamping: Clamping, module: PlacedModule) -> float:
    """Of what is held with a module: frame, bars over it, strips and rods."""
    parts = (_frame("", clamping, module), *_bars("", clamping, module), *_pads("", clamping, module))
    rod = _rod("", clamping, module, module.pose.origin_mm, 0.0)
    return sum(body_mass(p, density_kg_m3).mass_kg for p in parts) + len(clamping.points_mm) * body_mass(rod).mass_kg
