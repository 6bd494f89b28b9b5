"""Rings round openings: where they lie, what they replace, what they do to the stress, what they must keep clear of."""

from __future__ import annotations

import math

import numpy as np
import pytest

from layout.arrangement import Arrangement
from layout.box.folded import design_folded_box
from layout.box.ribs import rib_plan
from layout.box.shell import shell_of
from layout.box.welded import design_box
from layout.checks.rings import ring_effect
from layout.design import Plate
from layout.design.geometry import loop_extent_mm
from layout.errors import DesignError
from layout.job import Job
from layout.job.box import Opening
from layout.job.sense import sense_problems
from layout.loads.cases import cases_of
from layout.study.held_modules import Held
from layout.study.openings import opening_checks_of


def with_openings(job: Job, *openings: Opening, **more: object) -> Job:
    return job.model_copy(update={"box": job.box.model_copy(update={"openings": openings, **more})})


def opening(panel: str = "aft", at: tuple[float, float] = (80.0, 60.0), diameter: float = 32.0, **more: object) -> Opening:
    return Opening.model_validate({"name": f"cable {panel}", "panel": panel, "diameter": diameter, "at": at, **more})


@pytest.mark.parametrize("panel", ["aft", "fore", "left", "right", "bottom", "top"])
@pytest.mark.parametrize("construction", ["welded", "folded"])
def test_a_ring_lies_on_its_panel_in_line_with_the_opening(
    front_job: Job, front_arrangement: Arrangement, panel: str, construction: str
) -> None:
    job = with_openings(front_job, opening(panel, (31.0, 60.0), ring=3.0), construction=construction)
    make = design_box if construction == "welded" else design_folded_box
    box = make(job, front_arrangement.inside, shell_of(job), ())
    (ring,) = box.rings
    assert ring.outside_mm == pytest.approx(64.0)
    assert ring.plate in box.plates
    assert ring.weld in box.welds
    assert ring.weld.length_mm == pytest.approx(math.pi * 64.0, rel=5e-4)
    assert ring.weld.joins[1] == box.panels[panel]
    x0, y0, x1, y1 = loop_extent_mm(ring.plate.profile.outline)
    assert (x1 - x0, y1 - y0) == pytest.approx((64.0, 64.0))
    middle = np.array(ring.plate.pose.point((0.0, 0.0, 0.0)))
    panel_part = next(p for p in box.plates if p.number == box.panels[panel])
    if isinstance(panel_part, Plate):
        hole = next(h for h in panel_part.profile.holes if "-O" in h.name)
        own = np.array(panel_part.pose.inverse_point(tuple(middle)))
        assert own[:2] == pytest.approx(hole.centre_mm)
        face = 0.0 if panel == "bottom" else panel_part.thickness_mm
        assert own[2] == pytest.approx(face)
    axis = {"aft": 0, "fore": 0, "left": 1, "right": 1, "bottom": 2, "top": 2}[panel]
    out = np.array(ring.plate.pose.vector((0.0, 0.0, 1.0)))
    assert out[axis] * (middle[axis] - box.inside.centre_mm[axis]) > 0.0


def test_without_a_ring_the_plate_shows_the_published_concentration() -> None:
    """2 at a round hole in a thin plate bent alike in all directions."""
    assert ring_effect(3.0, 1e-7, 16.0, 32.0, 0.3).stress == pytest.approx(2.0, rel=1e-5)


def test_a_ring_helps_the_more_the_thicker_it_is_and_never_without_end() -> None:
    found = [ring_effect(3.0, t, 16.0, 32.0, 0.3).stress for t in (0.5, 1.0, 2.0, 3.0, 4.0)]
    assert found == sorted(found, reverse=True)
    assert 1.3 < found[-1] < found[0] < 2.0


def test_a_very_thick_ring_is_a_rigid_inclusion() -> None:
    """Radial moment at a rigid disc in a plate bent all round: 2/(1 + nu) of that far off, its slope there being nothing."""
    for nu in (0.25, 0.3, 0.33):
        stiff = ring_effect(1.0, 300.0, 16.0, 32.0, nu).stress
        assert stiff == pytest.approx(2.0 / (1.0 + nu), rel=0.05)


def test_the_check_with_a_ring_asks_less_than_without(front_job: Job, front_arrangement: Arrangement) -> None:
    used = []
    for more in ({}, {"ring": 3.0}):
        job = with_openings(front_job, opening(**more))  # type: ignore[arg-type]
        box = design_box(job, front_arrangement.inside, shell_of(job), ())
        held = Held(box, front_arrangement, cases_of(job))
        found = opening_checks_of(job, box, front_arrangement, held.cases, held.specific)
        used.append(max(c.utilisation or 0.0 for c in found if c.name.startswith("panel with")))
        if more:
            names = {c.name for c in found}
            assert "area that the ring replaces" in names
            assert any("fillet" in n for n in names)
            area = next(c for c in found if c.name == "area that the ring replaces")
            assert area.utilisation == pytest.approx(1.0)
    assert used[1] < 0.9 * used[0]


def test_a_ring_keeps_clear_of_ribs_and_edges(front_job: Job, front_arrangement: Arrangement) -> None:
    bare = front_job.modules[0].model_copy(update={"fixing": None})
    job = front_job.model_copy(update={"modules": (bare,)})
    inside = front_arrangement.inside
    plan = rib_plan(inside, ())
    across = 1 - plan.axis
    at = [0.0, 0.0]
    at[across] = plan.at_mm[0] - inside.centre_mm[across] + 34.0  # clear of the opening, not of its ring
    for more, clear in (({}, True), ({"ring": 3.0}, False)):
        tried = with_openings(job, opening("bottom", (at[0], at[1]), **more))  # type: ignore[arg-type]
        if clear:
            design_box(tried, inside, shell_of(tried), (), None)
            continue
        with pytest.raises(DesignError, match="rib under the floor"):
            design_box(tried, inside, shell_of(tried), (), None)
    edge = inside.size_mm[1] / 2.0 - 30.0
    tried = with_openings(front_job, opening("aft", (edge, 0.0), ring=3.0))
    with pytest.raises(DesignError, match="with its ring"):
        design_box(tried, inside, shell_of(tried), ())


def test_rings_of_odd_thickness_are_refused(front_job: Job, front_arrangement: Arrangement) -> None:
    thin = sense_problems(with_openings(front_job, opening(ring=2.0)))
    assert [p.path for p in thin] == ["box.opening[1].ring"]
    job = with_openings(front_job, opening("top", (0.0, 0.0), ring=6.0))
    with pytest.raises(DesignError, match="heads"):
        design_box(job, front_arrangement.inside, shell_of(job), ())
