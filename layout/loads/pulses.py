"""Crash pulses: acceleration against time by shape, from points, from a corridor or from a file.

A pulse is a line through points of time and acceleration (its size in the direction it throws the pack; g). Curved
shapes are drawn with 1000 chords. Shapes after Harris and Piersol, Shock and Vibration Handbook (from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Final

import numpy as np

from layout.frames import Array
from layout.job.crash import PulseEntry, Side
from layout.loads.body import G0_M_S2
from layout.loads.pulse_file import read_pulse_file
from layout.loads.trouble import PulseError

CHORDS: Final = 1000
MOST_G: Final = 2000.0
"""Peaks above this are taken for a wrong unit (own choice; car crashes stay below 100 g)."""
LEAST_SECONDS: Final = 1e-3
MOST_SECONDS: Final = 10.0
"""Durations outside these are taken for a wrong unit (own choice; crash pulses last 5 to 200 ms)."""


@dataclass(frozen=True)
class Pulse:
    """A pulse. points: (time s, acceleration g), times not falling; two points of one time are a step."""

    name: str
    points: tuple[tuple[float, float], ...]
    note: str = ""

    @property
    def peak_g(self) -> float:
        """Greatest size of the acceleration."""
        return float(np.abs(np.array(self.points)[:, 1]).max())

    @property
    def duration_s(self) -> float:
        """Time from the first point to the last."""
        return self.points[-1][0] - self.points[0][0]

    @property
    def velocity_change_m_s(self) -> float:
        """Area under the pulse (trapezoid rule over its points, exact for straight lines)."""
        table = np.array(self.points, dtype=float)
        return float(np.trapezoid(table[:, 1], table[:, 0])) * G0_M_S2

    def sampled(self, step_s: float, tail_s: float = 0.0) -> tuple[Array, Array]:
        """Time from 0 and acceleration at even steps, one zero before and a tail of zeros after it.

        A step at the start or end becomes a ramp over one time step that lies outside the pulse.
        """
        t, a = self._without_steps()
        count = int(np.ceil(t[-1] / step_s - 1e-9)) + 1
        grid = np.arange(count) * step_s
        grid[-1] = t[-1] if abs(grid[-1] - t[-1]) < 1e-6 * step_s else grid[-1]
        inner = np.interp(grid, t, a, right=0.0)
        tail = int(np.ceil(tail_s / step_s)) + 1
        values = np.concatenate([[0.0], inner, np.zeros(tail)])
        return np.linspace(-step_s, (len(values) - 2) * step_s, len(values)), values

    def _without_steps(self) -> tuple[Array, Array]:
        """Times from 0 and accelerations; of points at one time the one that is greatest in size."""
        by_time: dict[float, float] = {}
        for t, a in self.points:
            if t not in by_time or abs(a) > abs(by_time[t]):
                by_time[t] = a
        times: Array = np.array(list(by_time), dtype=np.float64)
        values: Array = np.array(list(by_time.values()), dtype=np.float64)
        return times - float(times[0]), values


def half_sine(peak_g: float, duration_s: float) -> Pulse:
    """A sin(pi t / td); velocity change 2 A td / pi."""
    return _curve("half sine", peak_g, duration_s, lambda s: np.sin(np.pi * s))


def haversine(peak_g: float, duration_s: float) -> Pulse:
    """A (1 - cos(2 pi t / td)) / 2; velocity change A td / 2."""
    return _curve("haversine", peak_g, duration_s, lambda s: (1.0 - np.cos(2.0 * np.pi * s)) / 2.0)


def triangle(peak_g: float, duration_s: float) -> Pulse:
    """Straight up to the peak at half time and down; velocity change A td / 2."""
    return _lines("triangle", peak_g, duration_s, ((0.0, 0.0), (0.5, 1.0), (1.0, 0.0)))


def saw_tooth(peak_g: float, duration_s: float, peak_at: str = "end") -> Pulse:
    """Straight from zero to a peak at the end, or from a peak at the start to zero; velocity change A td / 2."""
    points = ((0.0, 0.0), (1.0, 1.0), (1.0, 0.0)) if peak_at == "end" else ((0.0, 0.0), (0.0, 1.0), (1.0, 0.0))
    return _lines(f"saw-tooth, peak at the {peak_at}", peak_g, duration_s, points)


def rectangle(peak_g: float, duration_s: float) -> Pulse:
    """The peak all the time; velocity change A td."""
    return _lines("rectangle", peak_g, duration_s, ((0.0, 0.0), (0.0, 1.0), (1.0, 1.0), (1.0, 0.0)))


def trapezoid(peak_g: float, duration_s: float, rise_s: float, fall_s: float) -> Pulse:
    """Up in rise_s, level, down in fall_s, within duration_s; velocity change A (td - (rise + fall) / 2).

    Raises:
        PulseError: rise and fall exceed the duration.
    """
    _positive("trapezoid", peak_g, duration_s)
    if not (rise_s >= 0.0 and fall_s >= 0.0 and rise_s + fall_s <= duration_s * (1.0 + 1e-9)):
        figure = f"rise {rise_s:g} s, fall {fall_s:g} s, duration {duration_s:g} s"
        raise PulseError("trapezoid", "rise and fall must fit into the duration", figure, "Shorten the ramps")
    level = duration_s - fall_s
    return Pulse("trapezoid", ((0.0, 0.0), (rise_s, peak_g), (max(level, rise_s), peak_g), (duration_s, 0.0)))


def from_points(name: str, points: Sequence[tuple[float, float]]) -> Pulse:
    """A pulse through points of (time s, acceleration g); times must rise.

    A record whose velocity change is negative is turned round, with a note: where it throws the pack is said beside it.

    Raises:
        PulseError: fewer than two points, a value that is no finite number, times that do not rise, nothing but zero, a
            peak or duration out of all reason.
    """
    if len(points) < 2:
        raise PulseError(name, "a pulse needs at least two points", f"{len(points)} given", "Give time and acceleration")
    values = np.array(points, dtype=float)
    bad = np.argwhere(~np.isfinite(values).all(axis=1))
    if len(bad):
        row = int(bad[0][0])
        raise PulseError(name, "times and accelerations must be finite numbers", f"point {row + 1}: {points[row]}", _MEND)
    for number, (a, b) in enumerate(pairwise(values[:, 0]), start=2):
        if b <= a:
            kind = "run backwards" if b < a else "stand still"
            raise PulseError(name, "times must rise", f"they {kind} at point {number}: {a:g} s, then {b:g} s", _MEND)
    peak, duration = np.abs(values[:, 1]).max(), values[-1, 0] - values[0, 0]
    if peak <= 0.0:
        raise PulseError(name, "the acceleration must not be zero all the time", "0 g", _MEND)
    _positive(name, float(peak), float(duration))
    notes = [_ends_note(values)]
    if float(np.trapezoid(values[:, 1], values[:, 0])) < 0.0:
        values = values * np.array([1.0, -1.0])
        notes.append("negative record turned round: its direction is stated beside it")
    return Pulse(name, tuple((float(t), float(a)) for t, a in values), "; ".join(n for n in notes if n))


_MEND: Final = "Sort, clean or cut the record"
_UNITS: Final = "Check the units of time and acceleration"


def _ends_note(values: Array) -> str:
    peak = np.abs(values[:, 1]).max()
    first, last = values[0, 1], values[-1, 1]
    if max(abs(first), abs(last)) > 0.05 * peak:
        return f"starts at {first:g} g and ends at {last:g} g: taken as steps from and to zero"
    return ""


def corridor(name: str, lower: Pulse, upper: Pulse, curve: str) -> Pulse:
    """One curve of a corridor: "lower", "upper", or "mid", the mean of both at every time either has a point."""
    if curve == "lower":
        return Pulse(f"{name}, lower curve", lower.points, lower.note)
    if curve == "upper":
        return Pulse(f"{name}, upper curve", upper.points, upper.note)
    times = np.union1d([t for t, _ in lower.points], [t for t, _ in upper.points])
    tables = (np.array(p.points, dtype=float) for p in (lower, upper))
    low, high = (np.interp(times, p[:, 0], p[:, 1], left=0.0, right=0.0) for p in tables)
    mean = (low + high) / 2.0
    return Pulse(f"{name}, mid curve", tuple((float(t), float(a)) for t, a in zip(times, mean, strict=True)))


def pulse_of(entry: PulseEntry, curve: str = "upper", folder: Path | None = None) -> tuple[Pulse, Side]:
    """The pulse of one table of the job file, and where it throws the pack. folder: where its CSV file lies.

    Raises:
        PulseError: a record that cannot be used; the reason is named.
    """
    return _build(entry, curve, folder), entry.direction


def _build(entry: PulseEntry, curve: str, folder: Path | None) -> Pulse:
    peak, duration = entry.peak_g or 0.0, entry.duration_s or 0.0
    if entry.shape == "trapezoid":
        return trapezoid(peak, duration, entry.rise_s or 0.0, entry.fall_s or 0.0)
    if entry.shape == "saw-tooth":
        return saw_tooth(peak, duration, entry.peak_at)
    if entry.shape in _SIMPLE:
        return _SIMPLE[entry.shape](peak, duration)
    if entry.shape == "corridor":
        lower, upper = (_ms(f"corridor, {n} curve", p) for n, p in (("lower", entry.lower), ("upper", entry.upper)))
        return corridor("corridor", lower, upper, curve)
    if entry.shape == "points":
        return _ms("points", entry.points)
    path = (folder or Path()) / str(entry.file)
    return from_points(path.name, read_pulse_file(path))


_SIMPLE: Final = {"half sine": half_sine, "triangle": triangle, "haversine": haversine, "rectangle": rectangle}


def _ms(name: str, points: tuple[tuple[float, float], ...] | None) -> Pulse:
    return from_points(name, [(t / 1000.0, a) for t, a in points or ()])


def _positive(name: str, peak_g: float, duration_s: float) -> None:
    if not (0.0 < peak_g <= MOST_G and LEAST_SECONDS <= duration_s <= MOST_SECONDS):
        rule = f"its peak must be above 0 and at most {MOST_G:g} g, its duration {LEAST_SECONDS:g} to {MOST_SECONDS:g} s"
        raise PulseError(name, rule, f"{peak_g:g} g, {duration_s:g} s", _UNITS)


def _curve(name: str, peak_g: float, duration_s: float, shape: Callable[[Array], Array]) -> Pulse:
    _positive(name, peak_g, duration_s)
    s = np.linspace(0.0, 1.0, CHORDS + 1)
    values = peak_g * shape(s)
    values[0] = values[-1] = 0.0
    return Pulse(name, tuple((float(t), float(a)) for t, a in zip(s * duration_s, values, strict=True)))


def _lines(name: str, peak_g: float, duration_s: float, points: Sequence[tuple[float, float]]) -> Pulse:
    _positive(name, peak_g, duration_s)
    return Pulse(name, tuple((s * duration_s, a * peak_g) for s, a in points))
