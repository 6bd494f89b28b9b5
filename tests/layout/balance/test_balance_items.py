import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.arrangement import PlacedModule
from layout.balance.bodies import body, box_body, box_piece, convex_body
from layout.balance.items import (
    MassItem,
    ahead_of_axle,
    body_item,
    box_inertia,
    cut_shares,
    entry_item,
    module_item,
    solid_item,
    total,
)
from layout.frames import Extent, Pose, turned_about_z
from layout.job.module import ModuleType
from layout.job.vehicle import MassEntry

place = st.tuples(*[st.floats(-2000.0, 2000.0)] * 3)
boxes = st.lists(st.tuples(st.floats(0.1, 200.0), place, st.tuples(*[st.floats(5.0, 800.0)] * 3)), min_size=1, max_size=6)


def box_item(mass, at, size, name="box") -> MassItem:
    half = np.array(size) / 2.0
    return body_item(name, box_body(Extent(tuple(np.array(at) - half), tuple(np.array(at) + half))), weighed_kg=mass)


@settings(max_examples=40, deadline=None)
@given(boxes, place)
def test_shifting_order_and_adding_up(parts, by):
    items = [box_item(*p) for p in parts]
    whole = total(items)
    moved = total([i.shifted(by) for i in reversed(items)])
    assert moved.mass_kg == pytest.approx(whole.mass_kg)
    assert np.subtract(moved.centroid_mm, whole.centroid_mm) == pytest.approx(by, abs=1e-6)
    assert np.array(moved.inertia_kgmm2) == pytest.approx(np.array(whole.inertia_kgmm2), rel=1e-6, abs=1e-3 * whole.mass_kg)
    low, middle, high = whole.principal_kgmm2
    assert low + middle >= high * (1 - 1e-9)
    assert ahead_of_axle(items).kg + sum(
        ahead_of_axle([box_item(m, (-at[0], at[1], at[2]), s)]).kg for m, at, s in parts
    ) == pytest.approx(whole.mass_kg)


@settings(max_examples=40, deadline=None)
@given(st.floats(1.0, 100.0), place, st.tuples(*[st.floats(5.0, 800.0)] * 3), st.floats(0.1, 0.9))
def test_splitting_a_box_changes_nothing(mass, at, size, share):
    cut = size[0] * share
    left = box_item(mass * share, (at[0] - size[0] / 2 + cut / 2, at[1], at[2]), (cut, size[1], size[2]))
    right = box_item(mass * (1 - share), (at[0] + cut / 2, at[1], at[2]), (size[0] - cut, size[1], size[2]))
    whole = box_item(mass, at, size)
    joined, one = total([left, right]), total([whole])
    assert joined.centroid_mm == pytest.approx(one.centroid_mm, abs=1e-6)
    assert np.array(joined.inertia_kgmm2) == pytest.approx(np.array(one.inertia_kgmm2), rel=1e-7, abs=1e-4 * mass)
    assert ahead_of_axle([left, right]).kg == pytest.approx(ahead_of_axle([whole]).kg, abs=1e-9 * mass)


def test_body_inertia_is_the_box_formula_even_when_turned():
    pose = turned_about_z(30.0, (100.0, 20.0, 5.0))
    item = body_item("box", box_body(Extent((-50, -20, -10), (50, 20, 10)), pose), weighed_kg=4.0)
    assert np.array(item.inertia_kgmm2) == pytest.approx(np.array(box_inertia(4.0, (100, 40, 20), pose.matrix)))
    assert item.centroid_mm == pytest.approx((100.0, 20.0, 5.0))


def test_weighed_beats_computed_and_both_stay():
    solid = box_body(Extent((0, 0, 0), (100, 100, 10)))
    computed = solid_item("plate", solid, 7850.0)
    assert computed.mass_kg == pytest.approx(0.785)
    assert computed.source == "computed"
    weighed = solid_item("plate", solid, 7850.0, weighed_kg=0.81)
    assert (weighed.mass_kg, weighed.computed_kg, weighed.source) == (0.81, pytest.approx(0.785), "weighed")
    ratio = np.array(weighed.inertia_kgmm2)[2, 2] / np.array(computed.inertia_kgmm2)[2, 2]
    assert ratio == pytest.approx(0.81 / 0.785)


def test_unknown_mass_is_named_never_zero():
    unknown = entry_item(MassEntry(name="wiring loom", mass="unknown", at=[0, 0, 300]), "added")
    assert unknown.mass_kg is None
    assert unknown.source == "unknown"
    known = MassItem("motor", 50.0, (-200.0, 0.0, 400.0))
    whole = total([unknown, known])
    assert whole.mass_kg == 50.0
    assert whole.unknown == ("wiring loom",)
    assert any("wiring loom" in n and "unknown" in n for n in ahead_of_axle([unknown, known]).notes)
    with pytest.raises(ValueError, match="no item of known mass"):
        total([unknown])


def test_mass_ahead_is_cut_not_asked_of_the_centroid():
    item = box_item(100.0, (-10.0, 0.0, 300.0), (200.0, 50.0, 50.0))
    ahead = ahead_of_axle([item])
    assert ahead.kg == pytest.approx(45.0)
    assert ahead.share == pytest.approx(0.45)
    point = MassItem("pump", 3.0, (20.0, 0.0, 300.0))
    both = ahead_of_axle([item, point])
    assert both.kg == pytest.approx(48.0)
    assert both.point_kg == 3.0
    assert any("pump" in n and "20 mm ahead" in n for n in both.notes)
    far = MassItem("charger", 3.0, (-900.0, 0.0, 300.0))
    assert ahead_of_axle([far]).notes == ()


def test_offset_centroid_tilts_the_density():
    solid = box_body(Extent((-200.0, -50.0, -50.0), (200.0, 50.0, 50.0)))
    uniform, tilted = cut_shares(solid, (12.0, 0.0, 0.0))
    # density 1 + g x with g = 12 d / a^2: front half holds 1/2 + g a / 8
    assert uniform == pytest.approx(0.5)
    assert tilted == pytest.approx(0.5 + (12.0 * 12.0 / 400.0**2) * 400.0 / 8.0)
    assert cut_shares(solid, (90.0, 0.0, 0.0)) == (pytest.approx(0.5), None)
    item = body_item("module", solid, weighed_kg=10.0, centroid_mm=(90.0, 0.0, 0.0))
    ahead = ahead_of_axle([item])
    assert ahead.kg == ahead.with_offset_kg == pytest.approx(5.0)
    assert "too far out" in ahead.notes[0]


def test_how_far_a_centroid_may_lie_out_depends_on_the_side():
    """A wedge, thick at x = 0, sharp at x = 3: variance 1/2, so density 1 + 2 d (x - 1) is positive for -1/4 <= d <= 1/2."""
    wedge = convex_body([(0, 0, 0), (0, 0, 1), (0, 2, 0), (0, 2, 1), (3, 0, 0), (3, 0, 1)])
    middle = (1.0, 2.0 / 3.0, 0.5)
    cov = -0.5 * 3.0 * 2.0 / 18.0  # of x and y, for a right-angled triangle: -(b h) / 36
    assert cut_shares(wedge, middle, 1.0)[0] == pytest.approx(4.0 / 9.0)

    def along_x(d: float) -> tuple[float, float, float]:
        # a shift of the centroid that a tilt along x alone brings: y follows by its covariance with x
        return (middle[0] + d, middle[1] + d * cov / 0.5, middle[2])

    assert cut_shares(wedge, along_x(0.4), 1.0)[1] is not None
    assert cut_shares(wedge, along_x(-0.2), 1.0)[1] is not None
    assert cut_shares(wedge, along_x(-0.4), 1.0)[1] is None
    assert cut_shares(wedge, along_x(0.6), 1.0)[1] is None


def test_tilted_density_gives_the_stated_centroid_back():
    solid = body([box_piece(Extent((0.0, 0.0, 0.0), (300.0, 100.0, 40.0)), turned_about_z(20.0), share=1.0)])
    stated = tuple(np.add(solid.extent.centre_mm, (8.0, -3.0, 1.0)))
    cuts = np.linspace(solid.extent.min_mm[0], solid.extent.max_mm[0], 4001)
    ahead = np.array([cut_shares(solid, stated, x)[1] for x in cuts[::20]])
    # mean x of a mass distribution from its share ahead of x: lowest x plus the area under the share
    mean = cuts[0] + float(np.trapezoid(ahead, cuts[::20]))
    assert mean == pytest.approx(stated[0], abs=0.02)


def test_placed_module_lies_where_pose_and_frame_put_it():
    kind = ModuleType(
        name="slab",
        size=[392, 151, 108],
        mass=12.4,
        centroid_offset=[6, 0, -2],
        terminal_face="+x",
        available=1,
        nominal_voltage=22.2,
        max_voltage=25.2,
        min_voltage=18,
        energy=2.0,
    )
    module = PlacedModule("M1", kind, turned_about_z(90.0, (100.0, 0.0, 60.0)), "+z", "+y")
    item = module_item(module, Pose((-50.0, 10.0, 400.0)))
    assert item.centroid_mm == pytest.approx((50.0, 16.0, 458.0))
    assert item.body is not None
    assert item.body.extent.size_mm == pytest.approx((151.0, 392.0, 108.0))
    assert ahead_of_axle([item]).kg == pytest.approx(12.4 * (50.0 + 75.5) / 151.0)


def test_entry_with_a_size_is_cut():
    entry = MassEntry(name="engine", mass="118 kg", at=[-60, 0, 520], size=[600, 500, 500])
    assert ahead_of_axle([entry_item(entry, "removed")]).kg == pytest.approx(118.0 * 240.0 / 600.0)
