"""A flat plate in any position as one layer of bricks, on lines of its own."""

from __future__ import annotations

import numpy as np
import shapely

from layout.design import Plate
from layout.design.geometry import hole_polygon, loop_points
from layout.fe.bricks import Block, Body, body_of_block, half_steps
from layout.fe.lines import drawn_together, filled
from layout.fe.plates import OPENING_MM

LEAST_MM = 1.5


def plate_block(
    part: Plate, mass_kg: float, step_mm: float, extra: tuple[tuple[float, ...], tuple[float, ...]] = ((), ())
) -> Body:
    """A plate on lines through its corners and extra ones (along its own x and y). Cells outside its outline are left out, and
    those in cut-outs and wide holes.
    """
    outline = loop_points(part.profile.outline)
    low, high = outline.min(axis=0), outline.max(axis=0)
    lines = []
    for axis in range(2):
        inner = [v for v in (*outline[:, axis], *extra[axis]) if low[axis] + LEAST_MM < v < high[axis] - LEAST_MM]
        lines.append(filled(drawn_together([low[axis], *inner, high[axis]], LEAST_MM), step_mm))
    x, y = (half_steps(values) for values in lines)
    z = np.array([0.0, part.thickness_mm / 2.0, part.thickness_mm])
    points = np.stack(np.meshgrid(x, y, z, indexing="ij"), axis=-1)
    rings = [loop_points(c) for c in part.profile.cutouts]
    rings += [np.array(hole_polygon(h).exterior.coords) for h in part.profile.holes if h.diameter_mm >= OPENING_MM]
    face = shapely.Polygon(outline, rings)
    keep = shapely.contains_xy(face, *np.meshgrid(x[1::2], y[1::2], indexing="ij"))[:, :, None]
    block = Block(np.asarray(part.pose.point(points)), np.asarray(keep, dtype=bool))
    return body_of_block(part.number, part.material, part.thickness_mm, mass_kg, block, part.group)
