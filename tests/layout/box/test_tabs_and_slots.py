"""Tabs of a welded box: they stand in their slots with play, off bars and holes, and change no weld."""

from __future__ import annotations

from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.box.construct import constructed_box
from layout.box.design import BoxDesign
from layout.box.shell import shell_of
from layout.box.tabs import APART_T, Joint, joints, play_mm, tab_places, with_tabs
from layout.brackets.plan import plan_options
from layout.design import Plate, Profile, rectangle
from layout.design.geometry import loop_extent_mm, problems
from layout.design.mass import volume_moments
from layout.errors import DesignError
from layout.frames import Extent, Pose
from layout.job import Job
from shapes.build import placed
from shapes.measure import shared_volume_mm3

INSIDE = Extent((-80.0, -240.0, 383.0), (362.0, 229.5, 725.0))
PANELS = ("bottom", "left", "right", "fore", "aft")


def designed(job: Job, locating: str) -> BoxDesign:
    job = job.model_copy(update={"box": job.box.model_copy(update={"locating": locating})})
    plans = next(iter(plan_options(job, Pose(), INSIDE, shell_of(job))))
    return constructed_box(job, INSIDE, shell_of(job), plans)


@pytest.fixture(scope="module")
def plain(front_job: Job) -> BoxDesign:
    return designed(front_job, "none")


@pytest.fixture(scope="module")
def tabbed(front_job: Job) -> BoxDesign:
    return designed(front_job, "tabs")


def panel(box: BoxDesign, name: str) -> Plate:
    return box.plate(box.panels[name])


def test_without_the_key_the_plates_keep_four_corners(front_job: Job, plain: BoxDesign) -> None:
    assert front_job.box.locating == "none"
    assert all(len(panel(plain, name).profile.outline) == 4 for name in PANELS)


def test_only_outlines_change_and_no_weld(plain: BoxDesign, tabbed: BoxDesign) -> None:
    assert tabbed.welds == plain.welds
    assert tabbed.hardware == plain.hardware
    assert {p.number for p in tabbed.plates} == {p.number for p in plain.plates}
    for name in PANELS:
        before, after = panel(plain, name), panel(tabbed, name)
        assert (after.pose, after.profile.holes) == (before.pose, before.profile.holes)
        assert problems(after.profile) == ()


def test_tabs_stand_in_their_slots_without_overlap_and_fill_them_but_for_the_play(plain: BoxDesign, tabbed: BoxDesign) -> None:
    """Solids of the kernel: no two share space; the metal lost is the play round each tab and the chamfers, no more."""
    solids = {name: placed(panel(tabbed, name)) for name in PANELS}
    for a, b in combinations(solids.values(), 2):
        assert shared_volume_mm3(a, b) < 1e-6
    lost = sum(volume_moments(panel(plain, n)).volume_mm3 - volume_moments(panel(tabbed, n)).volume_mm3 for n in PANELS)
    t = tabbed.shell.sheet_mm
    corners = {n: len(panel(tabbed, n).profile.outline) - 4 for n in PANELS}
    tabs = sum(corners.values()) // 12
    assert tabs >= 16
    play, chamfer = play_mm(20.0, t), t / 4.0
    slot_larger = (20.0 + 2 * play) * (t + play) - 20.0 * t
    assert lost == pytest.approx(tabs * t * (slot_larger + 2.0 * chamfer**2), rel=1e-6)


def test_rules_of_tabs_are_listed_with_their_figures_and_kept(tabbed: BoxDesign, plain: BoxDesign) -> None:
    assert plain.tab_findings == ()
    assert {f.rule for f in tabbed.tab_findings} == {"tab width", "play of a slot", "tab to its surroundings"}
    assert all(f.ok and f.remedy for f in tabbed.tab_findings)
    assert {f.part for f in tabbed.tab_findings} == {panel(tabbed, n).number for n in ("left", "right", "fore", "aft")}


def test_tabs_reach_the_outer_face_and_not_beyond(tabbed: BoxDesign) -> None:
    t = tabbed.shell.sheet_mm
    for name in ("left", "right", "fore", "aft"):
        plate = panel(tabbed, name)
        x0, y0, x1, y1 = loop_extent_mm(plate.profile.outline)
        outer = Extent((x0, y0, 0.0), (x1, y1, t)).seen_from(plate.pose)
        assert outer.min_mm[2] == pytest.approx(INSIDE.min_mm[2] - t)
        assert outer.max_mm[2] == pytest.approx(INSIDE.max_mm[2])
        for axis in (0, 1):
            assert outer.min_mm[axis] >= INSIDE.min_mm[axis] - t - 1e-9
            assert outer.max_mm[axis] <= INSIDE.max_mm[axis] + t + 1e-9


def test_no_tab_stands_where_a_bar_lies_against_the_edge(tabbed: BoxDesign) -> None:
    t = tabbed.shell.sheet_mm
    bars = tuple(p for p in tabbed.plates if isinstance(p, Plate) and p.name.startswith(("mounting bar", "post", "floor rib")))
    assert bars
    panels = {name: panel(tabbed, name) for name in PANELS}
    blocked = 0
    for joint in joints(panels, bars, INSIDE, tabbed.shell):
        for middle in tab_places(joint, 20.0, APART_T * t):
            for low, high in joint.keep_off_mm:
                blocked += 1
                assert middle + 10.0 + 3.0 * t <= low + 1e-9 or middle - 10.0 - 3.0 * t >= high - 1e-9
    assert blocked > 10


def test_an_edge_without_room_is_said_not_left_out_in_silence(plain: BoxDesign) -> None:
    panels = {name: panel(plain, name) for name in PANELS}
    left = panels["left"]
    upright = Pose((-75.0, INSIDE.max_mm[1] + 18.0, INSIDE.min_mm[2] - 3.0), ((1, 0, 0), (0, 0, 1), (0, -1, 0)))
    wide = Plate("P9", "mounting bar", "5083-H111", 15.0, Profile(rectangle(430.0, 300.0)), upright)
    located = with_tabs(panels, (wide,), INSIDE, plain.shell)
    assert [n for n in located.notes if "0 of 2" in n and left.name in n and "floor" in n]


def test_a_panel_that_is_no_rectangle_is_refused(plain: BoxDesign) -> None:
    panels = {name: panel(plain, name) for name in PANELS}
    old = panels["bottom"]
    cut = Profile(
        (*old.profile.outline[:3], (10.0, old.profile.outline[3][1], 0.0), (0.0, old.profile.outline[3][1] - 10.0, 0.0))
    )
    odd = Plate(old.number, old.name, old.material, old.thickness_mm, cut, old.pose)
    with pytest.raises(DesignError, match=r"LKM-01-B1.*four square corners.*locating"):
        with_tabs({**panels, "bottom": odd}, (), INSIDE, plain.shell)


@given(
    st.floats(60.0, 2000.0),
    st.lists(st.tuples(st.floats(0.0, 2000.0), st.floats(0.0, 300.0)), max_size=6),
    st.floats(10.0, 40.0),
)
def test_places_keep_apart_from_ends_bodies_and_one_another(
    length: float, bodies: list[tuple[float, float]], width: float
) -> None:
    keep = tuple((low, low + size) for low, size in bodies)
    joint = Joint("a", "b", (0.0, 0.0, 0.0), (length, 0.0, 0.0), (0.0, 0.0, -1.0), (0.0, 1.0, 0.0), keep)
    places = tab_places(joint, width, 9.0)
    edges = [(p - width / 2.0, p + width / 2.0) for p in places]
    for low, high in edges:
        assert low >= 9.0 - 1e-9
        assert high <= length - 9.0 + 1e-9
        assert all(high + 9.0 <= a + 1e-9 or low - 9.0 >= b - 1e-9 for a, b in keep)
    assert all(b[0] - a[1] >= 9.0 - 1e-9 for a, b in pairwise(edges))
    free = np.array([a for a, _ in keep] or [length])
    if free.min() >= length and length > 4.0 * (width + 18.0):
        assert len(places) >= 2
