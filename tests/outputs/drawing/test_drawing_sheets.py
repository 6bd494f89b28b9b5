"""Sheets of the contract job: complete, clear to read, the same each time, and read by others."""

from __future__ import annotations

import importlib.util
import re
from collections import Counter
from dataclasses import replace
from itertools import combinations, pairwise
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from layout.box.soft import density_kg_m3
from layout.design import Block as Body
from layout.design import Plate
from layout.design.mass import body_mass
from layout.design.profile import Hole, Profile, rectangle
from layout.errors import ExportError
from layout.frames import Extent, Pose
from layout.study.study import Study

pytestmark = pytest.mark.cad

_SPEC = importlib.util.spec_from_file_location("clashes", Path(__file__).with_name("clashes.py"))
assert _SPEC is not None
assert _SPEC.loader is not None
clashes = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(clashes)


def quiet(_: str) -> None:
    pass


@pytest.fixture(scope="module")
def sheets(front_study: Study) -> Any:
    from outputs.drawing.sheets import sheets_of

    return sheets_of(front_study, quiet)


@pytest.fixture(scope="module")
def package(front_study: Study, tmp_path_factory: pytest.TempPathFactory) -> Path:
    from outputs.drawing import write_drawings

    folder = tmp_path_factory.mktemp("package") / "drawings"
    written = write_drawings(front_study, folder, quiet)
    assert {w.path for w in written} == set(folder.iterdir())
    assert all(w.read_back for w in written)
    return folder


@pytest.fixture(scope="module")
def pages(package: Path) -> list[str]:
    (pdf,) = package.glob("*.pdf")
    return [page.extract_text() for page in PdfReader(pdf).pages]


def test_letters_do_not_touch_and_figures_stand_clear_of_edges(sheets: Any) -> None:
    for sheet in sheets:
        assert clashes.overlaps(sheet) == [], sheet.name
        assert clashes.figures_on_edges(sheet) == [], sheet.name


def test_the_search_for_clashes_finds_one(sheets: Any) -> None:
    from outputs.drawing.dimensions import horizontal
    from outputs.drawing.ink import Line, Pen, Text

    sheet = sheets[0]
    twice = replace(sheet, inks=(Text((100.0, 100.0), "one", 2.5), Text((101.0, 101.0), "two", 2.5)))
    assert clashes.overlaps(twice) == [("one", "two")]
    dim = horizontal((100.0, 100.0), (150.0, 100.0), 110.0, 50.0, "50")
    crossed = replace(sheet, inks=(dim, Line(((125.0, 90.0), (125.0, 130.0)), Pen.VISIBLE)))
    assert clashes.figures_on_edges(crossed) == ["50"]


def test_views_and_tables_stand_clear_within_the_frame(sheets: Any) -> None:
    for sheet in sheets:
        x0, y0, x1, y1 = sheet.format.frame
        for zone in sheet.zones:
            assert zone[0] >= x0 - 1e-6, sheet.name
            assert zone[1] >= y0 - 1e-6, sheet.name
            assert zone[2] <= x1 + 1e-6, sheet.name
            assert zone[3] <= y1 + 1e-6, sheet.name
        for a, b in combinations(sheet.zones, 2):
            assert not (a[0] < b[2] - 1e-6 and b[0] < a[2] - 1e-6 and a[1] < b[3] - 1e-6 and b[1] < a[3] - 1e-6), sheet.name


def test_every_part_has_its_sheet_with_number_mass_and_holes(front_study: Study, sheets: Any, pages: list[str]) -> None:
    from outputs.drawing.distinct import distinct, holes_of, made_parts, own_name

    by_number = {s.name: page for s, page in zip(sheets, pages, strict=True)}
    named = Counter()
    for item in distinct(front_study):
        page = by_number[item.part.number]
        for number in item.numbers:
            assert number in page
            named[number] += 1
        assert (
            f"{body_mass(item.part, density_kg_m3).mass_kg:.3f} kg" in page
            or f"{body_mass(item.part, density_kg_m3).mass_kg:.2f} kg" in page
        )
        for hole in holes_of(item.part):
            rows = re.findall(rf"^{re.escape(own_name(hole, item.part.number))}$", page, re.MULTILINE)
            assert len(rows) == 2, (hole.name, rows)  # once in the view, once in the table
    assert named == Counter({p.number: 1 for p in made_parts(front_study)})


def test_assemblies_list_every_part_weld_and_fastener(front_study: Study, sheets: Any, pages: list[str]) -> None:
    by_name = {s.name: page for s, page in zip(sheets, pages, strict=True)}
    box = by_name["LKM-01-BOX"]
    assert all(p.number in box for p in front_study.box.plates if p.group == "box")
    welds = by_name["LKM-01-BOX-WELDS"]
    for weld in front_study.box.welds:
        short = weld.number.rsplit("-", 1)[-1]
        assert len(re.findall(rf"^\s*{short}\s*$", welds, re.MULTILINE)) == 2  # symbol and table
    for bracket in front_study.brackets:
        page = by_name[f"{bracket.number}-ASSY"]
        assert f"{bracket.angle.number}\n" in page
        joined = " ".join(page.split())
        sizes = {(h.kind, h.size, h.length_mm) for h in bracket.hardware}
        assert all(f"{kind} {size} x {length:g}" in joined for kind, size, length in sizes)


def test_general_arrangement_says_mass_mounts_and_who_decides(front_study: Study, pages: list[str]) -> None:
    page = pages[0]
    assert f"{front_study.pack.mass_kg:.2f} kg" in page
    assert "licensed engineer" in page.replace("\n", " ")
    for mount in front_study.job.mount_points:
        assert mount.name in page
    for word in ("approved", "compliant"):
        assert not any(word in text.lower() for text in pages)


@pytest.mark.slow
def test_same_study_same_bytes(front_study: Study, package: Path, tmp_path: Path) -> None:
    from outputs.drawing.dxf_sheets import write_dxf
    from outputs.drawing.pdf_pages import pdf_bytes
    from outputs.drawing.sheets import sheets_of

    job = front_study.job.job
    again = sheets_of(front_study, quiet)
    (pdf,) = package.glob("*.pdf")
    assert pdf_bytes(again, job.title, job.owner or job.drawn_by, f"drawing {job.drawing_number}") == pdf.read_bytes()
    for sheet in again[::5]:
        path = tmp_path / f"{sheet.number:02d}-{sheet.name}.dxf"
        write_dxf(sheet, path)
        assert path.read_bytes() == (package / path.name).read_bytes(), path.name


def plain_pairs(path: Path) -> list[tuple[int, str]]:
    """Group codes and values of a DXF file, read by nothing but its line structure."""
    lines = path.read_text(encoding="utf-8").splitlines()
    return [(int(code), value) for code, value in zip(lines[::2], lines[1::2], strict=True)]


def test_a_second_reader_finds_the_views_at_true_size(front_study: Study, package: Path) -> None:
    plate = front_study.box.plate("LKM-01-B7")
    (path,) = package.glob("*-LKM-01-B7.dxf")
    pairs = plain_pairs(path)
    units = [value for (_, name), (_, value) in pairwise(pairs) if name == "$INSUNITS"]
    assert [u.strip() for u in units] == ["4"]
    radii = [float(v) for code, v in pairs[next(k for k, p in enumerate(pairs) if p == (2, "ENTITIES")) :] if code == 40]
    for hole in plate.profile.holes:
        assert any(abs(r - hole.diameter_mm / 2.0) < 1e-6 for r in radii)


def test_trimesh_reads_every_sheet(package: Path, sheets: Any) -> None:
    import trimesh

    for sheet in sheets[-3:]:
        with (package / f"{sheet.number:02d}-{sheet.name}.dxf").open("rb") as stream:
            drawing = trimesh.load_path(stream, file_type="dxf")
        paper = sheet.format.width_mm / sheet.scale.ratio
        assert 0.8 * paper < drawing.extents[0] <= paper


def test_changed_file_does_not_read_back(package: Path, sheets: Any, tmp_path: Path) -> None:
    from outputs.drawing.pdf_pages import pdf_bytes
    from outputs.drawing.reading import check_dxf, check_pdf

    sheet = sheets[-1]
    good = package / f"{sheet.number:02d}-{sheet.name}.dxf"
    check_dxf(good, sheet)
    bad = tmp_path / "bad.dxf"
    bad.write_text(good.read_text(encoding="utf-8").replace("Part drawing", "Part drawin"), encoding="utf-8")
    with pytest.raises(ExportError, match="did not read back"):
        check_dxf(bad, sheet)
    pdf = tmp_path / "two.pdf"
    pdf.write_bytes(pdf_bytes(sheets[-2:], "t", "a", "s"))
    check_pdf(pdf, sheets[-2:])
    with pytest.raises(ExportError, match="sheets were written"):
        check_pdf(pdf, sheets[-1:])
    with pytest.raises(ExportError, match=r"not found again|mm, not"):
        check_pdf(pdf, sheets[-2:][::-1])
    pdf.write_bytes(pdf.read_bytes()[:500])
    with pytest.raises(ExportError, match="read back"):
        check_pdf(pdf, sheets[-2:])


def drawn_plate(profile: Profile, number: str = "T-1", name: str = "test plate") -> Any:
    from outputs.drawing.compose import lay_out
    from outputs.drawing.distinct import Distinct
    from outputs.drawing.figures import Figures
    from outputs.drawing.part_sheets import part_draft

    plate = Plate(number, name, "S235", 3.0, profile, Pose())
    return lay_out(part_draft(Distinct(plate, (number,), (name,), 1), Figures(), "first angle"))


def test_long_part_takes_a_smaller_scale_or_a_larger_sheet() -> None:
    small, long = drawn_plate(Profile(rectangle(60.0, 40.0))), drawn_plate(Profile(rectangle(5200.0, 900.0)))
    assert (small.format.name, small.scale.text) == ("A3", "1:1")
    assert long.scale.ratio < small.scale.ratio
    assert long.scale.preferred


def test_part_that_fits_no_sheet_is_named() -> None:
    with pytest.raises(ExportError, match="T-1"):
        drawn_plate(Profile(rectangle(400000.0, 40.0)))


def test_many_holes_are_all_listed() -> None:
    holes = tuple(Hole(f"T-1-H{i}", (20.0 + 25.0 * (i % 30), 20.0 + 25.0 * (i // 30)), 4.2, "M5") for i in range(120))
    from outputs.drawing.block import flattened
    from outputs.drawing.ink import Text

    laid = drawn_plate(Profile(rectangle(800.0, 150.0), holes))
    words = Counter(i.text for i in flattened(laid.inks) if isinstance(i, Text))
    assert all(words[f"H{i}"] == 2 for i in range(120))
    assert words["M5 tapped through"] == 120


def test_text_too_long_is_wrapped_and_kept_whole() -> None:
    from outputs.drawing.letters import clean, fitted, width

    text = "a very long description of a bracket, with Umlauts äöü, \u4e2d and \u2603\t tabs " + "x" * 80
    lines, height = fitted(text, 40.0, 3.5, 2)
    assert "".join(lines).replace(" ", "") == clean(text).replace(" ", "")
    assert all(width(line, height) <= 40.0 + 1e-6 for line in lines)
    assert "[U+4E2D]" in clean(text)


def test_plain_sheet_of_soft_goods_has_its_three_sizes() -> None:
    from outputs.drawing.compose import lay_out
    from outputs.drawing.distinct import Distinct
    from outputs.drawing.figures import Figures
    from outputs.drawing.ink import Dim
    from outputs.drawing.part_sheets import part_draft

    body = Body("T-L1", "liner", Extent((0.0, 0.0, 0.0), (440.0, 2.0, 340.0)), Pose(), "insulating liner")
    laid = lay_out(part_draft(Distinct(body, ("T-L1",), ("liner",), 1), Figures("in"), "first angle"))
    dims = [i for i in laid.inks if isinstance(i, Dim)]
    assert sorted(d.value_mm for d in dims) == [2.0, 340.0, 440.0]
    assert {d.text for d in dims} == {"0.079 (2)", "13.386 (340)", "17.323 (440)"}


def test_soft_sheets_are_not_told_to_be_cut_with_heat(sheets: Any, pages: list[str]) -> None:
    by_name = {s.name: " ".join(page.split()) for s, page in zip(sheets, pages, strict=True)}
    assert "ISO 9013" in by_name["LKM-01-B1"]
    for name in ("LKM-01-L1", "LKM-01-G1"):
        assert "ISO 9013" not in by_name[name]
        assert "Deburr" not in by_name[name]
