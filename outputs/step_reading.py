"""Read a STEP file through the kernel's document and compare it with the tree it was written from."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from OCP.IFSelect import IFSelect_RetDone
from OCP.Quantity import Quantity_Color, Quantity_TOC_sRGB
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label, TDF_LabelSequence
from OCP.TDocStd import TDocStd_Document
from OCP.TopLoc import TopLoc_Location
from OCP.XCAFDoc import XCAFDoc_ColorGen, XCAFDoc_ColorSurf, XCAFDoc_ColorTool, XCAFDoc_DocumentTool, XCAFDoc_ShapeTool

from layout.errors import ExportError
from layout.frames import Vec3
from outputs.step import set_statics
from outputs.written import plain_ascii
from shapes.assembly import Tree
from shapes.colours import Colour
from shapes.measure import Solidity, solid_count, solidity

VOLUME_SHARE = 1e-6
PLACE_MM = 1e-4
COLOUR_SHARE = 1e-3


@dataclass(frozen=True, slots=True)
class Occurrence:
    """One body found in a file: names from the root down, the product's name, volume, centroid in the file's frame, colour.

    colour: sRGB shares; None where the file gives none.
    """

    path: tuple[str, ...]
    product: str
    volume_mm3: float
    centroid_mm: Vec3
    colour: Colour | None


def read_occurrences(path: Path) -> tuple[Occurrence, ...]:
    """Every body of a STEP file with where it hangs in the assembly. Raises ExportError where the file cannot be read."""
    set_statics()
    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    reader.SetColorMode(True)
    if reader.ReadFile(str(path)) != IFSelect_RetDone or not reader.Transfer(document):
        msg = f"{path}: the file does not read back as STEP"
        raise ExportError(msg)
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    roots = TDF_LabelSequence()
    tool.GetFreeShapes(roots)
    walk = _Walk()
    for i in range(1, roots.Length() + 1):
        walk.label(roots.Value(i), (_name(roots.Value(i)),), TopLoc_Location())
    return tuple(walk.found)


def _name(label: TDF_Label) -> str:
    attribute = TDataStd_Name()
    return attribute.Get().ToExtString() if label.FindAttribute(TDataStd_Name.GetID_s(), attribute) else ""


def _colour(label: TDF_Label) -> Colour | None:
    found = Quantity_Color()
    for kind in (XCAFDoc_ColorSurf, XCAFDoc_ColorGen):
        if XCAFDoc_ColorTool.GetColor_s(label, kind, found):
            red, green, blue = found.Values(Quantity_TOC_sRGB)
            return (red, green, blue)
    return None


class _Walk:
    """Collects bodies; each product is measured once."""

    def __init__(self) -> None:
        self.found: list[Occurrence] = []
        self.measured: list[tuple[TDF_Label, tuple[Solidity, int, Colour | None]]] = []

    def label(self, label: TDF_Label, path: tuple[str, ...], place: TopLoc_Location) -> None:
        if not XCAFDoc_ShapeTool.IsAssembly_s(label):
            self._body(label, path, place)
            return
        parts = TDF_LabelSequence()
        XCAFDoc_ShapeTool.GetComponents_s(label, parts)
        for i in range(1, parts.Length() + 1):
            part, product = parts.Value(i), TDF_Label()
            XCAFDoc_ShapeTool.GetReferredShape_s(part, product)
            inner = place.Multiplied(XCAFDoc_ShapeTool.GetLocation_s(part))
            self.label(product, (*path, _name(part)), inner)

    def _body(self, label: TDF_Label, path: tuple[str, ...], place: TopLoc_Location) -> None:
        body, count, colour = self._measure(label)
        trsf = place.Transformation()
        m = np.array([[trsf.Value(r, c) for c in range(1, 5)] for r in range(1, 4)])
        c = m[:, :3] @ np.array(body.centroid_mm) + m[:, 3]
        centroid = (float(c[0]), float(c[1]), float(c[2]))
        volume = body.volume_mm3 if count == 1 else math.nan  # a product is one body; anything else cannot agree
        self.found.append(Occurrence(path, _name(label), volume, centroid, colour))

    def _measure(self, label: TDF_Label) -> tuple[Solidity, int, Colour | None]:
        for known, result in self.measured:
            if known.IsEqual(label):
                return result
        shape = XCAFDoc_ShapeTool.GetShape_s(label)
        result = (solidity(shape), solid_count(shape), _colour(label))
        self.measured.append((label, result))
        return result


def expected_occurrences(tree: Tree) -> tuple[Occurrence, ...]:
    """The bodies of a tree as a file written from it should show them."""
    found: list[Occurrence] = []

    def walk(node: Tree, path: tuple[str, ...], outer: object) -> None:
        frame = node.pose if outer is None else outer.then(node.pose)  # type: ignore[attr-defined]
        for leaf in node.leaves:
            body = leaf.product.measured
            c = frame.then(leaf.pose).point(body.centroid_mm)
            place = (float(c[0]), float(c[1]), float(c[2]))
            names = (*path, plain_ascii(leaf.name))
            found.append(Occurrence(names, plain_ascii(leaf.product.number), body.volume_mm3, place, leaf.product.colour))
        for child in node.children:
            walk(child, (*path, plain_ascii(child.name)), frame)

    walk(tree, (plain_ascii(tree.name),), None)
    return tuple(found)


def compare(path: Path, tree: Tree) -> None:
    """Raise ExportError unless the file holds just the bodies of the tree.

    Names, products, volumes (1e-6) and places (1e-4 mm).
    """
    want, got = list(expected_occurrences(tree)), list(read_occurrences(path))
    if len(want) == 1 and len(got) == 1:  # a file of one part has no assembly above it
        want, got = [_without_path(o) for o in want], [_without_path(o) for o in got]
    if len(want) != len(got):
        msg = f"{path}: {len(want)} bodies were written, {len(got)} read back"
        raise ExportError(msg)
    for a, b in zip(sorted(want, key=_order), sorted(got, key=_order), strict=True):
        problem = _difference(a, b)
        if problem:
            msg = f"{path}: {problem}"
            raise ExportError(msg)


def _order(o: Occurrence) -> tuple[object, ...]:
    return (o.path, o.product, tuple(round(c, 3) for c in o.centroid_mm))


def _difference(a: Occurrence, b: Occurrence) -> str:
    """What keeps two bodies, written and read back, from being the same; empty where nothing does."""
    if a.path != b.path or a.product != b.product:
        return f"wrote {' / '.join(a.path)} ({a.product}), read back {' / '.join(b.path)} ({b.product})"
    if not abs(a.volume_mm3 - b.volume_mm3) <= VOLUME_SHARE * a.volume_mm3:
        return f"{a.path[-1]} has {a.volume_mm3:.6g} mm3, read back {b.volume_mm3:.6g} mm3"
    if not math.dist(a.centroid_mm, b.centroid_mm) <= PLACE_MM:
        return f"{a.path[-1]} lies at {a.centroid_mm}, read back at {b.centroid_mm}"
    if a.colour and (b.colour is None or max(abs(x - y) for x, y in zip(a.colour, b.colour, strict=True)) > COLOUR_SHARE):
        return f"{a.path[-1]} has colour {a.colour}, read back {b.colour}"
    return ""


def _without_path(o: Occurrence) -> Occurrence:
    return replace(o, path=(o.product,))
