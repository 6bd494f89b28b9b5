"""The whole finite element model of a study: bodies, joints, mounts and loads, in the pack's frame."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import permutations

import numpy as np

from layout.box.fixture import Fixture
from layout.box.shell import GASKET_MM
from layout.box.soft import density_kg_m3
from layout.box.walls import LOOKS, PANELS, UPPER_FLOOR, wall_of, walls_of
from layout.design import Block, FoldedPlate, Hardware, Plate, Weld
from layout.design.mass import body_mass
from layout.errors import DesignError
from layout.fe.angle import BracketMesh, Patch
from layout.fe.bracket_bodies import meshed_bracket
from layout.fe.bricks import Body, Ints, Mesh, joined
from layout.fe.carried import Carried, at_places, holds_moments, on_nodes
from layout.fe.joints import Tie, bolted_pair, on_face, screwed_pairs, tied, welded_pairs
from layout.fe.plates import grid_of, is_parallel, normal_axis, plate_body
from layout.fe.tying import seam_ties
from layout.frames import DIRECTIONS, Array, Pose
from layout.study.hulls import body_of
from layout.study.study import Study

STEP_MM = 40.0
"""Greatest size of an element of the tray."""
BRACKET_STEP_MM = 20.0
SCREW_MM = 7.0
"""To both sides of a screw in a bar's end: nodes there, at half the bar's thickness, move with wall and upright. So the end
turns freely about the screw's row as a simple beam's does, but neither spins about the bar nor swings sideways."""
BEHIND_MM = 12.0
"""More than any sheet of a box is thick, less than any step in its walls is deep."""
_PACK = Pose()
NOT_MESHED = ("gasket", "liner", "ring")
SPACER = "spacer"
GROW_MM = (2.0, 6.0, 12.0, 25.0, 50.0, 100.0, 200.0, 1000.0)


@dataclass(frozen=True, eq=False)
class Bolted:
    """A bolt's patch of nodes on the face that it clamps. at_mm: its place; bracket: number of the bracket."""

    name: str
    bracket: str
    at_mm: Array
    nodes: Ints


@dataclass(frozen=True, eq=False)
class Model:
    """mesh; ties of legs to bars; mounts: nodes held by the vehicle; legs: tied patches of the leg bolts; screws_mm (n, 3):
    places across the screwed ends of bars; carried: masses on nodes; mass_kg: of everything.
    """

    mesh: Mesh
    ties: tuple[Tie, ...]
    mounts: tuple[Bolted, ...]
    legs: tuple[Bolted, ...]
    screws_mm: Array
    carried: tuple[Carried, ...]

    @property
    def mass_kg(self) -> float:
        """Of bodies and what they carry."""
        return sum(b.mass_kg for b in self.mesh.bodies) + sum(c.mass_kg for c in self.carried)


def model_of(study: Study, step_mm: float = STEP_MM, bracket_step_mm: float = BRACKET_STEP_MM) -> Model:
    """Mesh and loads of a study. step_mm, bracket_step_mm: greatest sizes of elements.

    Raises:
        DesignError: a plate of the box that is folded, has tabs or is not parallel to the pack's axes.
    """
    if study.box.tab_findings:
        raise DesignError("box", "finite elements need plates with straight edges", "tabs and slots", "Leave out --fe.")
    plates = _plates(study)
    grid = grid_of(plates, _extra_lines(study), step_mm)
    box = tuple(plate_body(p, grid, _mass(p)) for p in plates)
    brackets = [
        meshed_bracket(b, {p.number: _mass(p) for p in b.plates}, bracket_step_mm)
        for b in study.brackets
    ]
    bodies = (*box, *(body for b in brackets for body in b.bodies))
    merged = [w for b, m in zip(study.brackets, brackets, strict=True) if not m.seams for w in b.welds]
    mesh = joined(bodies, _pairs(study, bodies, merged))
    mounts, legs, ties = _bolted(study, mesh, brackets, plates)
    ties += seam_ties(mesh, [seam for b in brackets for seam in b.seams])
    _refuse_loose(mesh, ties)
    return Model(mesh, tuple(ties), tuple(mounts), tuple(legs), _screws(study), tuple(_carried(study, mesh, plates)))


def _plates(study: Study) -> tuple[Plate, ...]:
    """The flat plates of the box that bear loads, the lid on its flange."""
    found = []
    for plate in study.box.plates:
        if not _is_joined(study, plate):
            continue
        if not isinstance(plate, Plate) or not is_parallel(plate):
            raise DesignError(
                plate.number,
                "finite elements need flat plates parallel to the box",
                "folded or oblique",
                "Leave out --fe.",
            )
        found.append(_closed(plate))
    return tuple(found)


def _is_joined(study: Study, plate: Plate | FoldedPlate) -> bool:
    """Whether a plate is welded to another, screwed between two walls or is the lid; all else is only carried."""
    box = study.box
    small = {p.number for p in (*(r.plate for r in box.rings), *box.lid_mounts.plates)}  # rings, pads and spacers only weigh
    if plate.group in NOT_MESHED or plate.number in small or plate.name.startswith(SPACER):
        return False
    screwed = {bar.number for bar in box.carriers.bars if not bar.welded}
    welded = {number for weld in box.welds for number in weld.joins}
    return plate.number in screwed | welded | {box.panels["top"]}


def _closed(plate: Plate) -> Plate:
    """The lid is set straight on its flange: its bolts clamp it there, and the gasket between them bears no load by itself."""
    if plate.group != "lid":
        return plate
    x, y, z = plate.pose.origin_mm
    return replace(plate, pose=replace(plate.pose, origin_mm=(x, y, z - GASKET_MM)))


def _mass(part: Plate | FoldedPlate | Block | Hardware) -> float:
    return body_mass(part, density_kg_m3).mass_kg


def _screws(study: Study) -> Array:
    """Places across the ends of bars that are screwed, no farther apart than SCREW_MM, (n, 3)."""
    found = []
    for bar in (b for b in study.box.carriers.bars if not b.welded):
        half = bar.width_mm / 2.0 - SCREW_MM
        steps = np.linspace(-half, half, max(1, int(np.ceil(2.0 * half / SCREW_MM)) + 1))
        found += [np.array(bar.end_mm(which)) + step * np.eye(3)[bar.across] for which in (0, 1) for step in steps]
    return np.array(found).reshape(-1, 3)


def _extra_lines(study: Study) -> tuple[tuple[int, float], ...]:
    """Lines through and beside the screws in the ends of bars."""
    bars = [bar for bar in study.box.carriers.bars if not bar.welded]
    return tuple((bar.across, bar.at_mm + off) for bar in bars for off in (-SCREW_MM, 0.0, SCREW_MM))


def _pairs(study: Study, bodies: tuple[Body, ...], of_brackets: list[Weld]) -> Ints:
    """All nodes that are one: along welds, and where screws clamp bars, walls and uprights."""
    box = study.box
    found = [welded_pairs(bodies, weld) for weld in (*box.welds, *of_brackets)]
    flat = [p for p in box.plates if isinstance(p, Plate)]
    uprights = [p for p in flat if p.name == "post" or p.name.startswith("mounting bar")]
    for bar in box.carriers.bars:
        for which in () if bar.welded else (0, 1):
            wall, at = bar.wall(which), np.array(bar.end_mm(which))
            axis, up = np.array(DIRECTIONS[LOOKS[wall]]), np.eye(3)[bar.normal]
            panel = box.panels[PANELS[wall]]
            found.append(screwed_pairs(bodies, (bar.number, panel), at, axis, up))
            behind = [p for p in uprights if np.allclose(p.pose.axes[2], axis) and _covers(p, at)]
            found += [screwed_pairs(bodies, (panel, p.number), at, axis, up) for p in behind]
    lid, flange = box.panels["top"], next(p.number for p in box.plates if p.name == "lid flange")
    found += [bolted_pair(bodies, (lid, flange), np.array(place)) for place in box.lid_bolts_mm]
    return np.concatenate(found) if found else np.zeros((0, 2), dtype=np.int64)


def _refuse_loose(mesh: Mesh, ties: list[Tie]) -> None:
    """Raise DesignError for a body that shares no node and no tie with the others."""
    owners: dict[int, set[int]] = {}
    for index, nodes in enumerate(mesh.node_of):
        for node in np.unique(nodes).tolist():
            owners.setdefault(node, set()).add(index)
    groups = [{i} for i in range(len(mesh.bodies))]
    links = [tuple(found) for found in owners.values() if len(found) > 1]
    links += [(min(owners[t.node]), min(owners[int(n)])) for t in ties for n in t.nodes[:1]]
    for link in set(links):
        whole = set().union(*(groups[i] for i in link))
        for i in whole:
            groups[i] = whole
    first = groups[0]
    for index, body in enumerate(mesh.bodies):
        if index not in first:
            raise DesignError(body.number, "finite elements need every part joined to others", "loose", "Leave out --fe.")


def _covers(plate: Plate, at_mm: Array) -> bool:
    """Whether a place lies on a plate, or behind it as far as a sheet of the box is thick."""
    x, y, z = plate.pose.inverse_point(at_mm)
    points = np.array([v[:2] for v in plate.profile.outline])
    beside = bool(np.all(points.min(axis=0) <= (x, y)) and np.all(points.max(axis=0) >= (x, y)))
    return beside and -BEHIND_MM <= z <= plate.thickness_mm + 1e-6


def _bolted(
    study: Study, mesh: Mesh, brackets: list[BracketMesh], plates: tuple[Plate, ...]
) -> tuple[list[Bolted], list[Bolted], list[Tie]]:
    """Mounts held by the vehicle, leg bolts, and the ties of their patches to the bars behind."""
    bars = [p for p in plates if p.name.startswith("mounting bar")]
    mounts: list[Bolted] = []
    legs: list[Bolted] = []
    ties: list[Tie] = []
    for bracket, meshed in zip(study.brackets, brackets, strict=True):
        for mount, under in zip(bracket.plan.mounts, meshed.mounts, strict=True):
            mounts.append(Bolted(mount.name, bracket.number, np.array(mount.at_mm), _under(mesh, under)))
        for i, under in enumerate(meshed.legs):
            patch = _under(mesh, under)
            place = np.array(bracket.leg_bolts_mm[i])
            bar = next(p for p in bars if np.allclose(p.pose.axes[2], bracket.plan.w) and _covers(p, place))
            ties += tied(mesh, patch, mesh.body(bar.number), normal_axis(bar))
            legs.append(Bolted(f"{bracket.number}-L{i + 1}", bracket.number, place, patch))
    return mounts, legs, ties


def _under(mesh: Mesh, patch: Patch) -> Ints:
    """Nodes of a body under a washer."""
    nodes = mesh.nodes_of(mesh.body(patch.body))
    return np.asarray(nodes[patch.covers(mesh.nodes_mm[nodes])], dtype=np.int64)


def _carried(study: Study, mesh: Mesh, plates: tuple[Plate, ...]) -> list[Carried]:
    """Modules on the bolts of their bars (any that no bar holds on the whole floor), all else on the nodes nearest to it."""
    box = study.box
    axes = {p.number: normal_axis(p) for p in plates}
    found = []
    held = {h.id: h for h in box.carriers.held}
    floors = [mesh.nodes_of(mesh.body(box.panels[name])) for name in ("bottom", UPPER_FLOOR) if name in box.panels]
    floor = np.concatenate(floors)
    for module in study.arrangement.modules:
        centre = np.array(module.centroid_mm)
        if module.id not in held:
            found.append(on_nodes(module.id, module.kind.mass_kg, centre, floor, mesh.nodes_mm[floor]))
            continue
        places, faces = [], []
        for bolt, index in zip(held[module.id].bolts, held[module.id].bars, strict=True):
            bar = box.carriers.bars[index]
            places.append(bolt.at_mm)
            faces.append(on_face(mesh, mesh.body(bar.number), np.array(bolt.at_mm), axes[bar.number]))
        found.append(at_places(module.id, module.kind.mass_kg, centre, np.array(places), faces))
    return [*found, *_loose(study, mesh)]


def _loose(study: Study, mesh: Mesh) -> list[Carried]:
    """Liners, gasket, covers, equipment and hardware on the nodes nearest to each; equipment hung outside whose feet are not
    known on all edges of its wall, since the nearest post alone may be the last thing that carries it.
    """
    box = study.box
    parts: list[Plate | FoldedPlate | Block | Hardware] = [p for p in box.plates if not _is_joined(study, p)]
    parts += [*study.equipment, *box.hardware]
    parts += [h for b in study.brackets for h in b.hardware]
    footed = {f.name: f for f in box.carriers.fixtures}
    covered = {c.name for c in box.covers if c.feet_mm}
    hung = {e.number for e in study.equipment if e.name not in footed.keys() | covered}
    found = []
    for part in parts:
        whole = body_mass(part, density_kg_m3)
        extent = body_of(part, _PACK).extent
        low, high = np.array(extent.min_mm), np.array(extent.max_mm)
        if isinstance(part, Block) and part.name in footed:
            found.append(_on_feet(mesh, study, part, footed[part.name]))
            continue
        panel = _bearer(study, low, high) if part.number in hung else None
        if panel is None:
            found.append(_near(mesh, part.number, whole.mass_kg, np.array(whole.centroid_mm), low, high))
            continue
        nodes, shares = _border(mesh, panel)
        found.append(on_nodes(part.number, whole.mass_kg, np.array(whole.centroid_mm), nodes, mesh.nodes_mm[nodes], shares))
    return found


def _on_feet(mesh: Mesh, study: Study, part: Block, fixture: Fixture) -> Carried:
    """Equipment on its screws: each on the upright it stands on, or on the wall's sheet."""
    box, whole = study.box, body_mass(part, density_kg_m3)
    wall = wall_of(fixture.wall, box.inside)
    uprights = [p for p in box.plates if isinstance(p, Plate) and (p.name == "post" or p.name.startswith("mounting bar"))]
    places, faces = [], []
    for u, z in fixture.places():
        at = np.array(wall.point(u, box.shell.sheet_mm + box.shell.bar_mm, z))
        behind = (p.number for p in uprights if np.allclose(p.pose.axes[2], fixture.outward) and _covers(p, at))
        places.append(at)
        faces.append(on_face(mesh, mesh.body(next(behind, box.panels[PANELS[fixture.wall]])), at, 1 - wall.along))
    return at_places(part.number, whole.mass_kg, np.array(whole.centroid_mm), np.array(places), faces)


def _bearer(study: Study, low: Array, high: Array) -> str | None:
    """The wall's panel outside which a body lies, None where it lies in the box."""
    for wall in (w for w in walls_of(study.box.inside) if not w.riser):  # what lies beyond a riser stands on the upper floor
        axis, out = int(np.argmax(np.abs(wall.w))), float(wall.w.sum())
        face = wall.point(0.0, study.box.shell.sheet_mm, 0.0)[axis]
        if out * ((low if out > 0.0 else high)[axis] - face) >= 0.0:
            return study.box.panels[wall.panel]
    return None


def _border(mesh: Mesh, number: str) -> tuple[Ints, Array]:
    """Nodes along the edges of a panel, and the length of edge that each stands for."""
    nodes = mesh.nodes_of(mesh.body(number))
    points = mesh.nodes_mm[nodes]
    low, high = points.min(axis=0), points.max(axis=0)
    length = np.zeros(len(nodes))
    for axis, other in permutations(np.argsort(high - low)[1:], 2):
        for end in (low, high):
            edge = np.flatnonzero(np.abs(points[:, axis] - end[axis]) < 0.01)
            edge = edge[np.argsort(points[edge, other], kind="stable")]
            length[edge] += np.gradient(points[edge, other])
    return np.asarray(nodes[length > 0.0], dtype=np.int64), length[length > 0.0]


def _near(mesh: Mesh, name: str, mass_kg: float, centre: Array, low: Array, high: Array) -> Carried:
    """A mass on the nodes inside its extent, grown until they hold its force and moments."""
    for grow in GROW_MM:
        inside = np.all((mesh.nodes_mm >= low - grow) & (mesh.nodes_mm <= high + grow), axis=1)
        nodes = np.flatnonzero(inside).astype(np.int64)
        if len(nodes) >= 6 and holds_moments(mesh.nodes_mm[nodes]):
            return on_nodes(name, mass_kg, centre, nodes, mesh.nodes_mm[nodes])
    raise DesignError(name, "nothing meshed lies near it", f"centre {np.round(centre)}", "Leave out --fe.")
