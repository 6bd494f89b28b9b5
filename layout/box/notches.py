"""Bars that end under the lid flange leave room for the nuts of the lid bolts and for a socket on them."""

from __future__ import annotations

from layout.box.lid import lid_bolt_places
from layout.box.shell import Shell
from layout.design import Loop
from layout.frames import Extent, Pose
from layout.tables import bolt

PLAY_MM = 2.0
"""Between the socket on a nut and the sides of its notch; above the bolt's end."""
PRONG_MM = 5.0
"""A notch that would leave less metal than this beside it runs out of the bar's side (common practice, no source)."""


def notched(width_mm: float, height_mm: float, pose: Pose, inside: Extent, shell: Shell) -> Loop:
    """Outline of an upright bar, its top edge cut out where a lid bolt comes down. pose: the bar's own frame."""
    size = bolt(shell.lid_bolt)
    half = max(size.socket_outside_mm, size.washer_outer_mm) / 2.0 + PLAY_MM
    depth = max(shell.flange_below_mm + PLAY_MM - shell.fold_radius_mm, 0.0)
    cuts = []
    for x, y in lid_bolt_places(inside, shell):
        u, _, w = pose.inverse_point((x, y, inside.max_mm[2]))
        if 0.0 <= w <= shell.side_mm and -half < u < width_mm + half:
            low, high = float(u) - half, float(u) + half
            cuts.append((low if low >= PRONG_MM else 0.0, high if high <= width_mm - PRONG_MM else width_mm))
    points: list[tuple[float, float]] = [(0.0, 0.0), (width_mm, 0.0), (width_mm, height_mm)]
    for low, high in sorted(cuts, reverse=True):
        points += [(high, height_mm), (high, height_mm - depth), (low, height_mm - depth), (low, height_mm)]
    points.append((0.0, height_mm))
    return _clean(points)


def _clean(points: list[tuple[float, float]]) -> Loop:
    """The loop without doubled points and without spikes where a cut runs out of the bar's side."""
    kept: list[tuple[float, float]] = []
    for point in points:
        if kept and abs(point[0] - kept[-1][0]) < 1e-9 and abs(point[1] - kept[-1][1]) < 1e-9:
            continue
        kept.append(point)
    changed = True
    while changed:
        changed = False
        for i in range(len(kept)):
            a, b, c = kept[i - 1], kept[i], kept[(i + 1) % len(kept)]
            if abs((b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])) < 1e-9:
                del kept[i]
                changed = True
                break
    return tuple((x, y, 0.0) for x, y in kept)
