"""The flange of a charge inlet: what was asked for is on it, it can be cut and bent, and what cannot be is refused."""

from __future__ import annotations

import math

import pytest

from layout.box.charge_inlet import inlet_flange
from layout.design.flat import bend_allowance_mm, develop
from layout.design.geometry import loop_extent_mm
from layout.design.mass import volume_moments
from layout.design.moments import profile_moments
from layout.design.sheet_rules import check_sheet
from layout.errors import DesignError
from layout.job.fixtures import ChargeInlet
from layout.tables import bolt

PLAIN = {"angle": 60, "opening": 60, "pitch_circle": 80, "holes": 4, "material": "S235", "sheet": 2}


def inlet(**keys: object) -> ChargeInlet:
    return ChargeInlet.model_validate(PLAIN | keys)


@pytest.mark.parametrize(
    "keys",
    [{}, {"angle": 30}, {"angle": 90, "material": "5754-H111", "sheet": 3, "foot": 60}, {"holes": 3, "first_hole": 90}],
)
def test_holes_lie_on_the_pitch_circle_about_the_opening(keys: dict[str, object]) -> None:
    asked = inlet(**keys)
    part = inlet_flange("A", asked)
    middle, *screws = part.root.holes
    assert middle.diameter_mm == asked.opening_mm
    assert len(screws) == asked.holes
    for hole in screws:
        assert math.dist(hole.centre_mm, middle.centre_mm) == pytest.approx(asked.pitch_circle_mm / 2.0)
        assert hole.diameter_mm == bolt(asked.bolt).hole_medium_mm
    first = math.degrees(math.atan2(screws[0].centre_mm[1] - middle.centre_mm[1], screws[0].centre_mm[0] - middle.centre_mm[0]))
    assert first == pytest.approx(asked.first_hole_deg)
    assert all(f.ok for f in check_sheet(part))
    assert part.flanges[0].bend.angle_deg == -asked.angle_deg


def test_flat_is_face_bend_and_foot() -> None:
    """Flat length: face, allowance by angle (Ri + K t), and the foot less its outside setback (Ri + t) tan(angle/2)."""
    part = inlet_flange("A", inlet(foot=50))
    bend, t = part.flanges[0].bend, part.thickness_mm
    _, y0, _, y1 = loop_extent_mm(develop(part).profile.outline)
    face = loop_extent_mm(part.root.outline)[3]
    setback = (bend.inside_radius_mm + t) * math.tan(math.radians(30.0))
    allowance = math.radians(60.0) * (bend.inside_radius_mm + bend.k_factor * t)
    assert allowance == pytest.approx(bend_allowance_mm(60.0, bend.inside_radius_mm, t, bend.k_factor))
    assert y1 - y0 == pytest.approx(face + allowance + 50.0 - setback)


def test_folded_volume_against_the_flat() -> None:
    """Folded less flat volume is angle t^2 (0.5 - K) width, exactly."""
    part = inlet_flange("A", inlet())
    bend, t = part.flanges[0].bend, part.thickness_mm
    flat = profile_moments(develop(part).profile).area_mm2 * t
    width = loop_extent_mm(part.root.outline)[2]
    gain = math.radians(60.0) * t**2 * (0.5 - bend.k_factor) * width
    assert volume_moments(part).volume_mm3 - flat == pytest.approx(gain)


@pytest.mark.parametrize(
    ("keys", "word"),
    [({"opening": 74}, "web between openings"), ({"foot": 14}, "foot with room"), ({"foot": 20, "angle": 90}, "hole to bend")],
)
def test_what_cannot_be_made_is_refused_with_its_figure(keys: dict[str, object], word: str) -> None:
    with pytest.raises(DesignError, match=word) as refused:
        inlet_flange("A", inlet(**keys))
    assert "A-K1" in str(refused.value)
    assert any(ch.isdigit() for ch in refused.value.figure)


@pytest.mark.cad
@pytest.mark.parametrize("angle", [30, 90, 110])
def test_solid_is_one_and_does_not_run_through_itself(angle: float) -> None:
    from shapes.build import solid_of
    from shapes.examine import require_fold
    from shapes.measure import is_valid, solid_count

    part = inlet_flange("A", inlet(angle=angle))
    require_fold(part)
    solid = solid_of(part)
    assert is_valid(solid)
    assert solid_count(solid) == 1
