"""A lid with its edges turned down: clear of flange and bolts, flat and solid of one profile, rules kept, room reserved."""

from __future__ import annotations

import math

import numpy as np
import pytest

from layout.arrangement import Arrangement
from layout.box.design import BoxDesign
from layout.box.folded import design_folded_box
from layout.box.shell import Shell, shell_of
from layout.box.skirt import lid_sides_mm
from layout.box.welded import design_box
from layout.design import FoldedPlate, Plate
from layout.design.flat import develop, flat_poses, profile_of
from layout.design.geometry import polygon
from layout.design.mass import volume_moments
from layout.design.sheet_rules import check_sheet
from layout.errors import DesignError
from layout.job import Job
from layout.job.sense import sense_problems
from layout.loads.cases import cases_of
from layout.study.panels import panel_checks_of


def turned(job: Job, **more: object) -> Job:
    return job.model_copy(update={"box": job.box.model_copy(update={"lid_edges": "down", **more})})


@pytest.fixture(scope="module", params=["welded", "folded"])
def made(request: pytest.FixtureRequest, front_job: Job, front_arrangement: Arrangement) -> tuple[Job, Shell, BoxDesign]:
    job = turned(front_job, construction=request.param)
    make = design_box if request.param == "welded" else design_folded_box
    return job, shell_of(job), make(job, front_arrangement.inside, shell_of(job), ())


def lid_of(box: BoxDesign) -> FoldedPlate:
    lid = next(p for p in box.plates if p.number == box.panels["top"])
    assert isinstance(lid, FoldedPlate)
    return lid


def corners(lid: FoldedPlate) -> dict[int, np.ndarray]:
    """Corners of every flat in the pack's frame."""
    found = {}
    for i, pose in enumerate(flat_poses(lid)):
        outline = profile_of(lid, i).outline
        points = [(x, y, z) for x, y, _ in outline for z in (0.0, lid.thickness_mm)]
        found[i] = np.asarray(lid.pose.then(pose).point(np.array(points)))
    return found


def test_the_skirt_hangs_outside_the_flange(made: tuple[Job, Shell, BoxDesign]) -> None:
    job, shell, box = made
    lid, (x0, y0, _), (x1, y1, z1) = lid_of(box), box.inside.min_mm, box.inside.max_mm
    flats = corners(lid)
    top = z1 + 2.0 * job.box.sheet_mm + 3.0
    assert flats[0][:, 2].max() == pytest.approx(top)
    flange = shell.sheet_mm + shell.flange_out_mm
    for i in range(1, 5):
        points = flats[i]
        assert points[:, 2].min() == pytest.approx(top - shell.lid_skirt_mm)
        beyond = np.max([x0 - points[:, 0], points[:, 0] - x1, y0 - points[:, 1], points[:, 1] - y1], axis=0)
        assert beyond.min() >= flange + 2.0 - 1e-9  # play
        assert beyond.max() == pytest.approx(shell.slab_out_mm)
    assert top - shell.lid_skirt_mm <= z1 - 2.0 + 1e-9  # below the flange's underside
    slab = shell.slab(box.inside)
    every = np.concatenate(list(flats.values()))
    assert (every >= np.array(slab.min_mm) - 1e-9).all()
    assert (every <= np.array(slab.max_mm) + 1e-9).all()


def test_holes_of_lid_and_flange_are_in_line(made: tuple[Job, Shell, BoxDesign]) -> None:
    box = made[2]
    lid = lid_of(box)
    holes = {h.name: np.array(lid.pose.point((*h.centre_mm, 0.0))) for h in lid.root.holes}
    bolts = [b for b in box.hardware if b.group == "lid" and b.nuts]
    assert len(bolts) == len(holes) == len(box.lid_bolts_mm)
    for bolt in bolts:
        assert holes[bolt.holes[0]][:2] == pytest.approx(bolt.head_mm[:2])


def test_sheet_rules_are_kept(made: tuple[Job, Shell, BoxDesign]) -> None:
    _, _, box = made
    broken = [f"{f.rule} {f.at}: {f.figure} {f.limit}" for f in check_sheet(lid_of(box)) if not f.ok]
    assert broken == []


def test_folded_volume_is_flat_area_and_what_bends_add(made: tuple[Job, Shell, BoxDesign]) -> None:
    """V = A t + sum of angle t^2 (0.5 - K) width."""
    _, _, box = made
    lid = lid_of(box)
    flat = develop(lid)
    want = polygon(flat.profile, 1e-4).area * lid.thickness_mm
    for line in flat.bend_lines:
        want += math.radians(line.angle_deg) * lid.thickness_mm**2 * (0.5 - line.k_factor) * line.length_mm
    assert len(flat.bend_lines) == 4
    assert {line.direction for line in flat.bend_lines} == {"down"}
    assert volume_moments(lid).volume_mm3 == pytest.approx(want, rel=2e-6)


def test_the_flat_lid_stays_as_it_was(front_job: Job, front_arrangement: Arrangement) -> None:
    box = design_box(front_job, front_arrangement.inside, shell_of(front_job), ())
    lid = next(p for p in box.plates if p.number == box.panels["top"])
    assert isinstance(lid, Plate)
    assert shell_of(front_job).slab_out_mm == shell_of(front_job).sheet_mm + shell_of(front_job).flange_out_mm


def test_edges_get_no_credit_and_it_is_said(
    front_job: Job, front_arrangement: Arrangement, made: tuple[Job, Shell, BoxDesign]
) -> None:
    _, _, box = made
    up = next(c for c in cases_of(front_job) if c.acceleration_g[2] < -2.0)
    parts = [c.part for c in panel_checks_of(box, front_arrangement, up) if c.name == "panel under pressure"]
    assert any("turned down: no credit" in p for p in parts)


def test_what_it_does_not_go_with_is_refused(front_job: Job, front_arrangement: Arrangement) -> None:
    stepped = turned(front_job, outline="stepped")
    assert [p.path for p in sense_problems(stepped)] == ["box.lid_edges"]
    thick = turned(front_job, bar_mm=30.0)
    off = lid_sides_mm(front_arrangement.inside, shell_of(thick))[0]
    assert off < 33.0
    with pytest.raises(DesignError, match="outside the mounting bars"):
        design_box(thick, front_arrangement.inside, shell_of(thick), ())


@pytest.mark.cad
def test_the_solid_meets_nothing(front_job: Job, front_arrangement: Arrangement) -> None:
    from layout.design.parts import Assembly
    from shapes.assembly import tree_of
    from shapes.examine import examine, folds_through_itself

    job = turned(front_job)
    box = design_box(job, front_arrangement.inside, shell_of(job), ())
    assert folds_through_itself(lid_of(box)) == ()
    near = [p for p in box.plates if p.group in ("lid", "gasket") or p.name in ("lid flange", "left wall", "fore wall")]
    bolts = tuple(h for h in box.hardware if h.group == "lid")
    assembly = Assembly("lid", tuple(near), bolts)
    assert examine(assembly, tree_of(assembly)).nothing_found
