"""Small drawings for the report, as SVG with real text: the vehicle's side view with its axles, and pulses."""

from __future__ import annotations

from collections.abc import Sequence
from xml.sax.saxutils import escape

import numpy as np

from layout.frames import Extent, bounding
from layout.loads.pulse_cases import PulseResponse
from layout.several.study import AnyStudy, boxes_of
from layout.stepped import parts_of

INK, SOFT, BODY, WARM = "#1d2b2f", "#8a979c", "#c9d6d3", "#a3562b"
FONT = "font-family='Libertinus Serif' font-size='9'"


def side_view(study: AnyStudy, width: float = 480.0, height: float = 190.0) -> str:
    """Pack and axles seen from the left: x to the left is aft, forward to the right. Scale as written in the picture."""
    vehicle = study.job.vehicle
    frame = study.arrangement.frame
    outer = bounding([one.box.shell.outermost(one.box.inside).seen_from(frame) for one in boxes_of(study)])
    modules = [m.own_extent.seen_from(frame.then(m.pose)) for m in study.arrangement.modules]
    xs = [vehicle.rear_axle_x_mm - 400.0, vehicle.front_axle_x_mm + 400.0, outer.min_mm[0] - 100.0, outer.max_mm[0] + 100.0]
    left, right, top = min(xs), max(xs), max(outer.max_mm[2] + 150.0, 900.0)
    scale = min(width / (right - left), (height - 24.0) / top)

    def place(x: float, z: float) -> tuple[float, float]:
        return (x - left) * scale, height - 18.0 - z * scale

    parts = [_line(*place(left, 0.0), *place(right, 0.0), INK, 1.0)]
    for name, x in (("rear axle", vehicle.rear_axle_x_mm), ("front axle", vehicle.front_axle_x_mm)):
        (x0, y0), (_, y1) = place(x, 0.0), place(x, top)
        parts.append(_line(x0, y0, x0, y1, SOFT, 0.8, "6 2 1 2"))
        parts.append(_text(x0, height - 6.0, f"{name}, x = {x:.0f}", "middle"))
        cx, cy = place(x, 300.0)
        parts.append(
            f"<circle cx='{cx:.2f}' cy='{cy:.2f}' r='{300.0 * scale:.2f}' fill='none' stroke='{SOFT}' stroke-width='0.6'/>"
        )
    boxes = [one.box for one in boxes_of(study)]
    stands = [box.shell.outermost(part).seen_from(frame) for box in boxes for part in parts_of(box.inside)]
    parts += [_box(stand, place, BODY, INK) for stand in stands]
    parts += [_box(m, place, "none", INK, 0.4) for m in modules]
    x, _, z = study.pack.centroid_mm
    cx, cy = place(x, z)
    parts.append(_line(cx - 5, cy, cx + 5, cy, WARM, 1.2) + _line(cx, cy - 5, cx, cy + 5, WARM, 1.2))
    side, anchor = (-9.0, "end") if cx > 0.6 * width else (9.0, "start")
    parts.append(_text(place(outer.min_mm[0] if side < 0 else outer.max_mm[0], z)[0] + side, cy - 4, _centroid(x, z), anchor))
    return _svg(width, height, parts)


def _centroid(x: float, z: float) -> str:
    return f"pack centroid x = {x:.0f}, z = {z:.0f} mm"


def _box(extent: Extent, place: object, fill: str, stroke: str, width: float = 0.9) -> str:
    (x0, y1), (x1, y0) = place(extent.min_mm[0], extent.min_mm[2]), place(extent.max_mm[0], extent.max_mm[2])  # type: ignore[operator]
    size = f"width='{x1 - x0:.2f}' height='{y1 - y0:.2f}'"
    return f"<rect x='{x0:.2f}' y='{y0:.2f}' {size} fill='{fill}' stroke='{stroke}' stroke-width='{width}'/>"


def pulse_plot(response: PulseResponse, width: float = 240.0, height: float = 150.0) -> str:
    """Pulse and answer of the main mode against time."""
    time, pulse, answer = response.history
    series = ((time * 1000.0, pulse, INK), (time * 1000.0, answer, WARM))
    return _chart(series, "ms", "g", width, height, logarithmic=False)


def spectrum_plot(response: PulseResponse, width: float = 240.0, height: float = 150.0) -> str:
    """Greatest answer in g against natural frequency."""
    along, against = response.spectrum_g
    f = response.frequency_hz
    return _chart(((f, along, INK), (f, against, SOFT)), "Hz", "g", width, height, logarithmic=True)


def _chart(
    series: Sequence[tuple[object, object, str]], x_unit: str, y_unit: str, width: float, height: float, *, logarithmic: bool
) -> str:
    xs = [np.log10(np.asarray(x)) if logarithmic else np.asarray(x, dtype=float) for x, _, _ in series]
    ys = [np.asarray(y, dtype=float) for _, y, _ in series]
    x0, x1 = min(float(x.min()) for x in xs), max(float(x.max()) for x in xs)
    y0, y1 = min(0.0, *(float(y.min()) for y in ys)), max(float(y.max()) for y in ys) * 1.05
    left, bottom = 34.0, 22.0

    def px(x: float) -> float:
        return left + (x - x0) / (x1 - x0) * (width - left - 8.0)

    def py(y: float) -> float:
        return height - bottom - (y - y0) / (y1 - y0) * (height - bottom - 8.0)

    parts = [_line(left, py(0.0), width - 8.0, py(0.0), SOFT, 0.6), _line(left, 8.0, left, height - bottom, SOFT, 0.6)]
    for tick in _ticks(y0, y1):
        parts.append(_line(left - 3, py(tick), left, py(tick), SOFT, 0.6) + _text(left - 5, py(tick) + 3, f"{tick:g}", "end"))
    for tick in range(int(np.ceil(x0)), int(x1) + 1) if logarithmic else _ticks(x0, x1):
        label = f"{10.0**tick:g}" if logarithmic else f"{tick:g}"
        parts.append(_line(px(tick), height - bottom, px(tick), height - bottom + 3, SOFT, 0.6))
        parts.append(_text(px(tick), height - bottom + 12, label, "middle"))
    parts.append(_text(width - 8.0, height - 2.0, x_unit, "end") + _text(4.0, 9.0, y_unit, "start"))
    for x, y, (_, _, colour) in zip(xs, ys, series, strict=True):
        step = max(1, len(x) // 400)
        points = " ".join(f"{px(float(a)):.2f},{py(float(b)):.2f}" for a, b in zip(x[::step], y[::step], strict=True))
        parts.append(f"<polyline points='{points}' fill='none' stroke='{colour}' stroke-width='1'/>")
    return _svg(width, height, parts)


def _ticks(low: float, high: float) -> list[float]:
    """Round values between two limits, four to eight of them."""
    span = high - low
    unit = 10.0 ** int(f"{span:e}".split("e")[1])
    for share in (0.1, 0.2, 0.25, 0.5, 1.0, 2.0):
        step = unit * share
        if span / step <= 7.0:
            break
    first = int(low / step) - 1
    return [k * step for k in range(first, first + 14) if low - 1e-9 <= k * step <= high + 1e-9]


def _line(x0: float, y0: float, x1: float, y1: float, colour: str, width: float, dash: str = "") -> str:
    broken = f" stroke-dasharray='{dash}'" if dash else ""
    return f"<line x1='{x0:.2f}' y1='{y0:.2f}' x2='{x1:.2f}' y2='{y1:.2f}' stroke='{colour}' stroke-width='{width}'{broken}/>"


def _text(x: float, y: float, text: str, anchor: str) -> str:
    return f"<text x='{x:.2f}' y='{y:.2f}' {FONT} fill='{INK}' text-anchor='{anchor}'>{escape(text)}</text>"


def _svg(width: float, height: float, parts: list[str]) -> str:
    head = f"<svg xmlns='http://www.w3.org/2000/svg' width='{width:g}' height='{height:g}' viewBox='0 0 {width:g} {height:g}'>"
    return head + "".join(parts) + "</svg>"
