"""Folded boxes against the CAD kernel and against the bend deduction of the trade: volumes, masses, overlaps, flat lengths.

Sources: volume of a bend less its flat, angle * t^2 * (0.5 - K) * width, follows from the neutral line's definition; bend
deduction BD = 2 (Ri + t) tan(angle/2) - angle (Ri + K t) as printed by public calculators (t = 1, Ri = 2, K = 0.33, 90 deg:
allowance 3.660 mm, deduction 2.340 mm, seen).
"""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
import pytest

from layout.balance.bodies import moments
from layout.box.carriers import CarrierBar
from layout.box.construct import constructed_box
from layout.box.folded_flats import Sizes
from layout.box.folded_parts import FoldedParts, Stock, folded_parts
from layout.box.folding import BENT, Form
from layout.box.held import bar_plate
from layout.box.shell import Shell, shell_of
from layout.brackets.plan import plan_options
from layout.design import Assembly, Bevel, Hole, Plate, Profile, rectangle
from layout.design.flat import bend_deduction_mm, develop
from layout.design.geometry import loop_extent_mm, profile_moments
from layout.design.mass import volume_moments
from layout.errors import DesignError
from layout.frames import Extent, Pose
from layout.job import Job
from layout.study.hulls import body_of
from shapes.assembly import tree_of
from shapes.build import placed
from shapes.examine import examine, folds_through_itself
from shapes.measure import extent, is_valid, shared_volume_mm3, solidity

INSIDE = Extent((-80.0, -240.0, 383.0), (362.0, 229.5, 725.0))
K = 0.33


@pytest.fixture(scope="module")
def folded_job(front_job: Job) -> Job:
    return front_job.model_copy(update={"box": front_job.box.model_copy(update={"construction": "folded"})})


def parts_of(job: Job, form: Form) -> tuple[FoldedParts, Shell]:
    shell = shell_of(job)
    sizes = Sizes(3.0, shell.fold_radius_mm, 3.0, shell.flange_out_mm)
    return folded_parts(Stock("X", "5083-H111", K), form, INSIDE, shell, sizes), shell


@pytest.mark.parametrize("form", BENT)
def test_every_form_fills_its_place_and_nothing_else(folded_job: Job, form: Form) -> None:
    made, shell = parts_of(folded_job, form)
    solids = {n: placed(p) for n, p in made.parts.items()}
    for number, part in made.parts.items():
        measured = solidity(solids[number])
        exact = volume_moments(part)
        flat = develop(part)
        assert is_valid(solids[number])
        assert measured.volume_mm3 == pytest.approx(exact.volume_mm3, rel=1e-9)
        assert measured.centroid_mm == pytest.approx(exact.centroid_mm, abs=1e-6)
        grown = sum(math.radians(b.angle_deg) * 9.0 * (0.5 - b.k_factor) * b.length_mm for b in flat.bend_lines)
        assert measured.volume_mm3 - profile_moments(flat.profile).area_mm2 * 3.0 == pytest.approx(grown, abs=1e-4)
        assert folds_through_itself(part) == ()
    assert max((shared_volume_mm3(a, b) for a, b in combinations(solids.values(), 2)), default=0.0) < 1e-6
    around = [extent(s) for s in solids.values()]
    t, out = 3.0, shell.slab_out_mm
    low = np.min([e.min_mm for e in around], axis=0)
    high = np.max([e.max_mm for e in around], axis=0)
    assert low == pytest.approx(np.array(INSIDE.min_mm) - np.array((out, out, t)), abs=1e-4)
    assert high == pytest.approx(np.array(INSIDE.max_mm) + np.array((out, out, t)), abs=1e-4)


def test_flat_of_the_pan_by_outside_lengths_less_bend_deductions(folded_job: Job) -> None:
    """flange + wall + floor + wall + flange, each outside, less four deductions."""
    assert bend_deduction_mm(90.0, 2.0, 1.0, 0.33) == pytest.approx(2.340, abs=5e-4)
    made, shell = parts_of(folded_job, "pan")
    (pan,) = made.parts.values()
    x0, y0, x1, y1 = loop_extent_mm(develop(pan).profile.outline)
    deduction = bend_deduction_mm(90.0, shell.fold_radius_mm, 3.0, K)
    sx, sy, sz = INSIDE.size_mm
    flange, wall = shell.flange_out_mm + 3.0, sz + 6.0
    for got, inner in ((x1 - x0, sx), (y1 - y0, sy)):
        assert got == pytest.approx(2.0 * flange + 2.0 * wall + inner + 6.0 - 4.0 * deduction, abs=1e-9)


def test_nothing_overlaps_in_a_whole_folded_box(folded_job: Job) -> None:
    shell = shell_of(folded_job)
    plans = next(iter(plan_options(folded_job, Pose(), INSIDE, shell)))
    box = constructed_box(folded_job, INSIDE, shell, plans)
    pack = Assembly("BOX", box.plates, box.hardware, box.welds)
    found = examine(pack, tree_of(pack))
    assert found.overlaps == ()
    assert found.out_of_line == ()
    assert found.invalid == ()


def test_a_chamfered_bar_stands_clear_in_the_bend_and_a_square_one_does_not(folded_job: Job) -> None:
    made, shell = parts_of(folded_job, "pan")
    (pan,) = made.parts.values()
    z = INSIDE.min_mm[2]
    ends = (INSIDE.min_mm[0], INSIDE.max_mm[0])
    bar = CarrierBar("C1", 0, 2, 1.0, z + 25.0, 0.0, ends, 50.0, 25.0, "5083-H111", True, (), ("aft", "fore"))
    chamfered = bar_plate(bar, shell)
    assert len(chamfered.bevels) == 2
    assert shared_volume_mm3(placed(pan), placed(chamfered)) < 1e-6
    square = Plate(chamfered.number, "bar", chamfered.material, 25.0, chamfered.profile, chamfered.pose)
    assert shared_volume_mm3(placed(pan), placed(square)) > 100.0


@pytest.mark.parametrize("edges", [(1,), (1, 3), (0, 2)])
def test_bevels_weigh_what_the_kernel_measures(edges: tuple[int, ...]) -> None:
    bevels = tuple(Bevel(e, 4.0 + e) for e in edges)
    hole = Hole("P-H1", (40.0, 20.0), 9.0)
    plate = Plate("P", "bar", "S235", 12.0, Profile(rectangle(90.0, 40.0), (hole,)), Pose((5.0, 6.0, 7.0)), bevels=bevels)
    exact, measured = volume_moments(plate), solidity(placed(plate))
    off = sum(b.leg_mm**2 / 2.0 * (40.0 if b.edge % 2 else 90.0) for b in bevels)
    assert exact.volume_mm3 == pytest.approx((90.0 * 40.0 - math.pi * 4.5**2) * 12.0 - off, rel=1e-12)
    assert measured.volume_mm3 == pytest.approx(exact.volume_mm3, rel=1e-9)
    assert measured.centroid_mm == pytest.approx(exact.centroid_mm, abs=1e-6)
    hull = moments(np.concatenate([p.triangles_mm for p in body_of(plate, Pose()).pieces]))
    assert hull.volume_mm3 == pytest.approx(exact.volume_mm3, rel=1e-3)
    assert hull.centroid_mm == pytest.approx(exact.centroid_mm, abs=0.05)


def test_a_bevel_that_cannot_be_cut_is_refused() -> None:
    profile = Profile(rectangle(90.0, 40.0), (Hole("P-H1", (86.0, 20.0), 5.0),))
    with pytest.raises(DesignError, match=r"P: holes keep clear of a bevel"):
        volume_moments(Plate("P", "bar", "S235", 12.0, profile, Pose(), bevels=(Bevel(1, 4.0),)))
    with pytest.raises(DesignError, match=r"less than the sheet"):
        volume_moments(Plate("P", "bar", "S235", 3.0, Profile(rectangle(90.0, 40.0)), Pose(), bevels=(Bevel(1, 4.0),)))
