"""Views of solids with exact hidden-line removal by the CAD kernel, turned back into lines and true arcs."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

import numpy as np
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepLib import BRepLib
from OCP.GeomAbs import GeomAbs_Circle, GeomAbs_Ellipse, GeomAbs_Line
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from OCP.HLRAlgo import HLRAlgo_Projector
from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape
from OCP.TopAbs import TopAbs_EDGE
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Shape

from outputs.drawing.ink import Arc, Ink, Line, Pen, Point
from outputs.drawing.projection import ViewAxes

TINY_MM = 1e-4
_SAMPLES = 24
SAG_MM = 0.05
"""Model mm between a curve and the chords that stand for it: at 1:2 a fortieth of a millimetre on paper."""


def view_of(shapes: Iterable[TopoDS_Shape], axes: ViewAxes, *, hidden: bool = True) -> tuple[Ink, ...]:
    """Lines and arcs of a view, in mm of the model: visible edges wide, smooth ones narrow, hidden ones dashed where asked."""
    algo = HLRBRep_Algo()
    for shape in shapes:
        algo.Add(shape)
    frame = gp_Ax2(gp_Pnt(0.0, 0.0, 0.0), gp_Dir(*axes.towards), gp_Dir(*axes.right))
    algo.Projector(HLRAlgo_Projector(frame))
    algo.Update()
    algo.Hide()
    found = HLRBRep_HLRToShape(algo)
    visible = [*_edges(found.VCompound()), *_edges(found.OutLineVCompound())]
    smooth = list(_edges(found.Rg1LineVCompound()))
    dashed = [*_edges(found.HCompound()), *_edges(found.OutLineHCompound())] if hidden else []
    return _tidied([(visible, Pen.VISIBLE), (smooth, Pen.THIN), (dashed, Pen.HIDDEN)])


def _edges(compound: TopoDS_Shape | None) -> Iterator[Ink]:
    if compound is None or compound.IsNull():
        return
    BRepLib.BuildCurves3d_s(compound)
    explorer = TopExp_Explorer(compound, TopAbs_EDGE)
    while explorer.More():
        yield from _ink(BRepAdaptor_Curve(TopoDS.Edge_s(explorer.Current())))
        explorer.Next()


def _ink(curve: BRepAdaptor_Curve) -> Iterator[Ink]:
    first, last = curve.FirstParameter(), curve.LastParameter()

    def at(parameter: float) -> Point:
        p = curve.Value(parameter)
        return (p.X(), p.Y())

    if curve.GetType() == GeomAbs_Line:
        yield Line((at(first), at(last)))
        return
    if curve.GetType() == GeomAbs_Circle and abs(curve.Circle().Axis().Direction().Z()) > 1.0 - 1e-9:
        yield _arc(curve, first, last)
        return
    n = _pieces(curve, first, last)
    points = [at(first + (last - first) * k / n) for k in range(n + 1)]
    if _straight(points):
        ends = sorted(points)
        yield Line((ends[0], ends[-1]))
    else:
        yield Line(tuple(points))


def _pieces(curve: BRepAdaptor_Curve, first: float, last: float) -> int:
    """Into how many chords a curve is cut. Ellipses: none is further off than SAG_MM (that of the circle around it)."""
    if curve.GetType() != GeomAbs_Ellipse:
        return _SAMPLES
    step = 2.0 * math.acos(max(1.0 - SAG_MM / max(curve.Ellipse().MajorRadius(), 2.0 * SAG_MM), 0.0))
    return max(2, math.ceil(abs(last - first) / step))


def _arc(curve: BRepAdaptor_Curve, first: float, last: float) -> Arc:
    circle = curve.Circle()
    centre, radius = (circle.Location().X(), circle.Location().Y()), circle.Radius()
    sweep = math.degrees(abs(last - first))
    begin = first if circle.Axis().Direction().Z() > 0.0 else last
    p = curve.Value(begin)
    start = math.degrees(math.atan2(p.Y() - centre[1], p.X() - centre[0])) % 360.0
    return Arc(centre, radius, start, min(sweep, 360.0))


def _straight(points: list[Point]) -> bool:
    a = np.array(points)
    far = a[np.argmax(np.linalg.norm(a - a[0], axis=1))] - a[0]
    size = float(np.linalg.norm(far))
    if size < TINY_MM:
        return True
    off = np.abs((a - a[0]) @ np.array([-far[1], far[0]]) / size)
    return bool(off.max() < TINY_MM)


def _tidied(groups: list[tuple[list[Ink], Pen]]) -> tuple[Ink, ...]:
    """Each group's pieces joined and freed of what an earlier group covers already."""
    lines = _Cover()
    arcs = _Cover()
    out: list[Ink] = []
    for inks, pen in groups:
        straight, round_, rest = _Cover(), _Cover(), []
        for ink in inks:
            if isinstance(ink, Line) and len(ink.points) == 2:
                _add_line(straight, ink)
            elif isinstance(ink, Arc):
                _add_arc(round_, ink)
            elif isinstance(ink, Line):
                rest.append(Line(ink.points, pen))
        out += [_line_of(key, span, pen) for key, span in straight.less(lines)]
        out += [_arc_of(key, span, pen) for key, span in round_.less(arcs)]
        out += rest
        lines.update(straight)
        arcs.update(round_)
    return tuple(out)


class _Cover:
    """Spans along carriers (a straight line, a circle), by the carrier's rounded figures."""

    def __init__(self) -> None:
        self.spans: dict[tuple[float, ...], list[tuple[float, float]]] = {}

    def add(self, key: tuple[float, ...], low: float, high: float) -> None:
        self.spans.setdefault(key, []).append((low, high))

    def update(self, other: _Cover) -> None:
        for key, spans in other.spans.items():
            self.spans.setdefault(key, []).extend(spans)

    def less(self, other: _Cover) -> Iterator[tuple[tuple[float, ...], tuple[float, float]]]:
        for key in sorted(self.spans):
            for low, high in _without(_union(self.spans[key]), _union(other.spans.get(key, []))):
                if high - low > TINY_MM:
                    yield key, (low, high)


def _union(spans: list[tuple[float, float]]) -> list[tuple[float, float]]:
    out: list[tuple[float, float]] = []
    for low, high in sorted(spans):
        if out and low <= out[-1][1] + 10.0 * TINY_MM:
            out[-1] = (out[-1][0], max(out[-1][1], high))
        else:
            out.append((low, high))
    return out


def _without(spans: list[tuple[float, float]], cover: list[tuple[float, float]]) -> list[tuple[float, float]]:
    for low, high in cover:
        spans = [
            piece
            for a, b in spans
            for piece in ((a, min(b, low)), (max(a, high), b))
            if piece[1] - piece[0] > 10.0 * TINY_MM
        ]  # fmt: skip
    return spans


def _add_line(cover: _Cover, line: Line) -> None:
    (x0, y0), (x1, y1) = line.points
    dx, dy = x1 - x0, y1 - y0
    size = math.hypot(dx, dy)
    if size < TINY_MM:
        return
    dx, dy = dx / size, dy / size
    if dx < -1e-9 or (abs(dx) <= 1e-9 and dy < 0.0):
        dx, dy = -dx, -dy
    key = (round(dx, 6) + 0.0, round(dy, 6) + 0.0, round(x0 * dy - y0 * dx, 3) + 0.0)
    low, high = sorted((x0 * dx + y0 * dy, x1 * dx + y1 * dy))
    cover.add(key, low, high)


def _line_of(key: tuple[float, ...], span: tuple[float, float], pen: Pen) -> Line:
    dx, dy, off = key
    return Line(tuple((dx * s + dy * off, dy * s - dx * off) for s in span), pen)


def _add_arc(cover: _Cover, arc: Arc) -> None:
    key = (round(arc.centre[0], 3) + 0.0, round(arc.centre[1], 3) + 0.0, round(arc.radius, 3))
    start = arc.start_deg % 360.0
    end = start + arc.sweep_deg
    cover.add(key, start, min(end, 360.0))
    if end > 360.0 + TINY_MM:
        cover.add(key, 0.0, end - 360.0)


def _arc_of(key: tuple[float, ...], span: tuple[float, float], pen: Pen) -> Arc:
    return Arc((key[0], key[1]), key[2], span[0], span[1] - span[0], pen)
