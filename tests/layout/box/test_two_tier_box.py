"""The box around an inside whose floor is at two heights: volumes in closed form, seams, bars, checks, refusals."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import product

import pytest
import shapely

from layout.box.design import BoxDesign
from layout.box.folded import design_folded_box
from layout.box.shell import shell_of
from layout.box.walls import wall_of, walls_of
from layout.box.welded import design_box
from layout.brackets.plan import BAR_WIDTHS_MM, plan_options, with_bars
from layout.design.geometry import polygon
from layout.design.moments import profile_moments
from layout.errors import DesignError
from layout.frames import Extent
from layout.job.box import Opening
from layout.loads.cases import cases_of
from layout.space.removal import lifts
from layout.stepped import Stepped, drawn_in, floors_of, two_floors
from layout.study.held_modules import Held, held_checks
from layout.study.held_posts import post_checks
from layout.study.openings import undrained
from layout.study.panels import panel_checks_of
from layout.study.tiers import tier_checks


def turned(inside: Stepped, swap: bool, mirror: bool) -> Stepped:
    """The inside with x and y exchanged, and mirrored along the axis across its riser."""

    def turn(e: Extent) -> Extent:
        (a, b, c), (d, f, g) = e.min_mm, e.max_mm
        a, d = (-d, -a) if mirror else (a, d)
        return Extent((b, a, c), (f, d, g)) if swap else Extent((a, b, c), (d, f, g))

    bounds, out = turn(Extent(inside.min_mm, inside.max_mm)), turn(inside.left_out)
    return Stepped(bounds.min_mm, bounds.max_mm, out)


WAYS = list(product((False, True), (False, True)))


@pytest.fixture(scope="module")
def shell(tier_job):
    return shell_of(tier_job)


@pytest.fixture(scope="module")
def box(tier_job, tier_arrangement, shell) -> BoxDesign:
    plans = next(plan_options(tier_job, tier_arrangement.frame, tier_arrangement.inside, shell))
    plans = with_bars(plans, BAR_WIDTHS_MM[0], tier_arrangement.inside, shell)
    return design_box(tier_job, tier_arrangement.inside, shell, plans, tier_arrangement)


def bare(job):
    return job.model_copy(update={"box": job.box.model_copy(update={"openings": ()})})


def volume(plates):
    return sum(profile_moments(p.profile).area_mm2 * p.thickness_mm for p in plates)


@pytest.mark.parametrize("way", WAYS)
def test_plates_fill_what_lies_between_two_insides(tier_job, tier_arrangement, shell, way):
    """Floors, walls and riser: the inside moved out by the sheet, less the inside. Liner: the inside less the room."""
    inside = turned(tier_arrangement.inside, *way)
    box = design_box(bare(tier_job), inside, shell, ())
    t = shell.sheet_mm
    sheets = [p for p in box.plates if p.name in ("floor", "upper floor", "riser") or p.name.endswith(" wall")]
    assert len(sheets) == 7
    assert len({p.number for p in box.plates}) == len(box.plates)
    around = drawn_in(inside, (-t, -t, -t), (-t, -t, 0.0))
    assert volume(sheets) == pytest.approx(around.volume_mm3 - inside.volume_mm3, rel=1e-9)
    liner = [p for p in box.plates if p.group == "liner"]
    assert volume(liner) == pytest.approx(inside.volume_mm3 - shell.room(inside).volume_mm3, rel=1e-9)
    assert sorted(len(p.profile.outline) for p in sheets) == [4, 4, 4, 4, 4, 6, 6]
    lid = next(p for p in box.plates if p.name == "lid")
    assert len(lid.profile.outline) == 8  # one plane, four rounded corners


@pytest.mark.parametrize("way", WAYS)
def test_walls_close_round_both_levels(tier_arrangement, way):
    """Below the upper floor the plan is that of the deep part, above it that of the whole box."""
    inside = turned(tier_arrangement.inside, *way)
    deep = floors_of(inside)[0]
    for z, piece in ((inside.min_mm[2] + 1.0, deep), (inside.max_mm[2] - 1.0, inside)):
        lines = [
            shapely.LineString([w.point(u, 0.0, 0.0)[:2] for u in (w.low_mm, w.high_mm)])
            for w in walls_of(inside)
            if w.bottom_mm < z < w.top_mm
        ]
        plan = shapely.box(piece.min_mm[0], piece.min_mm[1], piece.max_mm[0], piece.max_mm[1])
        assert shapely.unary_union(lines).symmetric_difference(plan.exterior).length < 1e-9


@pytest.mark.parametrize("way", WAYS)
def test_seams_run_round_both_floors_and_up_every_corner(tier_job, tier_arrangement, shell, way):
    inside = turned(tier_arrangement.inside, *way)
    box, t = design_box(bare(tier_job), inside, shell, ()), shell.sheet_mm
    deep, upper = floors_of(inside)
    across = 1 - inside.run
    long, short, other = inside.size_mm[inside.run], deep.size_mm[across], upper.size_mm[across]
    number = {w.panel: box.panels[w.panel] for w in walls_of(inside)}
    riser = next(number[w.panel] for w in walls_of(inside) if w.riser)

    def seams(part, kind):
        return sum(math.dist(*w.path_mm) for w in box.welds if part in w.joins and w.kind == kind)

    assert seams(box.panels["bottom"], "corner") == pytest.approx(2.0 * (short + long + 4.0 * t))
    assert seams(box.panels["upper floor"], "corner") == pytest.approx(2.0 * other + long + 2.0 * t)
    assert seams(box.panels["upper floor"], "fillet") == pytest.approx(long)
    assert seams(riser, "fillet") == pytest.approx(long)
    up = inside.left_out.size_mm[2]
    assert seams(riser, "corner") == pytest.approx(long + 2.0 * t + 2.0 * (up - t))
    walls = set(number.values())
    upright = [w for w in box.welds if set(w.joins) <= walls]
    assert len(upright) == 6
    assert all(w.path_mm[0][2] < w.path_mm[1][2] for w in upright)


def test_modules_stand_on_bars_of_their_own_floor(box, shell):
    carriers = box.carriers
    assert carriers.unheld == ()
    assert {h.id for h in carriers.held} == {f"M{i}" for i in range(1, 16)}
    levels = {bar.extent.min_mm[2]: bar for bar in carriers.bars if bar.welded}
    assert set(levels) == {219.0, 349.0}
    by_name = {w.name: w for w in walls_of(box.inside)}
    for bar in carriers.bars:
        if bar.welded:
            assert bar.run == box.inside.run  # none ends on the riser
        for which in (0, 1):
            wall, at = by_name[bar.wall(which)], bar.end_mm(which)
            assert not wall.riser
            assert abs(wall.face_mm - at[bar.run]) <= 0.31
            assert wall.bottom_mm <= bar.extent.min_mm[2]
            assert wall.low_mm <= at[wall.along] <= wall.high_mm
    for name in ("bottom", "upper floor"):
        assert sum(h.fastener == "M6" for h in box.plate(box.panels[name]).profile.holes) == 12


def test_uprights_begin_under_the_floor_beside_them(box, shell):
    uprights = [p for p in box.plates if p.name == "post" or p.name.startswith("mounting bar")]
    bottoms = {round(p.pose.origin_mm[2], 6) for p in uprights}
    assert bottoms == {216.0, 346.0}
    for post in box.carriers.posts:
        wall = wall_of(post.wall, box.inside)
        low, high = wall.usable_mm(shell.side_mm)
        assert low <= post.u_mm - post.width_mm / 2.0
        assert post.u_mm + post.width_mm / 2.0 <= high
        plate = box.plate(post.number)
        top = plate.pose.origin_mm[2] + max(v[1] for v in plate.profile.outline)
        assert (plate.pose.origin_mm[2], top) == pytest.approx((wall.bottom_mm - 3.0, box.inside.max_mm[2]))


def test_every_plate_lies_within_what_the_search_kept_clear(box, shell):
    pieces = [shapely.box(p.min_mm[0], p.min_mm[2], p.max_mm[0], p.max_mm[2]) for _, p in shell.pieces(box.inside)]
    side = shapely.unary_union(pieces).buffer(1e-6)
    for plate in box.plates:
        x, y, _ = zip(*plate.profile.outline, strict=True)
        points = [(a, b) for a, b in zip(x, y, strict=True)]
        if plate.pose.axes[2][1] != 0.0:  # seen square to it: its own outline
            seen = shapely.Polygon([tuple(plate.pose.point((*p, 0.0))[[0, 2]]) for p in points])
        else:
            corners = [plate.pose.point((a, b, z))[[0, 2]] for a, b in points for z in (0.0, plate.thickness_mm)]
            seen = shapely.MultiPoint(corners).envelope
        assert side.contains(seen), plate.number


def test_lifts_come_out_straight_up(tier_arrangement, shell, box):
    found = lifts(tier_arrangement, shell, box.carriers)
    assert not any(lift.blocked for lift in found)
    assert {m for lift in found for m in lift.modules} == {m.id for m in tier_arrangement.modules}
    assert all("upper" not in lift.undo for lift in found)


def test_riser_and_inner_corners_are_checked_in_every_case(tier_job, tier_arrangement, box):
    held = Held(box, tier_arrangement, cases_of(tier_job))
    found = tier_checks(held)
    assert {c.case for c in found} == {case.name for case in held.cases}
    assert {"riser", "riser to upper floor", "L-shaped walls"} <= {c.part for c in found}
    # twice the sheet's mass on the riser as on half of both floors: by hand for the case that presses most
    case = max(range(len(held.cases)), key=lambda c: -held.specific[c, 2])
    down = -float(held.specific[case, 2])
    one = next(c for c in found if c.name == "riser between two floors" and c.case == held.cases[case].name)
    line = 2660.0e-9 * 3.0 * down * 661.0 / 2.0
    bending, shear = line * 447.0**2 / 8.0 * 6.0 / (3.0 * 130.0**2), 1.5 * line * 447.0 / 2.0 / 390.0
    assert one.demand == pytest.approx(math.hypot(bending, math.sqrt(3.0) * shear), rel=1e-6)
    assert not two_floors(Extent(box.inside.min_mm, box.inside.max_mm))
    plain = replace(box, inside=Extent(box.inside.min_mm, box.inside.max_mm))
    assert tier_checks(replace(held, box=plain)) == []
    assert held_checks(held)
    assert post_checks(held)


def test_each_floor_is_a_panel_of_its_own(tier_job, tier_arrangement, box):
    case = next(c for c in cases_of(tier_job) if c.name.startswith("down"))
    found = panel_checks_of(box, tier_arrangement, case)
    assert {c.part for c in found} == {"floor", "upper floor"}
    kinds = tuple(k.model_copy(update={"fixing": None}) for k in tier_job.modules)
    loose = bare(tier_job).model_copy(update={"modules": kinds})
    ribbed = design_box(loose, box.inside, shell_of(loose), ())
    parts = {c.part for c in panel_checks_of(ribbed, tier_arrangement, case)}
    assert {"floor between ribs", "upper floor between ribs", "floor rib", "upper floor rib"} <= parts
    ribs = [p for p in ribbed.plates if p.name.startswith("floor rib")]
    assert ribbed.rib_axis == box.inside.run
    assert {round(p.pose.origin_mm[2] + 40.0) for p in ribs} == {216, 346}
    line = box.inside.line_mm(0)
    assert all(abs(p.pose.origin_mm[0] + 3.0 - line) > 9.0 for p in ribs)


def drained(job, *openings):
    return job.model_copy(update={"box": job.box.model_copy(update={"openings": openings})})


def test_pockets_of_both_floors_need_drains(tier_job, box):
    def drain(panel, x):
        return Opening(name=f"{panel} {x}", panel=panel, diameter=8.0, at=(x, 0.0), kind="drain")

    said = undrained(drained(tier_job, drain("bottom", 0.0)), box)
    assert sum("upper floor" in text for text in said) == 2  # the one along the riser's edge runs off
    assert not any("= -30" in text and "upper" in text for text in said)
    more = drained(tier_job, drain("bottom", 0.0), drain("upper floor", 0.0))
    assert sum("upper floor" in text for text in undrained(more, box)) == 1


@pytest.mark.parametrize(
    ("panel", "at"),
    [("left", (200.0, -120.0)), ("upper floor", (170.0, 0.0)), ("bottom", (-170.0, 0.0)), ("fore", (0.0, 130.0))],
)
def test_openings_are_refused_where_there_is_no_panel(tier_job, tier_arrangement, shell, panel, at):
    opening = Opening(name="gland", panel=panel, diameter=25.0, at=at)
    with pytest.raises(DesignError, match="between opening and edge"):
        design_box(drained(tier_job, opening), tier_arrangement.inside, shell, ())
    near = opening.model_copy(update={"at_mm": (-100.0, -50.0) if panel == "left" else (0.0, 0.0)})
    box = design_box(drained(tier_job, near), tier_arrangement.inside, shell, ())
    plate = box.plate(box.panels[panel])
    hole = next(h for h in plate.profile.holes if h.fastener == "gland")
    assert polygon(plate.profile).distance(shapely.Point(hole.centre_mm)) == pytest.approx(12.5, abs=0.1)
    plain = Extent(tier_arrangement.inside.min_mm, tier_arrangement.inside.max_mm)
    if panel == "upper floor":
        with pytest.raises(DesignError, match="two heights"):
            design_box(drained(tier_job, near), plain, shell, ())


def test_a_ring_goes_round_an_opening_of_the_upper_floor(tier_job, tier_arrangement, shell):
    ring = Opening(name="gland", panel="upper floor", diameter=25.0, at=(0.0, 0.0), ring=3.0)
    job = drained(tier_job, ring)
    box = design_box(job, tier_arrangement.inside, shell_of(job), ())
    (one,) = box.rings
    assert one.plate.pose.origin_mm == pytest.approx((136.0, -0.5, 349.0 - 3.0))
    assert one.weld.joins == (one.plate.number, box.panels["upper floor"])
    assert box.plate(box.panels["upper floor"]).profile.holes[-1].diameter_mm == 25.0


def test_what_is_not_done_is_refused(tier_job, tier_arrangement, shell):
    inside = tier_arrangement.inside
    folded = bare(tier_job).model_copy(update={"box": tier_job.box.model_copy(update={"construction": "folded"})})
    with pytest.raises(DesignError, match="two-tier"):
        design_folded_box(folded, inside, shell_of(folded), ())
    tabs = bare(tier_job)
    tabs = tabs.model_copy(update={"box": tabs.box.model_copy(update={"locating": "tabs"})})
    with pytest.raises(DesignError, match="four square corners"):
        design_box(tabs, inside, shell, ())
