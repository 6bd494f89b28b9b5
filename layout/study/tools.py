"""The room that tools need at a bolt's head: envelopes along its axis, held against what stands around it.

An envelope begins at the head's seat and looks away from the bolt's tip. It is a column round the axis, and for tools with a
handle one of twelve places of the handle and the next one, 30 degrees on: a ring spanner or a socket can then be set anew and
the bolt be turned all the way. Columns are judged as square bars around them, in six positions 15 degrees apart, of which one
must be free: a tool said to fit fits; one said not to may still slip past a wall by an eighth of its radius.

All sizes are common practice without a source: ordinary hand tools for hexagon heads, half-inch drive from M10, three-eighths
below.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from layout.design.hardware import axis_pose
from layout.design.parts import Hardware
from layout.frames import Extent, Pose, Vec3, vec3
from layout.space.judge import inside_free_space, too_near
from layout.space.model import Bay
from layout.tables import bolt

SOCKET_MM = 50.0
"""Length of a socket over the bolt's seat."""
EXTENSION_MM = 22.0
"""Diameter of a half-inch extension bar with its ball end; three-eighths are thinner."""
EXTENSIONS_MM = (75.0, 125.0, 250.0)
"""Usual lengths of extension bars."""
RATCHET_MM = 40.0
"""Height of a ratchet's head on the socket, and its width."""
RATCHET_HANDLE_MM = (170.0, 34.0, 30.0)
"""Reach from the axis, width and height of a ratchet's handle."""
RING_MM = 14.0
"""Height of a ring spanner over the head."""
RING_WIDE = 1.55
"""Its outside over the width across flats."""
RING_HANDLE_MM = (150.0, 22.0, 14.0)
"""Reach, width and height of its handle, which stands off level with its ring or a little higher."""
PLAY_MM = 1.5
POSITIONS = 6
PLACES = 12
STEP_DEG = 360.0 / PLACES
OFF_MM = 0.05
"""Above the seat: what the washer lies on is not in the way."""

Handle = tuple[float, float, float]


@dataclass(frozen=True)
class Tool:
    """column_mm: (diameter, from, to) along the axis from the seat; handle_mm: reach, width, height; handle_at_mm: its foot."""

    name: str
    column_mm: tuple[tuple[float, float, float], ...]
    handle_mm: Handle | None = None
    handle_at_mm: float = 0.0


@dataclass(frozen=True)
class Blocked:
    """What keeps a tool out: name, and by how much the envelope would have to be slimmer."""

    what: str
    by_mm: float


def tools_for(one: Hardware, out_mm: float, down_mm: float = 0.0) -> tuple[Tool, ...]:
    """Tools for a bolt, the handiest first. out_mm: from its seat out of everything; down_mm: how deep the seat lies in a hole
    or column through which the tool must pass.
    """
    size = bolt(one.size)
    wide = size.socket_outside_mm + 2.0 * PLAY_MM
    back = max(SOCKET_MM, down_mm)
    out = max(out_mm, back + 1.0)
    found = [Tool("socket on an extension", ((wide, OFF_MM, SOCKET_MM), (EXTENSION_MM, SOCKET_MM, out)))]
    for bar in (0.0, *EXTENSIONS_MM):
        at = back + bar
        if bar and at + RATCHET_MM > out:
            break  # beyond the bay: the first of all
        name = f"socket, {bar:g} mm extension and ratchet" if bar else "socket and ratchet"
        stem = ((wide, OFF_MM, back), (EXTENSION_MM, back, at)) if bar else ((wide, OFF_MM, back),)
        found.append(Tool(name, (*stem, (RATCHET_MM, at, at + RATCHET_MM)), RATCHET_HANDLE_MM,
                          at + RATCHET_MM - RATCHET_HANDLE_MM[2]))  # fmt: skip
    if one.kind != "cap screw" and down_mm == 0.0:
        high = size.hex_height_mm + RING_MM
        column = ((RING_WIDE * size.hex_af_mm + PLAY_MM, OFF_MM, high),)
        found.append(Tool("ring spanner", column, RING_HANDLE_MM, high - RING_HANDLE_MM[2]))
    return tuple(found)


def near(one: Hardware, frame: Pose, around: Bay, out_mm: float) -> Bay:
    """The surroundings without the bodies that no tool on a bolt can come near."""
    seat, reach = _seat(one, frame), RATCHET_HANDLE_MM[0] + RATCHET_MM
    whole = Extent((-reach, -reach, 0.0), (reach, reach, max(out_mm, 2.0 * reach))).seen_from(seat)
    kept = [o for o in around.keep_outs if np.all(o.low <= whole.max_mm) and np.all(o.high >= whole.min_mm)]
    return replace(around, keep_outs=tuple(kept))


def goes_in(tool: Tool, one: Hardware, frame: Pose, around: Bay) -> bool:
    """Whether a tool can be set on a bolt and turned. frame: of the pack; around: what the tool must keep clear of."""
    seat = _seat(one, frame)
    if any(_blocked_column(around, body, seat) for body in _columns(tool)):
        return False
    if tool.handle_mm is None:
        return True
    free = [_free(tool, seat, around, k) for k in range(PLACES)]
    return any(free[k] and free[(k + 1) % PLACES] for k in range(PLACES))


def what_blocks(tool: Tool, one: Hardware, frame: Pose, around: Bay) -> Blocked:
    """What keeps a tool out that does not go in: at its column, else at its handle in the two places that meet the least."""
    seat = _seat(one, frame)
    for body in _columns(tool):
        if _blocked_column(around, body, seat):
            return _worst(around, body, seat)
    free = [_free(tool, seat, around, k) for k in range(PLACES)]
    at = max(range(PLACES), key=lambda k: free[k] + free[(k + 1) % PLACES])
    turned = [seat.then(_about(k * STEP_DEG)) for k in (at, at + 1)]
    return max((_worst(around, _handle(tool), pose) for pose in turned), key=lambda found: found.by_mm)


def _seat(one: Hardware, frame: Pose) -> Pose:
    return frame.then(axis_pose(one.head_mm, vec3(-np.array(one.axis))))


def _columns(tool: Tool) -> list[Extent]:
    return [Extent((-d / 2.0, -d / 2.0, low), (d / 2.0, d / 2.0, high)) for d, low, high in tool.column_mm]


def _blocked_column(around: Bay, body: Extent, seat: Pose) -> bool:
    return all(too_near(around, body, seat.then(_about(90.0 * k / POSITIONS)), 0.0) for k in range(POSITIONS))


def _about(degrees: float) -> Pose:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return Pose((0.0, 0.0, 0.0), ((c, s, 0.0), (-s, c, 0.0), (0.0, 0.0, 1.0)))


def _handle(tool: Tool) -> Extent:
    assert tool.handle_mm is not None
    reach, width, height = tool.handle_mm
    return Extent((0.0, -width / 2.0, tool.handle_at_mm), (reach, width / 2.0, tool.handle_at_mm + height))


def _free(tool: Tool, seat: Pose, around: Bay, place: int) -> bool:
    return not too_near(around, _handle(tool), seat.then(_about(place * STEP_DEG)), 0.0)


def _worst(around: Bay, body: Extent, pose: Pose) -> Blocked:
    found = inside_free_space(around, body, pose, 0.0)
    worst = min(found, key=lambda fault: fault.got_mm, default=None)
    return Blocked("", 0.0) if worst is None else Blocked(worst.with_what, -worst.got_mm)


def axis_ends(one: Hardware, frame: Pose) -> tuple[Vec3, Vec3]:
    """Seat and direction of the tool, vehicle axes."""
    return vec3(frame.point(one.head_mm)), vec3(frame.vector(vec3(-np.array(one.axis))))


def way_out_mm(one: Hardware, frame: Pose, around: Bay) -> float:
    """From a bolt's seat along its axis to beyond the bay's bounds."""
    at, to = axis_ends(one, frame)
    low, high = np.array(around.extent.min_mm), np.array(around.extent.max_mm)
    lengths = list(_lengths(np.array(at), np.array(to), low, high))
    return max(min(lengths, default=SOCKET_MM), SOCKET_MM + 1.0)


def _lengths(at: np.ndarray, to: np.ndarray, low: np.ndarray, high: np.ndarray) -> Iterator[float]:
    for axis in range(3):
        if abs(to[axis]) > 1e-9:
            end = high[axis] if to[axis] > 0.0 else low[axis]
            yield float((end - at[axis]) / to[axis])
