"""Fasteners by their centre lines, as ISO 5845-1 (from memory) shows them in assemblies."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from layout.design.parts import Hardware
from layout.frames import Pose
from outputs.drawing.ink import Ink, Line, Pen
from outputs.drawing.three_views import Spot


def bolt_marks(bolts: Iterable[Hardware], frame: Pose, spot: Spot) -> list[Ink]:
    """A cross where the head looks to the viewer; a centre line where the bolt is seen from the side. Others are left out.

    frame: the pack's, in the view's axes.
    """
    inks: list[Ink] = []
    for bolt in bolts:
        head, axis = frame.point(bolt.head_mm), frame.vector(bolt.axis)
        tip = head + axis * bolt.length_mm
        facing = float(axis @ np.array(spot.axes.towards))
        if facing < -0.99:
            x, y = spot.put(head)
            inks += [Line(((x - 1.2, y), (x + 1.2, y)), Pen.THIN), Line(((x, y - 1.2), (x, y + 1.2)), Pen.THIN)]
        elif abs(facing) < 0.1:
            inks.append(Line((spot.put(head - axis * 6.0), spot.put(tip + axis * 4.0)), Pen.CENTRE))
    return inks
