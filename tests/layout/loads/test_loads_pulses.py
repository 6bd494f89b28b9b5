"""Pulses: shapes, velocity change, corridors, files, and every way a record can be unusable."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from layout.job.crash import PulseEntry
from layout.loads.pulse_file import read_pulse_file
from layout.loads.pulses import (
    corridor,
    from_points,
    half_sine,
    haversine,
    pulse_of,
    rectangle,
    saw_tooth,
    trapezoid,
    triangle,
)
from layout.loads.shock import filtered, history, miles_grms, spectrum, time_step
from layout.loads.trouble import PulseError

G = 9.80665


@pytest.mark.parametrize(
    ("pulse", "share"),
    [
        (half_sine(20.0, 0.07), 2.0 / np.pi),
        (haversine(20.0, 0.07), 0.5),
        (triangle(20.0, 0.07), 0.5),
        (saw_tooth(20.0, 0.07), 0.5),
        (saw_tooth(20.0, 0.07, "start"), 0.5),
        (rectangle(20.0, 0.07), 1.0),
        (trapezoid(20.0, 0.07, 0.01, 0.02), (0.07 - 0.015) / 0.07),
    ],
    ids=lambda p: getattr(p, "name", ""),
)
def test_velocity_change_by_closed_form(pulse, share):
    assert pulse.velocity_change_m_s == pytest.approx(share * 20.0 * G * 0.07, rel=1e-5)
    assert pulse.peak_g == pytest.approx(20.0)
    assert pulse.duration_s == pytest.approx(0.07)


def test_sampling_keeps_the_area_and_never_lowers_a_step():
    for pulse in (half_sine(20.0, 0.07), rectangle(20.0, 0.07), saw_tooth(20.0, 0.07), trapezoid(20.0, 0.07, 0.01, 0.02)):
        step = pulse.duration_s / 480.0
        time, base = pulse.sampled(step, 0.02)
        area = np.trapezoid(base, time) * G
        assert area >= pulse.velocity_change_m_s * (1.0 - 1e-4)
        assert area <= pulse.velocity_change_m_s * (1.0 + 1.2 / 240.0)
        assert base.max() == pytest.approx(20.0)
        assert base[0] == base[-1] == 0.0


def test_corridor_curves():
    lower = from_points("lower", [(0.02, 0.0), (0.05, 20.0), (0.065, 20.0), (0.1, 0.0)])
    upper = from_points("upper", [(0.0, 10.0), (0.05, 28.0), (0.08, 28.0), (0.12, 10.0)])
    middle = corridor("c", lower, upper, "mid")
    assert lower.velocity_change_m_s == pytest.approx(20 * G * (0.015 + 0.065 / 2), rel=1e-9)
    assert upper.velocity_change_m_s == pytest.approx(25.0, abs=0.05)
    assert middle.velocity_change_m_s == pytest.approx((lower.velocity_change_m_s + upper.velocity_change_m_s) / 2.0, rel=1e-9)
    assert corridor("c", lower, upper, "upper").points == upper.points
    assert corridor("c", lower, upper, "lower").peak_g == 20.0
    assert "steps" in upper.note


NAN = float("nan")


@pytest.mark.parametrize(
    ("points", "words"),
    [
        ([], "at least two"),
        ([(0.0, 1.0)], "at least two"),
        ([(0.0, 0.0), (0.02, 5.0), (0.01, 0.0)], "run backwards at point 3"),
        ([(0.0, 0.0), (0.02, 5.0), (0.02, 0.0)], "stand still at point 3"),
        ([(0.0, 0.0), (0.02, NAN), (0.03, 0.0)], "point 2"),
        ([(0.0, 0.0), (float("inf"), 3.0)], "finite"),
        ([(0.0, 0.0), (0.02, 0.0)], "zero all the time"),
        ([(0.0, 0.0), (20.0, 5.0), (70.0, 0.0)], "units"),
        ([(0.0, 0.0), (0.02, 50000.0), (0.07, 0.0)], "units"),
    ],
)
def test_unusable_records_are_refused_with_the_reason(points, words):
    with pytest.raises(PulseError, match=words):
        from_points("record", points)


def test_negative_record_is_turned_round_and_says_so():
    pulse = from_points("record", [(0.0, 0.0), (0.02, 1.0), (0.05, -25.0), (0.1, 0.0)])
    assert pulse.points[2] == (0.05, 25.0)
    assert pulse.points[1] == (0.02, -1.0)
    assert pulse.velocity_change_m_s > 0.0
    assert "turned round" in pulse.note


@pytest.mark.parametrize("make", [half_sine, triangle, haversine, rectangle, saw_tooth])
@pytest.mark.parametrize(
    ("peak", "duration"), [(0.0, 0.07), (-5.0, 0.07), (20.0, 0.0), (20.0, 7e-5), (20.0, 70.0), (NAN, 0.07)]
)
def test_shapes_out_of_all_reason_are_refused(make, peak, duration):
    with pytest.raises(PulseError):
        make(peak, duration)


def test_ramps_longer_than_the_trapezoid_are_refused():
    with pytest.raises(PulseError, match="fit into the duration"):
        trapezoid(20.0, 0.05, 0.03, 0.03)
    with pytest.raises(ValidationError, match="exceed the duration"):
        PulseEntry(shape="trapezoid", direction="forward", peak=20, duration=50, rise=30, fall=30)


@pytest.mark.parametrize(
    ("entry", "missing"),
    [
        ({"shape": "half sine"}, "peak, duration"),
        ({"shape": "trapezoid", "peak": 20, "duration": 60}, "rise, fall"),
        ({"shape": "points"}, "points"),
        ({"shape": "csv"}, "file"),
        ({"shape": "corridor", "lower": [[0, 0], [1, 1]]}, "upper"),
    ],
)
def test_incomplete_pulses_say_what_they_lack(entry, missing):
    with pytest.raises(ValidationError, match=missing):
        PulseEntry(direction="forward", **entry)


def test_entry_of_the_job_file_becomes_a_pulse(tmp_path):
    pulse, side = pulse_of(PulseEntry(shape="half sine", peak="20 g", duration="70 ms", direction="forward"))
    assert (pulse.peak_g, pulse.duration_s, side) == (pytest.approx(20.0), pytest.approx(0.07), "forward")
    drawn, _ = pulse_of(PulseEntry(shape="points", direction="left", points=((0, 0), (20, 8), (60, 0))))
    assert drawn.points == ((0.0, 0.0), (0.02, 8.0), (0.06, 0.0))
    (tmp_path / "crash.csv").write_text("time_ms,acceleration_m_s2\n0,0\n20,98.0665\n60,0\n")
    record, _ = pulse_of(PulseEntry(shape="csv", direction="left", file="crash.csv"), folder=tmp_path)
    assert np.array(record.points) == pytest.approx(np.array([(0.0, 0.0), (0.02, 10.0), (0.06, 0.0)]))
    both = {"lower": ((20, 0), (50, 20), (65, 20), (100, 0)), "upper": ((0, 10), (50, 28), (80, 28), (120, 10))}
    assert pulse_of(PulseEntry(shape="corridor", direction="left", **both))[0].peak_g == 28.0
    assert pulse_of(PulseEntry(shape="corridor", direction="left", **both), "lower")[0].peak_g == 20.0


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "empty"),
        ("time,acceleration\n0,0\n", "exactly one column time_s"),
        ("time_s,acceleration\n0,0\n", "acceleration_g"),
        ("time_s,time_ms,acceleration_g\n0,0,0\n", "exactly one column"),
        ("time_s,acceleration_g\n0,0\n0.01,abc\n", "line 3"),
        ("time_s,acceleration_g\n0,0\n\n0.01\n", "line 4"),
        ("time_s;acceleration_g\n0,0;0\n", "line 2"),
    ],
)
def test_bad_files_are_refused_with_the_line(tmp_path, text, words):
    path = tmp_path / "pulse.csv"
    path.write_text(text)
    with pytest.raises(PulseError, match=words):
        read_pulse_file(path)


def test_missing_and_binary_files_are_refused(tmp_path):
    with pytest.raises(PulseError, match="readable"):
        read_pulse_file(Path(tmp_path / "not there.csv"))
    (tmp_path / "b.csv").write_bytes(bytes([0xFF, 0xFE, 0x00, 0x81]))
    with pytest.raises(PulseError, match="readable"):
        read_pulse_file(tmp_path / "b.csv")


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_separators_and_other_columns(tmp_path, separator):
    path = tmp_path / "p.csv"
    rows = [["# made by a logger"], ["n", "Time_ms", "acceleration_g"], ["1", "0", "0"], ["2", "1e1", "-5.5"], ["3", "20", "0"]]
    path.write_bytes(b"\xef\xbb\xbf" + "\r\n".join(separator.join(r) for r in rows).encode())
    assert np.array(read_pulse_file(path)) == pytest.approx(np.array([(0.0, 0.0), (0.01, -5.5), (0.02, 0.0)]))


def test_stiff_and_soft_limits_of_the_spectrum():
    pulse = half_sine(20.0, 0.05)
    along, against = spectrum(pulse, np.array([0.5, 2000.0]), 0.05)
    assert along[1] == pytest.approx(20.0, rel=2e-3)
    assert against[1] < 0.1
    impulse = pulse.velocity_change_m_s * 2 * np.pi * 0.5 / G  # undamped limit: omega times velocity change
    assert along[0] == pytest.approx(impulse, rel=0.15)


def test_steps_resolve_pulse_and_oscillator():
    pulse = half_sine(20.0, 0.05)
    assert time_step(pulse, 10.0) <= 0.05 / 480 * (1 + 1e-9)
    assert time_step(pulse, 1000.0) <= 1.0 / 100_000 * (1 + 1e-9)
    count = pulse.duration_s / time_step(pulse, 1000.0)
    assert count == pytest.approx(round(count))
    assert history(pulse, 5.0, 0.05)[0][-1] >= 0.05 + 1.5 / 5.0


@settings(max_examples=25, deadline=None)
@given(st.floats(1.0, 300.0), st.floats(0.0, 0.3), st.integers(0, 1000))
def test_filter_is_exact_for_straight_lines(frequency, damping, seed):
    """Independent: the equation of motion stepped with a matrix exponential through the same straight lines."""
    from scipy.linalg import expm

    rng = np.random.default_rng(seed)
    step, base = 0.002, np.concatenate([[0.0], rng.normal(size=30) * 10.0])
    w = 2 * np.pi * frequency
    state = np.array([[0, 1, 0, 0], [-(w**2), -2 * damping * w, -1, 0], [0, 0, 0, 1], [0, 0, 0, 0]], dtype=float)
    through = expm(state * step)
    z, found = np.zeros(2), [0.0]
    for a, b in pairwise(base):
        z = (through @ np.array([z[0], z[1], a, (b - a) / step]))[:2]
        found.append(-(w**2) * z[0] - 2 * damping * w * z[1])
    ours = filtered(base, frequency, damping, step)
    assert np.abs(ours - np.array(found)).max() < 1e-6 * max(np.abs(found).max(), 1.0)


def test_miles_against_the_integral_of_the_response():
    """Ours against the integral of |H|^2 times the level: they differ by sqrt(1 + 1/Q^2) for white noise without end."""
    f, quality, level = 50.0, 10.0, 0.04
    lines = np.geomspace(0.01, 50000.0, 400_000)
    r = lines / f
    square = (1 + (r / quality) ** 2) / ((1 - r**2) ** 2 + (r / quality) ** 2)
    full = np.sqrt(np.trapezoid(square * level, lines))
    assert miles_grms(f, quality, level) == pytest.approx(full / np.sqrt(1 + 1 / quality**2), rel=2e-3)
    assert miles_grms(f, quality, level) == pytest.approx(5.605, abs=1e-3)
