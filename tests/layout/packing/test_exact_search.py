"""The two exact searches on a room's places, against the solver of wishes on the same places."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import linprog

from layout.frames import Extent, Pose
from layout.packing.bodies import bodies_of
from layout.packing.clock import clock_for
from layout.packing.exact import most_on
from layout.packing.goal import Question
from layout.packing.linear import least
from layout.packing.places import body_rows, clearings, places_in
from layout.packing.solve import best_places

UNIT = {"name": "unit", "size": [150, 90, 40], "mass": 1, "where": "in box", "service_from": ["+y", "-y"]}


@pytest.mark.parametrize("room", [(420.0, 260.0, 210.0), (345.0, 500.0, 110.0), (345.0, 372.0, 230.0), (640.0, 250.0, 110.0)])
@pytest.mark.parametrize("zone", [0, 40])
@pytest.mark.parametrize("extra", [[], [UNIT]])
def test_the_greatest_number_is_the_same(make, room, zone, extra):
    slab = {**make.slab, "terminal_clearance": zone, "up": ["+z", "+y"]}
    bodies = bodies_of(make.job((700, 600, 400), [slab], {"count": "max"}, equipment=extra))
    space = Extent((0.0, 0.0, 0.0), room)
    places = places_in(space, bodies, ("middle", "middle", "middle"), chain_all=True)
    taken, most = most_on(places, bodies, 20, [], 0, clock_for(60.0))
    chosen = set(taken)
    assert all(len(chosen & set(row.tolist())) <= 1 for row in body_rows(places))
    assert not any(chosen & set(c.who.tolist()) and chosen & set(c.inside.tolist()) for c in clearings(places))
    assert most is not None
    if taken:
        assert most == sum(bodies[places.body[k]].is_module for k in taken)
    for count, there in ((most, bool(taken)), (most + 1, False)):
        answer = best_places(Question(space, Pose(), bodies, count, ()), places, 30.0, 0)
        assert (answer.spots is not None) == there
        assert answer.none_exists == (not there)


def test_no_more_than_asked_for(make):
    bodies = bodies_of(make.job((700, 600, 400), [make.slab], {"count": 3}))
    places = places_in(Extent((0.0, 0.0, 0.0), (640.0, 260.0, 210.0)), bodies, ("middle", "middle", "middle"), chain_all=True)
    taken, most = most_on(places, bodies, 3, [], 0, clock_for(60.0))
    assert len(taken) == most == 3


def test_linear_programmes_against_another_library():
    rng = np.random.default_rng(5)
    for _ in range(30):
        n, m = int(rng.integers(2, 8)), int(rng.integers(1, 10))
        rows, limits, cost = rng.normal(size=(m, n)), rng.normal(size=m), rng.normal(size=n)
        bounds = [(0.0, 5.0) if k % 2 else (None, 3.0) for k in range(n)]
        theirs = linprog(cost, A_ub=rows, b_ub=limits, bounds=bounds, method="highs")
        ours = least(cost, rows, limits.tolist(), bounds)
        assert (ours is not None) == (theirs.status == 0)
        if ours is not None:
            assert ours[1] == pytest.approx(theirs.fun, abs=1e-7)
            assert (rows @ ours[0] <= limits + 1e-6).all()
