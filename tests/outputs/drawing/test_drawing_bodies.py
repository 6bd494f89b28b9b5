"""Bodies behind others are left out before hidden lines are removed: what is drawn stays the same."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from layout.design import Assembly, Block, Plate
from layout.design.profile import Hole, Profile, rectangle
from layout.frames import Extent, Pose, pose_from_rotation

pytestmark = pytest.mark.cad


def plate(number: str, profile: Profile, pose: Pose, thickness_mm: float = 3.0) -> Plate:
    return Plate(number, number, "S235", thickness_mm, profile, pose)


def box(lid: Profile) -> Assembly:
    """Floor, four walls between floor and lid, two bodies inside, a bar that shows."""
    upright_x = [[0.0, 0.0, 1.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]]  # the plate's x along y, its y along z
    upright_y = [[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]]
    side = Profile(rectangle(200.0, 97.0), (Hole("V", (40.0, 30.0), 22.0),))
    end = Profile(rectangle(94.0, 97.0))
    parts = (
        plate("floor", Profile(rectangle(200.0, 100.0)), Pose()),
        plate("right", side, pose_from_rotation((0.0, 3.0, 3.0), upright_y)),
        plate("left", side, pose_from_rotation((0.0, 100.0, 3.0), upright_y)),
        plate("aft", end, pose_from_rotation((0.0, 3.0, 3.0), upright_x)),
        plate("fore", end, pose_from_rotation((197.0, 3.0, 3.0), upright_x)),
        plate("lid", lid, Pose((0.0, 0.0, 100.0))),
        Block("inside", "inside", Extent((0.0, 0.0, 0.0), (60.0, 40.0, 50.0)), Pose((90.0, 30.0, 3.0)), "S235"),
        Block("behind", "behind", Extent((0.0, 0.0, 0.0), (30.0, 20.0, 60.0)), Pose((25.0, 20.0, 3.0)), "S235"),
        Block("bar", "bar", Extent((0.0, 0.0, 0.0), (20.0, 20.0, 20.0)), Pose((210.0, 30.0, 0.0)), "S235"),
    )
    return Assembly("T", parts)


def length(inks: Any) -> float:
    from outputs.drawing.ink import Arc, Line

    total = 0.0
    for ink in inks:
        if isinstance(ink, Line):
            total += sum(math.dist(a, b) for a, b in zip(ink.points, ink.points[1:], strict=False))
        elif isinstance(ink, Arc):
            total += math.radians(ink.sweep_deg) * ink.radius
    return total


def all_views() -> list[Any]:
    from outputs.drawing.oblique import OBLIQUE
    from outputs.drawing.projection import VEHICLE_SIDE

    sides = [VEHICLE_SIDE.seen_from(s) for s in ("left", "right", "above", "below")]
    return [VEHICLE_SIDE, *sides, *(axes for _, axes in OBLIQUE)]


@pytest.mark.parametrize("hole", [0.0, 18.0])
def test_lines_are_those_of_all_bodies(hole: float) -> None:
    from outputs.drawing.bodies import behind, scene_of
    from outputs.drawing.hidden_lines import view_of

    holes = (Hole("H", (120.0, 50.0), hole),) if hole else ()
    scene = scene_of(box(Profile(rectangle(200.0, 100.0), holes)))
    left_out = 0
    for axes in all_views():
        left_out += int(behind(scene, axes).sum())
        full = view_of(scene.solids, axes, hidden=False)
        assert length(scene.view(axes)) == pytest.approx(length(full), rel=1e-4), axes.towards
    assert left_out > 10


def test_body_under_a_hole_is_kept() -> None:
    from outputs.drawing.bodies import behind, scene_of
    from outputs.drawing.projection import VEHICLE_SIDE

    above = VEHICLE_SIDE.seen_from("above")
    closed = scene_of(box(Profile(rectangle(200.0, 100.0))))
    pierced = scene_of(box(Profile(rectangle(200.0, 100.0), (Hole("H", (120.0, 50.0), 18.0),))))
    assert behind(closed, above)[6]
    assert not behind(pierced, above)[6]
    assert behind(pierced, above)[7]


def test_frame_of_the_view_turns_everything() -> None:
    from outputs.drawing.bodies import behind, scene_of
    from outputs.drawing.projection import FACE

    turned = pose_from_rotation((5.0, 6.0, 7.0), np.array([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]]))
    plain = box(Profile(rectangle(200.0, 100.0)))
    assert list(behind(scene_of(plain), FACE)) == list(behind(scene_of(plain, turned), FACE))


def test_weld_drawing_shows_what_is_welded() -> None:
    from layout.design import Weld
    from outputs.drawing.assembly_sheets import welded_only

    full = box(Profile(rectangle(200.0, 100.0)))
    seam = Weld("T-W1", "fillet", 3.0, ((0.0, 0.0, 3.0), (200.0, 0.0, 3.0)), ("floor", "right"))
    assert [p.number for p in welded_only(replace(full, welds=(seam,))).parts] == ["floor", "right"]
