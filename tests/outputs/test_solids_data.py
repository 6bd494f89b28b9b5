"""What the examination of the solids is boiled down to: screws in undrawn threads sorted out, all else named."""

from __future__ import annotations

import math

import pytest

from layout.design import Assembly, Block, Hardware
from layout.frames import Extent, Pose
from outputs.solids_data import solid_data, solid_lines, sorted_out
from shapes.examine import Examination, Overlap


def screw(nuts: int = 0) -> Hardware:
    return Hardware("B1", "hex screw", "M6", "8.8", 20.0, 12.0, (0, 0, 0), (0, 0, -1.0), nuts=nuts, joins=("C1", "M3"))


FULL = math.pi / 4.0 * 36.0 * 8.0
"""Shank of M6 over the 8 mm beyond its grip."""


@pytest.mark.parametrize(
    ("bolt", "part", "volume", "blind"),
    [
        (screw(), "JOB-M3", FULL, True),
        (screw(), "C1", FULL - 20.0, True),
        (screw(), "C1", FULL + 20.0, False),
        (screw(nuts=1), "C1", 50.0, False),
        (screw(), "JOB-M4", 50.0, False),
    ],
)
def test_only_a_tip_in_a_part_it_joins_counts_as_thread(bolt: Hardware, part: str, volume: float, blind: bool) -> None:
    found = Examination((), (Overlap(part, "B1", volume),), (), ("B1",))
    solids = sorted_out(found, Assembly("A", children=(Assembly("B", hardware=(bolt,)),)))
    assert solids.blind_threads == int(blind)
    assert solids.found.nothing_found is blind
    assert solid_data(solids)["nothing_found"] is blind
    text = " ".join(solid_lines(solids))
    assert ("nothing was found" in text) is blind
    assert (f"{part} and B1 claim the same space" in text) is not blind


def test_heads_on_the_feet_of_equipment_are_no_fault() -> None:
    """Equipment is drawn as one full body, its feet among it; a body that the screw does not join, or more volume, is one."""
    fixed = Hardware("E1-F1", "hex screw", "M6", "8.8", 16.0, 5.6, (0, 0, 0), (0, 0, -1.0), joins=("E1-J1", "converter"))
    body = Block("JOB-E1", "converter", Extent((0, 0, 0), (1, 1, 1)), Pose(), mass_kg=1.0, group="equipment")
    other = Block("JOB-E2", "charger", Extent((0, 0, 0), (1, 1, 1)), Pose(), mass_kg=1.0, group="equipment")
    assembly = Assembly("A", (body, other), (fixed,))
    most = math.sqrt(3.0) / 2.0 * 10.0**2 * 4.0 + math.pi / 4.0 * 36.0 * 5.6
    for part, volume, kept in (("JOB-E1", most, False), ("JOB-E1", most + 20.0, True), ("JOB-E2", 50.0, True)):
        solids = sorted_out(Examination((), (Overlap("E1-F1 washer 1", part, volume),), (), ()), assembly)
        assert bool(solids.found.overlaps) is kept
        assert solids.in_feet == int(not kept)
