"""Tabs and slots by which the plates of a welded box fix one another before they are welded. Pack frame.

Each wall's lower edge has tabs that stand in slots of the floor's edge, the ends of fore and aft walls have tabs in slots of
the edges of left and right walls. A tab is as long as the sheet is thick, so that nothing stands out, and its seam runs on
beside it: the weld's length is that of the edge. Tips of tabs and mouths of slots are chamfered, so that no inner corner of
a cut, which is never sharp, is met by an edge.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from layout.box.shell import Shell
from layout.box.walls import WALLS, along
from layout.checks.rule import Source
from layout.design import Loop, Plate
from layout.design.geometry import hole_polygon, loop_extent_mm
from layout.design.sheet_rules import Finding
from layout.errors import DesignError
from layout.frames import DIRECTIONS, Array, Extent, Vec3, vec3
from layout.tables import tolerance_mm

WIDTH_T = 6.0
LEAST_WIDTH_MM = 20.0
"""Width of a tab: six times the sheet, at least 20 mm (common practice, no source)."""
PITCH_MM = 180.0
"""Greatest distance of tabs that is aimed at; two on every edge at least (common practice, no source)."""
APART_T = 3.0
"""From a tab to corners, holes, bars and other tabs, in thicknesses (common practice, no source)."""
CHAMFER_T = 0.25
WIDTH_SOURCE = Source("tab six times the sheet wide, at least 20 mm: common practice, no source", "memory")
PLAY_SOURCE = Source("slot larger by the cut's tolerance on each side: guide of a laser cutting service; ISO 9013-1", "seen")
APART_SOURCE = Source("three thicknesses from corners, holes, bars and other tabs: common practice, no source", "memory")
TOUCH_MM = 0.5
USUAL_TOLERANCE_MM = 0.2
"""Where the tolerance table gives no figure."""


@dataclass(frozen=True)
class Joint:
    """Two edges that meet: the one with tabs on `tabbed`, with slots on `slotted`. start, end: pack points on the common edge
    between which tabs may stand; out: outward normal of the tabbed plate's edge. keep_off: from start, least and greatest.
    """

    tabbed: str
    slotted: str
    start_mm: Vec3
    end_mm: Vec3
    out: Vec3
    slot_out: Vec3
    keep_off_mm: tuple[tuple[float, float], ...] = ()

    @property
    def length_mm(self) -> float:
        """Distance of the two ends."""
        return math.dist(self.start_mm, self.end_mm)


@dataclass(frozen=True)
class _Feature:
    """Something on one side of a plate's rectangle: from low to high along it, out by depth (in where negative)."""

    side: str
    low: float
    high: float
    depth: float


@dataclass(frozen=True)
class Located:
    """Panels with tabs and slots; notes on edges that have fewer than two tabs; the rules of tabs applied to each."""

    panels: dict[str, Plate]
    notes: tuple[str, ...]
    findings: tuple[Finding, ...] = ()


def with_tabs(panels: dict[str, Plate], others: tuple[Plate, ...], inside: Extent, shell: Shell) -> Located:
    """The panels with tabs and slots, clear of the other plates that touch their edges.

    Raises:
        DesignError: a panel that is not a plain rectangle.
    """
    for plate in panels.values():
        _require_rectangle(plate)
    t = shell.sheet_mm
    width = max(WIDTH_T * t, LEAST_WIDTH_MM)
    features: dict[str, list[_Feature]] = {name: [] for name in panels}
    notes, findings = [], []
    play = play_mm(width, t)
    for joint in joints(panels, others, inside, shell):
        middles = tab_places(joint, width, APART_T * t)
        if len(middles) < 2:
            edge = f"{panels[joint.tabbed].name} to {panels[joint.slotted].name}"
            notes.append(f"Tabs: {len(middles)} of 2 find room on the edge of {edge}: set it square by hand.")
        findings += _findings(panels[joint.tabbed].number, joint, middles, width, play, t)
        for middle in middles:
            features[joint.tabbed].append(_feature(panels[joint.tabbed], joint, joint.out, middle, width, t))
            slot = _feature(panels[joint.slotted], joint, joint.slot_out, middle, width + 2.0 * play, -(t + play))
            features[joint.slotted].append(slot)
    made = {name: _with(plate, features[name], CHAMFER_T * t) for name, plate in panels.items()}
    return Located(made, tuple(notes), tuple(findings))


def _findings(part: str, joint: Joint, middles: tuple[float, ...], width: float, play: float, t: float) -> list[Finding]:
    """Width, play and distances of the tabs on one edge, as rules with figure and limit."""
    found = []
    for k, middle in enumerate(middles, start=1):
        low, high = middle - width / 2.0, middle + width / 2.0
        others = [*joint.keep_off_mm, *((m - width / 2.0, m + width / 2.0) for m in middles if m != middle)]
        room = min(low, joint.length_mm - high, *(max(low - b, a - high) for a, b in others), math.inf)
        at = f"tab {k} into the {joint.slotted} panel"
        found += [
            Finding(part, "tab width", at, width, max(WIDTH_T * t, LEAST_WIDTH_MM), "mm", WIDTH_SOURCE),
            Finding(part, "play of a slot", at, play, play_mm(width, t), "mm", PLAY_SOURCE),
            Finding(part, "tab to its surroundings", at, room, APART_T * t, "mm", APART_SOURCE),
        ]
    return found


def play_mm(width_mm: float, thickness_mm: float) -> float:
    """What a slot is larger than its tab on each side: the tolerance of the cut (slot = tab and twice the tolerance of the
    cut: guide of a laser cutting service, seen; figure: ISO 9013, tolerance class 1)."""
    try:
        return tolerance_mm("ISO 9013", "1", width_mm, thickness_mm)
    except DesignError:
        return USUAL_TOLERANCE_MM


def joints(panels: dict[str, Plate], others: tuple[Plate, ...], inside: Extent, shell: Shell) -> list[Joint]:
    """Lower edges of the walls on the floor, and the four upright corners."""
    t, low, high = shell.sheet_mm, np.array(inside.min_mm), np.array(inside.max_mm)
    found = []
    for wall, direction in WALLS.items():
        w, axis = np.array(DIRECTIONS[direction]), along(wall)
        start, end = low.copy(), low.copy()
        face = np.where(w > 0, high, low)
        start[1 - axis] = end[1 - axis] = face[1 - axis]
        reach = t if wall in ("left", "right") else 0.0
        start[axis], end[axis] = low[axis] - reach, high[axis] + reach
        found.append(_joint(wall, "bottom", start, end, (0.0, 0.0, -1.0), vec3(w), panels, others))
    for end_wall in ("fore", "aft"):
        w = np.array(DIRECTIONS[WALLS[end_wall]])
        for side in ("left", "right"):
            s = np.array(DIRECTIONS[WALLS[side]])
            start = np.where(w + s > 0, high, low)
            end = start.copy()
            start[2], end[2] = low[2], high[2]
            found.append(_joint(end_wall, side, start, end, vec3(s), vec3(w), panels, others))
    return found


def _joint(
    tabbed: str, slotted: str, start: Array, end: Array, out: Vec3, slot_out: Vec3, panels: dict[str, Plate],
    others: tuple[Plate, ...],
) -> Joint:  # fmt: skip
    joint = Joint(tabbed, slotted, vec3(start), vec3(end), out, slot_out)
    t = panels[tabbed].thickness_mm
    keep = [k for name in (tabbed, slotted) for k in _holes_near(panels[name], joint)]
    return replace(joint, keep_off_mm=(*keep, *(k for plate in others for k in _bodies_at(plate, joint, t))))


def _along_edge(joint: Joint, points: Array) -> tuple[Array, Array]:
    """Place of pack points (n, 3) along the edge, and their distance from its line."""
    start = np.array(joint.start_mm)
    unit = (np.array(joint.end_mm) - start) / joint.length_mm
    away = points - start
    s = away @ unit
    return s, np.linalg.norm(away - s[:, None] * unit, axis=1)


def _holes_near(plate: Plate, joint: Joint) -> list[tuple[float, float]]:
    """Where holes come within six thicknesses of the edge."""
    found = []
    for hole in plate.profile.holes:
        ring = np.array(hole_polygon(hole, 0.1).exterior.coords)
        points = plate.pose.point(np.column_stack([ring, np.full(len(ring), plate.thickness_mm / 2.0)]))
        s, off = _along_edge(joint, points)
        if off.min() < 6.0 * plate.thickness_mm:
            found.append((float(s.min()), float(s.max())))
    return found


def _bodies_at(plate: Plate, joint: Joint, thickness_mm: float) -> list[tuple[float, float]]:
    """Where a bar, post or rib lies against the strip that the edge's tabs fill, face to face (not only along a line)."""
    x0, y0, x1, y1 = loop_extent_mm(plate.profile.outline)
    box = Extent((x0, y0, 0.0), (x1, y1, plate.thickness_mm)).seen_from(plate.pose)
    start, end = np.array(joint.start_mm), np.array(joint.end_mm)
    axis = int(np.argmax(np.abs(end - start)))
    reach = (np.array(joint.out) + np.array(joint.slot_out)) * thickness_mm  # the strip: from the line outward both ways
    gaps = []
    for a in (a for a in range(3) if a != axis):
        low, high = sorted((start[a], start[a] + reach[a]))
        gaps.append(max(low - box.max_mm[a], box.min_mm[a] - high))
    if max(gaps) > TOUCH_MM or min(gaps) > -TOUCH_MM:
        return []
    ends = sorted(float((v - start[axis]) * np.sign(end[axis] - start[axis])) for v in (box.min_mm[axis], box.max_mm[axis]))
    return [(ends[0], ends[1])] if ends[1] > 0.0 and ends[0] < joint.length_mm else []


def tab_places(joint: Joint, width_mm: float, apart_mm: float) -> tuple[float, ...]:
    """Middles of tabs along a joint: evenly spread, moved aside where something is in the way; rising."""
    room, half = joint.length_mm, width_mm / 2.0 + apart_mm
    count = max(2, math.ceil(room / PITCH_MM))
    taken = list(joint.keep_off_mm)
    placed: list[float] = []
    for k in sorted(range(count), key=lambda k: -abs(2 * k + 1 - count)):  # from the ends inward
        ideal = room * (2 * k + 1) / (2 * count)
        for step in range(int(room)):
            options = [p for p in (ideal + step, ideal - step) if half <= p <= room - half]
            good = [p for p in options if all(p + half <= a or p - half >= b for a, b in taken)]
            if good:
                placed.append(good[0])
                taken.append((good[0] - width_mm / 2.0, good[0] + width_mm / 2.0))
                break
    return tuple(sorted(placed))


def _feature(plate: Plate, joint: Joint, out: Vec3, middle: float, width_mm: float, depth_mm: float) -> _Feature:
    """A tab or slot in a plate's own plane, on the side whose outward normal is `out`."""
    unit = (np.array(joint.end_mm) - np.array(joint.start_mm)) / joint.length_mm
    own = plate.pose.inverse_vector(out)
    side = {(0, -1): "bottom", (1, 0): "right", (0, 1): "top", (-1, 0): "left"}[(round(own[0]), round(own[1]))]
    ends = [plate.pose.inverse_point(np.array(joint.start_mm) + unit * (middle + k * width_mm / 2.0)) for k in (-1, 1)]
    axis = 0 if side in ("bottom", "top") else 1
    low, high = sorted(float(p[axis]) for p in ends)
    return _Feature(side, low, high, depth_mm)


def _with(plate: Plate, features: list[_Feature], chamfer: float) -> Plate:
    x0, y0, width, height = loop_extent_mm(plate.profile.outline)
    assert x0 == y0 == 0.0
    outline: list[tuple[float, float, float]] = []
    for side in ("bottom", "right", "top", "left"):
        length = width if side in ("bottom", "top") else height
        mine = [f for f in features if f.side == side]
        if side in ("top", "left"):  # run against the own axis
            mine = [_Feature(side, length - f.high, length - f.low, f.depth) for f in mine]
        outline.append((*_on(side, 0.0, 0.0, width, height), 0.0))
        for f in sorted(mine, key=lambda one: one.low):
            outline += [(*_on(side, s, n, width, height), 0.0) for s, n in _shape(f, chamfer)]
    return replace(plate, profile=replace(plate.profile, outline=tuple(outline)))


def _shape(f: _Feature, c: float) -> list[tuple[float, float]]:
    """Corners along a side: s along it, n outward."""
    d = f.depth
    if d > 0.0:
        return [(f.low, 0.0), (f.low, d - c), (f.low + c, d), (f.high - c, d), (f.high, d - c), (f.high, 0.0)]
    return [(f.low - c, 0.0), (f.low, -c), (f.low, d), (f.high, d), (f.high, -c), (f.high + c, 0.0)]


def _on(side: str, s: float, n: float, width: float, height: float) -> tuple[float, float]:
    places = {"bottom": (s, -n), "right": (width + n, s), "top": (width - s, height + n), "left": (-n, height - s)}
    return places[side]


def _require_rectangle(plate: Plate) -> None:
    outline: Loop = plate.profile.outline
    x0, y0, x1, y1 = loop_extent_mm(outline)
    corners = {(x0, y0), (x1, y0), (x1, y1), (x0, y1)}
    if len(outline) != 4 or {v[:2] for v in outline} != corners or (x0, y0) != (0.0, 0.0):
        raise DesignError(
            f"{plate.number} {plate.name}", "tabs are for plates with four square corners", f"{len(outline)} corners",
            'Use locating = "none" (job file: box.locating).',
        )  # fmt: skip
