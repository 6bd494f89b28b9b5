"""An assembly as a tree of named, coloured, placed solids in which equal bodies are one and the same solid."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property

from OCP.TopoDS import TopoDS_Solid

from layout.design.hardware import Piece, pieces
from layout.design.parts import Assembly, FoldedPlate, Hardware, Part, Plate
from layout.design.profile import Profile
from layout.frames import Pose
from shapes.build import solid_of
from shapes.colours import Colour, colour_of
from shapes.hardware import piece_solid
from shapes.measure import Solidity, solidity


@dataclass(frozen=True, eq=False)
class Product:
    """One body as it is made: its part number, its solid in its own frame, its colour.

    numbers: every part number that this very body stands for (equal bodies are built once).
    """

    number: str
    solid: TopoDS_Solid
    colour: Colour
    group: str
    numbers: tuple[str, ...] = ()

    @cached_property
    def measured(self) -> Solidity:
        """Volume, centroid and second moments of the solid, in its own frame."""
        return solidity(self.solid)


@dataclass(frozen=True)
class Leaf:
    """One place of a product, in the frame of the tree that holds it."""

    name: str
    product: Product
    pose: Pose


@dataclass(frozen=True)
class Tree:
    """A named sub-assembly: leaves and further trees, all posed in its own frame; pose places it in its parent's."""

    name: str
    leaves: tuple[Leaf, ...] = ()
    children: tuple[Tree, ...] = field(default=())
    pose: Pose = field(default_factory=Pose)

    def all_leaves(self, outer: Pose | None = None) -> Iterator[tuple[Leaf, Pose]]:
        """Every leaf with its pose in the frame that this tree is placed in."""
        frame = self.pose if outer is None else outer.then(self.pose)
        for leaf in self.leaves:
            yield leaf, frame.then(leaf.pose)
        for child in self.children:
            yield from child.all_leaves(frame)

    def products(self) -> tuple[Product, ...]:
        """Every distinct product, in order of first use."""
        seen: dict[int, Product] = {}
        for leaf, _ in self.all_leaves():
            seen.setdefault(id(leaf.product), leaf.product)
        return tuple(seen.values())


@dataclass
class _Made:
    """A body made once: its solid, its group, the numbers it stands for and the plain names those parts have."""

    solid: TopoDS_Solid
    group: str
    numbers: list[str]
    names: list[str]

    @property
    def title(self) -> str:
        """What the product is called: its part number; where it stands for several, their common name if it is a body that
        nobody cuts (a module), else the numbers one after the other, the third and further ones counted."""
        if len(self.numbers) == 1:
            return self.numbers[0]
        if self.group not in ("box", "lid", "bracket") and len(set(self.names)) == 1:
            return self.names[0]
        more = f" and {len(self.numbers) - 2} more" if len(self.numbers) > 2 else ""
        return ", ".join(self.numbers[:2]) + more


class _Shop:
    """Solids made so far, by what decides their form."""

    def __init__(self) -> None:
        self.made: dict[object, _Made] = {}

    def part(self, part: Part) -> object:
        key = shape_key(part)
        made = self.made.get(key)
        if made is None:
            made = self.made[key] = _Made(solid_of(part), part.group, [], [])
        if part.number not in made.numbers:
            made.numbers.append(part.number)
            made.names.append(part.name)
        return key

    def piece(self, piece: Piece) -> object:
        key = (piece.name, piece.sections)
        if key not in self.made:
            self.made[key] = _Made(piece_solid(piece), "hardware", [piece.name], [piece.name])
        return key


def _bare(profile: Profile) -> Profile:
    """The profile with nothing left but its form: names and fasteners of holes dropped."""
    return replace(profile, holes=tuple(replace(h, name="", fastener="") for h in profile.holes))


def shape_key(part: Part) -> object:
    """Equal for two parts just where they are the same body of the same material and group."""
    if isinstance(part, Plate):
        tapped = tuple(replace(h, name="", size="", thread_mm=0.0) for h in part.tapped)
        return ("plate", part.group, part.material, part.thickness_mm, _bare(part.profile), tapped, part.bevels)
    if isinstance(part, FoldedPlate):
        hung = tuple((f.parent, f.bend, _bare(f.profile)) for f in part.flanges)
        return ("folded", part.group, part.material, part.thickness_mm, _bare(part.root), hung)
    return ("block", part.group, part.material, part.extent)


def tree_of(assembly: Assembly) -> Tree:
    """Build every solid of an assembly once and place it wherever it occurs. Raises DesignError as shapes.build does."""
    shop = _Shop()
    draft = _draft(assembly, shop)
    products = {
        key: Product(made.title, made.solid, colour_of(made.group), made.group, tuple(made.numbers))
        for key, made in shop.made.items()
    }
    return _filled(draft, products)


@dataclass(frozen=True)
class _Draft:
    name: str
    leaves: tuple[tuple[str, object, Pose], ...]
    children: tuple[_Draft, ...]


def _draft(assembly: Assembly, shop: _Shop) -> _Draft:
    leaves = [(part.number, shop.part(part), part.pose) for part in assembly.parts]
    for bolt in assembly.hardware:
        leaves += _fastener_leaves(bolt, shop)
    return _Draft(assembly.name, tuple(leaves), tuple(_draft(c, shop) for c in assembly.children))


def _fastener_leaves(bolt: Hardware, shop: _Shop) -> list[tuple[str, object, Pose]]:
    """Bolt, washers, nuts named after the fastener: "B7", "B7 washer 1", "B7 nut 1"."""
    out, count = [], {"washer": 0, "nut": 0}
    for piece in pieces(bolt):
        kind = piece.name.split()[0]
        label = bolt.number
        if kind in count:
            count[kind] += 1
            label = f"{bolt.number} {kind} {count[kind]}"
        out.append((label, shop.piece(piece), piece.pose))
    return out


def _filled(draft: _Draft, products: dict[object, Product]) -> Tree:
    leaves = tuple(Leaf(name, products[key], pose) for name, key, pose in draft.leaves)
    return Tree(draft.name, leaves, tuple(_filled(c, products) for c in draft.children))
