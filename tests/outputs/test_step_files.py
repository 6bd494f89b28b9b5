"""STEP files: what is written reads back the same, and what does not is an error."""

import re

import pytest

from layout.design.parts import Assembly, Block, Hardware, Plate
from layout.design.profile import Hole, Profile, rectangle
from layout.errors import ExportError
from layout.frames import Extent, Pose, turned_about_z
from outputs.step import Header, write_part, write_parts, write_step
from outputs.step_order import ordered
from outputs.step_reading import compare, expected_occurrences, read_occurrences
from outputs.written import file_stem, plain_ascii, sha256_of
from shapes.assembly import Leaf, Tree, tree_of

pytestmark = pytest.mark.cad

HEADER = Header("Pack Ø-17", "Værksted", "n.n.", "2031-02-03T04:05:06")


def pack():
    plate = Profile(rectangle(120.0, 60.0, corner_mm=6.0), (Hole("h", (30.0, 20.0), 9.0),))
    plates = tuple(
        Plate(f"BX-{i}", "Seitenwände", "5754", 3.0 + i, plate, turned_about_z(20.0 * i, (0.0, 0.0, 50.0 * i)))
        for i in range(3)
    )
    modules = tuple(
        Block(f"M{i}", "slab", Extent((0.0, 0.0, 0.0), (50.0, 40.0, 30.0)), Pose((60.0 * i, 200.0, 0.0))) for i in range(4)
    )
    bolt = Hardware("B1", "hex bolt", "M8", "8.8", 25.0, 8.0, (30.0, 20.0, 3.0), (0.0, 0.0, -1.0), 2, 1)
    return Assembly("pack", (), (), (), (Assembly("Gehäuse", plates, (bolt,)), Assembly("modules", modules)))


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    tree = tree_of(pack())
    path = tmp_path_factory.mktemp("step") / "pack.step"
    return tree, write_step(path, tree, HEADER)


def test_every_body_comes_back_with_name_volume_and_place(written):
    tree, result = written
    assert result.read_back
    assert result.sha256 == sha256_of(result.path)
    found = read_occurrences(result.path)
    assert len(found) == 3 + 4 + 4
    assert {o.path for o in found} == {o.path for o in expected_occurrences(tree)}
    assert ("pack", "Gehaeuse", "BX-1") in {o.path for o in found}
    assert {o.product for o in found if o.path[1] == "modules"} == {"slab"}


def test_header_units_schema_and_plain_ascii(written):
    text = written[1].path.read_bytes().decode("ascii")
    head = text[: text.index("ENDSEC")]
    assert "'2031-02-03T04:05:06'" in head
    assert "'Vaerksted'" in head
    assert "'Pack O-17'" in head
    assert "boxwright" in head
    assert "AUTOMOTIVE_DESIGN" in head
    assert "SI_UNIT(.MILLI.,.METRE.)" in text
    assert not re.search(r"\bPCURVE\b", text)


def test_equal_bodies_are_written_once(written):
    text = written[1].path.read_text("ascii")
    assert len(re.findall(r"MANIFOLD_SOLID_BREP\(", text)) == 3 + 1 + 3  # plates, module, bolt and washer and nut
    assert len(re.findall(r"NEXT_ASSEMBLY_USAGE_OCCURRENCE\(", text)) == 3 + 4 + 4 + 2


def test_nothing_is_printed(tmp_path, capfd):
    write_step(tmp_path / "a.step", tree_of(pack()), HEADER)
    assert capfd.readouterr() == ("", "")


def test_the_same_design_gives_the_same_bytes(tmp_path):
    first = write_step(tmp_path / "1.step", tree_of(pack()), HEADER)
    write_part(tmp_path / "between.step", tree_of(pack()).products()[0], HEADER)
    second = write_step(tmp_path / "2.step", tree_of(pack()), HEADER)
    assert first.sha256 == second.sha256


def test_only_order_and_counters_are_touched(tmp_path):
    """What `ordered` does to a file: same records but for their numbers, places counted from 1."""
    path = tmp_path / "1.step"
    write_step(path, tree_of(pack()), HEADER)
    text = path.read_text("ascii")
    assert ordered(text) == text
    shifted = re.sub(r"(?<=NEXT_ASSEMBLY_USAGE_OCCURRENCE\(')\d+", lambda m: str(int(m[0]) + 5000), text)
    assert shifted != text
    assert ordered(shifted) == text
    places = re.findall(r"NEXT_ASSEMBLY_USAGE_OCCURRENCE\('(\d+)'", text)
    assert places == [str(i + 1) for i in range(len(places))]


def test_colour_records_in_another_order_come_out_the_same(tmp_path):
    blocks = (
        Block("M", "slab", Extent((0.0, 0.0, 0.0), (5.0, 4.0, 3.0)), Pose()),
        Block("E", "unit", Extent((9.0, 0.0, 0.0), (12.0, 4.0, 3.0)), Pose(), group="equipment"),
    )
    path = write_step(tmp_path / "1.step", tree_of(Assembly("two", blocks)), HEADER).path
    text = path.read_text("ascii")
    mark = "MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION("
    start, end = text.rindex("\n", 0, text.index(mark)) + 1, text.index("ENDSEC;\nEND-ISO")
    first, second = re.split(rf"(?<=;\n)(?=#\d+ = {re.escape(mark)})", text[start:end])
    assert ordered(text[:start] + second + first + text[end:]) == text


def test_one_file_per_distinct_part(tmp_path):
    tree = tree_of(pack())
    files = write_parts(tmp_path, tree, HEADER)
    assert len(files) == len(tree.products()) == 7
    assert {f.path.name for f in files} >= {"BX-0.step", "slab.step", "hex_bolt_M8x25_8.8.step"}
    assert all(f.read_back for f in files)
    for file, product in zip(files, tree.products(), strict=True):
        (found,) = read_occurrences(file.path)
        assert found.product == product.number


def test_a_file_that_disagrees_is_refused(tmp_path):
    tree = tree_of(pack())
    path = tmp_path / "pack.step"
    write_step(path, tree, HEADER)
    box, modules = tree.children
    with pytest.raises(ExportError, match="11 read back"):
        compare(path, Tree(tree.name, (), (box,)))
    renamed = Tree(box.name, (Leaf("BX-9", box.leaves[0].product, box.leaves[0].pose), *box.leaves[1:]))
    with pytest.raises(ExportError, match="BX-"):
        compare(path, Tree(tree.name, (), (renamed, modules)))
    shifted = Tree(box.name, (Leaf("BX-0", box.leaves[0].product, Pose((0.01, 0.0, 0.0))), *box.leaves[1:]))
    with pytest.raises(ExportError, match="lies at"):
        compare(path, Tree(tree.name, (), (shifted, modules)))
    other = tree_of(Assembly("x", (Block("M", "slab", Extent((0.0, 0.0, 0.0), (50.0, 40.0, 30.001)), Pose()),))).products()[0]
    single = tmp_path / "single.step"
    write_part(single, modules.leaves[0].product, HEADER)
    with pytest.raises(ExportError):
        compare(single, Tree("slab", (Leaf("slab", other, Pose()),)))


def test_unwritable_and_unreadable_files(tmp_path):
    tree = tree_of(pack())
    with pytest.raises(ExportError, match="could not be written"):
        write_step(tmp_path / "missing" / "a.step", tree, HEADER)
    rubbish = tmp_path / "rubbish.step"
    rubbish.write_text("not a STEP file")
    with pytest.raises(ExportError, match="does not read back"):
        read_occurrences(rubbish)


def test_names_in_plain_letters():
    assert plain_ascii("Größe Ø10 × 5 – Łódź") == "Groesse O10 x 5 - Lodz"
    assert plain_ascii("日本\n") == "___"
    assert file_stem("BR/1: left ") == "BR_1__left"
    assert file_stem("...") == "part"
