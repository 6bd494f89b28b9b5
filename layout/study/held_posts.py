"""Posts and mounting bars under the ends of the bars that hold the modules, and the lid that ties the walls' tops."""

from __future__ import annotations

import numpy as np

from layout.box.carriers import Post
from layout.box.design import BoxDesign
from layout.box.shell import END_SCREW
from layout.box.walls import Wall, walls_of
from layout.brackets.design import BracketDesign
from layout.checks import Check
from layout.checks.bars import MountingBar, end_force_n, mounting_bar_checks
from layout.checks.bolts import Ply, bolt_checks, ply_checks
from layout.checks.held import UNEVEN
from layout.checks.road import ROAD_MARGIN, with_road_margin
from layout.checks.rule import Rule, Source
from layout.checks.upright_sheets import end_checks, shared
from layout.frames import Array
from layout.study.fixture_checks import fixture_pulls
from layout.study.held_modules import WALL_SHARE, Held, foot_mm
from layout.study.lid_fixture_checks import lid_shear_n
from layout.study.uprights import beside
from layout.tables import bolt

BOTH = Rule(
    "mounting bar under bracket and module bars", "u_1 + u_2", "1.0", "-",
    Source("shares of strength added: elastic stresses of both never exceed their sum", "derived"),
    {"u_1": ("-", "share used by the bracket's bolts"), "u_2": ("-", "share used by the ends of the modules' bars")},
)  # fmt: skip

Pull = tuple[float, float]
"""Height above the floor's underside, and force out of the wall in N."""


def pulls_on(held: Held, case: int, wall: str, low_mm: float, high_mm: float) -> tuple[tuple[Pull, ...], tuple[float, float]]:
    """`pulls_by_case` of one case, as numbers."""
    pulls, (level, up) = pulls_by_case(held, wall, low_mm, high_mm)
    return tuple((z, float(f[case])) for z, f in pulls), (float(level[case]), float(up[case]))


def pulls_by_case(
    held: Held, wall: str, low_mm: float, high_mm: float
) -> tuple[tuple[tuple[float, Array], ...], tuple[Array, Array]]:
    """What bars' ends and equipment do to the upright between two places along a wall: pulls by height, and forces in the
    wall's plane, each (cases,).

    Both ends of a bar share the force along it; one takes up to six tenths (see WALL_SHARE). in plane: along the wall, up.
    Equipment pulls the way in which the bars' ends together do, so that neither relieves the other.
    """
    found = [e for e in held.ends if e.end.wall == wall and low_mm <= e.end.u_mm <= high_mm]
    none = np.zeros(len(held.cases))
    pulls = tuple((e.height_mm, e.outward_n * WALL_SHARE) for e in found)
    level, up = sum((e.level_n for e in found), none), sum((e.up_n for e in found), none)
    way = np.where(sum((f for _, f in pulls), none) < 0.0, -1.0, 1.0)
    bottom = foot_mm(held.box, wall)
    for one in (f for f in held.box.carriers.fixtures if f.wall == wall):
        square, in_wall = (np.array(v) for v in zip(*(fixture_pulls(one, s) for s in held.specific), strict=True))
        for k, (u, z) in enumerate(one.places()):
            if low_mm <= u <= high_mm:
                pulls += ((z - bottom, way * square[:, k]),)
                level, up = level + in_wall[:, k, 0], up + in_wall[:, k, 1]
    return pulls, (level, up)


def post_checks(held: Held) -> list[Check]:
    """Every post as a beam from floor to flange, its welds and the wall beside it: the worst of each case."""
    box = held.box
    found: list[Check] = []
    bars = [_bar(box, post.wall, post.u_mm, post.width_mm) for post in box.carriers.posts]
    for c, case in enumerate(held.cases):
        loads = []
        for post in box.carriers.posts:
            half = post.width_mm / 2.0
            loads.append((post, *pulls_on(held, c, post.wall, post.u_mm - half, post.u_mm + half)))
        worst = {
            max(range(len(loads)), key=lambda k: _bent(box, loads[k][0], loads[k][1])),
            max(range(len(loads)), key=lambda k: sum(loads[k][2])),
            max(range(len(loads)), key=lambda k: _moment(loads[k][1], bars[k].span_mm) * _wall_per_moment(bars[k])),
            max(range(len(loads)), key=lambda k: end_force_n(loads[k][1], 0.0, bars[k].span_mm)),
        } if loads else set()  # fmt: skip
        for k in sorted(worst):
            post, pulls, in_plane = loads[k]
            part = f"post {post.number}"
            found += mounting_bar_checks(part, case.name, bars[k], pulls, 0.0, bars[k].span_mm / 2.0, in_plane)
    return found


def mounting_bar_sums(held: Held, brackets: tuple[BracketDesign, ...], checks: list[Check]) -> list[Check]:
    """Mounting bars at which bars of modules end too: shares of strength used by bracket and by these ends, added.

    checks: those of the mounting bars under their brackets' bolts alone.
    """
    used: dict[tuple[str, str, str], float] = {}
    for check in checks:
        if "bar of " in check.part:
            key = (check.name, check.part, check.case)
            used[key] = max(used.get(key, 0.0), check.utilisation or 0.0)
    found: list[Check] = []
    for bracket in brackets:
        plan = bracket.plan
        for u in plan.bars_u_mm:
            part, half = f"bar of {plan.number} at {u:.0f}", plan.bar_width_mm / 2.0
            pulls, in_plane = pulls_by_case(held, plan.wall, u - half, u + half)
            if not pulls:
                continue
            bar = _bar(held.box, plan.wall, u, plan.bar_width_mm)
            own = mounting_bar_checks(part, "", bar, pulls, 0.0, bar.span_mm / 2.0, in_plane, into_sheets=False)
            shares = [np.broadcast_to(np.asarray(k.utilisation, dtype=float), len(held.cases)).tolist() for k in own]
            for c, case in enumerate(held.cases):
                ends = end_force_n(tuple((z, float(f[c])) for z, f in pulls), 0.0, bar.span_mm)
                sheets = end_checks(part, case.name, bar.upright, ends)
                found += with_road_margin(sheets) if case.no_slip else sheets
                margins = [ROAD_MARGIN if case.no_slip and k.unit == "MPa" else 1.0 for k in own]
                both = [
                    (used.get((k.name, k.part, case.name), 0.0), share[c] * margin, k)
                    for k, share, margin in zip(own, shares, margins, strict=True)
                ]
                first, second, worst = max(both, key=lambda s: s[0] + s[1])
                found.append(BOTH.check(worst.part, case.name, worst.name, u_1=first, u_2=second))
    return found


def _bent(box: BoxDesign, post: Post, pulls: tuple[Pull, ...]) -> float:
    """Moment of a post over its net width."""
    return _moment(pulls, _height(box, post.wall)) / (post.width_mm - 9.0)


def _moment(pulls: tuple[Pull, ...], span_mm: float) -> float:
    """Greatest moment of a simple beam under forces at heights."""
    left = sum(f * (span_mm - z) for z, f in pulls) / span_mm
    return max((abs(left * z - sum(f * (z - y) for y, f in pulls if y < z)) for z, _ in pulls), default=0.0)


def _wall_per_moment(bar: MountingBar) -> float:
    """How much the wall beside a post is stressed by a moment in it, up to a common factor."""
    gaps = [c for c in (bar.place.clear_mm if bar.place else ()) if c >= bar.wall_mm]
    return shared(bar.upright, bar.place.clear_mm) / bar.width_mm / min(gaps) ** 2 if bar.place and gaps else 0.0


def _height(box: BoxDesign, wall: str) -> float:
    return box.inside.max_mm[2] - foot_mm(box, wall)


def _bar(box: BoxDesign, wall: str, u_mm: float, width_mm: float) -> MountingBar:
    sheet = box.shell.sheet_mm
    sizes = {END_SCREW, *(f.fixing.bolt for f in box.carriers.fixtures)}
    hole = max(bolt(size).hole_medium_mm for size in sizes)
    height = _height(box, wall)
    share = box.shell.weld_share(height)
    return MountingBar(
        box.material, width_mm, box.shell.bar_mm, height, box.shell.fillet_mm, box.material, sheet, hole, share,
        beside(box, wall, u_mm, width_mm),
    )  # fmt: skip


def lid_tie_checks(held: Held) -> list[Check]:
    """The lid's bolts along one wall carry what the uprights of that wall bring to the flange."""
    box = held.box
    size, sheet = bolt(box.shell.lid_bolt), box.shell.sheet_mm
    edge = box.shell.flange_out_mm - box.shell.bolt_line_mm
    found: list[Check] = []
    for c, case in enumerate(held.cases):
        worst = (0.0, "")
        for wall in walls_of(box.inside):
            pulls, _ = pulls_on(held, c, wall.name, -np.inf, np.inf)
            if not pulls:
                continue
            top = abs(sum(f * z for z, f in pulls)) / _height(box, wall.name)
            worst = max(worst, (UNEVEN * top / _bolts_along(box, wall), wall.name))
        shear, name = worst
        if not name:
            continue
        shear += lid_shear_n(box, held.specific[c])
        part = f"lid bolt at the {name} wall, tying its top"
        ply = Ply(box.material, sheet, size.hole_medium_mm, edge, edge)
        found += bolt_checks(part, case.name, box.shell.lid_bolt, "8.8", 0.0, shear, hole_mm=size.hole_medium_mm)
        found += ply_checks(part, case.name, box.shell.lid_bolt, "8.8", ply, shear)
    return found


def _bolts_along(box: BoxDesign, wall: Wall) -> int:
    """How many lid bolts stand along a wall, those on its corners among them."""
    line = box.shell.sheet_mm + box.shell.bolt_line_mm
    beyond = {way: 0.0 if wall.runs_on == way else line if wall.elbow == way else -line for way in (-1, 1)}
    ends = sorted((wall.low_mm + beyond[-1], wall.high_mm - beyond[1]))
    places = np.array(box.lid_bolts_mm)
    off = np.abs(places[:, 1 - wall.along] - wall.point(0.0, line, 0.0)[1 - wall.along])
    on = (off < 1.0) & (places[:, wall.along] > ends[0] - 1.0) & (places[:, wall.along] < ends[1] + 1.0)
    return int(on.sum())
