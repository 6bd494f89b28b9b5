"""Can a tool be put on every bolt when its turn comes? In which order the bolts are tightened, and what is in the way.

Order of assembly. Bars, equipment and modules are bolted up on the bench, where nothing stands around: not looked at. Angle
brackets are bolted to the box on the bench as well where they can go in with it (pulled straight along its own way in);
their mount bolts are then tightened with the box in its place. Else they follow the box, and their leg bolts need room
in the bay too. Standoffs are bolted to the vehicle first, with the box out, and to the box once it stands. Lid and covers
close with the box in its place. The nut of a bolt through the vehicle's metal lies outside the measured bay.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np
import shapely

from layout.arrangement import Arrangement, Insertion
from layout.box.design import BoxDesign
from layout.brackets.design import BracketDesign
from layout.design import Hardware, Plate, Profile
from layout.design.flat import flat_poses
from layout.design.hardware import axis_pose
from layout.frames import Extent, Pose
from layout.job.model import Job
from layout.space.insertion import stopped_by
from layout.space.judge_arrangement import body_obstacle
from layout.space.model import Bay
from layout.space.obstacle import Obstacle
from layout.space.opened import opened
from layout.study.tools import Tool, axis_ends, goes_in, near, tools_for, way_out_mm, what_blocks
from layout.tables import bolt

ON_BENCH, BEFORE, IN_PLACE = "on the bench", "before the box goes in", "with the box in its place"
BEYOND_MM = 20.0
STRIPS = 4


@dataclass(frozen=True)
class ToolWay:
    """Bolts that are tightened alike. what: in words; when: ON_BENCH, BEFORE or IN_PLACE; tool: with which; possible: whether
    it goes in; note: what is in the way, by how much, what to do; or what to know.
    """

    bolts: tuple[str, ...]
    what: str
    when: str
    tool: str
    possible: bool
    note: str = ""

    @property
    def words(self) -> str:
        """One sentence."""
        names = self.bolts[0] if len(self.bolts) == 1 else f"{self.bolts[0]} to {self.bolts[-1]} ({len(self.bolts)})"
        how = f", {self.tool}" if self.tool else ""
        said = f"; {self.note}" if self.note else ""
        return f"{'' if self.possible else 'NO STRAIGHT TOOL GOES IN: '}{self.what}, {names}: {self.when}{how}{said}"


def tool_ways(
    job: Job, bay: Bay, arrangement: Arrangement, box: BoxDesign, brackets: tuple[BracketDesign, ...], insertion: Insertion
) -> tuple[ToolWay, ...]:
    """Every bolt of the pack, in the order in which they are tightened: bench, before the box, with the box in its place."""
    room = _Room(bay, tuple(dict.fromkeys(job.bay.insert_from)), arrangement, box, brackets)
    side = next((s for s in room.sides if insertion.note.startswith(f"straight in from {s}")), None)
    found = [_bench(box)]
    for one in brackets:
        found += _standoff(room, one) if one.column is not None else _angle(room, one, side)
    for group, what in (("lid", "lid bolts"), ("cover", "cover screws")):
        found += _closing(room, what, [h for h in box.hardware if h.group == group])
    order = (ON_BENCH, BEFORE, IN_PLACE)
    return tuple(sorted((way for way in found if way.bolts), key=lambda way: order.index(way.when)))


def tool_cautions(ways: tuple[ToolWay, ...]) -> tuple[str, ...]:
    """Bolts that no tool reaches when their turn comes."""
    return tuple(f"{way.words}." for way in ways if not way.possible)


@dataclass(frozen=True)
class _Room:
    """What stands around the bolts."""

    bay: Bay
    sides: tuple[str, ...]
    arrangement: Arrangement
    box: BoxDesign
    brackets: tuple[BracketDesign, ...]

    @cached_property
    def empty(self) -> Bay:
        """The bay, open on the sides from which the box comes in; a tool may touch what a box must keep its margin from."""
        bay = opened(self.bay, self.sides)
        return replace(bay, keep_outs=tuple(replace(one, margin_mm=0.0) for one in bay.keep_outs))

    @cached_property
    def _boxed(self) -> tuple[Obstacle, ...]:
        pieces = [*self.box.shell.pieces(self.box.inside)]
        pieces += [(e.kind.name, e.extent) for e in self.arrangement.equipment if e.outside]
        return tuple(body_obstacle(name, extent, self.arrangement.frame) for name, extent in pieces)

    def around(self, own: BracketDesign | None, boxed: bool, solid: tuple[Obstacle, ...] = ()) -> Bay:
        """Bay, box if it is there, every bracket but one's own, and further things."""
        frame = self.arrangement.frame
        bodies = [body for other in self.brackets if other is not own for body in other.bodies]
        more = tuple(body_obstacle(name, extent, frame.then(pose)) for name, extent, pose in bodies)
        boxes = self._boxed if boxed else ()
        return replace(self.empty, keep_outs=(*self.empty.keep_outs, *boxes, *more, *solid))

    def parts(self, one: BracketDesign, skip: tuple[str, ...], bolts: tuple[Hardware, ...]) -> tuple[Obstacle, ...]:
        """Flats of a bracket as boxes around each, less those it names, and heads of its bolts."""
        frame = self.arrangement.frame
        flats = [(name, extent, frame.then(pose)) for name, extent, pose in _flats(one) if name not in skip]
        heads = [(f"head of {h.number}", _head(h), frame.then(axis_pose(h.head_mm, h.axis))) for h in bolts]
        return tuple(body_obstacle(name, extent, pose) for name, extent, pose in (*flats, *heads))

    def tool(self, one: Hardware, around: Bay, down_mm: float = 0.0) -> tuple[Tool | None, str, float]:
        """The handiest tool that goes on a bolt, else what keeps out each, in words; the way out of the bay."""
        frame = self.arrangement.frame
        out = way_out_mm(one, frame, self.bay) + BEYOND_MM
        tools = tools_for(one, out, down_mm)
        around = near(one, frame, around, out)
        for tool in tools:
            if goes_in(tool, one, frame, around):
                return tool, "", out
        blocked = [(tool.name, what_blocks(tool, one, frame, around)) for tool in tools]
        least = {b.what: f"{name}: {b.what} by {b.by_mm:.1f} mm" for name, b in sorted(blocked, key=lambda p: -p[1].by_mm)}
        return None, ", ".join(least.values()), out


def _flats(one: BracketDesign) -> Iterator[tuple[str, Extent, Pose]]:
    for plate in one.plates:
        if isinstance(plate, Plate):
            yield from ((f"{plate.name} {plate.number}", e, plate.pose) for e in _slabs(plate.profile, plate.thickness_mm))
            continue
        names = ("leg", "foot")
        profiles = [plate.root, *(flange.profile for flange in plate.flanges)]
        for name, profile, pose in zip(names, profiles, flat_poses(plate), strict=False):
            around = plate.pose.then(pose)
            yield from ((f"{name} of {plate.number}", e, around) for e in _slabs(profile, plate.thickness_mm))


def _slabs(profile: Profile, thickness_mm: float) -> list[Extent]:
    """Boxes around a flat: STRIPS of them across its own x, so that a gusset's slope counts nearly as it is."""
    outline = shapely.Polygon([(x, y) for x, y, _ in profile.outline])
    low, _, high, _ = outline.bounds
    ends = np.linspace(low, high, STRIPS + 1)
    strips = [outline.intersection(shapely.box(a, -1e4, b, 1e4)).bounds for a, b in pairwise(ends)]
    return [Extent((x0, y0, 0.0), (x1, y1, thickness_mm)) for x0, y0, x1, y1 in strips]


def _head(one: Hardware) -> Extent:
    size = bolt(one.size)
    half = size.hex_af_mm / 2.0
    return Extent((-half, -half, -size.hex_height_mm), (half, half, 0.0))


def _bench(box: BoxDesign) -> ToolWay:
    names = tuple(h.number for h in box.hardware if h.group not in ("lid", "cover"))
    return ToolWay(names, "bars, modules and equipment", ON_BENCH, "", True, "nothing stands around")


def _angle(room: _Room, one: BracketDesign, side: str | None) -> list[ToolWay]:
    """Leg bolts on the bench where the bracket goes in with the box; mount bolts with the box in its place."""
    frame = room.arrangement.frame
    legs = tuple(h for h in one.hardware if h not in one.mount_bolts)
    names = tuple(h.number for h in legs)
    stops = [stopped_by(room.bay, extent, frame.then(pose), side) for _, extent, pose in one.bodies] if side else []
    stop = next((s for s in stops if s), None)
    what = f"leg bolts of {one.number}"
    if side and stop is None:
        first = [ToolWay(names, what, ON_BENCH, "", True, f"the bracket goes in with the box, straight from {side}")]
    else:
        around = room.around(one, True, room.parts(one, (f"leg of {one.number}",), ()))
        why = (
            f"on the box the bracket would meet {stop} on its way in, so it follows the box"
            if side
            else "the box's way in is not straight: the bracket is taken to follow the box"
        )
        first = _each(room, what, IN_PLACE, legs, around, why)
    foot = (f"foot of {one.number}",)
    around = room.around(one, True, room.parts(one, foot, legs))
    return [*first, *_mounts(room, one, IN_PLACE, around)]


def _mounts(room: _Room, one: BracketDesign, when: str, around: Bay) -> list[ToolWay]:
    found: list[ToolWay] = []
    for mount, fastener in zip(one.plan.mounts, one.mount_bolts, strict=True):
        nut = "hold the nut from the other side, outside the measured bay" if fastener.nuts else ""
        down = 0.0 if one.column is None else one.plan.stand_mm(mount) - one.thickness_mm
        found += _each(room, f"mount bolt at {mount.name!r}", when, (fastener,), around, nut, down)
    return found


def _standoff(room: _Room, one: BracketDesign) -> list[ToolWay]:
    """To the vehicle first, the socket through the spreader; to the box once it stands, from the spreader's far side."""
    legs = tuple(h for h in one.hardware if h not in one.mount_bolts)
    first = _mounts(room, one, BEFORE, room.around(one, False))
    around = room.around(one, True, room.parts(one, (f"{one.angle.name} {one.number}",), ()))
    return [*first, *_each(room, f"bolts of the spreader of {one.number}", IN_PLACE, legs, around, "")]


def _closing(room: _Room, what: str, bolts: list[Hardware]) -> list[ToolWay]:
    if not bolts:
        return []
    # what they close is the outermost body of the box there: only what hangs on it and the bay can be in the way
    frame = room.arrangement.frame
    hung = tuple(body_obstacle(e.kind.name, e.extent, frame) for e in room.arrangement.equipment if e.outside)
    around = room.around(None, False, hung)
    return _each(room, what, IN_PLACE, tuple(bolts), around, "")


def _each(
    room: _Room, what: str, when: str, bolts: tuple[Hardware, ...], around: Bay, note: str, down_mm: float = 0.0
) -> list[ToolWay]:
    """Bolts with the same answer together."""
    alike: dict[tuple[str, bool, str], list[str]] = {}
    for one in bolts:
        tool, blocked, out = room.tool(one, around, down_mm)
        to = _towards(room, one)
        if tool is not None:
            far = "" if tool.handle_mm else f" of {out:.0f} mm or more"
            alike.setdefault((f"{tool.name}{far} from {to}", True, note), []).append(one.number)
        else:
            said = "; ".join(t for t in (f"in the way: {blocked}", note, _remedy(what, when)) if t)
            alike.setdefault((f"from {to}", False, said), []).append(one.number)
    return [ToolWay(tuple(names), what, when, tool, ok, said) for (tool, ok, said), names in alike.items()]


def _towards(room: _Room, one: Hardware) -> str:
    to = np.array(axis_ends(one, room.arrangement.frame)[1])
    axis = int(np.argmax(np.abs(to)))
    return f"{'+' if to[axis] > 0.0 else '-'}{'xyz'[axis]}"


def _remedy(what: str, when: str) -> str:
    jointed = "a jointed or crow's-foot tool was not looked at"
    if what in ("lid bolts", "cover screws"):
        return f"put these in on the bench, before the box goes in, or take out what is in the way for it; {jointed}"
    if when == BEFORE:
        return f"take out what is in the way for it; {jointed}"
    if "leg bolts" in what:
        return f"take out what is in the way for it, or bring the box in another way; {jointed}"
    return f"take out what is in the way for it, or choose another arrangement or kind of bracket at this mount; {jointed}"
