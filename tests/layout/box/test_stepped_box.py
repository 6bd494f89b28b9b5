"""The box around an inside with a corner of its plan left out: areas and volumes in closed form, walls, bars, refusals."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
import shapely

from layout.box.lid import LID_PITCH_MM
from layout.box.shell import shell_of
from layout.box.walls import walls_of
from layout.box.welded import design_box
from layout.brackets.plan import plan_options
from layout.design.geometry import polygon
from layout.design.moments import profile_moments
from layout.errors import DesignError
from layout.frames import Extent
from layout.job.box import Opening
from layout.stepped import Stepped, plan_of
from layout.study.held_modules import Held, _wall_edge


def mirrored(inside: Stepped, x: bool, y: bool) -> Stepped:
    def turn(e: Extent) -> Extent:
        (a, b, c), (d, f, g) = e.min_mm, e.max_mm
        a, d = (-d, -a) if x else (a, d)
        b, f = (-f, -b) if y else (b, f)
        return Extent((a, b, c), (d, f, g))

    bounds, out = turn(inside), turn(inside.left_out)
    return Stepped(bounds.min_mm, bounds.max_mm, out)


@pytest.fixture(scope="module")
def shell(l_job):
    return shell_of(l_job)


@pytest.mark.parametrize("turn", [(False, False), (True, False), (False, True), (True, True)])
def test_plates_in_closed_form(l_job, l_arrangement, shell, turn):
    """Floor, flange, gasket, lid: the L offset outward; walls: the ring between the L and its offset, times the height."""
    inside = mirrored(l_arrangement.inside, *turn)
    job = l_job.model_copy(update={"box": l_job.box.model_copy(update={"openings": ()})})
    box = design_box(job, inside, shell, ())
    x, y, z = inside.size_mm
    u, v, _ = inside.left_out.size_mm
    area, around = x * y - u * v, 2.0 * (x + y)

    def offset(d: float, r: float = 0.0) -> float:
        """Square corners: A + P d + 4 d2 (five outer corners less one inner); rounded ones lose (1 - pi/4) r2 each."""
        return area + around * d + 4.0 * d * d - 5.0 * (1.0 - math.pi / 4.0) * r * r

    by_name = {p.name: p for p in box.plates}
    t, out = shell.sheet_mm, shell.slab_out_mm
    holes = len(box.lid_bolts_mm) * math.pi / 4.0 * 5.5**2
    assert profile_moments(by_name["floor"].profile).area_mm2 == pytest.approx(offset(t), rel=1e-9)
    assert profile_moments(by_name["lid"].profile).area_mm2 == pytest.approx(offset(out, 8.0) - holes, rel=1e-9)
    assert profile_moments(by_name["lid flange"].profile).area_mm2 == pytest.approx(offset(out, 8.0) - holes - area, rel=1e-9)
    strip = t + shell.bolt_line_mm - 2.5 - 1.0
    assert profile_moments(by_name["lid gasket"].profile).area_mm2 == pytest.approx(offset(strip, 4.0) - area, rel=1e-9)
    walls = [p for name, p in by_name.items() if name.endswith(" wall")]
    assert len(walls) == 6
    volume = sum(profile_moments(p.profile).area_mm2 * p.thickness_mm for p in walls)
    assert volume == pytest.approx((around * t + 4.0 * t * t) * z, rel=1e-9)
    liner = [p for p in box.plates if p.group == "liner"]
    lined = sum(profile_moments(p.profile).area_mm2 * p.thickness_mm for p in liner)
    assert lined == pytest.approx(area * 2.0 + (around * 2.0 - 4.0 * 4.0) * (z - 2.0), rel=1e-9)
    assert len({p.number for p in box.plates}) == len(box.plates)


@pytest.mark.parametrize("turn", [(False, False), (True, False), (False, True), (True, True)])
def test_walls_close_round_the_plan(l_arrangement, turn):
    inside = mirrored(l_arrangement.inside, *turn)
    walls = walls_of(inside)
    lines = [shapely.LineString([w.point(w.low_mm, 0.0, 0.0)[:2], w.point(w.high_mm, 0.0, 0.0)[:2]]) for w in walls]
    assert shapely.unary_union(lines).symmetric_difference(shapely.Polygon(plan_of(inside)).exterior).length < 1e-9
    for wall, line in zip(walls, lines, strict=True):
        beyond = line.interpolate(0.5, normalized=True)
        step = shapely.Point(beyond.x + wall.w[0], beyond.y + wall.w[1])
        assert not shapely.Polygon(plan_of(inside)).contains(step)
    assert sum(w.elbow != 0 for w in walls) == 2


def test_lid_bolts_stand_round_the_l(l_study):
    box = l_study.box
    line = box.shell.sheet_mm + box.shell.bolt_line_mm
    around = shapely.Polygon(plan_of(box.inside)).buffer(line, join_style="mitre").exterior
    at = sorted(around.project(shapely.Point(x, y)) for x, y, _ in box.lid_bolts_mm)
    assert all(around.distance(shapely.Point(x, y)) < 1e-6 for x, y, _ in box.lid_bolts_mm)
    gaps = [b - a for a, b in zip(at, [*at[1:], at[0] + around.length], strict=True)]
    assert max(gaps) <= LID_PITCH_MM + 1e-6
    for corner in list(around.coords)[:-1]:
        assert any(math.dist(corner, (x, y)) < 1e-6 for x, y, _ in box.lid_bolts_mm)


def test_bars_end_at_walls_that_are_there(l_study):
    box = l_study.box
    by_name = {w.name: w for w in walls_of(box.inside)}
    assert box.carriers.unheld == ()
    assert {bar.wall(1) for bar in box.carriers.bars if bar.run == 0} == {"fore", "fore step"}
    for bar in box.carriers.bars:
        for which in (0, 1):
            wall, at = by_name[bar.wall(which)], bar.end_mm(which)
            assert wall.along == 1 - bar.run
            assert abs(wall.face_mm - at[bar.run]) <= 0.31
            half = bar.width_mm / 2.0
            assert wall.low_mm <= at[wall.along] - half
            assert at[wall.along] + half <= wall.high_mm
    for post in box.carriers.posts:
        low, high = by_name[post.wall].usable_mm(box.shell.side_mm)
        assert low <= post.u_mm - post.width_mm / 2.0
        assert post.u_mm + post.width_mm / 2.0 <= high


def test_seams_run_along_all_edges(l_study):
    box = l_study.box
    around = shapely.Polygon(plan_of(box.inside)).buffer(box.shell.sheet_mm, join_style="mitre").exterior
    floor, flange = box.panels["bottom"], box.plates[0]
    assert flange is not None
    walls = {box.panels[w.name] for w in walls_of(box.inside)}
    below = [w for w in box.welds if set(w.joins) & {floor} and set(w.joins) & walls]
    assert sum(math.dist(*w.path_mm) for w in below if w.path_mm[0][2] == w.path_mm[1][2]) == pytest.approx(around.length)
    upright = [w for w in box.welds if set(w.joins) <= walls]
    assert sorted(w.kind for w in upright) == ["corner"] * 5 + ["fillet"]
    elbow = next(w for w in upright if w.kind == "fillet")
    assert set(elbow.joins) == {box.panels["fore step"], box.panels["left step"]}


@pytest.mark.parametrize(("panel", "at"), [("top", (150.0, 150.0)), ("bottom", (150.0, 150.0)), ("left", (250.0, 0.0))])
def test_openings_are_refused_where_there_is_no_panel(l_job, l_arrangement, shell, panel, at):
    opening = Opening(name="gland", panel=panel, diameter=25.0, at=at)
    job = l_job.model_copy(update={"box": l_job.box.model_copy(update={"openings": (opening,)})})
    with pytest.raises(DesignError, match="between opening and edge"):
        design_box(job, l_arrangement.inside, shell, ())
    near = opening.model_copy(update={"at_mm": (-150.0, -100.0) if panel != "left" else (0.0, 0.0)})
    job = l_job.model_copy(update={"box": l_job.box.model_copy(update={"openings": (near,)})})
    box = design_box(job, l_arrangement.inside, shell, ())
    plate = box.plate(box.panels[panel])
    hole = next(h for h in plate.profile.holes if h.fastener == "gland")
    assert polygon(plate.profile).distance(shapely.Point(hole.centre_mm)) == pytest.approx(12.5, abs=0.1)


def test_a_mount_beside_the_step_is_reached_from_the_steps_wall(l_job, l_arrangement, shell):
    mounts = [m.model_copy(update={"at_mm": (180.0, 20.0, 300.0)}) if m.name == "LH front" else m for m in l_job.mount_points]
    job = l_job.model_copy(update={"mount_points": tuple(mounts)})
    first = next(plan_options(job, l_arrangement.frame, l_arrangement.inside, shell))
    assert {m.name: p.wall for p in first for m in p.mounts}["LH front"] == "left step"
    low, high = next(w for w in walls_of(l_arrangement.inside) if w.name == "left step").usable_mm(shell.side_mm)
    (plan,) = (p for p in first if p.wall == "left step")
    assert all(low <= u - plan.bar_width_mm / 2.0 and u + plan.bar_width_mm / 2.0 <= high for u in plan.bars_u_mm)


def test_edges_are_those_of_the_steps_wall(l_study):
    held = Held(l_study.box, l_study.arrangement, ())
    wall = next(w for w in walls_of(l_study.box.inside) if w.name == "fore step")
    at = wall.point(wall.low_mm + 17.0, 0.0, wall.bottom_mm + 120.0)
    assert _wall_edge(held, "fore step", at) == pytest.approx(17.0)


def test_ribs_end_with_the_floor(l_job, l_arrangement, shell):
    kinds = tuple(k.model_copy(update={"fixing": None}) for k in l_job.modules)
    job = l_job.model_copy(update={"modules": kinds, "box": l_job.box.model_copy(update={"openings": ()})})
    box = design_box(job, l_arrangement.inside, replace(shell_of(job)), ())
    ribs = [p for p in box.plates if p.name.startswith("floor rib")]
    assert len(ribs) >= 4
    floor = shapely.Polygon(plan_of(box.inside)).buffer(box.shell.sheet_mm, join_style="mitre")
    lengths = set()
    for rib in ribs:
        ends = [rib.pose.point((x, 0.0, z)) for x in (0.0, max(v[0] for v in rib.profile.outline)) for z in (0.0, 6.0)]
        lengths.add(round(max(v[0] for v in rib.profile.outline)))
        assert all(floor.distance(shapely.Point(p[0], p[1])) < 1e-6 for p in ends)
        assert floor.buffer(1e-6).contains(shapely.MultiPoint([(p[0], p[1]) for p in ends]).convex_hull)
    assert len(lengths) == 2
    line = box.inside.line_mm(1 - box.rib_axis)
    assert min(abs(rib.pose.origin_mm[1 - box.rib_axis] - line) for rib in ribs) <= 15.0
