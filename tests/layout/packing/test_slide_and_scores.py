"""Sliding keeps what is apart apart, and the figures a choice is made by."""

from __future__ import annotations

from itertools import combinations
from typing import Any

import numpy as np
import pytest

from layout.arrangement import Arrangement, PlacedModule
from layout.frames import Extent, Pose, module_axes
from layout.job.module import ModuleType
from layout.packing.bodies import Body, module_stands
from layout.packing.equipment_fit import gap_mm
from layout.packing.goal import Spot
from layout.packing.scores import best_first, modules_in_the_way, scores_of, undominated
from layout.packing.slide import Frame, Layout, slide

LIMIT = Extent((-400.0, -400.0, 300.0), (500.0, 400.0, 800.0))


def body_of(make: Any, **more: Any) -> Body:
    kind = ModuleType.model_validate(make.slab | more)
    return Body(kind.name, kind, module_stands(kind), kind.gap_mm, kind.mass_kg, 0, 9)


def stand_of(body: Body, terminals: str) -> int:
    return next(j for j, s in enumerate(body.stands) if s.terminals == terminals)


def test_box_closes_in_and_gaps_hold(make: Any) -> None:
    body = body_of(make)
    j = stand_of(body, "+x")
    spots = (Spot(0, j, (-300.0, -350.0, 310.0)), Spot(0, j, (-300.0, 200.0, 310.0)), Spot(0, j, (150.0, -350.0, 310.0)))
    frame = Frame(Pose(), LIMIT, 2.0)
    out = slide(Layout(spots, LIMIT), (body,), frame, ("small_box",))
    assert out is not None
    assert out.inside.size_mm == pytest.approx((604.0 + 4.0, 244.0 + 4.0, 102.0))
    extents = [Extent(s.low_mm, tuple(np.add(s.low_mm, body.stands[j].size_mm))) for s in out.spots]  # type: ignore[arg-type]
    assert min(gap_mm(a, b) for a, b in combinations(extents, 2)) == pytest.approx(4.0)


def test_zone_is_kept_clear_and_in_the_room(make: Any) -> None:
    body = body_of(make, terminal_clearance=40)
    spots = (Spot(0, stand_of(body, "+x"), (-390.0, 0.0, 310.0)), Spot(0, stand_of(body, "-x"), (60.0, 0.0, 310.0)))
    out = slide(Layout(spots, LIMIT), (body,), Frame(Pose(), LIMIT, 2.0), ("small_box",))
    assert out is not None
    assert out.inside.size_mm[0] == pytest.approx(300 + 40 + 300 + 4)


def test_centred_reaches_the_middle_and_low_the_floor(make: Any) -> None:
    body = body_of(make, centroid_offset=[0, 10, 0])
    spots = (Spot(0, stand_of(body, "+x"), (-300.0, -350.0, 600.0)),)
    out = slide(Layout(spots, LIMIT), (body,), Frame(Pose(), LIMIT, 2.0), ("centred", "low"), strict=True)
    assert out is not None
    assert out.spots[0].low_mm[1] == pytest.approx(-60.0 - 10.0, abs=1.0)
    assert out.spots[0].low_mm[2] == pytest.approx(302.0, abs=2.0)


def test_ahead_pushes_to_the_front_of_the_limit(make: Any) -> None:
    body = body_of(make)
    spots = (Spot(0, stand_of(body, "+x"), (-390.0, 0.0, 310.0)),)
    tight = Extent((-400.0, -400.0, 300.0), (100.0, 400.0, 800.0))
    out = slide(Layout(spots, tight), (body,), Frame(Pose(), tight, 2.0), ("ahead_of_axle",), strict=True)
    assert out is not None
    assert out.spots[0].low_mm[0] + 300.0 == pytest.approx(98.0)


def test_positions_come_out_in_whole_millimetres(make: Any) -> None:
    body = body_of(make, centroid_offset=[0, 3.3, 0])
    spots = tuple(Spot(0, stand_of(body, "+x"), (-300.0, y, 310.3)) for y in (-350.7, -100.2, 150.9))
    out = slide(Layout(spots, LIMIT), (body,), Frame(Pose(), LIMIT, 2.0), ("centred", "low", "small_box"))
    assert out is not None
    for spot in out.spots:
        assert np.allclose(spot.low_mm, np.round(spot.low_mm), atol=1e-9)


def test_odd_lengths_still_come_out_on_steps_where_there_is_room(make: Any) -> None:
    body = body_of(make, size=[300.03, 120.07, 100.0])
    j = stand_of(body, "+x")
    spots = (Spot(0, j, (-300.0, -350.0, 310.0)), Spot(0, j, (-300.0, 200.0, 310.0)))
    out = slide(Layout(spots, LIMIT), (body,), Frame(Pose(), LIMIT, 2.0), ("small_box",))
    assert out is not None
    for spot in out.spots:
        assert np.allclose(np.array(spot.low_mm) * 2, np.round(np.array(spot.low_mm) * 2), atol=1e-9)
    exact = Extent((0.0, 0.0, 300.0), (304.03, 2 * 120.07 + 4.0 + 4.0, 402.0))
    tight = (Spot(0, j, (2.0, 2.0, 302.0)), Spot(0, j, (2.0, 126.07, 302.0)))
    assert slide(Layout(tight, exact), (body,), Frame(Pose(), exact, 2.0), ("small_box",)) is not None


def test_slide_says_when_the_relations_cannot_hold(make: Any) -> None:
    body = body_of(make)
    small = Extent((0.0, 0.0, 300.0), (303.0, 400.0, 800.0))
    spots = (Spot(0, stand_of(body, "+x"), (0.0, 0.0, 310.0)),)
    assert slide(Layout(spots, small), (body,), Frame(Pose(), small, 2.0), ("low",)) is None


def placed(make: Any, name: str, at: tuple[float, float, float]) -> PlacedModule:
    axes = module_axes("+z", "+x", "+x")
    assert axes is not None
    return PlacedModule(name, ModuleType.model_validate(make.slab), Pose(at, axes), "+z", "+x")


def test_scores_by_hand(make: Any) -> None:
    modules = (placed(make, "M1", (0.0, 20.0, 400.0)), placed(make, "M2", (300.0, 0.0, 500.0)))
    one = Arrangement(Pose(), modules, Extent((-150.0, -100.0, 300.0), (450.0, 100.0, 600.0)))
    scores = scores_of(one)
    assert scores["ahead_of_axle_kg"] == pytest.approx(4.5 + 9.0)
    assert scores["centroid_height_mm"] == pytest.approx(450.0)
    assert scores["centroid_offset_mm"] == pytest.approx(10.0)
    assert scores["sheet_area_m2"] == pytest.approx(2 * (0.6 * 0.2 + 0.2 * 0.3 + 0.3 * 0.6))


def test_modules_in_the_way_counts_the_whole_stack(make: Any) -> None:
    stack = tuple(placed(make, f"M{k}", (0.0, 0.0, 104.0 * k)) for k in range(3))
    assert modules_in_the_way(stack) == pytest.approx(1.0)  # 2 + 1 + 0 over three
    row = tuple(placed(make, f"M{k}", (0.0, 124.0 * k, 0.0)) for k in range(3))
    assert modules_in_the_way(row) == 0.0


def test_dominated_go_and_order_follows_the_wishes(make: Any) -> None:
    def with_scores(ahead: float, height: float, area: float) -> Arrangement:
        scores = {
            "ahead_of_axle_kg": ahead,
            "centroid_height_mm": height,
            "centroid_offset_mm": 0.0,
            "sheet_area_m2": area,
            "links_mm": 0.0,
            "modules_in_the_way": 0.0,
            "packed_mass_kg": 100.0,
        }
        return Arrangement(Pose(), (), LIMIT, scores=scores)

    front, low, worse = with_scores(90.0, 500.0, 1.0), with_scores(70.0, 450.0, 1.0), with_scores(69.0, 500.0, 1.0)
    kept = undominated([worse, front, low])
    assert kept == [front, low]
    assert best_first(("ahead_of_axle",), kept)[0] is front
    assert best_first(("low",), kept)[0] is low
    near = with_scores(89.5, 480.0, 1.0)
    assert best_first(("ahead_of_axle", "low"), [front, near])[0] is near
