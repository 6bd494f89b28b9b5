"""Directions of view, and where each view stands. ISO 5456-2 (from memory).

First angle: what is seen from the left stands to the right of the main view, what is seen from above stands below it.
Third angle: the reverse.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from layout.frames import Array, Vec3, vec3

Angle = Literal["first angle", "third angle"]
Side = Literal["left", "right", "above", "below"]


@dataclass(frozen=True, slots=True)
class ViewAxes:
    """How a view looks: model directions that point right and up on the paper. The viewer stands on the side right x up."""

    right: Vec3
    up: Vec3

    @property
    def towards(self) -> Vec3:
        """Model direction from the object to the viewer."""
        (a, b, c), (d, e, f) = self.right, self.up
        return (b * f - c * e + 0.0, c * d - a * f + 0.0, a * e - b * d + 0.0)

    def flat(self, points_mm: ArrayLike) -> Array:
        """Model points (..., 3) as paper directions (..., 2), mm of the model."""
        return np.asarray(points_mm, dtype=float) @ np.array([self.right, self.up]).T

    def seen_from(self, side: Side) -> ViewAxes:
        """The view of a person who steps to one side of the main view and looks square at the object."""
        right, up, out = np.array(self.right), np.array(self.up), np.array(self.towards)
        turned = {"left": (out, up), "right": (-out, up), "above": (right, -out), "below": (right, out)}[side]
        return ViewAxes(vec3(turned[0]), vec3(turned[1]))


def stands_at(angle: Angle, seen_from: Side) -> Side:
    """On which side of the main view a view stands: opposite to where it is seen from in first angle, the same in third."""
    if angle == "third angle":
        return seen_from
    opposite: dict[Side, Side] = {"left": "right", "right": "left", "above": "below", "below": "above"}
    return opposite[seen_from]


def seen_from_of(angle: Angle, stands: Side) -> Side:
    """From where a view is seen that stands on a given side of the main view (the rule is its own reverse)."""
    return stands_at(angle, stands)


FACE = ViewAxes((1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
"""Square onto a plate's own +z face."""

VEHICLE_SIDE = ViewAxes((-1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
"""The vehicle from its left side: forward points left on the paper."""


def isometric(right: int, back: int, up: int) -> ViewAxes:
    """Isometric view from the corner with these signs of x, y and z (each +1 or -1)."""
    towards = np.array([right, back, up], dtype=float) / np.sqrt(3.0)
    vertical = np.array([0.0, 0.0, 1.0]) - towards[2] * towards
    vertical /= np.linalg.norm(vertical)
    return ViewAxes(vec3(np.cross(vertical, towards)), vec3(vertical))
