"""Modes of the pack on its mounts, and what a pulse becomes as a static load."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from layout.job.crash import Crash
from layout.loads.modes import modes
from layout.loads.mounts import Mount, isotropic, mount_forces
from layout.loads.pulse_cases import SCALES, cases_of_responses, named_pulses, pulse_cases, pulse_responses
from layout.loads.pulses import half_sine
from layout.loads.shock import spectrum
from layout.loads.trouble import LoadsError, Mechanism, PulseError

CORNERS = [(-300.0, -200.0, 0.0), (300.0, -200.0, 0.0), (300.0, 200.0, 0.0), (-300.0, 200.0, 0.0)]
FACTORS = {"forward": 20, "rearward": 10, "left": 15, "right": 15, "up": 10, "down": 10}
HALF = {"shape": "half sine", "peak": 20, "duration": 70, "direction": "forward"}


def mounts_at(stiffness, places=CORNERS, one_way=None):
    return [Mount(f"m{i}", p, isotropic(stiffness), one_way) for i, p in enumerate(places)]


def pack_at(height=0.0, mass=100.0):
    return SimpleNamespace(
        mass_kg=mass,
        centroid_mm=(0.0, 0.0, height),
        inertia_kgmm2=((mass * 2e4, 0.0, 0.0), (0.0, mass * 4e4, 0.0), (0.0, 0.0, mass * 5e4)),
    )


def job_with(**crash):
    return SimpleNamespace(crash=Crash(**crash), folder=None)


def test_frequencies_of_a_centred_pack_by_hand():
    found = modes(mounts_at(1e4), pack_at())
    bounce = np.sqrt(4 * 1e4 * 1000 / 100.0) / (2 * np.pi)
    roll = np.sqrt(4 * 1e4 * 200.0**2 * 1000 / (100 * 2e4)) / (2 * np.pi)
    pitch = np.sqrt(4 * 1e4 * 300.0**2 * 1000 / (100 * 4e4)) / (2 * np.pi)
    yaw = np.sqrt(4 * 1e4 * (200.0**2 + 300.0**2) * 1000 / (100 * 5e4)) / (2 * np.pi)
    assert np.sort(found.frequency_hz) == pytest.approx(np.sort([bounce] * 3 + [roll, pitch, yaw]))


@pytest.mark.parametrize("height", [0.0, 150.0])
def test_effective_masses_add_up_and_static_forces_come_out_of_the_modes(height):
    pack = pack_at(height)
    found = modes(mounts_at(2e4), pack)
    assert found.effective_mass_kg.sum(axis=0) == pytest.approx([100.0] * 3)
    down = np.array([0.0, 0.0, -1.0])
    for axis in range(3):
        static = mount_forces(mounts_at(2e4), 100.0, pack.centroid_mm, (down - np.eye(3)[axis])[None, :])[0]
        assert found.mount_force_n_g[:, :, :, axis].sum(axis=0) == pytest.approx(static, abs=1e-6)


def test_bad_inertia_and_mechanisms_are_refused():
    pack = pack_at()
    for inertia in (
        ((0.0, 0, 0), (0, 1.0, 0), (0, 0, 1.0)),
        ((1.0, 0, 0), (0, 1.0, 0), (0, 0, 9.0)),
        ((float("nan"), 0, 0), (0, 1, 0), (0, 0, 1)),
    ):
        bad = SimpleNamespace(mass_kg=100.0, centroid_mm=(0.0, 0.0, 0.0), inertia_kgmm2=inertia)
        with pytest.raises(LoadsError, match="inertia"):
            modes(mounts_at(1e4), bad)
    with pytest.raises(Mechanism):
        modes(mounts_at(1e4, CORNERS[:2]), pack)


def test_centred_pack_answers_as_one_oscillator():
    mounts, pack = mounts_at(3e3), pack_at()
    (answer,) = pulse_responses(job_with(factors=FACTORS, pulse=HALF), pack, mounts)
    bounce = np.sqrt(4 * 3e3 * 1000 / 100.0) / (2 * np.pi)
    along, against = spectrum(half_sine(20.0, 0.07), bounce * SCALES, 0.05)
    assert answer.main_hz == pytest.approx(bounce)
    assert answer.equivalent_g == pytest.approx(along.max(), rel=2e-3)
    assert answer.rebound_equivalent_g == pytest.approx(against.max(), rel=0.03)


@pytest.mark.parametrize("stiffness", [300.0, 1e3, 1e4, 1e6])
def test_equivalent_is_never_below_the_peak_and_covers_the_range(stiffness):
    (answer,) = pulse_responses(job_with(factors=FACTORS, pulse=HALF), pack_at(120.0), mounts_at(stiffness))
    assert answer.equivalent_g >= 20.0
    along = spectrum(half_sine(20.0, 0.07), answer.main_hz * SCALES, 0.05)[0]
    share = answer.equivalent_g / along.max()
    assert share > 0.8


@pytest.mark.parametrize(
    ("level", "upright", "height"), [(4e3, 4e3, 150.0), (2e4, 1e3, 200.0)], ids=["even", "tall pack on soft feet"]
)
@pytest.mark.parametrize("scale", [0.7, 1.0, 1.4])
def test_mount_forces_cover_a_direct_integration_of_the_equations(level, upright, height, scale):
    """Independent: the six equations of motion with modal damping, integrated by a general solver."""
    stiffness = ((level, 0.0, 0.0), (0.0, level, 0.0), (0.0, 0.0, upright))
    mounts, pack = [Mount(f"m{i}", p, stiffness) for i, p in enumerate(CORNERS)], pack_at(height)
    found = modes(mounts, pack)
    (answer,) = pulse_responses(job_with(factors=FACTORS, pulse=HALF), pack, mounts)
    w, zeta = 2 * np.pi * found.frequency_hz * scale, 0.05

    def motion(t, s):
        a = 20.0 * np.sin(np.pi * t / 0.07) if t < 0.07 else 0.0
        return np.concatenate([s[6:], -a - 2 * zeta * w * s[6:] - w**2 * s[:6]])

    run = solve_ivp(motion, (0.0, 0.15), np.zeros(12), max_step=3e-4, rtol=1e-6, atol=1e-9)
    felt = -(2 * zeta * w[:, None] * run.y[6:] + (w**2)[:, None] * run.y[:6])
    in_time = np.linalg.norm(np.einsum("kni,kt->nit", found.mount_force_n_g[:, :, :, 0], felt), axis=1)
    static = np.linalg.norm(found.mount_force_n_g[:, :, :, 0].sum(axis=0), axis=1) * answer.equivalent_g
    assert (in_time.max(axis=1) <= static * 1.002).all()
    assert in_time.max() > 0.6 * static.max()


def test_a_soft_pack_is_still_held_against_the_peak():
    """A short pulse on very soft mounts answers with less than its peak; the peak itself is kept."""
    short = {**HALF, "peak": 50, "duration": 11}
    (answer,) = pulse_responses(job_with(factors=FACTORS, pulse=short), pack_at(), mounts_at(20.0))
    assert spectrum(half_sine(50.0, 0.011), answer.main_hz * SCALES, 0.05)[0].max() < 25.0
    assert answer.equivalent_g == pytest.approx(50.0)


@pytest.mark.parametrize("stiffness", [200.0, 900.0, 4e3])
def test_frequencies_from_seven_to_fourteen_tenths_are_covered(stiffness):
    mounts, pack = mounts_at(stiffness), pack_at()
    (answer,) = pulse_responses(job_with(factors=FACTORS, pulse=HALF), pack, mounts)
    range_hz = answer.main_hz * np.linspace(0.7, 1.4, 60)
    assert answer.equivalent_g >= spectrum(half_sine(20.0, 0.07), range_hz, 0.05)[0].max() * 0.997


def test_cases_carry_the_equivalent_and_the_rebound():
    job = job_with(factors=FACTORS, pulse=HALF, pulses=[{**HALF, "shape": "triangle", "direction": "left"}])
    cases = pulse_cases(job, pack_at(100.0), mounts_at(2e2))
    names = [case.name for case in cases]
    assert names[:2] == ["pulse forward: half sine, 20 g, 70 ms", "pulse forward: half sine, 20 g, 70 ms, rebound"]
    assert cases[0].acceleration_g[0] == -cases[0].equivalent_static_g < -20.0
    assert cases[1].acceleration_g[0] > 0.0
    assert cases[2].acceleration_g[1] < 0.0
    assert all(case.group == "pulse" and "gravity" in case.note for case in cases)
    assert "below 15 Hz" in cases[0].note
    assert pulse_cases(job_with(factors=FACTORS), pack_at(), mounts_at(1e4)) == ()


def test_two_equal_pulses_get_two_names():
    job = job_with(factors=FACTORS, pulse=HALF, pulses=[HALF])
    names = [case.name for case in pulse_cases(job, pack_at(100.0), mounts_at(2e2))]
    assert len(set(names)) == len(names) == 4


def test_corridors_of_a_rule_set_and_the_choice_of_curve():
    found = {}
    for curve in ("lower", "mid", "upper"):
        job = job_with(rule_set="UN R100 M1 N1", corridor=curve)
        cases = cases_of_responses(pulse_responses(job, pack_at(), mounts_at(1e5)))
        found[curve] = {case.name.split(":")[0]: case for case in cases if "rebound" not in case.name}
        assert {"pulse forward", "pulse rearward", "pulse left", "pulse right"} == set(found[curve])
        assert all(curve in case.name and case.source.seen == "memory" for case in cases)
    peaks = [found[c]["pulse forward"].equivalent_static_g for c in ("lower", "mid", "upper")]
    assert peaks == sorted(peaks)
    assert peaks[0] >= 20.0
    assert peaks[2] >= 28.0
    assert Crash(rule_set="UN R100 M1 N1").corridor == "upper"


def test_half_sine_rule_sets():
    assert {n.direction for n in named_pulses(job_with(rule_set="GB 38031 vertical shock"))} == {"up", "down"}
    (first, *_) = named_pulses(job_with(rule_set="UN 38.3 T.4 large"))
    assert first.pulse.velocity_change_m_s == pytest.approx(3.434, abs=1e-3)


def test_push_only_mounts_are_cautioned():
    side = ((1e4, 0.0, 0.0), (0.0, 1e4, 0.0), (0.0, 0.0, 0.0))
    found = [
        *mounts_at(1e4, one_way=(0.0, 0.0, -1.0)),
        Mount("pin", (0.0, 0.0, 0.0), side),
        Mount("slot", (90.0, 0.0, 0.0), side),
    ]
    (answer,) = pulse_responses(job_with(factors=FACTORS, pulse=HALF), pack_at(50.0), found)
    assert any("only push" in text for text in answer.cautions)


def test_a_broken_record_is_refused(tmp_path):
    (tmp_path / "r.csv").write_text("time_s,acceleration_g\n0,0\n0.02,10\n0.01,0\n")
    job = job_with(factors=FACTORS, pulse={"shape": "csv", "direction": "forward", "file": "r.csv"})
    with pytest.raises(PulseError, match="run backwards"):
        pulse_cases(job, pack_at(), mounts_at(1e4), tmp_path)


def test_what_a_plot_needs():
    (answer,) = pulse_responses(job_with(factors=FACTORS, pulse=HALF), pack_at(), mounts_at(3e3))
    time, pulse, response = answer.history
    assert time.shape == pulse.shape == response.shape
    assert pulse.max() == pytest.approx(20.0, rel=1e-4)
    along, against = answer.spectrum_g
    assert along.shape == against.shape == answer.frequency_hz.shape
    assert along.max() >= response.max() * 0.99
