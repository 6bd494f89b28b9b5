"""Will the box go in? A way for it from outside to its place, by straight moves, with one turn about the vertical at most.

The box comes without its brackets, and the vehicle's side carries none yet. All pieces move together, turned as they
stand at their place. On the way they keep WAY_CLEARANCE_MM from everything (margins of keep-outs and scan added), less
than the clearance at rest. The bay is open on the sides the job names (see opened.py).

First a straight pull out to each side is judged exactly, over the whole swept volume. Where none is free, offsets on a
lattice are searched; cells and moves are conservative, so a way found is a true way, and a way that is not found is not
there to within the step. Last, one turn near the place is tried (see turning.py).
"""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

import numpy as np

from layout.arrangement import Insertion
from layout.frames import DIRECTIONS, Array, Extent, Pose, vec3
from layout.space.cells import Lines
from layout.space.grid import Flags, surely_free
from layout.space.judge import OUTSIDE, distance_to, inside_free_space, is_clear, least_clearance, too_near
from layout.space.lines import grid_lines
from layout.space.model import Bay
from layout.space.obstacle import Obstacle
from layout.space.offsets import Lattice, joined, lattice_of, offset_axes, shortest
from layout.space.opened import opened, outermost
from layout.space.turning import turns

__all__ = ["WAY_CLEARANCE_MM", "insertion_path", "stopped_by"]

WAY_CLEARANCE_MM = 3.0
"""Clearance on the way in: common practice for a box let down by hand or hoist, no source."""
STEP_MM = 15.0
BIG_CELLS = 1_500_000

Pieces = tuple[tuple[str, Extent], ...]


def insertion_path(
    bay: Bay, pieces: Pieces, pose: Pose, insert_from: tuple[str, ...], clearance_mm: float = WAY_CLEARANCE_MM
) -> Insertion:
    """A way of the pieces (named boxes in the pack's frame, which lies at `pose`) from outside to their place.

    Way-points are places of the middle of the first piece, vehicle axes, from outside to its place. Where there is no
    way the note names the tightest place and by how much the box is too large there.
    """
    sides = tuple(dict.fromkeys(insert_from))
    space = opened(bay, sides)
    if space is bay:
        return Insertion(False, (), f"the bay has no flat outermost face towards {' or '.join(sides)} to come in by")
    own = [p for _, p in pieces]
    for side in sides:
        length = _way_out(bay, own, pose, side)
        if _pull(space, own, pose, length * np.array(DIRECTIONS[side]), clearance_mm):
            path = [pose.inverse_vector(length * np.array(DIRECTIONS[side])), np.zeros(3)]
            return _found(space, pieces, pose, path, f"straight in from {side}")
    return _searched(bay, space, pieces, pose, sides, clearance_mm)


def _way_out(bay: Bay, pieces: list[Extent], pose: Pose, side: str) -> float:
    """How far the pieces must go towards a side to be wholly outside."""
    out = np.array(DIRECTIONS[side])
    rearmost = min(float((pose.point(p.corners()) @ out).min()) for p in pieces)
    return outermost(bay, side) - rearmost + 1.0


def _pull(bay: Bay, pieces: list[Extent], pose: Pose, by_mm: Array, clearance_mm: float) -> bool:
    """Whether the pieces can be moved straight by a vector (vehicle axes).

    Exact along the frame's axes; else judged in boxes around 3 mm of the way at a time.
    """
    own = pose.inverse_vector(by_mm)
    slanted = np.count_nonzero(np.abs(own) > 1e-9) > 1
    stages = int(np.ceil(np.linalg.norm(own) / 3.0)) if slanted else 1
    for piece in pieces:
        low, high = np.array(piece.min_mm), np.array(piece.max_mm)
        for stage in range(stages):
            a, b = own * (stage / stages), own * ((stage + 1) / stages)
            swept = Extent(vec3(low + np.minimum(a, b)), vec3(high + np.maximum(a, b)))
            if not is_clear(bay, swept, pose, clearance_mm):
                return False
    return True


def stopped_by(bay: Bay, piece: Extent, pose: Pose, side: str) -> str:
    """What one body (own axes, at a pose in vehicle axes) meets when it is pulled straight out to a side; "" where nothing."""
    space = opened(bay, (side,))
    by_mm = _way_out(bay, [piece], pose, side) * np.array(DIRECTIONS[side])
    if _pull(space, [piece], pose, by_mm, 0.0):
        return ""
    own = pose.inverse_vector(by_mm)
    stages = int(np.ceil(np.linalg.norm(own) / STEP_MM))
    steps = (_swept(piece, own * (k / stages), own * ((k + 1) / stages)) for k in range(stages))
    return next((name for step in steps if (name := too_near(space, step, pose, 0.0))), "the bay")


def _found(bay: Bay, pieces: Pieces, pose: Pose, offsets: list[Array], how: str) -> Insertion:
    """The answer for a way given as offsets (pack frame) from outside to the place; the least clearance is looked up."""
    middle = np.array(pieces[0][1].centre_mm)
    path = tuple(vec3(pose.point(middle + o)) for o in offsets)
    least, name, where = _least_on_way(bay, pieces, pose, offsets)
    at = ", ".join(f"{v:.0f}" for v in pose.point(middle + where))
    tight = f"; least clearance met {least:.1f} mm, {name}, with the box at ({at})" if name else "; 50 mm or more all the way"
    return Insertion(True, path, how + tight)


def _least_on_way(bay: Bay, pieces: Pieces, pose: Pose, offsets: list[Array]) -> tuple[float, str, Array]:
    """Least clearance on a way (at most 50 mm), what it is to, and the offset; over the whole way where it is along axes."""
    least, name, where = 50.0, "", offsets[-1]
    for a, b in pairwise(offsets):
        slanted = np.count_nonzero(np.abs(b - a) > 1e-9) > 1
        legs = list(pairwise(_along([a, b], 25.0))) if slanted else [(a, b)]
        for start, end in legs:
            for _, piece in pieces:
                got, what = least_clearance(bay, _swept(piece, start, end), pose, least)
                if what and got < least:
                    near = next(o for o in bay.obstacles if o.name == what) if what != OUTSIDE else None
                    least, name, where = got, what, _where_nearest(near, piece, pose, _along([start, end], 25.0))
    return least, name, where


def _where_nearest(obstacle: Obstacle | None, piece: Extent, pose: Pose, offsets: list[Array]) -> Array:
    """Of some offsets the first at which a piece is nearest to an obstacle."""
    if obstacle is None:
        return offsets[0]
    reach = 50.0 + obstacle.margin_mm
    away = [distance_to(obstacle, _moved(piece, o), pose, reach)[0] for o in offsets]
    return offsets[int(np.argmin(np.round(away, 3)))]


def _swept(piece: Extent, start: Array, end: Array) -> Extent:
    """What a piece sweeps between two offsets along one axis (a box around it for a slanted move)."""
    low, high = np.array(piece.min_mm), np.array(piece.max_mm)
    return Extent(vec3(low + np.minimum(start, end)), vec3(high + np.maximum(start, end)))


def _moved(piece: Extent, offset: Array) -> Extent:
    return Extent(vec3(np.array(piece.min_mm) + offset), vec3(np.array(piece.max_mm) + offset))


def _along(offsets: list[Array], step_mm: float) -> list[Array]:
    """Points along a way, no further apart than a step."""
    points = [offsets[0]]
    for a, b in pairwise(offsets):
        parts = max(1, int(np.ceil(np.linalg.norm(b - a) / step_mm)))
        points += [a + (b - a) * (k / parts) for k in range(1, parts + 1)]
    return points


@lru_cache(maxsize=6)
def _cells(bay: Bay, frame: Pose, clearance_mm: float, step_mm: float) -> tuple[Lines, Flags]:
    lines = grid_lines(bay, frame, clearance_mm, step_mm, 0.0)
    return lines, surely_free(bay, frame, lines, clearance_mm)


def _searched(bay: Bay, space: Bay, pieces: Pieces, pose: Pose, sides: tuple[str, ...], clearance_mm: float) -> Insertion:
    lines, free = _cells(space, pose, clearance_mm, STEP_MM)
    own = [p for _, p in pieces]
    axes = offset_axes(lines, own, STEP_MM)
    lattice = lattice_of(free, lines, own, axes)
    goals = _outside(bay, lattice, own, pose, sides)
    start, lead = _first_free(space, lattice, own, pose, sides, clearance_mm)
    path = shortest(lattice, start, goals) if start >= 0 else []
    if path:
        offsets = _corners([*lead, *(lattice.offset(n) for n in path)])
        return _found(space, pieces, pose, offsets[::-1], f"in {len(offsets) - 1} straight moves")
    turned = _with_a_turn(bay, space, own, pose, sides, clearance_mm)
    if turned is not None:
        return turned
    return _blocked(bay, space, pieces, pose, sides, clearance_mm)


def _with_a_turn(
    bay: Bay, space: Bay, pieces: list[Extent], pose: Pose, sides: tuple[str, ...], clearance_mm: float
) -> Insertion | None:
    for side in sides:
        for turn in turns(space, pieces, pose, side, clearance_mm):
            out = _way_out(bay, pieces, turn.pose, side) * np.array(DIRECTIONS[side])
            if not _pull(space, pieces, turn.pose, out, clearance_mm):
                continue
            middle = pose.point(pieces[0].centre_mm)
            way = (middle + turn.lift_mm + out, middle + turn.lift_mm, middle)
            off = f", {np.linalg.norm(turn.lift_mm):.0f} mm off its place" if turn.lift_mm.any() else ""
            how = f"turned by {turn.angle_deg:.0f} degrees about the vertical and turned back{off}"
            return Insertion(True, tuple(vec3(p) for p in way), f"straight in from {side}, {how}")
    return None


def _outside(bay: Bay, lattice: Lattice, pieces: list[Extent], pose: Pose, sides: tuple[str, ...]) -> Flags:
    """Offsets at which all pieces lie outside of the bay on one of the sides."""
    outside = np.zeros(lattice.free.shape, dtype=bool)
    for side in sides:
        out = pose.inverse_vector(DIRECTIONS[side])
        x, y, z = (a * c for a, c in zip(lattice.axes, out, strict=True))
        away = x[:, None, None] + y[None, :, None] + z[None, None, :]
        outside |= away >= _way_out(bay, pieces, pose, side) - 1.0
    return outside & lattice.free


def _first_free(
    space: Bay, lattice: Lattice, pieces: list[Extent], pose: Pose, sides: tuple[str, ...], clearance_mm: float
) -> tuple[int, list[Array]]:
    """The place itself where the lattice holds it free; else the nearest offset straight out that it does, judged exactly."""
    shape = lattice.free.shape
    if lattice.free[lattice.start]:
        return int(np.ravel_multi_index(lattice.start, shape)), []
    for side in sides:
        out = pose.inverse_vector(DIRECTIONS[side])
        axis = int(np.argmax(np.abs(out)))
        if abs(out[axis]) < 1.0 - 1e-9:
            continue
        node = list(lattice.start)
        for _ in range(20):
            node[axis] += int(np.sign(out[axis]))
            if not 0 <= node[axis] < shape[axis]:
                break
            flat = int(np.ravel_multi_index(tuple(node), shape))
            if lattice.free[tuple(node)]:
                ok = _pull(space, pieces, pose, pose.vector(lattice.offset(flat)), clearance_mm)
                return (flat, [np.zeros(3)]) if ok else (-1, [])
    return -1, []


def _corners(offsets: list[Array]) -> list[Array]:
    """The way without the points at which it does not turn."""
    kept = [offsets[0]]
    for k in range(1, len(offsets) - 1):
        before, after = offsets[k] - kept[-1], offsets[k + 1] - offsets[k]
        if np.linalg.norm(np.cross(before, after)) > 1e-6 or before @ after < 0.0:
            kept.append(offsets[k])
    return [*kept, offsets[-1]]


def _blocked(bay: Bay, space: Bay, pieces: Pieces, pose: Pose, sides: tuple[str, ...], clearance_mm: float) -> Insertion:
    """No way: how much smaller the box would have to be on every side, and what stands in its way at the tightest place."""
    lines, free = _cells(space, pose, clearance_mm, STEP_MM)
    own = [p for _, p in pieces]
    step = STEP_MM if np.prod(lines.shape) > BIG_CELLS / 8 else STEP_MM / 2.0

    def smaller(by_mm: float) -> tuple[Lattice, int, Flags]:
        small = [_shrunk(p, by_mm) for p in own]
        lattice = lattice_of(free, lines, small, offset_axes(lines, small, step))
        start = int(np.ravel_multi_index(lattice.start, lattice.free.shape))
        return lattice, start, _outside(bay, lattice, own, pose, sides)

    low, high = 0.0, max(max(p.size_mm) for p in own) / 2.0
    if not joined(*smaller(high)):
        return Insertion(False, (), f"no way in from {' or '.join(sides)}: closed off whatever the size of the box")
    while high - low > 1.0:
        middle = (low + high) / 2.0
        low, high = (low, middle) if joined(*smaller(middle)) else (middle, high)
    lattice, start, goals = smaller(high)
    path = [lattice.offset(n) for n in shortest(lattice, start, goals)]
    between, place = _tightest(space, pieces, pose, path, clearance_mm)
    at = ", ".join(f"{v:.0f}" for v in place)
    said = f"no way in from {' or '.join(sides)} with {clearance_mm:.0f} mm clearance: tightest by {between} near ({at})"
    return Insertion(False, (), f"{said}; a box {high:.0f} mm smaller on every side would pass (to within {step:.0f} mm)")


def _shrunk(piece: Extent, by_mm: float) -> Extent:
    """The piece with every face moved inward, but never thinner than 2 mm."""
    half = np.maximum(np.array(piece.size_mm) / 2.0 - by_mm, 1.0)
    middle = np.array(piece.centre_mm)
    return Extent(vec3(middle - half), vec3(middle + half))


def _tightest(bay: Bay, pieces: Pieces, pose: Pose, path: list[Array], clearance_mm: float) -> tuple[str, Array]:
    """Where along a way the full-size pieces want most room in all: what they meet there, the worst first, and the place."""
    most, between, place = 0.0, "the opening", pose.point(pieces[0][1].centre_mm)
    for offset in path[:: max(1, len(path) // 24)]:
        short: dict[str, tuple[float, Array]] = {}
        for what, piece in pieces:
            for v in inside_free_space(bay, _moved(piece, offset), pose, clearance_mm, what):
                lack, _ = short.get(v.with_what, (0.0, place))
                if v.want_mm - v.got_mm > lack:
                    short[v.with_what] = (v.want_mm - v.got_mm, np.array(v.place_mm))
        if sum(lack for lack, _ in short.values()) > most:
            ranked = sorted(short, key=lambda name: -short[name][0])
            most, between, place = sum(lack for lack, _ in short.values()), " and ".join(ranked[:3]), short[ranked[0]][1]
    return between, place
