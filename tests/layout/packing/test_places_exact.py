"""The places worth trying keep the best count: against every whole-millimetre place, and against sampling."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from layout.frames import Extent, Pose, raked_about_y, turned_about_z
from layout.job.module import ModuleType
from layout.packing.bodies import Body, module_stands
from layout.packing.costs import share_ahead
from layout.packing.goal import Question
from layout.packing.greedy import Conflicts
from layout.packing.places import Places, _zones, body_rows, clearings, places_in, shapes_of
from layout.packing.solve import best_places

CAP = 4


def body_of(make: Any, size: list[int], up: list[str], zone: int, gap: int) -> Body:
    kind = ModuleType.model_validate(make.slab | {"size": size, "up": up, "terminal_clearance": zone, "gap": gap})
    return Body(kind.name, kind, module_stands(kind), float(gap), 1.0, 0, 50)


def every_place(room: tuple[int, int, int], body: Body) -> Places:
    """All whole-millimetre places of a body in a room."""
    parts = []
    for j in shapes_of(body):
        stand = body.stands[j]
        size = np.array(stand.size_mm, dtype=np.int64)
        axes = [np.arange(max(room[a] - size[a], -1) + 1) for a in range(3)]
        low = np.array(np.meshgrid(*axes, indexing="ij"), dtype=np.int64).reshape(3, -1).T
        zone_low, zone_high = _zones(stand, low, size, 1.0)
        ok = (zone_low >= 0).all(axis=1) & (zone_high <= np.array(room)).all(axis=1)
        n = int(ok.sum())
        parts.append((np.zeros(n), np.full(n, j), low[ok], np.tile(size, (n, 1)), zone_low[ok], zone_high[ok]))
    columns = [np.concatenate(c).astype(np.int64) for c in zip(*parts, strict=True)]
    return Places(*columns, int(body.gap_mm), 1.0)


def most(room: tuple[int, int, int], body: Body, places: Places) -> int:
    """Greatest count by exact search, or CAP if that many fit."""
    extent = Extent((0.0, 0.0, 0.0), (float(room[0]), float(room[1]), float(room[2])))
    count = 0
    while count < CAP:
        answer = best_places(Question(extent, Pose(), (body,), count + 1, ()), places, 30.0, 1)
        if answer.spots is None:
            assert answer.none_exists
            return count
        count += 1
    return count


@pytest.mark.parametrize("seed", [0, 1, 2, 3, 4, 6, 7, 8, 9])
def test_reduced_places_hold_as_many_as_all_places(make: Any, seed: int) -> None:
    rng = np.random.default_rng(seed)
    size = [int(v) for v in rng.integers(3, 8, 3)]
    room = tuple(int(v) for v in rng.integers(6, 11, 3))
    body = body_of(make, size, ["+z", "+y"], int(rng.integers(0, 3)), int(rng.integers(0, 2)))
    extent = Extent((0.0, 0.0, 0.0), (float(room[0]), float(room[1]), float(room[2])))
    full = every_place((room[0], room[1], room[2]), body)
    if not full.count:
        assert places_in(extent, (body,), ("middle", "middle", "middle")).count == 0
        return
    best = most((room[0], room[1], room[2]), body, full)
    for push in (("middle", "middle", "middle"), ("high", "middle", "low"), ("low", "low", "low")):
        reduced = places_in(extent, (body,), push)
        assert most((room[0], room[1], room[2]), body, reduced) == best


def test_rows_and_clearings_are_the_pairwise_conflicts(make: Any) -> None:
    body = body_of(make, [6, 4, 3], ["+z", "+y"], 2, 1)
    places = places_in(Extent((0.0, 0.0, 0.0), (15.0, 13.0, 9.0)), (body,), ("middle", "middle", "middle"))
    clash = np.array([Conflicts(places).of(k) for k in range(places.count)])
    listed = np.eye(places.count, dtype=bool)
    for row in body_rows(places):
        listed[np.ix_(row, row)] = True
    for clearing in clearings(places):
        listed[np.ix_(clearing.who, clearing.inside)] = True
        listed[np.ix_(clearing.inside, clearing.who)] = True
    assert (listed == clash).all()


def test_stands_never_look_down_unless_allowed(make: Any) -> None:
    kind = ModuleType.model_validate(make.slab | {"up": ["+z", "+y", "-y"], "centroid_offset": [6, 1, -2]})
    stands = module_stands(kind)
    assert len(stands) == 12
    assert {s.terminals for s in stands} == {"+x", "-x", "+y", "-y"}
    on_end = replace(stands[0], up="-x")
    assert on_end.up not in {s.up for s in stands}
    up_end = ModuleType.model_validate(make.slab | {"up": ["+x"], "terminal_clearance": 10})
    assert {s.terminals for s in module_stands(up_end)} == {"+z"}
    assert {s.size_mm for s in module_stands(up_end)} == {(120.0, 100.0, 300.0), (100.0, 120.0, 300.0)}


@pytest.mark.parametrize("pose", [Pose(), turned_about_z(30.0, (5.0, 0.0, 0.0)), raked_about_y(20.0, (10.0, 3.0, 0.0))])
def test_share_ahead_agrees_with_sampling(pose: Pose) -> None:
    rng = np.random.default_rng(1)
    low, size = np.array([[-60.0, 10.0, -30.0]]), np.array([[100.0, 40.0, 70.0]])
    points = pose.point(low + size * rng.random((200_000, 3)))
    assert share_ahead(low, size, pose)[0] == pytest.approx(float((points[:, 0] > 0).mean()), abs=0.005)


def test_share_ahead_at_the_ends() -> None:
    low, size = np.array([[-10.0, 0.0, 0.0], [0.0, 0.0, 0.0], [-2.5, 0.0, 0.0]]), np.full((3, 3), 10.0)
    assert share_ahead(low, size, Pose()).tolist() == pytest.approx([0.0, 1.0, 0.75])
    skew = turned_about_z(37.0).then(raked_about_y(11.0))
    both = share_ahead(low, size, skew) + share_ahead(-low - size, size, skew)
    assert both.tolist() == pytest.approx([1.0, 1.0, 1.0])
