"""Reaching covers and terminals."""

from pathlib import Path

import pytest

from layout.arrangement import Arrangement, PlacedEquipment, PlacedModule
from layout.box.shell import shell_of
from layout.frames import Extent, Pose, module_axes
from layout.job.box import Equipment
from layout.space.access import service_access
from layout.space.bay import bay_of

INSIDE = Extent((0.0, 0.0, 0.0), (340.0, 240.0, 160.0))


def unit(sides):
    return Equipment(name="unit", size=(100, 60, 40), mass=1.0, where="in box", service_from=sides)


def arranged(job, frame, sides=("-x",), face="-x"):
    piece = PlacedEquipment(unit(sides), Pose((60.0, 120.0, 60.0)), face, False)
    return Arrangement(frame, (), INSIDE, (piece,))


def cover(job, frame, **more):
    return service_access(job, arranged(job, frame, **more), bay_of(job, Path()), shell_of(job))[0]


@pytest.mark.parametrize(("room", "possible"), [(92.0, True), (80.0, False)])
def test_room_before_the_cover(job_with, room, possible):
    job = job_with()
    side = shell_of(job).side_mm
    found = cover(job, Pose((side + room, 130.0, 80.0)))
    assert found.possible is possible
    assert found.side == "-x"
    assert ("no room" in found.note) is not possible


def test_no_way_out_past_a_lid_over_the_gap(job_with):
    lid = {"name": "shelf", "box": {"min": [-10, -10, 350], "max": [610, 510, 360]}}
    job = job_with(keep_out=[lid])
    found = cover(job, Pose((200.0, 130.0, 80.0)))
    assert not found.possible
    assert "no way out" in found.note
    sideways = job_with(keep_out=[lid], insert_from=["+z", "-x"])
    assert cover(sideways, Pose((200.0, 130.0, 80.0))).possible


def test_wall_the_piece_does_not_stand_at_is_no_cover(job_with):
    found = cover(job_with(), Pose((200.0, 130.0, 80.0)), sides=("+y",), face="-x")
    assert not found.possible


def test_terminals_under_another_module(job_with):
    job = job_with()
    kind = job.modules[0]
    axes = module_axes("+z", "+x", "+x")
    low = PlacedModule("low", kind, Pose((102.0, 52.0, 42.0), axes), "+z", "+x")
    high = PlacedModule("high", kind, Pose((125.0, 52.0, 130.0), axes), "+z", "+x")
    found = service_access(job, Arrangement(Pose(), (low, high), INSIDE), bay_of(job, Path()), shell_of(job))
    assert [(a.name, a.possible) for a in found] == [("terminals of low", False), ("terminals of high", True)]
    assert found[0].under == ("high",)
    assert "under high" in found[0].note
    assert "100 x 30 mm" in found[1].note
