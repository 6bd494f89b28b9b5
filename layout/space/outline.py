"""Is a plan outline a simple polygon with an area?"""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely.geometry import Polygon

from layout.errors import Problem

_REMEDY = "Give the corners in order round the outline"


def outline_problems(path: str, outline: Sequence[Sequence[float]]) -> list[Problem]:
    """Problems of a plan outline (corners x, y in mm): fewer than three corners, crossing itself, no area."""
    if len(outline) < 3:
        return [Problem(path, f"{len(outline)} corners", "at least three corners", _REMEDY)]
    polygon = Polygon(outline)
    if polygon.area <= 1e-6:
        return [Problem(path, f"area {polygon.area:g} mm2", "an outline that encloses an area", _REMEDY)]
    if not polygon.is_valid:
        reason = shapely.is_valid_reason(polygon)
        return [Problem(path, reason, "an outline that does not cross or touch itself", _REMEDY)]
    return []
