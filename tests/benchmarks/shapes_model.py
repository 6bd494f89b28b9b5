"""A box for twelve modules with brackets and bolts: the model that the benchmarks of solids and STEP share."""

from __future__ import annotations

import math

from layout.design.parts import Assembly, Block, Flange, FoldedPlate, Hardware, Plate
from layout.design.profile import Bend, Hole, Profile, rectangle
from layout.frames import Extent, Pose, turned_about_z

QUARTER = math.tan(math.pi / 8)


def _row(prefix: str, count: int, pitch: float, y: float, diameter: float) -> tuple[Hole, ...]:
    return tuple(Hole(f"{prefix}{i}", (20.0 + i * pitch, y), diameter) for i in range(count))


def _plates() -> tuple[Plate, ...]:
    """Floor, lid, ring flange, four walls, three dividers, cover, gland plate, mounting plate, two ribs, shelf."""
    base = _row("a", 14, 60.0, 12.0, 6.6) + _row("b", 14, 60.0, 668.0, 6.6)
    up = Pose(axes=((1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, -1.0, 0.0)))
    side = Pose(axes=((0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0)))
    ring = Profile(rectangle(900.0, 680.0, (0.0, 0.0), 15.0), base, (rectangle(840.0, 620.0, (30.0, 30.0), 10.0),))
    flat = [
        ("floor", 3.0, Profile(rectangle(900.0, 680.0, (0.0, 0.0), 15.0), base), 0.0),
        ("ring", 5.0, ring, 250.0),
        ("lid", 2.0, Profile(rectangle(900.0, 680.0, (0.0, 0.0), 15.0), base), 255.0),
    ]
    out = [Plate(f"BX-{n}", n, "5083-H111", t, p, Pose((0.0, 0.0, z)), "lid" if n == "lid" else "box") for n, t, p, z in flat]
    for i, y in enumerate((30.0, 650.0)):
        out.append(
            Plate(
                f"BX-side{i}",
                "side",
                "5083-H111",
                3.0,
                Profile(rectangle(840.0, 247.0), _row("s", 4, 200.0, 120.0, 32.0)),
                Pose((30.0, y, 3.0), up.axes),
            )
        )
    for i, x in enumerate((30.0, 867.0)):
        out.append(
            Plate(f"BX-end{i}", "end", "5083-H111", 3.0, Profile(rectangle(614.0, 247.0)), Pose((x, 33.0, 3.0), side.axes))
        )
    for i in range(8):
        holes = _row("d", 6, 90.0, 40.0 + i, 9.0)
        out.append(
            Plate(
                f"BX-div{i}",
                "divider",
                "5083-H111",
                2.0,
                Profile(rectangle(600.0, 150.0 + i, corner_mm=8.0), holes),
                Pose((100.0 + 90.0 * i, 40.0, 3.0), side.axes),
            )
        )
    return tuple(out)


def _bracket(number: str, pose: Pose) -> FoldedPlate:
    foot = (
        (0.0, 0.0, 0.0),
        (90.0, 0.0, 0.0),
        (90.0, 50.0, QUARTER),
        (80.0, 60.0, 0.0),
        (10.0, 60.0, QUARTER),
        (0.0, 50.0, 0.0),
    )
    slots = tuple(Hole(f"{number}-F{i}", (25.0 + 40.0 * i, 35.0), 11.0, "M10", 10.0, 0.0) for i in range(2))
    wall = Flange(Profile(foot, slots), 0, Bend(0, 90.0, 6.0, 0.42))
    holes = tuple(Hole(f"{number}-W{i}", (15.0 + 30.0 * i, 60.0), 9.0) for i in range(3))
    return FoldedPlate(number, "bracket", "S275", 5.0, Profile(rectangle(90.0, 90.0), holes), (wall,), pose, "bracket")


def model() -> Assembly:
    """12 modules, 15 plates, 6 folded brackets with a gusset each, 40 fasteners (each with two washers and a nut)."""
    modules = tuple(
        Block(
            f"M{i}",
            "slab",
            Extent((0.0, 0.0, 0.0), (392.0, 151.0, 108.0)),
            Pose((40.0 + 400.0 * (i % 2), 40.0 + 155.0 * (i // 2 % 3), 5.0 + 112.0 * (i // 6))),
        )
        for i in range(12)
    )
    brackets = []
    for i in range(6):
        pose = turned_about_z(60.0 * i, (150.0 * i, -120.0, 40.0))
        gusset = Plate(
            f"BR{i}-G", "gusset", "S275", 5.0, Profile(((0.0, 0.0, 0.0), (50.0, 0.0, 0.0), (0.0, 50.0, 0.0))), pose, "bracket"
        )
        bolts = tuple(
            Hardware(
                f"BR{i}-B{k}",
                "hex bolt",
                "M10",
                "8.8",
                35.0,
                12.0,
                (150.0 * i + 20.0 * k, -100.0, 60.0),
                (0.0, 0.0, -1.0),
                2,
                1,
            )
            for k in range(2)
        )
        brackets.append(Assembly(f"bracket {i}", (_bracket(f"BR{i}", pose), gusset), bolts))
    lid = tuple(
        Hardware(
            f"L{i}",
            "cap screw",
            "M6",
            "8.8",
            20.0,
            7.0,
            (20.0 + 60.0 * (i % 14), 12.0 + 656.0 * (i // 14), 257.0),
            (0.0, 0.0, -1.0),
            2,
            1,
        )
        for i in range(28)
    )
    return Assembly("pack", (), (), (), (Assembly("box", _plates(), lid), Assembly("modules", modules), *brackets))
