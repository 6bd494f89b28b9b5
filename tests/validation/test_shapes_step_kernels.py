"""STEP files read by programs that share no code with the writer's kernel (Open CASCADE).

pykentron 0.13 and arris 0.9 are CAD kernels in Rust of their own (their libraries link neither OCCT nor one another);
steputils 0.1 is a strict parser of ISO 10303-21 (Part 21) text. Compared: number of bodies, tree, names, placements, volumes
(from the profiles, not from the writer's kernel), header and units.
"""

import math
import re

import arris
import pytest
from pykentron import importers
from steputils import p21

from layout.design.hardware import pieces
from layout.design.mass import volume_moments
from layout.design.parts import Assembly, Block, Flange, FoldedPlate, Hardware, Plate
from layout.design.profile import Bend, Hole, Profile, rectangle
from layout.frames import Extent, Pose, raked_about_y, turned_about_z
from outputs.step import Header, write_parts, write_step
from shapes.assembly import tree_of

QUARTER = math.tan(math.pi / 8)


def bracket(number, pose):
    holes = (
        Hole(f"{number}-H1", (20.0, 25.0), 11.0),
        Hole(f"{number}-H2", (60.0, 25.0), 11.0, slot_mm=8.0, slot_angle_deg=90.0),
    )
    outline = (
        (0.0, 0.0, 0.0),
        (80.0, 0.0, 0.0),
        (80.0, 40.0, QUARTER),
        (70.0, 50.0, 0.0),
        (10.0, 50.0, QUARTER),
        (0.0, 40.0, 0.0),
    )
    wall = Flange(Profile(outline, (Hole(f"{number}-H3", (40.0, 30.0), 9.0),)), 0, Bend(0, 90.0, 5.0, 0.4))
    return FoldedPlate(number, "bracket", "S275", 4.0, Profile(rectangle(80.0, 50.0), holes), (wall,), pose, "bracket")


def pack():
    poses = [turned_about_z(90.0 * i, (200.0 * i, 50.0, 10.0)).then(raked_about_y(15.0 * i)) for i in range(4)]
    brackets = tuple(
        Assembly(
            f"bracket {i + 1}",
            (bracket(f"BR-{i + 1}", pose),),
            (
                Hardware(
                    f"B{i + 1}",
                    "hex bolt",
                    "M10",
                    "8.8",
                    30.0,
                    8.0,
                    tuple(pose.point((20.0, 25.0, 4.0))),
                    tuple(pose.vector((0.0, 0.0, -1.0))),
                    2,
                    1,
                ),
            ),
        )
        for i, pose in enumerate(poses)
    )
    modules = tuple(
        Block(f"M{i}", "slab", Extent((0.0, 0.0, 0.0), (392.0, 151.0, 108.0)), Pose((0.0, 160.0 * i, 300.0))) for i in range(6)
    )
    side = Profile(
        rectangle(500.0, 300.0, corner_mm=12.0), tuple(Hole(f"s{k}", (40.0 * k + 40.0, 20.0), 6.6) for k in range(10))
    )
    plates = tuple(
        Plate(f"BX-{i}", "side", "5083-H111", 3.0 + i, side, turned_about_z(10.0 * i, (0.0, 0.0, 40.0 * i))) for i in range(3)
    )
    return Assembly("Pack Ø 17", (), (), (), (*brackets, Assembly("modules", modules), Assembly("box", plates)))


def volumes_by_name(assembly):
    """Instance name -> volume from the profiles alone."""
    found = {part.number: volume_moments(part).volume_mm3 for part in assembly.parts}
    for bolt in assembly.hardware:
        sums = [(p, sum(s.area().area_mm2 * (s.high_mm - s.low_mm) for s in p.sections)) for p in pieces(bolt)]
        names = [bolt.number, f"{bolt.number} washer 1", f"{bolt.number} washer 2", f"{bolt.number} nut 1"]
        found |= {name: volume for name, (_, volume) in zip(names, sums, strict=True)}
    for child in assembly.children:
        found |= volumes_by_name(child)
    return found


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    folder = tmp_path_factory.mktemp("kernels")
    assembly = pack()
    header = Header("Pack 17", "Workshop", "n.n.", "2031-02-03T04:05:06")
    tree = tree_of(assembly)
    parts = folder / "parts"
    parts.mkdir()
    return assembly, tree, write_step(folder / "pack.step", tree, header).path, write_parts(parts, tree, header)


def kentron_leaves(node, path=()):
    path = (*path, node.name)
    if node.obj is not None:
        yield path, node.obj.Volume()
    for child in node.children:
        yield from kentron_leaves(child, path)


def test_pykentron_finds_the_same_tree_names_and_volumes(written):
    assembly, _, path, _ = written
    want = volumes_by_name(assembly)
    got = {names[-1]: volume for names, volume in kentron_leaves(importers.importStepAssembly(path))}
    assert got.keys() == want.keys()
    assert all(got[name] == pytest.approx(want[name], rel=1e-6) for name in want)
    top = importers.importStepAssembly(path)
    assert top.name == "Pack O 17"
    assert [c.name for c in top.children] == [c.name for c in assembly.children]


def test_pykentron_finds_every_part_where_it_was_put(written):
    assembly, _, path, _ = written
    top = importers.importStepAssembly(path)
    for child, node in zip(assembly.children, top.children, strict=True):
        for part in child.parts:
            leaf = next(n for n in node.children if n.name == part.number)
            assert leaf.loc.toTuple()[0] == pytest.approx(part.pose.origin_mm, abs=1e-6)


def test_arris_reads_every_solid_with_its_volume(written):
    assembly, _, path, _ = written
    model = arris.Model()
    read = model.read_step(path.read_text("ascii"))
    assert [s.refusal for s in read.solids if not s.ok] == []
    got = sorted(model.mass_properties(s.body).volume for s in read.solids)
    assert got == pytest.approx(sorted(volumes_by_name(assembly).values()), rel=1e-6)


def test_arris_finds_products_colours_and_centroids(written):
    _, tree, path, _ = written
    model = arris.Model()
    read = model.read_step(path.read_text("ascii"))
    names, colours = set(), set()

    def walk(node):
        if node.solids:
            names.add(node.name)
            colours.add(tuple(round(c, 3) for c in node.colour))
        for child in node.children:
            walk(child)

    for root in read.products:
        walk(root)
    assert names == {p.number for p in tree.products()}
    assert colours == {tuple(round(c, 3) for c in p.colour) for p in tree.products()}
    want = sorted(tuple(volume_moments(part).centroid_mm) for child in pack().children for part in child.parts)
    got = [model.mass_properties(s.body).centroid for s in read.solids]
    for centroid in want:
        assert min(math.dist(centroid, g) for g in got) < 1e-4


def test_part_files_hold_one_body_each(written):
    _, tree, _, files = written
    for file, product in zip(files, tree.products(), strict=True):
        model = arris.Model()
        (solid,) = model.read_step(file.path.read_text("ascii")).solids
        (leaf,) = {id(found.product): found for found, _ in tree.all_leaves() if found.product is product}.values()
        want = volumes_by_name(pack())[leaf.name]
        assert model.mass_properties(solid.body).volume == pytest.approx(want, rel=1e-6)


def test_part_21_text_is_strict_and_its_header_filled(written):
    assembly, _, path, _ = written
    file = p21.readfile(str(path))
    name = file.header["FILE_NAME"].params
    assert name[0] == "Pack 17"
    assert name[1] == "2031-02-03T04:05:06"
    assert list(name[2]) == ["n.n."]
    assert list(name[3]) == ["Workshop"]
    assert name[5].startswith("boxwright")
    assert "AUTOMOTIVE_DESIGN" in file.header["FILE_SCHEMA"].params[0][0]
    text = path.read_text("ascii")
    assert len(re.findall(r"= ?NEXT_ASSEMBLY_USAGE_OCCURRENCE\(", text)) == len(volumes_by_name(assembly)) + len(
        assembly.children
    )
    assert "SI_UNIT(.MILLI.,.METRE.)" in text
