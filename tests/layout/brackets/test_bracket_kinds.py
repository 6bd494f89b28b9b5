"""Kinds of bracket follow from where a mount lies; slots, turned and raked packs; every part lands where it must."""

from __future__ import annotations

import numpy as np
import pytest

from layout.box.shell import shell_of
from layout.brackets.angle import design_bracket
from layout.brackets.design import BracketDesign, Sizes
from layout.brackets.plan import plan_options, with_bars
from layout.brackets.stiffness import bracket_stiffness
from layout.design.flat import bend_frames, flat_poses
from layout.design.geometry import problems
from layout.design.mass import body_mass
from layout.design.parts import FoldedPlate, Plate
from layout.errors import DesignError, JobError
from layout.fe.bracket_bodies import meshed_bracket
from layout.fe.bricks import jacobians, joined, volumes_mm3
from layout.fe.tying import seam_ties
from layout.frames import Extent, Pose, raked_about_y, turned_about_z
from layout.job import Job
from layout.job.bay import MountPoint, Rail
from layout.job.sense.mounts import bracket_problems
from layout.tables import material

INSIDE = Extent((-75.0, -217.0, 349.0), (361.0, 219.0, 700.0))


def job_with(job: Job, changes: dict[str, dict[str, object]], **bracket: object) -> Job:
    """The job with mounts changed by name (all of them under "*")."""
    mounts = tuple(m.model_copy(update=changes.get("*", {}) | changes.get(m.name, {})) for m in job.mount_points)
    return job.model_copy(update={"mount_points": mounts, "bracket": job.bracket.model_copy(update=bracket)})


def designed(
    job: Job, inside: Extent = INSIDE, frame: Pose | None = None, *, far: bool = False, sizes: Sizes | None = None
) -> list[BracketDesign]:
    """Brackets of the first way of reaching the mounts that can be designed."""
    shell, trouble = shell_of(job), None
    for plans in plan_options(job, frame or Pose(), inside, shell, far=far):
        try:
            return [design_bracket(job, p, inside, shell, sizes=sizes or Sizes(6.0)) for p in plans]
        except DesignError as error:
            trouble = error
    raise AssertionError(trouble)


def facing(job: Job) -> Job:
    """The front mounts on a bulkhead that faces the box's fore wall."""
    there = {"normal": "-x"}
    return job_with(job, {
        "rail LH front": {"at_mm": (470.0, 120.0, 520.0), **there}, "rail RH front": {"at_mm": (470.0, -120.0, 520.0), **there},
    })  # fmt: skip


def test_a_mount_that_faces_the_wall_gets_a_standoff(front_job: Job) -> None:
    found = {m.name: b for b in designed(facing(front_job)) for m in b.plan.mounts}
    assert found["rail LH front"].kind == found["rail RH front"].kind == "standoff"
    assert found["rail LH rear"].kind == "gusseted L"
    one = found["rail LH front"]
    foot = next(p for p in one.gussets if p.name == "standoff foot")
    for plate, z in ((foot, foot.thickness_mm), (one.angle, 0.0)):
        assert isinstance(plate, Plate)
        assert problems(plate.profile) == ()
        wanted = 470.0 if plate is foot else one.plan.bar_face_mm  # on the vehicle's metal, on the bars
        assert plate.pose.point((0.0, 0.0, z))[0] == pytest.approx(wanted)
    hole = foot.pose.point((*foot.profile.holes[0].centre_mm, 0.0))
    np.testing.assert_allclose(hole[1:], (120.0, 520.0), atol=1e-9)
    assert np.linalg.eigvalsh(bracket_stiffness(one, one.plan.mounts[0])).min() > 0.0


def test_the_mount_bolts_socket_passes_through_the_standoff(front_job: Job) -> None:
    """The hole in the spreader is in line with the mount, wide enough for the socket, and clear of the column."""
    one = designed(facing(front_job))[0]
    hole = next(h for h in one.angle.profile.holes if h.name.endswith("-T1"))  # type: ignore[union-attr]
    at = one.angle.pose.point((*hole.centre_mm, 0.0))
    np.testing.assert_allclose(at[1:], one.plan.mounts[0].at_mm[1:], atol=1e-9)
    assert 24.0 + 3.0 <= hole.diameter_mm <= one.column.clear_mm + 1e-9  # type: ignore[union-attr]


def test_a_standoff_without_room_for_its_bolts_is_refused(front_job: Job) -> None:
    near = Extent(INSIDE.min_mm, (400.0, *INSIDE.max_mm[1:]))
    job = facing(front_job)
    plans = next(iter(plan_options(job, Pose(), near, shell_of(job))))
    with pytest.raises(DesignError, match="put in and turned"):
        design_bracket(job, plans[0], near, shell_of(job))


def test_a_kind_the_place_does_not_allow_is_refused(front_job: Job) -> None:
    for kind, job in (("standoff", front_job), ("plain L", facing(front_job))):
        wrong = job_with(job, {"rail LH front": {"bracket": kind}})
        with pytest.raises(DesignError, match="rail LH front"):
            designed(wrong)


def test_plain_l_has_no_gussets_and_no_welds(front_job: Job) -> None:
    found = designed(job_with(front_job, {"*": {"bracket": "plain L"}}))
    assert {b.kind for b in found} == {"plain L"}
    assert all(b.gussets == () and b.welds == () for b in found)


@pytest.mark.parametrize("along", ["x", "y"])
def test_saddle_legs_stand_beside_the_rail(front_job: Job, along: str) -> None:
    """Inner faces 1 mm off a rail 60 mm wide under the mount, from the foot's underside down, under the foot's flat."""
    rail = Rail.model_validate({"width": 60.0, "along": along})
    for one in designed(job_with(front_job, {"*": {"rail": rail}})):
        assert one.kind == "saddle"
        legs = [p for p in one.gussets if p.name.startswith("saddle leg")]
        assert len(legs) == 2 * len(one.plan.mounts)
        across = 1 if along == "x" else 0
        for k, leg in enumerate(legs):
            mount = np.array(one.plan.mounts[k // 2].at_mm)
            inner, outer = (leg.pose.point((5.0, 5.0, z)) - mount for z in (0.0, leg.thickness_mm))
            assert abs(inner[across]) == pytest.approx(31.0)
            assert abs(outer[across]) == pytest.approx(31.0 + leg.thickness_mm)
            assert leg.pose.point((0.0, 0.0, 0.0))[2] == pytest.approx(mount[2])
            assert leg.pose.point((10.0, 30.0, 0.0))[2] == pytest.approx(mount[2] - 30.0)


def test_a_saddle_needs_a_rail(front_job: Job) -> None:
    mounts = job_with(front_job, {"rail LH front": {"bracket": "saddle"}}).mount_points
    (problem,) = bracket_problems(mounts)
    assert "saddle" in problem.got
    assert "rail" in problem.remedy
    assert issubclass(JobError, Exception)


@pytest.mark.parametrize("axis", ["x", "y"])
def test_slots_run_along_the_vehicles_axis(front_job: Job, axis: str) -> None:
    job = job_with(front_job, {"rail LH rear": {"slots": "none"}}, slots=axis, slot_length_mm=8.0)
    inside = Extent(INSIDE.min_mm, (INSIDE.max_mm[0], 215.0, INSIDE.max_mm[2]))
    for one in designed(job, inside):
        assert isinstance(one.angle, FoldedPlate)
        pose = one.angle.pose.then(flat_poses(one.angle)[1])
        for hole, place, mount in zip(one.angle.flanges[0].profile.holes, one.mount_places, one.plan.mounts, strict=True):
            if mount.name == "rail LH rear":
                assert hole.slot_mm == 0.0
                assert place.slot is None
                continue
            turn = np.radians(hole.slot_angle_deg)
            direction = pose.vector((np.cos(turn), np.sin(turn), 0.0))
            assert hole.slot_mm == 8.0
            assert abs(direction["xyz".index(axis)]) == pytest.approx(1.0)
            np.testing.assert_allclose(pose.point((*hole.centre_mm, 0.0))[:2], mount.at_mm[:2], atol=1e-9)
            assert place.slot is not None
            wanted = np.abs(one.plan.foot_axes[[0, 2]])[:, "xyz".index(axis)]
            np.testing.assert_allclose(np.abs(place.slot.along), wanted, atol=1e-12)


def test_edges_count_from_the_bolts_worst_place_in_its_slot(front_job: Job) -> None:
    inside = Extent(INSIDE.min_mm, (INSIDE.max_mm[0], 215.0, INSIDE.max_mm[2]))
    plain, slotted = (designed(job_with(front_job, {}, slots=s, slot_length_mm=8.0), inside) for s in ("none", "y"))
    for a, b in zip(plain, slotted, strict=True):
        longer = 4.0 * abs(float(b.plan.out[1]))
        assert b.foot_out_mm == pytest.approx(a.foot_out_mm + longer)
        assert b.mount_places[0].edges_mm[0] == pytest.approx(a.mount_places[0].edges_mm[0])


@pytest.mark.parametrize("rake", [-4.0, 3.0, 8.0])
def test_raked_packs_bend_the_foot_by_what_the_rake_leaves(front_job: Job, rake: float) -> None:
    """On fore and aft walls the bend is 90 degrees less or more the rake; feet still lie on the vehicle's level metal."""
    frame = raked_about_y(rake, (100.0, 0.0, 560.0))
    inside = Extent((-190.0, -210.0, -190.0), (190.0, 210.0, 150.0))
    job = job_with(front_job, {"*": {"at_mm": (380.0, 100.0, 330.0)}, "rail LH rear": {"at_mm": (-210.0, 100.0, 330.0)},
                               "rail RH front": {"at_mm": (380.0, -100.0, 330.0)},
                               "rail RH rear": {"at_mm": (-210.0, -100.0, 330.0)}})  # fmt: skip
    bends = set()
    for one in designed(job, inside, frame):
        assert isinstance(one.angle, FoldedPlate)
        pose = frame.then(one.angle.pose.then(flat_poses(one.angle)[1]))
        np.testing.assert_allclose(np.abs(pose.vector((0.0, 0.0, 1.0))), (0.0, 0.0, 1.0), atol=1e-9)
        assert pose.point((10.0, 10.0, 0.0))[2] == pytest.approx(330.0)
        for hole, mount in zip(one.angle.flanges[0].profile.holes, one.plan.mounts, strict=True):
            np.testing.assert_allclose(pose.point((*hole.centre_mm, 0.0))[:2], mount.entry.at_mm[:2], atol=1e-9)
        bends.add(round(np.degrees(bend_frames(one.angle)[0].angle_rad), 6))
        root = one.angle.pose.then(flat_poses(one.angle)[0])
        assert float(np.dot(root.point((0.0, 0.0, 0.0)), one.plan.w)) == pytest.approx(one.plan.bar_face_mm)
    assert bends <= {90.0, round(90.0 + rake, 6), round(90.0 - rake, 6)}
    assert bends - {90.0}


def test_turned_packs_cut_their_feet_along_the_bay(front_job: Job) -> None:
    """Turned by 10 degrees: no corner of a foot leaves the bay's plan, and every washer keeps its edge."""
    frame = turned_about_z(10.0, (20.0, 0.0, 580.0))
    inside = Extent((21.0, -261.0, -230.0), (291.0, 218.0, 163.0))
    for one in designed(front_job, inside, frame, far=True):
        assert isinstance(one.angle, FoldedPlate)
        pose = frame.then(one.angle.pose.then(flat_poses(one.angle)[1]))
        profile = one.angle.flanges[0].profile
        corners = pose.point([(x, y, 0.0) for x, y, _ in profile.outline])
        assert problems(profile) == ()
        assert np.abs(corners[:, 1]).max() <= 345.0 - 2.0
        assert corners[:, 0].min() >= -330.0 + 2.0
        assert corners[:, 0].max() <= 395.0 - 2.0
        for place in one.mount_places:
            assert place.edges_mm[2] >= 11.0


def test_larger_leg_bolts_get_wider_bars_and_their_own_holes(front_job: Job) -> None:
    shell = shell_of(front_job)
    plans = next(iter(plan_options(front_job, Pose(), INSIDE, shell)))
    for size, drill in (("M8", 6.8), ("M10", 8.5), ("M12", 10.2)):
        wide = with_bars(plans, 100.0, INSIDE, shell, size)
        for plan in wide:
            assert plan.bar_width_mm >= plan.pattern.least_bar_mm
            assert plan.bolt_edge_mm >= plan.pattern.edge_mm - 1e-9
            assert plan.pattern.drill_mm == drill
            one = design_bracket(front_job, plan, INSIDE, shell, 10.0)
            legs = [h for h in one.hardware if "-LB" in h.number]
            assert {h.size for h in legs} == {size}
            assert all(h.length_mm - h.grip_mm <= 15.0 for h in legs)


@pytest.mark.parametrize("kind", ["standoff", "saddle", "leaned", "uneven gussets"])
def test_every_kind_is_meshed_whole_for_finite_elements(kind: str, front_job: Job) -> None:
    """No less metal than designed (small holes and clipped corners are filled), bricks the right way round, every plate tied to
    another of the same bracket along its welds, nodes under every washer.
    """
    rail = Rail.model_validate({"width": 60.0, "along": "x"})
    made = {
        "standoff": lambda: designed(facing(front_job))[0],
        "saddle": lambda: designed(job_with(front_job, {"*": {"rail": rail}}))[0],
        "leaned": lambda: designed(front_job, frame=raked_about_y(4.0))[1],
        "uneven gussets": lambda: designed(front_job, frame=turned_about_z(6.0))[1],
    }  # fmt: skip
    one = made[kind]()
    assert (one.plan.lean != 0.0) == (kind == "leaned")
    masses = {p.number: body_mass(p).mass_kg for p in one.plates}
    meshed = meshed_bracket(one, masses, 32.0)
    density = material(one.material).density_kg_m3 * 1e-9
    for body in meshed.bodies:
        assert jacobians(body.nodes_mm, body.elements)[0].min() > 0.0
        assert 0.96 < float(volumes_mm3(body.nodes_mm, body.elements).sum()) * density / body.mass_kg < 1.05
    mesh = joined(meshed.bodies, np.zeros((0, 2), dtype=np.int64))
    ties = seam_ties(mesh, list(meshed.seams))
    whose = {int(n): i for i, nodes in enumerate(mesh.node_of) for n in np.unique(nodes)}
    graph = {0}
    for _ in meshed.bodies:
        for tie in ties:
            ends = {whose[tie.node], *(whose[int(n)] for n in tie.nodes)}
            graph |= ends if ends & graph else set()
            place = tie.weights @ mesh.nodes_mm[tie.nodes]
            assert np.linalg.norm(place - mesh.nodes_mm[tie.node]) < 0.05
    assert graph == set(range(len(meshed.bodies)))
    for patch in (*meshed.mounts, *meshed.legs):
        assert patch.covers(mesh.nodes_mm[mesh.nodes_of(mesh.body(patch.body))]).sum() >= 8


def test_a_mount_point_takes_rail_and_slots_from_the_file() -> None:
    entry = MountPoint.model_validate(
        {"name": "a", "at": [0, 0, 0], "normal": "+z", "thread": "M10", "slots": "y", "rail": {"width": "2 in", "along": "x"}}
    )
    assert entry.rail is not None
    assert entry.rail.width_mm == pytest.approx(50.8)
