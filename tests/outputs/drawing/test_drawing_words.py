"""What sheets say of finish, bends and long texts."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from layout.box.finish import NONE_STATED, NOT_FINISHED, finish_of
from layout.design import Block, Flange, FoldedPlate, Plate
from layout.design.flat import develop
from layout.design.profile import Bend, Hole, Profile, rectangle
from layout.frames import Extent, Pose
from layout.job import Job
from layout.study.study import Study

pytestmark = pytest.mark.cad


def folded(angle_deg: float = 90.0, radius_mm: float = 6.0) -> FoldedPlate:
    root = Profile(rectangle(200.0, 60.0), (Hole("F-H1", (40.0, 30.0), 9.0, "M8"),))
    flange = Flange(Profile(rectangle(200.0, 40.0)), 0, Bend(2, angle_deg, radius_mm, 0.42))
    return FoldedPlate("F", "angle", "S355", 4.0, root, (flange,), Pose())


def laid(part: Any, finish: str = NONE_STATED) -> Any:
    from outputs.drawing.compose import lay_out
    from outputs.drawing.distinct import Distinct
    from outputs.drawing.figures import Figures
    from outputs.drawing.part_sheets import part_draft

    return lay_out(part_draft(Distinct(part, (part.number,), (part.name,), 1), Figures(), "first angle", finish))


def words(found: Any) -> list[str]:
    from outputs.drawing.block import flattened
    from outputs.drawing.ink import Text

    return [i.text for i in flattened(found.inks) if isinstance(i, Text)]


@pytest.mark.parametrize("angle_deg", [90.0, -90.0, 45.0])
def test_bend_line_is_dimensioned_from_the_datum_and_its_radius_stands_on_the_view(angle_deg: float) -> None:
    """By hand: the middle of the bend lies half the allowance beyond the edge of the root flat."""
    from outputs.drawing.ink import Dim

    part = folded(angle_deg)
    (line,) = develop(part).bend_lines
    lowest = min(y for _, y, _ in develop(part).profile.outline)
    allowance = math.radians(abs(angle_deg)) * (6.0 + 0.42 * 4.0)
    assert line.start_mm[1] == pytest.approx(60.0 + allowance / 2.0)
    place = line.start_mm[1] - lowest
    found = laid(part)
    assert any(i.value_mm == pytest.approx(place) and i.angle_deg == 90.0 for i in found.inks if isinstance(i, Dim))
    said = words(found)
    assert said.count("R6") == 1
    assert f"Y {place:.2f}".rstrip("0").rstrip(".") in said


def test_inner_point_lies_on_the_inside_of_the_bend() -> None:
    """By hand: seen along a bend by 90 degrees, the middle of the inside arc is r (1 - cos 45) from both inner faces."""
    from layout.design.flat import bend_frames
    from outputs.drawing.bend_radii import inner_point

    off = 6.0 * (1.0 - math.cos(math.pi / 4.0))
    _, y, z = inner_point(bend_frames(folded(90.0))[0])
    assert (y, z) == pytest.approx((60.0 + 6.0 - off, 4.0 + off))
    _, y, z = inner_point(bend_frames(folded(-90.0))[0])
    assert (y, z) == pytest.approx((60.0 + 6.0 - off, -off))


def test_figures_stand_at_the_nearer_side() -> None:
    from outputs.drawing.ink import Dim

    notched = Profile(
        ((0.0, 0.0, 0.0), (100.0, 0.0, 0.0), (100.0, 80.0, 0.0), (60.0, 80.0, 0.0), (60.0, 70.0, 0.0), (40.0, 70.0, 0.0),
         (40.0, 80.0, 0.0), (0.0, 80.0, 0.0))
    )  # fmt: skip
    found = laid(Plate("N", "notched", "S235", 3.0, notched, Pose()))
    rows = [i for i in found.inks if isinstance(i, Dim) and i.angle_deg == 0.0 and round(i.value_mm) in (40, 60)]
    assert len(rows) == 2
    assert all(dim.base[1] > dim.end[1] for dim in rows)  # the notch is at the top: so are its figures


def test_finish_of_box_and_brackets(front_job: Job) -> None:
    job = front_job.model_copy(
        update={
            "box": front_job.box.model_copy(update={"finish": "powder  coat"}),
            "bracket": front_job.bracket.model_copy(update={"finish": "zinc plated"}),
        }
    )
    wall = Plate("B", "wall", "S235", 3.0, Profile(rectangle(9.0, 9.0)), Pose())
    assert finish_of(job, wall) == "powder coat"
    assert finish_of(job, replace(wall, group="bracket")) == "zinc plated"
    assert finish_of(front_job, wall) == NONE_STATED
    assert finish_of(job, replace(wall, material="EPDM gasket", group="gasket")) == NOT_FINISHED
    assert finish_of(job, Block("M", "m", Extent((0.0, 0.0, 0.0), (1.0, 1.0, 1.0)), Pose())) == NOT_FINISHED


def test_finish_stands_on_sheet_and_in_lists(front_study: Study) -> None:
    from outputs.lists import cut_list

    bare = front_study.job
    job = bare.model_copy(update={"bracket": bare.bracket.model_copy(update={"finish": "zinc plated, 8 µm"})})
    head, *rows = cut_list(replace(front_study, job=job))
    finishes = {row[head.index("part")]: row[head.index("finish")] for row in rows}
    assert finishes[front_study.brackets[0].angle.number] == "zinc plated, 8 µm"
    assert finishes[front_study.box.plates[0].number] == NONE_STATED
    assert any("zinc plated" in text for text in words(laid(front_study.brackets[0].gussets[0], "zinc plated")))


def test_part_numbers_in_short() -> None:
    from outputs.drawing.distinct import number_ranges

    assert number_ranges(("A-P1", "A-P6")) == "A-P1, A-P6"
    assert number_ranges(("A-G1", "A-G2", "A-G3", "A-G7", "A-G8")) == "A-G1 to A-G3, A-G7, A-G8"
    assert number_ranges(("A-G9", "A-G10", "A-G11")) == "A-G9 to A-G11"
    assert number_ranges(("plain",)) == "plain"


def test_long_text_of_the_title_block_stands_in_full_in_a_note() -> None:
    from outputs.drawing.compose import lay_out
    from outputs.drawing.distinct import Distinct
    from outputs.drawing.figures import Figures
    from outputs.drawing.frame import MORE
    from outputs.drawing.part_sheets import part_draft
    from outputs.drawing.sheet import SetData, finished, told_in_full

    plate = Plate("T-1", "plate", "S235", 3.0, Profile(rectangle(60.0, 40.0)), Pose())
    finish = "zinc flake coating, then powder coat outside only, " * 6
    draft = part_draft(Distinct(plate, ("T-1",), ("plate",), 1), Figures(), "first angle", finish)
    data = SetData("电动 " * 20, "T", "", "", "", "", "mm", "first angle")
    full = told_in_full(draft, data)
    said = words(finished(lay_out(full), data, 1, 1))
    assert sum(MORE in line for line in said) == 2
    joined = " ".join(said)
    assert joined.count("Title block, in full") == 1
    assert " ".join(said).replace(" ", "").count("zincflakecoating") >= 6 * 2  # the note of the part and that of the block
    assert "".join(joined.split()).count("[U+7535]") >= 20
    assert told_in_full(draft, replace(data, owner="short")).panels != draft.panels
    short = part_draft(Distinct(plate, ("T-1",), ("plate",), 1), Figures(), "first angle")
    assert told_in_full(short, replace(data, owner="short")).panels == short.panels


def test_report_spells_what_no_font_has() -> None:
    from outputs.report import spelled

    assert spelled({"a": ["Größe", "电", "😀 x", 1.5, True]}) == {"a": ["Größe", "[U+7535]", "[U+1F600] x", 1.5, True]}
