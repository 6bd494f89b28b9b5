"""Outlines of bodies given as triangles: bay, keep-outs. Exact for plane faces; bars are many-sided."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from outputs.drawing.ink import Ink, Line, Pen
from outputs.drawing.projection import ViewAxes

MOST = 6000
"""Triangles up to which an outline is worked out; above, the hull of the points stands for it."""
SIMPLER_MM = 0.2


def silhouette(triangles: NDArray[Any], axes: ViewAxes) -> shapely.Geometry:
    """What the body covers in a view, mm of the model."""
    flat = axes.flat(np.asarray(triangles, dtype=float))
    if len(flat) > MOST:
        return shapely.convex_hull(shapely.multipoints(flat.reshape(-1, 2)))
    edges = flat[:, 1:] - flat[:, :1]
    area = np.abs(edges[:, 0, 0] * edges[:, 1, 1] - edges[:, 0, 1] * edges[:, 1, 0])
    faces = shapely.polygons(flat[area > 1e-6])
    return (
        shapely.union_all(shapely.buffer(faces, 0.01, join_style="mitre"))
        .buffer(-0.01, join_style="mitre")
        .simplify(SIMPLER_MM)
    )


def outline_inks(shape: shapely.Geometry, pen: Pen = Pen.PHANTOM) -> tuple[Ink, ...]:
    """Boundaries of polygons as closed lines."""
    out: list[Ink] = []
    for part in shapely.get_parts(shape):
        for ring in (part.exterior, *part.interiors):
            out.append(Line(tuple((float(x), float(y)) for x, y in ring.coords), pen))
    return tuple(out)
