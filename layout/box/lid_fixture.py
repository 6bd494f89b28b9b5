"""Equipment that stands on the lid: tapped pads welded on it under the feet, so that nothing passes the lid. Pack frame."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from layout.arrangement import Arrangement, PlacedEquipment
from layout.box.fixture import PAD_MM, Fixture, feet_mm
from layout.box.fixture_parts import BOLT_CLASS, TAP_DRILL_MM
from layout.box.opening_room import NUT_MM, opening_place, room_mm
from layout.box.shell import GASKET_MM, Shell
from layout.design import Hardware, Hole, Plate, Profile, Weld, rectangle
from layout.frames import DIRECTIONS, Array, Extent, Pose, Vec3, vec3
from layout.job.model import Job
from layout.stepped import parts_of
from layout.tables import bolt, bolt_lengths_mm

APART_MM = 6.0
"""Between two pads: room for both fillets (common practice, no source)."""
LEAST_D = 1.0
"""Least engagement of a screw in its pad, in diameters; whether it is enough the check of the thread says."""
TIP_MM = 0.5
"""Least distance between the tip of a screw and the lid."""


@dataclass(frozen=True)
class LidFixture(Fixture):
    """A piece that stands on the lid: u, v, w are the pack's x, y, z."""

    @property
    def outward(self) -> Array:
        """Up."""
        return np.array((0.0, 0.0, 1.0))

    @property
    def axes(self) -> Array:
        """Rows u, v, w."""
        return np.eye(3)

    @property
    def engagement_mm(self) -> float:
        """How deep its screws reach into the pads."""
        return screw_mm(self) - grip_mm(self)


@dataclass(frozen=True)
class LidMounts:
    """Equipment on the lid: what is fixed with its parts, and what is not, with the reason."""

    fixtures: tuple[LidFixture, ...] = ()
    unfixed: tuple[tuple[str, str], ...] = ()
    plates: tuple[Plate, ...] = ()
    hardware: tuple[Hardware, ...] = ()
    welds: tuple[Weld, ...] = ()
    mass_kg: float = 0.0
    """Of all equipment on the lid, fixed or not."""


def lid_mounts(job: Job, arrangement: Arrangement | None, inside: Extent, shell: Shell, lid: str) -> LidMounts:
    """All that stands on the lid. lid: its part number."""
    found: list[LidFixture] = []
    lost: list[tuple[str, str]] = []
    pieces = [(i, e) for i, e in enumerate(arrangement.equipment) if e.outside and e.face == "+z"] if arrangement else []
    for i, piece in pieces:
        if piece.kind.fixing is None:
            continue  # listed among what has no feet
        one = _fixture(f"{job.job.drawing_number}-E{i + 1}", piece, inside, shell)
        why = _unfit(job, one, found, inside, shell)
        if why:
            lost.append((piece.kind.name, why))
        else:
            found.append(one)
    made = [_pad(job.box.material, one, k, at) for one in found for k, at in enumerate(one.points_mm)]
    screws = [_screw(one, k, at) for one in found for k, at in enumerate(one.points_mm)]
    prefix = job.job.drawing_number
    welds = tuple(_weld(f"{prefix}-JW{k + 1}", pad, lid, shell) for k, pad in enumerate(made))
    mass = sum(e.kind.mass_kg for _, e in pieces)
    return LidMounts(tuple(found), tuple(lost), tuple(made), tuple(screws), welds, mass)


def _fixture(number: str, piece: PlacedEquipment, inside: Extent, shell: Shell) -> LidFixture:
    assert piece.kind.fixing is not None
    points = feet_mm(piece, piece.kind.fixing)
    top = inside.max_mm[2] + 2.0 * shell.sheet_mm + GASKET_MM
    return LidFixture(number, piece, piece.kind.fixing, "lid", True, points, points[0][2] - top)


def grip_mm(one: LidFixture) -> float:
    """Washer and foot under a screw's head."""
    return bolt(one.fixing.bolt).washer_thickness_mm + one.fixing.foot_mm


def screw_mm(one: LidFixture) -> float:
    """The longest standard screw that ends short of the lid; 0 where there is none."""
    most = grip_mm(one) + one.pad_mm - TIP_MM
    return max((v for v in bolt_lengths_mm(one.fixing.bolt, "hex screw") if v <= most), default=0.0)


def _unfit(job: Job, one: LidFixture, others: list[LidFixture], inside: Extent, shell: Shell) -> str:
    """Why a piece cannot be fixed on the lid; "" where it can."""
    size = bolt(one.fixing.bolt)
    if float(one.piece.pose.vector(DIRECTIONS[one.fixing.face])[2]) > -1.0 + 1e-9:
        return f"its face {one.fixing.face} with the feet does not look to the lid"
    if one.engagement_mm < LEAST_D * size.diameter_mm:
        return (
            f"no standard {size.size} screw reaches {LEAST_D:g} d into pads {one.pad_mm:.1f} mm high under feet of "
            f"{one.fixing.foot_mm:g} mm: use a smaller screw (job file: equipment.fixing.bolt)"
        )
    half = PAD_MM / 2.0
    for x, y, _ in one.points_mm:
        rooms = [(p.min_mm, p.max_mm) for p in parts_of(inside)]
        within = [min(x - a[0], b[0] - x, y - a[1], b[1] - y) - half for a, b in rooms]
        if max(within) < -1e-6:  # further out it nears the washers of the lid's bolts
            return f"a foot lies {max(within) + half:.0f} mm within the walls, its pad needs {half:.0f} mm"
        for opening in (o for o in job.box.openings if o.panel == "top"):
            u, v = opening_place(opening, inside)
            near = float(np.hypot(max(abs(x - u) - half, 0.0), max(abs(y - v) - half, 0.0)))
            if near < room_mm(opening, shell.sheet_mm) + NUT_MM:
                return f"the pad under a foot meets opening {opening.name!r} of the lid"
    places = [(p, one.name) for p in one.points_mm]
    taken = [(p, other.name) for other in others for p in other.points_mm]
    for (a, _), (b, name) in [*combinations(places, 2), *((p, t) for p in places for t in taken)]:
        if max(abs(a[0] - b[0]), abs(a[1] - b[1])) < PAD_MM + APART_MM:
            return f"pads of {PAD_MM:g} mm under its feet meet those of {name}"
    return ""


def _pad(material: str, one: LidFixture, k: int, at: Vec3) -> Plate:
    """A square pad between lid and foot, tapped."""
    number, size = f"{one.number}-J{k + 1}", bolt(one.fixing.bolt)
    hole = Hole(f"{number}-H1", (PAD_MM / 2.0, PAD_MM / 2.0), TAP_DRILL_MM[size.size], f"{size.size} thread")
    pose = Pose((at[0] - PAD_MM / 2.0, at[1] - PAD_MM / 2.0, at[2] - one.pad_mm))
    profile = Profile(rectangle(PAD_MM, PAD_MM), (hole,))
    return Plate(number, f"tapped pad, {one.name}", material, round(one.pad_mm, 6), profile, pose, group="lid")


def _screw(one: LidFixture, k: int, at: Vec3) -> Hardware:
    size, grip = bolt(one.fixing.bolt), grip_mm(one)
    pad = f"{one.number}-J{k + 1}"
    return Hardware(
        f"{one.number}-F{k + 1}", "hex screw", size.size, BOLT_CLASS, screw_mm(one), grip,
        (at[0], at[1], at[2] + grip), (0.0, 0.0, -1.0), holes=(f"{pad}-H1",), joins=(pad, one.name), group="lid",
    )  # fmt: skip


def _weld(number: str, pad: Plate, lid: str, shell: Shell) -> Weld:
    """All round a pad."""
    corners = ((0.0, 0.0), (PAD_MM, 0.0), (PAD_MM, PAD_MM), (0.0, PAD_MM), (0.0, 0.0))
    path = tuple(vec3(pad.pose.point((x, y, 0.0))) for x, y in corners)
    return Weld(number, "fillet", shell.fillet_mm, path, (pad.number, lid), "all round; tap after welding")
