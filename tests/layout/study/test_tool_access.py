"""Tools on bolts: every bolt is spoken of once, and what stands in the way of a tool is found and named."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from layout.design import Hardware
from layout.frames import Extent, Pose
from layout.job.bay import Space
from layout.space.bay import Bay
from layout.space.judge_arrangement import body_obstacle
from layout.space.obstacle import Obstacle
from layout.space.solids import prism_triangles
from layout.study.study import Study
from layout.study.tool_access import ON_BENCH, ToolWay, tool_cautions, tool_ways
from layout.study.tools import EXTENSION_MM, PLAY_MM, RING_HANDLE_MM, Tool, goes_in, tools_for, what_blocks
from layout.tables import bolt

ROOM = Space.model_validate({"outline": [[-500, -500], [500, -500], [500, 500], [-500, 500]], "z": [0, 400]})


@pytest.fixture(scope="module")
def hall() -> Bay:
    """A room with nothing in it; the bolt stands in the middle of its floor, head up."""
    walls = Obstacle("wall", prism_triangles(ROOM.outline_mm, ROOM.outline_mm, ROOM.z_mm))
    return Bay((walls,), (), None, (), Extent((-500.0, -500.0, 0.0), (500.0, 500.0, 400.0)), 0.0, ("+z",), (ROOM,))


SCREW = Hardware("B1", "hex screw", "M10", "8.8", 30.0, 10.0, (0.0, 0.0, 10.0), (0.0, 0.0, -1.0))


def beside(hall: Bay, gap_mm: float, turned_deg: float = 0.0) -> Bay:
    """A block whose flat face stands a gap from the bolt's axis, all the way up."""
    c, s = np.cos(np.radians(turned_deg)), np.sin(np.radians(turned_deg))
    pose = Pose((0.0, 0.0, 0.0), ((c, s, 0.0), (-s, c, 0.0), (0.0, 0.0, 1.0)))
    block = Extent((gap_mm, -200.0, 0.0), (gap_mm + 40.0, 200.0, 400.0))
    return replace(hall, keep_outs=(body_obstacle("block", block, pose),))


def straight(out_mm: float = 300.0) -> Tool:
    return tools_for(SCREW, out_mm)[0]


@pytest.mark.parametrize("turned", [0.0, 20.0, 45.0, 70.0])
def test_a_socket_passes_a_wall_only_where_it_truly_fits(hall: Bay, turned: float) -> None:
    """The round socket needs its radius; held for wider by cos 7.5 + sin 7.5 degrees = 1.122 at most, never for slimmer."""
    radius = bolt("M10").socket_outside_mm / 2.0 + PLAY_MM
    assert radius > EXTENSION_MM / 2.0
    assert not goes_in(straight(), SCREW, Pose(), beside(hall, radius - 0.1, turned))
    assert goes_in(straight(), SCREW, Pose(), beside(hall, 1.13 * radius, turned))
    blocked = what_blocks(straight(), SCREW, Pose(), beside(hall, radius - 2.0, 0.0))
    assert blocked.what == "block"
    assert blocked.by_mm == pytest.approx(2.0, abs=0.02)


def test_a_handle_needs_two_places_thirty_degrees_apart(hall: Bay) -> None:
    """Blocks to all sides but one leave one place of the handle: not enough; with two of them free the spanner turns."""
    ring = tools_for(SCREW, 300.0)[-1]
    assert ring.name == "ring spanner"
    reach = RING_HANDLE_MM[0]

    def post(degrees: float) -> Obstacle:
        at = 0.8 * reach * np.array([np.cos(np.radians(degrees)), np.sin(np.radians(degrees))])
        return body_obstacle("post", Extent((at[0] - 2, at[1] - 2, 0.0), (at[0] + 2, at[1] + 2, 400.0)), Pose())

    one = replace(hall, keep_outs=tuple(post(30.0 * k) for k in range(1, 12)))
    two = replace(hall, keep_outs=tuple(post(30.0 * k) for k in range(2, 12)))
    assert not goes_in(ring, SCREW, Pose(), one)
    assert what_blocks(ring, SCREW, Pose(), one).what == "post"
    assert goes_in(ring, SCREW, Pose(), two)


def numbers(study: Study) -> list[str]:
    return sorted([h.number for h in study.box.hardware] + [h.number for b in study.brackets for h in b.hardware])


@pytest.mark.parametrize("which", ["front_study", "l_study"])
def test_every_bolt_of_the_pack_has_its_turn_once(which: str, request: pytest.FixtureRequest) -> None:
    study: Study = request.getfixturevalue(which)
    assert sorted(name for way in study.tools for name in way.bolts) == numbers(study)
    assert study.tools[0].when == ON_BENCH
    for caution in tool_cautions(study.tools):
        assert caution in study.cautions


def found(study: Study, bay: Bay) -> dict[str, ToolWay]:
    insertion = study.fit.insertions[0]
    ways = tool_ways(study.job, bay, study.arrangement, study.box, study.brackets, insertion)
    return {way.what: way for way in ways}


def test_what_hangs_over_a_mount_bolt_is_named(l_study: Study, l_bay: Bay) -> None:
    """A tank 22 mm over a mount: no straight tool goes in, and the bolt on the other side is none the worse."""
    mount = next(m for m in l_study.job.mount_points if m.name == "LH front")
    x, y, z = mount.at_mm
    assert next(way for way in l_study.tools if way.what == "mount bolt at 'LH front'").possible
    tank = Extent((x - 90.0, y - 60.0, z + 22.0), (x + 90.0, y + 25.0, z + 102.0))
    ways = found(l_study, replace(l_bay, keep_outs=(*l_bay.keep_outs, body_obstacle("tank", tank, Pose()))))
    way = ways["mount bolt at 'LH front'"]
    assert not way.possible
    assert "tank" in way.note
    assert "mm" in way.note
    assert ways["mount bolt at 'RH front'"].possible
