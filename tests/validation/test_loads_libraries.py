"""Shock response against an independent library: pyyeti (its own filters, resampling off, whole time looked at)."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from layout.loads.pulses import corridor, from_points, half_sine, trapezoid, triangle
from layout.loads.shock import PER_PERIOD, filtered, spectrum

pytestmark = pytest.mark.slow  # the library takes seconds to import


@pytest.fixture(scope="module")
def srs():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return pytest.importorskip("pyyeti.srs")


LOWER = from_points("lower", [(0.020, 0.0), (0.050, 20.0), (0.065, 20.0), (0.100, 0.0)])
UPPER = from_points("upper", [(0.0, 10.0), (0.050, 28.0), (0.080, 28.0), (0.120, 10.0)])
PULSES = {
    "half sine 50 g 11 ms": half_sine(50.0, 0.011),
    "triangle 30 g 80 ms": triangle(30.0, 0.080),
    "trapezoid": trapezoid(20.0, 0.1, 0.02, 0.03),
    "corridor lower": LOWER,
    "corridor upper": UPPER,
    "corridor mid": corridor("corridor", LOWER, UPPER, "mid"),
}


@pytest.mark.parametrize("name", PULSES)
@pytest.mark.parametrize("damping", [0.02, 0.05, 0.1])
def test_spectrum_agrees_with_pyyeti(srs, name, damping):
    pulse, frequency = PULSES[name], np.array([10.0, 20.0, 40.0, 74.0, 100.0, 200.0])
    step = pulse.duration_s / 2400.0
    base = pulse.sampled(step, 0.5)[1]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        theirs = srs.srs(base, 1.0 / step, frequency, 1.0 / (2.0 * damping), rolloff="none", ppc=1, time="total")
    same_samples = [np.abs(filtered(base, f, damping, step)).max() for f in frequency]
    assert np.abs(same_samples / theirs - 1.0).max() < 1e-9
    ours = np.maximum(*spectrum(pulse, frequency, damping))
    assert np.abs(ours / theirs - 1.0).max() < 2e-3
    assert PER_PERIOD >= 100


def test_residual_response_is_not_dropped(srs):
    """A pulse short against the period answers after it has ended: looking only at the pulse loses half of it."""
    pulse = half_sine(50.0, 0.011)
    step = pulse.duration_s / 480.0
    base = pulse.sampled(step, 0.2)[1]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        primary = srs.srs(base[:482], 1.0 / step, [10.0], 10.0, rolloff="none", ppc=1, time="primary")
    assert np.maximum(*spectrum(pulse, np.array([10.0]), 0.05))[0] > 2.0 * float(np.ravel(primary)[0])
