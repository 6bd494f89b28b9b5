"""Views straight from a profile: outline and openings with true arcs, in mm of the model."""

from __future__ import annotations

import math

from layout.design.geometry import arc_of, edges, slot_loop
from layout.design.profile import Hole, Loop, Profile
from outputs.drawing.ink import Arc, Ink, Line, Pen, Point


def loop_inks(loop: Loop, pen: Pen = Pen.VISIBLE) -> list[Ink]:
    """A closed outline: straight pieces in chains, arcs true."""
    out: list[Ink] = []
    chain: list[Point] = []
    for a, b in edges(loop):
        arc = arc_of(a, b)
        if arc is None:
            chain = chain or [(a[0], a[1])]
            chain.append((b[0], b[1]))
            continue
        if chain:
            out.append(Line(tuple(chain), pen))
            chain = []
        start, sweep = math.degrees(arc.start_rad), math.degrees(arc.sweep_rad)
        out.append(Arc(arc.centre_mm, arc.radius_mm, start if sweep > 0.0 else start + sweep, abs(sweep), pen))
    if chain:
        out.append(Line(tuple(chain), pen))
    return out


def hole_inks(hole: Hole) -> list[Ink]:
    """A round hole or slot, without its centre lines."""
    if hole.slot_mm > 0.0:
        return loop_inks(slot_loop(hole))
    return [Arc(hole.centre_mm, hole.diameter_mm / 2.0)]


def profile_inks(profile: Profile) -> tuple[Ink, ...]:
    """Outline, cut-outs, holes."""
    out = loop_inks(profile.outline)
    for cutout in profile.cutouts:
        out += loop_inks(cutout)
    for hole in profile.holes:
        out += hole_inks(hole)
    return tuple(out)
