"""Read a STEP file through the kernel's document and compare it with the tree it was written from."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from OCP.IFSelect import IFSelect_RetDone
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label, TDF_LabelSequence
from OCP.TDocStd import TDocStd_Document
from OCP.TopLoc import TopLoc_Location
from OCP.XCAFDoc import XCAFDoc_DocumentTool, XCAFDoc_ShapeTool

from layout.errors import ExportError
from layout.frames import Vec3
from outputs.step import set_statics
from outputs.written import plain_ascii
from shapes.assembly import Tree
from shapes.measure import Solidity, solid_count, solidity

VOLUME_SHARE = 1e-6
PLACE_MM = 1e-4


@dataclass(frozen=True, slots=True)
class Occurrence:
    """One body found in a file: names from the root down, the product's name, volume and centroid in the file's frame."""

    path: tuple[str, ...]
    product: str
    volume_mm3: float
    centroid_mm: Vec3


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


class _Walk:
    """Collects bodies; each product is measured once."""

    def __init__(self) -> None:
        self.found: list[Occurrence] = []
        self.measured: list[tuple[TDF_Label, Solidity, int]] = []

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
        body, count = self._measure(label)
        trsf = place.Transformation()
        m = np.array([[trsf.Value(r, c) for c in range(1, 5)] for r in range(1, 4)])
        c = m[:, :3] @ np.array(body.centroid_mm) + m[:, 3]
        centroid = (float(c[0]), float(c[1]), float(c[2]))
        product = _name(label)
        self.found += [Occurrence(path, product, body.volume_mm3, centroid)] if count == 1 else []
        if count != 1:
            self.found += [Occurrence(path, product, math.nan, centroid)] * max(count, 1)

    def _measure(self, label: TDF_Label) -> tuple[Solidity, int]:
        for known, body, count in self.measured:
            if known.IsEqual(label):
                return body, count
        shape = XCAFDoc_ShapeTool.GetShape_s(label)
        body, count = solidity(shape), solid_count(shape)
        self.measured.append((label, body, count))
        return body, count


def expected_occurrences(tree: Tree) -> tuple[Occurrence, ...]:
    """The bodies of a tree as a file written from it should show them."""
    measured = {id(p): solidity(p.solid) for p in tree.products()}
    found: list[Occurrence] = []

    def walk(node: Tree, path: tuple[str, ...], outer: object) -> None:
        frame = node.pose if outer is None else outer.then(node.pose)  # type: ignore[attr-defined]
        for leaf in node.leaves:
            body = measured[id(leaf.product)]
            c = frame.then(leaf.pose).point(body.centroid_mm)
            place = (float(c[0]), float(c[1]), float(c[2]))
            names = (*path, plain_ascii(leaf.name))
            found.append(Occurrence(names, plain_ascii(leaf.product.number), body.volume_mm3, place))
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
    key = lambda o: (o.path, o.product, tuple(round(c, 3) for c in o.centroid_mm))  # noqa: E731
    for a, b in zip(sorted(want, key=key), sorted(got, key=key), strict=True):
        if a.path != b.path or a.product != b.product:
            msg = f"{path}: wrote {' / '.join(a.path)} ({a.product}), read back {' / '.join(b.path)} ({b.product})"
            raise ExportError(msg)
        if not abs(a.volume_mm3 - b.volume_mm3) <= VOLUME_SHARE * a.volume_mm3:
            msg = f"{path}: {a.path[-1]} has {a.volume_mm3:.6g} mm3, read back {b.volume_mm3:.6g} mm3"
            raise ExportError(msg)
        if not math.dist(a.centroid_mm, b.centroid_mm) <= PLACE_MM:
            msg = f"{path}: {a.path[-1]} lies at {a.centroid_mm}, read back at {b.centroid_mm}"
            raise ExportError(msg)


def _without_path(o: Occurrence) -> Occurrence:
    return Occurrence((o.product,), o.product, o.volume_mm3, o.centroid_mm)
