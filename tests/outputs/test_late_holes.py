"""Holes too near to a bend: the sheet rule and the mark agree, and the cutting file holds a cross instead of a hole."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.design import Bend, Flange, FoldedPlate, Hole, Profile, rectangle
from layout.design.late_holes import with_late_holes
from layout.design.parts import Plate
from layout.design.sheet_rules import check_sheet
from layout.errors import ExportError
from layout.frames import Pose
from outputs.dxf import flat_of, write_flat
from outputs.dxf_reading import compare_flat, read_flat
from outputs.nesting import items_of, nest, write_sheets


def angle(t: float, root_y: float, flange_y: float, slot: float = 0.0, turn: float = 0.0) -> FoldedPlate:
    root = Profile(rectangle(200.0, 150.0), (Hole("A", (100.0, root_y), 11.0, "M10"),))
    foot = Profile(rectangle(200.0, 150.0), (Hole("B", (70.0, flange_y), 9.0, "M8", slot, turn),))
    return FoldedPlate("P1", "angle", "S275", t, root, (Flange(foot, 0, Bend(0, 90.0, t, 0.4)),), Pose(), group="bracket")


def late(part: FoldedPlate) -> set[str]:
    return {h.name for p in (part.root, *(f.profile for f in part.flanges)) for h in p.holes if h.after_bending}


@given(
    st.sampled_from([3.0, 6.0, 8.0, 10.0]),
    st.floats(12.0, 100.0),
    st.floats(30.0, 100.0),
    st.sampled_from([0.0, 12.0]),
    st.sampled_from([0.0, 30.0, 90.0]),
)
def test_just_the_holes_that_break_the_rule_are_made_after_bending(
    t: float, root_y: float, flange_y: float, slot: float, turn: float
) -> None:
    part = angle(t, root_y, flange_y, slot, turn)
    broken = {f.at.split()[1] for f in check_sheet(part) if f.rule.endswith("to bend") and not f.ok}
    marked = with_late_holes(part)
    assert late(marked) == broken
    assert all(f.ok for f in check_sheet(marked) if f.rule.endswith("to bend"))


def test_the_cutting_file_holds_a_cross_for_it(tmp_path: Path) -> None:
    part = with_late_holes(angle(10.0, 60.0, 20.0, slot=12.0))
    assert late(part) == {"B"}
    path = tmp_path / "P1.dxf"
    write_flat(path, part)
    got = read_flat(path)
    assert [c[2] for c in got.circles] == [11.0]
    assert len(got.loops) == 1
    slot = next(h for h in flat_of(part).profile.holes if h.name == "B")
    assert np.allclose(sorted(got.crosses), sorted(slot.ends_mm))
    assert any("mill a slot" in text for text in got.facts.values())


def test_a_cross_that_is_missing_is_told(tmp_path: Path) -> None:
    part = angle(10.0, 60.0, 20.0)
    path = tmp_path / "P1.dxf"
    write_flat(path, part)
    with pytest.raises(ExportError, match=r"round holes|crosses"):
        compare_flat(path, flat_of(with_late_holes(part)))


def test_nested_sheets_hold_the_crosses_too(tmp_path: Path) -> None:
    parts = [with_late_holes(angle(10.0, 60.0, 20.0)), Plate("P2", "plate", "S275", 10.0, Profile(rectangle(50, 50)), Pose())]
    (written,) = write_sheets(tmp_path, nest(items_of(parts)))
    got = read_flat(written.path)
    assert len(got.crosses) == 1
    assert len(got.circles) == 1


def test_a_part_without_such_holes_stays_as_it_is() -> None:
    part = angle(3.0, 100.0, 100.0)
    assert with_late_holes(part) is part
    assert with_late_holes(replace(part, thickness_mm=4.0)).root == part.root
