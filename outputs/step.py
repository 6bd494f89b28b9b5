"""STEP files of an assembly and of single parts: written directly through the kernel's document, read back and compared.

AP214, millimetres, part numbers as product names in plain ASCII, colours, nested assembly, equal bodies written once, no
parameter-space curves (readers rebuild them; the file is half the size), records in an order that depends on content alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib import metadata
from pathlib import Path

from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
from OCP.IFSelect import IFSelect_RetDone
from OCP.Interface import Interface_Static
from OCP.Message import Message, Message_Gravity
from OCP.Quantity import Quantity_Color, Quantity_TOC_sRGB
from OCP.STEPCAFControl import STEPCAFControl_Writer
from OCP.STEPControl import STEPControl_AsIs, STEPControl_Controller
from OCP.TCollection import TCollection_ExtendedString, TCollection_HAsciiString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label
from OCP.TDocStd import TDocStd_Document
from OCP.XCAFDoc import XCAFDoc_ColorSurf, XCAFDoc_ColorTool, XCAFDoc_DocumentTool, XCAFDoc_ShapeTool

from layout.errors import ExportError
from layout.frames import Pose
from outputs.step_order import ordered
from outputs.written import Written, file_stem, plain_ascii, sha256_of
from shapes.assembly import Leaf, Product, Tree
from shapes.build import location

_STATICS = {
    "write.step.schema": "AP214IS",
    "write.step.unit": "MM",
    "xstep.cascade.unit": "MM",
    "write.step.assembly": 1,
    "write.surfacecurve.mode": 0,
    "write.precision.mode": 0,
    "write.stepcaf.subshapes.name": 0,
    "write.step.product.name": "part",
    "read.precision.mode": 0,
    "read.step.product.mode": 1,
}


@dataclass(frozen=True, slots=True)
class Header:
    """What the file's header states. date: ISO 8601 text such as "2025-03-01T00:00:00", written as given."""

    title: str
    organisation: str
    author: str
    date: str

    @property
    def system(self) -> str:
        """Originating system: this program and its version."""
        try:
            return f"boxwright {metadata.version('boxwright')}"
        except metadata.PackageNotFoundError:
            return "boxwright"


def write_step(path: Path, tree: Tree, header: Header) -> Written:
    """Write an assembly, read it back and compare. Raises ExportError where it cannot be written or does not agree."""
    from outputs.step_reading import compare

    save_step(path, tree, header)
    compare(path, tree)
    return Written(path, sha256_of(path), True)


def save_step(path: Path, tree: Tree, header: Header) -> None:
    """Write an assembly without reading it back. Raises ExportError where it cannot be written."""
    document = _document()
    _Writer().tree(document, tree)
    _write(path, document, header)


def write_parts(folder: Path, tree: Tree, header: Header) -> tuple[Written, ...]:
    """One file per distinct product of an assembly, named after its part number. Raises ExportError as `write_step`."""
    written, taken = [], set()
    for product in tree.products():
        stem = file_stem(product.number)
        name, n = stem, 2
        while name.lower() in taken:
            name, n = f"{stem}-{n}", n + 1
        taken.add(name.lower())
        written.append(write_part(folder / f"{name}.step", product, header))
    return tuple(written)


def write_part(path: Path, product: Product, header: Header) -> Written:
    """Write one product alone, in its own frame, read it back and compare. Raises ExportError as `write_step`."""
    from outputs.step_reading import compare

    document = _document()
    _Writer().product(document, product)
    _write(path, document, Header(product.number, header.organisation, header.author, header.date))
    compare(path, Tree(product.number, (Leaf(product.number, product, Pose()),)))
    return Written(path, sha256_of(path), True)


def set_statics() -> None:
    """Set every switch of the kernel that bears on STEP.

    They are global to the process and ignored before the controller exists.
    """
    STEPControl_Controller.Init_s()
    for name, value in _STATICS.items():
        done = Interface_Static.SetCVal_s(name, value) if isinstance(value, str) else Interface_Static.SetIVal_s(name, value)
        if not done and Interface_Static.IsSet_s(name):
            msg = f"the CAD kernel refused its setting {name} = {value}"
            raise ExportError(msg)
    for printer in Message.DefaultMessenger_s().Printers():
        printer.SetTraceLevel(Message_Gravity.Message_Fail)  # standard output belongs to the command's own result


def _document() -> TDocStd_Document:
    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    return document


def _shape_tool(document: TDocStd_Document) -> XCAFDoc_ShapeTool:
    return XCAFDoc_DocumentTool.ShapeTool_s(document.Main())


def _named(label: TDF_Label, name: str) -> None:
    TDataStd_Name.Set_s(label, TCollection_ExtendedString(plain_ascii(name)))


class _Writer:
    """Labels of the products written so far, by identity."""

    def __init__(self) -> None:
        self.labels: dict[int, TDF_Label] = {}

    def product(self, document: TDocStd_Document, product: Product) -> TDF_Label:
        label = self.labels.get(id(product))
        if label is None:
            label = _shape_tool(document).AddShape(product.solid, False, False)
            _named(label, product.number)
            colours: XCAFDoc_ColorTool = XCAFDoc_DocumentTool.ColorTool_s(document.Main())
            colours.SetColor(label, Quantity_Color(*product.colour, Quantity_TOC_sRGB), XCAFDoc_ColorSurf)
            self.labels[id(product)] = label
        return label

    def tree(self, document: TDocStd_Document, tree: Tree) -> TDF_Label:
        tool = _shape_tool(document)
        label = tool.NewShape()
        _named(label, tree.name)
        for leaf in tree.leaves:
            _named(tool.AddComponent(label, self.product(document, leaf.product), location(leaf.pose)), leaf.name)
        for child in tree.children:
            _named(tool.AddComponent(label, self.tree(document, child), location(child.pose)), child.name)
        return label


def _write(path: Path, document: TDocStd_Document, header: Header) -> None:
    set_statics()
    _shape_tool(document).UpdateAssemblies()
    writer = STEPCAFControl_Writer()
    writer.SetColorMode(True)
    writer.SetNameMode(True)
    for unused in (writer.SetLayerMode, writer.SetPropsMode, writer.SetSHUOMode, writer.SetDimTolMode, writer.SetMaterialMode):
        unused(False)
    if not writer.Transfer(document, STEPControl_AsIs):
        msg = f"{path}: the CAD kernel could not turn the assembly into STEP records"
        raise ExportError(msg)
    _fill_header(writer, header)
    if writer.Write(str(path)) != IFSelect_RetDone:
        msg = f"{path}: the file could not be written. Check that the folder exists, is writable and has room."
        raise ExportError(msg)
    path.write_text(ordered(path.read_text("ascii")), "ascii", newline="\n")


def _fill_header(writer: STEPCAFControl_Writer, header: Header) -> None:
    def text(value: str) -> TCollection_HAsciiString:
        return TCollection_HAsciiString(plain_ascii(value))

    made = APIHeaderSection_MakeHeader(writer.ChangeWriter().Model())
    made.SetName(text(header.title))
    made.SetTimeStamp(text(header.date))
    made.SetAuthorValue(1, text(header.author))
    made.SetOrganizationValue(1, text(header.organisation))
    made.SetOriginatingSystem(text(header.system))
    made.SetAuthorisation(text(""))
    made.SetDescriptionValue(1, text(header.title))
