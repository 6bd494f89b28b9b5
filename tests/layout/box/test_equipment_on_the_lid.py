"""Equipment that stands on the lid: pads in line with its feet, forces in balance, why not, and what the lid's bolts carry."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from layout.arrangement import Arrangement, PlacedEquipment
from layout.box.design import BoxDesign
from layout.box.folded import design_folded_box
from layout.box.lid_fixture import LidFixture, grip_mm
from layout.box.shell import GASKET_MM, shell_of
from layout.box.welded import design_box
from layout.checks.lid_loads import pad_weld_checks
from layout.checks.plate_series import patch_moment
from layout.frames import Pose
from layout.job import Job
from layout.job.box import Equipment, Opening
from layout.loads.cases import cases_of
from layout.packing.hung import PLATE_MM
from layout.study.fixture_checks import screw_forces
from layout.study.held_modules import Held
from layout.study.lid_fixture_checks import lid_fixture_checks
from layout.study.panels import panel_checks_of, undesigned
from layout.tables import material

FEET = [[-85, -50], [85, -50], [85, 50], [-85, 50]]


def converter(bolt: str = "M6", **more: object) -> Equipment:
    fixing = {"pattern": FEET, "bolt": bolt, "foot": 4, **more}
    return Equipment.model_validate(
        {"name": "converter", "size": [200, 130, 70], "mass": 3.2, "where": "top face", "fixing": fixing}
    )


def on_the_lid(job: Job, arrangement: Arrangement, kind: Equipment, at: tuple[float, float] = (140.0, 0.0)) -> Arrangement:
    low = arrangement.inside.max_mm[2] + shell_of(job).flange_above_mm + PLATE_MM
    piece = PlacedEquipment(kind, Pose((*at, low + kind.size_mm[2] / 2.0)), "+z", True, PLATE_MM)
    return replace(arrangement, equipment=(piece,))


@pytest.fixture(scope="module")
def arrangement(front_job: Job, front_arrangement: Arrangement) -> Arrangement:
    return on_the_lid(front_job, front_arrangement, converter(load=9000))


@pytest.fixture(scope="module", params=["welded", "folded"])
def box(request: pytest.FixtureRequest, front_job: Job, arrangement: Arrangement) -> BoxDesign:
    make = design_box if request.param == "welded" else design_folded_box
    return make(front_job, arrangement.inside, shell_of(front_job), (), arrangement)


def only(box: BoxDesign) -> LidFixture:
    (one,) = box.lid_mounts.fixtures
    return one


def test_pads_stand_on_the_lid_under_the_feet(box: BoxDesign) -> None:
    one = only(box)
    top = box.inside.max_mm[2] + 2.0 * box.shell.sheet_mm + GASKET_MM
    pads = [p for p in box.plates if p.name.startswith("tapped pad")]
    assert len(pads) == len(one.points_mm) == 4
    for pad, (x, y, z) in zip(pads, one.points_mm, strict=True):
        assert pad.pose.origin_mm[2] == pytest.approx(top)  # type: ignore[union-attr]
        assert top + pad.thickness_mm == pytest.approx(z)
        assert pad.pose.point((12.0, 12.0, 0.0))[:2] == pytest.approx((x, y))
    screws = [h for h in box.hardware if "converter" in h.joins]
    assert len(screws) == 4
    for screw in screws:
        assert screw.head_mm[2] - screw.length_mm > top  # nothing passes the lid
        assert screw.length_mm - grip_mm(one) == pytest.approx(one.engagement_mm)
        assert one.engagement_mm >= 6.0
    assert sum(w.joins[1] == box.panels["top"] for w in box.welds) == 4


def test_screws_balance_the_piece(front_job: Job, arrangement: Arrangement, box: BoxDesign) -> None:
    held = Held(box, arrangement, cases_of(front_job))
    tensions, shears = screw_forces(only(box), held.specific)
    level = 3.2 * np.hypot(held.specific[:, 0], held.specific[:, 1])
    assert np.all(shears.sum(axis=1) >= level - 1e-6)
    assert np.all(tensions.sum(axis=1) >= 3.2 * held.specific[:, 2] - 1e-6)


def test_every_check_is_made_and_the_lids_bolts_carry_it(
    front_job: Job, front_arrangement: Arrangement, arrangement: Arrangement, box: BoxDesign
) -> None:
    held = Held(box, arrangement, cases_of(front_job))
    found = lid_fixture_checks(box, held.cases, held.specific)
    assert not [c for c in found if c.utilisation is None]
    assert {"lid under what stands on it"} <= {c.name for c in found}
    assert any("pad of converter weld" in c.part for c in found)
    assert any(c.part == "lid bolt under what stands on the lid" for c in found)
    assert not [c for c in undesigned(box, arrangement) if c.part == "converter"]
    up = next(c for c in held.cases if c.acceleration_g[2] < -2.0)
    tension = next(c for c in panel_checks_of(box, arrangement, up) if c.part == "lid bolt" and c.name == "bolt tension")
    bare = design_box(front_job, arrangement.inside, shell_of(front_job), (), front_arrangement)
    without = next(c for c in panel_checks_of(bare, front_arrangement, up) if c.part == "lid bolt" and c.name == "bolt tension")
    each = 1.5 * 3.2 * 9.80665 * (abs(up.acceleration_g[2]) - 1.0) / len(box.lid_bolts_mm)
    assert tension.demand >= without.demand + each - 2.0  # pads besides; a folded lid has bolts of its own


def test_the_sheet_takes_all_pads_at_the_worst_place(front_job: Job, arrangement: Arrangement) -> None:
    box = design_box(front_job, arrangement.inside, shell_of(front_job), (), arrangement)
    held = Held(box, arrangement, cases_of(front_job))
    for check in (c for c in lid_fixture_checks(box, held.cases, held.specific) if c.name == "lid under what stands on it"):
        values = {q.symbol: q.value for q in check.inputs}
        line = box.shell.sheet_mm + box.shell.bolt_line_mm
        a, b = (v + 2.0 * line for v in box.inside.size_mm[:2])
        mus = []
        for x, y, _ in only(box).points_mm:
            at = (x - box.inside.min_mm[0] + line, y - box.inside.min_mm[1] + line)
            mus.append(patch_moment(a, b, (27.0, 27.0), at, material("5083-H111").poisson))
        assert values["mu"] == pytest.approx(max(mus), rel=1e-3)
        assert values["F"] >= 3.2 * abs(held.specific[[c.name for c in held.cases].index(check.case), 2]) - 1e-6


def test_a_pads_fillet_by_the_line_method() -> None:
    """Square loop of unit throat, side 24: I = 2 s^3/3; shear at the top of a pad 8.5 mm high."""
    s, h = 24.0, 8.5
    corners = [(-12.0, -12.0), (12.0, -12.0), (12.0, 12.0), (-12.0, 12.0)]
    along = (np.arange(2000) + 0.5) / 2000.0
    inertia = 0.0
    for a, b in zip(corners, corners[1:] + corners[:1], strict=True):
        inertia += s * float(np.mean((a[0] + (b[0] - a[0]) * along) ** 2))
    assert inertia == pytest.approx(2.0 * s**3 / 3.0, rel=1e-4)
    found = pad_weld_checks("pad", "case", ("5083-H111", "5083-H111"), (h, 3.0), 2.1, s, h, (500.0, 300.0))
    normal = 500.0 / 96.0 + 300.0 * h * 12.0 / inertia
    values = {q.symbol: q.value for q in found[0].inputs}
    assert any(v == pytest.approx(normal, rel=1e-4) for v in values.values())


@pytest.mark.parametrize(
    ("kind", "at", "why"),
    [(converter("M8"), (140.0, 0.0), "no standard M8"), (converter(), (70.0, 180.0), "within the walls")],
)
def test_why_not(front_job: Job, front_arrangement: Arrangement, kind: Equipment, at: tuple[float, float], why: str) -> None:
    arrangement = on_the_lid(front_job, front_arrangement, kind, at)
    box = design_box(front_job, arrangement.inside, shell_of(front_job), (), arrangement)
    assert box.lid_mounts.fixtures == ()
    assert why in box.lid_mounts.unfixed[0][1]
    held = Held(box, arrangement, cases_of(front_job))
    found = lid_fixture_checks(box, held.cases, held.specific)
    assert [c.part for c in found] == ["converter"]
    assert found[0].utilisation is None


def test_an_opening_under_a_foot_is_named(front_job: Job, arrangement: Arrangement) -> None:
    x, y, _ = np.subtract(arrangement.equipment[0].pose.origin_mm, arrangement.inside.centre_mm)
    vent = Opening.model_validate({"name": "vent", "panel": "top", "diameter": 30, "at": [x + 85, y + 50], "kind": "vent"})
    clear = front_job.model_copy(update={"box": front_job.box.model_copy(update={"openings": (vent,)})})
    from layout.box.lid_fixture import lid_mounts

    found = lid_mounts(clear, arrangement, arrangement.inside, shell_of(clear), "B7")
    assert "opening 'vent'" in found.unfixed[0][1]
